"""The optimizer against the programme with nothing pruned, on generated catalogs.

What a kit costs is the same to the cent, and whether there is one, however many candidates, ways
to wire and price levels were dropped, and by whatever argument. See `unpruned.py`.
"""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest

from benchmarks.catalogs import generated, one_shop
from solver.kit import solve_kit
from solver.needs import Needs
from solver.records import Result
from solver.stock import Stock
from tests.oracle.roomy_needs import roomy_needs
from tests.oracle.small_jobs import small_job
from tests.oracle.unpruned import unpruned

SAMPLE = (0, 3, 5)

SMALL_SAMPLE = (0, 1, 2, 5, 9, 13)
"""Small jobs in which placing and cutting do decide."""


def parts_of(seed: int) -> int:
    """How many parts the catalog of a seed has: 100 to 300, half of them under 150."""
    return 100 + (seed * 37 % 201) ** 2 // 200


def generated_job(seed: int, *, suppliers: int = 1) -> tuple[Needs, Stock]:
    """Random needs and a catalog of their own; of one shop, which never sends for nothing."""
    if suppliers == 1:
        return roomy_needs(seed), one_shop(generated(parts_of(seed), seed))
    return roomy_needs(seed), generated(parts_of(seed), seed, suppliers=suppliers)


def agree(needs: Needs, stock: Stock) -> Result:
    """The same verdict, and the same cost to the cent; what is not proven lies between."""
    answer, whole = solve_kit(needs, stock), unpruned(needs, stock)
    assert answer.status != "unknown"
    if answer.kit_total is None:
        assert math.isinf(whole.cents)
        assert math.isinf(whole.bound)
        return answer
    assert answer.kit_bound is not None
    least = Decimal(whole.cents) / 100
    if answer.status == "optimal":
        assert abs(answer.kit_total - least) < Decimal("0.01")
    assert answer.kit_bound < least + Decimal("0.01")
    assert least < answer.kit_total + Decimal("0.01")
    return answer


def nothing_cheaper(needs: Needs, stock: Stock) -> Result:
    """The answer is a kit, and no kit costs half a cent less than what was proven: to the cent.

    Sooner known than the cheapest kit itself, since nothing has to be found. A budget that lies
    between a kit and its small parts leaves the verdict open, so then it is set aside.
    """
    answer = solve_kit(needs, stock)
    if answer.status == "unknown":
        assert "small parts" in answer.reasons[0].message
        needs = replace(needs, limits=replace(needs.limits, budget=None))
        answer = solve_kit(needs, stock)
    assert answer.status != "unknown"
    least = math.inf
    if answer.kit_bound is not None:
        assert all(c.ok for c in answer.checks)
        assert sum(o.total for o in answer.orders) == answer.total
        least = float(answer.kit_bound) * 100 - 0.5
    whole = unpruned(needs, stock, under=least)
    assert math.isinf(whole.cents)
    assert math.isinf(whole.bound)
    return answer


@pytest.mark.parametrize("seed", SAMPLE)
def test_nothing_pruned_costs_the_same_on_a_generated_catalog(seed):
    """Every candidate, every way to wire: the same verdict, the same cost."""
    assert agree(*generated_job(seed)).status in ("optimal", "infeasible")


@pytest.mark.parametrize("seed", SMALL_SAMPLE)
def test_nothing_pruned_costs_the_same_on_a_small_job(seed):
    """The same where placing and cutting teach rows, and freight is chosen."""
    agree(*small_job(seed))
