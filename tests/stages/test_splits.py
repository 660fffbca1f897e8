"""How a case is split: no kit under the goal may be lost, in no part, by no probing.

Small programmes with the choices of a kit (inverter, bank, chargers, arrays, suppliers), of which
every whole answer is tried.
"""

from __future__ import annotations

import itertools
import random
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from types import SimpleNamespace

import numpy as np
import pytest

from solver.market import Freight
from solver.milp import Programme, Relaxed
from solver.model import Keep
from solver.splits import part_of, probe, splits_of

FOUND = SimpleNamespace(
    inverters=[SimpleNamespace(serves=serves) for serves in (False, True, False)],
    chargers=[
        SimpleNamespace(charger=SimpleNamespace(kind=kind))
        for kind in ("shore", "engine", "shore", "engine")
    ],
    arrays=SimpleNamespace(panel=np.array([3, 2]), controller=np.array([7, 5])),
)
FREIGHT = {
    "quay": Freight("quay", "Quay", Decimal(9), None),
    "mill": Freight("mill", "Mill", Decimal(7), Decimal(60)),
    "moor": Freight("moor", "Moor", Decimal(0), None),
}


def case(known: bool, arrays: int | None = None) -> Keep:
    """A case of which nothing is decided but, perhaps, the other ways in and how many arrays."""
    return Keep(
        arrays=np.array([0, 1]),
        banks=[0, 1],
        inverters=[0, 1, 2],
        chargers=[0, 1, 2, 3],
        busbars=[0],
        switches=[0],
        monitors=[0],
        modes=[0],
        fewest_arrays=1,
        most_arrays=arrays,
        ways=frozenset({"mains", "engine"}) if known else frozenset(),
    )


def programme(r: random.Random) -> tuple[Programme, list[tuple[object, ...]]]:
    """What is chosen carries enough; some of it is sold by one supplier alone."""
    p, keys = Programme(), []

    def column(key, cost, upper=1.0):
        keys.append(key)
        return p.column(float(cost), upper=upper)

    inverters = [column(("inverter", n), r.randint(10, 40)) for n in range(3)]
    banks = [column(("bank", n), r.randint(10, 60)) for n in range(2)]
    chargers = [column(("charger", n), r.randint(3, 25)) for n in range(4)]
    arrays = [column(("array", n), r.randint(5, 30), 2.0) for n in range(2)]
    shops = {s: column(("supplier", s), 9 if s == "quay" else 7) for s in ("quay", "mill")}
    free = column(("free", "mill"), -7)
    p.equal([(j, 1.0) for j in inverters], 1.0)
    p.equal([(j, 1.0) for j in banks], 1.0)
    for way in (0, 1):
        p.at_most([(j, 1.0) for j in chargers[way::2]], 1.0)
    p.at_least([(j, 1.0) for j in arrays], 1.0)
    every = [*inverters, *banks, *chargers, *arrays]
    sold = {j: r.choice(["quay", "mill", "moor"]) for j in every}
    for j in every:
        if sold[j] in shops:
            p.at_most([(j, 1.0), (shops[sold[j]], -p.upper[j])], 0.0)
    p.at_most([(free, 1.0), (shops["mill"], -1.0)], 0.0)
    p.at_least([*((j, p.cost[j]) for j in every if sold[j] == "mill"), (free, -60.0)], 0.0)
    p.at_least([(j, float(r.randint(0, 9))) for j in every], float(r.randint(12, 26)))
    return p, keys


def whole_answers(p: Programme) -> np.ndarray:
    """Every answer, a row each."""
    one = list(itertools.product((0, 1), repeat=3))
    grid = itertools.product(
        np.eye(3),
        np.eye(2),
        ((0, 0), (1, 0), (0, 1)),
        ((0, 0), (1, 0), (0, 1)),
        itertools.product((0, 1, 2), repeat=2),
        one,
    )
    x = np.array(
        [[*i, *b, a[0], e[0], a[1], e[1], *n, *s] for i, b, a, e, n, s in grid], dtype=float
    )
    kept = np.ones(len(x), dtype=bool)
    for low, high, terms, _ in p.rows:
        total = sum(a * x[:, j] for j, a in terms)
        kept &= (total >= low - 1e-9) & (total <= high + 1e-9)
    return x[kept]


def lies_in(part: Keep, x: np.ndarray, keys) -> bool:
    """Whether an answer is one of a part."""
    chosen = {key for key, n in zip(keys, x, strict=True) if n > 0}
    lists = {"inverter": part.inverters, "bank": part.banks, "charger": part.chargers}
    if any(kind in lists and n not in lists[kind] for kind, n in chosen):
        return False
    if not {n for kind, n in chosen if kind == "array"} <= set(part.arrays.tolist()):
        return False
    count = sum(n for key, n in zip(keys, x, strict=True) if key[0] == "array")
    most = np.inf if part.most_arrays is None else part.most_arrays
    states = {s: ("closed", "pays", "free")[n] for s, n in of_shops(chosen).items()}
    ways = ways_of(chosen)
    return bool(
        part.fewest_arrays <= count <= most
        and part.ways <= ways
        and all(states[s] == state for s, state in part.shops.items())
    )


def of_shops(chosen) -> dict[str, int]:
    """Whether each supplier is closed, paid or free."""
    return {s: (("supplier", s) in chosen) + (("free", s) in chosen) for s in ("quay", "mill")}


