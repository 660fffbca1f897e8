"""What to drill: every hole with the cables that pass it, and the conduits."""

from __future__ import annotations

from bom.sheets.page import ONE, WHOLE, Column, Kit, Row
from solver.holes import Hole, Passage, holes, passages
from solver.lining import Lining, conduit_of, lining_of
from solver.stock import Stock

TITLE = "holes"
COLUMNS = (
    Column(heading="hole or conduit", width=22),
    Column(heading="on the way", width=28),
    Column(heading="cables", width=32),
    Column(heading="carry", width=9),
    Column(heading="bundle", unit="mm", width=8, form=ONE),
    Column(heading="drill at least", unit="mm", width=8, form=ONE),
    Column(heading="is there", unit="mm", width=7, form=ONE),
    Column(heading="largest allowed", unit="mm", width=9, form=ONE),
    Column(heading="conduit, inside at least", unit="mm", width=10, form=ONE),
    Column(heading="already in it", width=9, form=WHOLE),
    Column(heading="lined with", width=24),
    Column(heading="remark", width=24),
)
ABOUT = (
    "Drill at least: so wide that the cables fill half of it, rounded up, if nothing lines the "
    "hole; the bundle by itself is narrower. What lines it is in the bill, where the catalog has "
    "it; a conduit is taken to be there, and its size is a check."
)
SHARED = "AC beside DC: apart, or in sheaths for the AC voltage"


def above(kit: Kit, first: int) -> list[Row]:
    """What the diameters are."""
    return [Row(cells=(ABOUT,), look="note")]


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a hole, then a row a leg with a conduit."""
    found = [
        _hole_row(h, lining_of(h, kit.needs, _had(kit))) for h in holes(kit.needs, kit.design)
    ]
    found += [
        _conduit_row(w, conduit_of(w, kit.stock))
        for w in passages(kit.needs, kit.design)
        if w.leg.conduit is not None and w.cuts
    ]
    return found or [Row(cells=("none", "no leg with a cable has a hole or a conduit"))]


def _had(kit: Kit) -> Stock:
    """What the kit has; where its small parts were not reckoned, all of the catalog."""
    if kit.design.small is None:
        return kit.stock
    return Stock.of(kit.design.parts.values(), (), ())


def _hole_row(hole: Hole, linings: tuple[Lining, ...] | None) -> Row:
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
            hole.bundle.diameter_mm,
            "" if hole.drilled_mm is None else hole.drilled_mm,
            "" if hole.there_mm is None else hole.there_mm,
            "" if hole.most_mm is None else hole.most_mm,
            "",
            hole.loaded_conductors or "",
            "; ".join(map(_lining, linings or (None,))),
            "; ".join(remarks),
        ),
        look="line" if hole.fits else "bad",
    )


def _conduit_row(way: Passage, conduit: Lining | None) -> Row:
    leg = way.leg
    return Row(
        cells=(
            leg.conduit,
            f"{leg.from_} to {leg.to}",
            _cables(way),
            _carried(way.supplies),
            "",
            "",
            "",
            "",
            way.conduit_mm,
            leg.loaded_conductors or "",
            _lining(conduit),
            "; ".join(_shared(way.supplies)),
        )
    )


def _lining(lining: Lining | None) -> str:
    if lining is None:
        return "nothing of that size"
    count = f"{lining.count} × " if lining.count > 1 else ""
    hole = "" if lining.hole_mm is None else f", hole Ø{lining.hole_mm:g} mm"
    return f"{count}{lining.part}{hole}{' each' if lining.count > 1 else ''}"


def _cables(of: Hole | Passage) -> str:
    pieces = zip(of.cuts, of.outer_mm, strict=True)
    return ", ".join(f"{cut.label} Ø{outer:g}" for cut, outer in pieces)


def _carried(supplies: tuple[str, ...]) -> str:
    return ", ".join(s.upper() for s in supplies)


def _shared(supplies: tuple[str, ...]) -> list[str]:
    return [SHARED] if "ac" in supplies and len(supplies) > 1 else []
