"""Placing by rule of hand: rows, columns and corners, fast, without a promise to find a way.

Every method here lays sizes into an opening and returns a block for each, in the order of the
sizes, or as many as it got in. The first that lays all wins, so the neat ones, whole rows on
common rails, stand first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, product

from solver.fit_opening import Block, Opening, Size

EFFORT = 1200
"""Most single layings that one call spends; each takes some tens of microseconds."""

Score = Callable[[Block, int, int], tuple[int, int, int]]
"""How good a free rectangle is for a piece of that length and width; the least is taken."""


@dataclass(frozen=True)
class _Attempt:
    """One method: seen from which corner, in which order, turned how, to which score."""

    view: int
    order: tuple[int, ...]
    turns: tuple[int | None, ...]
    """For each in the order, the turning preferred, or None."""
    score: Score | None
    """None lays whole rows."""


def lay_all(opening: Opening, sizes: Sequence[Size]) -> list[Block] | None:
    """A block for each size, or None where no method finds room for all."""
    best = lay_most(opening, sizes)
    return best if len(best) == len(sizes) else None


def lay_most(opening: Opening, sizes: Sequence[Size]) -> list[Block]:
    """Blocks for as many of the sizes as a method finds room for.

    They stand in the order of the sizes only if all are laid. With like sizes a part answer is
    still a count; with unlike ones it means nothing.
    """
    best: list[Block] = []
    views = list(_views(opening))
    for attempt in islice(_attempts(sizes), max(EFFORT // max(len(sizes), 1), 1)):
        back, view = views[attempt.view]
        wanted = [sizes[i] for i in attempt.order]
        if attempt.score is None:
            laid = _rows(view, wanted, attempt.turns[0] or 0)
        else:
            laid = _corners(view, wanted, attempt.turns, attempt.score)
        if len(laid) > len(best):
            best = _restored(back, attempt.order, laid)
        if len(best) == len(sizes):
            break
    return best


def _attempts(sizes: Sequence[Size]) -> Iterator[_Attempt]:
    """Rows, then corners by ever more orders, then like sizes turned from some number on."""
    if not sizes:
        return
    count = len(sizes)
    orders = _orders(sizes)
    for view, turn in product((0, 1), (0, 1)):
        yield _Attempt(view, orders[0], (turn,) * count, None)
    for order in orders:
        for view, preferred in product(range(4), (0, 1, None)):
            yield _Attempt(view, order, (preferred,) * count, _low_left)
        for score in (_short_gap, _least_left_over):
            yield _Attempt(0, order, (None,) * count, score)
    if len(set(sizes)) == 1:
        for first, view in product(range(1, count), range(4)):
            turns = (0,) * first + (1,) * (count - first)
            yield _Attempt(view, orders[0], turns, _low_left)


def _views(opening: Opening) -> Iterator[tuple[Callable[[Block], Block], Opening]]:
    """The opening seen from each corner, along either side, with the way back for blocks."""
    length, width = opening.length, opening.width
    across = opening.transposed()
    yield (lambda b: b), opening
    yield (lambda b: (b[1], b[0], b[3], b[2])), across
    yield (lambda b: (length - b[0] - b[2], b[1], b[2], b[3])), opening.mirrored()
    yield (lambda b: (b[1], width - b[0] - b[2], b[3], b[2])), across.mirrored()


def _restored(
    back: Callable[[Block], Block], order: Sequence[int], laid: Sequence[Block]
) -> list[Block]:
    """Blocks in the order of the sizes; those of a part answer in the order they were laid."""
    placed = [back(block) for block in laid]
    if len(placed) < len(order):
        return placed
    return [block for _, block in sorted(zip(order, placed, strict=True))]


def _orders(sizes: Sequence[Size]) -> list[tuple[int, ...]]:
    """Different sequences worth trying: large first, by area, long side, short side, edge."""
    keys: tuple[Callable[[Size], tuple[int, int]], ...] = (
        lambda s: (s[0] * s[1], s[0]),
        lambda s: (s[0], s[1]),
        lambda s: (s[1], s[0]),
        lambda s: (s[0] + s[1], s[0]),
    )
    orders: list[tuple[int, ...]] = []
    for key in keys:
        falling = [(tuple(-k for k in key(size)), i) for i, size in enumerate(sizes)]
        order = tuple(i for _, i in sorted(falling))
        if order not in orders:
            orders.append(order)
    return orders


def _rows(opening: Opening, sizes: Sequence[Size], turn: int) -> list[Block]:
    """Rows along the length, each as deep as its first, broken by blocks, all turned alike."""
    shapes = [_shape(size, turn) for size in sizes]
    starts = sorted({0, *(y + w for _, y, _, w in opening.blocks)})
    laid: list[Block] = []
    y = 0
    while len(laid) < len(shapes):
        depth = shapes[len(laid)][1]
        if y + depth > opening.width:
            break
        row = _one_row(opening, shapes[len(laid) :], y, depth)
        laid += row
        if row:
            y += depth
        else:
            y = next((s for s in starts if s > y), opening.width)
    return laid


def _one_row(opening: Opening, shapes: Sequence[Size], y: int, depth: int) -> list[Block]:
    barred = sorted(
        (bx, bx + bl) for bx, by, bl, bw in opening.blocks if by < y + depth and by + bw > y
    )
    row: list[Block] = []
    x = 0
    for length, width in shapes:
        if width > depth:
            break
        for left, right in barred:
            if left < x + length and right > x:
                x = right
        if x + length > opening.length:
            break
        row.append((x, y, length, width))
        x += length
    return row


def _shape(size: Size, turn: int) -> Size:
    return (size[1], size[0]) if turn else size


def _low_left(free: Block, length: int, width: int) -> tuple[int, int, int]:
    return free[1] + width, free[0], 0


def _short_gap(free: Block, length: int, width: int) -> tuple[int, int, int]:
    gaps = (free[2] - length, free[3] - width)
    return min(gaps), max(gaps), free[1]


def _least_left_over(free: Block, length: int, width: int) -> tuple[int, int, int]:
    gap = min(free[2] - length, free[3] - width)
    return free[2] * free[3] - length * width, gap, free[1]


def _corners(
    opening: Opening, sizes: Sequence[Size], turns: Sequence[int | None], score: Score
) -> list[Block]:
    """Each size into the near corner of the free rectangle with the least score.

    A preferred turning is kept wherever it still fits somewhere; None takes the better one.
    """
    free = [(0, 0, opening.length, opening.width)]
    for block in opening.blocks:
        free = _without(free, block)
    laid: list[Block] = []
    for size, turn in zip(sizes, turns, strict=True):
        shapes = [_shape(size, 0), _shape(size, 1)]
        found = _best(free, shapes if turn is None else [shapes[turn]], score)
        if found is None and turn is not None:
            found = _best(free, [shapes[1 - turn]], score)
        if found is None:
            break
        laid.append(found)
        free = _without(free, found)
    return laid


def _best(free: Sequence[Block], shapes: Sequence[Size], score: Score) -> Block | None:
    found = [
        (score(room, l, w), room[0], room[1], l, w)
        for room in free
        for l, w in shapes
        if l <= room[2] and w <= room[3]
    ]
    if not found:
        return None
    _, x, y, l, w = min(found)
    return x, y, l, w


def _without(free: Sequence[Block], block: Block) -> list[Block]:
    """The largest free rectangles, once a block is taken out of them."""
    x, y, l, w = block
    right, far = x + l, y + w
    whole, pieces = [], []
    for room in free:
        fx, fy, fl, fw = room
        if fx >= right or fx + fl <= x or fy >= far or fy + fw <= y:
            whole.append(room)
            continue
        if fx < x:
            pieces.append((fx, fy, x - fx, fw))
        if fx + fl > right:
            pieces.append((right, fy, fx + fl - right, fw))
        if fy < y:
            pieces.append((fx, fy, fl, y - fy))
        if fy + fw > far:
            pieces.append((fx, far, fl, fy + fw - far))
    return whole + _largest(pieces, whole)


def _largest(pieces: Sequence[Block], others: Sequence[Block]) -> list[Block]:
    """Pieces that lie in no other one. No untouched room lies in a piece of another room."""
    kept: list[Block] = []
    for piece in sorted(set(pieces), key=lambda p: (-p[2] * p[3], p)):
        if not any(_inside(piece, other) for other in (*others, *kept)):
            kept.append(piece)
    return kept


def _inside(piece: Block, other: Block) -> bool:
    return (
        piece[0] >= other[0]
        and piece[1] >= other[1]
        and piece[0] + piece[2] <= other[0] + other[2]
        and piece[1] + piece[3] <= other[1] + other[3]
    )
