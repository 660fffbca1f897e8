"""Pairs of panel and controller left out of a large catalog could not have paid.

A pair is left out on the strength of a bound below the reduced cost of each of its arrays; here
all arrays are made and their reduced costs counted out.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from benchmarks.catalogs import generated, one_shop
from bom.needs_file import read_needs
from solver import selection as sel
from solver import sift
from solver.candidates import settings
from solver.kit import solve_kit
from solver.market import market
from solver.model import Cuts, KitCut
from solver.run import Job, quiet
from solver.twins import without_twins
from solver.wiring import shelf

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def large_jobs():
    """Settings of two examples with generated catalogs, sifted though they are small."""
    for name, seed in (("boatyard-office", 2), ("mobile-library-van", 3)):
        stock = one_shop(generated(300, seed), "birch")
        needs = read_needs(EXAMPLES / f"{name}.toml", stock)
        mkt = without_twins(market(needs, stock))
        job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
        for setting in settings(needs, mkt):
            if sel.everything(job.setup(setting)) is not None:
                yield job, setting


@pytest.fixture(autouse=True)
def _sifted(monkeypatch):
    """However few pairs there are, and one panel and controller to start with."""
    monkeypatch.setattr(sift, "FEW_PAIRS", 0)
    monkeypatch.setattr(sift, "SEED_PARTS", 1)


def test_the_bound_is_that_of_all_arrays():
    """Arrays that come in as they could pay give the value that all of them give."""
    tried = 0
    for job, setting in large_jobs():
        every = sel.bound(job.setup(setting), Cuts())
        s = sift.sieve(job.needs, job.market, setting)
        found, pairs = sift.bound(
            s,
            lambda p, like: job.setup(setting, pairs=p, like=like),  # noqa: B023  called at once
            Cuts(),
            sift.first_pairs(s),
        )
        assert (found is None) == (every is None)
        if every is not None:
            assert found.cents == pytest.approx(every.cents, abs=0.01)
            assert sum(map(len, pairs.values())) < len(s.panels) * len(s.controllers)
            tried += 1
    assert tried


@pytest.mark.parametrize("room_cents", [0.0, 3000.0, 20000.0])
def test_a_pair_is_left_out_only_if_every_array_of_it_costs_more(room_cents):
    """By the duals of the same programme, for every array that could be made."""
    left_out = 0
    for job, setting in large_jobs():
        setup = job.setup(setting)
        b = sel.relaxed(setup, Cuts())
        s = sift.sieve(job.needs, job.market, setting)
        pairs = sift.pairs_within(s, b.duals, room_cents)
        a = setup.found.arrays
        cheap = np.flatnonzero(b.arrays_reduced <= room_cents)
        for i in cheap.tolist():
            panel, controller = a.panels[a.panel[i]].part, a.controllers[a.controller[i]].part
            assert controller in pairs.get(panel, ())
        left_out += len(s.panels) * len(s.controllers) - sum(map(len, pairs.values()))
    assert left_out


@pytest.mark.parametrize("side_kgm", [2.0, 5.0])
def test_the_bound_is_that_of_all_arrays_where_moments_are_limited(side_kgm):
    """Mass may pay for itself then: a row of moments has a dual of either sign."""
    stock = one_shop(generated(300, 2), "birch")
    needs = read_needs(EXAMPLES / "boatyard-office.toml", stock)
    sides = {"north roof": 0.5, "battery cupboard": -0.6}
    places = tuple(replace(p, at_m=(0.0, sides.get(p.name, 0.2), 0.0)) for p in needs.places)
    limits = replace(needs.limits, side_kgm=side_kgm)
    needs = replace(needs, places=places, limits=limits)
    mkt = without_twins(market(needs, stock), balanced=True)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    setting = next(x for x in settings(needs, mkt) if sel.everything(job.setup(x)) is not None)
    every = sel.bound(job.setup(setting), Cuts())
    assert every is not None
    assert every.duals["moment y"] != 0
    s = sift.sieve(needs, mkt, setting)
    found, _ = sift.bound(
        s,
        lambda p, like: job.setup(setting, pairs=p, like=like),
        Cuts(),
        sift.first_pairs(s),
    )
    assert found.cents == pytest.approx(every.cents, abs=0.01)


def test_cuts_follow_their_arrays_to_other_numbers():
    """A cut names an array by its number; with other pairs made, that is another array's."""
    job, setting = next(large_jobs())
    s = sift.sieve(job.needs, job.market, setting)
    few = job.setup(setting, pairs=sift.first_pairs(s))
    every = job.setup(setting)
    last = len(few.found.arrays) - 1
    cut = KitCut(((("array", last), 2), (("bank", 0), 1)))
    (moved,) = sift.renumbered(Cuts(kits=(cut,)), few, every).kits
    (_, at), times = moved.columns[0]
    assert moved.columns[1] == cut.columns[1]
    assert times == 2
    assert sift._array_names(every)[at] == sift._array_names(few)[last]
    assert at != last
    assert sift.renumbered(Cuts(kits=(moved,)), every, few).kits == (cut,)
    other = next(
        i
        for i in range(len(every.found.arrays))
        if sift._array_names(every)[i] not in sift._array_names(few)
    )
    gone = Cuts(kits=(KitCut(((("array", other), 1),)),))
    assert sift.renumbered(gone, every, few).kits == ()


@pytest.mark.slow
def test_a_sifted_setting_gives_the_same_kit():
    """From the first kit to the proof."""
    stock = one_shop(generated(300, 2), "birch")
    needs = read_needs(EXAMPLES / "boatyard-office.toml", stock)
    sifted = solve_kit(needs, stock)
    sift.FEW_PAIRS = 10**9  # put back by the fixture
    plain = solve_kit(needs, stock)
    assert (sifted.status, sifted.total) == (plain.status, plain.total)
