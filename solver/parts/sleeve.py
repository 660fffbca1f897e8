"""Heat-shrink sleeves."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("sleeve")
class Sleeve(Part):
    """A piece of heat-shrink sleeve for one lug."""

    before_mm: float = column("mm", "inside diameter as supplied", above=0, at_most=250)
    after_mm: float = column("mm", "inside diameter fully shrunk", above=0, at_most=250)
    colour: str = column("", "colour", example="red")
