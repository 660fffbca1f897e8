"""Whether there is any kit: the same verdict as a whole search, sooner, small parts counted."""

from dataclasses import replace
from decimal import Decimal

import pytest

from solver.collide import has_none
from solver.kit import solve_kit
from solver.parts import Label
from solver.stock import Stock
from tests.oracle.small_jobs import small_job
from tests.oracle.spoilt import limited, the_job

LABEL = Label(part="tag", name="tag", kg=0.0, kind="cable end")


def labelled():
    """The job by hand in a shop that sells labels for the ends of cables, dear ones."""
    needs, stock = the_job()
    like = stock.offers[0]
    tags = replace(like, part="tag", pack=Decimal(1), unit="each", price=Decimal(3))
    return needs, Stock.of([*stock.parts, LABEL], stock.suppliers, [*stock.offers, tags])


@pytest.mark.parametrize("seed", range(6))
def test_the_verdict_is_that_of_a_whole_search(seed):
    """A kit just where there is one; what is found keeps every rule."""
    needs, stock = small_job(seed)
    whole = solve_kit(needs, stock, explains=False)
    found = solve_kit(needs, stock, explains=False, any_kit=True)
    assert (found.design is None) == (whole.design is None)
    assert has_none(found) == has_none(whole)
    assert all(c.ok for c in found.checks)
    if whole.kit_total is not None:
        assert found.kit_total >= whole.kit_total


def test_a_kit_is_one_with_its_small_parts():
    """Between the cheapest kit and what it comes to with its labels, a budget leaves none."""
    needs, stock = labelled()
    whole = solve_kit(needs, stock)
    assert whole.kit_total < whole.total
    between = (whole.kit_total + whole.total) / 2
    for any_kit in (False, True):
        enough = solve_kit(limited(needs, budget=whole.total), stock, any_kit=any_kit)
        assert enough.total <= whole.total
        less = solve_kit(limited(needs, budget=between), stock, any_kit=any_kit)
        assert has_none(less)
        assert f"costs {whole.kit_total:.2f}" in less.reasons[0].message


def test_a_kit_over_the_budget_that_may_not_be_the_cheapest_is_no_verdict():
    """With its small parts it is too dear, and the proof was ended: there may be a cheaper one."""
    needs, stock = labelled()
    whole = solve_kit(needs, stock)
    dear = limited(needs, budget=(whole.kit_total + whole.total) / 2)
    ended = solve_kit(dear, stock, stopped=lambda: True)
    assert ended.design is None
    assert ended.status == "unknown"
    assert "found in the time given" in ended.reasons[0].message
    assert not has_none(ended)
