"""A second correct design made by hand: 24 V, with what the small one lacks.

Two strings of two batteries, two strings of panels on a branch pair, chargers from shore and
from the engine, a load straight from the bus bars. Numbers are worked out here; the bill is
counted from the design. All parts are invented.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from decimal import Decimal

from solver.fittings import FITTINGS
from solver.needs import Charging, Leg, Limits, Load, Needs, Place
from solver.parts import Busbar, Cable, Charger
from solver.records import Array, Bank, Design, Device, Extra, Line, Protection
from tests.oracle import small_design as small
from tests.oracle.small_design import (
    A_1_5,
    A_4_ROOF,
    C_6,
    C_16,
    circuit,
    cut,
    end,
    fuse,
    fused,
    pair,
    sheathed,
)

PARTS = {p.part: p for p in (*small.PARTS, *small.SPARE_PARTS)}
PARTS["inverter-500"] = replace(PARTS["inverter-500"], dc_v=24)
PARTS |= {
    p.part: p
    for p in (
        Busbar(
            part="bar-8", name="bus bar", length_mm=250, width_mm=40, height_mm=40, kg=0.6,
            rated_a=150, studs=8, stud="M8",
        ),
        Charger(
            part="shore-15", name="charger", length_mm=150, width_mm=100, height_mm=60, kg=1,
            kind="shore", battery_v=(24,), charge_a=15, input_w=480, stud=None,
        ),
        Charger(
            part="engine-10", name="charger", length_mm=150, width_mm=100, height_mm=60, kg=1,
            kind="engine", battery_v=(24,), charge_a=10, input_w=330, stud=None,
        ),
        fuse("main-30", "post", 30, 10, "post-holder"),
        fuse("strip-40", "strip", 40, 2, "strip-holder"),
        fuse("blade-15", "blade", 15, 1, "blade-holder"),
        fuse("blade-20", "blade", 20, 1, "blade-holder"),
    )
}  # fmt: skip


def needs() -> Needs:
    """What the larger design answers."""
    first = small.needs()
    places = {p.name: p for p in first.places}
    places["roof"] = replace(places["roof"], length_mm=4000, obstacles=())
    places["locker"] = replace(places["locker"], length_mm=700, width_mm=400, max_kg=50)
    places["cab"] = Place(name="cab", length_mm=500, width_mm=500, holds=())
    return replace(
        first,
        loads=(
            *first.loads,
            Load(name="Pump", supply="dc", watts=110, hours_per_day=1, place="bench"),
        ),
        places=tuple(places.values()),
        legs=(*first.legs, Leg(from_="cab", to="board", length_m=4)),
        charging=(
            Charging(kind="shore", max_w=600, hours_per_day=4, place="bench"),
            Charging(kind="engine", max_w=400, hours_per_day=1, place="cab"),
        ),
        limits=Limits(total_kg=120),
    )


INVERTER_A = 500 / 0.9 / 22
CHARGE_A = 4 * 100 * 0.97 / 22
BANK_A = CHARGE_A + 15 + 10
"""42.6 A; the inverter with the DC loads, 8 A, is less."""
TO_BENCH = (("board", "bench"),)
SHORE_A = 480 / 230
TO_BENCH_10 = 0.5
"""The pump and the shore lead go there too: 7 to 24 conductors, 33 CFR 183.425, Table 5, note 2."""
STRINGS_4 = 0.6
"""Two strings from the locker: 4 to 6."""
C_PAIR = ("pair-1.5", 1.5, 13.3, A_1_5 * TO_BENCH_10)
C_6_STRING = (*C_6[:3], C_6[3] * STRINGS_4)
C_6_BENCH = (*C_6[:3], C_6[3] * TO_BENCH_10)

CIRCUITS = (
    circuit(
        "array 1", "array", ("panel-1", "controller-1"), 11.6, 3,
        ("pv-red-4", 4, 4.95, A_4_ROOF), via=(("roof", "board"),), drop=(11, 36),
    ),
    circuit(
        "controller 1", "controller", ("controller-1", "busbar-pos"), CHARGE_A, 1, C_6,
        ("blade-25", "F4"), drop=(CHARGE_A, 24),
    ),
    *(
        circuit(
            f"string {n}", "battery", (first, "switch-1"), BANK_A / 2, 1, C_6_STRING,
            ("main-30", f"F{n}"), via=(("locker", "board"),), drop=(BANK_A / 2, 24),
        )
        for n, first in ((1, "battery-1"), (2, "battery-3"))
    ),
    *(
        circuit(
            f"link {n}", "link", ends, BANK_A / 2, 1, C_6, conductors=1, drop=(BANK_A / 2, 24)
        )
        for n, ends in ((1, ("battery-1", "battery-2")), (2, ("battery-3", "battery-4")))
    ),
    circuit("bars", "link", ("switch-1", "busbar-pos"), BANK_A, 1, C_16, drop=(BANK_A, 24)),
    circuit(
        "inverter", "inverter", ("busbar-pos", "inverter-1"), INVERTER_A, 1, C_6,
        ("strip-40", "F3"), drop=(INVERTER_A, 24),
    ),
    circuit(
        "shore charger", "charger", ("charger-1", "busbar-pos"), 15, 1, C_6,
        ("blade-20", "F5"), drop=(15, 24),
    ),
    circuit(
        "shore", "ac", ("shore inlet", "charger-1"), SHORE_A, 2.5,
        ("ac-1.5", 1.5, 13.3, A_1_5 * TO_BENCH_10), via=(("bench", "board"),), drop=(SHORE_A, 230),
        conductors=3,
    ),
    circuit(
        "engine charger", "charger", ("charger-2", "busbar-pos"), 10, 1, C_6,
        ("blade-15", "F6"), drop=(10, 24),
    ),
    circuit(
        "engine", "charger", ("engine battery", "charger-2"), 330 / 11, 4, C_16,
        ("strip-40", "F7"), via=(("cab", "board"),), drop=(330 / 11, 24),
    ),
    circuit(
        "feed 1", "feed", ("busbar-pos", "FB1"), 3, 1, C_6, ("blade-5", "F8"), drop=(3, 24)
    ),
    circuit(
        "lamps", "load", ("FB1", "Lamps"), 1, 2.5, C_PAIR, ("blade-5", "FB1:1"), TO_BENCH,
        drop=(1, 24),
    ),
    circuit(
        "fridge", "load", ("FB1", "Fridge"), 2, 2.5, C_PAIR, ("blade-5", "FB1:2"), TO_BENCH,
        drop=(2, 24),
    ),
    circuit(
        "pump", "load", ("busbar-pos", "Pump"), 5, 2.5, C_6_BENCH, ("blade-7.5", "F9"), TO_BENCH,
        drop=(5, 24),
    ),
    *(replace(c, ampacity_a=A_1_5 * TO_BENCH_10) for c in small.CIRCUITS if c.name == "kettle"),
)  # fmt: skip


def _protections() -> tuple[Protection, ...]:
    rows = (
        ("F1", "main-30", "post-holder", "locker"),
        ("F2", "main-30", "post-holder", "locker"),
        ("F3", "strip-40", "strip-holder", "board"),
        ("F4", "blade-25", "blade-holder", "board"),
        ("F5", "blade-20", "blade-holder", "board"),
        ("F6", "blade-15", "blade-holder", "board"),
        ("F7", "strip-40", "strip-holder", "cab"),
        ("F8", "blade-5", "blade-holder", "board"),
        ("F9", "blade-7.5", "blade-holder", "board"),
        ("FB1:1", "blade-5", "block-6", "board"),
        ("FB1:2", "blade-5", "block-6", "board"),
    )
    return tuple(
        Protection(
            id=name, part=part, holder=holder, place=place,
            way=int(name[-1]) if ":" in name else None,
        )
        for name, part, holder, place in rows
    )  # fmt: skip


RED_BLACK_6 = ("red-6", "black-6")


def _string(n: int, first: int) -> tuple:
    """A string: + to its fuse and on to the switch, the link, - to the shunt."""
    a, b = f"battery-{first}", f"battery-{first + 1}"
    return (
        sheathed(f"S{n}1", "red-6", 450, f"string {n}", end(f"{a}:+", "+", 6, "M8"),
            end(f"F{n}:in", "+", 6, "M8")),
        cut(f"S{n}2", "red-6", 1150, f"string {n}", end(f"F{n}:out", "+", 6, "M8"),
            end("switch-1:bank", "+", 6, "M8")),
        cut(f"S{n}3", "black-6", 1300, f"string {n}", end(f"{b}:-", "-", 6, "M8"),
            end("monitor-1:bank", "-", 6, "M8")),
        cut(f"S{n}4", "black-6", 1300, f"link {n}", end(f"{a}:-", "-", 6, "M8"),
            end(f"{b}:+", "+", 6, "M8")),
    )  # fmt: skip


def _engine() -> tuple:
    """Fused 0.15 m from the engine's battery, 3.85 m on to the charger."""
    return (
        sheathed("E1", "red-16", 450, "engine", end("engine battery:+", "+", 16, "M8"),
            end("F7:in", "+", 16, "M8")),
        cut("E2", "red-16", 4150, "engine", end("F7:out", "+", 16, "M8"),
            end("charger-2:in+", "+", 16)),
        cut("E3", "black-16", 4300, "engine", end("engine battery:-", "-", 16, "M8"),
            end("charger-2:in-", "-", 16)),
    )  # fmt: skip


