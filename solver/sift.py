"""Panels with controllers: which pairs a kit could hold, found without making every array.

A large catalog has millions of pairs of a panel and a controller, and an array for each number of
panels on each. The relaxed programme is solved over arrays of some pairs; its duals then give,
for every pair at once, a bound below the reduced cost of each of its arrays. Pairs that could pay
come in until none is left: the value is then that of the programme with every array in it. With a
kit in hand, only pairs whose bound is within the gap stay.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from solver import bank_bounds
from solver import selection as sel
from solver.balance import lever_m, limits_kgm
from solver.candidates import (
    MOST_STRINGS,
    Pairs,
    Setting,
    StringLimits,
    fits_alone,
    panels_and_controllers,
    places_for,
    string_limits,
)
from solver.market import Market
from solver.model import CENTS, Cuts, KitCut, Setup
from solver.needs import Needs
from solver.parts import Controller, Panel
from solver.parts.device import Device
from solver.routes import route
from solver.rules import energy as rule_e
from solver.rules import string as rule_s
from solver.rules.space import usable_area_mm2

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Yes = NDArray[np.bool_]

FEW_PAIRS = 20_000
"""So many pairs are not worth sifting."""

SEED_PARTS = 25
"""Panels, and controllers, of the pairs that a programme starts with."""

ENTERING = 2_000
"""Most pairs that come in at once."""

CHUNK = 1_000_000
"""About so many pairs are looked at at once."""

FIRST_ROOM_CENTS = 1_000.0
"""How far over a bound pairs of a case are first looked for."""

MUCH_ROOM_CENTS = 1e6
"""Where there are none so far over it, all of them are looked at."""

UNDER_CENTS = -1e-4
"""A bound on a reduced cost below this could pay."""


@dataclass(frozen=True)
class Desks:
    """Controllers as columns."""

    pwm: Yes
    need_v: Floats
    max_v: Floats
    max_a: Floats
    charge_a: Floats
    pass_on: Floats
    """Share of what comes in that goes out."""
    own_wh: Floats
    """A day's own use."""
    fixed: Floats
    """What one costs, in hundredths and by the duals of a programme; nothing before these are
    known."""

    def of(self, some: Ints) -> Desks:
        """Some of them."""
        return Desks(**{name: column[some] for name, column in vars(self).items()})

    def best(self) -> Desks:
        """One that is as good as any of these in every figure."""
        least = {"need_v", "own_wh", "fixed"}
        return Desks(
            **{
                name: np.array([column.min() if name in least else column.max()])
                for name, column in vars(self).items()
            }
        )


@dataclass(frozen=True)
class Sieve:
    """The panels and controllers of a setting, as columns."""

    needs: Needs
    setting: Setting
    panels: list[Panel]
    controllers: list[Controller]
    panel_price: Floats
    controller_price: Floats
    """The least that one costs, in the job's currency; nothing for what is owned."""
    strings: StringLimits
    desks: Desks
    alike: list[Ints]
    """Numbers of controllers by kind, voltage and charging current."""
    owned: tuple[Yes, Yes]
    """Panels, and controllers, that must be used: their pairs always stay."""


def sieve(needs: Needs, market: Market, setting: Setting) -> Sieve | None:
    """What there is to sift; None where there are few pairs."""
    panels, controllers = panels_and_controllers(market, setting)
    must = {name for name, o in market.owned.items() if o.use == "must"}
    # wiring that must be used pays for the circuit that takes it, which the bounds leave out
    wired = any(not isinstance(market.parts[name], Device) for name in must)
    if len(panels) * len(controllers) <= FEW_PAIRS or wired:
        return None
    strings = string_limits(needs, setting, panels, controllers)
    return Sieve(
        needs=needs,
        setting=setting,
        panels=panels,
        controllers=controllers,
        panel_price=np.array([market.floor(p.part, math.inf) for p in panels]),
        controller_price=np.array([market.floor(c.part, math.inf) for c in controllers]),
        strings=strings,
        desks=Desks(
            pwm=np.array([c.kind == "pwm" for c in controllers]),
            need_v=strings.need_v,
            max_v=strings.max_v,
            max_a=strings.max_a,
            charge_a=np.array([c.max_charge_a for c in controllers]),
            pass_on=np.array([c.efficiency_pct / 100 for c in controllers]),
            own_wh=24 * np.array([c.own_w for c in controllers]),
            fixed=np.zeros(len(controllers)),
        ),
        alike=_alike(controllers),
        owned=(
            np.array([p.part in must for p in panels]),
            np.array([c.part in must for c in controllers]),
        ),
    )


