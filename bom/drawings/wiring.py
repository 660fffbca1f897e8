"""The wiring diagram of a finished design: its circuits sorted into groups, the groups onto pages."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from bom.drawings.banks import Bank, String, bank_group
from bom.drawings.branches import Block, Branch, block_groups, direct_group
from bom.drawings.groups import (
    CONNECTOR_MM,
    UPPER_BAR_MM,
    Group,
    connector,
    two_poles,
)
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import width_mm
from bom.drawings.page import Box, Circle, Page, Stroke, Symbol, corners
from bom.drawings.paths import block_of, walk
from bom.drawings.plot import BAR_MM, Plot
from bom.drawings.rows import rows_groups
from bom.drawings.rungs import Loop, Run, Rung, rung_group
from bom.drawings.sheet import HEIGHT_MM, LEFT_MM, RIGHT_MM, WIDTH_MM, Heading, furnish
from solver.needs import Needs
from solver.records import Circuit, Design

MOST_MM = RIGHT_MM - LEFT_MM
"""Room for groups where all of them stand on one page."""
WIDER = 1.15
"""A single page may be so much wider: on A3 it is so much smaller, and still read."""
WIDEST_GAP_MM = 10.0
"""Between groups, where there is room to spare."""
STUD_MM = 5.0
"""From a bar's end to its first stud, and between studs that are free."""
MARGIN_MM = 12.0
"""Kept at either side where bars lead to other pages."""


