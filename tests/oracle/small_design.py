"""A small correct design made by hand: 12 V, two panels, one battery, an inverter, three loads.

Every number the design states is worked out here from the needs, with the arithmetic beside it,
and not by the project's own rules; table values are those of the sources named. All parts are
invented.

The wiring, with the pieces' labels:

    panel-1, panel-2 --W15, W16--> controller-1
    battery-1 + --W1-- F1 --W2-- switch-1 --W4-- busbar-pos
    battery-1 - --W3-- monitor-1 --W5-- busbar-neg
    busbar-pos --W6-- F2 --W7-- inverter-1 + ; busbar-neg --W8-- inverter-1 -
    busbar-pos --W9-- F3 --W10-- controller-1 + ; busbar-neg --W11-- controller-1 -
    busbar-pos --W12-- F4 --W13-- FB1 + ; busbar-neg --W14-- FB1 -
    FB1 --W17--> Lamps ; FB1 --W18--> Fridge ; inverter-1 --W19--> Kettle
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date
from decimal import Decimal

from solver.fittings import FITTINGS
from solver.needs import (
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Needs,
    Obstacle,
    Order,
    Place,
    Rules,
    Site,
)
from solver.parts import (
    Battery,
    Busbar,
    Cable,
    Connector,
    Controller,
    Fuse,
    Holder,
    Inverter,
    Lug,
    Monitor,
    Panel,
    Switch,
)
from solver.parts.base import Part
from solver.records import (
    Array,
    Bank,
    Circuit,
    Cut,
    Design,
    Device,
    End,
    Line,
    Protection,
    SupplierOrder,
)

# --- parts ------------------------------------------------------------------------------------


def size(length: float, width: float, height: float, kg: float) -> dict[str, float]:
    return {"length_mm": length, "width_mm": width, "height_mm": height, "kg": kg}


def cable(
    part: str, use: str, area: float, ohm: float, insulation: float, colour: str
) -> Cable:
    return Cable(
        part=part, name=part, kg=area * 0.012, use=use, area_mm2=area, ohm_per_km_20c=ohm,
        size=f"{area:g} mm2", insulation_c=insulation, outer_mm=math.sqrt(area) * 2 + 2,
        colour=colour,
    )  # fmt: skip


def fuse(part: str, kind: str, rated: float, ka: float, holder: str) -> Fuse:
    return Fuse(
        part=part, name=part, kg=0.02, kind=kind, rated_a=rated, max_v=32, breaking_ka=ka,
        stud=None, holder=holder,
    )  # fmt: skip


def holder(part: str, kind: str, rated: float, stud: str | None, ways: int = 1) -> Holder:
    return Holder(
        part=part, name=part, kg=0.1, kind=kind, rated_a=rated, max_v=58, stud=stud, ways=ways
    )


def lug(area: float, stud: str) -> Lug:
    name = f"lug-{area:g}-{stud.lower()}"
    return Lug(part=name, name=name, kg=0.01, area_mm2=area, stud=stud, kind="tube")


PARTS: tuple[Part, ...] = (
    Panel(
        part="panel-99", name="panel", **size(900, 600, 35, 6.5), stc_w=100, voc_v=22, isc_a=5.8,
        vmp_v=18, imp_a=5.5, voc_pct_per_c=-0.3, pmax_pct_per_c=-0.35, max_system_v=600,
        series_fuse_a=15,
    ),
    Controller(
        part="mppt-20", name="controller", **size(150, 100, 60, 0.8), kind="mppt",
        battery_v=(12, 24), max_pv_v=75, max_pv_a=15, headroom_v=2, max_charge_a=20,
        efficiency_pct=97, own_w=1,
    ),
    Battery(
        part="lfp-100", name="battery", **size(330, 170, 220, 11), chemistry="lfp",
        nominal_v=12.8, capacity_ah=100, usable_pct=80, charge_efficiency_pct=96,
        max_charge_a=50, max_discharge_a=100, max_series=4, max_parallel=4, min_charge_c=0,
        stud="M8",
    ),
    Inverter(
        part="inverter-500", name="inverter", **size(250, 200, 80, 2.5), dc_v=12,
        continuous_w=500, surge_w=1000, efficiency_pct=90, idle_w=5, ac_v=230, hz=50, charge_a=0,
        stud="M6",
    ),
    Busbar(
        part="bar-150", name="bus bar", **size(200, 40, 40, 0.4), rated_a=150, studs=5, stud="M8"
    ),
    Switch(
        part="switch-200", name="switch", **size(70, 70, 60, 0.3), kind="battery", rated_a=200,
        max_v=48, stud="M8",
    ),
    Monitor(
        part="monitor-200", name="monitor", **size(80, 50, 40, 0.3), rated_a=200, own_w=0.5,
        stud="M8",
    ),
    cable("red-25", "battery", 25, 0.78, 105, "red"),
    cable("black-25", "battery", 25, 0.78, 105, "black"),
    cable("red-16", "battery", 16, 1.21, 105, "red"),
    cable("black-16", "battery", 16, 1.21, 105, "black"),
    cable("red-6", "battery", 6, 3.3, 105, "red"),
    cable("black-6", "battery", 6, 3.3, 105, "black"),
    cable("pv-red-4", "pv", 4, 4.95, 105, "red"),
    cable("pv-black-4", "pv", 4, 4.95, 105, "black"),
    cable("pair-1.5", "pair", 1.5, 13.3, 70, "black"),
    cable("ac-1.5", "ac", 1.5, 13.3, 70, "grey"),
    fuse("main-80", "post", 80, 10, "post-holder"),
    fuse("strip-80", "strip", 80, 2, "strip-holder"),
    fuse("blade-25", "blade", 25, 1, "blade-holder"),
    fuse("blade-10", "blade", 10, 1, "blade-holder"),
    fuse("blade-7.5", "blade", 7.5, 1, "blade-holder"),
    fuse("blade-5", "blade", 5, 1, "blade-holder"),
    holder("post-holder", "post", 300, "M8"),
    holder("strip-holder", "strip", 200, "M8"),
    holder("blade-holder", "blade", 30, None),
    holder("block-6", "blade", 60, "M5", ways=6),
    lug(25, "M8"),
    lug(16, "M8"),
    lug(16, "M6"),
    lug(6, "M8"),
    lug(6, "M5"),
    Connector(
        part="pv-plug", name="plug", kg=0.02, kind="plug", area_from_mm2=2.5, area_to_mm2=6,
        rated_a=30, max_v=1000,
    ),
    Connector(
        part="pv-socket", name="socket", kg=0.02, kind="socket", area_from_mm2=2.5, area_to_mm2=6,
        rated_a=30, max_v=1000,
    ),
)  # fmt: skip

SPARE_PARTS: tuple[Part, ...] = (
    cable("red-10", "battery", 10, 1.91, 105, "red"),
    fuse("main-100", "post", 100, 10, "post-holder"),
    fuse("main-80-weak", "post", 80, 2, "post-holder"),
    fuse("strip-60", "strip", 60, 2, "strip-holder"),
    fuse("blade-odd", "blade", 27, 1, "blade-holder"),
    fuse("blade-30", "blade", 30, 1, "blade-holder"),
    fuse("blade-10-other", "blade", 10, 1, "blade-holder"),
    lug(25, "M10"),
    lug(16, "M10"),
    Connector(
        part="pv-branch", name="branch pair", kg=0.05, kind="branch pair", area_from_mm2=2.5,
        area_to_mm2=6, rated_a=30, max_v=1000,
    ),
)  # fmt: skip
"""Parts that planted faults use; the correct design names none of them."""

# --- needs ------------------------------------------------------------------------------------


def needs() -> Needs:
    """What the small design answers."""
    sun = (5.0,) * 12
    return Needs(
        job=Job(name="Small shed", currency="EUR"),
        site=Site(
            latitude_deg=47, longitude_deg=11, tilt_deg=30, azimuth_deg=180, coldest_c=-10,
            hottest_c=35, sun_hours=sun,
        ),
        energy=Energy(autonomy_days=1, inverter_hours_per_day=4),
        loads=(
            Load(name="Lamps", supply="dc", watts=5.5, quantity=4, hours_per_day=5, place="bench"),
            Load(name="Fridge", supply="dc", watts=44, hours_per_day=8, place="bench"),
            Load(name="Kettle", supply="ac", watts=300, hours_per_day=0.25, place="bench"),
        ),
        places=(
            Place(
                name="roof", length_mm=2000, width_mm=1000, holds=("panel",), max_kg=30,
                margin_mm=20, max_c=55,
                obstacles=(
                    Obstacle(name="pipe", x_mm=1850, y_mm=700, length_mm=100, width_mm=100),
                ),
            ),
            Place(
                name="locker", length_mm=500, width_mm=300, height_mm=300, max_kg=20, min_c=5,
            ),
            Place(name="board", length_mm=800, width_mm=500, max_kg=15, margin_mm=10),
            Place(name="bench", length_mm=1000, width_mm=500, holds=()),
        ),
        legs=(
            Leg(from_="roof", to="board", length_m=3),
            Leg(from_="locker", to="board", length_m=1),
            Leg(from_="board", to="bench", length_m=2.5),
            Leg(from_="locker", to="bench", length_m=4),
        ),
        limits=Limits(total_kg=60, budget=Decimal(2000)),
        rules=Rules(),
        order=Order(
            start=date(2027, 1, 11), need_by=date(2027, 2, 1), avoid_suppliers=("far",)
        ),
        sun_hours=sun,
    )  # fmt: skip


# --- design -----------------------------------------------------------------------------------

HEAT_35 = math.sqrt((105 - 35) / (105 - 30))
"""Ambient 35 °C, insulation 105 °C: NEC 310.15(B)(2)."""
HEAT_55 = math.sqrt((105 - 55) / (105 - 30))
"""The roof's 55 °C."""
HEAT_35_OF_70 = math.sqrt((70 - 35) / (70 - 30))

