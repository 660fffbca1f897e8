"""Cutting stock: the cheapest lengths from which pieces can be cut, proven.

A *pattern* says how many pieces of each width come out of one length. The programme counts
patterns, packs and metres; its relaxation is solved over all patterns without listing them
(column generation: Gilmore and Gomory, A linear programming approach to the cutting-stock
problem, Operations Research 9, 1961, pages 849-859), and gives a bound. The programme over the
patterns that came up gives a plan. Mostly the plan meets the bound, rounded up to a whole number
of price steps; where it does not, `arc_flow` decides.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from solver import arc_flow
from solver.milp import Programme, solve, solve_relaxed

Terms = list[tuple[int, float]]
Floats = NDArray[np.float64]
Pattern = tuple[int, ...]
"""How many of each width."""

LEAST_STEP = Fraction(1, 10_000)
"""Costs are told apart down to this, in the currency."""

SMALL = 1e-7
"""A pattern whose reduced cost is not below zero by more than this is no gain."""

LOOSE = 1e-6
"""Share of a bound that may be the solver's rounding."""


@dataclass(frozen=True)
class Cuttable:
    """Lengths of one size, from which patterns are cut."""

    mm: int
    given: int
    """There without buying."""
    bought: tuple[tuple[int, int], ...]
    """Deals that bring such lengths, with how many there are in a pack."""


@dataclass(frozen=True)
class Deal:
    """Packs that can be bought."""

    metres_mm: int | None
    """Of metres, how long a pack is: all packs are one length. None for spools."""
    ranges: tuple[tuple[int, int, Decimal], ...]
    """From and up to how many packs a price of one holds."""


@dataclass(frozen=True)
class Task:
    """What is wanted and what there is to cut it from."""

    widths_mm: tuple[int, ...]
    """From the longest."""
    wanted: tuple[int, ...]
    kinds: tuple[Cuttable, ...]
    """From the longest."""
    deals: tuple[Deal, ...]

    @cached_property
    def unit_mm(self) -> int:
        """Every width is a whole number of these."""
        return math.gcd(*self.widths_mm)

    @cached_property
    def step(self) -> Fraction:
        """Every cost is a whole number of these, or is counted as if it were."""
        prices = [Fraction(p) for d in self.deals for _, _, p in d.ranges if p]
        if not prices:
            return Fraction(1)
        below = math.lcm(*(p.denominator for p in prices))
        step = Fraction(math.gcd(*(int(p * below) for p in prices)), below)
        return max(step, LEAST_STEP)


@dataclass(frozen=True)
class Plan:
    """An answer."""

    packs: tuple[int, ...]
    """Of each deal."""
    patterns: tuple[tuple[int, tuple[tuple[int, int], ...], int], ...]
    """Length in mm, pieces by width in mm, how often."""
    metres: Mapping[int, tuple[tuple[int, int], ...]]
    """Of each deal in metres, pieces by width in mm."""


