"""Where cables come into a place: as the needs state it, or still to be set on the spot."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from solver.holes import Hole, Passage, holes, passages
from solver.needs import Leg, Needs
from solver.passing import hole_of
from solver.records import Design, Device


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One leg's end in one place, with the cables of the kit that run along it."""

    place: str
    far: str
    """The place at the other end."""
    way: Passage
    hole: Hole | None
    at_mm: tuple[float, ...] | None
    """x and y of its middle from the place's corner; None: to be set on the spot.

    As its leg states it, or another leg of the same hole.
    """

    @property
    def bore_mm(self) -> float | None:
        """Diameter of its hole, as there is or has to be; None without a hole."""
        if self.hole is None:
            return None
        drilled = self.hole.drilled_mm
        return self.hole.there_mm if drilled is None else drilled


def entries_of(needs: Needs, design: Design) -> tuple[Entry, ...]:
    """Every end of every leg along which some cable of the kit runs, in the order of the legs."""
    bored = {h.name: h for h in holes(needs, design)}
    found = []
    for way in passages(needs, design):
        if not way.cuts:
            continue
        name = hole_of(way.leg)
        hole = None if name is None else bored[name]
        for place, far, own in _ends(way.leg):
            at = own if name is None else stated_at(needs.legs, name, place)
            found.append(Entry(place=place, far=far, way=way, hole=hole, at_mm=at))
    return tuple(found)


def _ends(leg: Leg) -> tuple[tuple[str, str, tuple[float, ...] | None], ...]:
    return (
        (leg.from_, leg.to, leg.from_at_mm),
        (leg.to, leg.from_, leg.to_at_mm),
    )


def stated_at(legs: Iterable[Leg], hole: str, place: str) -> tuple[float, ...] | None:
    """Where a hole lies in a place: one hole has one middle, whichever of its legs states it."""
    return next(
        (
            at
            for leg in legs
            if hole_of(leg) == hole
            for end, _, at in _ends(leg)
            if end == place and at is not None
        ),
        None,
    )


def covering(needs: Needs, design: Design) -> list[tuple[Entry, tuple[str, ...]]]:
    """Entries of a stated position over which devices stand, with the ids of these."""
    found = []
    for entry in entries_of(needs, design):
        here = [d for d in design.devices if d.place == entry.place]
        over = tuple(d.id for d in here if covered(entry, face_of(d)))
        if over:
            found.append((entry, over))
    return found


def face_of(device: Device) -> tuple[float, float, float, float]:
    """Nearest and farthest corner of what a device covers: x, y, x, y, in mm."""
    along, across = device.part.length_mm or 0.0, device.part.width_mm or 0.0
    if device.rotated:
        along, across = across, along
    return (device.x_mm, device.y_mm, device.x_mm + along, device.y_mm + across)


def covered(entry: Entry, face: tuple[float, float, float, float]) -> bool:
    """Whether a rectangle lies over an entry, so far as that has a position."""
    return lies_over(face, entry.at_mm, entry.bore_mm or 0.0)


def lies_over(
    face: tuple[float, float, float, float], at_mm: tuple[float, ...] | None, bore_mm: float
) -> bool:
    """Whether a rectangle lies over a hole, so far as the middle of that is known."""
    if at_mm is None:
        return False
    (x, y), half = at_mm, bore_mm / 2
    x0, y0, x1, y1 = face
    return x0 < x + half and x - half < x1 and y0 < y + half and y - half < y1
