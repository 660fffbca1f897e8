"""Our core solve on generated catalogs of rising size: seconds and memory, size by size.

Each solve is a process of its own (`python benchmarks/core_scale.py PARTS SEED`), so that its
memory is its own and a limit can end it. Making the catalog is not counted.
"""

from __future__ import annotations

import json
import os
import resource
import signal
import statistics
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

# The imports stand after the path, so that the script runs from anywhere.
from benchmarks.baselines import SIMPLE
from benchmarks.catalogs import generated, one_shop
from benchmarks.common import ROOT, Comparison, spent, spread, told
from bom.job import silenced_output
from bom.needs_file import read_needs
from solver.kit import solve_kit

SIZES = (1_000, 10_000, 100_000)
TIMES = 8.0
"""The largest is to take at most so many times as long as the smallest."""

MEMORY_GB = 8.0
"""A solve that wants more than this is ended: other work on the machine goes on."""


@dataclass(frozen=True)
class Size:
    """What was measured at one size."""

    parts: int
    seconds: list[float]
    cpu_s: list[float]
    peak_mb: list[float]
    before_mb: list[float]
    """With the catalog in memory and nothing solved yet."""
    optimal: int
    """Solves that ended with a proven kit."""
    ended: str
    """What ended a solve, empty where none was ended: the sizes above are then left out."""


def rising(sizes: Sequence[int], seeds: int, limit_s: float) -> list[Comparison]:
    """Each size beside the smallest."""
    found: list[Size] = []
    for parts in sizes:
        found.append(_measured(parts, seeds, limit_s))
        if found[-1].ended:
            break
    first = found[0]
    if first.ended:
        # nothing to compare the others with
        return [_compared(first, first, limit_s, last=True)]
    return [_compared(first, size, limit_s, last=size.parts == sizes[-1]) for size in found[1:]]


def _compared(first: Size, size: Size, limit_s: float, *, last: bool) -> Comparison:
    base = limit_s if first.ended else statistics.median(first.seconds)
    ours = limit_s if size.ended else statistics.median(size.seconds)
    met = not size.ended and ours / base <= TIMES
    return Comparison(
        key="c",
        what=f"solve, {size.parts:,} parts beside {first.parts:,}, "
        f"{max(len(size.seconds), 1)} seeds",
        ours_s=ours,
        baseline_s=base,
        ratio=ours / base,
        cpu_ratio=None
        if size.ended
        else statistics.median(size.cpu_s) / statistics.median(first.cpu_s),
        target=f"≤ {TIMES:g}" if last or size.ended else "",
        met=met,
        stopped=bool(size.ended),
        figures={
            "ended": size.ended,
            "seconds": spread(size.seconds) if size.seconds else "",
            "peak MB": round(statistics.median(size.peak_mb)) if size.peak_mb else None,
            "MB with the catalog alone": round(statistics.median(size.before_mb))
            if size.before_mb
            else None,
            "sizes": [vars(first), vars(size)],
        },
    )


def _measured(parts: int, seeds: int, limit_s: float) -> Size:
    size = Size(parts, [], [], [], [], 0, "")
    for seed in range(1, seeds + 1):
        outcome = _solved(parts, seed, limit_s)
        if isinstance(outcome, str):
            told(f"(c) {parts} parts, seed {seed}: {outcome}")
            return replace(size, ended=outcome)
        told(f"(c) {parts} parts, seed {seed}: {outcome}")
        size.seconds.append(outcome["seconds"])
        size.cpu_s.append(outcome["cpu_s"])
        size.peak_mb.append(outcome["peak_mb"])
        size.before_mb.append(outcome["before_mb"])
        size = replace(size, optimal=size.optimal + int(outcome["optimal"]))
    return size


def _solved(parts: int, seed: int, limit_s: float) -> dict[str, float] | str:
    """The child's figures, or what ended it."""
    child = subprocess.Popen(  # noqa: S603  our own interpreter and our own code
        [sys.executable, str(Path(__file__)), str(parts), str(seed)],
        start_new_session=True, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    if child.stdout is None:
        raise AssertionError("a child without standard output")
    child.stdout.readline()  # the catalog is made: from here on the time counts
    try:
        out, err = child.communicate(timeout=limit_s)
    except subprocess.TimeoutExpired:
        # with the processes that it has begun itself
        os.killpg(child.pid, signal.SIGKILL)
        child.communicate()
        return f"more than {limit_s:g} s"
    if child.returncode:
        lines = err.strip().splitlines() or [f"exit code {child.returncode}"]
        if "MemoryError" in err or "bad_alloc" in err:
            return f"more than {MEMORY_GB:g} GB of memory"
        return f"the solve failed: {lines[-1]}"
    return dict(json.loads(out))


def _mb() -> float:
    """The most memory so far, of this process or of one that it began."""
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        # what getrusage says of itself holds the memory of the process that began this one
        if line.startswith("VmHWM:"):
            own = float(line.split()[1])
            break
    else:
        raise AssertionError("the system tells no peak of memory")
    # cases are looked at by processes of their own, which share what was there before them
    return max(own, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss) / 1024


def _child(parts: int, seed: int) -> None:
    stock = one_shop(generated(parts, seed))
    needs = read_needs(SIMPLE, stock)
    before = _mb()
    print("ready", flush=True)
    most = int(MEMORY_GB * 2**30)
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    with silenced_output():
        result, took = spent(lambda: solve_kit(needs, stock))
    total = None if result.total is None else float(result.total)
    told = {
        "seconds": took.seconds,
        "cpu_s": took.cpu_s,
        "peak_mb": _mb(),
        "before_mb": before,
        "total": total,
    }
    print(json.dumps({**told, "optimal": result.status == "optimal"}))


if __name__ == "__main__":
    _child(int(sys.argv[1]), int(sys.argv[2]))