def ways_of(chosen) -> set[str]:
    """The other ways in that an answer has."""
    ways = {("mains", "engine")[n % 2] for kind, n in chosen if kind == "charger"}
    return ways | ({"mains"} if ("inverter", 1) in chosen else set())


def tried(seed: int):
    """A case with its programme and its answers with their costs."""
    r = random.Random(seed)
    p, keys = programme(r)
    keep = case(known=bool(seed % 2), arrays=1 if seed % 4 == 2 else None)
    every = whole_answers(p)
    if seed % 4 == 2:
        p.at_most([(j, 1.0) for j, key in enumerate(keys) if key[0] == "array"], 1.0, "one")
    if seed % 4:
        every = np.array([x for x in every if lies_in(keep, x, keys)]).reshape(-1, len(keys))
    if seed % 2:
        for way, columns in (("mains", (1, 5, 7)), ("engine", (6, 8))):
            p.at_least([(j, 1.0) for j in columns], 1.0, way)
    splits = splits_of(FOUND, keep, FREIGHT, {}, ways_known=bool(seed % 2))
    return p, keys, keep, splits, every, every @ np.array(p.cost)


@pytest.mark.parametrize("seed", range(6))
def test_the_parts_of_a_split_hold_whatever_the_case_holds(seed):
    """Of chargers too: where one is chosen, that of the other way in is not given up."""
    _, keys, keep, splits, every, _ = tried(seed)
    assert len(every) > 50
    for split in splits:
        parts = [part_of(FOUND, keep, split.kind, value) for value in split.values]
        held = [any(lies_in(part, x, keys) for part in parts) for x in every]
        assert all(held), split


def test_every_kind_of_split_comes_up():
    """Also the states of a supplier, with free freight only where there is a threshold."""
    kinds = {s.kind: s.values for seed in range(4) for s in tried(seed)[3]}
    arrays = {"arrays", "panel", "controller"}
    assert set(kinds) == {"inverter", "bank", "charger", *arrays, "ways", "quay", "mill"}
    assert kinds["quay"] == ("pays", "closed")
    assert kinds["mill"] == ("pays", "closed", "free")


def test_probing_loses_nothing_under_the_goal():
    """What costs less is in a part that is left, above its bound, of columns that stay."""
    seen: Counter[str] = Counter()
    for seed in range(60):
        p, keys, keep, splits, every, costs = tried(seed)
        goal = float(np.quantile(costs, (0.0, 0.002, 0.02)[seed % 3])) + 0.5
        relaxed = Relaxed(p)
        answer = relaxed.solve()
        told = probe(relaxed, keys, FOUND, keep, splits, answer, goal)
        cheap = every[costs < goal]
        assert len(cheap)
        assert not told.none
        for x, cost in zip(cheap, costs[costs < goal], strict=True):
            assert told.stays[x > 0].all()
            for kind, value in told.decided:
                assert lies_in(part_of(FOUND, keep, kind, value), x, keys)
            if told.best is not None:
                bounds = [
                    told.bounds[v]
                    for v in told.best.values
                    if lies_in(part_of(FOUND, keep, told.best.kind, v), x, keys)
                ]
                assert bounds
                assert min(bounds) <= cost + 1e-6
        seen["decided"] += len(told.decided)
        seen["rises"] += min(told.bounds.values(), default=0.0) > answer.objective + 1e-6
        room = goal - answer.objective
        seen["gone"] += int((~told.stays & (answer.reduced <= room)).sum())
    assert min(seen.values()) > 10, seen


def test_probing_finds_that_nothing_is_under_the_goal():
    """An inverter costs 10 whole, though halves of two would do for the relaxed programme."""
    p, keys = programme(random.Random(1))
    keep = case(known=False)
    relaxed = Relaxed(p)
    answer = relaxed.solve()
    splits = splits_of(FOUND, keep, FREIGHT, {}, ways_known=False)
    assert probe(relaxed, keys, FOUND, keep, splits, answer, answer.objective + 1e-3).none


def test_columns_of_which_a_part_of_a_unit_may_be_taken_stay():
    """A reduced cost is that of a unit; a tenth of one may be in a kit under the goal."""
    p, keys = programme(random.Random(2))
    filler = p.column(1000.0, upper=60.0, whole=False)
    keys = [*keys, ("filler", "mill")]
    relaxed = Relaxed(p)
    answer = relaxed.solve()
    splits = splits_of(FOUND, case(known=False), FREIGHT, {}, ways_known=False)
    goal = answer.objective + 60
    told = probe(relaxed, keys, FOUND, case(known=False), splits, answer, goal)
    assert told.stays[filler]
    assert not told.stays.all()


def test_every_part_is_less_than_its_case():
    """A charger alone in its way in is nothing to split by: its parts would be the case again."""
    for chargers in ([0, 1], [0, 1, 2], [0, 1, 2, 3]):
        keep = replace(case(known=True), chargers=chargers)
        splits = splits_of(FOUND, keep, FREIGHT, {("charger", 1): 1.0}, ways_known=True)
        some = [s for s in splits if s.kind == "charger"]
        assert len(some) == len(chargers) - 2
        for split in some:
            for value in split.values:
                part = part_of(FOUND, keep, "charger", value)
                assert len(part.chargers) < len(chargers)
