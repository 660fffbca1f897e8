"""Needs without an answer: the verdict with its reasons, beside a solve of the same example."""

from __future__ import annotations

import statistics
import time

from benchmarks.common import ROOT, Comparison, from_one, jobs, spread, timed, told
from bom.job import silenced_output
from bom.needs_file import read_needs
from bom.parts import read_chosen
from solver.kit import solve_kit
from solver.records import Result

TIMES = 10.0

LIMIT_S = 300.0
"""An ordinary solve is not waited for any longer."""

SAME_EXAMPLE = {
    "boatyard-small-budget": "boatyard-office",
    "honey-house-light-box": "honey-house-trailer",
    "library-van-sun-only": "mobile-library-van",
}
"""Each of the needs that no kit meets, and the job it was made from."""


def impossible(repeats: int, *, quick: bool) -> list[Comparison]:
    """Every impossible example beside the possible one, both from the job's one supplier."""
    stock = read_chosen(None)
    by_name = {job.name: job for job in jobs()}
    found = []
    for name, job_name in list(SAME_EXAMPLE.items())[: 1 if quick else None]:
        job = by_name[job_name]
        one = from_one(stock, job.supplier)

        def solved(path: str) -> Result:
            needs = read_needs(ROOT / path, one)  # noqa: B023  called at once
            with silenced_output():
                return solve_kit(needs, one, limit_s=LIMIT_S, clock=time.monotonic)  # noqa: B023

        verdicts = [timed(lambda: solved(f"examples/impossible/{name}.toml"))  # noqa: B023
                    for _ in range(repeats)]  # fmt: skip
        ordinary = [timed(lambda: solved(f"examples/{job_name}.toml"))  # noqa: B023
                    for _ in range(repeats)]  # fmt: skip
        ours = [s for _, s in verdicts]
        baseline = [s for _, s in ordinary]
        told(f"(f) {name}: {spread(ours)} s beside {spread(baseline)} s")
        wrong = {r.status for r, _ in verdicts} - {"infeasible"}
        ratio = statistics.median(ours) / statistics.median(baseline)
        found.append(
            Comparison(
                key="f",
                what=f"verdict, {name}",
                ours_s=statistics.median(ours),
                baseline_s=statistics.median(baseline),
                ratio=ratio,
                target=f"at most {TIMES:g} ×",
                met=ratio <= TIMES,
                figures={
                    "runs": repeats,
                    "verdict s": spread(ours),
                    "solve s": spread(baseline),
                    "solve ends": sorted({r.status for r, _ in ordinary}),
                    "reasons": len(verdicts[0][0].reasons),
                },
                wrong=f"the verdict is {sorted(wrong)}" if wrong else "",
            )
        )
    return found
