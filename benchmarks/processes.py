"""Whole processes: `kitbill pick` and `kitbill --help` beside processes that do next to nothing."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Sequence
from pathlib import Path

from benchmarks.common import ROOT, Comparison, Job, Spent, jobs, spent, spread, told
from bom.parts import read_chosen
from solver.stock import Stock

PICK_TIMES, HELP_TIMES = 2.0, 8.0

PICK = """
import json, sys
from bom.cli import main
sys.argv = ["kitbill", *sys.argv[2:]]
try:
    main()
finally:
    with open({listing!r}, "w") as listing:
        json.dump(list(sys.modules), listing)
"""

SHORT = ("--limit-s", "1")

FLOOR = """
import contextlib, importlib, json, sys
with open({listing!r}) as listing:
    for name in json.load(listing):
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
from bom.parts import read_chosen
from openpyxl import Workbook
read_chosen(None)
Workbook().save({out!r})
"""
"""What the baseline of a pick does: import what it imports, in that order, read, write nothing."""


def whole_picks(repeats: int, *, quick: bool) -> list[Comparison]:
    """Every shipped job as a process of its own: from one supplier, and from all."""
    stock = read_chosen(None)
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for job in jobs()[: 1 if quick else None]:
            needs = job.needs.read_text(encoding="utf-8")
            alone = Path(folder) / f"{job.name}.toml"
            alone.write_text(alone_from(needs, job.supplier, stock), encoding="utf-8")
            found.append(_whole_pick(job, alone, f"{job.supplier} alone", repeats, folder))
            if not quick:
                # the default limit of time decides how long these take
                found.append(_whole_pick(job, job.needs, "all suppliers", 1, folder))
    return found


def alone_from(needs: str, supplier: str, stock: Stock) -> str:
    """The needs with every other supplier avoided."""
    order = tomllib.loads(needs).get("order")
    if order is not None and "avoid_suppliers" in order:
        raise AssertionError("the needs avoid suppliers themselves")
    others = [s.supplier for s in stock.suppliers if s.supplier != supplier]
    line = f"avoid_suppliers = {json.dumps(others)}\n"
    if order is None:
        return f"{needs}\n[order]\n{line}"
    return needs.replace("[order]\n", "[order]\n" + line, 1)


def _whole_pick(job: Job, needs: Path, shops: str, repeats: int, folder: str) -> Comparison:
    out, listing = str(Path(folder) / "bill.xlsx"), str(Path(folder) / "modules.json")
    words = ["pick", str(needs), "--out", out]
    # once apart and shortened, to learn what a pick imports
    ran([sys.executable, "-c", PICK.format(listing=listing), "kitbill", *words, *SHORT])
    floor = [sys.executable, "-c", FLOOR.format(listing=listing, out=out)]
    ours = [ran([*kitbill(), *words]) for _ in range(repeats)]
    baseline = [ran(floor) for _ in range(max(repeats, 3))]
    what = f"pick, {job.name}, {shops}"
    found = _compared(ours, baseline, "d", what, PICK_TIMES)
    told(f"(d) {what}: {found.ours_s:.1f} s beside {found.baseline_s:.1f} s")
    return found


def start_up(repeats: int) -> Comparison:
    """`kitbill --help` beside an interpreter that does nothing."""
    ours = [ran([*kitbill(), "--help"]) for _ in range(repeats)]
    baseline = [ran([sys.executable, "-c", "pass"]) for _ in range(repeats)]
    return _compared(ours, baseline, "e", "kitbill --help beside python -c pass", HELP_TIMES)


def kitbill() -> Sequence[str]:
    """The command as it is installed beside this interpreter."""
    script = Path(sys.executable).parent / "kitbill"
    return [str(script)] if script.exists() else [sys.executable, "-m", "bom"]


def _compared(
    ours: Sequence[Spent], baseline: Sequence[Spent], key: str, what: str, times: float
) -> Comparison:
    ours_s, baseline_s = ([x.seconds for x in some] for some in (ours, baseline))
    by_cpu = [statistics.median(x.cpu_s for x in some) for some in (ours, baseline)]
    ratio = statistics.median(ours_s) / statistics.median(baseline_s)
    return Comparison(
        key=key,
        what=what,
        ours_s=statistics.median(ours_s),
        baseline_s=statistics.median(baseline_s),
        ratio=ratio,
        cpu_ratio=by_cpu[0] / by_cpu[1],
        target=f"≤ {times:g}",
        met=ratio <= times,
        figures={
            "runs": len(ours_s),
            "ours s": spread(ours_s),
            "baseline s": spread(baseline_s),
        },
    )


def ran(command: Sequence[str]) -> Spent:
    """What a command took that ended well."""

    def work() -> None:
        done = subprocess.run(  # noqa: S603  our own commands
            command, cwd=ROOT, capture_output=True, text=True, check=False
        )
        if done.returncode:
            raise SystemExit(f"{' '.join(command)}: exit code {done.returncode}\n{done.stderr}")

    return spent(work)[1]
