"""What the checker looks up and recomputes, from the needs and the design alone."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from typing import TypeVar

from solver.check_sheet import MissingError
from solver.fittings import is_isolator
from solver.needs import Charging, Leg, Load, Needs, Place
from solver.parts import Battery, Cable, Controller, Inverter, Panel, PvInlet, Switch
from solver.parts.base import Part
from solver.records import Array, Circuit, Design, Device, Protection
from solver.rules.bank import lowest_v
from solver.rules.protection import highest_circuit_v
from solver.rules.string import array_charge_a, charging_voltage_v

P = TypeVar("P", bound=Part)

POSITIVE_BAR = "busbar-pos"
NEGATIVE_BAR = "busbar-neg"
ENGINE_BATTERY = "engine battery"
SHORE_INLET = "shore inlet"
CHASSIS = "chassis"
OUTSIDE = (ENGINE_BATTERY, SHORE_INLET, CHASSIS)
"""Ends of circuits that are no part of the kit."""

ENGINE_LOWEST_V = lowest_v(12)
"""An engine's battery is taken as a 12 V one, at its lowest."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way for a cable, as found by the checker."""

    length_m: float
    places: tuple[str, ...]
    ambient_c: float
    stated: tuple[int, ...]
    """By leg, the loaded conductors that the needs state to lie there."""
    engine_space: bool


@dataclass(frozen=True, slots=True)
class ArrayFacts:
    """An array with its parts looked up and its currents recomputed."""

    array: Array
    panel: Panel
    controller: Controller
    panels: int
    isc_a: float
    charge_a: float


