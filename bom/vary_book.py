"""The workbook of `kitbill vary`: all cells, the cost against each key with its chart, and every
part that changes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from bom.cells import Cell, dearer, word_of
from bom.comparison_book import Lines, Sheet, comparison_book_bytes
from bom.outcome import Outcome
from bom.sheets.page import FREE, MONEY, Column, Row
from bom.vary_text import MAIN, NAME, change_text
from bom.vary_values import Axis, value_text
from solver.variants import changes

if TYPE_CHECKING:
    from bom.frontiers import Staircase
    from bom.vary import Comparison

MOST_LINES = 8
"""More lines than these nobody can tell apart in one chart."""

LEAST = "least"


def vary_book_bytes(found: Comparison) -> bytes:
    """The workbook as the bytes of its file; the same answers make the same bytes."""
    sheets = [_cells(found)]
    if found.staircase is not None:
        sheets.insert(0, _stairs(found.staircase, found))
    else:
        sheets += [_against(axis, found) for axis in found.axes]
    sheets.append(_changes(found))
    return comparison_book_bytes(found.name, found.currency, sheets)


def _shown(value: Any) -> Any:
    """A number as a number, all else as text."""
    if isinstance(value, list) and len(value) == 1:
        value = value[0]
    if isinstance(value, int | float | Decimal) and not isinstance(value, bool):
        return float(value)
    return value_text(value)


def _is_number(axis: Axis) -> bool:
    return all(isinstance(_shown(v), float) for v in axis.values)


def _key_columns(found: Comparison) -> tuple[Column, ...]:
    named = any(cell.what.name for cell in found.cells)
    names = (Column(heading=NAME, width=24),) if named else ()
    keys = tuple(
        Column(
            heading=axis.path.text,
            width=max(18, len(axis.path.text) + 3),
            form=FREE if _is_number(axis) else "General",
        )
        for axis in found.axes
    )
    return (*names, *keys)


def _key_cells(cell: Cell, found: Comparison) -> tuple[Any, ...]:
    named = any(c.what.name for c in found.cells)
    values = cell.what.values[len(cell.what.values) - len(found.axes) :] if found.axes else ()
    return (*((cell.what.name,) if named else ()), *(_shown(v) for _, v in values))


def _cells(found: Comparison) -> Sheet:
    """A row a cell: what it costs, how far above the cheapest, its kit or why there is none."""
    columns = (
        *_key_columns(found),
        Column(heading="total", unit="still to be spent", width=16, form=MONEY),
        Column(heading="above the cheapest", width=16, form=MONEY),
        Column(heading="proof", width=14),
        Column(heading="kit", unit="or why there is none", width=60),
    )
    cheapest = None if found.cheapest is None else found.outcomes[found.cheapest]
    rows = []
    for cell, outcome in zip(found.cells, found.outcomes, strict=True):
        more = None if cheapest is None else dearer(outcome, cheapest)
        rows.append(
            Row(
                cells=(
                    *_key_cells(cell, found),
                    "" if outcome.total is None else outcome.total,
                    "" if more is None else more,
                    word_of(outcome),
                    _kit_text(outcome),
                ),
                look="line",
            )
        )
    return Sheet(title="variants", columns=columns, rows=tuple(rows))


def _kit_text(outcome: Outcome) -> str:
    if outcome.total is None:
        return outcome.reasons[0].message if outcome.reasons else ""
    return "; ".join(text for what, text in outcome.chosen if what != "also")


def _against(axis: Axis, found: Comparison) -> Sheet:
    """Cost against one key: the least of all, and a line for each choice of the others."""
    at = found.axes.index(axis)
    others: dict[str, dict[int, Decimal]] = {}
    least: dict[int, Decimal] = {}
    for cell, outcome in zip(found.cells, found.outcomes, strict=True):
        values = [v for _, v in cell.what.values[-len(found.axes) :]]
        row = axis.values.index(values[at])
        rest = [
            f"{other.path.brief} {value_text(v)}"
            for n, (other, v) in enumerate(zip(found.axes, values, strict=True))
            if n != at
        ]
        name = ", ".join([*([cell.what.name] if cell.what.name else []), *rest])
        line = others.setdefault(name, {})
        if outcome.total is not None:
            line[row] = outcome.total
            least[row] = min(least.get(row, outcome.total), outcome.total)
    lines = {LEAST: least}
    if 1 < len(others) < MOST_LINES:
        lines |= others
    columns = (
        Column(heading=axis.path.text, width=24, form=FREE if _is_number(axis) else "General"),
        *(Column(heading=name, unit=found.currency, width=18, form=MONEY) for name in lines),
    )
    rows = tuple(
        Row(cells=(_shown(value), *(line.get(n, "") for line in lines.values())))
        for n, value in enumerate(axis.values)
    )
    chart = Lines(
        title=f"Cost against {axis.path.text}",
        x_title=axis.path.text,
        y_title=found.currency,
        columns=tuple(range(2, 2 + len(lines))),
        numbers=_is_number(axis),
    )
    return Sheet(title=f"by {axis.path.text}", columns=columns, rows=rows, chart=chart)


def _stairs(staircase: Staircase, found: Comparison) -> Sheet:
    """A frontier: both ends of each step, so that the line goes level and then up."""
    axis = staircase.axis
    columns = (
        Column(heading=axis.path.text, width=24, form=FREE),
        Column(heading="total", unit=found.currency, width=18, form=MONEY),
        Column(heading="proof", width=14),
        Column(heading="kit", unit="or why there is none", width=70),
    )
    rows = []
    for stair in staircase.stairs:
        outcome = found.outcomes[stair.cell]
        for n in dict.fromkeys((stair.first, stair.last)):
            total = "" if outcome.total is None else outcome.total
            first = n == stair.first
            text = (word_of(outcome), _kit_text(outcome)) if first else ("", "")
            rows.append(Row(cells=(_shown(axis.values[n]), total, *text)))
    chart = Lines(
        title=f"Cost against {axis.path.text}: every step",
        x_title=axis.path.text,
        y_title=found.currency,
        columns=(2,),
        numbers=True,
    )
    return Sheet(title="frontier", columns=columns, rows=tuple(rows), chart=chart)


def _changes(found: Comparison) -> Sheet:
    """Every part that changes from the cheapest, cell by cell, the main ones first."""
    columns = (
        *_key_columns(found),
        Column(heading="part", width=28),
        Column(heading="name", width=40),
        Column(heading="cheapest", unit="pieces or m", width=12, form=FREE),
        Column(heading="here", unit="pieces or m", width=12, form=FREE),
        Column(heading="in words", width=50),
    )
    return Sheet(title="changes", columns=columns, rows=tuple(_change_rows(found)))


def _change_rows(found: Comparison) -> Iterator[Row]:
    if found.cheapest is None:
        return
    cheapest = found.outcomes[found.cheapest]
    pairs: Sequence[tuple[Cell, Outcome]] = list(zip(found.cells, found.outcomes, strict=True))
    for cell, outcome in pairs:
        if outcome.total is None:
            continue
        every = changes(cheapest.lines, outcome.lines)
        for c in sorted(every, key=lambda c: (c.part_class not in MAIN, c.part_class, c.part)):
            quantities = (float(c.before), float(c.after))
            yield Row(
                cells=(*_key_cells(cell, found), c.part, c.name, *quantities, change_text(c))
            )
