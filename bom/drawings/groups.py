"""Where everything of a wiring diagram stands: the heights that all groups share.

Two bus bars lie across the page, the positive one above, the negative one below. Everything
between them hangs on vertical lines, so that no conductor has to cross another: the positive
comes down from the upper bar, the device stands at one height with all others, the negative goes
down to the lower bar. What belongs together is a group; groups stand side by side.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import width_mm
from bom.drawings.page import Box, Stroke, Symbol
from bom.drawings.paths import Core, walk
from bom.drawings.plot import BAR_MM, Plot
from solver.records import Circuit

UPPER_BAR_MM = 33.0
LOWER_BAR_MM = 229.0
UNDER_UPPER_MM = UPPER_BAR_MM + BAR_MM / 2
OVER_LOWER_MM = LOWER_BAR_MM - BAR_MM / 2
DEVICE_MM = 140.0
"""Upper edge of every device and load between the bars."""

CONNECTOR_MM = 4.5
"""Length of the mark that leads to another page."""
BEYOND_MM = 2.0
"""How far a terminal goes on beyond its last conductor to such a mark."""


@dataclass(frozen=True)
class Group:
    """Something that is drawn in one go, so wide, from a left edge on."""

    width_mm: float
    circuits: tuple[str, ...]
    draw: Callable[[Plot, float], None]


def two_poles(
    labels: Labels, circuit: Circuit, start: str, middle: str, goal: str
) -> tuple[tuple[Core, ...], tuple[Core, ...]] | None:
    """Positive from start to middle, negative from the middle on to the goal.

    None where that leaves out a core of the circuit.
    """
    found = labels.cores[circuit.name]
    plus = walk(found, start, "+", (middle,))
    minus = walk(found, middle, "-", (goal,))
    if not plus or not minus or len(plus) + len(minus) < len(found):
        return None
    reached = plus[-1].to_thing == middle and minus[-1].to_thing == goal
    return (tuple(plus), tuple(minus)) if reached else None


def connector(plot: Plot, x: float, y: float, name: str, page: int, *, under: bool) -> None:
    """A mark at the end of a bar that goes on, on another page; both ends bear its name."""
    right = x + CONNECTOR_MM
    point = right if page > plot.number else x
    back = x if page > plot.number else right
    neck = (point + back) / 2
    shape = ((back, y - 1.6), (neck, y - 1.6), (point, y), (neck, y + 1.6), (back, y + 1.6))
    plot.page.symbols.append(
        Symbol(
            kind="connector",
            id=name,
            box=Box(x, y - 1.6, right, y + 1.6),
            strokes=(Stroke(shape, closed=True),),
        )
    )
    at = y + 2.4 if under else y - 7.6
    lines = [name, f"page {page}"]
    wide = max(width_mm(line, TEXT_MM) for line in lines)
    # Away from the bar, whose own text begins where the bar does.
    left = x if page > plot.number else right - wide
    plot.page.write((left, at), lines, TEXT_MM, page=page)
