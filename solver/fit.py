"""Placing: where each panel, battery and device lies in its place.

A thing takes the rectangle of its face; it may be turned a quarter; it keeps inside the
margins, off the obstacles, off everything else, and is no higher than the place. Nothing here
knows weight, part classes or cables.

Lengths are compared in whole nanometres, see `solver.fit_opening`.
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING

from solver.fit_exact import lay_or_prove, most_alike
from solver.fit_greedy import lay_all, lay_most
from solver.fit_opening import NM_PER_MM, Block, Opening, Size, opening_of, whole

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from solver.needs import Place

CLOSE_MM = 1e-6
"""Differences up to a nanometre are the arithmetic's, not the fitter's."""


@dataclass(frozen=True)
class Item:
    """A thing to place: the face it stands or hangs on, and how far it rises from it."""

    id: str
    length_mm: float
    width_mm: float
    height_mm: float

    def __post_init__(self) -> None:
        sides = (self.length_mm, self.width_mm, self.height_mm)
        assert all(isfinite(side) and side > 0 for side in sides), (self.id, sides)


@dataclass(frozen=True)
class Spot:
    """Where an item lies: its nearest corner from the place's, and whether it is turned."""

    id: str
    x_mm: float
    y_mm: float
    rotated: bool


def place_items(items: Sequence[Item], place: Place) -> tuple[Spot, ...] | None:
    """A spot for each item, in the order of the items; None where rules of hand find none.

    The same items get the same spots whatever their order. None is no proof that there is none,
    see `prove_placing`.
    """
    opening = opening_of(place)
    sizes = _sizes(items)
    if _too_high(items, place) or _no_room(opening, sizes):
        return None
    blocks = lay_all(opening, sizes)
    return None if blocks is None else _spots(items, blocks, place)


def prove_placing(
    items: Sequence[Item], place: Place, limit_s: float
) -> tuple[str, tuple[Spot, ...] | None]:
    """Whether items fit, with a proof.

    Parameters
    ----------
    items : sequence of Item
    place : Place
    limit_s : float
        Most seconds of the exact search, in the solver's own deterministic count, so that the
        answer is the same on a slow machine.

    Returns
    -------
    tuple of str and tuple of Spot or None
        `placed` with a spot for each item, in the order of the items; `impossible`, proven; or
        `unknown`.
    """
    opening = opening_of(place)
    sizes = _sizes(items)
    if _too_high(items, place) or _no_room(opening, sizes):
        return "impossible", None
    blocks = lay_all(opening, sizes)
    if blocks is not None:
        return "placed", _spots(items, blocks, place)
    verdict, blocks = lay_or_prove(opening, sizes, limit_s)
    return verdict, None if blocks is None else _spots(items, blocks, place)


