"""From the finished design to what a pen follows: core after core, from one thing to the next.

Nothing is known here of where anything stands on the page, and nothing of a circuit's parts but
what the cut list says: a thing that is put into a circuit later is met on the way.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from solver.records import Circuit, Cut, Design


@dataclass(frozen=True)
class Core:
    """One core of a piece of cable, told from the thing where the pen comes from."""

    cut: Cut
    number: int
    """Which of the cable's cores, from 0."""
    pole: str
    from_: str
    """End, as the cut list says."""
    to: str
    from_thing: str
    to_thing: str

    def turned(self) -> Core:
        """The same core from its other end."""
        return Core(
            self.cut,
            self.number,
            self.pole,
            self.to,
            self.from_,
            self.to_thing,
            self.from_thing,
        )


class Things:
    """What a design's cables can land on: devices, protections, blocks, loads, outside things."""

    def __init__(self, design: Design) -> None:
        names = {d.id for d in design.devices} | {p.id for p in design.protections}
        names |= {block_of(p.id) for p in design.protections if p.way is not None}
        names |= {x for c in design.circuits for x in (c.from_, c.to)}
        self._names = names

    def of(self, at: str) -> str:
        """The thing that an end at `at` lands on, without its port."""
        thing = at
        while thing not in self._names and ":" in thing:
            thing = thing.rpartition(":")[0]
        return thing if thing in self._names else at


def block_of(protection: str) -> str:
    """The block in which a protection has a way."""
    return protection.rpartition(":")[0]


def port(at: str, thing: str) -> str:
    """The port of a thing at which an end lands; empty where it has none."""
    return at[len(thing) + 1 :] if at.startswith(f"{thing}:") else ""


def cores(design: Design, things: Things, circuit: Circuit) -> list[Core]:
    """Every core of a circuit, piece after piece."""
    return [
        Core(
            cut,
            number,
            one.pole or other.pole,
            one.at,
            other.at,
            things.of(one.at),
            things.of(other.at),
        )
        for cut in design.cuts
        if cut.circuit == circuit.name
        for number, (one, other) in enumerate(zip(cut.ends[::2], cut.ends[1::2], strict=True))
    ]


def walk(found: Sequence[Core], start: str, pole: str, goals: Iterable[str]) -> list[Core]:
    """The cores of a pole in the order in which they are met from a thing on.

    Ends at a goal, or where no core leads on.
    """
    left = [c for c in found if c.pole == pole]
    ends = set(goals)
    path: list[Core] = []
    at = start
    while True:
        step = next((c for c in left if at in (c.from_thing, c.to_thing)), None)
        if step is None:
            return path
        left.remove(step)
        path.append(step if step.from_thing == at else step.turned())
        at = path[-1].to_thing
        if at in ends:
            return path
