"""Needs without an answer explained to the end, beside a pick of the same cabin with an answer."""

from __future__ import annotations

import tempfile
from pathlib import Path

from benchmarks.common import Comparison, no_longer_than, spent, told
from bom.job import DEFAULT_LIMIT_S
from bom.needs_file import read_needs
from bom.outcome import solved
from bom.parts import read_chosen
from bom.why import Why, explained
from solver.levers import levers_of
from tests.cli.small_shop import small_catalog, small_needs

TIMES = 5.0

SPOILT: dict[str, dict[str, object]] = {
    "load of the locker": {"max_kg": 15},
    "month without sun": {"months": "[6, 12]", "sun_hours": [4] * 11 + [0]},
    "days": {"autonomy_days": 30},
    "budget": {"budget": 900},
}
"""The small cabin with one need that goes too far."""


def no_answers(*, quick: bool) -> list[Comparison]:
    """Every spoilt cabin beside the cabin as it is, both from the small shop."""
    found = []
    with tempfile.TemporaryDirectory() as folder:
        stock = read_chosen(str(small_catalog(Path(folder))))
        as_it_is = read_needs(small_needs(Path(folder)), stock)
        kit, baseline = spent(lambda: solved(as_it_is, stock, DEFAULT_LIMIT_S, 2))
        for name, stated in list(SPOILT.items())[: 1 if quick else None]:
            needs = read_needs(small_needs(Path(folder), **stated), stock)

            def explain() -> Why:
                levers = levers_of(needs, stock)  # noqa: B023  called at once
                return explained(needs, stock, levers, DEFAULT_LIMIT_S, lambda _text: None)  # noqa: B023

            why, ours = spent(explain)
            collisions = why.explanation.collisions if why.explanation is not None else []
            told(f"(i) {name}: {ours.seconds:.1f} s beside {baseline.seconds:.1f} s")
            found.append(
                no_longer_than(
                    "i",
                    f"why, {name}",
                    ours,
                    baseline,
                    TIMES,
                    figures={
                        "searches": why.explanation.asked if why.explanation else 0,
                        "collide": [list(c.keys) for c in collisions],
                        "pick ends": kit.status,
                    },
                    wrong="" if collisions else "nothing was found to collide",
                )
            )
    return found
