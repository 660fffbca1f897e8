"""Cables in conduits: how full one may be, and how wide it must be."""

from __future__ import annotations

from math import pi, sqrt
from typing import TYPE_CHECKING

from solver.rules.base import Source, rule
from solver.tables.nec_chapter_9 import FILL_PCT, MOST_FILL_PCT

if TYPE_CHECKING:
    from collections.abc import Sequence

NEC_CHAPTER_9 = Source(
    "NFPA 70, National Electrical Code", "2023", "Chapter 9, Table 1", "read in reproductions"
)

NEC_690_31 = Source("NFPA 70, National Electrical Code", "2023", "690.31(B)", "from memory")

ROUND_UP_FROM = 0.8
"""Note 7: where all conductors are of one size, a rest of 0.8 or more allows one more."""


def fill_limit_pct(cables: int) -> float:
    """Share of a conduit's cross-section that so many cables may fill, in per cent.

    Parameters
    ----------
    cables : int
        How many, at least one; a cable of several cores counts as one (note 9).

    Returns
    -------
    float
        53, 31 or 40: one, two, or more.

    Source
    ------
    NFPA 70, Chapter 9, Table 1, compare tests/published/test_conduit.py.
    """
    return FILL_PCT.get(cables, MOST_FILL_PCT)


@rule(subject="place", limit="at most", unit="%", source=NEC_CHAPTER_9)
def conduit_fill_pct(outer_mm: Sequence[float], inner_mm: float) -> float:
    """Share of a conduit's cross-section that its cables fill; compare with `fill_limit_pct`.

    Parameters
    ----------
    outer_mm : sequence of float
        Outer diameters of all cables in it, in mm.
    inner_mm : float
        Inside diameter of the conduit, in mm.

    Returns
    -------
    float
        In per cent.

    Source
    ------
    NFPA 70, Chapter 9, Table 1 with notes 5 and 9: the cables' cross-sections over the
    conduit's.
    """
    return 100.0 * sum(d * d for d in outer_mm) / (inner_mm * inner_mm)


def least_conduit_mm(outer_mm: Sequence[float]) -> float:
    """The least inside diameter of a conduit for these cables, in mm; 0 for none.

    Parameters
    ----------
    outer_mm : sequence of float
        Outer diameters of all cables in it, in mm.

    Returns
    -------
    float
        The diameter at which `conduit_fill_pct` is just `fill_limit_pct`.

    Source
    ------
    NFPA 70, Chapter 9, Table 1.
    """
    if not outer_mm:
        return 0.0
    return sqrt(sum(d * d for d in outer_mm) * 100.0 / fill_limit_pct(len(outer_mm)))


def most_conductors(conductor_mm2: float, conduit_mm2: float) -> int:
    """How many like conductors a conduit takes.

    Parameters
    ----------
    conductor_mm2 : float
        Cross-section of one with its insulation.
    conduit_mm2 : float
        Inside cross-section of the conduit, in the same unit.

    Returns
    -------
    int
        A count, which may be none.

    Source
    ------
    NFPA 70, Chapter 9, Table 1 and note 7: a rest of 0.8 or more counts as one more, whatever
    the number. It gives every count of Annex C, Table C.1; compare
    tests/published/test_conduit.py.
    """

    def by(cables: int) -> int:
        quotient = conduit_mm2 * fill_limit_pct(cables) / 100.0 / conductor_mm2
        whole = int(quotient)
        return whole + (quotient - whole >= ROUND_UP_FROM - 1e-9)

    if by(3) > 2:
        return by(3)
    return 2 if by(2) >= 2 else min(by(1), 1)


def circle_mm2(diameter_mm: float) -> float:
    """Area of a circle, in mm², of a diameter in mm."""
    return pi * diameter_mm * diameter_mm / 4.0


@rule(subject="circuit", limit="equal", unit="", source=NEC_690_31)
def pv_beside_ac(practice: str) -> bool:
    """Whether cables of an array and AC cables may lie in one conduit.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.

    Returns
    -------
    bool
        False under `nec`: PV circuits are kept out of the raceways of other systems, but for a
        partition, of which no needs tell. True under the others: there a sheath of its own is
        enough (ISO 13297 and ABYC E-11, from memory), and every AC cable has one.

    Source
    ------
    NFPA 70, 690.31(B), from memory.
    """
    return practice != "nec"
