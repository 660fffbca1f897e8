"""Designs of any size for the drawings: no kit to buy, but every kind of circuit, many of each.

All is drawn from one seed: strings of panels and batteries, chargers from shore and engine, an
inverter with up to thirty AC loads, blocks with up to two dozen ways, loads straight on the bars,
names of up to two hundred characters. Currents are the same everywhere: a drawing computes none.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator
from dataclasses import replace

from solver.needs import Job, Load, Needs
from solver.parts import Breaker, CommCable, Socket, Switch
from solver.records import (
    Array,
    Bank,
    Circuit,
    Cut,
    Design,
    Device,
    End,
    Extra,
    Link,
    Protection,
)
from tests.oracle import larger_design, small_design

LONG = "of-invented-make-with-a-name-that-does-not-end-" * 4
NO_SIZE = {"length_mm": None, "width_mm": None, "height_mm": None}
PARTS = dict(larger_design.PARTS)
PARTS |= {
    p.part: p
    for p in (
        Switch(
            part="isolator-32", name="isolator", length_mm=80, width_mm=40, height_mm=70, kg=0.3,
            kind="pv", rated_a=32, max_v=600,
        ),
        Breaker(
            part="residual-10", name="AC breaker", length_mm=86, width_mm=36, height_mm=72,
            kg=0.2, kind="IEC 61009-1", rated_a=10, max_v=240, breaking_ka=6, residual_ma=30,
        ),
        Socket(
            part="socket-16", name="socket", **NO_SIZE, kg=0.1, kind="socket", standard="IEC 60884",
            rated_a=16, ac_v=230,
        ),
        Socket(
            part="inlet-16", name="inlet", **NO_SIZE, kg=0.2, kind="inlet",
            standard="IEC 60309-2", rated_a=16, ac_v=230,
        ),
        CommCable(
            part="comm-5m", name="comm cable", **NO_SIZE, kg=0.1, bus="CAN", plug_a="RJ45",
            plug_b="RJ45", run_m=5,
        ),
        replace(PARTS["red-6"], part="earth-16", size="16 mm2", colour="green-yellow"),
    )
}  # fmt: skip
for _name in (
    "strip-40",
    "inverter-500",
    "switch-200",
    "lfp-100",
    "isolator-32",
    "residual-10",
):
    PARTS[_name + LONG] = replace(PARTS[_name], part=_name + LONG)
PARTS["rope"] = replace(PARTS["red-6"], part="rope", size="0000000 AWG", colour=LONG[:190])
WORDS = (
    "pump lamp of the galley fridge Küchenlicht aft 12-V-socket(s) heater <b>&amp; port fan "
)
SINGLE = {"+": "red-6", "-": "black-6"}


def wide_design(seed: int) -> tuple[Design, Needs]:
    """A design of its own for every seed, and what it answers."""
    return _Draw(seed).design()


class _Draw:
    def __init__(self, seed: int) -> None:
        self.r = random.Random(f"drawing {seed}")
        self.devices: list[Device] = []
        self.protections: list[Protection] = []
        self.circuits: list[Circuit] = []
        self.cuts: list[Cut] = []
        self.arrays: list[Array] = []
        self.loads: list[Load] = []
        self.bar = 0
        self.extras: list[Extra] = []
        self.fittings = random.Random(f"fittings {seed}")
        self.fitted = self.fittings.random() < 0.7
        self.long = self.r.random() < 0.3

    def design(self) -> tuple[Design, Needs]:
        r = self.r
        for n in range(1, r.choice((0, 1, 1, 2, 3)) + 1):
            self.array(n, r.choice((1, 2, 3, 6, 14)), r.choice((1, 1, 2, 3)))
        bank = self.bank(r.choice((1, 1, 2, 4, 8, 16)), r.choice((1, 1, 2, 4)))
        if r.random() < 0.8:
            self.inverter(r.choice((0, 1, 4, 30)), charges=r.random() < 0.4)
        for n, kind in enumerate(r.choice(((), ("shore-15",), ("engine-10", "shore-15"))), 1):
            self.charger(n, kind)
        for n in range(1, r.choice((0, 1, 1, 2, 3)) + 1):
            self.block(n, r.choice((1, 3, 6, 12, 24)))
        for _ in range(r.choice((0, 0, 1, 4))):
            self.direct()
        if self.fitted:
            self.earths()
        for bar in ("busbar-pos", "busbar-neg"):
            self.device(bar, "bar-40")
        self.device("switch-1", "switch-200")
        self.device("monitor-1", "monitor-200")
        busbar = replace(PARTS["bar-8"], part="bar-40", studs=self.bar + r.choice((0, 1, 30)))
        made = Design(
            system_voltage_v=24, chemistry="lfp", devices=tuple(self.devices),
            arrays=tuple(self.arrays), bank=bank, protections=tuple(self.protections),
            circuits=tuple(self.circuits), cuts=tuple(self.cuts),
            parts={**PARTS, "bar-40": busbar}, extras=tuple(self.extras),
            links=tuple(self.links(bank.batteries)),
        )  # fmt: skip
        made = replace(
            made, devices=tuple(replace(d, part=made.parts[d.part.part]) for d in made.devices)
        )
        needs = replace(
            larger_design.needs(),
            loads=tuple(self.loads),
            job=Job(name=self.name(), currency="EUR", units=r.choice(("metric", "imperial"))),
        )
        return made, needs

    # -- pieces

    def name(self) -> str:
        """A name that no other load has."""
        words = self.r.choices(WORDS.split(), k=self.r.choice((1, 2, 4, 9)))
        text = " ".join(words) if self.r.random() < 0.9 else "x" * 190
        return f"{text[:190]} {len(self.loads)}"

    def device(self, id: str, part: str) -> str:
        if self.long and part + LONG in PARTS:
            part += LONG
        known = PARTS.get(part) or replace(PARTS["bar-8"], part=part)
        place = LONG[:190] if self.long else "board"
        self.devices.append(
            Device(id=id, part=known, place=place, x_mm=0, y_mm=0, rotated=False)
        )
        return id

    def fuse(self, part: str = "strip-40") -> str:
        name = f"F{1 + sum(p.way is None for p in self.protections)}"
        self.protections.append(
            Protection(
                id=name,
                part=part + LONG * self.long,
                holder="strip-holder",
                place=LONG[:190] if self.long else "board",
                way=None,
            )
        )
        return name

    def circuit(
        self, name: str, kind: str, from_: str, to: str, fuse: str | None = None
    ) -> str:
        one = small_design.circuit(name, kind, (from_, to), 5, 2, small_design.C_6)
        self.circuits.append(replace(one, protection=fuse and "strip-40", protection_id=fuse))
        return name

    def cut(self, circuit: str, cable: str, *ends: tuple[str, str]) -> None:
        self.cuts.append(
            Cut(
                label=f"W{len(self.cuts) + 1}", cable=cable,
                length_mm=self.r.randint(300, 40_000), circuit=circuit, piece_of="a spool",
                ends=tuple(End(at=at, pole=p, stud=None, termination=None) for at, p in ends),
            )
        )  # fmt: skip

    def single(self, circuit: str, pole: str, one: str, other: str) -> None:
        cable = "rope" if self.long and self.r.random() < 0.2 else SINGLE[pole]
        self.cut(circuit, cable, (one, pole), (other, pole))

    def fused(self, circuit: str, fuse: str, sink: tuple[str, str]) -> None:
        """From the bars over a fuse to a device's ports."""
        self.bar += 1
        self.single(circuit, "+", f"busbar-pos:{self.bar}", fuse)
        self.single(circuit, "+", fuse, sink[0])
        self.single(circuit, "-", f"busbar-neg:{self.bar}", sink[1])

    def rung(self, device: str, name: str, kind: str) -> None:
        fuse = self.fuse()
        self.circuit(name, kind, device, "busbar-pos", fuse)
        self.fused(name, fuse, (f"{device}:+", f"{device}:-"))

    # -- what hangs on the bars

    def array(self, n: int, series: int, parallel: int) -> None:
        desk = self.device(f"controller-{n}", "mppt-20")
        first = 1 + sum(d.id.startswith("panel") for d in self.devices)
        panels = tuple(
            self.device(f"panel-{k}", "panel-99")
            for k in range(first, first + series * parallel)
        )
        name = self.circuit(f"array {n}", "array", panels[0], desk)
        into = {"+": f"{desk}:pv+", "-": f"{desk}:pv-"}
        if self.fitted:
            isolator = self.device(f"isolator-{n}", "isolator-32")
            for pole, port in into.items():
                self.single(name, pole, f"{isolator}:out", port)
                into[pole] = f"{isolator}:in"
        self.single(name, "+", f"{panels[0]}:+", into["+"])
        self.single(name, "-", f"{panels[series - 1]}:-", into["-"])
        self.rung(desk, f"controller {n}", "controller")
        self.arrays.append(
            Array(
                controller=desk, panel="panel-99", panels=panels, series=series,
                parallel=parallel, voc_cold_v=50, vmp_hot_v=30, isc_a=6, charge_a=10,
            )
        )  # fmt: skip

    def bank(self, series: int, parallel: int) -> Bank:
        ids = tuple(
            self.device(f"battery-{n + 1}", "lfp-100") for n in range(series * parallel)
        )
        for n in range(parallel):
            string = ids[n * series : (n + 1) * series]
            fuse = self.fuse()
            name = self.circuit(f"string {n + 1}", "battery", string[0], "switch-1", fuse)
            self.single(name, "+", f"{string[0]}:+", fuse)
            self.single(name, "+", fuse, "switch-1:bank")
            self.single(name, "-", f"{string[-1]}:-", "monitor-1:bank")
            for a, b in itertools.pairwise(string):
                link = self.circuit(f"link {a} to {b}", "link", a, b)
                self.cut(link, "black-6", (f"{a}:-", "-"), (f"{b}:+", "+"))
        self.bar += 1
        name = self.circuit("bank to bus bars", "link", "switch-1", "busbar-pos")
        self.single(name, "+", "switch-1:bars", f"busbar-pos:{self.bar}")
        self.single(name, "-", "monitor-1:bars", f"busbar-neg:{self.bar}")
        return Bank(
            battery="lfp-100" + LONG * self.long,
            series=series,
            parallel=parallel,
            batteries=ids,
        )

    def inverter(self, loads: int, *, charges: bool) -> None:
        one = self.device("inverter-1", "inverter-500")
        self.rung(one, "inverter", "inverter")
        for _ in range(loads):
            load = self.load("ac")
            self.ac(f"AC {load}", f"{one}:out", load, one, load)
        if charges:
            self.ac("AC inlet", "shore inlet", f"{one}:in", "shore inlet", one)

    def ac(self, name: str, start: str, goal: str, from_: str, to: str) -> None:
        ways = [start, goal]
        if self.fitted and self.fittings.random() < 0.7:
            ways.insert(1, self.fuse("residual-10"))
        self.circuit(name, "ac", from_, to)
        for way in itertools.pairwise(ways):
            self.cut(name, "ac-1.5", *((at, pole) for pole in ("L", "N", "PE") for at in way))
        if self.fitted:
            part = "inlet-16" if from_ == "shore inlet" else "socket-16"
            quantity = 1 if part == "inlet-16" else self.fittings.choice((1, 3))
            self.extras.append(Extra(part=part, of=name, quantity=quantity))

    def links(self, batteries: tuple[str, ...]) -> Iterator[Link]:
        """Comm cables: of the converters to the monitor, of a battery to the one before."""
        if not self.fitted:
            return
        chains = [[d.id] for d in self.devices if d.id.startswith(("contr", "inv", "charger"))]
        for chain in (*chains, batteries):
            for device, to in zip(chain, ("monitor-1", *chain), strict=False):
                yield Link(part="comm-5m", from_=device, to=to, length_m=2)

    def earths(self) -> None:
        """The bond of the negative bar, and the earth of each case with mains in it."""
        cases = [d.id for d in self.devices if d.id.startswith("inverter")]
        cases += [c.to for c in self.circuits if c.to.startswith("charger") and c.kind == "ac"]
        self.bar += 1
        for name, device, at in (
            ("bond", "busbar-neg", f"busbar-neg:{self.bar}"),
            *((f"earth of {x}", x, f"{x}:earth") for x in cases),
        ):
            self.circuit(name, "bond", device, "chassis")
            self.cut(name, "earth-16", (at, "PE"), ("chassis", "PE"))

    def charger(self, n: int, part: str) -> None:
        one = self.device(f"charger-{n}", part)
        self.rung(one, f"charger {n}", "charger")
        if part == "shore-15":
            self.ac(f"AC charger {n}", "shore inlet", f"{one}:in", "shore inlet", one)
            return
        fuse = self.fuse()
        name = self.circuit(f"engine to charger {n}", "charger", "engine battery", one, fuse)
        self.single(name, "+", "engine battery:+", fuse)
        self.single(name, "+", fuse, f"{one}:in+")
        self.single(name, "-", "engine battery:-", f"{one}:in-")

    def load(self, supply: str) -> str:
        name = self.name()
        quantity = self.r.choice((1, 1, 4))
        place = self.r.choice(("bench", "the far end of the aft cabin, port side"))
        self.loads.append(
            Load(
                name=name, supply=supply, watts=20, hours_per_day=1, place=place,
                quantity=quantity,
            )
        )  # fmt: skip
        return name

    def block(self, n: int, ways: int) -> None:
        block, fuse = f"FB{n}", self.fuse()
        feed = self.circuit(f"feed {n}", "feed", "busbar-pos", block, fuse)
        self.fused(feed, fuse, (f"{block}:+", f"{block}:-"))
        for way in range(1, ways + 1):
            load, id_ = self.load("dc"), f"{block}:{way}"
            self.protections.append(
                Protection(id=id_, part="blade-5", holder="block-6", place="board", way=way)
            )
            self.circuit(load, "load", block, load, id_)
            if self.r.random() < 0.6:
                ends = [(id_, "+"), (load, "+"), (f"{block}:-", "-"), (load, "-")]
                self.cut(load, "pair-1.5", *ends)
            else:
                self.single(load, "+", id_, load)
                self.single(load, "-", f"{block}:-", load)

    def direct(self) -> None:
        load, fuse = self.load("dc"), self.fuse()
        self.circuit(load, "load", "busbar-pos", load, fuse)
        self.fused(load, fuse, (load, load))
