"""Circuits with their ways to be wired, thinned by exact argument.

A *group* is one circuit, or several alike, with the options it may be wired by. Options are
thinned by one argument only, `thin`.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solver import circuits as c
from solver.balance import limits_kgm
from solver.candidates import Arrays, BankCandidate, Candidates, inlet_place, places_for
from solver.fittings import AC_BREAKER, EARTH_CABLE
from solver.leg_loads import LegLoads, leg_loads
from solver.links import Links
from solver.market import Deal, Market, best_deals, cheapest_purchase
from solver.needs import Load, Needs
from solver.parts import Cable, Holder, PvInlet, Switch
from solver.rules import bank as rule_b
from solver.rules import energy as rule_e
from solver.rules.earthing import earth_least_mm2, frame_least_mm2
from solver.rules.inlet import inlet_carries
from solver.rules.isolation import isolator_breaks
from solver.string_fuses import ALONE, Joints, fused_poles, joints, strings_of
from solver.wiring import (
    ANY_NUMBER,
    HUB,
    Conductor,
    Option,
    Run,
    Seat,
    Shelf,
    ac_options,
    array_options,
    conductors,
    cut_mm,
    earth_options,
    members,
    seats,
    wire,
)

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Group:
    """Options for one circuit; each chosen option takes its parts `times` over."""

    name: str
    options: tuple[Option, ...]
    times: int = 1
    where: tuple[str, ...] = ()
    """Which circuit it is, whatever else there is to choose from."""


@dataclass(frozen=True)
class DcCircuit:
    """A circuit of DC loads: from the bus bars by itself, or from a way of a fuse block."""

    name: str
    together_a: float
    """What it adds to the current of a feed."""
    alone_a: float
    """Its running current by itself; a feed before it carries no less."""
    direct: Group | None
    """With its own protection on the bars; None where nothing serves."""
    inside: tuple[Group | None, ...]
    """In a block, by the kind of block: blocks that take the same fuses are of one kind."""


@dataclass(frozen=True)
class Mode:
    """One way to distribute DC to the loads: without blocks, or with so many of one part."""

    block: Holder | None
    blocks: int
    kind: int
    """Which kind of block it is; -1 without blocks."""

    def fewest_studs(self, circuits: Sequence[DcCircuit]) -> int:
        """Studs on a bus bar for its feeds and for circuits that surely stand beside its blocks."""
        if self.block is None:
            return len(circuits)
        able = sum(x.inside[self.kind] is not None for x in circuits)
        return self.blocks + len(circuits) - min(able, self.blocks * self.block.ways)


@dataclass(frozen=True)
class Bond:
    """An earthing conductor to the chassis; its size goes by a live conductor's."""

    group: Group
    of: str
    """What it is there for: `link` (always one, by the conductor to the bus bars), `inverter` or
    `charger` (where one of these stands at its place, by what leads to it), `frames` (one for each
    array that lies at its place, of a size by itself)."""
    place: str


@dataclass(frozen=True)
class Wiring:
    """Every group of a setting."""

    link: Group
    banks: tuple[Group, ...]
    bank_group: tuple[int, ...]
    """By bank candidate; -1 where no option exists."""
    inverters: tuple[Group, ...]
    inverter_group: tuple[int, ...]
    chargers: tuple[Group, ...]
    charger_groups: tuple[tuple[int, ...], ...]
    """By charger candidate: its groups (output; engine or shore side); empty where none exists."""
    inverter_groups_ac: tuple[tuple[int, ...], ...]
    """By inverter candidate: groups of `ac` for the AC loads and its own inlet."""
    ac: tuple[Group, ...]
    pv: tuple[Group, ...]
    pv_group: NDArray[np.int64]
    controllers: tuple[Group, ...]
    controller_group: NDArray[np.int64]
    joints: tuple[Joints, ...]
    """By array candidate: what joins its strings."""
    array_ok: NDArray[np.bool_]
    circuits: tuple[DcCircuit, ...]
    modes: tuple[Mode, ...]
    feeds: tuple[Group, ...]
    """Bus bars to the first block, the second, and so on, whichever part the blocks are."""
    feed_most_a: float
    """No feed has more to carry."""
    bonds: tuple[Bond, ...]
    """Earthing conductors; none where the catalog knows no cable for them."""
    links: Links
    beside: LegLoads
    desk_link: tuple[str | None, ...] = ()
    """By array candidate: the family of comm cables of its controller; None: it needs none."""
    wired: frozenset[int] | None = None
    """Banks whose wiring was made, of a large catalog; None: of all."""