def wiring_pages(design: Design, needs: Needs, *, invented: bool = False) -> list[Page]:
    """The pages of the wiring diagram, first to last.

    Parameters
    ----------
    design : Design
        What is drawn: every circuit once, every piece of cable with its label once.
    needs : Needs
        For the job's name, its loads and its units.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    labels = Labels(design, needs)
    groups = _Sorted(labels).groups
    if sum(g.width_mm for g in groups) <= MOST_MM * WIDER:
        parted, margin = [groups], 0.0
    else:
        parted, margin = _parted(groups, MOST_MM - 2 * MARGIN_MM), MARGIN_MM
    plots = [
        _drawn(labels, part, number, margin) for number, part in enumerate(parted, start=1)
    ]
    _draw_bars(labels, plots)
    for plot in plots:
        plot.join_sheaths()
        heading = Heading(needs.job.name, plot.number, len(plots), invented)
        furnish(plot.page, design, heading)
    return [plot.page for plot in plots]


def _parted(groups: Sequence[Group], most_mm: float) -> list[list[Group]]:
    """Groups onto pages, in their order."""
    pages: list[list[Group]] = []
    room = 0.0
    for group in groups:
        if not pages or group.width_mm > room:
            pages.append([])
            room = most_mm
        pages[-1].append(group)
        room -= group.width_mm
    return pages


def _drawn(labels: Labels, groups: Sequence[Group], number: int, margin: float) -> Plot:
    width = sum(g.width_mm for g in groups)
    page = Page(max(WIDTH_MM, width + 2 * margin + WIDTH_MM - MOST_MM), HEIGHT_MM)
    plot = Plot(page, labels, number)
    spare = page.width_mm - WIDTH_MM + MOST_MM - 2 * margin - width
    gap = min(spare / (len(groups) + 1), WIDEST_GAP_MM)
    x = LEFT_MM + margin + (spare - gap * (len(groups) - 1)) / 2
    for group in groups:
        group.draw(plot, x)
        x += group.width_mm + gap
    return plot


# -- which circuit is drawn how


class _Sorted:
    """The circuits of a design in groups, in the order in which they leave the bars."""

    def __init__(self, labels: Labels) -> None:
        self.labels = labels
        self.design = labels.design
        self.groups: list[Group] = []
        self._told: set[str] = set()
        for circuit in self.design.circuits:
            if circuit.kind == "battery":
                self._bank()
            elif circuit.kind == "feed":
                self._block(circuit)
            elif circuit.kind in ("controller", "charger", "inverter"):
                self._rung(circuit)
            elif circuit.kind == "load":
                self._direct(circuit)
        left = [c for c in self.design.circuits if c.name not in self._told]
        self._add(*rows_groups(labels, left, MOST_MM - 2 * MARGIN_MM))

    def _add(self, *groups: Group) -> None:
        for group in groups:
            self.groups.append(group)
            self._told |= set(group.circuits)

    def _bars_of(self, circuit: Circuit) -> tuple[str, str] | None:
        """The bars on which a circuit's positive and negative land."""
        found: dict[str, str] = {}
        for core in self.labels.cores[circuit.name]:
            for thing in (core.from_thing, core.to_thing):
                if self.labels.is_bar(thing):
                    found.setdefault(core.pole, thing)
        return (found["+"], found["-"]) if {"+", "-"} <= set(found) else None

    def _rung(self, circuit: Circuit) -> None:
        bars = self._bars_of(circuit)
        if bars is None:
            return
        device = circuit.to if self.labels.is_bar(circuit.from_) else circuit.from_
        poles = two_poles(self.labels, circuit, bars[0], device, bars[1])
        if poles is None:
            return
        outlets = [self._run(c, device) for c in self._ac(device) if c.from_ == device]
        inlets = [self._run(c, device) for c in self._ac(device) if c.to == device]
        rung = Rung(
            device=device,
            circuit=circuit,
            plus=poles[0],
            minus=poles[1],
            loop=self._loop(device),
            inlet=next(filter(None, inlets), None),
            outlets=tuple(filter(None, outlets)),
        )
        self._add(*rung_group(self.labels, rung, MOST_MM - 2 * MARGIN_MM))

    def _ac(self, device: str) -> list[Circuit]:
        return [c for c in self.design.circuits if c.kind == "ac" and device in (c.from_, c.to)]

    def _run(self, circuit: Circuit, device: str) -> Run | None:
        """An AC circuit as one line, if all its cores take the same way."""
        goal = circuit.to if circuit.from_ == device else circuit.from_
        found = self.labels.cores[circuit.name]
        if not found:
            return None
        path = walk(found, device, found[0].pole, (goal,))
        cores = len({c.pole for c in found})
        ways = {(c.cut.label, frozenset((c.from_thing, c.to_thing))) for c in found}
        if path[-1:] and path[-1].to_thing == goal and len(ways) == len(path):
            return Run(circuit, tuple(path), cores)
        return None

    def _loop(self, device: str) -> Loop | None:
        """What comes into a device by two poles that do not come from the bars."""
        for circuit in self.design.circuits:
            if device not in (circuit.from_, circuit.to) or circuit.kind == "ac":
                continue
            if self._bars_of(circuit) is None:
                loop = self._looped(circuit, device)
                if loop is not None:
                    return loop
        return None

    def _looped(self, circuit: Circuit, device: str) -> Loop | None:
        found = self.labels.cores[circuit.name]
        source = circuit.from_ if circuit.to == device else circuit.to
        array = next((a for a in self.design.arrays if source in a.panels), None)
        strings: tuple[tuple[str, ...], ...] = ((source,),)
        if array is not None:
            n = array.series
            strings = tuple(array.panels[i : i + n] for i in range(0, len(array.panels), n))
        ends = [x for s in strings for x in s]
        plus = walk(found, device, "+", ends)
        back = walk(found, device, "-", ends)
        minus = tuple(c.turned() for c in reversed(back))
        if not plus or not minus or len(plus) + len(minus) < len(found):
            return None
        return Loop(circuit, tuple(plus), minus, strings)

    def _bank(self) -> None:
        design, labels = self.design, self.labels
        strings = [c for c in design.circuits if c.kind == "battery"]
        if strings[0].name in self._told:
            return
        trunk = next(
            (c for c in design.circuits if c.kind == "link" and self._bars_of(c)), None
        )
        if trunk is None:
            return
        bars = self._bars_of(trunk)
        found = labels.cores[trunk.name]
        up = walk(found, bars[0] if bars else "", "+", (strings[0].to,))
        down = [c.turned() for c in reversed(walk(found, bars[1] if bars else "", "-", ()))]
        drawn = [self._string(c, n) for n, c in enumerate(strings)]
        whole = [s for s in drawn if s is not None]
        if len(whole) < len(strings) or len(up) + len(down) < len(found) or not down:
            return
        links = [core.cut.circuit for s in whole for core in s.links]
        told = (trunk.name, *(c.name for c in strings), *links)
        self._add(bank_group(labels, Bank(trunk, told, tuple(up), tuple(down), tuple(whole))))

    def _string(self, circuit: Circuit, n: int) -> String | None:
        bank, labels = self.design.bank, self.labels
        batteries = bank.batteries[n * bank.series : (n + 1) * bank.series]
        found = labels.cores[circuit.name]
        plus = walk(found, circuit.to, "+", (batteries[0],))
        minus = walk(found, batteries[-1], "-", ())
        links = [
            core if core.from_thing == a else core.turned()
            for a, b in itertools.pairwise(batteries)
            for c in self.design.circuits
            if c.kind == "link"
            for core in labels.cores[c.name]
            if {core.from_thing, core.to_thing} == {a, b}
        ]
        whole = len(plus) + len(minus) == len(found) and len(links) == len(batteries) - 1
        if not (plus and minus and whole):
            return None
        return String(circuit, tuple(plus), batteries, tuple(links), tuple(minus))

    def _block(self, feed: Circuit) -> None:
        bars = self._bars_of(feed)
        poles = bars and two_poles(self.labels, feed, bars[0], feed.to, bars[1])
        if not poles:
            return
        branches = [
            self._branch(c, c.protection_id or "", feed.to)
            for c in self.design.circuits
            if c.kind == "load" and c.protection_id and block_of(c.protection_id) == feed.to
        ]
        block = Block(feed.to, feed, *poles, tuple(filter(None, branches)))
        self._add(*block_groups(self.labels, block, MOST_MM - 2 * MARGIN_MM))

    def _branch(self, circuit: Circuit, start: str, goal: str) -> Branch | None:
        poles = two_poles(self.labels, circuit, start, circuit.to, goal)
        return poles and Branch(circuit, *poles)

    def _direct(self, circuit: Circuit) -> None:
        bars = self._bars_of(circuit)
        branch = bars and self._branch(circuit, *bars)
        if branch:
            self._add(direct_group(branch))


