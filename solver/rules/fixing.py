"""Small parts: how many of what holds, covers, marks and seals a kit needs."""

from __future__ import annotations

import math

from solver.rules.base import ARITHMETIC, COMMON_PRACTICE, Source, rule

SUPPORT = Source(
    "ABYC E-11 (18 in) and the tables of the wiring practice behind BS 7671 (300 to 500 mm)",
    "",
    "support of cables",
    "from memory",
)

AIR_KG_M3 = 1.25
"""Density of cold air."""

WIND_M_S = 100 / 3.6
"""100 km/h: a gale, or a road."""

SUCTION = 1.5
"""Pull on a flat panel, as a multiple of the wind's pressure; common practice, no source."""

SAFETY = 2.0
"""Of what holds a panel; common practice, no source."""

ABYC_SUPPORT_MM = 457.2
"""18 in."""

SUPPORT_MM = ((9.0, 300.0), (15.0, 400.0), (math.inf, 500.0))
"""Cables up to so many mm thick, and the distance of what holds them."""

SHORT_SIDE_MM = 1200.0
"""A panel no longer than this has four feet, a longer one six; common practice, no source."""

STRAPS = 2
"""For each battery; common practice, no source."""

STOWAGE_STRAPS = 2
"""For the panels of an array that stand on the ground, on the way; common practice, no source."""

LABELS_A_PIECE = 2
"""One at each end; common practice, no source."""

SCREWS = 4
"""Of a device whose mounting holes are not stated; common practice, no source."""

SCREWS_OF_A_HOLDER = 2
"""Of a fuse holder, a box or a socket; common practice, no source."""

SAME_AREA = 0.005
"""A ferrule is for conductors whose area is no other by more than this share."""

LIES_DEG = 1.0
"""A panel tilted no further off the surface under it lies on it; common practice, no source."""

BRACKET_BEAD_MM = 100.0
"""Bead of sealant under a panel's foot; common practice, no source."""

BEAD_ML_PER_M = 28.0
"""A bead of 6 mm: its half circle and the corner it fills, arithmetic."""


@rule(subject="end", limit="equal", unit="", source=COMMON_PRACTICE)
def sleeve_fits(before_mm: float, after_mm: float, outer_mm: float) -> bool:
    """Whether a sleeve goes over a cable's end and grips it when it is shrunk.

    Parameters
    ----------
    before_mm : float
        Inside diameter as supplied.
    after_mm : float
        Inside diameter fully shrunk.
    outer_mm : float
        Of the cable. A tube lug's barrel is thinner than the insulated cable that it is for.

    Returns
    -------
    bool
        As supplied at least a tenth wider than the cable, shrunk at least a tenth narrower.

    Source
    ------
    Common practice, no source.
    """
    return before_mm >= 1.1 * outer_mm and after_mm <= 0.9 * outer_mm


@rule(subject="circuit", limit="at most", unit="mm", source=SUPPORT)
def support_mm(practice: str, outer_mm: float) -> float:
    """Distance at which a cable is held.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    outer_mm : float
        Of the cable.

    Returns
    -------
    float
        Millimetres: 18 in under ABYC, else 300 for cables under 9 mm, 400 to 15 mm, 500 above.

    Source
    ------
    ABYC E-11 and the guidance tables to BS 7671, both from memory. 46 CFR 183.340(b)(4) allows
    24 in, which is more.
    """
    by_size = next(mm for most, mm in SUPPORT_MM if outer_mm <= most)
    return min(by_size, ABYC_SUPPORT_MM) if practice == "abyc" else by_size


@rule(subject="circuit", limit="at least", unit="clips", source=COMMON_PRACTICE)
def clips(way_mm: float, support_mm: float) -> int:
    """Clips that hold a piece of cable.

    Parameters
    ----------
    way_mm : float
        Of the way, without the slack at its ends.
    support_mm : float
        Most between two of them.

    Returns
    -------
    int
        One at each end and between them so many that none is further apart; none for a piece
        shorter than the distance, which its terminals hold.

    Source
    ------
    Common practice, no source.
    """
    return 0 if way_mm < support_mm else math.ceil(way_mm / support_mm - 1e-9) + 1


@rule(subject="panel", limit="at least", unit="brackets", source=COMMON_PRACTICE)
def panel_feet(side_mm: float) -> int:
    """Brackets that hold a panel: four, or six of one longer than 1.2 m.

    Parameters
    ----------
    side_mm : float
        Its longer side.

    Returns
    -------
    int
        How many.

    Source
    ------
    Common practice, no source.
    """
    return 4 if side_mm <= SHORT_SIDE_MM else 6


@rule(subject="panel", limit="at least", unit="N", source=COMMON_PRACTICE)
def panel_pull_n(area_mm2: float) -> float:
    """Pull of the wind that a panel's brackets must stand together.

    Parameters
    ----------
    area_mm2 : float
        Of its face.

    Returns
    -------
    float
        Newtons: half the density of air times the speed squared, times area, suction and a
        safety of two. At 100 km/h 0.8 m² are pulled with 579 N, before safety.

    Source
    ------
    Arithmetic; suction and safety are common practice, no source.
    """
    pressure = AIR_KG_M3 * WIND_M_S**2 / 2
    return pressure * SUCTION * SAFETY * area_mm2 / 1e6


@rule(subject="place", limit="at least", unit="ml", source=COMMON_PRACTICE)
def bead_ml(bead_mm: float) -> float:
    """Sealant for a bead.

    Parameters
    ----------
    bead_mm : float
        Of the bead.

    Returns
    -------
    float
        Millilitres: 28 for each metre of a bead 6 mm wide.

    Source
    ------
    Arithmetic; the width is common practice, no source.
    """
    return BEAD_ML_PER_M * bead_mm / 1000


@rule(subject="panel", limit="at least", unit="legs", source=COMMON_PRACTICE)
def tilt_legs(feet: int, tilt_deg: float, slope_deg: float) -> int:
    """Legs on which the upper edge of a panel stands, in place of brackets.

    Parameters
    ----------
    feet : int
        Brackets that would hold it flat.
    tilt_deg : float
        Of the panel.
    slope_deg : float
        Of the surface under it.

    Returns
    -------
    int
        Half of the feet; none where the panel lies on the surface, to a degree.

    Source
    ------
    Common practice, no source.
    """
    return feet // 2 if abs(tilt_deg - slope_deg) > LIES_DEG else 0


@rule(subject="panel", limit="at least", unit="mm", source=ARITHMETIC)
def edge_rise_mm(side_mm: float, tilt_deg: float, slope_deg: float) -> float:
    """How far the upper edge of a tilted panel is off the surface.

    Parameters
    ----------
    side_mm : float
        The panel's longer side: it may stand on the other.
    tilt_deg : float
        Of the panel.
    slope_deg : float
        Of the surface under it.

    Returns
    -------
    float
        Millimetres.

    Source
    ------
    Arithmetic.
    """
    return side_mm * math.sin(math.radians(abs(tilt_deg - slope_deg)))
