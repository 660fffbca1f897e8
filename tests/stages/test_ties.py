"""Of kits that cost the same one is the answer by a rule, whatever was found first.

The lots that parts draw are worked out here from docs/formulation.md, section 10, not taken from
the optimizer.
"""

from __future__ import annotations

import dataclasses
import random
from binascii import crc32
from dataclasses import replace
from decimal import Decimal
from itertools import compress, product

import numpy as np
import pytest

import solver.model
from solver.kit import solve_kit
from solver.lots import lot
from solver.market import Market, comes_before
from solver.milp import MipAnswer, Programme, has_cbc, solve
from solver.needs import Owned
from solver.parts import Connector
from solver.stock import Stock
from solver.ties import LOT_GAP, TIE_CENTS, first_of_equals, kit_lots
from solver.twins import without_twins
from tests.oracle.small_jobs import one_circuit_job, small_job
from tests.stages.test_twins import a_part, deal, kept


def drawn(name):
    """The lot of a part: from 1 to 997, by CRC-32."""
    return 1 + crc32(name.encode()) % 997


@pytest.mark.parametrize("name", ["battery", "inverter-2000-24", "", "ä"])
def test_lots_are_those_of_the_document(name):
    """Whoever wants to go over an answer can draw them."""
    assert lot(name) == drawn(name)


def several(stock, name, others):
    """The stock with more of a part's kind at its price, none of which replaces another.

    The one that weighs more is lower, or carries more, and with the names their order in the files changes.
    """
    one = stock.by_name[name]
    price = next(o for o in stock.offers if o.part == name)
    better, by = ("rated_a", 1) if isinstance(one, Connector) else ("height_mm", -1)
    new = [
        dataclasses.replace(
            one, part=part, kg=one.kg + k, **{better: getattr(one, better) + by * k}
        )
        for k, part in enumerate(others, start=1)
    ]
    offers = [replace(price, part=p.part) for p in new]
    return Stock.of([*stock.parts, *new], stock.suppliers, [*stock.offers, *offers])


OTHERS = [("a", "b", "zz"), ("m", "n", "o", "p"), ("x-1", "x-2", "x-3", "x-4", "x-5")]


@pytest.mark.parametrize("others", OTHERS, ids="-".join)
@pytest.mark.parametrize("kind", ["battery", "busbar", "switch", "monitor", "panel"])
def test_of_equal_parts_the_one_with_the_least_lot_is_taken(kind, others):
    """Any would do, for the same money: nothing else in the kit depends on which it is."""
    needs, stock = one_circuit_job()
    result = solve_kit(needs, several(stock, kind, others))
    expected = min((kind, *others), key=drawn)
    names = {line.part for line in result.lines}
    assert names & {kind, *others} == {expected}
    assert result.status == "optimal"
    assert result.total == solve_kit(needs, stock).total


@pytest.mark.parametrize("taken", range(3))
def test_the_next_by_lot_is_taken_where_the_first_is_gone(taken):
    """The rule is a ranking, not only a first."""
    needs, stock = one_circuit_job()
    names = ["battery", *OTHERS[1]]
    ranked = sorted(names, key=drawn)
    more = several(stock, "battery", OTHERS[1])
    gone = set(ranked[:taken])
    left = Stock.of(
        [p for p in more.parts if p.part not in gone],
        more.suppliers,
        [o for o in more.offers if o.part not in gone],
    )
    lines = {line.part for line in solve_kit(needs, left).lines}
    assert lines & set(names) == {ranked[taken]}


def test_of_equal_shops_one_is_taken_whatever_else_is_for_sale():
    """The same part in packs of one and of two, two of which are needed, for the same money.

    The purchase that is not in the answer can go without changing it; the one that is leaves
    the other, for the same total.
    """
    needs, stock = one_circuit_job()
    one = next(o for o in stock.offers if o.part == "plug")
    two = replace(one, pack=Decimal(2), price=2 * one.price)
    needs = replace(needs, order=replace(needs.order, spares_pct=100.0))
    both = Stock.of(stock.parts, stock.suppliers, [*stock.offers, two])
    answer = solve_kit(needs, both)
    packs = {line.pack for line in answer.lines if line.part == "plug"}
    assert len(packs) == 1
    for gone in (one, two):
        offers = [o for o in both.offers if o != gone]
        left = solve_kit(needs, Stock.of(both.parts, both.suppliers, offers))
        assert left.total == answer.total
        assert (left.lines == answer.lines) == (gone.pack not in packs)


