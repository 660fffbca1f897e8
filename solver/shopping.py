"""Buying a chosen kit from the real suppliers, freight included: a kit, never a bound."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from solver import model as m
from solver import selection as sel
from solver.milp import solve
from solver.placing import Outcome, outcome_of, place
from solver.run import Job
from solver.ties import LOT_GAP, TIE_CENTS, kit_lots, least_lot, purchase_lots

LEAST_S = 2.0
"""Seconds for the order of purchases where the time is up."""

CLOSE_CENTS = 500.0
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
    main = _chosen(keep, options, counts)
    model = m.build(b.setup, main, cuts, floor=False, freight="exact")
    gap, limit_s = sel.MIP_GAP_CENTS, job.one_s()
    answer = solve(model.programme, solver=job.solver, gap=gap, limit_s=limit_s)
    if answer.status != "optimal":
        return None
    return outcome_of(b.setup, sel.counted(model, answer))


def _chosen(keep: m.Keep, options: Iterable[tuple[object, ...]], counts: sel.Counts) -> m.Keep:
    """What is kept without anything that was not chosen."""
    main = sel.only(keep, counts)
    for kind, numbers in sel.lists_of(main).items():
        numbers[:] = [k for k in numbers if counts.get((kind, k), 0.0) > 0.5]
    main.dropped |= {k for k in options if counts.get(k, 0.0) <= 0.5}
    return main


def buy(
    job: Job, b: sel.Bound, keep: m.Keep, kits: tuple[m.KitCut, ...]
) -> Callable[[], Outcome | None] | None:
    """The cheapest purchase of some main parts, by what has been learnt when it is asked for.

    With pooled offers the wiring is chosen once, and what pieces are cut from is told only where
    that wiring is bought: see `without_lengths`.
    """
    cuts = job.cuts(kits)
    freight, gap = "exact", sel.MIP_GAP_CENTS
    if job.pooled:
        cuts, freight, gap = without_lengths(cuts), "none", CLOSE_CENTS
    model = m.build(b.setup, keep, cuts, floor=False, freight=freight)
    answer = solve(model.programme, solver=job.solver, gap=gap, limit_s=job.one_s())
    if answer.status in ("infeasible", "nothing"):
        return None
    counts = sel.counted(model, answer)
    if not job.pooled:
        return lambda: outcome_of(b.setup, counts)
    options = [k for k in model.keys if k[0] in sel.OPTION_KINDS]
    return lambda: from_shops(job, b, keep, job.cuts(kits), options, counts)


def buy_as_wired(
    job: Job, b: sel.Bound, first: sel.First, kits: tuple[m.KitCut, ...]
) -> Callable[[], Outcome | None]:
    """A purchase of some main parts in the wiring that floor prices chose: soon done, a little dear.

    It keeps every rule, as any purchase does. Where the budget, or what there is of a part, does not
    reach for it, `buy` looks among all wiring.
    """
    keep, counts = first.keep, first.counts
    return lambda: from_shops(job, b, keep, job.cuts(kits), first.options, counts)


def placed(
    job: Job,
    b: sel.Bound,
    bought: Callable[[], Outcome | None],
    kits: tuple[m.KitCut, ...],
    least_cents: float,
    *,
    again: bool,
) -> tuple[Outcome | None, tuple[m.KitCut, ...], bool]:
    """Buy and place a kit; where cutting teaches that metres are not enough, buy it `again`.

    Gives what was bought last, what is known of kits, and whether anything else was learnt.
    """
    while True:
        outcome, lengths = bought(), job.lengths
        if outcome is None:
            return None, kits, False
        kits, learnt = place(job, b, outcome, kits, least_cents)
        if not again or job.lengths == lengths:
            return outcome, kits, learnt


def without_lengths(cuts: m.Cuts) -> m.Cuts:
    """The same where a cable's pieces come out of whatever is metres enough.

    A relaxation: the lengths that a kit's pieces come out of are metres enough. To tell of every
    option in a case which of all spools its pieces come from takes many times more columns than
    the rest of the programme has.
    """
    return replace(cuts, lengths=())


def first_by_lot(job: Job) -> None:
    """Of the ways to buy the best kit for what it costs, take the one that comes first by lot."""
    if job.origin is None:
        return
    b, counts = job.origin.b, job.origin.counts
    every = m.build(b.setup, sel.only(job.origin.keep, counts), m.Cuts(), floor=False).keys
    options = [k for k in every if k[0] in sel.OPTION_KINDS]
    keep = _chosen(job.origin.keep, options, counts)
    undecided, learnt = job.undecided_cents, True
    while learnt:
        outcome, lengths = _least_purchase(job, b, keep, counts), job.lengths
        if outcome is not None:
            place(job, b, outcome, (), b.cents)
        # cutting may teach that metres are not enough; what else placing says of the kit that is
        # the best already, with less time than it had, teaches nothing
        learnt = job.lengths != lengths
    job.undecided_cents = undecided


def _least_purchase(job: Job, b: sel.Bound, keep: m.Keep, counts: sel.Counts) -> Outcome | None:
    model = m.build(b.setup, keep, job.cuts(()), floor=False, freight="exact")
    p = model.programme
    for j, (key, n) in enumerate(zip(model.keys, kit_lots(b.setup, model.keys), strict=True)):
        if n:
            p.equal([(j, 1.0)], round(counts.get(key, 0.0)), "the best kit")
    least_lot(p, purchase_lots(b.setup, model.keys), job.best.cents + TIE_CENTS)
    left = job.left_s()
    limit_s = None if left is None else max(left, LEAST_S)
    answer = solve(p, solver=job.solver, gap=LOT_GAP, limit_s=limit_s, stopped=job.stopped)
    if answer.status not in ("optimal", "stopped"):
        return None
    return outcome_of(b.setup, sel.counted(model, answer))