@dataclass
class Pricer:
    """Bounds on what an option adds to an order, by part."""

    needs: Needs
    market: Market
    shelf: Shelf
    most: Mapping[str, float]
    """Largest quantity of a part that any kit needs; of cable metres."""
    hub_studs: Mapping[str, tuple[str, ...]]
    """By terminal of a part that is yet to be chosen, the studs it may have; an empty text for
    bare wire."""
    pooled: bool = False
    """Offers are taken together as one shop's that sends for nothing: for finding a kit (see
    `solver.run`), or because all of these suppliers are ordered from."""
    weighs: bool = False
    """Wiring is thinned and counted with its mass; else its mass is left out, which is a
    relaxation: a kit found so that keeps the limit with its wiring is the cheapest."""
    exact: bool = False
    """Wiring is thinned by what is surely saved, so that nothing a cheaper kit could hold goes;
    else by prices a unit: good for finding a kit, not for a proof."""
    rough: bool = False
    """Wiring is thinned by floor prices alone: good for a bound, which is of floor prices, and for
    the main parts of a first kit. What costs no less by floor prices than an option as good has a
    reduced cost of no less than zero, so the bound is that of all wiring."""
    known: dict[object, Any] = field(default_factory=dict, init=False)
    """Benches and options that were worked out, see `_known`."""
    _without: dict[frozenset[str], Pricer] = field(default_factory=dict, init=False)
    _among: dict[frozenset[str], Pricer] = field(default_factory=dict, init=False)
    _floor: dict[str, float] = field(default_factory=dict, init=False)
    _best_deals: dict[tuple[tuple[int, ...], float], list[int]] = field(
        default_factory=dict, init=False
    )
    _seats: dict[tuple[object, ...], tuple[float, Floats]] = field(
        default_factory=dict, init=False
    )
    _worth: dict[tuple[str, float], float] = field(default_factory=dict, init=False)
    _pool: dict[str, list[Deal]] = field(default_factory=dict, init=False)
    _least: dict[tuple[str, float], float] = field(default_factory=dict, init=False)
    _sure: dict[str, list[tuple[float, float]]] = field(default_factory=dict, init=False)
    _alone: dict[tuple[str, float], Floats] = field(default_factory=dict, init=False)
    banks: dict[tuple[object, ...], list[Option]] = field(default_factory=dict, init=False)
    """What strings of banks may be wired by, see `_bank_groups`."""
    strings: dict[tuple[object, ...], Any] = field(default_factory=dict, init=False)
    """What they could be wired by, see `solver.bank_bounds`."""
    _hub_floor: dict[tuple[str, float], float] = field(default_factory=dict, init=False)
    _hub_ceiling: dict[tuple[str, float, float], Floats] = field(
        default_factory=dict, init=False
    )

    def without(self, closed: frozenset[str]) -> Pricer:
        """The same where some suppliers sell nothing."""
        if not closed:
            return self
        if closed not in self._without:
            market = self.market.without(closed)
            self._without[closed] = replace(self, market=market)
        return self._without[closed]

    def among(self, shops: frozenset[str]) -> Pricer:
        """The same of an order from each of these suppliers and no other: freight is paid."""
        if shops not in self._among:
            market = self.market.without(frozenset(self.market.freight) - shops)
            self._among[shops] = replace(self, market=market, pooled=True)
        return self._among[shops]

    def spare(self, part: str, quantity: float) -> float:
        """Spares of so many of a part: a share of every termination, one of each fuse."""
        pct = self.needs.order.spares_pct
        if pct <= 0 or quantity <= 0:
            return 0.0
        kind = self.market.parts[part].cls
        if kind == "fuse":
            return 1.0
        return float(math.ceil(quantity * pct / 100 - 1e-9)) if kind in TERMINATIONS else 0.0

    def floor(self, name: str) -> float:
        """The least that one unit of a part or family can cost, spares as a share included."""
        if name not in self._floor:
            self._floor[name] = min(self._one_floor(p) for p in members(name))
        return self._floor[name]

    def bought_floor(self, name: str) -> float:
        """The same of one that is bought, whatever is owned."""
        return min(self._one_floor(p, bought=True) for p in members(name))

    def _one_floor(self, part: str, *, bought: bool = False) -> float:
        floor = self.market.floor_bought if bought else self.market.floor
        price = floor(part, self.most.get(part, 1000.0))
        if self.market.parts[part].cls in TERMINATIONS:
            price *= 1 + self.needs.order.spares_pct / 100
        return price

    def least(self, name: str, quantity: float) -> float:
        """What at least so many of a part cost at the least, in whole packs."""
        key = (name, round(quantity, 6))
        if key not in self._least:
            self._least[key] = cheapest_purchase(self._worth_having(name), quantity)
        return self._least[key]

    def _worth_having(self, name: str) -> list[Deal]:
        """The deals of a part or family that no other undercuts at every quantity."""
        if name not in self._pool:
            deals = [d for p in members(name) for d in self.market.deals.get(p, ())]
            self._pool[name] = [deals[k] for k in best_deals(deals, 1000.0)]
        return self._pool[name]

    def best_deals(self, deals: Sequence[Deal], most: float) -> list[int]:
        """See `market.best_deals`."""
        key = (tuple(id(d) for d in deals), most)
        if key not in self._best_deals:
            self._best_deals[key] = best_deals(deals, most)
        return self._best_deals[key]

    def worth(self, name: str, taken: float) -> float:
        """What taking so many of a part out of an order is worth at the least.

        Of a bound that is `exact`, only what is surely saved: what is left may still need the
        same packs, or miss a price break. A kit is ordered from some suppliers, in whichever of
        its interchangeable parts; take the one of them with the least price a unit. Of it alone
        the need could be had for that and the most that its packs and breaks add, so a unit less
        saves its price but for that; the least of all that it could be counts.
        Else at the floor's price, as if any quantity could be had.
        """
        key = (name, taken)
        if key not in self._worth:
            self._worth[key] = self._saved(name, taken)
        return self._worth[key]

    def _saved(self, name: str, taken: float) -> float:
        if not self.exact:
            return self.floor(name) * self._units(name, taken)
        if name not in self._sure:
            self._sure[name] = self._sure_of(name)
        units = self._units(name, taken)
        saved = [floor * units - rounding for floor, rounding in self._sure[name]]
        return max(0.0, min(saved, default=0.0))

    def _sure_of(self, name: str) -> list[tuple[float, float]]:
        """Floors with roundings, of whichever part and supplier may be that of the least floor."""
        market, parts = self.market, [p for p in members(name) if p in self.market.deals]
        shops = {p: {"" if self.pooled else d.supplier for d in market.deals[p]} for p in parts}
        found = [
            market.floor_and_rounding(p, shop, self.most.get(p, 1000.0))
            for p in parts
            for shop in shops[p]
        ]
        # where all suppliers are ordered from, it is known
        return [min(found)] if self.pooled and found else found

    def option_worth(self, option: Option, times: int) -> float:
        """What taking an option out of an order is worth at the least."""
        total = sum(self.worth(p, n * times) for p, n in option.takes.items())
        return total + sum(
            self.hub_worth(at, area, n * times) for (at, area), n in option.hub_ends.items()
        )

    def hub_worth(self, terminal: str, area_mm2: float, quantity: float) -> float:
        """The same of lugs at a hub terminal, whatever stud is chosen there."""
        if "" in self.hub_studs[terminal]:
            return 0.0
        lugs = self._hub_lugs(terminal, area_mm2)
        return min((self.worth(x, quantity) for x in lugs if x), default=math.inf)

    def _hub_lugs(self, terminal: str, area_mm2: float) -> list[str | None]:
        """The lugs for each stud that a hub terminal may have; None where there is none."""
        return [self.shelf.lug(area_mm2, stud) for stud in self.hub_studs[terminal] if stud]

    def option_floor(self, option: Option) -> float:
        """What an option costs at the least, whatever else is bought."""
        total = sum(self.floor(p) * self._units(p, n) for p, n in option.takes.items())
        return total + sum(n * self.hub_floor(*end) for end, n in option.hub_ends.items())

    def hub_floor(self, terminal: str, area_mm2: float) -> float:
        """The least that a lug at a hub terminal costs, of whatever stud."""
        key = (terminal, area_mm2)
        if key not in self._hub_floor:
            floors = [self.floor(x) for x in self._hub_lugs(terminal, area_mm2) if x]
            floors += [0.0] if "" in self.hub_studs[terminal] else []
            self._hub_floor[key] = min(floors, default=math.inf)
        return self._hub_floor[key]

    @property
    def suppliers(self) -> tuple[str, ...]:
        """Suppliers in a fixed order, that of the columns of every ceiling; pooled, one of all."""
        return ("",) if self.pooled else tuple(sorted(self.market.freight))

    def option_ceiling(self, option: Option, times: int = 1) -> Floats:
        """By supplier, what an option costs at the most: everything bought for it alone there."""
        total = np.zeros(len(self.suppliers))
        for p, n in option.takes.items():
            total += self.alone(p, self._units(p, n) * times)
        for (at, area), n in option.hub_ends.items():
            total += self.hub_ceiling(at, area, n * times)
        return total

    def hub_ceiling(self, terminal: str, area_mm2: float, quantity: float) -> Floats:
        """By supplier, the most that lugs at a hub terminal cost, whatever stud is chosen there."""
        key = (terminal, area_mm2, quantity)
        if key not in self._hub_ceiling:
            lugs = self._hub_lugs(terminal, area_mm2)
            known = [self.alone(x, quantity) for x in lugs if x]
            known += [np.zeros(len(self.suppliers))] if "" in self.hub_studs[terminal] else []
            whole = known if known and all(lugs) else [np.full(len(self.suppliers), math.inf)]
            self._hub_ceiling[key] = np.max(whole, axis=0)
        return self._hub_ceiling[key]

    def sold_by(self, part: str) -> NDArray[np.bool_]:
        """By supplier, whether it sells a part."""
        if self.rough:
            return np.ones(len(self.suppliers), dtype=bool)
        shops = {"" if self.pooled else d.supplier for d in self.market.deals.get(part, ())}
        return np.array([s in shops for s in self.suppliers], dtype=bool)

    def lightest_kg(self, option: Option) -> float:
        """Its mass with the lightest lugs that could be chosen."""
        return option.kg + sum(n * min(kg, default=0.0) for kg, n in self._lugs_kg(option))

    def heaviest_kg(self, option: Option) -> float:
        """Its mass with the heaviest lugs that could be chosen."""
        return option.kg + sum(n * max(kg, default=0.0) for kg, n in self._lugs_kg(option))

    def _lugs_kg(self, option: Option) -> Iterable[tuple[list[float], int]]:
        """What a lug may weigh, and how many there are of it."""
        parts = self.market.parts
        for name, n in option.takes.items():
            if parts[members(name)[0]].cls == "lug":
                yield [parts[p].kg for p in members(name)], n
        for (at, area), n in option.hub_ends.items():
            studs = self.hub_studs[at]
            kg = [parts[p].kg for s in studs for p in self.shelf.lugs.get((area, s), ())]
            yield [*kg, *([0.0] if "" in studs else [])], n

    def alone(self, name: str, quantity: float) -> Floats:
        """By supplier, what so many of a part or family cost bought alone, spares included."""
        key = (name, quantity)
        if key not in self._alone and self.rough:
            floor = self.bought_floor(name)
            self._alone[key] = np.full(len(self.suppliers), floor * quantity)
        if key not in self._alone:
            self._alone[key] = np.min(
                [
                    [
                        self.market.alone(p, quantity + self.spare(p, quantity), s)
                        for s in self.suppliers
                    ]
                    for p in members(name)
                ],
                axis=0,
            )
        return self._alone[key]

    def _units(self, name: str, taken: float) -> float:
        part = self.market.parts.get(name)
        return taken / 1000 if isinstance(part, Cable) else taken


TERMINATIONS = ("lug", "connector", "ferrule", "sleeve")
"""Classes of which a share is bought as spares."""


def must_use(market: Market, option: Option) -> bool:
    """Whether an option takes something the person insists on, or owns."""
    names = [*option.takes, *([option.holder.part] if option.holder is not None else [])]
    return any(p in market.owned for name in names for p in members(name))


@dataclass(frozen=True)
class Span:
    """What is asked of a circuit whose current depends on what else is chosen."""

    least_a: float
    """No kit asks for less."""
    most_a: float
    """No kit asks for more, so carrying more is worth nothing."""
    least_rating_a: float = 0.0
    """Whatever it guards carries this, so a smaller protection is worth nothing."""
    guarded: bool = False
    """Its own ampacity is asked for, by the protection before it."""

    def keys(self, found: Sequence[Option]) -> list[Floats]:
        """Figures of which less is at least as good."""
        keys = [
            -np.minimum([o.cap_a for o in found], self.most_a),
            np.maximum([o.rating_a for o in found], self.least_rating_a),
        ]
        return [*keys, -np.array([o.ampacity_a for o in found])] if self.guarded else keys


