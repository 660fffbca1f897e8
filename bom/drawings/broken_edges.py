"""Edges of what is drawn in part: bold where they are the place's own, else break lines."""

from __future__ import annotations

from bom.drawings.page import Box, Page, Point, Stroke

BEYOND_MM = 1.5
"""How far a break line goes beyond the edges that it breaks."""
ZIG_MM, ZAG_MM = 3.0, 1.8
"""Half length and half width of its zigzag."""


def edge_lines(box: Box, ends: tuple[bool, bool], look: str) -> Stroke:
    """The sides of a box; without its right or its upper one where the place goes on there."""
    top_left, top_right = (box.left_mm, box.top_mm), (box.right_mm, box.top_mm)
    low_left, low_right = (box.left_mm, box.bottom_mm), (box.right_mm, box.bottom_mm)
    points: dict[tuple[bool, bool], tuple[Point, ...]] = {
        (True, True): (top_left, top_right, low_right, low_left),
        (True, False): (top_left, low_left, low_right, top_right),
        (False, True): (top_right, top_left, low_left, low_right),
        (False, False): (top_left, low_left, low_right),
    }
    return Stroke(points[ends], look, closed=ends == (True, True))


def frame(page: Page, box: Box, ends: tuple[bool, bool]) -> list[Box]:
    """Draw the edges of a window; what its break lines take of the page with their zigzags.

    Parameters
    ----------
    page : Page
    box : Box
        The window.
    ends : pair of bool
        Whether the place ends at its right, and at its upper edge.
    """
    page.lines.append(edge_lines(box, ends, "bold"))
    found = []
    x, y = (box.left_mm + box.right_mm) / 2, (box.top_mm + box.bottom_mm) / 2
    if not ends[0]:
        at = box.right_mm
        zigzag = ((0.0, -ZIG_MM), (ZAG_MM, -1.0), (-ZAG_MM, 1.0), (0.0, ZIG_MM))
        points = [
            (at, box.top_mm - BEYOND_MM),
            *((at + across, y + along) for across, along in zigzag),
            (at, box.bottom_mm + BEYOND_MM),
        ]
        page.lines.append(Stroke(tuple(points), "hair"))
        found.append(Box(at - ZAG_MM, y - ZIG_MM, at + ZAG_MM, y + ZIG_MM))
    if not ends[1]:
        at = box.top_mm
        zigzag = ((-ZIG_MM, 0.0), (-1.0, -ZAG_MM), (1.0, ZAG_MM), (ZIG_MM, 0.0))
        points = [
            (box.left_mm - BEYOND_MM, at),
            *((x + along, at + across) for along, across in zigzag),
            (box.right_mm + BEYOND_MM, at),
        ]
        page.lines.append(Stroke(tuple(points), "hair"))
        found.append(Box(x - ZIG_MM, at - ZAG_MM, x + ZIG_MM, at + ZAG_MM))
    return found
