"""What the benchmarks share: the clock, medians, one supplier's part of a stock, the records."""

from __future__ import annotations

import os
import statistics
import sys
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TypeVar

BENCHMARKS = Path(__file__).resolve().parent
ROOT = BENCHMARKS.parent
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

# The imports stand after the path, so that the scripts run from anywhere.
from solver.stock import Stock  # noqa: E402

T = TypeVar("T")


@dataclass(frozen=True)
class Comparison:
    """One line of the table: ours beside a baseline of the same run, and the target."""

    key: str
    what: str
    ours_s: float
    baseline_s: float
    ratio: float
    """As the target counts it: how many times faster ours is, or how many times as long it takes."""
    cpu_ratio: float | None
    """The same by processor time, children included: steadier where others use the machine.

    None where a limit ended one of the two."""
    target: str
    met: bool
    stopped: bool = False
    """A limit ended the baseline or the larger size: the ratio is at least so far from 1."""
    figures: dict[str, object] = field(default_factory=dict)
    """What was measured besides, by name."""
    wrong: str = ""
    """How ours and the baseline disagree in what they found; the run fails then."""


@dataclass(frozen=True)
class Job:
    """A shipped needs file with the one supplier it is solved from."""

    name: str
    needs: Path
    supplier: str
    limit_s: float


def jobs() -> list[Job]:
    """Every job, by the name of its file."""
    found = []
    for path in sorted((BENCHMARKS / "jobs").glob("*.toml")):
        stated = tomllib.loads(path.read_text(encoding="utf-8"))
        needs = ROOT / stated["needs"]
        found.append(Job(path.stem, needs, stated["supplier"], float(stated["limit_s"])))
    return found


def from_one(stock: Stock, supplier: str) -> Stock:
    """The same catalog where one supplier alone sells anything."""
    return Stock.of(
        stock.parts,
        [s for s in stock.suppliers if s.supplier == supplier],
        [o for o in stock.offers if o.supplier == supplier],
    )


def timed(work: Callable[[], T], repeats: int = 1) -> tuple[T, float]:
    """What some work gives, and the median of its seconds."""
    seconds = []
    for _ in range(repeats):
        start = time.perf_counter()
        result = work()
        seconds.append(time.perf_counter() - start)
    return result, statistics.median(seconds)


@dataclass(frozen=True)
class Spent:
    """What some work took."""

    seconds: float
    cpu_s: float
    """Of all processors, by this process and those that it waited for."""


def spent(work: Callable[[], T]) -> tuple[T, Spent]:
    """What some work gives, and what it took."""
    start, before = time.perf_counter(), _cpu_s()
    result = work()
    return result, Spent(time.perf_counter() - start, _cpu_s() - before)


def no_longer_than(
    key: str,
    what: str,
    ours: Spent,
    baseline: Spent,
    times: float,
    *,
    figures: dict[str, object],
    wrong: str,
) -> Comparison:
    """A line of the table where ours may take so many times as long as the baseline."""
    ratio = ours.seconds / baseline.seconds
    return Comparison(
        key=key,
        what=what,
        ours_s=ours.seconds,
        baseline_s=baseline.seconds,
        ratio=ratio,
        cpu_ratio=ours.cpu_s / baseline.cpu_s,
        target=f"≤ {times:g}",
        met=ratio <= times,
        figures=figures,
        wrong=wrong,
    )


def _cpu_s() -> float:
    return sum(os.times()[:4])


def told(text: str) -> None:
    """Progress, apart from the table."""
    print(text, file=sys.stderr, flush=True)


def spread(numbers: Sequence[float]) -> str:
    """Least and most, for the reader to see how far a median stands for all."""
    return f"{min(numbers):.3g} to {max(numbers):.3g}"
