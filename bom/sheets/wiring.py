"""The wiring diagram as pictures, a page each."""

from __future__ import annotations

from bom.drawings.files import wiring_of
from bom.drawings.png import png_bytes
from bom.sheets.page import Column, Kit, Picture, Row

TITLE = "wiring"
COLUMNS = (Column(heading="", width=190),)
ABOUT = "For files to enlarge or print, call kitbill pick with --drawings FOLDER."


def rows(kit: Kit, first: int) -> list[Row]:
    """Where to find the same as files; the drawing stands below."""
    return [Row(cells=(ABOUT,), look="note")]


def pictures(kit: Kit) -> list[Picture]:
    """The pages of the diagram, first to last."""
    return [
        Picture(png=png_bytes(page), width_mm=page.width_mm, height_mm=page.height_mm)
        for page in wiring_of(kit.result, kit.needs)
    ]
