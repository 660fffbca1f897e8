"""The bank: its strings, their protection, the switch above and the shunt below."""

from __future__ import annotations

from dataclasses import dataclass

from bom.drawings.groups import (
    LOWER_BAR_MM,
    OVER_LOWER_MM,
    UNDER_UPPER_MM,
    UPPER_BAR_MM,
    Group,
)
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm, wrap
from bom.drawings.page import Point, Stroke
from bom.drawings.paths import Core
from bom.drawings.plot import (
    TERMINAL_MM,
    TEXT_WIDTH_MM,
    Chain,
    Plot,
    beside_mm,
    chain,
    room_mm,
    symbol_mm,
)
from bom.drawings.symbols import HEIGHTS_MM
from solver.records import Circuit

STRING_MM = 26.0
"""From one line of batteries to the next."""
BATTERY_MM = HEIGHTS_MM["battery"]
BATTERY_TEXT_MM = 15.0
"""Room for the texts of a battery."""
WIDE_MM = 18.0
"""Room for the texts of a bank."""
LINK_MM = 1.6
"""Over and under the label of a link between batteries."""
JOIN_MM = 2.0
"""From where strings meet to the switch or shunt they meet at."""


@dataclass(frozen=True)
class Bank:
    """The bank with its way to the bars."""

    trunk: Circuit
    """From switch and shunt to the bars."""
    circuits: tuple[str, ...]
    up: tuple[Core, ...]
    """Upper bar to switch."""
    down: tuple[Core, ...]
    """Shunt to lower bar."""
    strings: tuple[String, ...]


@dataclass(frozen=True)
class String:
    """Batteries in series, the positive end first."""

    circuit: Circuit
    plus: tuple[Core, ...]
    """Switch to the first battery."""
    batteries: tuple[str, ...]
    links: tuple[Core, ...]
    minus: tuple[Core, ...]
    """Last battery to shunt."""


@dataclass(frozen=True, kw_only=True)
class Heights:
    """Where the parts of a bank stand, from top to bottom."""

    switch_mm: float
    meet_mm: float
    """Where the strings meet under the switch."""
    start_mm: float
    """Top of each string's first battery."""
    in_a_line: int
    """Batteries that find room under each other; the next ones stand beside them."""
    foot_mm: float
    """Where the strings meet over the shunt."""
    shunt_mm: float


def bank_group(labels: Labels, bank: Bank) -> Group:
    """Bank, protection, switch and shunt."""
    heights = _heights(labels, bank)
    columns = sum(_columns(s, heights) for s in bank.strings)
    return Group(
        5 + columns * STRING_MM,
        bank.circuits,
        lambda plot, left: _draw_bank(plot, left + 5, bank, heights),
    )


