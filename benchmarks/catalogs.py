"""Realistic catalogs of any size, the same on every run: `generated(1000, seed=7)`.

Everything is invented. A small catalog holds a short yet complete set of wiring parts and spreads
the rest over what decides the cost; a large one has the shares of a wholesaler of this trade, with
the same wiring parts from ever more makers ("line 12"). Sizes, weights and prices are what is
usual for goods of the kind, with a spread; what belongs together by physics agrees.
"""

from __future__ import annotations

import dataclasses
import math
import random
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any

from solver.columns import read_record
from solver.fittings import FITTINGS
from solver.parts import (
    CLASSES,
    STUDS,
    Battery,
    Cable,
    Charger,
    Conduit,
    Controller,
    Fuse,
    Holder,
    Inverter,
    Lug,
    Panel,
    Part,
)
from solver.stock import Offer, Stock, Supplier
from tools.invent_catalog import cell, part_cells
from tools.invented import power, protection, sundries, wiring
from tools.invented.batteries import CHARGE_EFFICIENCY_PCT, PER_12_V
from tools.invented.panels import STRING_FUSES
from tools.invented.shops import BREAKS, PACKS, SHOPS, SPOOLS, USD_FOR_EUR

LEAST_PARTS = 60
"""Fewer cannot hold a whole kit and a choice beside it."""

FULL_SHOP = "birch"
"""The supplier that sells every part, cable by the metre."""

SHARES = {"panel": 15, "inverter": 10, "battery": 12, "controller": 10, "charger": 6}
"""Parts in a hundred of a large catalog, by class; the rest is wiring."""

ESSENTIAL = """
cable-bat-6-red cable-bat-6-black cable-bat-16-red cable-bat-16-black
cable-bat-35-red cable-bat-35-black cable-bat-95-red cable-bat-95-black
cable-pv-6-red cable-pv-6-black cable-pair-2.5-105 cable-pair-6-105 cable-ac-2.5
lug-6-m8 lug-16-m8 lug-35-m8 lug-95-m8 lug-6-m6 lug-16-m6
pv-plug-2.5-6 pv-socket-2.5-6
block-blade-10 fuse-blade-3 fuse-blade-10 fuse-blade-20 fuse-blade-30
holder-t-100 fuse-t-100 holder-t-200 fuse-t-150 fuse-t-200 holder-post fuse-post-250
breaker-80v-20 breaker-80v-40 breaker-80v-63
busbar-250-6-m8 switch-200-60v monitor-200
sleeve-12-4-red sleeve-12-4-black ferrule-6
""".split()  # noqa: SIM905  a list for people, a line a subject
"""Wiring parts from which a kit of 12, 24 or 48 V can be made, its studs M8 or M6 alone."""

USEFUL = """
block-gg-6 fuse-gg-10 fuse-gg-20 fuse-gg-32 holder-gg block-blade-12
lug-35-m6 pv-branch-2.5-6 fuse-t-125 holder-t-60 fuse-t-60 fuse-blade-15
cable-bat-25-red cable-bat-25-black lug-25-m8 lug-25-m6
cable-bat-50-red cable-bat-50-black lug-50-m8 breaker-80v-50
cable-bat-70-red cable-bat-70-black lug-70-m8 holder-t-400 fuse-t-250
lug-95-m10 lug-70-m10 lug-50-m10 lug-35-m10 busbar-400-8-m10
switch-400-60v monitor-500-a busbar-300-8-m8 cable-pair-1.5-105
sleeve-19-6-red sleeve-19-6-black ferrule-2.5 gland-m20 grommet-20
""".split()  # noqa: SIM905  a list for people, a line a subject
"""What a catalog gets next: finer steps, larger currents, branches at 48 V."""


@dataclass(frozen=True)
class Priced:
    """A part and its price before any shop's own, in EUR for one piece or one metre."""

    part: Part
    price: float


