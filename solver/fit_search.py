"""Searching positions to the end, by our own means: quick where it is tight, or all sizes alike.

Both searches count steps, not seconds, so that they stop at the same point on every machine.
Sets of positions and of cells are the bits of whole numbers.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from solver.fit_opening import Block, Opening

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from solver.fit_positions import Positions

Answer = tuple[str, list[Block] | None]
"""`placed` with blocks, `impossible` or `unknown`."""


def search_like(positions: Positions, steps: int) -> Answer:
    """Search of like sizes: positions in groups of which one can be used, most promising first.

    As many positions as are still to be laid must come from different groups; a branch with too
    few groups is closed.
    """
    conflicts = _conflicts(positions)
    left = steps

    def extend(candidates: int, missing: int) -> list[int] | None:
        nonlocal left
        left -= 1
        if left < 0:
            return None
        grouped = _grouped(candidates, conflicts)
        while grouped and grouped[-1][0] >= missing:
            _, chosen = grouped.pop()
            if missing == 1:
                return [chosen]
            candidates &= ~(1 << chosen)
            rest = extend(candidates & ~conflicts[chosen], missing - 1)
            if rest is not None:
                return [chosen, *rest]
            if left < 0:
                return None
        return None

    found = extend((1 << len(positions)) - 1, positions.counts[0])
    if found is not None:
        return "placed", [positions.block(i) for i in found]
    return ("unknown" if left < 0 else "impossible"), None


def _conflicts(positions: Positions) -> list[int]:
    """For each position, as bits of a whole number, those that overlap it, itself included."""
    x, y = positions.x, positions.y
    right, far = x + positions.length, y + positions.width
    overlap = (x[:, None] < right) & (x < right[:, None])
    overlap &= (y[:, None] < far) & (y < far[:, None])
    packed = np.packbits(overlap, axis=1, bitorder="little")
    return [int.from_bytes(row.tobytes(), "little") for row in packed]


def _grouped(candidates: int, conflicts: Sequence[int]) -> list[tuple[int, int]]:
    """Candidates with the number of their group, rising; within a group all overlap."""
    grouped: list[tuple[int, int]] = []
    group = 0
    while candidates:
        group += 1
        together = candidates
        while together:
            lowest = together & -together
            index = lowest.bit_length() - 1
            grouped.append((group, index))
            candidates ^= lowest
            together = (together ^ lowest) & conflicts[index]
    return grouped


class _Cells:
    """The opening cut at every edge that a position or a block can have; a bit a cell.

    Cells run along the width, column after column, so the lowest free bit is the free cell that
    is nearest along the length, then along the width.
    """

    def __init__(self, opening: Opening, positions: Positions) -> None:
        self._x = _edges(opening.length, positions.x, positions.length, opening.blocks)
        across = [(y, x, w, l) for x, y, l, w in opening.blocks]
        self._y = _edges(opening.width, positions.y, positions.width, across)
        self.rows = len(self._y) - 1
        self.count = (len(self._x) - 1) * self.rows
        self._at_x = {edge: i for i, edge in enumerate(self._x)}
        self._at_y = {edge: j for j, edge in enumerate(self._y)}
        self._columns = [0]
        for i in range(len(self._x) - 1):
            self._columns.append(self._columns[-1] | 1 << i * self.rows)

    def first(self, block: Block) -> int:
        """The cell at the near corner."""
        return self._at_x[block[0]] * self.rows + self._at_y[block[1]]

    def mask(self, block: Block) -> int:
        """The cells a block covers."""
        x, y, length, width = block
        columns = self._at_x[x + length] - self._at_x[x]
        column = (1 << self._at_y[y + width] - self._at_y[y]) - 1
        return column * self._columns[columns] << self.first(block)

    def before(self, block: Block) -> int:
        """The cells that a block touches towards the near end; all where that is the edge."""
        x, y, _, width = block
        column = (1 << self._at_y[y + width] - self._at_y[y]) - 1
        return column << self.first(block) - self.rows if x else -1

    def area(self, cell: int) -> int:
        """Of one cell."""
        i, j = divmod(cell, self.rows)
        return (self._x[i + 1] - self._x[i]) * (self._y[j + 1] - self._y[j])


def _edges(
    extent: int,
    starts: NDArray[np.int64],
    lengths: NDArray[np.int64],
    blocks: Sequence[Block],
) -> list[int]:
    edges = {0, extent, *starts.tolist(), *(starts + lengths).tolist()}
    return sorted(edges | {edge for x, _, l, _ in blocks for edge in (x, x + l)})


def search_filling(opening: Opening, positions: Positions, steps: int) -> Answer:
    """Search that fills the opening from its near end and closes a branch that wastes too much.

    The nearest free cell is the corner of a piece, or nothing covers it: then it is waste, of
    which there can only be what the pieces leave over. A piece must touch another, a block or
    the edge towards the near end, or it could be pushed there.
    """
    cells = _Cells(opening, positions)
    options: dict[int, list[tuple[int, int, int, int]]] = {}
    reached = solid = 0
    for index in range(len(positions)):
        block = positions.block(index)
        mask = cells.mask(block)
        reached |= mask
        options.setdefault(cells.first(block), []).append(
            (int(positions.which[index]), mask, cells.before(block), index)
        )
    for block in opening.blocks:
        solid |= cells.mask(block)
    taken = solid | ((1 << cells.count) - 1) & ~reached
    spare = sum(cells.area(c) for c in range(cells.count) if not taken >> c & 1)
    spare -= positions.area()
    waiting = list(positions.counts)
    chosen: list[int] = []
    left = steps

    def extend(taken: int, solid: int, spare: int, missing: int) -> bool:
        nonlocal left
        left -= 1
        if missing == 0 or left < 0:
            return missing == 0
        while spare >= 0:
            lowest = ~taken & (taken + 1)
            cell = lowest.bit_length() - 1
            if cell >= cells.count:
                break
            for which, mask, before, index in options.get(cell, ()):
                if waiting[which] and not mask & taken and (before == -1 or before & solid):
                    waiting[which] -= 1
                    chosen.append(index)
                    if extend(taken | mask, solid | mask, spare, missing - 1):
                        return True
                    if left < 0:
                        return False
                    waiting[which] += 1
                    chosen.pop()
            spare -= cells.area(cell)
            taken |= lowest
        return False

    if extend(taken, solid, spare, sum(waiting)):
        return "placed", [positions.block(i) for i in chosen]
    return ("unknown" if left < 0 else "impossible"), None
