"""A small kit made by hand for the tests of the documents: one of everything that they show.

The figures agree with each other (lines with the ends of cables, orders with lines, the total
with orders); they are not a design to build. Two suppliers, one of them in another currency
with a rate of many digits, names that look like formulas, an owned part described inline.
"""

from __future__ import annotations

import dataclasses
from collections import Counter
from datetime import date
from decimal import Decimal

from solver.needs import (
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Needs,
    Obstacle,
    Order,
    Owned,
    Place,
    Site,
)
from solver.parts import (
    Battery,
    Busbar,
    Cable,
    Charger,
    Connector,
    Controller,
    Ferrule,
    Fuse,
    Gland,
    Holder,
    Inverter,
    Lug,
    Monitor,
    Panel,
    Part,
    Switch,
)
from solver.records import (
    Array,
    Bank,
    Binding,
    CableLength,
    Check,
    Circuit,
    Cut,
    Design,
    Device,
    End,
    EnergyReport,
    Extra,
    Line,
    MonthEnergy,
    Protection,
    Reason,
    Result,
    SupplierOrder,
)
from solver.stock import Offer, Stock, Supplier

RATE = Decimal("0.9217")
FORMULA_NAME = "=cable by the metre, 2.5 mm2"
"""A name as a careless or malicious catalog may hold it."""


def _size(length: float, width: float, height: float, kg: float) -> dict[str, float]:
    return {"length_mm": length, "width_mm": width, "height_mm": height, "kg": kg}


PANEL = Panel(
    part="panel-200",
    name="panel 200 W, framed",
    **_size(1480, 670, 35, 11.5),
    stc_w=200,
    voc_v=24.3,
    isc_a=10.4,
    vmp_v=20.4,
    imp_a=9.8,
    voc_pct_per_c=-0.28,
    pmax_pct_per_c=-0.36,
    max_system_v=600,
    series_fuse_a=20,
)
CONTROLLER = Controller(
    part="mppt-100-30",
    name="tracking controller 30 A",
    **_size(190, 130, 70, 1.3),
    kind="mppt",
    battery_v=(12, 24),
    max_pv_v=100,
    max_pv_a=35,
    headroom_v=5,
    max_charge_a=30,
    efficiency_pct=97,
    own_w=0.4,
)
BATTERY = Battery(
    part="lfp-100",
    name="battery 12.8 V 100 Ah, lithium iron phosphate",
    **_size(330, 175, 220, 11.4),
    chemistry="lfp",
    nominal_v=12.8,
    capacity_ah=100,
    usable_pct=90,
    charge_efficiency_pct=96,
    max_charge_a=50,
    max_discharge_a=100,
    max_series=4,
    max_parallel=4,
    min_charge_c=0,
    stud="M8",
)
INVERTER = Inverter(
    part="inverter-500",
    name="inverter 500 W, pure sine",
    **_size(280, 180, 90, 3.2),
    dc_v=12,
    continuous_w=500,
    surge_w=1000,
    efficiency_pct=91,
    idle_w=6,
    ac_v=230,
    hz=50,
    charge_a=0,
    stud="M6",
)
CHARGER = Charger(
    part="+ shed charger",
    name="+ shed charger",
    **_size(220, 120, 80, 1.4),
    kind="shore",
    battery_v=(12,),
    charge_a=10,
    input_w=160,
    stud="M6",
)
BUSBAR = Busbar(
    part="busbar-150",
    name="bus bar 150 A, 6 studs",
    **_size(150, 45, 50, 0.35),
    rated_a=150,
    studs=6,
    stud="M8",
)
SWITCH = Switch(
    part="switch-200",
    name="battery switch 200 A",
    **_size(70, 70, 75, 0.3),
    kind="battery",
    rated_a=200,
    max_v=48,
    breaking_ka=None,
    stud="M8",
    holder=None,
)
MONITOR = Monitor(
    part="monitor-300",
    name="battery monitor with a 300 A shunt",
    **_size(120, 60, 45, 0.5),
    rated_a=300,
    own_w=0.1,
    stud="M8",
)
CLASS_T = Fuse(
    part="fuse-t-80",
    name="class T fuse 80 A",
    kg=0.09,
    kind="class T",
    rated_a=80,
    max_v=125,
    breaking_ka=20,
    stud="M8",
    holder="holder-t",
)
CLASS_T_HOLDER = Holder(
    part="holder-t",
    name="holder for a class T fuse",
    kg=0.25,
    kind="class T",
    rated_a=200,
    max_v=125,
    breaking_ka=20,
    stud="M8",
    holder=None,
)
BLADE_5 = Fuse(
    part="fuse-blade-5",
    name="blade fuse 5 A",
    kg=0.002,
    kind="ISO 8820-3 medium blade",
    rated_a=5,
    max_v=32,
    breaking_ka=1,
    stud=None,
    holder="block-4",
)
BLADE_40 = Fuse(
    part="fuse-blade-40",
    name="blade fuse 40 A",
    kg=0.002,
    kind="ISO 8820-3 medium blade",
    rated_a=40,
    max_v=32,
    breaking_ka=1,
    stud=None,
    holder="block-4",
)
BLOCK = Holder(
    part="block-4",
    name="block of 4 for blade fuses, with a negative rail",
    kg=0.3,
    kind="ISO 8820-3 medium blade",
    rated_a=100,
    max_v=32,
    breaking_ka=None,
    stud=None,
    holder=None,
    ways=4,
)


