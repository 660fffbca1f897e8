"""Which circuit is drawn how: circuits sorted into groups that stand side by side.

A circuit whose cores make another way than its group expects, or that finds no room there, is
told by rows of its own: nothing is left out, and nothing is drawn that is not in the cut list.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

from bom.drawings.banks import Bank, String, bank_group
from bom.drawings.branches import Block, Branch, block_groups, direct_group
from bom.drawings.earths import bond_group
from bom.drawings.groups import Group, two_poles
from bom.drawings.labels import Labels
from bom.drawings.loops import Loop
from bom.drawings.outlets import Run
from bom.drawings.page import Page
from bom.drawings.paths import Core, block_of, walk
from bom.drawings.plot import Crowded, Plot
from bom.drawings.rows import rows_groups
from bom.drawings.rungs import Rung, rung_group
from bom.drawings.sheet import HEIGHT_MM, WIDTH_MM
from solver.records import Circuit


def groups_of(labels: Labels, most_mm: float) -> list[Group]:
    """The groups of a design, none wider than that if it can be parted.

    In the order in which their circuits stand in the design: that of the studs of the bars.
    """
    return _Sorted(labels, most_mm).groups


class _Sorted:
    """The circuits of a design in groups, in the order in which they leave the bars."""

    def __init__(self, labels: Labels, most_mm: float) -> None:
        self.labels = labels
        self.most_mm = most_mm
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
            elif circuit.kind == "bond":
                self._bond(circuit)
        left = [c for c in self.design.circuits if c.name not in self._told]
        self.groups += rows_groups(labels, left)

    def _add(self, groups: Sequence[Group]) -> bool:
        """Take groups that belong together, unless one of them finds no room on a page."""
        try:
            for group in groups:
                group.draw(Plot(Page(WIDTH_MM, HEIGHT_MM), self.labels), 0.0)
        except Crowded:
            return False
        for group in groups:
            self.groups.append(group)
            self._told |= set(group.circuits)
        return True

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
            earth=self._earth(device),
        )
        if not self._add(rung_group(self.labels, rung, self.most_mm)) and rung.earth:
            # Its earth then stands in a row; better than all of it.
            rung = replace(rung, earth=None)
            self._add(rung_group(self.labels, rung, self.most_mm))

    def _earth(self, device: str) -> Core | None:
        """The earthing conductor of a device's case."""
        for circuit in self.design.circuits:
            if circuit.kind == "bond" and device in (circuit.from_, circuit.to):
                return self._earthing(circuit, device)
        return None

    def _earthing(self, circuit: Circuit, start: str) -> Core | None:
        """A bond as the one conductor that it is, from a thing to an earth."""
        found = self.labels.cores[circuit.name]
        if len(found) != 1:
            return None
        core = found[0] if found[0].from_thing == start else found[0].turned()
        return core if self.labels.kind(core.to_thing) == "earth" else None

    def _bond(self, circuit: Circuit) -> None:
        """The bond of the lower bar; those of cases stand with their devices."""
        lower = {bars[1] for c in self.design.circuits if (bars := self._bars_of(c))}
        bar = next((x for x in (circuit.from_, circuit.to) if x in lower), None)
        core = bar and self._earthing(circuit, bar)
        if core:
            self._add([bond_group(self.labels, core)])

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
        loop = Loop(circuit, tuple(plus), minus, strings)
        if array is None:
            return loop
        box = "" if array.combiner is None else array.combiner.id
        fuses, more = array.fuses, array.negative_fuses
        return replace(loop, fuses=fuses, negative_fuses=more, combiner=box)

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
        bars = self._bars_of(trunk) or ("", "")
        found = labels.cores[trunk.name]
        up = walk(found, bars[0], "+", (strings[0].to,))
        down = [core.turned() for core in reversed(walk(found, bars[1], "-", ()))]
        drawn = [self._string(c, n) for n, c in enumerate(strings)]
        whole = [s for s in drawn if s is not None]
        if len(whole) < len(strings) or len(up) + len(down) < len(found) or not down:
            return
        links = [core.cut.circuit for s in whole for core in s.links]
        told = (trunk.name, *(c.name for c in strings), *links)
        bank = Bank(trunk, told, tuple(up), tuple(down), tuple(whole))
        self._add([bank_group(labels, bank)])

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
        self._add(block_groups(self.labels, block, self.most_mm))

    def _branch(self, circuit: Circuit, start: str, goal: str) -> Branch | None:
        poles = two_poles(self.labels, circuit, start, circuit.to, goal)
        return poles and Branch(circuit, *poles)

    def _direct(self, circuit: Circuit) -> None:
        bars = self._bars_of(circuit)
        branch = bars and self._branch(circuit, *bars)
        if branch:
            self._add([direct_group(branch)])