A_25 = 170 * HEAT_35
"""25 mm², 105 °C: ISO 10133 170 A; 33 CFR 183.425 between 4 AWG and 3 AWG 173.8 A."""
A_16 = 130 * HEAT_35
"""ISO 130 A; 33 CFR between 6 and 4 AWG 133.7 A."""
A_6 = 60 * HEAT_35
"""ISO 60 A; 33 CFR between 10 and 8 AWG 64.8 A."""
A_4_ROOF = 45 * HEAT_55
"""ISO 45 A; 33 CFR between 12 and 10 AWG 50.3 A."""
A_1_5 = (15 + 5 * (1.5 - 1.31) / (2.08 - 1.31)) * HEAT_35_OF_70
"""70 °C: 33 CFR between 16 and 14 AWG 16.2 A; ISO between 1 and 2.5 mm² 17.7 A."""

TO_BENCH_6 = 0.6
"""Lamps, fridge and kettle share the way to the bench: 4 to 6 conductors, 33 CFR 183.425, Table
5, note 2."""

WORKING = 1 + 0.00393 * 40
"""Copper at 60 °C over copper at 20 °C."""

INVERTER_A = 500 / 0.9 / 11
LOADS_A = (22 + 44) / 11
BANK_A = INVERTER_A + LOADS_A
"""56.5 A, more than the array's charge."""
CHARGE_A = 2 * 100 * 0.97 / 11


