"""A window of a place on the page: its edges, what stands in it, its holes, its dimensions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bom.drawings.broken_edges import ZAG_MM, edge_lines, frame
from bom.drawings.dimensions import BELOW_MM, Mark, Sides, dimension, dimension_left
from bom.drawings.entry_marks import EntryMark
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
from bom.drawings.lettering import LEADING, height_mm, shortened, width_mm, wrap
from bom.drawings.page import Box, Circle, Page, Point, Stroke, Symbol, corners
from bom.drawings.place_table import Thing, front_face, plan_face
from bom.drawings.plate import EDGE_MM, SMALL_MM, TEXT_MM, length_text
from bom.drawings.windows import FRONT_MM, Window

MOST_MARKS = 16
"""With more different edges only the nearest one of each thing gets a dimension."""
KEYS_MM = 12.0
"""Of a dimension of holes, as wide as finds room beside the place."""
CROSS_MM = 0.8
"""How far its cross sticks out of the ring of an entry."""
LEAST_RING_MM = 1.2
"""On paper: a hole smaller than this is drawn as large."""


def draw_window(
    page: Page,
    at: tuple[float, float],
    window: Window,
    things: Sequence[Thing],
    entries: Sequence[EntryMark],
    units: str,
) -> Box:
    """Draw a part of a place with its upper left corner at a point, and a locker's front under it."""
    left, top = at
    scale, place = window.scale, window.place
    box = Box(left, top, left + window.wide_mm, top + window.across_mm / scale)
    ends = (window.ends_right, window.ends_above)
    zigzags = frame(page, box, ends)
    margin = _margin(page, window, box)
    rings = _rings(box, entries, scale)
    faces = [(t, _face(box, t, scale)) for t in things]
    barred = [*(ring for _, ring in rings), *zigzags]
    # Rings first: leaders of things keep off what is written already.
    _rings_drawn(page, box, rings, [*(f for _, f in faces), *zigzags], margin)
    _things_drawn(page, box, faces, margin, barred, units)
    # Spots of fuses are proposals: the table has their corners.
    fixed = [t for t in things if t.kind != "fuse"]
    xs = _marks([(t.x_mm, t.along_mm) for t in fixed], window.along_mm, units)
    ys = _marks([(t.y_mm, t.across_mm) for t in fixed], window.across_mm, units)
    xs += _hole_marks(entries, 0, units)
    ys += _hole_marks(entries, 1, units)
    dimension(
        page,
        box,
        sorted(Mark(box.left_mm + m.at_mm / scale, m.text, m.kept) for m in xs),
        sorted(Mark(box.bottom_mm - m.at_mm / scale, m.text, m.kept) for m in ys),
        Sides(length_text(place.length_mm, units), length_text(place.width_mm, units), *ends),
    )
    if place.height_mm is not None:
        _front(page, box, window, things, units)
    return box


def _front(page: Page, plan: Box, window: Window, things: Sequence[Thing], units: str) -> None:
    """What stands in a locker seen along y, straight under its plan; x is that of the plan."""
    scale, height, shown = window.scale, window.place.height_mm, window.rises_mm
    assert height is not None, window.place.name
    assert shown is not None, window.place.name
    top = plan.bottom_mm + BELOW_MM + FRONT_MM - 4
    box = Box(plan.left_mm, top, plan.right_mm, top + shown / scale)
    frame(page, box, (window.ends_right, window.ends_under_lid))
    tops = set()
    faces: dict[Box, list[Thing]] = {}
    for thing in things:
        if thing.rises_mm is None:
            continue
        face = front_face(box, thing, thing.rises_mm, scale)
        tops.add(thing.rises_mm)
        faces.setdefault(face, []).append(thing)
        stroke = Stroke(corners(face), _line_of(thing), closed=True)
        page.symbols.append(Symbol(kind="front", id=thing.name, box=face, strokes=(stroke,)))
    _front_keys(page, faces)
    by_text = {length_text(rises, units): rises for rises in sorted(tops)}
    marks = [
        Mark(box.bottom_mm - rises / scale, text) for text, rises in reversed(by_text.items())
    ]
    marks.append(Mark(box.bottom_mm, "0"))
    dimension_left(page, box, marks, length_text(height, units), ends=window.ends_under_lid)
    free = length_text(height - max(tops, default=0.0), units)
    text = f"front, seen along y, with what stands behind: {free} free under the lid"
    left = min(box.left_mm, page.width_mm - EDGE_MM - 2 - width_mm(text, SMALL_MM))
    over = 3.6 if window.ends_under_lid else 3.6 + ZAG_MM
    page.write((left, top - over), [text], SMALL_MM)


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
    return [Mark(0.0, "0"), *(Mark(x, text) for text, x in by_text.items())]


def _hole_marks(entries: Sequence[EntryMark], axis: int, units: str) -> list[Mark]:
    """Middles of holes from an edge of the face, by their keys: one mark for each figure."""
    by_figure: dict[str, list[tuple[float, str]]] = {}
    for e in entries:
        if e.at_mm is not None:
            figure = length_text(e.at_mm[axis], units)
            by_figure.setdefault(figure, []).append((e.at_mm[axis], e.key))
    return [
        Mark(some[0][0], _keyed([key for _, key in some], figure), kept=True)
        for figure, some in by_figure.items()
    ]


