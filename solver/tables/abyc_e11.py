"""ABYC E-11, AC and DC electrical systems on boats.

The 105 °C ampacities and the table of gauges for 3 % drop at 12 V were read in public
reproductions; the least circular-mil areas and K are from memory, and confirmed by 88 of the
89 printed cells of that table (15 A over 60 ft is a misprint: 6 AWG is printed, 4 AWG needed).
"""

from __future__ import annotations

AMPACITY_105C_A = {
    "18": (20, 17),
    "16": (25, 21),
    "14": (35, 30),
    "12": (45, 38),
    "10": (60, 51),
    "8": (80, 68),
    "6": (120, 102),
    "4": (160, 136),
    "3": (180, 153),
    "2": (210, 178),
    "1": (245, 208),
    "1/0": (285, 242),
    "2/0": (330, 280),
    "3/0": (385, 327),
    "4/0": (445, 378),
}
"""Gauge: amperes outside and inside engine spaces, 105 °C insulation."""

ENGINE_SPACE_FACTOR_105C = 0.85

LEAST_CMIL = {
    "18": 1537,
    "16": 2336,
    "14": 3702,
    "12": 5833,
    "10": 9343,
    "8": 14810,
    "6": 25910,
    "4": 37360,
    "2": 62450,
    "1": 77790,
    "1/0": 98980,
    "2/0": 125100,
    "3/0": 158600,
    "4/0": 205500,
}
"""Gauge: least circular mils of a stranded conductor sold as that gauge."""

K_OHM_CMIL_PER_FT = 10.75
"""CM = K · I · L / E with L there and back, in feet."""

LEAST_AWG_SINGLE = "16"
"""Thinnest single conductor (33 CFR 183.425(e), read)."""

LEAST_AWG_SHEATHED = "18"
"""Thinnest conductor in a sheath, at most 30 in of it bare (33 CFR 183.425(d), (f), read)."""

PULL_LBF = {
    "18": 10, "16": 15, "14": 30, "12": 35, "10": 40, "8": 45, "6": 50, "4": 70, "3": 80, "2": 90,
    "1": 100, "1/0": 125, "2/0": 150, "3/0": 175, "4/0": 225,
}  # fmt: skip
"""Gauge: pull that a termination stands for a minute, in pounds-force. From memory."""
