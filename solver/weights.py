"""What a finished kit weighs, by place, and its moments about the stated reference.

Devices are taken to weigh in the middle of their place, `at_m`, as the choice of the kit does, see
`solver.balance`. Fuses, holders, cables, what ends them and small parts are in no moment. Tools and
what is used up weigh nothing here, a cartridge of sealant all that it holds.
"""

from __future__ import annotations

from dataclasses import dataclass

from solver.needs import Needs
from solver.parts.base import USED_UP_CLASSES
from solver.records import Design, seat_of

AXES = ("x", "y", "z")
"""Fore and aft, left and right, height: the three numbers of `at_m`."""


@dataclass(frozen=True, kw_only=True)
class PlaceWeight:
    """What stands or hangs in one place."""

    place: str
    kg: float
    device_kg: float
    """Of that its devices: what counts in its moments."""
    max_kg: float | None
    at_m: tuple[float, ...] | None
    moments_kgm: tuple[float, ...] | None
    """About the reference, along x, y, z; None where the place has no position."""


@dataclass(frozen=True, kw_only=True)
class Moment:
    """Weight times distance along one axis, all places together."""

    axis: str
    kgm: float | None
    """None: not computed, as a place that bears something has no position."""
    limit_kgm: float | None
    """Most that the needs allow, either way."""

    @property
    def ok(self) -> bool | None:
        """Whether it keeps to its limit; None where there is none, or nothing to compare."""
        if self.kgm is None or self.limit_kgm is None:
            return None
        return abs(self.kgm) <= self.limit_kgm + 1e-9


@dataclass(frozen=True, kw_only=True)
class Weights:
    """A kit's weights."""

    places: tuple[PlaceWeight, ...]
    cable_kg: float
    """As cut, not as bought."""
    termination_kg: float
    extras_kg: float
    """Sockets, branch pairs, comm cables."""
    small_kg: float
    """Small parts, as counted."""
    total_kg: float
    moments: tuple[Moment, ...]
    """Along x, y and z."""
    middle_m: tuple[float, ...] | None
    """Centre of gravity of what stands in places; None where the moments are not computed."""
    without_position: tuple[str, ...]
    """Places that bear something and have no `at_m`."""


def weights_of(needs: Needs, design: Design) -> Weights:
    """Everything a design weighs, with its moments where places have positions."""
    places = tuple(_place_weight(design, p.name, p.max_kg, p.at_m) for p in needs.places)
    bearing = [p for p in places if p.device_kg > 0]
    lacking = tuple(p.place for p in bearing if p.at_m is None)
    sums: tuple[float, ...] | None = None
    if bearing and not lacking:
        sums = tuple(sum((p.moments_kgm or (0.0,) * 3)[n] for p in bearing) for n in range(3))
    placed_kg = sum(p.device_kg for p in bearing)
    limits = (needs.limits.fore_aft_kgm, needs.limits.side_kgm, None)
    cable, ends, extras = cable_kg(design), termination_kg(design), extras_kg(design)
    small = small_kg(design)
    return Weights(
        places=places,
        cable_kg=cable,
        termination_kg=ends,
        extras_kg=extras,
        small_kg=small,
        total_kg=sum(p.kg for p in places) + cable + ends + extras + small,
        moments=tuple(
            Moment(axis=axis, kgm=None if sums is None else sums[n], limit_kgm=limits[n])
            for n, axis in enumerate(AXES)
        ),
        middle_m=None if sums is None else tuple(s / placed_kg for s in sums),
        without_position=lacking,
    )


def _place_weight(
    design: Design, name: str, max_kg: float | None, at_m: tuple[float, ...] | None
) -> PlaceWeight:
    kg, device_kg = place_kg(design, name), device_kg_in(design, name)
    moments = None if at_m is None else tuple(device_kg * metres for metres in at_m)
    return PlaceWeight(
        place=name, kg=kg, device_kg=device_kg, max_kg=max_kg, at_m=at_m, moments_kgm=moments
    )


def device_kg_in(design: Design, place: str) -> float:
    """Panels, batteries and other devices in a place."""
    return sum(d.part.kg for d in design.devices if d.place == place)


def place_kg(design: Design, place: str) -> float:
    """Devices, protection and holders in a place; a block of several ways counts once."""
    devices = device_kg_in(design, place)
    here = [p for p in design.protections if p.place == place]
    fuses = sum(design.parts[p.part].kg for p in here)
    holders = {seat_of(p): p.holder for p in here if p.holder is not None}
    return devices + fuses + sum(design.parts[h].kg for h in holders.values())


def cable_kg(design: Design) -> float:
    """The cables as cut."""
    return sum(design.parts[c.cable].kg * c.length_mm / 1000 for c in design.cuts)


def termination_kg(design: Design) -> float:
    """What ends the cables."""
    return sum(
        design.parts[e.termination].kg for c in design.cuts for e in c.ends if e.termination
    )


def extras_kg(design: Design) -> float:
    """Sockets, branch pairs and the like, and comm cables."""
    counted = sum(design.parts[e.part].kg * e.quantity for e in design.extras)
    return counted + sum(design.parts[link.part].kg for link in design.links)


def small_kg(design: Design) -> float:
    """Small parts that stay in the kit; nothing where they are not reckoned yet."""
    return sum(
        design.parts[e.part].kg * float(e.quantity)
        for e in design.small or ()
        if design.parts[e.part].cls not in USED_UP_CLASSES
    )
