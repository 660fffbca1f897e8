"""Why more of a part is bought than the kit takes: a price break, or a freight threshold."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from decimal import Decimal

from solver.choice import Purchase
from solver.market import Freight, Market

Bought = tuple[Purchase, int]
"""A purchase, and how many of its packs would do for what is taken from it."""


def enough(purchase: Purchase, share: Decimal) -> int:
    """Packs that would do for a share of the need, were they bought alone."""
    return math.ceil(share / purchase.deal.units)


class Surplus:
    """The purchases of a whole bill, and what each buys too much for."""

    def __init__(
        self,
        bought: Mapping[str, Sequence[Bought]],
        market: Market,
        goods: Mapping[str, Decimal] | None = None,
    ) -> None:
        self.market = market
        self.goods: defaultdict[str, Decimal] = defaultdict(Decimal, goods or {})
        """By supplier, what all its goods cost."""
        self.extra: defaultdict[str, Decimal] = defaultdict(Decimal)
        """By supplier, what packs that nothing needs add to that."""
        for purchases in bought.values():
            for purchase, packs in purchases:
                supplier = purchase.deal.supplier
                self.goods[supplier] += _cost(purchase, purchase.packs)
                self.extra[supplier] += max(_extra(purchase, packs), Decimal(0))

    def why(self, purchase: Purchase, packs: int, unit: str, currency: str) -> str:
        """Why more is bought than so many packs; empty where it is not.

        `unit` is what stands after a number of units, such as ` m`.
        """
        more = purchase.packs - packs
        if more <= 0:
            return ""
        text = f"{(more * purchase.deal.units).normalize():f}{unit} more than needed"
        least = purchase.deal.levels[0][0]
        if packs and purchase.packs == least:
            return f"{text}: no fewer than {least} packs are sold"
        freight = self.market.freight.get(purchase.deal.supplier)
        if _extra(purchase, packs) <= 0:
            return f"{text}: {_break(purchase, packs, currency)}"
        if freight is not None and self._reached(freight):
            return f"{text}: {_threshold(freight, currency)}"
        return text

    def _reached(self, freight: Freight) -> bool:
        """Whether freight is free for what nobody needs."""
        if freight.free_over is None or not freight.shipping:
            return False
        goods = self.goods[freight.supplier]
        return goods >= freight.free_over > goods - self.extra[freight.supplier]


def _cost(purchase: Purchase, packs: int) -> Decimal:
    return purchase.deal.cost(packs) if packs else Decimal(0)


def _sold(purchase: Purchase, packs: int) -> int:
    """So many packs, or the least number that is sold."""
    return max(packs, purchase.deal.levels[0][0]) if packs else 0


def _extra(purchase: Purchase, packs: int) -> Decimal:
    """What is paid beyond what so many packs cost."""
    return _cost(purchase, purchase.packs) - _cost(purchase, _sold(purchase, packs))


def _break(purchase: Purchase, packs: int, currency: str) -> str:
    deal = purchase.deal
    packs = _sold(purchase, packs)
    if not packs:
        return "it costs nothing"
    start = next(n for n, _ in reversed(deal.levels) if purchase.packs >= n)
    less = deal.cost(purchase.packs) / purchase.packs
    full = deal.cost(packs) / packs
    whole, saved = deal.cost(purchase.packs), _extra(purchase, packs)
    than = "no more than" if not saved else "less than"
    return (
        f"from {start} packs on one costs {less:.2f} {currency} in place of {full:.2f}, so that "
        f"{purchase.packs} cost {whole:.2f}, {than} the {packs} that would do"
    )


def _threshold(freight: Freight, currency: str) -> str:
    return (
        f"so the goods from {freight.name} reach {freight.free_over:.2f} {currency}, and its "
        f"freight of {freight.shipping:.2f} is saved"
    )