@dataclass
class Frame:
    """A programme with its packs and metres; patterns or arcs are added, then its rows.

    Costs are in steps. With `missing` a piece may stay uncut at a cost of one and nothing else
    costs anything: an answer above zero says that the pieces do not come out.
    """

    task: Task
    missing: bool = False
    p: Programme = field(default_factory=Programme)
    packs: list[Terms] = field(default_factory=list)
    metres: dict[int, list[int]] = field(default_factory=dict)
    need: list[Terms] = field(default_factory=list)
    """By width, what covers it."""
    lengths: list[Terms] = field(default_factory=list)
    """By kind, what takes a length, less what brings one."""

    def __post_init__(self) -> None:
        """Add the columns of packs, levels and metres."""
        task, p = self.task, self.p
        self.need = [[] for _ in task.widths_mm]
        if self.missing:
            self.need = [[(p.column(1.0, upper=float(n)), 1.0)] for n in task.wanted]
        self.packs = [self._deal(deal) for deal in task.deals]
        self.lengths = [
            [(j, -float(each)) for d, each in kind.bought for j, _ in self.packs[d]]
            for kind in task.kinds
        ]
        for d, deal in enumerate(task.deals):
            if deal.metres_mm is not None:
                self._metres(d, deal.metres_mm)

    def _deal(self, deal: Deal) -> Terms:
        p, packs, opened = self.p, [], []
        for start, last, price in deal.ranges:
            cost = 0.0 if self.missing else float(Fraction(price) / self.task.step)
            j = p.column(cost, upper=float(last))
            packs.append((j, 1.0))
            if start > 1 or len(deal.ranges) > 1:
                level = p.column()
                opened.append((level, 1.0))
                p.at_least([(j, 1.0), (level, -float(start))], 0.0, "from")
                p.at_most([(j, 1.0), (level, -float(last))], 0.0, "up to")
        if len(opened) > 1:
            p.at_most(opened, 1.0, "one level")
        return packs

    def _metres(self, number: int, pack_mm: int) -> None:
        p, task = self.p, self.task
        self.metres[number] = [p.column(upper=float(n)) for n in task.wanted]
        for terms, j in zip(self.need, self.metres[number], strict=True):
            terms.append((j, 1.0))
        cut = [
            (j, float(mm)) for j, mm in zip(self.metres[number], task.widths_mm, strict=True)
        ]
        bought = [(j, -float(pack_mm)) for j, _ in self.packs[number]]
        p.at_most(cut + bought, 0.0, "metres")

    def close(self) -> tuple[int, int]:
        """Add the rows of widths and of kinds; where each of the two begins."""
        first = len(self.p.rows)
        for terms, n in zip(self.need, self.task.wanted, strict=True):
            self.p.at_least(terms, float(n), "wanted")
        for terms, kind in zip(self.lengths, self.task.kinds, strict=True):
            self.p.at_most(terms, float(kind.given), "lengths")
        return first, first + len(self.task.wanted)

    def plan(self, values: Floats, patterns: Sequence[tuple[int, Pattern, int]]) -> Plan:
        """The answer in widths."""
        task = self.task
        return Plan(
            tuple(round(sum(float(values[j]) for j, _ in terms)) for terms in self.packs),
            tuple(
                (task.kinds[k].mm, _by_width(task, pattern), times)
                for k, pattern, times in patterns
            ),
            {
                d: _by_width(task, [round(float(values[j])) for j in columns])
                for d, columns in self.metres.items()
            },
        )


def _by_width(task: Task, counts: Sequence[int]) -> tuple[tuple[int, int], ...]:
    return tuple((mm, n) for mm, n in zip(task.widths_mm, counts, strict=True) if n)


@dataclass(frozen=True)
class Duals:
    """What a piece of each width is worth, and a length of each kind, in steps."""

    pieces: Floats
    lengths: Floats


def least(task: Task) -> Plan | None:
    """The plan of least cost; None where the pieces cannot be had."""
    patterns = _first_patterns(task)
    short, _ = _generated(task, patterns, missing=True)
    if short > LOOSE * sum(task.wanted):
        return None
    relaxed, duals = _generated(task, patterns, missing=False)
    bound = math.ceil(relaxed - LOOSE * max(relaxed, 1.0))
    cost, plan = _over(task, patterns)
    if plan is not None and cost < bound + 0.5:
        return plan
    better = arc_flow.cheaper(task, Frame(task), duals, relaxed, cost)
    return plan if better is None else better


