"""Measure where the time goes, job by job: `make bench`, or `python benchmarks/run.py --quick`.

One file in `benchmarks/jobs/` a job: its needs file, the one supplier the whole pick buys from,
and the most seconds for its proofs. Prints a table and writes `out/bench.json`.

Each phase runs in a warm process but for `imports`, which starts a new one; of repeated phases
the median is taken. The baseline, measured in the same run, is the relaxed programme with every
array column in it at once: it must give the value that pricing them in gives, or the run fails.
"""

from __future__ import annotations

import argparse
import json
import platform
import statistics
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TypeVar

BENCHMARKS = Path(__file__).resolve().parent
ROOT = BENCHMARKS.parent
sys.path.insert(0, str(ROOT))

# The imports stand after the path, so that the script runs from anywhere.
from bom.job import silenced_output  # noqa: E402
from bom.needs_file import read_needs  # noqa: E402
from bom.parts import read_chosen  # noqa: E402
from catalog.shipped import shipped_path  # noqa: E402
from solver import model, selection  # noqa: E402
from solver.candidates import settings  # noqa: E402
from solver.kit import solve_kit  # noqa: E402
from solver.market import market  # noqa: E402
from solver.milp import solve_relaxed  # noqa: E402
from solver.needs import Needs  # noqa: E402
from solver.stock import Stock  # noqa: E402
from solver.wiring import shelf  # noqa: E402

REPEATS = 3
QUICK_LIMIT_S = 5.0

PICK_IMPORTS = (
    "import bom.atomic, bom.job, bom.needs_file, bom.parts, bom.result_json, bom.summary, "
    "solver.kit, pulp, highspy"
)
"""What `kitbill pick` imports before it has an answer; placing may add the packing library."""

SAME = 1e-6
"""Values of the same programme may differ so far, as a share: floating point."""

T = TypeVar("T")
Setups = Sequence[model.Setup]


@dataclass(frozen=True)
class Job:
    """What is measured on one needs file."""

    name: str
    needs: Path
    supplier: str
    limit_s: float


@dataclass(frozen=True)
class Row:
    """One phase of one job."""

    job: str
    phase: str
    seconds: float
    figures: dict[str, object]
    """What the seconds were spent on, by name."""


def jobs() -> list[Job]:
    """Every job, by the name of its file."""
    found = []
    for path in sorted((BENCHMARKS / "jobs").glob("*.toml")):
        stated = tomllib.loads(path.read_text(encoding="utf-8"))
        needs = ROOT / stated["needs"]
        found.append(Job(path.stem, needs, stated["supplier"], float(stated["limit_s"])))
    return found


def timed(work: Callable[[], T], repeats: int = 1) -> tuple[T, float]:
    """What some work gives, and the median of its seconds."""
    seconds = []
    for _ in range(repeats):
        start = time.perf_counter()
        result = work()
        seconds.append(time.perf_counter() - start)
    return result, statistics.median(seconds)


