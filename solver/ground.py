"""Panels on the ground beside the vehicle: their lead, and the inlet in the wall that it leads to.

From such panels the first leg is the flexible lead, outside; where it ends, the inlet stands. The
rest of the way is the fixed run inside: from the inlet to the isolator beside the controller.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from solver.parts import PvInlet
from solver.routes import Route, leg_between

if TYPE_CHECKING:
    from solver.needs import Needs
    from solver.records import Design, Device


@dataclass(frozen=True, slots=True)
class Lead:
    """The lead of panels on the ground."""

    length_m: float
    inlet_place: str


def lead_on(needs: Needs, way: Route) -> Lead | None:
    """The lead that a way from panels begins with; None where they do not stand on the ground."""
    if not way.via:
        return None
    start, there = way.via[0]
    if not needs.place(start).ground:
        return None
    return Lead(leg_between(needs.legs, start, there).length_m, there)


def outside_pieces(design: Design) -> frozenset[str]:
    """The labels of the pieces that are leads: they end at an inlet's outside."""
    inlets = {f"{d.id}:in" for d in design.devices if isinstance(d.part, PvInlet)}
    return frozenset(
        cut.label for cut in design.cuts if any(end.at in inlets for end in cut.ends)
    )


def is_on_the_ground(needs: Needs, device: Device) -> bool:
    """Whether a device stands on the ground, put out by hand and fixed to nothing."""
    return needs.place(device.place).ground
