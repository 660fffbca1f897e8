"""Placing by rule of hand: rows, columns and corners, fast, without a promise to find a way.

Every method here lays sizes into an opening and returns a block for each, in the order of the
sizes, or as many as it got in. The first that lays all wins, so the neat ones, whole rows on
common rails, stand first.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from solver.fit_opening import Block, Opening, Size, turnings

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

EFFORT = 1200
"""Most single layings that one call spends; each takes some tens of microseconds."""

Rule = tuple[str, "Callable[[Block, int, int], tuple[int, int, int]]"]


def lay_all(opening: Opening, sizes: Sequence[Size]) -> list[Block] | None:
    """A block for each size, or None where no method finds room for all."""
    best = lay_most(opening, sizes)
    return best if len(best) == len(sizes) else None


def lay_most(opening: Opening, sizes: Sequence[Size]) -> list[Block]:
    """Blocks for as many as possible of the sizes, the first ones, taken in their order.

    With like sizes this is a count; with unlike ones only a full answer means something.
    """
    if not sizes:
        return []
    best: list[Block] = []
    spent = 0
    for method in _methods(opening, sizes):
        laid = method()
        if len(laid) > len(best):
            best = laid
        spent += len(sizes)
        if len(best) == len(sizes) or spent > EFFORT:
            break
    return best


def _methods(opening: Opening, sizes: Sequence[Size]) -> Iterator[Callable[[], list[Block]]]:
    views = list(_views(opening))
    orders = _orders(sizes)
    for order in orders[:1]:
        for back, view in views[:2]:
            for turn in (0, 1):
                yield lambda v=view, b=back, o=order, t=turn: _restored(
                    b, o, _rows(v, [sizes[i] for i in o], t)
                )
    for order in orders:
        for back, view in views:
            for turn in (0, 1, None):
                yield lambda v=view, b=back, o=order, t=turn: _restored(
                    b, o, _corners(v, [(sizes[i], t) for i in o], _low_left)
                )
        for rule in (_short_gap, _least_left_over):
            yield lambda o=order, r=rule: _restored(
                _unchanged, o, _corners(opening, [(sizes[i], None) for i in o], r)
            )
    if len(set(sizes)) == 1:
        order = range(len(sizes))
        for first in range(1, len(sizes)):
            for back, view in views:
                turns = [(s, int(i >= first)) for i, s in enumerate(sizes)]
                yield lambda v=view, b=back, t=turns: _restored(
                    b, order, _corners(v, t, _low_left)
                )


def _views(opening: Opening) -> Iterator[tuple[Callable[[Block], Block], Opening]]:
    """The opening seen from each corner, along either side, with the way back for blocks."""
    length, width = opening.length, opening.width
    across = opening.transposed()

    def swapped(block: Block) -> Block:
        x, y, l, w = block
        return y, x, w, l

    def from_far_end(block: Block) -> Block:
        x, y, l, w = block
        return length - x - l, y, l, w

    def from_far_side(block: Block) -> Block:
        x, y, l, w = block
        return y, width - x - l, w, l

    yield _unchanged, opening
    yield swapped, across
    yield from_far_end, opening.mirrored()
    yield from_far_side, across.mirrored()


def _unchanged(block: Block) -> Block:
    return block


def _restored(
    back: Callable[[Block], Block], order: Iterable[int], laid: Sequence[Block]
) -> list[Block]:
    """Blocks in the order of the sizes; those of a part answer in the order they were laid."""
    placed = [back(block) for block in laid]
    order = list(order)
    if len(placed) < len(order):
        return placed
    return [block for _, block in sorted(zip(order, placed, strict=True))]


def _orders(sizes: Sequence[Size]) -> list[list[int]]:
    """Different sequences worth trying: large first, by area, long side, short side, edge."""
    keys: tuple[Callable[[Size], tuple[int, int]], ...] = (
        lambda s: (s[0] * s[1], s[0]),
        lambda s: (s[0], s[1]),
        lambda s: (s[1], s[0]),
        lambda s: (s[0] + s[1], s[0]),
    )
    orders: list[list[int]] = []
    for key in keys:
        order = sorted(range(len(sizes)), key=lambda i: (*(-k for k in key(sizes[i])), i))
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
    opening: Opening,
    wanted: Sequence[tuple[Size, int | None]],
    score: Callable[[Block, int, int], tuple[int, int, int]],
) -> list[Block]:
    """Each size into the near corner of the free rectangle with the least score.

    A preferred turning is kept wherever it still fits somewhere; None takes the better one.
    """
    free = [(0, 0, opening.length, opening.width)]
    for block in opening.blocks:
        free = _without(free, block)
    laid: list[Block] = []
    for size, turn in wanted:
        shapes = list(turnings(size))
        if turn is None or len(shapes) == 1:
            block = _best(free, shapes, score)
        else:
            block = _best(free, [shapes[turn]], score) or _best(free, [shapes[1 - turn]], score)
        if block is None:
            break
        laid.append(block)
        free = _without(free, block)
    return laid


def _best(
    free: Sequence[Block],
    shapes: Sequence[Size],
    score: Callable[[Block, int, int], tuple[int, int, int]],
) -> Block | None:
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
    """Pieces that lie in no other one; pieces of an untouched room can only lie in others."""
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
