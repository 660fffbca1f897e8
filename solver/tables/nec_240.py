"""NFPA 70, National Electrical Code, 2023, article 240: ratings of fuses and breakers.

Table 240.6(A) read in public reproductions (601 A, in editions to 2020, is left out);
240.4(D): 14, 12, 10 AWG read, 18 and 16 AWG from memory.
"""

from __future__ import annotations

RATINGS_A = (
    *(15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175, 200, 225),
    *(250, 300, 350, 400, 450, 500, 600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000),
    *(4000, 5000, 6000),
)
"""Fuses and breakers."""

FUSE_RATINGS_A = (1, 3, 6, 10)
"""Further ratings of fuses alone."""

SMALL_CONDUCTOR_A = {"18": 7, "16": 10, "14": 15, "12": 20, "10": 30}
"""240.4(D): gauge of copper: largest protection."""
