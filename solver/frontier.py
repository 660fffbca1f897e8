"""Where the cost steps as one need grows: which values have to be asked, and what follows.

A need that only ever takes kits away, or only ever adds some, makes the cost of the cheapest kit
monotone in it. So where two values have the same proven cost, every value between them has it too;
and a kit that is the cheapest at one value stays it as far as it still meets the need.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

SAME_CENTS = 1e-6
HAIR = 1e-9
"""A kit is not taken to reach a value that it meets only by rounding."""


@dataclass(frozen=True)
class Point:
    """What is known at one value."""

    cents: float
    """Of the cheapest kit; infinite where there is none."""
    proven: bool


@dataclass(frozen=True)
class Step:
    """Neighbouring values at which the cheapest kit costs the same."""

    first: int
    last: int
    point: Point


def to_ask(count: int, known: Mapping[int, Point]) -> list[int]:
    """Values, by number, that have to be asked next; none where every step is known."""
    ends = [n for n in dict.fromkeys((0, count - 1)) if n not in known]
    if ends:
        return ends
    return [
        (a + b) // 2
        for a, b in itertools.pairwise(sorted(known))
        if b - a > 1 and not same(known[a], known[b])
    ]


def same(a: Point, b: Point) -> bool:
    """Whether what lies between two points costs what they do."""
    if math.isinf(a.cents) or math.isinf(b.cents):
        return a.proven and b.proven and a.cents == b.cents
    return a.proven and b.proven and abs(a.cents - b.cents) <= SAME_CENTS


def steps(count: int, known: Mapping[int, Point]) -> list[Step]:
    """The whole staircase, once nothing is left to ask.

    Raises
    ------
    AssertionError
        Where something is left to ask.
    """
    if to_ask(count, known):
        raise AssertionError(f"the steps are not all known: {sorted(known)} of {count}")
    found: list[Step] = []
    for n in sorted(known):
        point = known[n]
        if found and same(found[-1].point, point):
            found[-1] = Step(found[-1].first, n, point)
        else:
            found.append(Step(n, n, point))
    return found


def falls(found: Sequence[Step], tolerance: float) -> list[tuple[Step, Step]]:
    """Neighbouring steps in order of a growing need at which the cost falls: a defect, if any.

    Compared are proven points alone; `tolerance` is the share that a proof leaves open.
    """
    return [
        (a, b)
        for a, b in itertools.pairwise(found)
        if a.point.proven
        and b.point.proven
        and b.point.cents < a.point.cents * (1 - tolerance) - SAME_CENTS
    ]


def reached(
    values: Sequence[float], at: int, used: float, limit: float, *, grows: bool
) -> list[int]:
    """Which further values the cheapest kit at one of them meets too.

    Parameters
    ----------
    values : sequence of float
        Rising.
    at : int
        Where the kit was found.
    used, limit : float
        How much of the limit it uses, in one unit: of a need that grows the limit is the kit's
        (`used` is the need), of one that is relaxed it is the need's.
    grows : bool
        Whether a larger value asks for more.
    """
    if used <= 0 or limit <= 0:
        return []
    share = limit / used if grows else used / limit
    reach = values[at] * share
    if grows:
        return [n for n in range(at + 1, len(values)) if values[n] <= reach * (1 - HAIR)]
    return [n for n in range(at) if values[n] >= reach * (1 + HAIR)]
