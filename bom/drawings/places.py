"""Each surface and locker to scale, seen from above or in front: what stands where in it.

Drawn from the place's corner, x to the right and y upwards, as the needs measure it. Numbers are
those of the table under the drawing: devices by numbers, then fuses and breakers where there is
room for them, obstacles by letters, holes by their numbers in the hole schedule (`H1`), cable
entries without a hole by E and a number.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from bom.drawings.dimensions import BELOW_MM, LEFT_MM
from bom.drawings.entry_marks import EntryMark, entry_marks
from bom.drawings.hole_lines import ON_THE_SPOT, HoleLine, hole_lines
from bom.drawings.key_plan import draw_key_plan
from bom.drawings.lettering import width_mm
from bom.drawings.page import Box, Page, Stroke
from bom.drawings.place_table import (
    ROW_MM,
    Thing,
    kept_free,
    loose,
    lying_under,
    table_rows,
    things_in,
    write_table,
)
from bom.drawings.place_views import draw_window
from bom.drawings.plate import (
    EDGE_MM,
    HEIGHT_MM,
    SMALL_MM,
    STRIP_MM,
    WIDTH_MM,
    Plate,
    blank,
    furnish,
    length_text,
    spread,
    unit_text,
)
from bom.drawings.windows import KEY_GAP_MM, KEY_LEFT_MM, Window, extent_of, window_of
from solver.entries import Entry, entries_of
from solver.fuse_spots import FuseSpots, fuse_spots
from solver.needs import Needs, Place
from solver.records import Design
from solver.stock import Stock

ENTRY_MM = 12.0
"""Room over the place for the marks of cable entries."""
ARROW_GAP_MM = 2.0
"""Between the keys of two of them."""
FROM_ABOVE = "plan, seen from above"
RIGHT_MM = 8.0
"""Kept free on the right of what is drawn."""
ROOM_MM = WIDTH_MM - 2 * EDGE_MM - LEFT_MM - RIGHT_MM
"""Width of what is drawn, dimensions on its left not counted."""
LEAST_DRAWING_MM = 55.0
"""The table never leaves less height than this to the drawing."""


def place_pages(
    needs: Needs, design: Design, stock: Stock | None = None, *, invented: bool = False
) -> list[Page]:
    """A page for every place in which something stands, finds room or comes in at a stated position.

    In the order of the needs.

    Parameters
    ----------
    needs : Needs
        For the places, their obstacles and the legs that end at them.
    design : Design
        What stands there.
    stock : Stock, optional
        See `hole_lines`.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    fuses = {f.place: f for f in fuse_spots(needs, design)}
    entries = entries_of(needs, design)
    lines = hole_lines(needs, design, stock)
    # The schedule tells such a position from the corner that this sheet marks.
    told = {e.place for e in entries if e.at_mm is not None}
    taken = {d.place for d in design.devices} | set(fuses) | told
    return [
        page
        for place in needs.places
        if place.name in taken
        for page in _pages(
            needs,
            design,
            place,
            _marks_of(place, entries, lines, needs.job.units),
            fuses.get(place.name, _without_fuses(place)),
            invented,
        )
    ]


def _marks_of(
    place: Place, entries: Sequence[Entry], lines: Sequence[HoleLine], units: str
) -> list[EntryMark]:
    here = [e for e in entries if e.place == place.name]
    return entry_marks(place, here, lines, units)


def _without_fuses(place: Place) -> FuseSpots:
    return FuseSpots(place=place.name, spots=(), crowded=(), proven=True, too_high=(), bare=())


