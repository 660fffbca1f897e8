"""What stands in a place, and the table under its drawing that tells it by numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bom.drawings.entry_marks import EntryMark
from bom.drawings.lettering import shortened, wrap
from bom.drawings.page import Box, Page, Stroke
from bom.drawings.plate import (
    INNER_MM,
    SMALL_MM,
    WIDTH_MM,
    length_text,
    put,
    put_right,
)
from solver.entries import lies_over
from solver.fuse_spots import FuseSpot, FuseSpots, Mount
from solver.needs import Place
from solver.records import Design, Device

ROW_MM = 3.3
COLUMN_MM = (WIDTH_MM - 2 * INNER_MM - 5) / 2
"""There are two columns of rows."""
MARK_LINES = 3
"""Of a cable entry, before it is cut short."""


@dataclass(frozen=True)
class Thing:
    """A rectangle in a place, with its key in the table."""

    key: str
    name: str
    part: str
    x_mm: float
    y_mm: float
    along_mm: float
    across_mm: float
    rises_mm: float | None
    kind: str
    """`device`, `fuse` for a fuse, block or breaker, or `obstacle`."""


def plan_face(box: Box, thing: Thing, scale: int) -> Box:
    """Where a thing lies on the page, in the plan of its place."""
    return Box(
        box.left_mm + thing.x_mm / scale,
        box.bottom_mm - (thing.y_mm + thing.across_mm) / scale,
        box.left_mm + (thing.x_mm + thing.along_mm) / scale,
        box.bottom_mm - thing.y_mm / scale,
    )


def front_face(box: Box, thing: Thing, rises_mm: float, scale: int) -> Box:
    """The same in the front view of a locker, on whose floor it stands."""
    left = box.left_mm + thing.x_mm / scale
    top = box.bottom_mm - rises_mm / scale
    return Box(left, top, left + thing.along_mm / scale, box.bottom_mm)


@dataclass(frozen=True)
class Row:
    """A line of the table: cells by their left edge, or a text over all of them."""

    cells: tuple[str, ...]


def things_in(place: Place, design: Design, fuses: FuseSpots) -> list[Thing]:
    """What stands in a place by numbers, fuses last, and its obstacles by letters."""
    here = [d for d in design.devices if d.place == place.name]
    found = [_thing(str(n), d) for n, d in enumerate(here, start=1)]
    found += [
        _fuse(str(n), spot, design) for n, spot in enumerate(fuses.spots, start=len(here) + 1)
    ]
    for n, o in enumerate(place.obstacles):
        key = _letters(n)
        sides = (o.x_mm, o.y_mm, o.length_mm, o.width_mm)
        found.append(Thing(key, o.name, "", *sides, None, "obstacle"))
    return found


def _thing(key: str, device: Device) -> Thing:
    part = device.part
    along, across = part.length_mm or 0.0, part.width_mm or 0.0
    if device.rotated:
        along, across = across, along
    return Thing(
        key, device.id, part.part, device.x_mm, device.y_mm, along, across, part.height_mm,
        "device",
    )  # fmt: skip


def _fuse(key: str, spot: FuseSpot, design: Design) -> Thing:
    """A fuse in its holder by the part that takes the room; of a single one also its own.

    Of a box that several share, what is in it.
    """
    mount, (x0, y0, x1, y1) = spot.mount, spot.face
    own = next((p.part for p in design.protections if p.id == mount.id), mount.part.part)
    part = own if own == mount.part.part else f"{own}, {mount.part.part}"
    inside = [p.id for p in design.protections if p.box == mount.id]
    part = f"{part}: {', '.join(inside)}" if inside else part
    return Thing(
        key, mount.id, part, spot.x_mm, spot.y_mm, x1 - x0, y1 - y0, mount.part.height_mm,
        "fuse",
    )  # fmt: skip


def _letters(n: int) -> str:
    """A to Z, then A1 to Z1, and so on."""
    again, letter = divmod(n, 26)
    return chr(ord("A") + letter) + (str(again) if again else "")


def table_rows(
    things: Sequence[Thing], marks: Sequence[EntryMark], remarks: Sequence[str], units: str
) -> list[Row]:
    """The lines of the table: things, then cable entries, then what has to be said besides."""
    rows = [
        Row(
            (
                t.key,
                t.name,
                t.part or "obstacle, kept free",
                length_text(t.x_mm, units),
                length_text(t.y_mm, units),
                f"{length_text(t.along_mm, units)} × {length_text(t.across_mm, units)}",
                "" if t.rises_mm is None else length_text(t.rises_mm, units),
            )
        )
        for t in things
    ]
    for mark in marks:
        lines = shortened(wrap(mark.text, COLUMN_MM - 9, SMALL_MM), MARK_LINES)
        rows += [Row((mark.key if k == 0 else "", line)) for k, line in enumerate(lines)]
    for text in remarks:
        lines = shortened(wrap(text, COLUMN_MM - 9, SMALL_MM), 2)
        rows += [Row(("", line)) for line in lines]
    return rows


def kept_free(place: Place, design: Design, units: str) -> list[str]:
    """Which devices keep how much free around them: a text for each distance."""
    by_mm: dict[float, list[str]] = {}
    for d in design.devices:
        free = getattr(d.part, "clear_mm", None)
        if d.place == place.name and free:
            by_mm.setdefault(free, []).append(d.id)
    return [
        f"keep {length_text(mm, units)} free on every side and before: {', '.join(ids)}"
        for mm, ids in sorted(by_mm.items())
    ]


def loose(fuses: FuseSpots, units: str) -> list[str]:
    """What has to be said of protection: no room for it, or not near enough to its source."""
    found = []
    if fuses.crowded:
        sure = "no room is left" if fuses.proven else "no room was found"
        found.append(f"NOT DRAWN, {sure} here as things stand: {_sized(fuses.crowded, units)}")
    if fuses.too_high:
        found.append(f"NOT DRAWN, higher than this place: {_sized(fuses.too_high, units)}")
    if fuses.bare:
        found.append(
            f"not drawn, no size is stated, find room near their sources: {', '.join(fuses.bare)}"
        )
    found += [
        f"{s.mount.id} finds room no nearer to {s.mount.source} than "
        f"{length_text(s.gap_mm or 0.0, units)}; its cable reckons with "
        f"{length_text(s.mount.reach_mm or 0.0, units)}"
        for s in fuses.spots
        if s.too_far
    ]
    return found


def _sized(mounts: Sequence[Mount], units: str) -> str:
    return ", ".join(
        f"{m.id} ({length_text(m.part.length_mm or 0.0, units)} × "
        f"{length_text(m.part.width_mm or 0.0, units)})"
        for m in mounts
    )


def _face(thing: Thing) -> tuple[float, float, float, float]:
    return (
        thing.x_mm,
        thing.y_mm,
        thing.x_mm + thing.along_mm,
        thing.y_mm + thing.across_mm,
    )


def lying_under(marks: Sequence[EntryMark], things: Sequence[Thing]) -> list[str]:
    """Entries with a position over which something lies."""
    found = []
    for mark in marks:
        over = [
            t
            for t in things
            if not mark.opening and lies_over(_face(t), mark.at_mm, mark.bore_mm)
        ]
        if over:
            # A fuse stands where the sheet proposes it: the hole need not give way.
            proposed = all(t.kind == "fuse" for t in over)
            todo = "put that elsewhere" if proposed else "move it, or state an obstacle there"
            found.append(f"{mark.key} LIES UNDER {', '.join(t.name for t in over)}: {todo}")
    return found


STOPS_MM = (0.0, 8.0, 40.0, 89.0, 101.0, 127.0, COLUMN_MM)
"""Of the table's columns: key, name, part from the left; x, y, size, rises to the right."""
WIDTHS_MM = (7.5, 31.0, 38.0)
"""Of the first three; the figures end at their stops."""
HEADS = ("", "what", "part", "x", "y", "along x × y", "rises")


def write_table(page: Page, rows: Sequence[Row], top: float, deep: int) -> None:
    """Write rows from a height on, so many under each other, in one column or two."""
    for column, first in enumerate(range(0, len(rows), deep)):
        left = INNER_MM + column * (COLUMN_MM + 5)
        heads = HEADS if len(rows[first].cells) > 2 else ("", "cable entries")
        _line(page, left, top, heads)
        y = top + ROW_MM
        page.lines.append(Stroke(((left, y - 0.5), (left + COLUMN_MM, y - 0.5)), "hair"))
        for n, row in enumerate(rows[first : first + deep]):
            _line(page, left, y + n * ROW_MM, row.cells)


def _line(page: Page, left: float, y: float, cells: Sequence[str]) -> None:
    if len(cells) == 2:
        put(page, (left, y), cells[0], 7.5)
        put(page, (left + 8, y), cells[1], COLUMN_MM - 9)
        return
    for n, text in enumerate(cells):
        if n < len(WIDTHS_MM):
            put(page, (left + STOPS_MM[n], y), text, WIDTHS_MM[n])
        else:
            put_right(page, (left + STOPS_MM[n], y), text)