def thin(
    pricer: Pricer, found: Sequence[Option], *, span: Span | None = None, times: int = 1
) -> list[Option]:
    """Drop options that others can always replace at no higher cost.

    Take a kit with B, and a supplier s from whom it buys B's conductor. If some A costs no more,
    with everything in it bought from s for it alone, than the least that B can cost in any
    order, then A in B's place breaks no limit and costs no more: B's purchases go (at least its
    worth, see `Pricer.worth`), A's come (at most its ceiling at s), and s is used already, so no
    freight is added.
    B is dropped if there is such an A for every supplier of its conductor. Where A may cost just
    the same, it must come first by lot too: else a kit with B could be the answer among several of
    the least cost (see `solver.ties`). A must be no heavier (if wiring is weighed) and, where the
    current is not fixed, no worse in what may be asked within its `span`: current, protection,
    ampacity; an isolator or inlet of A takes no more room of its place, on any side, and weighs no
    more there, or just as much where moments are limited; it asks for no thicker earthing conductor
    beside it, and is none thinner itself; it stands as many conductors beside it, of which it
    brings as many itself; it shares the same box, or none; where holes of a stated size are passed,
    it takes no more of them. Ceilings come from offers without a stated stock; options with owned
    parts are never dropped. Freight that is free from a threshold on could be lost by spending
    less: where that can be, prices are `pooled` and freight is left out of the bound.
    """
    if not found:
        return []
    floors = np.array([pricer.option_worth(o, times) for o in found])
    ceilings = np.array([pricer.option_ceiling(o, times) for o in found])
    sellers = np.array([pricer.sold_by(o.plus.part) for o in found])
    seat, seat_worth, seat_ceiling = _seats_of(pricer, found, times)
    wire_at = _wires_of(found)
    hub, hub_worth, hub_ceiling = _hub_ends_of(pricer, found, times)
    keys = [*([] if span is None else span.keys(found)), *_room_keys(found)]
    keys += [*_earth_keys(found), *_hole_keys(found)]
    keys.append(-np.array([o.most_loaded for o in found]))
    if limits_kgm(pricer.needs):
        keys += _balance_keys(found)
    if pricer.weighs:
        heavy = np.array([pricer.heaviest_kg(o) for o in found])
        light = np.array([pricer.lightest_kg(o) for o in found])
    stays = np.array([must_use(pricer.market, o) for o in found], dtype=bool)
    boxes = _numbers([o.shared_box and o.shared_box.part for o in found])
    boxless = np.array([not o.shares for o in found], dtype=bool)
    everyone = np.arange(len(found))
    order = np.argsort(np.argsort([o.lot for o in found], kind="stable"))
    for mine in np.array_split(everyone, math.ceil(len(found) / 256)):
        # by option that could stand in, and by option of these
        able = everyone[:, None] != mine
        for key in keys:
            able &= key[:, None] <= key[mine] + 1e-12
        if not boxless.all():
            able &= boxless[:, None] | (boxes[:, None] == boxes[mine])
        if pricer.weighs:
            able &= heavy[:, None] <= light[mine] + 1e-12
        same = seat[:, None] == seat[mine]
        there = floors[mine] - np.where(same, seat_worth[mine], 0.0)
        alike = hub[:, None] == hub[mine]
        there -= np.where(alike, hub_worth[mine], 0.0)
        # of two with the same conductors, only protection and holder are another's
        alike_wire = (wire_at[:, None] == wire_at[mine]) & ~same
        there = np.where(alike_wire, seat_worth[mine], there)
        first = order[:, None] < order[mine]
        replaced = ~stays[mine]
        for s in range(len(pricer.suppliers)):
            # what both take stays as it is
            both = np.where(np.isfinite(seat_ceiling[mine, s]), seat_ceiling[mine, s], 0.0)
            here = ceilings[:, s, None] - np.where(same, both, 0.0)
            here -= np.where(alike, hub_ceiling[mine, s], 0.0)
            here = np.where(alike_wire, seat_ceiling[:, s, None], here)
            cheaper = (here <= there - 1e-6) | ((here <= there + 1e-6) & first)
            replaced &= ~sellers[mine, s] | (cheaper & able).any(axis=0)
        stays[mine] = ~replaced
    return [found[k] for k in np.flatnonzero(stays).tolist()]


def _earth_keys(found: Sequence[Option]) -> list[Floats]:
    """What is asked of the earthing conductor beside it: less is as good; of one itself, more."""
    keys = [np.array([o.asks_earth_mm2 for o in found])]
    keys.append(-np.array([o.earth_mm2 for o in found]))
    return [key for key in keys if key.any()]


def _balance_keys(found: Sequence[Option]) -> list[Floats]:
    """A heavier isolator or inlet may be what balances a kit, so only one as heavy is as good."""
    return [
        -np.array([0.0 if x is None else x.kg for x in some]) for some in _fittings_of(found)
    ]


def _fittings_of(found: Sequence[Option]) -> list[list[Switch | PvInlet | None]]:
    """By kind, each option's isolator or inlet, of the kinds that any of them has."""
    kinds: tuple[list[Switch | PvInlet | None], ...] = (
        [o.isolator for o in found],
        [o.inlet for o in found],
    )
    return [some for some in kinds if any(some)]


def _hole_keys(found: Sequence[Option]) -> list[Floats]:
    """What each option takes of every hole of a stated size on its way: less is as good."""
    takes = np.array([o.hole_mm2 for o in found])
    return [takes] if takes.any() else []


def _room_keys(found: Sequence[Option]) -> list[Floats]:
    """What each option's isolator and inlet take of the places they stand in: less is as good."""
    keys: list[Floats] = []
    for some in _fittings_of(found):
        sides = [(0.0, 0.0) if x is None else sorted(x.taken_mm) for x in some]
        keys += [
            np.array([a for a, _ in sides]),
            np.array([b for _, b in sides]),
            np.array([0.0 if x is None else x.depth_mm for x in some]),
            np.array([0.0 if x is None else x.kg for x in some]),
        ]
    return keys


def needed_among(
    pricer: Pricer, found: Sequence[Option], orders: Iterable[frozenset[str]], times: int = 1
) -> set[int]:
    """Numbers of the options that a kit ordered from one of some sets of suppliers could need.

    For circuits whose current is fixed. In such a kit everything can be bought from any of the set
    without more freight, so what another option replaces at their prices taken together goes.
    """
    number = {id(o): k for k, o in enumerate(found)}
    kept = (thin(pricer.among(shops), found, times=times) for shops in orders)
    return {number[id(o)] for options in kept for o in options}


