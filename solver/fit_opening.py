"""The opening: what margins and obstacles leave of a place, in whole numbers.

Placing is geometry where one millimetre decides, so it is done in whole nanometres: every
length a person can state, in millimetres or in sixty-fourths of an inch, is a whole number of
them, and what binary fractions add to it is far less than one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from solver.needs import Place

NM_PER_MM = 1_000_000

Size = tuple[int, int]
"""Long side, short side."""
Block = tuple[int, int, int, int]
"""Nearest corner x, y; extent along the length, along the width."""


@dataclass(frozen=True)
class Opening:
    """A rectangle with the blocks in it that stay free."""

    length: int
    width: int
    blocks: tuple[Block, ...]

    def transposed(self) -> Opening:
        """The same, length and width exchanged."""
        blocks = tuple((y, x, w, l) for x, y, l, w in self.blocks)
        return Opening(self.width, self.length, blocks)

    def mirrored(self) -> Opening:
        """The same, seen from the far end of its length."""
        blocks = tuple((self.length - x - l, y, l, w) for x, y, l, w in self.blocks)
        return Opening(self.length, self.width, blocks)

    def free_area(self) -> int:
        """Area outside the blocks, overlaps of blocks counted once."""
        return self.length * self.width - sum(l * w for _, _, l, w in apart(self.blocks))


def whole(length_mm: float) -> int:
    """Nanometres, to the nearest one."""
    return round(length_mm * NM_PER_MM)


def opening_of(place: Place) -> Opening:
    """What margins and obstacles leave of a place, measured from the corner of its margins."""
    margin = whole(place.margin_mm)
    length = whole(place.length_mm) - 2 * margin
    width = whole(place.width_mm) - 2 * margin
    blocks = []
    for obstacle in place.obstacles:
        x, y = whole(obstacle.x_mm) - margin, whole(obstacle.y_mm) - margin
        left, right = max(x, 0), min(x + whole(obstacle.length_mm), length)
        near, far = max(y, 0), min(y + whole(obstacle.width_mm), width)
        if left < right and near < far:
            blocks.append((left, near, right - left, far - near))
    return Opening(length, width, tuple(sorted(set(blocks))))


def apart(blocks: Sequence[Block]) -> list[Block]:
    """The same area as blocks that do not overlap."""
    edges = sorted({edge for x, _, l, _ in blocks for edge in (x, x + l)})
    strips = []
    for left, right in pairwise(edges):
        reached = 0
        for near, far in sorted((y, y + w) for x, y, l, w in blocks if x <= left < x + l):
            start = max(near, reached)
            if start < far:
                strips.append((left, start, right - left, far - start))
                reached = far
    return strips


def turnings(size: Size) -> Iterator[Size]:
    """Extents along length and along width: the long side along the length, then turned."""
    long, short = size
    yield long, short
    if long != short:
        yield short, long
