"""The workbook form of a needs file, as tables.

Sheets `job`, `site`, `energy`, `limits`, `rules`, `order` have a key in the first column and
its value in the second; what stands further right is a remark. The others have a heading row
and a row each. A row whose first cell begins with `#` is a remark, an empty cell is a key not
stated, and a sheet `notes` is never read.

Several values in one cell stand with `;` between them (`3;4;5`), or as in TOML (`[3, 4, 5]`).
A table inside a table is written with a point in the key (`drop_pct.load`, `rates.USD`), or as
in TOML. Obstacles have a sheet `obstacle` of their own, with the column `place` beside their
keys.
"""

from __future__ import annotations

import datetime
import io
import warnings
import zipfile
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from bom.needs_keys import BY_NAME, TABLES, Table
from bom.needs_toml import parse
from bom.stated import Stated
from solver.columns import columns_of, nearest, printable, sentence, show
from solver.errors import BadNeeds
from solver.needs import Obstacle

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.cell.cell import Cell, MergedCell
    from openpyxl.worksheet.worksheet import Worksheet

MAX_UNPACKED = 500_000_000
"""Bytes a workbook may unpack to: a small file may hold a great deal of nothing."""

OBSTACLE_SHEET = "obstacle"
NOTES_SHEET = "notes"


def read_book(file: str, content: bytes) -> Stated:
    """The tables of a workbook.

    Raises
    ------
    BadNeeds
        Where it is no workbook. What is wrong inside a sheet stands in the answer's `problems`.
    """
    return _Reader(file).read(_sheets(file, content))


def _sheets(file: str, content: bytes) -> list[Worksheet]:
    import openpyxl

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            size = sum(part.file_size for part in packed.infolist())
    except zipfile.BadZipFile as wrong:
        raise _unreadable(file, wrong) from wrong
    if size > MAX_UNPACKED:
        raise BadNeeds(
            [f"{file}: unpacks to {size} bytes; at most {MAX_UNPACKED} are allowed."]
        )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of decorations that the library does not keep
            book = openpyxl.load_workbook(io.BytesIO(content), data_only=True)
            formulas = openpyxl.load_workbook(io.BytesIO(content))
    except Exception as wrong:  # whatever the library meets in a broken file
        raise _unreadable(file, wrong) from wrong
    sheets = _worksheets(book)
    _refuse_uncounted(file, sheets, _worksheets(formulas))
    return sheets


def _worksheets(book: Workbook) -> list[Worksheet]:
    """The sheets that have cells; a chart on a sheet of its own says nothing."""
    return [book[name] for name in book.sheetnames if hasattr(book[name], "iter_rows")]


def _unreadable(file: str, wrong: Exception) -> BadNeeds:
    text = f"is not a workbook that can be read ({wrong}); save it as .xlsx"
    return BadNeeds([printable(f"{file}: {text}.")])


def _refuse_uncounted(file: str, values: list[Worksheet], formulas: list[Worksheet]) -> None:
    """A formula that no spreadsheet program has worked out holds no value to read."""
    problems = [
        f"{file}, sheet {sheet.title}, cell {cell.coordinate}: a formula without a stored "
        "value; open and save the file in a spreadsheet program, or type the value."
        for sheet, other in zip(formulas, values, strict=True)
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f" and other[cell.coordinate].value is None
    ]
    if problems:
        raise BadNeeds(problems)