Maker = Callable[[random.Random, int, Sequence[str]], Priced]
"""Makes the n-th device of a class; its studs are among those given."""


def generated(parts: int, seed: int, *, suppliers: int = 5) -> Stock:
    """A catalog of so many parts, with about three offers a part where there are five suppliers.

    Raises
    ------
    ValueError
        If there are fewer parts than a kit needs, or no supplier.
    """
    if parts < LEAST_PARTS:
        raise ValueError(f"{parts} parts hold no kit; at least {LEAST_PARTS} are needed")
    if suppliers < 1:
        raise ValueError("a catalog without suppliers sells nothing")
    counts = _counts(parts)
    sundry = _wiring(_stream(seed, parts, "wiring"), counts.pop("wiring"))
    studs = _studs_with_lugs(sundry)
    devices = [
        MAKERS[name](_stream(seed, parts, f"{name} {n}"), n, studs)
        for name, count in counts.items()
        for n in range(count)
    ]
    shops = _shops(suppliers)
    stream = _stream(seed, parts, "offers")
    offers = [o for p in [*sundry, *devices] for s in shops for o in _offers(stream, s, p)]
    return Stock.of([p.part for p in [*sundry, *devices]], [s.terms for s in shops], offers)


def one_shop(stock: Stock, supplier: str = FULL_SHOP) -> Stock:
    """The same catalog with one supplier alone.

    Raises
    ------
    ValueError
        If the catalog has no such supplier.
    """
    found = [s for s in stock.suppliers if s.supplier == supplier]
    if not found:
        names = ", ".join(s.supplier for s in stock.suppliers)
        raise ValueError(f'no supplier "{supplier}"; the catalog has {names}')
    return Stock.of(stock.parts, found, [o for o in stock.offers if o.supplier == supplier])


def _stream(seed: int, parts: int, what: str) -> random.Random:
    # a stream of its own for everything, so that a change in one class leaves the others alone
    return random.Random(f"{seed}|{parts}|{what}")  # noqa: S311  no secret, but a catalog


def _counts(parts: int) -> dict[str, int]:
    """Parts by class, and how many are wiring; they sum to `parts`."""
    devices = sum(SHARES.values())
    left = parts - max(len(ESSENTIAL), round(parts * (100 - devices) / 100))
    exact = {name: left * share / devices for name, share in SHARES.items()}
    counts = {name: int(x) for name, x in exact.items()}
    by_rest = sorted(exact, key=lambda name: counts[name] - exact[name])
    for name in by_rest[: left - sum(counts.values())]:
        counts[name] += 1
    return {**counts, "wiring": parts - left}


# ------------------------------------------------------------------------------------ wiring


@cache
def _first_line() -> tuple[Priced, ...]:
    """One invented maker's whole range of wiring parts, as the shipped catalog has it."""
    rows = [
        *wiring.rows(),
        *protection.rows(),
        *sundries.rows(),
        *power.converters(),
    ]
    made = []
    for r in rows:
        cells = {name: cell(value) for name, value in part_cells(r).items()}
        part, problems = read_record(CLASSES[r.part_class], cells)
        if problems:
            raise ValueError(f"{r.part}: {problems}")
        made.append(Priced(part, r.price))
    return tuple(made)


def _wiring(rng: random.Random, count: int) -> list[Priced]:
    """The essential parts, the useful ones, the rest of the first line, then other makers'."""
    known = {p.part.part: p for p in _first_line()}
    found = [known[name] for name in (*ESSENTIAL, *USEFUL)]
    have = {p.part.part for p in found}
    behind = [p for name, p in known.items() if name not in have]
    rng.shuffle(behind)
    # some AC breakers or earthing cables but not the one that fits would leave no kit at all
    behind.sort(key=lambda p: any(f.is_one(p.part) for f in FITTINGS))
    for p in behind:
        # the holder a part names comes before it
        for q in (known.get(getattr(p.part, "holder", None) or ""), p):
            if q is not None and q.part.part not in have:
                found.append(q)
                have.add(q.part.part)
    found = _with_holders(found[:count])
    line = 1
    while len(found) < count:
        found += _other_line(rng, line, count - len(found))
        line += 1
    return found


