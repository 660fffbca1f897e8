"""A bundle of round cables in a round hole: where they lie, and how wide the hole must be.

Every bundle given here can be laid as it is drawn, so the hole is never too small; for more than
seven cables it may be some per cent wider than the narrowest there is.

Source
------
Corners are filled by the largest hole degree, after W. Q. Huang, Y. Li, H. Akeb, C. M. Li (2005),
Greedy algorithms for packing unequal circles into a circular container, Journal of the
Operational Research Society 56; from memory.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product
from math import sqrt

CLOSE = 1e-9
"""Part of the hole's radius that is the arithmetic's, not the cable's."""
NARROWER = 2e-4
"""The search ends where halving would make the hole no narrower than by this part."""
MOST_STARTS, EFFORT = 12, 120
"""Pairs of cables that are tried as the first two; fewer where there are more cables."""

Round = tuple[complex, float]
"""Middle, in mm from the hole's middle, and radius in mm."""
Score = Callable[[complex, float, Sequence[Round], float], float]
"""How good a corner is for a cable of that radius, beside those placed; the least is taken."""


@dataclass(frozen=True)
class Bundle:
    """Cables laid in a circle: each middle from the circle's, in the order they were given."""

    diameter_mm: float
    middles_mm: tuple[tuple[float, float], ...]


def bundle_of(outer_mm: Sequence[float]) -> Bundle:
    """Cables of these outer diameters in as narrow a circle as is found.

    Parameters
    ----------
    outer_mm : sequence of float
        Outer diameter of each, in mm, above 0.
    """
    order = sorted(range(len(outer_mm)), key=lambda i: (-outer_mm[i], i))
    diameter, middles = _bundle(tuple(outer_mm[i] for i in order))
    laid = dict(zip(order, middles, strict=True))
    return Bundle(diameter, tuple(laid[i] for i in range(len(outer_mm))))


@lru_cache(maxsize=256)
def _bundle(falling_mm: tuple[float, ...]) -> tuple[float, tuple[tuple[float, float], ...]]:
    """Of diameters from the largest to the smallest."""
    radii = [d / 2 for d in falling_mm]
    if len(radii) < 2:
        return sum(falling_mm), ((0.0, 0.0),) * len(radii)
    # No narrower than the two largest side by side, nor than all their cross-sections.
    low = max(radii[0] + radii[1], sqrt(sum(r * r for r in radii)))
    hole, best = low, _laid(radii, low)
    while best is None:
        low, hole = hole, hole * 1.2
        best = _laid(radii, hole)
    while hole - low > NARROWER * hole:
        middle = (low + hole) / 2
        found = _laid(radii, middle)
        if found is None:
            low = middle
        else:
            hole, best = middle, found
    return 2 * hole, tuple((z.real, z.imag) for z in best)


