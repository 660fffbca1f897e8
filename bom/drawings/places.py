"""Each surface and locker to scale, seen from above or in front: what stands where in it.

Drawn from the place's corner, x to the right and y upwards, as the needs measure it. Numbers are
those of the table under the drawing: devices by numbers, obstacles by letters, cable entries by
E and a number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from bom.drawings.dimensions import BELOW_MM, LEFT_MM, Mark, dimension, dimension_left
from bom.drawings.hatching import hatched
from bom.drawings.lettering import height_mm, shortened, width_mm, wrap
from bom.drawings.page import Box, Page, Point, Stroke, Symbol, corners
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
from solver.holes import Hole, Passage, holes, passages
from solver.needs import Needs, Place
from solver.passing import hole_of
from solver.records import Design, Device

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 200, 500, 1000, 2000)
"""One to so many: those of ISO 5455, from memory, and some between."""
ENTRY_MM = 9.0
"""Room over the place for the marks of cable entries."""
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
    """A rectangle in a place: a device or an obstacle, with its key in the table."""

    key: str
    name: str
    part: str
    x_mm: float
    y_mm: float
    along_mm: float
    across_mm: float
    rises_mm: float | None
    obstacle: bool


@dataclass(frozen=True)
class _Row:
    """A line of the table: cells by their left edge, or a text over all of them."""

    cells: tuple[str, ...]


def place_pages(needs: Needs, design: Design, *, invented: bool = False) -> list[Page]:
    """A page for every place in which something stands, in the order of the needs.

    Parameters
    ----------
    needs : Needs
        For the places, their obstacles and the legs that end at them.
    design : Design
        What stands there.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    found = drawn_places(needs, design)
    ways, bored = passages(needs, design), {h.name: h for h in holes(needs, design)}
    return [
        page
        for place in found
        for page in _pages(needs, design, place, _entries(needs, place, ways, bored), invented)
    ]


def drawn_places(needs: Needs, design: Design) -> list[Place]:
    """The places in which a device stands or hangs."""
    taken = {d.place for d in design.devices}
    return [p for p in needs.places if p.name in taken]


def scale_of(place: Place, wide_mm: float, high_mm: float) -> int:
    """The largest scale, one to so many, at which a place finds room on the paper."""
    for scale in SCALES:
        if place.length_mm <= wide_mm * scale and place.width_mm <= high_mm * scale:
            return scale
    return ceil(max(place.length_mm / wide_mm, place.width_mm / high_mm))


def things_in(place: Place, design: Design) -> list[Thing]:
    """What stands in a place by numbers, and its obstacles by letters."""
    here = [d for d in design.devices if d.place == place.name]
    found = [_thing(str(n), d) for n, d in enumerate(here, start=1)]
    for n, o in enumerate(place.obstacles):
        key = _letters(n)
        found.append(
            Thing(key, o.name, "", o.x_mm, o.y_mm, o.length_mm, o.width_mm, None, obstacle=True)
        )
    return found


def _thing(key: str, device: Device) -> Thing:
    part = device.part
    along, across = part.length_mm or 0.0, part.width_mm or 0.0
    if device.rotated:
        along, across = across, along
    return Thing(
        key, device.id, part.part, device.x_mm, device.y_mm, along, across, part.height_mm,
        obstacle=False,
    )  # fmt: skip


def _letters(n: int) -> str:
    """A to Z, then A1 to Z1, and so on."""
    again, letter = divmod(n, 26)
    return chr(ord("A") + letter) + (str(again) if again else "")


# -- the table under the drawing


def _entries(
    needs: Needs, place: Place, ways: Sequence[Passage], bored: dict[str, Hole]
) -> list[str]:
    """Where cables come in: a text a leg that some cable of the kit takes."""
    found = []
    for way in ways:
        leg = way.leg
        if not way.cuts or place.name not in (leg.from_, leg.to):
            continue
        other = leg.to if leg.from_ == place.name else leg.from_
        through = ""
        hole = hole_of(leg)
        if hole is not None:
            through = f"; hole {hole}: {_bore(bored[hole], needs.job.units)}"
        elif leg.conduit is not None:
            through = f"; conduit {leg.conduit}"
        labels = ", ".join(c.label for c in way.cuts)
        far = measure_text(leg.length_m, "m", needs.job.units)
        found.append(f"to {other}, {far}{through}; {labels}")
    return found


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


