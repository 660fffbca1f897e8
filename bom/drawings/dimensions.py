"""Dimensions of a rectangle drawn to scale: running ones from its corner, and its two sides."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count
from typing import NamedTuple

from bom.drawings.lettering import ASCENT, DESCENT, LEADING, height_mm, width_mm
from bom.drawings.page import Box, Page, Point, Stroke
from bom.drawings.plate import EDGE_MM, SMALL_MM, put_right, spread

BELOW_MM, LEFT_MM = 15.0, 29.0
"""Room that the dimensions take under the rectangle and on its left."""
TICK_MM, SLANT_MM = 1.2, 3.2
OVER_MM = 9.0
"""How far over the rectangle a label on its left may stand."""
GAP_MM = 1.6
"""Between two labels."""

OVERALL = "over all"
"""What is said of a side of which only a part is drawn."""


class Mark(NamedTuple):
    """A running dimension."""

    at_mm: float
    """Where on the page."""
    text: str
    kept: bool = False
    """Whether it stands as long as there are others to go."""


class Sides(NamedTuple):
    """Length and width of a rectangle, as texts, and whether it ends where its drawing does."""

    length: str
    width: str
    ends_right: bool = True
    ends_above: bool = True


def dimension(
    page: Page, box: Box, xs: Sequence[Mark], ys: Sequence[Mark], sides: Sides
) -> None:
    """Write running dimensions under and beside a box, and its sides beyond them.

    Parameters
    ----------
    page : Page
    box : Box
        The rectangle, on the page.
    xs, ys : sequence of Mark
        Along the box's lower and left edge; rising along the page.
    sides : Sides
        Its length and its width.
    """
    _along(page, box, xs)
    side_below(page, box, sides.length, ends=sides.ends_right)
    dimension_left(page, box, ys, sides.width, ends=sides.ends_above)


def dimension_left(
    page: Page, box: Box, ys: Sequence[Mark], side: str, *, ends: bool = True
) -> None:
    """Write the running dimensions beside a box, and its upright side beyond them.

    `ends` tells whether the side ends where its drawing does.
    """
    _upright(page, box, ys)
    side_left(page, box, side, ends=ends)


def _along(page: Page, box: Box, marks: Sequence[Mark]) -> None:
    least, most = EDGE_MM + 3, page.width_mm - EDGE_MM - 3
    apart = [width_mm(mark.text, SMALL_MM) + GAP_MM for mark in marks]
    marks = _thinned(marks, apart, most - least)
    wide = [width_mm(mark.text, SMALL_MM) for mark in marks]
    middles = spread([mark.at_mm for mark in marks], [w + GAP_MM for w in wide], least, most)
    foot = box.bottom_mm
    for (at, text, _), middle, w in zip(marks, middles, wide, strict=True):
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
    middles = spread([mark.at_mm for mark in marks], [high] * len(marks), least, most)
    left = box.left_mm
    for (at, text, _), middle in zip(marks, middles, strict=True):
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
    """As many marks as find room, evenly left out: first those that are not kept, then those too.

    None is lost: the table has every position.
    """
    steps = [(n, 1) for n in range(1, len(marks) + 1)]
    steps += [(len(marks), n) for n in range(2, len(marks) + 1)]
    stays = [True] * len(marks)
    for loose, kept in steps:
        stays = _every(marks, loose, kept)
        if sum(a for a, stay in zip(apart, stays, strict=True) if stay) <= room:
            break
    return [mark for mark, stay in zip(marks, stays, strict=True) if stay]


def _every(marks: Sequence[Mark], loose: int, kept: int) -> list[bool]:
    """Which marks stay: of those that are not kept one in so many, and of those that are."""
    counts, step = {False: count(), True: count()}, {False: loose, True: kept}
    return [next(counts[mark.kept]) % step[mark.kept] == 0 for mark in marks]


SHORT_MM = 2.4
"""What a side is longer than its text where that stands within it."""


def side_below(
    page: Page, box: Box, text: str, *, ends: bool = True, off_mm: float = BELOW_MM - 3.4
) -> None:
    """The length of a box, so far under it; an arrow leads on where the thing is longer."""
    y = box.bottom_mm + off_mm
    text = text if ends else f"{text} {OVERALL}"
    wide = width_mm(text, SMALL_MM)
    middle = (box.left_mm + box.right_mm) / 2
    within = box.right_mm - box.left_mm > wide + 2 * SHORT_MM
    start = middle - wide / 2 if within else box.right_mm + 2.0
    gap = (start - 1, start + wide + 1) if within else (box.right_mm, box.right_mm)
    for a, b in ((box.left_mm, gap[0]), (gap[1], box.right_mm)):
        if b > a:
            page.lines.append(Stroke(((a, y), (b, y)), "hair"))
    for x in (box.left_mm, box.right_mm)[: 2 if ends else 1]:
        page.lines.append(Stroke(((x - 0.8, y + 0.8), (x + 0.8, y - 0.8)), "symbol"))
    if not ends:
        tip = (box.right_mm, y)
        page.lines.append(
            Stroke(((tip[0] - 1.8, y - 0.7), tip, (tip[0] - 1.8, y + 0.7)), "symbol")
        )
    page.write((start, y - SMALL_MM * (ASCENT + DESCENT) / 2), [text], SMALL_MM)


def side_left(
    page: Page, box: Box, text: str, *, ends: bool = True, off_mm: float = LEFT_MM - 8
) -> None:
    """The upright side of a box, so far to its left; an arrow leads on where it is higher."""
    x = box.left_mm - off_mm
    texts = [text] if ends else [text, OVERALL]
    high = height_mm(len(texts), SMALL_MM)
    within = box.bottom_mm - box.top_mm > high + 2 * SHORT_MM
    start = (box.top_mm + box.bottom_mm - high) / 2 if within else box.top_mm - high - 1.2
    gap = (start - 0.6, start + high + 0.6) if within else (box.top_mm, box.top_mm)
    for a, b in ((box.top_mm, gap[0]), (gap[1], box.bottom_mm)):
        if b > a:
            page.lines.append(Stroke(((x, a), (x, b)), "hair"))
    for y in (box.bottom_mm, box.top_mm)[: 2 if ends else 1]:
        page.lines.append(Stroke(((x - 0.8, y + 0.8), (x + 0.8, y - 0.8)), "symbol"))
    if not ends:
        tip = (x, box.top_mm)
        page.lines.append(
            Stroke(((x - 0.7, tip[1] + 1.8), tip, (x + 0.7, tip[1] + 1.8)), "symbol")
        )
    for n, line in enumerate(texts):
        at = (x - width_mm(line, SMALL_MM) / 2, start + n * LEADING * SMALL_MM)
        page.write(at, [line], SMALL_MM)
