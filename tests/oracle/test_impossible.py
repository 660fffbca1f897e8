"""What is said of needs that no kit meets: some of the sixty; the others are in `tests/slow/`."""

from dataclasses import replace

import pytest

from bom.why import Searches
from solver.collide import Explanation, explain
from solver.kit import solve_kit
from solver.levers import levers_of
from tests.oracle.impossible import CASES, QUICK, verify
from tests.oracle.spoilt import limited, the_job

NAMED = {
    "by hand: budget": {"limits.budget"},
    "by hand: mass": {"limits.total_kg"},
    "by hand: delivery": {"order.need_by"},
    "by hand: suppliers": {"order.avoid_suppliers"},
    "by hand: voltage": {"rules.voltages"},
    "by hand: a part that must be used": {'owned."mine".use'},
    "by hand: no inverter for the kettle": {'load."kettle".watts'},
}
"""What was spoilt where that alone is in the way."""


def test_there_are_sixty():
    """And those of the suite are among them."""
    assert len(CASES) == 60
    assert set(QUICK) <= set(CASES)


@pytest.mark.parametrize("name", QUICK)
def test_what_collides_is_minimal_and_each_change_the_least(name):
    """By itself no kit, without any one there is one; each change is enough, a step less is not."""
    found = verify(name)
    if name in NAMED:
        (only,) = found.collisions
        assert set(only.keys) == NAMED[name]


def test_two_needs_that_only_help_together_are_told_as_such():
    """A locker too low and a roof too small: one alone would leave no kit."""
    found = verify("by hand: locker low and roof small")
    assert len(found.collisions) == 2
    assert len(found.together) == 2
    assert all(c.helps is False for x in found.collisions for c in x.changes)


def least_change_of(needs, stock):
    """The only need that is in the way, and its change."""
    assert solve_kit(needs, stock).status == "infeasible"
    searches, found = Searches(stock, 300.0), Explanation()
    levers = levers_of(needs, stock)
    explain(needs, levers, searches.any, searches.best, lambda _text: None, found)
    (only,) = found.collisions
    (change,) = only.changes
    assert change.least
    assert solve_kit(change.enough, stock).total is not None
    assert solve_kit(change.too_little, stock).status == "infeasible"
    return change


def test_a_hole_too_narrow_is_named_with_the_least_width():
    """The way from the roof goes through a hole that takes no cable."""
    needs, stock = the_job()
    legs = [
        replace(x, hole="gland", hole_max_mm=2.0) if x.from_ == "roof" else x
        for x in needs.legs
    ]
    change = least_change_of(replace(needs, legs=tuple(legs)), stock)
    assert change.key == 'leg."roof>hut".hole_max_mm'


def test_a_moment_too_small_is_named_with_the_least():
    """Everything stands far in front of the reference."""
    needs, stock = the_job()
    places = tuple(replace(p, at_m=(3.0, 0.0, 0.0)) for p in needs.places)
    heavy = limited(replace(needs, places=places), fore_aft_kgm=5.0)
    assert least_change_of(heavy, stock).key == "limits.fore_aft_kgm"
