"""Batteries, by chemistry."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, part_class
from solver.parts.device import Device


@part_class("battery")
class Battery(Device):
    """One battery of a bank."""

    chemistry: str = column("", "cell chemistry", one_of=("lfp", "agm", "gel", "flooded"))
    nominal_v: float = column("V", "nominal voltage", above=0, at_most=100)
    capacity_ah: float = column("Ah", "rated capacity", above=0, at_most=5000)
    usable_pct: float = column(
        "%", "share of the capacity that may be used", above=0, at_most=100, better="more"
    )
    charge_efficiency_pct: float = column(
        "%", "energy out over energy in", above=0, at_most=100
    )
    max_charge_a: float = column(
        "A", "highest charging current", above=0, at_most=5000, better="more"
    )
    max_discharge_a: float = column(
        "A", "highest discharging current", above=0, at_most=10000, better="more"
    )
    max_series: int = column("", "most in series", at_least=1, at_most=64, better="more")
    max_parallel: int = column("", "most in parallel", at_least=1, at_most=64, better="more")
    min_charge_c: float = column(
        "°C", "coldest it may be charged at", at_least=-60, at_most=40, better="less"
    )
    max_charge_c: float | None = column(
        "°C",
        "hottest it may be charged at; empty: 45",
        default=None,
        at_least=0,
        at_most=100,
        better="more",
    )
    stud: str = column("", "terminal", one_of=STUDS)
    internal_mohm: float | None = column(
        "mΩ", "internal resistance; empty: a typical one", default=None, above=0, better="more"
    )
    absorb_v: float | None = column("V", "absorption voltage", default=None, above=0)
    float_v: float | None = column("V", "float voltage", default=None, above=0)
    cutoff_v: float | None = column("V", "lowest voltage in use", default=None, above=0)
