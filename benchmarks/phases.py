"""Where the time of a pick goes, phase by phase, on the shipped jobs.

Each phase runs in a warm process but for `imports`, which starts a new one; of repeated phases
the median is taken. The phases within a solve are taken from one solve: its functions are
wrapped for it, and time in a function counts for the innermost one.

The baseline of the bounds, measured in the same run, is the relaxed programme with every array
column in it at once: it must give the value that pricing them in gives, or the run fails.
"""

from __future__ import annotations

import contextlib
import functools
import statistics
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any
from unittest import mock

from benchmarks.common import ROOT, Job, from_one, jobs, timed, told
from bom.job import silenced_output
from bom.needs_file import read_needs
from bom.parts import read_chosen
from bom.result_json import dumps, result_to_json
from bom.workbook import workbook_bytes
from catalog.shipped import shipped_path
from solver import kit, model, placing, run, selection, shopping, tree
from solver.candidates import settings
from solver.market import market
from solver.milp import solve_relaxed
from solver.needs import Needs
from solver.records import Result
from solver.stock import Stock
from solver.wiring import shelf

REPEATS = 3
QUICK_LIMIT_S = 5.0

PICK_IMPORTS = (
    "import bom.atomic, bom.job, bom.needs_file, bom.parts, bom.result_json, bom.summary, "
    "solver.kit, pulp, highspy"
)
"""What `kitbill pick` imports before it has an answer; placing may add the packing library."""

SAME = 1e-6
"""Values of the same programme may differ so far, as a share: floating point."""

WITHIN_A_SOLVE: tuple[tuple[Any, str, str], ...] = (
    (kit, "candidates", "candidates, wiring"),
    (run.Job, "setup", "candidates, wiring"),
    (selection, "bound", "bounds"),
    (selection, "rewired", "prune"),
    (selection, "tighten", "prune"),
    (selection, "promising", "prune"),
    (selection, "first_kit", "solve"),
    (kit, "buy", "solve"),
    (tree.Tree, "search", "solve"),
    (kit, "arrays_cut", "place"),
    (shopping, "place", "place"),
    (placing, "design", "design"),
    (placing, "pieces_assigned", "bill"),
    (placing, "lines_of", "bill"),
    (placing, "orders_of", "bill"),
    (kit, "check", "check"),
)
"""Where a name is looked up, the name, and the phase that its time counts for."""

Setups = Sequence[model.Setup]


@dataclass(frozen=True)
class Row:
    """One phase of one job."""

    job: str
    phase: str
    seconds: float
    figures: dict[str, object]
    """What the seconds were spent on, by name."""


def phases(*, quick: bool) -> list[Row]:
    """Every phase of every job; the first job alone with little time where it must be quick."""
    todo, repeats = jobs(), REPEATS
    if quick:
        todo, repeats = [replace(todo[0], limit_s=QUICK_LIMIT_S)], 1
    rows, stock = _general(repeats)
    for job in todo:
        told(f"phases of {job.name}")
        rows += _measured(job, stock, repeats)
    return rows


def wrong(rows: Sequence[Row]) -> list[str]:
    """Jobs whose baseline gives another bound."""
    return [row.job for row in rows if row.figures.get("same") is False]


def _import_s() -> float:
    """Seconds that a new process spends on the imports of a pick, its own start apart."""
    code = (
        f"import time; start = time.perf_counter(); {PICK_IMPORTS}; "
        "print(time.perf_counter() - start)"
    )
    done = subprocess.run(  # noqa: S603  our own interpreter and our own code
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    return float(done.stdout.split()[-1])


def _general(repeats: int) -> tuple[list[Row], Stock]:
    """What every job pays alike, and the shipped catalog."""
    imports = statistics.median(_import_s() for _ in range(repeats))
    shipped_path()  # the database is built from its CSV files once, on its first use
    stock, reading = timed(lambda: read_chosen(None), repeats)
    size: dict[str, object] = {"parts": len(stock.parts), "offers": len(stock.offers)}
    return [Row("", "imports", imports, {}), Row("", "read the catalog", reading, size)], stock


def _measured(job: Job, stock: Stock, repeats: int) -> list[Row]:
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
    return [*rows, *_pick(job, needs, from_one(stock, job.supplier))]


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


# --- within a solve -----------------------------------------------------------------------------


@dataclass
class Watch:
    """Seconds by phase, each counted once: for the innermost phase that is going on."""

    seconds: defaultdict[str, float] = field(default_factory=lambda: defaultdict(float))
    going_on: list[str] = field(default_factory=list)
    since: float = 0.0

    @contextlib.contextmanager
    def phase(self, name: str) -> Iterator[None]:
        """Count for this phase what happens within."""
        self._count()
        self.going_on.append(name)
        try:
            yield
        finally:
            self._count()
            self.going_on.pop()

    def _count(self) -> None:
        now = time.perf_counter()
        if self.going_on:
            self.seconds[self.going_on[-1]] += now - self.since
        self.since = now

    def wrapped(self, work: Callable[..., Any], name: str) -> Callable[..., Any]:
        """The same function, its time counted."""

        @functools.wraps(work)
        def counted(*given: Any, **named: Any) -> Any:
            with self.phase(name):
                return work(*given, **named)

        return counted


def _pick(job: Job, needs: Needs, one: Stock) -> list[Row]:
    """The whole optimizer, checker included, phase by phase, with one supplier; the documents."""
    watch = Watch()
    with contextlib.ExitStack() as stack:
        for where, name, phase in WITHIN_A_SOLVE:
            counted = watch.wrapped(getattr(where, name), phase)
            stack.enter_context(mock.patch.object(where, name, counted))
        stack.enter_context(silenced_output())
        stack.enter_context(watch.phase("rest"))
        result, seconds = timed(
            lambda: kit.solve_kit(needs, one, limit_s=job.limit_s, clock=time.monotonic)
        )
    label = f"pick from {job.supplier}"
    order = dict.fromkeys([phase for *_, phase in WITHIN_A_SOLVE] + ["rest"])
    rows = [Row(job.name, f"{label}: {p}", watch.seconds[p], {}) for p in order]
    rows.append(Row(job.name, f"{label}: in all", seconds, _told_of(result, job)))
    if result.design is not None:
        size, writing = timed(lambda: _documents(result, needs, one))
        rows.append(Row(job.name, "documents", writing, {"bytes": size}))
    return rows


def _documents(result: Result, needs: Needs, stock: Stock) -> int:
    """The workbook and the answer as JSON, as `pick` makes them; their size."""
    return len(workbook_bytes(result, needs, stock)) + len(dumps(result_to_json(result, needs)))


def _told_of(result: Result, job: Job) -> dict[str, object]:
    return {
        "status": result.status,
        "total": None if result.total is None else float(round(result.total, 2)),
        "gap %": None if result.gap_pct is None else round(result.gap_pct, 3),
        "limit s": job.limit_s,
    }


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