def _heights(labels: Labels, bank: Bank) -> Heights:
    def tall(thing: str) -> float:
        return symbol_mm(labels, thing, WIDE_MM)

    top = UNDER_UPPER_MM + room_mm(labels, bank.up, width_mm=WIDE_MM, circuit=bank.trunk.name)
    meet = top + tall(bank.up[-1].to_thing) + JOIN_MM
    shunt = OVER_LOWER_MM - room_mm(labels, bank.down, width_mm=WIDE_MM)
    shunt -= tall(bank.down[0].from_thing)
    foot = shunt - JOIN_MM
    above = max(
        room_mm(labels, s.plus, width_mm=WIDE_MM, circuit=s.circuit.name) for s in bank.strings
    )
    below = max(room_mm(labels, s.minus, width_mm=WIDE_MM) for s in bank.strings)
    room = foot - below - meet - above
    links = [link for s in bank.strings for link in s.links]
    step = BATTERY_MM + max((_link_mm(labels, link) for link in links), default=0.0)
    series = len(bank.strings[0].batteries)
    whole = series * step - (step - BATTERY_MM)
    fit = series if whole <= room else max(1, int(room // step))
    used = whole if fit == series else fit * step
    return Heights(
        switch_mm=top,
        meet_mm=meet,
        start_mm=foot - below - used,
        in_a_line=fit,
        foot_mm=foot,
        shunt_mm=shunt,
    )


def _link_mm(labels: Labels, link: Core) -> float:
    lines = len(labels.wire_lines(link.cut, TEXT_WIDTH_MM))
    return height_mm(lines, TEXT_MM) + 2 * LINK_MM


def _columns(string: String, heights: Heights) -> int:
    """Lines on which a string's batteries stand."""
    return -(-len(string.batteries) // heights.in_a_line)


def _draw_bank(plot: Plot, x: float, bank: Bank, at: Heights) -> None:
    switch, shunt = bank.up[-1].to_thing, bank.down[0].from_thing
    plot.land(bank.up[0].from_, bank.up[0].from_thing, x, UPPER_BAR_MM)
    told = Chain(circuit=bank.trunk.name, width_mm=WIDE_MM)
    chain(plot, x, UNDER_UPPER_MM, at.switch_mm, bank.up, told)
    foot = _inline(plot, x, at.switch_mm, switch)
    begins, ends = _string_lines(x, bank, at)
    plot.terminal(bank.strings[0].plus[0].from_, x, begins[-1], at.meet_mm)
    plot.page.lines.append(Stroke(((x, foot), (x, at.meet_mm))))
    for begin, string in zip(begins, bank.strings, strict=True):
        _draw_string(plot, begin, string, at)
    last = ends[-1]
    plot.terminal(bank.strings[0].minus[-1].to, ends[0], last, at.foot_mm)
    plot.page.lines.append(Stroke(((last, at.foot_mm), (last, at.shunt_mm))))
    foot = _inline(plot, last, at.shunt_mm, shunt)
    clear = at.shunt_mm + symbol_mm(plot.labels, shunt, WIDE_MM) - foot
    how = Chain(width_mm=WIDE_MM, clear_mm=clear)
    chain(plot, last, foot, OVER_LOWER_MM, bank.down, how)
    plot.land(bank.down[-1].to, bank.down[-1].to_thing, last, LOWER_BAR_MM)


def _inline(plot: Plot, x: float, y: float, thing: str) -> float:
    """A symbol with its text; returns where the line goes on."""
    kind = plot.labels.kind(thing)
    plot.place(kind, thing, (x, y))
    plot.name((x + beside_mm(kind), y), thing, WIDE_MM)
    return y + HEIGHTS_MM[kind]


def _string_lines(x: float, bank: Bank, at: Heights) -> tuple[list[float], list[float]]:
    """On which line each string begins, and on which it ends."""
    begins, ends = [], []
    column = 0
    for string in bank.strings:
        begins.append(x + column * STRING_MM)
        column += _columns(string, at)
        ends.append(x + (column - 1) * STRING_MM)
    return begins, ends


def _draw_string(plot: Plot, x: float, string: String, at: Heights) -> None:
    half = TERMINAL_MM / 2
    told = Chain(circuit=string.circuit.name, width_mm=WIDE_MM)
    chain(plot, x, at.meet_mm + half, at.start_mm, string.plus, told)
    y = at.start_mm
    for n, battery in enumerate(string.batteries):
        plot.place("battery", battery, (x, y))
        _name_battery(plot, (x + beside_mm("battery"), y), battery, brief=n > 0)
        if n == len(string.batteries) - 1:
            break
        x, y = _draw_link(plot, x, y + BATTERY_MM, string.links[n], at, n)
    chain(plot, x, y + BATTERY_MM, at.foot_mm - half, string.minus, Chain(width_mm=WIDE_MM))


def _name_battery(plot: Plot, at: Point, battery: str, *, brief: bool) -> None:
    """A battery's name, and of the first one more; a cable's label may follow right below."""
    lines = plot.labels.lines(battery, BATTERY_TEXT_MM)
    plugged = wrap(plot.labels.plugged(battery), BATTERY_TEXT_MM, TEXT_MM)
    # its place comes last, and is told whole or not at all
    most = 1 if brief else 4 if len(lines) <= 4 and not plugged else 3
    lines = [*lines[:most], *plugged]
    x, y = at
    plot.page.write((x, y + (0.4 if len(lines) < 4 else -1.2)), lines, TEXT_MM, bold=1)


def _draw_link(
    plot: Plot, x: float, y: float, link: Core, at: Heights, n: int
) -> tuple[float, float]:
    """A link from a battery to the next, which stands below it or at the top of the next line."""
    end = y + _link_mm(plot.labels, link)
    if (n + 1) % at.in_a_line:
        plot.wire(link, [(x, y), (x, end)], look="link")
        plot.label(link, (x, y + LINK_MM), TEXT_WIDTH_MM)
        return x, end
    lane, goal, over = x + STRING_MM - 5.5, x + STRING_MM, at.start_mm - 1.0
    points = [(x, y), (x, end), (lane, end), (lane, over), (goal, over), (goal, at.start_mm)]
    plot.wire(link, points, look="link")
    plot.label(link, (x, y + LINK_MM), TEXT_WIDTH_MM)
    return goal, at.start_mm
