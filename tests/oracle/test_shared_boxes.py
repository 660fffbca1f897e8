"""Boxes that AC breakers of one inverter share: brute force, the rows of the programme, ids."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from solver.design import _box_of
from solver.kit import solve_kit
from solver.model import _Builder
from solver.parts import Holder
from tests.oracle.small_jobs import shared_box_job
from tests.oracle.test_brute_force import agree

QUICK = (2, 3, 22, 23, 44)
MORE = (0, 1, 4, 9, 11, 13, 14, 17, 18, 19, 20, 21, 24, 28, 40, 41, 42, 43)


@pytest.mark.parametrize(
    "seed", [*QUICK, *(pytest.param(n, marks=pytest.mark.slow) for n in MORE)]
)
def test_boxes_are_as_many_as_the_breakers_need(seed):
    """Verdict and total are those of trying every kit, in which boxes are counted at the end."""
    _, answer = agree(*shared_box_job(seed))
    assert not [c for c in answer.checks if not c.ok]


def test_both_full_and_begun_boxes_are_among_these_jobs():
    """A box with three breakers, one with two, and breakers that stand by themselves."""
    filled = set()
    for seed in (2, 24, 44):
        design = solve_kit(*shared_box_job(seed)).design
        filled.add(tuple(sorted(Counter(p.box for p in design.protections if p.box).values())))
    assert {(3,), (2,), ()} <= filled


def test_shared_boxes_are_a_rule_of_the_programme(monkeypatch):
    """Without their rows no box is bought, which costs less, and the checker says so."""
    needs, stock = shared_box_job(2)
    right = solve_kit(needs, stock)
    monkeypatch.setattr(_Builder, "_boxes", lambda _self, _needed: None)
    wrong = solve_kit(needs, stock)
    assert wrong.total < right.total
    assert [c for c in wrong.checks if not c.ok]


def test_a_box_is_filled_before_the_next_is_begun():
    """Of two kinds each has its own; numbers go on over all of them."""
    one = Holder(
        part="for-two", name="box", kg=0.3, kind="rail", rated_a=63.0, max_v=400.0, ways=2
    )
    two = replace(one, part="for-three", ways=3)
    found, sharing = [], []
    for holder in (one, two, one, one, two, two, two):
        option = _Sharing(holder)
        found.append(_box_of(option, sharing))
        sharing.append(option)
    assert found == ["XB1", "XB2", "XB1", "XB3", "XB2", "XB2", "XB4"]
    assert _box_of(_Sharing(one, shares=False), sharing) is None


class _Sharing:
    """As much of an option as says which box its breaker is in."""

    def __init__(self, holder, *, shares=True):
        self.holder, self.shares = holder, shares