@dataclass(frozen=True)
class Survey:
    """Needs and design, and what follows from them."""

    needs: Needs
    design: Design

    # --- look-ups ---------------------------------------------------------------------------

    def part(self, name: str, kind: type[P]) -> P:
        """The part of that name, which must be of a class."""
        found = self.design.parts.get(name)
        if found is None:
            raise MissingError(f'no part "{name}" in the design')
        if not isinstance(found, kind):
            raise MissingError(f'"{name}" is a {found.cls}, not a {kind.__name__.lower()}')
        return found

    def device(self, name: str) -> Device:
        """The device of that id."""
        if name not in self._devices:
            raise MissingError(f'no device "{name}"')
        return self._devices[name]

    @cached_property
    def _devices(self) -> dict[str, Device]:
        return {d.id: d for d in self.design.devices}

    def place(self, name: str) -> Place:
        """The place of that name."""
        for place in self.needs.places:
            if place.name == name:
                return place
        raise MissingError(f'no place "{name}" in the needs')

    def devices_of(self, kind: type[P]) -> list[tuple[Device, P]]:
        """The devices whose part is of a class, with that part."""
        return [(d, d.part) for d in self.design.devices if isinstance(d.part, kind)]

    @cached_property
    def bank_switches(self) -> list[tuple[Device, Switch]]:
        """The switches that isolate the bank: all but those of arrays."""
        return [(d, p) for d, p in self.devices_of(Switch) if not is_isolator(p)]

    @cached_property
    def isolators(self) -> list[tuple[Device, Switch]]:
        """The switches that break both poles of an array."""
        return [(d, p) for d, p in self.devices_of(Switch) if is_isolator(p)]

    @cached_property
    def inlets(self) -> list[tuple[Device, PvInlet]]:
        """The inlets at which the leads of panels on the ground end."""
        return self.devices_of(PvInlet)

    @property
    def held_panels(self) -> list[tuple[Device, Panel]]:
        """All panels but those that stand on the ground, fixed to nothing."""
        return [x for x in self.devices_of(Panel) if not self.place(x[0].place).ground]

    def on_the_ground(self, array: Array) -> bool:
        """Whether an array's panels stand on the ground: its first tells, all are in one place."""
        return any(self.place(self.device(p).place).ground for p in array.panels[:1])

    @cached_property
    def ac_protections(self) -> frozenset[str]:
        """Ids of the protections of AC circuits, which have a terminal for each core."""
        return frozenset(
            c.protection_id for c in self.circuits_of("ac") if c.protection_id is not None
        )

    @cached_property
    def protections(self) -> dict[str, Protection]:
        """Fuses and breakers by id."""
        return {p.id: p for p in self.design.protections}

    @cached_property
    def string_fuses(self) -> frozenset[str]:
        """Ids of the fuses of arrays' strings, which stand in no circuit."""
        return frozenset(name for array in self.design.arrays for name in array.all_fuses)

    @cached_property
    def blocks(self) -> dict[str, list[Protection]]:
        """Fuses in blocks of several ways, by the block's id."""
        found: dict[str, list[Protection]] = {}
        for p in self.design.protections:
            if p.way is not None:
                found.setdefault(p.id.rsplit(":", 1)[0], []).append(p)
        return found

    @cached_property
    def boxes(self) -> dict[str, list[Protection]]:
        """Breakers in boxes that they may share, by the box's id."""
        found: dict[str, list[Protection]] = {}
        for p in self.design.protections:
            if p.box is not None:
                found.setdefault(p.box, []).append(p)
        return found

    @cached_property
    def load_circuits(self) -> dict[str, list[Load]]:
        """Loads by the name of the circuit they share, their own name where they share none."""
        found: dict[str, list[Load]] = {}
        for load in self.needs.loads:
            found.setdefault(load.circuit or load.name, []).append(load)
        return found

    def thing(self, at: str) -> str:
        """The device, protection, load circuit or outside end that an end's `at` means."""
        for name in (at, at.rsplit(":", 1)[0]):
            if (
                name in self._devices
                or name in self.blocks
                or (name in self.protections and self.protections[name].way is None)
                or name in self.load_circuits
                or name in OUTSIDE
            ):
                return name
        raise MissingError(f'an end lands on "{at}", which is not there')

    def circuits_of(self, *kinds: str) -> list[Circuit]:
        """The circuits of some kinds."""
        return [c for c in self.design.circuits if c.kind in kinds]

    def circuits_behind(self, protection: str) -> list[Circuit]:
        """The circuits that name a fuse as theirs."""
        return [c for c in self.design.circuits if c.protection_id == protection]

    # --- places and ways --------------------------------------------------------------------

    def places_of(self, thing: str, other: str) -> list[str]:
        """Where an end of a circuit stands.

        One place; or those of the loads that share the circuit; or those of the ways in that
        may lead to it.
        """
        if thing in self._devices:
            return [self._devices[thing].place]
        if thing in self.blocks:
            return [self.blocks[thing][0].place]
        if thing in self.protections:
            return [self.protections[thing].place]
        if thing in self.load_circuits:
            return sorted({load.place for load in self.load_circuits[thing]})
        if thing in OUTSIDE:
            stated = sorted({w.place for w in self._ways_in(thing) if w.place is not None})
            if not stated and other in OUTSIDE:
                raise MissingError("both ends are outside the kit")
            return stated or self.places_of(other, thing)
        raise MissingError(f'"{thing}" is no device, protection, load or way in')

    def _ways_in(self, outside: str) -> list[Charging]:
        if outside == CHASSIS:
            return []
        kinds = ("engine",) if outside == ENGINE_BATTERY else ("shore", "generator")
        return [w for w in self.needs.charging if w.kind in kinds]

    def way_of(self, circuit: Circuit) -> Way:
        """The shortest way of a circuit; to loads in several places, that to the farthest."""
        starts = self.places_of(circuit.from_, circuit.to)
        start = next((p for p in starts if circuit.via and p == circuit.via[0][0]), starts[0])
        ways = [self.way(start, goal) for goal in self.places_of(circuit.to, circuit.from_)]
        farthest = max(ways, key=lambda way: way.length_m)
        if self.place(start).ground and len(farthest.places) == 2:
            # the run from the inlet to what stands in the place whose wall holds it
            inside_m = self.needs.rules.in_place_m
            return replace(farthest, length_m=farthest.length_m + inside_m)
        return farthest

    def least_m(self, a: str, b: str) -> float:
        """The least a piece between two things must span: to loads, as far as the farthest."""
        starts, goals = self.places_of(a, b), self.places_of(b, a)
        spans = [[self.way(start, goal).length_m for goal in goals] for start in starts]
        return min(max(span) for span in spans)

    def way(self, start: str, goal: str) -> Way:
        """The shortest way between two places, by relaxing every leg until nothing shortens."""
        best: dict[str, tuple[float, tuple[str, ...]]] = {start: (0.0, (start,))}
        for _ in self.needs.places:
            for leg in self.needs.legs:
                for a, b in ((leg.from_, leg.to), (leg.to, leg.from_)):
                    if a in best:
                        reach = (round(best[a][0] + leg.length_m, 9), (*best[a][1], b))
                        if b not in best or reach < best[b]:
                            best[b] = reach
        if goal not in best:
            raise MissingError(f'no leg leads from "{start}" to "{goal}"')
        return self.along(best[goal][1])

    def along(self, places: tuple[str, ...]) -> Way:
        """What a cable meets that passes these places in order."""
        legs = [self.leg(a, b) for a, b in pairwise(places)]
        passed = [self.place(name) for name in places]
        hot = [p.max_c for p in passed] + [leg.max_c for leg in legs]
        return Way(
            length_m=sum(leg.length_m for leg in legs) if legs else self.needs.rules.in_place_m,
            places=places,
            ambient_c=max([self.needs.site.hottest_c, *(c for c in hot if c is not None)]),
            stated=tuple(leg.loaded_conductors for leg in legs),
            engine_space=any(p.engine_space for p in passed),
        )

    def leg(self, a: str, b: str) -> Leg:
        """The shortest leg between two places; of equals the coolest, then the emptiest."""
        between = [leg for leg in self.needs.legs if {leg.from_, leg.to} == {a, b}]
        if not between:
            raise MissingError(f'no leg between "{a}" and "{b}"')
        return min(
            between,
            key=lambda leg: (
                leg.length_m,
                -math.inf if leg.max_c is None else leg.max_c,
                leg.loaded_conductors,
            ),
        )

    # --- parts of the system ----------------------------------------------------------------

    @property
    def battery(self) -> Battery:
        """The bank's battery."""
        return self.part(self.design.bank.battery, Battery)

    @property
    def strings(self) -> list[tuple[str, ...]]:
        """The bank's batteries, string by string, each from its positive end."""
        bank = self.design.bank
        step = max(bank.series, 1)
        return [bank.batteries[i : i + step] for i in range(0, len(bank.batteries), step)]

    @property
    def inverter(self) -> tuple[Device, Inverter] | None:
        """The inverter, where there is one."""
        found = self.devices_of(Inverter)
        return found[0] if found else None

    @property
    def charging_v(self) -> float:
        """The bank's charging voltage."""
        return float(charging_voltage_v(self.battery.chemistry, self.design.system_voltage_v))

    @property
    def circuit_v(self) -> float:
        """The highest voltage a circuit of the bank sees."""
        return float(highest_circuit_v(self.battery.chemistry, self.design.system_voltage_v))

    def facts(self, array: Array) -> ArrayFacts:
        """An array's parts and currents, recomputed."""
        panel = self.part(array.panel, Panel)
        controller = self.device(array.controller).part
        if not isinstance(controller, Controller):
            raise MissingError(f'"{array.controller}" is no controller')
        panels = array.series * array.parallel
        isc_a = array.parallel * panel.isc_a
        charge_a = array_charge_a(
            controller.kind,
            panel.stc_w,
            panels,
            controller.efficiency_pct,
            controller.max_charge_a,
            isc_a,
            self.design.system_voltage_v,
        )
        return ArrayFacts(
            array=array,
            panel=panel,
            controller=controller,
            panels=panels,
            isc_a=isc_a,
            charge_a=float(charge_a),
        )

    def array_at(self, controller: str) -> Array:
        """The array of a controller."""
        for array in self.design.arrays:
            if array.controller == controller:
                return array
        raise MissingError(f'controller "{controller}" has no array')

    # --- cable ------------------------------------------------------------------------------

    def cables_of(self, circuit: Circuit) -> list[Cable]:
        """Every cable a circuit is made of: the one it names and those of its pieces."""
        names = {circuit.cable} | {
            c.cable for c in self.design.cuts if c.circuit == circuit.name
        }
        return [self.part(name, Cable) for name in sorted(names)]
