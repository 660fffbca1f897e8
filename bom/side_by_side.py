"""Many needs solved side by side: on the cores of this machine, or by a Dask scheduler.

Either way an answer is the one that `kitbill pick` gives: who works it out changes nothing in it.
"""

from __future__ import annotations

import contextlib
import logging
import os
import signal
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures.process import BrokenProcessPool
from contextlib import AbstractContextManager
from types import TracebackType
from typing import TYPE_CHECKING, Any, Protocol

from bom.outcome import Outcome, outcome_of, solved
from solver.crew import LATE, Crew
from solver.errors import BadInput
from solver.needs import Needs
from solver.stock import Stock

if TYPE_CHECKING:
    from solver.possible import Unlimited

LOOK_S = 0.05
"""Seconds between two looks whether an answer is there."""

JOIN_S = 20
"""Seconds in which a scheduler must answer."""

LOCAL = "local"
"""The scheduler that is started for one command and ends with it."""

SCHEMES = ("tcp://", "tls://", "ucx://", "ws://", "wss://")


class Solvers(AbstractContextManager["Solvers"], Protocol):
    """Who works questions out."""

    capacity: int
    """So many are worked out side by side."""

    def begin(self, key: str, needs: Needs) -> None:
        """Hand over a question."""

    def take(self) -> tuple[str, Outcome]:
        """An answer, as soon as there is one: the key of its question, and what came of it."""


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0)) or 1
    return os.cpu_count() or 1


def solvers(
    stock: Stock, limit_s: float, workers: int | None, scheduler: str | None
) -> Solvers:
    """Who works out the questions of one command.

    Parameters
    ----------
    stock : Stock
        The catalog of all of them.
    limit_s : float
        Seconds for each answer.
    workers : int, optional
        So many side by side; without it, one a core, or all that a scheduler has.
    scheduler : str, optional
        `local`, or the address of a Dask scheduler; without it, processes of this machine.

    Raises
    ------
    BadInput
        Where Dask is not installed, or the address is none.
    """
    if scheduler is None:
        return Here(stock, limit_s, workers or cores())
    return Scheduled(stock, limit_s, workers, scheduler)


def answered(
    needs: Needs, stock: Stock, limit_s: float, workers: int, unlimited: Unlimited | None = None
) -> dict[str, Any]:
    """One answer, as it travels: written out."""
    return outcome_of(solved(needs, stock, limit_s, workers, unlimited=unlimited)).to_json()


class Here:
    """Processes of this machine, each with one question at a time."""

    def __init__(self, stock: Stock, limit_s: float, workers: int) -> None:
        from solver.possible import Unlimited

        # where one works alone, its proof may use two processes, as in `kitbill pick`
        each = 2 if workers == 1 else 1
        # each process fills its own
        unlimited = Unlimited(stock)

        def work(needs: Needs) -> dict[str, Any]:
            return answered(needs, stock, limit_s, each, unlimited)

        self._crew = Crew(work, workers)
        self.capacity = workers
        self._waiting: deque[tuple[str, Needs]] = deque()
        self._begun: dict[str, Callable[[float | None], Any]] = {}

    def __enter__(self) -> Here:
        self._crew.__enter__()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._crew.__exit__(kind, error, trace)

    def begin(self, key: str, needs: Needs) -> None:
        """Hand over a question."""
        self._waiting.append((key, needs))

    def take(self) -> tuple[str, Outcome]:
        """An answer, as soon as there is one."""
        try:
            while True:
                while self._waiting and len(self._begun) < self.capacity:
                    key, needs = self._waiting.popleft()
                    self._begun[key] = self._crew.begin(needs)
                for key, asked in self._begun.items():
                    found = asked(0.0)
                    if found is not LATE:
                        del self._begun[key]
                        return key, Outcome.from_json(found)
                time.sleep(LOOK_S)
        except BrokenProcessPool:
            text = (
                "a worker process was ended from outside, perhaps for want of memory; fewer "
                "need less: --workers 1."
            )
            raise BadInput([text]) from None


@contextlib.contextmanager
def _unheard_interruptions() -> Iterator[None]:
    """Programs started in here never hear an interruption: what is ignored now, they ignore.

    One that comes meanwhile is lost.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


class Scheduled:
    """A Dask scheduler's workers: of a cluster, or started here for this command."""

    def __init__(
        self, stock: Stock, limit_s: float, workers: int | None, scheduler: str
    ) -> None:
        if scheduler != LOCAL and not scheduler.startswith(SCHEMES):
            text = f'--scheduler: found "{scheduler}"; local, or an address such as tcp://host:8786'
            raise BadInput([f"{text}, belongs here."])
        try:
            import distributed
        except ImportError:
            text = (
                "--scheduler: Dask is not installed; install it with "
                "\"pip install 'kitbill[dask]'\", or leave the option out: the cores of this "
                "machine are used without it."
            )
            raise BadInput([text]) from None
        self._dask: Any = distributed
        self._stock, self._limit_s = stock, limit_s
        self._workers, self._scheduler = workers, scheduler
        self._cluster: Any = None
        self._client: Any = None
        self._there: Any = None
        self._keys: dict[str, str] = {}
        self._done: Any = None
        self.capacity = 1

    def __enter__(self) -> Scheduled:
        where: Any = self._scheduler
        if where == LOCAL:
            # an interruption is for this process alone, which ends the others
            with _unheard_interruptions():
                self._cluster = where = self._dask.LocalCluster(
                    n_workers=self._workers or cores(),
                    threads_per_worker=1,
                    processes=True,
                    dashboard_address=None,
                    silence_logs=logging.CRITICAL,
                )
        try:
            self._client = self._dask.Client(where, timeout=JOIN_S, set_as_default=False)
        except (OSError, TimeoutError) as wrong:
            self._close()
            text = f"no Dask scheduler answers there within {JOIN_S} s ({wrong})"
            raise BadInput([f'--scheduler: found "{self._scheduler}"; {text}.']) from wrong
        self._there = self._client.scatter(self._stock, broadcast=True)
        self._done = self._dask.as_completed(loop=self._client.loop)
        # one more for each, so that none waits while an answer travels
        self.capacity = 2 * max(sum(self._client.nthreads().values()), 1)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._close()

    def _close(self) -> None:
        for one in (self._client, self._cluster):
            if one is not None:
                one.close()

    def begin(self, key: str, needs: Needs) -> None:
        """Hand over a question."""
        # a worker of Dask may have no children, so a proof there uses the worker alone
        future = self._client.submit(
            answered, needs, self._there, self._limit_s, 1, pure=False, key=f"kitbill-{key}"
        )
        self._keys[future.key] = key
        self._done.add(future)

    def take(self) -> tuple[str, Outcome]:
        """An answer, as soon as there is one."""
        future = next(self._done)
        key = self._keys.pop(future.key)
        return key, Outcome.from_json(future.result())
