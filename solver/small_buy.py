"""Buying the small parts of a kit: at least cost for that kit, beside what is ordered for it.

The kit is chosen before, without them: what they cost has no say in which kit it is. A small
programme then chooses, of all parts that serve, how many of which to buy in which packs from
whom. What the kit is ordered from costs no more freight, and what is added counts towards free
freight.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from solver.bill import counted_lines, lead_days, order_of_lines, orders_with, spares_of
from solver.choice import Purchase
from solver.lots import lot
from solver.market import by_metre, level_packs
from solver.milp import Programme, solve
from solver.records import Design, Line, SmallPart, SupplierOrder, Unsold
from solver.small_parts import wants
from solver.small_wants import Want
from solver.ties import LOT_GAP, TIE_CENTS, least_lot

if TYPE_CHECKING:
    from solver.market import Deal, Market
    from solver.needs import Needs

CENTS = 100.0

SHORT_CENTS = 1e7
"""For each piece that is not to be had: more than any small part costs."""

SHORT_OF = 0.01
"""Less than this is the solver's tolerance."""

Terms = list[tuple[int, float]]

Count = int | Decimal
"""Pieces, or metres."""


@dataclass(frozen=True)
class Complete:
    """A kit with its small parts."""

    design: Design
    lines: tuple[Line, ...]
    orders: tuple[SupplierOrder, ...]


@dataclass
class _Lot:
    """Wants of one kind that the same parts serve."""

    kind: str
    gives: tuple[tuple[str, float], ...]
    shared: bool
    by_metre: bool
    takers: list[tuple[str, float]]

    @property
    def quantity(self) -> float:
        """What is wanted in all; of a shared part each taker wants all of it."""
        amounts = [n for _, n in self.takers]
        return max(amounts) if self.shared else sum(amounts)


def completed(
    needs: Needs,
    design: Design,
    lines: tuple[Line, ...],
    orders: tuple[SupplierOrder, ...],
    market: Market,
) -> Complete:
    """A finished kit with the small parts that it asks for, as far as the catalog has them.

    Parameters
    ----------
    needs : Needs
        What is asked for.
    design : Design
        The finished kit.
    lines, orders : tuple
        Its bill.
    market : Market
        Everything that can be had.
    """
    asked = wants(needs, design, market)
    served = [w for w in asked if w.gives]
    extras, purchases, short = bought_for(needs, market, served, orders)
    if any(x.kind == "twin ferrules" for x in short):
        # not enough of them: each end has a ferrule of its own instead
        twins = [x for x in short if x.kind == "twin ferrules"]
        asked = wants(needs, design, market, twins=False)
        served = [w for w in asked if w.gives]
        extras, purchases, short = bought_for(needs, market, served, orders)
        short += twins
    unknown = sorted({w.kind for w in asked if not w.known})
    unsold = [_unsold(w.kind, w.of, w.quantity) for w in asked if w.known and not w.gives]
    told = replace(
        design,
        without=(*design.without, *unknown),
        unsold=tuple(sorted([*unsold, *short], key=lambda x: (x.kind, x.of, x.quantity))),
        small=extras,
    )
    takers: defaultdict[str, dict[str, Count]] = defaultdict(dict)
    for extra in extras:
        takers[extra.part][extra.of] = takers[extra.part].get(extra.of, 0) + extra.quantity
    goods = {o.supplier: o.goods for o in orders}
    more = counted_lines(needs, dict(sorted(takers.items())), purchases, market, goods)
    every = tuple(sorted((*lines, *more), key=order_of_lines))
    lead = {o.supplier: o.lead_days for o in orders}
    for supplier, days in lead_days(purchases).items():
        lead[supplier] = max(lead.get(supplier, 0), days)
    parts = {**told.parts, **{name: market.parts[name] for name in takers}}
    return Complete(
        replace(
            told,
            parts={name: parts[name] for name in sorted(parts)},
        ),
        every,
        orders_with(needs, every, lead, market),
    )


def bought_for(
    needs: Needs, market: Market, served: Iterable[Want], orders: Iterable[SupplierOrder]
) -> tuple[tuple[SmallPart, ...], dict[str, list[Purchase]], list[Unsold]]:
    """What serves some wants, and what is bought for them at least cost beside some orders.

    Also names the wants for which there is not enough to be had: of such a kind nothing is bought.
    """
    lots, short = _lots(served), list[Unsold]()
    while lots:
        order = _Order(needs, market, lots, orders)
        counts, purchases, left = order.bought()
        if not left:
            return _extras(lots, counts), purchases, short
        short += [_unsold(lots[n].kind, *taker) for n in left for taker in lots[n].takers]
        lots = [each for n, each in enumerate(lots) if n not in left]
    return (), {}, short


