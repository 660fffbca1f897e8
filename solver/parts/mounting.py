"""Mounting parts for panels and devices."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("mounting")
class Mounting(Part):
    """A mounting part."""

    kind: str = column("", "what it is", example="corner bracket")
    frame_mm: float | None = column(
        "mm", "frame height it takes; empty: any", default=None, above=0, at_most=200
    )
    cable_mm: float | None = column(
        "mm",
        "thickest cable or bundle that a clip or tie holds; empty: neither",
        default=None,
        above=0,
        at_most=200,
    )
    rise_mm: float | None = column(
        "mm", "how high a leg lifts an edge; empty: no leg", default=None, above=0, at_most=5000
    )
    load_n: float = column("N", "load it carries", above=0, at_most=100000)
