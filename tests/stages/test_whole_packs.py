"""Rows from the convex envelope of a part's cost: they must hold for every whole choice.

A row that asks for more than some whole choice pays would cut off a kit and call a dearer one
optimal. Each test tries every whole choice of its columns.
"""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest

from solver.whole_packs import Chosen, Paid, Stud, _Set, broken_rows

PACK, PRICE = 5, 287.0


def least(quantity: float) -> float:
    """Packs of five."""
    return PRICE * math.ceil(quantity / PACK - 1e-9)


def a_part(r: random.Random) -> tuple[Paid, list[tuple[int, ...]], int]:
    """A part that up to three sets and one stud need; its sets of columns; how many columns."""
    sets: dict[str, Chosen] = {}
    groups: list[tuple[int, ...]] = []
    number = 1
    for label in "abc"[: r.randint(1, 3)]:
        columns = tuple(range(number, number + r.randint(1, 3)))
        number += len(columns)
        groups.append(columns)
        needs = {j: float(r.randint(0, 4)) for j in columns}
        sets[label] = Chosen(r.choice((1, 1, 2)), needs)
    there = {"a": {j: float(r.randint(0, 2)) for j in groups[0]}}
    studs = (Stud((number,), there),) if r.random() < 0.5 else ()
    return Paid("p", ((0, PRICE),), sets, studs, least), groups, number + len(studs)


def whole_choices(paid: Paid, groups: list[tuple[int, ...]], size: int) -> list[list[float]]:
    """Every whole choice, with as many packs as it needs at the least."""
    found = []
    states = ([0.0], [1.0]) if paid.studs else ([],)
    ways = []
    for label, columns in zip(paid.sets, groups, strict=True):
        most = paid.sets[label].most
        counts = itertools.product(range(most + 1), repeat=len(columns))
        ways.append([c for c in counts if sum(c) <= most])
    for choice in itertools.product(*ways):
        for state in states:
            x = [0.0, *map(float, itertools.chain(*choice)), *state]
            assert len(x) == size
            need = sum(n * x[j] for s in paid.sets.values() for j, n in s.needs.items())
            for stud in paid.studs:
                on = sum(x[j] for j in stud.chosen)
                need += on * sum(n * x[j] for m in stud.needs.values() for j, n in m.items())
            x[0] = float(math.ceil(need / PACK - 1e-9))
            found.append(x)
    return found


@pytest.mark.parametrize("seed", range(150))
def test_a_row_holds_for_every_whole_choice_and_is_broken_by_the_answer_it_was_made_for(seed):
    """Sets of one and of two, with and without a stud to be chosen."""
    r = random.Random(seed)
    paid, groups, size = a_part(r)
    choices = whole_choices(paid, groups, size)
    # a mixture of whole choices that pays for the packs by the piece, as a relaxation does
    mixed = np.array(r.sample(choices, min(3, len(choices)))).mean(axis=0)
    need = sum(n * mixed[j] for s in paid.sets.values() for j, n in s.needs.items())
    mixed[0] = need / PACK
    for row in broken_rows([paid], mixed):
        value = sum(a * mixed[j] for j, a in row.terms)
        assert value < row.low_cents
        for x in choices:
            assert sum(a * x[j] for j, a in row.terms) >= row.low_cents - 1e-6


def test_rows_are_found_where_fractions_of_packs_are_paid():
    """Two circuits of three each for sure: two packs, of which the relaxation pays 1.2."""
    paid = Paid(
        "p", ((0, PRICE),), {"a": Chosen(1, {1: 3.0}), "b": Chosen(1, {2: 3.0})}, (), least
    )
    (row,) = broken_rows([paid], np.array([1.2, 1.0, 1.0]))
    asked = row.low_cents - sum(a for j, a in row.terms if j != 0)
    assert asked == pytest.approx(2 * PRICE, abs=0.1)


def test_a_column_whose_need_the_answer_does_not_show_is_counted_by_a_smaller_one():
    """Column 2 needs four where column 1, which is chosen, needs three: it asks no less."""
    paid = Paid("p", ((0, PRICE),), {"a": Chosen(1, {1: 3.0, 2: 4.0})}, (), least)
    (row,) = broken_rows([paid], np.array([0.6, 1.0, 0.0]))
    slopes = dict(row.terms)
    assert slopes[2] == pytest.approx(slopes[1])


def test_nothing_is_asked_where_whole_packs_are_paid():
    """A whole answer breaks no row."""
    paid = Paid("p", ((0, PRICE),), {"a": Chosen(1, {1: 3.0})}, (), least)
    assert not broken_rows([paid], np.array([1.0, 1.0]))


def test_as_many_choices_as_can_be_made_are_gone_over() -> None:
    """One of forty columns is forty-one choices; going over every subset never ended."""
    for most, classes in ((1, 40), (2, 12), (3, 4)):
        present = tuple((float(n),) for n in range(1, classes + 1))
        one = _Set(most, {v: (n,) for n, v in enumerate(present)}, present)
        assert one.number == len(one.choices()) == len(set(one.choices()))
        assert all(sum(ways) <= most for ways in one.choices())
        assert one.number == sum(math.comb(classes + n - 1, n) for n in range(most + 1))
