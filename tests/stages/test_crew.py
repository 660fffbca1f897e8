"""Work done side by side gives the same as work done in turn, in the order begun."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

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


def test_workers_do_not_hear_an_interruption():
    """Ctrl-C reaches every process of a terminal; only the one who asks is to act on it."""
    before = signal.getsignal(signal.SIGINT)
    try:
        signal.signal(signal.SIGINT, signal.default_int_handler)
        with Crew(lambda n: time.sleep(0.5) or n, 2) as crew:
            results = [crew.begin(n) for n in range(2)]
            for worker in multiprocessing.active_children():
                os.kill(worker.pid, signal.SIGINT)
            assert [result(None) for result in results] == [0, 1]
    finally:
        signal.signal(signal.SIGINT, before)


def test_one_who_is_asked_to_stop_does_not_wait():
    """Not even for a result that may take as long as it takes."""
    begun_at = time.monotonic()
    with Crew(lambda _n: time.sleep(30), 2, stopped=lambda: True) as crew:
        assert crew.begin(1)(None) is LATE
    assert time.monotonic() - begun_at < 10
    assert not multiprocessing.active_children()


def test_workers_end_with_the_one_who_asks():
    """A process that is killed leaves none behind."""
    code = (
        "import os, time\n"
        "from solver.crew import Crew\n"
        "with Crew(lambda n: (os.getpid(), time.sleep(n))[0], 2) as crew:\n"
        "    print(crew.begin(0)(None), flush=True)\n"
        "    crew.begin(600)(None)\n"
    )
    call = [sys.executable, "-c", code]
    with subprocess.Popen(call, stdout=subprocess.PIPE, text=True) as run:
        worker = int(run.stdout.readline())
        run.kill()
    for _ in range(100):
        if not _lives(worker):
            return
        time.sleep(0.1)
    raise AssertionError("a worker was left behind")


def _lives(process: int) -> bool:
    """Whether a process is there and no zombie."""
    try:
        return Path(f"/proc/{process}/stat").read_text().rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False
