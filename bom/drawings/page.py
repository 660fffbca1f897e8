"""What a drawn page is made of: symbols, conductors, texts and thin lines, all in millimetres.

The origin is the upper left corner; y grows downwards. Nothing here knows of a file's format.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from bom.drawings.lettering import ASCENT, DESCENT, LEADING, width_mm

Point = tuple[float, float]
"""x and y, in mm."""


@dataclass(frozen=True)
class Box:
    """A rectangle by its left, upper, right and lower edge."""

    left_mm: float
    top_mm: float
    right_mm: float
    bottom_mm: float

    def overlaps(self, other: Box) -> bool:
        """Whether they share more than an edge."""
        near = 1e-6
        return (
            self.left_mm < other.right_mm - near
            and other.left_mm < self.right_mm - near
            and self.top_mm < other.bottom_mm - near
            and other.top_mm < self.bottom_mm - near
        )


def box_around(points: Iterable[Point]) -> Box:
    """The smallest box that holds all points."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def corners(box: Box) -> tuple[Point, ...]:
    """The four corners of a box, one after the other."""
    left, top, right, bottom = box.left_mm, box.top_mm, box.right_mm, box.bottom_mm
    return ((left, top), (right, top), (right, bottom), (left, bottom))


@dataclass(frozen=True)
class Look:
    """How a line is drawn; without colour, so that it reads the same on any printer."""

    width_mm: float
    dashes_mm: tuple[float, ...] = ()


LOOKS = {
    "+": Look(0.5),
    "-": Look(0.5, (2.2, 1.1)),
    "ac": Look(0.5, (4.5, 0.9, 0.9, 0.9)),
    "earth": Look(0.7, (0.7, 0.9)),
    "link": Look(0.9),
    "other": Look(0.35),
    "lead": Look(0.2),
    "symbol": Look(0.3),
    "bold": Look(0.8),
    "terminal": Look(0.9),
    "outline": Look(0.2, (1.6, 0.8, 0.4, 0.8)),
    "dashed": Look(0.25, (1.2, 0.6)),
    "joint": Look(0.25, (1.0, 0.7)),
    "frame": Look(0.35),
    "hair": Look(0.15),
}
"""By what is drawn: conductors by pole, panels' own leads, symbols, outlines, joints that move
the poles of one device together, the frame."""


@dataclass(frozen=True)
class Stroke:
    """A line through points."""

    points: tuple[Point, ...]
    look: str = "symbol"
    closed: bool = False
    filled: bool = False


@dataclass(frozen=True)
class Circle:
    """A circle around a point."""

    at: Point
    radius_mm: float
    filled: bool = False


@dataclass(frozen=True, kw_only=True)
class Symbol:
    """A drawn thing with the box that nothing else may enter."""

    kind: str
    id: str
    """Device, protection or whatever else stands here; empty for a mere mark."""
    box: Box
    strokes: tuple[Stroke, ...] = ()
    circles: tuple[Circle, ...] = ()
    legend: bool = False
    """Whether it only explains the drawing."""


@dataclass(frozen=True, kw_only=True)
class Text:
    """One line of text; `at` is on its base line, at its left end."""

    at: Point
    text: str
    size_mm: float
    bold: bool = False
    cut: str = ""
    """Label of the piece of cable that it names."""
    page: int = 0
    """Number of the page it leads to."""

    @property
    def width_mm(self) -> float:
        """Its width, whatever the face."""
        return width_mm(self.text, self.size_mm, bold=self.bold)

    @property
    def box(self) -> Box:
        """What it covers."""
        x, y = self.at
        top, bottom = y - ASCENT * self.size_mm, y + DESCENT * self.size_mm
        return Box(x, top, x + self.width_mm, bottom)


@dataclass(frozen=True, kw_only=True)
class Wire:
    """One core of one piece of cable, or a whole cable drawn as one line."""

    cut: str
    """Its label."""
    circuit: str
    core: int
    """Which of the cable's cores, from 0."""
    cores: int
    """How many of them this line stands for."""
    ends: tuple[str, str]
    """Where it begins and ends, as the cut list says."""
    points: tuple[Point, ...]
    look: str


@dataclass
class Page:
    """A page while it is laid out, and after."""

    width_mm: float
    height_mm: float
    symbols: list[Symbol] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    lines: list[Stroke] = field(default_factory=list)
    """Outlines, frames, panels' own leads."""
    marks: list[Circle] = field(default_factory=list)
    """Dots where lines meet, rings around cores."""
    title: str = ""
    """What it shows, where it is a sheet of its own."""

    def strokes(self) -> Iterator[Stroke]:
        """Every line but the conductors."""
        yield from self.lines
        for symbol in self.symbols:
            yield from symbol.strokes

    def circles(self) -> Iterator[Circle]:
        """Every circle."""
        for symbol in self.symbols:
            yield from symbol.circles
        yield from self.marks

    def write(
        self,
        at: Point,
        lines: Iterable[str],
        size_mm: float,
        *,
        bold: int = 0,
        cut: str = "",
        page: int = 0,
    ) -> None:
        """Write lines of text under each other, `at` being their upper left corner.

        The first `bold` of them are bold.
        """
        x, y = at
        y += ASCENT * size_mm
        for n, line in enumerate(lines):
            self.texts.append(
                Text(
                    at=(x, y),
                    text=line,
                    size_mm=size_mm,
                    bold=n < bold,
                    cut=cut if line == cut else "",
                    page=page,
                )
            )
            y += LEADING * size_mm
