"""The conduits of a design: what runs in each, how wide it must be, and which part does.

A conduit goes by its name over all legs that name it, and has one width: that of its fullest leg.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from solver.holes import Passage, passages
from solver.parts import Conduit
from solver.rules.laying import pull_boxes

if TYPE_CHECKING:
    from solver.needs import Needs
    from solver.records import Design
    from solver.stock import Stock


@dataclass(frozen=True, kw_only=True)
class Duct:
    """A named conduit with the legs along which cables of the kit run in it."""

    name: str
    ways: tuple[Passage, ...]

    @property
    def length_m(self) -> float:
        """Along all its legs, to a whole millimetre."""
        metres = sum(way.leg.length_m for way in self.ways)
        return math.ceil(1000 * metres - 1e-6) / 1000

    @property
    def least_mm(self) -> float:
        """Inside, for the fullest of its legs; 0 where the needs know what lies in it already."""
        return max(way.conduit_mm for way in self.ways)

    @property
    def there(self) -> bool:
        """Whether it is there: conductors lie in it, or its size is stated."""
        return any(
            way.leg.loaded_conductors or way.leg.conduit_mm is not None for way in self.ways
        )

    @property
    def there_mm(self) -> float | None:
        """Inside diameter of the one that is there, where it is stated."""
        stated = [w.leg.conduit_mm for w in self.ways if w.leg.conduit_mm is not None]
        return min(stated, default=None)

    @property
    def fits(self) -> bool:
        """Whether a conduit that is there is wide enough, as far as that is known."""
        return self.there_mm is None or self.least_mm <= self.there_mm + 1e-9

    @property
    def bends(self) -> int | None:
        """Bends in all its legs; None where one of them states none."""
        unknown = any(way.leg.bends is None for way in self.ways)
        return None if unknown else self.stated_bends

    @property
    def stated_bends(self) -> int:
        """Bends in those of its legs that state them: it has no fewer."""
        return _stated_bends(self.ways)

    @property
    def runs(self) -> tuple[Run, ...]:
        """Its stretches from end to end.

        In a place where just two of its legs meet and the same pieces run in both it goes
        through. Everywhere else each of its legs ends: something leaves it there, or goes in.
        """
        at: dict[str, list[int]] = defaultdict(list)
        for n, way in enumerate(self.ways):
            for place in (way.leg.from_, way.leg.to):
                at[place].append(n)
        run_of = list(range(len(self.ways)))
        ends = [0] * len(self.ways)
        for meeting in at.values():
            if len(meeting) == 2 and _same_pieces(*(self.ways[n] for n in meeting)):
                old, new = (run_of[n] for n in meeting)
                run_of = [new if run == old else run for run in run_of]
            else:
                for n in meeting:
                    ends[n] += 1
        members: dict[int, list[int]] = defaultdict(list)
        for n, run in enumerate(run_of):
            members[run].append(n)
        return tuple(
            Run(ways=tuple(self.ways[n] for n in some), ends=sum(ends[n] for n in some))
            for some in members.values()
        )


@dataclass(frozen=True, kw_only=True)
class Run:
    """A stretch of a conduit without an opening but at its ends, and at pull boxes."""

    ways: tuple[Passage, ...]
    ends: int

    @property
    def length_m(self) -> float:
        """Along its legs, to a whole millimetre."""
        return math.ceil(1000 * sum(way.leg.length_m for way in self.ways) - 1e-6) / 1000

    @property
    def boxes(self) -> int:
        """Pull boxes that its stated bends ask for: at least so many, if a leg states none."""
        return pull_boxes(_stated_bends(self.ways))

    @property
    def openings(self) -> int:
        """Ends of conduit: its own, and two at each box."""
        return self.ends + 2 * self.boxes


def _stated_bends(ways: tuple[Passage, ...]) -> int:
    return sum(way.leg.bends or 0 for way in ways)


def _same_pieces(one: Passage, other: Passage) -> bool:
    return {cut.label for cut in one.cuts} == {cut.label for cut in other.cuts}


def ducts(needs: Needs, design: Design) -> tuple[Duct, ...]:
    """The conduits in which anything of the kit runs, in the order of the legs."""
    by_name: dict[str, list[Passage]] = defaultdict(list)
    for way in passages(needs, design):
        if way.leg.conduit is not None and way.cuts:
            by_name[way.leg.conduit].append(way)
    return tuple(Duct(name=name, ways=tuple(ways)) for name, ways in by_name.items())


def conduit_of(duct: Duct, stock: Stock) -> Conduit | None:
    """The narrowest conduit that does; None where the catalog has none so wide.

    A rigid one takes an elbow at each bend, so it does only where the bends are counted.
    """
    return narrowest(stock, duct.least_mm, rigid=duct.bends is not None)


def narrowest(stock: Stock, least_mm: float, *, rigid: bool) -> Conduit | None:
    """The narrowest conduit so wide inside, a `rigid` one too; None where there is none."""
    fitting = [
        c
        for c in stock.of_class("conduit")
        if isinstance(c, Conduit)
        and c.inner_mm >= least_mm - 1e-9
        and (rigid or not c.is_rigid)
    ]
    return min(fitting, key=lambda c: (c.outer_mm, c.part), default=None)
