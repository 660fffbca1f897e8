"""Cables through a round hole: how much of it they may fill."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from solver.rules.base import Source, rule

if TYPE_CHECKING:
    from collections.abc import Iterable

DISCS_IN_A_DISC = Source(
    "S. P. Fekete, P. Keldenich, C. Scheffer, Packing Disks into Disks with Optimal Worst-Case "
    "Density, Symposium on Computational Geometry (SoCG)",
    "2019",
    "theorem 1",
    "from memory",
)

MOST_FILLED = 0.5
"""Discs that fill no more than this of a larger one always have room in it side by side; of two
equal ones not a hair more does."""


def filling_mm2(outer_mm: Iterable[float]) -> float:
    """What cables take of a hole: the squares of their outer diameters, in mm², as a sum.

    A cross-section is π/4 of that, and so is the hole's, so that factor is left out on both sides.
    """
    return sum(d * d for d in outer_mm)


@rule(subject="hole", limit="at most", unit="mm²", source=DISCS_IN_A_DISC)
def hole_takes_mm2(bore_mm: float) -> float:
    """Most that cables may take of a hole, compare `filling_mm2`.

    Parameters
    ----------
    bore_mm : float
        Diameter of the hole, in mm.

    Returns
    -------
    float
        In mm², half the square of the diameter. So cables of whatever diameters lie beside each
        other in it, and what is left is room to draw them through. A bundle of several cables
        could be squeezed through a narrower hole: that counts as no fit here.

    Source
    ------
    Fekete, Keldenich, Scheffer (2019), theorem 1: discs fit if they fill at most half. From
    memory; compare tests/published/test_hole.py.
    """
    return MOST_FILLED * bore_mm * bore_mm


def least_hole_mm(outer_mm: Iterable[float]) -> float:
    """The least hole for these cables, in mm; 0 for none.

    Parameters
    ----------
    outer_mm : sequence of float
        Outer diameters of all cables that pass it, in mm.

    Returns
    -------
    float
        The diameter at which `filling_mm2` is just `hole_takes_mm2`.

    Source
    ------
    Fekete, Keldenich, Scheffer (2019), theorem 1, from memory.
    """
    return sqrt(filling_mm2(outer_mm) / MOST_FILLED)