def _laid(radii: Sequence[float], hole: float) -> list[complex] | None:
    """A middle for each radius in a hole of that radius; None where none is found."""
    sizes = sorted(set(radii), reverse=True)
    pairs = sorted(product(range(len(sizes)), repeat=2), key=lambda p: (p[0] + p[1], p))
    few = max(1, min(MOST_STARTS, EFFORT // len(radii)))
    for first, second in pairs[:few]:
        waiting = _less(radii, sizes[first])
        if sizes[second] not in waiting:
            continue
        waiting = _less(waiting, sizes[second])
        for placed in _starts(sizes[first], sizes[second], hole):
            for score in (_third_gap, _rim):
                full = _filled(placed, waiting, hole, score)
                if full is not None:
                    return _dealt(full, radii)
    return None


def _less(radii: Sequence[float], one: float) -> list[float]:
    left = list(radii)
    left.remove(one)
    return left


def _starts(first: float, second: float, hole: float) -> Iterator[list[Round]]:
    """The first at the hole's edge, the second beside it at the edge, or across from it."""
    a: Round = (complex(hole - first, 0), first)
    beside = _edge(a, second, hole)
    if beside:
        yield [a, (beside[0], second)]
    if hole >= first + second - CLOSE * hole:
        yield [a, (complex(second - hole, 0), second)]


def _filled(
    placed: list[Round], waiting: list[float], hole: float, score: Score
) -> list[Round] | None:
    """Each next cable into the corner with the least score that one of those left fits in."""
    placed, waiting = list(placed), list(waiting)
    corners: dict[float, list[complex]] = {r: [] for r in set(waiting)}
    for n, one in enumerate(placed):
        _open(corners, placed[:n], one, hole)
    _shut(corners, placed, hole)
    while waiting:
        found = _best(corners, placed, hole, score)
        if found is None:
            return None
        middle, radius = found
        placed.append(found)
        waiting.remove(radius)
        if radius not in waiting:
            del corners[radius]
        for r, spots in corners.items():
            corners[r] = [z for z in spots if abs(z - middle) >= r + radius - CLOSE * hole]
        new: dict[float, list[complex]] = {r: [] for r in corners}
        _open(new, placed[:-1], found, hole)
        _shut(new, placed, hole)
        for r, spots in new.items():
            corners[r] += spots
    return placed


def _open(
    corners: dict[float, list[complex]], placed: Sequence[Round], one: Round, hole: float
) -> None:
    """Add the corners that one makes with the hole's edge and with those placed before."""
    for radius, spots in corners.items():
        spots.extend(_edge(one, radius, hole))
        for other in placed:
            spots.extend(_between(one, other, radius))


def _shut(corners: dict[float, list[complex]], placed: Sequence[Round], hole: float) -> None:
    """Leave out the corners that another cable or the hole's edge cuts off."""
    close = CLOSE * hole
    for radius, spots in corners.items():
        corners[radius] = [
            z
            for z in spots
            if abs(z) <= hole - radius + close
            and all(abs(z - c) >= r + radius - close for c, r in placed)
        ]


def _best(
    corners: dict[float, list[complex]], placed: Sequence[Round], hole: float, score: Score
) -> Round | None:
    found = [
        ((round(score(z, r, placed, hole), 9), -r, round(z.real, 9), round(z.imag, 9)), z, r)
        for r, spots in corners.items()
        for z in spots
    ]
    if not found:
        return None
    _, middle, radius = min(found, key=lambda one: one[0])
    return middle, radius


def _third_gap(middle: complex, radius: float, placed: Sequence[Round], hole: float) -> float:
    """How far off the third nearest neighbour is, the edge being one, in parts of the radius."""
    gaps = [hole - radius - abs(middle), *(abs(middle - c) - r - radius for c, r in placed)]
    return sorted(gaps)[min(2, len(gaps) - 1)] / radius


def _rim(middle: complex, radius: float, placed: Sequence[Round], hole: float) -> float:
    """How far off the edge is, then how far the neighbours are: a ring is closed first."""
    near = min(abs(middle - c) for c, _ in placed[-1:])
    return round((hole - radius - abs(middle)) / hole, 6) * 1000 + near / hole


def _edge(one: Round, radius: float, hole: float) -> list[complex]:
    """Middles of a circle that touches the hole's edge from inside and another circle."""
    return _meeting((0j, hole - radius), (one[0], one[1] + radius))


def _between(one: Round, other: Round, radius: float) -> list[complex]:
    """Middles of a circle that touches two others."""
    return _meeting((one[0], one[1] + radius), (other[0], other[1] + radius))


def _meeting(one: Round, other: Round) -> list[complex]:
    """Where two circles meet."""
    apart = abs(other[0] - one[0])
    if apart == 0 or one[1] < 0:
        return []
    along = (apart**2 + one[1] ** 2 - other[1] ** 2) / (2 * apart)
    aside = one[1] ** 2 - along**2
    if aside < -CLOSE * one[1] ** 2:
        return []
    unit = (other[0] - one[0]) / apart
    foot, up = one[0] + unit * along, unit * 1j * sqrt(max(aside, 0.0))
    return [foot + up, foot - up]


def _dealt(full: Sequence[Round], radii: Sequence[float]) -> list[complex]:
    """A middle for each radius, in their order."""
    waiting: dict[float, list[complex]] = {}
    for middle, radius in full:
        waiting.setdefault(radius, []).append(middle)
    return [waiting[r].pop(0) for r in radii]