def test_the_lesser_lot_does_not_beat_a_lower_price():
    """Lots only decide between equals."""
    deals = {
        "dear": (deal("dear", 10),),
        "cheap": (deal("cheap", 9),),
        "same": (deal("same", 9),),
    }
    assert comes_before(deals, "cheap", "dear")
    assert comes_before(deals, "same", "cheap") == (drawn("same") < drawn("cheap"))
    assert comes_before(deals, "cheap", "same") == (drawn("cheap") < drawn("same"))


def test_a_better_part_for_the_same_money_replaces_another_only_if_first_by_lot():
    """Else the kit with the other may be the answer: both stay."""
    part = a_part("busbar")
    for name in ("n1", "n2", "n3", "n4", "n5", "n6"):
        better = dataclasses.replace(part, part=name, kg=part.kg / 2)
        stays = kept(part, better, [deal(part.part, 9)], [deal(name, 9)])
        first = drawn(name) < drawn(part.part)
        assert stays == ({name} if first else {name, part.part})


PURCHASES = {
    "hub lug", "member", "owned", "owned piece", "packs", "level", "spare", "supplier", "free",
    "filler", "pays", "buy", "missing", "reached", "used", "spool", "piece", "cheaper",
    "no more on", "pv in",
}  # fmt: skip
"""Columns that decide nothing but what is bought, or that follow from others."""


@pytest.mark.parametrize("seed", [0, 2, 5, 16, 31])
def test_everything_that_is_chosen_draws_a_lot(seed, monkeypatch):
    """A kind of column that drew none would leave it to chance which of two equals is taken."""
    kinds = set()
    build = solver.model.build

    def noted(*args, **kwargs):
        model = build(*args, **kwargs)
        lots = kit_lots(args[0], model.keys)
        kinds.update(str(k[0]) for k in model.keys)
        for key, n in zip(model.keys, lots, strict=True):
            free = key[0] == "mode" and args[0].wiring.modes[int(str(key[1]))].block is None
            assert (n > 0) != (str(key[0]) in PURCHASES or free), key
        return model

    monkeypatch.setattr(solver.model, "build", noted)
    solve_kit(*small_job(seed))
    assert {"array", "bank", "string", "link", "busbar"} <= kinds


both_solvers = pytest.mark.parametrize(
    "solver",
    ["highs", pytest.param("cbc", marks=pytest.mark.skipif(not has_cbc(), reason="no CBC"))],
)


@both_solvers
@pytest.mark.parametrize("others", OTHERS, ids="-".join)
@pytest.mark.parametrize("half", ["plug", "socket"])
def test_of_equal_connectors_the_one_with_the_least_lot_is_taken(half, others, solver):
    """Which of two solvers is asked does not matter."""
    needs, stock = one_circuit_job()
    result = solve_kit(needs, several(stock, half, others), solver=solver)
    names = {line.part for line in result.lines}
    assert names & {half, *others} == {min((half, *others), key=drawn)}


@pytest.mark.skipif(not has_cbc(), reason="no CBC")
@pytest.mark.parametrize("name", ["a", "zz", "q1"])
def test_one_cheap_fuse_for_two_circuits_alike_goes_to_one_of_them(name):
    """Circuits have numbers of their own: which of them gets it is no matter of chance."""
    needs, stock = one_circuit_job()
    lamp = replace(needs.loads[0], watts=6.0)
    lamps = tuple(replace(lamp, name=n) for n in ("lamp 1", "lamp 11"))
    needs = replace(needs, loads=lamps, order=replace(needs.order, spares_pct=0.0))
    fuse, price = stock.by_name["fuse"], next(o for o in stock.offers if o.part == "fuse")
    cheap = replace(price, part=name, price=Decimal(1), stock=Decimal(1))
    more = Stock.of(
        [*(replace(p, studs=8) if p.part == "busbar" else p for p in stock.parts),
         replace(fuse, part=name, max_v=fuse.max_v + 1, kg=fuse.kg + 0.01)],
        stock.suppliers,
        [*stock.offers, cheap],
    )  # fmt: skip
    one, other = (solve_kit(needs, more, solver=s).design for s in ("highs", "cbc"))
    assert [c.protection for c in one.circuits] == [c.protection for c in other.circuits]
    assert name in {c.protection for c in one.circuits}


