"""Drawing single lines of a wiring diagram: chains of conductors and symbols from top to bottom.

A chain hangs on one vertical line. Texts stand to the right of it, in slots of their own.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import LEADING, height_mm, shortened, wrap
from bom.drawings.page import Box, Circle, Page, Point, Stroke, Symbol, Wire, corners
from bom.drawings.paths import Core, port
from bom.drawings.symbols import HALF_WIDTHS_MM, HEIGHTS_MM, symbol

USUAL_MM = height_mm(3, TEXT_MM)
"""Of a label's usual three lines."""
BESIDE_MM = 1.5
"""From a line to the text on its right."""
TEXT_WIDTH_MM = 14.0
"""Room for a text beside a line."""
SHEATH_MM = 4.3
"""From a line to the thin line on its left that joins the cores of one cable."""
RING_MM = 4.0
"""From the top of a label to the ring around its core."""
BETWEEN_MM = 2.0
"""Left free over and under a label."""
BAR_MM = 2.4
"""Thickness of a bus bar."""
TERMINAL_MM = 0.9
"""Thickness of a terminal that is drawn as a bar."""


class Crowded(Exception):
    """Labels and symbols of a line that find no room on a page."""


@dataclass
class Plot:
    """A page with what has been drawn on it so far."""

    page: Page
    labels: Labels
    number: int = 1
    studs: dict[str, list[tuple[float, str]]] = field(default_factory=lambda: defaultdict(list))
    """Of each bus bar, where on the page conductors land, and on which stud."""
    bars_mm: dict[str, float] = field(default_factory=dict)
    """How high on the page each bus bar lies."""
    sheaths: dict[str, list[Point]] = field(default_factory=lambda: defaultdict(list))
    """Of each cable of several cores, where a ring goes around each of them."""

    def place(
        self,
        kind: str,
        id: str,  # noqa: A002
        at: Point,
        height: float | None = None,
        *,
        turned: bool = False,
    ) -> Symbol:
        """Put a symbol in a vertical line."""
        made = symbol(kind, id, at, height_mm=height, turned=turned)
        self.page.symbols.append(made)
        return made

    def terminal(self, id: str, left: float, right: float, y: float) -> None:  # noqa: A002
        """A terminal that several conductors share, drawn as a thin bar."""
        half = TERMINAL_MM / 2
        box = Box(left - half, y - half, right + half, y + half)
        self.page.symbols.append(
            Symbol(
                kind="terminal",
                id=id,
                box=box,
                strokes=(Stroke(corners(box), "hair", closed=True, filled=True),),
            )
        )

    def dot(self, at: Point) -> None:
        """Where lines meet."""
        self.page.marks.append(Circle(at, 0.6, filled=True))

    def land(self, core_at: str, bar: str, x: float, y: float) -> None:
        """Note that a conductor lands on a bus bar, which lies so high on the page."""
        self.studs[bar].append((x, port(core_at, bar)))
        self.bars_mm[bar] = y

    def note(self, at: Point, lines: Sequence[str]) -> None:
        """Lines of text under each other, `at` being their upper left corner."""
        self.page.write(at, lines, TEXT_MM)

    def name(
        self,
        at: Point,
        thing: str,
        width_mm: float,
        most: int = 99,
        *,
        pole: str = "",
        brief: bool = False,
    ) -> None:
        """What is written beside a thing, its name bold; of the rest see `Labels.lines`."""
        lines = self.labels.lines(thing, width_mm, pole=pole, brief=brief)[:most]
        self.page.write(at, lines, TEXT_MM, bold=self.labels.name_lines(thing, width_mm))

    def wire(
        self, core: Core, points: Sequence[Point], *, cores: int = 1, look: str = ""
    ) -> None:
        """One core, or a cable of several drawn as one line; without a `look` that of its pole."""
        self.page.wires.append(
            Wire(
                cut=core.cut.label,
                circuit=core.cut.circuit,
                core=core.number,
                cores=cores,
                ends=(core.from_, core.to),
                points=_tidied(points),
                look=look or _look(core, cores),
            )
        )

    def label(self, core: Core, at: Point, width: float, circuit: str = "") -> None:
        """The label of a piece of cable, once; cores of one sheath get a ring each."""
        x, y = at
        first = core.cut.label not in self.sheaths
        told = circuit_lines(circuit, width) if first else []
        lines = self.labels.wire_lines(core.cut, width) if first else []
        if is_sheathed(core):
            self.sheaths[core.cut.label].append((x, y + RING_MM))
        elif first:
            self.sheaths[core.cut.label] = []
        self.note((x + BESIDE_MM, y), told)
        below = y + len(told) * LEADING * TEXT_MM
        label = core.cut.label
        self.page.write((x + BESIDE_MM, below), lines, TEXT_MM, bold=1, cut=label)

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
    clear_mm: float = 0.0
    """Room at the start of the first conductor that its label stays out of."""
    kept_mm: float = 0.0
    """Room at the end of the last conductor that its label stays out of."""
    brief: bool = False
    """Whether of a device in the line only its name and figures are told."""


