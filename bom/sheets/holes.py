"""What to drill: every hole with the cables that pass it, and the conduits."""

from __future__ import annotations

from math import ceil

from bom.measures import MM_PER_INCH
from bom.sheets.page import ONE, TWO, WHOLE, Column, Kit, Row
from solver.conduits import Duct, conduit_of, ducts
from solver.ground import Opening, openings
from solver.holes import Hole, Passage, holes, outer_of
from solver.lining import Lining, lining_of
from solver.parts import Conduit
from solver.stock import Stock

TITLE = "holes"
COLUMNS = (
    Column(heading="hole or conduit", width=22),
    Column(heading="on the way", width=28),
    Column(heading="cables", width=32),
    Column(heading="carry", width=9),
    Column(heading="bundle", unit="mm", width=9, form=ONE, inches=TWO),
    Column(heading="drill at least", unit="mm", width=9, form=ONE, inches=TWO),
    Column(heading="is there", unit="mm", width=9, form=ONE, inches=TWO),
    Column(heading="largest allowed", unit="mm", width=10, form=ONE, inches=TWO),
    Column(heading="conduit, inside at least", unit="mm", width=12, form=ONE, inches=TWO),
    Column(heading="already in it", width=9, form=WHOLE),
    Column(heading="lined with", width=24),
    Column(heading="remark", width=24),
)
ABOUT = (
    "Drill at least: so wide that the cables fill half of it, rounded up, if nothing lines the "
    "hole; the bundle by itself is narrower. What lines it is in the bill, where the catalog has "
    "it, and so is a conduit that is not there yet."
)
SHARED = "AC beside DC: apart, or in sheaths for the AC voltage"


def above(kit: Kit, first: int) -> list[Row]:
    """What the diameters are."""
    return [Row(cells=(ABOUT,), look="note")]


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a hole, then a row a conduit."""
    found = [
        _hole_row(h, lining_of(h, kit.needs, _had(kit)), kit.needs.job.units)
        for h in holes(kit.needs, kit.design)
    ]
    found += [_opening_row(x, kit) for x in openings(kit.design)]
    found += [
        _conduit_row(d, conduit_of(d, _had(kit)), kit.needs.job.units)
        for d in ducts(kit.needs, kit.design)
    ]
    return found or [Row(cells=("none", "no leg with a cable has a hole or a conduit"))]


def _had(kit: Kit) -> Stock:
    """What the kit has; where its small parts were not reckoned, all of the catalog."""
    if kit.design.small is None:
        return kit.stock
    return Stock.of(kit.design.parts.values(), (), ())


def _at_least(mm: float, units: str) -> float:
    """What a diameter must be, in mm, so that it is not shown smaller than it is."""
    if units == "imperial":
        return ceil(mm / MM_PER_INCH * 100 - 1e-6) / 100 * MM_PER_INCH
    return ceil(mm * 10 - 1e-6) / 10


def _hole_row(hole: Hole, linings: tuple[Lining, ...] | None, units: str) -> Row:
    remarks = []
    if hole.drilled_mm is None:
        remarks.append("wide enough as it is")
    if not hole.fits:
        remarks.append("TOO NARROW: part the bundle between two holes")
    remarks += _shared(hole.supplies)
    return Row(
        cells=(
            hole.name,
            "; ".join(f"{leg.from_} to {leg.to}" for leg in hole.legs),
            _cables(hole),
            _carried(hole.supplies),
            _at_least(hole.bundle.diameter_mm, units),
            "" if hole.drilled_mm is None else _at_least(hole.drilled_mm, units),
            "" if hole.there_mm is None else hole.there_mm,
            "" if hole.most_mm is None else hole.most_mm,
            "",
            hole.loaded_conductors or "",
            "; ".join(map(_lining, linings or (None,))),
            "; ".join(remarks),
        ),
        look="line" if hole.fits else "bad",
    )


def _opening_row(opening: Opening, kit: Kit) -> Row:
    outer = (outer_of(kit.design, cut) for cut in opening.cuts)
    cables = ", ".join(
        f"{cut.label} Ø{mm:g}" for cut, mm in zip(opening.cuts, outer, strict=True)
    )
    return Row(
        cells=(
            f"opening of {opening.inlet}",
            opening.place,
            cables,
            "PV",
            "",
            opening.cutout_mm,
            "",
            "",
            "",
            "",
            "its own flange, on sealant",
            "as the inlet's maker says; no wider",
        )
    )


def _conduit_row(duct: Duct, conduit: Conduit | None, units: str) -> Row:
    supplies = tuple(dict.fromkeys(x for way in duct.ways for x in way.supplies))
    remarks = ["there already"] if duct.there else []
    if not duct.fits:
        remarks.append("TOO NARROW: lay a second one beside it")
    remarks += _bends(duct)
    remarks += _shared(supplies)
    return Row(
        cells=(
            duct.name,
            "; ".join(f"{way.leg.from_} to {way.leg.to}" for way in duct.ways),
            "; ".join(map(_cables, duct.ways)),
            _carried(supplies),
            "",
            "",
            duct.there_mm or "",
            "",
            _at_least(duct.least_mm, units),
            max(way.leg.loaded_conductors for way in duct.ways) or "",
            _of_conduit(duct, conduit),
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


def _lining(lining: Lining | None) -> str:
    if lining is None:
        return "nothing of that size"
    count = f"{lining.count} × " if lining.count > 1 else ""
    each = " each" if lining.count > 1 else ""
    return f"{count}{lining.part}, hole Ø{lining.hole_mm:g} mm{each}"


def _cables(of: Hole | Passage) -> str:
    pieces = zip(of.cuts, of.outer_mm, strict=True)
    return ", ".join(f"{cut.label} Ø{outer:g}" for cut, outer in pieces)


def _carried(supplies: tuple[str, ...]) -> str:
    return ", ".join(s.upper() for s in supplies)


def _shared(supplies: tuple[str, ...]) -> list[str]:
    return [SHARED] if "ac" in supplies and len(supplies) > 1 else []
