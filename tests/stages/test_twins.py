"""Parts left out because another replaces them: every column that a kit can depend on counts.

Each column of each class is tried by itself: a cheaper part that is worse in that column alone,
or merely different where neither is better, must not push the other out.
"""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest

from bom.parts import read_chosen
from solver.columns import better_ways, columns_of
from solver.lots import lot
from solver.market import Deal, Market
from solver.parts import CLASSES, Holder
from solver.twins import without_twins

CHOSEN = (
    "panel", "controller", "battery", "inverter", "charger", "cable", "fuse", "breaker",
    "holder", "lug", "connector", "combiner", "switch", "busbar", "monitor",
)  # fmt: skip
"""Classes that the programme chooses from."""


SHIPPED = read_chosen(None)


def a_part(name):
    """Some part of a class of the shipped catalog."""
    every = SHIPPED.of_class(name)
    return next(p for p in every if not isinstance(p, Holder) or p.ways == 1)


def deal(part, price, *, shop="north", pack=1, stock=None, levels=None):
    """An offer of a part by a shop."""
    return Deal(
        part=part,
        supplier=shop,
        unit="each",
        pack=Decimal(pack),
        length_m=None,
        units=Decimal(pack),
        levels=levels or ((1, Decimal(price)),),
        most_packs=stock,
        lead_days=3,
    )


def kept(old, new, old_deals=None, new_deals=None):
    """Names that stay of a part for 10 and a cheaper one, for 9."""
    deals = {
        old.part: tuple(old_deals or [deal(old.part, 10)]),
        new.part: tuple(new_deals or [deal(new.part, 9)]),
    }
    market = Market(
        deals=deals, freight={}, owned={}, parts={p.part: p for p in (old, new)}, notes=()
    )
    return set(without_twins(market).deals)


def worse(value, way):
    """A value that is not as good; for text another one."""
    if isinstance(value, str):
        return value + " x"
    if isinstance(value, tuple):
        return (*value, 96)
    if value is None:
        return 1.0
    step = abs(value) // 2 + 1
    return value - step if way == "more" else value + step


@pytest.mark.parametrize("name", CHOSEN)
def test_a_cheaper_part_that_is_no_worse_replaces_another(name):
    """The same thing under another name; or better in every column that is better one way."""
    part = a_part(name)
    twin = dataclasses.replace(part, part="new", name="another maker's")
    assert kept(part, twin) == {"new"}
    _, less, more = better_ways(type(part))
    stated = {f: getattr(part, f) for f in (*less, *more) if getattr(part, f) is not None}
    changes = {f: v - abs(v) / 4 if f in less else v + abs(v) for f, v in stated.items()}
    assert kept(part, dataclasses.replace(twin, **changes)) == {"new"}


@pytest.mark.parametrize(
    ("name", "column"),
    [(n, c.name) for n in CHOSEN for c in columns_of(CLASSES[n]) if c.better != "any"],
)
def test_a_cheaper_part_worse_in_one_column_does_not(name, column):
    """Whatever the column: without it in the comparison a part is lost that a kit may need."""
    part = a_part(name)
    way = next(c.better for c in columns_of(type(part)) if c.name == column)
    new = dataclasses.replace(
        part, part="new", name="cheaper", **{column: worse(getattr(part, column), way)}
    )
    assert kept(part, new) == {part.part, "new"}


@pytest.mark.parametrize(
    ("why", "new_deals"),
    [
        ("dearer", [deal("new", 11)]),
        ("from another shop", [deal("new", 9, shop="south")]),
        ("in another pack", [deal("new", 9, pack=10)]),
        ("few in stock", [deal("new", 9, stock=3)]),
        ("dearer by the dozen", [deal("new", 9, levels=((1, Decimal(9)), (12, Decimal(11))))]),
        ("sold from five on", [deal("new", 9, levels=((5, Decimal(9)),))]),
    ],
)
def test_a_part_that_cannot_always_be_had_for_less_does_not(why, new_deals):
    """From the same shop, in the same pack, as many as are wanted, at any quantity."""
    part = a_part("lug")
    new = dataclasses.replace(part, part="new", name=why)
    assert part.part in kept(part, new, new_deals=new_deals)


