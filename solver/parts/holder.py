"""Holders and blocks for fuses, boxes for breakers."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, Part, part_class


@part_class("holder")
class Holder(Part):
    """A fuse holder, a block of several ways with its own negative rail, or a box for breakers."""

    kind: str = column("", "the class of fuse it takes", example="ISO 8820-3 medium blade")
    rated_a: float = column("A", "rated current", above=0, at_most=5000, better="more")
    max_v: float = column("V", "highest DC voltage", above=0, at_most=3000, better="more")
    breaking_ka: float | None = column(
        "kA",
        "breaking capacity, where one is stated",
        default=None,
        above=0,
        must_stand=True,
        better="more",
    )
    stud: str | None = column(
        "", "terminals; empty: takes bare wire", default=None, one_of=STUDS, must_stand=True
    )
    holder: str | None = column(
        "", "part that carries it; empty: needs none", default=None, must_stand=True
    )
    rail: bool = column("", "snaps onto a rail of 35 mm, EN 60715", default=False, better="any")
    ways: int = column(
        "", "fuses it takes; of a box, AC breakers", default=1, at_least=1, at_most=48
    )