def _first_patterns(task: Task) -> list[tuple[int, Pattern]]:
    """From each kind as many as go of one width, then of the next, beginning with each."""
    found: dict[tuple[int, Pattern], None] = {}
    for k, kind in enumerate(task.kinds):
        for first in range(len(task.widths_mm)):
            room, counts = kind.mm, [0] * len(task.widths_mm)
            for i in range(first, len(task.widths_mm)):
                counts[i] = min(task.wanted[i], room // task.widths_mm[i])
                room -= counts[i] * task.widths_mm[i]
            if any(counts):
                found[(k, tuple(counts))] = None
    return list(found)


def _generated(
    task: Task, patterns: list[tuple[int, Pattern]], *, missing: bool
) -> tuple[float, Duals]:
    """The relaxation over all patterns; those that came up are added to the list."""
    known = set(patterns)
    while True:
        frame = Frame(task, missing)
        _with_patterns(frame, patterns)
        pieces, lengths = frame.close()
        answer = solve_relaxed(frame.p)
        if answer.infeasible:
            raise AssertionError("a relaxed plan that lacked nothing is lost")
        duals = Duals(
            np.maximum(answer.row_duals[pieces:lengths], 0.0),
            np.maximum(-answer.row_duals[lengths:], 0.0),
        )
        if missing and answer.objective < LOOSE:
            return 0.0, duals
        new = [x for x in _paying(task, duals) if x not in known]
        if not new:
            return answer.objective, duals
        known.update(new)
        patterns += new


def _with_patterns(frame: Frame, patterns: Sequence[tuple[int, Pattern]]) -> list[int]:
    columns = []
    for k, pattern in patterns:
        most = max(
            math.ceil(n / a) for n, a in zip(frame.task.wanted, pattern, strict=True) if a
        )
        j = frame.p.column(upper=float(most))
        columns.append(j)
        frame.lengths[k].append((j, 1.0))
        for terms, a in zip(frame.need, pattern, strict=True):
            if a:
                terms.append((j, float(a)))
    return columns


def _over(task: Task, patterns: Sequence[tuple[int, Pattern]]) -> tuple[float, Plan | None]:
    """The cheapest plan with these patterns alone."""
    frame = Frame(task)
    columns = _with_patterns(frame, patterns)
    frame.close()
    answer = solve(frame.p, gap=0.4)
    if answer.status != "optimal":
        return math.inf, None
    used = [
        (k, pattern, round(float(answer.values[j])))
        for (k, pattern), j in zip(patterns, columns, strict=True)
        if answer.values[j] > 0.5
    ]
    return answer.objective, frame.plan(answer.values, used)


# --- the pattern that pays best -------------------------------------------------------------------


def _paying(task: Task, duals: Duals) -> list[tuple[int, Pattern]]:
    """For each kind the pattern worth most, where it is worth more than a length."""
    if not task.kinds:
        return []
    unit = task.unit_mm
    best, lots = _knapsack(task, duals.pieces, task.kinds[0].mm // unit)
    found = []
    for k, kind in enumerate(task.kinds):
        room = kind.mm // unit
        if best[-1][room] > duals.lengths[k] + SMALL:
            found.append((k, _read_back(task, best, lots, room)))
    return found


def _knapsack(
    task: Task, worth: Floats, room: int
) -> tuple[list[Floats], list[tuple[int, int]]]:
    """The most that pieces out of each room are worth, lot after lot.

    A width of which n may be taken is 1, 2, 4, … of it, each lot taken or not.
    """
    best, lots = [np.zeros(room + 1)], []
    for i, mm in enumerate(task.widths_mm):
        size = mm // task.unit_mm
        left = min(task.wanted[i], room // size) if worth[i] > 0 else 0
        lot = 1
        while left > 0:
            n = min(lot, left)
            last = best[-1]
            more = last.copy()
            np.maximum(
                last[n * size :],
                last[: room + 1 - n * size] + n * worth[i],
                out=more[n * size :],
            )
            best.append(more)
            lots.append((i, n))
            left -= n
            lot *= 2
    return best, lots


def _read_back(
    task: Task, best: Sequence[Floats], lots: Sequence[tuple[int, int]], room: int
) -> Pattern:
    counts = [0] * len(task.widths_mm)
    for at in range(len(lots), 0, -1):
        i, n = lots[at - 1]
        if best[at][room] != best[at - 1][room]:
            counts[i] += n
            room -= n * (task.widths_mm[i] // task.unit_mm)
    return tuple(counts)
