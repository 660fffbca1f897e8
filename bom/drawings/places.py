"""Each surface and locker to scale, seen from above or in front: what stands where in it.

Drawn from the place's corner, x to the right and y upwards, as the needs measure it. Numbers are
those of the table under the drawing: devices by numbers, then fuses and breakers where there is
room for them, obstacles by letters, cable entries by E and a number.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from bom.drawings.dimensions import BELOW_MM, LEFT_MM, Mark, dimension, dimension_left
from bom.drawings.hatching import hatched
from bom.drawings.keys import (
    edges,
    is_clear,
    middle,
    within,
    write_beside,
    write_inside,
    write_led,
    write_where_free,
)
from bom.drawings.lettering import height_mm, shortened, width_mm, wrap
from bom.drawings.page import Box, Circle, Page, Stroke, Symbol, corners
from bom.drawings.plate import (
    EDGE_MM,
    HEIGHT_MM,
    INNER_MM,
    SMALL_MM,
    STRIP_MM,
    TEXT_MM,
    WIDTH_MM,
    Plate,
    blank,
    furnish,
    least_text,
    length_text,
    put,
    put_right,
    spread,
    unit_text,
)
from bom.measures import measure_text
from solver.entries import Entry, covered, entries_of
from solver.fuse_spots import FuseSpot, FuseSpots, Mount, fuse_spots
from solver.holes import Hole
from solver.needs import Needs, Place
from solver.records import Design, Device

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 200, 500, 1000, 2000)
"""One to so many: those of ISO 5455, from memory, and some between."""
ENTRY_MM = 12.0
"""Room over the place for the marks of cable entries."""
ON_THE_SPOT = "cable entry, its place to be set on the spot"
FROM_ABOVE = "plan, seen from above"
CROSS_MM = 0.8
"""How far its cross sticks out of the ring of an entry."""
LEAST_RING_MM = 1.2
"""On paper: a hole smaller than this is drawn as large."""
FRONT_MM = 12.0
"""Between the dimensions of a locker's plan and its front view."""
ROW_MM = 3.3
LEAST_DRAWING_MM = 55.0
"""The table never leaves less height than this to the drawing."""
MOST_MARKS = 16
"""With more different edges only the nearest one of each thing gets a dimension."""
COLUMN_MM = (WIDTH_MM - 2 * INNER_MM - 5) / 2


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


@dataclass(frozen=True)
class _Row:
    """A line of the table: cells by their left edge, or a text over all of them."""

    cells: tuple[str, ...]


