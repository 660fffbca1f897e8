"""How a case of a proof is split, and what its relaxed programme says of each part.

Whatever a case is split by, its parts together hold every kit that it holds. Which split is best
is told by the relaxed programme: solved again with each part's choice made, from where the last
answer was, which takes a hundredth of building it anew.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray  # noqa: TC002  beside numpy, as everywhere

from solver import model as m
from solver import selection as sel
from solver.candidates import Candidates
from solver.market import Freight
from solver.milp import LpAnswer, Relaxed

Key = tuple[object, ...]
Numbers = tuple[int, ...]
Limits = dict[int, tuple[float, float]]

COUNTED = ("array", "inverter", "bank", "charger", "supplier", "free")
"""Kinds of columns that splits speak of."""


@dataclass(frozen=True)
class Split:
    """What a case is split by, and into what."""

    kind: str
    """`inverter`, `bank`, `charger`, `arrays`, `panel`, `controller`, `ways`, or a supplier."""
    values: tuple[object, ...]
    """Of inverter, bank and charger the numbers of candidates, of panel and controller their numbers
    among those of arrays; of arrays how many there are, None for more; of ways a set of other ways
    in; of a supplier what is decided of it."""


Bounded = Sequence[tuple[Split, Mapping[object, float]]]
"""Splits with what no kit of each of their parts undercuts."""

ARRAY_KINDS = ("panel", "controller")
"""By what the array of a case with one array is split."""

FIRST = {"inverter": 4, "bank": 3, "arrays": 2, "ways": 1}
"""What a case is split by before all else, the highest first: with that decided a programme built
anew says much that the relaxed one does not know yet, such as what the arrays cost at the least."""

AT_ONCE = ("inverter", "bank", "arrays")
"""By these a case is split all at once: a programme of parts that are split by another of them next
would be built for little."""


# --- what there is to split by ----------------------------------------------------------------


def splits_of(
    found: Candidates,
    keep: m.Keep,
    freight: Mapping[str, Freight],
    shares: sel.Counts,
    *,
    ways_known: bool,
) -> list[Split]:
    """Every way to split a case; of candidates the one that is chosen most from all others."""
    splits = []
    for kind in ("inverter", "bank"):
        splits += _by_one(kind, sel.lists_of(keep)[kind], shares)
    if keep.most_arrays is None and 1 <= keep.fewest_arrays <= m.MOST_TOGETHER:
        splits.append(Split("arrays", (keep.fewest_arrays, None)))
    if keep.one_array:
        splits += [
            s for kind in ARRAY_KINDS for s in _by_kind_of_array(found, kind, keep, shares)
        ]
    if not ways_known:
        ways = _ways(found, keep)
        splits += [Split("ways", tuple(ways))] if ways else []
    for name, f in sorted(freight.items(), key=lambda x: (-x[1].shipping, x[0])):
        if name not in keep.shops and f.shipping > 0:
            states = ("pays", "closed") if f.free_over is None else ("pays", "closed", "free")
            splits.append(Split(name, states))
    if ways_known:
        for way in sorted({m.way_of(found, k) for k in keep.chargers}):
            some = [k for k in keep.chargers if m.way_of(found, k) == way]
            splits += _by_one("charger", some, shares)
    if keep.one_array:
        splits += [
            s for kind in ARRAY_KINDS for s in _by_kind_of_array(found, kind, keep, shares)
        ]
    return splits


def _of_arrays(found: Candidates, kind: str, keep: m.Keep) -> NDArray[np.int64]:
    """Of each array that is left the number of its panel, or of its controller."""
    of = found.arrays.panel if kind == "panel" else found.arrays.controller
    return np.asarray(of[keep.arrays])


def _by_kind_of_array(
    found: Candidates, kind: str, keep: m.Keep, shares: sel.Counts
) -> list[Split]:
    """By the panel, or controller, of the one array."""
    chosen: defaultdict[Key, float] = defaultdict(float)
    of = _of_arrays(found, kind, keep).tolist()
    for i, n in zip(keep.arrays.tolist(), of, strict=True):
        chosen[kind, n] += shares.get(("array", i), 0.0)
    return _by_one(kind, sorted(set(of)), chosen)


def _by_one(kind: str, numbers: Sequence[int], shares: sel.Counts) -> list[Split]:
    if len(numbers) < 2:
        return []
    best = max(numbers, key=lambda n: shares.get((kind, n), 0.0))
    return [Split(kind, ((best,), tuple(n for n in numbers if n != best)))]


def _ways(found: Candidates, keep: m.Keep) -> list[frozenset[str]]:
    """Sets of other ways in that a kit could have."""
    there = {m.way_of(found, k) for k in keep.chargers}
    if any(found.inverters[i].serves for i in keep.inverters):
        there.add("mains")
    sets = [frozenset[str]()]
    for way in sorted(there):
        sets += [s | {way} for s in sets]
    return sets if there else []


def part_of(found: Candidates, keep: m.Keep, kind: str, value: object) -> m.Keep:
    """What is left of a case in one part of a split."""
    part = sel.copied(keep)
    if kind in ("inverter", "bank"):
        assert isinstance(value, tuple)
        left = sel.lists_of(part)[kind]
        left[:] = [n for n in left if n in value]
    elif kind in ARRAY_KINDS:
        assert isinstance(value, tuple)
        part.arrays = part.arrays[np.isin(_of_arrays(found, kind, part), value)]
    elif kind == "charger":
        assert isinstance(value, tuple)
        part.chargers = _chargers(found, keep.chargers, value)
    elif kind == "ways":
        assert isinstance(value, frozenset)
        part.ways = value
        part.chargers = [k for k in part.chargers if m.way_of(found, k) in value]
        if "mains" not in value:
            part.inverters = [i for i in part.inverters if not found.inverters[i].serves]
    elif kind == "arrays":
        if value is None:
            part.fewest_arrays += 1
        else:
            part.most_arrays = part.fewest_arrays
    else:
        part.shops[kind] = str(value)
    return part


def _chargers(found: Candidates, every: Sequence[int], chosen: Numbers) -> list[int]:
    """Chargers left where one of some is chosen: of another way in, which has its own, all."""
    ways = {m.way_of(found, k) for k in chosen}
    return [k for k in every if k in chosen or m.way_of(found, k) not in ways]


# --- what the relaxed programme says ----------------------------------------------------------


@dataclass
class Probed:
    """What a case's relaxed programme says of its splits."""

    stays: NDArray[np.bool_]
    """By column, whether a kit under the goal could hold it."""
    best: Split | None = None
    """The split whose parts have the highest bounds, without parts that hold nothing; None where
    nothing is left to split by."""
    bounds: dict[object, float] = field(default_factory=dict)
    """Of each part of the best split."""
    then: Bounded = ()
    """By what each of those parts is to be split without being looked at, with bounds."""
    decided: list[tuple[str, object]] = field(default_factory=list)
    """Splits of which one part alone can hold a kit under the goal."""
    none: bool = False
    """No part of some split holds a kit under the goal, so the case holds none."""


