"""Cutting against another model and another solver, and against what can be seen by eye."""

from __future__ import annotations

from decimal import Decimal

import pytest

from solver import arc_flow, patterns
from solver.cutting import Length, Sold, cheapest, cut
from tests.oracle.cutting_flow import cheapest_by_flow, cutting_job

JOBS = 200
TIGHT = 100


@pytest.mark.parametrize("seed", range(JOBS))
def test_nothing_is_cheaper_than_what_is_bought(seed):
    """Spools, packs of spools, metres, price breaks, stock, owned lengths: the flow's cost."""
    pieces, sold, owned = cutting_job(seed)
    found = cheapest(pieces, sold, owned)
    assert (None if found is None else found.cost) == cheapest_by_flow(pieces, sold, owned)
    if found is None:
        return
    assert found.cost == sum(s.cost(n) for s, n in zip(sold, found.packs, strict=True))
    assert all(
        s.most_packs is None or n <= s.most_packs
        for s, n in zip(sold, found.packs, strict=True)
    )
    assert sorted(i for x in found.cuttings for i in x.pieces) == list(range(len(pieces)))
    for x in found.cuttings:
        cut_mm = [pieces[i] for i in x.pieces]
        assert cut_mm == sorted(cut_mm, reverse=True)
        assert x.offcut_mm == x.mm - sum(cut_mm) >= 0


def test_both_ways_to_a_proof_are_among_these_jobs(monkeypatch):
    """Some of the jobs are proven by their bound alone, some only by the flow."""
    asked = []
    true = arc_flow.cheaper

    def told(*given):
        asked.append(given)
        return true(*given)

    monkeypatch.setattr(patterns.arc_flow, "cheaper", told)
    for seed in range(20):
        cheapest(*cutting_job(seed))
    assert 0 < len(asked) < 20


@pytest.mark.parametrize("seed", range(TIGHT))
def test_pieces_come_out_of_what_is_there_where_a_flow_says_so(seed):
    """Lengths with little to spare: both say yes, or both say no."""
    pieces, sold, owned = cutting_job(seed)
    total, lengths = sum(pieces), list(owned)
    while sum(x.mm for x in lengths) < total * 1.04:
        lengths.append(Length("more", sold[0].mm if sold[0].spools else 4000))
    taken = cut(pieces, lengths)
    assert (taken is None) == (cheapest_by_flow(pieces, (), lengths) is None)
    if taken is not None:
        for j, x in enumerate(lengths):
            assert sum(p for p, k in zip(pieces, taken, strict=True) if k == j) <= x.mm


def test_both_verdicts_are_among_these_lengths():
    """The test above has something to tell apart."""
    verdicts = set()
    for seed in range(TIGHT):
        pieces, sold, owned = cutting_job(seed)
        lengths = [*owned, *[Length("more", sold[0].mm)] * (sum(pieces) // sold[0].mm + 1)]
        verdicts.add(cut(pieces, lengths) is None)
    assert verdicts == {True, False}


def test_five_pieces_of_which_no_two_share_a_length():
    """Five of 5.1 m and 30 m of cable in three lengths: the metres would be enough."""
    assert cut([5100] * 5, [Length("spool", 10_000)] * 3) is None
    found = cheapest([5100] * 5, [Sold("spool", 10_000, ((1, Decimal("30.10")),))])
    assert (found.packs, found.cost) == ((5,), Decimal("150.50"))
    assert [x.offcut_mm for x in found.cuttings] == [4900] * 5


def test_a_price_break_makes_more_cost_less():
    """Two spools would do; from three on they cost 7 in place of 12."""
    spool = Sold("spool", 10_000, ((1, Decimal(12)), (3, Decimal(7))))
    found = cheapest([9000, 9000], [spool])
    assert (found.packs, found.cost) == ((3,), Decimal(21))
    assert sorted(x.offcut_mm for x in found.cuttings) == [1000, 1000, 10_000]


def test_a_spool_and_some_metres_cost_less_than_either():
    """Three of 4 m: two out of a spool of 8 m for 10, one by the metre for 2 each."""
    spool, metres = (
        Sold("spool", 8000, ((1, Decimal(10)),)),
        Sold("metres", 1000, ((1, Decimal(2)),), spools=None),
    )
    found = cheapest([4000] * 3, [spool, metres])
    assert (found.packs, found.cost) == ((1, 4), Decimal(18))
    assert [(x.mm, len(x.pieces), x.offcut_mm) for x in found.cuttings] == [
        (8000, 2, 0),
        (4000, 1, 0),
    ]


def test_what_is_owned_is_used_first_and_costs_nothing():
    """A rest of 5 m takes two pieces; the third is bought."""
    metres = Sold("metres", 500, ((1, Decimal(1)),), spools=None)
    found = cheapest([2400, 2500, 2000], [metres], [Length("rest", 5000)])
    assert (found.packs, found.cost) == ((4,), Decimal(4))
    assert found.cuttings[0].pieces == (1, 0)
    assert cheapest([2400, 2500], [metres], [Length("rest", 5000)]).cost == 0


def test_nothing_to_cut_costs_nothing():
    """No pieces, no purchase."""
    assert cheapest([], [Sold("spool", 8000, ((1, Decimal(10)),))]).cost == 0
    assert cut([], []) == []


def test_a_piece_longer_than_anything_sold_is_told():
    """There is no joint in a cable."""
    assert cheapest([9000], [Sold("spool", 8000, ((1, Decimal(10)),))]) is None
    assert cheapest([9000], [Sold("spool", 9000, ((1, Decimal(10)),), 1, 0)]) is None
    assert cheapest([9000], []) is None
