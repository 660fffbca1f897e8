"""Rows of the programme that keep PV and AC out of one conduit, where the practice asks for it.

A leg's conduit is one enclosure from end to end. Which circuits run along the leg follows from
where the devices stand, so it is the choice that decides: for each such leg a column says that
some array's cables lie in it,

    array's option <= most * column,    AC circuit's option <= most * (1 - column)

with `most` how often an option is chosen at the most. For whole columns both hold just when no
array's cables and no AC lie there together. Where a conduit can hold only one of the two there is
no row. Options of one circuit all take the same way, so none is left out for another that would
lie elsewhere.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from solver.needs import Leg, Needs
from solver.routes import Between, leg_between
from solver.rules.conduit import pv_beside_ac

Upper = list[tuple[int, float]]
"""Columns with how often each is chosen at the most."""


def conduits(needs: Needs) -> frozenset[Between]:
    """Legs in a conduit that PV and AC may not share; none under a practice that lets them."""
    if pv_beside_ac(needs.rules.practice):
        return frozenset()
    pairs = {between(leg) for leg in needs.legs}
    return frozenset(p for p in pairs if leg_between(needs.legs, *p).conduit is not None)


def between(leg: Leg) -> Between:
    """The two places of a leg, in the order in which ways name them."""
    return (min(leg.from_, leg.to), max(leg.from_, leg.to))


@dataclass
class InConduits:
    """What may lie in each of those conduits, gathered while a programme is made."""

    legs: frozenset[Between]
    pv: defaultdict[Between, Upper] = field(default_factory=lambda: defaultdict(list))
    ac: defaultdict[Between, Upper] = field(default_factory=lambda: defaultdict(list))

    def note(self, column: int, kind: str, legs: tuple[Between, ...], upper: float) -> None:
        """Note an option of a kind of circuit: `array`, `ac`, or another that is free."""
        into = {"array": self.pv, "ac": self.ac}.get(kind)
        if into is None:
            return
        for leg in self.legs.intersection(legs):
            into[leg].append((column, upper))

    def both(self) -> list[tuple[Between, Upper, Upper]]:
        """Legs on which a kit could have both, in a fixed order, with arrays' and AC's columns."""
        return [
            (leg, self.pv[leg], self.ac[leg])
            for leg in sorted(self.legs)
            if self.pv.get(leg) and self.ac.get(leg)
        ]