def _with_holders(found: Sequence[Priced]) -> list[Priced]:
    """Fuses whose usual holder is not in the catalog name the block that is."""
    have = {p.part.part for p in found}
    blocks = {
        p.part.kind: p.part.part
        for p in found
        if isinstance(p.part, Holder) and p.part.ways > 1
    }
    return [
        Priced(dataclasses.replace(p.part, holder=blocks[p.part.kind]), p.price)
        if isinstance(p.part, Fuse) and p.part.holder not in have
        else p
        for p in found
    ]


def _other_line(rng: random.Random, line: int, most: int) -> list[Priced]:
    """Another maker's range: own prices, weights, and conductors and insulation of its own."""
    parts = list(_first_line())
    if most < len(parts):
        rng.shuffle(parts)
        parts = parts[:most]
    have = {p.part.part for p in parts}
    level, mass = rng.uniform(0.85, 1.25), rng.uniform(1.0, 1.05)
    ohms, thick = rng.uniform(0.975, 1.01), rng.uniform(0.98, 1.05)
    made = []
    for p in parts:
        own: dict[str, Any] = {"kg": _digits(p.part.kg * mass)}
        if isinstance(p.part, Cable):
            own["ohm_per_km_20c"] = _digits(p.part.ohm_per_km_20c * ohms)
            own["outer_mm"] = round(p.part.outer_mm * thick, 2)
        if isinstance(p.part, Fuse) and p.part.holder in have:
            own["holder"] = f"{p.part.holder}-m{line}"
        changed = dataclasses.replace(
            p.part, part=f"{p.part.part}-m{line}", name=_of_line(p.part.name, line), **own
        )
        made.append(Priced(changed, p.price * level * rng.uniform(0.96, 1.04)))
    return made


def _of_line(name: str, line: int) -> str:
    return f"{name.removesuffix(', generic')}, line {line}, generic"


def _studs_with_lugs(sundry: Sequence[Priced]) -> list[str]:
    """Studs on which every essential battery cable can be landed."""
    have = {(p.part.area_mm2, p.part.stud) for p in sundry if isinstance(p.part, Lug)}
    return [s for s in STUDS if all((area, s) in have for area in (6.0, 16.0, 35.0, 95.0))]


# ----------------------------------------------------------------------------------- devices

# cells, Vmp from and to, W from and to; the 12 V class first
CELLS = (
    ("36 cells", (17.8, 20.8), (60, 230)),
    ("108 half cells", (30.8, 33.2), (380, 450)),
    ("36 cells", (17.8, 20.8), (100, 220)),
    ("120 half cells", (33.8, 35.4), (320, 395)),
    ("60 cells", (29.4, 33.0), (230, 320)),
    ("72 cells", (36.2, 38.0), (180, 345)),
    ("144 half cells", (40.8, 42.2), (390, 470)),
    ("96 cells", (54.2, 57.6), (310, 360)),
    ("36 cells, flexible", (17.9, 20.2), (50, 200)),
)


