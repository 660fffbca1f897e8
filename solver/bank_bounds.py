"""Banks that could pay, found without wiring every one.

A large catalog has thousands of banks, and what their strings may be wired by is most of the work
of a setting. The relaxed floor programme is solved with the wiring of some; its duals then give,
for every other bank, a bound below its reduced cost together with the strings it needs, from
numbers alone. Banks that could pay come in until none is left: the value is then that of the
programme with every bank in it. With a kit in hand, only banks whose bound is within the gap stay.

Why the bound holds: a group of strings that is not in the programme has a row of its own, "as many
options as banks chosen", whose right side is zero; so its dual may be any number that no option
costs less than by the other duals, and the value stays. The largest such number is what the cheapest
option costs by them, and is added to what the bank costs by them. Options enter rows that pay: what
trunks carry, and the rows that say so level by level (`model._cover`). Of rows that only cost
(ratings with their levels, mass) some are left out, which makes the bound no larger. Lugs at the
hub are counted at the cheapest stud's: the dual of their row may be that large, since no lug there
costs less and its right side is zero.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from solver import circuits as c
from solver import selection as sel
from solver.balance import lever_m, limits_kgm
from solver.candidates import BankCandidate, Candidates
from solver.groups import Bench, bench
from solver.model import BEHIND_MAIN, CENTS, Setup

Floats = NDArray[np.float64]

SEED_BANKS = 8
"""So many of the cheapest banks, by each way to count, have wiring from the start."""

ENTERING = 25
"""Most banks that come in at once."""

UNDER_CENTS = -1e-4
"""A bound on a reduced cost below this could pay."""


def first_banks(found: Candidates, price: Floats) -> frozenset[int]:
    """Some banks to begin with: the cheapest, whole, by what they hold, draw and charge; the largest.

    `price` is what one battery of each costs at the least.
    """
    banks = found.banks
    cost = price * np.array([b.series * b.parallel for b in banks])
    figures = (
        np.ones(len(banks)),
        np.array([b.usable_wh for b in banks]),
        np.array([b.battery.max_discharge_a * b.parallel for b in banks]),
        np.array([b.battery.max_charge_a * b.parallel for b in banks]),
    )
    found_ = {int(i) for f in figures for i in np.argsort(cost / f, kind="stable")[:SEED_BANKS]}
    found_ |= {int(np.argmax(f)) for f in figures if len(f)}
    return frozenset(found_)


@dataclass(frozen=True)
class _Strings:
    """What strings to banks alike could be wired by: every conductor with every protection."""

    costs: Floats
    """By conductor and protection, of one string at floor prices; infinite where they do not go."""
    cap_a: Floats
    rating_a: Floats


def entering(b: sel.Bound) -> frozenset[int]:
    """Banks without wiring that could pay, those of the least bounds."""
    bounds = bank_bounds(b)
    wired = b.setup.wiring.wired
    if wired is None:
        return frozenset()
    bounds[sorted(wired)] = math.inf
    able = np.flatnonzero(bounds < UNDER_CENTS)
    best = able[np.argsort(bounds[able], kind="stable")[:ENTERING]]
    return frozenset(best.tolist())


def banks_within(b: sel.Bound, room_cents: float) -> frozenset[int]:
    """Banks whose bound is within the room; owned ones always are."""
    return frozenset(np.flatnonzero(bank_bounds(b) <= room_cents).tolist())


def bank_bounds(b: sel.Bound) -> Floats:
    """For each bank what its reduced cost with its strings is at the least."""
    setup, duals = b.setup, b.duals
    found, market = setup.found, setup.pricer.market
    banks = found.banks
    count = np.array([x.series * x.parallel for x in banks], dtype=float)
    money = CENTS + max(-duals.get("budget", 0.0), 0.0)
    price = np.array([setup.pricer.floor(x.battery.part) for x in banks])
    total = money * price * count - duals.get("one bank", 0.0)
    for place in sorted({x.place for x in banks}):
        there = count * np.array([x.place == place for x in banks])
        area = np.array([x.battery.taken_mm2 for x in banks])
        mass = np.array([x.battery.kg for x in banks])
        total += there * area * max(-duals.get(f"area {place}", 0.0), 0.0)
        total += there * mass * max(-duals.get(f"kg {place}", 0.0), 0.0)
    total += count * np.array([x.battery.kg for x in banks]) * max(-duals.get("kg", 0.0), 0.0)
    for row in limits_kgm(setup.needs):
        levers = np.array([lever_m(setup.needs, x.place, row) for x in banks])
        kg = np.array([x.battery.kg for x in banks])
        total -= count * kg * levers * duals.get(row, 0.0)
    usable = np.array([x.usable_wh for x in banks])
    charge = np.array([x.battery.max_charge_a * x.parallel for x in banks])
    draw = np.array([x.battery.max_discharge_a * x.parallel for x in banks])
    for j in range(len(found.months)):
        total -= duals.get(f"autonomy {j}", 0.0) * usable
    total -= sum(duals.get(f"bank {x}", 0.0) for x in ("charge", "charger", "engine")) * charge
    total -= duals.get("bank discharge", 0.0) * draw
    total -= _covered(b, "autonomy", usable) + _covered(b, "bank discharge", draw)
    total += _strings_cost(b, money)
    total[[x.battery.part in market.owned for x in banks]] = -math.inf
    return np.asarray(total)


def _covered(b: sel.Bound, what: str, carried: Floats) -> Floats:
    """What carrying so much is worth by the rows that say so level by level."""
    levels = sorted((at * (1 - 1e-9) - 1e-9, dual) for w, at, dual in b.covers if w == what)
    worth = np.concatenate([[0.0], np.cumsum([max(dual, 0.0) for _, dual in levels])])
    # a hair more than the rows themselves count
    return np.asarray(
        worth[np.searchsorted([at - 1e-9 for at, _ in levels], carried, side="right")]
    )


def _strings_cost(b: sel.Bound, money: float) -> Floats:
    """For each bank, the least that an option for its strings costs by the duals."""
    setup = b.setup
    groups: dict[tuple[object, ...], list[int]] = {}
    for n, bank in enumerate(setup.found.banks):
        groups.setdefault((bank.place, bank.battery.stud, bank.series), []).append(n)
    found = np.zeros(len(setup.found.banks))
    for key, numbers in groups.items():
        banks = [setup.found.banks[n] for n in numbers]
        known = setup.pricer.strings
        if key not in known:
            known[key] = _strings(setup, banks)
        strings = known[key]
        for times in {x.parallel for x in banks}:
            least = _least_option(b, strings, times, money)
            found[[n for n in numbers if setup.found.banks[n].parallel == times]] = least
    return found


def _least_option(b: sel.Bound, strings: _Strings, times: int, money: float) -> float:
    duals, cap_a = b.duals, strings.cap_a * times
    value = money * times * strings.costs - _covered(b, "trunk discharge", cap_a)
    value -= cap_a * sum(
        max(duals.get(f"trunk {x}", 0.0), 0.0) for x in ("discharge", "charge")
    )
    ratings = sum(max(duals.get(f"{x} rating", 0.0), 0.0) for x in BEHIND_MAIN)
    value += strings.rating_a * times * ratings
    return float(value.min(initial=math.inf))


def _strings(setup: Setup, banks: list[BankCandidate]) -> _Strings:
    """Every way to wire a string of these banks: of what breaks enough for the weakest."""
    weakest = min(banks, key=lambda x: x.short_circuit_ka)
    made = bench(setup.pricer, c.bank_run(setup.needs, setup.found.setting, weakest))
    continuous = setup.needs.rules.continuous
    seats = _seat_costs(made)
    goes = made.rated[None, :] <= made.limit[:, None]
    costs = np.where(goes, made.wire_floor[:, None] + seats, math.inf)
    cap_a = np.minimum(made.carries[:, None], made.rated[None, :] / continuous)
    possible = np.isfinite(costs)
    rating_a = np.broadcast_to(made.rated, cap_a.shape)
    return _Strings(costs[possible], cap_a[possible], rating_a[possible])


def _seat_costs(made: Bench) -> Floats:
    """By conductor, what each protection costs in its holder with its lugs."""
    areas = [x.plus.area_mm2 for x in made.conductors]
    return np.array([made.seat_floor[a] for a in areas]).reshape(len(areas), len(made.seats))
