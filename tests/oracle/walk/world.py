"""What the second walk knows: the result as written, the parts' columns, the needs as stated.

Nothing of the solver is called. Parts are any objects with the catalog's columns, the needs any
object with the tables of a needs file; the result is what was read from its JSON.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any, NamedTuple

from tests.oracle.walk.figures import CHARGING_V, SHORT_MOHM

Row = Mapping[str, Any]

OUTSIDE = ("shore inlet", "engine battery", "chassis")
"""What a circuit may come from or go to without a device of that name."""

TRADE_V = {12.8: 12.0, 25.6: 24.0, 51.2: 48.0}


class Complaint(NamedTuple):
    """Something wrong, and with what."""

    text: str
    subject: str


class Absent(Exception):
    """Something is named that is not there."""


class World:
    """The design, looked up."""

    def __init__(self, document: Row, parts: Mapping[str, Any], needs: Any) -> None:
        self.document = document
        self.parts = parts
        self.needs = needs
        self.found: list[Complaint] = []
        self.devices: dict[str, Row] = {d["id"]: d for d in document["devices"]}
        self.protections: dict[str, Row] = {p["id"]: p for p in document["protections"]}
        self.blocks: dict[str, list[Row]] = {}
        for p in document["protections"]:
            if p["way"] is not None:
                self.blocks.setdefault(p["id"].rsplit(":", 1)[0], []).append(p)
        self.boxes: dict[str, list[Row]] = {}
        for p in document["protections"]:
            if p["box"] is not None:
                self.boxes.setdefault(p["box"], []).append(p)
        self.circuits: list[Row] = document["circuits"]
        self.cuts: list[Row] = document["cuts"]
        self.loads: dict[str, list[Any]] = {}
        for load in needs.loads:
            self.loads.setdefault(load.circuit or load.name, []).append(load)
        self.volts = float(document["system_voltage_v"])
        self.lowest_v = self.volts * 11 / 12
        self.metres = _between_places(needs)

    # -- complaining

    def say(self, text: str, subject: str) -> None:
        """Complain."""
        self.found.append(Complaint(text, subject))

    def must(self, fine: bool, text: str, subject: str) -> None:
        """Complain unless it is fine."""
        if not fine:
            self.say(text, subject)

    def same(self, stated: float, right: float, what: str, subject: str) -> None:
        """Complain unless a stated figure is right, to the digits it is written with."""
        if abs(stated - right) > 2e-6 + 1e-6 * abs(right):
            self.say(f"{what} is stated as {stated:g}, and is {right:g}", subject)

    @contextmanager
    def about(self, subject: str) -> Iterator[None]:
        """What is named in here and is not there is a complaint about this."""
        try:
            yield
        except Absent as absent:
            self.say(str(absent), subject)

    # -- looking up

    def part(self, name: str | None, cls: str = "") -> Any:
        """The part of that name, which is of a class."""
        if name is None or name not in self.parts:
            raise Absent(f"there is no part {name}")
        found = self.parts[name]
        if cls and found.cls != cls:
            raise Absent(f"{name} is no {cls}")
        return found

    def device_part(self, name: str, cls: str = "") -> Any:
        """The part of a device, which is of a class."""
        if name not in self.devices:
            raise Absent(f"there is no device {name}")
        return self.part(self.devices[name]["part"], cls)

    def of_class(self, *classes: str) -> list[str]:
        """The devices whose parts are of these classes."""
        return [name for name, d in self.devices.items() if d["class"] in classes]

    def class_of(self, thing: str) -> str:
        """What a thing is: its device class, or `protection`, `block`, `load`, `outside`."""
        if thing in self.devices:
            return str(self.devices[thing]["class"])
        if thing in self.protections:
            return "protection"
        if thing in self.blocks:
            return "block"
        return "load" if thing in self.loads else "outside"

    def lands_on(self, at: str) -> tuple[str, str]:
        """The thing that an end lands on, and the port of it."""
        for thing, port in ((at, ""), tuple((*at.rsplit(":", 1), "")[:2])):
            known = (self.devices, self.protections, self.blocks, self.loads, OUTSIDE)
            if any(thing in names for names in known):
                return thing, port
        raise Absent(f"there is nothing called {at}")

    def is_isolator(self, device: str) -> bool:
        """Whether a switch is an array's."""
        part = self.parts.get(self.devices[device]["part"])
        return str(getattr(part, "kind", "")).startswith("pv")

    def known(self, cls: str, column: str, fits: Callable[[Any], bool]) -> bool:
        """Whether the catalog has a part of a class with such a value in a column."""
        return any(p.cls == cls and fits(getattr(p, column, None)) for p in self.parts.values())

    def circuits_of(self, kind: str) -> list[Row]:
        """The circuits of a kind."""
        return [c for c in self.circuits if c["kind"] == kind]

    def pieces_of(self, circuit: str) -> list[Row]:
        """The pieces of a circuit."""
        return [c for c in self.cuts if c["circuit"] == circuit]

    # -- places

    def place(self, name: str) -> Any:
        """A place by its name."""
        found = next((p for p in self.needs.places if p.name == name), None)
        if found is None:
            raise Absent(f"there is no place {name}")
        return found

    def where(self, thing: str, other: str = "") -> str:
        """The place of a thing; of an inlet that states none, that of what it leads to."""
        if thing in self.devices:
            return str(self.devices[thing]["place"])
        if thing in self.protections:
            return str(self.protections[thing]["place"])
        if thing in self.blocks:
            return str(self.blocks[thing][0]["place"])
        if thing in self.loads:
            return str(self.loads[thing][0].place)
        kinds = {"engine battery": ("engine",), "shore inlet": ("shore", "generator")}
        for way in self.needs.charging:
            if way.kind in kinds.get(thing, ()) and way.place:
                return str(way.place)
        if other:
            return self.where(other)
        raise Absent(f"nothing says where {thing} is")

    def way_m(self, start: str, goal: str) -> float:
        """Metres of the shortest way between two places."""
        if start == goal:
            return float(self.needs.rules.in_place_m)
        metres = self.metres.get((start, goal), math.inf)
        if math.isinf(metres):
            raise Absent(f"no leg leads from {start} to {goal}")
        return metres

    # -- figures of the kit

    def bank(self) -> Any:
        """The part of the bank's batteries."""
        return self.part(self.document["bank"]["battery"], "battery")

    def top_v(self) -> float:
        """The highest voltage between the poles: while charging."""
        return CHARGING_V[self.document["chemistry"]] * self.volts / 12

    def array_of(self, controller: str) -> Row:
        """The array on a controller."""
        found = [a for a in self.document["arrays"] if a["controller"] == controller]
        if not found:
            raise Absent(f"no array is on {controller}")
        return found[0]

    def array_charge_a(self, array: Row) -> float:
        """What an array charges with: full power at the lowest voltage, or a pwm's current."""
        panel = self.part(array["panel"], "panel")
        desk = self.device_part(array["controller"], "controller")
        if desk.kind == "pwm":
            return min(array["parallel"] * panel.isc_a, desk.max_charge_a)
        watts = panel.stc_w * array["series"] * array["parallel"] * desk.efficiency_pct / 100
        return min(watts / self.lowest_v, desk.max_charge_a)

    def from_mains(self) -> list[tuple[float, float]]:
        """Amperes into the bank and watts from the inlet of each thing that charges from it."""
        found = []
        for name in self.of_class("charger"):
            part = self.device_part(name, "charger")
            if part.kind == "shore":
                found.append((part.charge_a, part.input_w))
        for name in self.of_class("inverter"):
            part = self.device_part(name, "inverter")
            if part.charge_a and self.fed_from_inlet(name):
                watts = part.charge_a * self.top_v() * 100 / part.efficiency_pct
                found.append((part.charge_a, watts))
        return found

    def from_engine(self) -> list[tuple[float, float]]:
        """Likewise from the engine."""
        parts = [self.device_part(name, "charger") for name in self.of_class("charger")]
        return [(p.charge_a, p.input_w) for p in parts if p.kind == "engine"]

    def fed_from_inlet(self, device: str) -> bool:
        """Whether an AC way leads from the inlet to a device, through whatever stands in it."""
        beside: dict[str, set[str]] = {}
        for c in self.circuits_of("ac"):
            beside.setdefault(c["from"], set()).add(c["to"])
        seen, queue = set(), ["shore inlet"]
        while queue:
            here = queue.pop()
            if here not in seen:
                seen.add(here)
                queue += beside.get(here, ())
        return device in seen

    def discharge_a(self) -> float:
        """The inverter at its rated power, with the DC loads that run together."""
        total = together([x for x in self.needs.loads if x.supply == "dc"]) / self.lowest_v
        for name in self.of_class("inverter"):
            part = self.device_part(name, "inverter")
            total += part.continuous_w / (part.efficiency_pct / 100) / self.lowest_v
        return total

    def charging_a(self) -> float:
        """Everything that charges, at once."""
        others = self.from_mains() + self.from_engine()
        arrays = sum(self.array_charge_a(a) for a in self.document["arrays"])
        return arrays + sum(amps for amps, _ in others)

    def trunk_a(self) -> float:
        """What flows between bank and bus bars at the most."""
        return max(self.discharge_a(), self.charging_a())

    def short_ka(self) -> float:
        """What the bank drives into a short circuit at its posts."""
        cell, bank = self.bank(), self.document["bank"]
        of_12v = cell.nominal_v / (12.8 if cell.chemistry == "lfp" else 12.0)
        usual = SHORT_MOHM[cell.chemistry] * of_12v * 100 / cell.capacity_ah
        string_mohm = bank["series"] * (cell.internal_mohm or usual)
        return float(bank["parallel"] * bank["series"] * cell.nominal_v / string_mohm)


