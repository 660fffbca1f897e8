"""Bounds of small jobs, as a proof begins with them."""

from __future__ import annotations

from solver import selection as sel
from solver.candidates import settings
from solver.market import market
from solver.model import Cuts
from solver.run import Job, quiet
from solver.wiring import shelf
from tests.oracle.small_jobs import small_job


def bounds_of(seed):
    """Every setting of a small job that has a bound."""
    needs, stock = small_job(seed)
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    for setting in settings(needs, mkt):
        b = sel.bound(job.setup(setting, exact=True), Cuts())
        if b is not None:
            yield job, b
