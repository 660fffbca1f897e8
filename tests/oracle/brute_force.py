"""The cheapest kit by trying every one: slow, naive, and written apart from the optimizer.

Only the published rules, the records and the ways between places are shared with the package;
candidates, wiring, spares and purchases are worked out here again. A branch is left only when
what it already has to buy costs no less than the best kit found. Amounts are exact decimals.

Meant for catalogs of one to three parts a class.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache
from itertools import chain, combinations, product

from solver.needs import Load, Needs, Place
from solver.parts import (
    Battery,
    Breaker,
    Busbar,
    Cable,
    Charger,
    Combiner,
    CommCable,
    Connector,
    Controller,
    Fuse,
    Holder,
    Inverter,
    Lug,
    Monitor,
    Panel,
    Part,
    PvInlet,
    Socket,
    Switch,
)
from solver.routes import Route, route
from solver.rules import bank as rule_b
from solver.rules import conductor as rule_c
from solver.rules import energy as rule_e
from solver.rules import protection as rule_p
from solver.rules import string as rule_s
from solver.rules.earthing import earth_least_mm2, frame_least_mm2
from solver.rules.space import usable_area_mm2
from solver.stock import Offer, Stock

LEAD_M = 0.15
"""From a source to its protection."""

TERMINATIONS = ("lug", "connector", "ferrule", "sleeve")

MOST_LUGS = 4
"""On one stud, so strings of a bank."""

EPS = 1e-7

Name = str | tuple
"""A part, or any of some: `("lug", area, stud)`, lugs of that size; `("comm", *parts)`, cables;
`("joint", *parts)`, what joins strings."""

Demand = int | tuple[int, ...]
"""So many; of a cable the lengths of its pieces in mm, rising."""

Sums = tuple[Decimal, ...]

NEVER = Decimal("Infinity")
NOTHING = Decimal(0)
HAIR = Decimal("1e-8")
"""Left for the rounding of a price by the unit."""


@dataclass(frozen=True)
class Answer:
    """The cheapest kit."""

    total: Decimal
    kg: float
    main: str
    demands: dict[Name, Demand]


def cheapest(needs: Needs, stock: Stock) -> Answer | None:
    """The cheapest kit that meets the needs; None where there is none."""
    search = _Search(needs, stock)
    best: Answer | None = None
    for setting in search.settings():
        best = search.in_setting(setting, best)
    budget = needs.limits.budget
    if best is None or (budget is not None and best.total > budget):
        return None
    return best


# --- shops --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Deal:
    """One pack of one supplier; units are pieces, of cable millimetres."""

    shop: int
    units: int
    levels: tuple[tuple[int, Decimal], ...]
    most: int | None
    spool_mm: int | None
    spools: int

    def cost(self, packs: int) -> Decimal:
        """What so many packs cost; infinite where they are not sold."""
        if packs == 0:
            return NOTHING
        if self.most is not None and packs > self.most:
            return NEVER
        prices = [price for start, price in self.levels if start <= packs]
        return prices[-1] * packs if prices else NEVER

    def lengths(self, packs: int) -> list[int]:
        """The lengths of cable that so many packs are."""
        if self.spool_mm is None:
            return [self.units * packs]
        return [self.spool_mm] * (self.spools * packs)


@dataclass
class Shops:
    """Every purchase that could be made."""

    needs: Needs
    stock: Stock
    parts: dict[str, Part] = field(default_factory=dict)
    deals: dict[str, list[Deal]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        needs = self.needs
        self.parts = self.stock.by_name | {o.part.part: o.part for o in needs.owned}
        self.owned = {o.part.part: o for o in needs.owned}
        rates = dict(needs.order.rates) | {needs.job.currency: Decimal(1)}
        used = [
            s
            for s in self.stock.suppliers
            if s.supplier not in needs.order.avoid_suppliers and s.currency in rates
        ]
        number = {s.supplier: k for k, s in enumerate(used)}
        self.shipping = [s.shipping * rates[s.currency] for s in used]
        self.free_over = [
            None if s.free_over is None else s.free_over * rates[s.currency] for s in used
        ]
        found: dict[tuple[object, ...], list[Offer]] = {}
        for o in self.stock.offers:
            if o.supplier in number:
                s = used[number[o.supplier]]
                days = s.lead_days if o.lead_days is None else o.lead_days
                if self._in_time(days):
                    key = (o.part, o.supplier, o.unit, o.pack, o.length_m)
                    found.setdefault(key, []).append(o)
        for rows in found.values():
            o = rows[0]
            rate = rates[used[number[o.supplier]].currency]
            stated = [x.stock for x in rows if x.stock is not None]
            spool = None if o.length_m is None else round(o.length_m * 1000)
            units = int(o.pack) if o.unit == "each" else round(o.pack * 1000)
            if spool is not None:
                units = int(o.pack) * spool
            self.deals.setdefault(o.part, []).append(
                Deal(
                    shop=number[o.supplier],
                    units=units,
                    levels=tuple(sorted((x.from_quantity, x.price * rate) for x in rows)),
                    most=int(min(stated) // o.pack) if stated else None,
                    spool_mm=spool,
                    spools=0 if spool is None else int(o.pack),
                )
            )
        numbers = range(len(used))
        self.subsets: list[frozenset[int]] = [
            frozenset(x)
            for x in chain.from_iterable(combinations(numbers, n) for n in range(len(used) + 1))
        ]
        self.certain = [
            sum(
                (self.shipping[k] for k in s if self.free_over[k] is None),
                NOTHING,
            )
            for s in self.subsets
        ]
        self.least = cache(self._least)
        self.least_of = cache(self._least_of)
        self.choices = cache(self._choices)
        self.unit = cache(self._unit)

    def _in_time(self, days: int) -> bool:
        order = self.needs.order
        if order.start is None or order.need_by is None:
            return True
        return days <= (order.need_by - order.start).days

    def had(self, cls: type) -> list:
        """Parts of a class that are owned or sold, by name."""
        found = [
            p
            for p in self.parts.values()
            if isinstance(p, cls) and (p.part in self.deals or p.part in self.owned)
        ]
        return sorted(found, key=lambda p: p.part)

    def members(self, name: Name) -> list[str]:
        """The parts that may stand for a name."""
        if isinstance(name, str):
            return [name]
        if name[0] in ("comm", "joint"):
            return list(name[1:])
        _, area, stud = name
        return [x.part for x in self.had(Lug) if (x.area_mm2, x.stud) == (area, stud)]

    # -- spares

    def spares(self, part: str, quantity: int) -> int:
        """Spares of so many of a part."""
        pct = self.needs.order.spares_pct
        if pct <= 0 or quantity == 0:
            return 0
        kind = self.parts[part].cls
        if kind == "fuse":
            return 1
        if kind in TERMINATIONS:
            return math.ceil(quantity * pct / 100 - 1e-9)
        return 0

    # -- purchases

    def _least(self, name: Name, demand: Demand, subset: int) -> Decimal:
        """The least that a demand costs, freight apart, bought in these shops alone."""
        members = self.members(name)
        return min(
            sum(
                (self.least_of(p, q, subset) for p, q in zip(members, split, strict=True) if q),
                NOTHING,
            )
            for split in _splits(demand, len(members))
        )

    def sums(self, name: Name, demand: Demand) -> Sums:
        """The least cost for each subset of shops."""
        return tuple(self.least(name, demand, k) for k in range(len(self.subsets)))

    def _unit(self, name: Name, subset: int) -> Decimal:
        """No purchase in these shops is cheaper a unit, its share of spares included."""
        best = NEVER
        for part in self.members(name):
            if part in self.owned:
                return NOTHING
            share = Decimal(1)
            if self.parts[part].cls in TERMINATIONS:
                share += Decimal(str(self.needs.order.spares_pct)) / 100
            for d in self.deals.get(part, []):
                if d.shop in self.subsets[subset]:
                    best = min(best, *(p * share / d.units for _, p in d.levels))
        return best

    def _choices(
        self, name: Name, demand: Demand, subset: int, slack: Decimal
    ) -> dict[Sums, Decimal]:
        """Ways to buy a demand for up to so much more than the least: spent by shop, the sum."""
        limit = self.least(name, demand, subset) + slack
        members = self.members(name)
        found: dict[Sums, Decimal] = {}
        for split in _splits(demand, len(members)):
            shares = [(p, q) for p, q in zip(members, split, strict=True) if q]
            least = [self.least_of(p, q, subset) for p, q in shares]
            spare = limit - sum(least, NOTHING)
            if spare < 0:
                continue
            rows = [
                self._of_part(p, q, subset, low + spare)
                for (p, q), low in zip(shares, least, strict=True)
            ]
            for way in product(*map(dict.items, rows)):
                total = sum((t for _, t in way), NOTHING)
                if total <= limit:
                    spent = tuple(map(sum, zip(*(k for k, _ in way), strict=True)))
                    found[spent] = total
        return found

    def _least_of(self, part: str, demand: Demand, subset: int) -> Decimal:
        deals, short, covers = self._wanted(part, demand, subset)
        none = [0] * len(deals)
        best = NOTHING if covers(none) else NEVER
        for k, d in enumerate(deals):
            for n in self._packs(d, short, None):
                if d.cost(n) < best and covers([*none[:k], n, *none[k + 1 :]]):
                    best = d.cost(n)
        for total, _, packs in self._purchases(deals, short, best, needless=False):
            if total < best and covers(packs):
                best = total
        return best

    def _of_part(
        self, part: str, demand: Demand, subset: int, limit: Decimal
    ) -> dict[Sums, Decimal]:
        """Ways to buy so many of a part for at most so much."""
        deals, short, covers = self._wanted(part, demand, subset)
        found: dict[Sums, Decimal] = {}
        for total, costs, packs in self._purchases(deals, short, limit, needless=True):
            spent = [NOTHING] * len(self.shipping)
            for d, c in zip(deals, costs, strict=True):
                spent[d.shop] += c
            if tuple(spent) not in found and covers(packs):
                found[tuple(spent)] = total
        return found

    def _wanted(
        self, part: str, demand: Demand, subset: int
    ) -> tuple[list[Deal], int, Callable[[Sequence[int]], bool]]:
        """The deals, what is short at the most, and whether so many packs of each are enough."""
        deals = [d for d in self.deals.get(part, []) if d.shop in self.subsets[subset]]
        own = self.owned.get(part)
        if isinstance(demand, tuple):
            mine = [] if own is None else [round(own.quantity * 1000)]

            def cut(packs: Sequence[int]) -> bool:
                bought = [d.lengths(n) for d, n in zip(deals, packs, strict=True)]
                return _cuts(demand, [*mine, *chain.from_iterable(bought)])

            return deals, sum(demand), cut
        need = demand + self.spares(part, demand)
        short = max(0, need - (0 if own is None else int(own.quantity)))

        def enough(packs: Sequence[int]) -> bool:
            return sum(d.units * n for d, n in zip(deals, packs, strict=True)) >= short

        return deals, short, enough

    def _purchases(
        self, deals: Sequence[Deal], short: int, limit: Decimal, *, needless: bool
    ) -> Iterator[tuple[Decimal, tuple[Decimal, ...], tuple[int, ...]]]:
        """Numbers of packs that cost no more: the total, each deal's cost, each deal's packs.

        With `needless` packs beyond what is short are bought too.
        """
        if not deals:
            yield NOTHING, (), ()
            return
        *before, deal = deals
        for total, costs, packs in self._purchases(before, short, limit, needless=needless):
            for n in self._packs(deal, short, limit if needless else None):
                cost = deal.cost(n)
                if cost != NEVER and total + cost <= limit:
                    yield total + cost, (*costs, cost), (*packs, n)

    @staticmethod
    def _packs(deal: Deal, short: int, limit: Decimal | None) -> Iterable[int]:
        """Numbers of packs that could pay: up to what is short, and where a price level starts."""
        enough = -(-short // deal.units)
        if deal.spool_mm is not None:
            enough = 2 * enough + 1  # pieces may leave a remnant on every spool
        starts = [s for s, _ in deal.levels]
        numbers = {*range(enough + 1), *starts}
        if limit is not None:
            cheapest_pack = min(p for _, p in deal.levels)
            if cheapest_pack > 0:
                numbers |= set(range(int(limit / cheapest_pack) + 1))
        return sorted(numbers)

    # -- everything together

    def total(self, demands: dict[Name, Demand], best: Decimal) -> Decimal:
        """What all demands cost with freight, if that is less than `best`; else `best`."""
        names = list(demands.items())
        for k, subset in enumerate(self.subsets):
            least = [self.least(n, d, k) for n, d in names]
            goods = sum(least, self.certain[k])
            if goods >= best:
                continue
            may_be_free = [
                s for s in sorted(subset) if self.free_over[s] is not None and self.shipping[s]
            ]
            for free in _some_of(may_be_free):
                paid = sum((self.shipping[s] for s in may_be_free if s not in free), goods)
                if not free:
                    best = min(best, paid)
                elif paid < best:
                    best = min(best, paid + self._needless(names, k, free, best - paid))
        return best

    def _needless(
        self,
        names: Sequence[tuple[Name, Demand]],
        subset: int,
        free: Sequence[int],
        slack: Decimal,
    ) -> Decimal:
        """The least to spend beyond what is needed for free freight from some shops.

        Goes through the demands with every pair of what was spent in those shops and beyond the
        least; of two pairs one that spent no less there and no more beyond is enough.
        """
        over = [self.free_over[s] or NOTHING for s in free]
        rows = [self._worth(n, d, subset, free, slack) for n, d in names]
        still = [[max(w[0][i] for w in row) for row in rows] for i in range(len(free))]
        states: dict[Sums, Decimal] = {(NOTHING,) * len(free): NOTHING}
        for at, row in enumerate(rows):
            more = [sum(column[at + 1 :], NOTHING) for column in still]
            after: dict[Sums, Decimal] = {}
            for state, before in states.items():
                for spent, beyond in row:
                    needless = before + beyond
                    reached = tuple(map(min, map(sum, zip(state, spent, strict=True)), over))
                    if needless >= slack or any(
                        r + m < o for r, m, o in zip(reached, more, over, strict=True)
                    ):
                        continue
                    if needless < after.get(reached, NEVER):
                        after[reached] = needless
            states = _undominated(after)
        return min(states.values(), default=NEVER)

    def _worth(
        self, name: Name, demand: Demand, subset: int, free: Sequence[int], slack: Decimal
    ) -> list[tuple[Sums, Decimal]]:
        """Ways to buy a demand: spent in some shops, and beyond the least."""
        least = self.least(name, demand, subset)
        found: dict[Sums, Decimal] = {}
        for spent, total in self.choices(name, demand, subset, slack).items():
            key = tuple(spent[s] for s in free)
            found[key] = min(found.get(key, NEVER), total - least)
        return list(_undominated(found).items())


def _some_of(shops: Sequence[int]) -> Iterator[tuple[int, ...]]:
    for n in range(len(shops) + 1):
        yield from combinations(shops, n)


def _undominated(found: dict[Sums, Decimal]) -> dict[Sums, Decimal]:
    """Without those that another beats: no less in either key, and no larger a value."""
    kept: dict[Sums, Decimal] = {}
    # the kept keys as a staircase: as the first of a key rises, the last falls
    firsts: list[Decimal] = []
    lasts: list[Decimal] = []
    for key, value in sorted(found.items(), key=lambda x: (x[1], [-k for k in x[0]])):
        first, last = key[0], key[-1]
        at = bisect_left(firsts, first)
        if at < len(firsts) and lasts[at] >= last:
            continue
        kept[key] = value
        start = at
        while start > 0 and lasts[start - 1] <= last:
            start -= 1
        end = at + 1 if at < len(firsts) and firsts[at] == first else at
        firsts[start:end], lasts[start:end] = [first], [last]
    return kept


def _splits(demand: Demand, parts: int) -> Iterator[tuple[Demand, ...]]:
    """Every way to share a number among interchangeable parts."""
    if parts == 1:
        yield (demand,)
    elif parts > 1:
        if isinstance(demand, tuple):
            raise AssertionError("cables are not interchangeable")
        for first in range(demand + 1):
            for rest in _splits(demand - first, parts - 1):
                yield (first, *rest)


def _cuts(pieces: Sequence[int], lengths: Sequence[int]) -> bool:
    """Whether pieces can be cut from lengths."""
    if sum(pieces) > sum(lengths):
        return False
    if len(lengths) == 1 or not pieces:
        return True
    longest, rest = max(pieces), sorted(pieces)[:-1]
    for length in set(lengths):
        if length >= longest:
            left = list(lengths)
            left.remove(length)
            if _cuts(rest, [*left, length - longest]):
                return True
    return False


# --- ways to wire a circuit ----------------------------------------------------------------------


@dataclass(frozen=True)
class Run:
    """A circuit without its conductor."""

    uses: tuple[str, ...]
    conductors: int
    route: Route
    pieces: Callable[[str], list[tuple[str, float, tuple[str | None, ...]]]]
    """By use of cable: pole, metres, and for each core's end its stud, `fuse`, or a hub terminal."""
    drop_v: float
    protected: str
    highest_v: float
    breaking_ka: float = 1.0
    block: Holder | None = None
    most_a: float = math.inf
    link_m: float = 0.0
    shares: bool = False
    """Its breaker may be in a box with those of others."""
    at_battery: bool = False
    """Its first piece, before its protection, is on the battery's own terminal."""


