"""Bonds and earthing conductors: from the negative bus bar, and from the case of a device."""

from __future__ import annotations

from bom.drawings.groups import DEVICE_MM, LOWER_BAR_MM, OVER_LOWER_MM, Group
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm
from bom.drawings.paths import Core
from bom.drawings.plot import (
    BETWEEN_MM,
    TEXT_WIDTH_MM,
    Plot,
    beside_mm,
    label_lines,
)
from bom.drawings.symbols import HEIGHTS_MM

BOND_MM = 22.0
"""Width of the bond's group."""
BAR_EDGE_MM = 4.0
"""From the group's left edge to its conductor."""
OVER_MM = 6.0
"""How far beside its conductor the bond's earth stands."""
RISE_MM = 3.0
"""From the earth's upper terminal to where the conductor turns down to it."""
CASE_MM = 4.0
"""From a device's line to the earthing conductor of its case, on its right."""
HIGH_MM = HEIGHTS_MM["earth"]


def bond_group(labels: Labels, bond: Core) -> Group:
    """From a stud of the lower bar up, and over to an earth."""

    def draw(plot: Plot, left: float) -> None:
        x = left + BAR_EDGE_MM
        tall = _text_mm(labels, bond)
        foot = OVER_LOWER_MM - BETWEEN_MM - tall
        top = foot - BETWEEN_MM - HIGH_MM
        turn, over = top - RISE_MM, x + OVER_MM
        plot.land(bond.from_, bond.from_thing, x, LOWER_BAR_MM)
        plot.wire(bond, [(x, OVER_LOWER_MM), (x, turn), (over, turn), (over, top)])
        _draw_earth(plot, over, top, bond)
        plot.label(bond, (x, foot), TEXT_WIDTH_MM, bond.cut.circuit)

    return Group(BOND_MM, (bond.cut.circuit,), draw)


def case_earth_mm(labels: Labels, earth: Core) -> float:
    """Room under a device that the earth of its case takes."""
    return _text_mm(labels, earth) + 2 * BETWEEN_MM + HIGH_MM


def draw_case_earth(plot: Plot, x: float, earth: Core) -> None:
    """From the foot of a device whose line is at `x`, beside the conductor of its negative."""
    at, top = x + CASE_MM, DEVICE_MM + 14
    end = top + case_earth_mm(plot.labels, earth) - HIGH_MM
    plot.wire(earth, [(at, top), (at, end)])
    plot.label(earth, (at, top + BETWEEN_MM), TEXT_WIDTH_MM, earth.cut.circuit)
    _draw_earth(plot, at, end, earth)


def _text_mm(labels: Labels, core: Core) -> float:
    lines = label_lines(labels, core, TEXT_WIDTH_MM, core.cut.circuit)
    return height_mm(len(lines), TEXT_MM)


def _draw_earth(plot: Plot, x: float, y: float, core: Core) -> None:
    plot.place("earth", core.to_thing, (x, y))
    plot.name((x + beside_mm("earth"), y + 1.2), core.to_thing, TEXT_WIDTH_MM - 4)
