"""IEEE 485, Sizing lead-acid batteries for stationary applications, table 1.

Factor on the size of a cell for the temperature of its electrolyte, on a basis of 25 °C.
From memory; the ends of the table, -3.9 °C and 51.7 °C, were read.
"""

from __future__ import annotations

SIZING_FACTOR = (
    (-3.9, 1.52),
    (-1.1, 1.43),
    (1.7, 1.35),
    (4.4, 1.3),
    (7.2, 1.25),
    (10.0, 1.19),
    (12.8, 1.15),
    (15.6, 1.11),
    (18.3, 1.08),
    (18.9, 1.072),
    (19.4, 1.064),
    (20.0, 1.056),
    (20.6, 1.048),
    (21.1, 1.04),
    (21.7, 1.034),
    (22.2, 1.029),
    (22.8, 1.023),
    (23.3, 1.017),
    (23.9, 1.011),
    (24.4, 1.006),
    (25.0, 1.0),
    (25.6, 0.994),
    (26.1, 0.987),
    (26.7, 0.98),
    (27.2, 0.976),
    (27.8, 0.972),
    (28.3, 0.968),
    (28.9, 0.964),
    (29.4, 0.96),
    (30.0, 0.956),
    (30.6, 0.952),
    (31.1, 0.948),
    (31.7, 0.944),
    (32.2, 0.94),
    (35.0, 0.93),
    (37.8, 0.91),
    (40.6, 0.89),
    (43.3, 0.88),
    (46.1, 0.87),
    (48.9, 0.86),
    (51.7, 0.85),
)
"""Electrolyte in °C, rising: factor on the size; its inverse is the share of the capacity."""
