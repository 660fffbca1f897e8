"""Placing with a proof: a way to lay every size, or that there is none.

The cheap arguments come first, then our own searches, last the constraint solver, which is only
imported when it is needed.
"""

from __future__ import annotations

from math import gcd
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.fit_opening import Block, Opening, Size, apart, turnings
from solver.fit_positions import Positions, covers, positions_of, simple_proof
from solver.fit_search import Answer, search_filling, search_like

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

MOST_POSITIONS = 12000
"""Above so many positions one variable each is slower than intervals."""
MOST_LIKE = 2500
"""Positions up to which the search of like sizes is tried."""
LIKE_STEPS = 3000
"""Steps of the search of like sizes before other means take over."""
MOST_FILLING = 200_000
"""Positions up to which the search by filling is tried."""
FILLING_STEPS = 50_000
"""Steps of the search by filling, for each second allowed, before the constraint solver."""
LARGEST_SIDE = 1_000_000
"""Largest extent, in units, whose areas the constraint solver can add without overflow."""


def lay_or_prove(opening: Opening, sizes: Sequence[Size], limit_s: float) -> Answer:
    """`placed` with a block for each size in their order, `impossible`, or `unknown`."""
    positions = positions_of(opening, sizes)
    if positions is None:
        return _by_intervals(opening, sizes, None, limit_s)
    if simple_proof(positions):
        return "impossible", None
    verdict, blocks = _searched(opening, positions, limit_s)
    if verdict == "unknown" and limit_s > 0:
        if len(positions) <= MOST_POSITIONS:
            verdict, blocks = _by_positions(positions, limit_s)
        else:
            return _by_intervals(opening, sizes, positions, limit_s)
    return verdict, None if blocks is None else _dealt(sizes, blocks)


def _searched(opening: Opening, positions: Positions, limit_s: float) -> Answer:
    verdict, blocks = "unknown", None
    if len(positions.sizes) == 1 and len(positions) <= MOST_LIKE:
        verdict, blocks = search_like(positions, LIKE_STEPS)
    if verdict == "unknown" and len(positions) <= MOST_FILLING:
        verdict, blocks = search_filling(opening, positions, int(FILLING_STEPS * limit_s))
    return verdict, blocks


def _solver(cp_model: Any, limit_s: float) -> Any:
    """The constraint solver, set so that the same question gets the same answer again."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = limit_s
    return solver


def _verdict(cp_model: Any, status: Any) -> str:
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return "placed"
    return "impossible" if status == cp_model.INFEASIBLE else "unknown"


def _by_positions(positions: Positions, limit_s: float) -> Answer:
    """One yes or no a position, at most one over any point."""
    from ortools.sat.python import cp_model  # noqa: PLC0415  half a second, seldom needed

    model = cp_model.CpModel()
    used = [model.new_bool_var("") for _ in range(len(positions))]
    for which, count in enumerate(positions.counts):
        of_size = np.nonzero(positions.which == which)[0]
        model.add(sum(used[i] for i in of_size) == count)
    for members in covers(positions):
        model.add_at_most_one(used[i] for i in members)
    solver = _solver(cp_model, limit_s)
    verdict = _verdict(cp_model, solver.solve(model))
    if verdict != "placed":
        return verdict, None
    chosen = [i for i, variable in enumerate(used) if solver.boolean_value(variable)]
    return verdict, [positions.block(i) for i in chosen]


def _by_intervals(
    opening: Opening, sizes: Sequence[Size], positions: Positions | None, limit_s: float
) -> Answer:
    """Two intervals a piece that must not overlap another's."""
    from ortools.sat.python import cp_model  # noqa: PLC0415  half a second, seldom needed

    unit, exact = _unit(opening, sizes)
    model = cp_model.CpModel()
    order = sorted(range(len(sizes)), key=lambda i: (-sizes[i][0] * sizes[i][1], sizes[i], i))
    pieces = [_Piece(model, cp_model, opening, sizes[i], unit, positions) for i in order]
    x_spans = [span for piece in pieces for span in piece.x_spans]
    y_spans = [span for piece in pieces for span in piece.y_spans]
    for x, y, l, w in apart([_rounded_out(block, unit) for block in opening.blocks]):
        x_spans.append(model.new_fixed_size_interval_var(x, l, ""))
        y_spans.append(model.new_fixed_size_interval_var(y, w, ""))
    model.add_no_overlap_2d(x_spans, y_spans)
    for before, after in zip(pieces, pieces[1:], strict=False):
        if before.size == after.size:
            model.add(before.x <= after.x)
    solver = _solver(cp_model, limit_s)
    verdict = _verdict(cp_model, solver.solve(model))
    if verdict != "placed":
        return (verdict if exact else "unknown"), None
    blocks: list[Block] = [(0, 0, 0, 0)] * len(sizes)
    for index, piece in zip(order, pieces, strict=True):
        blocks[index] = piece.block(solver, unit)
    return verdict, blocks


