"""The optimizer against brute force on many more small random jobs than the suite has time for."""

from __future__ import annotations

import pytest

from tests.oracle.small_jobs import small_job
from tests.oracle.test_brute_force import SEEDS, agree

pytestmark = pytest.mark.slow

LONG = {213, 237, 556}
"""Jobs that brute force needs many minutes for."""

MORE = [s for s in range(612) if s not in LONG and s not in SEEDS]


@pytest.mark.parametrize("seed", MORE)
def test_optimizer_finds_what_brute_force_finds_on_more_jobs(seed):
    """The verdict and the total that trying every kit gives."""
    agree(*small_job(seed))
