"""Hatching of what may not be covered, with a gap for its name."""

from __future__ import annotations

from collections.abc import Sequence

from bom.drawings.page import Box, Stroke

APART_MM = 2.0
"""Between two lines, measured along an edge."""
SHORTEST_MM = 0.2


def hatched(face: Box, gaps: Sequence[Box]) -> list[Stroke]:
    """Slanted lines that fill a face, none of them through a gap."""
    wide, high = face.right_mm - face.left_mm, face.bottom_mm - face.top_mm
    strokes = []
    start = APART_MM / 2
    while start < wide + high:
        # The line of all points whose x and y from the lower left corner add up to `start`.
        low, top = max(0.0, start - high), min(wide, start)
        for a, b in _without_gaps(face, start, (low, top), gaps):
            if b - a > SHORTEST_MM:
                points = tuple((face.left_mm + x, face.bottom_mm - (start - x)) for x in (a, b))
                strokes.append(Stroke(points, "hair"))
        start += APART_MM
    return strokes


def _without_gaps(
    face: Box, start: float, whole: tuple[float, float], gaps: Sequence[Box]
) -> list[tuple[float, float]]:
    """What the gaps leave of a line, as pieces of its way along x."""
    left = [whole]
    for gap in gaps:
        near, far = face.bottom_mm - gap.bottom_mm, face.bottom_mm - gap.top_mm
        # Where the line is inside the gap both ways.
        enter = max(gap.left_mm - face.left_mm, start - far)
        leave = min(gap.right_mm - face.left_mm, start - near)
        if enter < leave:
            left = [
                piece
                for low, top in left
                for piece in ((low, min(enter, top)), (max(leave, low), top))
                if piece[0] < piece[1]
            ]
    return left
