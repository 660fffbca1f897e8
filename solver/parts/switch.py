"""Battery switches and isolators."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, part_class
from solver.parts.device import Device


@part_class("switch")
class Switch(Device):
    """A switch that isolates the bank."""

    kind: str = column("", "what it isolates", example="battery")
    rated_a: float = column("A", "rated current", above=0, at_most=5000, better="more")
    max_v: float = column("V", "highest DC voltage", above=0, at_most=3000, better="more")
    breaking_ka: float | None = column(
        "kA",
        "breaking capacity, where one is stated",
        default=None,
        above=0,
        must_stand=True,
        better="more",
    )
    stud: str | None = column(
        "", "terminals; empty: takes bare wire", default=None, one_of=STUDS, must_stand=True
    )
    holder: str | None = column(
        "", "part that carries it; empty: needs none", default=None, must_stand=True
    )
