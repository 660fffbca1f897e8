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

from solver import selection as sel
from solver.candidates import (
    MOST_STRINGS,
    Pairs,
    Setting,
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
Yes = NDArray[np.bool_]

FEW_PAIRS = 20_000
"""So many pairs are not worth sifting."""

SEED_PARTS = 25
"""Panels, and controllers, of the pairs that a programme starts with."""

ENTERING = 2_000
"""Most pairs that come in at once."""

CHUNK = 400
"""Panels that are compared with all controllers at once."""

UNDER_CENTS = -1e-4
"""A bound on a reduced cost below this could pay."""


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
    window: Callable[[slice], tuple[Floats, Floats]]
    """Of some panels with every controller: the fewest and the most panels of an array."""
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
    return Sieve(
        needs=needs,
        setting=setting,
        panels=panels,
        controllers=controllers,
        panel_price=np.array([market.floor(p.part, math.inf) for p in panels]),
        controller_price=np.array([market.floor(c.part, math.inf) for c in controllers]),
        window=_window(needs, setting, panels, controllers),
        owned=(
            np.array([p.part in must for p in panels]),
            np.array([c.part in must for c in controllers]),
        ),
    )


def _window(
    needs: Needs, setting: Setting, panels: list[Panel], controllers: list[Controller]
) -> Callable[[slice], tuple[Floats, Floats]]:
    """How many panels an array may have, by what the controllers stand; none: more than most."""
    limits = string_limits(needs, setting, panels, controllers)
    cold, hot, highest = limits.cold_v, limits.hot_v, limits.highest_v
    max_v, max_a, need_v = limits.max_v, limits.max_a, limits.need_v
    pv_a = rule_s.pv_input_current_a(limits.isc_a)

    def window(some: slice) -> tuple[Floats, Floats]:
        # a hair more than the candidates' own comparison lets through
        shortest = np.ceil(need_v[None, :] / hot[some, None] - 1e-6)
        stands = np.minimum(highest[some, None], max_v[None, :])
        longest = np.floor(stands / cold[some, None] + 1e-6)
        strings = np.floor(max_a[None, :] / pv_a[some, None] + 1e-6)
        strings = np.minimum(strings, MOST_STRINGS)
        fewest = np.maximum(shortest, 1.0)
        most = np.where((longest >= fewest) & (strings >= 1), longest * strings, 0.0)
        return fewest, most

    return window


def bound(
    s: Sieve,
    make: Callable[[Pairs, Setup | None], Setup],
    cuts: Cuts,
    pairs: Pairs,
    like: Setup | None = None,
) -> tuple[sel.Bound | None, Pairs]:
    """The bound of a setting over all its arrays, and the pairs whose arrays were needed for it.

    `make` gives the setting with the arrays of some pairs, like an earlier one but for these;
    `pairs` are those to begin with, and `like` the one that the cuts are about.
    """
    while True:
        setup = make(pairs, like)
        cuts = cuts if like is None else renumbered(cuts, like, setup)
        like = setup
        found = sel.relaxed(setup, cuts)
        if found is None:
            return None, pairs
        entering = pairs_within(s, found.duals, UNDER_CENTS, pairs, ENTERING)
        if not entering:
            return (None if found.short else found), pairs
        pairs = joined(pairs, entering)


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
    """
    bounds = [_bounds(s, duals, where, desk) for where, desk in _ways(s)]
    held = without or {}
    number = {c.part: k for k, c in enumerate(s.controllers)}
    kept: list[tuple[int, NDArray[np.int64], Floats]] = []
    for start in range(0, len(s.panels), CHUNK):
        some = slice(start, start + CHUNK)
        least = np.full((len(s.panels[some]), len(s.controllers)), math.inf)
        for bound in bounds:
            least = np.minimum(least, bound(some))
        least[s.owned[0][some], :] = -math.inf
        least[:, s.owned[1]] = -math.inf
        for i in np.flatnonzero((least <= room_cents).any(axis=1)).tolist():
            row = least[i]
            there = held.get(s.panels[start + i].part)
            if there:
                row[[number[c] for c in there]] = math.inf
            at = np.flatnonzero((row <= room_cents) & (row < math.inf))
            if len(at):
                kept.append((start + i, at, row[at]))
    if math.isfinite(most) and sum(len(at) for _, at, _ in kept) > most:
        every = np.sort(np.concatenate([v for _, _, v in kept]))
        limit = every[int(most) - 1]
        kept = [(i, at[v <= limit], v) for i, at, v in kept]
    return {
        s.panels[i].part: frozenset(s.controllers[k].part for k in at.tolist())
        for i, at, _ in kept
        if len(at)
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


def _bounds(
    s: Sieve, duals: Mapping[str, float], where: str, desk: str
) -> Callable[[slice], Floats]:
    """Below the reduced cost of every array between two places, for some panels.

    An array of n panels costs n times what a panel costs, with its share of the area and of the
    mass, and what its controller costs with its own; it yields n times what a panel yields, but
    no more than the controller lets through. That is convex in n, so its least is at the ends or
    where the controller begins to clip. What its wiring costs, and what it asks of the bank in
    charging current, is left out: a row of charge that binds has a dual of no less than zero.
    """
    needs, months = s.needs, range(len(s.needs.site.months))
    share = 1 - needs.energy.shortfall_pct / 100
    sun = [max(duals.get(f"sun {j}", 0.0), 0.0) for j in months]
    energy = [max(duals.get(f"energy {j}", 0.0), 0.0) for j in months]
    reserve = [max(duals.get(f"autonomy {j}", 0.0), 0.0) for j in months]
    own_wh = 24 * np.array([c.own_w for c in s.controllers])
    own = own_wh * sum(
        share * a + b + needs.energy.autonomy_days * r
        for a, b, r in zip(sun, energy, reserve, strict=True)
    )
    worth = [a + b for a, b in zip(sun, energy, strict=True)]
    money = CENTS + max(-duals.get("budget", 0.0), 0.0)
    area_mm2 = [_given(duals, f"area {p}") for p in (where, desk)]
    kg = [_given(duals, f"kg {p}") + _given(duals, "kg") for p in (where, desk)]
    panel = money * s.panel_price + _burden(s.panels, area_mm2[0], kg[0])
    fixed = money * s.controller_price + _burden(s.controllers, area_mm2[1], kg[1]) + own
    fixed = fixed + max(duals.get("bar lugs", 0.0), 0.0)
    fixed[~np.array([fits_alone(c, needs.place(desk)) for c in s.controllers])] = math.inf
    lies = np.array([fits_alone(p, needs.place(where)) for p in s.panels])
    room = np.where(lies, _room(needs, where, s.panels), 0.0)
    gains = {kind: _gain(s, worth, kind) for kind in ("mppt", "pwm")}
    pwm = np.array([c.kind == "pwm" for c in s.controllers])
    let_through = _let_through(s, worth)
    pass_on = np.array([c.efficiency_pct / 100 for c in s.controllers])

    def bounds(some: slice) -> Floats:
        fewest, most = s.window(some)
        most = np.minimum(most, room[some, None])
        # a panel behind pwm gives a string's current however many there are in the string
        gain = np.where(pwm, gains["pwm"][some, None], gains["mppt"][some, None] * pass_on)
        price = panel[some, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            clips = np.where(gain > 0, let_through / gain, math.inf)
        n = np.where(gain > price, np.clip(clips, fewest, most), fewest)
        value = n * price - np.minimum(n * gain, let_through) + fixed
        return np.where(fewest <= most, value, math.inf)

    return bounds


def _given(duals: Mapping[str, float], row: str) -> float:
    """What a unit of a row with an upper limit costs."""
    return max(-duals.get(row, 0.0), 0.0)


def _burden(devices: list[Panel] | list[Controller], area: float, kg: float) -> Floats:
    """What devices' faces and masses cost."""
    return np.array([area * d.length_mm * d.width_mm + kg * d.kg for d in devices])


def _room(needs: Needs, where: str, panels: list[Panel]) -> Floats:
    """How many panels there is room for by area and mass, if nothing else lies there."""
    place = needs.place(where)
    area = (usable_area_mm2(place) + 1e-6) / np.array(
        [p.length_mm * p.width_mm for p in panels]
    )
    if place.max_kg is None:
        return area
    mass = (place.max_kg + 1e-9) / np.array([p.kg for p in panels])
    return np.asarray(np.minimum(area, mass))


def _gain(s: Sieve, worth: list[float], kind: str) -> Floats:
    """What the yield of one panel is worth, with a controller that neither clips nor loses."""
    site = s.needs.site
    air = site.air_c or rule_e.air_c_by_month(site.coldest_c, site.hottest_c, site.latitude_deg)
    stc: Floats = np.array([p.stc_w for p in s.panels])
    imp: Floats = np.array([p.imp_a for p in s.panels])
    heat: Floats = np.array([p.pmax_pct_per_c for p in s.panels])
    charging = rule_s.charging_voltage_v(s.setting.chemistry, s.setting.voltage)
    one: Floats = np.ones(len(stc))
    free: Floats = 1e9 * one
    total: Floats = np.zeros(len(stc))
    for w, month in zip(worth, site.months, strict=True):
        air_c: Floats = np.full(len(stc), air[month - 1])
        thermal: Floats = rule_e.thermal_factor(heat, air_c, site.cell_rise_c)
        wh: Floats = rule_e.array_yield_wh(
            kind, stc, one, imp, one, thermal, site.derate, 100.0, free, charging,
            s.needs.sun_hours[month - 1] * one,
        )  # fmt: skip
        total += w * wh
    return total * s.setting.charge_efficiency_pct / 100


def _let_through(s: Sieve, worth: list[float]) -> Floats:
    """What the most that each controller can give on a day of each month is worth."""
    charging = rule_s.charging_voltage_v(s.setting.chemistry, s.setting.voltage)
    hours = sum(
        w * s.needs.sun_hours[month - 1]
        for w, month in zip(worth, s.needs.site.months, strict=True)
    )
    amps = np.array([c.max_charge_a for c in s.controllers])
    return amps * charging * hours * s.setting.charge_efficiency_pct / 100
