"""Loads: on a block of fuses, or straight on the bus bars."""

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
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import height_mm, wrap
from bom.drawings.page import Box, Stroke, corners
from bom.drawings.paths import Core
from bom.drawings.plot import (
    BESIDE_MM,
    TERMINAL_MM,
    TEXT_WIDTH_MM,
    Chain,
    Plot,
    beside_mm,
    chain,
    room_mm,
)
from bom.drawings.symbols import HEIGHTS_MM
from solver.records import Circuit

BLOCK_MM = 88.0
"""Upper rail of a block of fuses."""
RETURN_MM = 206.0
"""Its lower one."""
COLUMN_MM = 20.0
"""From one load to the next."""
FEED_TEXT_MM = 20.0
"""Room for a text beside the feed of a block, over its first load."""


@dataclass(frozen=True)
class Branch:
    """A load with its two poles."""

    circuit: Circuit
    plus: tuple[Core, ...]
    minus: tuple[Core, ...]


@dataclass(frozen=True)
class Block:
    """A block of fuses with its feed and its loads."""

    id: str
    feed: Circuit
    plus: tuple[Core, ...]
    minus: tuple[Core, ...]
    branches: tuple[Branch, ...]


def direct_group(branch: Branch) -> Group:
    """A load straight on the bars."""

    def draw(plot: Plot, left: float) -> None:
        x = left + 5
        plot.land(branch.plus[0].from_, branch.plus[0].from_thing, x, UPPER_BAR_MM)
        _draw_branch(plot, x, UNDER_UPPER_MM, OVER_LOWER_MM, branch)
        plot.land(branch.minus[-1].to, branch.minus[-1].to_thing, x, LOWER_BAR_MM)

    return Group(COLUMN_MM, (branch.circuit.name,), draw)


def _draw_branch(plot: Plot, x: float, top: float, bottom: float, branch: Branch) -> None:
    load = branch.circuit.to
    kind = plot.labels.kind(load)
    chain(plot, x, top, DEVICE_MM, branch.plus, Chain())
    plot.place(kind, load, (x, DEVICE_MM))
    lines = plot.labels.lines(load, TEXT_WIDTH_MM)
    foot = DEVICE_MM + HEIGHTS_MM[kind]
    plot.name((x + BESIDE_MM, foot + 1.5), load, TEXT_WIDTH_MM)
    text = height_mm(len(lines), TEXT_MM) + 1.5
    _draw_return(plot, x, foot, bottom, branch.minus, text)


def _draw_return(
    plot: Plot, x: float, top: float, bottom: float, path: Sequence[Core], text_mm: float
) -> None:
    """The negative of a load, its labels under the load's text."""
    low = bottom - room_mm(plot.labels, path) - 6 - top
    chain(plot, x, top, bottom, path, Chain(clear_mm=max(text_mm, low)))


def block_groups(labels: Labels, block: Block, most_mm: float) -> list[Group]:
    """A block with its loads; ways that find no room on its page come after."""
    head, more = 25.0, 10.0
    first = int((most_mm - head) // COLUMN_MM)
    each = int((most_mm - more) // COLUMN_MM)
    parts = [block.branches[:first]]
    parts += [block.branches[n : n + each] for n in range(first, len(block.branches), each)]
    groups = []
    for n, part in enumerate(parts):
        told = () if n else (block.feed.name,)
        groups.append(
            Group(
                (more if n else head) + len(part) * COLUMN_MM,
                (*told, *(b.circuit.name for b in part)),
                _drawn_block(block, part, first=n == 0, goes_on=n + 1 < len(parts)),
            )
        )
    return groups


def _drawn_block(
    block: Block, part: Sequence[Branch], *, first: bool, goes_on: bool
) -> Callable[[Plot, float], None]:
    def draw(plot: Plot, left: float) -> None:
        _draw_block(plot, left + 5, block, part, first, goes_on)

    return draw


def _draw_block(
    plot: Plot, x: float, block: Block, part: Sequence[Branch], first: bool, goes_on: bool
) -> None:
    start = x + (20.0 if first else 5.0)
    right = start + (len(part) - 1) * COLUMN_MM
    plus_at, minus_at = block.plus[-1].to, block.minus[0].from_
    begin = x if first else x + 2
    end = right + BEYOND_MM if goes_on else max(right, begin)
    plot.terminal(plus_at, begin, end, BLOCK_MM)
    plot.terminal(minus_at, begin, end, RETURN_MM)
    half, tall = TERMINAL_MM / 2, 13.0
    if first:
        plot.land(block.plus[0].from_, block.plus[0].from_thing, x, UPPER_BAR_MM)
        how = Chain(circuit=block.feed.name, width_mm=FEED_TEXT_MM)
        chain(plot, x, UNDER_UPPER_MM, BLOCK_MM - half, block.plus, how)
        chain(plot, x, RETURN_MM + half, OVER_LOWER_MM, block.minus, Chain())
        plot.land(block.minus[-1].to, block.minus[-1].to_thing, x, LOWER_BAR_MM)
        lines = plot.labels.block_lines(block.id, 17)
        plot.page.write((x, BLOCK_MM + 2), lines, TEXT_MM, bold=1)
        tall = max(tall, height_mm(len(lines), TEXT_MM) + 3.5)
        name = wrap(f"{block.id} negative rail", 17, TEXT_MM)
        plot.note((x + BESIDE_MM, RETURN_MM - 6), name)
    else:
        _connectors(
            plot, begin - TERMINAL_MM / 2 - CONNECTOR_MM, plus_at, minus_at, plot.number - 1
        )
    if goes_on:
        _connectors(plot, end + TERMINAL_MM / 2, plus_at, minus_at, plot.number + 1)
    _draw_ways(plot, start, part, half)
    housing = Box(begin - 2.5, BLOCK_MM - 2, right + 14.8, BLOCK_MM + tall)
    plot.page.lines.append(Stroke(corners(housing), "outline", closed=True))


def _connectors(plot: Plot, x: float, plus_at: str, minus_at: str, page: int) -> None:
    connector(plot, x, BLOCK_MM, plus_at, page, under=False)
    connector(plot, x, RETURN_MM, minus_at, page, under=True)


def _draw_ways(plot: Plot, start: float, part: Sequence[Branch], half: float) -> None:
    for n, branch in enumerate(part):
        x = start + n * COLUMN_MM
        way = branch.plus[0].from_thing
        kind = plot.labels.kind(way)
        top = BLOCK_MM + half
        plot.place(kind, way, (x, top + 1))
        plot.page.lines.append(Stroke(((x, top), (x, top + 1)), "symbol"))
        plot.name((x + beside_mm(kind), top + 2), way, TEXT_WIDTH_MM - 1)
        foot = top + 1 + HEIGHTS_MM[kind]
        _draw_branch(plot, x, foot, RETURN_MM - half, branch)