def _alike(controllers: list[Controller]) -> list[Ints]:
    """Numbers of controllers alike in kind, voltage and charging current."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for k, c in enumerate(controllers):
        groups.setdefault((c.kind, c.max_pv_v, c.max_charge_a), []).append(k)
    return [np.array(numbers, dtype=np.int64) for numbers in groups.values()]


def _window(strings: StringLimits, some: Ints, desks: Desks) -> tuple[Floats, Floats]:
    """The fewest and the most panels of an array, by what controllers stand; none: more than most.

    Of some panels with each of some controllers.
    """
    cold, hot = strings.cold_v[some, None], strings.hot_v[some, None]
    pv_a = np.asarray(rule_s.pv_input_current_a(strings.isc_a[some]))[:, None]
    # a hair more than the candidates' own comparison lets through
    shortest = np.ceil(desks.need_v[None, :] / hot - 1e-6)
    stands = np.minimum(strings.highest_v[some, None], desks.max_v[None, :])
    longest = np.floor(stands / cold + 1e-6)
    parallel = np.floor(desks.max_a[None, :] / pv_a + 1e-6)
    parallel = np.minimum(parallel, MOST_STRINGS)
    fewest = np.maximum(shortest, 1.0)
    most = np.where((longest >= fewest) & (parallel >= 1), longest * parallel, 0.0)
    return fewest, most


@dataclass(frozen=True)
class Count:
    """How many arrays a kit of a case has."""

    fewest: int
    most: int | None
    """None: any number."""
    sun_wh: tuple[float, ...] = ()
    """With one array, what it must give by itself, by month in use."""


def bound(
    s: Sieve,
    make: Callable[[Pairs, Setup | None], Setup],
    cuts: Cuts,
    pairs: Pairs,
    like: Setup | None = None,
    count: Count | None = None,
) -> tuple[sel.Bound | None, Pairs]:
    """The bound of a setting over all its arrays, and the pairs whose arrays were needed for it.

    `make` gives the setting with the arrays of some pairs, like an earlier one but for these;
    `pairs` are those to begin with, and `like` the one that the cuts are about. With a `count`
    it is the bound over kits with so many arrays.
    """
    numbers = None if count is None else (count.fewest, count.most)
    new: Pairs | None = pairs
    while True:
        if new is not None or like is None:
            setup = make(pairs, like)
            cuts = cuts if like is None else renumbered(cuts, like, setup)
            like = setup
        found = sel.relaxed(like, cuts, numbers)
        wired = like.wiring.wired
        if found is None:
            if wired is None or len(wired) == len(like.found.banks):
                return None, pairs
            # perhaps for want of a bank
            like, new = sel.with_banks(like, frozenset(range(len(like.found.banks)))), None
            continue
        banks = bank_bounds.entering(found)
        if banks:
            like = sel.with_banks(like, banks | (wired or frozenset()))
        new = pairs_within(s, found.duals, UNDER_CENTS, pairs, ENTERING, count) or None
        if new is None and not banks:
            return (None if found.short else found), pairs
        pairs = joined(pairs, new or {})


def renumbered(cuts: Cuts, before: Setup, after: Setup) -> Cuts:
    """The same cuts by the numbers that arrays have in another setup.

    A cut that names an array which is not there is no longer needed; should that array come
    back, placing teaches it again.
    """
    if not cuts.kits:
        return cuts
    there = {name: i for i, name in enumerate(_array_names(after))}
    names = _array_names(before)
    kits = []
    for kit in cuts.kits:
        columns = [
            (("array", there.get(names[int(str(key[1]))])) if key[0] == "array" else key, n)
            for key, n in kit.columns
        ]
        if all(key[1] is not None for key, _ in columns):
            kits.append(KitCut(tuple(columns)))
    return replace(cuts, kits=tuple(kits))


def _array_names(setup: Setup) -> list[tuple[object, ...]]:
    """What tells arrays apart, whatever others there are."""
    a = setup.found.arrays
    return [
        (
            a.panels[a.panel[i]].part,
            a.controllers[a.controller[i]].part,
            int(a.series[i]),
            int(a.parallel[i]),
            a.panel_place[i],
            a.controller_place[i],
        )
        for i in range(len(a))
    ]


def first_pairs(s: Sieve) -> Pairs:
    """Some pairs to begin with: of the cheapest panels a watt and the cheapest controllers.

    Of controllers the cheapest an ampere too, and the cheapest for each voltage they stand.
    """
    watts = np.array([p.stc_w for p in s.panels])
    amps = np.array([c.max_charge_a for c in s.controllers])
    volts = np.array([c.max_pv_v for c in s.controllers])
    panels = {*_cheapest(s.panel_price / watts), *_cheapest(s.panel_price)}
    controllers = {*_cheapest(s.controller_price / amps), *_cheapest(s.controller_price)}
    controllers |= {*_cheapest(s.controller_price / (amps * volts))}
    found = np.zeros((len(s.panels), len(s.controllers)), dtype=bool)
    found[np.ix_(sorted(panels), sorted(controllers))] = True
    found[s.owned[0], :] = True
    found[:, s.owned[1]] = True
    return _named(s, found)


def _cheapest(prices: Floats) -> list[int]:
    return [int(i) for i in np.argsort(prices, kind="stable")[:SEED_PARTS]]


def _named(s: Sieve, found: Yes) -> Pairs:
    return {
        s.panels[i].part: frozenset(s.controllers[k].part for k in np.flatnonzero(found[i]))
        for i in np.flatnonzero(found.any(axis=1)).tolist()
    }


def joined(some: Pairs, others: Pairs) -> Pairs:
    """Pairs of both."""
    none: frozenset[str] = frozenset()
    return {p: some.get(p, none) | others.get(p, none) for p in {*some, *others}}


def pairs_within(
    s: Sieve,
    duals: Mapping[str, float],
    room_cents: float,
    without: Pairs | None = None,
    most: float = math.inf,
    count: Count | None = None,
) -> Pairs:
    """Pairs of which some array could have a reduced cost of no more than `room_cents`.

    Parameters
    ----------
    s, duals
        The sieve, and the duals of the relaxed programme's rows by their names.
    room_cents : float
        How much.
    without : Pairs, optional
        Pairs that are in the programme already are not given again.
    most : float
        No more pairs than this, those of the least bounds.
    count : Count, optional
        The case; with one array, only those that give enough by themselves.
    """
    bounds = [_Bounds(s, duals, where, desk, count) for where, desk in _ways(s)]
    found = [_within(s, bound, room_cents) for bound in bounds]
    found.append(_must_be_used(s))
    codes = np.concatenate([c for c, _ in found])
    values = np.concatenate([v for _, v in found])
    # of a pair the least over all places comes first
    order = np.lexsort((values, codes))
    codes, values = codes[order], values[order]
    first = np.append(True, codes[1:] != codes[:-1]) if len(codes) else codes.astype(bool)
    new = first & ~np.isin(codes, _codes(s, without or {}))
    codes, values = codes[new], values[new]
    if len(codes) > most:
        limit = np.sort(values)[int(most) - 1]
        codes = codes[values <= limit]
    return _by_name(s, codes)


def some_within(s: Sieve, duals: Mapping[str, float], count: Count) -> Pairs:
    """Some pairs of a case, those of the least bounds; none where there are none at all."""
    room_cents = FIRST_ROOM_CENTS
    while True:
        found = pairs_within(s, duals, room_cents, most=ENTERING, count=count)
        if found or math.isinf(room_cents):
            return found
        room_cents = room_cents * 2 if room_cents < MUCH_ROOM_CENTS else math.inf


def _within(s: Sieve, bound: _Bounds, room_cents: float) -> tuple[Ints, Floats]:
    """Codes and bounds of pairs between two places that are within the room.

    Of controllers alike the best imaginable is tried first: a panel that is not within the room
    with that is not with any of them.
    """
    codes, values = [np.zeros(0, dtype=np.int64)], [np.zeros(0)]
    every = np.arange(len(s.panels))
    for numbers in s.alike:
        desks = bound.desks.of(numbers)
        some = every[bound.values(every, desks.best())[:, 0] <= room_cents]
        for part in np.array_split(some, max(len(some) * len(numbers) // CHUNK, 1)):
            least = bound.values(part, desks)
            i, k = np.nonzero((least <= room_cents) & (least < math.inf))
            codes.append(part[i] * len(s.controllers) + numbers[k])
            values.append(least[i, k])
    return np.concatenate(codes), np.concatenate(values)


def _must_be_used(s: Sieve) -> tuple[Ints, Floats]:
    """Pairs of what must be used, of whatever bound."""
    panels, controllers = (np.flatnonzero(x) for x in s.owned)
    n = len(s.controllers)
    codes = np.concatenate(
        [
            (panels[:, None] * n + np.arange(n)[None, :]).ravel(),
            (np.arange(len(s.panels))[:, None] * n + controllers[None, :]).ravel(),
        ]
    ).astype(np.int64)
    return codes, np.full(len(codes), -math.inf)


def _codes(s: Sieve, pairs: Pairs) -> Ints:
    """Pairs as numbers."""
    panel = {p.part: i for i, p in enumerate(s.panels)}
    number = {c.part: k for k, c in enumerate(s.controllers)}
    n = len(s.controllers)
    found = [panel[p] * n + number[c] for p, cs in pairs.items() for c in cs]
    return np.array(found, dtype=np.int64)


def _by_name(s: Sieve, codes: Ints) -> Pairs:
    """Pairs by their names, from their numbers in rising order."""
    n = len(s.controllers)
    panels, starts = np.unique(codes // n, return_index=True)
    ends = [*starts[1:].tolist(), len(codes)][: len(panels)]
    return {
        s.panels[i].part: frozenset(s.controllers[k].part for k in (codes[a:b] % n).tolist())
        for i, a, b in zip(panels.tolist(), starts.tolist(), ends, strict=True)
    }


def _ways(s: Sieve) -> list[tuple[str, str]]:
    """Places of panels and of controllers between which a cable can be laid."""
    roofs = sorted(p.name for p in s.needs.places if p.may_hold("panel"))
    desks = places_for(s.needs, "controller", s.setting.hub)
    return [
        (where, desk)
        for where, desk in itertools.product(roofs, desks)
        if route(s.needs, where, desk) is not None
    ]


class _Bounds:
    """Below the reduced cost of every array between two places, pair by pair.

    An array of n panels costs n times what a panel costs, with its share of the area and of the
    mass, and what its controller costs with its own; it yields n times what a panel yields, but
    no more than the controller lets through. That is convex in n, so its least is at the ends or
    where the controller begins to clip. What its wiring costs, and what it asks of the bank in
    charging current, is left out: a row of charge that binds has a dual of no less than zero.
    One array that is enough by itself has at least as many panels as the need of every month asks.
    """

    def __init__(
        self,
        s: Sieve,
        duals: Mapping[str, float],
        where: str,
        desk: str,
        count: Count | None = None,
    ) -> None:
        needs, months = s.needs, range(len(s.needs.site.months))
        self.s, self.count = s, count
        share = 1 - needs.energy.shortfall_pct / 100
        sun = [max(duals.get(f"sun {j}", 0.0), 0.0) for j in months]
        energy = [max(duals.get(f"energy {j}", 0.0), 0.0) for j in months]
        reserve = [max(duals.get(f"autonomy {j}", 0.0), 0.0) for j in months]
        own = s.desks.own_wh * sum(
            share * a + b + needs.energy.autonomy_days * r
            for a, b, r in zip(sun, energy, reserve, strict=True)
        )
        worth = np.array([a + b for a, b in zip(sun, energy, strict=True)])
        money = CENTS + max(-duals.get("budget", 0.0), 0.0)
        area_mm2 = [_given(duals, f"area {p}") for p in (where, desk)]
        kg = [
            _given(duals, f"kg {p}")
            + _given(duals, "kg")
            # a moment may pay for mass or cost it
            - sum(duals.get(row, 0.0) * lever_m(needs, p, row) for row in limits_kgm(needs))
            for p in (where, desk)
        ]
        self.price = money * s.panel_price + _burden(s.panels, area_mm2[0], kg[0])
        fixed = money * s.controller_price + _burden(s.controllers, area_mm2[1], kg[1]) + own
        # how many arrays there are may pay or cost
        fixed = fixed + max(duals.get("bar lugs", 0.0), 0.0) - duals.get("arrays", 0.0)
        stands = [fits_alone(c, needs.place(desk), needs.site) for c in s.controllers]
        fixed[~np.array(stands)] = math.inf
        self.desks = replace(s.desks, fixed=fixed)
        lies = np.array([fits_alone(p, needs.place(where), needs.site) for p in s.panels])
        self.room = np.where(lies, _room(needs, where, s.panels), 0.0)
        self.share = share
        self.gives = {kind: _gives_wh(s, kind) for kind in ("mppt", "pwm")}
        self.gains = {kind: wh @ worth for kind, wh in self.gives.items()}
        self.amp_wh = _amp_wh(s)
        self.amp_worth = float(self.amp_wh @ worth)

    def values(self, some: Ints, desks: Desks) -> Floats:
        """The bounds of some panels with each of some controllers; infinite where none stands."""
        fewest, most = _window(self.s.strings, some, desks)
        most = np.minimum(most, self.room[some, None])
        if self.count is not None and self.count.sun_wh:
            fewest, most = self._enough(some, desks, fewest, most)
        # a panel behind pwm gives a string's current however many there are in the string
        mppt = self.gains["mppt"][some, None] * desks.pass_on
        gain = np.where(desks.pwm, self.gains["pwm"][some, None], mppt)
        let_through = desks.charge_a * self.amp_worth
        price = self.price[some, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            clips = np.where(gain > 0, let_through / gain, math.inf)
        n = np.where(gain > price, np.clip(clips, fewest, np.maximum(most, fewest)), fewest)
        # where mass balances, panels may pay beyond what the controller lets through
        n = np.where(price < 0, np.maximum(most, fewest), n)
        value = n * price - np.minimum(n * gain, let_through) + desks.fixed
        return np.where(fewest <= most, value, math.inf)

    def _enough(
        self, some: Ints, desks: Desks, fewest: Floats, most: Floats
    ) -> tuple[Floats, Floats]:
        """How many panels give enough by themselves in every month."""
        if self.count is None:
            return fewest, most
        for j, sun_wh in enumerate(self.count.sun_wh):
            asked = sun_wh + self.share * desks.own_wh - 1e-6
            mppt = self.gives["mppt"][some, j, None] * desks.pass_on
            gives = np.where(desks.pwm, self.gives["pwm"][some, j, None], mppt)
            with np.errstate(divide="ignore", invalid="ignore"):
                least = np.where(gives > 0, np.ceil(asked / gives - 1e-6), math.inf)
            fewest = np.maximum(fewest, least)
            most = np.where(desks.charge_a * self.amp_wh[j] < asked - 1e-6, 0.0, most)
        return fewest, most


def _given(duals: Mapping[str, float], row: str) -> float:
    """What a unit of a row with an upper limit costs."""
    return max(-duals.get(row, 0.0), 0.0)


def _burden(devices: list[Panel] | list[Controller], area: float, kg: float) -> Floats:
    """What devices' faces and masses cost."""
    return np.array([area * d.taken_mm2 + kg * d.kg for d in devices])


