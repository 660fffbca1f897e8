"""Work done side by side: begun in order, its results taken in that order.

Where the system can fork, other processes do the work: they see everything as it was when the
first task was begun. Elsewhere the work is done here, when its result is asked for.
An interruption is for the one who asks: workers do not hear it.
"""

from __future__ import annotations

import itertools
import math
import multiprocessing
import platform
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import contextmanager
from types import TracebackType
from typing import Any

_works: dict[int, Callable[[Any], Any]] = {}
"""What crews do, by number: a fork finds it here without its being sent."""

_numbers = itertools.count()

STEP_S = 0.2
"""Seconds after which one who waits looks whether the work is still wanted."""

LATE = object()
"""In place of a result that was not there in time."""


class Crew:
    """Some workers that do one kind of work."""

    def __init__(
        self,
        work: Callable[[Any], Any],
        workers: int,
        stopped: Callable[[], bool] = lambda: False,
    ) -> None:
        self._work, self._workers, self._stopped = work, workers, stopped
        self._number = next(_numbers)
        self._pool: ProcessPoolExecutor | None = None
        self._given_up = False

    def __enter__(self) -> Crew:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._pool is not None:
            if self._given_up or error is not None:
                _end(self._pool)
            self._pool.shutdown(cancel_futures=True)
        _works.pop(self._number, None)

    def begin(self, task: Any) -> Callable[[float | None], Any]:
        """Begin a task; what is given back waits some seconds (None: as long as it takes).

        It gives the result, or LATE where that is not there by then. What is late is given up
        when the crew goes home; where the work is done here, nothing is ever late. Once
        `stopped` says so, everything is late that is not there.
        """
        if self._workers < 2 or not _can_fork():
            return lambda _limit_s: self._work(task)
        if self._pool is None:
            _works[self._number] = self._work
            fork = multiprocessing.get_context("fork")
            self._pool = ProcessPoolExecutor(
                self._workers, fork, initializer=_end_with_the_one_who_asks
            )
        with _unheard_interruptions():
            future = self._pool.submit(_do, self._number, task)
        return lambda limit_s: self._waited(future, limit_s)

    def _waited(self, future: Future[Any], limit_s: float | None) -> Any:
        """The result, asked for in short steps, so that being stopped is noticed."""
        left_s = math.inf if limit_s is None else limit_s
        while True:
            try:
                return future.result(min(STEP_S, left_s))
            except TimeoutError:
                left_s -= STEP_S
            if left_s <= 0 or self._stopped():
                self._given_up = True
                return LATE


@contextmanager
def _unheard_interruptions() -> Iterator[None]:
    """Processes forked in here never hear an interruption: they keep what is blocked now.

    One that comes meanwhile reaches this process afterwards.
    """
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _end(pool: ProcessPoolExecutor) -> None:
    """End a pool's processes at once, whatever they are doing."""
    for process in list((pool._processes or {}).values()):
        process.terminate()


def _do(number: int, task: Any) -> Any:
    return _works[number](task)


def _end_with_the_one_who_asks() -> None:
    """End this process when that one is gone: nobody would take what it does."""
    asker = multiprocessing.parent_process()

    def watch() -> None:
        if asker is not None:
            asker.join()
            signal.raise_signal(signal.SIGKILL)

    threading.Thread(target=watch, daemon=True).start()


def _can_fork() -> bool:
    return platform.system() == "Linux"