def import_s() -> float:
    """Seconds that a new process spends on the imports of a pick, its own start apart."""
    code = (
        f"import time; start = time.perf_counter(); {PICK_IMPORTS}; "
        "print(time.perf_counter() - start)"
    )
    done = subprocess.run(  # noqa: S603  our own interpreter and our own code
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return float(done.stdout.split()[-1])


def general(repeats: int) -> tuple[list[Row], Stock]:
    """What every job pays alike, and the shipped catalog."""
    imports = statistics.median(import_s() for _ in range(repeats))
    shipped_path()  # the database is built from its CSV files once, on its first use
    stock, reading = timed(lambda: read_chosen(None), repeats)
    size: dict[str, object] = {"parts": len(stock.parts), "offers": len(stock.offers)}
    return [Row("", "imports", imports, {}), Row("", "read the catalog", reading, size)], stock


def measured(job: Job, stock: Stock, repeats: int) -> list[Row]:
    """Every phase of one job, the baseline among them."""
    needs, reading = timed(lambda: read_needs(job.needs, stock), repeats)
    setups, making = timed(lambda: _setups(needs, stock), repeats)
    priced_in, pricing = timed(lambda: _priced_in(setups), repeats)
    at_once, filling = timed(lambda: _at_once(setups), repeats)
    arrays = sum(len(s.found.arrays) for s in setups)
    rows = [
        Row(job.name, "needs", reading, {"loads": len(needs.loads)}),
        Row(
            job.name, "candidates, wiring", making, {"settings": len(setups), "arrays": arrays}
        ),
        Row(job.name, "bounds, arrays priced in", pricing, {"least": _least(priced_in)}),
        Row(
            job.name,
            "baseline: bounds, all arrays at once",
            filling,
            {
                "least": _least(at_once),
                "times as long": round(filling / pricing, 1),
                "same": _same(priced_in, at_once),
            },
        ),
    ]
    return [*rows, _pick(job, needs, stock)]


def _setups(needs: Needs, stock: Stock) -> list[model.Setup]:
    mkt = market(needs, stock)
    parts = shelf(needs, mkt)
    return [
        selection.setup_for(needs, mkt, parts, setting, pooled=True)
        for setting in settings(needs, mkt)
    ]


def _priced_in(setups: Setups) -> list[float | None]:
    """The bound of every setting, in hundredths; None where it holds no kit."""
    with silenced_output():
        found = [selection.bound(setup, model.Cuts()) for setup in setups]
    return [None if bound is None else bound.cents for bound in found]


def _at_once(setups: Setups) -> list[float | None]:
    """The same programmes with every array in them from the start."""
    with silenced_output():
        return [_whole_programme(setup) for setup in setups]


def _whole_programme(setup: model.Setup) -> float | None:
    keep = selection.everything(setup)
    if keep is None:
        return None
    answer = solve_relaxed(model.build(setup, keep, model.Cuts(), floor=True).programme)
    return None if answer.infeasible else answer.objective


def _least(cents: Sequence[float | None]) -> float | None:
    known = [c for c in cents if c is not None]
    return round(min(known) / model.CENTS, 2) if known else None


def _same(some: Sequence[float | None], others: Sequence[float | None]) -> bool:
    """Whether two lists of bounds say the same of every setting."""
    return all(
        a is b if a is None or b is None else abs(a - b) <= SAME * max(1.0, abs(b))
        for a, b in zip(some, others, strict=True)
    )


def _pick(job: Job, needs: Needs, stock: Stock) -> Row:
    """The whole optimizer, checker included, with everything bought from one supplier."""
    one = Stock.of(
        stock.parts,
        [s for s in stock.suppliers if s.supplier == job.supplier],
        [o for o in stock.offers if o.supplier == job.supplier],
    )

    def work() -> dict[str, object]:
        with silenced_output():
            result = solve_kit(needs, one, limit_s=job.limit_s, clock=time.monotonic)
        return {
            "status": result.status,
            "total": None if result.total is None else float(round(result.total, 2)),
            "gap %": None if result.gap_pct is None else round(result.gap_pct, 3),
            "limit s": job.limit_s,
        }

    figures, seconds = timed(work)
    return Row(job.name, f"whole pick from {job.supplier} alone", seconds, figures)


def table(rows: Sequence[Row]) -> str:
    """The rows as a person reads them."""
    head = ("job", "phase", "seconds", "of what")
    cells = [
        (
            row.job or "every job",
            row.phase,
            f"{row.seconds:.2f}",
            ", ".join(f"{name} {value}" for name, value in row.figures.items()),
        )
        for row in rows
    ]
    wide = [max(len(line[i]) for line in [head, *cells]) for i in range(3)]
    lines = [
        f"{a:{wide[0]}}  {b:{wide[1]}}  {c:>{wide[2]}}  {d}".rstrip()
        for a, b, c, d in [head, *cells]
    ]
    return "\n".join([lines[0], "-" * len(lines[0]), *lines[1:]])


def main() -> int:
    """Measure, print, write; 1 where the baseline gives another value."""
    asked = argparse.ArgumentParser(description="Measure kitbill on its demos.")
    asked.add_argument(
        "--quick", action="store_true", help="the first job once, with little time to solve"
    )
    asked.add_argument("--out", type=Path, default=ROOT / "out" / "bench.json", metavar="FILE")
    options = asked.parse_args()
    todo, repeats = jobs(), REPEATS
    if options.quick:
        todo, repeats = [replace(todo[0], limit_s=QUICK_LIMIT_S)], 1
    rows, stock = general(repeats)
    for job in todo:
        print(f"measuring {job.name}", file=sys.stderr)
        rows += measured(job, stock, repeats)
    print(table(rows))
    options.out.parent.mkdir(parents=True, exist_ok=True)
    told = {
        "format": "kitbill-bench-1",
        "quick": options.quick,
        "python": platform.python_version(),
        "machine": platform.machine(),
        "rows": [asdict(row) for row in rows],
    }
    options.out.write_text(json.dumps(told, indent=2) + "\n", encoding="utf-8")
    wrong = [row.job for row in rows if row.figures.get("same") is False]
    if wrong:
        print(f"the baseline gives another bound: {', '.join(wrong)}", file=sys.stderr)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
