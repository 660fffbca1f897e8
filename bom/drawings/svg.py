"""A page as SVG: the same page always gives the same bytes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape

from bom.drawings.page import LOOKS, Circle, Page, Point, Stroke, Text

NAMESPACE = "http://www.w3.org/2000/svg"
PAPER_MM = 420.0
"""Width of A3, across."""
FONTS = "Arial, Helvetica, 'Liberation Sans', 'DejaVu Sans', sans-serif"


def svg_text(page: Page, title: str, file_of: Callable[[int], str]) -> str:
    """A page as the text of an SVG file.

    Parameters
    ----------
    page : Page
        What is drawn.
    title : str
        Read out by what reads pictures to people.
    file_of : callable
        Name of the file of a page by its number, for the links between pages.
    """
    width, height = _number(page.width_mm), _number(page.height_mm)
    # A wide page is shrunk to fit the paper.
    scale = min(1.0, PAPER_MM / page.width_mm)
    paper = [_number(side * scale) for side in (page.width_mm, page.height_mm)]
    view = f'viewBox="0 0 {width} {height}"'
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="{NAMESPACE}" width="{paper[0]}mm" height="{paper[1]}mm" {view}>',
        f"<title>{_safe(title)}</title>",
        f'<rect width="{width}" height="{height}" fill="white"/>',
        '<g fill="none" stroke="black" stroke-linejoin="round">',
        *(_stroke(s) for s in page.strokes()),
        *(_wire(w.points, w.look, w.cut) for w in page.wires),
        *(_circle(c) for c in page.circles()),
        "</g>",
        f'<g font-family="{FONTS}" fill="black">',
        *(_text(t, file_of) for t in page.texts),
        "</g>",
        "</svg>",
    ]
    return "\n".join(lines) + "\n"


def _stroke(stroke: Stroke) -> str:
    name = "polygon" if stroke.closed else "polyline"
    fill = ' fill="black"' if stroke.filled else ""
    return f'<{name} points="{_points(stroke.points)}"{_look(stroke.look)}{fill}/>'


def _wire(points: Sequence[Point], look: str, label: str) -> str:
    return (
        f'<polyline points="{_points(points)}"{_look(look)}>'
        f"<title>{_safe(label)}</title></polyline>"
    )


def _circle(circle: Circle) -> str:
    x, y = map(_number, circle.at)
    fill = "black" if circle.filled else "none"
    return (
        f'<circle cx="{x}" cy="{y}" r="{_number(circle.radius_mm)}" '
        f'stroke-width="0.25" fill="{fill}"/>'
    )


def _text(text: Text, file_of: Callable[[int], str]) -> str:
    x, y = map(_number, text.at)
    bold = ' font-weight="bold"' if text.bold else ""
    # The width is stated, so that every face fills the same box.
    made = (
        f'<text x="{x}" y="{y}" font-size="{_number(text.size_mm)}"{bold} '
        f'textLength="{_number(text.width_mm)}" lengthAdjust="spacingAndGlyphs">'
        f"{_safe(text.text)}</text>"
    )
    if text.page:
        made = f'<a href="{_safe(file_of(text.page))}" text-decoration="underline">{made}</a>'
    return made


def _look(name: str) -> str:
    look = LOOKS[name]
    dashes = " ".join(map(_number, look.dashes_mm))
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f' stroke-width="{_number(look.width_mm)}"{dashed}'


def _points(points: Sequence[Point]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _number(value: float) -> str:
    return f"{round(value, 3):g}"


def _safe(text: str) -> str:
    """Text for XML, without the characters that it cannot hold."""
    allowed = "".join(
        c for c in text if c >= " " and not "\ud800" <= c <= "\udfff" and c < "\ufffe"
    )
    return escape(allowed)
