"""Hatching of what may not be covered, with a gap for its name."""

from __future__ import annotations

from bom.drawings.page import Box, Stroke

APART_MM = 2.0
"""Between two lines, measured along an edge."""
SHORTEST_MM = 0.2


def hatched(face: Box, gap: Box | None) -> list[Stroke]:
    """Slanted lines that fill a face, none of them through the gap."""
    wide, high = face.right_mm - face.left_mm, face.bottom_mm - face.top_mm
    strokes = []
    start = APART_MM / 2
    while start < wide + high:
        # The line of all points whose x and y from the lower left corner add up to `start`.
        low, top = max(0.0, start - high), min(wide, start)
        for a, b in _without_gap(face, start, low, top, gap):
            if b - a > SHORTEST_MM:
                points = tuple((face.left_mm + x, face.bottom_mm - (start - x)) for x in (a, b))
                strokes.append(Stroke(points, "hair"))
        start += APART_MM
    return strokes


def _without_gap(
    face: Box, start: float, low: float, top: float, gap: Box | None
) -> list[tuple[float, float]]:
    if gap is None:
        return [(low, top)]
    left, right = gap.left_mm - face.left_mm, gap.right_mm - face.left_mm
    near, far = face.bottom_mm - gap.bottom_mm, face.bottom_mm - gap.top_mm
    # Where the line is inside the gap both ways.
    enter, leave = max(left, start - far), min(right, start - near)
    if enter >= leave:
        return [(low, top)]
    return [(low, min(enter, top)), (max(leave, low), top)]
