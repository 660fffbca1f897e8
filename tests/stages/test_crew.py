"""Work done side by side gives the same as work done in turn, in the order begun."""

from __future__ import annotations

import multiprocessing
import time

import pytest

from solver.crew import LATE, Crew


@pytest.mark.parametrize("workers", [1, 2, 4])
def test_results_come_in_the_order_begun(workers):
    """However many workers there are."""
    with Crew(lambda n: n * n, workers) as crew:
        begun = [crew.begin(n) for n in range(12)]
        assert [result(None) for result in begun] == [n * n for n in range(12)]


def test_workers_see_what_was_known_when_the_first_task_was_begun():
    """So what is large need not be sent."""
    known = {"price": 3}
    with Crew(lambda n: n * known["price"], 2) as crew:
        assert crew.begin(5)(None) == 15


def test_an_error_reaches_the_one_who_asks():
    """It is not lost in the other process."""

    def work(_task: int) -> int:
        raise ValueError("no")

    with Crew(work, 2) as crew, pytest.raises(ValueError, match="no"):
        crew.begin(1)(None)


def test_what_is_late_is_given_up():
    """A limit of time holds though a task is under way, and its process is not left behind."""
    begun_at = time.monotonic()
    with Crew(lambda _n: time.sleep(30), 2) as crew:
        result = crew.begin(1)
        assert result(0.05) is LATE
    assert time.monotonic() - begun_at < 10
    assert not multiprocessing.active_children()
