"""A page as a picture in grey, for programs that show no SVG: the same lines, the same texts."""

from __future__ import annotations

import contextlib
import io
import itertools
import math
import unicodedata
from collections.abc import Iterator, Sequence
from functools import lru_cache

from PIL import Image, ImageDraw, ImageFont

from bom.drawings.page import LOOKS, Circle, Page, Point, Text

DOTS_PER_MM = 6.0
FINER = 2
"""Drawn so many times larger, then made smaller: thin slanted lines stay smooth."""


def png_bytes(page: Page, dots_per_mm: float = DOTS_PER_MM) -> bytes:
    """A page as the bytes of a PNG file; the same page always gives the same."""
    scale = dots_per_mm * FINER
    size = (round(page.width_mm * scale), round(page.height_mm * scale))
    large = Image.new("L", size, 255)
    pen = ImageDraw.Draw(large)
    for stroke in page.strokes():
        points = [*stroke.points, stroke.points[0]] if stroke.closed else stroke.points
        if stroke.filled:
            pen.polygon([_dot(p, scale) for p in points], fill=0)
        _line(pen, points, stroke.look, scale)
    for wire in page.wires:
        _line(pen, wire.points, wire.look, scale)
    for circle in page.circles():
        _circle(pen, circle, scale)
    for text in page.texts:
        _text(large, text, scale)
    small = large.resize((size[0] // FINER, size[1] // FINER), Image.Resampling.BOX)
    out = io.BytesIO()
    # Sixteen greys: the file is a third as large, and nobody sees the difference.
    small.quantize(16).save(out, "PNG", optimize=True)
    return out.getvalue()


def _dot(point: Point, scale: float) -> Point:
    return point[0] * scale, point[1] * scale


def _line(pen: ImageDraw.ImageDraw, points: Sequence[Point], look: str, scale: float) -> None:
    style = LOOKS[look]
    width = max(1, round(style.width_mm * scale))
    for piece in _dashed(points, style.dashes_mm):
        pen.line([_dot(p, scale) for p in piece], fill=0, width=width, joint="curve")


def _dashed(points: Sequence[Point], dashes: Sequence[float]) -> Iterator[list[Point]]:
    """The drawn pieces of a line: all of it, or a dash and a gap in turn."""
    if not dashes:
        yield list(points)
        return
    left, number = dashes[0], 0
    piece = [points[0]]
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        length = math.hypot(x1 - x0, y1 - y0)
        done = 0.0
        while length - done > left:
            done += left
            at = (x0 + (x1 - x0) * done / length, y0 + (y1 - y0) * done / length)
            if number % 2 == 0:
                yield [*piece, at]
            piece = [at]
            number += 1
            left = dashes[number % len(dashes)]
        left -= length - done
        piece.append((x1, y1))
    if number % 2 == 0 and len(piece) > 1:
        yield piece


def _circle(pen: ImageDraw.ImageDraw, circle: Circle, scale: float) -> None:
    (x, y), radius = _dot(circle.at, scale), circle.radius_mm * scale
    box = (x - radius, y - radius, x + radius, y + radius)
    fill = 0 if circle.filled else None
    pen.ellipse(box, outline=0, fill=fill, width=max(1, round(0.25 * scale)))


def _text(large: Image.Image, text: Text, scale: float) -> None:
    """Drawn as one strip, which is then squeezed to the stated width."""
    runs = _runs(text.text, text.size_mm * scale)
    long = math.ceil(
        sum(face.getlength(part) for part, face, _ in runs) + 0.1 * text.size_mm * scale
    )
    if long < 1:
        return
    ascent = math.ceil(text.size_mm * scale * 1.1)
    strip = Image.new("L", (long, ascent + ascent // 3), 0)
    pen = ImageDraw.Draw(strip)
    x = 0.0
    for part, face, raised in runs:
        # Bold is the same letters twice, a little apart.
        for aside in (0.0, 0.05 * text.size_mm * scale)[: 1 + text.bold]:
            at = (x + aside, ascent - raised)
            pen.text(at, part, font=face, fill=255, anchor="ls")
        x += face.getlength(part)
    wanted = max(1, round(text.width_mm * scale))
    strip = strip.resize((wanted, strip.height), Image.Resampling.BILINEAR)
    left, base = _dot(text.at, scale)
    large.paste(0, (round(left), round(base) - ascent), strip)


Run = tuple[str, ImageFont.FreeTypeFont, float]
"""Characters in one face, raised by so much."""

PLAIN = str.maketrans({"×": "x", "−": "-", "→": ">", "\u00a0": " "})
OTHER_FACES = ("DejaVuSans.ttf", "Arial.ttf", "LiberationSans-Regular.ttf", "Helvetica.ttc")


def _runs(text: str, size: float) -> list[Run]:
    """The text by faces.

    The face that comes with the library, the same everywhere, has little more than the letters
    of English. For others one of the system's faces is taken; where there is none, the letter is
    drawn without its accent.
    """
    plain = text.translate(PLAIN)
    if not plain.replace("²", "").isascii():
        other = _other_face(round(size))
        if other is not None:
            return [(text, other, 0.0)]
        plain = "".join(c if c == "²" else _base(c) for c in plain)
    runs: list[Run] = []
    for n, part in enumerate(plain.split("²")):
        if n:
            runs.append(("2", _face(round(size * 0.6)), size * 0.3))
        if part:
            runs.append((part, _face(round(size)), 0.0))
    return runs


def _base(mark: str) -> str:
    base = unicodedata.normalize("NFKD", mark)[0]
    return base if base.isascii() else "?"


@lru_cache(maxsize=32)
def _face(size: int) -> ImageFont.FreeTypeFont:
    face = ImageFont.load_default(size)
    assert isinstance(face, ImageFont.FreeTypeFont), "this Pillow cannot draw scalable text"
    return face


@lru_cache(maxsize=16)
def _other_face(size: int) -> ImageFont.FreeTypeFont | None:
    for name in OTHER_FACES:
        with contextlib.suppress(OSError):
            return ImageFont.truetype(name, size)
    return None
