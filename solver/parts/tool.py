"""Tools the job needs."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("tool")
class Tool(Part):
    """A tool."""

    does: str = column("", "what it does", example="crimp tube lugs")
    from_mm2: float | None = column(
        "mm²", "thinnest conductor", default=None, at_least=0, must_stand=True
    )
    to_mm2: float | None = column(
        "mm²", "thickest conductor", default=None, at_least=0, must_stand=True
    )
    wears: bool = column("", "wears out at work")
