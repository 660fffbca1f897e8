"""Where things can lie at all: the few positions worth a look, and what they already prove.

If sizes can be laid at all, they can be pushed towards the near corner until each touches
something on both sides; then every coordinate is the far edge of a block, or the edge, plus a
sum of sides of others. Only those coordinates are kept, so a search over them that finds
nothing is a proof.

Source
------
The coordinates are the normal patterns of Herz (1972) and of Christofides and Whitlock (1977),
An algorithm for two-dimensional cutting problems, Operations Research 25(1), pages 30-44; the
titles are from memory. The tests prove them again by brute force.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver.fit_opening import Block, Opening, Size, turnings

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

MOST_COORDINATES = 3000
"""Above so many different coordinates along one side they are no help."""
MOST_POSITIONS = 200_000
"""Above so many positions they are not written out."""
MOST_PIERCED = 5000
"""Positions up to which a few points that all of them cover are looked for."""


@dataclass(frozen=True)
class Patterns:
    """The different sizes, how many there are of each, and where their near edges can be."""

    sizes: tuple[Size, ...]
    counts: tuple[int, ...]
    xs: tuple[NDArray[np.int64], ...]
    ys: tuple[NDArray[np.int64], ...]


@dataclass(frozen=True)
class Positions:
    """Every position worth a look: which of the sizes, nearest corner, extents."""

    sizes: tuple[Size, ...]
    counts: tuple[int, ...]
    which: NDArray[np.int64]
    x: NDArray[np.int64]
    y: NDArray[np.int64]
    length: NDArray[np.int64]
    width: NDArray[np.int64]

    def area(self) -> int:
        """Of everything to be laid."""
        pairs = zip(self.sizes, self.counts, strict=True)
        return sum(long * short * count for (long, short), count in pairs)

    def __len__(self) -> int:
        return len(self.which)

    def block(self, index: int) -> Block:
        """One position as a block."""
        return (
            int(self.x[index]),
            int(self.y[index]),
            int(self.length[index]),
            int(self.width[index]),
        )


def patterns_of(opening: Opening, sizes: Sequence[Size]) -> Patterns | None:
    """The coordinates for each different size; None if there are too many to be of use."""
    counts = Counter(sizes)
    different = sorted(counts, reverse=True)
    across = opening.transposed()
    xs, ys = [], []
    for size in different:
        others = counts - Counter([size])
        x, y = _coordinates(opening, others, size), _coordinates(across, others, size)
        if x is None or y is None:
            return None
        xs.append(x)
        ys.append(y)
    amounts = tuple(counts[size] for size in different)
    return Patterns(tuple(different), amounts, tuple(xs), tuple(ys))


def _coordinates(
    opening: Opening, others: Counter[Size], size: Size
) -> NDArray[np.int64] | None:
    """Where a near edge can be: an edge or a block's far edge, plus sides of others."""
    room = opening.length - min(size)
    reached = {x for x in (0, *(bx + bl for bx, _, bl, _ in opening.blocks)) if x <= room}
    for other, count in sorted(others.items()):
        newest = reached
        for _ in range(count):
            newest = {x + s for x in newest for s in other if x + s <= room} - reached
            if not newest:
                break
            reached = reached | newest
            if len(reached) > MOST_COORDINATES:
                return None
    return np.array(sorted(reached), dtype=np.int64)


def positions_of(opening: Opening, patterns: Patterns) -> Positions | None:
    """All positions of the patterns that keep off the blocks; None if they are too many."""
    tries = [
        (which, shape) for which, size in enumerate(patterns.sizes) for shape in turnings(size)
    ]
    xs, ys = patterns.xs, patterns.ys
    if sum(len(xs[which]) * len(ys[which]) for which, _ in tries) > MOST_POSITIONS:
        return None
    rows = [_clear_of_blocks(opening, which, xs[which], ys[which], s) for which, s in tries]
    columns = [np.concatenate(column) for column in zip(*rows, strict=True)]
    return Positions(patterns.sizes, patterns.counts, *columns)


