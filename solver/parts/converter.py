"""Converters from the bank to another DC voltage."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, part_class
from solver.parts.device import Device


@part_class("converter")
class Converter(Device):
    """A DC-DC converter for loads."""

    input_v: tuple[float, ...] = column(
        "V", "system voltages it takes", one_of=(12, 24, 48), example="24"
    )
    output_v: float = column("V", "voltage it gives", above=0, at_most=100)
    rated_a: float = column("A", "current it gives", above=0, at_most=500)
    efficiency_pct: float = column("%", "efficiency", above=50, at_most=100)
    stud: str | None = column(
        "", "terminals; empty: takes bare wire", default=None, one_of=STUDS
    )
