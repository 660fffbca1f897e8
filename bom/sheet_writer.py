"""Puts rows on a sheet in their looks; text from files stays text, whatever it begins with."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, Literal

from openpyxl.cell.cell import Cell as SheetCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.pagebreak import Break

from bom.measures import IMPERIAL
from bom.sheets.page import MONEY, ONE, TEXT, WHOLE, Cell, Column, Formula, Row

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

HEADING_WIDER = 1.1
"""Headings are bold."""

Across = Literal["left", "right"]
Down = Literal["top", "bottom"]

FONT = "Arial"
LONGEST_TEXT = 32000
"""A cell of this format holds 32,767 characters."""

_NOT_IN_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")

_PALE = Side(style="thin", color="C8C8C8")
_THIN, _MEDIUM = (Side(style=s, color="000000") for s in ("thin", "medium"))
_FONTS = {
    "title": Font(name=FONT, size=14, bold=True),
    "heading": Font(name=FONT, size=10, bold=True),
    "unit": Font(name=FONT, size=8, italic=True),
    "head": Font(name=FONT, size=10, bold=True),
    "sum": Font(name=FONT, size=10, bold=True),
    "total": Font(name=FONT, size=11, bold=True),
    "bad": Font(name=FONT, size=10, bold=True),
}
_PLAIN = Font(name=FONT, size=10)
_FONTS["text"] = _PLAIN
_BORDERS = {
    "unit": Border(bottom=_MEDIUM),
    "head": Border(bottom=_THIN),
    "line": Border(bottom=_PALE),
    "sum": Border(top=_THIN),
    "total": Border(top=_THIN, bottom=_MEDIUM),
    "bad": Border(top=_THIN, bottom=_THIN),
}
_SHADE = PatternFill("solid", fgColor="EDEDED")


_NARROW = frozenset("iljtfrI .,:;|!'()[]-/")
_WIDE = frozenset("mwMW@%×")


class SheetWriter:
    """Puts rows on one sheet; a column left out in these units is left out of every row."""

    def __init__(
        self, sheet: Worksheet, columns: tuple[Column, ...], units: str, money: str
    ) -> None:
        self.sheet = sheet
        self.units = units
        self.money = money
        self.kept = [(i, c) for i, c in enumerate(columns) if c.only in ("", units)]
        self.width = sum(c.width for _, c in self.kept)
        for n, (_, column) in enumerate(self.kept, 1):
            sheet.column_dimensions[get_column_letter(n)].width = column.width

    def title(self, text: str) -> None:
        """The first line of the sheet, over all its columns."""
        self._across(1, text, "title", 1.45)

    def headings(self, at: int) -> None:
        """Two rows: what a column holds, and its unit."""
        for n, (_, column) in enumerate(self.kept, 1):
            unit = column.unit
            if self.units == "imperial" and unit in IMPERIAL:
                unit = IMPERIAL[unit][0]
            across: Across = "left" if column.form == TEXT else "right"
            for row, text, look in (
                (at, column.heading, "heading"),
                (at + 1, unit, "unit"),
            ):
                cell = self._at(row, n)
                _put_text(cell, text)
                cell.font = _FONTS[look]
                cell.fill = _SHADE
                _align(cell, across, "bottom", wrap=True)
                if look == "unit":
                    cell.border = _BORDERS["unit"]
        lines = max(_lines(c.heading, c.width, HEADING_WIDER) for _, c in self.kept)
        self.sheet.row_dimensions[at].height = 3 + 13 * lines

    def row(self, at: int, row: Row) -> None:
        """One row in its look, as high as its fullest cell."""
        if row.new_page:
            self.sheet.row_breaks.append(Break(id=at - 1))
        if row.look == "space":
            self.sheet.row_dimensions[at].height = 8
            return
        if row.look in ("head", "text"):
            self._across(at, str(row.cells[0]), row.look, 1.1)
            return
        wraps = row.look in ("line", "bad")
        wider = 1.1 if row.look == "bad" else 1.0
        lines = 1
        for n, (index, column) in enumerate(self.kept, 1):
            value = row.cells[index] if index < len(row.cells) else ""
            self._cell(self._at(at, n), value, column, row.look)
            if wraps and isinstance(value, str):
                lines = max(lines, _lines(value, column.width, wider))
        # Not every program fits a row to a wrapped text when it opens the book.
        self.sheet.row_dimensions[at].height = 3 + 13 * lines

    def _at(self, row: int, column: int) -> SheetCell:
        cell = self.sheet.cell(row, column)
        assert isinstance(cell, SheetCell), f"row {row} is written twice"
        return cell

    def _across(self, at: int, text: str, look: str, wider: float) -> None:
        last = len(self.kept)
        for n in range(1, last + 1):
            self.sheet.cell(at, n).border = _BORDERS.get(look, Border())
        cell = self._at(at, 1)
        _put_text(cell, text)
        cell.font = _FONTS[look]
        cell.alignment = Alignment(vertical="bottom", wrap_text=True)
        lines = _lines(text, self.width, wider)
        self.sheet.row_dimensions[at].height = (20 if look == "title" else 17) * lines
        if last > 1:
            self.sheet.merge_cells(start_row=at, end_row=at, start_column=1, end_column=last)

    def _cell(self, cell: SheetCell, value: Any, column: Column, look: str) -> None:
        form = column.form
        across: Across = "left" if form == TEXT else "right"
        if isinstance(value, Cell):
            value, form, across = value.value, value.form, "left"
        cell.font = _FONTS.get(look, _PLAIN)
        cell.border = _BORDERS.get(look, Border())
        if isinstance(value, str):
            wrap = look in ("line", "bad")
            _align(cell, across if wrap else "left", "top", wrap=wrap)
            _put_text(cell, value)
            return
        _align(cell, across, "top", wrap=False)
        if isinstance(value, Formula):
            cell.value = "=" + value.text
        elif value is not None:
            number = float(value)
            if self.units == "imperial" and column.unit in IMPERIAL:
                number *= IMPERIAL[column.unit][1]
            cell.value = int(number) if number.is_integer() else number
        if self.units == "imperial" and column.unit in IMPERIAL:
            form = column.inches or (ONE if form == WHOLE else form)
        cell.number_format = self.money if form == MONEY else form


def _align(cell: SheetCell, across: Across, down: Down, *, wrap: bool) -> None:
    # A text keeps off the number in the column before it.
    indent = 1 if across == "left" and cell.column > 1 else 0
    cell.alignment = Alignment(horizontal=across, vertical=down, wrap_text=wrap, indent=indent)


def _lines(text: str, width: int, wider: float) -> int:
    """How many lines a text takes in a column of that many characters: rather one too many."""
    count = 0
    room = width - 1.5
    for paragraph in text.split("\n"):
        count += 1
        used = 0.0
        for word in paragraph.split(" "):
            long = wider * (sum(map(_character, word)) + 0.5)
            if used and used + long > room:
                count += 1
                used = 0.0
            used += long
            while used > room:
                count += 1
                used -= room
    return count


def _character(letter: str) -> float:
    """How wide a letter is, in digits; rather too wide, as every program draws another font."""
    if letter in _NARROW:
        return 0.6
    if letter in _WIDE:
        return 1.6
    return 1.3 if letter.isupper() or ord(letter) > 255 else 1.0


def _put_text(cell: SheetCell, text: str) -> None:
    """Text, and nothing but text: no formula and no error value, whatever it begins with."""
    text = clean(text)
    if not text:
        return
    cell.value = text
    cell.data_type = "s"
    if text[0] in "=+-@":
        cell.quotePrefix = True


def set_font_of(book: Workbook) -> None:
    """Make the book's own style this font: column widths are counted in its digits."""
    book._named_styles["Normal"].font = _PLAIN  # type: ignore[attr-defined]


def clean(text: str) -> str:
    """A text that this file format can hold: no control characters, not too long."""
    return _NOT_IN_XML.sub(" ", text)[:LONGEST_TEXT]