def _unsold(kind: str, of: str, quantity: float) -> Unsold:
    return Unsold(kind=kind, of=of, quantity=quantity)


def _lots(served: Iterable[Want]) -> list[_Lot]:
    found: dict[tuple[object, ...], _Lot] = {}
    for w in served:
        # openings are filled one by one; what is counted goes together
        alone = "" if w.counted else w.of
        key = (w.kind, w.gives, w.shared, alone)
        if key not in found:
            found[key] = _Lot(w.kind, w.gives, w.shared, w.by_metre, [])
        found[key].takers.append((w.of, w.quantity))
    return list(found.values())


def _extras(
    lots: Sequence[_Lot], counts: Sequence[Mapping[str, Count]]
) -> tuple[SmallPart, ...]:
    """What each taker has of which part, in their order."""
    found: list[SmallPart] = []
    tools: dict[str, list[str]] = {}
    quantity: dict[str, Count] = {}
    for each, count in zip(lots, counts, strict=True):
        left = {part: n for part, n in count.items() if n}
        if each.shared:
            quantity |= left
            for part in left:
                tools.setdefault(part, []).extend(of for of, _ in each.takers)
            continue
        takers = each.takers if len(each.takers) > 1 else [(each.takers[0][0], math.inf)]
        for of, amount in takers:
            still = amount
            for part in sorted(left):
                n = _amount(min(left[part], still), by_metre=each.by_metre)
                if n:
                    found.append(SmallPart(part=part, of=of, quantity=n))
                    left[part] -= n
                    still -= float(n)
    for part, tasks in sorted(tools.items()):
        more = f" and {len(tasks) - 1} more" if len(tasks) > 1 else ""
        found.append(SmallPart(part=part, of=tasks[0] + more, quantity=quantity[part]))
    return tuple(found)


def _amount(value: float | Decimal, *, by_metre: bool) -> Count:
    """Whole pieces, or metres to the millimetre."""
    return Decimal(round(1000 * float(value))) / 1000 if by_metre else round(value)


