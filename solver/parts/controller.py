"""Charge controllers between panels and bank."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import part_class
from solver.parts.device import Device


@part_class("controller")
class Controller(Device):
    """A charge controller."""

    kind: str = column("", "how it converts", one_of=("mppt", "pwm"))
    battery_v: tuple[float, ...] = column(
        "V", "bank voltages it serves", one_of=(12, 24, 48), example="12;24"
    )
    max_pv_v: float = column("V", "highest array voltage", above=0, at_most=1500, better="more")
    max_pv_a: float | None = column(
        "A",
        "highest array short-circuit current; empty: not stated",
        default=None,
        above=0,
        at_most=500,
        must_stand=True,
        better="more",
    )
    headroom_v: float = column(
        "V",
        "array voltage needed above the charging voltage",
        at_least=0,
        at_most=50,
        better="less",
    )
    max_charge_a: float = column("A", "highest charging current", above=0, at_most=500)
    efficiency_pct: float = column("%", "conversion efficiency", above=50, at_most=100)
    own_w: float = column("W", "own use, day and night", at_least=0, at_most=50, better="less")
    common_pole: str = column(
        "",
        "pole that its array and the bank share through it; empty: negative",
        default="negative",
        one_of=("negative", "positive", "none"),
    )