def circuit(
    name: str,
    kind: str,
    ends: tuple[str, str],
    amps: float,
    metres: float,
    cable: tuple[str, float, float, float],
    protection: tuple[str, str] | tuple[None, None] = (None, None),
    via: tuple[tuple[str, str], ...] = (),
    drop: tuple[float, float] | None = None,
    conductors: int = 2,
) -> Circuit:
    """A circuit; `cable` is part, area, Ω/km and ampacity, `drop` its own current and base."""
    part, area, ohm, ampacity = cable
    drop_a, base = drop or (amps, 12)
    volts = conductors * metres * drop_a * ohm / 1000 * WORKING
    return Circuit(
        name=name, kind=kind, from_=ends[0], to=ends[1], conductors=conductors, current_a=amps,
        design_a=1.25 * amps, length_m=metres, cable=part, area_mm2=area, ampacity_a=ampacity,
        drop_v=volts, drop_pct=100 * volts / base, protection=protection[0],
        protection_id=protection[1], via=via,
    )  # fmt: skip


C_25 = ("red-25", 25, 0.78, A_25)
C_16 = ("red-16", 16, 1.21, A_16)
C_6 = ("red-6", 6, 3.3, A_6)
C_PAIR = ("pair-1.5", 1.5, 13.3, A_1_5 * TO_BENCH_6)

