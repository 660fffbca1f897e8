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
    from solver.records import Array, Cut, Design, Device


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


def inlet_of(design: Design, array: Array) -> str | None:
    """The inlet at which an array's lead ends; None where its panels stand on no ground."""
    inlets = {d.id for d in design.devices if isinstance(d.part, PvInlet)}
    home = {c.name for c in design.circuits if c.kind == "array" and c.to == array.controller}
    ends = (end for cut in design.cuts if cut.circuit in home for end in cut.ends)
    return next((thing for e in ends if (thing := e.at.rpartition(":")[0]) in inlets), None)


STOWED = (
    "Panels on the ground are put out and stowed by hand: their mass is in the whole, and in that of "
    "no place in the vehicle. Choose where they lie on the way, strapped down; a ground place's own "
    "max_kg and at_m are what counts for them."
)


UNBONDED = (
    "Frames of panels that are put out by hand are not bonded by this kit. Whether they must be, or "
    "the array be of double insulation, is for the local code (NEC 690.43 asks for bonded frames, "
    "from memory) and for who is licensed there."
)

DRY_TOUCH_V = 60.0
"""Highest smooth DC voltage of parts that may be touched, dry: IEC 60364-4-41, 414, from memory."""

TOO_HIGH = (
    "The array on {} on the ground reaches {:.1f} V on the coldest morning, which is above the {:g} V "
    "DC up to which bare parts may be touched when dry (IEC 60364-4-41, from memory; wet, the limit "
    "is far lower). Strings that are plugged by hand should stay under it: fewer panels in series, "
    "or panels of less voltage, and see the local code."
)


def notes_of_ground(design: Design) -> tuple[str, ...]:
    """What a person must know of panels on the ground."""
    out = [a for a in design.arrays if inlet_of(design, a) is not None]
    if not out:
        return ()
    high = [
        TOO_HIGH.format(a.controller, a.voc_cold_v, DRY_TOUCH_V)
        for a in out
        if a.voc_cold_v > DRY_TOUCH_V
    ]
    return (STOWED, UNBONDED, *high)


@dataclass(frozen=True, slots=True)
class Opening:
    """What is cut into a wall for an inlet."""

    inlet: str
    place: str
    cutout_mm: float
    cuts: tuple[Cut, ...]
    """The pieces that lead on from it inside."""


def openings(design: Design) -> tuple[Opening, ...]:
    """The opening of each inlet."""
    return tuple(
        Opening(
            d.id,
            d.place,
            d.part.cutout_mm,
            tuple(c for c in design.cuts if any(e.at == f"{d.id}:out" for e in c.ends)),
        )
        for d in design.devices
        if isinstance(d.part, PvInlet)
    )
