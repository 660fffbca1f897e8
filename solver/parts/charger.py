"""Chargers from the shore or the engine."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, part_class
from solver.parts.device import Device


@part_class("charger")
class Charger(Device):
    """A charger of the bank."""

    kind: str = column("", "what feeds it", one_of=("shore", "engine"))
    battery_v: tuple[float, ...] = column(
        "V", "bank voltages it serves", one_of=(12, 24, 48), example="12;24"
    )
    charge_a: float = column("A", "charging current", above=0, at_most=1000)
    input_w: float = column("W", "power it takes in", above=0, at_most=50000)
    stud: str | None = column(
        "",
        "output terminals; empty: takes bare wire",
        default=None,
        one_of=STUDS,
        must_stand=True,
    )
