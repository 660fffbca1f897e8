"""American wire gauge: cross-sections of the sizes that stock is sold in.

Source: ASTM B258, standard nominal diameters (0.005 in at No. 36, 0.460 in at 4/0, 39 equal
steps); areas computed from that formula, rounded to the three digits that a catalog states.
"""

from __future__ import annotations

AREA_MM2 = {
    "18": 0.823,
    "16": 1.31,
    "14": 2.08,
    "12": 3.31,
    "10": 5.26,
    "8": 8.37,
    "6": 13.3,
    "4": 21.2,
    "3": 26.7,
    "2": 33.6,
    "1": 42.4,
    "1/0": 53.5,
    "2/0": 67.4,
    "3/0": 85.0,
    "4/0": 107.0,
}
"""Gauge: area in mm², rising."""

NUMBER = {"1/0": 0, "2/0": -1, "3/0": -2, "4/0": -3}
"""The number that stands in the formula for a gauge of several noughts."""

MM2_PER_CMIL = 5.067074790974977e-4
"""π/4 · (0.0254 mm)²."""