CIRCUITS = (
    circuit(
        "array 1", "array", ("panel-1", "controller-1"), 5.8, 3,
        ("pv-red-4", 4, 4.95, A_4_ROOF), via=(("roof", "board"),), drop=(5.5, 36),
    ),
    circuit(
        "controller 1", "controller", ("controller-1", "busbar-pos"), CHARGE_A, 1, C_6,
        ("blade-25", "F3"),
    ),
    circuit(
        "bank", "battery", ("battery-1", "switch-1"), BANK_A, 1, C_25, ("main-80", "F1"),
        via=(("locker", "board"),),
    ),
    circuit("bars", "link", ("switch-1", "busbar-pos"), BANK_A, 1, C_25),
    circuit(
        "inverter", "inverter", ("busbar-pos", "inverter-1"), INVERTER_A, 1, C_16,
        ("strip-80", "F2"),
    ),
    circuit("feed 1", "feed", ("busbar-pos", "FB1"), LOADS_A, 1, C_6, ("blade-10", "F4")),
    circuit(
        "lamps", "load", ("FB1", "Lamps"), 2, 2.5, C_PAIR, ("blade-5", "FB1:1"),
        via=(("board", "bench"),),
    ),
    circuit(
        "fridge", "load", ("FB1", "Fridge"), 4, 2.5, C_PAIR, ("blade-7.5", "FB1:2"),
        via=(("board", "bench"),),
    ),
    circuit(
        "kettle", "ac", ("inverter-1", "Kettle"), 300 / 230, 2.5, ("ac-1.5", 1.5, 13.3, A_1_5 * TO_BENCH_6),
        via=(("board", "bench"),), drop=(300 / 230, 230), conductors=3,
    ),
)  # fmt: skip

PROTECTIONS = (
    Protection(id="F1", part="main-80", holder="post-holder", place="locker", way=None),
    Protection(id="F2", part="strip-80", holder="strip-holder", place="board", way=None),
    Protection(id="F3", part="blade-25", holder="blade-holder", place="board", way=None),
    Protection(id="F4", part="blade-10", holder="blade-holder", place="board", way=None),
    Protection(id="FB1:1", part="blade-5", holder="block-6", place="board", way=1),
    Protection(id="FB1:2", part="blade-7.5", holder="block-6", place="board", way=2),
)


def end(at: str, pole: str, area: float, stud: str | None = None) -> End:
    lug = None if stud is None else f"lug-{area:g}-{stud.lower()}"
    return End(at=at, pole=pole, stud=stud, termination=lug)


def cut(label: str, cable: str, mm: int, circuit: str, *ends: End) -> Cut:
    return Cut(
        label=label, cable=cable, length_mm=mm, circuit=circuit, piece_of=f"{cable} by the metre",
        ends=ends,
    )  # fmt: skip


def sheathed(label: str, cable: str, mm: int, circuit: str, *ends: End) -> Cut:
    """Longer than 200 mm before its protection, slack included: ISO 10133, from memory."""
    return replace(cut(label, cable, mm, circuit, *ends), sheathed=True)


def fused(
    first: int, circuit: str, colour: tuple[str, str], fuse: tuple[str, str | None],
    sink: tuple[str, str | None], bar: int, area: float,
) -> tuple[Cut, ...]:  # fmt: skip
    """Bar to fuse 0.15 m, fuse to device 0.85 m, the negative 1 m; 0.3 m of slack on each."""
    red, black = colour
    return (
        sheathed(f"W{first}", red, 450, circuit, end(f"busbar-pos:{bar}", "+", area, "M8"),
             end(f"{fuse[0]}:in", "+", area, fuse[1])),
        cut(f"W{first + 1}", red, 1150, circuit, end(f"{fuse[0]}:out", "+", area, fuse[1]),
             end(f"{sink[0]}:+", "+", area, sink[1])),
        cut(f"W{first + 2}", black, 1300, circuit, end(f"busbar-neg:{bar}", "-", area, "M8"),
             end(f"{sink[0]}:-", "-", area, sink[1])),
    )  # fmt: skip


