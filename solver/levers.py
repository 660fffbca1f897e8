"""Needs as levers: by which steps each can be made easier, as far as one that is as good as none.

A lever only ever adds kits as it moves on: more room, mass, money or days for delivery, fewer days
without charging, fewer months, smaller loads, a rule less. So whether there is a kit is monotone
in each, and in all of them together.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from decimal import ROUND_CEILING, Decimal
from typing import Any

from solver.needs import CHEMISTRIES, VOLTAGES, Charging, DropLimits, Leg, Load, Needs, Place
from solver.parts.device import Device
from solver.rules.energy import air_c_by_month
from solver.stock import Stock

ASIDE = math.inf
"""So many steps: the need is set aside."""

ROOMY_MM = 8_000.0
"""A place is set aside by making it so long, or so wide: no small system needs more room."""
ROOMY_PANELS = 10.0
"""A surface for panels no longer or wider than so many of the longest, side by side: a hundred
panels and more are as good as any number, and the arrays of thousands take long to make."""
HIGH_MM = 3_000.0
"""And so high."""
MOST_KG = 100_000.0
MOST_W = 100_000.0
MOST_DROP_PCT = 50.0
"""The largest that a needs file may state; as good as no limit."""
LATEST_DAYS = 1_000
"""The longest delivery that a catalog may state."""


@dataclass(frozen=True)
class Lever:
    """A need that can be made easier."""

    key: str
    """As it is written after `--set`."""
    what: str
    """What is asked for, in words and numbers."""
    unit: str
    step: float
    """Of one move, in that unit; 0 where it goes by items."""
    most: float
    """Moves to the easiest value there is; infinite where there is no end."""
    ways: Callable[[Needs, float], Iterable[Needs]]
    """The needs after so many moves; several where one of several items may be taken. Of a number
    moves below 0 make it harder."""
    value: Callable[[Needs], str]
    """What stands in the needs, as it is shown."""
    items: bool = False
    """Whether it goes by items, of which fewer moved is the smaller change."""
    easier: Callable[[Needs], Needs | None] | None = None
    """Needs that are easier than each of several ways to set it aside: without a kit for them
    there is none for any; None where there are no such."""
    hardest: int = 0
    """So many moves it can be made harder."""
    useful: int = 1
    """So many moves make a difference that a person would think of; 0: none is worth asking."""

    def aside(self, needs: Needs) -> Iterator[Needs]:
        """The needs with this one set aside."""
        return iter(self.ways(needs, ASIDE))

    def change(self, before: Needs, after: Needs) -> str:
        """What became of it: `limits.budget 900 -> 1693`."""
        return f"{self.key} {self.value(before)} -> {self.value(after)}"


def levers_of(needs: Needs, stock: Stock) -> tuple[Lever, ...]:
    """Every need of a job that can be made easier or harder; those thought of first come first.

    One with `most` 0 is as easy as it gets.

    Parameters
    ----------
    needs : Needs
        As stated.
    stock : Stock
        For suppliers, currencies and the days of delivery.
    """
    return (
        *_limits(needs),
        *_moments(needs),
        *(x for p in needs.places if p.holds != () for x in _place(p, _roomy_mm(p, stock))),
        *_holes(needs),
        *_energy(needs),
        *_months(needs),
        *(_load(needs, x) for x in needs.loads),
        *_charging(needs),
        *_musts(needs),
        *_order(needs, stock),
        *_kinds(needs),
        *(_drop(needs, f.name) for f in fields(DropLimits)),
    )


# --- numbers ------------------------------------------------------------------------------------


def _number(
    key: str,
    what: str,
    unit: str,
    step: str,
    now: float | Decimal,
    get: Callable[[Needs], Any],
    put: Callable[[Needs, Any], Needs],
    easiest: float | None,
    hardest: float,
    useful: int,
) -> Lever:
    """A lever of a number; `easiest` None: no limit at all, which is stated as None."""
    stated, one = Decimal(str(now)), Decimal(step)
    harder = max(int(abs(Decimal(str(hardest)) - stated) / one), 0)
    if easiest is None:
        most, up = ASIDE, True
    else:
        way = Decimal(str(easiest)) - stated
        most = float((abs(way) / one).to_integral_value(ROUND_CEILING))
        up = way >= 0
    kind = Decimal if isinstance(now, Decimal) else float

    def ways(asked: Needs, moves: float) -> Iterator[Needs]:
        if moves >= most:
            yield put(asked, None if easiest is None else kind(easiest))
            return
        value = stated + int(moves) * (one if up else -one)
        yield put(asked, kind(value))

    if (Decimal(str(hardest)) > stated) is up:
        harder = 0
    return Lever(
        key,
        what,
        unit,
        float(one),
        most,
        ways,
        lambda n: _shown(get(n)),
        hardest=harder,
        useful=useful,
    )


def _shown(value: Any) -> str:
    if value is None:
        return "no limit"
    return format(Decimal(str(value)).normalize(), "f")


def _in_table(table: str, name: str) -> tuple[Callable[[Needs], Any], Callable[..., Needs]]:
    def get(needs: Needs) -> Any:
        return getattr(getattr(needs, table), name)

    def put(needs: Needs, value: Any) -> Needs:
        return replace(needs, **{table: replace(getattr(needs, table), **{name: value})})

    return get, put


def _limits(needs: Needs) -> Iterator[Lever]:
    limits, currency = needs.limits, needs.job.currency
    if limits.budget is not None:
        text = f"the budget is {_shown(limits.budget)} {currency}"
        get, put = _in_table("limits", "budget")
        yield _number("limits.budget", text, currency, "1", limits.budget, get, put, None, 0, 0)
    if limits.total_kg is not None:
        text = f"everything may weigh {limits.total_kg:g} kg"
        get, put = _in_table("limits", "total_kg")
        yield _number(
            "limits.total_kg", text, "kg", "0.1", limits.total_kg, get, put, None, 0, 50
        )


def _moments(needs: Needs) -> Iterator[Lever]:
    for name, way in (("fore_aft_kgm", "fore and aft"), ("side_kgm", "to the sides")):
        most = getattr(needs.limits, name)
        if most is not None:
            text = f"the moment {way} is at most {most:g} kg·m"
            get, put = _in_table("limits", name)
            yield _number(f"limits.{name}", text, "kg·m", "0.1", most, get, put, None, 0, 50)


def _holes(needs: Needs) -> Iterator[Lever]:
    """How wide a hole may be; of legs that share one it is the same hole."""
    for name in dict.fromkeys(x.hole for x in needs.legs if x.hole is not None):
        legs = [x for x in needs.legs if x.hole == name]
        stated = [x.hole_max_mm for x in legs if x.hole_max_mm is not None]
        stated = stated or [x.hole_mm for x in legs if x.hole_mm is not None]
        if stated:
            yield _hole(name, legs[0], min(stated))


def _hole(name: str, leg: Leg, most_mm: float) -> Lever:
    def get(needs: Needs) -> Any:
        # as stated it is that of the narrowest leg, or of the hole that is there
        first = next(x for x in needs.legs if x.hole == name)
        return first.hole_max_mm or first.hole_mm

    def put(needs: Needs, value: float | None) -> Needs:
        def wider(x: Leg) -> Leg:
            there = None if value is None else x.hole_mm
            return replace(x, hole_max_mm=value, hole_mm=there) if x.hole == name else x

        return replace(needs, legs=tuple(map(wider, needs.legs)))

    key = f'leg."{leg.from_}>{leg.to}".hole_max_mm'
    text = f'hole "{name}" may be {most_mm:g} mm wide'
    return _number(key, text, "mm", "1", most_mm, get, put, None, 1, 5)


def _roomy_mm(place: Place, stock: Stock) -> float:
    """A side of a place that is as good as none at all."""
    if not place.may_hold("panel"):
        return ROOMY_MM
    longest = max(
        (max(p.face_mm) for p in stock.of_class("panel") if isinstance(p, Device)),
        default=ROOMY_MM,
    )
    return min(ROOMY_MM, ROOMY_PANELS * longest)


def _place(place: Place, roomy_mm: float) -> Iterator[Lever]:
    name = f'place "{place.name}"'
    sides = (("length_mm", "long", roomy_mm), ("width_mm", "wide", roomy_mm))
    for key, word, far in (*sides, ("height_mm", "high", HIGH_MM)):
        value = getattr(place, key)
        if value is not None:
            text = f"{name} is {value:g} mm {word}"
            yield _of_place(place, key, text, "mm", "10", max(far, 2 * value))
    if place.max_kg is not None:
        text = f"{name} carries at most {place.max_kg:g} kg"
        yield _of_place(place, "max_kg", text, "kg", "0.1", None)


def _of_place(
    place: Place, key: str, what: str, unit: str, step: str, easiest: float | None
) -> Lever:
    def get(needs: Needs) -> Any:
        return getattr(needs.place(place.name), key)

    def put(needs: Needs, value: Any) -> Needs:
        places = (
            replace(p, **{key: value}) if p.name == place.name else p for p in needs.places
        )
        return replace(needs, places=tuple(places))

    now = getattr(place, key)
    hardest, useful = (10.0, 10) if unit == "mm" else (0.0, 50)
    name = f'place."{place.name}".{key}'
    return _number(name, what, unit, step, now, get, put, easiest, hardest, useful)


def _energy(needs: Needs) -> Iterator[Lever]:
    energy = needs.energy
    if energy.autonomy_days > 0:
        text = f"the bank must last {energy.autonomy_days:g} days without charging"
        get, put = _in_table("energy", "autonomy_days")
        now: float = energy.autonomy_days
        yield _number("energy.autonomy_days", text, "days", "0.01", now, get, put, 0.0, 60, 50)
    if energy.shortfall_pct < 100 and needs.charging:
        text = f"at most {energy.shortfall_pct:g} % of a month may come from other charging"
        get, put = _in_table("energy", "shortfall_pct")
        now = energy.shortfall_pct
        yield _number("energy.shortfall_pct", text, "%", "1", now, get, put, 100.0, 0, 10)


def _load(needs: Needs, load: Load) -> Lever:
    """A load of fewer watts; set aside it is left out, or of a watt where it is the only one."""

    def others(asked: Needs) -> tuple[Load, ...]:
        return tuple(x for x in asked.loads if x.name != load.name)

    most = max(math.ceil(load.watts) - 1, 0)

    def ways(asked: Needs, moves: float) -> Iterator[Needs]:
        if moves > most and others(asked):
            yield replace(asked, loads=others(asked))
            return
        left_w = float(Decimal(str(load.watts)) - int(min(moves, most)))
        loads = (replace(x, watts=left_w) if x.name == load.name else x for x in asked.loads)
        yield replace(asked, loads=tuple(loads))

    def value(asked: Needs) -> str:
        found = [x for x in asked.loads if x.name == load.name]
        return _shown(found[0].watts) if found else "left out"

    count = "" if load.quantity == 1 else f"{load.quantity} × "
    text = (
        f'load "{load.name}" takes {count}{load.watts:g} W for {load.hours_per_day:g} h a day'
    )
    last = most + 1 if others(needs) else most
    tenth = max(round(load.watts / 10), 1)
    return Lever(
        f'load."{load.name}".watts',
        text,
        "W",
        1.0,
        last,
        ways,
        value,
        hardest=tenth,
        useful=tenth,
    )


def _charging(needs: Needs) -> Iterator[Lever]:
    kinds = [w.kind for w in needs.charging]
    for kind in dict.fromkeys(kinds):
        if kinds.count(kind) == 1:
            yield _way_in(needs, kind)


def _way_in(needs: Needs, kind: str) -> Lever:
    def one(asked: Needs) -> Charging:
        return next(w for w in asked.charging if w.kind == kind)

    def put(asked: Needs, value: float) -> Needs:
        ways = (replace(w, max_w=value) if w.kind == kind else w for w in asked.charging)
        return replace(asked, charging=tuple(ways))

    def get(asked: Needs) -> float:
        return one(asked).max_w

    now = get(needs)
    text = f"charging from {kind} takes at most {now:g} W"
    return _number(f"charging.{kind}.max_w", text, "W", "1", now, get, put, MOST_W, 1, 100)


def _drop(needs: Needs, name: str) -> Lever:
    def put(asked: Needs, value: float) -> Needs:
        drop = replace(asked.rules.drop_pct, **{name: value})
        return replace(asked, rules=replace(asked.rules, drop_pct=drop))

    def get(asked: Needs) -> Any:
        return getattr(asked.rules.drop_pct, name)

    key = f"rules.drop_pct.{name}"
    now = get(needs)
    text = f"the voltage may drop by {now:g} % ({key})"
    return _number(key, text, "%", "1", now, get, put, MOST_DROP_PCT, 0.5, 1)


# --- items --------------------------------------------------------------------------------------


def _items(
    key: str,
    what: str,
    unit: str,
    items: Sequence[Any],
    put: Callable[[Needs, tuple[Any, ...]], Needs],
    value: Callable[[Needs], str],
    *,
    all_but: int = 0,
    easier: Callable[[Needs], Needs | None] | None = None,
) -> Lever:
    """A lever whose moves take items, each once; `all_but` items must stay."""

    def ways(asked: Needs, moves: float) -> Iterator[Needs]:
        number = int(min(moves, len(items) - all_but))
        for taken in itertools.combinations(items, number):
            yield put(asked, taken)

    most = len(items) - all_but
    return Lever(key, what, unit, 0.0, most, ways, value, items=True, easier=easier)


def _months(needs: Needs) -> Iterator[Lever]:
    """Months left out, the darkest first; one at least stays."""
    dark = sorted(needs.site.months, key=lambda x: (needs.sun_hours[x - 1], x))

    def put(asked: Needs, out: tuple[int, ...]) -> Needs:
        months = tuple(x for x in asked.site.months if x not in out)
        return replace(asked, site=replace(asked.site, months=months))

    text = (
        f"{len(dark)} months are in use; month {dark[0]} has least sun, "
        f"{needs.sun_hours[dark[0] - 1]:g} hours a day"
    )
    yield _items(
        "site.months",
        text,
        "months",
        dark,
        put,
        lambda n: _list(n.site.months),
        all_but=1,
        easier=_easiest_month,
    )


def _easiest_month(needs: Needs) -> Needs | None:
    """One month as sunny as the sunniest, as cold by day as the coldest, with all that charges.

    A kit for any month in use is one for this: its panels give no less in it, and it asks for no
    more. That holds where every load runs in all of the months, and only there is it used.
    """
    site, months = needs.site, needs.site.months
    if any(x.months is not None and not set(months) <= set(x.months) for x in needs.loads):
        return None
    air = site.air_c or air_c_by_month(site.coldest_c, site.hottest_c, site.latitude_deg)
    best = max(months, key=lambda x: needs.sun_hours[x - 1])
    cold = min(air[x - 1] for x in months)
    air_c = tuple(cold if x == best else air[x - 1] for x in range(1, 13))
    return replace(
        needs,
        site=replace(site, months=(best,), air_c=air_c),
        charging=tuple(replace(w, months=None) for w in needs.charging),
    )


def _musts(needs: Needs) -> Iterator[Lever]:
    for part in (o.part.part for o in needs.owned if o.use == "must"):
        yield _must(part)


def _must(part: str) -> Lever:
    def put(asked: Needs, taken: tuple[str, ...]) -> Needs:
        owned = (replace(o, use="may") if o.part.part in taken else o for o in asked.owned)
        return replace(asked, owned=tuple(owned))

    def value(asked: Needs) -> str:
        return next(o.use for o in asked.owned if o.part.part == part)

    return _items(f'owned."{part}".use', f'"{part}" must be used', "", (part,), put, value)


def _order(needs: Needs, stock: Stock) -> Iterator[Lever]:
    order = needs.order
    if order.start is not None and order.need_by is not None:
        yield _need_by(needs)
    avoided = order.avoid_suppliers
    if avoided:
        get, put = _in_table("order", "avoid_suppliers")
        yield _items(
            "order.avoid_suppliers",
            f"nothing may be bought from {', '.join(avoided)}",
            "suppliers",
            avoided,
            lambda n, out: put(n, tuple(x for x in get(n) if x not in out)),
            lambda n: _list(get(n)),
        )
    yield from _rates(needs, stock)


def _need_by(needs: Needs) -> Lever:
    """Days for delivery, counted from the start."""
    start, by = needs.order.start, needs.order.need_by
    assert start is not None
    assert by is not None
    stated = (by - start).days
    most = max(LATEST_DAYS - stated, 0)

    def ways(asked: Needs, moves: float) -> Iterator[Needs]:
        later = type(by).fromordinal(by.toordinal() + int(min(moves, most)))
        yield replace(asked, order=replace(asked.order, need_by=later))

    return Lever(
        "order.need_by",
        f"everything must be there by {by.isoformat()}, {stated} days from the start",
        "days",
        1.0,
        most,
        ways,
        lambda n: "no date" if n.order.need_by is None else n.order.need_by.isoformat(),
        hardest=stated,
        useful=7,
    )


def _rates(needs: Needs, stock: Stock) -> Iterator[Lever]:
    """Currencies without a rate: whether a kit could be bought with them, at one for one."""
    known = {needs.job.currency, *(currency for currency, _ in needs.order.rates)}
    lacking = sorted({s.currency for s in stock.suppliers} - known)
    if not lacking:
        return

    def put(asked: Needs, taken: tuple[str, ...]) -> Needs:
        rates = (*asked.order.rates, *((currency, Decimal(1)) for currency in taken))
        return replace(asked, order=replace(asked.order, rates=rates))

    def value(asked: Needs) -> str:
        return _list([f"{c} = {_shown(rate)}" for c, rate in asked.order.rates])

    text = f"offers in {', '.join(lacking)} are left out, for no rate is stated"
    yield _items("order.rates", text, "rates", lacking, put, value)


def _kinds(needs: Needs) -> Iterator[Lever]:
    rules = needs.rules
    allowed: tuple[tuple[str, str, tuple[Any, ...]], ...] = (
        ("voltages", f"the system has {' or '.join(map(str, rules.voltages))} V", VOLTAGES),
        ("chemistries", f"the batteries are {' or '.join(rules.chemistries)}", CHEMISTRIES),
    )
    for name, text, every in allowed:
        yield _allow(name, text, [x for x in every if x not in getattr(rules, name)], every)


def _allow(name: str, what: str, more: Sequence[Any], every: Sequence[Any]) -> Lever:
    get, put = _in_table("rules", name)

    def allow(asked: Needs, taken: tuple[Any, ...]) -> Needs:
        return put(asked, tuple(x for x in every if x in (*get(asked), *taken)))

    plain = _items(f"rules.{name}", what, name, more, allow, lambda n: _list(get(n)))

    def ways(asked: Needs, moves: float) -> Iterator[Needs]:
        # a kit of what is allowed already is found sooner
        if math.isinf(moves):
            yield asked
        yield from plain.ways(asked, moves)

    return replace(plain, ways=ways, easier=lambda asked: allow(asked, tuple(more)))


def _list(values: Iterable[Any]) -> str:
    return f"[{', '.join(map(str, values))}]"
