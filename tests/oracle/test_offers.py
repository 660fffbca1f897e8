"""What a kit costs to buy, against every way to buy it: to the cent.

Packs, price breaks for the whole quantity, stock, offers that come too late, spools and metres,
another currency, freight and its thresholds, of two or three shops.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from solver import model as m
from solver import selection as sel
from solver.candidates import settings
from solver.kit import solve_kit
from solver.market import market
from solver.milp import solve
from solver.needs import Needs
from solver.run import Job, quiet
from solver.stock import Offer, Stock
from solver.wiring import shelf
from tests.oracle.offers import CUTS_MM, LATE, cheapest_order, offers_job
from tests.oracle.small_jobs import one_circuit_job

JOBS = 300
SOLVED = range(16)
"""Jobs solved as a person would have them solved; the rest of them are among the slow tests."""

CENT = Decimal("0.01")


def bought(needs, stock):
    """What the programme with real purchases finds for the one kit, in cents; None: nothing."""
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    found = [sel.bound(job.setup(s), m.Cuts()) for s in settings(needs, mkt)]
    b = next((b for b in found if b is not None), None)
    first = None if b is None else sel.first_kit(b, "highs")
    if b is None or first is None:
        return None
    cuts = m.Cuts(lengths=tuple(sorted(CUTS_MM)))
    p = m.build(b.setup, first.keep, cuts, floor=False, freight="exact").programme
    answer = solve(p, gap=sel.MIP_GAP_CENTS)
    return answer.objective if answer.status == "optimal" else None


@pytest.mark.parametrize(
    "seed", [s if s % 3 == 0 else pytest.param(s, marks=pytest.mark.slow) for s in range(JOBS)]
)
def test_nothing_is_cheaper_than_what_the_programme_buys(seed):
    """Offers, spools and freight as columns of the programme give the least of all ways."""
    needs, stock = offers_job(seed)
    truth, cents = cheapest_order(needs, stock), bought(needs, stock)
    assert (cents is None) == (truth is None)
    if truth is not None:
        assert cents == pytest.approx(float(truth) * 100, abs=0.5)


def agrees(seed):
    """The whole work: its total is the least, and its bound is not above it."""
    needs, stock = offers_job(seed)
    truth, answer = cheapest_order(needs, stock), solve_kit(needs, stock)
    if truth is None:
        assert answer.status == "infeasible"
        return
    assert answer.total is not None
    assert abs(answer.total - truth) < CENT
    assert answer.lower_bound < truth + CENT
    assert all(check.ok for check in answer.checks)


@pytest.mark.parametrize("seed", SOLVED)
def test_the_answer_costs_what_the_cheapest_order_costs(seed):
    """Found, built, cut and billed."""
    agrees(seed)


def test_all_that_makes_an_order_hard_is_among_these_jobs():
    """The tests above try what they say they try."""
    seen = Counter()
    for seed in range(JOBS):
        needs, stock = offers_job(seed)
        hurried = needs.order.need_by is not None
        seen["three shops"] += len(stock.suppliers) == 3
        seen["threshold"] += any(s.free_over and s.shipping for s in stock.suppliers)
        ways = Counter((o.part, o.supplier, o.unit, o.pack, o.length_m) for o in stock.offers)
        seen["break"] += max(ways.values()) > 1
        seen["least number"] += len([o for o in stock.offers if o.from_quantity == 1]) < len(
            ways
        )
        seen["stock"] += any(o.stock is not None for o in stock.offers)
        seen["spool"] += any(o.unit == "spool" for o in stock.offers)
        seen["pack"] += any(o.unit == "each" and o.pack > 1 for o in stock.offers)
        seen["late"] += hurried and any(o.lead_days == LATE for o in stock.offers)
        seen["currency"] += any(s.currency == "USD" for s in stock.suppliers)
        seen["avoided"] += bool(needs.order.avoid_suppliers)
    assert min(seen.values()) >= 5, seen
    assert len(seen) == 10


def test_both_verdicts_are_among_these_jobs():
    """Some kits cannot be bought in time, or not from what is in stock."""
    orders = [cheapest_order(*offers_job(seed)) for seed in range(16)]
    assert 0 < orders.count(None) < 8


# --- more than is needed --------------------------------------------------------------------------


def job(free_over=None, **changed):
    """The job worked by hand, for 520, with some offers changed: (pack, from, price)s by part."""
    needs, stock = one_circuit_job()
    offers = [o for o in stock.offers if o.part not in changed]
    for part, levels in changed.items():
        first = next(o for o in stock.offers if o.part == part)
        offers += [
            replace(first, pack=Decimal(pack), from_quantity=start, price=Decimal(price))
            for pack, start, price in levels
        ]
    shops = [replace(s, free_over=free_over) for s in stock.suppliers]
    return needs, Stock.of(stock.parts, shops, offers)


def lines(answer):
    """The lines in which more is bought than needed, by part."""
    return {x.part: x for x in answer.lines if "more than needed" in x.why}


def test_nothing_is_called_too_much_where_packs_are_whole():
    """Three metres for 2.6, twenty lugs in two tens: no more than it takes."""
    assert lines(solve_kit(*job())) == {}


def test_more_is_bought_where_a_price_break_makes_it_cheaper():
    """Four fuses at 2 are 8; from six on they cost 1, and six are 6."""
    answer = solve_kit(*job(fuse=[(1, 1, "2"), (1, 6, "1")]))
    assert answer.status == "optimal"
    assert answer.total == answer.lower_bound == 520 - 8 + 6
    (line,) = lines(answer).values()
    assert (line.part, line.buy, line.need) == ("fuse", 6, 4)
    assert line.why.endswith(
        "2 more than needed: from 6 packs on one costs 1.00 EUR in place of 2.00, so that 6 "
        "cost 6.00, less than the 4 that would do"
    )


@pytest.mark.parametrize("more", [[], [(1, 9, "0.90")]])
def test_more_is_bought_where_no_fewer_are_sold(more):
    """Four fuses are needed, and no fewer than six are sold: alone, or with a break from nine."""
    answer = solve_kit(*job(fuse=[(1, 6, "1"), *more]))
    assert answer.total == answer.lower_bound == 520 - 8 + 6
    (line,) = lines(answer).values()
    assert (line.buy, line.need) == (6, 4)
    assert line.why.endswith("2 more than needed: no fewer than 6 packs are sold")


def test_fewer_than_are_sold_cannot_be_had_from_stock():
    """Five in stock, and no fewer than six are sold: there is no kit."""
    needs, stock = job(fuse=[(1, 6, "1")])
    offers = [replace(o, stock=Decimal(5)) if o.part == "fuse" else o for o in stock.offers]
    answer = solve_kit(needs, Stock.of(stock.parts, stock.suppliers, offers))
    assert answer.status == "infeasible"


def test_more_is_bought_where_freight_is_saved():
    """Goods for 511 and freight of 9; free from 514 on, so three more lugs for 1.50 are bought.

    A lug costs 0.50, so that the goods come to 511 with twenty of them.
    """
    answer = solve_kit(*job(Decimal(514), lug=[(1, 1, "0.50")]))
    assert answer.total == Decimal(514)
    whole = lines(answer)
    assert sum(x.line_total for x in answer.lines) == 514
    assert whole
    for line in whole.values():
        assert line.buy > line.need
        assert "so the goods from birch reach 514.00 EUR, and its freight of 9.00" in line.why


def test_more_is_bought_of_parts_of_the_kit_alone():
    """Something cheaper that the kit does not use would reach the threshold for less."""
    needs, stock = job(Decimal("514.30"), lug=[(1, 1, "0.50")])
    other = replace(stock.by_name["fuse"], part="fuse-other", breaking_ka=0.1)
    cheap = next(o for o in stock.offers if o.part == "fuse")
    offer = replace(cheap, part="fuse-other", price=Decimal("0.10"))
    more = Stock.of([*stock.parts, other], stock.suppliers, [*stock.offers, offer])
    answer = solve_kit(needs, more)
    assert answer.total == Decimal("514.50")
    assert "fuse-other" not in {x.part for x in answer.lines}


def test_a_whole_spool_that_nobody_needs_is_explained():
    """Red pieces come out of one spool of 7 m for 20; two cost 9 each."""
    needs, stock = job()
    first = next(o for o in stock.offers if o.part == "cable-red")
    spool = replace(first, unit="spool", length_m=7.0, price=Decimal(20))
    levels = [spool, replace(spool, from_quantity=2, price=Decimal(9))]
    offers = [o for o in stock.offers if o.part != "cable-red"]
    answer = solve_kit(needs, Stock.of(stock.parts, stock.suppliers, [*offers, *levels]))
    (line,) = lines(answer).values()
    assert (line.part, line.buy) == ("cable-red", 14)
    assert "7 m more than needed: from 2 packs on one costs 9.00 EUR" in line.why
    assert [x.offcut_mm for x in answer.design.lengths if x.cable == "cable-red"] == [900, 7000]


def spools_that_hold_too_little() -> tuple[Needs, Stock]:
    """Red pieces by the metre, or from spools of 3.05 m: two are metres enough, and too short.

    No pieces of 1.3, 1.15 and 0.45 m come to 3.05 m. Another shop is there, behind dear freight.
    """
    needs, stock = job()
    metres = next(o for o in stock.offers if o.part == "cable-red")
    total = Decimal(sum(CUTS_MM["cable-red"])) / 1000
    spool = replace(metres, unit="spool", length_m=float(total / 2), price=Decimal(2))
    far = replace(
        stock.suppliers[0], supplier="far", name="far", shipping=Decimal(400), free_over=None
    )
    offers = [*stock.offers, spool, *(replace(o, supplier="far") for o in stock.offers)]
    return needs, Stock.of(stock.parts, [*stock.suppliers, far], offers)


def test_a_proof_ends_where_pieces_do_not_come_out_of_metres_enough():
    """Three spools for 2 each where 7 m cost 14: the bound must learn that two are too few."""
    needs, stock = spools_that_hold_too_little()
    answer = solve_kit(needs, stock)
    assert answer.status == "optimal"
    assert answer.total == answer.lower_bound == 520 - 14 + 3 * 2


def spools_of_two_cables(seed: int) -> tuple[Needs, Stock]:
    """Two cables in spools that waste much, and a third by the metre that may replace one."""
    needs, stock = offers_job(seed)
    pv = next(p for p in stock.parts if p.part == "pv")
    like = next(o for o in stock.offers if o.part == "cable-red")
    like = replace(
        like, unit="spool", pack=Decimal(1), from_quantity=1, stock=None, lead_days=1
    )

    def spool(part: str, length_m: float, price: int) -> Offer:
        return replace(like, part=part, length_m=length_m, price=Decimal(price))

    offers = [o for o in stock.offers if o.part not in ("cable-red", "pv")]
    offers += [spool("cable-red", 1.2, 20), spool("cable-red", 6.7, 120)]
    offers += [spool("pv", 1.2, 10), spool("pv", 3.5, 100)]
    offers.append(replace(like, part="pv2", unit="m", length_m=None, price=Decimal(14)))
    parts = [*stock.parts, replace(pv, part="pv2", name="pv2")]
    return needs, Stock.of(parts, stock.suppliers, offers)


@pytest.mark.parametrize("seed", [0, 1])
def test_a_row_found_without_lengths_does_not_rule_in_a_case_told_of_them(seed):
    """One more cable to choose from never costs more, though its spools have to be told."""
    needs, stock = spools_of_two_cables(seed)
    fewer = Stock.of(
        [p for p in stock.parts if p.part != "pv"],
        stock.suppliers,
        [o for o in stock.offers if o.part != "pv"],
    )
    both, one = solve_kit(needs, stock), solve_kit(needs, fewer)
    assert both.status == one.status == "optimal"
    assert both.total is not None
    assert one.total is not None
    assert both.total <= one.total
    assert both.lower_bound <= one.total


def test_pieces_of_one_length_are_told_together():
    """One column for a length of pieces and a length bought, however many circuits cut them."""
    needs, stock = spools_that_hold_too_little()
    mkt = market(needs, stock)
    job_ = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    (setting,) = settings(needs, mkt)
    b = sel.bound(job_.setup(setting), m.Cuts())
    assert b is not None
    keep = sel.everything(b.setup)
    assert keep is not None
    model = m.build(b.setup, keep, m.Cuts(lengths=("cable-red",)), floor=False)
    pieces = [k for k in model.keys if k[0] == "piece"]
    lengths = {k[2:-1] for k in pieces}
    asked = set(CUTS_MM["cable-red"])
    assert len(pieces) == len(lengths) * len(asked)
    assert len(asked) < len(CUTS_MM["cable-red"])
