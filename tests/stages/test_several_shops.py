"""A proof over several shops, in jobs of which the cheapest order is known by hand.

What is left out because something else is cheaper must be cheaper from shops that are ordered from
anyway: another shop's price has its freight before it.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from solver.kit import solve_kit
from solver.stock import Stock
from tests.oracle.small_jobs import one_circuit_job


def job(spares_pct=0.0):
    """The job worked by hand, all of it from one shop for 512 without spares."""
    needs, stock = one_circuit_job()
    return replace(needs, order=replace(needs.order, spares_pct=spares_pct)), stock


def another_shop(stock, freight):
    """The first shop under another name."""
    return replace(
        stock.suppliers[0],
        supplier="far",
        name="far",
        shipping=Decimal(freight),
        free_over=None,
    )


def offer_of(stock, part):
    """The only offer of a part."""
    return next(o for o in stock.offers if o.part == part)


@pytest.mark.parametrize("spares_pct", [0.0, 10.0])
def test_a_cheaper_cable_behind_dear_freight_changes_nothing(spares_pct):
    """It saves less than the parcel costs, and must not push the other cable out."""
    needs, stock = job(spares_pct)
    cable = replace(stock.by_name["pv"], part="pv-2")
    price = offer_of(stock, "pv")
    cheaper = replace(price, part="pv-2", supplier="far", price=price.price / 10)
    more = Stock.of(
        [*stock.parts, cable],
        [*stock.suppliers, another_shop(stock, 40)],
        [*stock.offers, cheaper],
    )
    result = solve_kit(needs, more)
    assert result.total == result.lower_bound == solve_kit(needs, stock).total
    if not spares_pct:
        assert result.total == 512


def test_what_another_shop_would_take_for_one_more_saves_nothing_here():
    """Fuses in fives for 30; elsewhere singles for 6, behind freight of 400.

    The five are enough for both places, so a weaker fuse for 4 in one of them saves nothing.
    """
    needs, stock = job()
    strip = stock.by_name["fuse"]
    weaker = replace(strip, part="fuse-l", breaking_ka=1.0)
    offers = [
        replace(o, pack=Decimal(5), price=Decimal(30))
        if o.part == "fuse"
        else replace(o, pack=Decimal(1), price=o.price / 10)
        if o.part == "lug"
        else o
        for o in stock.offers
    ]
    single = offer_of(stock, "fuse")
    offers.append(replace(single, part="fuse-l", price=Decimal(4)))
    there = [replace(o, supplier="far") for o in offers if o.part != "fuse"]
    there.append(replace(single, supplier="far", price=Decimal(6)))
    parts = [*stock.parts, weaker]
    one = Stock.of(parts, stock.suppliers, offers)
    two = Stock.of(parts, [*stock.suppliers, another_shop(stock, 400)], [*offers, *there])
    result = solve_kit(needs, two)
    assert result.total == result.lower_bound == solve_kit(needs, one).total == 535


def test_an_answer_a_cent_under_the_best_that_cannot_be_bought_ends_the_proof():
    """Goods one cent short of free freight: the bound may say so, no kit can be that cheap."""
    needs, stock = one_circuit_job()
    lug = stock.by_name["lug"]
    other = replace(lug, part="lug-b", kg=lug.kg - 0.05)
    dearer = replace(offer_of(stock, "lug"), part="lug-b", price=Decimal("5.51"))
    shop = replace(stock.suppliers[0], free_over=Decimal("511.50"))
    result = solve_kit(needs, Stock.of([*stock.parts, other], [shop], [*stock.offers, dearer]))
    assert result.total == Decimal("511.51")
    assert result.total - result.lower_bound <= Decimal("0.01")
