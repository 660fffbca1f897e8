"""Conduit by the metre."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("conduit")
class Conduit(Part):
    """Conduit."""

    kind: str = column("", "make; rigid: it turns by elbows", example="corrugated")
    inner_mm: float = column("mm", "inside diameter", above=0, at_most=250)
    outer_mm: float = column("mm", "outside diameter", above=0, at_most=250)

    @property
    def is_rigid(self) -> bool:
        """Whether it takes an elbow at each bend; others follow the way."""
        return self.kind == "rigid"
