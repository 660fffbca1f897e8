"""Where each device stands or hangs, measured from the nearest corner of its place."""

from __future__ import annotations

from bom.measures import measure_text
from bom.sheets.page import TWO, WHOLE, Column, Kit, Row
from solver.needs import Place
from solver.records import Device

TITLE = "places"
COLUMNS = (
    Column(heading="device", width=16),
    Column(heading="part", width=28),
    Column(heading="name", width=44),
    Column(heading="x", unit="mm", width=10, form=WHOLE),
    Column(heading="y", unit="mm", width=10, form=WHOLE),
    Column(heading="along x", unit="mm", width=10, form=WHOLE),
    Column(heading="along y", unit="mm", width=10, form=WHOLE),
    Column(heading="rises", unit="mm", width=10, form=WHOLE),
    Column(heading="rotated", width=9),
    Column(heading="weight", unit="kg", width=10, form=TWO),
)


def rows(kit: Kit, first: int) -> list[Row]:
    """A block a place: the place and what may not be covered, then what stands there."""
    found: list[Row] = []
    for place in kit.needs.places:
        found.append(Row(cells=(_head(kit, place), *[""] * 9), look="head"))
        found += [
            Row(
                cells=(
                    "(kept free)",
                    "",
                    o.name,
                    o.x_mm,
                    o.y_mm,
                    o.length_mm,
                    o.width_mm,
                    "",
                    "",
                    "",
                )
            )
            for o in place.obstacles
        ]
        found += [_row(d) for d in kit.design.devices if d.place == place.name]
    return found


def _head(kit: Kit, place: Place) -> str:
    sides = [
        measure_text(side, "mm", kit.units)
        for side in (place.length_mm, place.width_mm, place.height_mm)
        if side is not None
    ]
    margin = f", margin {measure_text(place.margin_mm, 'mm', kit.units)}"
    return f"{place.name}: {' × '.join(sides)}" + (margin if place.margin_mm else "")


def _row(d: Device) -> Row:
    along = (d.part.length_mm, d.part.width_mm)
    x, y = reversed(along) if d.rotated else along
    rotated = "yes" if d.rotated else "no"
    part = d.part
    rises = "" if part.height_mm is None else part.height_mm
    return Row(
        cells=(d.id, part.part, part.name, d.x_mm, d.y_mm, x, y, rises, rotated, part.kg)
    )