def _panel(rng: random.Random, n: int, _: Sequence[str]) -> Priced:
    cells, vmp_range, watt_range = CELLS[n % len(CELLS)]
    flexible, small = "flexible" in cells, cells.startswith("36")
    step = 5 if small else 1
    watts = float(round(rng.uniform(*watt_range) / step) * step)
    vmp = round(rng.uniform(*vmp_range), 1)
    imp = round(watts / vmp, 2)
    isc = round(imp * rng.uniform(1.05, 1.075), 2)
    voc = round(vmp * rng.uniform(1.19, 1.24), 1)
    # W a square metre: the better the cells, the dearer, and the less they lose by heat
    good = rng.random()
    density = (160 if small else 175) + good * (50 if small else 48)
    length, width = _face(watts / density * 1e6, rng.uniform(1.45, 2.3))
    each = (0.95 - 0.0016 * min(watts, 200)) if small else 0.56 - 0.0003 * (watts - 250)
    price = watts * (each + 0.12 * good) * rng.uniform(0.88, 1.18) * (1.45 if flexible else 1)
    kg_m2 = rng.uniform(3.2, 4.4) if flexible else rng.uniform(9.6, 12.4)
    return Priced(
        Panel(
            part=f"g-panel-{n}",
            name=f"PV panel {watts:g} W, {cells}, type {n}, generic",
            length_mm=length,
            width_mm=width,
            height_mm=3.0 if flexible else rng.choice((30.0, 35.0)),
            kg=round(kg_m2 * length * width * 1e-6, 1),
            ip="IP67",
            min_c=-40.0,
            max_c=85.0,
            stc_w=watts,
            voc_v=voc,
            isc_a=isc,
            vmp_v=vmp,
            imp_a=imp,
            voc_pct_per_c=round(-0.335 + 0.085 * good, 3),
            pmax_pct_per_c=round(-0.43 + 0.13 * good, 3),
            max_system_v=600.0 if small else 1000.0,
            series_fuse_a=float(next(f for f in STRING_FUSES if f >= 1.5625 * isc)),
        ),
        price,
    )


def _face(area_mm2: float, ratio: float) -> tuple[float, float]:
    """Length and width of a face, in whole millimetres, the longer first."""
    width = round(math.sqrt(area_mm2 / ratio))
    return float(max(width, round(area_mm2 / width))), float(
        min(width, round(area_mm2 / width))
    )


# what converts, bank voltages, PV limits
CONTROLLERS = (
    ("mppt", (12.0, 24.0, 48.0), (150, 250)),
    ("mppt", (12.0, 24.0), (75, 100)),
    ("pwm", (12.0, 24.0), (50,)),
    ("mppt", (12.0, 24.0, 48.0), (100, 150)),
    ("mppt", (12.0, 24.0), (50, 75, 100)),
    ("mppt", (24.0, 48.0), (150, 250)),
    ("pwm", (12.0,), (25,)),
)
CONTROLLER_A = (10, 15, 20, 30, 35, 40, 45, 50, 60, 70, 80, 85, 100)


def _controller(rng: random.Random, n: int, _: Sequence[str]) -> Priced:
    kind, banks, limits = CONTROLLERS[n % len(CONTROLLERS)]
    mppt = kind == "mppt"
    amps = rng.choice(CONTROLLER_A if mppt else CONTROLLER_A[:6])
    limit = rng.choice(limits)
    efficiency = round(rng.uniform(95.5, 98.4), 1) if mppt else 98.0
    price = 24 + amps * (1.5 + 0.012 * limit) if mppt else 7 + 1.3 * amps
    length, width = _face(11000 + 520 * amps, rng.uniform(1.2, 1.6))
    return Priced(
        Controller(
            part=f"g-controller-{n}",
            name=f"Charge controller {kind.upper()}, {amps} A, {limit} V, type {n}, generic",
            length_mm=length,
            width_mm=width,
            height_mm=float(round(35 + 0.7 * amps)),
            kg=round((0.25 + 0.042 * amps if mppt else 0.08 + 0.01 * amps), 2),
            clear_mm=20.0,
            heat_w=round(amps * 1.2 * max(banks) * (1 - efficiency / 100), 1),
            ip="IP43",
            min_c=-25.0,
            max_c=60.0,
            mount_holes="4 x 5 mm",
            kind=kind,
            battery_v=banks,
            max_pv_v=float(limit),
            max_pv_a=None if rng.random() < 0.1 else float(round(amps * rng.uniform(1.0, 1.3))),
            headroom_v=rng.choice((1.0, 2.0, 5.0)) if mppt else 0.5,
            max_charge_a=float(amps),
            efficiency_pct=efficiency,
            own_w=round((0.15 + 0.009 * amps + 0.002 * limit) * rng.uniform(0.7, 1.3), 2),
        ),
        price * rng.uniform(0.85, 1.25),
    )


