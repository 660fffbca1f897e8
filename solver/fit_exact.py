"""Placing with a proof: a way to lay every size, or that there is none.

The cheap arguments come first, then our own searches, last the constraint solver, which is only
imported when it is needed.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from itertools import pairwise
from math import floor, gcd
from typing import TYPE_CHECKING, Any

import numpy as np

from solver.fit_opening import Block, Opening, Size, apart, turnings
from solver.fit_positions import (
    Patterns,
    Positions,
    covers,
    patterns_of,
    piercing_points,
    positions_of,
    provably_not,
    reachable_area,
)
from solver.fit_search import Answer, search_filling, search_like

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

MOST_VARIABLES = 20_000
"""Above so many positions one variable each is slower than intervals."""
MOST_PIECES = 200
"""Above so many pieces our own searches would go too deep."""
MOST_LIKE = 2500
"""Positions up to which the search of like sizes is tried."""
LIKE_STEPS = 3000
"""Steps of the search of like sizes before other means take over."""
FIRST_STEPS, STEPS_PER_S = 100_000, 500_000
"""Steps of the search by filling before the constraint solver, and for each second after it."""
LEAST_EXACT_S = 0.5
"""With less time than that searches by filling have fewer steps, and many positions are not put to the
constraint solver: it takes longer to tell it of them."""
INTERVALS_PACE = 0.25
"""The constraint solver's own count of work in a second of its search with intervals."""
LARGEST_SIDE = 1_000_000
"""Largest extent, in units, whose areas the constraint solver can add without overflow."""


def lay_or_prove(opening: Opening, sizes: Sequence[Size], limit_s: float) -> Answer:
    """`placed` with a block for each size in their order, `impossible`, or `unknown`."""
    if opening.length < opening.width:  # filling goes best along the longer side
        verdict, blocks = lay_or_prove(opening.transposed(), sizes, limit_s)
        return verdict, blocks and [(y, x, w, l) for x, y, l, w in blocks]
    patterns = patterns_of(opening, sizes)
    positions = None if patterns is None else positions_of(opening, patterns)
    if positions is None or len(sizes) > MOST_PIECES:
        return _by_intervals(opening, sizes, patterns, limit_s)
    if provably_not(positions):
        return "impossible", None
    for method in _methods(opening, sizes, positions, patterns, limit_s):
        verdict, blocks = method()
        if verdict != "unknown":
            return verdict, blocks and _dealt(sizes, blocks)
    return "unknown", None


def _methods(
    opening: Opening,
    sizes: Sequence[Size],
    positions: Positions,
    patterns: Patterns | None,
    limit_s: float,
) -> Iterator[Callable[[], Answer]]:
    """The searches in the order of what they cost."""
    if len(positions.sizes) == 1 and len(positions) <= MOST_LIKE:
        yield lambda: search_like(positions, LIKE_STEPS)
    hurried = limit_s < LEAST_EXACT_S
    steps = int(STEPS_PER_S * limit_s) if hurried else FIRST_STEPS
    for small_first in (False, True)[: len(positions.sizes)]:
        yield partial(search_filling, opening, positions, steps, small_first=small_first)
    if hurried and len(positions) > MOST_LIKE:
        return
    if len(positions) <= MOST_VARIABLES:
        yield lambda: _by_positions(positions, limit_s)
    else:
        yield lambda: _by_intervals(opening, sizes, patterns, limit_s)
    yield lambda: search_filling(opening, positions, int(STEPS_PER_S * limit_s))


