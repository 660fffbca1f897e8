"""Isolators: what they must break, and when."""

from __future__ import annotations

import numpy as np  # noqa: TC002  beside its types, as everywhere
from numpy.typing import NDArray  # noqa: TC002  beside numpy, as everywhere

from solver.rules.base import Number, Source, rule, within_rating

IEC_62548 = Source(
    "IEC 62548 with IEC 60947-3", "", "switch-disconnectors of arrays", "from memory"
)


@rule(subject="array", limit="at least", unit="A", source=IEC_62548)
def isolator_breaks(
    rated_a: Number, max_v: Number, design_a: Number, voc_cold_v: Number
) -> NDArray[np.bool_]:
    """Whether an isolator breaks an array under load on the coldest morning.

    Parameters
    ----------
    rated_a, max_v : float or array
        Of the isolator, in amperes and volts: the load it may break, both poles.
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
    IEC 62548 with the categories of IEC 60947-3, from memory.
    """
    return within_rating(rated_a, max_v, design_a, voc_cold_v)
