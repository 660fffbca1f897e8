"""Cutting stock from the literature: ours beside the whole arc flow in one programme.

The baseline has an arc for each width from each point of a length, and one over each unit of
waste, as J. M. Valério de Carvalho (1999) states it, solved by the solver that ours uses too.
"""

from __future__ import annotations

import csv
import math
from collections import Counter, defaultdict
from decimal import Decimal

from benchmarks.common import ROOT, Comparison, spent, told
from bom.job import silenced_output
from solver.cutting import Sold, cheapest
from solver.milp import MipAnswer, Programme, solve

DATA = ROOT / "tests" / "published" / "data"

MOST_S = 1.0
"""The target: seconds for the paper mill's 73 rolls."""

LIMIT_S = 120.0
"""The baseline is not waited for any longer."""

INSTANCES = ("paper_mill_5600", "rolls_100", "falkenauer_u120_00")


def published(*, quick: bool) -> list[Comparison]:
    """The paper mill, and two more that a count by metres does not decide."""
    return [_beside_the_flow(name) for name in INSTANCES[: 1 if quick else None]]


def _beside_the_flow(name: str) -> Comparison:
    (row,) = (x for x in _rows("instances") if x["instance"] == name)
    pieces = [
        int(x["piece_length"])
        for x in _rows("demand")
        if x["instance"] == name
        for _ in range(int(x["demand"]))
    ]
    length, known = int(row["stock_length"]), int(row["optimum_rolls"])
    with silenced_output():
        bought, ours = spent(lambda: cheapest(pieces, [Sold("r", length, ((1, Decimal(1)),))]))
        flow, baseline = spent(lambda: _whole_flow(pieces, length))
    found = 0 if bought is None else bought.packs[0]
    stopped = flow.status != "optimal"
    told(f"(g) {name}: {found} rolls, {ours.seconds:.2f} s; flow {baseline.seconds:.1f} s")
    wrong = "" if found == known else f"{found} rolls, and {known} are known to be enough"
    if not stopped and round(flow.objective) != found:
        wrong = f"{found} rolls, by the flow {flow.objective:g}"
    return Comparison(
        key="g",
        what=f"cutting stock, {name}, {found} rolls",
        ours_s=ours.seconds,
        baseline_s=baseline.seconds,
        ratio=baseline.seconds / ours.seconds,
        cpu_ratio=None if stopped else baseline.cpu_s / ours.cpu_s,
        target=f"≤ {MOST_S:g} s",
        met=ours.seconds <= MOST_S,
        stopped=stopped,
        figures={"pieces": len(pieces), "flow ends": flow.status},
        wrong=wrong,
    )


def _rows(name: str) -> list[dict[str, str]]:
    with (DATA / f"cutting_stock_{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _whole_flow(pieces: list[int], length: int) -> MipAnswer:
    wanted = Counter(pieces)
    unit = math.gcd(*wanted)
    end = length // unit
    p = Programme()
    flow: defaultdict[int, list[tuple[int, float]]] = defaultdict(list)
    for mm, n in sorted(wanted.items(), reverse=True):
        size = mm // unit
        arcs = [(a, p.column(upper=float(n))) for a in range(end - size + 1)]
        p.at_least([(j, 1.0) for _, j in arcs], float(n), "wanted")
        for a, j in arcs:
            flow[a].append((j, -1.0))
            flow[a + size].append((j, 1.0))
    for a in range(end):
        waste = p.column(upper=float(len(pieces)))
        flow[a].append((waste, -1.0))
        flow[a + 1].append((waste, 1.0))
    rolls = p.column(1.0, upper=float(len(pieces)))
    flow[0].append((rolls, 1.0))
    flow[end].append((rolls, -1.0))
    for a in range(end + 1):
        p.equal(flow[a], 0.0, "flow")
    return solve(p, limit_s=LIMIT_S, gap=0.4)
