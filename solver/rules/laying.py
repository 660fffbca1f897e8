"""What lies along the ways of cables: conduit with its fittings, ties round bundles; rails."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from solver.rules.base import ARITHMETIC, COMMON_PRACTICE, Source, rule

if TYPE_CHECKING:
    from collections.abc import Sequence

SADDLES = Source(
    "NFPA 70, National Electrical Code",
    "2023",
    "358.30: within 3 ft of each end; 0.9 m throughout is common practice",
    "from memory",
)

SADDLE_MM = 900.0
"""Most between two saddles of a conduit; common practice, no source."""

QUARTER_BENDS = 4
"""Most between two points where cables are pulled: 360 degrees in all."""

BENDS = Source(
    "NFPA 70, National Electrical Code",
    "2023",
    "358.26, and alike 352.26, 362.26: not more than 360 degrees between pull points",
    "from memory",
)

LENGTH_MM = 3000.0
"""Length of rigid conduit as it is sold (NEC's raceways come in 10 ft); common practice, no
source."""

MODULE_MM = 17.5
"""Width of one module of a device on a rail, where its own is not stated; DIN 43880, from memory."""

RAIL_ENDS_MM = 20.0
"""Of a rail, for the stops at its two ends; common practice, no source."""

RAIL_SCREW_MM = 250.0
"""Most between two screws of a rail; common practice, no source."""


@rule(subject="circuit", limit="at least", unit="saddles", source=SADDLES)
def conduit_saddles(way_mm: float) -> int:
    """Saddles that hold a conduit along a way.

    Parameters
    ----------
    way_mm : float
        Of the way.

    Returns
    -------
    int
        One at each end, and between them so many that none is further apart than 0.9 m.

    Source
    ------
    NEC 358.30 asks for one within 3 ft of each end and one every 10 ft, from memory; 0.9 m
    throughout, which plastic conduit needs, is common practice, no source.
    """
    return math.ceil(way_mm / SADDLE_MM - 1e-9) + 1


@rule(subject="circuit", limit="at least", unit="couplings", source=COMMON_PRACTICE)
def conduit_couplings(way_mm: float) -> int:
    """Couplings that join the lengths of a rigid conduit from one end to the other.

    Parameters
    ----------
    way_mm : float
        From end to end.

    Returns
    -------
    int
        One fewer than lengths of 3 m. Elbows and boxes on the way need no more: they join what
        they part, and pieces of lengths l whose sum is the way want the sum of ceil(l / 3 m) - 1,
        which is less than the way over 3 m.

    Source
    ------
    Common practice, no source: an elbow comes with its sockets.
    """
    return max(math.ceil(way_mm / LENGTH_MM - 1e-9) - 1, 0)


@rule(subject="circuit", limit="at least", unit="boxes", source=BENDS)
def pull_boxes(bends: int) -> int:
    """Boxes through which cables are pulled, between the two ends of a conduit.

    Parameters
    ----------
    bends : int
        Between its ends, each a quarter of a circle.

    Returns
    -------
    int
        So many that none of the stretches between them turns more than 360 degrees.

    Source
    ------
    NEC 358.26, and alike 352.26 and 362.26, from memory.
    """
    return max(math.ceil(bends / QUARTER_BENDS) - 1, 0)


@rule(subject="circuit", limit="at least", unit="ties", source=COMMON_PRACTICE)
def cable_ties(way_mm: float, support_mm: float) -> int:
    """Ties that hold cables together which run along a way side by side.

    Parameters
    ----------
    way_mm : float
        Of the way.
    support_mm : float
        Most between two clips of the thinnest of them.

    Returns
    -------
    int
        As many as clips: one at each end and none further apart.

    Source
    ------
    Common practice, no source.
    """
    return math.ceil(way_mm / support_mm - 1e-9) + 1


@rule(subject="place", limit="at least", unit="mm", source=ARITHMETIC)
def rail_length_mm(widths_mm: Sequence[float]) -> float:
    """Rail that some breakers and fuse bases snap onto.

    Parameters
    ----------
    widths_mm : sequence of float
        Of each, along the rail.

    Returns
    -------
    float
        Millimetres: their widths, and 20 for the stops at the ends; none for nothing.

    Source
    ------
    Arithmetic; the stops are common practice, no source.
    """
    return sum(widths_mm) + RAIL_ENDS_MM if widths_mm else 0.0


@rule(subject="place", limit="at least", unit="mm", source=ARITHMETIC)
def rail_holds_mm(rail_mm: float, widths_mm: Sequence[float]) -> float:
    """What of a need of rail one rail always holds, whichever things it has to hold.

    Parameters
    ----------
    rail_mm : float
        Length of the rail.
    widths_mm : sequence of float
        Of all the things in the place.

    Returns
    -------
    float
        Millimetres: all of it where everything fits on this one, else what is full at the
        least before the widest of them no longer fits.

    Source
    ------
    Arithmetic.
    """
    need = rail_length_mm(widths_mm)
    if need <= rail_mm:
        return rail_mm
    return rail_mm - RAIL_ENDS_MM - max(widths_mm)


@rule(subject="place", limit="at least", unit="screws", source=COMMON_PRACTICE)
def rail_screws(rail_mm: float, rails: int = 1) -> int:
    """Screws of the rails in a place.

    Parameters
    ----------
    rail_mm : float
        Rail that is needed there, all together.
    rails : int
        How many rails it is at the most.

    Returns
    -------
    int
        Of each rail one at each end and one every 250 mm. Rails of lengths l have the sum of
        ceil(l / 250) + 1, and that of so many is at most ceil(all / 250) + 2 rails - 1.

    Source
    ------
    Common practice, no source.
    """
    if rail_mm <= 0:
        return 0
    return math.ceil(rail_mm / RAIL_SCREW_MM - 1e-9) + 2 * rails - 1
