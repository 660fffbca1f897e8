"""Labels and markers."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("label")
class Label(Part):
    """Labels."""

    kind: str = column("", "what it marks", example="cable end")
    text: str = column(
        "", "what is printed on it; empty: to be written on", default="", must_stand=True
    )
