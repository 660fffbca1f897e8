"""The key plan: the whole of a place in small, beside the part of it that is drawn large."""

from __future__ import annotations

from collections.abc import Sequence

from bom.drawings.dimensions import side_below, side_left
from bom.drawings.hatching import hatched
from bom.drawings.keys import edges, middle, within, write_beside
from bom.drawings.lettering import height_mm, width_mm, wrap
from bom.drawings.page import Box, Page, Stroke, Symbol, corners
from bom.drawings.place_table import Thing, front_face, plan_face
from bom.drawings.plate import EDGE_MM, SMALL_MM, length_text
from bom.drawings.windows import (
    KEY_BELOW_MM,
    KEY_BETWEEN_MM,
    KEY_LEAST_MM,
    KEY_LEFT_MM,
    Window,
)

UPRIGHT_MM = 8.0
"""A side shorter than this has no room for its dimension."""
OFF_MM = 4.0
"""From its edges to its dimensions."""


def draw_key_plan(
    page: Page, at: tuple[float, float], window: Window, things: Sequence[Thing], units: str
) -> Box:
    """Draw the whole place with its upper left corner at a point; the box of its plan."""
    place, scale = window.place, window.key_scale
    assert scale is not None, place.name
    (left, top), right = at, at[0] + place.length_mm / scale
    box = Box(left, top, right, top + place.width_mm / scale)
    part = _outline(page, box, window.along_mm / scale, window.across_mm / scale)
    _things(page, box, part, [t for t in things if t.kind != "fuse"], scale)
    _upright(page, box, length_text(place.width_mm, units))
    foot = box
    if place.height_mm is not None:
        start = box.bottom_mm + KEY_BETWEEN_MM
        foot = Box(left, start, right, start + place.height_mm / scale)
        _outline(page, foot, window.along_mm / scale, (window.rises_mm or 0.0) / scale)
        _fronts(page, foot, things, scale)
        _upright(page, foot, length_text(place.height_mm, units))
    side_below(page, foot, length_text(place.length_mm, units), off_mm=OFF_MM)
    _caption(page, foot, window)
    return box


def _outline(page: Page, box: Box, along: float, up: float) -> Box:
    """The place, and in it the part that is drawn large, whose box is given back."""
    page.lines.append(Stroke(corners(box), "symbol", closed=True))
    part = Box(box.left_mm, box.bottom_mm - up, box.left_mm + along, box.bottom_mm)
    inside = []
    if part.top_mm > box.top_mm + 1e-6:
        inside.append((part.left_mm, part.top_mm))
    inside.append((min(part.right_mm, box.right_mm), part.top_mm))
    if part.right_mm < box.right_mm - 1e-6:
        inside.append((part.right_mm, part.bottom_mm))
    if len(inside) > 1:
        page.lines.append(Stroke(tuple(inside), "dashed"))
    return part


def _upright(page: Page, box: Box, text: str) -> None:
    """An upright side, where there is room for it; beside the part drawn large it stands anyway."""
    if box.bottom_mm - box.top_mm > UPRIGHT_MM:
        side_left(page, box, text, off_mm=OFF_MM + 1)


def _things(page: Page, box: Box, part: Box, things: Sequence[Thing], scale: int) -> None:
    """Devices as bare outlines, obstacles hatched; by their letters if they are only here."""
    faces = []
    for thing in things:
        face = within(plan_face(box, thing, scale), box)
        if face.left_mm < face.right_mm and face.top_mm < face.bottom_mm:
            faces.append((thing, face))
    for thing, face in faces:
        only_here = thing.kind == "obstacle" and not face.overlaps(part)
        label = _label(face, thing.key) if only_here else None
        strokes = [Stroke(corners(face), "hair", closed=True)]
        if thing.kind == "obstacle":
            strokes += hatched(face, [] if label is None else [label])
        page.symbols.append(
            Symbol(kind="whole", id=thing.name, box=face, strokes=tuple(strokes))
        )
        if label is not None and _is_alone(label, [f for t, f in faces if t != thing]):
            page.write((label.left_mm + 0.3, label.top_mm + 0.2), [thing.key], SMALL_MM, bold=1)
        elif only_here:
            write_beside(page, box, face, thing.key, [*(f for _, f in faces), *edges(part)])


def _label(face: Box, key: str) -> Box | None:
    """Room for a key in the middle of a face; None where it has none."""
    wide, high = width_mm(key, SMALL_MM, bold=True) / 2 + 0.3, height_mm(1, SMALL_MM) / 2 + 0.2
    x, y = middle(face)
    box = Box(x - wide, y - high, x + wide, y + high)
    return box if within(box, face) == box else None


def _is_alone(label: Box, others: Sequence[Box]) -> bool:
    return not any(label.overlaps(other) for other in others)


def _fronts(page: Page, box: Box, things: Sequence[Thing], scale: int) -> None:
    for thing in things:
        if thing.kind != "device" or thing.rises_mm is None:
            continue
        face = front_face(box, thing, thing.rises_mm, scale)
        stroke = Stroke(corners(face), "hair", closed=True)
        page.symbols.append(
            Symbol(kind="whole front", id=thing.name, box=face, strokes=(stroke,))
        )


def _caption(page: Page, foot: Box, window: Window) -> None:
    views = ": plan, under it front" if window.place.height_mm is not None else ""
    told = [f"key plan 1:{window.key_scale}, the whole{views}", "dashed: the part drawn large"]
    left = foot.left_mm - KEY_LEFT_MM + 1
    most = page.width_mm - EDGE_MM - 2 - left
    y = foot.bottom_mm + KEY_BELOW_MM
    lines = [line for text in told for line in wrap(text, max(most, KEY_LEAST_MM), SMALL_MM)]
    page.write((left, y), lines, SMALL_MM)
