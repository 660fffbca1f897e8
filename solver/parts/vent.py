"""Vents for lockers."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("vent")
class Vent(Part):
    """A vent grille."""

    free_cm2: float = column("cm²", "free area", above=0, at_most=10000)
    cutout_mm: str = column("", "opening to cut", example="100 x 60 mm")
    mesh: bool = column("", "has an insect mesh")