def _pump() -> tuple:
    return (
        sheathed("P1", "red-6", 450, "pump", end("busbar-pos:7", "+", 6, "M8"), end("F9:in", "+", 6)),
        cut("P2", "red-6", 2650, "pump", end("F9:out", "+", 6), end("Pump", "+", 6)),
        cut("P3", "black-6", 2800, "pump", end("busbar-neg:7", "-", 6, "M8"),
            end("Pump", "-", 6)),
    )  # fmt: skip


def _cuts() -> tuple:
    kept = {c.label: c for c in small.CUTS}
    return (
        *_string(1, 1),
        *_string(2, 3),
        cut("W4", "red-16", 1300, "bars", end("switch-1:bars", "+", 16, "M8"),
            end("busbar-pos:1", "+", 16, "M8")),
        cut("W5", "black-16", 1300, "bars", end("monitor-1:bars", "-", 16, "M8"),
            end("busbar-neg:1", "-", 16, "M8")),
        *fused(6, "inverter", RED_BLACK_6, ("F3", "M8"), ("inverter-1", "M6"), 2, 6),
        *fused(9, "controller 1", RED_BLACK_6, ("F4", None), ("controller-1", None), 3, 6),
        *fused(20, "shore charger", RED_BLACK_6, ("F5", None), ("charger-1", None), 4, 6),
        *fused(23, "engine charger", RED_BLACK_6, ("F6", None), ("charger-2", None), 5, 6),
        *fused(26, "feed 1", RED_BLACK_6, ("F8", None), ("FB1", "M5"), 6, 6),
        *_engine(),
        *_pump(),
        *(kept[label] for label in ("W15", "W16", "W19")),
        pair("W17", "lamps", "FB1:1", "Lamps"),
        pair("W18", "fridge", "FB1:2", "Fridge"),
        cut("W29", "ac-1.5", 2800, "shore",
            *(end(at, pole, 1.5) for pole in ("L", "N", "PE")
              for at in ("shore inlet", "charger-1:in"))),
    )  # fmt: skip


