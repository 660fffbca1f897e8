"""Cases of a proof: what is remembered of one must hold for every other."""

from __future__ import annotations

import math
import random

import pytest

from solver import model as m
from solver import selection as sel
from solver.milp import solve, solve_relaxed
from solver.model import Cuts
from solver.tree import Tree, _shut_dear
from tests.oracle.bounds import bounds_of


@pytest.mark.parametrize("seed", [1, 12, 13, 31, 38])
def test_least_cost_of_arrays_holds_for_cases_with_other_arrays(seed):
    """Asked of a case with one array first, it is still below what a case with all can cost."""
    tried = 0
    for job, b in bounds_of(seed):
        tree = Tree(job, b, ())
        wide, narrow = sel.copied(tree.first), sel.copied(tree.first)
        for inverter in wide.inverters or [None]:
            for at in range(len(wide.arrays)):
                narrow.arrays = wide.arrays[at : at + 1]
                known = []
                tree._least(narrow, inverter, "any", known)
                truth = sel.least_arrays(b, wide, inverter, None, "highs")
                assert tree._least(wide, inverter, "any", known) <= truth + 1e-9
                tried += math.isfinite(truth)
    assert tried


@pytest.mark.parametrize("seed", [1, 12, 31, 38])
def test_what_is_known_of_arrays_in_one_case_is_the_least_of_another_too(seed):
    """Whichever suppliers are closed and however many arrays there may be, in whatever order."""
    r = random.Random(seed)
    handed_on = 0
    for job, b in bounds_of(seed):
        tree, known = Tree(job, b, ()), []
        for _ in range(30):
            keep = sel.copied(tree.first)
            keep.shops = {s: "closed" for s in job.market.freight if r.random() < 0.3}
            keep.fewest_arrays = r.randint(0, 2)
            keep.most_arrays = r.choice([None, keep.fewest_arrays, keep.fewest_arrays + 1])
            inverter = r.choice([*keep.inverters, None] if keep.inverters else [None])
            before = len(known)
            told = tree._least(keep, inverter, "any", known)
            handed_on += len(known) == before
            truth = sel.least_arrays(b, keep, inverter, None, "highs")
            assert told == pytest.approx(truth, abs=0.0201)
    assert handed_on


@pytest.mark.parametrize("seed", [1, 12, 13, 38])
def test_columns_too_dear_for_the_goal_are_in_no_answer_under_it(seed):
    """With them left out the least cost stays, however close to it the goal is."""
    shut = 0
    for job, b in bounds_of(seed):

        def built(job=job, b=b):
            return m.build(b.setup, sel.copied(Tree(job, b, ()).first), Cuts(), floor=False)

        least = solve(built().programme, gap=0.4)
        if least.status != "optimal":
            continue
        for room in (0.0, 20.0, 500.0):
            model, known = built(), built()
            goal = least.objective + room
            relaxed = solve_relaxed(known.programme)
            _shut_dear(model, known, relaxed, goal, bought_alike=lambda _: True)
            p = model.programme
            shut += sum(high == 0.0 for high in p.upper) - sum(
                high == 0.0 for high in known.programme.upper
            )
            p.at_most(p.priced, goal + 0.05)
            there = solve(p, gap=0.4, proving=True, most=goal + 0.05)
            assert there.objective == pytest.approx(least.objective, abs=0.5)
    assert shut


def test_only_keys_that_mean_the_same_everywhere_are_left_out():
    """Flags of kit cuts and owned pieces have a column's number in their keys, which moves."""
    keys = [
        ("reached", 3, 1),
        ("owned piece", "wire", 5, 2),
        ("packs", "wire", 0, 1),
        ("packs", "lug", 0, 1),
        ("dc", 0, 1),
    ]

    def built():
        p = m.Programme()
        for _ in keys:
            p.column(100.0)
        return m.Model(p, list(keys), {}, floor=False)

    model, known = built(), built()
    relaxed = solve_relaxed(known.programme)
    _shut_dear(model, known, relaxed, 1.0, bought_alike=lambda part: part != "wire")
    assert model.programme.upper == [1.0, 1.0, 1.0, 0.0, 0.0]
