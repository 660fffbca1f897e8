"""Panels of different sizes that do not lie in a place together, whichever controllers they have.

Where one array of large panels and one of small ones do not lie on a roof, no panels at least as
large do, whatever they are wired to. Of a programme's counts that is told by numbers of panels:
large enough panels for all that is asked are there just where, for each set of the faces asked
for, at least as many panels cover one of them as are asked for (Hall 1935, On representatives of
subsets).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain, combinations

Face = tuple[float, float]
"""Longer and shorter side, in millimetres."""

MOST_FACES = 4
"""Of more kinds of panels no mix is told: there is a number for each set of them."""


@dataclass(frozen=True)
class PanelMix:
    """So many panels of each face, or larger, do not lie in a place together: proven by placing."""

    place: str
    faces: tuple[tuple[Face, int], ...]
    """Each face with its number of panels."""


def face_of(sides_mm: Iterable[float]) -> Face:
    """The face that two sides make, the longer first."""
    short, long = sorted(sides_mm)
    return long, short


def mix_of(place: str, faces: Iterable[tuple[float, float]]) -> PanelMix | None:
    """What panels of these faces are as a mix; None of one kind, or of too many."""
    count = Counter(map(face_of, faces))
    if not 1 < len(count) <= MOST_FACES:
        return None
    return PanelMix(place, tuple(sorted(count.items())))


def reached(mix: PanelMix) -> list[tuple[frozenset[Face], int]]:
    """Sets of faces, each with the number of panels that cover one of them where it is reached.

    Panels in which all of these are reached hold the mix, or larger ones in its place.
    """
    number = dict(mix.faces)
    sizes = range(1, len(number) + 1)
    sets = chain.from_iterable(combinations(sorted(number), size) for size in sizes)
    return [(frozenset(some), sum(number[face] for face in some)) for some in sets]


def covers(face: Face, asked: Iterable[Face]) -> bool:
    """Whether something of this face is at least as large as one of those asked for."""
    return any(face[0] >= long and face[1] >= short for long, short in asked)