def test_a_break_in_the_price_of_the_other_counts():
    """At 10 each, but 8 from ten on, is not beaten by 9 at any quantity."""
    part = a_part("lug")
    new = dataclasses.replace(part, part="new")
    levels = ((1, Decimal(10)), (10, Decimal(8)))
    assert kept(part, new, [deal(part.part, 9, levels=levels)]) == {part.part, "new"}


def test_one_long_spool_is_not_two_short_ones():
    """As many metres, but no piece is longer than its spool."""
    cable = a_part("cable")
    new = dataclasses.replace(cable, part="new")
    spools = {
        name: dataclasses.replace(
            deal(name, price, pack=n), unit="spool", length_m=m, units=Decimal(100)
        )
        for name, price, n, m in ((cable.part, 10, 1, 100.0), ("new", 9, 2, 50.0))
    }
    assert kept(cable, new, [spools[cable.part]], [spools["new"]]) == {cable.part, "new"}


def test_holders_that_name_each_other_are_let_be():
    """A catalog may hold such nonsense; it is not walked through for ever."""
    holder = a_part("holder")
    one = dataclasses.replace(holder, part="one", holder="two")
    two = dataclasses.replace(holder, part="two", holder="one")
    assert kept(one, two, [deal("one", 9)], [deal("two", 9)]) == {"one", "two"}


def test_of_equals_the_first_by_lot_stays():
    """Whatever the order they come in."""
    part = a_part("lug")
    same = dataclasses.replace(part, part="zz"), dataclasses.replace(part, part="aa")
    first = min("zz", "aa", key=lot)
    for two in (same, same[::-1]):
        assert kept(*two, *([deal(p.part, 9)] for p in two)) == {first}


def test_a_holder_that_a_fuse_names_stays():
    """No other takes its place: the fuse says so."""
    fuse = next(f for f in SHIPPED.of_class("fuse") if f.holder)
    holder = SHIPPED.by_name[fuse.holder]
    new = dataclasses.replace(holder, part="new")
    prices = {holder.part: 10, "new": 9, fuse.part: 3}
    deals = {p: (deal(p, price),) for p, price in prices.items()}
    parts = {p.part: p for p in (fuse, holder, new)}
    left = without_twins(Market(deals=deals, freight={}, owned={}, parts=parts, notes=()))
    assert set(left.deals) == set(prices)


@pytest.mark.parametrize(("price", "gone"), [(8, True), (12, False)])
def test_a_fuse_with_its_holder_replaces_another_with_its(price, gone):
    """Where the holder that it names is no dearer; the holder that nothing names goes too."""
    fuse = next(f for f in SHIPPED.of_class("fuse") if f.holder)
    holder = SHIPPED.by_name[fuse.holder]
    seat = dataclasses.replace(holder, part="seat")
    new = dataclasses.replace(fuse, part="new", holder="seat")
    prices = {fuse.part: 10, "new": 9, holder.part: 10, "seat": price}
    deals = {p: (deal(p, v),) for p, v in prices.items()}
    parts = {p.part: p for p in (fuse, holder, new, seat)}
    left = without_twins(Market(deals=deals, freight={}, owned={}, parts=parts, notes=()))
    assert set(left.deals) == ({"new", "seat"} if gone else set(prices))


def test_a_block_that_takes_more_is_another_block():
    """Which circuits it takes depends on its ratings."""
    block = next(h for h in SHIPPED.of_class("holder") if h.ways > 1)
    new = dataclasses.replace(block, part="new", rated_a=block.rated_a * 2)
    assert kept(block, new) == {block.part, "new"}


@pytest.mark.parametrize("column", ["kg", "outer_mm"])
def test_a_column_that_nothing_asks_for_does_not_count(column):
    """Where it is said so, and for that column alone."""
    part = a_part("cable")
    new = dataclasses.replace(part, part="new", **{column: getattr(part, column) * 2})
    market = Market(
        deals={part.part: (deal(part.part, 10),), "new": (deal("new", 9),)},
        freight={},
        owned={},
        parts={part.part: part, "new": new},
        notes=(),
    )
    assert set(without_twins(market, {column}).deals) == {"new"}
    other = {"kg", "outer_mm"} - {column}
    assert set(without_twins(market, other).deals) == {part.part, "new"}