def _seats_of(
    pricer: Pricer, found: Sequence[Option], times: int
) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Which options have the same fittings beside their conductors; their worth and ceilings."""
    names = [_seat_names(o) for o in found]
    every = set(names)
    # a socket counts once for each that the circuit has
    of_each = {n: Counter(n) for n in every}
    worth = {n: sum(pricer.worth(p, k * times) for p, k in of_each[n].items()) for n in every}
    none = np.zeros(len(pricer.suppliers))
    ceiling = {
        n: sum((pricer.alone(p, k * times) for p, k in of_each[n].items()), none) for n in every
    }
    return (
        _numbers(names),
        np.array([worth[n] for n in names]),
        np.array([ceiling[n] for n in names]),
    )


def _seat_names(o: Option) -> tuple[str, ...]:
    """Protection, holder, isolator, inlet and outlets of an option, those apart from its conductors.

    Without a box that it shares.
    """
    holder = None if o.shares else o.holder
    some = (o.protection, holder, o.isolator, o.inlet, *[o.outlet] * o.outlets)
    return tuple(p.part for p in some if p is not None)


def _wires_of(found: Sequence[Option]) -> NDArray[np.int64]:
    """Which options have the same conductors with the same lugs at protection and isolator."""
    names = []
    for o in found:
        kept = [p for p in (o.holder, o.protection) if p is not None]
        halves = tuple(x.part for x in o.halves)
        stud = kept[0].stud if kept else None
        # an isolator's lugs are of its stud
        breaks = None if o.isolator is None else o.isolator.stud
        names.append((o.plus.part, o.minus.part, halves, bool(kept), stud, breaks))
    return _numbers(names)


def _numbers(names: Sequence[object]) -> NDArray[np.int64]:
    """A number for each name, the same for equal ones."""
    number = {n: k for k, n in enumerate(dict.fromkeys(names))}
    return np.array([number[n] for n in names])


def _hub_ends_of(
    pricer: Pricer, found: Sequence[Option], times: int
) -> tuple[NDArray[np.int64], Floats, Floats]:
    """Which options have the same lugs at the hub; their worth and ceilings.

    What two options both take stays as it is. It is told of rough thinning alone: elsewhere no two
    are called alike.
    """
    if not pricer.rough:
        none = np.zeros(len(found))
        return np.arange(len(found)), none, np.zeros((len(found), len(pricer.suppliers)))
    names = [tuple(sorted(o.hub_ends.items())) for o in found]
    every = set(names)
    zero = np.zeros(len(pricer.suppliers))
    worth = {n: sum(pricer.hub_worth(*end, k * times) for end, k in n) for n in every}
    # without a lug at the hub there is no option to compare
    worth = {n: x if math.isfinite(x) else 0.0 for n, x in worth.items()}
    ceiling = {
        n: sum((pricer.hub_ceiling(*end, k * times) for end, k in n), zero) for n in every
    }
    ceiling = {n: np.where(np.isfinite(x), x, 0.0) for n, x in ceiling.items()}
    return (
        _numbers(names),
        np.array([worth[n] for n in names]),
        np.array([ceiling[n] for n in names]),
    )


@dataclass(frozen=True)
class Bench:
    """A run with everything it could be wired from, priced once for every current."""

    pricer: Pricer
    run: Run
    conductors: tuple[Conductor, ...]
    seats: tuple[Seat, ...]
    rated: NDArray[np.float64]
    carries: NDArray[np.float64]
    """By conductor, the largest running current by ampacity and drop."""
    limit: NDArray[np.float64]
    wire_floor: Floats
    wire_ceiling: Floats
    """By conductor and supplier."""
    wire_sold: NDArray[np.bool_]
    seat_floor: Mapping[float, Floats]
    """By conductor area, of each seat with its lugs."""
    seat_ceiling: Mapping[float, Floats]
    """By conductor area, of each seat and supplier."""
    seat_sold: NDArray[np.bool_]
    fuller: tuple[Bench, ...] = ()
    """The same with more loaded conductors together on its way: for each further number of
    `Run.loaded`."""

    def options(
        self, current_a: float, span: Span | None = None, times: int = 1
    ) -> list[Option]:
        """Options for one current, or for any within a span; thinned.

        Before anything is built, seats are thinned for each conductor, then conductors: one
        whose floor is above the ceiling of another that serves as well can always be replaced
        by it (the argument of `thin`, part by part; a sum of ceilings is a ceiling of the sum).
        That is done for each number of conductors that may lie together, among what stands so
        many: in a kit with that many, only such a one can be replaced, and by such a one. What
        serves as well asks for no thicker earth and takes no more of a hole.
        """
        pairs = dict.fromkeys(
            pair for x in (self, *self.fuller) for pair in x._worth_wiring(current_a, span)
        )
        wired = (wire(self.pricer.shelf, self.conductors[i], self.seats[k]) for i, k in pairs)
        return thin(self.pricer, [o for o in wired if o is not None], span=span, times=times)

    def _worth_wiring(self, current_a: float, span: Span | None) -> list[tuple[int, int]]:
        """Conductors with seats that no other surely replaces."""
        fixed = span is None
        amps = current_a if span is None else span.least_a
        continuous = self.pricer.needs.rules.continuous
        pairs: list[tuple[int, int]] = []
        shops = len(self.pricer.suppliers)
        asks = [(x.asks_earth_mm2, x.hole_mm2) for x in self.conductors]
        least = {a: np.full(shops, math.inf) for a in asks}
        floors: list[float] = []
        for i, conductor in enumerate(self.conductors):
            if self.carries[i] < amps - 1e-9:
                continue
            may = (self.rated <= self.limit[i]) & (self.rated >= continuous * amps - 1e-9)
            if self.run.protected == "none":
                may = np.ones(1, dtype=bool)
            area = conductor.plus.area_mm2
            kept, cheapest = self._seats(area, may, fixed=fixed)
            if fixed and len(kept):
                here = self.wire_ceiling[i] + cheapest
                earth, takes = asks[i]
                least |= {
                    a: np.minimum(x, here)
                    for a, x in least.items()
                    if earth <= a[0] and takes <= a[1]
                }
            for k in kept:
                pairs.append((i, int(k)))
                floors.append(self.wire_floor[i] + self.seat_floor[area][k])
        if span is not None and pairs and not self.pricer.weighs:
            stays = self._worth_building(pairs, np.array(floors), span)
            pairs = [pairs[n] for n in stays]
            floors = [floors[n] for n in stays]
        return [
            (i, k)
            for (i, k), floor in zip(pairs, floors, strict=True)
            if self.pricer.weighs
            or (floor <= least[asks[i]][self.wire_sold[i]] + 1e-6).any()
            or self._owned(i, k)
        ]

    def _worth_building(
        self, pairs: Sequence[tuple[int, int]], floors: Floats, span: Span
    ) -> list[int]:
        """Numbers of the pairs that no other, as good within the span, can always replace."""
        i, k = np.array(pairs).T
        continuous = self.pricer.needs.rules.continuous
        keys = [
            -np.minimum(np.minimum(self.carries[i], self.rated[k] / continuous), span.most_a),
            np.maximum(self.rated[k], span.least_rating_a),
        ]
        if span.guarded:
            keys.append(-np.array([self.conductors[n].ampacity_a for n in i]))
        keys.append(np.array([self.conductors[n].asks_earth_mm2 for n in i]))
        keys.append(np.array([self.conductors[n].hole_mm2 for n in i]))
        areas = [self.conductors[n].plus.area_mm2 for n in i]
        seat = np.array([self.seat_ceiling[a][n] for a, n in zip(areas, k, strict=True)])
        ceilings = self.wire_ceiling[i] + seat
        stays = np.array([self._owned(*pair) for pair in pairs], dtype=bool)
        everyone = np.arange(len(pairs))
        for mine in np.array_split(everyone, math.ceil(len(pairs) / 256)):
            able = everyone[:, None] != mine
            for key in keys:
                able &= key[:, None] <= key[mine] + 1e-12
            replaced = ~stays[mine]
            for s in range(len(self.pricer.suppliers)):
                best = np.where(able, ceilings[:, s, None], math.inf).min(axis=0)
                replaced &= ~self.wire_sold[i[mine], s] | (best <= floors[mine] - 1e-6)
            stays[mine] = ~replaced
        return [int(n) for n in np.flatnonzero(stays)]

    def caps(self) -> NDArray[np.float64]:
        """The currents at which what can be used changes, rising."""
        continuous = self.pricer.needs.rules.continuous
        rated = self.rated[np.isfinite(self.rated)] / continuous
        carries = [x.carries[x.carries > 0] for x in (self, *self.fuller)]
        return np.unique(np.concatenate([rated, *carries]))

    def level(self, current_a: float) -> int:
        """A number that is the same for currents with the same options."""
        return int(np.searchsorted(self.caps(), current_a - 1e-9))

    def _owned(self, i: int, k: int) -> bool:
        names = [self.conductors[i].plus.part, self.conductors[i].minus.part]
        names += [p.part for p in self.seats[k] if p is not None]
        return any(n in self.pricer.market.owned for n in names)

    def _seats(
        self, area: float, may: NDArray[np.bool_], *, fixed: bool
    ) -> tuple[NDArray[np.int64], Floats]:
        """Seats worth keeping with a conductor of this area, and the least ceilings of any."""
        floor, ceiling = self.seat_floor[area], self.seat_ceiling[area]
        at = np.flatnonzero(may & np.isfinite(floor))
        if not len(at):
            return at, np.full(ceiling.shape[1], math.inf)
        owned = self.pricer.market.owned
        stays = self.seat_owned[at] if owned else np.zeros(len(at), dtype=bool)
        stays |= self.pricer.weighs
        for rating in [None] if fixed else sorted(set(self.rated[at])):
            alike = np.ones(len(at), dtype=bool) if rating is None else self.rated[at] == rating
            best = ceiling[at[alike]].min(axis=0)
            cheap = (floor[at][:, None] <= best + 1e-6) & self.seat_sold[at]
            stays |= alike & cheap.any(axis=1)
        return at[stays], ceiling[at].min(axis=0)

    @cached_property
    def seat_owned(self) -> NDArray[np.bool_]:
        """By seat, whether it has something that is owned."""
        owned = self.pricer.market.owned
        return np.array(
            [any(p is not None and p.part in owned for p in seat) for seat in self.seats],
            dtype=bool,
        )


def bench(pricer: Pricer, run: Run) -> Bench:
    """Price everything that a run could be wired from."""
    shelf = pricer.shelf
    found = tuple(conductors(shelf, run))
    sat = tuple(seats(shelf, run))
    continuous = pricer.needs.rules.continuous
    areas = sorted({x.plus.area_mm2 for x in found})
    priced = {a: [_seat_prices(pricer, run, a, s) for s in sat] for a in areas}
    wires = [_wire_prices(pricer, run, x) for x in found]
    if pricer.rough and not pricer.weighs:
        best = _best_conductors(pricer, found, wires)
        found, wires = tuple(found[n] for n in best), [wires[n] for n in best]
    one = Bench(
        pricer=pricer,
        run=run,
        conductors=found,
        seats=sat,
        rated=np.array([math.inf if p is None else p.rated_a for p, _ in sat]),
        carries=np.array([min(x.ampacity_a / continuous, x.drop_cap_a) for x in found]),
        limit=np.array([x.limit_a for x in found]),
        wire_floor=np.array([w[0] for w in wires]),
        wire_ceiling=np.array([w[1] for w in wires]),
        wire_sold=np.array([pricer.sold_by(x.plus.part) for x in found]),
        seat_floor={a: np.array([x[0] for x in rows]) for a, rows in priced.items()},
        seat_ceiling={
            a: np.array([x[1] for x in rows]).reshape(len(rows), len(pricer.suppliers))
            for a, rows in priced.items()
        },
        seat_sold=np.array(
            [
                np.ones(len(pricer.suppliers), dtype=bool)
                if p is None
                else pricer.sold_by(p.part)
                for p, _ in sat
            ]
        ),
    )
    more = run.loaded[1:] if one.conductors else ()
    return replace(one, fuller=tuple(_among(one, count) for count in more))


def _among(one: Bench, count: int) -> Bench:
    """The same with so many loaded conductors together on the way."""
    some = tuple(x.among(count) for x in one.conductors)
    continuous = one.pricer.needs.rules.continuous
    return replace(
        one,
        conductors=some,
        carries=np.array([min(x.ampacity_a / continuous, x.drop_cap_a) for x in some]),
        limit=np.array([x.limit_a for x in some]),
    )


def _best_conductors(
    pricer: Pricer, found: Sequence[Conductor], wires: Sequence[tuple[float, Floats]]
) -> list[int]:
    """Numbers of the conductors that no other of the same area always replaces, by floor prices.

    It carries no less, by ampacity whatever lies beside it and by drop, allows no smaller
    protection, takes no more of a hole, and is no dearer; its lugs are the same, and so are the
    protections that it may have. Of equals the first stays.
    """
    continuous = pricer.needs.rules.continuous
    figures = [
        (
            *(-amps for _, amps in x.stands),
            -min(x.ampacity_a / continuous, x.drop_cap_a),
            -x.limit_a,
            x.hole_mm2,
            wires[n][0],
        )
        for n, x in enumerate(found)
    ]
    alike: dict[tuple[object, ...], list[int]] = {}
    owned = pricer.market.owned
    kept = [n for n, x in enumerate(found) if {x.plus.part, x.minus.part} & set(owned)]
    for n, x in enumerate(found):
        if n not in kept and math.isfinite(wires[n][0]):
            alike.setdefault((x.plus.area_mm2, len(x.pieces)), []).append(n)
    for numbers in alike.values():
        best: list[int] = []
        for n in sorted(numbers, key=lambda n: (figures[n][::-1], n)):
            if not any(
                all(a <= b for a, b in zip(figures[m], figures[n], strict=True)) for m in best
            ):
                best.append(n)
        kept += best
    return sorted(kept)


def _seat_prices(pricer: Pricer, run: Run, area: float, seat: Seat) -> tuple[float, Floats]:
    """Floor, and ceiling by supplier, of a protection, its holder and the two lugs on it."""
    parts = tuple(None if p is None else p.part for p in seat)
    key = (run.protected == "block", area, *parts)
    if key not in pricer._seats:
        pricer._seats[key] = _seat_price(pricer, run, area, seat)
    return pricer._seats[key]


def _seat_price(pricer: Pricer, run: Run, area: float, seat: Seat) -> tuple[float, Floats]:
    protection, holder = seat
    low, high = 0.0, np.zeros(len(pricer.suppliers))
    for part in (protection, holder):
        if part is not None:
            low += pricer.worth(part.part, 1.0)
            high = high + pricer.alone(part.part, 1.0)
    stud = next((p.stud for p in (holder, protection) if p is not None), None)
    if run.protected != "block" and stud is not None:
        lug = pricer.shelf.lug(area, stud)
        if lug is None:
            return math.inf, np.full(len(high), math.inf)
        low += pricer.worth(lug, 2.0)
        high = high + pricer.alone(lug, 2.0)
    return low, high


def _wire_prices(pricer: Pricer, run: Run, conductor: Conductor) -> tuple[float, Floats]:
    """Floor, and ceiling by supplier, of cable and lugs, those on the protection apart."""
    low, high = 0.0, np.zeros(len(pricer.suppliers))
    hub: dict[str, float] = {}
    taken: Counter[str] = Counter()
    area = conductor.plus.area_mm2
    for piece in conductor.pieces:
        cable = conductor.minus if piece.pole == "-" else conductor.plus
        metres = cut_mm(pricer.needs, piece.metres) / 1000
        taken[cable.part] += cut_mm(pricer.needs, piece.metres)
        high = high + pricer.alone(cable.part, metres)
        for mouth in piece.mouths:
            if mouth.at in HUB:
                hub[mouth.at] = hub.get(mouth.at, 0.0) + 1
            elif mouth.stud is not None and mouth.at != "fuse":
                lug = pricer.shelf.lug(area, mouth.stud)
                if lug is None:
                    return math.inf, np.full(len(high), math.inf)
                taken[lug] += 1
                high = high + pricer.alone(lug, 1.0)
    low += sum(pricer.worth(name, n) for name, n in taken.items())
    for at, n in hub.items():
        low += pricer.hub_worth(at, area, n)
        high = high + pricer.hub_ceiling(at, area, n)
    return low, high


# --- how much cable a kit can need --------------------------------------------------------------


def most_metres(needs: Needs, shelf: Shelf, found: Candidates) -> dict[str, float]:
    """By cable, metres that no kit of the setting needs more of.

    Every circuit that may take a cable takes it, by its longest run; there are no more arrays
    than studs. A spool that holds more lowers the price of a metre only as far as it is used.
    """
    if not found.busbars or not found.banks:
        return {}
    pairs = shelf.cables.get("battery", ())
    runs = _all_runs(needs, shelf, found)
    most = {both.part: _pair_metres(needs, found) for both, _ in shelf.cables.get("pair", ())}
    for pole, parts in (("+", {p.part for p, _ in pairs}), ("-", {m.part for _, m in pairs})):
        metres = sum(
            max((times * _metres(needs, r, pole) for times, r in alike), default=0.0)
            for alike in runs
        )
        most.update({part: most.get(part, 0.0) + metres for part in parts})
    return most


def _all_runs(needs: Needs, shelf: Shelf, found: Candidates) -> list[list[tuple[int, Run]]]:
    """Circuits that a kit has at the most: of each kind how many, and every run they could be."""
    setting = found.setting
    studs = max(b.studs for b in found.busbars)
    # every place where one may stand, whichever arrays are looked at
    desks = places_for(needs, "controller", setting.hub)
    benches = sorted({k.place for k in found.chargers})
    engine = sorted({k.place for k in found.chargers if k.charger.kind == "engine"})
    direct = _direct_runs(needs, found)
    return [
        [(b.parallel, c.bank_run(needs, setting, b)) for b in found.banks],
        [(1, c.link_run(needs, setting))],
        [(1, c.inverter_run(needs, setting, i.place, None)) for i in found.inverters],
        [(2, c.charger_run(needs, setting, p, None)) for p in benches],
        [(1, c.engine_run(needs, setting, p, None)) for p in engine],
        [(studs, c.controller_run(needs, setting, p)) for p in desks],
        [(len(direct), c.feed_run(needs, setting))] if shelf.blocks else [],
        *([(1, r)] for r in direct),
    ]


def _direct_runs(needs: Needs, found: Candidates) -> list[Run]:
    circuits = c.load_circuits(needs, "dc")
    return [c.direct_load_run(needs, found.setting, loads[0].place) for _, loads in circuits]


def _pair_metres(needs: Needs, found: Candidates) -> float:
    lengths = (r.route.length_m for r in _direct_runs(needs, found))
    return sum(cut_mm(needs, m) for m in lengths) / 1000


def _metres(needs: Needs, run: Run, pole: str) -> float:
    pieces = (p.metres for p in run.pieces("battery") if p.pole == pole)
    return sum(cut_mm(needs, m) for m in pieces) / 1000


# --- the groups of a setting ------------------------------------------------------------------


def wiring(
    needs: Needs,
    shelf: Shelf,
    pricer: Pricer,
    found: Candidates,
    like: Wiring | None = None,
    banks: frozenset[int] | None = None,
) -> Wiring:
    """Every group of a setting, each candidate told which are its own.

    Those of everything but arrays are taken from `like`, where that is given. With `banks`, of
    banks these alone are wired.
    """
    if like is not None:
        return replace(like, **_arrays_wired(shelf, pricer, found, like.links, like.beside))
    links = Links(needs, pricer.market, found.setting.hub)
    beside = leg_loads(needs, found)
    bank_groups, bank_group = _bank_groups(pricer, found, links, beside, banks)
    inverters, inverter_group = _inverter_groups(pricer, found, links, beside)
    chargers, charger_groups = _charger_groups(pricer, found, links, beside)
    ac, ac_of = _ac_groups(needs, pricer, found, beside)
    span = trunk_span(found, found.banks, 1, guarded=True)
    link = bench(pricer, c.link_run(needs, found.setting)).options(0.0, span)
    return Wiring(
        link=Group("link", tuple(link)),
        banks=tuple(bank_groups),
        wired=banks,
        bonds=_bonds(needs, shelf, pricer, found),
        links=links,
        beside=beside,
        bank_group=tuple(bank_group),
        inverters=tuple(inverters),
        inverter_group=tuple(inverter_group),
        chargers=tuple(chargers),
        charger_groups=tuple(charger_groups),
        inverter_groups_ac=tuple(ac_of),
        ac=tuple(ac),
        **_dc_wired(needs, shelf, pricer, found, beside),
        **_arrays_wired(shelf, pricer, found, links, beside),
    )


def rewired_banks(
    pricer: Pricer, found: Candidates, like: Wiring, banks: frozenset[int]
) -> Wiring:
    """The same wiring where other banks are wired."""
    groups, numbers = _bank_groups(pricer, found, like.links, like.beside, banks)
    return replace(like, banks=tuple(groups), bank_group=tuple(numbers), wired=banks)


def _arrays_wired(
    shelf: Shelf, pricer: Pricer, found: Candidates, links: Links, beside: LegLoads
) -> dict[str, Any]:
    """The fields of a wiring that tell of arrays."""
    pv, pv_group, controllers, controller_group, joined, ok = _array_groups(
        shelf, pricer, found, beside
    )
    linked = _desks_linked(found, links)
    ok &= np.array([x != "" for x in linked], dtype=bool)
    return {
        "desk_link": tuple(linked),
        "pv": tuple(pv),
        "pv_group": pv_group,
        "controllers": tuple(controllers),
        "controller_group": controller_group,
        "joints": joined,
        "array_ok": ok,
    }


def _desks_linked(found: Candidates, links: Links) -> list[str | None]:
    """By array, the comm cable of its controller; an empty text where none reaches."""
    a = found.arrays
    known: dict[tuple[int, str], str | None] = {}
    for k, place in set(zip(a.controller.tolist(), a.controller_place, strict=True)):
        chain = links.chain(a.controllers[k], place)
        known[k, place] = "" if chain is None else next(iter(chain), None)
    ways = zip(a.controller.tolist(), a.controller_place, strict=True)
    return [known[way] for way in ways]


@dataclass
class _Book:
    """Groups by what makes them alike."""

    groups: list[Group] = field(default_factory=list)
    at: dict[object, int] = field(default_factory=dict)

    def add(
        self, key: object, where: tuple[str, ...], found: Sequence[Option], times: int = 1
    ) -> int:
        """The number of the group with these options; -1 where there are none."""
        if not found:
            return -1
        whole = (key, tuple(map(id, found)), times)
        if whole not in self.at:
            self.at[whole] = len(self.groups)
            name = f"{where[0]} {len(self.groups)}"
            self.groups.append(Group(name, tuple(found), times, where))
        return self.at[whole]


def _bank_groups(
    pricer: Pricer,
    found: Candidates,
    links: Links,
    beside: LegLoads,
    wired: frozenset[int] | None = None,
) -> tuple[list[Group], list[int]]:
    """One group for banks of the same stud, place and string, by the fuses that break them.

    What one may be wired by is known to the pricer, once it was worked out.
    """
    book, needs, shelf = _Book(), pricer.needs, pricer.shelf
    benches: dict[object, Bench] = {}
    alike: dict[tuple[object, ...], list[BankCandidate]] = {}
    keys: list[tuple[object, ...]] = []
    meant: set[tuple[object, ...]] = set()
    for number, bank in enumerate(found.banks):
        breaks = _enough(shelf, bank.short_circuit_ka)
        keys.append((bank.place, bank.battery.stud, bank.series, breaks, bank.parallel))
        alike.setdefault(keys[-1], []).append(bank)
        if wired is None or number in wired:
            meant.add(keys[-1])
    known = pricer.banks
    for key, banks in alike.items():
        if key not in meant or key in known:
            continue
        times = banks[0].parallel
        run = c.bank_run(needs, found.setting, banks[0])
        run = replace(run, counts=beside.counts(run.route, "bank", times=times))
        alone = (*key[:-1], run.counts)
        if alone not in benches:
            benches[alone] = bench(pricer, run)
        known[key] = benches[alone].options(0.0, trunk_span(found, banks, times), times)
    numbers = [
        book.add(key, ("bank", bank.place), known[key], bank.parallel)
        if wired is None or number in wired
        else -1
        for number, (key, bank) in enumerate(zip(keys, found.banks, strict=True))
    ]
    for k, bank in enumerate(found.banks):
        if links.chain(bank.battery, bank.place, bank.series * bank.parallel) is None:
            numbers[k] = -1
    return book.groups, numbers


def trunk_span(
    found: Candidates, banks: Sequence[BankCandidate], parallel: int, *, guarded: bool = False
) -> Span:
    """What may be asked of each of some equal conductors between these banks and the bus bars.

    They carry what is drawn, which is within the bank's limit, or what charges: the arrays, again
    within its limit, and beside them what charges from the mains and from the engine.
    """
    draw = found.dc_together_a + max((i.current_a for i in found.inverters), default=0.0)
    draw = min(draw, found.most_draw_a)
    limit = max((b.battery.max_discharge_a * b.parallel for b in banks), default=0.0)
    charge = max((b.battery.max_charge_a * b.parallel for b in banks), default=0.0)
    charge = min(charge, found.most_array_a)
    charge += sum(
        max(
            (k.charger.charge_a for k in found.chargers if (k.charger.kind == "engine") == e),
            default=0.0,
        )
        for e in (False, True)
    )
    charge += max((i.inverter.charge_a for i in found.inverters if i.serves), default=0.0)
    kinds = (found.busbars, found.switches, found.monitors)
    rated = [min((d.rated_a for d in kind), default=0.0) for kind in kinds]
    return Span(
        least_a=(found.dc_together_a + least_inverter_a(found)) / parallel,
        most_a=max(min(draw, limit), charge) / parallel,
        least_rating_a=0.0 if guarded else min(rated) / parallel,
        guarded=guarded,
    )


def least_inverter_a(found: Candidates) -> float:
    """The least current of any inverter that could be chosen; 0 where none is needed."""
    if not found.ac_needed:
        return 0.0
    return min((i.current_a for i in found.inverters), default=0.0)


def _enough(shelf: Shelf, short_circuit_ka: float) -> float:
    """The least breaking capacity on the shelf that is enough: banks alike in it share options."""
    kinds = sorted({p.breaking_ka for p, _ in shelf.protections})
    return next((k for k in kinds if k >= short_circuit_ka), math.inf)


@dataclass
class _Benches:
    """Benches by run, and their options by the current they must carry."""

    pricer: Pricer
    benches: dict[object, Bench] = field(default_factory=dict)
    known: dict[object, list[Option]] = field(default_factory=dict)

    def at(
        self, key: object, run: Callable[[], Run], current_a: float
    ) -> tuple[object, list[Option]]:
        """A key for the options, equal where they are the same, and the options."""
        if key not in self.benches:
            self.benches[key] = bench(self.pricer, run())
        level = (key, self.benches[key].level(current_a))
        if level not in self.known:
            self.known[level] = self.benches[key].options(current_a)
        return level, self.known[level]


def beside_others(beside: LegLoads, run: Run, kind: str, place: str | None = None) -> Run:
    """A run told how many loaded conductors may lie together on its way, see `LegLoads.counts`."""
    return replace(run, counts=beside.counts(run.route, kind, place))


def _bonds(needs: Needs, shelf: Shelf, pricer: Pricer, found: Candidates) -> tuple[Bond, ...]:
    """The bond of the negative bar, an earth for each place where mains devices may stand, and the
    bonds of frames where panels may lie.
    """
    if EARTH_CABLE.name in shelf.unknown:
        return ()
    live = {c.area_mm2 for c, _ in shelf.cables.get("battery", ())}
    most = max((earth_least_mm2(needs.rules.practice, a) for a in live), default=0.0)
    wanted = [("link", found.setting.hub)]
    wanted += sorted({("inverter", i.place) for i in found.inverters})
    wanted += sorted(
        {("charger", k.place) for k in found.chargers if k.charger.kind == "shore"}
    )
    bonds = []
    for of, place in wanted:
        run = c.bond_run(needs, found.setting) if of == "link" else c.earth_run(needs, place)
        fit = thin(pricer, earth_options(shelf, run, most))
        name = f"earth {of} {place}"
        bonds.append(Bond(Group(name, tuple(fit), where=("earth", of, place)), of, place))
    least = frame_least_mm2(needs.rules.practice) - 1e-9
    # what stands on the ground is put out by hand, and bonded to nothing
    roofs = sorted(p.name for p in needs.places if p.may_hold("panel") and not p.ground)
    for place in roofs:
        options = earth_options(shelf, c.frames_run(needs, place), 0.0)
        fit = thin(pricer, [o for o in options if o.plus.area_mm2 >= least])
        where = ("earth", "frames", place)
        bonds.append(Bond(Group(f"earth frames {place}", tuple(fit), where=where), *where[1:]))
    return tuple(bonds)


def _inverter_groups(
    pricer: Pricer, found: Candidates, links: Links, beside: LegLoads
) -> tuple[list[Group], list[int]]:
    book, benches = _Book(), _Benches(pricer)
    numbers = []
    for i in found.inverters:

        def run(place: str = i.place, stud: str | None = i.inverter.stud) -> Run:
            one = c.inverter_run(pricer.needs, found.setting, place, stud)
            return beside_others(beside, one, "inverter", place)

        key, fit = benches.at((i.place, i.inverter.stud), run, i.current_a)
        reached = links.chain(i.inverter, i.place) is not None
        numbers.append(book.add(key, ("inverter", i.place), fit if reached else []))
    return book.groups, numbers


def _charger_groups(
    pricer: Pricer, found: Candidates, links: Links, beside: LegLoads
) -> tuple[list[Group], list[tuple[int, ...]]]:
    """For each charger its output, and its input from the engine's battery or the AC inlet."""
    book, benches, ac = _Book(), _Benches(pricer), _AcCircuits(pricer, beside)
    needs = pricer.needs
    numbers: list[tuple[int, ...]] = []
    for k in found.chargers:
        place, stud = k.place, k.charger.stud
        mains = k.charger.kind != "engine"
        out = benches.at(
            ("out", place, stud, mains),
            lambda: beside_others(
                beside,
                c.charger_run(needs, found.setting, place, stud, mains=mains),  # noqa: B023
                "charger",
            ),
            k.charger.charge_a,
        )
        if k.charger.kind == "engine":
            into = benches.at(
                ("engine", place, stud),
                lambda: beside_others(
                    beside,
                    c.engine_run(needs, found.setting, place, stud),  # noqa: B023
                    "engine",
                ),
                engine_current_a(k.charger.input_w),
            )
        else:
            inlet = inlet_place(needs, k.serves, place)
            amps = float(rule_e.ac_current_a(k.charger.input_w, needs.rules.ac_v))
            into = ac.at("mains", inlet, place, amps, "inlet", 1)
        groups = [
            book.add(key, (f"charger {way}", place), fit)
            for way, (key, fit) in (("out", out), ("into", into))
        ]
        reached = links.chain(k.charger, place) is not None
        numbers.append(tuple(groups) if min(groups) >= 0 and reached else ())
    return book.groups, numbers


