"""Answers that are said to follow from a neighbour's, and steps found by asking few values,
against solving every value by itself.
"""

from collections import Counter
from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import pytest

from bom.chains import Chain
from bom.frontiers import climb
from bom.journal import Journal
from bom.needs_path import Path
from bom.outcome import outcome_of
from bom.stated import Stated
from bom.vary_values import Axis, Combination
from solver.kit import solve_kit
from solver.report import total_kg
from tests.oracle.small_jobs import small_job

DAYS = (0.5, 1.0, 1.5, 2.0, 3.0, 5.0, 8.0)
SEEDS = (0, 1, 14, 19, 38)
LONGER = {1, 19}
"""Jobs with kits of several sizes, quickly solved."""


@cache
def by_days(seed):
    """The answer of a random small job at each reserve, solved by itself."""
    needs, stock = small_job(seed)
    found = []
    for days in DAYS:
        other = replace(needs, energy=replace(needs.energy, autonomy_days=days))
        found.append(outcome_of(solve_kit(other, stock)))
    return found


@cache
def by_mass(seed):
    """Limits on mass around that of the cheapest kit, and the answer at each."""
    needs, stock = small_job(seed)
    free = replace(needs, limits=replace(needs.limits, total_kg=None))
    result = solve_kit(free, stock)
    if result.design is None:
        return (), []
    kg = round(total_kg(result.design))
    limits = tuple(float(kg + more) for more in (-12, -6, -2, 1, 4, 9))
    found = [
        outcome_of(solve_kit(replace(free, limits=replace(free.limits, total_kg=most)), stock))
        for most in limits
        if most > 0
    ]
    return tuple(x for x in limits if x > 0), found


def needs_of(outcome):
    """By part all that a bill needs of it."""
    found = Counter()
    for line in outcome.lines:
        found[line.part] += line.need
    return found


def check_followers(chain, answers):
    """Compare what follows from each answer with what was solved; how often anything did."""
    count = 0
    for at, outcome in enumerate(answers):
        for question, follows in chain.reached(at, outcome):
            solved = answers[int(question)]
            assert follows.total == solved.total
            assert follows.status == solved.status
            assert needs_of(follows) == needs_of(solved)
            assert follows.chosen == solved.chosen
            count += 1
    return count


@pytest.mark.slow
def test_what_follows_along_the_reserve_is_what_is_solved():
    """Total, parts and all that is chosen: of several kits of that cost the same one too."""
    names = tuple(str(n) for n in range(len(DAYS)))
    chain = Chain("energy.autonomy_days", True, DAYS, names)
    assert sum(check_followers(chain, by_days(seed)) for seed in SEEDS) >= 20


@pytest.mark.slow
def test_what_follows_along_a_limit_on_mass_is_what_is_solved():
    """The same downwards."""
    count = 0
    for seed in SEEDS:
        limits, answers = by_mass(seed)
        names = tuple(str(n) for n in range(len(limits)))
        count += check_followers(Chain("limits.total_kg", False, limits, names), answers)
    assert count >= 8


@pytest.mark.parametrize(
    "seed", [pytest.param(s, marks=pytest.mark.slow) if s in LONGER else s for s in SEEDS]
)
def test_the_cost_never_falls_as_a_need_grows(seed):
    """More reserve, or less mass allowed, costs as much or more; and a kit lost is not regained."""
    for answers in (by_days(seed), by_mass(seed)[1][::-1]):
        totals = [o.total for o in answers]
        kits = [t for t in totals if t is not None]
        assert kits == sorted(kits)
        assert totals == kits + [None] * (len(totals) - len(kits))


class Desk:
    """Gives answers that are known, and counts how many were asked for."""

    def __init__(self, answers, capacity=2):
        self.answers, self.capacity, self.waiting, self.asked = answers, capacity, [], 0

    def begin(self, key, _needs):
        """Take a question."""
        self.waiting.append(key)
        self.asked += 1

    def take(self):
        """Answer it."""
        key = self.waiting.pop()
        return key, self.answers[int(key)]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_frontier_has_the_steps_of_every_value_solved(seed):
    """Each value is in one step, at its own cost, and the step's kit is a cheapest one there."""
    answers = by_days(seed)
    path = Path("energy.autonomy_days", "energy", None, ("autonomy_days",))
    euro = SimpleNamespace(job=SimpleNamespace(currency="EUR"))
    cells = [
        SimpleNamespace(question=str(n), needs=euro, what=Combination("", ((path, days),)))
        for n, days in enumerate(DAYS)
    ]
    desk = Desk(answers)
    found = climb(
        cells,
        Axis(path, DAYS),
        True,
        Stated(file="needs.toml", tables={}),
        Journal(None),
        desk,
        lambda _text: None,
    )
    totals = [answers[s.cell].total for s in found.stairs for _ in range(s.first, s.last + 1)]
    assert totals == [o.total for o in answers]
    if seed == 38:
        assert len(set(totals)) >= 5
    assert desk.asked <= len(DAYS)
    assert desk.asked == len(found.solved)