@both_solvers
def test_which_panel_is_on_which_controller_is_decided(solver):
    """Two panels and two controllers that must be used: two ways to pair them, for nothing."""
    needs, stock = one_circuit_job()
    panel, desk = stock.by_name["panel"], stock.by_name["controller"]
    new_panel = replace(panel, part="pa2", kg=panel.kg + 1, stc_w=70.0, imp_a=3.5)
    new_desk = replace(desk, part="c2", kg=desk.kg + 0.5, max_charge_a=12.0)
    parts = [replace(p, studs=8) if p.part == "busbar" else p for p in stock.parts]
    more = Stock.of([*parts, new_panel, new_desk], stock.suppliers, stock.offers)
    owned = tuple(
        Owned(part=p, inline=False, quantity=Decimal(1), use="must")
        for p in (panel, new_panel, desk, new_desk)
    )
    design = solve_kit(replace(needs, owned=owned), more, solver=solver).design
    pairs = {(a.panel, design.device(a.controller).part.part) for a in design.arrays}
    by_product = {
        drawn(p) * drawn(c) + drawn(q) * drawn(d): {(p, c), (q, d)}
        for (p, q), (c, d) in [
            (("panel", "pa2"), ("controller", "c2")),
            (("panel", "pa2"), ("c2", "controller")),
        ]
    }
    assert pairs == by_product[min(by_product)]


def test_a_fuse_with_its_holder_is_first_by_lot_in_a_block_too():
    """A fuse stands in its own holder or in a block: it goes only if it loses in both."""
    fuse = dataclasses.replace(a_part("fuse"), kind="k", holder=None)
    base = a_part("holder")
    for k in range(400):
        names = [f"fa{k}", f"fb{k}", f"ha{k}", f"hb{k}"]
        fa, fb, ha, hb = map(drawn, names)
        if fa < fb and fb + hb < fa + ha:
            break
    parts = [
        dataclasses.replace(fuse, part=n, holder=h)
        for n, h in zip(names[:2], names[2:], strict=True)
    ]
    parts += [dataclasses.replace(base, part=n, kind="k") for n in names[2:]]
    deals = {p.part: (deal(p.part, 5),) for p in parts}
    market = Market(
        deals=deals, freight={}, owned={}, parts={p.part: p for p in parts}, notes=()
    )
    assert set(names[:2]) <= set(without_twins(market).deals)


@pytest.mark.parametrize("seed", range(25))
def test_first_by_lot_is_the_least_of_all_that_cost_as_little(seed):
    """Against every choice of columns; and there is none where the least is already known."""
    r = random.Random(seed)
    n = 9
    cost = [float(r.choice((300, 400, 700))) for _ in range(n)]
    lots = [r.randint(1, 997) for _ in range(n)]
    worth = [r.randint(1, 4) for _ in range(n)]
    enough = sum(worth) // 2

    def programme():
        p = Programme()
        for c in cost:
            p.column(c, upper=1.0)
        p.at_least([(j, float(w)) for j, w in enumerate(worth)], float(enough))
        return p

    def solved(p, gap, most):
        return solve(p, gap=gap, proving=True, most=most)

    choices = [
        (sum(c for c, x in zip(cost, xs, strict=True) if x), sum(compress(lots, xs)))
        for xs in product((0, 1), repeat=n)
        if sum(compress(worth, xs)) >= enough
    ]
    cents = min(c for c, _ in choices)
    equals = sorted(k for c, k in choices if c == cents)
    most_cents = cents + TIE_CENTS
    if len(equals) > 1:
        found = first_of_equals(programme(), lots, most_cents, equals[-1] - LOT_GAP, solved)
        assert round(sum(n * v for n, v in zip(lots, found.values, strict=True))) == equals[0]
    none = first_of_equals(programme(), lots, most_cents, equals[0] - LOT_GAP, solved)
    assert none.status == "infeasible"


@pytest.mark.parametrize("at_first", [30.5, 4.5])
def test_a_solver_that_tells_lots_apart_no_more_ends_the_search(at_first):
    """One that gives the same kit whatever the row says: then it is what was found, if it kept it."""
    p = Programme()
    for _ in range(2):
        p.column(100.0)
    same = MipAnswer("optimal", 100.0, 100.0, np.array([1.0, 0.0]))
    answer = first_of_equals(p, [7, 9], 100.0, at_first, lambda *_: same)
    assert (answer is same) == (at_first > 7)
    assert answer.status == ("optimal" if at_first > 7 else "nothing")
