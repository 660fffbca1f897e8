"""Bus bars."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, part_class
from solver.parts.device import Device


@part_class("busbar")
class Busbar(Device):
    """A bus bar of one pole."""

    rated_a: float = column("A", "rated current", above=0, at_most=5000, better="more")
    studs: int = column("", "studs for circuits", at_least=1, at_most=48, better="more")
    stud: str = column("", "its studs", one_of=STUDS)
