"""Grommets for holes in sheet."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("grommet")
class Grommet(Part):
    """A grommet."""

    hole_mm: float = column("mm", "hole it sits in", above=0, at_most=250)
    bore_mm: float = column("mm", "opening for cables", above=0, at_most=250)
    sheet_mm: float = column("mm", "thickest sheet it grips", above=0, at_most=50)