def _cable(part: str, name: str, use: str, area: float, size: str, colour: str) -> Cable:
    return Cable(
        part=part,
        name=name,
        kg=area * 0.012,
        use=use,
        area_mm2=area,
        ohm_per_km_20c=19 / area,
        size=size,
        insulation_c=90,
        outer_mm=3 + area / 4,
        colour=colour,
    )


RED_25 = _cable("cable-25-red", "battery cable 25 mm2, red", "battery", 25, "25 mm2", "red")
BLACK_25 = _cable(
    "cable-25-black", "battery cable 25 mm2, black", "battery", 25, "25 mm2", "black"
)
PV_6 = _cable("cable-pv-6", "solar cable 6 mm2, black", "pv", 6, "6 mm2", "black")
PAIR = _cable("cable-pair-2.5", FORMULA_NAME, "pair", 2.5, "2.5 mm2", "red and black")
LUG_25_8 = Lug(
    part="lug-25-m8", name="tube lug 25 mm2, M8", kg=0.012, area_mm2=25, stud="M8", kind="tube"
)
LUG_25_6 = Lug(
    part="lug-25-m6", name="tube lug 25 mm2, M6", kg=0.011, area_mm2=25, stud="M6", kind="tube"
)
FERRULE = Ferrule(
    part="ferrule-2.5", name="ferrule 2.5 mm2", kg=0.0005, area_mm2=2.5, pin_mm=12
)
PLUG = Connector(
    part="pv-plug",
    name="panel connector, plug",
    kg=0.015,
    kind="plug",
    area_from_mm2=4,
    area_to_mm2=6,
    rated_a=30,
    max_v=1000,
)
SOCKET = dataclasses.replace(
    PLUG, part="pv-socket", name="panel connector, socket", kind="socket"
)
GLAND = Gland(
    part="gland-m20",
    name="gland M20",
    kg=0.02,
    thread="M20",
    clamp_min_mm=6,
    clamp_max_mm=12,
    hole_mm=20,
)

PARTS: dict[str, Part] = {
    p.part: p
    for p in (
        PANEL, CONTROLLER, BATTERY, INVERTER, CHARGER, BUSBAR, SWITCH, MONITOR, CLASS_T,
        CLASS_T_HOLDER, BLADE_5, BLADE_40, BLOCK, RED_25, BLACK_25, PV_6, PAIR, LUG_25_8,
        LUG_25_6, FERRULE, PLUG, SOCKET, GLAND,
    )
}  # fmt: skip

