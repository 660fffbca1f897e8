"""What `kitbill vary` prints: a row for each cell as it comes, then what changes and why not."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from bom.cells import Cell, dearer, word_of
from bom.money import amount_text, rounded
from bom.outcome import Outcome
from bom.vary_values import Axis, value_text
from solver.variants import Change, changes

if TYPE_CHECKING:
    from bom.frontiers import Staircase
    from bom.vary import Comparison

WIDTH = 80
NAME = "alternative"
MAIN = ("panel", "controller", "battery", "inverter", "charger", "converter")
"""Classes whose changes are printed; the rest stand in the files."""
TOTAL, SURE = 12, 12


class Table:
    """The rows of a grid, each given out once all before it are known."""

    def __init__(self, cells: Sequence[Cell], axes: Sequence[Axis]) -> None:
        self._cells = cells
        self._axes = axes
        self._found: dict[int, Outcome] = {}
        self._number = {id(cell): n for n, cell in enumerate(cells)}
        self._next = 0
        self._named = any(cell.what.name for cell in cells)
        self._heads = _heads(axes, named=self._named)
        texts = [self._texts(cell) for cell in cells]
        self._widths = [
            max(len(head), *(len(t[n]) for t in texts)) for n, head in enumerate(self._heads)
        ]

    def _texts(self, cell: Cell) -> list[str]:
        values = list(cell.what.values)
        texts = [value_text(v) for _, v in values[len(values) - len(self._axes) :]]
        if not self._axes:
            texts = []
        return [cell.what.name, *texts] if self._named else texts

    def heading(self) -> str:
        """What stands in the columns."""
        currency = self._cells[0].needs.job.currency
        return self._line(self._heads, f"total {currency}", "")

    def add(self, cell: Cell, outcome: Outcome) -> Iterator[str]:
        """Take an answer, and give every row that can be shown now."""
        self._found[self._number[id(cell)]] = outcome
        while self._next in self._found:
            shown = self._cells[self._next]
            known = self._found[self._next]
            self._next += 1
            total = "-"
            if known.total is not None:
                total = f"{rounded(known.total, shown.needs.job.currency):,f}"
            yield self._line(self._texts(shown), total, word_of(known))

    def _line(self, cells: Sequence[str], total: str, sure: str) -> str:
        keys = "  ".join(c.ljust(w) for c, w in zip(cells, self._widths, strict=True))
        return f"{keys}  {total:>{TOTAL}}  {sure}".rstrip()


def _heads(axes: Sequence[Axis], *, named: bool) -> list[str]:
    """Keys in full where they fit, else their last words."""
    full = [axis.path.text for axis in axes]
    short = [axis.path.keys[-1] for axis in axes]
    fits = sum(map(len, full)) + 2 * len(full) + TOTAL + SURE <= WIDTH
    heads = full if fits or len(set(short)) < len(short) else short
    return [NAME, *heads] if named else heads


def ending_text(found: Comparison) -> str:
    """What is said once all is known: the cheapest, what changes from it, why there is no kit."""
    lines: list[str] = []
    if found.staircase is not None:
        lines += _stairs(found.staircase, found)
    if found.cheapest is not None:
        cheapest = found.outcomes[found.cheapest]
        lines += ["", *_wrapped("cheapest: ", _cheapest(found, found.cheapest))]
        lines += [x for label, text in cheapest.chosen for x in _wrapped(f"  {label}: ", text)]
        lines += _changes(found, cheapest)
    lines += _no_kits(found)
    return "\n".join(lines) + "\n"


def _cheapest(found: Comparison, number: int) -> str:
    cell, outcome = found.cells[number], found.outcomes[number]
    assert outcome.total is not None
    return f"{cell.what.shown()}: {amount_text(outcome.total, found.currency)}"


def _changes(found: Comparison, cheapest: Outcome) -> list[str]:
    """What changes from the cheapest, cells with the same kit told together."""
    by_change: dict[str, list[str]] = {}
    for cell, outcome in zip(found.cells, found.outcomes, strict=True):
        more = dearer(outcome, cheapest)
        if more is None or outcome is cheapest:
            continue
        said = f"{_signed(more, found.currency)}: {_changed(cheapest, outcome)}"
        by_change.setdefault(said, []).append(cell.what.shown())
    lines: list[str] = []
    for said, shown in by_change.items():
        lines += ["", *_wrapped("", "; ".join(shown)), *_wrapped("  ", said)]
    return ["", "What changes from it", *lines] if lines else []


def _changed(cheapest: Outcome, outcome: Outcome) -> str:
    every = changes(cheapest.lines, outcome.lines)
    if not every:
        return "the same parts"
    main = [change_text(c) for c in every if c.part_class in MAIN]
    rest = len(every) - len(main)
    more = [f"{rest} other line{'' if rest == 1 else 's'}"] if rest else []
    return "; ".join([*main, *more])


def _signed(amount: Decimal, currency: str) -> str:
    return f"{'+' if amount >= 0 else ''}{amount_text(amount, currency)}"


def change_text(change: Change) -> str:
    """A change as a person says it: `2 × Panel 200 W instead of 1`."""
    unit = " m of" if change.unit == "m" else " ×"
    before, after = (format(q.normalize(), "f") for q in (change.before, change.after))
    if not change.after:
        return f"no {change.name} ({before} before)"
    if not change.before:
        return f"{after}{unit} {change.name}, new"
    return f"{after}{unit} {change.name} in place of {before}"


def _no_kits(found: Comparison) -> list[str]:
    """Cells without a kit by their reason, each reason once."""
    by_reason: dict[str, list[str]] = {}
    for cell, outcome in zip(found.cells, found.outcomes, strict=True):
        if outcome.total is None:
            reason = outcome.reasons[0]
            said = reason.message
            if reason.change:
                said += f" Smallest change that helps: {reason.change}."
            by_reason.setdefault(said, []).append(cell.what.shown())
    lines: list[str] = []
    for said, shown in by_reason.items():
        lines += ["", *_wrapped("no kit: ", "; ".join(shown)), *_wrapped("  ", said)]
    return lines


def _stairs(staircase: Staircase, found: Comparison) -> list[str]:
    """The steps of a frontier as a table."""
    values = [value_text(v) for v in staircase.axis.values]
    spans = [
        values[s.first] if s.first == s.last else f"{values[s.first]} to {values[s.last]}"
        for s in staircase.stairs
    ]
    head = staircase.axis.path.text
    width = max(len(head), *map(len, spans))
    lines = [f"{head:<{width}}  {'total ' + found.currency:>{TOTAL}}"]
    for span, stair in zip(spans, staircase.stairs, strict=True):
        outcome = found.outcomes[stair.cell]
        total = "-"
        if outcome.total is not None:
            total = f"{rounded(outcome.total, found.currency):,f}"
        lines.append(f"{span:<{width}}  {total:>{TOTAL}}  {word_of(outcome)}")
    return lines


def _wrapped(start: str, text: str) -> list[str]:
    return textwrap.wrap(start + text, WIDTH, subsequent_indent="    ") or [start.rstrip()]
