"""Cables between devices that talk to each other."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("comm_cable")
class CommCable(Part):
    """A ready-made comm cable."""

    bus: str = column("", "bus it is made for", example="CAN")
    plug_a: str = column("", "plug at one end", example="RJ45")
    plug_b: str = column("", "plug at the other end", example="RJ45")
    run_m: float = column("m", "length of the cable", above=0, at_most=200)