def most_that_fit(
    item: Item, place: Place, limit_s: float, at_most: int = 100
) -> tuple[int, bool]:
    """How many like this one fit, and whether that is proven to be the most.

    Counting stops at `at_most`.
    """
    opening = opening_of(place)
    size = _sizes([item])[0]
    if _too_high([item], place) or _no_room(opening, [size]):
        return 0, True
    by_area = min(at_most, opening.free_area() // (size[0] * size[1]))
    found = len(lay_most(opening, [size] * by_area))
    if found < by_area:
        found, by_area = most_alike(opening, size, found, by_area, limit_s)
    return found, found == by_area


def overlaps(items: Iterable[Item], spots: Iterable[Spot], place: Place) -> list[str]:
    """Everything wrong with spots, in words; empty where nothing is.

    Compares pair by pair in millimetres and shares nothing with the code that places.
    """
    found = []
    by_id = {spot.id: spot for spot in spots}
    faces: list[tuple[str, float, float, float, float]] = []
    for item in items:
        if place.height_mm is not None and item.height_mm > place.height_mm + CLOSE_MM:
            found.append(
                f"{item.id} is {item.height_mm:g} mm high, {place.name} {place.height_mm:g} mm"
            )
        spot = by_id.pop(item.id, None)
        if spot is None:
            found.append(f"{item.id} has no spot of its own in {place.name}")
            continue
        along, across = item.length_mm, item.width_mm
        if spot.rotated:
            along, across = across, along
        faces.append((item.id, spot.x_mm, spot.y_mm, spot.x_mm + along, spot.y_mm + across))
    found += [
        f"{name} has a spot in {place.name} and is not one of the items" for name in by_id
    ]
    found += _sticking_out(faces, place)
    barred = [
        (o.name, o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm)
        for o in place.obstacles
    ]
    for index, face in enumerate(faces):
        found += [f"{face[0]} covers {other[0]}" for other in barred if _meet(face, other)]
        found += [
            f"{face[0]} overlaps {other[0]}"
            for other in faces[index + 1 :]
            if _meet(face, other)
        ]
    return found


def _sticking_out(
    faces: Iterable[tuple[str, float, float, float, float]], place: Place
) -> list[str]:
    least = place.margin_mm - CLOSE_MM
    far_x = place.length_mm - place.margin_mm + CLOSE_MM
    far_y = place.width_mm - place.margin_mm + CLOSE_MM
    return [
        f"{name} sticks out of {place.name} or into its margin"
        for name, left, near, right, far in faces
        if not (left >= least and near >= least and right <= far_x and far <= far_y)
    ]


def _meet(
    one: tuple[str, float, float, float, float], other: tuple[str, float, float, float, float]
) -> bool:
    return (
        min(one[3], other[3]) - max(one[1], other[1]) > CLOSE_MM
        and min(one[4], other[4]) - max(one[2], other[2]) > CLOSE_MM
    )


def _sizes(items: Iterable[Item]) -> list[Size]:
    sides = [(whole(item.length_mm), whole(item.width_mm)) for item in items]
    return [(max(pair), min(pair)) for pair in sides]


def _area(sizes: Iterable[Size]) -> int:
    return sum(long * short for long, short in sizes)


def _too_high(items: Iterable[Item], place: Place) -> bool:
    if place.height_mm is None:
        return False
    return any(whole(item.height_mm) > whole(place.height_mm) for item in items)


def _no_room(opening: Opening, sizes: Sequence[Size]) -> bool:
    """Whether one alone is larger than the opening, or all together are."""
    if not sizes:
        return False
    if min(opening.length, opening.width) <= 0:
        return True
    longest = max(opening.length, opening.width)
    shortest = min(opening.length, opening.width)
    if any(long > longest or short > shortest for long, short in sizes):
        return True
    return _area(sizes) > opening.free_area()


def _spots(items: Sequence[Item], blocks: Sequence[Block], place: Place) -> tuple[Spot, ...]:
    """Blocks dealt out: among like items the first by name gets the nearest corner."""
    margin = whole(place.margin_mm)
    alike: dict[Size, list[int]] = defaultdict(list)
    for index, size in enumerate(_sizes(items)):
        alike[size].append(index)
    spots: dict[int, Spot] = {}
    for indexes in alike.values():
        corners = sorted((blocks[i] for i in indexes), key=lambda b: (b[1], b[0]))
        names = sorted(indexes, key=lambda i: (_natural(items[i].id), i))
        for index, (x, y, along, _) in zip(names, corners, strict=True):
            item = items[index]
            spots[index] = Spot(
                item.id,
                (x + margin) / NM_PER_MM,
                (y + margin) / NM_PER_MM,
                along != whole(item.length_mm),
            )
    return tuple(spots[i] for i in range(len(items)))


def _natural(text: str) -> list[tuple[int, int, str]]:
    """A key that puts P2 before P10."""
    parts = re.findall(r"\d+|\D+", text)
    return [(0, int(part), "") if part.isdecimal() else (1, 0, part) for part in parts]
