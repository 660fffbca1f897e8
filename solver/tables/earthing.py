"""Earthing and bonding conductors: IEC 60364-5-54 Table 54.2 and NFPA 70 Table 250.122.

Both from memory, copper.
"""

from __future__ import annotations

IEC_SAME_UP_TO_MM2 = 16.0
"""Table 54.2: up to this line conductor the protective one is of its size."""
IEC_FIXED_UP_TO_MM2 = 35.0
"""Up to this it is 16 mm², above it half the line conductor."""
IEC_LEAST_MM2 = 4.0
"""543.1.3: the least of a separate conductor without protection against damage."""

NEC_250_122 = (
    (15, "14"),
    (20, "12"),
    (60, "10"),
    (100, "8"),
    (200, "6"),
    (300, "4"),
    (400, "3"),
    (500, "2"),
    (600, "1"),
    (800, "1/0"),
    (1000, "2/0"),
)
"""Protection up to so many amperes, and the least copper conductor."""

ABYC_LEAST_AWG = "16"
"""ABYC E-11: a DC grounding conductor is never thinner."""
