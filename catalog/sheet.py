"""A table of cells, from a CSV file or a workbook's sheet, and its rows as records."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any, Generic, TypeVar

from catalog.faults import Faults
from solver.columns import Column, Wrong, columns_of, nearest, read_value, show
from solver.parts import CLASSES
from solver.stock import Offer, Supplier

R = TypeVar("R")

RECORDS: dict[str, type] = {
    **dict(sorted(CLASSES.items())),
    "suppliers": Supplier,
    "offers": Offer,
}
"""The record of each file, by the file's stem."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """The cells of one table, as found."""

    order: tuple[int, int]
    """Number of the file and of the sheet in it, for the order of messages."""
    label: str
    """What messages call it: `lug.csv`, or `shop.xlsx, sheet lug`."""
    stem: str
    """Which table it is: `lug`, `offers`."""
    rows: list[tuple[int, list[Any]]]
    """Line in the file, and its cells; the first is the heading."""


@dataclass(frozen=True, slots=True)
class Line(Generic[R]):
    """What one row says, and where it stands."""

    sheet: Sheet
    row: int
    values: dict[str, Any]
    """Every value that could be read, by its column."""
    record: R | None
    """The record; None where something of it is missing or wrong."""


@dataclass(slots=True)
class Lines(Generic[R]):
    """What was read from one sheet."""

    sheet: Sheet
    lines: list[Line[R]] = field(default_factory=list)
    keys: list[tuple[str, int]] = field(default_factory=list)
    """The name in each row's key column, and the row; rows with a fault elsewhere included."""
    names_known: bool = True
    """False where a key could not be read: then nobody can say that a name is unknown."""

    @property
    def names(self) -> set[str]:
        """Every name in the key column."""
        return {name for name, _ in self.keys}


def at(faults: Faults, sheet: Sheet, text: str, row: int = 0, column: str = "") -> None:
    """Note a fault of a sheet."""
    names = [c.name for c in columns_of(RECORDS[sheet.stem])] if sheet.stem in RECORDS else []
    position = names.index(column) + 1 if column in names else 0
    faults.add(sheet.order, sheet.label, text, row=row, column=column, position=position)


def known_stem(stem: str) -> str | None:
    """None for the name of a table there is, else a hint at the nearest."""
    if stem in RECORDS:
        return None
    near = nearest(stem.lower(), RECORDS)
    return near or "; known are " + ", ".join(RECORDS)


def read_lines(sheet: Sheet, faults: Faults) -> Lines[Any]:
    """The rows of a sheet as records; what is wrong is noted."""
    found: Lines[Any] = Lines(sheet)
    record = RECORDS[sheet.stem]
    heading = _heading(sheet, record, faults)
    if heading is None:
        found.names_known = False
        return found
    reader = _RowReader(record, heading)
    found.names_known = reader.key_at is not None
    for row, cells in sheet.rows[1:]:
        if _is_blank(cells):
            continue
        _note_key(found, reader, row, cells)
        values, wrong = reader.read(cells)
        for column, text in wrong:
            at(faults, sheet, text, row, column)
        made = record(**values) if reader.complete and not wrong else None
        found.lines.append(Line(sheet, row, values, made))
    return found


def _is_blank(cells: Sequence[Any]) -> bool:
    return all(c is None or (isinstance(c, str) and not c.strip()) for c in cells)


def _note_key(found: Lines[Any], reader: _RowReader, row: int, cells: Sequence[Any]) -> None:
    if reader.key_at is None:
        return
    cell = cells[reader.key_at] if reader.key_at < len(cells) else None
    name = _as_text(cell) if reader.key_at < len(cells) else ""
    if isinstance(name, str) and name.strip():
        found.keys.append((name.strip(), row))
    else:
        found.names_known = False


def _heading(sheet: Sheet, record: type, faults: Faults) -> list[Column | None] | None:
    """The column of each position; None where it has none; None at all without a heading."""
    cells = sheet.rows[0][1] if sheet.rows else []
    names = [c.strip() if isinstance(c, str) else c for c in cells]
    if not any(names):
        at(faults, sheet, "found nothing; the names of the columns belong here", 1)
        return None
    columns = {c.name: c for c in columns_of(record)}
    if len(names) == 1 and _separated_otherwise(names[0], columns):
        at(faults, sheet, f"found {show(names[0])}; columns are separated by commas", 1)
        return None
    heading = _named_columns(sheet, names, columns, faults)
    present = [c.name for c in heading if c is not None]
    for col in columns.values():
        if col.must_stand and col.name not in present:
            at(
                faults,
                sheet,
                f"the column is missing; {col.allowed()} belongs there",
                1,
                col.name,
            )
    return heading


