"""Cutting: pieces of cable from the lengths and spools that are there or are bought.

`cut` deals pieces to lengths that are there; `cheapest` also says what to buy. Both are exact:
what they call impossible is, and nothing costs less than what they call cheapest. Most jobs are
done by putting each piece, longest first, into the tightest length with room; `patterns` has the
rest.
"""

from __future__ import annotations

import math
from collections import defaultdict, deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from solver.patterns import Cuttable, Deal, Plan, Task, least


@dataclass(frozen=True, slots=True)
class Length:
    """A length that pieces are cut from."""

    name: str
    mm: int


@dataclass(frozen=True, slots=True)
class Sold:
    """One way to buy a cable: packs of spools of one length, or metres that come in one length."""

    name: str
    mm: int
    """Of one spool; of metres, of one pack."""
    levels: tuple[tuple[int, Decimal], ...]
    """Packs from which, and price of one pack for the whole quantity; from rising."""
    spools: int | None = 1
    """Spools in one pack; None: metres, all packs together in one length."""
    most_packs: int | None = None
    """By the stock; None: enough."""

    def cost(self, packs: int) -> Decimal:
        """What so many packs cost."""
        if packs == 0:
            return Decimal(0)
        return packs * next(p for start, p in reversed(self.levels) if packs >= start)

    def lengths(self, packs: int) -> list[Length]:
        """What so many packs are."""
        if self.spools is None:
            return [Length(self.name, self.mm * packs)] if packs else []
        number = packs * self.spools
        return [Length(f"{self.name}, spool {k}", self.mm) for k in range(1, number + 1)]


