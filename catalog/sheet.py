"""A table of cells, from a CSV file or a workbook's sheet, and its rows as records."""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import islice
from typing import Any

from catalog.cells import reads_as_itself
from catalog.faults import Faults
from solver.columns import Column, Wrong, columns_of, nearest, read_value, show
from solver.parts import CLASSES
from solver.stock import Offer, Supplier

Progress = Callable[[str], None]
"""Told in a few words what is being done."""

BLOCK_ROWS = 25_000
"""Rows read at a time: of a large file no more stand in memory as cells."""

REFERRING = ("part", "supplier", "holder", "currency")
"""Columns whose values must fit the rest of the load or the catalog."""

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
    rows: Iterable[tuple[int, Sequence[Any]]]
    """Line in the file, and its cells; the first is the heading. They are read once."""


@dataclass(slots=True)
class Lines:
    """What was read from one sheet, row by row in the same order."""

    sheet: Sheet
    rows: array[int] = field(default_factory=lambda: array("q"))
    """Line in the file; rows that are blank or have too few or many fields are left out."""
    records: list[Any] = field(default_factory=list)
    """The records; None where something of one is missing or wrong."""
    referring: dict[str, list[Any]] = field(default_factory=dict)
    """Values of the `REFERRING` columns; None where there is none, or none that can be read."""
    keys: list[tuple[str, int]] = field(default_factory=list)
    """The name in each row's key column, and the row; rows with a fault elsewhere included.
    Offers have no key."""
    names_known: bool = True
    """False where a key could not be read: then nobody can say that a name is unknown."""

    @property
    def names(self) -> set[str]:
        """Every name in the key column."""
        return {name for name, _ in self.keys}

    def values(self, column: str) -> Sequence[Any]:
        """The values of a referring column; none of a column that is not there."""
        return self.referring.get(column, (None,) * len(self.rows))


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


def read_lines(sheet: Sheet, faults: Faults, tell: Progress) -> Lines:
    """The rows of a sheet as records; what is wrong is noted."""
    found = Lines(sheet)
    record = RECORDS[sheet.stem]
    rows = iter(sheet.rows)
    heading = _heading(sheet, next(rows, (1, ()))[1], record, faults)
    if heading is None:
        found.names_known = False
        return found
    reader = _Reader(record, heading)
    found.names_known = reader.key_at is not None
    while block := list(islice(rows, BLOCK_ROWS)):
        whole = _whole_rows(found, reader, block, faults)
        if whole:
            reader.read(found, whole, faults)
        if len(block) == BLOCK_ROWS:
            tell(f"reading {sheet.label}: {len(found.rows):,} rows")
    return found


def _whole_rows(
    found: Lines, reader: _Reader, block: list[tuple[int, Sequence[Any]]], faults: Faults
) -> list[Sequence[Any]]:
    """The cells of the rows that are neither blank nor miscounted; their keys are noted."""
    has_key = found.sheet.stem != "offers"
    names = reader.all_keys(block)
    if names is not None:
        found.rows.extend(row for row, _ in block)
        if has_key:
            found.keys += zip(names, found.rows[-len(block) :], strict=True)
        return [cells for _, cells in block]
    whole = []
    for row, cells in block:
        if _is_blank(cells):
            continue
        if has_key:
            _note_key(found, reader, row, cells)
        if len(cells) != reader.width:
            at(faults, found.sheet, reader.miscounted(cells), row)
            continue
        found.rows.append(row)
        whole.append(cells)
    return whole


def _is_blank(cells: Sequence[Any]) -> bool:
    return all(c is None or (isinstance(c, str) and not c.strip()) for c in cells)


def _note_key(found: Lines, reader: _Reader, row: int, cells: Sequence[Any]) -> None:
    if reader.key_at is None:
        return
    cell = cells[reader.key_at] if reader.key_at < len(cells) else None
    name = _as_text(cell)
    if isinstance(name, str) and name.strip():
        found.keys.append((name.strip(), row))
    else:
        found.names_known = False


def _heading(
    sheet: Sheet, cells: Sequence[Any], record: type, faults: Faults
) -> list[Column | None] | None:
    """The column of each position; None where it has none; None at all without a heading."""
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


