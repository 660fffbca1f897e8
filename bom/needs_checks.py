"""What one key cannot say alone: names that must be known, figures that must agree, ways that
must join.

Each check looks only at what could be read, so that one fault is not told twice.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from typing import Any

from bom.needs_ground import check_ground
from bom.needs_keys import currency_hint
from bom.needs_values import texts
from bom.stated import Faults
from solver.columns import nearest, show
from solver.needs import Charging, Energy, Job, Leg, Limits, Load, Order, Owned, Place, Site
from solver.passing import hole_of
from solver.stock import Stock
from solver.tables.iso_4217 import CODES

One = dict[str, Any]
"""Records of the tables that stand once, by table; None for a faulty one."""
Rows = dict[str, list[Any]]
"""Records of the rows, by table; None for a faulty one."""

_SLACK_MM = 1e-6
"""Rounding of lengths that were turned from inches."""


def check_all(faults: Faults, one: One, rows: Rows, stock: Stock) -> None:
    """Note every fault that needs more than one key to be seen."""
    _check_job(faults, one["job"])
    _check_site(faults, one["site"])
    _check_names(faults)
    for number, load in enumerate(rows["load"]):
        if load is not None:
            _check_load(faults, number, load)
    _check_circuits(faults, rows["load"])
    for number, place in enumerate(rows["place"]):
        if place is not None:
            _check_place(faults, number, place)
    check_ground(faults, rows)
    _check_positions(faults, one["limits"], rows["place"])
    for number, leg in enumerate(rows["leg"]):
        if leg is not None and leg.from_ == leg.to:
            text = f"found {show(leg.to)} at both ends; a leg joins two places"
            faults.add(text, "leg", number, "to")
        if leg is not None:
            _check_entries(faults, number, leg, rows["place"])
    _check_one_middle(faults, rows["leg"])
    _check_places_named(faults)
    _check_owned(faults, rows["owned"])
    _check_order(faults, one["order"], one["job"], stock)
    whole = not any(
        record is None
        for table in ("place", "leg", "load", "charging")
        for record in rows[table]
    )
    if whole and rows["place"] and not faults.problems:
        _check_ways(
            faults, rows["place"], rows["leg"], rows["load"], rows["charging"], one["energy"]
        )


def _check_job(faults: Faults, job: Job | None) -> None:
    if job is not None and job.currency not in CODES:
        hint = currency_hint(job.currency)
        faults.add(f"found {show(job.currency)}{hint}", "job", key="currency")


def _check_site(faults: Faults, site: Site | None) -> None:
    stated = faults.stated.tables.get("site")
    if isinstance(stated, dict) and not {"sun_hours", "clearness"} & set(stated):
        text = (
            "missing; twelve mean daily peak sun hours belong here, or clearness (above 0, at "
            "most 1), from which they are computed"
        )
        faults.add(text, "site", key="sun_hours")
    if site is None:
        return
    if site.sun_hours is None and site.clearness is None:
        faults.add("found nothing; it is needed without sun_hours", "site", key="clearness")
    if site.hottest_c < site.coldest_c:
        text = f"found {site.hottest_c:g}; at least coldest_c ({site.coldest_c:g}) belongs here"
        faults.add(text, "site", key="hottest_c")


def _check_names(faults: Faults) -> None:
    """Rows that others name, or that a person names on the command line, have one name each."""
    for table, key, why in (
        ("load", "name", "each load has a name of its own; several alike: quantity"),
        ("place", "name", "each place has a name of its own"),
        ("charging", "kind", "each kind stands at most once"),
    ):
        seen: set[str] = set()
        for number, row in enumerate(faults.stated.rows(table)):
            for word in texts([row.get(key)]):
                if word in seen:
                    faults.add(f"found {show(word)} again; {why}", table, number, key)
                seen.add(word)


def _check_load(faults: Faults, number: int, load: Load) -> None:
    if load.surge_watts is not None and load.surge_watts < load.watts:
        text = (
            f"found {load.surge_watts:g}; the start-up draw is in place of watts, so at least "
            f"{load.watts:g} belongs here"
        )
        faults.add(text, "load", number, "surge_watts")
    if load.volts is not None and load.supply == "ac":
        text = "is for loads with supply dc; the AC voltage is [rules] ac_v"
        faults.add(text, "load", number, "volts")


def _check_circuits(faults: Faults, loads: list[Load | None]) -> None:
    """Loads of one circuit share its cable, so also its supply and its end.

    A load in an unknown place is told of elsewhere: it must not make another's place look wrong.
    """
    places = texts(row.get("name") for row in faults.stated.rows("place"))
    first: dict[str, Load] = {}
    for number, load in enumerate(loads):
        if load is None or load.circuit is None:
            continue
        other = first.setdefault(load.circuit, load)
        for key in ("supply", "place"):
            mine, theirs = getattr(load, key), getattr(other, key)
            unknown = key == "place" and not {mine, theirs} <= set(places)
            if mine != theirs and not unknown:
                text = (
                    f"found {show(mine)}; {show(theirs)} belongs here, as of "
                    f"{show(other.name)} on the same circuit {show(load.circuit)}, "
                    "or else another circuit"
                )
                faults.add(text, "load", number, key)
        if load.volts and other.volts and not set(load.volts) & set(other.volts):
            text = f'no voltage in common with load "{other.name}" on the same circuit'
            faults.add(f"{text}; give it another circuit", "load", number, "volts")
    alone = {load.name for load in loads if load is not None and load.circuit is None}
    for number, load in enumerate(loads):
        if load is not None and load.circuit in alone:
            text = (
                f"found {show(load.circuit)}, the name of a load with a circuit of its own; "
                "give that load the same circuit, or choose another name"
            )
            faults.add(text, "load", number, "circuit")


def _check_place(faults: Faults, number: int, place: Place) -> None:
    if place.min_c is not None and place.max_c is not None and place.max_c < place.min_c:
        text = f"found {place.max_c:g}; at least min_c ({place.min_c:g}) belongs here"
        faults.add(text, "place", number, "max_c")
    for count, obstacle in enumerate(place.obstacles, 1):
        for corner, length, along in (
            ("x_mm", "length_mm", place.length_mm),
            ("y_mm", "width_mm", place.width_mm),
        ):
            end = getattr(obstacle, corner) + getattr(obstacle, length)
            if end > along + _SLACK_MM:
                text = (
                    f"{corner} and {length} reach {end:g} mm; at most the {along:g} mm of the "
                    "place are allowed"
                )
                key = f"obstacles, number {count} {show(obstacle.name)}"
                faults.add(text, "place", number, key)


def _check_entries(faults: Faults, number: int, leg: Leg, places: list[Place | None]) -> None:
    """An entry lies in the rectangle of its place."""
    by_name = {p.name: p for p in places if p is not None}
    for end, name, at in (
        ("from", leg.from_, leg.from_at_mm),
        ("to", leg.to, leg.to_at_mm),
    ):
        place = by_name.get(name)
        if place is None or at is None:
            continue
        for axis, found, side in zip("xy", at, (place.length_mm, place.width_mm), strict=True):
            if found > side + _SLACK_MM:
                text = (
                    f"{axis} is {found:g} mm; at most the {side:g} mm of place {show(name)} are "
                    "allowed"
                )
                faults.add(text, "leg", number, f"{end}_at_mm")


def _check_one_middle(faults: Faults, legs: list[Leg | None]) -> None:
    """One hole has one middle in a place, whichever of its legs states it."""
    first: dict[tuple[str, str], tuple[int, tuple[float, ...]]] = {}
    for number, leg in enumerate(legs):
        hole = None if leg is None else hole_of(leg)
        if leg is None or hole is None:
            continue
        for end, place, at in (
            ("from", leg.from_, leg.from_at_mm),
            ("to", leg.to, leg.to_at_mm),
        ):
            if at is None:
                continue
            other, there = first.setdefault((hole, place), (number, at))
            if any(abs(a - b) > _SLACK_MM for a, b in zip(at, there, strict=True)):
                text = (
                    f"found {_pair(at)}, but hole {show(hole)} has its middle in {show(place)} at "
                    f"{_pair(there)} by {faults.stated.where('leg', other)}; one hole has one: state "
                    "the same, or leave it out here, or give this leg a hole of another name"
                )
                faults.add(text, "leg", number, f"{end}_at_mm")


def _pair(at_mm: tuple[float, ...]) -> str:
    return f"[{', '.join(f'{x:g}' for x in at_mm)}] mm"


def _check_positions(faults: Faults, limits: Limits | None, places: list[Place | None]) -> None:
    """A moment that is limited needs to know where everything may stand."""
    if limits is None or (limits.fore_aft_kgm is None and limits.side_kgm is None):
        return
    key = "fore_aft_kgm" if limits.fore_aft_kgm is not None else "side_kgm"
    for number, place in enumerate(places):
        if place is not None and place.holds != () and place.at_m is None:
            text = (
                f"is missing; [limits] {key} limits a moment, so the position of every place that "
                "may hold something belongs here, such as [1.9, 0, 2.2]"
            )
            faults.add(text, "place", number, "at_m")


def _check_places_named(faults: Faults) -> None:
    """Every place that is named is there."""
    known = texts(row.get("name") for row in faults.stated.rows("place"))
    if not known:
        return
    for table, keys in (
        ("load", ("place",)),
        ("charging", ("place",)),
        ("leg", ("from", "to")),
    ):
        for number, row in enumerate(faults.stated.rows(table)):
            for key in keys:
                for word in texts([row.get(key)]):
                    if word and word not in known:
                        hint = nearest(word, known) or f"; known: {', '.join(known)}"
                        text = f"found {show(word)}; the name of a place belongs here{hint}"
                        faults.add(text, table, number, key)


def _check_owned(faults: Faults, owned: list[Owned | None]) -> None:
    counts: Counter[str] = Counter()
    for number, one in enumerate(owned):
        if one is None:
            continue
        counts[one.part.part] += 1
        if counts[one.part.part] > 1:
            key = "name" if one.inline else "part"
            text = (
                f"found {show(one.part.part)} again; state it once with the whole quantity, or "
                "describe another piece under a name of its own"
            )
            faults.add(text, "owned", number, key)


def _check_order(faults: Faults, order: Order | None, job: Job | None, stock: Stock) -> None:
    if order is None:
        return
    if order.need_by is not None and order.start is None:
        text = "missing; a date belongs here, since need_by counts from it"
        faults.add(text, "order", key="start")
    if order.need_by is not None and order.start is not None and order.need_by < order.start:
        text = f"found {order.need_by}; a date not before start ({order.start}) belongs here"
        faults.add(text, "order", key="need_by")
    known = [s.supplier for s in stock.suppliers]
    unknown = [name for name in order.avoid_suppliers if name not in known]
    for name in unknown:
        hint = nearest(name, known) or f"; known: {', '.join(known) or 'none'}"
        text = f"found {show(name)}; a supplier of the catalog belongs here{hint}"
        faults.add(text, "order", key="avoid_suppliers")
    if known and not unknown and set(known) == set(order.avoid_suppliers):
        text = (
            f"found every supplier of the catalog ({', '.join(known)}); leave one to buy from"
        )
        faults.add(text, "order", key="avoid_suppliers")
    own_rate = dict(order.rates).get(job.currency) if job is not None else None
    if own_rate is not None and own_rate != 1:
        text = f"found {own_rate}; it is the job's own currency, so 1 belongs here, or no rate"
        assert job is not None
        faults.add(text, "order", key=f"rates.{job.currency}")


def _check_ways(
    faults: Faults,
    places: list[Place],
    legs: list[Leg],
    loads: list[Load],
    charging: list[Charging],
    energy: Energy | None,
) -> None:
    """Whatever a circuit must reach is joined by legs to a place for the bus bars."""
    panels_needed = energy is None or energy.shortfall_pct < 100 or not charging
    needed = ["busbar", "battery"] + (["panel"] if panels_needed else [])
    lacking = [
        part_class for part_class in needed if not any(p.may_hold(part_class) for p in places)
    ]
    for part_class in lacking:
        faults.add_at(
            f"{faults.stated.file}, {_rows_of('place', faults)}", _NOWHERE[part_class]
        )
    if lacking:
        return
    joined = _joined(places, legs)
    used = {load.place for load in loads} | {c.place for c in charging if c.place is not None}
    used |= {p.name for p in places if p.holds and {"panel", "battery"} & set(p.holds)}
    used |= {p.name for p in places if p.ground}
    main = max(joined, key=lambda group: _fitness(group, needed, used))
    bars = " or ".join(show(p.name) for p in main if p.may_hold("busbar"))
    main_names = {p.name for p in main}
    if not bars:
        bars = "a place that may hold bus bars"
    for table, number, name in _ends(places, loads, charging, used):
        if name not in main_names:
            text = (
                f"no leg joins the place {show(name)} to {bars}, where the bus bars may stand, "
                "though a circuit must reach it; add the [[leg]] a cable takes"
            )
            faults.add(text, table, number, "name" if table == "place" else "place")
    for part_class in needed:
        if not any(p.may_hold(part_class) for p in main):
            names = ", ".join(show(p.name) for p in places if p.may_hold(part_class))
            text = (
                f"no leg joins a place that may hold a {part_class} ({names}) to "
                f"{bars}; add the [[leg]] a cable takes"
            )
            faults.add_at(f"{faults.stated.file}, {_rows_of('leg', faults)}", text)


_NOWHERE = {
    "busbar": 'no place may hold bus bars; a place without holds may, or holds = ["busbar"]',
    "battery": (
        "no place may hold a battery; a place without holds may if it has a height_mm, or "
        'holds = ["battery"]'
    ),
    "panel": (
        'no place may hold a panel; holds = ["panel"] on a roof or wall allows it, or a place '
        "with ground = true beside the vehicle"
    ),
}


def _rows_of(table: str, faults: Faults) -> str:
    return f"sheet {table}" if faults.stated.book else f"[[{table}]]"


def _ends(
    places: list[Place], loads: list[Load], charging: list[Charging], used: set[str]
) -> Iterable[tuple[str, int, str]]:
    """What must be reached: table, number of the row, place."""
    for number, load in enumerate(loads):
        yield "load", number, load.place
    for number, way in enumerate(charging):
        if way.place is not None:
            yield "charging", number, way.place
    others = {load.place for load in loads} | {way.place for way in charging}
    for number, place in enumerate(places):
        if place.name in used and place.name not in others:
            yield "place", number, place.name


def _fitness(group: list[Place], needed: list[str], used: set[str]) -> tuple[int, int]:
    """How well a group of joined places would do as the one with the bus bars."""
    holds = sum(any(p.may_hold(part_class) for p in group) for part_class in needed)
    has_bars = any(p.may_hold("busbar") for p in group)
    return (holds if has_bars else 0, sum(p.name in used for p in group))


def _joined(places: list[Place], legs: list[Leg]) -> list[list[Place]]:
    """The places in groups, each joined by legs."""
    group = {p.name: {p.name} for p in places}
    for leg in legs:
        both = group[leg.from_] | group[leg.to]
        for name in both:
            group[name] = both
    different = {id(names): names for names in group.values()}
    return [[p for p in places if p.name in names] for names in different.values()]