def place_pages(needs: Needs, design: Design, *, invented: bool = False) -> list[Page]:
    """A page for every place in which something stands or finds room, in the order of the needs.

    Parameters
    ----------
    needs : Needs
        For the places, their obstacles and the legs that end at them.
    design : Design
        What stands there.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    fuses = {f.place: f for f in fuse_spots(needs, design)}
    entries = entries_of(needs, design)
    taken = {d.place for d in design.devices} | set(fuses)
    return [
        page
        for place in needs.places
        if place.name in taken
        for page in _pages(
            needs,
            design,
            place,
            [e for e in entries if e.place == place.name],
            fuses.get(place.name, _without_fuses(place)),
            invented,
        )
    ]


def _without_fuses(place: Place) -> FuseSpots:
    return FuseSpots(place=place.name, spots=(), crowded=(), proven=True, too_high=(), bare=())


def scale_of(place: Place, wide_mm: float, high_mm: float) -> int:
    """The largest scale, one to so many, at which a place finds room on the paper."""
    for scale in SCALES:
        if place.length_mm <= wide_mm * scale and place.width_mm <= high_mm * scale:
            return scale
    return ceil(max(place.length_mm / wide_mm, place.width_mm / high_mm))


def _things_in(place: Place, design: Design, fuses: FuseSpots) -> list[Thing]:
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
    """A fuse in its holder by the part that takes the room; of a single one also its own."""
    mount, (x0, y0, x1, y1) = spot.mount, spot.face
    own = next((p.part for p in design.protections if p.id == mount.id), mount.part.part)
    part = own if own == mount.part.part else f"{own}, {mount.part.part}"
    return Thing(
        key, mount.id, part, spot.x_mm, spot.y_mm, x1 - x0, y1 - y0, mount.part.height_mm,
        "fuse",
    )  # fmt: skip


def _letters(n: int) -> str:
    """A to Z, then A1 to Z1, and so on."""
    again, letter = divmod(n, 26)
    return chr(ord("A") + letter) + (str(again) if again else "")


# -- the table under the drawing


def _entries(entries: Sequence[Entry], units: str) -> list[str]:
    """Where cables come in: a text a leg that some cable of the kit takes."""
    found = []
    for entry in entries:
        leg = entry.way.leg
        through = ""
        if entry.hole is not None:
            through = f"; hole {entry.hole.name}: {_bore(entry.hole, units)}"
        elif leg.conduit is not None:
            through = f"; conduit {leg.conduit}"
        labels = ", ".join(c.label for c in entry.way.cuts)
        far = measure_text(leg.length_m, "m", units)
        at = "" if entry.at_mm is None else f"at x {_at_text(entry, units)}: "
        found.append(f"{at}to {entry.far}, {far}{through}; {labels}")
    return found


def _at_text(entry: Entry, units: str) -> str:
    assert entry.at_mm is not None, entry
    x, y = (length_text(mm, units) for mm in entry.at_mm)
    return f"{x}, y {y}"


def _bore(hole: Hole, units: str) -> str:
    if hole.drilled_mm is None:
        return f"{length_text(hole.there_mm or 0, units)} is there"
    return f"at least {least_text(hole.drill_mm, units)} wide"


def _rows(
    things: Sequence[Thing], entries: Sequence[str], remarks: Sequence[str], units: str
) -> list[_Row]:
    rows = [
        _Row(
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
    for n, text in enumerate(entries, start=1):
        lines = shortened(wrap(text, COLUMN_MM - 9, SMALL_MM), 2)
        rows += [_Row((f"E{n}" if k == 0 else "", line)) for k, line in enumerate(lines)]
    for text in remarks:
        lines = shortened(wrap(text, COLUMN_MM - 9, SMALL_MM), 2)
        rows += [_Row(("", line)) for line in lines]
    return rows


def _kept_free(place: Place, design: Design, units: str) -> list[str]:
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


def _loose(fuses: FuseSpots, units: str) -> list[str]:
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


def _under(entries: Sequence[Entry], things: Sequence[Thing]) -> list[str]:
    """Entries with a position over which something lies."""
    found = []
    for n, entry in enumerate(entries, start=1):
        over = [
            t.name
            for t in things
            if covered(entry, (t.x_mm, t.y_mm, t.x_mm + t.along_mm, t.y_mm + t.across_mm))
        ]
        if over:
            found.append(
                f"E{n} LIES UNDER {', '.join(over)}: move it, or state an obstacle there"
            )
    return found


STOPS_MM = (0.0, 8.0, 40.0, 89.0, 101.0, 127.0, COLUMN_MM)
"""Of the table's columns: key, name, part from the left; x, y, size, rises to the right."""
WIDTHS_MM = (7.5, 31.0, 38.0)
"""Of the first three; the figures end at their stops."""
HEADS = ("", "what", "part", "x", "y", "along x × y", "rises")


def _table(page: Page, rows: Sequence[_Row], top: float, deep: int) -> None:
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


# -- the page


