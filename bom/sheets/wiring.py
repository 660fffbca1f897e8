"""The wiring diagram as pictures, a page each."""

from __future__ import annotations

from bom.drawings.files import wiring_of
from bom.drawings.png import png_bytes
from bom.sheets.page import Column, Kit, Picture, Row

TITLE = "wiring"
COLUMNS = (Column(heading="", width=130),)
ABOUT = (
    "Enlarge it on the screen. On A4 it is small: for paper, kitbill pick --drawings FOLDER "
    "writes files for A3."
)


def rows(kit: Kit, first: int) -> list[Row]:
    """Where to find the same as files; the drawing stands below."""
    return [Row(cells=(ABOUT,), look="note")]


def pictures(kit: Kit) -> list[Picture]:
    """The pages of the diagram, first to last."""
    return [Picture(png=png_bytes(page)) for page in wiring_of(kit.result, kit.needs)]