class _Order:
    """The programme of small parts."""

    def __init__(
        self,
        needs: Needs,
        market: Market,
        lots: Sequence[_Lot],
        orders: Iterable[SupplierOrder],
    ) -> None:
        self.needs, self.market, self.lots = needs, market, lots
        self.goods = {o.supplier: float(o.goods) for o in orders}
        self.p = Programme()
        self.draws: list[int] = []
        """Of each column its lot: it decides between what costs the same."""
        self.counts: list[dict[str, int]] = []
        """Of each lot of wants the column of each part."""
        self.packs: defaultdict[str, list[tuple[int, Deal]]] = defaultdict(list)
        self.spent: defaultdict[str, Terms] = defaultdict(list)
        self.opened: dict[str, int] = {}
        self.short: list[int] = []
        """Of each lot the column of what is not to be had."""

    def bought(self) -> tuple[list[dict[str, Count]], dict[str, list[Purchase]], set[int]]:
        """Of each lot how many of each part; what is bought; the lots that lack something."""
        uses = self._counts()
        for part, terms in sorted(uses.items()):
            self._buy(part, terms)
        self._freight()
        values = self._solved()
        counts = [
            {p: _amount(values[j], by_metre=each.by_metre) for p, j in own.items()}
            for each, own in zip(self.lots, self.counts, strict=True)
        ]
        purchases = {
            part: [Purchase(deal, n) for deal, n in self._taken(columns, values)]
            for part, columns in sorted(self.packs.items())
        }
        left = {n for n, j in enumerate(self.short) if values[j] > SHORT_OF}
        return counts, {part: buys for part, buys in purchases.items() if buys}, left

    def _taken(
        self, columns: Sequence[tuple[int, Deal]], values: Sequence[float]
    ) -> list[tuple[Deal, int]]:
        packs: dict[int, tuple[Deal, int]] = {}
        for j, deal in columns:
            before = packs.get(id(deal), (deal, 0))[1]
            packs[id(deal)] = (deal, before + round(values[j]))
        return [(deal, n) for deal, n in packs.values() if n]

    def _solved(self) -> list[float]:
        answer = solve(self.p, gap=1e-6)
        if answer.status != "optimal":
            raise AssertionError(
                f"a purchase that may fall short has no answer: {answer.status}"
            )
        cents = answer.objective
        again = solve(least_lot(self.p, self.draws, cents + TIE_CENTS), gap=LOT_GAP)
        found = again if again.status == "optimal" else answer
        return [float(v) for v in found.values]

    def _column(
        self, draw: int, cost: float = 0.0, upper: float = 1.0, *, whole: bool = True
    ) -> int:
        self.draws.append(draw)
        return self.p.column(cost, upper=upper, whole=whole)

    def _counts(self) -> dict[str, Terms]:
        """How many of each part serve each lot; of shared parts one column serves all."""
        uses: defaultdict[str, Terms] = defaultdict(list)
        shared: dict[str, int] = {}
        for each in self.lots:
            mine: dict[str, int] = {}
            for part, gives in each.gives:
                if each.shared and part in shared:
                    mine[part] = shared[part]
                    continue
                upper = each.quantity / gives
                upper = upper if each.by_metre else math.ceil(upper - 1e-9)
                draw = lot("small", each.kind, part)
                mine[part] = self._column(draw, upper=upper, whole=not each.by_metre)
                uses[part].append((mine[part], 1.0))
                if each.shared:
                    shared[part] = mine[part]
            self.draws.append(0)
            self.short.append(self.p.column(SHORT_CENTS, upper=each.quantity, whole=False))
            terms = [(mine[part], gives) for part, gives in each.gives]
            terms.append((self.short[-1], 1.0))
            self.p.at_least(terms, each.quantity - 1e-6, each.kind)
            self.counts.append(mine)
        return uses

    def _buy(self, part: str, terms: Terms) -> None:
        p, cls = self.p, self.market.parts[part].cls
        most = sum(n * p.upper[j] for j, n in terms)
        need = list(terms)
        if spares_of(self.needs, cls, 1):
            pct = self.needs.order.spares_pct / 100
            spare = self._column(0, upper=math.ceil(most * pct) + 1.0)
            p.at_least([(spare, 1.0), *((j, -n * pct) for j, n in terms)], -1e-7, "spares")
            need.append((spare, 1.0))
            most += math.ceil(most * pct)
        have: Terms = []
        own = self.market.owned.get(part)
        if own is not None:
            whole = not by_metre(self.market.parts[part])
            have.append((self._column(0, upper=float(own.quantity), whole=whole), 1.0))
        for deal in self.market.deals.get(part, ()):
            have += self._deal(part, deal, most)
        p.at_least([*have, *((j, -n) for j, n in need)], 0.0, f"need {part}")

    def _deal(self, part: str, deal: Deal, most: float) -> Terms:
        """Packs of a deal, at one level of price."""
        p, units = self.p, float(deal.units)
        enough = math.ceil(most / units - 1e-9)
        levels: Terms = []
        have: Terms = []
        for start, top, price in level_packs(deal, enough, self._freight_saved(deal.supplier)):
            draw = lot("packs", part, deal.supplier, str(deal.pack))
            packs = self._column(draw, CENTS * float(price), float(top))
            level = self._column(0)
            p.at_least([(packs, 1.0), (level, -float(start))], 0.0, "from so many")
            p.at_most([(packs, 1.0), (level, -float(top))], 0.0, "level")
            levels.append((level, 1.0))
            have.append((packs, units))
            self.packs[part].append((packs, deal))
            self.spent[deal.supplier].append((packs, float(price)))
            self._opens(deal.supplier, level)
        if levels:
            p.at_most(levels, 1.0, "one level")
        return have

    def _freight_saved(self, supplier: str) -> Decimal:
        """What more than needed may cost, because freight is then free."""
        freight = self.market.freight[supplier]
        goods = self.goods.get(supplier, 0.0)
        if freight.free_over is None or goods >= freight.free_over:
            return Decimal(0)
        return freight.shipping

    def _opens(self, supplier: str, level: int) -> None:
        """A supplier that is not ordered from for the kit sends another parcel."""
        if supplier in self.goods:
            return
        if supplier not in self.opened:
            shipping = float(self.market.freight[supplier].shipping)
            self.opened[supplier] = self._column(lot("opens", supplier), CENTS * shipping)
        self.p.at_most([(level, 1.0), (self.opened[supplier], -1.0)], 0.0, "opens")

    def _freight(self) -> None:
        """Freight is free from a threshold on, the kit's goods included."""
        for supplier, terms in sorted(self.spent.items()):
            freight = self.market.freight[supplier]
            goods = self.goods.get(supplier, 0.0)
            if freight.free_over is None or not freight.shipping:
                continue
            over = float(freight.free_over)
            if goods >= over:
                continue
            free = self._column(0, -CENTS * float(freight.shipping))
            self.p.at_least([*terms, (free, -(over - goods))], 0.0, f"free {supplier}")
            if supplier in self.opened:
                self.p.at_most(
                    [(free, 1.0), (self.opened[supplier], -1.0)], 0.0, "free if open"
                )
