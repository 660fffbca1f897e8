"""Fuses, by the class of their standard."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, Part, part_class


@part_class("fuse")
class Fuse(Part):
    """A fuse link."""

    kind: str = column("", "the standard's own class", example="ISO 8820-3 medium blade")
    rated_a: float = column("A", "rated current", above=0, at_most=5000)
    max_v: float = column("V", "highest DC voltage", above=0, at_most=3000, better="more")
    breaking_ka: float = column(
        "kA", "breaking capacity at that voltage", above=0, at_most=1000, better="more"
    )
    stud: str | None = column(
        "", "terminals; empty: sits in a holder", default=None, one_of=STUDS, must_stand=True
    )
    holder: str | None = column(
        "", "part that holds it; empty: needs none", default=None, must_stand=True
    )
