"""Everything that is measured: `make bench`, or `python benchmarks/run.py --quick --only a,e`.

Prints a table of comparisons, each with ours and a named baseline measured in the same run, and
a table of phases; writes both to `out/bench.json`.

  a  the flat big-M model at 60 parts            d  whole `kitbill pick` processes
  b  our programme whole, all columns, 300       e  `kitbill --help`
  c  our core solve on catalogs of rising size   f  needs that no kit meets
  g  cutting stock from the literature           h  what fitting adds to a pick
  i  needs that no kit meets, explained           j  a grid of `kitbill vary`
  k  picks from all suppliers beside one
  phases  where the time of a pick goes, job by job

The whole run takes well over an hour; `--quick` takes fewer seeds, smaller catalogs and one job,
and says so. The run fails where ours and a baseline disagree in what they found; a missed target
is told in the table and fails nothing.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

# The imports stand after the path, so that the script runs from anywhere.
from benchmarks import (
    baselines,
    core_scale,
    cutting_stock,
    explained,
    fitting,
    joint_buying,
    processes,
    varied,
    verdicts,
)
from benchmarks import phases as by_phase
from benchmarks.common import ROOT, Comparison, told

KEYS = ("a", "b", "c", "d", "e", "f", "g", "h", "i", "j", "k", "phases")

SEEDS, QUICK_SEEDS = 10, 2
QUICK_LIMIT_S = 60.0
QUICK_SIZES = (1_000, 3_000)
RUNS = 3
STARTS, QUICK_STARTS = 21, 7


def measures(asked: argparse.Namespace) -> dict[str, Callable[[], list[Comparison]]]:
    """Each comparison, not begun yet, by its letter."""
    quick, seeds = asked.quick, asked.seeds
    flat, by_cbc, whole = (
        replace(t, limit_s=min(t.limit_s, QUICK_LIMIT_S)) if quick else t
        for t in (baselines.FLAT, baselines.FLAT_BY_CBC, baselines.WHOLE)
    )
    return {
        "a": lambda: [baselines.against(t, seeds) for t in (flat, by_cbc)],
        "b": lambda: [baselines.against(whole, seeds)],
        "c": lambda: core_scale.rising(asked.sizes, seeds, asked.size_limit_s),
        "d": lambda: processes.whole_picks(1 if quick else RUNS, quick=quick),
        "e": lambda: [processes.start_up(QUICK_STARTS if quick else STARTS)],
        "f": lambda: verdicts.impossible(quick=quick),
        "g": lambda: cutting_stock.published(quick=quick),
        "h": lambda: fitting.added(quick=quick),
        "i": lambda: explained.no_answers(quick=quick),
        "j": lambda: varied.grid(quick=quick),
        "k": lambda: joint_buying.all_beside_one(quick=quick),
    }


def table(found: Sequence[Comparison]) -> str:
    """The comparisons as a person reads them."""
    head = ("", "what", "ours s", "base s", "ratio", "by CPU", "target", "met")
    cells = [_cells(c) for c in found]
    wide = [max(len(line[i]) for line in [head, *cells]) for i in range(len(head))]
    lines = [
        "  ".join(
            cell.rjust(w) if i in (2, 3, 4, 5) else cell.ljust(w)
            for i, (cell, w) in enumerate(zip(line, wide, strict=True))
        ).rstrip()
        for line in [head, *cells]
    ]
    return "\n".join([lines[0], "-" * len(lines[0]), *lines[1:]])


def _cells(c: Comparison) -> tuple[str, ...]:
    # a side that a limit ended takes longer than was waited for
    more = "> " if c.stopped else ""
    ours, base = ("", more) if c.key in ("a", "b", "g") else (more, "")
    by_cpu = "" if c.cpu_ratio is None else f"{c.cpu_ratio:.2f}"
    met = ("yes" if c.met else "no") if c.target else ""
    return (
        f"({c.key})", c.what, f"{ours}{c.ours_s:.3g}", f"{base}{c.baseline_s:.3g}",
        f"{more}{c.ratio:.2f}", by_cpu, c.target, met,
    )  # fmt: skip


def arguments() -> argparse.Namespace:
    """What the command line asks for."""
    asked = argparse.ArgumentParser(description="Measure kitbill against named baselines.")
    asked.add_argument("--quick", action="store_true", help="few seeds, small sizes, one job")
    asked.add_argument(
        "--only", default=",".join(KEYS), metavar="a,b", help=f"some of {', '.join(KEYS)}"
    )
    asked.add_argument("--seeds", type=int, metavar="N", help=f"of a, b and c ({SEEDS})")
    asked.add_argument("--sizes", metavar="N,N", help="parts of c, rising (1000,10000,100000)")
    asked.add_argument(
        "--size-limit-s", type=float, default=300.0, metavar="S", help="most for one solve of c"
    )
    asked.add_argument("--out", type=Path, default=ROOT / "out" / "bench.json", metavar="FILE")
    options = asked.parse_args()
    options.only = options.only.split(",")
    if unknown := set(options.only) - set(KEYS):
        asked.error(f"--only: found {', '.join(sorted(unknown))}; there are {', '.join(KEYS)}")
    options.seeds = options.seeds or (QUICK_SEEDS if options.quick else SEEDS)
    given = options.sizes.split(",") if options.sizes else None
    sizes = QUICK_SIZES if options.quick else core_scale.SIZES
    options.sizes = [int(n) for n in given or sizes]
    return options


def written(
    asked: argparse.Namespace, found: Sequence[Comparison], rows: Sequence[by_phase.Row]
) -> None:
    """Write what has been measured so far."""
    told_all = {
        "format": "kitbill-bench-2",
        "quick": asked.quick,
        "python": platform.python_version(),
        "machine": platform.machine(),
        "cores": os.cpu_count(),
        "load": round(os.getloadavg()[0], 1),
        "comparisons": [asdict(c) for c in found],
        "rows": [asdict(row) for row in rows],
    }
    asked.out.parent.mkdir(parents=True, exist_ok=True)
    asked.out.write_text(json.dumps(told_all, indent=2) + "\n", encoding="utf-8")


def main() -> int:
    """Measure, print, write; 1 where ours and a baseline disagree in what they found."""
    asked = arguments()
    found: list[Comparison] = []
    for key, measure in measures(asked).items():
        if key in asked.only:
            told(f"measuring ({key})")
            found += measure()
            told(table(found))
            written(asked, found, [])
    rows = by_phase.phases(quick=asked.quick) if "phases" in asked.only else []
    written(asked, found, rows)
    if found:
        print(table(found))
    if rows:
        print(("\n" if found else "") + by_phase.table(rows))
    wrong = [f"({c.key}) {c.what}: {c.wrong}" for c in found if c.wrong]
    wrong += [f"{job}: the baseline gives another bound" for job in by_phase.wrong(rows)]
    for line in wrong:
        print(line, file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
