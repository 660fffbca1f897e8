"""Parts that another replaces in every kit: left out before anything is made of them.

A large catalog holds the same thing many times: cable of one size from many makers, lugs for one
stud, inverters of one rating. Part A is left out where some B is alike in every column that
`column(better="same")` declares, at least as good in those that are better one way, no heavier
and nowhere dearer. Any kit with A is then one with B in its place that keeps every rule and costs
no more. Where it may cost the same, B must come first by lot, so that the kit with A is not the
answer among several of the least cost (`solver.ties`). Which columns are better which way is
declared with the columns, in `solver.parts`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from solver.columns import better_ways
from solver.lots import lot
from solver.market import Deal, Market, comes_before, everywhere_cheaper, nowhere_dearer
from solver.parts import Breaker, Holder
from solver.parts.base import Part

Floats = NDArray[np.float64]


def without_twins(
    market: Market, unasked: Collection[str] = (), *, balanced: bool = False
) -> Market:
    """The market without offers of parts that another part replaces in every kit.

    Columns that nothing in the job asks for, `unasked`, are not compared. Where moments are
    limited, `balanced`, a heavier part may be what balances a kit: only one as heavy replaces it.

    Beside a freight that is free from some value of goods on, a kit with B may spend too little
    for it; what is said of fillers in docs/formulation.md holds the bound below such a kit.
    """
    seated = [p for p in _to_be_bought(market) if _seat(p) is not None]
    left = _less(market, seated, unasked, balanced=balanced)
    named = {_seat(left.parts[p]) for p in (*left.deals, *left.owned)}
    others = [p for p in _to_be_bought(left) if _seat(p) is None]
    return _less(left, others, unasked, named, balanced=balanced)


def _to_be_bought(market: Market) -> list[Part]:
    """Parts for sale; what is owned costs nothing and is not compared."""
    return [market.parts[p] for p in sorted(market.deals) if p not in market.owned]


def _seat(part: Part) -> str | None:
    """The part that it says it sits in."""
    return getattr(part, "holder", None)


def _less(
    market: Market,
    some: Sequence[Part],
    unasked: Collection[str],
    named: Collection[str | None] = (),
    *,
    balanced: bool,
) -> Market:
    """The market without those of some parts that another of them replaces.

    What others name by its part is kept.
    """
    groups: dict[tuple[object, ...], list[Part]] = {}
    for part in some:
        heavy = part.kg if balanced else None
        groups.setdefault((heavy, *_alike(market, part)), []).append(part)
    gone = set(
        itertools.chain.from_iterable(
            _replaced(market, parts, unasked) for parts in groups.values() if len(parts) > 1
        )
    ) - set(named)
    return replace(market, deals={k: v for k, v in market.deals.items() if k not in gone})


def _alike(market: Market, part: Part) -> tuple[object, ...]:
    """What a part and its twins have in common; of the part it sits in, what that has."""
    same, less, more = better_ways(type(part))
    if isinstance(part, Holder) and part.ways > 1:
        # a block's ratings decide which circuits it takes: more is not always better
        same, more = (*same, *more), ()
    stated = tuple(getattr(part, f) is None for f in (*less, *more))
    seat = market.parts.get(_seat(part) or "")
    own = tuple(getattr(part, f) for f in same if f != "holder")
    sits = seat is not None and seat is not part and _seat(seat) is None
    return (type(part), own, stated, _alike(market, seat) if seat and sits else _seat(part))


def _replaced(market: Market, parts: Sequence[Part], unasked: Collection[str]) -> Iterable[str]:
    """Those of some alike parts, in the order of their names, that another one replaces."""
    worth = _figures(market.deals, parts, unasked)
    gone: set[int] = set()
    for b in range(len(parts)):
        no_worse = np.flatnonzero((worth <= worth[b]).all(axis=1))
        for a in no_worse.tolist():
            if a == b or a in gone or not _does(market, parts[a], parts[b], unasked):
                continue
            if _first(market, parts[a], parts[b]):
                gone.add(b)
                yield parts[b].part
                break


def _does(market: Market, a: Part, b: Part, unasked: Collection[str]) -> bool:
    """Whether a, no worse than b by its columns, is nowhere dearer; so too what it sits in."""
    if not nowhere_dearer(market.deals, a.part, b.part):
        return False
    if _seat(a) == _seat(b):
        return True
    seats = [market.parts.get(_seat(p) or "") for p in (a, b)]
    x, y = seats
    if x is None or y is None or {x.part, y.part} & set(market.owned):
        return False
    # a box that several breakers share is there for others too: one more of another may be needed
    shared = isinstance(a, Breaker) and any(getattr(s, "ways", 1) > 1 for s in seats)
    # one that fits a holder by its name alone fits no twin of that holder
    if shared or _seat(x) or _seat(y) or getattr(a, "kind", "") != getattr(x, "kind", None):
        return False
    if x.part not in market.deals or y.part not in market.deals:
        return False
    worth = _figures(market.deals, [x, y], unasked)
    return bool((worth[0] <= worth[1]).all()) and _does(market, x, y, unasked)


def _first(market: Market, a: Part, b: Part) -> bool:
    """Whether a, which does for b, is cheaper, or else first by lot with what it sits in."""
    # in a block the fuse is by itself
    if not comes_before(market.deals, a.part, b.part):
        return False
    x, y = _seat(a), _seat(b)
    if x == y or x is None or y is None:
        return True
    cheaper = any(everywhere_cheaper(market.deals, *two) for two in ((a.part, b.part), (x, y)))
    return cheaper or lot(a.part) + lot(x) < lot(b.part) + lot(y)


def _figures(
    deals: Mapping[str, tuple[Deal, ...]], parts: Sequence[Part], unasked: Collection[str]
) -> Floats:
    """Of each part what is better if less; with what a unit costs at the most from each shop."""
    _, less, more = (
        [f for f in way if f not in unasked] for way in better_ways(type(parts[0]))
    )
    sides = {"length_mm", "width_mm"}
    columns = [[getattr(p, f) for p in parts] for f in less if f not in sides]
    columns += [[-(getattr(p, f) or 0.0) for p in parts] for f in more]
    faces = [sorted((p.length_mm or 0.0, p.width_mm or 0.0)) for p in parts]
    columns += [[f[0] for f in faces], [f[1] for f in faces]]
    shops = sorted({d.supplier for p in parts for d in deals[p.part]})
    for shop in shops:
        columns.append([_price(deals[p.part], shop) for p in parts])
    return np.array([[0.0 if x is None else x for x in c] for c in columns], dtype=float).T


def _price(deals: Sequence[Deal], shop: str) -> float:
    """The least a unit costs at a shop before any price break; infinite where it has none."""
    prices = [float(d.levels[0][1] / d.units) for d in deals if d.supplier == shop]
    return min(prices, default=math.inf)