def engine_current_a(input_w: float) -> float:
    """Current on the engine's side of a charger: its input at the lowest voltage of 12 V."""
    return input_w / rule_b.lowest_v(c.ENGINE_V)


@dataclass
class _AcCircuits:
    """Ways to wire AC circuits, by their ends and the current they must carry."""

    pricer: Pricer
    beside: LegLoads
    known: dict[object, tuple[object, list[Option]]] = field(default_factory=dict)
    alike: dict[object, list[Option]] = field(default_factory=dict)

    def at(
        self, of: str, start: str, goal: str, amps: float, kind: str, count: int
    ) -> tuple[object, list[Option]]:
        """A key for the options, equal where they are the same, and the options.

        `of` is `inverter` for its loads, `mains` for an inlet.
        """
        key = (of, start, goal, amps, kind, count)
        if key not in self.known:
            shelf = self.pricer.shelf
            guarded = AC_BREAKER.name not in shelf.unknown
            run = c.ac_run(
                shelf.needs, start, goal, guarded=guarded, from_inverter=of == "inverter"
            )
            run = beside_others(self.beside, run, of, start if of == "inverter" else None)
            # the inlet of each charger may be elsewhere, so it has a box of its own
            every = ac_options(shelf, run, amps, kind, count, shares=of == "inverter")
            # which ones serve decides what is left of them
            names = tuple(
                (
                    o.plus.part,
                    o.most_loaded,
                    o.shared_box and o.shared_box.part,
                    *_seat_names(o),
                )
                for o in every
            )
            same = (of, start, goal, kind, count, names)
            if same not in self.alike:
                self.alike[same] = thin(self.pricer, every)
            self.known[key] = (same, self.alike[same])
        return self.known[key]


