"""What of a catalog lines a hole or seals it, by size.

A dry hole gets the smallest grommet that takes its cables and that grips its sheet; a wet one a
gland for each cable, by its clamping range. Neither asks for a hole wider than may be made. Common
practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from solver.holes import CLOSE_MM2, Hole
from solver.needs import Needs
from solver.parts import Gland, Grommet
from solver.rules.hole import filling_mm2, hole_takes_mm2
from solver.stock import Stock


@dataclass(frozen=True, kw_only=True)
class Lining:
    """A part that fits, how many of it, and the hole that each needs."""

    part: str
    count: int
    hole_mm: float
    cables: tuple[int, ...]
    """Which of the hole's cables it takes, by their place in the bundle."""


def lining_of(hole: Hole, needs: Needs, stock: Stock) -> tuple[Lining, ...] | None:
    """What lines a hole; None where the catalog has nothing of that size.

    Parameters
    ----------
    hole : Hole
        With its bundle.
    needs : Needs
        For the sheets at its ends (`sheet_mm`), where they are stated.
    stock : Stock
        The catalog.
    """
    if any(leg.wet for leg in hole.legs):
        return _glands(hole, stock)
    ends = {name for leg in hole.legs for name in (leg.from_, leg.to)}
    sheet = max((p.sheet_mm or 0.0 for p in needs.places if p.name in ends), default=0.0)
    fitting = [
        g
        for g in stock.of_class("grommet")
        if isinstance(g, Grommet)
        and hole_takes_mm2(g.bore_mm) >= filling_mm2(hole.outer_mm) - CLOSE_MM2
        and g.sheet_mm >= sheet
        and _may_be_drilled(hole, g.hole_mm)
    ]
    best = min(fitting, key=lambda g: (g.hole_mm, g.part), default=None)
    if best is None:
        return None
    every = tuple(range(len(hole.outer_mm)))
    return (Lining(part=best.part, count=1, hole_mm=best.hole_mm, cables=every),)


SAME_MM = 0.5
"""A grommet sits in a hole that is there if its own is no other by more than this."""


def _may_be_drilled(hole: Hole, hole_mm: float) -> bool:
    """Whether that is the hole that is there, or one that is allowed in its stead."""
    if hole.drilled_mm is None and hole.there_mm is not None:
        return abs(hole_mm - hole.there_mm) <= SAME_MM
    return _is_allowed(hole, hole_mm)


def _is_allowed(hole: Hole, hole_mm: float) -> bool:
    """Whether a hole may be made so wide there."""
    return hole.most_mm is None or hole_mm <= hole.most_mm


def _glands(hole: Hole, stock: Stock) -> tuple[Lining, ...] | None:
    """One gland a cable: a round seal holds one, so each has a hole of its own."""
    glands = [
        g
        for g in stock.of_class("gland")
        if isinstance(g, Gland) and _is_allowed(hole, g.hole_mm)
    ]
    bores: dict[str, float] = {}
    cables: defaultdict[str, list[int]] = defaultdict(list)
    for n, outer in enumerate(hole.outer_mm):
        fitting = [g for g in glands if g.clamp_min_mm <= outer <= g.clamp_max_mm]
        if not fitting:
            return None
        best = min(fitting, key=lambda g: (g.hole_mm, g.part))
        bores[best.part] = best.hole_mm
        cables[best.part].append(n)
    return tuple(
        Lining(part=part, count=len(some), hole_mm=bores[part], cables=tuple(some))
        for part, some in sorted(cables.items())
    )
