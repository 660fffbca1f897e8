"""Earthing and bonding conductors."""

from __future__ import annotations

from solver.rules.ampacity import nec_310_16_a
from solver.rules.base import Source, rule
from solver.rules.gauge import row_of
from solver.tables import awg, earthing

EARTHING = Source(
    "IEC 60364-5-54 Table 54.2; NFPA 70 Table 250.122; ABYC E-11", "", "", "from memory"
)
FRAMES = Source("common practice; NFPA 70, 690.45 and Table 250.122", "", "", "from memory")
FRAME_MM2, FRAME_AWG = 6.0, "10"
NEC_COLUMN_C = 75
"""Column of Table 310.16 that a conductor's protection is taken from."""


@rule(subject="conductor", limit="at least", unit="mm²", source=EARTHING)
def earth_least_mm2(practice: str, live_mm2: float) -> float:
    """Thinnest earthing conductor of what a live conductor feeds.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    live_mm2 : float
        The thickest live conductor that a fault to the case or chassis could come from, in mm².

    Returns
    -------
    float
        Least area of copper, in mm².

    Source
    ------
    iso: IEC 60364-5-54, Table 54.2, never under the 4 mm² of 543.1.3. nec: NFPA 70, Table
    250.122, for the largest protection that the live conductor could have, its ampacity in
    Table 310.16 at 75 °C: the safe side. abyc: ABYC E-11, one gauge thinner than the live
    conductor, never under 16 AWG. All from memory.
    """
    if practice == "nec":
        return _nec_mm2(live_mm2)
    if practice == "abyc":
        return _one_gauge_thinner_mm2(live_mm2)
    if live_mm2 <= earthing.IEC_SAME_UP_TO_MM2:
        return max(live_mm2, earthing.IEC_LEAST_MM2)
    if live_mm2 <= earthing.IEC_FIXED_UP_TO_MM2:
        return earthing.IEC_SAME_UP_TO_MM2
    return live_mm2 / 2


@rule(subject="conductor", limit="at least", unit="mm²", source=FRAMES)
def frame_least_mm2(practice: str) -> float:
    """Thinnest bonding conductor of the frames of an array.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.

    Returns
    -------
    float
        Least area of copper, in mm².

    Source
    ------
    iso: 6 mm², common practice, no source. nec: NFPA 70, 690.45, sizes it by Table 250.122, whose
    row for up to 60 A, 10 AWG, is more than any array here needs. abyc: as nec. From memory.
    """
    return FRAME_MM2 if practice == "iso" else awg.AREA_MM2[FRAME_AWG]


def _nec_mm2(live_mm2: float) -> float:
    carried_a = nec_310_16_a(live_mm2, NEC_COLUMN_C) or 0.0
    for up_to_a, gauge in earthing.NEC_250_122:
        if carried_a <= up_to_a:
            return awg.AREA_MM2[gauge]
    raise ValueError(f"no earthing conductor is given for {live_mm2:g} mm²")


def _one_gauge_thinner_mm2(live_mm2: float) -> float:
    """The area of the gauge before that of a live conductor; a size in mm² takes its row."""
    least = awg.AREA_MM2[earthing.ABYC_LEAST_AWG]
    gauge = row_of(live_mm2, awg.AREA_MM2)
    if gauge is None:
        return least
    thinner = [a for a in awg.AREA_MM2.values() if a < awg.AREA_MM2[gauge]]
    return max(least, max(thinner, default=least))
