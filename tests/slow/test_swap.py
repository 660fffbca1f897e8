"""Parts forced in and owned parts told apart, on more random jobs than the suite has time for."""

import pytest

from tests.oracle.test_swap import LONG, SEEDS, do_without, force_one

pytestmark = pytest.mark.slow

TOO_LONG = {70, 213, 237}
"""Jobs that brute force needs many minutes for, asked several times."""

MORE = [s for s in range(303) if s not in SEEDS and s not in TOO_LONG]


@pytest.mark.parametrize("seed", MORE)
def test_forcing_a_part_costs_what_the_cheapest_kit_with_it_costs(seed):
    """Before and after are the truth, as is what changes."""
    force_one(seed)


@pytest.mark.parametrize("seed", MORE)
def test_what_an_owned_part_saves_is_verified_by_doing_without(seed):
    """Savings of used parts and totals of unused ones are those of trying every kit."""
    do_without(seed)


def test_the_jobs_left_out_elsewhere_are_here():
    """The suite's own and these are three hundred; what the suite leaves out is among them."""
    assert len(MORE) + len(SEEDS) == 300
    assert set(MORE) >= LONG
