"""Cutting stock as a flow: what decides where patterns that came up by price do not.

A length is a way through the points 0 … mm: an arc over each piece, the longest first, the rest
to its end. Every set of pieces that comes out of a length is such a way, so the programme of
arcs has every plan in it (J. M. Valério de Carvalho, Exact solution of bin-packing problems
using column generation and branch-and-bound, Annals of Operations Research 86, 1999, pages
629-659). Arcs on no way that a plan under the known cost could take are left out.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray  # noqa: TC002  beside numpy, as everywhere

from solver.milp import solve

if TYPE_CHECKING:
    from solver.patterns import Duals, Frame, Pattern, Plan, Task

Arc = tuple[int, int, int]
"""From, to, and the number of the width."""

MARGIN = 1e-3
"""In steps: reduced costs are floating-point."""


def cheaper(task: Task, frame: Frame, duals: Duals, relaxed: float, cost: float) -> Plan | None:
    """The cheapest plan that costs less than `cost`, in steps; None where there is none.

    `relaxed` is the value of the relaxation over all patterns, `duals` its duals: a plan with a
    pattern of reduced cost r costs at least `relaxed` + r.
    """
    room = math.inf if cost == math.inf else cost - 0.5 - relaxed + MARGIN
    arcs = _useful(task, _arcs(task), duals, room)
    points = sorted({0, *(q for _, q, _ in arcs)})
    flow: defaultdict[int, list[tuple[int, float]]] = defaultdict(list)
    columns: dict[Arc, int] = {}
    for a, b, i in arcs:
        j = frame.p.column(upper=float(task.wanted[i]))
        columns[(a, b, i)] = j
        frame.need[i].append((j, 1.0))
        flow[a].append((j, -1.0))
        flow[b].append((j, 1.0))
    ends: dict[tuple[int, int], int] = {}
    for k, kind in enumerate(task.kinds):
        begun = []
        for point in points:
            if point and point <= kind.mm // task.unit_mm:
                j = frame.p.column(upper=float(sum(task.wanted)))
                ends[(point, k)] = j
                flow[point].append((j, -1.0))
                begun.append((j, 1.0))
        frame.lengths[k] += begun
        flow[0] += begun
    for point in points:
        frame.p.equal(flow[point], 0.0, "flow")
    frame.close()
    if cost < math.inf:
        frame.p.at_most(frame.p.priced, cost - 0.5, "cheaper")
    answer = solve(frame.p, gap=0.4)
    if answer.status != "optimal":
        return None
    return frame.plan(answer.values, _ways(task, answer.values, columns, ends))


def _arcs(task: Task) -> list[Arc]:
    """Every arc that a length of pieces, the longest first, may take."""
    longest = task.kinds[0].mm // task.unit_mm if task.kinds else 0
    found: list[Arc] = []
    reached = {0}
    for i, mm in enumerate(task.widths_mm):
        size = mm // task.unit_mm
        most = task.wanted[i]
        starts = set()
        for point in reached:
            for n in range(min(most, (longest - point) // size)):
                starts.add(point + n * size)
        found += [(a, a + size, i) for a in sorted(starts)]
        reached |= {a + size for a in starts}
    return found


def _useful(task: Task, arcs: list[Arc], duals: Duals, room: float) -> list[Arc]:
    """Those on a way whose reduced cost is within the room."""
    if room == math.inf:
        return arcs
    longest = task.kinds[0].mm // task.unit_mm if task.kinds else 0
    before, after = np.full(longest + 1, -math.inf), np.full(longest + 1, -math.inf)
    before[0] = 0.0
    for k, kind in enumerate(task.kinds):
        end = kind.mm // task.unit_mm + 1
        after[:end] = np.maximum(after[:end], -duals.lengths[k])
    for a, b, i in sorted(arcs):
        before[b] = max(before[b], before[a] + duals.pieces[i])
    for a, b, i in sorted(arcs, reverse=True):
        after[a] = max(after[a], after[b] + duals.pieces[i])
    return [(a, b, i) for a, b, i in arcs if -(before[a] + duals.pieces[i] + after[b]) <= room]


def _ways(
    task: Task,
    values: NDArray[np.float64],
    columns: dict[Arc, int],
    ends: dict[tuple[int, int], int],
) -> list[tuple[int, Pattern, int]]:
    """The flow taken apart: kind, pattern, how often."""
    onward: defaultdict[int, Counter[tuple[int, int]]] = defaultdict(Counter)
    for (a, b, i), j in columns.items():
        onward[a][(b, i)] += round(float(values[j]))
    closing: defaultdict[int, Counter[int]] = defaultdict(Counter)
    for (point, k), j in ends.items():
        closing[point][k] += round(float(values[j]))
    found: Counter[tuple[int, Pattern]] = Counter()
    while onward[0].total():
        point, counts = 0, [0] * len(task.widths_mm)
        while not (point and closing[point].total()):
            b, i = next(x for x, n in onward[point].items() if n > 0)
            onward[point][(b, i)] -= 1
            counts[i] += 1
            point = b
        k = next(x for x, n in closing[point].items() if n > 0)
        closing[point][k] -= 1
        found[(k, tuple(counts))] += 1
    return [(k, pattern, n) for (k, pattern), n in found.items()]