def pair(label: str, circuit: str, way: str, load: str) -> Cut:
    return cut(
        label, "pair-1.5", 2800, circuit, end(way, "+", 1.5), end(load, "+", 1.5),
        end("FB1:-", "-", 1.5), end(load, "-", 1.5),
    )  # fmt: skip


CUTS = (
    sheathed("W1", "red-25", 450, "bank", end("battery-1:+", "+", 25, "M8"),
         end("F1:in", "+", 25, "M8")),
    cut("W2", "red-25", 1150, "bank", end("F1:out", "+", 25, "M8"),
         end("switch-1:bank", "+", 25, "M8")),
    cut("W3", "black-25", 1300, "bank", end("battery-1:-", "-", 25, "M8"),
         end("monitor-1:bank", "-", 25, "M8")),
    cut("W4", "red-25", 1300, "bars", end("switch-1:bars", "+", 25, "M8"),
         end("busbar-pos:1", "+", 25, "M8")),
    cut("W5", "black-25", 1300, "bars", end("monitor-1:bars", "-", 25, "M8"),
         end("busbar-neg:1", "-", 25, "M8")),
    *fused(6, "inverter", ("red-16", "black-16"), ("F2", "M8"), ("inverter-1", "M6"), 2, 16),
    *fused(9, "controller 1", ("red-6", "black-6"), ("F3", None), ("controller-1", None), 3, 6),
    *fused(12, "feed 1", ("red-6", "black-6"), ("F4", None), ("FB1", "M5"), 4, 6),
    cut("W15", "pv-red-4", 3300, "array 1",
         End(at="panel-1:+", pole="+", stud=None, termination="pv-plug"),
         end("controller-1:pv+", "+", 4)),
    cut("W16", "pv-black-4", 3300, "array 1",
         End(at="panel-2:-", pole="-", stud=None, termination="pv-socket"),
         end("controller-1:pv-", "-", 4)),
    pair("W17", "lamps", "FB1:1", "Lamps"),
    pair("W18", "fridge", "FB1:2", "Fridge"),
    cut("W19", "ac-1.5", 2800, "kettle",
         *(end(at, pole, 1.5) for pole in ("L", "N", "PE") for at in ("inverter-1:out", "Kettle"))),
)  # fmt: skip

BY_NAME = {p.part: p for p in PARTS}


def device(name: str, part: str, place: str, x: float, y: float) -> Device:
    return Device(id=name, part=BY_NAME[part], place=place, x_mm=x, y_mm=y, rotated=False)


def design() -> Design:
    """The design."""
    return Design(
        without=tuple(f.name for f in FITTINGS),
        system_voltage_v=12,
        chemistry="lfp",
        devices=(
            device("panel-1", "panel-99", "roof", 20, 20),
            device("panel-2", "panel-99", "roof", 940, 20),
            device("battery-1", "lfp-100", "locker", 0, 0),
            device("controller-1", "mppt-20", "board", 10, 10),
            device("inverter-1", "inverter-500", "board", 170, 10),
            device("busbar-pos", "bar-150", "board", 430, 10),
            device("busbar-neg", "bar-150", "board", 430, 60),
            device("switch-1", "switch-200", "board", 430, 110),
            device("monitor-1", "monitor-200", "board", 510, 110),
        ),
        arrays=(
            Array(
                controller="controller-1", panel="panel-99", panels=("panel-1", "panel-2"),
                series=2, parallel=1, voc_cold_v=2 * 22 * (1 + 0.003 * 35),
                vmp_hot_v=2 * 18 * (1 - 0.0035 * 40), isc_a=5.8, charge_a=CHARGE_A,
            ),
        ),
        bank=Bank(battery="lfp-100", series=1, parallel=1, batteries=("battery-1",)),
        protections=PROTECTIONS,
        circuits=CIRCUITS,
        cuts=CUTS,
        parts=dict(BY_NAME),
    )  # fmt: skip


