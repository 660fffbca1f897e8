"""The cheapest lengths to cut pieces from, by a flow and another solver: no code is shared.

One graph for each way to have a length: points between 0 and its length, an arc over each piece. Prices, packs and stock as stated; what is owned is there.
"""

from __future__ import annotations

import random
from collections import Counter, defaultdict
from collections.abc import Sequence
from decimal import Decimal

from ortools.linear_solver import pywraplp

from solver.cutting import Length, Sold

UNIT_MM = 100
"""Every length of a drawn job is a whole number of these."""


def cheapest_by_flow(
    pieces_mm: Sequence[int], sold: Sequence[Sold], owned: Sequence[Length]
) -> Decimal | None:
    """The least cost, or None where the pieces cannot be had."""
    s = pywraplp.Solver.CreateSolver("SCIP")
    s.SetNumThreads(1)
    wanted = Counter(mm // UNIT_MM for mm in pieces_mm)
    covers: dict[int, list] = {w: [] for w in wanted}
    cents = []
    for x in owned:
        _graph(s, x.mm // UNIT_MM, 1, wanted, covers)
    for x in sold:
        packs, cost = _packs(s, x, pieces_mm)
        cents.append(cost)
        if x.spools:
            _graph(s, x.mm // UNIT_MM, packs * x.spools, wanted, covers)
            continue
        counts = {w: s.IntVar(0, n, "") for w, n in wanted.items()}
        s.Add(s.Sum([w * c for w, c in counts.items()]) <= x.mm // UNIT_MM * packs)
        for w, c in counts.items():
            covers[w].append(c)
    for w, n in wanted.items():
        s.Add(s.Sum(covers[w]) >= n)
    s.Minimize(s.Sum(cents))
    exact = pywraplp.MPSolverParameters()
    exact.SetDoubleParam(pywraplp.MPSolverParameters.RELATIVE_MIP_GAP, 0.0)
    status = s.Solve(exact)
    if status == pywraplp.Solver.INFEASIBLE:
        return None
    assert status == pywraplp.Solver.OPTIMAL
    return Decimal(round(s.Objective().Value())) / 100


def _packs(s, sold, pieces_mm):
    """How many packs, and what they cost in cents: one number of packs is chosen."""
    most = len(pieces_mm) if sold.spools else sum(pieces_mm) // sold.mm + 1
    most = max(most, sold.levels[-1][0])
    most = most if sold.most_packs is None else min(most, sold.most_packs)
    numbers = [n for n in range(most + 1) if n == 0 or n >= sold.levels[0][0]]
    chosen = [s.BoolVar("") for _ in numbers]
    s.Add(s.Sum(chosen) == 1)
    packs = s.Sum([n * x for n, x in zip(numbers, chosen, strict=True)])
    return packs, s.Sum(
        [int(sold.cost(n) * 100) * x for n, x in zip(numbers, chosen, strict=True)]
    )


def _graph(s, length, number, wanted, covers):
    """At most so many ways from 0 to the length's end, the longest pieces first."""
    into, out = defaultdict(list), defaultdict(list)
    points = {0}
    for w in sorted(wanted, reverse=True):
        starts = {
            p + k * w for p in points for k in range(wanted[w]) if p + (k + 1) * w <= length
        }
        for a in sorted(starts):
            arc = s.IntVar(0, wanted[w], "")
            out[a].append(arc)
            into[a + w].append(arc)
            covers[w].append(arc)
        points |= {a + w for a in starts}
    s.Add(s.Sum(out[0]) <= number)
    for a in points - {0}:
        s.Add(s.Sum(out[a]) <= s.Sum(into[a]))


def cutting_job(seed: int) -> tuple[list[int], list[Sold], list[Length]]:
    """Pieces, what is sold and what is owned, drawn from a seed."""
    r = random.Random(f"cutting {seed}")
    widths = [UNIT_MM * r.randint(4, 60) for _ in range(r.randint(1, 8))]
    pieces = [r.choice(widths) for _ in range(r.randint(2, 24))]
    sold = []
    per_m = r.randint(80, 700)
    for k in range(r.randint(1, 3)):
        metres = r.random() < 0.25
        mm = UNIT_MM * (r.choice((10, 5, 50)) if metres else r.randint(30, 120))
        spools = None if metres else r.choice((1, 1, 1, 1, 2, 3))
        cents = max(5, round(mm / 1000 * (spools or 1) * per_m * r.uniform(0.85, 1.25)))
        first = r.choice((1, 1, 1, 1, 1, 2))
        levels = [(first, Decimal(cents) / 100)]
        while r.random() < 0.3:
            start, price = levels[-1]
            lower = (price * Decimal(r.choice(("0.7", "0.8", "0.9", "0.95", "1.1")))).quantize(
                Decimal("0.01")
            )
            levels.append((start + r.randint(1, 5), lower))
        most = r.randint(1, 4) if r.random() < 0.2 else None
        sold.append(Sold(f"way {k}", mm, tuple(levels), spools, most))
    owned = [
        Length(f"own {k}", UNIT_MM * r.randint(4, 90)) for k in range(r.choice((0, 0, 0, 1, 2)))
    ]
    return pieces, sold, owned
