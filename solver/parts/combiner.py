"""Combiner boxes, in which the strings of an array meet."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("combiner")
class Combiner(Part):
    """A box with a pair of panel connectors for each string, and one for all of them together."""

    ways: int = column("", "strings it joins", at_least=2, at_most=48, better="more")
    rated_a: float = column(
        "A", "rated current of its output", above=0, at_most=500, better="more"
    )
    way_a: float = column(
        "A",
        "rated current of each way; with fuses, of the largest it takes",
        above=0,
        at_most=200,
        better="more",
    )
    max_v: float = column("V", "highest voltage", above=0, at_most=3000, better="more")
    fused_poles: int = column("", "poles of each way that have a fuse holder", one_of=(0, 1, 2))
    fuse_kind: str | None = column(
        "",
        "the class of fuse it takes; empty: none",
        default=None,
        example="IEC 60269-6 gPV 10x38",
        must_stand=True,
    )
    ip: str | None = column("", "protection code after IEC 60529", default=None, example="IP65")
    min_c: float | None = column(
        "°C", "coldest it may work at", default=None, at_least=-100, at_most=200, better="less"
    )
    max_c: float | None = column(
        "°C", "hottest it may work at", default=None, at_least=-100, at_most=200, better="more"
    )
