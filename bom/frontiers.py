"""`--frontier KEY=FROM..TO`: every step of the cost as one need grows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from bom.cells import Cell, Progress, answered_cells
from bom.chains import binding_of
from bom.journal import Journal
from bom.needs_path import Path, path_of
from bom.outcome import Outcome
from bom.side_by_side import Solvers
from bom.stated import Stated
from bom.vary_values import Axis, range_values, split_key
from solver import frontier as f
from solver.columns import Wrong, printable, sentence, show
from solver.errors import BadInput

GROWS = {
    "energy.autonomy_days": True,
    "energy.shortfall_pct": False,
    "limits.total_kg": False,
    "limits.budget": False,
    "load.hours_per_day": True,
    "place.length_mm": False,
    "place.width_mm": False,
    "place.height_mm": False,
    "place.max_kg": False,
    "charging.hours_per_day": False,
    "charging.max_w": False,
    **{
        f"rules.drop_pct.{k}": False
        for k in ("array", "battery", "inverter", "charger", "load")
    },
}
"""Keys with which kits only ever go (True: a larger value asks for more) or only ever come."""

STEPS = {"days": "0.01", "kg": "0.1", "mm": "10", "day": "0.1"}
"""Without `step`, by the last word of a key; 1 otherwise."""

OPEN = 0.0002
"""Share that two proofs of the cheapest may leave open between them."""


@dataclass(frozen=True)
class Stair:
    """One step: between which values, and a cell whose kit is the cheapest at its costlier end."""

    first: int
    last: int
    cell: int
    """Number of the cell that was solved for it."""


@dataclass(frozen=True)
class Staircase:
    """The whole frontier."""

    axis: Axis
    grows: bool
    solved: tuple[int, ...]
    """Which cells were solved."""
    stairs: tuple[Stair, ...]


def frontier_axis(text: str, stated: Stated) -> tuple[Axis, bool]:
    """Read `KEY=FROM..TO step S`; with it whether a larger value asks for more.

    Raises
    ------
    BadInput
        Where the key is none along which the cost is sure to be monotone, or no range stands there.
    """
    try:
        key, values = split_key(text)
        path = path_of(key, stated)
        return Axis(path, _range(values, path)), _grows(path)
    except Wrong as wrong:
        raise BadInput([printable(sentence(f"--frontier {show(text)}: {wrong}"))]) from None


def _grows(path: Path) -> bool:
    if path.plain not in GROWS:
        known = ", ".join(GROWS)
        raise Wrong(f"along {path.text} the cost may rise and fall; there are: {known}")
    return GROWS[path.plain]


def _range(text: str, path: Path) -> tuple[Any, ...]:
    span, _, step = text.partition(" step ")
    first, dots, last = span.partition("..")
    if not dots:
        raise Wrong("a range such as 0.5..3 step 0.01 belongs here")
    usual = STEPS.get(path.keys[-1].rpartition("_")[2], "1")
    return tuple(range_values(_decimal(first), _decimal(last), _decimal(step or usual)))


def _decimal(text: str) -> Decimal:
    try:
        number = Decimal(text.strip())
    except ArithmeticError:
        raise Wrong(f"found {show(text)}; a number belongs there") from None
    if not number.is_finite():
        raise Wrong(f"found {show(text)}; a number belongs there")
    return number


def climb(
    cells: Sequence[Cell],
    axis: Axis,
    grows: bool,
    stated: Stated,
    journal: Journal,
    asked: Solvers,
    progress: Progress,
) -> Staircase:
    """Solve cells until every step is known: both ends, then between those that differ.

    Raises
    ------
    AssertionError
        Where the proven cost falls as the need grows: a defect.
    """
    values = [float(v) for v in axis.values]
    binding = binding_of(axis.path, stated)
    known: dict[int, f.Point] = {}
    source: dict[int, int] = {}
    while ask := f.to_ask(len(cells), known):
        at = {cells[n].question: n for n in ask}
        for cell in answered_cells([cells[n] for n in ask], journal, asked, progress):
            n, outcome = at[cell.question], journal.known[cell.question]
            point = f.Point(_cents(outcome), outcome.status in ("optimal", "infeasible"))
            known[n], source[n] = point, n
            for m in _also(outcome, binding, values, n, grows):
                known.setdefault(m, point)
                source.setdefault(m, n)
    found = f.steps(len(cells), known)
    wrong = f.falls(found if grows else found[::-1], OPEN)
    if wrong:
        raise AssertionError(f"the cost falls as {axis.path.text} asks for more: {wrong}")
    stairs = [Stair(s.first, s.last, source[s.last if grows else s.first]) for s in found]
    return Staircase(axis, grows, tuple(sorted(set(source.values()))), tuple(stairs))


def _cents(outcome: Outcome) -> float:
    least = outcome.total if outcome.kit_total is None else outcome.kit_total
    return math.inf if least is None else float(least * 100)


def _also(
    outcome: Outcome, binding: str | None, values: Sequence[float], at: int, grows: bool
) -> list[int]:
    """Values at which this answer is the cheapest too."""
    if outcome.status != "optimal":
        return []
    found = next((b for b in outcome.bindings if b.need == binding), None)
    if found is None:
        return []
    return f.reached(values, at, found.used, found.limit, grows=grows)


def numbered(climbed: Staircase) -> Staircase:
    """The same, its cells numbered among those that were solved."""
    at = {n: k for k, n in enumerate(climbed.solved)}
    stairs = tuple(Stair(s.first, s.last, at[s.cell]) for s in climbed.stairs)
    return Staircase(climbed.axis, climbed.grows, tuple(range(len(climbed.solved))), stairs)
