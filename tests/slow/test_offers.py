"""The whole work against every way to buy the kit, on the jobs that the suite only buys for."""

from __future__ import annotations

import pytest

from tests.oracle.test_offers import JOBS, SOLVED, agrees

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("seed", [s for s in range(JOBS) if s not in SOLVED])
def test_the_answer_costs_what_the_cheapest_order_costs_on_more_jobs(seed):
    """Found, built, cut and billed."""
    agrees(seed)
