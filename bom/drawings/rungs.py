"""Devices between the bus bars, with what feeds them and, on their right, what they feed."""

from __future__ import annotations

from dataclasses import dataclass

from bom.drawings.earths import case_earth_mm, draw_case_earth
from bom.drawings.groups import (
    DEVICE_MM,
    LOWER_BAR_MM,
    OVER_LOWER_MM,
    UNDER_UPPER_MM,
    UPPER_BAR_MM,
    Group,
)
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm
from bom.drawings.loops import Loop, draw_loop, loop_mm
from bom.drawings.outlets import Run, draw_inlet, draw_outlets, more_outlets, pitch_mm
from bom.drawings.paths import Core
from bom.drawings.plot import BESIDE_MM, Chain, Plot, chain
from solver.records import Circuit

DEVICE_TEXT_MM = 20.0
"""Room for what is written beside a device."""
OUTLETS_MM = 22.0
"""From a device's line to its first AC load."""
BESIDE_EARTH_MM = 25.0
"""The same where the earth of the device's case stands between."""
ALONE_MM = 25.0
"""Room to the right of a device that feeds nothing there."""


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
    earth: Core | None = None
    """From the device's case."""

    def left_mm(self, labels: Labels) -> float:
        """Room to the left of its line."""
        if self.loop is not None:
            return loop_mm(labels, self.loop)
        return 27.0 if self.inlet is not None else 8.0

    @property
    def outlets_mm(self) -> float:
        """From its line to its first AC load."""
        return OUTLETS_MM if self.earth is None else BESIDE_EARTH_MM


def rung_group(labels: Labels, rung: Rung, most_mm: float) -> list[Group]:
    """A device with all that hangs on it; AC loads that find no room on its page come after."""
    first, before = rung.outlets_mm, rung.left_mm(labels)
    pitch = pitch_mm(labels, rung.outlets)
    room = int((most_mm - before - first - pitch) // pitch) + 1
    here, later = rung.outlets[:room], rung.outlets[room:]
    right = first + len(here) * pitch - 1 if here else ALONE_MM
    told = [rung.circuit, *(x.circuit for x in (rung.loop, rung.inlet, *here) if x)]
    names = [c.name for c in told] + ([rung.earth.cut.circuit] if rung.earth else [])
    group = Group(
        before + right,
        tuple(names),
        lambda plot, left: _draw_rung(plot, left + before, rung, here, bool(later)),
    )
    return [group, *more_outlets(labels, rung.device, later, most_mm)]


def _draw_rung(
    plot: Plot, x: float, rung: Rung, outlets: tuple[Run, ...], goes_on: bool
) -> None:
    beside = plot.labels.lines(rung.device, DEVICE_TEXT_MM)
    tall = height_mm(len(beside), TEXT_MM) + 3
    plot.land(rung.plus[0].from_, rung.plus[0].from_thing, x, UPPER_BAR_MM)
    how = Chain(circuit=rung.circuit.name, kept_mm=tall, width_mm=DEVICE_TEXT_MM)
    chain(plot, x, UNDER_UPPER_MM, DEVICE_MM, rung.plus, how)
    plot.place(plot.labels.kind(rung.device), rung.device, (x, DEVICE_MM))
    plot.name((x + BESIDE_MM, DEVICE_MM - tall + 1.5), rung.device, DEVICE_TEXT_MM)
    earth_mm = case_earth_mm(plot.labels, rung.earth) if rung.earth else 0.0
    how = Chain(clear_mm=earth_mm)
    chain(plot, x, DEVICE_MM + 14, OVER_LOWER_MM, rung.minus, how)
    plot.note((x - 2.6, DEVICE_MM - 2.8), ["+"])
    plot.note((x - 2.6, DEVICE_MM + 14.6), ["−"])
    plot.land(rung.minus[-1].to, rung.minus[-1].to_thing, x, LOWER_BAR_MM)
    if rung.earth is not None:
        draw_case_earth(plot, x, rung.earth)
    if rung.loop is not None:
        draw_loop(plot, x, rung.loop)
    if rung.inlet is not None:
        draw_inlet(plot, x, rung.inlet)
    if outlets:
        draw_outlets(plot, x + rung.outlets_mm, x + 7, outlets, goes_on)
