"""What hangs on no bus bar: each piece of cable as a straight line between the ends it has."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bom.drawings.groups import Group
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm, shortened, wrap
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


def rows_groups(labels: Labels, circuits: Sequence[Circuit], most_mm: float) -> list[Group]:
    """Circuits in columns of rows, a row a core."""
    each = int((BOTTOM_MM - TOP_MM) // ROW_MM)
    columns: list[list[Circuit]] = []
    room = 0
    for circuit in circuits:
        rows = len(labels.cores[circuit.name])
        if not columns or rows > room:
            columns.append([])
            room = each
        columns[-1].append(circuit)
        room -= rows
    return [
        Group(WIDTH_MM, tuple(c.name for c in column), _drawn(labels, column))
        for column in columns
    ]


def _drawn(labels: Labels, circuits: Sequence[Circuit]) -> Callable[[Plot, float], None]:
    def draw(plot: Plot, left: float) -> None:
        y = TOP_MM
        for circuit in circuits:
            for core in labels.cores[circuit.name]:
                _draw_row(plot, left, y, core)
                y += ROW_MM

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
        name = shortened(wrap(f"{at} {core.pole}", END_MM, TEXT_MM), 4)
        corner = left if x == begin else x + 2.5
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
