"""Which cables go through which leg, and how wide its hole has to be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from solver.bundle import Bundle, bundle_of
from solver.needs import Leg, Needs
from solver.parts import Cable
from solver.passing import hole_of, sizes_of
from solver.records import Circuit, Cut, Design
from solver.routes import leg_between
from solver.rules.conduit import least_conduit_mm
from solver.rules.hole import filling_mm2, hole_takes_mm2, least_hole_mm

WHOLE_MM = 0.01
"""A hole that is over a whole millimetre by no more than this is drilled to it."""

CLOSE_MM2 = 1e-6
"""Of areas, what is the arithmetic's and no cable's."""


@dataclass(frozen=True, kw_only=True)
class Passage:
    """A measured leg with every piece of cable that runs along it."""

    leg: Leg
    cuts: tuple[Cut, ...]
    outer_mm: tuple[float, ...]
    """Outer diameters of those pieces, in their order."""
    circuits: tuple[str, ...]
    supplies: tuple[str, ...]
    """Of `pv`, `dc`, `ac`: what runs there."""
    conduit_mm: float
    """Least inside diameter of a conduit for them all."""


@dataclass(frozen=True, kw_only=True)
class Hole:
    """A hole by its name, with every piece that passes it, whichever leg it takes."""

    name: str
    legs: tuple[Leg, ...]
    cuts: tuple[Cut, ...]
    outer_mm: tuple[float, ...]
    circuits: tuple[str, ...]
    supplies: tuple[str, ...]
    bundle: Bundle
    drill_mm: int
    """Least hole, see `least_hole_mm`, rounded up; what lines the hole comes on top."""
    there_mm: float | None
    """The hole that is there, if one is stated."""
    most_mm: float | None
    """Largest hole allowed, if that is stated."""
    loaded_conductors: int
    """Already in it, of unknown thickness."""

    @property
    def fits(self) -> bool:
        """Whether what is there takes the cables, or what may be drilled does."""
        limits = [x for x in (self.there_mm, self.most_mm) if x is not None]
        return not limits or self._taken_by(max(limits))

    def _taken_by(self, bore_mm: float) -> bool:
        return filling_mm2(self.outer_mm) <= hole_takes_mm2(bore_mm) + CLOSE_MM2

    @property
    def filled_pct(self) -> float | None:
        """How much of the hole is filled, where its size is stated: as it is, or as it may be."""
        limits = [x for x in (self.there_mm, self.most_mm) if x is not None]
        if not limits:
            return None
        return 100 * filling_mm2(self.outer_mm) / max(limits) ** 2

    @property
    def drilled_mm(self) -> float | None:
        """What is to be drilled; None where the hole that is there does."""
        if self.there_mm is not None and self._taken_by(self.there_mm):
            return None
        return self.drill_mm


def passages(needs: Needs, design: Design) -> tuple[Passage, ...]:
    """Every leg of the needs in its order, with what the design puts there, maybe nothing."""
    on: dict[int, list[Cut]] = defaultdict(list)
    circuits = {c.name: c for c in design.circuits}
    at = places_of(design)
    for cut in design.cuts:
        circuit = circuits.get(cut.circuit)
        for leg in _legs_of(needs, circuit, cut, at) if circuit is not None else ():
            on[needs.legs.index(leg)].append(cut)
    return tuple(_passage(design, circuits, leg, on[n]) for n, leg in enumerate(needs.legs))


def holes(needs: Needs, design: Design) -> tuple[Hole, ...]:
    """Every named hole that a cable of the kit passes, in the order of the legs."""
    circuits = {c.name: c for c in design.circuits}
    by_name: dict[str, list[Passage]] = defaultdict(list)
    for passage in passages(needs, design):
        name = hole_of(passage.leg)
        if name is not None and passage.cuts:
            by_name[name].append(passage)
    return tuple(_hole(needs, design, circuits, name, found) for name, found in by_name.items())


def supply_of(circuit: Circuit) -> str:
    """`pv` of an array's circuit, `ac`, or `dc` for all others."""
    return {"array": "pv", "ac": "ac"}.get(circuit.kind, "dc")


