"""What to drill: every hole with the cables that pass it, and the conduits."""

from __future__ import annotations

from math import ceil

from bom.drawings.hole_lines import (
    HoleLine,
    cables_text,
    drill_text,
    had_by,
    hole_lines,
    remarks_of,
    shared,
    ways_text,
    where_text,
)
from bom.measures import MM_PER_INCH
from bom.sheets.page import ONE, TWO, WHOLE, Column, Kit, Row
from solver.conduits import Duct, conduit_of, ducts
from solver.parts import Conduit

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
    for duct in ducts(kit.needs, kit.design):
        part = None if stock is None else conduit_of(duct, stock)
        found.append(_conduit_row(duct, part, kit.units))
    nothing = "no leg with a cable has a hole or a conduit"
    return found or [Row(cells=("none", "", nothing, *[""] * (len(COLUMNS) - 3)))]


def _at_least(mm: float, units: str) -> float:
    """What a diameter must be, in mm, so that it is not shown smaller than it is."""
    if units == "imperial":
        return ceil(mm / MM_PER_INCH * 100 - 1e-6) / 100 * MM_PER_INCH
    return ceil(mm * 10 - 1e-6) / 10


def _hole_row(line: HoleLine, units: str) -> Row:
    hole = line.hole
    count, drill = _drilled(line, units)
    least = None if hole is None else hole.drilled_mm
    fits = hole is None or hole.fits
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
            "" if hole is None else _at_least(hole.bundle.diameter_mm, units),
            "" if least is None else _at_least(least, units),
            "" if hole is None or hole.there_mm is None else hole.there_mm,
            "" if hole is None or hole.most_mm is None else hole.most_mm,
            "",
            "" if hole is None else hole.loaded_conductors or "",
            "; ".join(remarks_of(line, units)) if line.bores else _nothing(line, units),
        ),
        look="line" if fits else "bad",
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
    return count, _at_least(line.bores[0].wide_mm, units)


def _conduit_row(duct: Duct, conduit: Conduit | None, units: str) -> Row:
    supplies = tuple(dict.fromkeys(x for way in duct.ways for x in way.supplies))
    remarks = ["there already"] if duct.there else []
    if not duct.fits:
        remarks.append("TOO NARROW: lay a second one beside it")
    remarks += _bends(duct)
    remarks += shared(supplies)
    return Row(
        cells=(
            "",
            duct.name,
            ways_text([way.leg for way in duct.ways]),
            "",
            "",
            "",
            _of_conduit(duct, conduit),
            _cables(duct, units),
            _carried(supplies),
            "",
            "",
            duct.there_mm or "",
            "",
            _at_least(duct.least_mm, units),
            max(way.leg.loaded_conductors for way in duct.ways) or "",
            "; ".join(remarks),
        ),
        look="line" if duct.fits else "bad",
    )


def _bends(duct: Duct) -> list[str]:
    """Where cables are pulled, by how often the conduit turns."""
    boxes = sum(run.boxes for run in duct.runs)
    told = [f"{boxes} pull {'box' if boxes == 1 else 'boxes'} on the way"] if boxes else []
    if duct.bends is None:
        some = "some bends" if duct.stated_bends else "bends"
        told.append(f"{some} not stated: a pull box wherever four quarter bends are behind it")
    return told


def _of_conduit(duct: Duct, conduit: Conduit | None) -> str:
    if duct.there:
        return ""
    return "nothing of that size" if conduit is None else conduit.part


def _cables(duct: Duct, units: str) -> str:
    """Leg by leg, each leg's pieces once."""
    return "; ".join(
        dict.fromkeys(cables_text(way.cuts, way.outer_mm, units) for way in duct.ways)
    )


def _carried(supplies: tuple[str, ...]) -> str:
    return ", ".join(s.upper() for s in supplies)