def probe(
    relaxed: Relaxed,
    keys: Sequence[Key],
    found: Candidates,
    keep: m.Keep,
    splits: Sequence[Split],
    answer: LpAnswer,
    goal_cents: float,
) -> Probed:
    """Solve the relaxed programme again with each part's choice made.

    The parts of a split hold every kit of the case. So a kit under the goal is in one of those
    whose value is under it, and holds no column whose reduced cost there is above what is left to
    the goal: a column that stays in no part of some split is in no kit under the goal, and a
    split of which one part is left is decided.
    """
    divisible = ~np.array(relaxed.p.whole[: len(keys)])
    stays = answer.reduced <= goal_cents - answer.objective + sel.KEEP_CENTS
    # a reduced cost is that of a unit: it says nothing of a column that may be less than one
    stays |= divisible
    relaxed.shut(np.flatnonzero(~stays))
    choices = _Choices(relaxed, keys, found)
    told = Probed(stays)
    highest = (-1, -math.inf, -math.inf)
    at_once: list[tuple[Split, Mapping[object, float]]] = []
    for split in splits:
        bounds: dict[object, float] = {}
        here = np.zeros(len(stays), dtype=bool)
        for value in split.values:
            part = part_of(found, keep, split.kind, value)
            columns, rows = choices.limits(part)
            there = relaxed.within(columns, rows, goal_cents + 1.0)
            if there.infeasible or there.objective >= goal_cents:
                continue
            bounds[value] = there.objective
            left = there.reduced <= goal_cents - there.objective + sel.KEEP_CENTS
            left[[j for j, (_, high) in columns.items() if high == 0.0]] = False
            # of a column that has to be chosen the reduced cost says nothing
            left[[j for j, (low, _) in columns.items() if low > 0.0]] = True
            here |= left | divisible
        stays &= here
        if not bounds:
            return replace(told, none=True)
        if len(bounds) == 1:
            told.decided += [(split.kind, value) for value in bounds]
            continue
        left_of = Split(split.kind, tuple(bounds))
        if split.kind in AT_ONCE:
            at_once.append((left_of, bounds))
        # a part that is closed counts as risen to the goal
        every = sorted(bounds.get(v, goal_cents) for v in split.values)
        score = (FIRST.get(split.kind, 0), every[0], sum(every) / len(every))
        if score > highest:
            highest, told.best, told.bounds = score, left_of, bounds
    # where there are any the best is one of them: they come before all others
    told.then = [(s, bounds) for s, bounds in at_once if s != told.best]
    return told


class _Choices:
    """Limits of columns and of sums that make a case's programme one of a part of it."""

    def __init__(self, relaxed: Relaxed, keys: Sequence[Key], found: Candidates) -> None:
        self.at = {key: j for j, key in enumerate(keys) if key[0] in COUNTED}
        arrays = [j for key, j in self.at.items() if key[0] == "array"]
        ways: dict[str, list[int]] = {}
        for (kind, n, *_), j in self.at.items():
            if kind == "charger":
                ways.setdefault(m.way_of(found, int(str(n))), []).append(j)
            elif kind == "inverter" and found.inverters[int(str(n))].serves:
                ways.setdefault("mains", []).append(j)
        first = relaxed.sums([arrays, *ways.values()])
        self.arrays = first
        self.ways = {way: first + 1 + k for k, way in enumerate(ways)}

    def limits(self, part: m.Keep) -> tuple[Limits, Limits]:
        """Least and most of columns, and of rows."""
        lists = sel.lists_of(part)
        columns: Limits = {}
        arrays = set(part.arrays.tolist())
        for (kind, n, *_), j in self.at.items():
            left = arrays if kind == "array" else lists.get(str(kind))
            if left is not None and n not in left:
                columns[j] = (0.0, 0.0)
        for name, state in part.shops.items():
            for kind, there in (("supplier", state != "closed"), ("free", state == "free")):
                column = self.at.get((kind, name))
                if column is not None:
                    columns[column] = (float(there), float(there))
        rows = {self.arrays: (float(part.fewest_arrays), part.arrays_limit)}
        rows |= {row: (float(way in part.ways), math.inf) for way, row in self.ways.items()}
        return columns, rows
