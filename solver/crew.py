"""Work done side by side: begun in order, its results taken in that order.

Where the system can fork, other processes do the work: they see everything as it was when the
first task was begun. Elsewhere the work is done here, when its result is asked for.
"""

from __future__ import annotations

import itertools
import multiprocessing
import platform
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from types import TracebackType
from typing import Any

_works: dict[int, Callable[[Any], Any]] = {}
"""What crews do, by number: a fork finds it here without its being sent."""

_numbers = itertools.count()


LATE = object()
"""In place of a result that was not there in time."""


class Crew:
    """Some workers that do one kind of work."""

    def __init__(self, work: Callable[[Any], Any], workers: int) -> None:
        self._work, self._workers = work, workers
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
        when the crew goes home; where the work is done here, nothing is ever late.
        """
        if self._workers < 2 or not _can_fork():
            return lambda _limit_s: self._work(task)
        if self._pool is None:
            _works[self._number] = self._work
            fork = multiprocessing.get_context("fork")
            self._pool = ProcessPoolExecutor(self._workers, mp_context=fork)
        future = self._pool.submit(_do, self._number, task)

        def result(limit_s: float | None) -> Any:
            try:
                return future.result(limit_s)
            except TimeoutError:
                self._given_up = True
                return LATE

        return result


def _end(pool: ProcessPoolExecutor) -> None:
    """End a pool's processes at once, whatever they are doing."""
    for process in list((pool._processes or {}).values()):
        process.terminate()


def _do(number: int, task: Any) -> Any:
    return _works[number](task)


def _can_fork() -> bool:
    return platform.system() == "Linux"
