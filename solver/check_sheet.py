"""The sheet on which the checker writes what it found: one row a rule and a thing."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from solver.records import Check
from solver.rules import base

TOLERANCE = 1e-6
"""Relative difference under which two numbers are the same."""

CONTRACT = "stated needs"
"""Source of a limit that the person set."""

ARITHMETIC = base.ARITHMETIC.text()
COMMON_PRACTICE = base.COMMON_PRACTICE.text()
COMPLETENESS = "completeness of the design"


class MissingError(Exception):
    """Something is named and isn't there, so that nothing more can be said of a thing."""


def source_of(rule: Callable[..., Any]) -> str:
    """The published source of a rule, as checks print it."""
    return base.RULES[rule.__name__].source.text()


def same(a: float, b: float) -> bool:
    """Whether two numbers agree within the tolerance."""
    return abs(a - b) <= TOLERANCE * max(abs(a), abs(b), 1e-3)


def not_above(value: float, limit: float) -> bool:
    """Whether a value keeps under a limit, the tolerance on its side."""
    return value <= limit or same(value, limit)


class Sheet:
    """Collects the rows."""

    def __init__(self) -> None:
        self.rows: list[Check] = []

    def holds(
        self,
        rule: str,
        source: str,
        subject: str,
        ok: bool,
        value: float | str,
        limit: float | str,
        unit: str = "",
    ) -> bool:
        """Write a row whose verdict is already known."""
        self.rows.append(
            Check(
                rule=rule,
                source=source,
                subject=subject,
                value=value,
                limit=limit,
                unit=unit,
                ok=bool(ok),
            )
        )
        return bool(ok)

    def at_most(
        self, rule: str, source: str, subject: str, value: float, limit: float, unit: str
    ) -> bool:
        """Write a row for a value with an upper limit."""
        value, limit = float(value), float(limit)
        return self.holds(rule, source, subject, not_above(value, limit), value, limit, unit)

    def at_least(
        self, rule: str, source: str, subject: str, value: float, limit: float, unit: str
    ) -> bool:
        """Write a row for a value with a lower limit."""
        value, limit = float(value), float(limit)
        return self.holds(rule, source, subject, not_above(limit, value), value, limit, unit)

    def agrees(
        self, rule: str, source: str, subject: str, stated: float, found: float, unit: str
    ) -> bool:
        """Write a row for a number the design states against the one recomputed here."""
        stated, found = float(stated), float(found)
        return self.holds(rule, source, subject, same(stated, found), stated, found, unit)

    def is_one_of(
        self, rule: str, source: str, subject: str, value: object, allowed: object
    ) -> bool:
        """Write a row for a value out of a list."""
        options = tuple(allowed) if isinstance(allowed, tuple | list) else (allowed,)
        text = ", ".join(_plain(o) for o in options)
        return self.holds(rule, source, subject, value in options, _plain(value), text)

    @contextmanager
    def about(self, subject: str) -> Iterator[None]:
        """Turn what is missing, or outside a published table, into a failed row of a thing.

        A faulty design must give a failed row, never an exception that hides the other rows.
        """
        try:
            yield
        except (MissingError, ValueError) as why:
            self.holds(
                "what is named is there", COMPLETENESS, subject, False, str(why), "is there"
            )


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, int | float) else str(value)
