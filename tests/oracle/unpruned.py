"""The whole programme with nothing left out of it: every candidate, every way to wire, every deal.

One integer programme a setting, solved as it is: no bound over all candidates, no prices in,
no thinning, no reduced costs, no cases, no rows that only sharpen bounds. What a kit is stands in
`solver.model`, and brute force holds that to account; this holds to account what is left out of
it before a kit is found.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from typing import Any
from unittest import mock

import numpy as np

from solver import groups
from solver import market as prices
from solver import model as m
from solver import selection as sel
from solver.candidates import Setting, settings
from solver.choice import choice_of
from solver.market import market
from solver.milp import MipAnswer, solve
from solver.needs import Needs
from solver.placing import Outcome, place
from solver.run import Job, quiet
from solver.stock import Stock
from solver.wiring import Option, shelf

MOST_ARRAYS = 24
"""Up to so many equal arrays make a kit."""


@dataclass
class Whole:
    """What came of it."""

    cents: float = math.inf
    """Of the cheapest kit, built and billed; infinite where there is none."""
    bound: float = math.inf
    """Proven: none is below it."""
    columns: int = 0
    solved: int = 0
    """How many whole programmes."""
    unplaced: float = math.inf
    """The least that a setting's first answer cost, before anything was placed or cut."""


def unpruned(
    needs: Needs,
    stock: Stock,
    *,
    under: float = math.inf,
    limit_s: float | None = None,
    sharpened: bool = False,
) -> Whole:
    """The cheapest kit by one programme a setting, made anew where placing or cutting teaches.

    Parameters
    ----------
    needs, stock
        The job.
    under : float
        Only kits that cost no more cents than this are looked for.
    limit_s : float, optional
        Most seconds for each programme; the bound then stays below the kit.
    sharpened : bool
        With the rows that only sharpen bounds: for what takes too long without.
    """
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    whole = Whole()
    for setting in settings(needs, mkt):
        with _nothing_left_out(sharpened=sharpened):
            _solve(job, setting, under, limit_s, whole)
    if job.best.design is not None:
        whole.cents = job.best.cents
    return whole


def _solve(
    job: Job, setting: Setting, under: float, limit_s: float | None, whole: Whole
) -> None:
    setup = _setup(job, setting)
    keep = sel.everything(setup)
    if keep is None:
        return
    kits: tuple[m.KitCut, ...] = ()
    b = sel.Bound(setup, 0.0, np.zeros(0), {})
    first = True
    while True:
        model = m.build(setup, keep, job.cuts(kits), floor=False, freight="exact")
        found = _solved(model, under, limit_s)
        whole.solved += 1
        whole.columns = max(whole.columns, len(model.keys))
        if found.status not in ("optimal", "stopped"):
            break
        if first:
            whole.unplaced = min(whole.unplaced, found.objective)
        first = False
        outcome = Outcome(choice_of(setup, sel.counted(model, found)))
        kits, learnt = place(job, b, outcome, kits, 0.0)
        if not learnt:
            break
    if found.status != "infeasible":
        whole.bound = min(whole.bound, found.bound)


def _solved(model: m.Model, under: float, limit_s: float | None) -> MipAnswer:
    p, finite = model.programme, math.isfinite(under)
    if finite:
        p.at_most([(j, c) for j, c in enumerate(p.cost) if c], under, "under")
    return solve(p, limit_s=limit_s, gap=sel.MIP_GAP_CENTS, proving=finite)


def _setup(job: Job, setting: Setting) -> m.Setup:
    """The setting with all wiring, weighed, and as many equal arrays as a kit may have."""
    setup = sel.setup_for(
        job.needs, job.market, job.shelf, setting, pooled=False, weighs=True, exact=True
    )
    arrays = setup.found.arrays
    many = replace(arrays, most=np.full(len(arrays), MOST_ARRAYS))
    return replace(setup, found=replace(setup.found, arrays=many))


@contextmanager
def _nothing_left_out(*, sharpened: bool) -> Iterator[None]:
    """Wiring unthinned, every price level, and no rows but those that say what a kit is."""
    with ExitStack() as stack:

        def put(where: Any, name: str, what: Any) -> None:
            stack.enter_context(mock.patch.object(where, name, what))

        put(groups, "thin", _all_of_them)
        put(prices, "useful_levels", _all_levels)
        if not sharpened:
            for rows in ("_cover", "_first_cost", "_hub_lugs_cost", "_panels_cost"):
                put(m._Builder, rows, lambda *_: None)
        yield


def _all_of_them(_pricer: Any, found: Sequence[Option], **_: Any) -> list[Option]:
    return list(found)


def _all_levels(deal: Any, _enough: int, _saved: Any) -> list[Any]:
    return list(deal.levels)
