"""A thousand random needs over the shipped catalog: no failing check, no complaint of the second walk."""

from __future__ import annotations

import pytest

from tests.oracle.test_random_needs import ALL, SAMPLE, sound

pytestmark = pytest.mark.slow

MORE = [seed for seed in ALL if seed not in SAMPLE]


@pytest.mark.parametrize("seed", MORE)
def test_both_walks_find_nothing_wrong_in_a_thousand_kits(seed):
    """Whatever kit is found keeps every rule, by both walks; where none is, there is a reason."""
    sound(seed, explains=True)
