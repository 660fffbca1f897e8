"""The copper: what touches what, from the cut pieces alone.

A *spot* is what ends of one net touch on: a thing, a port of it, a pole. A *strand* is one core
of one piece, between two spots. Things join their own spots: a fuse its two sides, a bus bar all
its studs. Nothing here looks at what circuits claim.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from tests.oracle.walk.world import Absent, Row, World

POLES = ("+", "-", "L", "N", "PE", "")


class Spot(NamedTuple):
    """A thing, a port of it, and the pole that lands there."""

    thing: str
    port: str
    pole: str


@dataclass(frozen=True)
class Strand:
    """One core of a piece; or, without one, the way through a thing."""

    a: Spot
    b: Spot
    cut: Row | None = None
    kind: str = "core"
    """`core`, `fuse`, `switch`, `shunt` or `through`."""
    rated_a: float = float("inf")
    name: str = ""

    def other(self, spot: Spot) -> Spot:
        """The far side."""
        return self.b if spot == self.a else self.a


PASSES = {
    "switch": "switch",
    "isolator": "switch",
    "pv_inlet": "through",
    "monitor": "shunt",
    "breaker": "fuse",
    "rcd": "through",
    "transfer": "switch",
}
"""Devices that join their own ports pole by pole, and as what. A class that is not here ends a
way; a bar of any kind is one spot by itself."""

BARS = ("busbar", "earthbar")


class Wires:
    """All strands, and what they lead to."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.cores: list[Strand] = []
        for cut in world.cuts:
            with world.about(f"piece {cut['label']}"):
                self.cores += self._cores(cut)
        self.strands = [*self.cores, *self._inside()]
        self.beside: dict[Spot, list[Strand]] = {}
        for s in self.strands:
            self.beside.setdefault(s.a, []).append(s)
            self.beside.setdefault(s.b, []).append(s)

    def _cores(self, cut: Row) -> list[Strand]:
        ends = cut["ends"]
        by_pole: dict[str, list[int]] = {}
        for n, end in enumerate(ends):
            by_pole.setdefault(end["pole"], []).append(n)
        pairs = [(0, 1)] if len(ends) == 2 else list(by_pole.values())
        if not ends or any(len(pair) != 2 for pair in pairs):
            raise Absent(f"its {len(ends)} ends do not make cores with two ends each")
        use = getattr(self.world.part(cut["cable"]), "use", "")
        cores = {"pair": 2, "ac": 3}.get(use)
        if cores is not None and cores != len(pairs):
            raise Absent(f"it has {cores} cores and ends for {len(pairs)}")
        return [Strand(self._spot(cut, a), self._spot(cut, b), cut) for a, b in pairs]

    def _spot(self, cut: Row, n: int) -> Spot:
        end = cut["ends"][n]
        thing, port = self.world.lands_on(end["at"])
        kind = self.world.class_of(thing)
        if kind in BARS:
            return Spot(thing, "", "")
        if thing in self.world.protections and self.world.protections[thing]["way"] is not None:
            return Spot(thing, "way", end["pole"])
        if kind == "protection" and not port:
            # the two sides of a fuse have no names: each end is a side of its own
            return Spot(thing, f"{cut['label']}.{n}", end["pole"])
        if port in POLES:
            return Spot(thing, "", port or end["pole"])
        if port[-1] in "+-":
            return Spot(thing, port[:-1], port[-1])
        return Spot(thing, port, end["pole"])

    def _inside(self) -> Iterator[Strand]:
        """The ways through things."""
        spots: dict[str, set[Spot]] = {}
        for core in self.cores:
            for spot in (core.a, core.b):
                spots.setdefault(spot.thing, set()).add(spot)
        for thing, mine in spots.items():
            kind = self.world.class_of(thing)
            protection = self.world.protections.get(thing)
            if protection is not None:
                rated = getattr(self.world.parts.get(protection["part"]), "rated_a", 0.0)
                if protection["way"] is not None:
                    feed = Spot(thing.rsplit(":", 1)[0], "", "+")
                    for spot in mine:
                        yield Strand(feed, spot, None, "fuse", rated, thing)
                else:
                    yield from _joined(mine, "fuse", rated, thing)
            elif kind in PASSES:
                yield from _joined(mine, PASSES[kind], float("inf"), thing)

    def region(
        self, starts: Iterable[Spot], passes: Callable[[Strand], bool] = lambda _: True
    ) -> set[Spot]:
        """Every spot that can be reached over strands that pass."""
        seen = set(starts)
        queue = deque(seen)
        while queue:
            here = queue.popleft()
            for s in self.beside.get(here, ()):
                there = s.other(here)
                if there not in seen and passes(s):
                    seen.add(there)
                    queue.append(there)
        return seen

    def inflow_a(self, sources: Iterable[Spot], goal: Spot, without: Strand) -> float:
        """The most that fuses let flow from sources to a spot, one strand taken away.

        A largest flow by shortest paths: fuses carry their rating, all else anything.
        """
        left = {(id(s), way): s.rated_a for s in self.strands for way in (0, 1)}
        total = 0.0
        while True:
            path = self._path(set(sources), goal, without, left)
            if path is None:
                return total
            most = min((left[id(s), way] for s, way in path), default=float("inf"))
            if most == float("inf"):
                return most
            for s, way in path:
                left[id(s), way] -= most
                left[id(s), 1 - way] += most
            total += most

    def _path(
        self,
        sources: set[Spot],
        goal: Spot,
        without: Strand,
        left: dict[tuple[int, int], float],
    ) -> list[tuple[Strand, int]] | None:
        came: dict[Spot, tuple[Strand, int] | None] = dict.fromkeys(sources)
        queue = deque(sources)
        while queue:
            here = queue.popleft()
            if here == goal:
                path = []
                step = came[here]
                while step is not None:
                    path.append(step)
                    here = step[0].a if step[1] == 0 else step[0].b
                    step = came[here]
                return path
            for s in self.beside.get(here, ()):
                way, there = (0, s.b) if here == s.a else (1, s.a)
                if s is not without and there not in came and left[id(s), way] > 1e-9:
                    came[there] = (s, way)
                    queue.append(there)
        return None


def _joined(spots: set[Spot], kind: str, rated_a: float, name: str) -> Iterator[Strand]:
    """The spots of a thing joined pole by pole."""
    ordered = sorted(spots)
    for n, a in enumerate(ordered):
        for b in ordered[n + 1 :]:
            if a.pole == b.pole:
                yield Strand(a, b, None, kind, rated_a, name)
