"""Devices between the bus bars, with what feeds them and, on their right, what they feed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bom.drawings.groups import (
    BEYOND_MM,
    CONNECTOR_MM,
    DEVICE_MM,
    LOWER_BAR_MM,
    OVER_LOWER_MM,
    UNDER_UPPER_MM,
    UPPER_BAR_MM,
    Group,
    connector,
)
from bom.drawings.labels import LICENSED, TEXT_MM, Labels
from bom.drawings.lettering import height_mm, shortened, wrap
from bom.drawings.page import Stroke
from bom.drawings.paths import Core
from bom.drawings.plot import (
    BESIDE_MM,
    BETWEEN_MM,
    TERMINAL_MM,
    TEXT_WIDTH_MM,
    Chain,
    Plot,
    beside_mm,
    chain,
    room_mm,
)
from bom.drawings.symbols import HALF_WIDTHS_MM, HEIGHTS_MM
from solver.records import Circuit

DEVICE_TEXT_MM = 20.0
"""Room for what is written beside a device."""
LOOP_MM = 46.0
"""How high the lines to the left of a device go."""
OUTLET_MM = 17.0
"""From one load on a device's outlet to the next."""
PANELS_MM = 16.0
"""From one string of panels to the next."""
CABLE_GAP_MM = 3.0
"""Over and under a label of a cable that is drawn as one line: its strokes need room."""


@dataclass(frozen=True)
class Rung:
    """A device between the bars."""

    device: str
    circuit: Circuit
    plus: tuple[Core, ...]
    """From the upper bar down."""
    minus: tuple[Core, ...]
    """From the device down."""
    loop: Loop | None
    inlet: Run | None
    outlets: tuple[Run, ...]

    @property
    def left_mm(self) -> float:
        """Room to the left of its line."""
        if self.loop is not None:
            return 4.5 + (len(self.loop.strings) - 1) * PANELS_MM + 17 + 14
        return 27.0 if self.inlet is not None else 8.0


@dataclass(frozen=True)
class Loop:
    """What feeds a device on its left by two poles: an array, or a battery outside."""

    circuit: Circuit
    plus: tuple[Core, ...]
    """From the device to the source."""
    minus: tuple[Core, ...]
    """From the source to the device."""
    strings: tuple[tuple[str, ...], ...]
    """Panels of each string, the positive end first; of another source just that."""


@dataclass(frozen=True)
class Run:
    """A cable that is drawn as one line, for all its cores."""

    circuit: Circuit
    path: tuple[Core, ...]
    """The first of the cores, from the device on."""
    cores: int


