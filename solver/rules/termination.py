"""Terminations: which lug goes on which conductor and stud."""

from __future__ import annotations

from solver.rules.base import Source, rule
from solver.rules.gauge import gauge_area_mm2
from solver.tables import abyc_e11, asme_b18_2_8, iec_60947, iso_273

LUG_FIT = Source(
    "ISO 273 (1979), fine, and ASME B18.2.8, close: clearance holes",
    "",
    "",
    "from memory; clearance of at most 15 % is common practice, no source",
)

IEC_60947_1 = Source(
    "IEC 60947-1, Low-voltage switchgear and controlgear, general rules",
    "",
    "Table 4, column III",
    "as reproduced in a manual; M6 and inch threads, by their diameter, from memory",
)

ABYC_PULL = Source(
    "ABYC E-11, AC and DC electrical systems on boats", "", "tensile test", "from memory"
)

NEWTONS_PER_LBF = 4.4482216152605
"""Exact, by the international pound and standard gravity."""

LARGEST_CLEARANCE = 0.15
"""Of the stud's diameter; common practice, no source."""

SAME_AREA = 0.005
"""Stated areas this near, as a share, are the same size."""


def stud_mm(stud: str) -> float:
    """Nominal diameter of a stud, in mm, by its name (`M8`, `5/16 in`, `No. 10`).

    Source
    ------
    The name of metric studs; ASME B18.2.8, from memory, of inch studs.
    """
    if stud in asme_b18_2_8.STUD_IN:
        return asme_b18_2_8.STUD_IN[stud] * asme_b18_2_8.MM_PER_IN
    return float(stud.removeprefix("M"))


def hole_mm(stud: str) -> float:
    """Diameter of the hole of a lug made for a stud, in mm: the tightest series.

    Source
    ------
    ISO 273 (1979), fine; ASME B18.2.8, close; from memory.
    """
    if stud in asme_b18_2_8.HOLE_IN:
        return asme_b18_2_8.HOLE_IN[stud][0] * asme_b18_2_8.MM_PER_IN
    return iso_273.HOLE_MM[stud][0]


def hole_passes(lug_stud: str, stud: str) -> bool:
    """Whether the hole of a lug made for one stud goes over another.

    Source
    ------
    Arithmetic from ISO 273 (1979), fine, and ASME B18.2.8, close.
    """
    return hole_mm(lug_stud) > stud_mm(stud)


def hole_fits(lug_stud: str, stud: str) -> bool:
    """Whether it goes over the stud, and not too loosely.

    Source
    ------
    As `hole_passes`; at most 15 % of the stud's diameter loose is common practice, no source.
    """
    clearance = hole_mm(lug_stud) - stud_mm(stud)
    return hole_passes(lug_stud, stud) and clearance <= LARGEST_CLEARANCE * stud_mm(stud)


@rule(subject="end", limit="equal", unit="", source=LUG_FIT)
def lug_fits(lug_area_mm2: float, lug_stud: str, area_mm2: float, stud: str) -> bool:
    """Whether a lug belongs on a conductor's end and goes on a terminal.

    Parameters
    ----------
    lug_area_mm2 : float
        Conductor the lug is made for, in mm².
    lug_stud : str
        Stud its hole is made for.
    area_mm2 : float
        The conductor's, in mm². A gauge is never about a size in mm²: 2 AWG is 33.6 mm².
    stud : str
        The terminal's.

    Returns
    -------
    bool

    Source
    ------
    ISO 273 (1979), fine, and ASME B18.2.8, close, from memory: M8 and 5/16 in pass each
    other, 3/8 in does not pass M10. Fits: tests/published/test_lug_holes.py.
    """
    same = abs(lug_area_mm2 / area_mm2 - 1.0) <= SAME_AREA
    return same and hole_fits(lug_stud, stud)


@rule(subject="end", limit="equal", unit="Nm", source=IEC_60947_1)
def torque_nm(stud: str) -> float:
    """Torque to which a lug's nut or bolt is tightened, where the part's maker states none.

    Parameters
    ----------
    stud : str
        The terminal's, by its name (`M8`, `5/16 in`, `No. 10`).

    Returns
    -------
    float
        Newton metres. What the maker of a part states stands above it.

    Raises
    ------
    ValueError
        For a thread thicker than the table goes.

    Source
    ------
    IEC 60947-1, Table 4, column III, by the thread's diameter: M8 6 Nm, M10 10 Nm. Values of
    this and of two other tables: tests/published/test_torque.py.

    Notes
    -----
    For inch threads it gives less than UL 486A-486B, whose bolts are of steel: many studs of
    switches, bars and shunts are of brass.
    """
    across = stud_mm(stud)
    for up_to_mm, torque in iec_60947.TORQUE_NM:
        if across <= up_to_mm + 1e-9:
            return torque
    raise ValueError(f"IEC 60947-1, Table 4, has no torque for a thread as thick as {stud}")


@rule(subject="end", limit="at least", unit="N", source=ABYC_PULL)
def pull_n(area_mm2: float) -> float:
    """Pull that a crimped end must stand for a minute without moving.

    Parameters
    ----------
    area_mm2 : float
        The conductor's, in mm². Between two gauges the thinner one's pull is taken, under the
        thinnest its own.

    Returns
    -------
    float
        Newtons.

    Source
    ------
    ABYC E-11, tensile test of terminations, from memory: 4 AWG 70 lbf, 2/0 AWG 150 lbf. Every
    gauge: tests/published/test_pull.py.
    """
    pulls = [
        pull
        for gauge, pull in abyc_e11.PULL_LBF.items()
        if gauge_area_mm2(gauge) <= area_mm2 * (1 + SAME_AREA)
    ]
    return max(pulls, default=min(abyc_e11.PULL_LBF.values())) * NEWTONS_PER_LBF