NEEDS = Needs(
    job=Job(name="=Allotment hut & shed", currency="EUR", units="metric"),
    site=Site(
        latitude_deg=47,
        longitude_deg=12,
        tilt_deg=35,
        azimuth_deg=180,
        months=(4, 5, 6, 7, 8, 9),
        coldest_c=-10,
        hottest_c=34,
    ),
    energy=Energy(autonomy_days=1.5, shortfall_pct=20, inverter_hours_per_day=4),
    loads=(
        Load(name="@lamps", supply="dc", watts=5, quantity=4, hours_per_day=5, place="hut"),
        Load(name="Laptop", supply="ac", watts=65, hours_per_day=4, place="hut"),
    ),
    places=(
        Place(
            name="roof",
            length_mm=3200,
            width_mm=1900,
            holds=("panel",),
            max_kg=40,
            margin_mm=60,
            obstacles=(
                Obstacle(name="stove pipe", x_mm=2700, y_mm=1500, length_mm=200, width_mm=200),
            ),
        ),
        Place(name="locker", length_mm=1200, width_mm=500, height_mm=400, vented=True),
        Place(name="hut", length_mm=3000, width_mm=2000, height_mm=2100, max_kg=30),
    ),
    legs=(
        Leg(from_="roof", to="locker", length_m=3.4, hole="roof entry"),
        Leg(from_="locker", to="hut", length_m=2.2),
    ),
    limits=Limits(total_kg=60, budget=Decimal(1500)),
    owned=(Owned(part=CHARGER, inline=True, quantity=Decimal(1), use="must"),),
    order=Order(start=date(2027, 1, 11), spares_pct=10, rates=(("USD", RATE),)),
    sun_hours=(1.2, 2.0, 3.1, 4.0, 4.6, 4.9, 5.1, 4.6, 3.7, 2.4, 1.4, 1.0),
    notes=("cell_rise_c is not stated: 30 is taken.",),
)


def _device(
    name: str, part: Part, place: str, x: float, y: float, turned: bool = False
) -> Device:
    return Device(id=name, part=part, place=place, x_mm=x, y_mm=y, rotated=turned)


DEVICES = (
    _device("PV1", PANEL, "roof", 60, 60),
    _device("PV2", PANEL, "roof", 1600, 60, turned=True),
    _device("MPPT1", CONTROLLER, "locker", 500, 20),
    _device("B1", BATTERY, "locker", 20, 20),
    _device("INV1", INVERTER, "locker", 720, 20),
    _device("CH1", CHARGER, "locker", 720, 250),
    _device("BAR+", BUSBAR, "locker", 20, 300),
    _device("BAR-", BUSBAR, "locker", 200, 300),
    _device("SW1", SWITCH, "locker", 400, 300),
    _device("MON1", MONITOR, "locker", 500, 300),
)


def _protection(name: str, part: str, holder: str, way: int | None = None) -> Protection:
    return Protection(id=name, part=part, holder=holder, place="locker", way=way)


PROTECTIONS = (
    _protection("F1", "fuse-t-80", "holder-t"),
    _protection("F2", "fuse-t-80", "holder-t"),
    _protection("FB1:1", "fuse-blade-40", "block-4", 1),
    _protection("FB1:2", "fuse-blade-40", "block-4", 2),
    _protection("FB1:3", "fuse-blade-5", "block-4", 3),
)


def _circuit(
    name: str,
    kind: str,
    ends: tuple[str, str],
    cable: str,
    current: float,
    length: float,
    protection: tuple[str, str] | None,
    via: tuple[tuple[str, str], ...] = (),
) -> Circuit:
    area = PARTS[cable].area_mm2  # type: ignore[attr-defined]
    drop = 2 * length * current * 0.022 / area
    return Circuit(
        name=name,
        kind=kind,
        from_=ends[0],
        to=ends[1],
        conductors=2,
        current_a=current,
        design_a=1.25 * current,
        length_m=length,
        cable=cable,
        area_mm2=area,
        ampacity_a=4 * area + 20,
        drop_v=drop,
        drop_pct=drop / 12 * 100,
        protection=protection and protection[1],
        protection_id=protection and protection[0],
        via=via,
    )


CIRCUITS = (
    _circuit("array 1", "array", ("PV1", "MPPT1"), "cable-pv-6", 10.4, 3.4, None, (("roof", "locker"),)),
    _circuit("controller 1", "controller", ("FB1:2", "MPPT1"), "cable-pv-6", 30, 1, ("FB1:2", "fuse-blade-40")),
    _circuit("bank", "battery", ("B1", "BAR+"), "cable-25-red", 60, 1, ("F1", "fuse-t-80")),
    _circuit("inverter", "inverter", ("BAR+", "INV1"), "cable-25-red", 50, 1, ("F2", "fuse-t-80")),
    _circuit("charger", "charger", ("BAR+", "CH1"), "cable-25-red", 10, 1, ("FB1:1", "fuse-blade-40")),
    _circuit("@lamps", "load", ("FB1:3", "@lamps"), "cable-pair-2.5", 1.8, 2.2, ("FB1:3", "fuse-blade-5"), (("locker", "hut"),)),
)  # fmt: skip


