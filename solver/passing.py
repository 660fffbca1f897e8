"""Holes of a stated size on the ways of cables, and what a run's cables take of them.

A hole goes by its name; a leg that states a size and no name has a hole of its own. What passes
a hole is every piece of cable that leads along its leg: of a fused circuit not the short piece
from its source to the protection beside it, nor the links within a bank, nor what leads from an
array's isolator to the controller beside it, nor the lead of panels on the ground, which lies
outside. A piece that passes two legs of one hole passes it once. Comm cables, whose thickness no
catalog states, are not counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from solver.routes import Route, leg_between
from solver.rules.hole import filling_mm2

if TYPE_CHECKING:
    from solver.needs import Leg, Needs
    from solver.parts import Cable
    from solver.wiring import Piece

FAR = frozenset({"sink", "switch", "shunt", "isolator in", "isolator out"})
"""Roles of ends that stand at the end of a run's way; all others stand where it begins."""


def hole_of(leg: Leg) -> str | None:
    """The name of the hole that a leg passes; None where none is stated."""
    if leg.hole is not None:
        return leg.hole
    sized = leg.hole_mm is not None or leg.hole_max_mm is not None
    return f"{leg.from_} to {leg.to}" if sized else None


def sizes_of(legs: Iterable[Leg]) -> tuple[float | None, float | None]:
    """Of the legs of one hole: how wide it is, and how wide it may be made; in mm."""
    some = tuple(legs)
    there = min((x.hole_mm for x in some if x.hole_mm is not None), default=None)
    most = min((x.hole_max_mm for x in some if x.hole_max_mm is not None), default=None)
    return there, most


def bores_mm(needs: Needs) -> dict[str, float]:
    """By hole of a stated size, how wide it can be: as it is there, or as it may be drilled."""
    by_hole: dict[str, list[Leg]] = {}
    for leg in needs.legs:
        name = hole_of(leg)
        if name is not None:
            by_hole.setdefault(name, []).append(leg)
    found = {}
    for name, legs in by_hole.items():
        known = [x for x in sizes_of(legs) if x is not None]
        if known:
            found[name] = max(known)
    return found


def holes_on(needs: Needs, way: Route) -> tuple[str, ...]:
    """The holes of a stated size that a way passes, sorted; each once."""
    sized = bores_mm(needs)
    if not sized:
        return ()
    passed = {hole_of(leg_between(needs.legs, a, b)) for a, b in way.via}
    return tuple(sorted(x for x in passed if x in sized))


def passes(piece: Piece) -> bool:
    """Whether a piece leads along its run's way, from where that begins to where it ends."""
    far = [mouth.at in FAR for mouth in piece.mouths]
    return any(far) and not all(far)


def taken_mm2(pieces: Sequence[Piece], plus: Cable, minus: Cable) -> float:
    """What the pieces of a run take of each hole on its way, see `filling_mm2`."""
    return filling_mm2(
        (minus if piece.pole == "-" else plus).outer_mm for piece in pieces if passes(piece)
    )