def _pages(
    needs: Needs,
    design: Design,
    place: Place,
    entries: Sequence[EntryMark],
    fuses: FuseSpots,
    invented: bool,
) -> list[Page]:
    units = needs.job.units
    things = things_in(place, design, fuses)
    remarks = [
        *kept_free(place, design, units),
        *loose(fuses, units),
        *lying_under(entries, things),
    ]
    rows = table_rows(things, entries, remarks, units)
    inside = HEIGHT_MM - 2 * EDGE_MM - STRIP_MM
    most = int((inside - LEAST_DRAWING_MM - ENTRY_MM - BELOW_MM - 4) // ROW_MM) - 1
    deep = min(ceil(len(rows) / 2), most) if len(rows) > 6 else max(len(rows), 1)
    table_mm = (deep + 1) * ROW_MM + 2
    first, rest = rows[: 2 * deep], rows[2 * deep :]
    per_page = 2 * (int((inside - 6) // ROW_MM) - 1)
    further = [rest[n : n + per_page] for n in range(0, len(rest), per_page)]
    high = inside - table_mm - ENTRY_MM - BELOW_MM - 3
    page = blank()
    window = _window(place, things, entries, high)
    _draw(page, window, things, entries, units)
    write_table(page, first, HEIGHT_MM - EDGE_MM - STRIP_MM - table_mm, deep)
    pages = [page]
    for some in further:
        pages.append(blank())
        write_table(pages[-1], some, EDGE_MM + 4, per_page // 2)
    facts = _facts(window, units, entries, bool(fuses.spots))
    for n, one in enumerate(pages, start=1):
        plate = Plate(needs.job, f"Place: {place.name}", facts, n, len(pages), invented)
        furnish(one, plate)
    return pages


def _facts(
    window: Window, units: str, entries: Sequence[EntryMark], fused: bool
) -> tuple[str, ...]:
    place = window.place
    facts = [f"scale 1:{window.scale} on A4; {unit_text(units)}"]
    if window.key_scale is not None:
        facts.append("zigzag: broken off there, the key plan beside it shows the whole")
    if place.height_mm is not None:
        facts.append(f"free height {length_text(place.height_mm, units)}")
    if place.ground:
        facts.append("ground: put panels out where sun and lead reach; so drawn they have room")
    facts.append("x and y of a thing: its nearest corner from the corner marked 0")
    if place.margin_mm:
        margin = length_text(place.margin_mm, units)
        facts.append(f"dash-dotted: margin of {margin}, kept free; hatched: obstacles")
    elif place.obstacles:
        facts.append("hatched: obstacles")
    if fused:
        facts.append("dashed: fuses and breakers, in a free spot near their source: a proposal")
    if any(e.at_mm is not None for e in entries):
        facts.append(
            "ring: entry as wide as its hole (small ones drawn larger); H: see hole schedule"
        )
    elif any(e.key.startswith("H") for e in entries):
        facts.append("H: see the hole schedule")
    return tuple(facts)


def _window(
    place: Place, things: Sequence[Thing], entries: Sequence[EntryMark], high_mm: float
) -> Window:
    spans = [
        (
            t.x_mm + t.along_mm,
            t.y_mm + t.across_mm,
            t.rises_mm or 0.0,
            min(t.along_mm, t.across_mm),
        )
        for t in things
        if t.kind != "obstacle"
    ]
    extent = extent_of(spans)
    for entry in entries if extent is not None else ():
        assert extent is not None
        extent = extent.with_hole(entry.at_mm, entry.bore_mm)
    room = (ROOM_MM, high_mm)
    arrows = sum(width_mm(key, SMALL_MM) + ARROW_GAP_MM for key in _arrowed(entries))
    return window_of(place, extent, room, arrows)


def _arrowed(entries: Sequence[EntryMark]) -> list[str]:
    """The keys of what is to be set on the spot, each once."""
    return list(dict.fromkeys(e.key for e in entries if e.arrow))


def _draw(
    page: Page,
    window: Window,
    things: Sequence[Thing],
    entries: Sequence[EntryMark],
    units: str,
) -> None:
    left, top = EDGE_MM + LEFT_MM, EDGE_MM + ENTRY_MM + 2
    keys = _arrowed(entries)
    if window.key_scale is None:
        at = (left + (ROOM_MM - window.wide_mm) / 2, top)
        box = draw_window(page, at, window, things, entries, units)
        _arrows(page, box, keys)
        _heading(page, box, _told(window, keys))
        return
    key_wide = window.place.length_mm / window.key_scale
    spare = ROOM_MM - window.wide_mm - key_wide - KEY_LEFT_MM - KEY_GAP_MM
    at = (left + spare / 3, top)
    box = draw_window(page, at, window, things, entries, units)
    _heading(page, box, _told(window, []))
    key_left = WIDTH_MM - EDGE_MM - RIGHT_MM - key_wide - spare / 3
    key = draw_key_plan(page, (key_left, top), window, things, units)
    _arrows(page, key, keys)
    if keys:
        _heading(page, key, [_arrows_text(keys)])


def _told(window: Window, keys: Sequence[str]) -> list[str]:
    """What is seen, and what its arrows are."""
    told = [] if window.place.height_mm is None else [FROM_ABOVE]
    return told + ([_arrows_text(keys)] if keys else [])


def _arrows_text(keys: Sequence[str]) -> str:
    return f"{'arrow' if len(keys) == 1 else 'arrows'}: cable entry, its place {ON_THE_SPOT}"


def _heading(page: Page, box: Box, told: Sequence[str]) -> None:
    text = "; ".join(told)
    left = min(box.left_mm, page.width_mm - EDGE_MM - 2 - width_mm(text, SMALL_MM))
    if text:
        page.write((left, box.top_mm - ENTRY_MM + 1.4), [text], SMALL_MM)


def _arrows(page: Page, box: Box, texts: Sequence[str]) -> None:
    """Arrows on the upper edge, evenly spaced: where these cables come in is not stated."""
    if not texts:
        return
    wide = box.right_mm - box.left_mm
    tips = [box.left_mm + wide * (n + 0.5) / len(texts) for n in range(len(texts))]
    room = [width_mm(text, SMALL_MM) + ARROW_GAP_MM for text in texts]
    starts = spread(tips, room, box.left_mm - 3, page.width_mm - EDGE_MM - 2)
    for tip, start, text in zip(tips, starts, texts, strict=True):
        foot, head = box.top_mm - 0.6, box.top_mm - 4.6
        page.lines.append(Stroke(((start, head), (tip, foot - 1.4))))
        arrow = ((tip, foot), (tip - 0.8, foot - 1.6), (tip + 0.8, foot - 1.6))
        page.lines.append(Stroke(arrow, closed=True, filled=True))
        page.write((start - width_mm(text, SMALL_MM) / 2, head - 2.6), [text], SMALL_MM)
