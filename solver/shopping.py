"""Buying a chosen kit from the real suppliers, freight included: a kit, never a bound."""

from __future__ import annotations

from collections.abc import Iterable

from solver import model as m
from solver import selection as sel
from solver.choice import choice_of
from solver.milp import solve
from solver.placing import Outcome
from solver.run import Job

CLOSE_CENTS = 200.0
"""A first purchase is sought no closer than this: the proof finds what is cheaper."""


def from_shops(
    job: Job,
    b: sel.Bound,
    keep: m.Keep,
    cuts: m.Cuts,
    options: Iterable[tuple[object, ...]],
    counts: sel.Counts,
) -> Outcome | None:
    """Buy a kit that was found with pooled offers from the real suppliers, freight included."""
    main = sel.only(keep, counts)
    for kind, numbers in sel.lists_of(main).items():
        numbers[:] = [k for k in numbers if counts.get((kind, k), 0.0) > 0.5]
    chosen = {k for k in options if counts.get(k, 0.0) > 0.5}
    main.dropped = keep.dropped | (set(options) - chosen)
    model = m.build(b.setup, main, cuts, floor=False, freight="exact")
    answer = solve(model.programme, solver=job.solver, gap=sel.MIP_GAP_CENTS)
    if answer.status != "optimal":
        return None
    return Outcome(choice_of(b.setup, sel.counted(model, answer)), answer.objective)


def buy(job: Job, b: sel.Bound, keep: m.Keep, cuts: m.Cuts) -> Outcome | None:
    """The cheapest purchase of some main parts."""
    model = m.build(b.setup, keep, cuts, floor=False, freight="none" if job.pooled else "exact")
    gap = CLOSE_CENTS if job.pooled else sel.MIP_GAP_CENTS
    answer = solve(model.programme, solver=job.solver, gap=gap)
    if answer.status in ("infeasible", "nothing"):
        return None
    counts = sel.counted(model, answer)
    if job.pooled:
        options = [k for k in model.keys if k[0] in sel.OPTION_KINDS]
        return from_shops(job, b, keep, cuts, options, counts)
    return Outcome(choice_of(b.setup, counts), answer.objective)
