"""What is said of needs that no kit meets: some of the sixty; the others are in `tests/slow/`."""

import pytest

from tests.oracle.impossible import CASES, QUICK, verify

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
