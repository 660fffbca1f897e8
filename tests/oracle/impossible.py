"""Sixty designed needs that no kit meets, and how what is said of them is verified.

All rest on small invented shops. What is verified is worked out here anew, from the keys that are
told: values are put in by hand, every verdict is a whole search of its own.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from functools import cache

from bom.why import Searches
from solver.collide import Change, Collision, Explanation, explain
from solver.kit import solve_kit
from solver.levers import levers_of
from solver.needs import CHEMISTRIES, VOLTAGES, Needs, Owned
from solver.parts import Panel
from solver.stock import Stock
from tests.oracle.brute_force import cheapest
from tests.oracle.small_jobs import small_job
from tests.oracle.spoilt import energy, limited, months, the_job, with_place

Case = tuple[Needs, Stock]


# --- needs ----------------------------------------------------------------------------------------


def _rules(needs: Needs, **stated: object) -> Needs:
    return replace(needs, rules=replace(needs.rules, **stated))


def _order(needs: Needs, **stated: object) -> Needs:
    return replace(needs, order=replace(needs.order, **stated))


def _drop(needs: Needs, **stated: float) -> Needs:
    return _rules(needs, drop_pct=replace(needs.rules.drop_pct, **stated))


def _watts(needs: Needs, times: float) -> Needs:
    loads = (replace(x, watts=x.watts * times) for x in needs.loads)
    return replace(needs, loads=tuple(loads))


def _sun(needs: Needs, hours: float, months_in_use: int = 1) -> Needs:
    """Some of the months in use with less sun."""
    dark = needs.site.months[:months_in_use]
    sun = tuple(hours if m in dark else h for m, h in enumerate(needs.sun_hours, 1))
    return replace(needs, sun_hours=sun, site=replace(needs.site, sun_hours=sun))


def _kettle(needs: Needs) -> Needs:
    kettle = replace(needs.loads[0], name="kettle", supply="ac", watts=800.0)
    return replace(needs, loads=(*needs.loads, kettle))


def _must(needs: Needs, stock: Stock) -> Needs:
    mine = next(p for p in stock.parts if isinstance(p, Panel))
    big = replace(mine, part="mine", name="mine", length_mm=5000.0, width_mm=4000.0)
    owned = Owned(part=big, inline=True, quantity=Decimal(1), use="must")
    return replace(needs, owned=(*needs.owned, owned))


def _lockers(needs: Needs, **stated: float) -> Needs:
    """Every place that has a height."""
    for place in needs.places:
        if place.height_mm is not None:
            needs = with_place(needs, place.name, **stated)
    return needs


def _soon(needs: Needs, days: int) -> Needs:
    start = date(2031, 3, 3)
    return _order(needs, start=start, need_by=start + timedelta(days=days))


Spoil = Callable[[Needs, Stock], Needs]

BY_HAND: dict[str, Spoil] = {
    "budget": lambda n, s: limited(n, budget=Decimal(300)),
    "budget by a little": lambda n, s: limited(n, budget=Decimal("520.50")),
    "mass": lambda n, s: limited(n, total_kg=4.0),
    "load of the locker": lambda n, s: with_place(n, "locker", max_kg=0.5),
    "load of the roof": lambda n, s: with_place(n, "roof", max_kg=0.2),
    "roof too small": lambda n, s: with_place(n, "roof", length_mm=150.0, width_mm=90.0),
    "roof of the wrong shape": lambda n, s: with_place(
        months(n, m6=0.6), "roof", length_mm=260.0, width_mm=170.0
    ),
    "locker too low": lambda n, s: with_place(n, "locker", height_mm=40.0),
    "locker low and roof small": lambda n, s: with_place(
        with_place(n, "locker", height_mm=40.0), "roof", length_mm=150.0, width_mm=90.0
    ),
    "days": lambda n, s: energy(n, autonomy_days=40.0),
    "days and locker": lambda n, s: with_place(
        energy(n, autonomy_days=12.0), "locker", length_mm=210.0, width_mm=110.0
    ),
    "a month without sun": lambda n, s: months(n, m6=4.0, m12=0.0),
    "two months without sun": lambda n, s: months(n, m1=0.0, m6=4.0, m12=0.0),
    "delivery": lambda n, s: _soon(n, 1),
    "suppliers": lambda n, s: _order(n, avoid_suppliers=("birch",)),
    "voltage": lambda n, s: _rules(n, voltages=(24,)),
    "chemistry": lambda n, s: _rules(n, chemistries=("lfp",)),
    "drop to the loads": lambda n, s: _drop(n, load=0.05),
    "drop of the bank": lambda n, s: _drop(n, battery=0.02),
    "a part that must be used": _must,
    "no inverter for the kettle": lambda n, s: _kettle(n),
    "large load": lambda n, s: _watts(n, 30),
    "budget and mass": lambda n, s: limited(n, budget=Decimal(300), total_kg=4.0),
    "delivery and mass": lambda n, s: limited(_soon(n, 2), total_kg=4.0),
}

SEEDS = (0, 1, 5, 13)
DRAWN: dict[str, Spoil] = {
    "budget": lambda n, s: limited(n, budget=Decimal(350)),
    "mass": lambda n, s: limited(n, total_kg=15.0, budget=None),
    "days": lambda n, s: _watts(energy(n, autonomy_days=55.0), 3),
    "roof": lambda n, s: with_place(n, "roof", length_mm=850.0),
    "lockers": lambda n, s: _lockers(n, max_kg=0.9),
    "sun": lambda n, s: _sun(n, 0.05),
}
LESS_OFTEN: dict[str, Spoil] = {
    "loads": lambda n, s: _watts(n, 12),
    "height": lambda n, s: _lockers(n, height_mm=60.0),
}
AS_DRAWN = (3, 6, 8, 15)
"""Random jobs that have no answer as they are."""


def cases() -> dict[str, Callable[[], Case]]:
    """All sixty, by name, made when they are asked for."""
    found: dict[str, Callable[[], Case]] = {}

    def add(name: str, job: Callable[[], Case], spoil: Spoil | None) -> None:
        def made() -> Case:
            needs, stock = job()
            return (needs if spoil is None else spoil(needs, stock)), stock

        found[name] = made

    for name, spoil in BY_HAND.items():
        add(f"by hand: {name}", the_job, spoil)
    for seed in SEEDS:
        for name, spoil in DRAWN.items():
            add(f"job {seed}: {name}", _small(seed), spoil)
    for seed in SEEDS[::2]:
        for name, spoil in LESS_OFTEN.items():
            add(f"job {seed}: {name}", _small(seed), spoil)
    add("job 1: loads", _small(1), LESS_OFTEN["loads"])
    for seed in SEEDS[:3]:
        add(f"job {seed}: budget and days", _small(seed), _budget_and_days)
    for seed in AS_DRAWN:
        add(f"job {seed}", _small(seed), None)
    return found


def _small(seed: int) -> Callable[[], Case]:
    return lambda: small_job(seed)


def _budget_and_days(needs: Needs, _stock: Stock) -> Needs:
    return limited(energy(needs, autonomy_days=25.0), budget=Decimal(300))


CASES = cases()

QUICK = (
    "by hand: budget",
    "by hand: mass",
    "by hand: roof too small",
    "by hand: locker low and roof small",
    "by hand: days and locker",
    "by hand: two months without sun",
    "by hand: delivery",
    "by hand: suppliers",
    "by hand: voltage",
    "by hand: a part that must be used",
    "by hand: no inverter for the kettle",
    "by hand: drop to the loads",
)
"""Those that the suite has time for."""


# --- values by their keys -------------------------------------------------------------------------

STEPS = {
    "budget": Decimal(1),
    "total_kg": Decimal("0.1"),
    "max_kg": Decimal("0.1"),
    "length_mm": Decimal(10),
    "width_mm": Decimal(10),
    "height_mm": Decimal(10),
    "autonomy_days": Decimal("0.01"),
    "shortfall_pct": Decimal(1),
    "watts": Decimal(1),
    "max_w": Decimal(1),
    **{k: Decimal(1) for k in ("array", "battery", "inverter", "charger", "load")},
}
"""As they are asked for."""

LESS_IS_EASIER = ("autonomy_days", "watts")


@dataclass(frozen=True)
class Key:
    """One need by its key."""

    table: str
    row: str
    name: str


def key_of(text: str) -> Key:
    """`place."roof".length_mm`, `limits.budget`, `rules.drop_pct.load`."""
    named = re.fullmatch(r'(place|load|owned)\."(.*)"\.(\w+)', text)
    if named:
        return Key(*named.groups())
    parts = text.split(".")
    return Key(parts[0], parts[1] if len(parts) > 2 else "", parts[-1])


def put(needs: Needs, text: str, value: object) -> Needs:
    """The needs with another value in one place."""
    key = key_of(text)
    if key.table == "place":
        return with_place(needs, key.row, **{key.name: value})
    if key.table == "load":
        rows = tuple(replace(x, watts=value) if x.name == key.row else x for x in needs.loads)
        return replace(needs, loads=rows)
    if key.table == "owned":
        rows = tuple(
            replace(o, use=value) if o.part.part == key.row else o for o in needs.owned
        )
        return replace(needs, owned=rows)
    if key.table == "charging":
        rows = tuple(
            replace(w, max_w=value) if w.kind == key.row else w for w in needs.charging
        )
        return replace(needs, charging=rows)
    if key.row == "drop_pct":
        return _drop(needs, **{key.name: value})
    table = getattr(needs, key.table)
    return replace(needs, **{key.table: replace(table, **{key.name: value})})


def aside(needs: Needs, text: str) -> Iterator[Needs]:
    """The needs with one of them set aside: in as many ways as there are."""
    key = key_of(text)
    far: dict[str, object] = {
        "budget": None,
        "total_kg": None,
        "max_kg": None,
        "length_mm": 9000.0,
        "width_mm": 9000.0,
        "height_mm": 4000.0,
        "autonomy_days": 0.0,
        "shortfall_pct": 100.0,
        "max_w": 100000.0,
        "use": "may",
        "need_by": None,
        "avoid_suppliers": (),
        "voltages": VOLTAGES,
        "chemistries": CHEMISTRIES,
        **dict.fromkeys(("array", "battery", "inverter", "charger", "load"), 50.0),
    }
    if key.table == "load":
        others = tuple(x for x in needs.loads if x.name != key.row)
        yield replace(needs, loads=others) if others else _at_a_watt(needs)
    elif key.name == "months":
        for month in sorted(needs.site.months, key=lambda m: -needs.sun_hours[m - 1]):
            yield replace(needs, site=replace(needs.site, months=(month,)))
    elif key.name in ("length_mm", "width_mm") and _tiny(needs, key.row):
        yield put(needs, text, 2500.0)
    elif key.name == "rates":
        rates = (*needs.order.rates, ("USD", Decimal(1)))
        yield _order(needs, rates=rates)
    else:
        yield put(needs, text, far[key.name])


def _tiny(needs: Needs, place: str) -> bool:
    """The surfaces of the job by hand, for panels of a hand's breadth."""
    return place == "roof" and needs.job.name == "lamp"