def _end(at: str, pole: str, termination: str | None, stud: str | None = None) -> End:
    return End(at=at, pole=pole, stud=stud, termination=termination)


def _piece(n: int, cable: str, mm: int, circuit: str, *ends: End) -> Cut:
    return Cut(
        label=f"W{n:02d}",
        cable=cable,
        length_mm=mm,
        circuit=circuit,
        piece_of=f"{cable} length 1",
        ends=ends,
    )


def _m8(at: str, pole: str) -> End:
    return _end(at, pole, "lug-25-m8", "M8")


def _m6(at: str, pole: str) -> End:
    return _end(at, pole, "lug-25-m6", "M6")


CUTS = (
    _piece(1, "cable-pv-6", 3700, "array 1", _end("PV1:+", "+", "pv-socket"), _end("MPPT1:pv+", "+", None)),
    _piece(2, "cable-pv-6", 3700, "array 1", _end("PV2:-", "-", "pv-plug"), _end("MPPT1:pv-", "-", None)),
    _piece(3, "cable-pv-6", 1300, "controller 1", _end("FB1:2", "+", None), _end("MPPT1:bat+", "+", None)),
    _piece(4, "cable-pv-6", 1300, "controller 1", _end("FB1:-", "-", None), _end("MPPT1:bat-", "-", None)),
    _piece(5, "cable-25-red", 500, "bank", _m8("B1:+", "+"), _m8("F1", "+")),
    _piece(6, "cable-25-red", 800, "bank", _m8("F1", "+"), _m8("BAR+", "+")),
    _piece(7, "cable-25-black", 1300, "bank", _m8("B1:-", "-"), _m8("MON1", "-")),
    _piece(8, "cable-25-red", 1300, "inverter", _m8("BAR+", "+"), _m6("INV1:+", "+")),
    _piece(9, "cable-25-black", 1300, "inverter", _m8("BAR-", "-"), _m6("INV1:-", "-")),
    _piece(10, "cable-25-red", 1300, "charger", _m8("BAR+", "+"), _m6("CH1:+", "+")),
    _piece(11, "cable-25-black", 1300, "charger", _m8("BAR-", "-"), _m6("CH1:-", "-")),
    _piece(
        12, "cable-pair-2.5", 2500, "@lamps",
        _end("FB1:3", "+", "ferrule-2.5"), _end("@lamps", "+", "ferrule-2.5"),
        _end("FB1:-", "-", "ferrule-2.5"), _end("@lamps", "-", "ferrule-2.5"),
    ),
)  # fmt: skip

LUGS_BY_HAND = [("lug-25-m6", 4), ("lug-25-m8", 10)]
"""Counted on the list above with a finger: lines 5 to 11."""


def _cut_from(cable: str, bought_mm: int, offcut_mm: int, *numbers: int) -> CableLength:
    return CableLength(
        cable=cable,
        name=f"{cable} length 1",
        length_mm=bought_mm,
        cuts=tuple(f"W{n:02d}" for n in numbers),
        offcut_mm=offcut_mm,
    )


LENGTHS = (
    _cut_from("cable-25-black", 4000, 100, 7, 9, 11),
    _cut_from("cable-25-red", 6000, 2100, 8, 10, 6, 5),
    _cut_from("cable-pair-2.5", 3000, 500, 12),
    _cut_from("cable-pv-6", 25_000, 15_000, 1, 2, 3, 4),
)
"""Worked out by hand from what is bought and cut."""