def most_alike(
    opening: Opening, size: Size, found: int, limit: int, limit_s: float
) -> tuple[int, int]:
    """How many of one size can be laid, `found` or more, and a number that is never exceeded.

    Counting stops at `limit`; the two are equal where the count is proven.
    """
    patterns = patterns_of(opening, [size] * limit)
    positions = None if patterns is None else positions_of(opening, patterns)
    if positions is None:
        return found, limit
    most = min(limit, reachable_area(positions) // (size[0] * size[1]))
    if most > found:
        most = min(most, piercing_points(positions))
    if len(positions) <= MOST_LIKE and most <= MOST_PIECES:
        while found < most:
            verdict, _ = search_like(replace(positions, counts=(found + 1,)), LIKE_STEPS)
            if verdict == "unknown":
                break
            found, most = (found + 1, most) if verdict == "placed" else (found, found)
    if found < most and len(positions) <= MOST_VARIABLES:
        blocks, bound = _most_by_positions(replace(positions, counts=(most,)), limit_s)
        return max(found, len(blocks)), min(most, bound)
    return found, most


def _solver(cp_model: Any, limit_s: float) -> Any:
    """The constraint solver, set so that the same question gets the same answer again."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = limit_s
    return solver


def _by_positions(positions: Positions, limit_s: float) -> Answer:
    blocks, most = _most_by_positions(positions, limit_s)
    if len(blocks) == sum(positions.counts):
        return "placed", blocks
    return ("impossible" if most < max(positions.counts) else "unknown"), None


def _most_by_positions(positions: Positions, limit_s: float) -> tuple[list[Block], int]:
    """As many as possible of the most frequent size beside all others, and a proven limit.

    One yes or no a position, at most one over any point. Asked for the most, the solver has a
    bound to work with; asked whether a number can be laid it gropes, and takes many times
    longer. The limit is -1 where the others alone cannot be laid.
    """
    wanted = max(positions.counts)
    if limit_s <= 0:
        return [], wanted
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    used = [model.new_bool_var("") for _ in range(len(positions))]
    frequent = positions.counts.index(wanted)
    for which, count in enumerate(positions.counts):
        laid = sum(used[i] for i in np.nonzero(positions.which == which)[0])
        if which == frequent:
            model.add(laid <= count)
            model.maximize(laid)
        else:
            model.add(laid == count)
    for members in covers(positions):
        model.add_at_most_one(used[i] for i in members)
    solver = _solver(cp_model, limit_s)
    most = wanted
    enough = -1 if len(positions.counts) == 1 else wanted - 1

    def note(bound: float) -> None:
        nonlocal most
        most = min(most, floor(bound + 1e-6))
        if most <= enough:
            solver.stop_search()

    # The bound in the answer itself is zero where none was found: only these are proven.
    solver.best_bound_callback = note
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return [], -1
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return [], most
    chosen = [i for i, variable in enumerate(used) if solver.boolean_value(variable)]
    if status == cp_model.OPTIMAL:
        most = sum(positions.which[i] == frequent for i in chosen)
    return [positions.block(i) for i in chosen], int(most)


def _by_intervals(
    opening: Opening, sizes: Sequence[Size], patterns: Patterns | None, limit_s: float
) -> Answer:
    """Two intervals a piece that must not overlap another's."""
    if limit_s <= 0:
        return "unknown", None
    from ortools.sat.python import cp_model

    unit, exact = _unit(opening, sizes)
    model = cp_model.CpModel()
    order = sorted(range(len(sizes)), key=lambda i: (-sizes[i][0] * sizes[i][1], sizes[i], i))
    pieces = [
        _Piece(
            model,
            opening,
            sizes[i],
            unit,
            _domains(cp_model, opening, sizes[i], unit, patterns),
        )
        for i in order
    ]
    x_spans = [span for piece in pieces for span in piece.x_spans]
    y_spans = [span for piece in pieces for span in piece.y_spans]
    for x, y, l, w in apart([_rounded_out(block, unit) for block in opening.blocks]):
        x_spans.append(model.new_fixed_size_interval_var(x, l, ""))
        y_spans.append(model.new_fixed_size_interval_var(y, w, ""))
    model.add_no_overlap_2d(x_spans, y_spans)
    for before, after in pairwise(pieces):
        if before.size == after.size:
            model.add(before.x <= after.x)
    solver = _solver(cp_model, INTERVALS_PACE * limit_s)
    verdict = _verdict(cp_model, solver.solve(model))
    if verdict != "placed":
        return (verdict if exact else "unknown"), None
    blocks: list[Block] = [(0, 0, 0, 0)] * len(sizes)
    for index, piece in zip(order, pieces, strict=True):
        blocks[index] = piece.block(solver, unit)
    return verdict, blocks


def _verdict(cp_model: Any, status: Any) -> str:
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return "placed"
    return "impossible" if status == cp_model.INFEASIBLE else "unknown"


def _rounded_out(block: Block, unit: int) -> Block:
    x, y, l, w = block
    left, near = x // unit, y // unit
    return left, near, -(-(x + l) // unit) - left, -(-(y + w) // unit) - near


class _Piece:
    """One size as variables: its corner, and for each turning a pair of optional intervals."""

    def __init__(
        self,
        model: Any,
        opening: Opening,
        size: Size,
        unit: int,
        domains: tuple[Any, Any],
    ) -> None:
        self.size = size
        shapes = list(turnings(size))
        lies = [model.new_bool_var("") for _ in shapes]
        model.add_exactly_one(lies)
        self.x = model.new_int_var_from_domain(domains[0], "")
        self.y = model.new_int_var_from_domain(domains[1], "")
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


def _domains(
    cp_model: Any, opening: Opening, size: Size, unit: int, patterns: Patterns | None
) -> tuple[Any, Any]:
    """Coordinates of a corner along both sides: its patterns where they are known and exact."""
    domains = []
    for axis, extent in (("xs", opening.length), ("ys", opening.width)):
        domain = cp_model.Domain(0, max(extent // unit - -(-size[1] // unit), 0))
        if patterns is not None:
            values = getattr(patterns, axis)[patterns.sizes.index(size)]
            if len(values) and not (values % unit).any():
                domain = cp_model.Domain.from_values((values // unit).tolist())
        domains.append(domain)
    return domains[0], domains[1]


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
