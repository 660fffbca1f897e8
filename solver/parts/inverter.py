"""Inverters, and inverters that charge."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, part_class
from solver.parts.device import Device


@part_class("inverter")
class Inverter(Device):
    """An inverter; it charges too where `charge_a` is above 0."""

    dc_v: float = column("V", "nominal DC voltage", one_of=(12, 24, 48))
    continuous_w: float = column("W", "power it gives all day", above=0, at_most=100000)
    surge_w: float = column(
        "W", "power it gives for a start-up", above=0, at_most=200000, better="more"
    )
    efficiency_pct: float = column("%", "efficiency at rated power", above=50, at_most=100)
    idle_w: float = column(
        "W", "draw while switched on without load", at_least=0, at_most=500, better="less"
    )
    ac_v: float = column("V", "AC voltage", above=0, at_most=500)
    hz: float = column("Hz", "AC frequency", one_of=(50, 60))
    charge_a: float = column(
        "A", "charging current from an AC source; 0: does not charge", at_least=0, at_most=1000
    )
    stud: str = column("", "DC terminals", one_of=STUDS)