# chemistry, volts, Ah from and to
BATTERIES = (
    ("lfp", 12.8, (100, 320)),
    ("lfp", 12.8, (50, 200)),
    ("agm", 12.0, (75, 230)),
    ("lfp", 25.6, (50, 280)),
    ("lfp", 51.2, (50, 300)),
    ("flooded", 12.0, (70, 230)),
    ("lfp", 12.8, (150, 314)),
    ("agm", 12.0, (40, 200)),
    ("agm", 24.0, (50, 110)),
)
USABLE_PCT = {"lfp": (80, 90, 90, 95), "agm": (50,), "flooded": (50,)}
WH_A_KG = {"lfp": (100, 140), "agm": (37, 42), "flooded": (40, 44)}
KG_A_LITRE = {"lfp": (1.2, 1.7), "agm": (2.0, 2.5), "flooded": (1.9, 2.3)}
EUR_A_KWH = {"lfp": (225, 330), "agm": (132, 205), "flooded": (86, 118)}
CHARGE_C = {"lfp": (0.4, 0.8), "agm": (0.2, 0.3), "flooded": (0.13, 0.18)}


def _battery(rng: random.Random, n: int, studs: Sequence[str]) -> Priced:
    chemistry, volts, ah_range = BATTERIES[n % len(BATTERIES)]
    lithium = chemistry == "lfp"
    ah = float(round(rng.uniform(*ah_range) / 5) * 5)
    kg = volts * ah / rng.uniform(*WH_A_KG[chemistry])
    litres = kg / rng.uniform(*KG_A_LITRE[chemistry])
    height = float(round(rng.uniform(0.8, 1.05) * (litres * 1e6) ** (1 / 3)))
    length, width = _face(litres * 1e6 / height, rng.uniform(1.4, 2.4))
    twelves = round(volts / 12)
    charge = ah * rng.uniform(*CHARGE_C[chemistry])
    discharge = min(ah * (1 if chemistry != "agm" else 2), 250.0)
    parallel = 4 if ah < 220 else 2
    # short-circuit current: a class T fuse breaks that of a full bank
    kilo = min(discharge * rng.uniform(0.011, 0.02), 19 / parallel)
    absorb, hold, cutoff = (round(v * twelves, 1) for v in PER_12_V[chemistry])
    return Priced(
        Battery(
            part=f"g-battery-{n}",
            name=f"{chemistry.upper()} battery {volts:g} V {ah:g} Ah, type {n}, generic",
            length_mm=length,
            width_mm=width,
            height_mm=height,
            kg=round(kg, 1),
            ip="IP65" if lithium and volts < 50 else None,
            min_c=-20.0 if lithium else -25.0,
            max_c=60.0 if lithium else 50.0,
            chemistry=chemistry,
            nominal_v=volts,
            capacity_ah=ah,
            usable_pct=float(rng.choice(USABLE_PCT[chemistry])),
            charge_efficiency_pct=float(CHARGE_EFFICIENCY_PCT[chemistry]),
            max_charge_a=round(charge, 1),
            max_discharge_a=discharge,
            max_series=4 // twelves,
            max_parallel=parallel,
            min_charge_c=0.0 if lithium else -15.0,
            stud=rng.choice(studs),
            internal_mohm=_digits(volts / kilo),
            absorb_v=absorb,
            float_v=hold,
            cutoff_v=cutoff,
            comm=None,
        ),
        rng.uniform(*EUR_A_KWH[chemistry]) * volts * ah / 1000,
    )


