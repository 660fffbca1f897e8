"""Sockets and inlets for AC."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("socket")
class Socket(Part):
    """A socket at which loads are plugged in, or the inlet that shore power comes in by."""

    kind: str = column("", "which way it goes", one_of=("socket", "inlet"))
    standard: str = column("", "its shape's standard", example="IEC 60309-2", better="any")
    rated_a: float = column("A", "rated current", above=0, at_most=1000, better="more")
    ac_v: float = column("V", "AC voltage", above=0, at_most=1000)
    cutout_mm: str | None = column(
        "", "opening to cut, where one is stated", default=None, example="70 mm", better="any"
    )