def _pages(
    needs: Needs,
    design: Design,
    place: Place,
    entries: Sequence[Entry],
    fuses: FuseSpots,
    invented: bool,
) -> list[Page]:
    units = needs.job.units
    things = _things_in(place, design, fuses)
    remarks = [
        *_kept_free(place, design, units),
        *_loose(fuses, units),
        *_under(entries, things),
    ]
    rows = _rows(things, _entries(entries, units), remarks, units)
    inside = HEIGHT_MM - 2 * EDGE_MM - STRIP_MM
    most = int((inside - LEAST_DRAWING_MM - ENTRY_MM - BELOW_MM - 4) // ROW_MM) - 1
    deep = min(ceil(len(rows) / 2), most) if len(rows) > 6 else max(len(rows), 1)
    table_mm = (deep + 1) * ROW_MM + 2
    first, rest = rows[: 2 * deep], rows[2 * deep :]
    per_page = 2 * (int((inside - 6) // ROW_MM) - 1)
    further = [rest[n : n + per_page] for n in range(0, len(rest), per_page)]
    high = inside - table_mm - ENTRY_MM - BELOW_MM - 3
    wide = WIDTH_MM - 2 * EDGE_MM - LEFT_MM - 8
    scale = scale_of(place, wide, high)
    if place.height_mm is not None:
        # Under a locker's plan stands its front: both to one scale.
        both = replace(place, width_mm=place.width_mm + place.height_mm)
        scale = scale_of(both, wide, high - FRONT_MM)
    page = blank()
    _draw(page, place, things, entries, scale, units)
    _table(page, first, HEIGHT_MM - EDGE_MM - STRIP_MM - table_mm, deep)
    pages = [page]
    for some in further:
        pages.append(blank())
        _table(pages[-1], some, EDGE_MM + 4, per_page // 2)
    facts = _facts(place, scale, units, entries, bool(fuses.spots))
    for n, one in enumerate(pages, start=1):
        plate = Plate(needs.job, f"Place: {place.name}", facts, n, len(pages), invented)
        furnish(one, plate)
    return pages


def _facts(
    place: Place, scale: int, units: str, entries: Sequence[Entry], fused: bool
) -> tuple[str, ...]:
    facts = [f"scale 1:{scale} on A4; {unit_text(units)}"]
    if place.height_mm is not None:
        facts.append(f"free height {length_text(place.height_mm, units)}")
    facts.append("x and y of a thing: its nearest corner from the corner marked 0")
    if place.margin_mm:
        margin = length_text(place.margin_mm, units)
        facts.append(f"dash-dotted: margin of {margin}, kept free; hatched: obstacles")
    elif place.obstacles:
        facts.append("hatched: obstacles")
    if fused:
        facts.append("dashed: fuses and breakers, in a free spot near their source: a proposal")
    if any(e.at_mm is not None for e in entries):
        facts.append("ring: a cable comes in there, as wide as its hole")
    return tuple(facts)


def _draw(
    page: Page,
    place: Place,
    things: Sequence[Thing],
    entries: Sequence[Entry],
    scale: int,
    units: str,
) -> None:
    wide, high = place.length_mm / scale, place.width_mm / scale
    spare = WIDTH_MM - 2 * EDGE_MM - LEFT_MM - 8 - wide
    left, top = EDGE_MM + LEFT_MM + spare / 2, EDGE_MM + ENTRY_MM + 2
    box = Box(left, top, left + wide, top + high)
    page.lines.append(Stroke(corners(box), "bold", closed=True))
    margin = _margin(page, box, place.margin_mm / scale)
    rings = _rings(box, entries, scale)
    faces = [(t, _face(box, t, scale)) for t in things]
    _things_drawn(page, box, faces, margin, [ring for _, ring in rings], units)
    _rings_drawn(page, box, rings, [f for _, f in faces], margin)
    loose = [n for n, e in enumerate(entries, start=1) if e.at_mm is None]
    _entry_marks(page, box, loose)
    _heading(page, box, place, loose)
    # Spots of fuses are proposals: the table has their corners.
    fixed = [t for t in things if t.kind != "fuse"]
    xs = _marks([(t.x_mm, t.along_mm) for t in fixed], place.length_mm, units)
    ys = _marks([(t.y_mm, t.across_mm) for t in fixed], place.width_mm, units)
    dimension(
        page,
        box,
        [(box.left_mm + at / scale, text) for at, text in xs],
        [(box.bottom_mm - at / scale, text) for at, text in reversed(ys)],
        (length_text(place.length_mm, units), length_text(place.width_mm, units)),
    )
    if place.height_mm is not None:
        _front(page, box, place.height_mm, things, scale, units)


def _front(
    page: Page, plan: Box, height: float, things: Sequence[Thing], scale: int, units: str
) -> None:
    """What stands in a locker seen along y, straight under its plan; x is that of the plan."""
    top = plan.bottom_mm + BELOW_MM + FRONT_MM - 4
    box = Box(plan.left_mm, top, plan.right_mm, top + height / scale)
    page.lines.append(Stroke(corners(box), "bold", closed=True))
    tops = set()
    faces: dict[Box, list[Thing]] = {}
    for thing in things:
        if thing.rises_mm is None:
            continue
        left = box.left_mm + thing.x_mm / scale
        face = Box(
            left,
            box.bottom_mm - thing.rises_mm / scale,
            left + thing.along_mm / scale,
            box.bottom_mm,
        )
        tops.add(thing.rises_mm)
        faces.setdefault(face, []).append(thing)
        stroke = Stroke(corners(face), _line_of(thing), closed=True)
        page.symbols.append(Symbol(kind="front", id=thing.name, box=face, strokes=(stroke,)))
    _front_keys(page, faces)
    by_text = {length_text(rises, units): rises for rises in sorted(tops)}
    marks = [(box.bottom_mm - rises / scale, text) for text, rises in reversed(by_text.items())]
    marks.append((box.bottom_mm, "0"))
    dimension_left(page, box, marks, length_text(height, units))
    free = length_text(height - max(tops, default=0.0), units)
    text = f"front, seen along y, with what stands behind: {free} free under the lid"
    left = min(box.left_mm, page.width_mm - EDGE_MM - 2 - width_mm(text, SMALL_MM))
    page.write((left, top - 3.6), [text], SMALL_MM)


def _front_keys(page: Page, faces: Mapping[Box, Sequence[Thing]]) -> None:
    """What each outline of the front is, where some of it lies before or behind nothing else."""
    lines = [line for face in faces for line in edges(face)]
    for face, some in faces.items():
        keys = ", ".join(t.key for t in some)
        texts = [f"{keys}  {some[0].name}", keys] if len(some) == 1 else [keys]
        write_inside(page, face, texts, [f for f in faces if f != face], lines)


def _marks(spans: Sequence[tuple[float, float]], end_mm: float, units: str) -> list[Mark]:
    """Edges that get a running dimension: 0, then those of things, each text once."""
    near = {start for start, _ in spans}
    both = near | {start + long for start, long in spans}
    if len({length_text(x, units) for x in both}) > MOST_MARKS:
        both = near
    by_text = {length_text(x, units): x for x in sorted(both) if 0 < x <= end_mm}
    by_text.pop("0", None)
    return [(0.0, "0"), *sorted((x, text) for text, x in by_text.items())]


def _margin(page: Page, box: Box, margin: float) -> Box | None:
    """Draw what the margin leaves; None where there is none, or nothing is left."""
    wide, high = box.right_mm - box.left_mm, box.bottom_mm - box.top_mm
    if not margin or 2 * margin >= min(wide, high):
        return None
    inner = Box(
        box.left_mm + margin, box.top_mm + margin, box.right_mm - margin, box.bottom_mm - margin
    )
    page.lines.append(Stroke(corners(inner), "outline", closed=True))
    return inner


def _face(box: Box, thing: Thing, scale: int) -> Box:
    """Where a thing lies on the page; of an obstacle only what lies in its place."""
    face = Box(
        box.left_mm + thing.x_mm / scale,
        box.bottom_mm - (thing.y_mm + thing.across_mm) / scale,
        box.left_mm + (thing.x_mm + thing.along_mm) / scale,
        box.bottom_mm - thing.y_mm / scale,
    )
    return within(face, box) if thing.kind == "obstacle" else face


def _line_of(thing: Thing) -> str:
    """How a thing is outlined."""
    return "dashed" if thing.kind == "fuse" else "symbol"


def _things_drawn(
    page: Page,
    box: Box,
    faces: Sequence[tuple[Thing, Box]],
    margin: Box | None,
    rings: Sequence[Box],
    units: str,
) -> None:
    shown = [(t, f) for t, f in faces if f.left_mm < f.right_mm and f.top_mm < f.bottom_mm]
    labels = []
    for n, (thing, face) in enumerate(shown):
        others = [*(f for k, (_, f) in enumerate(shown) if k != n), *rings]
        labels.append(_label(face, thing, units, others, margin))
    gaps = [_label_box(f, label) for (_, f), label in zip(shown, labels, strict=True)]
    for (thing, face), label in zip(shown, labels, strict=True):
        strokes = [Stroke(corners(face), _line_of(thing), closed=True)]
        if thing.kind == "obstacle":
            strokes += hatched(face, [gap for gap in gaps if gap is not None])
        symbol = Symbol(kind=thing.kind, id=thing.name, box=face, strokes=tuple(strokes))
        page.symbols.append(symbol)
        _write_label(page, face, label)
    barred = [*(f for _, f in shown), *rings, *edges(margin)]
    small = [
        (thing, face)
        for (thing, face), label in zip(shown, labels, strict=True)
        if not label[0] and not write_beside(page, box, face, thing.key, barred)
    ]
    for thing, face in small:
        others = [*(f for _, f in shown if f is not face), *rings]
        write_led(page, box, face, thing.key, others, edges(margin))


TIGHT_MM = 1.8
"""Size of names and keys in things too small for the usual one."""
NARROW_MM = 8.0
"""Names are not broken into less than this."""

Label = tuple[tuple[str, ...], float]
"""Lines and their size; the first line is the key in the table."""


def _label(
    face: Box, thing: Thing, units: str, others: Sequence[Box], margin: Box | None
) -> Label:
    """As much as finds room in a face: key, name, size; then only the key; then nothing."""
    wide, high = face.right_mm - face.left_mm - 2.4, face.bottom_mm - face.top_mm - 2.0
    size = f"{length_text(thing.along_mm, units)} × {length_text(thing.across_mm, units)}"
    name = shortened(wrap(thing.name, max(wide, NARROW_MM), TEXT_MM), 3)
    # a word torn apart reads worse than the number alone
    torn = " ".join(name) != thing.name and not name[-1].endswith("…")
    tried: list[Label] = [
        *([] if torn else [((thing.key, *name, size), TEXT_MM), ((thing.key, *name), TEXT_MM)]),
        ((f"{thing.key}  {thing.name}",), TEXT_MM),
        ((thing.key, thing.name), TIGHT_MM),
        ((f"{thing.key}  {thing.name}",), TIGHT_MM),
        ((thing.key,), TEXT_MM),
        # A thing too small even for this has its key beside it.
        ((thing.key,), TIGHT_MM),
        ((thing.key,), 1.5),
    ]
    for lines, high_mm in tried:
        spare = 0.0 if high_mm == TEXT_MM else 1.4
        fits = height_mm(len(lines), high_mm) <= high + spare and all(
            width_mm(line, high_mm, bold=n == 0) <= wide + spare for n, line in enumerate(lines)
        )
        if fits and is_clear(_label_box(face, (lines, high_mm)), others, margin):
            return lines, high_mm
    return (), TEXT_MM


def _label_box(face: Box, label: Label) -> Box | None:
    lines, size = label
    if not lines:
        return None
    wide = max(width_mm(line, size, bold=n == 0) for n, line in enumerate(lines)) / 2 + 0.4
    high = height_mm(len(lines), size) / 2 + 0.3
    x, y = middle(face)
    return Box(x - wide, y - high, x + wide, y + high)


def _write_label(page: Page, face: Box, label: Label) -> None:
    lines, size = label
    x, y = middle(face)
    top = y - height_mm(len(lines), size) / 2
    for n, line in enumerate(lines):
        at = (x - width_mm(line, size, bold=n == 0) / 2, top + n * 1.22 * size)
        page.write(at, [line], size, bold=1 if n == 0 else 0)


def _rings(box: Box, entries: Sequence[Entry], scale: int) -> list[tuple[str, Box]]:
    """Where entries with a position lie on the page, by their keys."""
    found = []
    for n, entry in enumerate(entries, start=1):
        if entry.at_mm is None:
            continue
        x = box.left_mm + entry.at_mm[0] / scale
        y = box.bottom_mm - entry.at_mm[1] / scale
        r = max((entry.bore_mm or 0.0) / scale / 2, LEAST_RING_MM) + CROSS_MM
        found.append((f"E{n}", Box(x - r, y - r, x + r, y + r)))
    return found


def _rings_drawn(
    page: Page,
    box: Box,
    rings: Sequence[tuple[str, Box]],
    faces: Sequence[Box],
    margin: Box | None,
) -> None:
    """A ring with a cross, and its key beside it where that finds room; else in the table alone."""
    barred = [*faces, *(ring for _, ring in rings), *edges(margin)]
    for key, ring in rings:
        x, y = middle(ring)
        r = x - ring.left_mm
        cross = (
            Stroke(((x - r, y), (x + r, y)), "hair"),
            Stroke(((x, y - r), (x, y + r)), "hair"),
        )
        circle = Circle((x, y), r - CROSS_MM)
        page.symbols.append(
            Symbol(kind="entry", id=key, box=ring, strokes=cross, circles=(circle,))
        )
        wide, high = width_mm(key, SMALL_MM, bold=True), height_mm(1, SMALL_MM)
        off = r + 0.3
        corners_mm = [
            (left, top)
            for top in (y - off - high, y + off)
            for left in (x + off, x - off - wide)
        ]
        write_where_free(page, box, corners_mm, key, SMALL_MM, barred)


def _entry_marks(page: Page, box: Box, numbers: Sequence[int]) -> None:
    """Arrows on the upper edge, evenly spaced: where these cables come in is not stated."""
    if not numbers:
        return
    wide = box.right_mm - box.left_mm
    tips = [box.left_mm + wide * (n + 0.5) / len(numbers) for n in range(len(numbers))]
    texts = [f"E{n}" for n in numbers]
    room = [width_mm(text, SMALL_MM) + 2 for text in texts]
    starts = spread(tips, room, box.left_mm - 3, page.width_mm - EDGE_MM - 2)
    for tip, start, text in zip(tips, starts, texts, strict=True):
        foot, head = box.top_mm - 0.6, box.top_mm - 4.6
        page.lines.append(Stroke(((start, head), (tip, foot - 1.4))))
        arrow = ((tip, foot), (tip - 0.8, foot - 1.6), (tip + 0.8, foot - 1.6))
        page.lines.append(Stroke(arrow, closed=True, filled=True))
        page.write((start - width_mm(text, SMALL_MM) / 2, head - 2.6), [text], SMALL_MM)


def _heading(page: Page, box: Box, place: Place, loose: Sequence[int]) -> None:
    """What is seen, and what its arrows are."""
    told = [] if place.height_mm is None else [FROM_ABOVE]
    if loose:
        told.append(f"{'arrow' if len(loose) == 1 else 'arrows'}: {ON_THE_SPOT}")
    text = "; ".join(told)
    left = min(box.left_mm, page.width_mm - EDGE_MM - 2 - width_mm(text, SMALL_MM))
    if text:
        page.write((left, box.top_mm - ENTRY_MM + 1.4), [text], SMALL_MM)
