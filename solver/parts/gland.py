"""Cable glands."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("gland")
class Gland(Part):
    """A cable gland with its locknut."""

    thread: str = column("", "thread", example="M20")
    clamp_min_mm: float = column("mm", "thinnest cable it seals", at_least=0, at_most=200)
    clamp_max_mm: float = column("mm", "thickest cable it seals", above=0, at_most=200)
    hole_mm: float = column("mm", "hole to drill", above=0, at_most=250)
