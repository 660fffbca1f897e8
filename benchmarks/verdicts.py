"""Needs without an answer: the verdict with its reasons, beside a solve of the same example."""

from __future__ import annotations

import time

from benchmarks.common import ROOT, Comparison, from_one, jobs, no_longer_than, spent, told
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


def impossible(*, quick: bool) -> list[Comparison]:
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

        verdict, ours = spent(lambda: solved(f"examples/impossible/{name}.toml"))  # noqa: B023
        kit, baseline = spent(lambda: solved(f"examples/{job_name}.toml"))  # noqa: B023
        told(
            f"(f) {name}: {verdict.status}, {ours.seconds:.2f} s; "
            f"{kit.status}, {baseline.seconds:.2f} s"
        )
        found.append(
            no_longer_than(
                "f",
                f"verdict, {name}",
                ours,
                baseline,
                TIMES,
                figures={
                    "supplier": job.supplier,
                    "solve ends": kit.status,
                    "reasons": len(verdict.reasons),
                },
                wrong=""
                if verdict.status == "infeasible"
                else f"the verdict is {verdict.status}",
            )
        )
    return found
