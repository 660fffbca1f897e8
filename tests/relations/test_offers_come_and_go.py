"""A cheaper offer, another shop, a cable in the drawer: none of them makes a kit dearer."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal

from solver.kit import solve_kit
from solver.needs import Owned
from solver.stock import Stock
from tests.relations.jobs import (
    answer,
    costs_no_more,
    each_job,
    each_small_job,
    few,
    job,
)

CHEAPER = Decimal("0.8")


@each_job
def test_a_cheaper_offer_never_raises_the_total(name):
    """All of one part's prices at one shop a fifth lower, breaks included."""
    needs, stock = job(name)
    for part in few(name, {o.part for o in stock.offers}, "cheaper"):
        shops = sorted({o.supplier for o in stock.offers if o.part == part})
        shop = random.Random(part).choice(shops)
        offers = [
            replace(o, price=o.price * CHEAPER) if (o.part, o.supplier) == (part, shop) else o
            for o in stock.offers
        ]
        cheaper = Stock.of(stock.parts, stock.suppliers, offers)
        costs_no_more(solve_kit(needs, cheaper), answer(name))


@each_small_job
def test_a_shop_added_never_raises_the_total(name):
    """A shop with freight of its own that sells half of the parts, some for less."""
    needs, stock = job(name)
    costs_no_more(solve_kit(needs, with_shop(stock, str(name))), answer(name))


def with_shop(stock: Stock, name: str) -> Stock:
    """The catalog with another shop: half of the first one's parts, at 0.6 to 1.2 of their prices."""
    r = random.Random(f"shop {name}")
    shop = replace(
        stock.suppliers[0],
        supplier="added",
        name="added",
        shipping=Decimal(r.choice((0, 6, 15))),
        free_over=r.choice((None, Decimal(60), Decimal(300))),
    )
    first = [o for o in stock.offers if o.supplier == stock.suppliers[0].supplier]
    share = {
        part: r.choice(("", "", "0.6", "0.8", "1", "1.2"))
        for part in sorted({o.part for o in first})
    }
    offers = [
        replace(
            o,
            supplier="added",
            price=(o.price * Decimal(share[o.part])).quantize(Decimal("0.01")),
        )
        for o in first
        if share[o.part]
    ]
    return Stock.of(stock.parts, [*stock.suppliers, shop], [*stock.offers, *offers])


@each_job
def test_a_cable_owned_never_raises_the_total(name):
    """Some metres of a cable in one length, free to be used or not."""
    needs, stock = job(name)
    owned = {o.part.part for o in needs.owned}
    cables = {p.part for p in stock.of_class("cable") if p.part not in owned}
    for part in few(name, cables, "owned"):
        metres = Decimal(str(random.Random(part).choice((0.5, 1.7, 4.2, 20))))
        one = Owned(part=stock.by_name[part], inline=False, quantity=metres, use="may")
        more = replace(needs, owned=(*needs.owned, one))
        costs_no_more(solve_kit(more, stock), answer(name))