def _loose(place: Place, design: Design) -> str:
    """Protection that is in a place and for which no spot is computed."""
    here = [p for p in design.protections if p.place == place.name]
    ids = dict.fromkeys(p.id if p.way is None else p.id.rpartition(":")[0] for p in here)
    return f"not drawn, find room near their sources: {', '.join(ids)}" if ids else ""


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
    needs: Needs, design: Design, place: Place, entries: Sequence[str], invented: bool
) -> list[Page]:
    units = needs.job.units
    things = things_in(place, design)
    remarks = [*_kept_free(place, design, units), _loose(place, design)]
    rows = _rows(things, entries, [text for text in remarks if text], units)
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
    _draw(page, place, things, len(entries), scale, units)
    _table(page, first, HEIGHT_MM - EDGE_MM - STRIP_MM - table_mm, deep)
    pages = [page]
    for some in further:
        pages.append(blank())
        _table(pages[-1], some, EDGE_MM + 4, per_page // 2)
    facts = _facts(place, scale, units, bool(entries))
    for n, one in enumerate(pages, start=1):
        plate = Plate(needs.job, f"Place: {place.name}", facts, n, len(pages), invented)
        furnish(one, plate)
    return pages


def _facts(place: Place, scale: int, units: str, entered: bool) -> tuple[str, ...]:
    facts = [f"scale 1:{scale} on A4; {unit_text(units)}"]
    if place.height_mm is not None:
        facts.append(f"free height {length_text(place.height_mm, units)}")
    facts.append("x and y of a thing: its nearest corner from the corner marked 0")
    if place.margin_mm:
        margin = length_text(place.margin_mm, units)
        facts.append(f"dash-dotted: margin of {margin}, kept free; hatched: obstacles")
    elif place.obstacles:
        facts.append("hatched: obstacles")
    if entered:
        facts.append("E: cables come in here or where it suits; the place of a hole is yours")
    return tuple(facts)


def _draw(
    page: Page, place: Place, things: Sequence[Thing], entries: int, scale: int, units: str
) -> None:
    wide, high = place.length_mm / scale, place.width_mm / scale
    spare = WIDTH_MM - 2 * EDGE_MM - LEFT_MM - 8 - wide
    left, top = EDGE_MM + LEFT_MM + spare / 2, EDGE_MM + ENTRY_MM + 2
    box = Box(left, top, left + wide, top + high)
    page.lines.append(Stroke(corners(box), "bold", closed=True))
    margin = _margin(page, box, place.margin_mm / scale)
    _things_drawn(page, box, [(t, _face(box, t, scale)) for t in things], margin, units)
    _entry_marks(page, box, entries)
    xs = _marks([(t.x_mm, t.along_mm) for t in things], place.length_mm, units)
    ys = _marks([(t.y_mm, t.across_mm) for t in things], place.width_mm, units)
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
        stroke = Stroke(corners(face), closed=True)
        page.symbols.append(Symbol(kind="front", id=thing.name, box=face, strokes=(stroke,)))
    by_text = {length_text(rises, units): rises for rises in sorted(tops)}
    marks = [(box.bottom_mm - rises / scale, text) for text, rises in reversed(by_text.items())]
    marks.append((box.bottom_mm, "0"))
    dimension_left(page, box, marks, length_text(height, units))
    free = length_text(height - max(tops, default=0.0), units)
    text = f"front, seen along y: {free} free under the lid"
    page.write((box.left_mm, top - 3.6), [text], SMALL_MM)


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
    return _within(face, box) if thing.obstacle else face


def _things_drawn(
    page: Page,
    box: Box,
    faces: Sequence[tuple[Thing, Box]],
    margin: Box | None,
    units: str,
) -> None:
    shown = [(t, f) for t, f in faces if f.left_mm < f.right_mm and f.top_mm < f.bottom_mm]
    labels = []
    for n, (thing, face) in enumerate(shown):
        others = [f for k, (_, f) in enumerate(shown) if k != n]
        labels.append(_label(face, thing, units, others, margin))
    gaps = [_label_box(f, label) for (_, f), label in zip(shown, labels, strict=True)]
    for (thing, face), label in zip(shown, labels, strict=True):
        strokes = [Stroke(corners(face), closed=True)]
        if thing.obstacle:
            strokes += hatched(face, [gap for gap in gaps if gap is not None])
        kind = "obstacle" if thing.obstacle else "device"
        page.symbols.append(Symbol(kind=kind, id=thing.name, box=face, strokes=tuple(strokes)))
        _write_label(page, face, label)


def _within(one: Box, other: Box) -> Box:
    return Box(
        max(one.left_mm, other.left_mm),
        max(one.top_mm, other.top_mm),
        min(one.right_mm, other.right_mm),
        min(one.bottom_mm, other.bottom_mm),
    )


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
        ((thing.key,), TEXT_MM),
        # A thing too small even for this has its key in the table alone.
        ((thing.key,), 1.8),
        ((thing.key,), 1.5),
    ]
    for lines, high_mm in tried:
        spare = 0.0 if high_mm == TEXT_MM else 1.4
        fits = height_mm(len(lines), high_mm) <= high + spare and all(
            width_mm(line, high_mm, bold=n == 0) <= wide + spare for n, line in enumerate(lines)
        )
        if fits and _is_clear(_label_box(face, (lines, high_mm)), others, margin):
            return lines, high_mm
    return (), TEXT_MM


