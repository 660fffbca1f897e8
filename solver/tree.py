"""The proof of a setting: cases split until a bound or a solved programme closes each.

A case is a set of candidates that a kit cheaper than the best could be made of. Its relaxed
programme with real purchases gives a bound; what its reduced costs rule out is dropped. Cases
are split by inverter, bank, other ways in and by what is decided of each supplier's freight, and
the least bound is looked at first. A case whose bound reaches the goal is closed; one that is
small is solved as a whole programme. Every kit is in some case, so the least bound of the cases
that are not closed is a bound for the setting.
"""

from __future__ import annotations

import heapq
import math
from dataclasses import dataclass, field, replace

import numpy as np

from solver import model as m
from solver import selection as sel
from solver.choice import choice_of
from solver.milp import LpAnswer, MipAnswer, solve, solve_relaxed
from solver.placing import Outcome, place
from solver.run import Job, money
from solver.shopping import from_shops

ROUNDS = 3
"""How often what a relaxed programme rules out is dropped and the rest solved again."""

SMALL_GAP = 0.006
"""A case with no more than this between bound and goal, as a share, is solved whole."""

SMALL_GAP_DECIDED = 0.008
"""The same where no supplier's freight is to be decided: the whole programme is then easier."""

FEW_DROPPED = 0.9
"""Dropping goes on while it leaves less than this share of the columns."""


@dataclass(order=True)
class Case:
    """Candidates that a cheaper kit could be made of, with a bound."""

    bound: float
    number: int
    keep: m.Keep = field(compare=False)
    ways_known: bool = field(default=False, compare=False)


@dataclass
class Ended:
    """How the proof of a setting ended."""

    bound: float
    too_heavy: bool = False


