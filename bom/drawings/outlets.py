"""The AC cables of a device: to its loads, and from an inlet. Each is drawn as one line."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bom.drawings.groups import (
    BEYOND_MM,
    CONNECTOR_MM,
    DEVICE_MM,
    OVER_LOWER_MM,
    Group,
    connector,
)
from bom.drawings.labels import LICENSED, TEXT_MM, Labels
from bom.drawings.lettering import height_mm, lines_in, shortened, wrap
from bom.drawings.paths import Core
from bom.drawings.plot import (
    BETWEEN_MM,
    TERMINAL_MM,
    TEXT_WIDTH_MM,
    Chain,
    Crowded,
    Plot,
    beside_mm,
    chain,
    room_mm,
)
from bom.drawings.symbols import HALF_WIDTHS_MM, HEIGHTS_MM
from solver.records import Circuit

OUTLET_MM = 17.0
"""From one load on a device's outlet to the next, if nothing stands in their lines."""
RUN_TEXT_MM = 15.0
"""Room for a text beside a line in which a breaker stands: for its name."""
APART_MM = 1.2
"""From that text to the symbol on its right."""
CABLE_GAP_MM = 3.0
"""Over and under a label of a cable that is drawn as one line: its strokes need room."""
AC_MM = DEVICE_MM + 7
"""How high a device's AC terminals lie."""
INLET_MM = 23.0
"""From a device's line to the line of its inlet, on the left."""
LOAD_TEXT_MM = 16.0
"""Room for what is written under a load."""
INLET_TEXT_MM = 21.0
"""Room for what is written under an inlet."""
FOOT_MM = OVER_LOWER_MM - 1.5
"""Lowest edge of what is written under a load."""


@dataclass(frozen=True)
class Run:
    """A cable that is drawn as one line, for all its cores."""

    circuit: Circuit
    path: tuple[Core, ...]
    """The first of the cores, from the device on."""
    cores: int


def pitch_mm(labels: Labels, runs: Sequence[Run]) -> float:
    """From one load to the next."""
    wide = (
        beside_mm(kind) + RUN_TEXT_MM + HALF_WIDTHS_MM[kind] + APART_MM
        for kind in _inside(labels, runs)
    )
    return max(wide, default=OUTLET_MM)


def _inside(labels: Labels, runs: Sequence[Run]) -> set[str]:
    """The symbols that stand in their lines."""
    return {labels.kind(core.to_thing) for run in runs for core in run.path[:-1]}


def _beside_mm(labels: Labels, runs: Sequence[Run]) -> float:
    """Room for the texts beside their lines."""
    return RUN_TEXT_MM if _inside(labels, runs) else TEXT_WIDTH_MM


def more_outlets(
    labels: Labels, device: str, runs: Sequence[Run], most_mm: float
) -> list[Group]:
    """Groups of loads that find no room on their device's own page."""
    pitch = pitch_mm(labels, runs)
    each = int((most_mm - 10) // pitch)
    groups = []
    for n in range(0, len(runs), each):
        part = runs[n : n + each]
        groups.append(
            Group(
                10 + len(part) * pitch,
                tuple(r.circuit.name for r in part),
                _more(device, part, n + each < len(runs)),
            )
        )
    return groups


def _more(device: str, part: Sequence[Run], goes_on: bool) -> Callable[[Plot, float], None]:
    def draw(plot: Plot, left: float) -> None:
        connector(plot, left, AC_MM, f"{device}:out", plot.number - 1, under=False)
        draw_outlets(plot, left + 10, left + CONNECTOR_MM, part, goes_on)

    return draw


def draw_outlets(plot: Plot, x: float, left: float, runs: Sequence[Run], goes_on: bool) -> None:
    """The terminal of a device's outlet, and the cables that hang on it."""
    pitch = pitch_mm(plot.labels, runs)
    right = x + (len(runs) - 1) * pitch + (BEYOND_MM if goes_on else 0.0)
    out, half = runs[0].path[0].from_, TERMINAL_MM / 2
    plot.terminal(out, left + half, right, AC_MM)
    said = wrap(f"AC side: {LICENSED}", right - x + OUTLET_MM - 3, TEXT_MM)
    plot.note((x, AC_MM - 1.5 - height_mm(len(said), TEXT_MM)), said)
    if goes_on:
        connector(plot, right + half, AC_MM, out, plot.number + 1, under=False)
    wide = _beside_mm(plot.labels, runs)
    end = AC_MM + max(_run_mm(plot, run, wide) for run in runs)
    for n, run in enumerate(runs):
        at = x + n * pitch
        how = Chain(cores=run.cores, width_mm=wide)
        chain(plot, at, AC_MM + half, end, run.path, how)
        _draw_far(plot, at, end, run, LOAD_TEXT_MM)


def draw_inlet(plot: Plot, x: float, run: Run) -> None:
    """An inlet to the left of a device whose line is at `x`."""
    at = x - INLET_MM
    wide = _beside_mm(plot.labels, [run])
    end = AC_MM + _run_mm(plot, run, wide, run.circuit.name)
    how = Chain(
        circuit=run.circuit.name, cores=run.cores, width_mm=wide, lead_in=((x - 7, AC_MM),)
    )
    chain(plot, at, AC_MM, end, run.path, how)
    _draw_far(plot, at, end, run, INLET_TEXT_MM)


def _run_mm(plot: Plot, run: Run, wide: float, circuit: str = "") -> float:
    """Height of a run, its labels and symbols having room."""
    strokes = 2 * (CABLE_GAP_MM - BETWEEN_MM)
    return room_mm(plot.labels, run.path, width_mm=wide, circuit=circuit) + strokes


def _draw_far(plot: Plot, x: float, y: float, run: Run, width_mm: float) -> None:
    """What a run ends at, with its text underneath."""
    thing = run.path[-1].to_thing
    kind = plot.labels.kind(thing)
    below = y + HEIGHTS_MM[kind] + 1.0
    lines = plot.labels.lines(thing, width_mm, of=run.circuit.name)
    most = lines_in(FOOT_MM - below, TEXT_MM)
    # What is said of a load stands elsewhere too; of an inlet nothing may be left out.
    if most < (len(lines) if kind == "inlet" else 1):
        raise Crowded(thing)
    plot.place(kind, thing, (x, y))
    bold = plot.labels.name_lines(thing, width_mm)
    at = (x - HALF_WIDTHS_MM[kind], below)
    plot.page.write(at, shortened(lines, most), TEXT_MM, bold=bold)