def _device(name: str, part: str, place: str, x: float, y: float) -> Device:
    return Device(id=name, part=PARTS[part], place=place, x_mm=x, y_mm=y, rotated=False)


def design() -> Design:
    """The design."""
    lug = replace(PARTS["lug-6-m8"], part="lug-6-m6", name="lug-6-m6", stud="M6")
    return Design(
        without=tuple(f.name for f in FITTINGS),
        system_voltage_v=24,
        chemistry="lfp",
        devices=(
            *(_device(f"panel-{n}", "panel-99", "roof", 20 + 920 * (n - 1), 20)
              for n in (1, 2, 3, 4)),
            *(_device(f"battery-{n}", "lfp-100", "locker", x, y)
              for n, x, y in ((1, 0, 0), (2, 340, 0), (3, 0, 180), (4, 340, 180))),
            _device("controller-1", "mppt-20", "board", 10, 10),
            _device("inverter-1", "inverter-500", "board", 170, 10),
            _device("busbar-pos", "bar-8", "board", 430, 10),
            _device("busbar-neg", "bar-8", "board", 430, 60),
            _device("switch-1", "switch-200", "board", 430, 110),
            _device("monitor-1", "monitor-200", "board", 510, 110),
            _device("charger-1", "shore-15", "board", 10, 300),
            _device("charger-2", "engine-10", "board", 170, 300),
        ),
        arrays=(
            Array(
                controller="controller-1", panel="panel-99",
                panels=tuple(f"panel-{n}" for n in (1, 2, 3, 4)), series=2, parallel=2,
                voc_cold_v=2 * 22 * (1 + 0.003 * 35), vmp_hot_v=2 * 18 * (1 - 0.0035 * 40),
                isc_a=11.6, charge_a=CHARGE_A,
            ),
        ),
        bank=Bank(
            battery="lfp-100", series=2, parallel=2,
            batteries=tuple(f"battery-{n}" for n in (1, 2, 3, 4)),
        ),
        protections=_protections(),
        circuits=CIRCUITS,
        cuts=_cuts(),
        parts={**PARTS, lug.part: lug},
        extras=(Extra(part="pv-branch", of="array 1", quantity=1),),
    )  # fmt: skip


def lines() -> tuple[Line, ...]:
    """A bill that buys each part by itself, counted from the design, at one a piece or metre."""
    made = design()
    count: Counter[str] = Counter(d.part.part for d in made.devices)
    ends = Counter(e.termination for c in made.cuts for e in c.ends if e.termination)
    ends["pv-branch"] = 1
    fuses = Counter(p.part for p in made.protections)
    holders = Counter(p.holder for p in made.protections if p.way is None)
    metres: dict[str, Decimal] = {}
    for c in made.cuts:
        metres[c.cable] = metres.get(c.cable, Decimal(0)) + Decimal(c.length_mm) / 1000
    spares = {name: math.ceil(n / 10) for name, n in ends.items()} | dict.fromkeys(fuses, 1)
    need: dict[str, Decimal] = {k: Decimal(n) for k, n in (count + ends + fuses).items()}
    need |= {str(k): Decimal(n) for k, n in holders.items()} | {"block-6": Decimal(1)} | metres
    found = []
    for name, quantity in need.items():
        total = quantity + spares.get(name, 0)
        packs = math.ceil(total)
        found.append(
            Line(
                part=name, part_class="", name=name,
                unit="m" if isinstance(made.parts[name], Cable) else "each", need=total,
                spares=Decimal(spares.get(name, 0)), owned=Decimal(0), buy=Decimal(packs),
                supplier="north", pack=Decimal(1), packs=packs, price=Decimal(1),
                line_total=Decimal(packs), why="",
            )
        )  # fmt: skip
    return tuple(found)