@dataclass(frozen=True, slots=True)
class Cutting:
    """What is cut from one length."""

    name: str
    mm: int
    pieces: tuple[int, ...]
    """Numbers of the pieces in the order in which they are cut: the longest first, so that a
    slip of the blade still leaves a shorter one."""
    offcut_mm: int
    """What stays over."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """What to buy, and how it is cut."""

    cost: Decimal
    packs: tuple[int, ...]
    """Of each way to buy."""
    cuttings: tuple[Cutting, ...]
    """Of every length there is then, those from which nothing is cut included."""


def cut(pieces_mm: Sequence[int], lengths: Sequence[Length]) -> list[int] | None:
    """For each piece the number of the length it is cut from; None where they don't fit.

    Exact: first the tightest length with room for each piece, then a count that many a set of
    pieces fails by, then the programme of `patterns`, which decides.
    """
    taken = _tightest(pieces_mm, lengths)
    if taken is not None:
        return taken
    if _too_much(pieces_mm, lengths):
        return None
    plan = least(_task(pieces_mm, (), lengths))
    return None if plan is None else _dealt(plan, pieces_mm, lengths, {})


def cheapest(
    pieces_mm: Sequence[int], sold: Sequence[Sold], owned: Sequence[Length] = ()
) -> Purchase | None:
    """The purchase of least cost from which all pieces can be cut; None where there is none.

    The cost is proven: to the last digit where no price has more than four decimals, else to
    within two ten-thousandths of the currency. What is owned is free, and cut first.
    """
    plan = None
    if _tightest(pieces_mm, owned) is not None:
        packs: tuple[int, ...] | None = (0,) * len(sold)
    else:
        packs = _one_spool(pieces_mm, sold, owned)
    if packs is None:
        plan = least(_task(pieces_mm, sold, owned))
        if plan is None:
            return None
        packs = plan.packs
    bought = [s.lengths(n) for s, n in zip(sold, packs, strict=True)]
    lengths = [*owned, *(x for one in bought for x in one)]
    taken = _tightest(pieces_mm, lengths)
    if taken is None:
        taken = _dealt(
            plan or Plan(packs, (), {}), pieces_mm, lengths, _metres(sold, bought, owned)
        )
    cost = sum((s.cost(n) for s, n in zip(sold, packs, strict=True)), Decimal(0))
    return Purchase(cost, packs, cuttings(pieces_mm, lengths, taken))


def _metres(
    sold: Sequence[Sold], bought: Sequence[Sequence[Length]], owned: Sequence[Length]
) -> dict[int, int]:
    """Of each length that is bought by the metre the way it is bought, by its number."""
    at, found = len(owned), {}
    for d, (s, lengths) in enumerate(zip(sold, bought, strict=True)):
        if s.spools is None and lengths:
            found[at] = d
        at += len(lengths)
    return found


def cuttings(
    pieces_mm: Sequence[int], lengths: Sequence[Length], taken: Sequence[int]
) -> tuple[Cutting, ...]:
    """Of each length what is cut from it and in which order, and what stays over."""
    mine: list[list[int]] = [[] for _ in lengths]
    for i, j in enumerate(taken):
        mine[j].append(i)
    return tuple(
        Cutting(
            length.name,
            length.mm,
            tuple(sorted(numbers, key=lambda i: (-pieces_mm[i], i))),
            length.mm - sum(pieces_mm[i] for i in numbers),
        )
        for length, numbers in zip(lengths, mine, strict=True)
    )


def _tightest(pieces_mm: Sequence[int], lengths: Sequence[Length]) -> list[int] | None:
    """The longest piece first, each from the shortest rest that it comes out of."""
    room = [length.mm for length in lengths]
    taken = [-1] * len(pieces_mm)
    for i in sorted(range(len(pieces_mm)), key=lambda i: (-pieces_mm[i], i)):
        best = min(((r, j) for j, r in enumerate(room) if r >= pieces_mm[i]), default=(0, -1))[
            1
        ]
        if best < 0:
            return None
        room[best] -= pieces_mm[i]
        taken[i] = best
    return taken


def _too_much(pieces_mm: Sequence[int], lengths: Sequence[Length]) -> bool:
    """Whether pieces are too long in all, or those of some length and over too many."""
    if sum(pieces_mm) > sum(x.mm for x in lengths):
        return True
    longest_first = sorted(pieces_mm, reverse=True)
    return any(
        sum(x.mm // mm for x in lengths) < n for n, mm in enumerate(longest_first, start=1)
    )


def _one_spool(
    pieces_mm: Sequence[int], sold: Sequence[Sold], owned: Sequence[Length]
) -> tuple[int, ...] | None:
    """The packs where one kind of spool is sold, at one price, and a count proves the number."""
    if len(sold) != 1 or owned or len(sold[0].levels) > 1 or sold[0].spools is None:
        return None
    (one,) = sold
    (start, _), each, most = one.levels[0], one.spools or 1, one.most_packs
    spools = max(math.ceil(sum(pieces_mm) / one.mm), 1)
    while _too_much(pieces_mm, one.lengths(math.ceil(spools / each))[:spools]):
        if one.mm < max(pieces_mm):
            return None
        spools += 1
    packs = max(math.ceil(spools / each), start)
    if (most is not None and packs > most) or not _tightest(pieces_mm, one.lengths(packs)):
        return None
    return (packs,)


# --- to and from the programme --------------------------------------------------------------------


def _task(pieces_mm: Sequence[int], sold: Sequence[Sold], owned: Sequence[Length]) -> Task:
    wanted: defaultdict[int, int] = defaultdict(int)
    for mm in pieces_mm:
        wanted[mm] += 1
    widths = tuple(sorted(wanted, reverse=True))
    deals = tuple(_deal(s, pieces_mm) for s in sold)
    given: defaultdict[int, int] = defaultdict(int)
    bought: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for x in owned:
        given[x.mm] += 1
    for d, s in enumerate(sold):
        if s.spools is not None:
            bought[s.mm].append((d, s.spools))
    kinds = tuple(
        Cuttable(mm, given[mm], tuple(bought[mm]))
        for mm in sorted({*given, *bought}, reverse=True)
        if mm >= widths[-1]
    )
    return Task(widths, tuple(wanted[mm] for mm in widths), kinds, deals)


def _deal(sold: Sold, pieces_mm: Sequence[int]) -> Deal:
    """The levels with the most packs of each that can be of use."""
    if sold.spools is None:
        enough = math.ceil(sum(pieces_mm) / sold.mm)
    else:
        enough = math.ceil(len(pieces_mm) / sold.spools)
    ends = [start - 1 for start, _ in sold.levels[1:]]
    ranges = []
    for (start, price), end in zip(sold.levels, [*ends, None], strict=True):
        last = max(start, enough) if end is None else min(end, max(start, enough))
        if sold.most_packs is not None:
            last = min(last, sold.most_packs)
        if start <= last:
            ranges.append((start, last, price))
    return Deal(sold.mm if sold.spools is None else None, tuple(ranges))


def _dealt(
    plan: Plan,
    pieces_mm: Sequence[int],
    lengths: Sequence[Length],
    metres: Mapping[int, int],
) -> list[int]:
    """Pieces handed out as the plan has it."""
    waiting: defaultdict[int, deque[int]] = defaultdict(deque)
    for i, mm in enumerate(pieces_mm):
        waiting[mm].append(i)
    patterns: defaultdict[int, list[tuple[tuple[int, int], ...]]] = defaultdict(list)
    for mm, pattern, times in plan.patterns:
        patterns[mm] += [pattern] * times
    taken = [-1] * len(pieces_mm)
    for j, x in enumerate(lengths):
        mine = plan.metres[metres[j]] if j in metres else ()
        if j not in metres and patterns[x.mm]:
            mine = patterns[x.mm].pop()
        for width, n in mine:
            # a plan may cut more than is wanted
            for _ in range(min(n, len(waiting[width]))):
                taken[waiting[width].popleft()] = j
    return taken
