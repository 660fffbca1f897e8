"""A new needs file as a workbook: the same values and remarks as the TOML one."""

from __future__ import annotations

import io
from datetime import date
from typing import TYPE_CHECKING, Any

from bom.needs_book import NOTES_SHEET, OBSTACLE_SHEET
from bom.needs_keys import TABLES, Table
from bom.start_values import FIRST_WORDS, STATED, entries_of, remark_of
from solver.columns import Column, columns_of
from solver.needs import DropLimits, Obstacle
from solver.parts import CLASSES

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

NOTES = (
    *FIRST_WORDS,
    "Sheets job, site, energy, limits, rules, order: a key in column A, its value in column B.",
    "The other sheets: a heading row and a row each. An empty cell is a key not stated.",
    "A row that begins with # and this sheet are remarks, and never read.",
    "Several values in one cell stand with ; between them, such as 3;4;5.",
    "Rates of other currencies: one row each, such as rates.USD. Voltage drops: drop_pct.load.",
    "Obstacles on a place stand in their own sheet, with the name of the place.",
)

_KEY_WIDTH, _VALUE_WIDTH, _REMARK_WIDTH = 26, 44, 110
_COLUMN_WIDTH = 18


def template_book() -> bytes:
    """The workbook, as the bytes of its file."""
    from openpyxl import Workbook

    book = Workbook()
    notes = book.active
    assert notes is not None
    notes.title = NOTES_SHEET
    for row, words in enumerate(NOTES, 1):
        cell = notes.cell(row, 1, words)
        cell.alignment = _wrapped()
    notes.column_dimensions["A"].width = _REMARK_WIDTH
    for table in TABLES:
        sheet = book.create_sheet(table.name)
        if table.rows:
            _fill_rows(sheet, table)
        else:
            _fill_keys(sheet, table)
        if table.name == "place":
            _fill_obstacles(book)
    packed = io.BytesIO()
    book.save(packed)
    return packed.getvalue()


def _fill_keys(sheet: Worksheet, table: Table) -> None:
    sheet.append(["key", "value", "what it is"])
    stated = STATED.get(table.name, {})
    for entry in entries_of(table):
        if entry.name == "drop_pct":
            for col in columns_of(DropLimits):
                sheet.append([f"drop_pct.{col.name}", None, remark_of(col)])
        else:
            key = "rates.USD" if entry.name == "rates" else entry.name
            sheet.append([key, _cell(stated.get(entry.name)), entry.remark])
    widths = (_KEY_WIDTH, _VALUE_WIDTH, _REMARK_WIDTH)
    for letter, width in zip("ABC", widths, strict=True):
        sheet.column_dimensions[letter].width = width
    _finish(sheet)


def _fill_rows(sheet: Worksheet, table: Table) -> None:
    remarks = {e.name: e.remark for e in entries_of(table) if e.name != "obstacles"}
    if table.record is None:
        remarks |= _columns_of_classes()
    _fill(sheet, remarks, STATED.get(table.name, []))


def _fill_obstacles(book: Workbook) -> None:
    remarks = {"place": "name of the place it is on"}
    remarks |= {col.name: remark_of(col) for col in columns_of(Obstacle)}
    rows = [
        {"place": place["name"], **obstacle}
        for place in STATED["place"]
        for obstacle in place.get("obstacles", [])
    ]
    _fill(book.create_sheet(OBSTACLE_SHEET), remarks, rows)


def _fill(sheet: Worksheet, remarks: dict[str, str], rows: list[dict[str, Any]]) -> None:
    """Headings, a row of remarks under them, and the rows."""
    from openpyxl.utils import get_column_letter

    names = list(remarks)
    sheet.append(names)
    sheet.append([f"# {text}" if i == 0 else text for i, text in enumerate(remarks.values())])
    for row in rows:
        sheet.append([_cell(row.get(name)) for name in names])
    for column in range(1, len(names) + 1):
        sheet.column_dimensions[get_column_letter(column)].width = _COLUMN_WIDTH
    _finish(sheet)


def _columns_of_classes() -> dict[str, str]:
    """The columns of every part class, and in which classes they stand."""
    found: dict[str, tuple[Column, list[str]]] = {}
    for name, record in sorted(CLASSES.items()):
        for col in columns_of(record):
            if col.name not in ("part", "name", "use"):
                found.setdefault(col.name, (col, []))[1].append(name)
    return {
        key: f"{', '.join(classes) if len(classes) < len(CLASSES) else 'all'}: {col.meaning}"
        + (f", in {col.unit}" if col.unit else "")
        for key, (col, classes) in found.items()
    }


def _cell(value: Any) -> Any:
    """A value as a cell holds it."""
    if isinstance(value, list | tuple):
        return "; ".join(str(one) for one in value) if value else "[]"
    return value


def _wrapped() -> Any:
    from openpyxl.styles import Alignment

    return Alignment(wrap_text=True, vertical="top")


def _finish(sheet: Worksheet) -> None:
    from openpyxl.styles import Font
    from openpyxl.worksheet.properties import PageSetupProperties

    for cell in sheet[1]:
        cell.font = Font(bold=True)
    for row in sheet.iter_rows(min_row=2):
        for cell in row:
            cell.alignment = _wrapped()
            if isinstance(cell.value, date):
                cell.number_format = "yyyy-mm-dd"
    sheet.freeze_panes = "B2"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