# --- bill -------------------------------------------------------------------------------------

# part, need with spares, spares, supplier, pack, packs, price of a pack
_BILL = (
    ("panel-99", "2", "0", "north", "1", 2, "90"),
    ("mppt-20", "1", "0", "north", "1", 1, "110"),
    ("lfp-100", "1", "0", "north", "1", 1, "420"),
    ("inverter-500", "1", "0", "north", "1", 1, "160"),
    ("bar-150", "2", "0", "north", "1", 2, "18"),
    ("switch-200", "1", "0", "north", "1", 1, "22"),
    ("monitor-200", "1", "0", "north", "1", 1, "60"),
    ("red-25", "2.9", "0", "south", "1", 3, "6"),
    ("black-25", "2.6", "0", "south", "1", 3, "6"),
    ("red-16", "1.6", "0", "south", "1", 2, "4"),
    ("black-16", "1.3", "0", "south", "1", 2, "4"),
    ("red-6", "3.2", "0", "south", "1", 4, "2"),
    ("black-6", "2.6", "0", "south", "1", 3, "2"),
    ("pv-red-4", "3.3", "0", "south", "5", 1, "7"),
    ("pv-black-4", "3.3", "0", "south", "5", 1, "7"),
    ("pair-1.5", "5.6", "0", "south", "1", 6, "1.20"),
    ("ac-1.5", "2.8", "0", "south", "1", 3, "1.50"),
    ("main-80", "2", "1", "south", "1", 2, "12"),
    ("strip-80", "2", "1", "south", "1", 2, "5"),
    ("blade-25", "2", "1", "south", "10", 1, "3"),
    ("blade-10", "2", "1", "south", "10", 1, "3"),
    ("blade-7.5", "2", "1", "south", "10", 1, "3"),
    ("blade-5", "2", "1", "south", "10", 1, "3"),
    ("post-holder", "1", "0", "south", "1", 1, "19"),
    ("strip-holder", "1", "0", "south", "1", 1, "9"),
    ("blade-holder", "2", "0", "south", "1", 2, "4"),
    ("block-6", "1", "0", "south", "1", 1, "25"),
    ("lug-25-m8", "11", "1", "south", "1", 11, "0.90"),
    ("lug-16-m8", "5", "1", "south", "1", 5, "0.70"),
    ("lug-16-m6", "3", "1", "south", "1", 3, "0.70"),
    ("lug-6-m8", "5", "1", "south", "1", 5, "0.40"),
    ("lug-6-m5", "3", "1", "south", "1", 3, "0.40"),
    ("pv-plug", "2", "1", "south", "1", 2, "1.50"),
    ("pv-socket", "2", "1", "south", "1", 2, "1.50"),
)


def lines() -> tuple[Line, ...]:
    """The bill."""
    made = []
    for part, need, spares, supplier, pack, packs, price in _BILL:
        record = BY_NAME[part]
        made.append(
            Line(
                part=part, part_class=record.cls, name=record.name,
                unit="m" if isinstance(record, Cable) else "each", need=Decimal(need),
                spares=Decimal(spares), owned=Decimal(0), buy=Decimal(pack) * packs,
                supplier=supplier, pack=Decimal(pack), packs=packs, price=Decimal(price),
                line_total=packs * Decimal(price), why="",
            )
        )  # fmt: skip
    return tuple(made)


def orders() -> tuple[SupplierOrder, ...]:
    """The two baskets: north 988 of goods, 20 of freight; south what its lines add up to, and 8."""
    north = SupplierOrder(
        supplier="north", name="North", goods=Decimal(988), shipping=Decimal(20),
        total=Decimal(1008), lead_days=9, arrives=date(2027, 1, 20),
    )  # fmt: skip
    goods = sum((x.line_total for x in lines() if x.supplier == "south"), Decimal(0))
    south = replace(
        north, supplier="south", name="South", goods=goods, shipping=Decimal(8),
        total=goods + 8, lead_days=4, arrives=date(2027, 1, 15),
    )  # fmt: skip
    return (north, south)