def may_hold(place: Any, cls: str) -> bool:
    """Whether parts of a class may stand in a place; on the ground panels alone."""
    if place.ground:
        return cls == "panel"
    if place.holds is not None:
        return cls in place.holds
    return cls != "panel" and (cls != "battery" or place.height_mm is not None)


def drawn(load: Any) -> float:
    """What one item draws, in watts; of an AC load in volt-amperes."""
    return float(load.watts / (load.power_factor if load.supply == "ac" else 1.0))


def together(loads: Iterable[Any]) -> float:
    """What runs at once, or the largest item alone, in watts."""
    loads = list(loads)
    running = sum(drawn(x) * x.quantity for x in loads if x.together)
    return max([running, *(drawn(x) for x in loads)], default=0.0)


def trade_v(nominal_v: float) -> float:
    """What a battery counts as: 12.8 V as 12 V."""
    return next(
        (v for stated, v in TRADE_V.items() if abs(stated - nominal_v) < 1e-6), nominal_v
    )


def _between_places(needs: Any) -> dict[tuple[str, str], float]:
    """Metres of the shortest ways between all places (Floyd and Warshall)."""
    names = [p.name for p in needs.places]
    far = {(a, b): 0.0 if a == b else math.inf for a in names for b in names}
    for leg in needs.legs:
        for pair in ((leg.from_, leg.to), (leg.to, leg.from_)):
            far[pair] = min(far[pair], leg.length_m)
    for by, a, b in itertools.product(names, repeat=3):
        far[a, b] = min(far[a, b], far[a, by] + far[by, b])
    return far