def _ac_groups(
    needs: Needs, pricer: Pricer, found: Candidates, beside: LegLoads
) -> tuple[list[Group], list[tuple[int, ...]]]:
    """AC circuits from each inverter to its loads, and from the inlet to one that charges."""
    book, circuits = _Book(), _AcCircuits(pricer, beside)
    numbers: list[tuple[int, ...]] = []
    for i in found.inverters:
        wanted = [
            (name, circuits.at("inverter", i.place, loads[0].place, *ac_asked(needs, loads)))
            for name, loads in c.load_circuits(needs, "ac")
        ]
        if i.serves:
            inlet = inlet_place(needs, i.serves, i.place)
            amps = float(rule_e.ac_current_a(i.input_w, needs.rules.ac_v))
            wanted.append(("", circuits.at("mains", inlet, i.place, amps, "inlet", 1)))
        mine = [
            book.add((name, key), ("ac", name, i.place), fit) for name, (key, fit) in wanted
        ]
        numbers.append(tuple(mine) if min(mine, default=0) >= 0 else (-1,))
    return book.groups, numbers


def ac_asked(needs: Needs, loads: Sequence[Load]) -> tuple[float, str, int]:
    """What an AC circuit of loads asks: its current, and a socket for each thing plugged in."""
    return ac_circuit_a(needs, loads), "socket", sum(x.quantity for x in loads)


