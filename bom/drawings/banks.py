"""The bank: its strings, their protection, the switch above and the shunt below."""

from __future__ import annotations

from dataclasses import dataclass

from bom.drawings.groups import OVER_LOWER_MM, UNDER_UPPER_MM, Group
from bom.drawings.labels import TEXT_MM
from bom.drawings.lettering import height_mm
from bom.drawings.page import Stroke
from bom.drawings.paths import Core
from bom.drawings.plot import TERMINAL_MM, TEXT_WIDTH_MM, Chain, Plot, beside_mm, chain, room_mm
from bom.drawings.symbols import HALF_WIDTHS_MM, HEIGHTS_MM
from solver.records import Circuit

SWITCH_STRINGS_MM = 66.0
"""Where the strings of a bank meet the switch."""
SHUNT_MM = 201.0
"""Upper edge of the shunt."""
STRING_MM = 26.0
"""From one line of batteries to the next."""
IN_A_LINE = 4
"""Batteries of a string that stand under each other; the next ones stand beside them."""


@dataclass(frozen=True)
class Bank:
    """The bank with its way to the bars."""

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

    @property
    def columns(self) -> int:
        """Lines on which its batteries stand."""
        return -(-len(self.batteries) // IN_A_LINE)


def bank_group(bank: Bank) -> Group:
    """Bank, protection, switch and shunt."""
    columns = sum(s.columns for s in bank.strings)
    return Group(
        5 + columns * STRING_MM,
        bank.circuits,
        lambda plot, left: _draw_bank(plot, left + 5, bank),
    )


def _draw_bank(plot: Plot, x: float, bank: Bank) -> None:
    switch, shunt = bank.up[-1].to_thing, bank.down[0].from_thing
    plot.land(bank.up[0].from_, bank.up[0].from_thing, x)
    top = SWITCH_STRINGS_MM - 2 - HEIGHTS_MM[plot.labels.kind(switch)]
    chain(plot, x, UNDER_UPPER_MM, top, bank.up, Chain(circuit="bank to bus bars", width_mm=20))
    _inline(plot, x, top, switch)
    xs, ends = _string_lines(x, bank)
    _reach(plot, bank.strings[0].plus[0].from_, x, x, xs[-1], SWITCH_STRINGS_MM, below=top + 8)
    for at, end, string in zip(xs, ends, bank.strings, strict=True):
        _draw_string(plot, at, end, string)
    last = ends[-1]
    joined = SHUNT_MM - 2
    _reach(plot, bank.strings[0].minus[-1].to, last, ends[0], last, joined, above=SHUNT_MM)
    _inline(plot, last, SHUNT_MM, shunt)
    chain(
        plot,
        last,
        SHUNT_MM + HEIGHTS_MM[plot.labels.kind(shunt)],
        OVER_LOWER_MM,
        bank.down,
        Chain(width_mm=20),
    )
    plot.land(bank.down[-1].to, bank.down[-1].to_thing, last)


def _inline(plot: Plot, x: float, y: float, thing: str) -> None:
    kind = plot.labels.kind(thing)
    plot.place(kind, thing, (x, y))
    lines = plot.labels.lines(thing, STRING_MM - 8)
    plot.note((x + beside_mm(kind), y), lines, bold_first=True)


def _string_lines(x: float, bank: Bank) -> tuple[list[float], list[float]]:
    """Where each string begins and ends."""
    starts, ends = [], []
    column = 0
    for string in bank.strings:
        starts.append(x + column * STRING_MM)
        column += string.columns
        ends.append(x + (column - 1) * STRING_MM)
    return starts, ends


def _reach(
    plot: Plot,
    at: str,
    x: float,
    left: float,
    right: float,
    y: float,
    *,
    below: float | None = None,
    above: float | None = None,
) -> None:
    """A terminal wide enough for all strings, and its way to the symbol it belongs to."""
    plot.terminal(at, left, right, y)
    ends = (below, y - TERMINAL_MM / 2) if below is not None else (y + TERMINAL_MM / 2, above)
    plot.page.lines.append(Stroke(((x, ends[0] or y), (x, ends[1] or y)), "symbol"))


def _draw_string(plot: Plot, x: float, end: float, string: String) -> None:
    high = HEIGHTS_MM["battery"]
    foot = SHUNT_MM - 2 - TERMINAL_MM / 2
    start = foot - room_mm(plot, string.minus) - _batteries_mm(plot, string)
    chain(
        plot,
        x,
        SWITCH_STRINGS_MM + TERMINAL_MM / 2,
        start,
        string.plus,
        Chain(circuit=string.circuit.name, width_mm=18),
    )
    y = start
    for n, battery in enumerate(string.batteries):
        plot.place("battery", battery, (x, y))
        lines = plot.labels.lines(battery, STRING_MM - 9)
        plot.note((x + 4.2, y + 0.4), lines[:1] if n else lines[:-1][:3], bold_first=True)
        if n == len(string.batteries) - 1:
            break
        link = string.links[n]
        if (n + 1) % IN_A_LINE:
            step = _link_mm(plot, link)
            chain(plot, x, y + high, y + high + step, [link], Chain())
            y += high + step
        else:
            lane, goal = x + STRING_MM - 5.5, x + STRING_MM
            chain(
                plot,
                x,
                y + high,
                y + high + _link_mm(plot, link),
                [link],
                Chain(
                    lead_out=(
                        (lane, y + high + _link_mm(plot, link)),
                        (lane, start - 2),
                        (goal, start - 2),
                        (goal, start),
                    )
                ),
            )
            x, y = goal, start
    chain(plot, x, y + high, foot, string.minus, Chain())


def _batteries_mm(plot: Plot, string: String) -> float:
    under = min(len(string.batteries), IN_A_LINE)
    step = _link_mm(plot, string.links[0]) if string.links else 0
    extra = step if string.columns > 1 else 0
    return under * HEIGHTS_MM["battery"] + (under - 1) * step + extra


def _link_mm(plot: Plot, link: Core) -> float:
    return height_mm(len(plot.label_lines(link, TEXT_WIDTH_MM)), TEXT_MM) + 3.2
