"""Asking for less never costs more; forcing a choice never costs less, and one choice is best."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal

from solver.kit import solve_kit
from solver.needs import Needs
from solver.parts import Battery
from solver.records import Result
from solver.stock import Stock
from tests.relations.jobs import (
    CENT,
    answer,
    costs_as_much,
    costs_no_more,
    each_job,
    few,
    job,
)


@each_job
def test_shorter_hours_never_cost_more(name):
    """Every load on for a tenth less."""
    needs, stock = job(name)
    loads = [replace(x, hours_per_day=x.hours_per_day * 0.9) for x in needs.loads]
    costs_no_more(solve_kit(replace(needs, loads=tuple(loads)), stock), answer(name))


@each_job
def test_limit_loosened_never_costs_more(name):
    """Each limit by itself, some of those stated."""
    needs, stock = job(name)
    looser = dict(loosened(needs))
    for limit in few(name, looser, "limit"):
        costs_no_more(solve_kit(looser[limit], stock), answer(name))


def loosened(needs: Needs) -> Iterator[tuple[str, Needs]]:
    """The needs with one limit a fifth looser, by what was loosened."""
    limits, rules, energy = needs.limits, needs.rules, needs.energy
    if limits.budget is not None:
        more = limits.budget * Decimal("1.2")
        yield "budget", replace(needs, limits=replace(limits, budget=more))
    if limits.total_kg is not None:
        heavier = replace(limits, total_kg=limits.total_kg * 1.2)
        yield "total_kg", replace(needs, limits=heavier)
    for name in ("array", "battery", "inverter", "charger", "load"):
        more_v = replace(rules.drop_pct, **{name: getattr(rules.drop_pct, name) * 1.2})
        yield f"drop_pct {name}", replace(needs, rules=replace(rules, drop_pct=more_v))
    days = energy.autonomy_days * 0.8
    yield "autonomy_days", replace(needs, energy=replace(energy, autonomy_days=days))
    share = energy.shortfall_pct + (100 - energy.shortfall_pct) * 0.2
    yield "shortfall_pct", replace(needs, energy=replace(energy, shortfall_pct=share))
    for k, place in enumerate(needs.places):
        wider = [replace(place, length_mm=place.length_mm * 1.2)]
        if place.max_kg is not None:
            wider.append(replace(place, max_kg=place.max_kg * 1.2))
        if place.height_mm is not None:
            wider.append(replace(place, height_mm=place.height_mm * 1.2))
        for n, other in enumerate(wider):
            places = (*needs.places[:k], other, *needs.places[k + 1 :])
            yield f"{place.name} {n}", replace(needs, places=places)


@each_job
def test_best_of_the_forced_voltages_is_the_free_answer(name):
    """Every voltage by itself, and all that the needs allow."""
    needs, stock = job(name)
    forced = [
        solve_kit(replace(needs, rules=replace(needs.rules, voltages=(v,))), stock)
        for v in needs.rules.voltages
    ]
    costs_as_much(best(forced), answer(name))


@each_job
def test_best_of_the_forced_chemistries_is_the_free_answer(name):
    """Every chemistry by itself, and all that the needs allow."""
    needs, stock = job(name)
    if isinstance(name, int):
        stock = with_another_chemistry(stock)
    known = {b.chemistry for b in stock.of_class("battery")}
    forced = [
        solve_kit(replace(needs, rules=replace(needs.rules, chemistries=(c,))), stock)
        for c in needs.rules.chemistries
        if c in known
    ]
    free = solve_kit(needs, stock) if isinstance(name, int) else answer(name)
    costs_as_much(best(forced), free)


def with_another_chemistry(stock: Stock) -> Stock:
    """A small job's catalog with each battery once more, of another chemistry and price."""
    batteries = [b for b in stock.of_class("battery") if isinstance(b, Battery)]
    lead = batteries[0].chemistry != "lfp"
    twin = {
        b.part: replace(
            b,
            part=f"other {b.part}",
            chemistry="gel" if lead else "agm",
            charge_efficiency_pct=b.charge_efficiency_pct - 5,
            usable_pct=b.usable_pct * 0.9,
        )
        for b in batteries
    }
    offers = [
        replace(o, part=twin[o.part].part, price=(o.price * Decimal("0.8")).quantize(CENT))
        for o in stock.offers
        if o.part in twin
    ]
    return Stock.of([*stock.parts, *twin.values()], stock.suppliers, [*stock.offers, *offers])


def best(results: list[Result]) -> Result:
    """The cheapest answer; any without a kit where there is none."""
    kits = [r for r in results if r.kit_total is not None]
    return min(kits, key=lambda r: r.kit_total or Decimal(0)) if kits else results[0]