def _at_a_watt(needs: Needs) -> Needs:
    (only,) = needs.loads
    return replace(needs, loads=(replace(only, watts=only.watts % 1 or 1.0),))


def all_aside(needs: Needs, keys: list[str]) -> Iterator[Needs]:
    """The needs with some of them set aside."""
    if not keys:
        yield needs
        return
    for way in all_aside(needs, keys[1:]):
        yield from aside(way, keys[0])


# --- verdicts -------------------------------------------------------------------------------------


class Truth:
    """Whether there is a kit, each time by a whole search without a hint."""

    def __init__(self, stock: Stock) -> None:
        self._stock = stock
        self._known: dict[Needs, bool] = {}

    def has_kit(self, needs: Needs) -> bool:
        """Whether there is a kit."""
        if needs not in self._known:
            result = solve_kit(needs, self._stock, explains=False, workers=1)
            assert result.status in ("optimal", "infeasible"), result.status
            self._known[needs] = result.total is not None
        return self._known[needs]

    def any(self, ways: Iterator[Needs]) -> bool:
        """Whether there is one for any of several needs."""
        return any(self.has_kit(way) for way in ways)


@cache
def explained(name: str) -> tuple[Needs, Stock, Explanation]:
    """What is said of one of the sixty."""
    needs, stock = CASES[name]()
    searches, found = Searches(stock, 300.0), Explanation()
    assert searches.best(needs).status == "infeasible", f"{name} has an answer"
    levers = levers_of(needs, stock)
    explain(needs, levers, searches.any, searches.best, lambda _text: None, found)
    assert found.done
    return needs, stock, found


