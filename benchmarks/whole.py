"""The named baseline `all columns`: our own programme, whole, with every candidate in it.

One integer programme a setting: every array, bank, inverter, charger and way to distribute is a
column at once, and so is every way to wire every circuit. Nothing is priced in, fixed by its
reduced cost, thinned, narrowed or split into cases; the solver is given it as it is, with the
rows that our programme has for all its columns.
"""

from __future__ import annotations

import math
import time
from dataclasses import dataclass

from solver import model, selection
from solver.candidates import Setting, candidates, lacking, settings
from solver.groups import Pricer, most_metres, wiring
from solver.market import Market, market
from solver.milp import solve
from solver.needs import Needs
from solver.stock import Stock
from solver.wiring import Shelf, shelf


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
        setup = _setup(needs, mkt, parts, setting)
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


@dataclass
class Unthinned(Pricer):
    """Prices by which no way to wire a circuit is ever left out for another.

    One is left out where taking it out of an order is worth at least what the other adds to it.
    """

    def worth(self, name: str, taken: float) -> float:
        """Nothing, whatever is taken out."""
        return 0.0


def _setup(needs: Needs, mkt: Market, parts: Shelf, setting: Setting) -> model.Setup:
    found = candidates(needs, mkt, setting)
    pricer = Unthinned(
        needs=needs,
        market=mkt,
        shelf=parts,
        most=most_metres(needs, parts, found),
        hub_studs=selection.hub_studs(found, parts),
        weighs=needs.limits.total_kg is not None,
    )
    return model.Setup(needs, found, wiring(needs, parts, pricer, found), pricer)
