"""What the meter should show before and after the kit is switched on, and room for what it did."""

from __future__ import annotations

from typing import Any

from bom.cautions import cautions_for
from bom.measures import shown
from bom.sheets.page import Cell, Column, Kit, Row
from solver.commissioning import expected
from solver.readings import DEAD, LIVE, Expected

TITLE = "first switch-on"
COLUMNS = (
    Column(heading="done", width=6),
    Column(heading="step", width=6),
    Column(heading="test", width=40),
    Column(heading="of what", width=21),
    Column(heading="expect", width=17),
    Column(heading="at least", width=9),
    Column(heading="at most", width=9),
    Column(heading="unit", width=7),
    Column(heading="measured", width=11),
    Column(heading="with", width=17),
    Column(heading="if outside", width=34),
    Column(heading="source", width=38),
)
PARTS = {
    DEAD: "Part one, dead: sources open, fuses out, switch off. Nothing of part two before all of it "
    "is right",
    LIVE: "Part two, live: one source after the other, in this order, each measured first",
}
ABOUT = (
    "Values are computed from the stated needs and the catalog, with tolerances. The makers' "
    "manuals and the code in force stand above them. Write what you measured, and keep the sheet."
)
ALWAYS = ("Panels are live", "Batteries cannot", "Short circuit", "Mains from", "No charging")
"""How the cautions begin that are said once more here."""
LICENSED = "Licensed work:"


def above(kit: Kit, first: int) -> list[Row]:
    """What the values are, and the cautions of this kit that count now."""
    said = [c for c in cautions_for(kit.design) if c.about.startswith(ALWAYS)]
    texts = [ABOUT, *(f"{c.about}: {c.text}" for c in said)]
    return [Row(cells=(text,), look="text") for text in texts]


def rows(kit: Kit, first: int) -> list[Row]:
    """Both parts, a row a test."""
    found: list[Row] = []
    tests = expected(kit.needs, kit.design, kit.energy)
    for part, title in PARTS.items():
        if found:
            found.append(Row(cells=(), look="space"))
        found.append(Row(cells=(title,), look="head"))
        found += [_row(t, kit.units) for t in tests if t.part == part]
    return found


def _row(t: Expected, units: str) -> Row:
    outside = f"{LICENSED} {t.outside}" if t.licensed else t.outside
    return Row(
        cells=(
            "☐",
            str(t.step),
            t.test,
            t.subject,
            _shown(t.value, t.unit, units),
            "" if t.at_least is None else _shown(t.at_least, t.unit, units),
            "" if t.at_most is None else _shown(t.at_most, t.unit, units),
            shown(1.0, t.unit, units)[1],
            "",
            t.instrument,
            outside,
            t.source,
        )
    )


def _shown(value: float | str, unit: str, units: str) -> Any:
    """A number with as many digits as a meter shows, left of its column as a text would be."""
    if isinstance(value, str):
        return value
    value, _ = shown(value, unit, units)
    form = (
        "#,##0"
        if value >= 100
        else "0.0"
        if value >= 10
        else "0.00"
        if value >= 0.1
        else "0.000"
    )
    return Cell(value=value, form=form)