def room_mm(
    labels: Labels,
    path: Sequence[Core],
    *,
    width_mm: float = TEXT_WIDTH_MM,
    circuit: str = "",
    brief: bool = False,
) -> float:
    """The least height of a chain with all its labels and symbols."""
    texts = sum(
        height_mm(len(label_lines(labels, c, width_mm, "" if n else circuit)), TEXT_MM)
        + 2 * BETWEEN_MM
        for n, c in enumerate(path)
    )
    return texts + sum(
        symbol_mm(labels, c.to_thing, width_mm, pole=c.pole, brief=brief) for c in path[:-1]
    )


def symbol_mm(
    labels: Labels, thing: str, width_mm: float, *, pole: str = "", brief: bool = False
) -> float:
    """Height of a symbol in a chain, or of its text where that is higher."""
    lines = labels.lines(thing, width_mm, pole=pole, brief=brief)
    text = height_mm(len(lines), TEXT_MM)
    return max(HEIGHTS_MM[labels.kind(thing)], text)


def label_lines(labels: Labels, core: Core, width_mm: float, circuit: str = "") -> list[str]:
    """Circuit (where it is told), label, size, colour, length."""
    return [*circuit_lines(circuit, width_mm), *labels.wire_lines(core.cut, width_mm)]


def circuit_lines(circuit: str, width_mm: float) -> list[str]:
    """A circuit's name beside its first conductor."""
    return shortened(wrap(circuit, width_mm, TEXT_MM), 2)


def chain(
    plot: Plot, x: float, top: float, bottom: float, path: Sequence[Core], how: Chain
) -> None:
    """Conductors and what stands between them, hung on one line from `top` to `bottom`."""
    y, free = top, top + how.clear_mm
    last = len(path) - 1
    for n, core in enumerate(path):
        told = how.circuit if n == 0 else ""
        tall = height_mm(len(label_lines(plot.labels, core, how.width_mm, told)), TEXT_MM)
        end = bottom - how.kept_mm if n == last else free + tall + 2 * BETWEEN_MM
        room = end - free - tall
        if room <= 0:
            raise Crowded(core.cut.label)
        # Labels side by side begin at one height, however many lines they have.
        above = min(max((end - free - USUAL_MM) / 2, room / 2), room) if n == last else room / 2
        goal = bottom if n == last else end
        before, after = how.lead_in if n == 0 else (), how.lead_out if n == last else ()
        plot.wire(core, [*before, (x, y), (x, goal), *after], cores=how.cores)
        if how.cores > 1 and n == 0:
            plot.strokes_of((x, y + 2.4), how.cores)
        plot.label(core, (x, free + above), how.width_mm, told)
        if n < last:
            y, free = _between(plot, x, end, core, how)


def _between(plot: Plot, x: float, y: float, core: Core, how: Chain) -> tuple[float, float]:
    """A symbol at a core's end, with its text; where the line goes on, where the text ends."""
    thing, pole = core.to_thing, core.pole
    kind = plot.labels.kind(thing)
    lines = plot.labels.lines(thing, how.width_mm, pole=pole, brief=how.brief)
    high, tall = HEIGHTS_MM[kind], height_mm(len(lines), TEXT_MM)
    # the socket is the lead's, on the side of the panels: below in the positive
    plot.place(kind, thing, (x, y), turned=kind == "plug and socket" and pole == "+")
    down = max(0.0, (high - tall) / 2)
    plot.name((x + beside_mm(kind), y + down), thing, how.width_mm, pole=pole, brief=how.brief)
    return y + high, y + max(high, tall)


def beside_mm(kind: str) -> float:
    """From the line of a symbol to the text on its right."""
    return max(BESIDE_MM, HALF_WIDTHS_MM[kind] + 0.8)


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


def is_sheathed(core: Core) -> bool:
    """Whether it lies in one sheath with others."""
    return len(core.cut.ends) > 2


def _look(core: Core, cores: int) -> str:
    if core.pole == "PE" and not is_sheathed(core):
        return "earth"
    if core.pole in ("L", "N", "PE") or cores > 2:
        return "ac"
    return core.pole if core.pole in ("+", "-") else "other"
