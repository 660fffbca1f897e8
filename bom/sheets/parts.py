"""Every line of the bill, what is owned too."""

from __future__ import annotations

from bom.sheets.page import FREE, Column, Kit, Row

TITLE = "parts"
COLUMNS = (
    Column(heading="part", width=28),
    Column(heading="class", width=15),
    Column(heading="name", width=44),
    Column(heading="unit", width=7),
    Column(heading="need", unit="with spares", width=12, form=FREE),
    Column(heading="spares", width=9, form=FREE),
    Column(heading="owned", width=9, form=FREE),
    Column(heading="buy", width=9, form=FREE),
    Column(heading="supplier", width=16),
    Column(heading="why", width=48),
)


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a line, in the bill's order."""
    return [
        Row(
            cells=(
                x.part,
                x.part_class,
                x.name,
                x.unit,
                x.need,
                x.spares,
                x.owned,
                x.buy,
                x.supplier or ("" if x.buy else "nothing to buy"),
                x.why,
            )
        )
        for x in kit.result.lines
    ]