def ac_circuit_a(needs: Needs, loads: Sequence[Load]) -> float:
    """Running current of an AC circuit."""
    return float(rule_e.ac_current_a(rule_e.together_w(loads, "ac"), needs.rules.ac_v))


def _array_groups(
    shelf: Shelf, pricer: Pricer, found: Candidates, beside: LegLoads
) -> tuple[
    list[Group],
    NDArray[np.int64],
    list[Group],
    NDArray[np.int64],
    tuple[Joints, ...],
    NDArray[np.bool_],
]:
    a = found.arrays
    pv, bars = _Book(), _Book()
    pv_group = np.full(len(a), -1)
    bar_group = np.full(len(a), -1)
    ways = sorted(set(zip(a.panel_place, a.controller_place, strict=True)))
    at_way = {w: i for i, w in enumerate(ways)}
    number = np.array(
        [at_way[w] for w in zip(a.panel_place, a.controller_place, strict=True)], dtype=int
    )
    for w, i in at_way.items():
        mine = np.flatnonzero(number == i)
        _pv_of(shelf, pricer, found, beside, w, mine, pv, pv_group)
    for desk in sorted(set(a.controller_place)):
        mine = np.flatnonzero(np.array([d == desk for d in a.controller_place]))
        _bar_of(pricer, found, beside, desk, mine, bars, bar_group)
    one_of, string = _alike_joints(shelf, a)
    known = [_joints(shelf, pricer, a, i) for i in one_of.tolist()]
    joined = [known[n] for n in string.tolist()]
    ok = np.array([x is not None for x in joined], dtype=bool)
    ok &= (pv_group >= 0) & (bar_group >= 0)
    whole = tuple(x or ALONE for x in joined)
    return pv.groups, pv_group, bars.groups, bar_group, whole, ok


def _pv_of(
    shelf: Shelf,
    pricer: Pricer,
    found: Candidates,
    beside: LegLoads,
    way: tuple[str, str],
    mine: NDArray[np.int64],
    book: _Book,
    group: NDArray[np.int64],
) -> None:
    """Panels to controller: which options each array may take, arrays alike in it together.

    And beside how many conductors: the more an array's current is, the fewer.
    """
    a, needs = found.arrays, pricer.needs
    r = c.way(needs, *way)
    loaded = beside.counts(r, "array")
    all_options = _known(
        pricer, ("options", way, loaded), lambda: array_options(shelf, r, way[1], loaded)
    )
    if not all_options or not len(mine):
        return
    every, (one_of, string) = mine, _alike_strings(a, mine)
    mine = mine[one_of]
    imp = np.array([p.imp_a for p in a.panels])[a.panel[mine]] * a.parallel[mine]
    base = np.array([p.vmp_v for p in a.panels])[a.panel[mine]] * a.series[mine]
    limit = needs.rules.drop_pct.array / 100 * base
    drop = np.array([2 * r.length_m * o.ohm_per_m for o in all_options])[None, :] * imp[:, None]
    may = drop <= limit[:, None] + 1e-12
    stands = np.array([o.stands_a for o in all_options])
    steps = (a.design_a[mine][:, None, None] <= stands[None] + 1e-9).sum(axis=2)
    may &= steps > 0
    may &= a.design_a[mine][:, None] <= np.array([o.connector_a for o in all_options]) + 1e-9
    may &= a.voc_cold_v[mine][:, None] <= np.array([o.connector_v for o in all_options]) + 1e-9
    for some, holds in (
        ([o.isolator for o in all_options], isolator_breaks),
        ([o.inlet for o in all_options], inlet_carries),
    ):
        rated_a = np.array([math.inf if x is None else x.rated_a for x in some])
        max_v = np.array([math.inf if x is None else x.max_v for x in some])
        may &= holds(rated_a, max_v, a.design_a[mine][:, None], a.voc_cold_v[mine][:, None])
    patterns, inverse = unlike_rows(np.where(may, steps, 0))
    most = [0, *loaded[:-1], ANY_NUMBER]

    def thinned(pattern: NDArray[np.int64]) -> list[Option]:
        able = np.flatnonzero(pattern)
        return thin(
            pricer, [replace(all_options[i], most_loaded=most[pattern[i]]) for i in able]
        )

    for j, pattern in enumerate(patterns):
        fit = _known(
            pricer,
            ("way", way, loaded, pattern.tobytes()),
            lambda: thinned(pattern),  # noqa: B023  called at once
        )
        group[every[inverse[string] == j]] = book.add(way, ("array", *way), fit)