class _Reader:
    """One reading of one workbook."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.tables: dict[str, Any] = {}
        self.rows: dict[tuple[str, int | str], int] = {}
        self.problems: list[str] = []

    def read(self, sheets: list[Worksheet]) -> Stated:
        known = [*BY_NAME, OBSTACLE_SHEET, NOTES_SHEET]
        obstacles: list[tuple[int, dict[str, Any]]] = []
        for sheet in sheets:
            title = sheet.title.strip()
            if title == NOTES_SHEET or not any(True for _ in _filled(sheet)):
                continue
            if title == OBSTACLE_SHEET:
                obstacles = list(self.read_rows(sheet, None))
            elif title not in BY_NAME:
                hint = nearest(title, known) or f"; known: {', '.join(known)}"
                self.wrong(title, None, f"unknown sheet{hint}")
            elif BY_NAME[title].rows:
                found = list(self.read_rows(sheet, BY_NAME[title]))
                self.tables[title] = [values for _, values in found]
                self.rows |= {(title, i): row for i, (row, _) in enumerate(found)}
            else:
                self.tables[title] = self.read_keys(sheet, BY_NAME[title])
        self.place_obstacles(obstacles)
        tables = {t.name: self.tables[t.name] for t in TABLES if t.name in self.tables}
        return Stated(
            file=self.file,
            tables=tables,
            book=True,
            sheet_rows=self.rows,
            problems=tuple(self.problems),
        )

    def wrong(self, sheet: str, row: int | None, text: str) -> None:
        where = f"{self.file}, sheet {sheet}" + (f", row {row}" if row is not None else "")
        self.problems.append(printable(sentence(f"{where}: {text}")))

    def read_keys(self, sheet: Worksheet, table: Table) -> dict[str, Any]:
        """A sheet of keys and values."""
        found: dict[str, Any] = {}
        for number, row in enumerate(_filled(sheet)):
            line = _line(row)
            key = self.value(sheet, row[0])
            value = self.value(sheet, row[1]) if len(row) > 1 else None
            if number == 0 and key == "key":
                continue
            if not isinstance(key, str):
                self.wrong(
                    sheet.title, line, f"found {show(key)} in column A; a key belongs here"
                )
                continue
            if value is None:
                continue
            self.put(found, sheet, line, key, self.inner(sheet, line, key, value, table))
            self.rows[(table.name, key)] = line
        return found

    def put(
        self, found: dict[str, Any], sheet: Worksheet, line: int, key: str, value: Any
    ) -> None:
        """Keep a value, `drop_pct.load` inside the table `drop_pct`."""
        outer, _, inner = key.partition(".")
        if not inner:
            if key in found:
                self.wrong(sheet.title, line, f'the key "{key}" stands twice')
            found[key] = value
            return
        table = found.setdefault(outer, {})
        if not isinstance(table, dict) or inner in table:
            self.wrong(sheet.title, line, f'the key "{key}" stands twice')
            return
        table[inner] = value

    def read_rows(
        self, sheet: Worksheet, table: Table | None
    ) -> Iterator[tuple[int, dict[str, Any]]]:
        """A sheet of rows under headings: the row in the sheet and its values by heading."""
        rows = _filled(sheet)
        headings = self.headings(sheet, next(rows))
        for row in rows:
            line = _line(row)
            values: dict[str, Any] = {}
            for column, cell in enumerate(row):
                value = self.value(sheet, cell)
                if value is None:
                    continue
                if column not in headings:
                    self.wrong(
                        sheet.title, line, f"found {show(value)} in a column without a heading"
                    )
                    continue
                key = headings[column]
                values[key] = self.inner(sheet, line, key, value, table)
            yield line, values

    def headings(self, sheet: Worksheet, row: tuple[Cell | MergedCell, ...]) -> dict[int, str]:
        found: dict[int, str] = {}
        for column, cell in enumerate(row):
            value = self.value(sheet, cell)
            if value is None:
                continue
            if not isinstance(value, str):
                text = f"found {show(value)} as a heading; a key belongs here"
                self.wrong(sheet.title, cell.row, text)
            elif value in found.values():
                self.wrong(sheet.title, cell.row, f'the heading "{value}" stands twice')
            else:
                found[column] = value
        return found

    def value(self, sheet: Worksheet, cell: Cell | MergedCell) -> Any:
        """What a cell holds; None for nothing."""
        value = cell.value
        if cell.data_type == "e":
            self.wrong(sheet.title, cell.row, f"cell {cell.coordinate} holds the error {value}")
            return None
        if isinstance(value, str):
            return value.strip() or None
        if isinstance(value, datetime.time | datetime.timedelta):
            return str(value)
        return value

    def inner(
        self, sheet: Worksheet, line: int, key: str, value: Any, table: Table | None
    ) -> Any:
        """Several values of one cell as a list, a text in TOML's form as what it means."""
        if table is None or key not in table.inner_keys():
            return value
        if isinstance(value, str) and value[0] in "[{":
            where = f"{self.file}, sheet {sheet.title}, row {line}, {key}"
            try:
                return parse(where, f"value = {value}\n")["value"]
            except BadNeeds as wrong:
                self.problems += wrong.problems
                return []
        if key not in table.list_keys():
            return value
        if not isinstance(value, str):
            return [value]
        separator = ";" if ";" in value else ","
        return [part.strip() for part in value.split(separator) if part.strip()]

    def place_obstacles(self, obstacles: list[tuple[int, dict[str, Any]]]) -> None:
        """Give each row of the sheet of obstacles to its place."""
        places = {
            p["name"]: p for p in self.tables.get("place", []) if isinstance(p.get("name"), str)
        }
        known = [c.name for c in columns_of(Obstacle)]
        for line, values in obstacles:
            name = values.pop("place", None)
            if name not in places:
                hint = nearest(name, places) if isinstance(name, str) else ""
                text = f"place: found {show(name)}; the name of a place belongs here{hint}"
                self.wrong(OBSTACLE_SHEET, line, text)
                continue
            for key in [k for k in values if k not in known]:
                self.wrong(OBSTACLE_SHEET, line, f'unknown column "{key}"{nearest(key, known)}')
                del values[key]
            there = places[name].setdefault("obstacles", [])
            if isinstance(there, list):
                there.append(values)


def _line(row: tuple[Cell | MergedCell, ...]) -> int:
    line = row[0].row
    assert line is not None, row
    return line


def _filled(sheet: Worksheet) -> Iterator[tuple[Cell | MergedCell, ...]]:
    """The rows that say something: neither empty nor a remark."""
    for row in sheet.iter_rows():
        first = row[0].value
        if isinstance(first, str) and first.lstrip().startswith("#"):
            continue
        if any(c.value is not None and str(c.value).strip() for c in row):
            yield row
