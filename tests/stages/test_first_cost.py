"""Rows that hold up the bound: what a purchase costs at the least, and what each need adds to it.

A row that says more than is true would cut off the cheapest kit and call a dearer one optimal.
"""

from __future__ import annotations

import itertools
import math
import random
from decimal import Decimal

import pytest

from solver.market import Deal, best_deals, cheapest_purchase
from solver.model import lifted


def deals_at_random(r: random.Random) -> list[Deal]:
    """Up to four deals with packs, price breaks and stocks."""
    found = []
    for n in range(r.randint(1, 4)):
        pack = Decimal(r.choice(("1", "2", "5", "2.5")))
        price = Decimal(r.randint(20, 60)) / 10 * pack
        levels = [(1, price)]
        if r.random() < 0.5:
            levels.append((r.randint(2, 5), price * Decimal("0.8")))
        found.append(
            Deal(
                part="p",
                supplier=f"shop {n}",
                unit="each",
                pack=pack,
                length_m=None,
                units=pack,
                levels=tuple(levels),
                most_packs=r.choice((None, None, 3)),
                lead_days=1,
            )
        )
    return found


def cheapest(deals: list[Deal], quantity: float) -> float:
    """By trying every number of packs of every deal, up to twice as many as are enough."""
    ranges = []
    for d in deals:
        top = 2 * math.ceil(quantity / float(d.units)) + 5
        ranges.append(range((top if d.most_packs is None else min(top, d.most_packs)) + 1))
    best = math.inf
    for packs in itertools.product(*ranges):
        pairs = list(zip(deals, packs, strict=True))
        if sum(float(d.units) * n for d, n in pairs) >= quantity - 1e-9:
            best = min(best, sum(float(d.cost(n)) for d, n in pairs if n))
    return best


@pytest.mark.parametrize("seed", range(60))
def test_least_cost_is_that_of_the_cheapest_purchase(seed):
    """Packs, breaks, stocks and several deals at once: neither above nor below the truth."""
    r = random.Random(seed)
    deals = deals_at_random(r)
    quantity = r.choice((0.5, 1.0, 2.3, 4.0, 6.1))
    truth = pytest.approx(cheapest(deals, quantity))
    assert cheapest_purchase(deals, quantity) == truth
    assert cheapest_purchase([deals[k] for k in best_deals(deals, 1000.0)], quantity) == truth


@pytest.mark.parametrize("seed", range(60))
def test_no_choice_adds_up_to_more_than_it_costs(seed):
    """One column of each set at most: what they add is never above the cost of what they need."""
    r = random.Random(seed)
    steps = sorted((r.uniform(0, 12), r.uniform(1, 9)) for _ in range(6))

    def cost(quantity: float) -> float:
        return sum(price for at, price in steps if quantity > at)

    numbers = itertools.count()
    sets = [
        [(next(numbers), r.choice((0.7, 1.4, 2.0, 3.3))) for _ in range(r.randint(1, 3))]
        for _ in range(r.randint(1, 3))
    ]
    adds = {j: -a for j, a in lifted(sets, cost)}
    for choice in itertools.product(*([None, *s] for s in sets)):
        chosen = [c for c in choice if c is not None]
        total = sum(adds.get(j, 0.0) for j, _ in chosen)
        assert total <= cost(sum(n for _, n in chosen)) + 1e-9


def test_first_set_is_charged_in_full():
    """The row is not empty talk: of the first set each need is charged what it costs."""
    assert dict(lifted([[(0, 1.0), (1, 2.5)]], lambda q: math.ceil(q) * 3.0)) == {
        0: -3.0,
        1: -9.0,
    }