class Tree:
    """The open cases of one setting."""

    def __init__(self, job: Job, b: sel.Bound, kits: tuple[m.KitCut, ...]) -> None:
        self.job, self.b, self.kits = job, b, kits
        self.first = sel.promising(b, job.goal - b.cents)
        """The case that all others come from."""
        self.open: list[Case] = []
        self.made = 0
        self.left_open = math.inf
        """The least bound of cases given up."""
        self.too_heavy = False
        self.least: dict[tuple[object, ...], float] = {}

    def search(self) -> Ended:
        """Close every case, as far as the time goes."""
        self._add(self.b.cents, sel.copied(self.first))
        while self.open and self.open[0].bound < self.job.goal and not self.too_heavy:
            if self.job.left_s() == 0.0 and math.isfinite(self.job.goal):
                self.left_open = min(self.left_open, self.open[0].bound)
                break
            self._examine(heapq.heappop(self.open))
        return Ended(min(self.left_open, self.job.goal), self.too_heavy)

    def _add(self, bound: float, keep: m.Keep, *, ways_known: bool = False) -> None:
        self.made += 1
        heapq.heappush(self.open, Case(bound, self.made, keep, ways_known))

    # -- one case

    def _examine(self, case: Case) -> None:
        """Bound a case, drop what it rules out, and close it, split it or solve it."""
        job, keep = self.job, case.keep
        model = self._built(keep)
        for _ in range(ROUNDS):
            if model is None:
                return
            relaxed = solve_relaxed(model.programme)
            if relaxed.infeasible:
                return
            shares = _shares(model, relaxed)
            case.bound = max(case.bound, relaxed.objective)
            gap = job.goal - relaxed.objective + sel.KEEP_CENTS
            if case.bound >= job.goal:
                return
            if math.isinf(gap):
                break
            before = len(model.keys)
            self._drop(keep, model, relaxed, gap)
            model = self._built(keep)
            if model is None or len(model.keys) > FEW_DROPPED * before:
                break
        if model is None:
            return
        parts = self._parts(keep, case.ways_known)
        lowest = min([case.bound, self.left_open, *(c.bound for c in self.open[:1])])
        job.progress(
            f"proof: no kit under {money(lowest)}; {len(self.open) + 1} cases open, "
            f"{len(model.keys)} columns in this one"
        )
        small = SMALL_GAP if job.pooled else SMALL_GAP_DECIDED
        if not parts or gap <= small * job.goal or math.isinf(gap):
            self._solve(case, model, parts)
        else:
            self._split(case, parts, shares)

    def _built(self, keep: m.Keep) -> m.Model | None:
        """The programme of a case; None where a kind that is needed has run out."""
        found = self.b.setup.found
        cost = m.array_cost(self.b.setup, keep.closed)
        keep.arrays = keep.arrays[np.isfinite(cost[keep.arrays])]
        if not (keep.banks and keep.busbars and keep.switches and keep.monitors):
            return None
        inverters: list[int | None] = list(keep.inverters) or [None]
        least = {i: self._least(keep, i, "any") for i in inverters}
        if found.ac_needed and not keep.inverters:
            return None
        keep.array_least = {i: v for i, v in least.items() if math.isfinite(v)}
        keep.inverters = [i for i in keep.inverters if i in keep.array_least]
        if not keep.array_least:
            return None
        keep.array_least_with = {}
        if len(keep.array_least) == 1:
            (i,) = keep.array_least
            ways: list[int | None] = [None, *keep.chargers]
            keep.array_least_with = {k: self._least(keep, i, k) for k in ways}
            least_of = [keep.array_least_with[k] for k in self._allowed(keep, i)]
            if least_of:
                keep.array_least[i] = min(least_of)
            if math.isinf(keep.array_least[i]):
                return None
        keep.fewest_arrays = max(keep.fewest_arrays, sel.some_array_needed(self.b, keep))
        cuts = self.job.cuts(self.kits)
        freight = "bounded" if self.job.pooled else "exact"
        return m.build(self.b.setup, keep, cuts, floor=False, freight=freight)

    def _allowed(self, keep: m.Keep, inverter: int | None) -> list[int | None]:
        """Chargers of which one is chosen, or none; empty where there could be two."""
        found = self.b.setup.found
        serves = inverter is not None and bool(found.inverters[inverter].serves)
        if not keep.chargers:
            return [None]
        if len(keep.ways) != 1 or serves:
            return []
        return [k for k in keep.chargers if m.way_of(found, k) in keep.ways]

    def _least(self, keep: m.Keep, inverter: int | None, charger: int | str | None) -> float:
        """What the arrays cost at the least with an inverter and a charger, worked out once.

        Counted over the arrays of the first case: every other holds some of them, but two cases
        can each hold what the other does not.
        """
        key = (inverter, charger, keep.closed)
        if key not in self.least:
            found = self.b.setup.found
            other = np.zeros(len(found.months))
            if inverter is not None:
                other += np.array(found.inverters[inverter].other_wh or 0.0)
            if isinstance(charger, int):
                other += np.array(found.chargers[charger].other_wh)
            wh = None if charger == "any" else other.tolist()
            every = replace(keep, arrays=self.first.arrays)
            self.least[key] = sel.least_arrays(self.b, every, inverter, wh, self.job.solver)
        return self.least[key]

    def _drop(self, keep: m.Keep, model: m.Model, relaxed: LpAnswer, gap: float) -> None:
        """Drop every column whose reduced cost is above the gap, and arrays in no cheap set."""
        lists = sel.lists_of(keep)
        arrays = set(keep.arrays.tolist())
        for key, r in zip(model.keys, relaxed.reduced, strict=True):
            if r <= gap:
                continue
            kind, number = str(key[0]), key[1] if len(key) > 1 else None
            if kind == "array":
                arrays.discard(number)
            elif kind in lists and isinstance(number, int):
                lists[kind].remove(number)
            elif kind in sel.OPTION_KINDS:
                keep.dropped.add(key)
        keep.arrays = np.array(sorted(arrays), dtype=np.int64)
        slope = float(relaxed.row_duals[model.array_rows["array cost"]]) / m.CENTS
        sel.narrow_arrays(self.b, keep, gap / m.CENTS, slope, self.job.solver)

    # -- splitting

    def _parts(self, keep: m.Keep, ways_known: bool) -> tuple[str, list[object]] | None:
        """By what a case is split next, and into what; None where nothing is left."""
        for kind in ("inverter", "bank"):
            numbers = sel.lists_of(keep)[kind]
            if len(numbers) > 1:
                return kind, list(numbers)
        if not keep.one_array and keep.fewest_arrays == 1:
            return "arrays", ["one", "more"]
        ways = self._ways(keep)
        if ways and not ways_known:
            return "ways", ways
        if ways_known and len(keep.chargers) > 1:
            return "charger", list(keep.chargers)
        if self.job.pooled:
            for name, freight in sorted(
                self.job.market.freight.items(), key=lambda f: (-f[1].shipping, f[0])
            ):
                if name not in keep.shops and freight.shipping > 0:
                    states = ["pays", "closed"]
                    if freight.free_over is not None:
                        states.append("free")
                    return name, list(states)
        return None

    def _ways(self, keep: m.Keep) -> list[object]:
        """Sets of other ways in that a kit could have."""
        found = self.b.setup.found
        there = {m.way_of(found, k) for k in keep.chargers}
        if any(found.inverters[i].serves for i in keep.inverters):
            there.add("mains")
        sets = [frozenset[str]()]
        for way in sorted(there):
            sets += [s | {way} for s in sets]
        return list(sets) if there else []

    def _split(
        self,
        case: Case,
        parts: tuple[str, list[object]],
        shares: dict[tuple[object, ...], float],
    ) -> None:
        kind, values = parts
        known = case.ways_known or kind == "ways"
        if kind in ("inverter", "bank", "charger"):
            best = max(values, key=lambda n: shares.get((kind, n), 0.0))
            for numbers in ([best], [n for n in values if n != best]):
                keep = sel.copied(case.keep)
                sel.lists_of(keep)[kind][:] = numbers  # type: ignore[assignment]
                self._add(case.bound, keep, ways_known=known)
            return
        for value in values:
            keep = sel.copied(case.keep)
            if kind == "ways":
                assert isinstance(value, frozenset)
                found = self.b.setup.found
                keep.ways = value
                keep.chargers = [k for k in keep.chargers if m.way_of(found, k) in value]
                if "mains" not in value:
                    serving = {i for i in keep.inverters if found.inverters[i].serves}
                    keep.inverters = [i for i in keep.inverters if i not in serving]
            elif kind == "arrays":
                keep.one_array = value == "one"
                keep.fewest_arrays = 1 if keep.one_array else 2
            else:
                keep.shops[kind] = str(value)
            self._add(case.bound, keep, ways_known=known)

    # -- solving

    def _solve(
        self, case: Case, model: m.Model, parts: tuple[str, list[object]] | None
    ) -> None:
        """Solve a case as a whole programme; a kit under the goal is placed and kept."""
        job = self.job
        finite = math.isfinite(job.goal)
        if finite:
            cost = [(j, c) for j, c in enumerate(model.programme.cost) if c]
            model.programme.at_most(cost, job.goal, "under the goal")
        left = job.left_s() if finite else None
        answer = solve(
            model.programme,
            solver=job.solver,
            limit_s=None if left is None else max(left, 1.0),
            gap=sel.MIP_GAP_CENTS,
            proving=finite,
        )
        if answer.status == "infeasible":
            return
        case.bound = max(case.bound, answer.bound)
        if answer.status != "nothing" and self._take(case, model, answer):
            self._add(case.bound, case.keep, ways_known=case.ways_known)
            return
        if case.bound >= job.goal:
            return
        if parts:
            self._split(case, parts, {})
        else:
            self.left_open = min(self.left_open, case.bound)

    def _take(self, case: Case, model: m.Model, answer: MipAnswer) -> bool:
        """Place a kit that was found and keep it if it is the best; whether that taught a cut."""
        job, counts = self.job, sel.counted(model, answer)
        if job.pooled:
            cuts = job.cuts(self.kits)
            outcome = from_shops(job, self.b, case.keep, cuts, model, counts)
        else:
            outcome = Outcome(choice_of(self.b.setup, counts), answer.objective)
        if outcome is None:
            return False
        self.kits, learnt = place(job, self.b, outcome, self.kits)
        self.too_heavy = outcome.too_heavy
        return learnt


def _shares(model: m.Model, relaxed: LpAnswer) -> dict[tuple[object, ...], float]:
    """How much of each column the relaxed programme takes."""
    pairs = zip(model.keys, relaxed.values, strict=True)
    return {key: float(v) for key, v in pairs if v > 1e-6}
