"""The cautions that go with this kit."""

from __future__ import annotations

from bom.cautions import cautions_for
from bom.sheets.page import Column, Kit, Row

TITLE = "cautions"
COLUMNS = (
    Column(heading="about", width=28),
    Column(heading="caution", unit="common practice of the trade", width=70),
)
ONE_PAGE = True
ORIENTATION = "portrait"


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a caution."""
    return [Row(cells=(c.about, c.text)) for c in cautions_for(kit.design)]
