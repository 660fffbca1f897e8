"""What feeds a device on its left by two poles: an array, or a battery outside."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bom.drawings.groups import DEVICE_MM
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm, shortened, wrap
from bom.drawings.page import Box, Stroke, corners
from bom.drawings.paths import Core
from bom.drawings.plot import (
    TEXT_WIDTH_MM,
    Chain,
    Crowded,
    Plot,
    beside_mm,
    chain,
    is_sheathed,
    room_mm,
)
from bom.drawings.symbols import HEIGHTS_MM
from solver.records import Circuit

LOOP_MM = 46.0
"""How high the lines to the left of a device go."""
APART_MM = 3.0
"""Kept of the room between the poles, over and under the panels."""
LEAST_MM = 1.2
"""From one panel of a string to the next."""
PANELS_MM = 16.0
"""From one string of panels to the next."""
INNER_MM = 14.0
"""From a device's line to the line that comes down to it, on its left."""
BOX_MM = (2.6, 1.2, 15.5)
"""Of a combiner's outline: left of the first string, beyond the joint, right of the last string."""
FUSE_LEAD_MM = 1.5
"""Over and under the fuse of a string."""
DEEPER_MM = 34.0
"""So far below the device's port its first line goes where several things stand in each pole."""
EDGE_MM = 5.5
"""From the left edge to the first line."""
JOINT_MM = 4.4
"""From the first line to the joint that works both poles of a device in it."""
BLADE_MM = 4.3
"""From the upper terminal of such a pole to the middle of its blade."""


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
    fuses: tuple[str, ...] = ()
    """The fuse in the positive of each string, where they have fuses."""
    negative_fuses: tuple[str, ...] = ()
    """Likewise in the negative."""
    combiner: str = ""
    """What the strings meet in; empty: branch pairs, or one string."""


def loop_mm(labels: Labels, loop: Loop) -> float:
    """Room that it takes to the left of its device's line."""
    return INNER_MM + _beside_mm(labels, loop) + (len(loop.strings) - 1) * PANELS_MM + EDGE_MM


def _beside_mm(labels: Labels, loop: Loop) -> float:
    """Room for what stands beside its first line."""
    inside = [c.to_thing for c in (*loop.plus[:-1], *loop.minus[:-1])]
    widest = max((beside_mm(labels.kind(thing)) for thing in inside), default=0.0)
    return max(17.0, widest + TEXT_WIDTH_MM + 0.7)


def draw_loop(plot: Plot, x: float, loop: Loop) -> None:
    """The loop to the left of a device whose line is at `x`."""
    inner, first = x - INNER_MM, x - loop_mm(plot.labels, loop) + EDGE_MM
    upper, lower = DEVICE_MM + 3, DEVICE_MM + 11
    _ports(plot, x, loop)
    several = len(loop.minus) > 2
    deepest = lower + DEEPER_MM if several else lower
    up_again = ((inner, deepest), (inner, lower)) if several else ()
    top, bottom, brief = _between_poles(plot.labels, loop, deepest)
    lead_in = ((x - 7, upper), (inner, upper), (inner, LOOP_MM))
    how = Chain(circuit=_told(loop), lead_in=lead_in, brief=brief)
    chain(plot, first, LOOP_MM, top, loop.plus, how)
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
    how = Chain(lead_out=(*up_again, (x - 7, lower)), brief=brief)
    chain(plot, first, bottom, deepest, loop.minus, how)
    if not any(is_sheathed(core) for core in loop.plus):
        _draw_joints(plot, first, loop)


def _told(loop: Loop) -> str:
    """The circuit's name beside its first conductor; that of an array stands over it."""
    return "" if _is_array(loop) else loop.circuit.name


def _between_poles(labels: Labels, loop: Loop, lower: float) -> tuple[float, float, bool]:
    """From where to where the source has room, and whether what stands before it is brief.

    It is where the panels' names would find no room otherwise.
    """
    names = max(len(string) for string in loop.strings) * height_mm(1, TEXT_MM)
    names += _fuses_mm(loop.fuses) + _fuses_mm(loop.negative_fuses)
    for brief in (False, True):
        top = LOOP_MM + room_mm(labels, loop.plus, circuit=_told(loop), brief=brief)
        bottom = lower - room_mm(labels, loop.minus, brief=brief)
        if bottom - top - APART_MM >= names:
            break
    return top, bottom, brief


def _draw_joints(plot: Plot, first: float, loop: Loop) -> None:
    """What moves both poles of one device, on the free side of the line that it stands in."""
    lane = first - JOINT_MM
    for thing in dict.fromkeys(core.to_thing for core in loop.plus[:-1]):
        poles = [s for s in plot.page.symbols if s.id == thing and s.kind == "isolator"]
        if len(poles) != 2:
            continue
        (edge, upper), (_, lower) = ((s.box.left_mm, s.box.top_mm + BLADE_MM) for s in poles)
        points = ((edge, upper), (lane, upper), (lane, lower), (edge, lower))
        plot.page.lines.append(Stroke(points, "joint"))