@dataclass(frozen=True)
class Way:
    """One way to wire a circuit, with what it takes."""

    counts: tuple[tuple[Name, int], ...]
    pieces: tuple[tuple[str, int], ...]
    kg: float
    ampacity_a: float = math.inf
    rated_a: float = math.inf
    stands: tuple[tuple[str, str], ...] = ()
    """Parts in it that take room, with their places."""
    area_mm2: float = 0.0
    """Of its conductor."""
    live: int | None = None
    """Of an earthing conductor, the group whose conductor it goes by."""
    fills: tuple[tuple[str, float], ...] = ()
    """By hole of a stated size, the squares of the outer diameters that pass it, in mm²."""
    box: Holder | None = None
    """A box for several breakers that its own is in, which is counted when the kit is known."""
    piped: frozenset[tuple[frozenset[str], str]] = frozenset()
    """Conduits that PV or AC lies in, by the two places of their leg, with the use of the cable."""


@dataclass(frozen=True)
class Setting:
    """What every kit has one of."""

    voltage: int
    chemistry: str
    efficiency_pct: float
    hub: str


@dataclass(frozen=True)
class Array:
    """Panels on a controller."""

    panel: Panel
    controller: Controller
    series: int
    parallel: int
    roof: str
    desk: str
    yields_wh: tuple[float, ...]
    charge_a: float
    design_a: float
    voc_v: float


@dataclass(frozen=True)
class Bank:
    """Batteries in strings."""

    battery: Battery
    series: int
    parallel: int
    place: str
    usable_wh: float
    short_ka: float


@dataclass(frozen=True)
class Feeder:
    """An inverter or a charger, with the ways in it serves."""

    device: Inverter | Charger
    place: str
    serves: tuple[str, ...]
    needs_wh: tuple[float, ...]
    other_wh: tuple[float, ...]
    draw_a: float
    charge_a: float
    input_w: float


@dataclass
class Room:
    """What stands in a place so far."""

    area: dict[str, float]
    kg: dict[str, float]


