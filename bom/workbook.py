"""The purchase workbook: its sheets in their order, set up for the printer."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Literal

from openpyxl import Workbook
from openpyxl.drawing.image import Image
from openpyxl.worksheet.header_footer import HeaderFooterItem
from openpyxl.worksheet.properties import PageSetupProperties

from bom.atomic import write_whole
from bom.money import number_format
from bom.sheet_chart import draw
from bom.sheet_writer import FONT, SheetWriter, clean, set_font_of
from bom.sheets import (
    cautions,
    checks,
    circuits,
    cut_list,
    energy,
    first_switch_on,
    lug_count,
    order,
    parts,
    places,
    since,
    start_here,
    weights,
    wiring,
    work_chart,
    work_order,
)
from bom.sheets.page import Beside, Chart, Column, Kit, Picture, Row
from bom.tasks_file import read_tasks
from solver.needs import Needs
from solver.records import Result
from solver.stock import Stock
from solver.work_order import work_order as laid_out

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

SHEETS: tuple[ModuleType, ...] = (
    start_here,
    cautions,
    order,
    since,
    parts,
    cut_list,
    lug_count,
    circuits,
    wiring,
    work_order,
    work_chart,
    first_switch_on,
    energy,
    weights,
    places,
    checks,
)
"""In the order in which they stand in the book: the cautions are met before any work, the many
pages of checks are last."""

A4 = 9
MOST_POINTS_ON_ONE_PAGE = {"landscape": 720, "portrait": 1080}
"""Of height, about one and a half pages: beyond it, a page would be hard to read."""
PICTURE_PIXELS = (980, 570)
"""A picture is at most so wide and so high, at 96 to the inch: a page of A4 under a title."""
ROW_POINTS = 15
PAGE_POINTS = 494
"""Height of a printed page between its margins."""
ZIP_TIME = (1980, 1, 1, 0, 0, 0)
"""The earliest the container can say: the same answer always makes the same bytes."""

_STAMPS = re.compile(rb"<dcterms:(created|modified)[^>]*>[^<]*</dcterms:\1>")


def write_workbook(
    path: Path, result: Result, needs: Needs, stock: Stock, beside: Beside | None = None
) -> None:
    """Write the purchase workbook, whole or not at all.

    Parameters
    ----------
    path : Path
        The file; one that is there is replaced.
    result : Result
        An answer with a design.
    needs : Needs
        What it answers.
    stock : Stock
        For the suppliers' terms and the form in which parts are sold.
    beside : Beside, optional
        What is told beside it; without it, the work order by the usual tasks.

    Raises
    ------
    ValueError
        If there is no kit: a purchase workbook without purchases helps nobody.
    """
    write_whole(path, workbook_bytes(result, needs, stock, beside))


def workbook_bytes(
    result: Result, needs: Needs, stock: Stock, beside: Beside | None = None
) -> bytes:
    """The workbook as the bytes of its file; the same answer makes the same bytes."""
    if result.design is None:
        raise ValueError("without a kit there is no workbook")
    if beside is None:
        beside = Beside(work=laid_out(result, needs, stock, read_tasks(None, set())))
    kit = Kit(result=result, needs=needs, stock=stock, beside=beside)
    book = Workbook()
    del book[book.sheetnames[0]]
    set_font_of(book)
    book.properties.creator = "kitbill"
    book.properties.title = clean(needs.job.name)
    for module in shown_sheets(kit):
        _write_sheet(book.create_sheet(module.TITLE), module, kit)
    raw = io.BytesIO()
    book.save(raw)
    return _without_times(raw.getvalue())


def shown_sheets(kit: Kit) -> list[ModuleType]:
    """The sheets of this book, in their order."""
    return [m for m in SHEETS if getattr(m, "in_book", lambda kit: True)(kit)]


def _write_sheet(sheet: Worksheet, module: ModuleType, kit: Kit) -> None:
    columns: tuple[Column, ...] = module.COLUMNS
    money = number_format(kit.result.currency)
    above: Callable[[Kit, int], list[Row]] = getattr(module, "above", lambda kit, first: [])
    headed = any(c.heading for c in columns)
    heading_row = 3 + len(above(kit, 0)) + 1 if above(kit, 0) else 3
    first = heading_row + (2 if headed else 0)
    writer = SheetWriter(sheet, columns, kit.units, money)
    writer.title(f"{module.TITLE}: {kit.needs.job.name}")
    for at, row in enumerate(above(kit, first), 3):
        writer.row(at, row)
    if headed:
        writer.headings(heading_row)
    rows: list[Row] = module.rows(kit, first)
    for at, row in enumerate(rows, first):
        writer.row(at, row)
    chart: Chart | None = getattr(module, "CHART", None)
    if chart is not None and rows:
        draw(sheet, chart, columns, heading_row, first, first + len(rows) - 1)
    pictures: Callable[[Kit], list[Picture]] = getattr(module, "pictures", lambda kit: [])
    _show(sheet, pictures(kit), first + len(rows))
    _set_up_page(sheet, kit.needs.job.name, heading_row if headed else None, first)
    orientation: Literal["landscape", "portrait"] = getattr(module, "ORIENTATION", "landscape")
    sheet.page_setup.orientation = orientation
    most = MOST_POINTS_ON_ONE_PAGE[orientation]
    heights = (sheet.row_dimensions[n].height or 13 for n in range(1, sheet.max_row + 1))
    if getattr(module, "ONE_PAGE", False) and sum(heights) <= most:
        sheet.page_setup.fitToHeight = 1


def _show(sheet: Worksheet, pictures: list[Picture], first: int) -> None:
    """Pictures under each other, from a row on; printed, each has a page of its own.

    Programs that fit a sheet to the page's width begin a new page where one is full and at no
    other place, so each picture is put where a page begins.
    """
    above = sum(sheet.row_dimensions[n].height or ROW_POINTS for n in range(1, first))
    on_first = int((PAGE_POINTS - above) // ROW_POINTS)
    for n, picture in enumerate(pictures):
        before = on_first + (n - 1) * int(PAGE_POINTS // ROW_POINTS) + 1 if n else 0
        image = Image(io.BytesIO(picture.png))
        shrunk = min(PICTURE_PIXELS[0] / image.width, PICTURE_PIXELS[1] / image.height)
        image.width, image.height = round(image.width * shrunk), round(image.height * shrunk)
        sheet.add_image(image, f"A{first + before}")
        for row in range(first, first + before + on_first):
            sheet.row_dimensions[row].height = ROW_POINTS


def _set_up_page(sheet: Worksheet, job: str, heading: int | None, first: int) -> None:
    if heading is not None:
        sheet.freeze_panes = f"A{first}"
        sheet.print_title_rows = f"{heading}:{first - 1}"
    sheet.sheet_view.showGridLines = False
    sheet.page_setup.paperSize = A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    margins = sheet.page_margins
    margins.left = margins.right = 0.5
    margins.top = margins.bottom = 0.7
    margins.header = margins.footer = 0.3
    sheet.oddHeader = HeaderFooterItem()
    sheet.oddHeader.left.text = _header_text(job)
    sheet.oddHeader.right.text = "&A"
    sheet.oddFooter = HeaderFooterItem()
    sheet.oddFooter.left.text = "Makers' instructions and local rules come first."
    sheet.oddFooter.right.text = "page &P of &N"
    for line in (sheet.oddHeader, sheet.oddFooter):
        for part in (line.left, line.right):
            part.font, part.size = f"{FONT},Regular", 9


def _header_text(text: str) -> str:
    """At most 80 characters; an ampersand begins a code unless it is doubled."""
    return clean(text)[:80].replace("&", "&&")


def _without_times(data: bytes) -> bytes:
    """The same container with fixed times, and without the time at which it was saved."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name, content in _members(data):
            info = zipfile.ZipInfo(name, ZIP_TIME)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.create_system = 0
            new.writestr(info, content)
    return out.getvalue()


def _members(data: bytes) -> Iterator[tuple[str, bytes]]:
    with zipfile.ZipFile(io.BytesIO(data)) as old:
        for name in old.namelist():
            content = old.read(name)
            yield name, _STAMPS.sub(b"", content) if name == "docProps/core.xml" else content
