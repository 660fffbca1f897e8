"""Workbooks of comparisons: plain sheets with a title, headings, rows and lines over cost."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from openpyxl import Workbook
from openpyxl.chart import LineChart, Reference, ScatterChart, Series
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.utils import get_column_letter

from bom.money import number_format
from bom.sheet_chart import chart_text, title_of
from bom.sheet_writer import SheetWriter, clean, set_font_of
from bom.sheets.page import Column, Row
from bom.workbook import set_up_page, without_times

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

HEADING = 3
FIRST = HEADING + 2
"""Of the rows under the headings and their units."""

GREYS = ("000000", "6E6E6E", "A8A8A8")
MARKS = ("diamond", "circle", "square", "triangle", "x", "plus")
SHEET_NAME = 31
"""Most characters of a sheet's name in this file format."""


@dataclass(frozen=True, kw_only=True)
class Lines:
    """A chart: lines of some columns over the first."""

    title: str
    x_title: str
    y_title: str
    columns: tuple[int, ...]
    """From 1, in the sheet."""
    numbers: bool
    """Whether the first column holds numbers, whose distances count; else texts side by side."""


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One sheet."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    chart: Lines | None = None


def comparison_book_bytes(name: str, currency: str, sheets: Sequence[Sheet]) -> bytes:
    """The workbook as the bytes of its file; the same sheets make the same bytes."""
    book = Workbook()
    del book[book.sheetnames[0]]
    set_font_of(book)
    book.properties.creator = "kitbill"
    book.properties.title = clean(name)
    for one in sheets:
        sheet = book.create_sheet(sheet_name(one.title, book.sheetnames))
        writer = SheetWriter(sheet, one.columns, "metric", number_format(currency))
        writer.title(f"{one.title}: {name}")
        writer.headings(HEADING)
        for at, row in enumerate(one.rows, FIRST):
            writer.row(at, row)
        if one.chart is not None and one.rows:
            _draw(sheet, one.chart, FIRST + len(one.rows) - 1)
        set_up_page(sheet, name, HEADING, FIRST)
        sheet.page_setup.orientation = "landscape"
    raw = io.BytesIO()
    book.save(raw)
    return without_times(raw.getvalue())


def sheet_name(text: str, taken: Sequence[str]) -> str:
    """A name that this file format allows, and that no other sheet has."""
    allowed = "".join("-" if sign in "[]:*?/\\'" else sign for sign in clean(text))
    name = allowed[:SHEET_NAME].strip() or "sheet"
    number = 2
    while name.casefold() in (t.casefold() for t in taken):
        end = f" {number}"
        name = allowed[: SHEET_NAME - len(end)].strip() + end
        number += 1
    return name


def _draw(sheet: Worksheet, lines: Lines, last: int) -> None:
    """Lines in black and greys, each with its own mark, under the rows."""
    x = Reference(sheet, min_col=1, min_row=FIRST, max_row=last)
    chart: ScatterChart | LineChart = ScatterChart() if lines.numbers else LineChart()
    for n, column in enumerate(lines.columns):
        values = Reference(sheet, min_col=column, min_row=FIRST, max_row=last)
        if isinstance(chart, ScatterChart):
            chart.series.append(Series(values, x))
        else:
            chart.add_data(values, titles_from_data=False)
        one = chart.series[-1]
        one.tx = title_of(sheet, column, HEADING)
        one.graphicalProperties = GraphicalProperties()
        one.graphicalProperties.line.solidFill = GREYS[n % len(GREYS)]
        one.graphicalProperties.line.width = 22000
        one.marker.symbol, one.marker.size = MARKS[n % len(MARKS)], 7
        one.marker.graphicalProperties = GraphicalProperties(solidFill=GREYS[n % len(GREYS)])
        one.smooth = False
    if isinstance(chart, ScatterChart):
        chart.style, chart.scatterStyle = 13, "lineMarker"
    else:
        chart.set_categories(x)
    chart.title = chart_text(lines.title, 1200)
    chart.x_axis.title = chart_text(lines.x_title, 900)
    chart.y_axis.title = chart_text(lines.y_title, 900)
    # Without this some programs draw no axes.
    chart.x_axis.delete = chart.y_axis.delete = False
    if chart.legend is not None:
        chart.legend.position = "b"
    chart.width, chart.height = 24, 11
    sheet.add_chart(chart, f"{get_column_letter(1)}{last + 2}")