def outer_of(design: Design, cut: Cut) -> float:
    """Outer diameter of a piece of cable, in mm."""
    part = design.parts[cut.cable]
    assert isinstance(part, Cable), f"{cut.label} is cut from {cut.cable}, which is no cable"
    return part.outer_mm


def place_of_end(at: str, circuit: Circuit, places: Mapping[str, str]) -> str | None:
    """The place of what a piece's end lands on; None where only the circuit could tell."""
    things = [at, at.rpartition(":")[0]]
    known = next((places[t] for t in things if t in places), None)
    if known is not None or not circuit.via:
        return known
    for thing, place in (
        (circuit.from_, circuit.via[0][0]),
        (circuit.to, circuit.via[-1][1]),
    ):
        if thing in things:
            return place
    return None


def places_of(design: Design) -> dict[str, str]:
    """Where each device, protection and fuse block stands."""
    found = {d.id: d.place for d in design.devices}
    found |= {p.id.rpartition(":")[0]: p.place for p in design.protections if p.way is not None}
    return found | {p.id: p.place for p in design.protections}


def _legs_of(
    needs: Needs, circuit: Circuit, cut: Cut, places: Mapping[str, str]
) -> tuple[Leg, ...]:
    """The legs between the two ends of a piece: of those of its circuit, the ones it runs along."""
    if not circuit.via:
        return ()
    path = [circuit.via[0][0], *(b for _, b in circuit.via)]
    ends = {place_of_end(end.at, circuit, places) for end in cut.ends}
    # A piece whose end could be anywhere is taken to run along all of them: the safe side.
    if None in ends or not ends <= set(path):
        stops = [0, len(path) - 1]
    else:
        stops = [path.index(str(place)) for place in ends]
    walked = path[min(stops) : max(stops) + 1]
    return tuple(leg_between(needs.legs, a, b) for a, b in pairwise(walked))


def _passage(
    design: Design, circuits: Mapping[str, Circuit], leg: Leg, cuts: Iterable[Cut]
) -> Passage:
    found = tuple(cuts)
    outer = tuple(outer_of(design, cut) for cut in found)
    return Passage(
        leg=leg,
        cuts=found,
        outer_mm=outer,
        circuits=tuple(dict.fromkeys(cut.circuit for cut in found)),
        supplies=_supplies(circuits, found),
        conduit_mm=least_conduit_mm(outer),
    )


def _supplies(circuits: Mapping[str, Circuit], cuts: Iterable[Cut]) -> tuple[str, ...]:
    there = {supply_of(circuits[cut.circuit]) for cut in cuts}
    return tuple(s for s in ("pv", "dc", "ac") if s in there)


def _hole(
    needs: Needs,
    design: Design,
    circuits: Mapping[str, Circuit],
    name: str,
    found: list[Passage],
) -> Hole:
    # A piece that passes two legs of the same hole passes the hole once.
    cuts = tuple({cut.label: cut for p in found for cut in p.cuts}.values())
    outer = tuple(outer_of(design, cut) for cut in cuts)
    bundle = bundle_of(outer)
    legs = tuple(p.leg for p in found)
    # one hole has one size, whichever of its legs states it
    there, most = sizes_of(x for x in needs.legs if hole_of(x) == name)
    return Hole(
        name=name,
        legs=legs,
        cuts=cuts,
        outer_mm=outer,
        circuits=tuple(dict.fromkeys(cut.circuit for cut in cuts)),
        supplies=_supplies(circuits, cuts),
        bundle=bundle,
        drill_mm=ceil(least_hole_mm(outer) - WHOLE_MM),
        there_mm=there,
        most_mm=most,
        loaded_conductors=max(x.loaded_conductors for x in legs),
    )
