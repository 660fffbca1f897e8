"""A second opinion: another solver on the final programme, its answer held against the first's.

The programme buys from the real suppliers, freight included, and the kit in hand is one of its
answers. So its least cost lies between the lower bound and the total, whoever computes it, and
two solvers that share no code must find the same.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from decimal import Decimal

from solver import model as m
from solver import selection as sel
from solver.milp import MipAnswer, Programme, solve
from solver.records import Opinion, Result
from solver.run import Job, money

SECOND = "cbc"

MOST_COLUMNS = 1500
"""A larger programme is not put to the second solver: the case is, in which the kit was found."""

SAME_CENTS = 1.0
"""Answers no further apart are the same: each is proven to `MIP_GAP_CENTS`."""


@dataclass(frozen=True)
class _Asked:
    """The programme put to both."""

    scope: str
    model: m.Model


def second_opinion(
    job: Job,
    result: Result,
    full: sel.Bound | None,
    kits: tuple[m.KitCut, ...],
    limit_s: float,
) -> Opinion:
    """Put the final programme to both solvers.

    Parameters
    ----------
    job : Job
        With a best kit and where it was found.
    result : Result
        The answer, with total and bound.
    full : Bound, optional
        The kit's setting with all wiring; None where no proof of it was begun.
    kits : tuple of KitCut
        What placing taught in that setting.
    limit_s : float
        Most seconds for each solver.

    Raises
    ------
    AssertionError
        If the two disagree, or an answer is below the bound or above the total.
    """
    asked = _asked(job, full, kits)
    p = asked.model.programme
    p.at_most(p.priced, job.best.cents + SAME_CENTS, "no dearer than the kit")
    job.progress(f"second opinion: {len(p.cost)} columns, {len(p.rows)} rows")
    answers: list[MipAnswer] = []
    for solver in (job.solver, SECOND):
        if job.stopped():
            break
        answers.append(
            solve(p, solver=solver, limit_s=limit_s, gap=sel.MIP_GAP_CENTS, stopped=job.stopped)
        )
        job.progress(f"second opinion: {solver} says {_words(answers[-1])}")
    _compare(job, result, answers, p)
    first, second = (_amount(a) for a in [*answers, None, None][:2])
    agrees = first is not None and second is not None
    return Opinion(
        solver=SECOND.upper(),
        programme=asked.scope,
        columns=len(p.cost),
        rows=len(p.rows),
        said="agrees" if agrees else "interrupted" if job.stopped() else "no time",
        first=first,
        second=second,
        limit_s=limit_s,
    )


def _asked(job: Job, full: sel.Bound | None, kits: tuple[m.KitCut, ...]) -> _Asked:
    """The whole setting where that is not too large, else the case."""
    if full is not None:
        most = job.best.cents + SAME_CENTS
        tight = sel.tighten(full, most, job.solver)
        if tight is not None:
            keep = sel.promising(tight, most - tight.cents)
            model = m.build(full.setup, keep, job.cuts(kits), floor=False)
            if len(model.keys) <= MOST_COLUMNS:
                return _Asked("setting", model)
    if job.origin is None:
        raise AssertionError("a kit that was found nowhere")
    b = job.origin.b
    # every supplier may send again, so what counted on one being closed goes
    keep = replace(job.origin.keep, shops={}, array_least={}, array_least_with={})
    return _Asked("case", m.build(b.setup, keep, job.cuts(kits), floor=False))


def _compare(job: Job, result: Result, answers: list[MipAnswer], p: Programme) -> None:
    """Refuse to go on where an answer cannot be."""
    if result.kit_bound is None:
        raise AssertionError("a kit without a bound")
    low = float(result.kit_bound) * m.CENTS - SAME_CENTS
    high = job.best.cents + SAME_CENTS
    done = [a for a in answers if a.status in ("optimal", "infeasible")]
    # a solver that was stopped may hand out what it relaxed for an answer
    found = [
        a
        for a in answers
        if a.status == "optimal" or (a.status == "stopped" and p.holds(a.values))
    ]
    apart = len(done) == 2 and abs(done[0].objective - done[1].objective) > SAME_CENTS
    if apart or any(a.status == "infeasible" for a in done):
        wrong = "the two solvers disagree"
    elif any(a.objective < low for a in found) or any(a.objective > high for a in done):
        wrong = "the least cost is not between the lower bound and the total"
    else:
        return
    said = "; ".join(
        f"{solver}: {_words(a)}"
        for solver, a in zip((job.solver, SECOND), answers, strict=False)
    )
    raise AssertionError(
        f"second opinion: {wrong}: {said}; lower bound {result.kit_bound}, "
        f"total {result.kit_total} {result.currency}, both without small parts"
    )


def _words(answer: MipAnswer) -> str:
    if answer.status == "infeasible":
        return "no answer"
    if answer.status == "nothing":
        return "nothing in the time"
    return money(answer.objective) + ("" if answer.status == "optimal" else ", not done")


def _amount(answer: MipAnswer | None) -> Decimal | None:
    if answer is None or answer.status != "optimal":
        return None
    return (Decimal(repr(answer.objective)) / 100).quantize(Decimal("0.01"))
