"""Every termination, counted from the ends of the cables, never from a ratio."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from bom.result_json import termination_counts
from bom.sheets.page import FREE, TWO, WHOLE, Column, Kit, Row

TITLE = "lug count"
COLUMNS = (
    Column(heading="part", width=28),
    Column(heading="class", width=12),
    Column(heading="name", width=44),
    Column(heading="area_mm2", unit="mm²", width=10, form=TWO),
    Column(heading="stud", width=9),
    Column(heading="ends", unit="that need it", width=12, form=WHOLE),
    Column(heading="spares", width=9, form=FREE),
    Column(heading="in all", width=9, form=FREE),
    Column(heading="where", width=56),
)


def rows(kit: Kit, first: int) -> list[Row]:
    """Lugs first, then the other terminations, each with the places of its ends."""
    counts = termination_counts(kit.design)
    counts.sort(key=lambda c: (kit.part(c[0]).cls != "lug", kit.part(c[0]).cls, c[0]))
    return [_row(kit, part, n) for part, n in counts]


def _row(kit: Kit, name: str, count: int) -> Row:
    part = kit.part(name)
    spares = sum((x.spares for x in kit.result.lines if x.part == name), Decimal(0))
    return Row(
        cells=(
            name,
            part.cls,
            part.name,
            getattr(part, "area_mm2", ""),
            getattr(part, "stud", ""),
            count,
            spares,
            count + spares,
            _where(kit, name),
        )
    )


def _where(kit: Kit, name: str) -> str:
    at = Counter(e.at for c in kit.design.cuts for e in c.ends if e.termination == name)
    return ", ".join(f"{n} × {place}" if n > 1 else place for place, n in at.items())