class _Search:
    def __init__(self, needs: Needs, stock: Stock) -> None:
        self.needs, self.shops = needs, Shops(needs, stock)
        self.months = needs.site.months
        self.share = 1 - needs.energy.shortfall_pct / 100
        self.dc_wh, self.ac_wh = zip(
            *(rule_e.load_wh(needs.loads, m) for m in self.months), strict=True
        )
        self.known_ways: dict[object, list[Way]] = {}
        self.lying: dict[frozenset[str], int] = {}
        self.floors: dict[Way, Sums] = {}
        self.isolated = any(map(_isolates, self.shops.parts.values()))
        """Isolators, which come with the wiring, weigh too."""

    # -- where things may stand

    def _stands(self, part: Part, place: Place, count: int = 1) -> bool:
        if not place.may_hold(part.cls):
            return False
        if not self._weather(part, place):
            return False
        free = getattr(part, "clear_mm", None) or 0.0
        if place.height_mm is not None and (part.height_mm or 0) + free > place.height_mm:
            return False
        sides = sorted(((part.length_mm or 0) + 2 * free, (part.width_mm or 0) + 2 * free))
        room = sorted(
            (place.length_mm - 2 * place.margin_mm, place.width_mm - 2 * place.margin_mm)
        )
        if sides[0] > room[0] or sides[1] > room[1]:
            return False
        if place.max_kg is not None and count * part.kg > place.max_kg + EPS:
            return False
        return count * sides[0] * sides[1] <= usable_area_mm2(place) + EPS

    def _weather(self, part: Part, place: Place) -> bool:
        """Whether heat, cold and water of a place are within what a part says of itself."""
        site = self.needs.site
        cold = site.coldest_c if place.min_c is None else place.min_c
        hot = site.hottest_c if place.max_c is None else place.max_c
        low, high = getattr(part, "min_c", None), getattr(part, "max_c", None)
        if (low is not None and cold < low) or (high is not None and hot > high):
            return False
        code = getattr(part, "ip", None) or "IP00"
        dry = not (place.wet or place.ground)
        return dry or isinstance(part, Panel) or code[3:4] in tuple("456789")

    def _places(self, part_class: str, hub: str) -> list[str]:
        return [
            p.name
            for p in self.needs.places
            if p.may_hold(part_class) and route(self.needs, p.name, hub) is not None
        ]

    # -- settings

    def settings(self) -> Iterator[Setting]:
        needs = self.needs
        kinds = sorted(
            {(b.chemistry, b.charge_efficiency_pct) for b in self.shops.had(Battery)}
        )
        for voltage, (chemistry, efficiency), hub in product(
            needs.rules.voltages, kinds, needs.places
        ):
            if chemistry not in needs.rules.chemistries:
                continue
            if not all(hub.may_hold(x) for x in ("busbar", "switch", "monitor")):
                continue
            dc = [x for x in needs.loads if x.supply == "dc"]
            if any(x.volts is not None and voltage not in x.volts for x in dc):
                continue
            if any(route(needs, hub.name, x.place) is None for x in dc):
                continue
            yield Setting(voltage, chemistry, efficiency, hub.name)

    # -- main parts

    def _banks(self, s: Setting) -> list[Bank]:
        found = []
        for b, name in product(self.shops.had(Battery), self._places("battery", s.hub)):
            place = self.needs.place(name)
            coldest = self.needs.site.coldest_c if place.min_c is None else place.min_c
            series = s.voltage / rule_b.nominal_class_v(b.nominal_v)
            if (b.chemistry, b.charge_efficiency_pct) != (s.chemistry, s.efficiency_pct):
                continue
            if b.chemistry == "flooded" and not place.vented:
                continue
            if series % 1 or not 1 <= series <= b.max_series or b.min_charge_c > coldest:
                continue
            hottest = self.needs.site.hottest_c if place.max_c is None else place.max_c
            if hottest > (45.0 if b.max_charge_c is None else b.max_charge_c):
                continue
            factor = rule_b.temperature_factor(b.chemistry, coldest)
            mohm = b.internal_mohm or rule_b.typical_internal_mohm(
                b.chemistry, b.nominal_v, b.capacity_ah
            )
            for k in range(1, min(b.max_parallel, MOST_LUGS) + 1):
                if self._stands(b, place, int(series) * k):
                    usable = rule_b.usable_wh(
                        b.nominal_v, series, b.capacity_ah, k, b.usable_pct, factor
                    )
                    short = rule_b.prospective_short_circuit_ka(b.nominal_v, series, k, mohm)
                    found.append(Bank(b, int(series), k, name, float(usable), short))
        return found

    def _into_bank_wh(self, s: Setting, charge_a: float, serves: Sequence[str]) -> tuple:
        watts = charge_a * rule_s.charging_voltage_v(s.chemistry, s.voltage)
        watts *= s.efficiency_pct / 100
        return tuple(
            sum(
                watts * c.hours_per_day
                for c in self.needs.charging
                if c.kind in serves and (c.months is None or m in c.months)
            )
            for m in self.months
        )

    def _fed_by(self, kinds: Sequence[str], input_w: float) -> tuple[str, ...]:
        return tuple(
            sorted(
                c.kind
                for c in self.needs.charging
                if c.kind in kinds and input_w <= c.max_w + 1e-9
            )
        )

    def _inverters(self, s: Setting) -> list[Feeder | None]:
        needs, loads = self.needs, [x for x in self.needs.loads if x.supply == "ac"]
        must = any(isinstance(o.part, Inverter) and o.use == "must" for o in needs.owned)
        found: list[Feeder | None] = [] if loads else [None]
        if not loads and not must:
            return found
        for i, place in product(self.shops.had(Inverter), self._places("inverter", s.hub)):
            if (i.dc_v, i.ac_v, i.hz) != (s.voltage, needs.rules.ac_v, needs.rules.hz):
                continue
            if i.continuous_w < rule_e.together_w(needs.loads, "ac"):
                continue
            if i.surge_w < rule_e.surge_w(needs.loads):
                continue
            if not self._stands(i, needs.place(place)):
                continue
            if any(route(needs, place, x.place) is None for x in loads):
                continue
            need = tuple(
                float(
                    rule_e.inverter_need_wh(
                        ac, i.efficiency_pct, i.idle_w, rule_e.inverter_hours(needs, m)
                    )
                )
                for ac, m in zip(self.ac_wh, self.months, strict=True)
            )
            draw = float(rule_e.inverter_current_a(i.continuous_w, i.efficiency_pct, s.voltage))
            volts = rule_s.charging_voltage_v(s.chemistry, s.voltage)
            input_w = i.charge_a * volts / (i.efficiency_pct / 100)
            zero = (0.0,) * len(self.months)
            found.append(Feeder(i, place, (), need, zero, draw, 0.0, 0.0))
            fed = self._fed_by(("shore", "generator"), input_w) if i.charge_a else ()
            for serves in self._at_one_inlet(fed, place):
                other = self._into_bank_wh(s, i.charge_a, serves)
                found.append(Feeder(i, place, serves, need, other, draw, i.charge_a, input_w))
        return found

    def _inlet(self, kinds: tuple[str, ...], place: str) -> str:
        stated = {c.place for c in self.needs.charging if c.kind in kinds and c.place}
        return min(stated, default=place)

    def _at_one_inlet(self, fed: tuple[str, ...], place: str) -> list[tuple[str, ...]]:
        """Ways in that may come in at one inlet: all that state its place, or none."""
        stated = {c.kind: c.place for c in self.needs.charging if c.kind in fed}
        inlets = sorted({x for x in stated.values() if x}) or [place]
        sets = [tuple(k for k in fed if stated[k] in (None, "", x)) for x in inlets]
        return [
            kinds
            for kinds, x in zip(sets, inlets, strict=True)
            if kinds and route(self.needs, x, place) is not None
        ]

    def _chargers(self, s: Setting, kind: str) -> list[Feeder | None]:
        found: list[Feeder | None] = [None]
        for c, place in product(self.shops.had(Charger), self._places("charger", s.hub)):
            if c.kind != kind or s.voltage not in c.battery_v:
                continue
            if not self._stands(c, self.needs.place(place)):
                continue
            kinds = ("shore", "generator") if kind == "shore" else ("engine",)
            for serves in self._at_one_inlet(self._fed_by(kinds, c.input_w), place):
                other = self._into_bank_wh(s, c.charge_a, serves)
                zero = (0.0,) * len(self.months)
                found.append(Feeder(c, place, serves, zero, other, 0.0, c.charge_a, c.input_w))
        return found

    def _arrays(self, s: Setting) -> list[Array]:
        needs, site = self.needs, self.needs.site
        air = site.air_c or rule_e.air_c_by_month(
            site.coldest_c, site.hottest_c, site.latitude_deg
        )
        charging = rule_s.charging_voltage_v(s.chemistry, s.voltage)
        roofs = [p.name for p in needs.places if p.may_hold("panel")]
        found = []
        for p, c, roof, desk, k in product(
            self.shops.had(Panel),
            self.shops.had(Controller),
            roofs,
            self._places("controller", s.hub),
            (1, 2, 3, 4),
        ):
            if s.voltage not in c.battery_v or route(needs, roof, desk) is None:
                continue
            if not self._stands(c, needs.place(desk)):
                continue
            # its positive would be the bank's, on the pins of the inlet
            if needs.place(roof).ground and c.common_pole == "positive":
                continue
            cold = rule_s.voc_cold_v(p.voc_v, p.voc_pct_per_c, site.coldest_c)
            hot = rule_s.vmp_hot_v(p.vmp_v, p.pmax_pct_per_c, site.hottest_c, site.cell_rise_c)
            if c.max_pv_a is not None and rule_s.pv_input_current_a(k * p.isc_a) > c.max_pv_a:
                continue
            for n in range(1, 30):
                if n * cold > min(p.max_system_v, c.max_pv_v):
                    break
                if n * hot < charging + c.headroom_v - EPS:
                    continue
                if not self._stands(p, needs.place(roof), n * k):
                    continue
                yields = tuple(
                    float(
                        rule_e.array_yield_wh(
                            c.kind,
                            p.stc_w,
                            n * k,
                            p.imp_a,
                            k,
                            rule_e.thermal_factor(
                                p.pmax_pct_per_c, air[m - 1], site.cell_rise_c
                            ),
                            site.derate,
                            c.efficiency_pct,
                            c.max_charge_a,
                            charging,
                            needs.sun_hours[m - 1],
                        )
                    )
                    * s.efficiency_pct
                    / 100
                    for m in self.months
                )
                charge = rule_s.array_charge_a(
                    c.kind,
                    p.stc_w,
                    n * k,
                    c.efficiency_pct,
                    c.max_charge_a,
                    k * p.isc_a,
                    s.voltage,
                )
                design = rule_s.pv_design_current_a(
                    k * p.isc_a, needs.rules.continuous, needs.rules.practice
                )
                found.append(
                    Array(
                        p, c, n, k, roof, desk, yields, float(charge), float(design), n * cold
                    )
                )
        return found

    # -- one setting

    def in_setting(self, s: Setting, best: Answer | None) -> Answer | None:
        self.s, self.best = s, best
        self.dc_a = rule_e.together_w(self.needs.loads, "dc") / rule_b.lowest_v(s.voltage)
        self.highest_v = rule_p.highest_circuit_v(s.chemistry, s.voltage)
        self.pv_ways: dict[object, list[Way]] = {}
        self.known_ways = {}
        self.known_modes: dict[object, list[tuple]] = {}
        self.circuits = self._load_circuits("dc")
        hub = self.needs.place(s.hub)
        busbars = [b for b in self.shops.had(Busbar) if self._stands(b, hub, 2)]
        switches = [
            x
            for x in self.shops.had(Switch)
            if self._stands(x, hub) and x.max_v >= self.highest_v and not _isolates(x)
        ]
        monitors = [x for x in self.shops.had(Monitor) if self._stands(x, hub)]
        self.busbars, self.switches = self._priced(busbars, 2), self._priced(switches, 1)
        shore, engine = self._chargers(s, "shore"), self._chargers(s, "engine")
        feeders = []
        for i, a, e in product(self._inverters(s), shore, engine):
            if i is not None and i.serves and a is not None:
                continue  # one device for what comes in as AC
            feeders.append([x for x in (i, a, e) if x is not None])
        most = max((b.studs for b in busbars), default=0) - 1
        fleets = list(self._fleets(self._arrays(s), most))
        rest = []
        for bank, some, monitor in product(self._banks(s), feeders, monitors):
            counts = {bank.battery.part: bank.series * bank.parallel, monitor.part: 1}
            for f in some:
                counts[f.device.part] = counts.get(f.device.part, 0) + 1
            cost = self._cost(counts)
            rest.append((min(cost), cost, bank, some, monitor, counts))
        rest = [x for x in rest if self._has_musts((Battery, Monitor, Charger, Inverter), x[5])]
        fleets = [x for x in fleets if self._has_musts((Panel, Controller), x[3])]
        rest.sort(key=lambda x: x[0])
        fleets.sort(key=lambda x: x[0])
        for low_rest, cost, bank, some, monitor, counts in rest:
            for low, fleet_cost, fleet, fleet_counts in fleets:
                if low_rest + low >= self._limit():
                    break
                if self._bound(_added(cost, fleet_cost)) >= self._limit():
                    continue
                if self._works(bank, some, monitor, fleet):
                    self._hub(bank, some, monitor, fleet, counts | fleet_counts)
        return self.best

    def _has_musts(self, kinds: tuple[type, ...], counts: dict[str, int]) -> bool:
        return all(
            counts.get(o.part.part, 0) >= o.quantity
            for o in self.needs.owned
            if o.use == "must" and isinstance(o.part, kinds) and not _isolates(o.part)
        )

    def _limit(self) -> Decimal:
        return NEVER if self.best is None else self.best.total

    def _bound(self, sums: Sums) -> Decimal:
        return min(x + y for x, y in zip(sums, self.shops.certain, strict=True))

    def _cost(self, counts: dict[str, int]) -> Sums:
        cost: Sums = (NOTHING,) * len(self.shops.subsets)
        for name, n in counts.items():
            cost = _added(cost, self.shops.sums(name, n))
        return cost

    def _priced(self, devices: list, count: int) -> list:
        rows = [(self._cost({d.part: count}), d) for d in devices]
        return sorted(rows, key=lambda r: min(r[0]))

    def _fleets(self, arrays: list[Array], most: int) -> Iterator[tuple]:
        """Every set of arrays that lies on the roofs, by the number the bus bars have room for."""
        roofs = {a.roof: usable_area_mm2(self.needs.place(a.roof)) + EPS for a in arrays}

        def grow(start: int, chosen: list[Array], left: dict[str, float]) -> Iterator[tuple]:
            counts: dict[str, int] = {}
            for a in chosen:
                n = a.series * a.parallel
                counts[a.panel.part] = counts.get(a.panel.part, 0) + n
                counts[a.controller.part] = counts.get(a.controller.part, 0) + 1
            cost = self._cost(counts)
            yield min(cost), cost, tuple(chosen), counts
            if len(chosen) == most:
                return
            for i in range(start, len(arrays)):
                a = arrays[i]
                face = a.series * a.parallel * a.panel.length_mm * a.panel.width_mm
                if face <= left[a.roof]:
                    yield from grow(i, [*chosen, a], left | {a.roof: left[a.roof] - face})

        yield from grow(0, [], roofs)

    def _works(
        self, bank: Bank, some: Sequence[Feeder], monitor: Monitor, fleet: Sequence[Array]
    ) -> bool:
        """Energy by month, reserve, and the bank's currents."""
        own = 24 * (monitor.own_w + sum(a.controller.own_w for a in fleet))
        for j in range(len(self.months)):
            need = self.dc_wh[j] + own + sum(f.needs_wh[j] for f in some)
            sun = sum(a.yields_wh[j] for a in fleet)
            other = sum(f.other_wh[j] for f in some)
            if sun < self.share * need - EPS or sun + other < need - EPS:
                return False
            if bank.usable_wh < self.needs.energy.autonomy_days * need - EPS:
                return False
        discharge = self.dc_a + sum(f.draw_a for f in some)
        charge = sum(a.charge_a for a in fleet)
        k, b = bank.parallel, bank.battery
        if discharge > b.max_discharge_a * k + EPS or charge > b.max_charge_a * k + EPS:
            return False
        return all(f.charge_a <= b.max_charge_a * k + EPS for f in some)

    # -- hub and distribution

    def _hub(
        self,
        bank: Bank,
        some: Sequence[Feeder],
        monitor: Monitor,
        fleet: Sequence[Array],
        counts: dict[str, int],
    ) -> None:
        draw = self.dc_a + sum(f.draw_a for f in some)
        charge = sum(a.charge_a for a in fleet) + sum(f.charge_a for f in some)
        trunk = max(draw, charge)
        if monitor.rated_a < trunk - EPS:
            return
        limit_kg = self.needs.limits.total_kg
        light = sum(self.shops.parts[p].kg * n for p, n in counts.items())
        if limit_kg is not None and light > limit_kg + EPS:
            return
        base = self._cost(counts)
        for (bar_cost, bar), (switch_cost, switch) in product(self.busbars, self.switches):
            if bar.rated_a < trunk - EPS or switch.rated_a < trunk - EPS:
                continue
            cost = _added(_added(base, bar_cost), switch_cost)
            whole = counts | {bar.part: 2, switch.part: 1}
            standing = self._standing(bank, some, monitor, fleet, bar, switch)
            if (
                self._bound(cost) < self._limit()
                and self._has_musts((Busbar, Switch), whole)
                and self.stands_all(standing)
                and (self.isolated or self.balanced(standing))
            ):
                self.standing = standing
                self._wire(bank, some, monitor, fleet, bar, switch, trunk, whole)

    def _wire(
        self,
        bank: Bank,
        some: Sequence[Feeder],
        monitor: Monitor,
        fleet: Sequence[Array],
        bar: Busbar,
        switch: Switch,
        trunk: float,
        counts: dict[str, int],
    ) -> None:
        """Wire a set of devices in every way."""
        studs = {"bar": bar.stud, "switch": switch.stud, "shunt": monitor.stud}
        self.lying = self._together(bank, some, fleet)
        groups = self._groups(bank, some, fleet, trunk, studs)
        if not all(ways for ways, _ in groups):
            return
        kg = sum(self.shops.parts[p].kg * n for p, n in counts.items())
        linked = self._linked(bank, some, fleet)
        if linked is None:
            return
        linked_kg = sum(
            n * min(self.shops.parts[p].kg for p in name[1:]) for name, n in linked.items()
        )
        bonds = self._earths(groups, some, fleet, studs)
        if not all(ways for ways, _ in bonds):
            return
        groups += bonds
        lugs = 1 + len(fleet) + len(some) + (1 if bonds else 0)
        text = f"{self.s} {bank} {some} {fleet} {bar.part} {switch.part}"
        for block, blocks, loads, at_bars in self._modes_at(studs):
            if lugs + at_bars > bar.studs or not all(loads):
                continue
            demands: dict[Name, Demand] = {**counts, **linked}
            more = linked_kg
            if block is not None:
                demands[block.part] = blocks
                more += block.kg * blocks
            both = [*groups, *((ways, None) for ways in loads)]
            guarded_a = min(bar.rated_a, switch.rated_a, monitor.rated_a)
            _Wiring(self, both, bank.parallel, guarded_a, text).run(demands, kg + more)

    def _together(
        self, bank: Bank, some: Sequence[Feeder], fleet: Sequence[Array]
    ) -> dict[frozenset[str], int]:
        """Loaded conductors on each leg: those stated, and two of each circuit that passes."""
        hub = self.s.hub
        ends = [(bank.place, hub)] * bank.parallel
        ends += [(hub, loads[0].place) for loads in self.circuits.values()]
        for f in some:
            ends.append((hub, f.place))
            if isinstance(f.device, Inverter):
                ends += [(f.place, x[0].place) for x in self._load_circuits("ac").values()]
            if f.serves:
                ends.append((self._inlet(f.serves, f.place), f.place))
        for a in fleet:
            ends += [(a.roof, a.desk), (a.desk, hub)]
        found: dict[frozenset[str], int] = {}
        for leg in self.needs.legs:
            key = frozenset((leg.from_, leg.to))
            alike = [x for x in self.needs.legs if {x.from_, x.to} == key]
            least = min(alike, key=lambda x: (x.length_m, x.max_c or 0.0, x.loaded_conductors))
            found[key] = least.loaded_conductors
        for a, b in ends:
            for pair in self._way(a, b).via:
                found[frozenset(pair)] += 2
        return found

    def _key(self) -> tuple[object, ...]:
        """What decides ampacities beside a circuit's own way."""
        return tuple(sorted((tuple(sorted(k)), n) for k, n in self.lying.items()))

    def _linked(
        self, bank: Bank, some: Sequence[Feeder], fleet: Sequence[Array]
    ) -> dict[tuple, int] | None:
        """Comm cables by what serves; None where a port has none that reaches."""
        monitors = [x for x in self.shops.parts.values() if isinstance(x, Monitor)]
        heard = set.intersection(*(set((m.comm or "").split("/")) - {""} for m in monitors))
        plugs = {m.comm_plug for m in monitors}
        heard = heard if len(plugs) == 1 else set()
        far = plugs.pop()
        found: dict[tuple, int] = {}

        def link(device: Part, place: str, goal: str, other: str | None) -> bool:
            buses = heard & set((device.comm or "").split("/"))
            if not buses:
                return True
            least = self._way(place, goal).length_m + 2 * self.needs.rules.slack_mm / 1000
            ends = (device.comm_plug, other)
            name = tuple(
                x.part
                for x in self.shops.had(CommCable)
                if x.bus in buses
                and x.run_m >= least - 1e-9
                and any(
                    ends[0] in (None, a) and ends[1] in (None, b)
                    for a, b in ((x.plug_a, x.plug_b), (x.plug_b, x.plug_a))
                )
            )
            found["comm", *name] = found.get(("comm", *name), 0) + 1
            return bool(name)

        hub, cell = self.s.hub, bank.battery
        right = link(cell, bank.place, hub, far)
        for _ in range(bank.series * bank.parallel - 1):
            right = link(cell, bank.place, bank.place, cell.comm_plug) and right
        for device, place in (
            *((f.device, f.place) for f in some),
            *((a.controller, a.desk) for a in fleet),
        ):
            right = link(device, place, hub, far) and right
        return found if right else None

    def _standing(
        self,
        bank: Bank,
        some: Sequence[Feeder],
        monitor: Monitor,
        fleet: Sequence[Array],
        bar: Busbar,
        switch: Switch,
    ) -> list[tuple[Part, str, int]]:
        return [
            (bank.battery, bank.place, bank.series * bank.parallel),
            *((f.device, f.place, 1) for f in some),
            *((a.panel, a.roof, a.series * a.parallel) for a in fleet),
            *((a.controller, a.desk, 1) for a in fleet),
            (monitor, self.s.hub, 1),
            (bar, self.s.hub, 2),
            (switch, self.s.hub, 1),
        ]

    def stands_all(self, standing: Sequence[tuple[Part, str, int]]) -> bool:
        """Whether everything has room by area and load, so many of each in its place."""
        for place in self.needs.places:
            mine = [(p, n) for p, where, n in standing if where == place.name]
            area = sum(_taken_mm2(p) * n for p, n in mine)
            if area > usable_area_mm2(place) + EPS:
                return False
            if place.max_kg is not None and sum(p.kg * n for p, n in mine) > place.max_kg + EPS:
                return False
        return True

    def balanced(self, standing: Sequence[tuple[Part, str, int]]) -> bool:
        """Whether the moments of all that stands somewhere are within their limits."""
        limits = self.needs.limits
        for axis, most in enumerate((limits.fore_aft_kgm, limits.side_kgm)):
            if most is None:
                continue
            total = sum(
                p.kg * n * (self.needs.place(where).at_m or ())[axis]
                for p, where, n in standing
            )
            if abs(total) > most + EPS:
                return False
        return True

    def _load_circuits(self, supply: str) -> dict[str, list[Load]]:
        found: dict[str, list[Load]] = {}
        for load in self.needs.loads:
            if load.supply == supply:
                found.setdefault(load.circuit or load.name, []).append(load)
        return dict(sorted(found.items()))

    def _modes_at(self, studs: dict[str, str | None]) -> list[tuple]:
        key = (studs["bar"], self._key())
        if key not in self.known_modes:
            self.known_modes[key] = list(self._modes(studs))
        return self.known_modes[key]

    def _modes(self, studs: dict[str, str | None]) -> Iterator[tuple]:
        """Ways to distribute: the block, how many, each circuit's ways, lugs at the bars."""
        direct = {
            name: self._ways(
                ("load", loads[0].place),
                self._amps(loads),
                studs,
                lambda loads=loads: self._from_bar(
                    loads[0].place, None, self.needs.rules.drop_pct.load
                ),
            )
            for name, loads in self.circuits.items()
        }
        if all(direct.values()):
            yield None, 0, list(direct.values()), len(direct)
        for block in filter(self._is_block, self.shops.had(Holder)):
            if block.max_v < self.highest_v:
                continue
            inside = {
                name: self._ways(
                    ("block", block.part, loads[0].place),
                    self._amps(loads),
                    studs,
                    lambda block=block, loads=loads: self._in_block(block, loads[0].place),
                )
                for name, loads in self.circuits.items()
            }
            for dealt in _dealings(list(self.circuits), block.ways):
                out = [n for n in self.circuits if not any(n in one for one in dealt)]
                feeds = [
                    self._amps([x for n in one for x in self.circuits[n]]) for one in dealt
                ]
                if max(feeds) <= block.rated_a:
                    ways = [self._feed(block, amps, studs) for amps in feeds]
                    ways += [inside[n] for one in dealt for n in one]
                    ways += [direct[n] for n in out]
                    yield block, len(dealt), ways, len(dealt) + len(out)

    def _is_block(self, h: Holder) -> bool:
        """Whether fuses sit in its ways; else it is a box for breakers."""
        boxes = {b.holder for b in self.shops.had(Breaker) if b.residual_ma is not None}
        fuses = [f for f in self.shops.had(Fuse) if f.holder is not None]
        fits = any(f.kind == h.kind or f.holder == h.part for f in fuses)
        return h.ways > 1 and fits and h.part not in boxes

    def _amps(self, loads: Sequence[Load]) -> float:
        return rule_e.load_current_a(loads, self.s.voltage)

    def _feed(self, block: Holder, amps: float, studs: dict[str, str | None]) -> list[Way]:
        def run() -> Run:
            one = self._from_bar(self.s.hub, block.stud, self.needs.rules.drop_pct.battery)
            return Run(**{**vars(one), "most_a": block.rated_a})

        return self._ways(("feed", block.part), amps, studs, run)

    # -- circuits

    def _groups(
        self,
        bank: Bank,
        some: Sequence[Feeder],
        fleet: Sequence[Array],
        trunk: float,
        studs: dict[str, str | None],
    ) -> list[tuple[list[Way], int | None]]:
        """Every circuit's ways, the bank's and the link first; with the number of a twin."""
        needs, s, drops = self.needs, self.s, self.needs.rules.drop_pct
        groups: list[tuple[list[Way], int | None]] = [
            (
                self._strings(bank, trunk, studs),
                None,
            ),
            (self._ways(("link",), trunk, studs, self._link_run), None),
        ]
        for f in some:
            kind = "inverter" if isinstance(f.device, Inverter) else "charger"
            drop = drops.inverter if kind == "inverter" else drops.charger
            amps = f.draw_a if kind == "inverter" else f.charge_a
            groups.append(
                (
                    self._ways(
                        (kind, f.place, f.device.stud),
                        amps,
                        studs,
                        lambda f=f, drop=drop: self._from_bar(f.place, f.device.stud, drop),
                    ),
                    None,
                )
            )
            if kind == "inverter":
                for loads in self._load_circuits("ac").values():
                    watts = rule_e.together_w(loads, "ac")
                    plugs = sum(x.quantity for x in loads)
                    ways = self._ac(f.place, loads[0].place, watts, studs, "socket", plugs)
                    groups.append((ways, None))
            if f.serves == ("engine",):
                groups.append((self._engine(f, studs), None))
            elif f.serves:
                inlet = self._inlet(f.serves, f.place)
                ways = self._ac(inlet, f.place, f.input_w, studs, "inlet", 1)
                groups.append((ways, None))
        for n, a in enumerate(fleet):
            twin = n > 0 and fleet[n - 1] == a
            out = self._ways(
                ("controller", a.desk),
                a.charge_a,
                studs,
                lambda a=a: self._from_bar(a.desk, None, drops.charger),
            )
            groups.append((self._pv(a), len(groups) - 2 if twin else None))
            groups.append((out, len(groups) - 2 if twin else None))
        _ = needs, s
        return groups

    def _strings(self, bank: Bank, trunk: float, studs: dict[str, str | None]) -> list[Way]:
        """Ways to wire all strings of a bank, each as the others."""
        k = bank.parallel
        one = self._ways(("bank", bank), trunk / k, studs, lambda: self._bank_run(bank))
        return [
            replace(
                w,
                counts=tuple((name, n * k) for name, n in w.counts),
                pieces=w.pieces * k,
                kg=w.kg * k,
                fills=tuple((hole, x * k) for hole, x in w.fills),
            )
            for w in one
        ]

    def _way(self, start: str, goal: str) -> Route:
        found = route(self.needs, start, goal)
        if found is None:
            raise AssertionError("a way is missing")
        return found

    def _from_bar(self, place: str, stud: str | None, drop_pct: float) -> Run:
        r = self._way(self.s.hub, place)
        return Run(
            uses=("battery",),
            conductors=2,
            route=r,
            pieces=lambda _use: _fused(r.length_m, "bar", "bar", stud, stud),
            drop_v=drop_pct / 100 * self.s.voltage,
            protected="behind",
            highest_v=self.highest_v,
        )

    def _bank_run(self, bank: Bank) -> Run:
        r = self._way(bank.place, self.s.hub)
        stud, apart = bank.battery.stud, self.needs.rules.in_place_m
        links = [("-", apart, (stud, stud))] * (bank.series - 1)
        return Run(
            uses=("battery",),
            conductors=2,
            route=r,
            pieces=lambda _use: [
                *_fused(r.length_m, stud, stud, "switch", "shunt"),
                *links,
            ],
            drop_v=self.needs.rules.drop_pct.battery / 100 * self.s.voltage,
            protected="main",
            highest_v=self.highest_v,
            breaking_ka=bank.short_ka,
            at_battery=True,
            link_m=apart if links else 0.0,
        )

    def _link_run(self) -> Run:
        r = self._way(self.s.hub, self.s.hub)
        return Run(
            uses=("battery",),
            conductors=2,
            route=r,
            pieces=lambda _use: [
                ("+", r.length_m, ("switch", "bar")),
                ("-", r.length_m, ("shunt", "bar")),
            ],
            drop_v=self.needs.rules.drop_pct.battery / 100 * self.s.voltage,
            protected="none",
            highest_v=self.highest_v,
        )

    def _in_block(self, block: Holder, place: str) -> Run:
        r = self._way(self.s.hub, place)

        def pieces(use: str) -> list[tuple[str, float, tuple[str | None, ...]]]:
            if use == "pair":
                return [("", r.length_m, (None,) * 4)]
            return [("+", r.length_m, (None, None)), ("-", r.length_m, (None, None))]

        return Run(
            uses=("pair", "battery"),
            conductors=2,
            route=r,
            pieces=pieces,
            drop_v=self.needs.rules.drop_pct.load / 100 * self.s.voltage,
            protected="block",
            highest_v=self.highest_v,
            block=block,
        )

    def _engine(self, f: Feeder, studs: dict[str, str | None]) -> list[Way]:
        inlet = self._inlet(("engine",), f.place)

        def run() -> Run:
            r = self._way(inlet, f.place)
            stud = f.device.stud
            return Run(
                uses=("battery",),
                conductors=2,
                route=r,
                pieces=lambda _use: _fused(r.length_m, "M8", "M8", stud, stud),
                drop_v=self.needs.rules.drop_pct.charger / 100 * 12,
                protected="behind",
                highest_v=16.0,
                at_battery=True,
            )

        return self._ways(("engine", f.place, f.device.stud), f.input_w / 11, studs, run)

    def _ac(
        self,
        start: str,
        goal: str,
        watts: float,
        studs: dict[str, str | None],
        kind: str,
        outlets: int,
    ) -> list[Way]:
        ac_v = self.needs.rules.ac_v
        known = self.shops.parts.values()
        guarded = any(isinstance(x, Breaker) and x.residual_ma is not None for x in known)

        def run() -> Run:
            r = self._way(start, goal)
            lead = min(LEAD_M, r.length_m / 2)
            lengths = [lead, r.length_m - lead] if guarded else [r.length_m]
            return Run(
                uses=("ac",),
                conductors=3,
                route=r,
                pieces=lambda _use: [("", m, (None,) * 6) for m in lengths],
                drop_v=self.needs.rules.drop_pct.load / 100 * ac_v,
                protected="ac" if guarded else "none",
                highest_v=ac_v,
                shares=kind == "socket",
            )

        amps = float(rule_e.ac_current_a(watts, ac_v))
        key = ("ac", start, goal, kind, outlets)
        whole = (key, amps, self._key())
        if whole not in self.known_ways:
            wired = self._wired(run(), amps, studs)
            least = self.needs.rules.continuous * amps
            found = [x for way in wired for x in self._plugged(way, kind, outlets, least)]
            self.known_ways[whole] = self._sorted(found)
        return self.known_ways[whole]

    def _plugged(self, way: Way, kind: str, outlets: int, least_a: float) -> Iterator[Way]:
        """A way with its sockets or its inlet, which carry what the breaker lets through."""
        if not any(isinstance(x, Socket) and x.kind == kind for x in self.shops.parts.values()):
            yield way
            return
        rated = way.rated_a if math.isfinite(way.rated_a) else least_a
        ac_v = self.needs.rules.ac_v
        for x in self.shops.had(Socket):
            right = x.kind == kind and rule_p.serves_ac_v(x.ac_v, ac_v)
            if right and x.rated_a >= rated - 1e-9:
                yield replace(
                    way, counts=(*way.counts, (x.part, outlets)), kg=way.kg + x.kg * outlets
                )

    def _earths(
        self,
        groups: list[tuple[list[Way], int | None]],
        some: Sequence[Feeder],
        fleet: Sequence[Array],
        studs: dict[str, str | None],
    ) -> list[tuple[list[Way], int | None]]:
        """The bond of the negative bar, bonds of frames, and the earth of each case with mains in it.

        The way of each follows the live conductor of another group, whose number it is told.
        """
        if not any(map(_earthing, self.shops.parts.values())):
            return []
        ends = {"link": ("bar", "M8"), "case": ("M6", "M8")}
        wanted = [("link", 1, self.s.hub)]
        at = 2
        for f in some:
            mains = isinstance(f.device, Inverter) or f.serves != ("engine",)
            if mains:
                wanted.append(("case", at, f.place))
            at += 1
            if isinstance(f.device, Inverter):
                at += len(self._load_circuits("ac"))
            at += 1 if f.serves else 0
        found = []
        for kind, live, place in wanted:
            r = self._way(place, place)
            ways = []
            for cable in self.shops.had(Cable):
                if _earthing(cable):
                    pieces = [("PE", r.length_m, ends[kind])]
                    way = self._taken(pieces, cable, cable, None, None, studs, math.inf)
                    if way is not None:
                        ways.append(replace(way, live=live))
            found.append((self._sorted(ways), None))
        roofed = [a for a in fleet if not self.needs.place(a.roof).ground]
        for n, a in enumerate(roofed):
            twin = n > 0 and roofed[n - 1] == a
            at = len(groups) + len(found) - 1 if twin else None
            found.append((self._frames(a.roof, studs), at))
        return found

    def _frames(self, roof: str, studs: dict[str, str | None]) -> list[Way]:
        """Ways to bond the frames of an array where it lies."""
        least = frame_least_mm2(self.needs.rules.practice) - 1e-9
        pieces = [("PE", self._way(roof, roof).length_m, ("M6", "M8"))]
        some = [c for c in self.shops.had(Cable) if _earthing(c) and c.area_mm2 >= least]
        ways = [self._taken(pieces, c, c, None, None, studs, math.inf) for c in some]
        return self._sorted(w for w in ways if w is not None)

    # -- ways

    def _ways(
        self,
        key: tuple[object, ...],
        amps: float,
        studs: dict[str, str | None],
        run: Callable[[], Run],
    ) -> list[Way]:
        whole = (key, amps, tuple(studs.values()), self._key())
        if whole not in self.known_ways:
            found = list(self._wired(run(), amps, studs))
            self.known_ways[whole] = self._sorted(found)
        return self.known_ways[whole]

    def _sorted(self, ways: Iterable[Way]) -> list[Way]:
        def alone(way: Way) -> Decimal:
            names = _demands(way)
            return sum((min(self.shops.sums(n, d)) for n, d in names.items()), NOTHING)

        priced = [(alone(w), k, w) for k, w in enumerate(ways)]
        return [w for cost, _, w in sorted(priced, key=lambda x: x[:2]) if cost < NEVER]

    def _mm(self, metres: float) -> int:
        step = self.needs.rules.round_mm
        raw = metres * 1000 + 2 * self.needs.rules.slack_mm
        return round(math.ceil(raw / step - 1e-9) * step)

    def _pairs(self, use: str) -> Iterator[tuple[Cable, Cable]]:
        """A cable for each pole: red is a positive; black and its kin never are."""
        cables = [c for c in self.shops.had(Cable) if c.use == use]
        if use in ("pair", "ac"):
            yield from ((c, c) for c in cables)
            return
        earth = ("green", "green-yellow")
        negative = ("black", "white", "blue", "yellow", "brown")
        for plus, minus in product(cables, cables):
            if plus.colour in (*earth, *negative) or minus.colour in (*earth, "red"):
                continue
            if (plus.area_mm2, plus.size) == (minus.area_mm2, minus.size):
                yield plus, minus

    def _ampacity(self, r: Route, *cables: Cable) -> float:
        return min(
            rule_c.ampacity_a(
                self.needs.rules.practice,
                c.area_mm2,
                c.insulation_c,
                r.ambient_c,
                max((self.lying[frozenset(pair)] for pair in r.via), default=2),
                r.engine_space,
            )
            for c in cables
        )

    def _seats(self, run: Run) -> Iterator[tuple[Fuse | Breaker | None, Holder | None]]:
        if run.protected == "none":
            yield None, None
            return
        holders, fuses = self.shops.had(Holder), self.shops.had(Fuse)
        if run.protected == "ac":
            yield from self._ac_seats(run, holders)
            return
        if run.block is not None:
            for f in fuses:
                fits = f.kind == run.block.kind or f.holder == run.block.part
                if f.holder is not None and fits and f.max_v >= run.highest_v:
                    yield f, None
            return
        single = {h.part: h for h in holders if h.ways == 1}
        boxes = {h.part: h for h in holders if not self._is_block(h)}
        found: list[tuple[Fuse | Breaker, Holder | None]] = []
        for f in fuses:
            if f.holder is None:
                found.append((f, None))
            elif f.holder in single:
                found.append((f, single[f.holder]))
            else:
                found += [
                    (f, h)
                    for h in single.values()
                    if h.kind == f.kind and h.rated_a >= f.rated_a
                ]
        found += [
            (b, boxes.get(b.holder or ""))
            for b in self.shops.had(Breaker)
            if b.residual_ma is None and (b.holder is None or b.holder in boxes)
        ]
        for p, h in found:
            strong = p.breaking_ka >= run.breaking_ka and p.max_v >= run.highest_v
            if strong and (h is None or h.max_v >= run.highest_v):
                yield p, h

    def _ac_seats(
        self, run: Run, holders: list[Holder]
    ) -> Iterator[tuple[Breaker, Holder | None]]:
        limit = rule_p.residual_limit_ma(self.needs.rules.practice)
        for b in self.shops.had(Breaker):
            boxes = [h for h in holders if h.part == b.holder] if b.holder else [None]
            opens = b.residual_ma is not None and b.residual_ma <= limit
            strong = b.breaking_ka >= rule_p.ac_breaking_ka(run.highest_v)
            if not (opens and strong and b.stud is None and b.max_v >= run.highest_v):
                continue
            for h in boxes:
                if h is None or (
                    h.stud is None and h.max_v >= run.highest_v and h.rated_a >= b.rated_a
                ):
                    yield b, h

    def _wired(self, run: Run, amps: float, studs: dict[str, str | None]) -> Iterator[Way]:
        rules = self.needs.rules
        for use in run.uses:
            if run.protected in ("main", "behind") and not self._leads_near(run, use):
                continue
            least = rule_c.least_area_mm2(rules.practice, use in ("pair", "ac"))
            for plus, minus in self._pairs(use):
                ampacity = self._ampacity(run.route, plus, minus)
                ohm = max(
                    float(rule_c.resistance_ohm_per_m(c.ohm_per_km_20c, rules.conductor_c))
                    for c in (plus, minus)
                )
                drop = max(
                    rule_c.drop_v(run.conductors, run.route.length_m, amps, ohm),
                    rule_c.drop_v(1, run.link_m, amps, ohm),
                )
                if plus.area_mm2 < least - 1e-9 or drop > run.drop_v + 1e-9:
                    continue
                if ampacity <= 0 or ampacity < rules.continuous * amps - 1e-9:
                    continue
                small = rule_p.small_conductor_limit_a(rules.practice, plus.area_mm2)
                for p, h in self._seats(run):
                    if p is not None and not (
                        rules.continuous * amps - 1e-9
                        <= p.rated_a
                        <= min(ampacity, small, run.most_a)
                    ):
                        continue
                    way = self._taken(run.pieces(use), plus, minus, p, h, studs, ampacity)
                    if way is not None and run.shares and h is not None and h.ways > 1:
                        counts = tuple((name, k) for name, k in way.counts if name != h.part)
                        way = replace(way, counts=counts, kg=way.kg - h.kg, box=h)
                    if way is not None:
                        # a cable of several cores goes through once, two poles go apart
                        thick = [plus] if use in ("pair", "ac") else [plus, minus]
                        yield replace(
                            way,
                            fills=self._fills(run.route, thick),
                            piped=self._piped(run.route, use),
                        )

    def _bores(self) -> dict[str, float]:
        """Holes of a stated size with the larger of what is there and what may be drilled."""
        found: dict[str, float] = {}
        for leg in self.needs.legs:
            if leg.hole is not None and (leg.hole_mm or leg.hole_max_mm):
                found[leg.hole] = max(leg.hole_mm or 0.0, leg.hole_max_mm or 0.0)
        return found

    def _fills(self, r: Route, thick: Sequence[Cable]) -> tuple[tuple[str, float], ...]:
        """What the cables that lead along a way take of the holes on it."""
        bores = self._bores()
        passed = {
            leg.hole
            for leg in self.needs.legs
            if (leg.from_, leg.to) in r.via or (leg.to, leg.from_) in r.via
        }
        squares = sum(c.outer_mm * c.outer_mm for c in thick)
        return tuple((hole, squares) for hole in sorted(passed & set(bores), key=str))

    def _piped(self, r: Route, use: str) -> frozenset[tuple[frozenset[str], str]]:
        """The conduits on a way, told for PV and AC cables alone."""
        steps = {frozenset(pair) for pair in r.via}
        return frozenset(
            (frozenset((leg.from_, leg.to)), use)
            for leg in self.needs.legs
            if use in ("pv", "ac") and leg.conduit and {leg.from_, leg.to} in steps
        )

    def _leads_near(self, run: Run, use: str) -> bool:
        """Whether the piece before the protection is short enough to lie in a sheath."""
        most = rule_p.unprotected_limit_m(
            self.needs.rules.practice, run.at_battery, sheathed=True
        )
        return self._mm(run.pieces(use)[0][1]) / 1000 <= most + 1e-9

    def _taken(
        self,
        pieces: Sequence[tuple[str, float, tuple[str | None, ...]]],
        plus: Cable,
        minus: Cable,
        p: Fuse | Breaker | None,
        h: Holder | None,
        studs: dict[str, str | None],
        ampacity: float,
    ) -> Way | None:
        counts: dict[Name, int] = {}
        lengths = []
        kg = 0.0
        seat = h if h is not None else p
        for pole, metres, ends in pieces:
            cable = minus if pole == "-" else plus
            mm = self._mm(metres)
            lengths.append((cable.part, mm))
            kg += cable.kg * mm / 1000
            for end in ends:
                stud = seat.stud if end == "fuse" and seat is not None else end
                stud = studs.get(stud, stud) if stud else None
                if stud is None:
                    continue
                lug: Name = ("lug", cable.area_mm2, stud)
                members = self.shops.members(lug)
                if not members:
                    return None
                counts[lug] = counts.get(lug, 0) + 1
                kg += min(self.shops.parts[m].kg for m in members)
        for one in (p, h):
            if one is not None:
                counts[one.part] = counts.get(one.part, 0) + 1
                kg += one.kg
        return Way(
            counts=tuple(counts.items()),
            pieces=tuple(lengths),
            kg=kg,
            ampacity_a=ampacity,
            rated_a=math.inf if p is None else p.rated_a,
            area_mm2=plus.area_mm2,
        )

    def _pv(self, a: Array) -> list[Way]:
        key = (a, self._key())
        if key not in self.pv_ways:
            self.pv_ways[key] = self._sorted(self._pv_wired(a))
        return self.pv_ways[key]

    def _pv_wired(self, a: Array) -> Iterator[Way]:
        rules, r = self.needs.rules, self._way(a.roof, a.desk)
        # of panels on the ground the first leg is a lead, which ends at an inlet in a wall
        lead_m, wall = self._lead(a.roof)
        inside_m = r.length_m - lead_m
        isolators = self._isolators(a)
        if wall is not None:
            isolators = [x for x in isolators if x is not None]
        inlets = [None] if wall is None else self._inlets(a, wall)
        connectors = [
            x
            for x in self.shops.had(Connector)
            if x.rated_a >= a.design_a and x.max_v >= a.voc_v
        ]
        joined = self._joined(a, connectors)
        if joined is None:
            return
        for plus, minus in self._pairs("pv"):
            ohm = max(
                float(rule_c.resistance_ohm_per_m(c.ohm_per_km_20c, rules.conductor_c))
                for c in (plus, minus)
            )
            drop = rule_c.drop_v(2, r.length_m, a.parallel * a.panel.imp_a, ohm)
            if drop > rules.drop_pct.array / 100 * a.series * a.panel.vmp_v + 1e-9:
                continue
            if self._ampacity(r, plus, minus) < a.design_a - 1e-9:
                continue
            fit = [x for x in connectors if x.area_from_mm2 <= plus.area_mm2 <= x.area_to_mm2]
            for plug, socket, isolator, inlet in product(
                [x for x in fit if x.kind == "plug"],
                [x for x in fit if x.kind == "socket"],
                isolators,
                [x for x in inlets if x is None or x.area_to_mm2 >= plus.area_mm2],
            ):
                some = [x for x in (plug, socket, isolator, inlet) if x is not None]
                counts: list[tuple[Name, int]] = [(x.part, 1) for x in some]
                kg = sum(x.kg for x in some)
                for name, n in joined:
                    counts.append((name, n))
                    kg += n * min(self.shops.parts[m].kg for m in self.shops.members(name))
                stands = []
                if inlet is not None and wall is not None:
                    stands.append((inlet.part, wall.name))
                lengths = [self._mm(inside_m)]
                if isolator is not None:
                    stands.append((isolator.part, a.desk))
                    lead = min(LEAD_M, inside_m / 2)
                    lengths = [self._mm(inside_m - lead), self._mm(lead)]
                    if isolator.stud is not None:
                        lug: Name = ("lug", plus.area_mm2, isolator.stud)
                        if not self.shops.members(lug):
                            continue
                        counts.append((lug, 4))
                        kg += 4 * min(self.shops.parts[m].kg for m in self.shops.members(lug))
                outside = [] if wall is None else [self._mm(lead_m)]
                kg += (plus.kg + minus.kg) * sum([*outside, *lengths]) / 1000
                yield Way(
                    counts=tuple(counts),
                    pieces=tuple(
                        (c.part, x) for c in (plus, minus) for x in (*outside, *lengths)
                    ),
                    kg=kg,
                    stands=tuple(stands),
                    fills=self._fills(r, (plus, minus)),
                    piped=self._piped(r, "pv"),
                )

    def _lead(self, roof: str) -> tuple[float, Place | None]:
        """Of panels on the ground how long their lead is, and in which wall its inlet stands."""
        if not self.needs.place(roof).ground:
            return 0.0, None
        leg = next(x for x in self.needs.legs if roof in (x.from_, x.to))
        return leg.length_m, self.needs.place(leg.to if leg.from_ == roof else leg.from_)

    def _isolators(self, a: Array) -> list[Switch | None]:
        """Isolators that break an array and may stand beside its controller; one empty for none."""
        desk = self.needs.place(a.desk)
        if not any(map(_isolates, self.shops.parts.values())) or not desk.may_hold("switch"):
            return [None]
        return [
            x
            for x in self.shops.had(Switch)
            if _isolates(x)
            and x.holder is None
            and self._weather(x, desk)
            and x.rated_a >= a.design_a
            and x.max_v >= a.voc_v
        ]

    def _inlets(self, a: Array, wall: Place) -> list[PvInlet | None]:
        """Inlets for an array that may stand in a wall: dead outside, never swapped, rainproof."""
        return [
            x
            for x in self.shops.had(PvInlet)
            if (x.half, x.polarised, x.cap) == ("plug", True, True)
            and (x.ip or "")[3:4] in set("456789")
            and wall.may_hold("pv_inlet")
            and self._stands(x, wall)
            and x.rated_a >= a.design_a
            and x.max_v >= a.voc_v
        ]

    def _joined(self, a: Array, connectors: list[Connector]) -> list[tuple[Name, int]] | None:
        """Branch pairs between strings, and a fuse in each where the others could harm it.

        None where they are not to be had.
        """
        k, isc, limit = a.parallel, a.panel.isc_a, a.panel.series_fuse_a
        if k == 1:
            return []
        # more than two strings meet in a combiner, if there is such a thing
        boxed = k > 2 and any(isinstance(x, Combiner) for x in self.shops.parts.values())
        asked: list[tuple[list[str], int]] = []
        if not boxed:
            asked = [([x.part for x in connectors if x.kind == "branch pair"], k - 1)]
        poles, way_a = 0, a.design_a / k
        if (k - 1) * 1.25 * isc > limit + 1e-9:
            nec = self.needs.rules.practice == "nec"
            low, high = (1.5625 * isc, limit) if nec else (1.5 * isc, min(limit, 2.4 * isc))
            fuses = [
                x.part
                for x in self.shops.had(Fuse)
                if x.kind == "IEC 60269-6 gPV 10x38"
                and low - 1e-9 <= x.rated_a <= high + 1e-9
                and x.max_v >= a.voc_v
                and x.breaking_ka >= 1
            ]
            seats = [
                x.part
                for x in self.shops.had(Connector)
                if x.kind == "fuse holder" and x.rated_a >= high and x.max_v >= a.voc_v
            ]
            # IEC 62548: both poles, unless the negative is joined to earth; NEC 690.9(C): one
            bonded = any(map(_earthing, self.shops.parts.values()))
            both = not nec and not (bonded and a.controller.common_pole == "negative")
            poles, way_a = 1 + both, max(way_a, high)
            asked.append((fuses, k * poles))
            if not boxed:
                asked.append((seats, k * poles))
        if boxed:
            roof = self.needs.place(a.roof)
            boxes = [
                x.part
                for x in self.shops.had(Combiner)
                if x.ways >= k
                and x.rated_a >= a.design_a
                and x.way_a >= way_a - 1e-12
                and x.max_v >= a.voc_v
                and x.fused_poles == poles
                and (not poles or x.fuse_kind == "IEC 60269-6 gPV 10x38")
                and self._weather(x, roof)
            ]
            asked.append((boxes, 1))
        if not all(parts for parts, _ in asked):
            return None
        return [(p[0] if len(p) == 1 else ("joint", *p), n) for p, n in asked]


