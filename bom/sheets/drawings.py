"""Places to scale, hole schedule and route plan as pictures, a page each."""

from __future__ import annotations

from bom.drawings.files import fit_of
from bom.drawings.png import png_bytes
from bom.sheets.page import Column, Kit, Picture, Row

TITLE = "drawings"
COLUMNS = (Column(heading="", width=130),)
ABOUT = (
    "To scale only as files: for paper, kitbill pick --drawings FOLDER writes them for A4, true "
    "to the scale that stands on each."
)


def rows(kit: Kit, first: int) -> list[Row]:
    """Where to find the same as files; the drawings stand below."""
    return [Row(cells=(ABOUT,), look="note")]


def pictures(kit: Kit) -> list[Picture]:
    """Every place, then the hole schedule, then the route plan."""
    pages = fit_of(kit.result, kit.needs, kit.stock)
    return [Picture(png=png_bytes(page)) for _, page in pages]
