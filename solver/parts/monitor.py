"""Battery monitors with their shunts."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, part_class
from solver.parts.device import Device


@part_class("monitor")
class Monitor(Device):
    """A battery monitor and the shunt it comes with."""

    rated_a: float = column(
        "A", "rated current of the shunt", above=0, at_most=5000, better="more"
    )
    own_w: float = column("W", "own use, day and night", at_least=0, at_most=50, better="less")
    stud: str = column("", "the shunt's terminals", one_of=STUDS)
