"""Inlets in an outside wall: what they carry, and that nothing outside them is live."""

from __future__ import annotations

import numpy as np  # noqa: TC002  beside its types, as everywhere
from numpy.typing import NDArray  # noqa: TC002  beside numpy, as everywhere

from solver.rules.base import COMMON_PRACTICE, Number, rule, within_rating
from solver.rules.standing import stands_splashing


@rule(subject="array", limit="at least", unit="A", source=COMMON_PRACTICE)
def inlet_carries(
    rated_a: Number, max_v: Number, design_a: Number, voc_cold_v: Number
) -> NDArray[np.bool_]:
    """Whether an inlet carries an array's current and stands its voltage on the coldest morning.

    It need not break the current: an isolator behind it does.

    Parameters
    ----------
    rated_a, max_v : float or array
        Of the inlet, in amperes and volts.
    design_a : float or array
        The array's design current, in amperes.
    voc_cold_v : float or array
        Open-circuit voltage of its strings at the coldest, in volts.

    Returns
    -------
    bool or array
        Shaped as the arguments are together.

    Source
    ------
    Common practice, no source.
    """
    return within_rating(rated_a, max_v, design_a, voc_cold_v)


@rule(subject="array", limit="equal", unit="", source=COMMON_PRACTICE)
def dead_outside(half: str, polarised: bool, cap: bool, ip: str | None) -> bool:
    """Whether an inlet leaves nothing live to touch in the wall, and lets no pole be swapped.

    Parameters
    ----------
    half : str
        Which half stands in the wall: with the `plug` there its pins are dead while the lead is
        out, and the lead, live in daylight, ends in the shrouded socket.
    polarised : bool
        Whether it goes together one way only.
    cap : bool
        Whether a cap closes it.
    ip : str or None
        Protection code; it stands in the rain.

    Returns
    -------
    bool
        True only where all four hold.

    Source
    ------
    Common practice, no source; of `ip` IEC 60529, from memory.
    """
    return half == "plug" and polarised and cap and stands_splashing(ip)


@rule(subject="array", limit="equal", unit="", source=COMMON_PRACTICE)
def pins_free_of_bank(common_pole: str) -> bool:
    """Whether a controller keeps the bank's live pole off the pins of an inlet.

    Where the positive goes through a controller as it is, the pins are at the bank's voltage
    against the bonded chassis whenever the isolator is closed and the lead is out.

    Parameters
    ----------
    common_pole : str
        Of the controller: the pole that array and bank share through it.

    Returns
    -------
    bool

    Source
    ------
    Common practice, no source.
    """
    return common_pole != "positive"
