"""A part that nobody needs changes nothing, a part less never helps, a part more never harms."""

from __future__ import annotations

import random
from dataclasses import replace

from solver.kit import solve_kit
from solver.needs import Needs
from solver.parts import Fuse
from solver.stock import Stock
from tests.oracle.small_jobs import block_job, small_job
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


def test_finer_fuse_for_a_block_never_raises_the_total():
    """Two lamps stand in a block of two ways, a pump beside it: its only fuse is small.

    With a larger fuse on sale the pump could go into a second block, but need not.
    """
    needs, less = two_lamps_and_a_pump()
    larger = replace(less.by_name["blade-5"], part="blade-15", rated_a=15.0)
    price = replace(next(o for o in less.offers if o.part == "blade-5"), part="blade-15")
    more = Stock.of([*less.parts, larger], less.suppliers, [*less.offers, price])
    costs_no_more(solve_kit(needs, more), solve_kit(needs, less))


def two_lamps_and_a_pump() -> tuple[Needs, Stock]:
    """A pump for which the only fuse of the block is too small."""
    return block_job({"a": 12, "b": 12, "pump": 70}, blades=(5.0,), block_a=30.0)
