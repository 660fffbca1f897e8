"""Dimensions of a rectangle drawn to scale: running ones from its corner, and its two sides."""

from __future__ import annotations

from collections.abc import Sequence

from bom.drawings.lettering import ASCENT, DESCENT, width_mm
from bom.drawings.page import Box, Page, Point, Stroke
from bom.drawings.plate import EDGE_MM, SMALL_MM, put_right, spread

BELOW_MM, LEFT_MM = 15.0, 29.0
"""Room that the dimensions take under the rectangle and on its left."""
TICK_MM, SLANT_MM = 1.2, 3.2
OVER_MM = 9.0
"""How far over the rectangle a label on its left may stand."""
GAP_MM = 1.6
"""Between two labels."""

Mark = tuple[float, str]
"""Where on the page, and what is written there."""


def dimension(
    page: Page, box: Box, xs: Sequence[Mark], ys: Sequence[Mark], sides: tuple[str, str]
) -> None:
    """Write running dimensions under and beside a box, and its sides beyond them.

    Parameters
    ----------
    page : Page
    box : Box
        The rectangle, on the page.
    xs, ys : sequence of pairs
        Where along the box's lower and left edge, and the text; rising along the page.
    sides : pair of str
        Its length and its width, as texts.
    """
    _along(page, box, xs)
    _side_below(page, box, sides[0])
    dimension_left(page, box, ys, sides[1])


def dimension_left(page: Page, box: Box, ys: Sequence[Mark], side: str) -> None:
    """Write the running dimensions beside a box, and its upright side beyond them."""
    _upright(page, box, ys)
    _side_left(page, box, side)


def _along(page: Page, box: Box, marks: Sequence[Mark]) -> None:
    least, most = EDGE_MM + 3, page.width_mm - EDGE_MM - 3
    marks = _thinned(
        marks, [width_mm(text, SMALL_MM) + GAP_MM for _, text in marks], most - least
    )
    wide = [width_mm(text, SMALL_MM) for _, text in marks]
    middles = spread([at for at, _ in marks], [w + GAP_MM for w in wide], least, most)
    foot = box.bottom_mm
    for (at, text), middle, w in zip(marks, middles, wide, strict=True):
        points: tuple[Point, ...] = (
            (at, foot + 0.4),
            (at, foot + TICK_MM),
            (middle, foot + SLANT_MM),
            (middle, foot + SLANT_MM + 0.6),
        )
        page.lines.append(Stroke(points, "hair"))
        page.write((middle - w / 2, foot + SLANT_MM + 1.0), [text], SMALL_MM)


def _upright(page: Page, box: Box, marks: Sequence[Mark]) -> None:
    high = SMALL_MM * (ASCENT + DESCENT) + 0.5
    # As far over the box as may be where there are many, but not into what stands over it.
    least, most = max(EDGE_MM + 2, box.top_mm - OVER_MM), box.bottom_mm + 0.6
    marks = _thinned(marks, [high] * len(marks), most - least)
    middles = spread([at for at, _ in marks], [high] * len(marks), least, most)
    left = box.left_mm
    for (at, text), middle in zip(marks, middles, strict=True):
        points: tuple[Point, ...] = (
            (left - 0.4, at),
            (left - TICK_MM, at),
            (left - SLANT_MM, middle),
            (left - SLANT_MM - 0.6, middle),
        )
        page.lines.append(Stroke(points, "hair"))
        top = middle - SMALL_MM * (ASCENT + DESCENT) / 2
        put_right(page, (left - SLANT_MM - 1.0, top), text)


def _thinned(marks: Sequence[Mark], apart: Sequence[float], room: float) -> Sequence[Mark]:
    """As many marks as find room, evenly left out; the table has them all."""
    every = 1
    while sum(apart[::every]) > room:
        every += 1
    return marks[::every]


SHORT_MM = 2.4
"""What a side is longer than its text where that stands within it."""


def _side_below(page: Page, box: Box, text: str) -> None:
    y = box.bottom_mm + BELOW_MM - 3.4
    wide = width_mm(text, SMALL_MM)
    middle = (box.left_mm + box.right_mm) / 2
    within = box.right_mm - box.left_mm > wide + 2 * SHORT_MM
    start = middle - wide / 2 if within else box.right_mm + 2.0
    gap = (start - 1, start + wide + 1) if within else (box.right_mm, box.right_mm)
    for a, b in ((box.left_mm, gap[0]), (gap[1], box.right_mm)):
        if b > a:
            page.lines.append(Stroke(((a, y), (b, y)), "hair"))
    for x in (box.left_mm, box.right_mm):
        page.lines.append(Stroke(((x - 0.8, y + 0.8), (x + 0.8, y - 0.8)), "symbol"))
    page.write((start, y - SMALL_MM * (ASCENT + DESCENT) / 2), [text], SMALL_MM)


def _side_left(page: Page, box: Box, text: str) -> None:
    x = box.left_mm - LEFT_MM + 8
    high = SMALL_MM * (ASCENT + DESCENT)
    within = box.bottom_mm - box.top_mm > high + 2 * SHORT_MM
    start = (box.top_mm + box.bottom_mm - high) / 2 if within else box.top_mm - high - 1.2
    gap = (start - 0.6, start + high + 0.6) if within else (box.top_mm, box.top_mm)
    for a, b in ((box.top_mm, gap[0]), (gap[1], box.bottom_mm)):
        if b > a:
            page.lines.append(Stroke(((x, a), (x, b)), "hair"))
    for y in (box.top_mm, box.bottom_mm):
        page.lines.append(Stroke(((x - 0.8, y + 0.8), (x + 0.8, y - 0.8)), "symbol"))
    page.write((x - width_mm(text, SMALL_MM) / 2, start), [text], SMALL_MM)