# bank V, mains V, W from and to: first one of each for ordinary needs, then the whole range
INVERTERS = (
    (12, 230, (1200, 1450)),
    (24, 230, (1000, 1600)),
    (48, 230, (3300, 4000)),
    (24, 120, (1000, 1600)),
    (12, 230, (300, 1200)),
    (48, 230, (1000, 2500)),
    (24, 230, (500, 3000)),
    (12, 120, (300, 2000)),
    (48, 120, (1000, 4000)),
    (12, 230, (600, 3000)),
    (24, 120, (600, 3000)),
    (24, 230, (1500, 4000)),
)


def _inverter(rng: random.Random, n: int, studs: Sequence[str]) -> Priced:
    volts, mains, watt_range = INVERTERS[n % len(INVERTERS)]
    watts = float(round(rng.uniform(*watt_range) / 50) * 50)
    efficiency = round(rng.uniform(88.5, 92.0) + (volts - 12) / 12, 1)
    charges = rng.random() < 0.2 and watts >= 800
    kg = 0.8 + 0.003 * watts + (4 + 0.0025 * watts if charges else 0)
    charge_a = float(round(watts * rng.uniform(0.3, 0.5) / volts / 5) * 5) if charges else 0.0
    price = 28 + 0.205 * watts + (80 + 0.12 * watts if charges else 0)
    length, width = _face(16000 + 38 * watts, rng.uniform(1.4, 1.9))
    return Priced(
        Inverter(
            part=f"g-inverter-{n}",
            name=f"Inverter{' and charger' if charges else ''}, sine wave, {watts:g} W, "
            f"{volts} V to {mains} V, type {n}, generic",
            length_mm=length,
            width_mm=width,
            height_mm=float(round(60 + 0.02 * watts)),
            kg=round(kg * rng.uniform(0.9, 1.15), 1),
            clear_mm=30.0,
            heat_w=float(round(watts * (100 / efficiency - 1))),
            ip="IP21",
            min_c=-20.0,
            max_c=50.0,
            mount_holes="4 x 5 mm",
            dc_v=float(volts),
            continuous_w=watts,
            surge_w=watts * (2.4 if n < len(INVERTERS) else rng.choice((1.8, 2.0, 2.0, 2.4))),
            efficiency_pct=efficiency,
            idle_w=round((2 + 0.006 * watts) * rng.uniform(0.6, 1.3), 1),
            ac_v=float(mains),
            hz=50.0 if mains == 230 else 60.0,
            charge_a=charge_a,
            stud=rng.choice(studs),
        ),
        price * rng.uniform(0.88, 1.3),
    )


# what feeds it, bank voltages, A from and to; first those that an ordinary source can feed
CHARGERS = (
    ("shore", (12.0, 24.0), (12, 15)),
    ("engine", (12.0,), (15, 24)),
    ("shore", (48.0,), (15, 30)),
    ("shore", (12.0,), (10, 80)),
    ("shore", (24.0,), (8, 40)),
    ("engine", (24.0,), (8, 30)),
    ("shore", (12.0, 24.0), (10, 30)),
    ("engine", (12.0,), (25, 60)),
    ("shore", (48.0,), (5, 25)),
    ("engine", (48.0,), (6, 16)),
)


def _charger(rng: random.Random, n: int, studs: Sequence[str]) -> Priced:
    kind, banks, amp_range = CHARGERS[n % len(CHARGERS)]
    amps = float(round(rng.uniform(*amp_range)))
    efficiency = rng.uniform(87, 93.5)
    given_w = amps * 1.2 * max(banks)
    price = 22 + 0.33 * given_w * (1.15 if kind == "engine" else 1)
    length, width = _face(13000 + 55 * given_w, rng.uniform(1.4, 1.9))
    source = "mains, 100 to 240 V" if kind == "shore" else "a 12 V engine"
    bank = "/".join(f"{v:g}" for v in banks)
    return Priced(
        Charger(
            part=f"g-charger-{n}",
            name=f"Charger from {source}, {bank} V, {amps:g} A, type {n}, generic",
            length_mm=length,
            width_mm=width,
            height_mm=float(round(48 + 0.04 * given_w)),
            kg=round((0.4 + 0.0037 * given_w) * rng.uniform(0.9, 1.15), 2),
            clear_mm=10.0,
            heat_w=float(round(given_w * (100 / efficiency - 1))),
            ip="IP22",
            min_c=-20.0,
            max_c=50.0,
            mount_holes="4 x 5 mm",
            kind=kind,
            battery_v=banks,
            charge_a=amps,
            input_w=float(round(given_w / efficiency * 100)),
            stud=rng.choice(studs) if amps > 25 else None,
        ),
        price * rng.uniform(0.88, 1.25),
    )


