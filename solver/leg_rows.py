"""Rows of the programme for what lies together on the legs.

An option stands so many loaded conductors together, its own among them (`Option.most_loaded`):
with more, its ampacity would be under its protection's rating or its design current. For each leg,
and each number up to which some option there stands it, a column says that the leg has no more:

    conductors on the leg + (most - number) * column <= most

and an option that stands no more than that number is chosen only where the column is 1. For whole
columns both hold just when each conductor is right for the fullest of its legs. Where every kit has
more on the leg than the number, the option goes; where none has, there is no row.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from solver.leg_loads import POLES, LegLoads
from solver.routes import Between, stated_loaded
from solver.wiring import ANY_NUMBER, Option

Terms = list[tuple[int, float]]


@dataclass(frozen=True)
class Arrays:
    """How many arrays a kit of the programme has, at the least and at the most."""

    fewest: int
    most: int


@dataclass(frozen=True)
class Limit:
    """A leg with no more than so many loaded conductors, asked by some columns."""

    leg: Between
    most: int
    asking: tuple[tuple[tuple[int, ...], float], ...]
    """Columns of one circuit, with how often they are chosen together at the most."""


@dataclass
class Lying:
    """What the columns of options put on the legs, gathered while a programme is made."""

    loads: LegLoads
    on: defaultdict[Between, Terms] = field(default_factory=lambda: defaultdict(list))
    """By leg, columns with their loaded conductors."""
    limited: defaultdict[tuple[Between, int], defaultdict[str, list[tuple[int, float]]]] = (
        field(default_factory=lambda: defaultdict(lambda: defaultdict(list)))
    )
    """By leg and the number that they stand, columns by the row that they are chosen in, with how
    many are chosen at the most."""
    kinds: defaultdict[tuple[str, ...], dict[int, dict[Between, float]]] = field(
        default_factory=lambda: defaultdict(dict)
    )
    """By kind of circuit, what every column puts on the legs, those on none among them."""

    def note(
        self,
        column: int,
        option: Option,
        times: int,
        row: str,
        upper: float,
        where: tuple[str, ...],
    ) -> None:
        """Note a column for an option, of so many circuits alike."""
        amount = float(POLES * times)
        self.kinds[_kind(where)][column] = dict.fromkeys(option.legs, amount)
        for leg in option.legs:
            self.on[leg].append((column, amount))
            if option.most_loaded < ANY_NUMBER:
                self.limited[leg, option.most_loaded][row].append((column, upper))

    def limits(self) -> list[Limit]:
        """What is asked of the legs, in a fixed order."""
        return [
            Limit(
                leg,
                number,
                tuple(
                    (tuple(j for j, _ in found), max(n for _, n in found))
                    for found in rows.values()
                ),
            )
            for (leg, number), rows in sorted(self.limited.items())
        ]

    def least(self, leg: Between, arrays: Arrays | None, *, ac: bool) -> float:
        """No kit of the programme has fewer loaded conductors on a leg.

        Told by its columns, where these are all that there may be: else `arrays` is None.
        """
        if arrays is None:
            return self.loads.least(leg)
        found = float(stated_loaded(self.loads.needs, leg))
        for kind, columns in self.kinds.items():
            fewest = min((x.get(leg, 0.0) for x in columns.values()), default=0.0)
            found += fewest * _sure(kind, arrays, ac=ac)
        return max(found, self.loads.least(leg))

    def most(self, leg: Between, arrays: Arrays | None) -> float:
        """No kit of the programme has more; told likewise."""
        if arrays is None:
            return self.loads.most(leg)
        found = float(stated_loaded(self.loads.needs, leg))
        for kind, columns in self.kinds.items():
            largest = max((x.get(leg, 0.0) for x in columns.values()), default=0.0)
            found += largest * _at_most(kind, arrays)
        return min(found, self.loads.most(leg))


def _kind(where: tuple[str, ...]) -> tuple[str, ...]:
    """Circuits of which one is chosen, or as many as there are devices: by what they serve."""
    return where[:2] if where[0] in ("load", "ac") else where[:1]


def _sure(kind: tuple[str, ...], arrays: Arrays, *, ac: bool) -> int:
    """How many circuits of a kind are in every kit."""
    if kind[0] in ("array", "controller"):
        return arrays.fewest
    if kind[0] == "inverter" or (kind[0] == "ac" and kind[1]):
        return int(ac)
    return int(kind[0] in ("load", "bank"))


def _at_most(kind: tuple[str, ...], arrays: Arrays) -> int:
    """How many circuits of a kind a kit has at the most."""
    if kind[0] in ("array", "controller"):
        return arrays.most
    return 2 if kind[0].startswith("charger") else 1
