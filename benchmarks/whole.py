"""The named baseline `all columns`: our own programme, whole, with every candidate in it.

One integer programme a setting: every array, bank, inverter, charger and way to distribute is a
column at once, nothing is priced in, fixed by its reduced cost, narrowed or split into cases, and
the solver is given it as it is. Wiring is thinned only by what is surely saved, the argument that
every proof rests on; the programme without it is larger still.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass

from solver import model, selection
from solver.candidates import candidates, lacking, settings
from solver.market import market
from solver.milp import solve
from solver.needs import Needs
from solver.stock import Stock
from solver.wiring import shelf


@dataclass(frozen=True)
class Whole:
    """What the whole programmes came to."""

    total: float | None
    """In the job's currency; None where no answer was found."""
    proven: bool
    """Every setting was solved to the end."""
    columns: int
    rows: int


def solve_whole(needs: Needs, stock: Stock, limit_s: float) -> Whole:
    """The cheapest kit by the whole programmes, setting by setting, within so many seconds."""
    end = time.monotonic() + limit_s
    mkt = market(needs, stock)
    parts = shelf(needs, mkt)
    best, proven, columns, rows = math.inf, True, 0, 0
    for setting in settings(needs, mkt):
        if lacking(candidates(needs, mkt, setting)):
            continue
        weighs = needs.limits.total_kg is not None
        setup = selection.setup_for(
            needs, mkt, parts, setting, pooled=False, weighs=weighs, exact=True
        )
        keep = selection.everything(setup)
        if keep is None:
            continue
        programme = model.build(setup, keep, model.Cuts(), floor=False).programme
        columns += len(programme.cost)
        rows += len(programme.rows)
        left = max(1.0, end - time.monotonic())
        answer = solve(programme, limit_s=left, gap=selection.MIP_GAP_CENTS)
        best = min(best, answer.objective / model.CENTS)
        proven = proven and answer.status in ("optimal", "infeasible")
    return Whole(None if math.isinf(best) else best, proven, columns, rows)
