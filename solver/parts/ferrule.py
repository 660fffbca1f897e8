"""Wire-end ferrules."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("ferrule")
class Ferrule(Part):
    """A wire-end ferrule."""

    area_mm2: float = column("mm²", "conductor it is made for", above=0, at_most=200)
    pin_mm: float = column("mm", "length of the pin", above=0, at_most=50)
    conductors: int = column(
        "", "conductors of that size that it takes: 2 of a twin one", default=1, one_of=(1, 2)
    )
