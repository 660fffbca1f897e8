"""Cable lugs."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, Part, part_class


@part_class("lug")
class Lug(Part):
    """A crimped lug for a stud."""

    area_mm2: float = column("mm²", "conductor it is made for", above=0, at_most=1000)
    stud: str = column("", "stud its hole fits", one_of=STUDS)
    kind: str = column("", "barrel", example="tube")
