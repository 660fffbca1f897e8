"""The comm cables: no line is drawn for them, it would cross all others.

Each has a name of its own, which stands beside both devices that it joins; which cable it is
stands over the drawing, on every page that shows one of its ends.
"""

from __future__ import annotations

from bom.drawings.labels import TEXT_MM
from bom.drawings.lettering import shortened, width_mm, wrap
from bom.drawings.plot import Plot
from bom.drawings.sheet import EDGE_MM, LEFT_MM

TOP_MM = EDGE_MM + 1.2
ROWS = 4
"""Lines that find room between the frame and what stands over the upper bar."""
HEAD_MM = 24.0
"""Room for the heading, before the first column."""
GAP_MM = 4.0
"""Between columns."""


def draw_comm(plot: Plot) -> None:
    """The comm cables that have an end on a page, in columns over its upper bar."""
    shown = {s.id for s in plot.page.symbols}
    links = plot.labels.links
    here = [n for n, x in links.items() if {x.from_, x.to} & shown]
    if not here:
        return
    room = plot.page.width_mm - 2 * LEFT_MM - HEAD_MM
    ends = {n: f"{n}: {links[n].from_} to {links[n].to}" for n in here}
    texts = [f"{ends[n]}, {links[n].part}" for n in here]
    columns = -(-len(texts) // ROWS)
    wide = max(width_mm(text, TEXT_MM) for text in texts) + GAP_MM
    if columns * wide > room:
        # The bill says which cables they are.
        texts, wide = list(ends.values()), room / columns
    plot.page.write((LEFT_MM, TOP_MM), ["Comm cables"], TEXT_MM, bold=1)
    for column in range(columns):
        part = texts[column * ROWS : (column + 1) * ROWS]
        lines = [shortened(wrap(text, wide - GAP_MM + 0.1, TEXT_MM), 1)[0] for text in part]
        plot.note((LEFT_MM + HEAD_MM + column * wide, TOP_MM), lines)
