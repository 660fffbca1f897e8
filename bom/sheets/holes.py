"""What to drill: every hole with the cables that pass it, and the conduits."""

from __future__ import annotations

from bom.drawings.duct_lines import duct_part, duct_remarks, duct_supplies
from bom.drawings.hole_lines import (
    HoleLine,
    asked_mm,
    cables_text,
    drill_text,
    had_by,
    hole_lines,
    remarks_of,
    warnings_of,
    ways_text,
    where_text,
)
from bom.drawings.plate import at_least_mm, at_most_mm
from bom.sheets.page import ONE, TWO, WHOLE, Column, Kit, Row
from solver.conduits import Duct, ducts
from solver.stock import Stock

TITLE = "holes"
COLUMNS = (
    Column(heading="number", width=7),
    Column(heading="hole or conduit", width=18),
    Column(heading="from, to", width=24),
    Column(heading="where, its middle", width=20),
    Column(heading="holes", width=7, form=WHOLE),
    Column(heading="drill", unit="mm", width=7, form=ONE, inches=TWO),
    Column(heading="lined with", width=18),
    Column(heading="cables", width=34),
    Column(heading="carry", width=8),
    Column(heading="bundle", unit="mm", width=8, form=ONE, inches=TWO),
    Column(heading="cables ask for at least", unit="mm", width=9, form=ONE, inches=TWO),
    Column(heading="is there", unit="mm", width=8, form=ONE, inches=TWO),
    Column(heading="largest allowed", unit="mm", width=8, form=ONE, inches=TWO),
    Column(heading="conduit, inside at least", unit="mm", width=9, form=ONE, inches=TWO),
    Column(heading="already in it", width=8, form=WHOLE),
    Column(heading="remark", width=24),
)
DRILL = (
    "The numbers are those of the drawings. Drill: as wide as what lines the hole asks for; where "
    "nothing does, so wide that the cables fill half of it, rounded up, or wider."
)
WHERE = (
    "Where: from the corner marked 0 on the drawing of the place. What lines a hole is in the "
    "bill, where the catalog has it, and so is a conduit that is not there yet."
)


def above(kit: Kit, first: int) -> list[Row]:
    """What the diameters are."""
    return [Row(cells=(text,), look="note") for text in (DRILL, WHERE)]


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a hole by its number, then a row a conduit."""
    stock = had_by(kit.design, kit.stock)
    found = [_hole_row(x, kit.units) for x in hole_lines(kit.needs, kit.design, kit.stock)]
    found += [_conduit_row(x, stock, kit.units) for x in ducts(kit.needs, kit.design)]
    nothing = "no leg with a cable has a hole or a conduit"
    return found or [Row(cells=("none", "", nothing, *[""] * (len(COLUMNS) - 3)))]


def _hole_row(line: HoleLine, units: str) -> Row:
    hole = line.hole
    count, drill = _drilled(line, units)
    least = None if hole is None else asked_mm(hole)
    there = None if hole is None else hole.there_mm
    most = None if hole is None else hole.most_mm
    return Row(
        cells=(
            line.number,
            line.name,
            ways_text(line.legs),
            where_text(line, units),
            count,
            drill,
            line.lined,
            cables_text(line.cuts, line.outer_mm, units),
            _carried(line.supplies),
            "" if hole is None else at_least_mm(hole.bundle.diameter_mm, units),
            "" if least is None else at_least_mm(least, units),
            "" if there is None else at_most_mm(there, units),
            "" if most is None else at_most_mm(most, units),
            "",
            "" if hole is None else hole.loaded_conductors or "",
            "; ".join(remarks_of(line, units)) if line.bores else _nothing(line, units),
        ),
        look="bad" if warnings_of(line) else "line",
    )


def _nothing(line: HoleLine, units: str) -> str:
    return "; ".join([f"drill {drill_text(line, units)}", *remarks_of(line, units)])


def _drilled(line: HoleLine, units: str) -> tuple[int | str, float | str]:
    """How many holes and how wide: a number where all are alike."""
    if not line.bores:
        return "", ""
    count = sum(b.count for b in line.bores)
    if len(line.bores) > 1:
        return count, drill_text(line, units)
    wide = line.bores[0].wide_mm
    # An opening is made no wider than the inlet's maker says.
    shown = at_least_mm if line.opening is None else at_most_mm
    return count, shown(wide, units)


def _conduit_row(duct: Duct, stock: Stock | None, units: str) -> Row:
    there = duct.there_mm
    return Row(
        cells=(
            "",
            duct.name,
            ways_text([way.leg for way in duct.ways]),
            "",
            "",
            "",
            duct_part(duct, stock),
            _cables(duct, units),
            _carried(duct_supplies(duct)),
            "",
            "",
            "" if there is None else at_most_mm(there, units),
            "",
            at_least_mm(duct.least_mm, units),
            max(way.leg.loaded_conductors for way in duct.ways) or "",
            "; ".join(duct_remarks(duct, units)),
        ),
        look="line" if duct.fits else "bad",
    )


def _cables(duct: Duct, units: str) -> str:
    """Leg by leg, each leg's pieces once."""
    return "; ".join(
        dict.fromkeys(cables_text(way.cuts, way.outer_mm, units) for way in duct.ways)
    )


def _carried(supplies: tuple[str, ...]) -> str:
    return ", ".join(s.upper() for s in supplies)
