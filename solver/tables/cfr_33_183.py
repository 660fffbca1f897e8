"""33 CFR 183.425, US Code of Federal Regulations, boats: table 5 and its notes.

The ampacities were read in the regulation; the factors of notes 1 (engine spaces, 50 °C) and
2 (bundles) are from memory. ABYC E-11's 105 °C column, read in a public reproduction, equals
the regulation's; its factor for engine spaces is 0.85.
"""

from __future__ import annotations

INSULATION_C = (60, 75, 80, 90, 105, 125, 200)

AMPACITY_A = {
    "18": (10, 10, 15, 20, 20, 25, 25),
    "16": (15, 15, 20, 25, 25, 30, 35),
    "14": (20, 20, 25, 30, 35, 40, 45),
    "12": (25, 25, 35, 40, 45, 50, 55),
    "10": (40, 40, 50, 55, 60, 70, 70),
    "8": (55, 65, 70, 70, 80, 90, 100),
    "6": (80, 95, 100, 100, 120, 125, 135),
    "4": (105, 125, 130, 135, 160, 170, 180),
    "3": (120, 145, 150, 155, 180, 195, 210),
    "2": (140, 170, 175, 180, 210, 225, 240),
    "1": (165, 195, 210, 210, 245, 265, 280),
    "1/0": (195, 230, 245, 245, 285, 305, 325),
    "2/0": (225, 265, 285, 285, 330, 355, 370),
    "3/0": (260, 310, 330, 330, 385, 410, 430),
    "4/0": (300, 360, 385, 385, 445, 475, 510),
}
"""Gauge: amperes outside engine spaces, by insulation, 30 °C ambient."""

ENGINE_SPACE_FACTOR = {
    60: 0.58,
    75: 0.75,
    80: 0.78,
    90: 0.82,
    105: 0.86,
    125: 0.89,
    200: 1.0,
}
"""Insulation in °C: note 1."""

BUNDLING_FACTOR = ((2, 1.0), (3, 0.7), (6, 0.6), (24, 0.5), (None, 0.4))
"""Loaded conductors up to: note 2."""
