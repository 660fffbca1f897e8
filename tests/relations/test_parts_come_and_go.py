"""A part that nobody needs changes nothing, a part less never helps, a part more never harms."""

from __future__ import annotations

import random
from dataclasses import replace
from decimal import Decimal

import pytest

from solver.kit import solve_kit
from solver.needs import DropLimits, Needs
from solver.parts import Busbar, Fuse
from solver.stock import Stock
from tests.oracle.small_jobs import one_circuit_job, small_job
from tests.relations.jobs import (
    answer,
    as_json,
    costs_no_more,
    each_job,
    each_job_with_kit,
    few,
    for_sale,
    job,
    without,
)

TIED = {2, 19}
"""Jobs with two kits of the least cost: which of them is the answer is laid down nowhere."""


@each_job_with_kit
def test_unused_part_removed_changes_nothing(name):
    """The catalog without a part that is not in the bill gives the same answer to the byte.

    But for the notes, which count the offers that come too late.
    """
    needs, stock = job(name)
    before = replace(answer(name), notes=())
    for part in few(name, for_sale(name, used=False), "unused"):
        after = replace(solve_kit(needs, without(stock, part)), notes=())
        assert (after.status, after.total) == (before.status, before.total), part
        if name not in TIED:
            assert as_json(after, needs) == as_json(before, needs), part


@each_job_with_kit
def test_all_unused_parts_removed_change_no_price(name):
    """The bill's own parts make a catalog that is enough."""
    needs, stock = job(name)
    after = solve_kit(needs, without(stock, *for_sale(name, used=False)))
    assert (after.status, after.total) == (answer(name).status, answer(name).total)


@each_job_with_kit
def test_used_part_removed_never_lowers_the_total(name):
    """What had to be found without a part was open before."""
    needs, stock = job(name)
    for part in few(name, for_sale(name, used=True), "used"):
        costs_no_more(answer(name), solve_kit(needs, without(stock, part)))


@each_job
def test_part_added_never_raises_the_total(name):
    """A part of another job's catalog is one more choice."""
    needs, stock = job(name)
    other = small_job(1000 + sum(map(ord, str(name))))[1]
    for part in few(name, {o.part for o in other.offers}, "added"):
        costs_no_more(solve_kit(needs, with_another(stock, other, part)), answer(name))


def with_another(stock: Stock, other: Stock, part: str) -> Stock:
    """A catalog with a part of another, and the holder it stands in, sold by one of its shops."""
    named = {part: f"another {part}"}
    one = other.by_name[part]
    if isinstance(one, Fuse) and one.holder is not None:
        named[one.holder] = f"another {one.holder}"
    new = [replace(other.by_name[p], part=to) for p, to in named.items()]
    new = [
        replace(p, holder=named[p.holder]) if isinstance(p, Fuse) and p.holder else p
        for p in new
    ]
    shop = random.Random(part).choice(stock.suppliers).supplier
    first = other.suppliers[0].supplier
    offers = [
        replace(o, part=named[o.part], supplier=shop)
        for o in other.offers
        if o.part in named and (o.supplier == first or len(other.suppliers) == 1)
    ]
    return Stock.of([*stock.parts, *new], stock.suppliers, [*stock.offers, *offers])


@pytest.mark.xfail(reason="a fuse block takes every circuit that it can", strict=True)
def test_finer_fuse_for_a_block_never_raises_the_total():
    """Two lamps stand in a block of two ways, a pump beside it: its only fuse is small.

    With a larger fuse on sale the pump must go into the block too, and a second one is bought.
    """
    needs, less = two_lamps_and_a_pump()
    larger = replace(less.by_name["blade-5"], part="blade-15", rated_a=15.0)
    price = replace(next(o for o in less.offers if o.part == "blade-5"), part="blade-15")
    more = Stock.of([*less.parts, larger], less.suppliers, [*less.offers, price])
    costs_no_more(solve_kit(needs, more), solve_kit(needs, less))


def two_lamps_and_a_pump() -> tuple[Needs, Stock]:
    """The job worked by hand with a block of two ways and dear holders for strip fuses."""
    needs, stock = one_circuit_job()
    lamp = replace(needs.loads[0], hours_per_day=0.2)
    loads = [replace(lamp, name=n, watts=w) for n, w in (("a", 12), ("b", 12), ("pump", 70))]
    drop = DropLimits(battery=6.0, load=6.0, charger=6.0)
    needs = replace(needs, loads=tuple(loads), rules=replace(needs.rules, drop_pct=drop))
    strip = stock.by_name["fuse"]
    new = {
        "fuse-20": (replace(strip, part="fuse-20", rated_a=20.0), "2"),
        "blade-5": (
            replace(strip, part="blade-5", kind="blade", rated_a=5.0, holder="block"),
            "1",
        ),
        "block": (
            replace(stock.by_name["holder"], part="block", kind="blade", ways=2),
            "20",
        ),
    }
    first = next(o for o in stock.offers if o.part == "holder")
    offers = [replace(o, price=Decimal(60)) if o is first else o for o in stock.offers]
    offers += [replace(first, part=n, price=Decimal(price)) for n, (_, price) in new.items()]
    parts = [replace(p, studs=8) if isinstance(p, Busbar) else p for p in stock.parts]
    return needs, Stock.of([*parts, *(p for p, _ in new.values())], stock.suppliers, offers)
