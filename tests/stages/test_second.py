"""A second opinion: another solver on the final programme, and what becomes of its answer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from solver import second
from solver.kit import solve_kit
from solver.milp import INF, MipAnswer, has_cbc, solve
from tests.oracle.small_jobs import small_job

SEEDS = [1, 5, 12, 31]
"""Small jobs with a kit that is proven the cheapest."""


@pytest.fixture(autouse=True)
def _cbc_is_there():
    """Without the second solver there is no second opinion."""
    if not has_cbc():
        pytest.skip("CBC is not installed")


def asked(seed, **more):
    """The answer to a small job, with a second opinion."""
    return solve_kit(*small_job(seed), opinion_s=60.0, **more)


def answering(monkeypatch, change):
    """Let the second solver's answers be changed; gives the limits it was called with."""
    limits = []

    def changed(p, *, solver, limit_s, gap, stopped):
        answer = solve(p, solver=solver, limit_s=limit_s, gap=gap, stopped=stopped)
        limits.append(limit_s)
        return change(answer) if solver == second.SECOND else answer

    monkeypatch.setattr(second, "solve", changed)
    return limits


@pytest.mark.parametrize("seed", SEEDS)
def test_both_find_the_total_over_the_whole_setting(seed):
    """The least cost of all that the proof leaves is the kit's, whoever computes it."""
    result = asked(seed)
    assert result.status == "optimal"
    opinion = result.opinion
    assert (opinion.said, opinion.programme, opinion.solver) == ("agrees", "setting", "CBC")
    assert opinion.first == opinion.second == result.total
    assert opinion.columns > 100


def test_a_programme_that_is_too_large_gives_way_to_the_case_of_the_kit(monkeypatch):
    """The second solver is slow; a smaller programme with the kit in it is better than none."""
    monkeypatch.setattr(second, "MOST_COLUMNS", 10)
    result = asked(SEEDS[0])
    assert result.opinion.programme == "case"
    assert result.opinion.second == result.total


@pytest.mark.parametrize("cents", [-900.0, 900.0])
def test_a_disagreement_is_a_failure_with_both_figures(monkeypatch, cents):
    """A kit is not handed out as the cheapest where two solvers find different costs."""
    answering(monkeypatch, lambda a: replace(a, objective=a.objective + cents))
    total = solve_kit(*small_job(SEEDS[0])).total
    with pytest.raises(AssertionError, match="the two solvers disagree") as failure:
        asked(SEEDS[0])
    said = str(failure.value)
    assert f"highs: {total:.2f}" in said
    assert f"cbc: {float(total) + cents / 100:.2f}" in said


def test_no_answer_by_one_is_a_disagreement(monkeypatch):
    """The kit itself is an answer of the programme."""
    answering(monkeypatch, lambda a: MipAnswer("infeasible", INF, INF, np.zeros(len(a.values))))
    with pytest.raises(AssertionError, match="cbc: no answer"):
        asked(SEEDS[0])


def test_an_unfinished_answer_below_the_bound_is_a_failure(monkeypatch):
    """It need not be done to show that a bound is wrong."""
    answering(monkeypatch, lambda a: replace(a, status="stopped", objective=a.objective - 900))
    with pytest.raises(AssertionError, match="not between the lower bound and the total"):
        asked(SEEDS[0])


def test_no_opinion_in_the_time_is_told_as_that(monkeypatch):
    """An answer that is not done counts for nothing, and has the time that was given."""
    limits = answering(monkeypatch, lambda a: replace(a, status="stopped"))
    result = asked(SEEDS[0])
    assert limits == [60.0, 60.0]
    assert (result.opinion.said, result.opinion.second) == ("no time", None)
    assert result.opinion.first == result.total


def test_asked_to_stop_there_is_no_opinion():
    """The kit is wanted now, not a second opinion on it."""
    result = asked(SEEDS[0], stopped=lambda: True)
    assert result.design is not None
    assert (result.opinion.said, result.opinion.first) == ("interrupted", None)


def test_without_a_kit_there_is_nothing_to_have_an_opinion_on():
    """And without being asked for, none is given."""
    assert asked(3).opinion is None
    assert solve_kit(*small_job(SEEDS[0])).opinion is None


def test_what_an_unfinished_solver_relaxed_counts_for_nothing(monkeypatch):
    """Halves of parts cost less than any kit; that shows nothing wrong with the bound."""

    def relaxed(answer):
        return replace(
            answer, status="stopped", objective=answer.objective - 900, values=answer.values / 2
        )

    answering(monkeypatch, relaxed)
    assert asked(SEEDS[0]).opinion.said == "no time"
