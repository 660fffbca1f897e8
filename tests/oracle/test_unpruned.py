"""The optimizer against the programme with nothing pruned, on generated catalogs.

What a kit costs is the same to the cent, and whether there is one, however many candidates, ways
to wire and price levels were dropped, and by whatever argument. See `unpruned.py`.
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from benchmarks.catalogs import generated, one_shop
from solver.kit import solve_kit
from solver.records import Result
from tests.oracle.roomy_needs import roomy_needs
from tests.oracle.small_jobs import small_job
from tests.oracle.unpruned import Whole, unpruned

SAMPLE = (0, 2, 3, 5, 7, 8)

SMALL_SAMPLE = (0, 1, 2, 5, 9, 13)
"""Small jobs in which placing and cutting do decide."""


def parts_of(seed: int) -> int:
    """How many parts the catalog of a seed has: 100 to 300."""
    return 100 + seed * 37 % 201


def both_ways(seed: int, *, suppliers: int = 1) -> tuple[Result, Whole]:
    """A generated catalog and random needs, answered both ways."""
    needs = roomy_needs(seed)
    if suppliers == 1:
        stock = one_shop(generated(parts_of(seed), seed))
    else:
        stock = generated(parts_of(seed), seed, suppliers=suppliers)
    return solve_kit(needs, stock), unpruned(needs, stock)


def agree(answer: Result, whole: Whole) -> None:
    """The same verdict, and the same cost to the cent; what is not proven lies between."""
    assert answer.status != "unknown"
    if answer.total is None:
        assert math.isinf(whole.cents)
        assert math.isinf(whole.bound)
        return
    assert answer.lower_bound is not None
    least = Decimal(whole.cents) / 100
    if answer.status == "optimal":
        assert abs(answer.total - least) < Decimal("0.01")
    assert answer.lower_bound < least + Decimal("0.01")
    assert least < answer.total + Decimal("0.01")


@pytest.mark.parametrize("seed", SAMPLE)
def test_nothing_pruned_costs_the_same_on_a_generated_catalog(seed):
    """Every candidate, every way to wire: the same verdict, the same cost."""
    answer, whole = both_ways(seed)
    agree(answer, whole)
    assert answer.status in ("optimal", "infeasible")


@pytest.mark.parametrize("seed", SMALL_SAMPLE)
def test_nothing_pruned_costs_the_same_on_a_small_job(seed):
    """The same where placing and cutting teach rows, and freight is chosen."""
    needs, stock = small_job(seed)
    agree(solve_kit(needs, stock), unpruned(needs, stock))
