"""NFPA 70, National Electrical Code, 2023, article 310: ampacity of copper and its factors.

Table 310.16 (14, 12, 3, 1 AWG and 250 kcmil upward from memory, the rest read in two public
reproductions), table 310.15(B)(1)(1) (rows to 20 °C and from 71 °C from memory), table
310.15(C)(1) (read).
"""

from __future__ import annotations

AMPACITY_A = {
    "18": (None, None, 14),
    "16": (None, None, 18),
    "14": (15, 20, 25),
    "12": (20, 25, 30),
    "10": (30, 35, 40),
    "8": (40, 50, 55),
    "6": (55, 65, 75),
    "4": (70, 85, 95),
    "3": (85, 100, 115),
    "2": (95, 115, 130),
    "1": (110, 130, 145),
    "1/0": (125, 150, 170),
    "2/0": (145, 175, 195),
    "3/0": (165, 200, 225),
    "4/0": (195, 230, 260),
    "250 kcmil": (215, 255, 290),
    "300 kcmil": (240, 285, 320),
    "350 kcmil": (260, 310, 350),
    "400 kcmil": (280, 335, 380),
    "500 kcmil": (320, 380, 430),
}
"""Size: amperes at 60, 75 and 90 °C, at most three loaded conductors, 30 °C ambient."""

INSULATION_C = (60, 75, 90)

KCMIL_MM2 = {
    "250 kcmil": 127.0,
    "300 kcmil": 152.0,
    "350 kcmil": 177.0,
    "400 kcmil": 203.0,
    "500 kcmil": 253.0,
}
"""Areas of the sizes above 4/0, by arithmetic."""

AMBIENT_FACTOR = (
    (10, (1.29, 1.2, 1.15)),
    (15, (1.22, 1.15, 1.12)),
    (20, (1.15, 1.11, 1.08)),
    (25, (1.08, 1.05, 1.04)),
    (30, (1.0, 1.0, 1.0)),
    (35, (0.91, 0.94, 0.96)),
    (40, (0.82, 0.88, 0.91)),
    (45, (0.71, 0.82, 0.87)),
    (50, (0.58, 0.75, 0.82)),
    (55, (0.41, 0.67, 0.76)),
    (60, (None, 0.58, 0.71)),
    (65, (None, 0.47, 0.65)),
    (70, (None, 0.33, 0.58)),
    (75, (None, None, 0.5)),
    (80, (None, None, 0.41)),
    (85, (None, None, 0.29)),
)
"""Warm end of each range in °C: factor at 60, 75 and 90 °C; None: not allowed."""

BUNDLING_FACTOR = (
    (3, 1.0),
    (6, 0.8),
    (9, 0.7),
    (20, 0.5),
    (30, 0.45),
    (40, 0.4),
    (None, 0.35),
)
"""Loaded conductors up to: factor."""
