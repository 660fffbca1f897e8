"""The same needs with other owned parts, and what two answers differ in.

What a part is worth is what the cheapest kit costs with it and without it: each of these needs is
solved by itself, nothing is estimated.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from solver.market import by_metre
from solver.needs import Needs, Owned
from solver.parts.base import Part
from solver.records import Line


@dataclass(frozen=True, kw_only=True)
class Change:
    """A part of which two bills hold different quantities."""

    part: str
    part_class: str
    name: str
    unit: str
    """`each` or `m`."""
    before: Decimal
    after: Decimal
    why: str
    """What it is for, in the bill that has it."""


def owned_of(needs: Needs, name: str) -> Owned | None:
    """What is owned of a part, if anything."""
    return next((o for o in needs.owned if o.part.part == name), None)


def without(needs: Needs, name: str) -> Needs:
    """The same needs where that part is not owned."""
    return replace(needs, owned=tuple(o for o in needs.owned if o.part.part != name))


def forced(needs: Needs, part: Part, quantity: Decimal) -> Needs:
    """The same needs where so much of a part is owned and all of it must be used."""
    stated = owned_of(needs, part.part)
    row = Owned(
        part=part,
        inline=stated is not None and stated.inline,
        quantity=quantity,
        use="must",
    )
    if stated is None:
        return replace(needs, owned=(*needs.owned, row))
    return replace(needs, owned=tuple(row if o is stated else o for o in needs.owned))


def forced_ways(needs: Needs, part: Part, quantity: Decimal) -> Iterator[Needs]:
    """Needs of which one or other holds the cheapest kit that uses at least so many of a part.

    Where more are owned than must be used, a kit may use any number from `quantity` to all. One
    that uses m of them is priced as it should be where just m must be used, and no lower
    anywhere else: so the cheapest of the answers is the cheapest kit. Of what goes by the metre
    one piece is used or not.
    """
    stated = owned_of(needs, part.part)
    yield forced(needs, part, quantity)
    if stated is None or by_metre(part):
        return
    for more in range(int(quantity) + 1, int(stated.quantity) + 1):
        yield forced(needs, part, Decimal(more))


def needed(lines: Iterable[Line]) -> Mapping[str, Line]:
    """By part a line with all that a bill needs of it: bought from two offers it stands twice."""
    found: dict[str, Line] = {}
    for line in lines:
        known = found.get(line.part)
        found[line.part] = (
            line
            if known is None
            else replace(
                known,
                need=known.need + line.need,
                spares=known.spares + line.spares,
                owned=known.owned + line.owned,
                buy=known.buy + line.buy,
                line_total=known.line_total + line.line_total,
            )
        )
    return found


def changes(before: Iterable[Line], after: Iterable[Line]) -> tuple[Change, ...]:
    """Every part of which two bills need different quantities, by class and part."""
    old, new = needed(before), needed(after)
    found = []
    for name in sorted(old.keys() | new.keys()):
        line = new.get(name) or old[name]
        quantities = [bill[name].need if name in bill else Decimal(0) for bill in (old, new)]
        if quantities[0] != quantities[1]:
            found.append(
                Change(
                    part=name,
                    part_class=line.part_class,
                    name=line.name,
                    unit=line.unit,
                    before=quantities[0],
                    after=quantities[1],
                    why=line.why,
                )
            )
    return tuple(sorted(found, key=lambda c: (c.part_class, c.part)))
