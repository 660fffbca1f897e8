"""ISO 10133:2012, Small craft, extra-low-voltage DC installations, annex A, table A.1.

Single conductor, 30 °C ambient. From memory, not read again; the 60 °C column and the rows
0.75 and 1.5 mm² are left out because what is remembered of them disagrees with 33 CFR 183.425.
The standard in force (ISO 13297) was not read.
"""

from __future__ import annotations

INSULATION_C = (70, 85, 105, 125)
"""Lowest insulation each column is for; the second is headed 85 °C to 90 °C."""

AMPACITY_A = {
    1.0: (14, 18, 20, 25),
    2.5: (25, 30, 35, 40),
    4.0: (35, 40, 45, 50),
    6.0: (45, 50, 60, 70),
    10.0: (65, 70, 90, 100),
    16.0: (90, 100, 130, 150),
    25.0: (120, 140, 170, 185),
    35.0: (160, 185, 210, 225),
    50.0: (210, 230, 270, 300),
    70.0: (265, 285, 330, 360),
    95.0: (310, 330, 390, 410),
    120.0: (360, 400, 450, 480),
    150.0: (380, 430, 475, 520),
}
"""Area in mm²: amperes by insulation."""

LEAST_MM2_SINGLE = 1.0
"""Thinnest conductor laid by itself (from memory)."""

LEAST_MM2_SHEATHED = 0.75
"""Thinnest conductor of a sheathed cable of several (from memory)."""