def _alike_strings(
    a: Arrays, mine: NDArray[np.int64] | None = None
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Of arrays of equal strings one, and by array which of these is alike.

    What leads from panels to a controller is the same whichever controller it is.
    """
    at = np.arange(len(a)) if mine is None else mine
    most = (int(a.series.max(initial=0)) + 1, int(a.parallel.max(initial=0)) + 1)
    string = (a.panel[at] * most[0] + a.series[at]) * most[1] + a.parallel[at]
    _, first, which = np.unique(string, return_index=True, return_inverse=True)
    return first, which


def _alike_joints(shelf: Shelf, a: Arrays) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Of arrays whose strings are joined alike one, and by array which of these is alike.

    Beside the strings that hangs on how many poles have fuses, which the controller tells, and on
    the place of the panels, whose weather a combiner has to bear.
    """
    _, string = _alike_strings(a)
    poles = np.array([fused_poles(shelf, c) for c in a.controllers], dtype=np.int64)
    at = {place: n for n, place in enumerate(sorted(set(a.panel_place)))}
    place = np.array([at[p] for p in a.panel_place], dtype=np.int64)
    alike = (string * 3 + poles[a.controller]) * (len(at) + 1) + place
    _, first, which = np.unique(alike, return_index=True, return_inverse=True)
    return first, which


def unlike_rows(rows: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The rows that differ, in rising order, and which of them each row is.

    As `np.unique` over rows does, which sorts whole rows: here one number drawn from each is
    sorted, and where two rows that differ should have the same number, whole rows after all.
    """
    draw = np.random.default_rng(0).integers(1, 2**62, rows.shape[1], dtype=np.int64)
    with np.errstate(over="ignore"):
        _, first, which = np.unique(rows @ draw, return_index=True, return_inverse=True)
    unlike = rows[first]
    if not np.array_equal(unlike[which], rows):
        unlike, which = np.unique(rows, axis=0, return_inverse=True)
        return unlike, which.ravel()
    order = np.lexsort(unlike.T[::-1])
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    return unlike[order], rank[which]


def _bar_of(
    pricer: Pricer,
    found: Candidates,
    beside: LegLoads,
    desk: str,
    mine: NDArray[np.int64],
    book: _Book,
    group: NDArray[np.int64],
) -> None:
    """Bus bars to controllers: arrays whose currents the same options carry go together."""
    one = c.controller_run(pricer.needs, found.setting, desk)
    one = beside_others(beside, one, "controller")
    run = _known(pricer, ("desk", desk, one.counts), lambda: bench(pricer, one))
    caps = run.caps()
    level = np.searchsorted(caps, found.arrays.charge_a[mine] - 1e-9)
    for j in np.unique(level):
        if j < len(caps):
            fit = _known(
                pricer,
                ("desk", desk, one.counts, int(j)),
                lambda: run.options(float(caps[j])),  # noqa: B023  called at once
            )
            group[mine[level == j]] = book.add(desk, ("controller", desk), fit)


def _known(pricer: Pricer, key: object, work: Callable[[], Any]) -> Any:
    """What `work` gives, worked out once for a setting and its prices, whichever arrays are made."""
    if key not in pricer.known:
        pricer.known[key] = work()
    return pricer.known[key]


def _joints(shelf: Shelf, pricer: Pricer, a: Arrays, i: int) -> Joints | None:
    """What joins the strings of an array candidate; None where that is not to be had."""
    if a.parallel[i] == 1:
        return ALONE
    some = strings_of(shelf, a, i)
    found: Joints | None = _known(pricer, ("joints", some), lambda: joints(shelf, some))
    return found


def _dc_wired(
    needs: Needs, shelf: Shelf, pricer: Pricer, found: Candidates, beside: LegLoads
) -> dict[str, Any]:
    """The fields of a wiring that tell of DC loads."""
    run = c.feed_run(needs, found.setting)
    blocks = [b for b in shelf.blocks if b.max_v >= run.highest_v]
    takes = [shelf.block_fuses.get(b.part, ()) for b in blocks]
    kinds = list(dict.fromkeys(takes))
    of_kinds = [blocks[takes.index(k)] for k in kinds]
    circuits = _dc_circuits(pricer, found, beside, of_kinds)
    span = _feed_span(circuits, blocks)
    feed = [] if span is None else bench(pricer, run).options(0.0, span)
    modes = [Mode(None, 0, -1)] if all(x.direct for x in circuits) else []
    for block, fuses in zip(blocks, takes, strict=True):
        modes += _with_block(shelf, circuits, block, kinds.index(fuses), feed)
    most = max((mode.blocks for mode in modes), default=0)
    return {
        "circuits": circuits,
        "modes": tuple(modes),
        "feeds": tuple(
            Group(f"feed {k}", tuple(feed), where=("feed", str(k))) for k in range(1, most + 1)
        ),
        "feed_most_a": 0.0 if span is None else span.most_a,
    }


def _dc_circuits(
    pricer: Pricer, found: Candidates, beside: LegLoads, blocks: Sequence[Holder]
) -> tuple[DcCircuit, ...]:
    """The circuits of DC loads, with their ways on the bars and in each of some blocks."""
    benches, circuits = _Benches(pricer), []
    needs, setting = pricer.needs, found.setting
    for name, loads in c.load_circuits(needs, "dc"):
        amps, place = rule_e.load_current_a(loads, setting.voltage), loads[0].place
        direct = benches.at(
            ("direct", place),
            lambda: beside_others(
                beside,
                c.direct_load_run(needs, setting, place),  # noqa: B023  called at once
                "load",
                "",
            ),
            amps,
        )[1]
        inside = [
            benches.at(
                ("block", b.part, place),
                lambda: beside_others(
                    beside,
                    c.block_load_run(needs, setting, b, place),  # noqa: B023
                    "load",
                    "",
                ),
                amps,
            )[1]
            for b in blocks
        ]
        groups = [
            Group(f"load {name}", tuple(fit), where=("load", name)) if fit else None
            for fit in (direct, *inside)
        ]
        together = rule_e.together_a(loads, setting.voltage)
        circuits.append(DcCircuit(name, together, amps, groups[0], tuple(groups[1:])))
    return tuple(circuits)


def _feed_span(circuits: Sequence[DcCircuit], blocks: Sequence[Holder]) -> Span | None:
    """What may be asked of the feed of a block; None where no circuit can be in any."""
    able = [x for x in circuits if any(x.inside)]
    if not able:
        return None
    drawn = sorted((x.together_a for x in able), reverse=True)
    return Span(
        least_a=min(x.alone_a for x in able),
        most_a=max(sum(drawn[: max(b.ways for b in blocks)]), *(x.alone_a for x in able)),
        least_rating_a=min(b.rated_a for b in blocks),
    )


def _with_block(
    shelf: Shelf,
    circuits: Sequence[DcCircuit],
    block: Holder,
    kind: int,
    feed: Sequence[Option],
) -> Iterable[Mode]:
    """The modes with so many of a block, as far as they could feed what no bar can."""
    fit = [
        o.cap_a
        for o in feed
        if o.rating_a <= block.rated_a
        and (not block.stud or all(shelf.lug(area, block.stud) for _, area in o.hub_ends))
    ]
    cap_a = max(fit, default=0.0) + 1e-9
    able = [x for x in circuits if x.inside[kind] and x.alone_a <= cap_a]
    must = [x for x in circuits if x.direct is None]
    if any(x not in able for x in must):
        return
    most = min(math.ceil(len(circuits) / block.ways), len(able))
    for n in range(1, most + 1):
        if len(must) <= n * block.ways and sum(x.together_a for x in must) <= n * cap_a:
            yield Mode(block, n, kind)
