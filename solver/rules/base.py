"""What every rule carries: its source, what it is about, which way its limit goes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

Number = TypeVar("Number", float, Array)
"""A number or an array of them: what goes in as an array comes out as one."""

F = TypeVar("F", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class Source:
    """Where a rule or a value is written."""

    title: str
    edition: str
    place: str
    note: str = ""
    """Such as "from memory"."""

    def text(self) -> str:
        """The source in one line, as checks and documents print it."""
        named = f"{self.title} ({self.edition})" if self.edition else self.title
        parts = [p for p in (named, self.place, self.note) if p]
        return ", ".join(parts)


COMMON_PRACTICE = Source("common practice, no source", "", "")
ARITHMETIC = Source("arithmetic", "", "")

LIMITS = ("at most", "at least", "equal")

SUBJECTS = (
    "panel",
    "array",
    "controller",
    "battery",
    "bank",
    "inverter",
    "charger",
    "month",
    "circuit",
    "conductor",
    "protection",
    "end",
    "place",
    "hole",
    "kit",
)
"""What a rule can be about."""


@dataclass(frozen=True, slots=True)
class RuleInfo:
    """A rule as registered: its function and what the decorator says of it."""

    name: str
    function: Callable[..., Any]
    subject: str
    limit: str
    """Which way: its value is at most, at least or equal to what it is compared with."""
    unit: str
    source: Source


RULES: dict[str, RuleInfo] = {}
"""Every rule by the name of its function."""


def rule(*, subject: str, limit: str, unit: str, source: Source) -> Callable[[F], F]:
    """Register a function as a rule and leave it as it is.

    Parameters
    ----------
    subject : str
        What it is about, one of `SUBJECTS`.
    limit : str
        `at most`, `at least` or `equal`.
    unit : str
        Of the value and its limit; empty for a plain yes or no.
    source : Source
        Where it is written.
    """
    if subject not in SUBJECTS or limit not in LIMITS:
        raise AssertionError(f"no such subject or limit of a rule: {subject!r}, {limit!r}")

    def wrap(function: F) -> F:
        name = function.__name__
        if name in RULES:
            raise AssertionError(f"two rules are called {name}")
        RULES[name] = RuleInfo(name, function, subject, limit, unit, source)
        return function

    return wrap


def within_rating(
    rated_a: Number, max_v: Number, current_a: Number, voltage_v: Number
) -> NDArray[np.bool_]:
    """Whether a current and a voltage are within what a part is rated for."""
    carries = np.asarray(current_a) <= np.asarray(rated_a) + 1e-9
    return np.asarray(carries & (np.asarray(voltage_v) <= np.asarray(max_v) + 1e-9))


def lesser(a: Number, b: Number | float) -> Number:
    """The smaller of two, element by element of arrays; plain floats stay plain floats."""
    if isinstance(a, np.ndarray) or isinstance(b, np.ndarray):
        return np.minimum(a, b)
    return min(a, b)
