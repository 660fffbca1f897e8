"""The work order as a chart, days across."""

from __future__ import annotations

from bom.drawings.png import png_bytes
from bom.sheets.page import Column, Kit, Picture, Row
from bom.work_chart import chart_page
from bom.work_text import hold_text

TITLE = "work chart"
COLUMNS = (Column(heading="", width=130),)


def rows(kit: Kit, first: int) -> list[Row]:
    """What sets the finish; the chart stands below."""
    return [Row(cells=(hold_text(kit.work),), look="text")]


def pictures(kit: Kit) -> list[Picture]:
    """The chart."""
    return [Picture(png=png_bytes(chart_page(kit.work)))]
