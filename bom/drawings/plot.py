"""Drawing single lines of a wiring diagram: chains of conductors and symbols from top to bottom.

A chain hangs on one vertical line. Texts stand to the right of it, in slots of their own.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm
from bom.drawings.page import Box, Circle, Page, Point, Stroke, Symbol, Wire
from bom.drawings.paths import Core, port
from bom.drawings.symbols import HALF_WIDTHS_MM, HEIGHTS_MM, symbol

BESIDE_MM = 1.5
"""From a line to the text on its right."""
TEXT_WIDTH_MM = 14.0
"""Room for a text beside a line."""
SHEATH_MM = 4.3
"""From a line to the thin line on its left that joins the cores of one cable."""
BETWEEN_MM = 2.0
"""Left free over and under a label."""
BAR_MM = 2.4
"""Thickness of a bus bar."""
TERMINAL_MM = 0.9
"""Thickness of a terminal that is drawn as a bar."""


@dataclass
class Plot:
    """A page with what has been drawn on it so far."""

    page: Page
    labels: Labels
    number: int = 1
    studs: dict[str, list[tuple[float, str]]] = field(default_factory=lambda: defaultdict(list))
    """Of each bus bar, where on the page conductors land, and on which stud."""
    sheaths: dict[str, list[Point]] = field(default_factory=lambda: defaultdict(list))
    """Of each cable of several cores, where a ring goes around each of them."""

    def place(self, kind: str, id: str, at: Point, height: float | None = None) -> Symbol:  # noqa: A002
        """Put a symbol in a vertical line."""
        made = symbol(kind, id, at, height_mm=height)
        self.page.symbols.append(made)
        return made

    def terminal(self, id: str, left: float, right: float, y: float) -> None:  # noqa: A002
        """A terminal that several conductors share, drawn as a thin bar."""
        half = TERMINAL_MM / 2
        box = Box(left - half, y - half, right + half, y + half)
        self.page.symbols.append(
            Symbol(kind="terminal", id=id, box=box, strokes=(_filled(box),))
        )

    def dot(self, at: Point) -> None:
        """Where lines meet."""
        self.page.marks.append(Circle(at, 0.6, filled=True))

    def land(self, core_at: str, thing: str, x: float) -> None:
        """Note that a conductor lands on a bus bar."""
        self.studs[thing].append((x, port(core_at, thing)))

    def note(self, at: Point, lines: Sequence[str], *, bold_first: bool = False) -> None:
        """Lines of text under each other, `at` being their upper left corner."""
        self.page.write(at, lines, TEXT_MM, bold_first=bold_first)

    def wire(self, core: Core, points: Sequence[Point], *, cores: int = 1) -> None:
        """One core, or a cable of several drawn as one line."""
        self.page.wires.append(
            Wire(
                cut=core.cut.label,
                circuit=core.cut.circuit,
                core=core.number,
                cores=cores,
                ends=(core.from_, core.to),
                points=_tidied(points),
                look=_look(core, cores),
            )
        )

    def label(self, core: Core, at: Point, width: float, circuit: str = "") -> None:
        """The label of a piece of cable, once; cores of one sheath get a ring each."""
        x, y = at
        first = core.cut.label not in self.sheaths
        lines = self.label_lines(core, width, circuit) if first else []
        if _is_sheathed(core):
            self.sheaths[core.cut.label].append(
                (x, y + height_mm(max(len(lines), 1), TEXT_MM) / 2)
            )
        elif first:
            self.sheaths[core.cut.label] = []
        corner = (x + BESIDE_MM, y)
        label = core.cut.label
        self.page.write(corner, lines, TEXT_MM, bold=label, cut=label)

    def label_lines(self, core: Core, width: float, circuit: str = "") -> list[str]:
        """Circuit (where it is told), label, size, colour, length."""
        from bom.drawings.lettering import wrap

        return [
            *wrap(circuit, width, TEXT_MM),
            *self.labels.wire_lines(core.cut, width),
        ]

    def strokes_of(self, at: Point, number: int) -> None:
        """So many short strokes across a line: it stands for so many cores."""
        x, y = at
        for n in range(number):
            middle = y + (n - (number - 1) / 2) * 1.1
            self.page.lines.append(
                Stroke(((x - 1.1, middle + 0.7), (x + 1.1, middle - 0.7)), "symbol")
            )

    def join_sheaths(self) -> None:
        """Rings around the cores of each cable that is drawn core by core, and what joins them."""
        for points in self.sheaths.values():
            if len(points) < 2:
                continue
            lane = min(x for x, _ in points) - SHEATH_MM
            for x, y in points:
                self.page.marks.append(Circle((x, y), 0.9))
                self.page.lines.append(Stroke(((x - 0.9, y), (lane, y)), "hair"))
            ys = [y for _, y in points]
            self.page.lines.append(Stroke(((lane, min(ys)), (lane, max(ys))), "hair"))


@dataclass(frozen=True, kw_only=True)
class Chain:
    """How a chain is to be drawn."""

    width_mm: float = TEXT_WIDTH_MM
    circuit: str = ""
    """Told beside the first conductor."""
    cores: int = 1
    """Of a cable that is drawn as one line."""
    lead_in: tuple[Point, ...] = ()
    """Where the first conductor comes from, before it hangs."""
    lead_out: tuple[Point, ...] = ()
    """Where the last one goes on to."""
    kept_mm: float = 0.0
    """Room at the end of the last conductor that its label stays out of."""


def room_mm(
    plot: Plot, path: Sequence[Core], *, width_mm: float = TEXT_WIDTH_MM, circuit: str = ""
) -> float:
    """The least height of a chain with all its labels and symbols."""
    labels = sum(
        height_mm(len(plot.label_lines(c, width_mm, "" if n else circuit)), TEXT_MM)
        + 2 * BETWEEN_MM
        for n, c in enumerate(path)
    )
    return labels + sum(_symbol_mm(plot, c.to_thing, width_mm) for c in path[:-1])


def _symbol_mm(plot: Plot, thing: str, width_mm: float) -> float:
    """Height of a symbol in a chain, or of its text where that is higher."""
    text = height_mm(len(plot.labels.lines(thing, width_mm)), TEXT_MM)
    return max(HEIGHTS_MM[plot.labels.kind(thing)], text)


def chain(
    plot: Plot, x: float, top: float, bottom: float, path: Sequence[Core], how: Chain
) -> None:
    """Conductors and what stands between them, hung on one line from `top` to `bottom`."""
    y = free = top
    last = len(path) - 1
    for n, core in enumerate(path):
        told = how.circuit if n == 0 else ""
        tall = height_mm(len(plot.label_lines(core, how.width_mm, told)), TEXT_MM)
        end = bottom - how.kept_mm if n == last else free + tall + 2 * BETWEEN_MM
        above = (end - free - tall) / 2
        assert above > 0, f"the drawing has no room for the label of {core.cut.label}"
        goal = bottom if n == last else end
        before, after = how.lead_in if n == 0 else (), how.lead_out if n == last else ()
        plot.wire(core, [*before, (x, y), (x, goal), *after], cores=how.cores)
        if how.cores > 1 and n == 0:
            plot.strokes_of((x, y + 2.4), how.cores)
        plot.label(core, (x, free + above), how.width_mm, told)
        if n < last:
            y, free = _between(plot, x, end, core.to_thing, how.width_mm)


def _between(
    plot: Plot, x: float, y: float, thing: str, width_mm: float
) -> tuple[float, float]:
    """A symbol in the line with its text; where the line goes on, and where its text ends."""
    kind = plot.labels.kind(thing)
    lines = plot.labels.lines(thing, width_mm)
    high, tall = HEIGHTS_MM[kind], height_mm(len(lines), TEXT_MM)
    plot.place(kind, thing, (x, y))
    down = max(0.0, (high - tall) / 2)
    plot.note((x + beside_mm(kind), y + down), lines, bold_first=True)
    return y + high, y + max(high, tall)


def beside_mm(kind: str) -> float:
    """From the line of a symbol to the text on its right."""
    return max(BESIDE_MM, HALF_WIDTHS_MM[kind] + 0.6)


def _filled(box: Box) -> Stroke:
    corners = (
        (box.left_mm, box.top_mm),
        (box.right_mm, box.top_mm),
        (box.right_mm, box.bottom_mm),
        (box.left_mm, box.bottom_mm),
    )
    return Stroke(corners, "hair", closed=True, filled=True)


def _tidied(points: Sequence[Point]) -> tuple[Point, ...]:
    """Without points that repeat, or that lie within a straight line."""
    found: list[Point] = []
    for point in points:
        if found and point == found[-1]:
            continue
        if len(found) > 1 and (
            found[-2][0] == found[-1][0] == point[0] or found[-2][1] == found[-1][1] == point[1]
        ):
            found[-1] = point
            continue
        found.append(point)
    return tuple(found)


def _is_sheathed(core: Core) -> bool:
    return len(core.cut.ends) > 2


def _look(core: Core, cores: int) -> str:
    if core.pole in ("L", "N", "PE") or cores > 2:
        return "ac"
    return core.pole if core.pole in ("+", "-") else "other"
