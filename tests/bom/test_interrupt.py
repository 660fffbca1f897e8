"""Ctrl-C, as the one who waits for an answer sees it."""

from __future__ import annotations

import os
import signal

import pytest

from bom.interrupt import ASKED, ENDED, NO_KIT, Interruptible

pytestmark = pytest.mark.skipif(os.name == "nt", reason="signals are others there")


def ctrl_c():
    """What a terminal does when the keys are pressed."""
    os.kill(os.getpid(), signal.SIGINT)


def test_before_there_is_a_kit_it_ends_the_work_and_says_so():
    """There is nothing to give, and one line tells it."""
    said = []
    with pytest.raises(KeyboardInterrupt), Interruptible(said.append):
        ctrl_c()
    assert said == [NO_KIT]


def test_with_a_kit_the_first_asks_and_the_second_ends(capfd):
    """The first is told on standard error and goes on; the second does not wait."""
    said, passed = [], []
    person = Interruptible(said.append)
    person.has_kit = True

    def work():
        with person:
            for _ in range(3):
                passed.append(person.stopped())
                ctrl_c()

    with pytest.raises(KeyboardInterrupt):
        work()
    assert passed == [False, True]
    assert said == [ENDED]
    assert capfd.readouterr().err == ASKED + "\n"


def test_afterwards_an_interruption_is_what_it_was():
    """Only the search listens."""
    before = signal.getsignal(signal.SIGINT)
    with Interruptible(print):
        assert signal.getsignal(signal.SIGINT) != before
    assert signal.getsignal(signal.SIGINT) == before
