"""Draws a chart on a sheet: bars upon each other in greys and a black line over them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from openpyxl.chart import BarChart, LineChart, Reference
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.chart.text import RichText
from openpyxl.chart.text import Text as ChartText
from openpyxl.chart.title import Title
from openpyxl.drawing.text import (
    CharacterProperties,
    Paragraph,
    ParagraphProperties,
    RegularTextRun,
)
from openpyxl.utils import get_column_letter

from bom.sheets.page import WHOLE, Chart, Column

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet


def draw(
    sheet: Worksheet,
    chart: Chart,
    columns: tuple[Column, ...],
    heading: int,
    first: int,
    last: int,
) -> None:
    """Draw it two rows under the last of the rows it is taken from."""
    at = {c.heading: n for n, c in enumerate(columns, 1)}

    def series(name: str) -> Reference:
        return Reference(sheet, min_col=at[name], min_row=first, max_row=last)

    bars, line = BarChart(), LineChart()
    bars.type, bars.grouping, bars.overlap, bars.gapWidth = "col", "stacked", 100, 60
    for name, grey in zip(chart.bars, ("8C8C8C", "D9D9D9"), strict=True):
        bars.add_data(series(name), titles_from_data=False)
        bars.series[-1].tx = title_of(sheet, at[name], heading)
        bars.series[-1].graphicalProperties = GraphicalProperties(solidFill=grey)
        bars.series[-1].graphicalProperties.line.solidFill = "000000"
    line.add_data(series(chart.line), titles_from_data=False)
    need = line.series[0]
    need.tx = title_of(sheet, at[chart.line], heading)
    need.graphicalProperties = GraphicalProperties()
    need.graphicalProperties.line.solidFill = "000000"
    need.graphicalProperties.line.width = 28000
    need.marker.symbol, need.marker.size = "diamond", 8
    need.marker.graphicalProperties = GraphicalProperties(solidFill="000000")
    need.smooth = False
    bars.set_categories(series(chart.categories))
    bars.title, bars.y_axis.title = (
        chart_text(chart.title, 1200),
        chart_text(chart.y_title, 900),
    )
    bars.y_axis.number_format, bars.y_axis.scaling.min = WHOLE, 0
    # Without this some programs draw no axes.
    bars.x_axis.delete = bars.y_axis.delete = False
    bars.legend.position = "b"
    bars.width, bars.height = 24, 11
    bars += line
    sheet.add_chart(bars, f"A{last + 2}")


def chart_text(text: str, size: int) -> Title:
    """A title of a chart or an axis, in hundredths of a point."""
    run = CharacterProperties(sz=size, b=False)
    paragraph = Paragraph(
        pPr=ParagraphProperties(defRPr=run), r=[RegularTextRun(rPr=run, t=text)]
    )
    return Title(tx=ChartText(rich=RichText(p=[paragraph])), overlay=False)


def title_of(sheet: Worksheet, column: int, row: int) -> SeriesLabel:
    """A series is called what stands in a cell."""
    return SeriesLabel(strRef=StrRef(f"'{sheet.title}'!${get_column_letter(column)}${row}"))