def _keyed(keys: Sequence[str], figure: str) -> str:
    """A figure after the keys that it holds for; where they are too wide, after the first of them."""
    text = f"{', '.join(_runs(keys))}: {figure}"
    return text if width_mm(text, SMALL_MM) <= KEYS_MM else f"{keys[0]}...: {figure}"


def _runs(keys: Sequence[str]) -> list[str]:
    """Keys in their order, those that follow each other as one: `H1-H3`, `H5`."""
    ordered = sorted(dict.fromkeys(keys), key=lambda key: (key[:1], int(key[1:])))
    runs: list[list[str]] = []
    for key in ordered:
        last = runs[-1][-1] if runs else ""
        if last and key == f"{last[:1]}{int(last[1:]) + 1}":
            runs[-1].append(key)
        else:
            runs.append([key])
    return [f"{run[0]}-{run[-1]}" if len(run) > 2 else ", ".join(run) for run in runs]


def _margin(page: Page, window: Window, box: Box) -> Box | None:
    """Draw what the margin leaves; None where there is none, or nothing is left."""
    place = window.place
    margin = place.margin_mm / window.scale
    if not margin or 2 * place.margin_mm >= min(place.length_mm, place.width_mm):
        return None
    inner = Box(
        box.left_mm + margin,
        box.top_mm + (margin if window.ends_above else 0.0),
        box.right_mm - (margin if window.ends_right else 0.0),
        box.bottom_mm - margin,
    )
    page.lines.append(edge_lines(inner, (window.ends_right, window.ends_above), "outline"))
    return inner


def _face(box: Box, thing: Thing, scale: int) -> Box:
    """Where a thing lies on the page; of an obstacle only what lies in its place."""
    face = plan_face(box, thing, scale)
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
        if not label[0] and not _beside(page, box, face, thing, barred, rings)
    ]
    for thing, face in small:
        others = [*(f for _, f in shown if f is not face), *rings]
        write_led(page, box, face, thing.key, others, edges(margin))


def _beside(
    page: Page,
    box: Box,
    face: Box,
    thing: Thing,
    barred: Sequence[Box],
    rings: Sequence[Box],
) -> bool:
    """Its key beside a thing; with its name where a hole in it took the room for that."""
    holed = any(within(ring, face) == ring for ring in rings)
    texts = [f"{thing.key}  {thing.name}", thing.key] if holed else [thing.key]
    return any(write_beside(page, box, face, text, barred) for text in texts)


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
        at = (x - width_mm(line, size, bold=n == 0) / 2, top + n * LEADING * size)
        page.write(at, [line], size, bold=1 if n == 0 else 0)


def _rings(box: Box, entries: Sequence[EntryMark], scale: int) -> list[tuple[EntryMark, Box]]:
    """Where entries with a position lie on the page."""
    found = []
    for entry in entries:
        if entry.at_mm is None:
            continue
        x = box.left_mm + entry.at_mm[0] / scale
        y = box.bottom_mm - entry.at_mm[1] / scale
        r = max(entry.bore_mm / scale / 2, LEAST_RING_MM) + CROSS_MM
        found.append((entry, Box(x - r, y - r, x + r, y + r)))
    return found


def _rings_drawn(
    page: Page,
    box: Box,
    rings: Sequence[tuple[EntryMark, Box]],
    faces: Sequence[Box],
    margin: Box | None,
) -> None:
    """A ring with a cross, and its key beside it where that finds room; else in the table alone."""
    barred = [*faces, *(ring for _, ring in rings), *edges(margin)]
    for entry, ring in rings:
        x, y = middle(ring)
        r = x - ring.left_mm
        cross = (
            Stroke(((x - r, y), (x + r, y)), "hair"),
            Stroke(((x, y - r), (x, y + r)), "hair"),
        )
        circle = Circle((x, y), r - CROSS_MM)
        page.symbols.append(
            Symbol(kind="entry", id=entry.key, box=ring, strokes=cross, circles=(circle,))
        )
        # The opening of an inlet lies in the inlet: its key stands beside that.
        around = next((f for f in faces if within(ring, f) == ring), ring)
        for text in filter(None, (entry.label, entry.key)):
            if write_where_free(page, box, _about(around, text), text, SMALL_MM, barred):
                break


def _about(box: Box, text: str) -> list[Point]:
    """Corners of a text around a box: at its corners, then at its sides."""
    wide, high = width_mm(text, SMALL_MM, bold=True), height_mm(1, SMALL_MM)
    (x, y), off = middle(box), 0.3
    above, below = box.top_mm - off - high, box.bottom_mm + off
    right, left = box.right_mm + off, box.left_mm - off - wide
    tilted = [(at, top) for top in (above, below) for at in (right, left)]
    beside = [(at, y - high / 2) for at in (right, left)]
    return [*tilted, *((x - wide / 2, top) for top in (above, below)), *beside]