def verify(name: str) -> Explanation:
    """All that is said of one of the sixty holds."""
    needs, stock, found = explained(name)
    every = [x.key for x in levers_of(needs, stock) if x.most]
    truth = Truth(stock)
    if found.nothing_helps:
        assert not truth.any(all_aside(needs, every))
        assert not found.collisions
        return found
    assert found.collisions
    free: list[str] = []
    for one in found.collisions:
        _collides(needs, one, every, truth, free)
        free += one.keys
        for change in one.changes:
            _is_least(needs, change, truth)
    if found.together:
        _only_together(needs, [key for key, _ in found.together], truth)
    return found


def _collides(
    needs: Needs, one: Collision, every: list[str], truth: Truth, free: list[str]
) -> None:
    """By themselves no kit, without any one of them there is one."""
    assert one.minimal
    assert one.keys
    assert not set(one.keys) & set(free)
    assert not truth.any(all_aside(needs, [k for k in every if k not in one.keys])), one.keys
    for spared in one.keys:
        kept = [k for k in one.keys if k != spared]
        assert truth.any(all_aside(needs, [k for k in every if k not in kept])), spared


def _is_least(needs: Needs, change: Change, truth: Truth) -> None:
    """Alone it is enough, and a step less is not; or none is enough."""
    if not change.helps:
        assert change.helps is False
        assert not truth.any(aside(needs, change.key)), change.key
        return
    assert change.least
    key, before, after = _told(change)
    if after == "left out":
        assert truth.any(aside(needs, key))
        assert not truth.has_kit(_at_least_watts(needs, key_of(key).row))
        return
    name = key_of(key).name
    if name in STEPS:
        value, stated = Decimal(after), Decimal(before)
        step = STEPS[name] if name not in LESS_IS_EASIER else -STEPS[name]
        assert (value - stated) * step > 0
        kind = Decimal if name == "budget" else float
        assert truth.has_kit(put(needs, key, kind(value)))
        assert not truth.has_kit(put(needs, key, kind(value - step)))
        return
    _fewest(needs, key, before, after, truth)


