"""Rows that hold up a relaxed programme where it pays for fractions of packs.

A relaxed programme spreads its needs over many parts and pays a tenth of a pack of each. What a
part costs is a function of which columns need it, and never less than the convex envelope of that
function: the cheapest mean over whole choices that choose each column as often as the relaxed
answer does. Where the answer pays less, the envelope's supporting plane is a row that it breaks.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solver.milp import least_mean

Terms = list[tuple[int, float]]
Vector = tuple[float, ...]
Floats = NDArray[np.float64]

LOOSE_CENTS = 0.05
"""Rows that only sharpen a bound are looser by this.

Answers often meet them with nothing left over, and with costs for coefficients the rounding of a
solver is then enough to cut those answers off: seen with CBC, whose answers were dearer.
"""

BROKEN_CENTS = 5.0
"""A row is made where the relaxed answer pays less than it asks by more than this."""

MOST_CHOICES = 4096
"""So many whole choices are looked at for a part; sets that would make more are left out."""

SMALL = 1e-3
"""A column that the relaxed answer chooses less than this does not count."""


@dataclass(frozen=True)
class Chosen:
    """Columns of which at most `most` are chosen together, with how many of a part each needs."""

    most: int
    needs: Mapping[int, float]


@dataclass(frozen=True)
class Stud:
    """A hub terminal where a lug is needed only if the part chosen there has its stud."""

    chosen: tuple[int, ...]
    """Columns of parts with that stud, of which at most one is chosen."""
    needs: Mapping[str, Mapping[int, float]]
    """By the label of a set, how many lugs each of its columns puts there."""


@dataclass(frozen=True)
class Paid:
    """What is paid for a part or family, and which columns need it."""

    name: str
    packs: tuple[tuple[int, float], ...]
    """Columns of its packs, with what one costs in hundredths."""
    sets: Mapping[str, Chosen]
    studs: tuple[Stud, ...]
    least: Callable[[float], float] = field(compare=False)
    """What so many cost at the least, in hundredths; never falls with the number."""


@dataclass(frozen=True)
class Row:
    """Σ terms >= low."""

    terms: Terms
    low_cents: float


def broken_rows(paid: Sequence[Paid], values: Floats) -> list[Row]:
    """The rows that a relaxed answer breaks, at most one a part."""
    found = (_broken_row(p, values) for p in paid)
    return [row for row in found if row is not None]


@dataclass(frozen=True)
class _Set:
    """A set, its columns sorted into classes by what they need: directly, and at each stud."""

    most: int
    classes: Mapping[Vector, tuple[int, ...]]
    present: tuple[Vector, ...]
    """Classes that the relaxed answer chooses from."""

    @property
    def number(self) -> int:
        """So many ways there are to choose."""
        return math.comb(len(self.present) + self.most, self.most)

    def choices(self) -> list[tuple[int, ...]]:
        """How often each class present is chosen, every way."""
        ways: list[tuple[int, ...]] = [()]
        for _ in self.present:
            ways = [(*way, n) for way in ways for n in range(self.most - sum(way) + 1)]
        return ways


def _broken_row(paid: Paid, values: Floats) -> Row | None:
    """The supporting plane of a part's least cost at the relaxed answer.

    Let v run over whole choices, c(v) be the least cost of what v needs. For numbers a and b
    with b + a·v <= c(v) for every v, the row paid >= b + a·x holds for every whole answer x. The
    largest b + a·x at the relaxed answer x is the cheapest mean of c over mixtures of whole
    choices that make x; its duals are a and b. A column of a class that the answer does not
    choose from needs no less than some class below it, or than none, and takes its a. Columns
    outside the sets looked at only add to the need, and get no a.
    """
    spent = sum(cost * values[j] for j, cost in paid.packs)
    studs = [s for s in paid.studs if values[list(s.chosen)].sum() > SMALL]
    sets = _sets(paid, studs, values)
    if not sets:
        return None
    needs, counts = _choices(sets, len(studs))
    quantities, which = np.unique(np.round(needs, 6), return_inverse=True)
    cost = np.array([paid.least(q) if q > 0 else 0.0 for q in quantities])[which]
    if not np.isfinite(cost).all():
        return None
    shares = [values[list(s.classes[v])].sum() for s in sets for v in s.present]
    shares += [min(values[list(s.chosen)].sum(), 1.0) for s in studs]
    planes = least_mean(cost, counts, np.array(shares, dtype=float))
    if planes is None:
        return None
    slopes, low = planes
    # the duals are floating-point: lower the plane until it is under every whole choice
    low += min(float((cost - counts @ slopes - low).min()), 0.0)
    if low + float(slopes @ np.array(shares)) < spent + BROKEN_CENTS:
        return None
    return _row(paid, sets, studs, slopes, low)


def _sets(paid: Paid, studs: Sequence[Stud], values: Floats) -> list[_Set]:
    """The sets that the answer chooses from, those chosen most first, as far as there is room."""
    found: list[tuple[float, str, _Set]] = []
    for label, chosen in paid.sets.items():
        columns = {j: [n] for j, n in chosen.needs.items()}
        for s in studs:
            for j in s.needs.get(label, {}):
                columns.setdefault(j, [0.0])
        for s in studs:
            there = s.needs.get(label, {})
            for j, vector in columns.items():
                vector.append(there.get(j, 0.0))
        classes: dict[Vector, tuple[int, ...]] = {}
        for j, vector in columns.items():
            classes[tuple(vector)] = (*classes.get(tuple(vector), ()), j)
        shares = {v: float(values[list(js)].sum()) for v, js in classes.items()}
        present = tuple(sorted(v for v, x in shares.items() if x > SMALL and any(v)))
        if present:
            total = sum(shares[v] for v in present)
            found.append((total, label, _Set(chosen.most, classes, present)))
    kept: list[_Set] = []
    size = 2 ** len(studs)
    for _, _, one in sorted(found, key=lambda f: (-f[0], f[1])):
        size *= one.number
        if size > MOST_CHOICES:
            break
        kept.append(one)
    return kept


def _choices(sets: Sequence[_Set], studs: int) -> tuple[Floats, Floats]:
    """Of every whole choice, how many it needs, and how often it chooses each class and stud."""
    needs, counts = np.zeros((1, 1 + studs)), np.zeros((1, 0))
    for one in sets:
        ways = np.array(one.choices(), dtype=float)
        adds = ways @ np.array(one.present)
        needs = (needs[:, None, :] + adds[None, :, :]).reshape(-1, 1 + studs)
        counts = np.hstack(
            [np.repeat(counts, len(ways), axis=0), np.tile(ways, (len(counts), 1))]
        )
    states = np.array(list(itertools.product((0.0, 1.0), repeat=studs)))
    total = needs[:, :1] + needs[:, 1:] @ states.T
    return total.T.reshape(-1), np.hstack(
        [np.tile(counts, (len(states), 1)), np.repeat(states, len(counts), axis=0)]
    )


def _row(
    paid: Paid, sets: Sequence[_Set], studs: Sequence[Stud], slopes: Floats, low: float
) -> Row:
    terms: Terms = list(paid.packs)
    slope = iter(slopes.tolist())
    for one in sets:
        known = {v: next(slope) for v in one.present}
        for vector, columns in one.classes.items():
            a = known[vector] if vector in known else max(_below(known, vector))
            terms += [(j, -a) for j in columns]
    for s in studs:
        a = next(slope)
        terms += [(j, -a) for j in s.chosen]
    return Row(terms, low - LOOSE_CENTS)


def _below(known: Mapping[Vector, float], vector: Vector) -> Iterator[float]:
    """What classes that need no more ask for; nothing for none."""
    yield 0.0
    for v, a in known.items():
        if all(x <= y for x, y in zip(v, vector, strict=True)):
            yield a