def _is_clear(label: Box | None, others: Sequence[Box], margin: Box | None) -> bool:
    """Whether no other thing and not the margin's line runs through a label."""
    if label is None:
        return True
    if any(label.overlaps(other) for other in others):
        return False
    if margin is None:
        return True
    inside = _within(label, margin) == label
    return inside or not label.overlaps(margin)


def _label_box(face: Box, label: Label) -> Box | None:
    lines, size = label
    if not lines:
        return None
    wide = max(width_mm(line, size, bold=n == 0) for n, line in enumerate(lines)) / 2 + 0.4
    high = height_mm(len(lines), size) / 2 + 0.3
    x, y = _middle(face)
    return Box(x - wide, y - high, x + wide, y + high)


def _write_label(page: Page, face: Box, label: Label) -> None:
    lines, size = label
    x, y = _middle(face)
    top = y - height_mm(len(lines), size) / 2
    for n, line in enumerate(lines):
        at = (x - width_mm(line, size, bold=n == 0) / 2, top + n * 1.22 * size)
        page.write(at, [line], size, bold=1 if n == 0 else 0)


def _middle(box: Box) -> Point:
    return (box.left_mm + box.right_mm) / 2, (box.top_mm + box.bottom_mm) / 2


def _entry_marks(page: Page, box: Box, entries: int) -> None:
    """Arrows on the upper edge, evenly spaced: where cables come in is not stated."""
    wide = box.right_mm - box.left_mm
    tips = [box.left_mm + wide * (n + 0.5) / entries for n in range(entries)]
    texts = [f"E{n + 1}" for n in range(entries)]
    room = [width_mm(text, SMALL_MM) + 2 for text in texts]
    starts = spread(tips, room, box.left_mm - 3, page.width_mm - EDGE_MM - 2)
    for tip, start, text in zip(tips, starts, texts, strict=True):
        foot, head = box.top_mm - 0.6, box.top_mm - 4.6
        page.lines.append(Stroke(((start, head), (tip, foot - 1.4))))
        arrow = ((tip, foot), (tip - 0.8, foot - 1.6), (tip + 0.8, foot - 1.6))
        page.lines.append(Stroke(arrow, closed=True, filled=True))
        page.write((start - width_mm(text, SMALL_MM) / 2, head - 2.6), [text], SMALL_MM)
