"""Ctrl-C during a long search: the first asks for the best kit so far, the second ends it."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from types import FrameType, TracebackType
from typing import Any

ASKED = "stopping with the best kit so far; Ctrl-C once more ends without it"
NO_KIT = "interrupted before there was a kit; nothing is written"
ENDED = "interrupted; nothing is written"


class Interruptible:
    """While it is entered, a first interruption is kept for `stopped` once there is a kit.

    Before there is one, and the second time, it ends the work as it always does.
    """

    def __init__(self, progress: Callable[[str], None]) -> None:
        self._progress = progress
        self._asked = False
        self._before: Any = None
        self.has_kit = False

    def stopped(self) -> bool:
        """Whether the best kit so far is wanted now."""
        return self._asked

    def __enter__(self) -> Interruptible:
        if threading.current_thread() is threading.main_thread():
            self._before = signal.signal(signal.SIGINT, self._hear)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)
        if isinstance(error, KeyboardInterrupt):
            self._progress(ENDED if self.has_kit else NO_KIT)

    def _hear(self, _number: int, _frame: FrameType | None) -> None:
        if self._asked or not self.has_kit:
            raise KeyboardInterrupt
        self._asked = True
        # not through the streams: what is interrupted may be in the middle of writing to them
        os.write(2, (ASKED + "\n").encode())
