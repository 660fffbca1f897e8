"""Work done side by side gives the same as work done in turn, in the order begun."""

from __future__ import annotations

import pytest

from solver.crew import Crew


@pytest.mark.parametrize("workers", [1, 2, 4])
def test_results_come_in_the_order_begun(workers):
    """However many workers there are."""
    with Crew(lambda n: n * n, workers) as crew:
        begun = [crew.begin(n) for n in range(12)]
        assert [result() for result in begun] == [n * n for n in range(12)]


def test_workers_see_what_was_known_when_the_first_task_was_begun():
    """So what is large need not be sent."""
    known = {"price": 3}
    with Crew(lambda n: n * known["price"], 2) as crew:
        assert crew.begin(5)() == 15


def test_an_error_reaches_the_one_who_asks():
    """It is not lost in the other process."""

    def work(_task: int) -> int:
        raise ValueError("no")

    with Crew(work, 2) as crew, pytest.raises(ValueError, match="no"):
        crew.begin(1)()
