"""Room in a place."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from solver.rules.base import ARITHMETIC, rule

if TYPE_CHECKING:
    from solver.needs import Place

Rectangle = tuple[float, float, float, float]
"""Two opposite corners: x from, y from, x to, y to."""


def inside_mm(place: Place) -> Rectangle:
    """The rectangle of a place inside its margins, in mm."""
    m = place.margin_mm
    return (m, m, max(m, place.length_mm - m), max(m, place.width_mm - m))


def clipped_obstacles_mm(place: Place) -> list[Rectangle]:
    """The obstacles of a place, as far as they lie inside its margins, in mm."""
    x0, y0, x1, y1 = inside_mm(place)
    found = []
    for o in place.obstacles:
        left, right = max(x0, o.x_mm), min(x1, o.x_mm + o.length_mm)
        near, far = max(y0, o.y_mm), min(y1, o.y_mm + o.width_mm)
        if left < right and near < far:
            found.append((left, near, right, far))
    return found


@rule(subject="place", limit="at most", unit="mm²", source=ARITHMETIC)
def usable_area_mm2(place: Place) -> float:
    """Area of a place that can be covered: inside its margins, less its obstacles.

    Parameters
    ----------
    place : Place
        The place.

    Returns
    -------
    float
        In mm²; obstacles that overlap count once. The faces of all that stands here cannot
        be more, but may need more: whether they fit is shown by placing them.

    Source
    ------
    Arithmetic.
    """
    x0, y0, x1, y1 = inside_mm(place)
    blocks = clipped_obstacles_mm(place)
    edges = sorted({x0, x1, *(b[0] for b in blocks), *(b[2] for b in blocks)})
    covered = 0.0
    for left, right in pairwise(edges):
        spans = sorted((b[1], b[3]) for b in blocks if b[0] <= left and b[2] >= right)
        reach = y0
        for near, far in spans:
            covered += max(0.0, far - max(near, reach)) * (right - left)
            reach = max(reach, far)
    return (x1 - x0) * (y1 - y0) - covered
