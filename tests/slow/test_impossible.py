"""The sixty needs that no kit meets: those that the suite has no time for, and trying every kit."""

import pytest

from tests.oracle.impossible import CASES, QUICK, by_trying, verify

pytestmark = pytest.mark.slow

MORE = [name for name in CASES if name not in QUICK]

TRIED = [name for name in MORE if name.startswith(("job 0", "job 1:", "job 13"))]
"""Random jobs that brute force is quick with."""


@pytest.mark.parametrize("name", MORE)
def test_what_collides_is_minimal_and_each_change_the_least(name):
    """By itself no kit, without any one there is one; each change is enough, a step less is not."""
    verify(name)


@pytest.mark.parametrize("name", TRIED)
def test_changes_are_those_of_trying_every_kit(name):
    """What is enough and what is not, by brute force."""
    by_trying(name)
