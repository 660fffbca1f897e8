"""Candidates of a large catalog that another outdoes: left out before their wiring is made.

Candidate B is left out where some A does the same in every row of the programme at least as well
and costs less. What a kit asks of a candidate is known by name: the rows that it enters (see
`solver.model`), the options that its circuits may be wired by, the places it stands in. With A in
the place of B, wired by the same options, every row holds and the kit costs less: no cheapest kit
holds one that was left out.

Prices are compared as they are paid, so everything must be bought from one supplier whose freight
is the same in every kit; then a kit costs the sum over its parts of what so many of each cost.

Rectangles are not numbers: of two devices with the same area neither lies wherever the other
does. As long as placing has taught nothing, a kit is bounded as if areas were all that counts,
and so are candidates compared here: by area. A setting in which placing has taught something is
begun again with `sides`, where heights and sides must be no larger too and none more in number:
then what stood in the place of B has room for A.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from solver.balance import limits_kgm
from solver.candidates import MOST_STRINGS, Arrays, Candidates, panels_and_controllers
from solver.fittings import MOST_BRANCHED
from solver.market import Market, cheapest_purchase
from solver.needs import Needs
from solver.parts import Controller, Panel
from solver.parts.base import Part
from solver.parts.device import Device
from solver.passing import bores_mm
from solver.routes import route
from solver.rules.conductor import bundling_steps
from solver.rules.space import usable_area_mm2
from solver.rules.string_fuse import back_feed_a
from solver.string_fuses import Strings, joints, strings_of
from solver.wiring import BEHIND_MAIN_KA, Shelf, array_conductors

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Yes = NDArray[np.bool_]

Measured = tuple[Sequence[Hashable], Floats, Floats, Floats]
"""What only equals have in common, cost, floor and figures: see `not_outdone`."""

FEW_PARTS = 2_000
"""Catalogs with no more parts for sale are taken as they are."""

SURELY = 1e-6
"""Amounts are compared with this to spare."""

BLOCK = 512
"""So many candidates are compared with all better ones at once."""


@dataclass(frozen=True)
class Measure:
    """What candidates are measured by."""

    needs: Needs
    market: Market
    shelf: Shelf
    sides: bool
    """Sides, heights and numbers are compared, not areas alone."""

    @cached_property
    def weighed(self) -> bool:
        """Whether any limit speaks of mass."""
        return weighed(self.needs)

    @cached_property
    def balanced(self) -> bool:
        """Whether moments are limited: then more mass may be as good as less, only equal is."""
        return bool(limits_kgm(self.needs))


def weighed(needs: Needs) -> bool:
    """Whether any limit speaks of mass."""
    loads = any(p.max_kg is not None for p in needs.places)
    return needs.limits.total_kg is not None or loads or bool(limits_kgm(needs))


def unasked(needs: Needs, market: Market) -> frozenset[str]:
    """Columns of parts that nothing in a job asks for, where the catalog is large.

    How thick a cable is is asked where a hole of a stated size is passed; nothing is weighed
    where no limit speaks of mass. A part that is worse in these alone does as well as another.
    """
    if len(market.deals) <= FEW_PARTS:
        return frozenset()
    light = frozenset() if weighed(needs) else frozenset({"kg"})
    return light if bores_mm(needs) else light | {"outer_mm"}


def fewer(found: Candidates, by: Measure) -> Candidates:
    """The candidates without those that another outdoes."""
    return replace(
        found,
        arrays=fewer_arrays(found, by),
        banks=_kept(found.banks, _banks(found, by)),
        inverters=_kept(found.inverters, _inverters(found, by)),
        chargers=_kept(found.chargers, _chargers(found, by)),
        busbars=_kept(found.busbars, _hub(found.busbars, by, 2)),
        switches=_kept(found.switches, _hub(found.switches, by, 1)),
        monitors=_kept(found.monitors, _hub(found.monitors, by, 1)),
    )


def fewer_arrays(found: Candidates, by: Measure) -> Arrays:
    """The arrays without those that another outdoes."""
    a = found.arrays
    return a.take(not_outdone(*_arrays(a, by))) if len(a) else a


def _kept(some: tuple[Any, ...], measured: Measured) -> tuple[Any, ...]:
    stays = not_outdone(*measured)
    return tuple(x for x, y in zip(some, stays.tolist(), strict=True) if y)


def not_outdone(alike: Sequence[Hashable], cost: Floats, floor: Floats, figures: Floats) -> Yes:
    """Of some candidates those that no other outdoes.

    Parameters
    ----------
    alike
        Only candidates with the same value are compared.
    cost : (n,)
        What taking one adds to a kit at the most.
    floor : (n,)
        What giving one up saves at the least; no more than `cost`.
    figures : (n, k)
        Of which less is at least as good.

    Notes
    -----
    A outdoes B if its cost is less than B's floor and no figure is larger: which holds from A
    to C if it does from A to B and from B to C. Sorted by floor, A comes before B; so each is
    compared with those before it alone. Of equals all stay: which of them is the answer is not
    decided here (see `solver.ties`).
    """
    groups: dict[Hashable, list[int]] = {}
    for n, key in enumerate(alike):
        groups.setdefault(key, []).append(n)
    stays = np.zeros(len(cost), dtype=bool)
    for numbers in groups.values():
        at = np.array(numbers, dtype=np.int64)
        order = at[np.lexsort((at, cost[at], *figures[at].T[::-1], floor[at]))]
        stays[_front(order, cost, floor, figures)] = True
    return stays


def _front(order: Ints, cost: Floats, floor: Floats, figures: Floats) -> Ints:
    """Of candidates in order those that none before them outdoes."""
    kept: Ints = order[:0]
    for start in range(0, len(order), BLOCK):
        block = order[start : start + BLOCK]
        block = block[~_outdone(kept, block, cost, floor, figures).any(axis=0)]
        among = np.triu(_outdone(block, block, cost, floor, figures), 1)
        kept = np.concatenate([kept, block[~among.any(axis=0)]])
    return kept


def _outdone(a: Ints, b: Ints, cost: Floats, floor: Floats, figures: Floats) -> Yes:
    """Whether each of a outdoes each of b."""
    found = cost[a][:, None] < floor[b][None, :] - SURELY
    for k in range(figures.shape[1]):
        found &= figures[a, k][:, None] <= figures[b, k][None, :]
    return found


# --- what each kind is measured by -------------------------------------------------------------


def _banks(found: Candidates, by: Measure) -> Measured:
    """A bank: its place, its strings and their stud are those of the other.

    It holds no less, up to what any kit asks to have in reserve; it can be drawn on no less, up to
    the largest draw; it can be charged no less. What its fuses must break lets through every
    protection and holder that the other's does.
    """
    banks, needs = found.banks, by.needs
    own = max((m.own_w for m in found.monitors), default=0.0)
    studs = max((b.studs for b in found.busbars), default=0)
    _, controllers = panels_and_controllers(by.market, found.setting)
    own += studs * max((c.own_w for c in controllers), default=0.0)
    day = max(found.dc_wh) + max((max(i.needs_wh) for i in found.inverters), default=0.0)
    # a little more than the programme asks, so that rounding takes nothing away
    reserve = needs.energy.autonomy_days * (day + 24 * own) * 1.001 + 1.0
    draw = found.dc_together_a + max((i.current_a for i in found.inverters), default=0.0) + 1.0
    breaks = _levels(_breaking(by.shelf), [b.short_circuit_ka for b in banks])
    count = [b.series * b.parallel for b in banks]
    cost, floor = _prices(by.market, [b.battery for b in banks], count)
    figures = [
        [-min(b.usable_wh, reserve) for b in banks],
        [-min(b.battery.max_discharge_a * b.parallel, draw) for b in banks],
        [-b.battery.max_charge_a * b.parallel for b in banks],
        breaks,
        *_room(by, [b.battery for b in banks], count),
    ]
    alike = [(b.place, b.battery.stud, b.series, b.parallel, *_port(b.battery)) for b in banks]
    return alike, cost, floor, np.array(figures, dtype=float).T


def _breaking(shelf: Shelf) -> list[float]:
    """What protections and holders break, and what all do behind the main fuse."""
    seats = shelf.protections
    holders = {h.breaking_ka for _, h in seats if h is not None and h.breaking_ka is not None}
    return sorted({p.breaking_ka for p, _ in seats} | holders | {BEHIND_MAIN_KA})


def _levels(limits: Iterable[float], values: Sequence[float] | Floats) -> Floats:
    """How many of some limits are under each value: with no more, every limit it keeps is kept."""
    return np.searchsorted(np.array(list(limits)), np.array(values)).astype(float)


def _inverters(found: Candidates, by: Measure) -> Measured:
    """An inverter: place, stud and the ways in that it charges from are those of the other.

    It draws no more current and in no month more energy, gives no less from other ways in, takes
    in no more, charges with no more current.
    """
    some = found.inverters
    cost, floor = _prices(by.market, [i.inverter for i in some], [1] * len(some))
    months = range(len(found.months))
    figures = [
        [i.current_a for i in some],
        *([i.needs_wh[j] for i in some] for j in months),
        *([-i.other_wh[j] for i in some] for j in months),
        [i.input_w for i in some],
        [i.inverter.charge_a if i.serves else 0.0 for i in some],
        *_room(by, [i.inverter for i in some], [1] * len(some)),
    ]
    alike = [(i.place, i.inverter.stud, i.serves, *_port(i.inverter)) for i in some]
    return alike, cost, floor, np.array(figures, dtype=float).T


def _chargers(found: Candidates, by: Measure) -> Measured:
    """A charger: place, stud, kind and ways in are those of the other.

    It gives no less in any month, takes in no more, charges with no more current.
    """
    some = found.chargers
    cost, floor = _prices(by.market, [k.charger for k in some], [1] * len(some))
    figures = [
        *([-k.other_wh[j] for k in some] for j in range(len(found.months))),
        [k.charger.input_w for k in some],
        [k.charger.charge_a for k in some],
        *_room(by, [k.charger for k in some], [1] * len(some)),
    ]
    alike = [
        (k.place, k.charger.stud, k.charger.kind, k.serves, *_port(k.charger)) for k in some
    ]
    return alike, cost, floor, np.array(figures, dtype=float).T


def _port(device: Device) -> tuple[str | None, str | None]:
    """What decides its comm cable, beside its place."""
    return device.comm, device.comm_plug


def _hub(devices: Sequence[Device], by: Measure, count: int) -> Measured:
    """A bus bar, switch or monitor: of the stud of the other.

    It carries no less, has no fewer studs for circuits and needs no more itself.
    """
    cost, floor = _prices(by.market, devices, [count] * len(devices))
    figures = [
        [-getattr(d, "rated_a", 0.0) for d in devices],
        [-getattr(d, "studs", 0.0) for d in devices],
        [getattr(d, "own_w", 0.0) for d in devices],
        *_room(by, devices, [count] * len(devices)),
    ]
    alike = [getattr(d, "stud", None) for d in devices]
    return alike, cost, floor, np.array(figures, dtype=float).T


def _prices(
    market: Market, parts: Sequence[Part], counts: Sequence[int]
) -> tuple[Floats, Floats]:
    """What so many of a part cost that nothing else in a kit is made of.

    What is owned is never compared: it may have to be used, and costs nothing.
    """
    cost = [_alone(market, p.part, n) for p, n in zip(parts, counts, strict=True)]
    floor = [
        -1.0 if p.part in market.owned else min(c, _least(market, p.part, n))
        for p, n, c in zip(parts, counts, cost, strict=True)
    ]
    return np.array(cost), np.array(floor)


def _alone(market: Market, part: str, count: int) -> float:
    """What so many cost at the most; infinite where there may not be enough."""
    return math.inf if part in market.owned else market.alone(part, count, "")


def _least(market: Market, part: str, count: int) -> float:
    """What so many cost at the least."""
    return cheapest_purchase(market.deals.get(part, ()), count)


def _room(
    by: Measure, devices: Sequence[Device], counts: Sequence[int]
) -> list[Sequence[float] | Floats]:
    """What so many of a device take of a place, as figures of which less is as good."""
    count = np.array(counts, dtype=float)
    sides = np.array([sorted(d.taken_mm) for d in devices] or np.zeros((0, 2)))
    found: list[Sequence[float] | Floats] = [count * sides[:, 0] * sides[:, 1]]
    if by.sides:
        found += [sides[:, 0], sides[:, 1], [d.depth_mm for d in devices], count]
    if by.weighed:
        kg = count * np.array([d.kg for d in devices])
        found += [kg, -kg] if by.balanced else [kg]
    return found


# --- arrays ------------------------------------------------------------------------------------


def _arrays(a: Arrays, by: Measure) -> Measured:
    """An array: places, parallel strings and what fuses them are those of the other.

    It yields no less in any month, charges with no more current, its controller needs no more
    itself. Its current by design, its voltage on the coldest day and its drop are under every
    limit of a cable, a connector, an isolator, an inlet, a branch pair or a combiner that the
    other's are under; the options from the bus bars to its controller follow its current.
    """
    count = a.series * a.parallel
    panel, desk = _panel_prices(a, by, count), _controller_prices(a, by)
    drops = _drop_levels(a, by)
    figures = [
        *(-a.yields_wh).T,
        a.own_wh,
        a.charge_a,
        *_limit_levels(a, by),
        drops,
    ]
    for devices, at, n in ((a.panels, a.panel, count), (a.controllers, a.controller, 1)):
        one = np.array([_measured(d) for d in devices])[at]
        area = n * one[:, 0] * one[:, 1]
        figures.append(area)
        if by.sides:
            figures += [one[:, 0], one[:, 1], one[:, 2], np.broadcast_to(n, len(a))]
        if by.weighed:
            kg = n * one[:, 3]
            figures += [kg, -kg] if by.balanced else [kg]
    ports = [_port(a.controllers[k]) for k in a.controller.tolist()]
    fused = _string_fuses(a, by)
    alike = list(
        zip(a.panel_place, a.controller_place, a.parallel.tolist(), fused, ports, strict=True)
    )
    return (
        alike,
        panel[0] + desk[0],
        panel[1] + desk[1],
        np.array([np.asarray(f, dtype=float) for f in figures]).T,
    )


def _string_fuses(a: Arrays, by: Measure) -> list[Hashable]:
    """By array, which fuses, holders and combiners its strings may take, and how many.

    Of equals what they cost is equal, but for what a combiner's current rules out: that is one of
    the limits of current (`_limit_levels`). So it is of combiners without fuses.
    """
    known: dict[Strings, Hashable] = {}
    found: list[Hashable] = [None] * len(a)
    isc_a = np.array([p.isc_a for p in a.panels])[a.panel]
    limit_a = np.array([p.series_fuse_a for p in a.panels])[a.panel]
    for i in np.flatnonzero(back_feed_a(isc_a, a.parallel.astype(float)) > limit_a).tolist():
        some = replace(strings_of(by.shelf, a, i), design_a=0.0)
        if some not in known:
            joined = joints(by.shelf, some)
            known[some] = (
                ("none",)
                if joined is None
                else (joined.fuse, joined.holder, joined.combiner, joined.fuses)
            )
        found[i] = known[some]
    return found


def _measured(d: Device) -> tuple[float, float, float, float]:
    short, long = sorted(d.taken_mm)
    return short, long, d.depth_mm, d.kg


def _panel_prices(a: Arrays, by: Measure, count: Ints) -> tuple[Floats, Floats]:
    """What an array's panels add to a kit at the most, and what giving them up saves at the least.

    A kit may hold other panels of the kind, so many as there is room for.
    """
    roofs = [p for p in by.needs.places if p.may_hold("panel")]
    room = sum(usable_area_mm2(p) + 1e-6 for p in roofs)

    def most(panel: Device) -> int:
        return int(room / panel.taken_mm2) + 1

    return _added_and_saved(by.market, a.panels, a.panel, count, most)


def _controller_prices(a: Arrays, by: Measure) -> tuple[Floats, Floats]:
    """The same of its controller, of which a kit has one for each array."""
    one = np.ones(len(a), dtype=np.int64)
    return _added_and_saved(
        by.market, a.controllers, a.controller, one, lambda _: MOST_CONTROLLERS
    )


MOST_CONTROLLERS = 48
"""No kit has more arrays: each has studs at a bus bar for itself."""


def _added_and_saved(
    market: Market,
    parts: Sequence[Panel] | Sequence[Controller],
    at: Ints,
    count: Ints,
    most: Callable[[Device], int],
) -> tuple[Floats, Floats]:
    """By candidate, what so many of its part add at the most and save at the least."""
    added, saved = np.zeros(len(at)), np.zeros(len(at))
    by_part = np.argsort(at, kind="stable")
    for mine in np.split(by_part, np.flatnonzero(np.diff(at[by_part])) + 1):
        part = parts[int(at[mine[0]])]
        numbers, which = np.unique(count[mine], return_inverse=True)
        prices = [_of_many(market, part, int(n), most(part)) for n in numbers]
        added[mine] = np.array([x for x, _ in prices])[which]
        saved[mine] = np.array([y for _, y in prices])[which]
    return added, saved


def _of_many(market: Market, part: Part, count: int, most: int) -> tuple[float, float]:
    """What so many of a part add to a kit at the most, and save at the least if given up.

    Bought with others of its kind they cost no more than alone. Given up, they may take a price
    break with them, so every number is looked at that a kit may hold.
    """
    if part.part in market.owned:
        return math.inf, -1.0
    alone = market.alone(part.part, count, "")
    deals = market.deals[part.part]
    plain = len(deals) == 1 and len(deals[0].levels) == 1 and deals[0].units == 1
    if plain and deals[0].levels[0][0] == 1:
        return alone, count * float(deals[0].levels[0][1])
    cost = [_least(market, part.part, n) if n else 0.0 for n in range(max(most, count) + 1)]
    # of what is in stock no more can be had: the kit holds no such number
    saved = [y - x for x, y in zip(cost, cost[count:], strict=False) if math.isfinite(y)]
    return alone, min([alone, *saved])


def _limit_levels(a: Arrays, by: Measure) -> list[Floats]:
    """How many limits of current and of voltage lie under an array's.

    As wiring compares them: with a hair of tolerance for cables and connectors, without for
    branch pairs and combiners (`_combiner_levels`); of cables the ampacity for each step of
    conductors that lie together.
    """
    connectors = by.shelf.connectors
    isolators, inlets = by.shelf.isolators, by.shelf.inlets
    current = {c.rated_a for c in connectors} | {s.rated_a for s in isolators}
    current |= {x.rated_a for x in inlets}
    for way in sorted(set(zip(a.panel_place, a.controller_place, strict=True))):
        r = route(by.needs, *way)
        if r is not None:
            alone = 2 + r.loaded
            steps = [n for n in bundling_steps(by.needs.rules.practice) if n >= alone]
            fuller = (*steps, steps[-1] + 1) if steps else (alone,)
            some = array_conductors(by.shelf, r, fuller)
            current |= {a for amps, _ in some for a in amps}
    known_v = {c.max_v for c in connectors} | {s.max_v for s in isolators}
    volts = sorted(known_v | {x.max_v for x in inlets})
    return [
        _levels(sorted(current), a.design_a),
        _levels(sorted(x + 1e-9 for x in current), a.design_a),
        _levels(volts, a.voc_cold_v),
        _levels(sorted(x + 1e-9 for x in volts), a.voc_cold_v),
        *_combiner_levels(a, by),
    ]


def _combiner_levels(a: Arrays, by: Measure) -> list[Floats]:
    """The same of combiners, which two strings or one never meet in; those compared are as many."""
    boxes = by.shelf.combiners
    ways = range(MOST_BRANCHED + 1, MOST_STRINGS + 1)
    current = {x.rated_a for x in boxes} | {k * x.way_a for x in boxes for k in ways}
    volts = {x.max_v for x in boxes}
    asked = a.parallel > MOST_BRANCHED
    found = (_levels(sorted(current), a.design_a), _levels(sorted(volts), a.voc_cold_v))
    return [np.where(asked, x, 0.0) for x in found]


def _drop_levels(a: Arrays, by: Measure) -> Floats:
    """How many kinds of cable would drop too much between panels and controller."""
    imp = np.array([p.imp_a for p in a.panels])[a.panel] * a.parallel
    base = np.array([p.vmp_v for p in a.panels])[a.panel] * a.series
    limit = by.needs.rules.drop_pct.array / 100 * base
    levels = np.zeros(len(a))
    ways = list(zip(a.panel_place, a.controller_place, strict=True))
    for way in sorted(set(ways)):
        r = route(by.needs, *way)
        if r is None:
            raise AssertionError(f"no way from {way[0]} to {way[1]}")
        mine = np.array([w == way for w in ways])
        some = array_conductors(by.shelf, r, (2 + r.loaded,))
        for ohm in sorted({x for _, x in some}):
            levels[mine] += 2 * r.length_m * ohm * imp[mine] > limit[mine] + 1e-12
    return levels