def _separated_otherwise(name: Any, columns: dict[str, Column]) -> bool:
    return isinstance(name, str) and any(
        sum(n.strip() in columns for n in name.split(mark)) > 1 for mark in (";", "\t", "|")
    )


def _named_columns(
    sheet: Sheet, names: list[Any], columns: dict[str, Column], faults: Faults
) -> list[Column | None]:
    heading: list[Column | None] = []
    seen: set[str] = set()
    for position, name in enumerate(names, 1):
        column = columns.get(name) if isinstance(name, str) else None
        if name is None or name == "":
            at(faults, sheet, f"column number {position} has no name", 1)
        elif column is None:
            text = f"unknown column{nearest(str(name), columns)}"
            if text == "unknown column":
                text += "; known are " + ", ".join(columns)
            at(faults, sheet, text, 1, str(name)[:60])
        elif name in seen:
            at(faults, sheet, "the column stands here more than once; keep one", 1, name)
            column = None
        else:
            seen.add(name)
        heading.append(column)
    return heading


class _RowReader:
    """Reads the cells of rows; each different text of a column is read once."""

    def __init__(self, record: type, heading: list[Column | None]) -> None:
        columns = columns_of(record)
        self._heading = heading
        present = {c.name for c in heading if c is not None}
        self._defaults = {
            c.name: c.default for c in columns if not c.required and c.name not in present
        }
        self.complete = None not in heading and all(
            c.name in present or c.name in self._defaults for c in columns
        )
        self._known: list[dict[str, Any]] = [{} for _ in heading]
        key = columns[0].name
        self.key_at = next(
            (i for i, c in enumerate(heading) if c is not None and c.name == key), None
        )

    def read(self, cells: Sequence[Any]) -> tuple[dict[str, Any], list[tuple[str, str]]]:
        """The values that could be read, by column, and the faults as (column, text)."""
        if len(cells) != len(self._heading):
            return {}, [("", self._miscounted(cells))]
        values = dict(self._defaults)
        wrong: list[tuple[str, str]] = []
        for col, known, cell in zip(self._heading, self._known, cells, strict=True):
            if col is None:
                continue
            try:
                if type(cell) is str:
                    if cell not in known:
                        known[cell] = read_value(col, cell)
                    values[col.name] = known[cell]
                else:
                    values[col.name] = read_value(col, _as_typed(col, cell))
            except Wrong as error:
                wrong.append((col.name, f"{error}{typed_hint(col, cell)}"))
        return values, wrong

    def _miscounted(self, cells: Sequence[Any]) -> str:
        text = f"found {len(cells)} fields; the heading has {len(self._heading)}"
        if len(cells) > len(self._heading):
            text += " (a text with a comma in it stands in quotes; decimals have a point)"
        return text


def _as_typed(col: Column, cell: Any) -> Any:
    """A workbook's cell, where its type is only how the program stored what was typed."""
    if col.kind == "text":
        return _as_text(cell)
    if col.kind == "money" and isinstance(cell, float):
        # 15 digits is what spreadsheets keep and show; the rest is binary noise.
        return Decimal(format(cell, ".15g"))
    return cell


def _as_text(cell: Any) -> Any:
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        return cell
    return format(cell, ".15g")


_COMMA = re.compile(r"\s*[+-]?\d+,\d+\s*")
_WITH_UNIT = re.compile(r"\s*([+-]?\d+(?:\.\d+)?)\s*[^\d\s.,;:/+-][^\d]*\d?\s*")


def typed_hint(col: Column, cell: Any) -> str:
    """What to type instead, where that is plain to see."""
    if col.kind not in ("number", "whole", "money") or not isinstance(cell, str):
        return ""
    if _COMMA.fullmatch(cell):
        return f" (with a decimal point: {cell.strip().replace(',', '.')})"
    with_unit = _WITH_UNIT.fullmatch(cell)
    return f" (the number alone: {with_unit[1]})" if with_unit else ""