def _told(change: Change) -> tuple[str, str, str]:
    """The key, the value stated and the value that is enough, as a person reads them."""
    start, after = change.text.split(" -> ")
    assert start.startswith(f"{change.key} ")
    return change.key, start.removeprefix(f"{change.key} "), after


def _at_least_watts(needs: Needs, load: str) -> Needs:
    rows = (replace(x, watts=x.watts % 1 or 1.0) if x.name == load else x for x in needs.loads)
    return replace(needs, loads=tuple(rows))


def _fewest(needs: Needs, key: str, before: str, after: str, truth: Truth) -> None:
    """Of what goes by items or days: what is told is enough, every smaller change is not."""
    name = key_of(key).name
    if name == "need_by":
        by = date.fromisoformat(after)
        assert truth.has_kit(put(needs, key, by))
        assert not truth.has_kit(put(needs, key, by - timedelta(days=1)))
        return
    if name == "use":
        assert (before, after) == ("must", "may")
        assert truth.has_kit(put(needs, key, "may"))
        return
    old, new = (_values(text, name) for text in (before, after))
    assert truth.has_kit(put(needs, key, new))
    moved = len(set(old) ^ set(new))
    assert moved
    for fewer in itertools.combinations(sorted(_could_move(name, old)), moved - 1):
        changed = tuple(x for x in _every(name, old) if (x in old) != (x in fewer))
        assert not truth.has_kit(put(needs, key, changed)), changed


def _values(text: str, name: str) -> tuple[object, ...]:
    words = [w.strip() for w in text.strip("[]").split(",") if w.strip()]
    return tuple(int(w) if name in ("months", "voltages") else w for w in words)


def _every(name: str, old: tuple[object, ...]) -> tuple[object, ...]:
    return {"voltages": VOLTAGES, "chemistries": CHEMISTRIES}.get(name, old)


def _could_move(name: str, old: tuple[object, ...]) -> set[object]:
    every = _every(name, old)
    return set(old) if every == old else set(every) - set(old)


def _only_together(needs: Needs, keys: list[str], truth: Truth) -> None:
    """With all of them set aside there is a kit, with all but any one of them none."""
    assert len(keys) > 1
    assert truth.any(all_aside(needs, keys))
    for spared in keys:
        assert not truth.any(all_aside(needs, [k for k in keys if k != spared])), spared


def by_trying(name: str) -> int:
    """The changes of a random job against trying every kit: how many verdicts were asked."""
    _, stock, found = explained(name)
    tried = 0
    for change in (c for x in found.collisions for c in x.changes):
        for asked, has in ((change.enough, True), (change.too_little, False)):
            if asked is not None and change.least:
                assert (cheapest(asked, stock) is not None) is has, (change.text, has)
                tried += 1
    return tried
