"""NFPA 70, National Electrical Code, article 690, photovoltaics: table 690.7(A) and 690.8.

Crystalline and multicrystalline silicon. From memory.
"""

from __future__ import annotations

VOC_FACTOR = (
    (20, 1.02),
    (15, 1.04),
    (10, 1.06),
    (5, 1.08),
    (0, 1.1),
    (-5, 1.12),
    (-10, 1.14),
    (-15, 1.16),
    (-20, 1.18),
    (-25, 1.2),
    (-30, 1.21),
    (-35, 1.23),
    (-40, 1.25),
)
"""Cold end of each range in °C: factor on the open-circuit voltage."""

CURRENT_FACTOR = 1.25
"""690.8(A)(1): of the short-circuit current; 690.8(B)(1) the same once more for conductors."""