DESIGN = Design(
    system_voltage_v=12,
    chemistry="lfp",
    devices=DEVICES,
    arrays=(
        Array(
            controller="MPPT1",
            panel="panel-200",
            panels=("PV1", "PV2"),
            series=2,
            parallel=1,
            voc_cold_v=53.3628,
            vmp_hot_v=35.0717,
            isc_a=10.4,
            charge_a=30.0,
        ),
    ),
    bank=Bank(battery="lfp-100", series=1, parallel=1, batteries=("B1",)),
    protections=PROTECTIONS,
    circuits=CIRCUITS,
    cuts=CUTS,
    parts=PARTS,
    extras=(Extra(part="gland-m20", of="array 1", quantity=2),),
    lengths=LENGTHS,
)

SUPPLIERS = (
    Supplier(
        supplier="north",
        name="North Row Supply",
        currency="EUR",
        shipping=Decimal("14.90"),
        free_over=Decimal(900),
        lead_days=5,
    ),
    Supplier(
        supplier="isle",
        name="Isle Cable and Lug",
        currency="USD",
        shipping=Decimal("9.50"),
        free_over=None,
        lead_days=1,
    ),
)

# part, supplier, unit as offered, pack or length of a spool, packs bought, price of one pack
BOUGHT = (
    ("panel-200", "north", "each", "1", 2, "119.00"),
    ("mppt-100-30", "north", "each", "1", 1, "98.50"),
    ("lfp-100", "north", "each", "1", 1, "289.00"),
    ("inverter-500", "north", "each", "1", 1, "129.90"),
    ("busbar-150", "north", "each", "1", 2, "14.25"),
    ("switch-200", "north", "each", "1", 1, "19.80"),
    ("monitor-300", "north", "each", "1", 1, "64.00"),
    ("fuse-t-80", "north", "each", "1", 3, "16.40"),
    ("holder-t", "north", "each", "1", 2, "18.70"),
    ("block-4", "north", "each", "1", 1, "17.35"),
    ("fuse-blade-5", "isle", "each", "5", 1, "2.19"),
    ("fuse-blade-40", "isle", "each", "5", 1, "2.19"),
    ("cable-25-red", "isle", "m", "1", 6, "6.99"),
    ("cable-25-black", "isle", "m", "1", 4, "6.99"),
    ("cable-pv-6", "isle", "spool", "25", 1, "31.49"),
    ("cable-pair-2.5", "isle", "m", "1", 3, "1.79"),
    ("lug-25-m8", "isle", "each", "10", 2, "7.77"),
    ("lug-25-m6", "isle", "each", "5", 1, "4.09"),
    ("ferrule-2.5", "isle", "each", "50", 1, "3.33"),
    ("pv-plug", "isle", "each", "1", 2, "1.25"),
    ("pv-socket", "isle", "each", "1", 2, "1.25"),
    ("gland-m20", "isle", "each", "10", 1, "5.55"),
)
RATES = {"north": Decimal(1), "isle": RATE}


def _counted() -> Counter[str]:
    counts: Counter[str] = Counter(d.part.part for d in DEVICES)
    counts.update(p.part for p in PROTECTIONS)
    counts.update({"holder-t": 2, "block-4": 1, **{e.part: e.quantity for e in DESIGN.extras}})
    counts.update(e.termination for c in CUTS for e in c.ends if e.termination)
    return counts