def _earthing(part: Part) -> bool:
    """Whether a part is cable for earthing."""
    green = isinstance(part, Cable) and part.colour in ("green", "green-yellow")
    return green and part.use == "battery"


def _taken_mm2(part: Part) -> float:
    """The face of a part with what it keeps free on each side."""
    free = 2 * (getattr(part, "clear_mm", None) or 0.0)
    return ((part.length_mm or 0) + free) * ((part.width_mm or 0) + free)


def _isolates(part: Part) -> bool:
    """Whether a part breaks both poles of an array."""
    return isinstance(part, Switch) and part.kind.startswith("pv")


def _dealings(names: Sequence[str], ways: int) -> Iterator[list[list[str]]]:
    """Every way to put some of the circuits, one at least, into equal blocks."""
    most = -(-len(names) // ways)

    def deal(rest: Sequence[str], dealt: list[list[str]]) -> Iterator[list[list[str]]]:
        if not rest:
            if dealt:
                yield dealt
            return
        first, *others = rest
        yield from deal(others, dealt)
        for k, one in enumerate(dealt):
            if len(one) < ways:
                yield from deal(others, [*dealt[:k], [*one, first], *dealt[k + 1 :]])
        if len(dealt) < most:
            yield from deal(others, [*dealt, [first]])

    return deal(names, [])


def _fused(
    length_m: float,
    plus: str | None,
    minus: str | None,
    far_plus: str | None,
    far_minus: str | None,
) -> list[tuple[str, float, tuple[str | None, ...]]]:
    """Two poles with a protection near the source."""
    lead = min(LEAD_M, length_m / 2)
    return [
        ("+", lead, (plus, "fuse")),
        ("+", length_m - lead, ("fuse", far_plus)),
        ("-", length_m, (minus, far_minus)),
    ]


def _added(a: Sums, b: Sums) -> Sums:
    return tuple(x + y for x, y in zip(a, b, strict=True))


def _demands(way: Way) -> dict[Name, Demand]:
    found: dict[Name, Demand] = dict(way.counts)
    for cable in {c for c, _ in way.pieces}:
        found[cable] = tuple(sorted(mm for c, mm in way.pieces if c == cable))
    return found


# --- every combination of ways ------------------------------------------------------------------


class _Wiring:
    """Tries every combination of ways of one set of main parts."""

    def __init__(
        self,
        search: _Search,
        groups: list[tuple[list[Way], int | None]],
        strings: int,
        guarded_a: float,
        text: str,
    ) -> None:
        self.search, self.shops, self.strings, self.text = search, search.shops, strings, text
        self.guarded_a = guarded_a
        self.groups = groups
        limit = search.needs.limits.total_kg
        self.most_kg = math.inf if limit is None else limit + 1e-7
        lightest = [min(w.kg for w in ways) for ways, _ in groups]
        self.kg_after = [sum(lightest[n:]) for n in range(len(groups) + 1)]
        self.none: Sums = (NOTHING,) * len(self.shops.subsets)
        self.after = [self.none]
        for ways, _ in reversed(groups):
            floors = [self._floor(w) for w in ways]
            least = tuple(map(min, zip(*floors, strict=True)))
            self.after.insert(0, _added(least, self.after[0]))
        self.musts = [o for o in search.needs.owned if o.use == "must"]
        self.most_after = [self._most_after(_name(o.part)) for o in self.musts]

    def _floor(self, way: Way) -> Sums:
        """What a way costs at the least, at the lowest price a unit."""
        if way not in self.search.floors:
            cost = self.none
            for name, demand in _demands(way).items():
                units = sum(demand) if isinstance(demand, tuple) else demand
                each = (self.shops.unit(name, k) for k in range(len(self.shops.subsets)))
                cost = _added(cost, tuple(x * units for x in each))
            self.search.floors[way] = cost
        return self.search.floors[way]

    def _most_after(self, name: Name) -> list[int]:
        """How many more of a part the groups from each one on could take."""
        most = [0]
        for ways, _ in reversed(self.groups):
            takes = [
                _number(_demands(w).get(name, 0)) + (w.box is not None and w.box.part == name)
                for w in ways
            ]
            most.insert(0, most[0] + max(takes))
        return most

    def run(self, demands: dict[Name, Demand], kg: float) -> None:
        main = self.none
        for name, demand in demands.items():
            main = _added(main, self.shops.sums(name, demand))
        self.main = main
        self._next(0, [], demands, main, self.none, kg)

    def _next(
        self,
        at: int,
        chosen: list[int],
        demands: dict[Name, Demand],
        sums: Sums,
        floor: Sums,
        kg: float,
    ) -> None:
        """Wire the circuits from one on.

        `sums` is the least cost of what is taken so far, `floor` that of the wiring alone at the
        lowest prices a unit; neither falls as more is taken.
        """
        if kg + self.kg_after[at] > self.most_kg:
            return
        limit = self.search._limit()
        if self.search._bound(sums) >= limit or self._too_dear(at, floor, limit):
            return
        if not self._musts_in_reach(at, demands):
            return
        if at == len(self.groups):
            ways = [group[n] for (group, _), n in zip(self.groups, chosen, strict=True)]
            more = [(self.shops.parts[p], where, 1) for w in ways for p, where in w.stands]
            standing = [*self.search.standing, *more]
            stands = not more or self.search.stands_all(standing)
            if not (stands and self.search.balanced(standing) and self._pass_all(ways)):
                return
            total = self.shops.total(demands, limit)
            if total < limit:
                self.search.best = Answer(total, kg, self.text, dict(demands))
            return
        ways, twin = self.groups[at]
        for n in range(0 if twin is None else chosen[twin], len(ways)):
            way = ways[n]
            if not self._goes_with(at, way, chosen):
                continue
            low = _added(floor, self._floor(way))
            if not self._too_dear(at + 1, low, self.search._limit()):
                way = self._with_box(way, chosen)
                after, cost = self._with(demands, sums, way)
                self._next(at + 1, [*chosen, n], after, cost, low, kg + way.kg)

    def _with_box(self, way: Way, chosen: Sequence[int]) -> Way:
        """The way with a further box for its breaker, where those begun are full."""
        if way.box is None:
            return way
        before = [group[n].box for (group, _), n in zip(self.groups, chosen, strict=False)]
        if before.count(way.box) % way.box.ways:
            return way
        return replace(way, counts=(*way.counts, (way.box.part, 1)), kg=way.kg + way.box.kg)

    def _pass_all(self, ways: Sequence[Way]) -> bool:
        """Whether no hole of a stated size is filled over a half, and PV is apart from AC."""
        if self.search.needs.rules.practice == "nec":
            piped = {x for w in ways for x in w.piped}
            if any((leg, "ac") in piped for leg, use in piped if use == "pv"):
                return False
        for hole, bore in self.search._bores().items():
            squares = sum(x for w in ways for name, x in w.fills if name == hole)
            if squares > bore * bore / 2 + EPS:
                return False
        return True

    def _goes_with(self, at: int, way: Way, chosen: Sequence[int]) -> bool:
        """Whether a way suits those chosen for the circuits before."""
        if at == 0:  # bars, switch and shunt stand what the strings' fuses let through
            return way.rated_a * self.strings <= self.guarded_a + EPS
        if at == 1:  # the strings' fuses guard the link
            string = self.groups[0][0][chosen[0]]
            return way.ampacity_a >= string.rated_a * self.strings - 1e-9
        if way.live is None:
            return True
        practice = self.search.needs.rules.practice
        live = self.groups[way.live][0][chosen[way.live]]
        return way.area_mm2 >= earth_least_mm2(practice, live.area_mm2) - 1e-9

    def _too_dear(self, at: int, floor: Sums, limit: Decimal) -> bool:
        lower = _added(_added(self.main, floor), self.after[at])
        return self.search._bound(lower) - HAIR >= limit

    def _musts_in_reach(self, at: int, demands: dict[Name, Demand]) -> bool:
        for o, most in zip(self.musts, self.most_after, strict=True):
            name = _name(o.part)
            demand = demands.get(name, 0)
            if isinstance(demand, tuple) or isinstance(o.part, Cable):
                pieces = demand if isinstance(demand, tuple) else ()
                used = any(mm <= round(o.quantity * 1000) for mm in pieces)
                if not used and most[at] == 0:
                    return False
                continue
            if demand + most[at] < o.quantity:
                return False
        return True

    def _with(
        self, demands: dict[Name, Demand], sums: Sums, way: Way
    ) -> tuple[dict[Name, Demand], Sums]:
        after = dict(demands)
        changed = [*sums]
        for name, extra in _demands(way).items():
            before = demands.get(name)
            if isinstance(extra, tuple):
                now: Demand = tuple(sorted((*(before or ()), *extra)))  # type: ignore[misc]
            else:
                now = (before or 0) + extra  # type: ignore[operator]
            after[name] = now
            for k, cost in enumerate(self.shops.sums(name, now)):
                if changed[k] == NEVER:
                    continue
                old = NOTHING if before is None else self.shops.least(name, before, k)
                changed[k] = NEVER if cost == NEVER else changed[k] + cost - old
        return after, tuple(changed)


def _name(part: Part) -> Name:
    return ("lug", part.area_mm2, part.stud) if isinstance(part, Lug) else part.part


def _number(demand: Demand) -> int:
    return len(demand) if isinstance(demand, tuple) else demand
