"""Screws, bolts, nuts and rivet nuts."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("fastener")
class Fastener(Part):
    """A fastener."""

    kind: str = column("", "what it is", example="wood screw")
    thread: str = column("", "thread or diameter", example="M6")
    shaft_mm: float = column("mm", "length of the shaft; 0 for a nut", at_least=0, at_most=500)
    material: str = column("", "material", example="stainless steel")
