"""Where a thing can lie at all: the few positions that have to be looked at, and what they prove.

If sizes can be laid at all, they can be pushed towards the near corner until each touches
something on both sides; then every coordinate is the far edge of a block, or the edge, plus a
sum of sides of others. Only those coordinates are kept, so a search over them that finds nothing
is a proof.

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
"""Above so many different coordinates on one side the patterns are no help."""


@dataclass(frozen=True)
class Positions:
    """Every position worth looking at: its size's index, nearest corner and extents."""

    sizes: tuple[Size, ...]
    """The different ones."""
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


def positions_of(opening: Opening, sizes: Sequence[Size]) -> Positions | None:
    """All positions on normal patterns that keep off the blocks; None if they are too many."""
    counts = Counter(sizes)
    different = sorted(counts, reverse=True)
    across = opening.transposed()
    rows: list[tuple[NDArray[np.int64], ...]] = []
    for which, size in enumerate(different):
        others = counts - Counter([size])
        xs = _coordinates(opening, others, min(size))
        ys = _coordinates(across, others, min(size))
        if xs is None or ys is None:
            return None
        for length, width in turnings(size):
            rows.append(_clear_of_blocks(opening, which, xs, ys, length, width))
    columns = [np.concatenate(column) for column in zip(*rows, strict=True)]
    return Positions(tuple(different), tuple(counts[s] for s in different), *columns)


def _coordinates(
    opening: Opening, others: Counter[Size], side: int
) -> NDArray[np.int64] | None:
    """Where a near edge can be: an edge or a block's far edge, plus sides of others."""
    room = opening.length - side
    reached = {x for x in (0, *(bx + bl for bx, _, bl, _ in opening.blocks)) if x <= room}
    for size, count in sorted(others.items()):
        newest = reached
        for _ in range(count):
            newest = {x + s for x in newest for s in size if x + s <= room} - reached
            if not newest:
                break
            reached = reached | newest
            if len(reached) > MOST_COORDINATES:
                return None
    return np.array(sorted(reached), dtype=np.int64)


def _clear_of_blocks(
    opening: Opening,
    which: int,
    xs: NDArray[np.int64],
    ys: NDArray[np.int64],
    length: int,
    width: int,
) -> tuple[NDArray[np.int64], ...]:
    xs, ys = xs[xs + length <= opening.length], ys[ys + width <= opening.width]
    clear = np.ones((len(xs), len(ys)), dtype=bool)
    for bx, by, bl, bw in opening.blocks:
        across = (xs < bx + bl) & (xs + length > bx)
        along = (ys < by + bw) & (ys + width > by)
        clear &= ~(across[:, None] & along[None, :])
    i, j = np.nonzero(clear)
    same = np.ones(len(i), dtype=np.int64)
    return same * which, xs[i], ys[j], same * length, same * width


def simple_proof(positions: Positions) -> str | None:
    """Why the sizes cannot be laid, where plain counting shows it; else None.

    A size without a position; more area than all positions together cover; like sizes of which
    fewer points are hit by every position than there are pieces to lay.
    """
    if len(set(positions.which.tolist())) < len(positions.sizes):
        return "one of them has no room anywhere"
    if _reachable_area(positions) < positions.area():
        return "they need more area than can be reached"
    if len(positions.sizes) == 1 and _piercing_points(positions) < positions.counts[0]:
        return "too few fit beside one another"
    return None


def _reachable_area(positions: Positions) -> int:
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


def _piercing_points(positions: Positions) -> int:
    """A number of points such that every position covers one: no more can lie apart."""
    left = np.ones(len(positions), dtype=bool)
    points = 0
    groups = covers(positions)
    matrix = np.zeros((len(groups), len(positions)), dtype=bool)
    for row, members in enumerate(groups):
        matrix[row, members] = True
    while left.any():
        points += 1
        gains = matrix @ left.astype(np.int32) if len(groups) else np.zeros(0)
        if len(groups) == 0 or gains.max() <= 1:
            return points - 1 + int(left.sum())
        left &= ~matrix[int(gains.argmax())]
    return points
