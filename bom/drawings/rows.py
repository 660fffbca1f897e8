"""What hangs on no bus bar: each piece of cable as a straight line between the ends it has."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bom.drawings.groups import Group
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm, shortened, width_mm, wrap
from bom.drawings.page import Box, Circle, Symbol
from bom.drawings.paths import Core
from bom.drawings.plot import Plot
from solver.records import Circuit

ROW_MM = 15.0
TOP_MM = 24.0
BOTTOM_MM = 236.0
WIDTH_MM = 122.0
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
    """An end, the conductor with its label, the other end."""
    y = top + 6.5
    begin, end = left + END_MM + 3, left + WIDTH_MM - END_MM - 6
    for x, at, thing in ((begin, core.from_, core.from_thing), (end, core.to, core.to_thing)):
        box = Box(x - 1, y - 1, x + 1, y + 1)
        plot.page.symbols.append(
            Symbol(kind="end", id=thing, box=box, circles=(Circle((x, y), 1.0),))
        )
        name = shortened(wrap(at, END_MM, TEXT_MM), 3)
        name += [] if at.endswith(core.pole) else [core.pole]
        wide = max(width_mm(line, TEXT_MM) for line in name)
        corner = x - 2.5 - wide if x == begin else x + 2.5
        plot.note((corner, y - height_mm(len(name), TEXT_MM) / 2), name)
    plot.wire(core, [(begin + 1, y), (end - 1, y)])
    width = end - begin - 4
    told = wrap(core.cut.circuit, width, TEXT_MM)[:1]
    plot.note((begin + 2, y - 1.2 - height_mm(1, TEXT_MM)), told)
    if core.number == 0:
        labels = plot.labels
        cut = core.cut
        plot.page.write((begin + 2, y + 0.8), [cut.label], TEXT_MM, bold=1, cut=cut.label)
        text = f"{labels.size(cut)} {labels.colour(cut)} {labels.length(cut)}"
        plot.note((begin + 2, y + 3.8), wrap(text, width, TEXT_MM)[:2])
