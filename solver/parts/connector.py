"""Connectors of panel cables."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("connector")
class Connector(Part):
    """A connector half, a branch pair that joins two strings, or what holds a string's fuse.

    A fuse holder has a half at either end and takes a fuse of IEC 60269-6, gPV 10x38.
    """

    kind: str = column(
        "", "half, branch or holder", one_of=("plug", "socket", "branch pair", "fuse holder")
    )
    area_from_mm2: float = column(
        "mm²", "thinnest conductor it takes", above=0, at_most=100, better="less"
    )
    area_to_mm2: float = column(
        "mm²", "thickest conductor it takes", above=0, at_most=100, better="more"
    )
    rated_a: float = column("A", "rated current", above=0, at_most=500, better="more")
    max_v: float = column("V", "highest voltage", above=0, at_most=3000, better="more")