def _clear_of_blocks(
    opening: Opening,
    which: int,
    xs: NDArray[np.int64],
    ys: NDArray[np.int64],
    shape: Size,
) -> tuple[NDArray[np.int64], ...]:
    length, width = shape
    xs, ys = xs[xs + length <= opening.length], ys[ys + width <= opening.width]
    clear = np.ones((len(xs), len(ys)), dtype=bool)
    for bx, by, bl, bw in opening.blocks:
        across = (xs < bx + bl) & (xs + length > bx)
        along = (ys < by + bw) & (ys + width > by)
        clear &= ~(across[:, None] & along[None, :])
    i, j = np.nonzero(clear)
    same = np.ones(len(i), dtype=np.int64)
    return same * which, xs[i], ys[j], same * length, same * width


def provably_not(positions: Positions) -> bool:
    """Whether plain counting shows that not all can be laid.

    A size without a position; more area than all positions together cover; like sizes, and
    fewer points than pieces although every position covers one of the points.
    """
    if len(set(positions.which.tolist())) < len(positions.sizes):
        return True
    if reachable_area(positions) < positions.area():
        return True
    return len(positions.sizes) == 1 and piercing_points(positions) < positions.counts[0]


def reachable_area(positions: Positions) -> int:
    """Area that at least one position covers."""
    xs = np.unique(np.concatenate([positions.x, positions.x + positions.length]))
    ys = np.unique(np.concatenate([positions.y, positions.y + positions.width]))
    marks = np.zeros((len(xs) + 1, len(ys) + 1), dtype=np.int64)
    left, right = np.searchsorted(xs, positions.x), _index(xs, positions.x + positions.length)
    near, far = np.searchsorted(ys, positions.y), _index(ys, positions.y + positions.width)
    for i, j, sign in ((left, near, 1), (right, near, -1), (left, far, -1), (right, far, 1)):
        np.add.at(marks, (i, j), sign)
    covered = marks.cumsum(axis=0).cumsum(axis=1)[: len(xs) - 1, : len(ys) - 1] > 0
    depths = covered.astype(object) @ np.diff(ys).astype(object)
    return int(sum(int(w) * int(d) for w, d in zip(np.diff(xs), depths, strict=True)))


def _index(edges: NDArray[np.int64], values: NDArray[np.int64]) -> NDArray[np.int64]:
    return np.searchsorted(edges, values).astype(np.int64)


def covers(positions: Positions) -> list[NDArray[np.int64]]:
    """For each point worth a look, the positions that cover it: at most one can be used.

    Two positions overlap exactly if both cover the point of the larger x and the larger y of
    their corners, which is a corner's x and a corner's y; points that a neighbour makes
    superfluous are left out.
    """
    if len(positions) == 0:
        return []
    over_x = _spans_over(positions.x, positions.length)
    over_y = _spans_over(positions.y, positions.width)
    found: dict[bytes, NDArray[np.int64]] = {}
    for column in over_x:
        members = np.nonzero(column)[0]
        for row in over_y:
            both = members[row[members]]
            if len(both) > 1:
                found.setdefault(both.tobytes(), both)
    return list(found.values())


def _spans_over(starts: NDArray[np.int64], extents: NDArray[np.int64]) -> NDArray[np.bool_]:
    """For each coordinate that is not superfluous, which spans lie over it."""
    points = np.unique(starts)
    ends = np.unique(starts + extents)
    upper = np.append(points[1:], ends[-1])
    ending_between = np.searchsorted(ends, upper, "right") > np.searchsorted(
        ends, points, "right"
    )
    points = points[ending_between]
    return (starts <= points[:, None]) & (starts + extents > points[:, None])


def piercing_points(positions: Positions) -> int:
    """A number of points such that every position covers one: no more can lie apart."""
    if len(positions) > MOST_PIERCED:
        return len(positions)
    groups = covers(positions)
    over = np.zeros((len(groups), len(positions)), dtype=np.float32)
    for row, members in enumerate(groups):
        over[row, members] = 1
    gains = over.sum(axis=1)
    missed = np.ones(len(positions), dtype=bool)
    points = 0
    while missed.any():
        best = int(gains.argmax()) if len(groups) else -1
        if best < 0 or gains[best] <= 1:
            return points + int(missed.sum())
        points += 1
        hit = np.nonzero(missed & (over[best] > 0))[0]
        missed[hit] = False
        gains -= over[:, hit].sum(axis=1)
    return points
