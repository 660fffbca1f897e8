"""What must hold on every page drawn to scale: measured by boxes, told in plain words."""

from __future__ import annotations

import itertools
import math

import numpy as np

from bom.drawings.page import Box
from bom.drawings.plate import EDGE_MM, strip_top_mm

TOUCH_MM = 0.05


def faults(page):
    """Every fault of one page: text over text, over a line or a ring; what stands outside."""
    return [*_outside(page), *_text_over_text(page), *_text_over_lines(page)]


def _outside(page):
    frame = Box(EDGE_MM, EDGE_MM, page.width_mm - EDGE_MM, page.height_mm - EDGE_MM)
    above = Box(EDGE_MM, EDGE_MM, frame.right_mm, strip_top_mm(page))
    for text in page.texts:
        limit = frame if text.at[1] > above.bottom_mm else above
        if not _holds(limit, text.box):
            yield f"text {text.text!r} stands outside"
    for symbol in page.symbols:
        if not _holds(above, symbol.box):
            yield f"{symbol.kind} {symbol.id} stands outside"


def _holds(outer, inner):
    return (
        outer.left_mm - TOUCH_MM <= inner.left_mm
        and outer.top_mm - TOUCH_MM <= inner.top_mm
        and inner.right_mm <= outer.right_mm + TOUCH_MM
        and inner.bottom_mm <= outer.bottom_mm + TOUCH_MM
    )


def _text_over_text(page):
    sides = [(t.box.left_mm, t.box.top_mm, t.box.right_mm, t.box.bottom_mm) for t in page.texts]
    left, top, right, bottom = np.array(sides or [(0.0,) * 4]).T
    over = (left[:, None] < right - 1e-6) & (left < right[:, None] - 1e-6)
    over &= (top[:, None] < bottom - 1e-6) & (top < bottom[:, None] - 1e-6)
    for i, j in np.argwhere(np.triu(over, 1)).tolist():
        yield f"text {page.texts[i].text!r} over text {page.texts[j].text!r}"


def _text_over_lines(page):
    pieces = np.array(
        [
            (*a, *b)
            for line in page.strokes()
            for a, b in itertools.pairwise(
                [*line.points, line.points[0]] if line.closed else line.points
            )
        ]
        or [(0.0,) * 4]
    )
    rings = [(c.at, c.radius_mm) for c in page.circles()]
    for text in page.texts:
        box = text.box
        if _crossed(box, pieces).any():
            yield f"text {text.text!r} over a line"
        for at, radius in rings:
            near, far = _distances(box, at)
            if near < radius - TOUCH_MM and far > radius + TOUCH_MM:
                yield f"text {text.text!r} over a ring"


def _crossed(box, pieces):
    """Which straight pieces pass through a box: by clipping each against its four sides."""
    x0, y0, x1, y1 = pieces.T
    enter, leave = np.zeros(len(pieces)), np.ones(len(pieces))
    good = np.ones(len(pieces), dtype=bool)
    for start, end, low, high in (
        (x0, x1, box.left_mm, box.right_mm),
        (y0, y1, box.top_mm, box.bottom_mm),
    ):
        step = end - start
        level = np.abs(step) < 1e-12
        good &= ~level | ((start > low + 1e-6) & (start < high - 1e-6))
        safe = np.where(level, 1.0, step)
        a, b = (low - start) / safe, (high - start) / safe
        enter = np.where(level, enter, np.maximum(enter, np.minimum(a, b)))
        leave = np.where(level, leave, np.minimum(leave, np.maximum(a, b)))
    length = np.hypot(x1 - x0, y1 - y0)
    return good & ((leave - enter) * length > TOUCH_MM)


def _distances(box, at):
    """From a point to the nearest and to the farthest point of a box."""
    x, y = at
    near = math.hypot(
        max(box.left_mm - x, 0, x - box.right_mm), max(box.top_mm - y, 0, y - box.bottom_mm)
    )
    far = math.hypot(
        max(abs(box.left_mm - x), abs(box.right_mm - x)),
        max(abs(box.top_mm - y), abs(box.bottom_mm - y)),
    )
    return near, far
