"""Ampacities as the tables give them, at 30 °C and without correction."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from solver.rules.gauge import row_of
from solver.tables import awg, cfr_33_183, iso_10133, nec_310

BASE_AMBIENT_C = 30.0
"""Ambient of every ampacity table here."""


def column_of(insulation_c: float, columns: Sequence[float]) -> int | None:
    """The highest column not above the insulation, or None where all are above it."""
    fitting = [i for i, c in enumerate(columns) if c <= insulation_c]
    return fitting[-1] if fitting else None


def by_area(area_mm2: float, rows: Sequence[tuple[float, float]]) -> float:
    """An ampacity between a table's rows, linear in area.

    Parameters
    ----------
    area_mm2 : float
        In mm².
    rows : sequence of (float, float)
        Area in mm² and amperes, rising.

    Returns
    -------
    float
        Amperes. Below the smallest row in proportion to the area, above the largest its
        value: ampacity grows more slowly than area, so all three err on the safe side.

    Source
    ------
    Arithmetic.
    """
    first_mm2, first_a = rows[0]
    if area_mm2 < first_mm2:
        return first_a * area_mm2 / first_mm2
    for (low_mm2, low_a), (high_mm2, high_a) in pairwise(rows):
        if area_mm2 <= high_mm2:
            return low_a + (high_a - low_a) * (area_mm2 - low_mm2) / (high_mm2 - low_mm2)
    return rows[-1][1]


def lower_insulation_factor(insulation_c: float, lowest_column_c: float) -> float:
    """Factor for insulation that stands less than a table's lowest column."""
    if insulation_c >= lowest_column_c:
        return 1.0
    rise = max(0.0, insulation_c - BASE_AMBIENT_C)
    return math.sqrt(rise / (lowest_column_c - BASE_AMBIENT_C))


def iso_10133_a(area_mm2: float, insulation_c: float) -> float:
    """Ampacity at 30 °C by ISO 10133, linear in area between rows.

    Parameters
    ----------
    area_mm2 : float
        In mm².
    insulation_c : float
        In °C; below the lowest column that column is scaled down by the heat balance.

    Returns
    -------
    float
        Amperes.

    Source
    ------
    ISO 10133 (2012), Table A.1, from memory.
    """
    column = column_of(insulation_c, iso_10133.INSULATION_C) or 0
    rows = [(area, float(amps[column])) for area, amps in iso_10133.AMPACITY_A.items()]
    scale = lower_insulation_factor(insulation_c, iso_10133.INSULATION_C[0])
    return by_area(area_mm2, rows) * scale


def cfr_183_425_a(area_mm2: float, insulation_c: float, between: bool) -> float:
    """Ampacity at 30 °C outside engine spaces by 33 CFR 183.425.

    Parameters
    ----------
    area_mm2 : float
        In mm².
    insulation_c : float
        In °C; below the lowest column that column is scaled down by the heat balance.
    between : bool
        Linear in area between gauges; else the row of the largest gauge not above the area.

    Returns
    -------
    float
        Amperes; 0 below 18 AWG where rows are not interpolated.

    Source
    ------
    33 CFR 183.425, Table 5.
    """
    column = column_of(insulation_c, cfr_33_183.INSULATION_C) or 0
    scale = lower_insulation_factor(insulation_c, cfr_33_183.INSULATION_C[0])
    if between:
        rows = [
            (awg.AREA_MM2[gauge], float(amps[column]))
            for gauge, amps in cfr_33_183.AMPACITY_A.items()
        ]
        return by_area(area_mm2, rows) * scale
    gauge = row_of(area_mm2, awg.AREA_MM2)
    return 0.0 if gauge is None else cfr_33_183.AMPACITY_A[gauge][column] * scale


def nec_310_16_a(area_mm2: float, column_c: float) -> float | None:
    """Ampacity at 30 °C by Table 310.16, in the row of the largest size not above the area.

    Parameters
    ----------
    area_mm2 : float
        In mm².
    column_c : float
        60, 75 or 90 °C, or insulation between: the highest column not above it.

    Returns
    -------
    float or None
        Amperes; None where the table has no value.

    Source
    ------
    NFPA 70 (2023), Table 310.16.
    """
    column = column_of(column_c, nec_310.INSULATION_C)
    size = row_of(area_mm2, {**awg.AREA_MM2, **nec_310.KCMIL_MM2})
    if column is None or size is None:
        return None
    amps = nec_310.AMPACITY_A[size][column]
    return None if amps is None else float(amps)
