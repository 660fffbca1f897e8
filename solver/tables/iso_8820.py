"""ISO 8820, Road vehicles, fuse-links: rated currents of parts 3 (blade) and 5 (strip).

From memory.
"""

from __future__ import annotations

MEDIUM_BLADE_A = (1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30)
HIGH_CURRENT_BLADE_A = (20, 30, 40, 50, 60, 70, 80)
STRIP_A = (
    *(30, 40, 50, 60, 70, 80, 100, 125, 150, 175, 200, 225, 250, 300, 350, 400, 450, 500),
)
