"""What a conduit ends in, turns by, is joined by and is held by."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class

KINDS = ("bushing", "coupling", "elbow", "pull box", "saddle")


@part_class("conduit_fitting")
class ConduitFitting(Part):
    """A fitting of a conduit; a saddle and a pull box come with their screws."""

    kind: str = column("", "what it is", one_of=KINDS)
    outer_mm: float = column(
        "mm", "outside diameter of the conduit it is made for", above=0, at_most=250
    )
