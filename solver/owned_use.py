"""Which owned parts a kit uses, what each saves, and why the others are left out.

What a part saves is the cheapest kit without it less the cheapest kit with it; what an unused one
would cost is the cheapest kit that is made to use it. Both are solved, nothing is estimated. What
several parts save together is more or less than the sum of what each saves.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from solver.against import against
from solver.market import Market, by_metre, market
from solver.needs import Needs, Owned
from solver.parts.base import SMALL_CLASSES
from solver.records import Result
from solver.stock import Stock
from solver.variants import forced_ways, needed, without

MOST_WAYS = 8
"""More numbers of one part than this are not tried one by one."""

Ask = Callable[[Needs], Result]


@dataclass(frozen=True, kw_only=True)
class OwnedUse:
    """One owned part in an answer. Amounts are in the job's currency."""

    part: str
    part_class: str
    name: str
    unit: str
    """`each` or `m`."""
    quantity: Decimal
    used: Decimal
    """Of the quantity, spares included."""
    must: bool
    without_total: Decimal | None = None
    """Of the cheapest kit where it is not owned; None where that was not asked or has no kit."""
    saved: Decimal | None = None
    forced_total: Decimal | None = None
    """Of the cheapest kit that uses it, or all of it; None where not asked, or there is none."""
    proven: bool = False
    """Whether the totals are of the cheapest kits; else of the cheapest found."""
    why: str
    """What it is used for, or why it, or the rest of it, is not used."""


def owned_uses(
    result: Result, needs: Needs, stock: Stock, ask: Ask | None = None
) -> tuple[OwnedUse, ...]:
    """What became of each owned part.

    Parameters
    ----------
    result : Result
        The answer to the needs, with a kit.
    needs : Needs
        As stated.
    stock : Stock
        The catalog.
    ask : callable, optional
        Solves other needs. Without it nothing is solved: savings stay open, and of an unused part
        only what rules out by itself is told.
    """
    mkt = market(needs, stock)
    return tuple(_use(owned, result, needs, mkt, ask) for owned in needs.owned)


def _use(owned: Owned, result: Result, needs: Needs, mkt: Market, ask: Ask | None) -> OwnedUse:
    line = needed(result.lines).get(owned.part.part)
    used = Decimal(0) if line is None else line.owned
    base = OwnedUse(
        part=owned.part.part,
        part_class=owned.part.cls,
        name=owned.part.name,
        unit="m" if by_metre(owned.part) else "each",
        quantity=owned.quantity,
        used=used,
        must=owned.use == "must",
        why="" if line is None else line.why,
    )
    if used:
        return _used(base, result, needs, ask, small=owned.part.cls in SMALL_CLASSES)
    return _unused(base, owned, result, needs, mkt, ask)


def _least(result: Result, *, small: bool = False) -> Decimal:
    """What is compared: the kit without small parts, which have no say in it; of them the total."""
    found = result.total if small or result.kit_total is None else result.kit_total
    assert found is not None, "an answer without a kit"
    return found


def _used(
    base: OwnedUse, result: Result, needs: Needs, ask: Ask | None, *, small: bool
) -> OwnedUse:
    if ask is None or result.total is None:
        return base
    other = ask(without(needs, base.part))
    if other.total is None:
        return _with(base, why=f"{base.why}; without it there is no kit")
    return _with(
        base,
        without_total=other.total,
        saved=_least(other, small=small) - _least(result, small=small),
        proven=_proven(result, other),
    )


def _unused(
    base: OwnedUse,
    owned: Owned,
    result: Result,
    needs: Needs,
    mkt: Market,
    ask: Ask | None,
) -> OwnedUse:
    ruled_out = against(owned.part, 1, needs, mkt)
    if ruled_out:
        return _with(base, why="; ".join(ruled_out))
    if owned.part.cls in SMALL_CLASSES:
        return _with(
            base, why="nothing left for it to do: the finished kit does not ask for it"
        )
    if ask is None:
        return _with(base, why="it does not make the kit cheaper")
    least = owned.quantity if by_metre(owned.part) else Decimal(1)
    best, undecided = cheapest_forced(needs, owned, least, ask)
    if best is None and undecided:
        return _with(base, why="whether a kit can use it was not decided in the time given")
    if best is None or best.total is None:
        return _with(base, why="nothing left for it to do: no kit that meets the needs uses it")
    more = _least(best) - _least(result)
    why = (
        "it saves nothing: a kit that uses it costs the same"
        if not more
        else "would need dearer partners: the cheapest kit that uses it costs more"
        if more > 0
        else "a longer search would use it: a kit with it was found that costs less"
    )
    return _with(base, forced_total=_least(best), proven=_proven(result, best), why=why)


def _proven(*results: Result) -> bool:
    return all(r.status == "optimal" for r in results)


def cheapest_forced(
    needs: Needs, owned: Owned, quantity: Decimal, ask: Ask
) -> tuple[Result | None, bool]:
    """The cheapest kit that uses at least so many of an owned part, and whether any was undecided.

    Of more than `MOST_WAYS` numbers the first and the last are tried; for a kit that uses another
    number the answer may then be too dear.
    """
    ways = list(forced_ways(needs, owned.part, quantity))
    if len(ways) > MOST_WAYS:
        ways = [ways[0], ways[-1]]
    return cheapest(ask(way) for way in ways)


def cheapest(results: Iterable[Result]) -> tuple[Result | None, bool]:
    """The first of the cheapest answers that have a kit, and whether any was undecided."""
    best: Result | None = None
    undecided = False
    for result in results:
        undecided = undecided or result.status == "unknown"
        if result.total is not None and (best is None or _least(result) < _least(best)):
            best = result
    return best, undecided


def _with(base: OwnedUse, **values: object) -> OwnedUse:
    return OwnedUse(**(vars(base) | values))
