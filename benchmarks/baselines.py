"""Ours beside the two baselines, `flat` and `all columns`, on generated catalogs, seed by seed.

Both sides get the same needs and the same stock in memory, from one supplier, and both have to
find the same verdict and, to the cent, the same total; a seed at which they do not fails the run.
Catalogs that hold no kit are compared too, and do not enter the medians.
"""

from __future__ import annotations

import itertools
import statistics
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Protocol

from benchmarks.catalogs import generated, one_shop
from benchmarks.common import BENCHMARKS, Comparison, spent, spread, told
from benchmarks.flat import solve_flat
from benchmarks.whole import solve_whole
from bom.job import silenced_output
from bom.needs_file import read_needs
from solver.kit import solve_kit
from solver.needs import Needs
from solver.stock import Stock

SIMPLE = BENCHMARKS / "needs" / "allotment-hut.toml"

MOST_TRIED = 10
"""For each seed that counts at most so many catalogs are looked at."""

HALF_A_CENT = 0.005


class Answer(Protocol):
    """What a baseline comes to."""

    total: float | None
    proven: bool
    columns: int
    rows: int


@dataclass(frozen=True)
class Trial:
    """One of the two comparisons."""

    key: str
    name: str
    needs: Path
    parts: int
    limit_s: float
    times: float
    """Ours is to be so many times faster."""
    baseline: Callable[[Needs, Stock, float], Answer]


FLAT = Trial("a", "flat", SIMPLE, 60, 120.0, 20.0, solve_flat)
FLAT_BY_CBC = Trial(
    "a", "flat, solved by CBC", SIMPLE, 60, 120.0, 20.0,
    partial(solve_flat, solver="cbc"),
)  # fmt: skip
WHOLE = Trial("b", "all columns", SIMPLE, 300, 300.0, 100.0, solve_whole)


@dataclass(frozen=True)
class Seed:
    """What came of one catalog."""

    seed: int
    ours_s: float
    ours_cpu_s: float
    baseline_s: float
    baseline_cpu_s: float
    total: float | None
    baseline_total: float | None
    proven: bool
    columns: int
    rows: int

    @property
    def same(self) -> bool:
        """Whether verdict and total agree, as far as the baseline came."""
        if self.total is None:
            return self.baseline_total is None
        if self.baseline_total is None:
            return not self.proven
        if self.proven:
            return abs(self.total - self.baseline_total) < HALF_A_CENT
        return self.total < self.baseline_total + HALF_A_CENT


def against(trial: Trial, seeds: int) -> Comparison:
    """Ours beside one baseline, over so many catalogs that hold a kit."""
    tried: list[Seed] = []
    for seed in itertools.islice(itertools.count(1), seeds * MOST_TRIED):
        if sum(s.total is not None for s in tried) == seeds:
            break
        tried.append(_tried(trial, seed))
    solved = [s for s in tried if s.total is not None]
    if not solved:
        raise SystemExit(f"({trial.key}) none of {len(tried)} catalogs holds a kit")
    ours = statistics.median(s.ours_s for s in solved)
    baseline = statistics.median(s.baseline_s for s in solved)
    # seed by seed, so that both sides of a ratio met the same load on the machine
    faster = statistics.median(s.baseline_s / s.ours_s for s in solved)
    differ = [s.seed for s in tried if not s.same]
    return Comparison(
        key=trial.key,
        what=f"{trial.name}, {trial.parts} parts, {len(solved)} seeds",
        ours_s=ours,
        baseline_s=baseline,
        ratio=faster,
        cpu_ratio=statistics.median(s.baseline_cpu_s / s.ours_cpu_s for s in solved),
        target=f"≥ {trial.times:g}",
        met=faster >= trial.times,
        stopped=sum(not s.proven for s in solved) * 2 > len(solved),
        figures={
            "ours s": spread([s.ours_s for s in solved]),
            "baseline s": spread([s.baseline_s for s in solved]),
            "times faster by seed": spread([s.baseline_s / s.ours_s for s in solved]),
            "same total": sum(s.same and s.proven for s in solved),
            "stopped by the limit": sum(not s.proven for s in solved),
            "limit s": trial.limit_s,
            "catalogs without a kit, same verdict": sum(s.same for s in tried)
            - sum(s.same for s in solved),
            "columns": spread([s.columns for s in solved]),
            "rows": spread([s.rows for s in solved]),
            "by seed": [vars(s) for s in tried],
        },
        wrong=f"another total or verdict at the seeds {differ}" if differ else "",
    )


def _tried(trial: Trial, seed: int) -> Seed:
    stock = one_shop(generated(trial.parts, seed))
    needs = read_needs(trial.needs, stock)
    with silenced_output():
        ours, by_ours = spent(lambda: solve_kit(needs, stock))
        theirs, by_theirs = spent(lambda: trial.baseline(needs, stock, trial.limit_s))
    # the baselines know no small parts
    total = None if ours.kit_total is None else float(ours.kit_total)
    found = Seed(
        seed=seed,
        ours_s=by_ours.seconds,
        ours_cpu_s=by_ours.cpu_s,
        baseline_s=by_theirs.seconds,
        baseline_cpu_s=by_theirs.cpu_s,
        total=total,
        baseline_total=theirs.total,
        proven=theirs.proven,
        columns=theirs.columns,
        rows=theirs.rows,
    )
    told(
        f"({trial.key}) {trial.name}, seed {seed}: {ours.status} {total}, {by_ours.seconds:.2f} s; "
        f"{theirs.total}, {by_theirs.seconds:.2f} s"
    )
    return found