class _Reader:
    """Reads blocks of rows, column by column."""

    def __init__(self, record: type, heading: list[Column | None]) -> None:
        columns = columns_of(record)
        self._record = record
        self._readers = [None if c is None else _ColumnReader(c) for c in heading]
        self.width = len(heading)
        present = {c.name for c in heading if c is not None}
        self._defaults = {
            c.name: c.default for c in columns if not c.required and c.name not in present
        }
        self.complete = None not in heading and all(
            c.name in present or c.name in self._defaults for c in columns
        )
        key = columns[0].name
        self.key_at = next(
            (i for i, c in enumerate(heading) if c is not None and c.name == key), None
        )

    def all_keys(self, block: list[tuple[int, Sequence[Any]]]) -> list[str] | None:
        """The keys of rows that are all as wide as the heading and name something; else None."""
        at = self.key_at
        if at is None or {len(cells) for _, cells in block} != {self.width}:
            return None
        keys = [cells[at] for _, cells in block]
        if set(map(type, keys)) != {str}:
            return None
        names = [*map(str.strip, keys)]
        return names if all(names) else None

    def read(self, found: Lines, rows: list[Sequence[Any]], faults: Faults) -> None:
        """Read rows of the right width: the last ones whose numbers `found` has."""
        first = len(found.rows) - len(rows)
        values: dict[str, Sequence[Any]] = {}
        spoilt: set[int] = set()
        for reader, cells in zip(self._readers, zip(*rows, strict=True), strict=True):
            if reader is None:
                continue
            name = reader.col.name
            values[name], wrong = reader.read(cells)
            spoilt.update(wrong)
            for i, text in wrong.items():
                at(faults, found.sheet, text, found.rows[first + i], name)
            if name in REFERRING:
                found.referring.setdefault(name, []).extend(values[name])
        found.records += self._records(values, spoilt, len(rows))

    def _records(
        self, values: dict[str, Sequence[Any]], spoilt: set[int], count: int
    ) -> Iterable[Any]:
        if not self.complete:
            return [None] * count
        names, record, rest = list(values), self._record, self._defaults
        return (
            None if i in spoilt else record(**dict(zip(names, row, strict=True)), **rest)
            for i, row in enumerate(zip(*values.values(), strict=True))
        )

    def miscounted(self, cells: Sequence[Any]) -> str:
        """What is wrong with a row that has more or fewer fields than the heading."""
        text = f"found {len(cells)} fields; the heading has {self.width}"
        if len(cells) > self.width:
            text += " (a text with a comma in it stands in quotes; decimals have a point)"
        return text


class _ColumnReader:
    """Reads the cells of one column; each different text once."""

    def __init__(self, col: Column) -> None:
        self.col = col
        self._known: dict[str, Any] = {}
        self._wrong: dict[str, str] = {}

    def read(self, cells: Sequence[Any]) -> tuple[Sequence[Any], dict[int, str]]:
        """The values, None where one cannot be read; and what is wrong, by position."""
        if set(map(type, cells)) != {str}:
            return self._read_typed(cells)
        for cell in set(cells).difference(self._known):
            self._known[cell] = (
                cell if reads_as_itself(self.col, cell) else self._read_text(cell)
            )
        values = [*map(self._known.__getitem__, cells)]
        if not self._wrong:
            return values, {}
        return values, {i: self._wrong[c] for i, c in enumerate(cells) if c in self._wrong}

    def _read_text(self, cell: str) -> Any:
        try:
            return read_value(self.col, cell)
        except Wrong as error:
            self._wrong[cell] = f"{error}{typed_hint(self.col, cell)}"
            return None

    def _read_typed(self, cells: Sequence[Any]) -> tuple[Sequence[Any], dict[int, str]]:
        """A workbook's cells, each by itself: to Python 1, 1.0 and True are the same."""
        values: list[Any] = [None] * len(cells)
        wrong: dict[int, str] = {}
        for i, cell in enumerate(cells):
            try:
                values[i] = read_value(self.col, _as_typed(self.col, cell))
            except Wrong as error:
                wrong[i] = f"{error}{typed_hint(self.col, cell)}"
        return values, wrong


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
