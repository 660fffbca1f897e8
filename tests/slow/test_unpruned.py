"""The optimizer against the programme with nothing pruned, on a hundred generated catalogs."""

from __future__ import annotations

import pytest

from tests.oracle.test_unpruned import SAMPLE, agree, generated_job, nothing_cheaper

pytestmark = pytest.mark.slow

MORE = [s for s in range(110) if s not in SAMPLE]


@pytest.mark.parametrize("seed", MORE)
def test_nothing_pruned_is_no_cheaper_on_more_catalogs(seed):
    """Catalogs of 100 to 300 parts from one shop: the same verdict, nothing cheaper by a cent."""
    assert nothing_cheaper(*generated_job(seed)).status in ("optimal", "infeasible")


@pytest.mark.parametrize("seed", range(200, 212))
def test_nothing_pruned_costs_the_same_where_freight_is_chosen(seed):
    """Two shops: what is not proven to the end has the true cost between bound and total."""
    agree(*generated_job(seed, suppliers=2))
