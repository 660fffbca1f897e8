"""Keys of things on a sheet drawn to scale: inside them, beside them, or at the end of a leader."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from bom.drawings.lettering import height_mm, width_mm
from bom.drawings.page import Box, Page, Point, Stroke
from bom.drawings.plate import SMALL_MM

BESIDE_SIZES_MM = (1.8, 1.5)
LEADER_SIZE_MM = 1.8
LEADERS_MM = tuple(2.0 + 1.5 * n for n in range(20))
"""How long leaders are tried, the shortest first."""
DIRECTIONS = 24
"""In so many directions each."""
PAD_MM = 0.7
"""From the edge of a thing to the key within it."""


def within(one: Box, other: Box) -> Box:
    """What two boxes share; of less than nothing where they are apart."""
    return Box(
        max(one.left_mm, other.left_mm),
        max(one.top_mm, other.top_mm),
        min(one.right_mm, other.right_mm),
        min(one.bottom_mm, other.bottom_mm),
    )


def is_clear(label: Box | None, others: Sequence[Box], margin: Box | None) -> bool:
    """Whether no other thing and not the margin's line runs through a label."""
    if label is None:
        return True
    if any(label.overlaps(other) for other in others):
        return False
    if margin is None:
        return True
    inside = within(label, margin) == label
    return inside or not label.overlaps(margin)


def middle(box: Box) -> Point:
    """Of a box."""
    return (box.left_mm + box.right_mm) / 2, (box.top_mm + box.bottom_mm) / 2


def edges(box: Box | None) -> list[Box]:
    """The lines around a box, as boxes without extent; none of None."""
    if box is None:
        return []
    return [
        Box(box.left_mm, box.top_mm, box.right_mm, box.top_mm),
        Box(box.left_mm, box.bottom_mm, box.right_mm, box.bottom_mm),
        Box(box.left_mm, box.top_mm, box.left_mm, box.bottom_mm),
        Box(box.right_mm, box.top_mm, box.right_mm, box.bottom_mm),
    ]


def write_where_free(
    page: Page,
    box: Box,
    corners_mm: Sequence[Point],
    key: str,
    size_mm: float,
    barred: Sequence[Box],
) -> Box | None:
    """A key at the first of some corners where it lies over nothing; None where none is free."""
    wide, high = width_mm(key, size_mm, bold=True), height_mm(1, size_mm)
    for left, top in corners_mm:
        label = Box(left - 0.2, top - 0.1, left + wide + 0.2, top + high + 0.1)
        written = [t.box for t in page.texts]
        if within(label, box) == label and is_clear(label, [*barred, *written], None):
            page.write((left, top), [key], size_mm, bold=1)
            return label
    return None


def write_beside(page: Page, box: Box, face: Box, key: str, barred: Sequence[Box]) -> bool:
    """The key of a thing too small for it, where one side of it is free."""
    x, y = middle(face)
    for size in BESIDE_SIZES_MM:
        wide, high = width_mm(key, size, bold=True), height_mm(1, size)
        right, left = face.right_mm + 0.4, face.left_mm - 0.4 - wide
        above, below = face.top_mm - 0.3 - high, face.bottom_mm + 0.3
        corners_mm = [
            (right, y - high / 2),
            (left, y - high / 2),
            *((at, y_mm) for y_mm in (above, below) for at in (x - wide / 2, left, right)),
        ]
        if write_where_free(page, box, corners_mm, key, size, barred) is not None:
            return True
    return False


def write_led(
    page: Page,
    box: Box,
    face: Box,
    key: str,
    others: Sequence[Box],
    lines: Sequence[Box],
) -> bool:
    """A key farther away, joined to its thing by a thin straight leader that crosses no other.

    Parameters
    ----------
    page : Page
    box : Box
        What the key must lie in.
    face : Box
        The thing.
    key : str
    others : sequence of Box
        Other things, which neither key nor leader may touch.
    lines : sequence of Box
        Lines that a leader may cross, but a key may not.
    """
    wide = width_mm(key, LEADER_SIZE_MM, bold=True)
    high = height_mm(1, LEADER_SIZE_MM)
    leaders = [
        s for s in page.lines if s.look == "hair" and len(s.points) == 2 and not s.closed
    ]
    for x, y in _around(face, wide, high):
        label = Box(
            x - wide / 2 - 0.2, y - high / 2 - 0.1, x + wide / 2 + 0.2, y + high / 2 + 0.1
        )
        start = _nearest(face, (x, y))
        end = _nearest(label, start)
        texts = [t.box for t in page.texts]
        free = (
            within(label, box) == label
            and is_clear(label, [*others, face, *lines, *texts], None)
            and not any(crosses(start, end, b) for b in [*others, *texts])
            and not any(crosses(s.points[0], s.points[1], label) for s in leaders)
        )
        if free:
            page.lines.append(Stroke((start, end), "hair"))
            page.write((x - wide / 2, y - high / 2), [key], LEADER_SIZE_MM, bold=1)
            return True
    return False


def _around(face: Box, wide: float, high: float) -> Iterator[Point]:
    """Middles of a key farther and farther away from a face."""
    x, y = middle(face)
    half_x = (face.right_mm - face.left_mm + wide) / 2
    half_y = (face.bottom_mm - face.top_mm + high) / 2
    for far in LEADERS_MM:
        for n in range(DIRECTIONS):
            turn = 2 * math.pi * n / DIRECTIONS
            yield x + (half_x + far) * math.cos(turn), y + (half_y + far) * math.sin(turn)


def _nearest(box: Box, point: Point) -> Point:
    """The point of a box that is nearest to another."""
    return (
        min(max(point[0], box.left_mm), box.right_mm),
        min(max(point[1], box.top_mm), box.bottom_mm),
    )


def crosses(a: Point, b: Point, box: Box) -> bool:
    """Whether the straight line between two points passes through the inside of a box."""
    enter, leave = 0.0, 1.0
    sides = ((box.left_mm, box.right_mm), (box.top_mm, box.bottom_mm))
    for start, end, (low, high) in zip(a, b, sides, strict=True):
        step = end - start
        if abs(step) < 1e-12:
            if not low + 1e-6 < start < high - 1e-6:
                return False
            continue
        near, far = sorted(((low - start) / step, (high - start) / step))
        enter, leave = max(enter, near), min(leave, far)
    return (leave - enter) * math.hypot(b[0] - a[0], b[1] - a[1]) > 1e-6


def write_inside(
    page: Page, face: Box, texts: Sequence[str], others: Sequence[Box], lines: Sequence[Box]
) -> bool:
    """The first of some texts that finds room in a face where no other thing is; False for none.

    Parameters
    ----------
    page : Page
    face : Box
    texts : sequence of str
        The longest first.
    others : sequence of Box
        Things that the text must not lie in.
    lines : sequence of Box
        Lines that it must not lie over.
    """
    for text in texts:
        wide, high = width_mm(text, SMALL_MM, bold=True), height_mm(1, SMALL_MM)
        room_x = face.right_mm - face.left_mm - wide - 2 * PAD_MM
        room_y = face.bottom_mm - face.top_mm - high - 2 * PAD_MM
        if room_x < 0 or room_y < 0:
            continue
        # The middle first, then what is free above, below and at the sides of it.
        parts = (0.5, 0.25, 0.75, 0.0, 1.0)
        corners_mm = [
            (face.left_mm + PAD_MM + room_x * across, face.top_mm + PAD_MM + room_y * down)
            for down in parts
            for across in parts
        ]
        if write_where_free(page, face, corners_mm, text, SMALL_MM, [*others, *lines]):
            return True
    return False
