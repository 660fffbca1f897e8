"""Money has no scale of its own: everything twice as dear makes the kit twice as dear."""

from __future__ import annotations

from dataclasses import replace

from solver.kit import solve_kit
from solver.needs import Needs
from solver.stock import Stock
from tests.relations.jobs import answer, each_job, job


def twice_as_dear(needs: Needs, stock: Stock) -> tuple[Needs, Stock]:
    """Every price, freight charge, threshold and the budget doubled."""
    budget = needs.limits.budget
    limits = replace(needs.limits, budget=None if budget is None else 2 * budget)
    suppliers = [
        replace(
            s,
            shipping=2 * s.shipping,
            free_over=None if s.free_over is None else 2 * s.free_over,
        )
        for s in stock.suppliers
    ]
    offers = [replace(o, price=2 * o.price) for o in stock.offers]
    return replace(needs, limits=limits), Stock.of(stock.parts, suppliers, offers)


@each_job
def test_everything_twice_as_dear_doubles_the_total(name):
    """The same verdict, and exactly twice the money."""
    one, two = answer(name), solve_kit(*twice_as_dear(*job(name)))
    assert two.status == one.status
    if one.total is not None:
        assert two.total == 2 * one.total


def test_only_prices_doubled_is_another_matter():
    """What is doubled above is what is paid: prices alone do not double freight."""
    needs, stock = job(2)
    offers = [replace(o, price=2 * o.price) for o in stock.offers]
    dearer = solve_kit(needs, Stock.of(stock.parts, stock.suppliers, offers))
    assert dearer.total != 2 * answer(2).total