MAKERS: dict[str, Maker] = {
    "panel": _panel,
    "controller": _controller,
    "battery": _battery,
    "inverter": _inverter,
    "charger": _charger,
}


def _digits(x: float) -> float:
    return float(f"{x:.4g}")


# ------------------------------------------------------------------------------------ offers


@dataclass(frozen=True)
class _Shop:
    terms: Supplier
    like: str
    """The shipped shop whose packs, breaks and spools it keeps."""
    level: float
    sells: float
    """Share of all parts that it offers."""


def _shops(count: int) -> list[_Shop]:
    """The first sells everything; the others about two parts in five."""
    known = sorted(SHOPS, key=lambda s: s.supplier != FULL_SHOP)
    found = []
    for n in range(count):
        s, again = known[n % len(known)], n // len(known)
        more = f"-{again + 1}" if again else ""
        terms = Supplier(
            supplier=s.supplier + more,
            name=f"{s.name}{f', branch {again + 1}' if again else ''}",
            currency=s.currency,
            shipping=Decimal(s.shipping) + again,
            free_over=Decimal(s.free_over) if s.free_over else None,
            lead_days=s.lead_days,
        )
        level = s.level * (USD_FOR_EUR if s.currency == "USD" else 1)
        found.append(_Shop(terms, s.supplier, level, 1.0 if n == 0 else 0.4))
    return found


def _offers(rng: random.Random, shop: _Shop, p: Priced) -> Iterator[Offer]:
    if rng.random() >= shop.sells:
        return
    each = p.price * shop.level * rng.uniform(0.93, 1.07)
    by_length = isinstance(p.part, Cable | Conduit)
    lead = shop.terms.lead_days + 4 if rng.random() < 0.05 else None
    spools = SPOOLS.get(shop.like, ()) if by_length else ()
    if not spools or shop.sells == 1.0:
        yield from _by_number(rng, shop, p.part, each, lead)
    if spools:
        length, factor = rng.choice(spools)
        yield Offer(
            part=p.part.part,
            supplier=shop.terms.supplier,
            pack=Decimal(1),
            unit="spool",
            length_m=float(length),
            from_quantity=1,
            price=_money(each * length * factor),
            lead_days=lead,
        )


def _by_number(
    rng: random.Random, shop: _Shop, part: Part, each: float, lead: int | None
) -> Iterator[Offer]:
    """Packs, and a lower price for many of them."""
    pack = rng.choice(PACKS.get(part.cls, {}).get(shop.like, (1,)))
    few = shop.sells < 1.0 and part.cls in SHARES and rng.random() < 0.2
    stock = Decimal(pack * rng.randint(2, 14)) if few else None
    breaks = BREAKS.get(part.cls, {}).get(shop.like, ()) if rng.random() < 0.6 else ()
    for quantity, factor in ((1, 1.0), *breaks):
        yield Offer(
            part=part.part,
            supplier=shop.terms.supplier,
            pack=Decimal(pack),
            unit="m" if isinstance(part, Cable | Conduit) else "each",
            from_quantity=quantity,
            price=_money(each * pack * factor * (1.0 if pack == 1 else 0.97)),
            lead_days=lead,
            stock=stock,
        )


def _money(euros: float) -> Decimal:
    return Decimal(max(round(euros * 100), 1)).scaleb(-2)
