"""Moments in the choice: what must not be left out, since more mass may be what balances."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from solver.balance import lever_m, limits_kgm
from solver.candidates import MOST_ARRAYS, candidates, settings
from solver.groups import thin
from solver.market import Deal, Market, market
from solver.needs import Limits
from solver.outdone import Measure, weighed
from solver.routes import route
from solver.run import Job, quiet
from solver.twins import without_twins
from solver.wiring import array_options, shelf
from tests.oracle.small_jobs import leaning_job, stud_or_wire_job


def limited(needs, **limits):
    """The same needs with limits of moments."""
    return replace(needs, limits=Limits(**limits))


def test_a_row_for_each_limit():
    """Fore and aft along x, left and right along y; none where none is stated."""
    needs, _ = leaning_job(2)
    assert limits_kgm(needs) == {}
    both = limited(needs, fore_aft_kgm=9.0, side_kgm=4.0)
    assert limits_kgm(both) == {"moment x": 9.0, "moment y": 4.0}
    x, y, _ = needs.place("bench").at_m
    assert (lever_m(both, "bench", "moment x"), lever_m(both, "bench", "moment y")) == (x, y)


def test_a_place_without_a_position_has_no_lever():
    """It is never taken to stand at the reference."""
    needs, _ = leaning_job(2)
    lost = replace(needs, places=tuple(replace(p, at_m=None) for p in needs.places))
    with pytest.raises(AssertionError, match="no position of bench"):
        lever_m(lost, "bench", "moment x")


def test_more_arrays_than_the_sun_asks_for_may_balance():
    """Without a limit so many as can be needed are counted; with one any number."""
    needs, stock = leaning_job(14)
    mkt = market(needs, stock)
    (setting, *_) = settings(needs, mkt)
    few = candidates(needs, mkt, setting).arrays.most
    every = candidates(limited(needs, side_kgm=5.0), mkt, setting).arrays.most
    assert (every >= few).all()
    assert few.max() < MOST_ARRAYS
    assert every.max() == MOST_ARRAYS


def test_a_heavier_twin_stays_where_moments_are_limited():
    """A cheaper and lighter part replaces another only if nothing is to be balanced."""
    _, stock = leaning_job(2)
    one = next(p for p in stock.parts if p.cls == "battery")
    light = replace(one, part="light", kg=one.kg / 2)
    deals = {
        p.part: (
            Deal(
                part=p.part, supplier="birch", unit="each", pack=Decimal(1), length_m=None,
                units=Decimal(1), levels=((1, Decimal(price)),), most_packs=None, lead_days=3,
            ),
        )
        for p, price in ((one, 10), (light, 9))
    }  # fmt: skip
    parts = {p.part: p for p in (one, light)}
    mkt = Market(deals=deals, freight={}, owned={}, parts=parts, notes=())
    assert set(without_twins(mkt).deals) == {"light"}
    assert set(without_twins(mkt, balanced=True).deals) == {one.part, "light"}


def test_a_heavier_isolator_stays_where_moments_are_limited():
    """Of two isolators for bare wire the cheaper and lighter one is enough elsewhere."""
    needs, stock = stud_or_wire_job(2)
    wire = next(p for p in stock.parts if p.part == "wire")
    heavy = replace(wire, part="heavy", kg=wire.kg * 5)
    offers = [o for o in stock.offers if o.part == "wire"]
    dear = [replace(o, part="heavy", price=o.price * 2) for o in offers]
    stock = type(stock).of([*stock.parts, heavy], stock.suppliers, [*stock.offers, *dear])
    placed = tuple(replace(p, at_m=(1.0, 1.0, 0.0)) for p in needs.places)
    left = {}
    for name, limits in (("free", Limits()), ("limited", Limits(side_kgm=5.0))):
        asked = replace(needs, places=placed, limits=limits)
        mkt = market(asked, stock)
        job = Job(asked, mkt, shelf(asked, mkt), "highs", None, quiet)
        setup = job.setup(settings(asked, mkt)[0])
        a = setup.found.arrays
        way = route(asked, a.panel_place[0], a.controller_place[0])
        every = array_options(job.shelf, way, a.controller_place[0], (2,))
        kept = thin(setup.pricer, every)
        left[name] = {o.isolator.part for o in kept if o.isolator is not None}
    assert "heavy" not in left["free"]
    assert "heavy" in left["limited"]


def test_what_outdoes_another_weighs_as_much_where_moments_are_limited():
    """Mass is asked about then, and only an equal one is as good."""
    needs, stock = leaning_job(2)
    bare = limited(replace(needs, places=tuple(replace(p, max_kg=None) for p in needs.places)))
    assert not weighed(bare)
    leaning = limited(bare, side_kgm=3.0)
    assert weighed(leaning)
    mkt = market(leaning, stock)
    by = Measure(leaning, mkt, shelf(leaning, mkt), sides=False)
    assert by.balanced
    assert np.isfinite(list(limits_kgm(leaning).values())).all()
