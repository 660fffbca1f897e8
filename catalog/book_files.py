"""A workbook as the source of a load: a sheet for each CSV file, same name, same columns."""

from __future__ import annotations

import zipfile
from pathlib import Path
from typing import Any

import openpyxl
from openpyxl.utils.exceptions import InvalidFileException

from catalog.faults import Faults
from catalog.sheet import Sheet, known_stem

MAX_UNPACKED = 500_000_000
"""Bytes a workbook may unpack to: a small file can hold an endless one."""


def read_book(path: Path, number: int, label: str, faults: Faults) -> list[Sheet]:
    """The sheets of a workbook; what is wrong with the file is noted."""
    try:
        if _unpacked(path) > MAX_UNPACKED:
            faults.add(
                (number, 0), label, "unpacks to over 500 MB; split it into smaller books"
            )
            return []
        formulas = _cells(path, values=False)
        values = _cells(path, values=True) if _has_formula(formulas) else formulas
    except (zipfile.BadZipFile, InvalidFileException, KeyError, ValueError, OSError, EOFError):
        faults.add((number, 0), label, "is no workbook that can be read; save it as .xlsx")
        return []
    return _sheets(number, label, formulas, values, faults)


def _sheets(
    number: int,
    label: str,
    formulas: dict[str, list[list[Any]]],
    values: dict[str, list[list[Any]]],
    faults: Faults,
) -> list[Sheet]:
    sheets = []
    for index, (title, rows) in enumerate(values.items()):
        order, name = (number, index), f"{label}, sheet {title}"
        hint = known_stem(title)
        if hint is not None:
            faults.add(order, name, f"unknown sheet{hint}")
            continue
        _note_uncalculated(order, name, formulas[title], rows, faults)
        sheets.append(Sheet(order, name, title, _squared(rows)))
    return sheets


def _unpacked(path: Path) -> int:
    with zipfile.ZipFile(path) as packed:
        return sum(entry.file_size for entry in packed.infolist())


def _cells(path: Path, *, values: bool) -> dict[str, list[list[Any]]]:
    book = openpyxl.load_workbook(path, read_only=True, data_only=values, keep_links=False)
    try:
        found = {}
        for sheet in book.worksheets:
            sheet.reset_dimensions()
            found[sheet.title] = [list(row) for row in sheet.iter_rows(values_only=True)]
        return found
    finally:
        book.close()


def _is_formula(cell: Any) -> bool:
    return isinstance(cell, str) and cell.startswith("=")


def _has_formula(book: dict[str, list[list[Any]]]) -> bool:
    return any(_is_formula(c) for rows in book.values() for row in rows for c in row)


def _note_uncalculated(
    order: tuple[int, int],
    label: str,
    formulas: list[list[Any]],
    values: list[list[Any]],
    faults: Faults,
) -> None:
    # Such a cell reads as empty, and an empty cell may well be allowed there.
    for number, (was, row) in enumerate(zip(formulas, values, strict=True), 1):
        for position, (formula, value) in enumerate(zip(was, row, strict=True), 1):
            if _is_formula(formula) and value is None:
                text = (
                    f"column number {position}: a formula that was never calculated; open "
                    "the book in a spreadsheet program and save it"
                )
                faults.add(order, label, text, row=number, position=position)


def _squared(rows: list[list[Any]]) -> list[tuple[int, list[Any]]]:
    """Rows as wide as the heading: programs leave empty cells out, or add some at the end."""
    heading = _trimmed(rows[0]) if rows else []
    width = len(heading)
    return [
        (number, (cells := _trimmed(row)) + [None] * (width - len(cells)))
        for number, row in enumerate(rows, 1)
    ]


def _trimmed(row: list[Any]) -> list[Any]:
    end = len(row)
    while end and row[end - 1] is None:
        end -= 1
    return row[:end]
