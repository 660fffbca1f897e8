"""Searching positions to the end: quick where little room is left, or all sizes are alike.

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
CELLS_A_STEP = 20_000
"""Cells above which a step of filling takes noticeably longer, and counts for more."""


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
        across = opening.transposed().blocks
        self._y = _edges(opening.width, positions.y, positions.width, across)
        self.rows = len(self._y) - 1
        self.count = (len(self._x) - 1) * self.rows
        self._at_x = {edge: i for i, edge in enumerate(self._x)}
        self._at_y = {edge: j for j, edge in enumerate(self._y)}
        self._columns = [0]
        for i in range(len(self._x) - 1):
            self._columns.append(self._columns[-1] | 1 << i * self.rows)
        self._shapes: dict[tuple[int, int], int] = {}

    def first(self, block: Block) -> int:
        """The cell at the near corner."""
        return self._at_x[block[0]] * self.rows + self._at_y[block[1]]

    def shape(self, block: Block) -> int:
        """The cells a block covers, counted from its first; one number shared by all alike."""
        x, y, length, width = block
        key = self._at_x[x + length] - self._at_x[x], self._at_y[y + width] - self._at_y[y]
        if key not in self._shapes:
            self._shapes[key] = ((1 << key[1]) - 1) * self._columns[key[0]]
        return self._shapes[key]

    def side(self, block: Block) -> int:
        """The cells of its nearest column, counted from its first."""
        return (1 << self._at_y[block[1] + block[3]] - self._at_y[block[1]]) - 1

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


class _Filling:
    """A search that fills the opening from its near end and counts what it wastes.

    The nearest free cell is the corner of a piece, or nothing covers it: then it is waste, of
    which there can only be what the pieces leave over. A piece must touch another, a block or
    the edge towards the near end, or it could be pushed there.
    """

    def __init__(
        self, opening: Opening, positions: Positions, steps: int, *, small_first: bool
    ) -> None:
        self._cells = cells = _Cells(opening, positions)
        self.left = steps // (1 + cells.count // CELLS_A_STEP)
        self.chosen: list[int] = []
        self._waiting = list(positions.counts)
        self._options: dict[int, list[tuple[int, int, int, int]]] = {}
        reached = solid = 0
        order = range(len(positions))
        for index in reversed(order) if small_first else order:
            block = positions.block(index)
            first, shape = cells.first(block), cells.shape(block)
            reached |= shape << first
            entry = int(positions.which[index]), shape, cells.side(block), index
            self._options.setdefault(first, []).append(entry)
        for block in opening.blocks:
            solid |= cells.shape(block) << cells.first(block)
        taken = solid | ((1 << cells.count) - 1) & ~reached
        spare = sum(cells.area(c) for c in range(cells.count) if not taken >> c & 1)
        self._start = taken, solid, spare - positions.area(), sum(positions.counts)

    def run(self) -> bool:
        """Whether all could be laid, as `chosen` says."""
        return self._extend(*self._start)

    def _extend(self, taken: int, solid: int, spare: int, missing: int) -> bool:
        if missing == 0:
            return True
        while spare >= 0:
            self.left -= 1
            lowest = ~taken & (taken + 1)
            cell = lowest.bit_length() - 1
            if cell >= self._cells.count or self.left < 0:
                break
            for option in self._options.get(cell, ()):
                if self._lay(option, cell, taken, solid, spare, missing):
                    return True
                if self.left < 0:
                    return False
            spare -= self._cells.area(cell)
            taken |= lowest
        return False

    def _lay(
        self,
        option: tuple[int, int, int, int],
        cell: int,
        taken: int,
        solid: int,
        spare: int,
        missing: int,
    ) -> bool:
        """Whether the rest can be laid once this position is used."""
        which, shape, side, index = option
        if not self._waiting[which]:
            return False
        mask = shape << cell
        rows = self._cells.rows
        if mask & taken or (cell >= rows and not side << cell - rows & solid):
            return False
        self._waiting[which] -= 1
        self.chosen.append(index)
        if self._extend(taken | mask, solid | mask, spare, missing - 1):
            return True
        self._waiting[which] += 1
        self.chosen.pop()
        return False


def search_filling(
    opening: Opening, positions: Positions, steps: int, *, small_first: bool = False
) -> Answer:
    """Search that fills the opening from its near end; good where little is left over.

    Which sizes are tried first decides how long a way of laying them is looked for, not whether
    it is found.
    """
    filling = _Filling(opening, positions, steps, small_first=small_first)
    if filling.run():
        return "placed", [positions.block(i) for i in filling.chosen]
    return ("unknown" if filling.left < 0 else "impossible"), None
