"""The bill of a design: lines that agree with the cut list, and say why they are there."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace

import pytest

from solver.bill import lines_of, pieces_assigned
from solver.choice import Purchase
from solver.market import Deal
from tests.oracle import small_design

LUG = "lug-25-m8"
RED = "red-25"


def _deal(part: str, supplier: str, unit: str, units: str, price: str) -> Deal:
    return Deal(
        part=part,
        supplier=supplier,
        unit=unit,
        pack=Decimal(1) if unit == "spool" else Decimal(units),
        length_m=float(units) if unit == "spool" else None,
        units=Decimal(units),
        levels=((1, Decimal(price)),),
        most_packs=None,
        lead_days=2,
    )


def _bill(purchases, owned_m=0.0, owned_pieces=None):
    """The design with its cuts assigned, and its lines, for what is bought and owned."""
    design = small_design.design()
    every = {line.part: line for line in small_design.lines()}
    bought = {
        name: [Purchase(_deal(name, "north", "m" if x.unit == "m" else "each", "1", "1"), 99)]
        for name, x in every.items()
    }
    owned = {RED: SimpleNamespace(quantity=Decimal(str(owned_m)))} if owned_m else {}
    choice = SimpleNamespace(
        purchases=bought | purchases,
        owned_pieces=owned_pieces or {},
        owned_length_mm=lambda cable: round(owned_m * 1000) if cable == RED else 0,
    )
    made = pieces_assigned(design, choice)
    market = SimpleNamespace(parts=design.parts, owned=owned, freight={})
    return made, lines_of(small_design.needs(), made, choice, market)


def _cut_from(design, word):
    return sum(
        Decimal(c.length_mm) / 1000
        for c in design.cuts
        if c.cable == RED and word in c.piece_of
    )


def test_a_cable_from_two_offers_needs_of_each_what_is_cut_from_it():
    """The lines' needs are those of the cut list, not metres poured from one into the other."""
    spool, metres = _deal(RED, "south", "spool", "2.5", "9"), _deal(RED, "north", "m", "1", "5")
    design, lines = _bill({RED: [Purchase(metres, 2), Purchase(spool, 1)]})
    need = {x.supplier: x.need for x in lines if x.part == RED}
    assert need == {"north": _cut_from(design, "north"), "south": _cut_from(design, "south")}
    assert sum(need.values()) == Decimal("2.9")
    assert all(n > 0 for n in need.values())


def test_spools_of_one_shop_have_a_name_each():
    """Spools of two lengths are told apart, so that nobody cuts from the wrong one."""
    short, long = (
        _deal(RED, "south", "spool", "1.2", "4"),
        _deal(RED, "south", "spool", "2", "7"),
    )
    design, _ = _bill({RED: [Purchase(short, 1), Purchase(long, 1)]})
    spools = {c.piece_of for c in design.cuts if c.cable == RED}
    assert spools == {f"{RED}, south, spool 1 of 1.2 m", f"{RED}, south, spool 2 of 2 m"}


def test_each_length_says_what_is_cut_from_it_and_what_stays():
    """All pieces are in some length, in the order of cutting; what is left is the offcut."""
    spool, metres = _deal(RED, "south", "spool", "2.5", "9"), _deal(RED, "north", "m", "1", "5")
    design, _ = _bill({RED: [Purchase(metres, 2), Purchase(spool, 1)]})
    by_label = {c.label: c for c in design.cuts}
    mine = [x for x in design.lengths if x.cable == RED]
    assert sorted(x.length_mm for x in mine) == [2000, 2500]
    for x in mine:
        cuts = [by_label[label] for label in x.cuts]
        assert {c.piece_of for c in cuts} <= {x.name}
        assert x.offcut_mm == x.length_mm - sum(c.length_mm for c in cuts) >= 0
        assert cuts == sorted(cuts, key=lambda c: -c.length_mm)
    assert sorted(n for x in design.lengths for n in x.cuts) == sorted(by_label)


def test_a_spool_that_is_not_needed_stays_whole():
    """A second spool for a price break: nothing is cut from it, and all of it is its offcut."""
    spool = _deal(RED, "south", "spool", "5", "9")
    design, _ = _bill({RED: [Purchase(spool, 2)]})
    assert [(bool(x.cuts), x.offcut_mm) for x in design.lengths if x.cable == RED] == [
        (True, 2100),
        (False, 5000),
    ]


@pytest.mark.parametrize("owned_m", [1.3, 5.0])
def test_owned_cable_is_counted_as_it_is_cut(owned_m):
    """What the line takes from the owned length is what the cut list cuts from it."""
    metres = _deal(RED, "north", "m", "1", "5")
    design, lines = _bill({RED: [Purchase(metres, 3)]}, owned_m, {RED: Counter({1300: 1})})
    (line,) = (x for x in lines if x.part == RED)
    assert line.owned == _cut_from(design, "owned") == Decimal("1.3")
    assert line.need == Decimal("2.9")


def test_spares_are_told_on_the_line_that_holds_them():
    """A lug from two shops: one line says that a spare is in it, and its number says so too."""
    lots = [
        Purchase(_deal(LUG, shop, "each", n, "1"), 1) for shop, n in (("a", "1"), ("b", "10"))
    ]
    _, lines = _bill({LUG: lots})
    told = [(x.spares, "spare" in x.why) for x in lines if x.part == LUG]
    assert told == [(Decimal(1), True), (Decimal(0), False)]


def test_every_amount_of_a_line_is_exact():
    """Packs times price is the line's total to the last digit, whatever the price."""
    odd = replace(_deal(RED, "north", "m", "1", "0.8964"), levels=((1, Decimal("0.8964")),))
    _, lines = _bill({RED: [Purchase(odd, 3)]})
    (line,) = (x for x in lines if x.part == RED)
    assert line.line_total == Decimal("2.6892")
