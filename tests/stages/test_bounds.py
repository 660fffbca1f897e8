"""What bounds lean on: each claim is compared with what it speaks of, counted out."""

from __future__ import annotations

import itertools
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from solver import model as m
from solver import selection as sel
from solver.candidates import MOST_ARRAYS, _most_of_each
from solver.groups import Span
from solver.tree import Tree
from tests.oracle.bounds import bounds_of

SEEDS = [1, 12, 13, 31, 38]


def test_an_array_called_too_small_alone_is_enough_with_no_inverter():
    """With one array in the kit, those left out meet the need of some month in no way."""
    left_out = 0
    for seed in SEEDS:
        for job, b in bounds_of(seed):
            keep = sel.copied(Tree(job, b, ()).first)
            enough = set(sel.enough_alone(b.setup, keep).tolist())
            for i in set(keep.arrays.tolist()) - enough:
                alone = sel.copied(keep)
                alone.arrays, alone.fewest_arrays, alone.most_arrays = np.array([i]), 1, 1
                for inverter in alone.inverters or [None]:
                    least = sel.least_arrays(b, alone, inverter, None, "highs")
                    assert least == np.inf
                left_out += 1
    assert left_out


def test_the_number_of_arrays_is_kept_to_in_their_least_cost():
    """Two arrays or more cost no less than twice the cheapest, and no less than any number."""
    tried = 0
    for seed in SEEDS:
        for job, b in bounds_of(seed):
            some = sel.copied(Tree(job, b, ()).first)
            two = replace(some, fewest_arrays=2)
            cheapest = m.array_cost(b.setup, some.closed)[some.arrays].min(initial=np.inf)
            for inverter in some.inverters or [None]:
                least = sel.least_arrays(b, two, inverter, None, "highs")
                assert least >= 2 * cheapest - 0.02
                assert least >= sel.least_arrays(b, some, inverter, None, "highs") - 0.02
                tried += bool(np.isfinite(least))
    assert tried


@pytest.mark.parametrize("seed", SEEDS)
def test_panels_of_arrays_together_cost_no_less_than_their_shares(seed):
    """Whatever arrays of one panel are put together, price breaks and all."""
    tried = 0
    for _, b in bounds_of(seed):
        a, pricer = b.setup.found.arrays, b.setup.pricer
        share = m.panel_cost(b.setup, frozenset())
        count = a.series * a.parallel
        for k, panel in enumerate(a.panels):
            mine = np.flatnonzero(a.panel == k)
            of_kind = sorted({(int(count[i]), float(share[i])) for i in mine})
            for size in (1, 2, 3):
                for some in itertools.combinations_with_replacement(of_kind, size):
                    number = sum(n for n, _ in some)
                    if number * panel.length_mm * panel.width_mm > _roof_mm2(b):
                        continue
                    paid = pricer.least(panel.part, number)
                    assert sum(s for _, s in some) <= paid + 1e-6
                    tried += 1
    assert tried


def _roof_mm2(b):
    """The area of every place that may hold panels."""
    places = b.setup.needs.places
    return sum(p.length_mm * p.width_mm for p in places if p.may_hold("panel"))


@pytest.mark.parametrize("guarded", [False, True])
def test_within_a_span_what_is_no_worse_by_its_keys_answers_every_demand(guarded):
    """A current, a protection and, where it is guarded, an ampacity that a kit can ask for."""
    rng = np.random.default_rng(7)
    replaced = 0
    for _ in range(300):
        least, most = sorted(rng.integers(10, 120, 2).tolist())
        span = Span(least, most, 0.0 if guarded else float(rng.integers(5, 100)), guarded)
        some = [
            SimpleNamespace(
                cap_a=float(c), rating_a=float(r), ampacity_a=float(c * rng.uniform(1, 2))
            )
            for c, r in rng.integers(5, 150, (6, 2))
        ]
        keys = np.array(span.keys(some)).T
        for (a, ka), (o, ko) in itertools.permutations(zip(some, keys, strict=True), 2):
            if not (ka <= ko).all():
                continue
            for asked in (least, (least + most) / 2, most):
                # what it guards carries no less than any kit's does
                guards = np.inf if guarded else span.least_rating_a + rng.uniform(0, 50)
                if o.cap_a >= asked and o.rating_a <= guards:
                    assert a.cap_a >= asked
                    assert a.rating_a <= guards
                    replaced += 1
            assert not guarded or a.ampacity_a >= o.ampacity_a
    assert replaced


def test_of_arrays_that_give_nothing_in_some_month_as_many_count_as_may_be():
    """Something else charges then; in the other months two of a kind may be needed."""
    yields = np.array([[100.0, 0.0], [100.0, 60.0]])
    most = _most_of_each(yields, np.zeros(2), 150.0)
    assert most.tolist() == [MOST_ARRAYS, 5]
