"""Ways for cables: places are nodes, measured legs are edges, a cable takes the shortest way."""

from __future__ import annotations

import heapq
import itertools
from dataclasses import dataclass

from solver.needs import Leg, Needs


@dataclass(frozen=True, slots=True)
class Route:
    """The shortest way between two places, and what a cable meets on it."""

    length_m: float
    via: tuple[tuple[str, str], ...]
    """Legs as pairs of places, in order."""
    ambient_c: float
    """The hottest of the site and of every place and leg met."""
    loaded: int
    """The most loaded conductors stated on any leg of the way."""
    engine_space: bool


def shortest_way(legs: tuple[Leg, ...], start: str, goal: str) -> tuple[str, ...] | None:
    """The places of the shortest way, from start to goal; None where no leg leads there.

    Among ways of equal length the one whose place names sort first, so that the order of the
    legs in the file changes nothing.
    """
    lengths = _lengths(legs)
    done: set[str] = set()
    queue: list[tuple[float, tuple[str, ...]]] = [(0.0, (start,))]
    while queue:
        length, path = heapq.heappop(queue)
        here = path[-1]
        if here == goal:
            return path
        if here in done:
            continue
        done.add(here)
        for (a, b), metres in lengths.items():
            if a == here and b not in done:
                # rounded so that equal sums compare equal whatever the order of adding
                heapq.heappush(queue, (round(length + metres, 9), (*path, b)))
    return None


def _lengths(legs: tuple[Leg, ...]) -> dict[tuple[str, str], float]:
    """The shortest leg between each two places, both ways."""
    shortest: dict[tuple[str, str], float] = {}
    for leg in legs:
        for pair in ((leg.from_, leg.to), (leg.to, leg.from_)):
            shortest[pair] = min(leg.length_m, shortest.get(pair, leg.length_m))
    return shortest


def route(needs: Needs, start: str, goal: str) -> Route | None:
    """How a cable gets from one place to another; within one place `in_place_m` and no leg.

    From panels on the ground it comes by their lead to an inlet, and thence to where it goes: also
    within the place whose wall holds the inlet.
    The ambient is the hottest of the site's `hottest_c` and the `max_c` of every place and leg
    met: the safe side.
    """
    path = shortest_way(needs.legs, start, goal)
    if path is None:
        return None
    places = [needs.place(name) for name in path]
    via = tuple(itertools.pairwise(path))
    legs = [leg_between(needs.legs, a, b) for a, b in via]
    hottest = [needs.site.hottest_c]
    hottest += [p.max_c for p in places if p.max_c is not None]
    hottest += [leg.max_c for leg in legs if leg.max_c is not None]
    inside_m = (
        0.0 if via and not (len(via) == 1 and places[0].ground) else needs.rules.in_place_m
    )
    return Route(
        length_m=round(sum(leg.length_m for leg in legs) + inside_m, 9),
        via=via,
        ambient_c=max(hottest),
        loaded=max((leg.loaded_conductors for leg in legs), default=0),
        engine_space=any(p.engine_space for p in places),
    )


Between = tuple[str, str]
"""A leg by the two places it leads between, in the order of their names."""


def legs_of(way: Route) -> tuple[Between, ...]:
    """The legs that a way takes; none within one place."""
    return tuple((min(pair), max(pair)) for pair in way.via)


def stated_loaded(needs: Needs, leg: Between) -> int:
    """Loaded conductors that the needs state to lie on a leg already."""
    return leg_between(needs.legs, *leg).loaded_conductors


def leg_between(legs: tuple[Leg, ...], a: str, b: str) -> Leg:
    """The leg walked between two places: the shortest, of equals the coolest and emptiest."""
    between = [leg for leg in legs if {leg.from_, leg.to} == {a, b}]
    return min(
        between,
        key=lambda leg: (leg.length_m, leg.max_c or 0.0, leg.loaded_conductors, leg.hole or ""),
    )
