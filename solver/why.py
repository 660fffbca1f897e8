"""Why there is no kit: which needs collide.

Each need is set aside by itself and the relaxed programme of every setting is tried again. A
need without which there is an answer is part of every collision; where none by itself helps, the
same is tried with two at a time. The relaxed programme knows no placing and no whole numbers, so
that a change is enough is not proven here; that a need stands in the way is.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from solver import selection as sel
from solver.candidates import settings
from solver.market import market
from solver.model import CENTS, Cuts, PanelCut
from solver.needs import CHEMISTRIES, VOLTAGES, Needs, Place
from solver.records import Reason
from solver.stock import Stock
from solver.wiring import shelf

Change = Callable[[Needs], Needs]


@dataclass(frozen=True)
class Aside:
    """A need that can be set aside."""

    keys: tuple[str, ...]
    what: str
    change: str
    apply: Change


def reasons(needs: Needs, stock: Stock, panel_cuts: tuple[PanelCut, ...]) -> tuple[Reason, ...]:
    """Which needs stand in the way, with a change of each that could help."""
    asides = list(_asides(needs))
    for group in (asides, list(_kind_asides(needs))):
        alone = [(a, _least(a.apply(needs), stock, panel_cuts)) for a in group]
        helping = [(a, cents) for a, cents in alone if math.isfinite(cents)]
        if helping:
            return _collision(needs, helping)
    for a, b in itertools.combinations(asides, 2):
        cents = _least(b.apply(a.apply(needs)), stock, panel_cuts)
        if math.isfinite(cents):
            keys = a.keys + tuple(k for k in b.keys if k not in a.keys)
            text = f"No kit meets the needs: {a.what}, and {b.what}. Neither alone helps."
            return (Reason(needs=keys, message=text, change=f"{a.change}; and {b.change}"),)
    return (_nothing_helps(needs),)


def _collision(needs: Needs, helping: list[tuple[Aside, float]]) -> tuple[Reason, ...]:
    """One reason that names all that collide, then one for each with its change."""
    keys = tuple(dict.fromkeys(k for a, _ in helping for k in a.keys))
    whole = Reason(
        needs=keys,
        message="These needs collide; with any one of them set aside there could be a kit: "
        + "; ".join(a.what for a, _ in helping)
        + ".",
        change=helping[0][0].change + _cost(needs, helping[0]),
    )
    if len(helping) == 1:
        return (whole,)
    each = [
        Reason(
            needs=a.keys,
            message=f"No kit meets the needs: {a.what}.",
            change=a.change + _cost(needs, (a, c)),
        )
        for a, c in helping
    ]
    return (whole, *each)


def _cost(needs: Needs, helping: tuple[Aside, float]) -> str:
    aside, cents = helping
    if aside.keys != ("limits.budget",):
        return ""
    return f" to at least {cents / CENTS:.2f} {needs.job.currency}"


def _nothing_helps(needs: Needs) -> Reason:
    ac = any(x.supply == "ac" for x in needs.loads)
    keys: tuple[str, ...] = ("load", "rules.voltages", "rules.chemistries", "place")
    text = (
        "No kit meets the needs, and setting aside one or two of the limits does not help: for "
        "something that is needed the catalog has no part that fits the loads, voltages and places"
    )
    if ac:
        keys += ("rules.ac_v", "rules.hz")
        text += (
            " (an inverter of this AC voltage and frequency with this start-up power included)"
        )
    return Reason(
        needs=keys, message=text + ".", change="other parts in the catalog, or smaller loads"
    )


def _least(needs: Needs, stock: Stock, panel_cuts: tuple[PanelCut, ...]) -> float:
    """The least bound over all settings, in hundredths of the currency; infinite without any."""
    mkt = market(needs, stock)
    shelf_ = shelf(needs, mkt)
    places = {p.name for p in needs.places if "panel" in (p.holds or ())}
    known = Cuts(tuple(c for c in panel_cuts if c.place in places))
    best = math.inf
    for setting in settings(needs, mkt):
        found = sel.bound(sel.setup_for(needs, mkt, shelf_, setting, pooled=True), known)
        if found is not None:
            best = min(best, found.cents)
            if needs.limits.budget is not None:
                # that there could be a kit is enough; only a missing budget asks for its cost
                return best
    return best


# --- what can be set aside --------------------------------------------------------------------


def _asides(needs: Needs) -> Iterator[Aside]:
    if needs.limits.budget is not None:
        yield Aside(
            ("limits.budget",),
            f"the budget is {needs.limits.budget} {needs.job.currency}",
            "raise the budget",
            lambda n: replace(n, limits=replace(n.limits, budget=None)),
        )
    if needs.limits.total_kg is not None:
        yield Aside(
            ("limits.total_kg",),
            f"everything may weigh {needs.limits.total_kg:g} kg",
            "allow more weight in all",
            lambda n: replace(n, limits=replace(n.limits, total_kg=None)),
        )
    for place in needs.places:
        if place.max_kg is not None and place.holds != ():
            yield _weight(place)
    yield from _energy_asides(needs)
    if needs.order.need_by is not None:
        yield Aside(
            ("order.need_by",),
            f"everything must be there by {needs.order.need_by}",
            "allow a later delivery",
            lambda n: replace(n, order=replace(n.order, need_by=None)),
        )


def _kind_asides(needs: Needs) -> Iterator[Aside]:
    """Voltages and chemistries: tried only where nothing else helps, since they add settings."""
    if set(needs.rules.voltages) != set(VOLTAGES):
        yield Aside(
            ("rules.voltages",),
            f"the system voltage must be {', '.join(map(str, needs.rules.voltages))} V",
            "allow other system voltages",
            lambda n: replace(n, rules=replace(n.rules, voltages=VOLTAGES)),
        )
    if set(needs.rules.chemistries) != set(CHEMISTRIES):
        yield Aside(
            ("rules.chemistries",),
            f"the batteries must be {', '.join(needs.rules.chemistries)}",
            "allow other batteries",
            lambda n: replace(n, rules=replace(n.rules, chemistries=CHEMISTRIES)),
        )


def _weight(place: Place) -> Aside:
    def free(n: Needs) -> Needs:
        places = tuple(replace(p, max_kg=None) if p.name == place.name else p for p in n.places)
        return replace(n, places=places)

    key = f'place."{place.name}".max_kg'
    text = f'place "{place.name}" carries at most {place.max_kg:g} kg'
    return Aside((key,), text, f'let place "{place.name}" carry more', free)


def _energy_asides(needs: Needs) -> Iterator[Aside]:
    if needs.energy.autonomy_days > 0:
        yield Aside(
            ("energy.autonomy_days",),
            f"the bank must last {needs.energy.autonomy_days:g} days",
            "ask for fewer days without charging",
            lambda n: replace(n, energy=replace(n.energy, autonomy_days=0.0)),
        )
    if needs.energy.shortfall_pct < 100 and needs.charging:
        yield Aside(
            ("energy.shortfall_pct",),
            f"at most {needs.energy.shortfall_pct:g} % may come from other charging",
            "let more come from other charging",
            lambda n: replace(n, energy=replace(n.energy, shortfall_pct=100.0)),
        )
    roofs = tuple(f'place."{p.name}".length_mm' for p in needs.places if p.may_hold("panel"))
    if len(needs.site.months) > 1:
        sunniest = max(needs.site.months, key=lambda month: needs.sun_hours[month - 1])
        darkest = min(needs.site.months, key=lambda month: needs.sun_hours[month - 1])
        yield Aside(
            ("site.months", "energy.shortfall_pct", *roofs, "load"),
            f"in month {darkest}, with {needs.sun_hours[darkest - 1]:g} sun hours a day, the "
            f"panels that lie on the surfaces must give "
            f"{100 - needs.energy.shortfall_pct:g} % of the loads' energy",
            "leave out the darkest months, let more come from other charging, make room for more "
            "panels, or use less energy",
            lambda n: replace(n, site=replace(n.site, months=(sunniest,))),
        )