def _need(part: str) -> tuple[Decimal, Decimal]:
    """What the design takes with spares, and the spares in it."""
    if isinstance(PARTS[part], Cable):
        return Decimal(sum(c.length_mm for c in CUTS if c.cable == part)) / 1000, Decimal(0)
    count = Decimal(_counted()[part])
    spares = {"fuse": Decimal(1), "lug": -(-count // 10), "ferrule": Decimal(1)}
    spare = spares.get(PARTS[part].cls, Decimal(1 if part.startswith("pv-") else 0))
    return count + spare, spare


def _line(part: str, supplier: str, unit: str, pack: str, packs: int, price: str) -> Line:
    need, spares = _need(part)
    each = Decimal(price) * RATES[supplier]
    return Line(
        part=part,
        part_class=PARTS[part].cls,
        name=PARTS[part].name,
        unit="each" if unit == "each" else "m",
        need=need,
        spares=spares,
        owned=Decimal(0),
        buy=Decimal(pack) * packs,
        supplier=supplier,
        pack=Decimal(1) if unit == "spool" else Decimal(pack),
        packs=packs,
        price=each,
        line_total=each * packs,
        why="-> the design holds it" if part == "busbar-150" else "the design holds it",
    )


OWNED_LINE = Line(
    part=CHARGER.part,
    part_class="charger",
    name=CHARGER.name,
    unit="each",
    need=Decimal(1),
    spares=Decimal(0),
    owned=Decimal(1),
    buy=Decimal(0),
    supplier=None,
    pack=None,
    packs=None,
    price=None,
    line_total=Decimal(0),
    why="shore charging of the needs",
)
LINES = (*(_line(*b) for b in BOUGHT), OWNED_LINE)


def _order(supplier: Supplier) -> SupplierOrder:
    goods = sum((x.line_total for x in LINES if x.supplier == supplier.supplier), Decimal(0))
    rate = RATES[supplier.supplier]
    free = supplier.free_over is not None and goods >= supplier.free_over * rate
    shipping = Decimal(0) if free else supplier.shipping * rate
    return SupplierOrder(
        supplier=supplier.supplier,
        name=supplier.name,
        goods=goods,
        shipping=shipping,
        total=goods + shipping,
        lead_days=supplier.lead_days,
        arrives=date(2027, 1, 11 + supplier.lead_days),
    )


ORDERS = tuple(_order(s) for s in SUPPLIERS)
TOTAL = sum((o.total for o in ORDERS), Decimal(0))

STOCK = Stock.of(
    [p for p in PARTS.values() if p is not CHARGER],
    SUPPLIERS,
    [
        Offer(
            part=part,
            supplier=supplier,
            pack=Decimal(1) if unit == "spool" else Decimal(pack),
            unit=unit,
            length_m=float(pack) if unit == "spool" else None,
            from_quantity=1,
            price=Decimal(price),
            order_number=f"{supplier}/{part}",
            lead_days=None,
            stock=None,
        )
        for part, supplier, unit, pack, _, price in BOUGHT
    ],
)

CHECKS = (
    Check(
        rule="string_voltage_cold",
        source="NFPA 70, National Electrical Code (2023), 690.7(A)",
        subject="MPPT1",
        value=53.3628,
        limit=100,
        unit="V",
        ok=True,
    ),
    Check(
        rule="conductor_drop",
        source="common practice, no source",
        subject="array 1",
        value=2.1,
        limit=3,
        unit="%",
        ok=True,
    ),
    Check(
        rule="terminal_fits",
        source="common practice, no source",
        subject="INV1:+",
        value="M6",
        limit="M6",
        unit="",
        ok=True,
    ),
)
FAILED = Check(
    rule="roof_mass",
    source="the needs",
    subject="=roof",
    value=41.5,
    limit=40,
    unit="kg",
    ok=False,
)

ENERGY = EnergyReport(
    daily_load_wh=360,
    daily_battery_wh=421.7,
    usable_battery_wh=1152,
    months=tuple(
        MonthEnergy(
            month=m, need_wh=421.7, yield_wh=300 * NEEDS.sun_hours[m - 1] - 560, other_wh=20
        )
        for m in NEEDS.site.months
    ),
)

RESULT = Result(
    status="optimal",
    currency="EUR",
    total=TOTAL,
    lower_bound=TOTAL,
    gap_pct=0.0,
    design=DESIGN,
    energy=ENERGY,
    lines=LINES,
    orders=ORDERS,
    checks=CHECKS,
    bindings=(
        Binding(need="limits.budget", used=float(TOTAL), limit=1500, unit="EUR"),
        Binding(need="place roof max_kg", used=23, limit=40, unit="kg"),
    ),
    notes=("Offers in GBP are left out: there is no rate for it.",),
    reasons=(),
)

NO_KIT = Result(
    status="infeasible",
    currency="EUR",
    total=None,
    lower_bound=None,
    gap_pct=None,
    design=None,
    energy=None,
    lines=(),
    orders=(),
    checks=(),
    bindings=(),
    notes=(),
    reasons=(
        Reason(
            needs=("limits.budget", "energy.autonomy_days"),
            message="The bank for 1.5 days costs more than the budget leaves.",
            change="budget 300 -> 412.50",
        ),
    ),
)


def imperial() -> Needs:
    """The same needs, to be shown in feet, inches and pounds."""
    return dataclasses.replace(NEEDS, job=dataclasses.replace(NEEDS.job, units="imperial"))
