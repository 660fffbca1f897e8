"""The optimizer against the programme with nothing pruned, on a hundred generated catalogs."""

from __future__ import annotations

import pytest

from tests.oracle.test_unpruned import SAMPLE, agree, generated_job, nothing_cheaper

pytestmark = pytest.mark.slow

MORE = [s for s in range(220) if s not in SAMPLE]


@pytest.mark.parametrize("seed", MORE)
def test_nothing_pruned_is_no_cheaper_on_more_catalogs(seed):
    """Catalogs of 100 to 300 parts from one shop: the same verdict, nothing cheaper by a cent."""
    assert nothing_cheaper(*generated_job(seed)).status in ("optimal", "infeasible")


TWO_SHOPS = (201, 202, 207, 208, 212, 213, 218, 219, 223, 224, 229, 230)
FIVE_SHOPS = (402, 403, 408, 413, 414, 419, 424, 425, 430, 435)


@pytest.mark.parametrize(
    ("seed", "shops"), [*((s, 2) for s in TWO_SHOPS), *((s, 5) for s in FIVE_SHOPS)]
)
def test_nothing_pruned_costs_the_same_where_freight_is_chosen(seed, shops):
    """Several shops: what is not proven to the end has the true cost between bound and total."""
    agree(*generated_job(seed, suppliers=shops))
