"""What fitting adds to the main job: the same pick beside one in which everything finds a place.

The baseline is our own solve where placing is left out: whatever is chosen counts as placed, in
one corner, so no cut is learnt and its kit may be cheaper than any that can be built. What
fitting adds is the search for places and, where it teaches a cut, solving again with that.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from unittest import mock

from benchmarks.common import Comparison, Job, from_one, jobs, no_longer_than, spent, told
from bom.job import silenced_output
from bom.needs_file import read_needs
from bom.parts import read_chosen
from solver import placing
from solver.fit import Item, Spot
from solver.kit import solve_kit
from solver.needs import Place
from solver.records import Result
from solver.stock import Stock

TIMES = 2.0

LIMIT_S = 300.0
"""A solve is not waited for any longer."""


def added(*, quick: bool) -> list[Comparison]:
    """Every job, from its one supplier."""
    stock = read_chosen(None)
    return [_beside(job, stock) for job in jobs()[: 1 if quick else None]]


def _beside(job: Job, stock: Stock) -> Comparison:
    one = from_one(stock, job.supplier)
    needs = read_needs(job.needs, one)

    def solved() -> Result:
        with silenced_output():
            return solve_kit(needs, one, limit_s=LIMIT_S, clock=time.monotonic)

    def without() -> Result:
        with (
            mock.patch.object(placing, "prove_placing", _anywhere),
            mock.patch.object(placing, "most_that_fit", _all_of_them),
        ):
            return solved()

    kit, ours = spent(solved)
    free, baseline = spent(without)
    told(f"(h) {job.name}: {ours.seconds:.2f} s; without placing {baseline.seconds:.2f} s")
    return no_longer_than(
        "h",
        f"fitting, {job.name}",
        ours,
        baseline,
        TIMES,
        figures={
            "supplier": job.supplier,
            "ends": kit.status,
            "without placing ends": free.status,
            "total": str(kit.kit_total),
            "without placing": str(free.kit_total),
        },
        wrong=_disagree(kit, free),
    )


def _disagree(kit: Result, free: Result) -> str:
    """What is placed costs no less than the bound of what is not."""
    if kit.kit_total is None or free.kit_bound is None or kit.kit_total >= free.kit_bound:
        return ""
    return f"{kit.kit_total} with placing, at least {free.kit_bound} without"


def _anywhere(
    items: Sequence[Item], _place: Place, _limit_s: float
) -> tuple[str, tuple[Spot, ...]]:
    return "placed", tuple(Spot(item.id, 0.0, 0.0, rotated=False) for item in items)


def _all_of_them(
    _item: Item, _place: Place, _limit_s: float, at_most: int = 100
) -> tuple[int, bool]:
    return at_most, True