# -- the bars


def _draw_bars(labels: Labels, plots: Sequence[Plot]) -> None:
    for bar in dict.fromkeys(bar for plot in plots for bar in plot.studs):
        with_it = [plot for plot in plots if plot.studs[bar]]
        used = sum(len(plot.studs[bar]) for plot in with_it)
        for n, plot in enumerate(with_it):
            y = plot.bars_mm[bar]
            box = _draw_bar(plot, bar, y, used, last=n == len(with_it) - 1)
            under = y > UPPER_BAR_MM
            if n < len(with_it) - 1:
                after = with_it[n + 1].number
                connector(plot, box.right_mm, y, bar, after, under=under)
            if n:
                before = with_it[n - 1].number
                connector(plot, box.left_mm - CONNECTOR_MM, y, bar, before, under=under)


def _draw_bar(plot: Plot, bar: str, y: float, used: int, *, last: bool) -> Box:
    taken = sorted(plot.studs[bar])
    ends = taken[-1][0]
    free = [str(n) for n in range(used + 1, plot.labels.studs(bar) + 1)] if last else []
    limit = plot.page.width_mm - WIDTH_MM + RIGHT_MM - STUD_MM
    spots = [(ends + STUD_MM * n, stud) for n, stud in enumerate(free, start=1)]
    studs = taken + [(x, stud) for x, stud in spots if x <= limit]
    half = BAR_MM / 2
    box = Box(taken[0][0] - STUD_MM, y - half, studs[-1][0] + STUD_MM, y + half)
    plot.page.symbols.append(
        Symbol(
            kind="bus bar",
            id=bar,
            box=box,
            strokes=(Stroke(corners(box), closed=True),),
            circles=tuple(Circle((x, y), 0.8) for x, _ in studs),
        )
    )
    upper = y == UPPER_BAR_MM
    for x, stud in studs:
        middle = x - width_mm(stud, TEXT_MM) / 2
        plot.note((middle, y - half - 3.2 if upper else y + half + 0.8), [stud])
    text = plot.labels.bar_text(bar, free, limit + STUD_MM - box.left_mm)
    plot.note((box.left_mm, y - half - 11.5 if upper else y + half + 7.4), [text])
    return box
