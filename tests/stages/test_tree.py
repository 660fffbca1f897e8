"""Cases of a proof: what is remembered of one must hold for every other."""

from __future__ import annotations

import math

import pytest

from solver import selection as sel
from solver.candidates import settings
from solver.market import market
from solver.model import Cuts
from solver.run import Job, quiet
from solver.tree import Tree
from solver.wiring import shelf
from tests.oracle.small_jobs import small_job


@pytest.mark.parametrize("seed", [1, 12, 13, 31, 38])
def test_least_cost_of_arrays_holds_for_cases_with_other_arrays(seed):
    """Asked of a case with one array first, it is still below what a case with all can cost."""
    needs, stock = small_job(seed)
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    tried = 0
    for setting in settings(needs, mkt):
        b = sel.bound(job.setup(setting, exact=True), Cuts())
        if b is None:
            continue
        tree = Tree(job, b, ())
        wide, narrow = sel.copied(tree.first), sel.copied(tree.first)
        for inverter in wide.inverters or [None]:
            for at in range(len(wide.arrays)):
                narrow.arrays = wide.arrays[at : at + 1]
                known = []
                tree._least(narrow, inverter, "any", known)
                truth = sel.least_arrays(b, wide, inverter, None, "highs")
                assert tree._least(wide, inverter, "any", known) <= truth + 1e-9
                tried += math.isfinite(truth)
    assert tried