def rung_group(labels: Labels, rung: Rung, most_mm: float) -> list[Group]:
    """A device with all that hangs on it; AC loads that find no room on its page come after."""
    first = 22.0
    room = int((most_mm - rung.left_mm - first - TEXT_WIDTH_MM) // OUTLET_MM) + 1
    here, later = rung.outlets[:room], rung.outlets[room:]
    right = first + (len(here) - 1) * OUTLET_MM + 16 if here else 25.0
    told = [rung.circuit, *(x.circuit for x in (rung.loop, rung.inlet) if x), *_circuits(here)]
    groups = [
        Group(
            rung.left_mm + right,
            tuple(c.name for c in told),
            lambda plot, left: _draw_rung(plot, left + rung.left_mm, rung, here, bool(later)),
        )
    ]
    each = int((most_mm - 10) // OUTLET_MM)
    for n in range(0, len(later), each):
        part = later[n : n + each]
        goes_on = n + each < len(later)
        groups.append(
            Group(
                10 + len(part) * OUTLET_MM,
                tuple(c.name for c in _circuits(part)),
                _more_outlets(rung.device, part, goes_on),
            )
        )
    return groups


def _circuits(runs: Sequence[Run]) -> list[Circuit]:
    return [r.circuit for r in runs]


def _more_outlets(
    device: str, part: Sequence[Run], goes_on: bool
) -> Callable[[Plot, float], None]:
    def draw(plot: Plot, left: float) -> None:
        y = DEVICE_MM + 7
        connector(plot, left, y, f"{device}:out", plot.number - 1, under=False)
        _draw_outlets(plot, left + 10, left + CONNECTOR_MM, y, part, goes_on)

    return draw


def _draw_rung(plot: Plot, x: float, rung: Rung, outlets: Sequence[Run], goes_on: bool) -> None:
    beside = plot.labels.lines(rung.device, DEVICE_TEXT_MM)
    tall = height_mm(len(beside), TEXT_MM) + 3
    plot.land(rung.plus[0].from_, rung.plus[0].from_thing, x, UPPER_BAR_MM)
    chain(
        plot,
        x,
        UNDER_UPPER_MM,
        DEVICE_MM,
        rung.plus,
        Chain(circuit=rung.circuit.name, kept_mm=tall),
    )
    plot.place(plot.labels.kind(rung.device), rung.device, (x, DEVICE_MM))
    plot.name((x + BESIDE_MM, DEVICE_MM - tall + 1.5), rung.device, DEVICE_TEXT_MM)
    chain(plot, x, DEVICE_MM + 14, OVER_LOWER_MM, rung.minus, Chain())
    plot.note((x - 2.6, DEVICE_MM - 2.8), ["+"])
    plot.note((x - 2.6, DEVICE_MM + 14.6), ["−"])
    plot.land(rung.minus[-1].to, rung.minus[-1].to_thing, x, LOWER_BAR_MM)
    if rung.loop is not None:
        _draw_loop(plot, x, rung.left_mm, rung.loop)
    if rung.inlet is not None:
        _draw_inlet(plot, x, rung.inlet)
    if outlets:
        _draw_outlets(plot, x + 22, x + 7, DEVICE_MM + 7, outlets, goes_on)


def _draw_inlet(plot: Plot, x: float, run: Run) -> None:
    at, y = x - 23, DEVICE_MM + 7
    end = y + _run_mm(plot, run, run.circuit.name)
    chain(
        plot,
        at,
        y,
        end,
        run.path,
        Chain(circuit=run.circuit.name, cores=run.cores, lead_in=((x - 7, y),)),
    )
    _draw_far(plot, at, end, run.path[-1].to_thing)


def _draw_outlets(
    plot: Plot, x: float, left: float, y: float, runs: Sequence[Run], goes_on: bool
) -> None:
    """The terminal of a device's outlet, and the cables that hang on it."""
    right = x + (len(runs) - 1) * OUTLET_MM + (BEYOND_MM if goes_on else 0.0)
    out, half = runs[0].path[0].from_, TERMINAL_MM / 2
    plot.terminal(out, left + half, right, y)
    said = wrap(f"AC side: {LICENSED}", right - x + OUTLET_MM - 3, TEXT_MM)
    plot.note((x, y - 1.5 - height_mm(len(said), TEXT_MM)), said)
    if goes_on:
        connector(plot, right + half, y, out, plot.number + 1, under=False)
    end = y + max(_run_mm(plot, run) for run in runs)
    for n, run in enumerate(runs):
        at = x + n * OUTLET_MM
        chain(plot, at, y + TERMINAL_MM / 2, end, run.path, Chain(cores=run.cores))
        _draw_far(plot, at, end, run.path[-1].to_thing)


def _run_mm(plot: Plot, run: Run, circuit: str = "") -> float:
    """Height of a run, its labels and symbols having room."""
    strokes = 2 * (CABLE_GAP_MM - BETWEEN_MM) * len(run.path)
    return room_mm(plot.labels, run.path, circuit=circuit) + strokes


def _draw_far(plot: Plot, x: float, y: float, thing: str) -> None:
    """What a run ends at, with its text underneath."""
    kind = plot.labels.kind(thing)
    plot.place(kind, thing, (x, y))
    below = y + HEIGHTS_MM[kind] + 1.0
    plot.name((x - HALF_WIDTHS_MM[kind], below), thing, TEXT_WIDTH_MM + 1)


def _draw_loop(plot: Plot, x: float, left_mm: float, loop: Loop) -> None:
    inner, first = x - 14, x - left_mm + 4.5
    upper, lower = DEVICE_MM + 3, DEVICE_MM + 11
    _ports(plot, x, loop)
    told = "" if _is_array(loop) else loop.circuit.name
    bottom = lower - room_mm(plot.labels, loop.minus)
    top = _loop_top(plot, loop, told)
    chain(
        plot,
        first,
        LOOP_MM,
        top,
        loop.plus,
        Chain(
            circuit=told,
            lead_in=((x - 7, upper), (inner, upper), (inner, LOOP_MM)),
        ),
    )
    if _is_array(loop):
        _draw_panels(plot, first, top, bottom, loop)
        wide = inner - first + 12
        text = shortened(wrap(plot.labels.array_text(loop.circuit), wide, TEXT_MM), 3)
        plot.note((first - 3.5, LOOP_MM - 1.5 - height_mm(len(text), TEXT_MM)), text)
    else:
        source = loop.strings[0][0]
        kind = plot.labels.kind(source)
        plot.place(kind, source, (first, top))
        plot.name((first + beside_mm(kind), top), source, TEXT_WIDTH_MM - 4)
        bottom = top + HEIGHTS_MM[kind]
    chain(plot, first, bottom, lower, loop.minus, Chain(lead_out=((x - 7, lower),)))


def _is_array(loop: Loop) -> bool:
    return loop.circuit.kind == "array"


def _ports(plot: Plot, x: float, loop: Loop) -> None:
    for core_at, y in (
        (loop.plus[0].from_, DEVICE_MM + 3),
        (loop.minus[-1].to, DEVICE_MM + 11),
    ):
        name = core_at.rpartition(":")[2]
        plot.note((x - 13.0, y - 3.0), [name])


def _loop_top(plot: Plot, loop: Loop, told: str) -> float:
    """Where the source begins: right under the last label of the positive's chain."""
    return LOOP_MM + room_mm(plot.labels, loop.plus, circuit=told)


def _draw_panels(plot: Plot, first: float, top: float, bottom: float, loop: Loop) -> None:
    """Strings of panels beside each other, joined by the panels' own leads."""
    number = len(loop.strings[0])
    pitch = min(10.0, (bottom - top - 3) / number)
    high = min(7.0, pitch * 0.75)
    span = (number - 1) * pitch + high
    start = top + (bottom - top - span) / 2
    for n, string in enumerate(loop.strings):
        x = first + n * PANELS_MM
        ends = (
            [(first, top), (x, top), (x, start)],
            [(x, start + span), (x, bottom), (first, bottom)],
        )
        plot.page.lines += [Stroke(tuple(dict.fromkeys(p)), "lead") for p in ends]
        for m, panel in enumerate(string):
            y = start + m * pitch
            plot.place("panel", panel, (x, y), high)
            if m:
                plot.page.lines.append(Stroke(((x, y - pitch + high), (x, y)), "lead"))
            if pitch >= 3.5 or m in (0, number - 1):
                plot.note((x + 3.6, y + high / 2 - 1.2), [panel])
    if len(loop.strings) > 1:
        plot.dot((first, top))
        plot.dot((first, bottom))
