"""American wire gauge and sizes in mm²: which is which."""

from __future__ import annotations

from collections.abc import Mapping

from solver.tables import awg

AREA_ROUNDING = 1.005
"""A conductor counts as a gauge when its stated area is within half a per cent of it."""


def gauge_diameter_in(gauge: str) -> float:
    """Diameter of the solid wire of a gauge, in inches.

    Parameters
    ----------
    gauge : str
        `18` to `4/0`, as sold.

    Returns
    -------
    float
        Inches.

    Source
    ------
    ASTM B258: 0.005 in · 92^((36 − n) / 39), with 0, −1, −2, −3 for 1/0 to 4/0.
    """
    number = awg.NUMBER[gauge] if gauge in awg.NUMBER else int(gauge)
    steps = (36 - number) / 39.0
    return 0.005 * float(92.0**steps)


def gauge_area_mm2(gauge: str) -> float:
    """Cross-section of a gauge, in mm², unrounded.

    Source
    ------
    ASTM B258; a circular mil is the area of a circle of a thousandth of an inch.
    """
    return (1000.0 * gauge_diameter_in(gauge)) ** 2 * awg.MM2_PER_CMIL


def gauge_of(area_mm2: float) -> str | None:
    """The American gauge of a stated area, or None for a size in mm²."""
    for gauge, area in awg.AREA_MM2.items():
        if abs(area_mm2 / area - 1.0) < AREA_ROUNDING - 1.0:
            return gauge
    return None


def row_of(area_mm2: float, areas: Mapping[str, float]) -> str | None:
    """The largest size not above an area, or None where even the smallest is above it."""
    fitting = [(a, size) for size, a in areas.items() if a <= area_mm2 * AREA_ROUNDING]
    return max(fitting)[1] if fitting else None