def _room(needs: Needs, where: str, panels: list[Panel]) -> Floats:
    """How many panels there is room for by area and mass, if nothing else lies there."""
    place = needs.place(where)
    area = (usable_area_mm2(place) + 1e-6) / np.array([p.taken_mm2 for p in panels])
    if place.max_kg is None:
        return area
    mass = (place.max_kg + 1e-9) / np.array([p.kg for p in panels])
    return np.asarray(np.minimum(area, mass))


def _gives_wh(s: Sieve, kind: str) -> Floats:
    """What one panel gives by month, with a controller that neither clips nor loses."""
    site = s.needs.site
    air = site.air_c or rule_e.air_c_by_month(site.coldest_c, site.hottest_c, site.latitude_deg)
    stc: Floats = np.array([p.stc_w for p in s.panels])
    imp: Floats = np.array([p.imp_a for p in s.panels])
    heat: Floats = np.array([p.pmax_pct_per_c for p in s.panels])
    charging = rule_s.charging_voltage_v(s.setting.chemistry, s.setting.voltage)
    one: Floats = np.ones(len(stc))
    free: Floats = 1e9 * one
    found: Floats = np.zeros((len(stc), len(site.months)))
    for j, month in enumerate(site.months):
        air_c: Floats = np.full(len(stc), air[month - 1])
        thermal: Floats = rule_e.thermal_factor(heat, air_c, site.cell_rise_c)
        found[:, j] = rule_e.array_yield_wh(
            kind, stc, one, imp, one, thermal, site.derate, 100.0, free, charging,
            s.needs.sun_hours[month - 1] * one,
        )  # fmt: skip
    return found * s.setting.charge_efficiency_pct / 100


def _amp_wh(s: Sieve) -> Floats:
    """What each ampere that a controller can give brings on a day of each month."""
    charging = rule_s.charging_voltage_v(s.setting.chemistry, s.setting.voltage)
    hours = np.array([s.needs.sun_hours[month - 1] for month in s.needs.site.months])
    return charging * hours * s.setting.charge_efficiency_pct / 100
