"""Packs that are looked at for each price level: never fewer than any purchase that could pay."""

from __future__ import annotations

import random
from decimal import Decimal
from itertools import pairwise

import pytest

from solver.market import Deal, level_packs


def drawn(seed: int) -> tuple[Deal, int, Decimal]:
    """A deal of up to three levels, falling or rising, a need of packs, what free freight saves."""
    r = random.Random(f"levels {seed}")
    starts = sorted({1, *(r.randint(2, 12) for _ in range(r.randint(0, 2)))})
    levels = tuple((n, Decimal(r.randint(3, 12))) for n in starts)
    most = r.choice((None, None, r.randint(1, 15)))
    deal = Deal("x", "oak", "each", Decimal(1), None, Decimal(1), levels, most, 3)
    return deal, r.randint(1, 9), Decimal(r.choice((0, 0, 7, 20)))


@pytest.mark.parametrize("seed", range(200))
def test_every_purchase_that_could_pay_is_looked_at(seed):
    """All that cost less than the least and the freight saved; and one that costs the least."""
    deal, need, saved = drawn(seed)
    ranges = level_packs(deal, need, saved)
    assert all(start <= top for start, top, _ in ranges)
    sold = range(need, 60 if deal.most_packs is None else deal.most_packs + 1)
    looked_at = {
        n: min((price for start, top, price in ranges if start <= n <= top), default=None)
        for n in sold
    }
    least = min((deal.cost(n) for n in sold), default=Decimal(0))
    for n, price in looked_at.items():
        if deal.cost(n) < least + saved:
            # a dearer purchase of as many at an earlier level does no harm
            assert price is not None, n
            assert price * n == deal.cost(n), n
    paid = [price * n for n, price in looked_at.items() if price is not None]
    assert min(paid, default=Decimal(0)) == least


@pytest.mark.parametrize("seed", range(200))
def test_no_level_is_bought_below_its_price(seed):
    """Where prices rise, what is bought at a level is less than where the next begins."""
    deal, need, saved = drawn(seed)
    for start, top, price in level_packs(deal, need, saved):
        for n in range(start, top + 1):
            assert price * n >= deal.cost(n)
    if all(b > a for (_, a), (_, b) in pairwise(deal.levels)):
        ranges = level_packs(deal, need, saved)
        assert all(a[1] < b[0] for a, b in pairwise(ranges))