def _is_array(loop: Loop) -> bool:
    return loop.circuit.kind == "array"


def _ports(plot: Plot, x: float, loop: Loop) -> None:
    for core_at, y in (
        (loop.plus[0].from_, DEVICE_MM + 3),
        (loop.minus[-1].to, DEVICE_MM + 11),
    ):
        name = core_at.rpartition(":")[2]
        plot.note((x - 13.0, y - 3.0), [name])


def _fuses_mm(fuses: Sequence[str]) -> float:
    """Room for the fuses of strings, over their panels or under them."""
    return HEIGHTS_MM["fuse"] + 2 * FUSE_LEAD_MM if fuses else 0.0


def _draw_fuses(plot: Plot, first: float, joint: float, loop: Loop) -> float:
    """The fuse of each string, its rating told once over the array; where the panels begin."""
    for n, fuse in enumerate(loop.fuses):
        x, y = first + n * PANELS_MM, joint + FUSE_LEAD_MM
        _draw_fuse(plot, (x, y), fuse)
        plot.page.lines.append(Stroke(((first, joint), (x, joint), (x, y))[n == 0 :], "lead"))
    return joint + _fuses_mm(loop.fuses) - (FUSE_LEAD_MM if loop.fuses else 0.0)


def _draw_negative_fuses(plot: Plot, first: float, joint: float, loop: Loop) -> float:
    """Likewise under the panels, where they have any; where the panels end."""
    if not loop.negative_fuses:
        return joint
    for n, fuse in enumerate(loop.negative_fuses):
        x, y = first + n * PANELS_MM, joint - FUSE_LEAD_MM
        _draw_fuse(plot, (x, y - HEIGHTS_MM["fuse"]), fuse)
        plot.page.lines.append(
            Stroke(((x, y), (x, joint), (first, joint))[: 3 - (n == 0)], "lead")
        )
    return joint - _fuses_mm(loop.negative_fuses) + FUSE_LEAD_MM


def _draw_fuse(plot: Plot, at: tuple[float, float], fuse: str) -> None:
    plot.place("fuse", fuse, at)
    plot.note((at[0] + 2.4, at[1] + HEIGHTS_MM["fuse"] / 2 - 1.2), [fuse])


def _draw_panels(plot: Plot, first: float, above: float, below: float, loop: Loop) -> None:
    """Strings of panels beside each other, joined by the panels' own leads."""
    number = len(loop.strings[0])
    top = _draw_fuses(plot, first, above, loop)
    bottom = _draw_negative_fuses(plot, first, below, loop)
    pitch = min(10.0, (bottom - top - APART_MM) / number)
    if pitch < LEAST_MM:
        raise Crowded(loop.circuit.name)
    high = min(7.0, pitch * 0.75)
    span = (number - 1) * pitch + high
    start = top + (bottom - top - span) / 2
    for n, string in enumerate(loop.strings):
        x = first + n * PANELS_MM
        # with fuses, what joins the strings lies beyond these
        leads = (
            [*([] if loop.fuses else [(first, top)]), (x, top), (x, start)],
            [
                (x, start + span),
                (x, bottom),
                *([] if loop.negative_fuses else [(first, bottom)]),
            ],
        )
        plot.page.lines += [Stroke(tuple(dict.fromkeys(p)), "lead") for p in leads]
        for m, panel in enumerate(string):
            y = start + m * pitch
            plot.place("panel", panel, (x, y), high)
            if m:
                plot.page.lines.append(Stroke(((x, y - pitch + high), (x, y)), "lead"))
            if pitch >= height_mm(1, TEXT_MM) or m in (0, number - 1):
                plot.note((x + 3.6, y + high / 2 - 1.2), [panel])
    if len(loop.strings) > 1:
        plot.dot((first, above))
        plot.dot((first, below))
    if loop.combiner:
        _draw_combiner(plot, first, above, below, loop)


def _draw_combiner(plot: Plot, first: float, above: float, below: float, loop: Loop) -> None:
    """One box about where the strings meet, and their fuses: its part about each pole."""
    left_mm, over_mm, right_mm = BOX_MM
    last = first + (len(loop.strings) - 1) * PANELS_MM
    left, right = first - left_mm, last + right_mm
    top = above + max(_fuses_mm(loop.fuses), 2 * over_mm)
    bottom = below - max(_fuses_mm(loop.negative_fuses), 2 * over_mm)
    for box in (
        Box(left, above - over_mm, right, top),
        Box(left, bottom, right, below + over_mm),
    ):
        plot.page.lines.append(Stroke(corners(box), "outline", closed=True))
    plot.note((last + 2.2, above - over_mm + 0.9), [loop.combiner])
