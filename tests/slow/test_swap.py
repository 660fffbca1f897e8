"""Parts forced in and owned parts told apart, on more random jobs than the suite has time for."""

import pytest

from tests.oracle.test_swap import LONG, SEEDS, do_without, force_one

pytestmark = pytest.mark.slow

MORE = [s for s in range(300) if s not in SEEDS]


@pytest.mark.parametrize("seed", MORE)
def test_forcing_a_part_costs_what_the_cheapest_kit_with_it_costs(seed):
    """Before and after are the truth, as is what changes."""
    force_one(seed)


@pytest.mark.parametrize("seed", MORE)
def test_what_an_owned_part_saves_is_verified_by_doing_without(seed):
    """Savings of used parts and totals of unused ones are those of trying every kit."""
    do_without(seed)


def test_the_jobs_left_out_elsewhere_are_here():
    """No job is skipped because it takes long."""
    assert set(MORE) >= LONG
