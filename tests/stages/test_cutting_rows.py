"""Cables cut from whole lengths inside the programme: its size follows the pieces, not the options."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from solver import model as m
from solver import selection as sel
from solver.candidates import settings
from solver.market import market
from solver.parts import Cable
from solver.run import Job, quiet
from solver.stock import Offer
from solver.wiring import shelf
from tests.oracle.small_jobs import small_job


def cut_programme(seed: int) -> m.Model:
    """A small job's purchases with all its arrays, every cable cut from what is sold."""
    needs, stock = small_job(seed)
    cables = {p.part for p in stock.parts if isinstance(p, Cable)}
    stock = replace(
        stock, offers=tuple(by_the_spool(o) if o.part in cables else o for o in stock.offers)
    )
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    b = next(
        b for s in settings(needs, mkt) if (b := sel.bound(job.setup(s), m.Cuts())) is not None
    )
    first = sel.first_kit(b, "highs")
    assert first is not None
    keep = replace(first.keep, arrays=range(len(b.setup.found.arrays.panel)), most_arrays=None)
    return m.build(b.setup, keep, m.Cuts(lengths=tuple(sorted(cables))), floor=False)


def by_the_spool(offer: Offer) -> Offer:
    """The same cable in spools of ten metres."""
    return replace(offer, unit="spool", length_m=10.0, pack=Decimal(1), price=10 * offer.price)


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_pieces_of_one_length_are_dealt_out_together(seed):
    """One column for each length of piece and each length it may come from, and none twice.

    With a column for each option instead a job with many arrays filled the memory.
    """
    built = cut_programme(seed)
    pieces = [k for k in built.keys if k[0] == "piece"]
    options = [k for k in built.keys if k[0] in ("pv", "controller", "load", "bank")]
    assert pieces
    assert options
    assert len(pieces) == len(set(pieces))
    lengths = {k[:-1] for k in pieces}
    by_cable = {name: {k[-1] for k in pieces if k[1] == name} for _, name, *_ in pieces}
    assert len(pieces) == sum(len(by_cable[str(k[1])]) for k in lengths)


def test_no_more_spools_than_studs_ask_for():
    """Each array has a stud of the bus bars: cable for more arrays is never looked at."""
    built = cut_programme(2)
    spools = Counter(k[1] for k in built.keys if k[0] == "spool")
    # 48 where the options of all arrays are added up
    assert 0 < spools["pv-4"] <= 20