def _rounded_out(block: Block, unit: int) -> Block:
    x, y, l, w = block
    left, near = x // unit, y // unit
    return left, near, -(-(x + l) // unit) - left, -(-(y + w) // unit) - near


class _Piece:
    """One size as variables: its corner, and for each turning a pair of optional intervals."""

    def __init__(
        self,
        model: Any,
        cp_model: Any,
        opening: Opening,
        size: Size,
        unit: int,
        positions: Positions | None,
    ) -> None:
        self.size = size
        shapes = list(turnings(size))
        lies = [model.new_bool_var("") for _ in shapes]
        model.add_exactly_one(lies)
        self.x = model.new_int_var_from_domain(
            _domain(cp_model, opening.length, size, unit, positions, "x"), ""
        )
        self.y = model.new_int_var_from_domain(
            _domain(cp_model, opening.width, size, unit, positions, "y"), ""
        )
        self.x_spans, self.y_spans = [], []
        for (length, width), lie in zip(shapes, lies, strict=True):
            l, w = -(-length // unit), -(-width // unit)
            self.x_spans.append(model.new_optional_fixed_size_interval_var(self.x, l, lie, ""))
            self.y_spans.append(model.new_optional_fixed_size_interval_var(self.y, w, lie, ""))
            model.add(self.x + l <= opening.length // unit).only_enforce_if(lie)
            model.add(self.y + w <= opening.width // unit).only_enforce_if(lie)
        self._shapes, self._lies = shapes, lies

    def block(self, solver: Any, unit: int) -> Block:
        """Where the solver laid it."""
        length, width = next(
            shape
            for shape, lie in zip(self._shapes, self._lies, strict=True)
            if solver.boolean_value(lie)
        )
        return solver.value(self.x) * unit, solver.value(self.y) * unit, length, width


def _domain(
    cp_model: Any, extent: int, size: Size, unit: int, positions: Positions | None, axis: str
) -> Any:
    """Coordinates of one size along one side: its patterns where they are known and exact."""
    if positions is not None:
        mine = positions.which == positions.sizes.index(size)
        values = np.unique(getattr(positions, axis)[mine])
        if not (values % unit).any():
            return cp_model.Domain.from_values((values // unit).tolist())
    return cp_model.Domain(0, max(extent // unit - -(-size[1] // unit), 0))


def _unit(opening: Opening, sizes: Sequence[Size]) -> tuple[int, bool]:
    """Nanometres in a unit of the intervals, and whether every length is a whole number of it.

    Where it is not, pieces and blocks are rounded up and the opening down: what is found can be
    built, and what is not found proves nothing.
    """
    lengths = [opening.length, opening.width]
    lengths += [side for block in opening.blocks for side in block]
    lengths += [side for size in sizes for side in size]
    unit = gcd(*lengths)
    largest = max(opening.length, opening.width)
    if largest // unit <= LARGEST_SIDE:
        return unit, True
    return -(-largest // LARGEST_SIDE), False


def _dealt(sizes: Iterable[Size], blocks: Iterable[Block]) -> list[Block]:
    """Blocks in the order of the sizes they are for."""
    waiting: dict[Size, list[Block]] = {}
    for block in sorted(blocks, reverse=True):
        size = (max(block[2], block[3]), min(block[2], block[3]))
        waiting.setdefault(size, []).append(block)
    return [waiting[size].pop() for size in sizes]
