"""Boxes that AC breakers of one inverter share: brute force, the rows of the programme, ids."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from solver.design import _boxes_of
from solver.kit import solve_kit
from solver.model import _Builder
from solver.parts import Breaker, Holder
from solver.stock import Stock
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
    monkeypatch.setattr(_Builder, "_boxes", lambda _: None)
    wrong = solve_kit(needs, stock)
    assert wrong.total < right.total
    assert [c for c in wrong.checks if not c.ok]


def test_a_box_that_others_share_has_no_twin():
    """A breaker in a box of its own kind stays, though another with its box is the cheaper pair."""
    needs, stock = shared_box_job(2)
    one, other, third = (x for x in needs.loads if x.supply == "ac")
    watts = one.watts + other.watts + third.watts
    loads = [replace(one, watts=watts / 4), replace(other, watts=watts * 3 / 4)]
    amps = {x.name: 1.25 * x.watts / needs.rules.ac_v * 1.01 for x in loads}
    small, large = amps.values()
    dc = (x for x in needs.loads if x.supply == "dc")
    needs = replace(needs, loads=(*dc, *loads), owned=())
    kept = [p for p in stock.parts if not p.part.startswith(("residual", "rail-box"))]
    offers = [o for o in stock.offers if not o.part.startswith(("residual", "rail-box"))]
    boxes = {n: Holder(part=n, name="box", kg=0.3, kind="k", rated_a=63.0, max_v=400.0, ways=2)
             for n in ("x", "y")}  # fmt: skip
    breakers = {
        name: Breaker(
            part=name, name="residual", kg=0.2, kind="k", rated_a=rated, max_v=240.0,
            breaking_ka=6.0, residual_ma=5.0, holder=box,
        )
        for name, rated, box in (("a", small, "x"), ("b", small, "y"), ("c", large, "y"))
    }  # fmt: skip
    cents = {"x": 2900, "y": 3000, "a": 2000, "b": 2050, "c": 8000}
    parts = Stock.of([*kept, *boxes.values(), *breakers.values()], stock.suppliers, [])

    def total(*names):
        sold = [replace(offers[0], part=n, pack=Decimal(1), unit="each", length_m=None,
                        from_quantity=1, stock=None, price=Decimal(cents[n]) / 100) for n in names]  # fmt: skip
        answer = solve_kit(needs, Stock.of(parts.parts, stock.suppliers, [*offers, *sold]))
        assert answer.status == "optimal"
        return answer.total

    assert total("x", "y", "a", "b", "c") <= total("y", "b", "c")


def test_a_box_is_filled_before_the_next_is_begun():
    """Of two kinds each has its own; numbers go on over all of them."""
    one = Holder(
        part="for-two", name="box", kg=0.3, kind="rail", rated_a=63.0, max_v=400.0, ways=2
    )
    two = replace(one, part="for-three", ways=3)
    options = [_Sharing(holder) for holder in (one, two, one, one, two, two, two)]
    assert _boxes_of(options) == ["XB1", "XB2", "XB1", "XB3", "XB2", "XB2", "XB4"]
    assert _boxes_of([*options, _Sharing(None)])[-1] is None


class _Sharing:
    """As much of an option as says which box its breaker is in."""

    def __init__(self, shared_box):
        self.shared_box = shared_box
