"""What hangs on no bus bar: each piece of cable as a straight line between the ends it has."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bom.drawings.groups import Group
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm, shortened, width_mm, wrap
from bom.drawings.page import Box, Circle, Point, Symbol
from bom.drawings.paths import Core
from bom.drawings.plot import Plot
from bom.drawings.symbols import HALF_WIDTHS_MM
from solver.records import Circuit

ROW_MM = 15.0
TOP_MM = 24.0
BOTTOM_MM = 236.0
WIDTH_MM = 122.0
RADIUS_MM = 1.0
"""Of the mark of an end."""
END_MM = 28.0
"""Room for the name of an end."""


def rows_groups(labels: Labels, circuits: Sequence[Circuit]) -> list[Group]:
    """Circuits in columns of rows, a row a core."""
    each = int((BOTTOM_MM - TOP_MM) // ROW_MM)
    cores = [core for circuit in circuits for core in labels.cores[circuit.name]]
    columns = [cores[n : n + each] for n in range(0, len(cores), each)]
    return [
        Group(WIDTH_MM, tuple({core.cut.circuit: 0 for core in column}), _drawn(column))
        for column in columns
    ]


def _drawn(cores: Sequence[Core]) -> Callable[[Plot, float], None]:
    def draw(plot: Plot, left: float) -> None:
        for n, core in enumerate(cores):
            _draw_row(plot, left, TOP_MM + n * ROW_MM, core)

    return draw


def _draw_row(plot: Plot, left: float, top: float, core: Core) -> None:
    """An end, the conductor with its label, the other end; an earth stands at the far one."""
    if plot.labels.kind(core.from_thing) == "earth":
        core = core.turned()
    y = top + 6.5
    begin, end = left + END_MM + 3, left + WIDTH_MM - END_MM - 6
    start = begin + _draw_end(plot, (begin, y), core.from_, core.from_thing, core.pole)
    goal = end - _draw_end(plot, (end, y), core.to, core.to_thing, core.pole, after=True)
    plot.wire(core, [(start, y), (goal, y)])
    width = end - begin - 2 - RADIUS_MM - HALF_WIDTHS_MM["earth"]
    told = wrap(core.cut.circuit, width, TEXT_MM)[:1]
    plot.note((begin + 2, y - 1.2 - height_mm(1, TEXT_MM)), told)
    if core.number == 0:
        labels = plot.labels
        cut = core.cut
        plot.page.write((begin + 2, y + 0.8), [cut.label], TEXT_MM, bold=1, cut=cut.label)
        text = f"{labels.size(cut)} {labels.colour(cut)} {labels.length(cut)}"
        plot.note((begin + 2, y + 3.8), wrap(text, width, TEXT_MM)[:2])


def _draw_end(
    plot: Plot, at: Point, end: str, thing: str, pole: str, *, after: bool = False
) -> float:
    """The mark of an end, its name before or after it; returns how far off the conductor ends."""
    x, y = at
    aside, r = 2.5, RADIUS_MM
    if plot.labels.kind(thing) == "earth":
        aside, r = HALF_WIDTHS_MM["earth"] + 1.0, 0.0
        plot.place("earth", thing, at)
    else:
        box = Box(x - r, y - r, x + r, y + r)
        made = Symbol(kind="end", id=thing, box=box, circles=(Circle(at, r),))
        plot.page.symbols.append(made)
    name = shortened(wrap(end, END_MM, TEXT_MM), 3)
    name += [] if end.endswith(pole) else [pole]
    wide = max(width_mm(line, TEXT_MM) for line in name)
    corner = x + aside if after else x - aside - wide
    plot.note((corner, y - height_mm(len(name), TEXT_MM) / 2), name)
    return r
