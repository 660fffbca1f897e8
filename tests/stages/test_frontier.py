"""The steps of the cost along one need, against staircases that are known beforehand."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.frontier import Point, Step, falls, reached, steps, to_ask

COSTS = st.lists(
    st.one_of(st.integers(100, 104).map(float), st.just(math.inf)), min_size=1, max_size=60
).map(sorted)


def climbed(costs):
    """What is known once nothing is left to ask, and how often was asked."""
    known, asked = {}, 0
    while ask := to_ask(len(costs), known):
        asked += len(ask)
        known |= {n: Point(costs[n], proven=True) for n in ask}
    return known, asked


@given(COSTS, st.booleans())
def test_every_step_is_found_where_it_is(costs, falling):
    """Whatever monotone staircase stands behind the questions comes out, value by value."""
    costs = costs[::-1] if falling else costs
    known, asked = climbed(costs)
    found = steps(len(costs), known)
    assert [c for s in found for c in [s.point.cents] * (s.last - s.first + 1)] == costs
    assert all(a.last + 1 == b.first for a, b in itertools.pairwise(found))
    assert asked <= 2 + len(found) * math.ceil(math.log2(len(costs) + 1))


def test_few_steps_of_many_values_are_few_questions():
    """One step among a thousand values is found by halving."""
    known, asked = climbed([1.0] * 700 + [2.0] * 300)
    assert steps(1000, known) == [
        Step(0, 699, Point(1.0, proven=True)),
        Step(700, 999, Point(2.0, proven=True)),
    ]
    assert asked <= 12


def test_equal_totals_without_a_proof_prove_nothing_between():
    """Where the ends are not proven, what lies between is asked."""
    loose = Point(5.0, proven=False)
    assert to_ask(5, {0: loose, 4: loose}) == [2]
    firm = Point(5.0, proven=True)
    assert to_ask(5, {0: firm, 4: firm}) == []


def test_a_cost_that_falls_is_told():
    """What must never be is noticed; a hair within the proof's tolerance is not."""
    found = [Step(n, n, Point(c, proven=True)) for n, c in enumerate((100.0, 99.995, 90.0))]
    assert [(a.first, b.first) for a, b in falls(found, 0.0002)] == [(1, 2)]


@pytest.mark.parametrize(
    ("at", "used", "limit", "grows", "expected"),
    [
        (0, 500.0, 1000.0, True, [1]),  # a bank that lasts twice as long as asked
        (0, 500.0, 1000.01, True, [1, 2]),
        (1, 500.0, 500.0, True, []),
        (3, 40.0, 60.0, False, []),  # 2 would be met by rounding alone
        (3, 20.0, 60.0, False, [1, 2]),
        (0, 0.0, 60.0, True, []),
    ],
)
def test_a_kit_reaches_as_far_as_its_limit(at, used, limit, grows, expected):
    """Worked by hand on the values 1, 1.9, 2 and 3."""
    values = (1.0, 1.9, 2.0, 3.0)
    assert reached(values, at, used, limit, grows=grows) == expected
