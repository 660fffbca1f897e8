"""Parts forced in, and owned parts told apart, against trying every kit.

Jobs and brute force are those of `test_brute_force.py`.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from bom.swap import Forced, swapped
from solver.against import against
from solver.kit import solve_kit
from solver.market import market
from solver.needs import Owned
from solver.owned_use import owned_uses
from solver.parts import Cable
from solver.parts.device import Device
from solver.variants import forced, forced_ways, without
from tests.oracle.brute_force import cheapest
from tests.oracle.small_jobs import small_job

CENT = Decimal("0.01")

LONG = {8, 10, 30, 32, 41, 43, 46, 47, 55, 56}
"""Jobs that brute force needs long for, asked several times."""

SEEDS = [s for s in range(16) if s not in LONG]
"""More of them are in `tests/slow/`."""


def truth(needs, stock):
    """The least total by trying every kit, or None."""
    found = cheapest(needs, stock)
    return None if found is None else found.total


def agree(result, total):
    """Whether an answer is the truth: the same verdict, the same total."""
    if total is None:
        assert result.status == "infeasible"
        return
    assert result.total is not None, result.reasons
    if result.status == "optimal":
        assert abs(result.total - total) < CENT
    assert result.total >= total - CENT


def parts_to_force(needs, stock, seed):
    """Two parts of a job, one after the other, that somebody might have."""
    names = sorted(p.part for p in stock.parts if isinstance(p, Device | Cable))
    first = stock.by_name[names[(7 * seed) % len(names)]]
    second = stock.by_name[names[(7 * seed + 3) % len(names)]]
    return [first] if first is second else [first, second]


@pytest.mark.parametrize("seed", SEEDS)
def test_forcing_a_part_costs_what_the_cheapest_kit_with_it_costs(seed):
    """One part of a random job forced in: before and after are the truth, as is what changes."""
    force_one(seed)


def force_one(seed):
    """Force a part of a random job in, and try every kit."""
    needs, stock = small_job(seed)
    part = parts_to_force(needs, stock, seed)[0]
    quantity = Decimal("2.5") if isinstance(part, Cable) else Decimal(1)
    asked = Forced(part, quantity, stated=False)
    found = swapped(needs, stock, [asked], lambda other: solve_kit(other, stock))
    agree(found.before, truth(needs, stock))
    totals = [truth(way, stock) for way in forced_ways(needs, part, quantity)]
    agree(found.after, min((t for t in totals if t is not None), default=None))
    if found.after.design is None:
        assert found.after.reasons
        return
    used = next(line for line in found.after.lines if line.part == part.part)
    assert used.owned > 0
    if found.before.design is not None:
        before, after = (_needs_of(r) for r in (found.before, found.after))
        told = {c.part: (c.before, c.after) for c in found.changes}
        assert {p: q for p, (_, q) in told.items() if q} == {
            p: q for p, q in after.items() if before[p] != q
        }


def _needs_of(result):
    """By part all that a bill needs of it."""
    found = Counter()
    for line in result.lines:
        found[line.part] += line.need
    return found


@pytest.mark.parametrize("seed", SEEDS[::4])
def test_two_parts_at_once_are_forced_together(seed):
    """Several parts: as if both were owned and had to be used."""
    needs, stock = small_job(seed)
    parts = parts_to_force(needs, stock, seed)
    both = replace(needs, owned=())
    asked = [
        Forced(p, Decimal("2.5") if isinstance(p, Cable) else Decimal(1), stated=False)
        for p in parts
    ]
    found = swapped(both, stock, asked, lambda other: solve_kit(other, stock))
    for one in asked:
        both = forced(both, one.part, one.quantity)
    agree(found.after, truth(both, stock))


@cache
def bare(seed):
    """A random job in which nothing is owned, with its cheapest total."""
    needs, stock = small_job(seed)
    needs = replace(needs, owned=())
    return needs, stock, truth(needs, stock)


def test_a_rule_that_is_named_does_keep_the_part_out():
    """Wherever a rule is said to stand against a part, trying every kit finds none with it."""
    seen = Counter()
    for seed in SEEDS:
        needs, stock, total = bare(seed)
        mkt = market(needs, stock)
        for part in stock.parts:
            for text in against(part, 1, needs, mkt):
                seen[part.cls] += 1
                if total is not None and seen[part.cls] <= 12:
                    assert truth(forced(needs, part, Decimal(1)), stock) is None, text
    assert len(seen) >= 4, seen
    assert sum(seen.values()) >= 40, seen


@pytest.mark.parametrize("seed", SEEDS)
def test_what_an_owned_part_saves_is_verified_by_doing_without(seed):
    """Savings of used parts and totals of unused ones are those of trying every kit."""
    do_without(seed)


def do_without(seed):
    """Own something in a random job, and try every kit with it and without."""
    needs, stock = small_job(seed)
    if not needs.owned:
        part = parts_to_force(needs, stock, seed + 1)[0]
        quantity = Decimal("4") if isinstance(part, Cable) else Decimal(2)
        needs = replace(
            needs, owned=(Owned(part=part, inline=False, quantity=quantity, use="may"),)
        )
    result = solve_kit(needs, stock)
    if result.design is None:
        return
    for use in owned_uses(result, needs, stock, lambda other: solve_kit(other, stock)):
        if use.used:
            other = truth(without(needs, use.part), stock)
            assert (use.without_total is None) == (other is None)
            if other is not None and use.proven:
                assert abs(use.saved - (other - result.total)) < CENT
                assert use.must or use.saved > -CENT
        else:
            assert use.saved is None
            owned = next(o for o in needs.owned if o.part.part == use.part)
            # a cable is one piece, used as long as it is or not at all
            least = owned.quantity if isinstance(owned.part, Cable) else Decimal(1)
            totals = [truth(way, stock) for way in forced_ways(needs, owned.part, least)]
            other = min((t for t in totals if t is not None), default=None)
            assert (use.forced_total is None) == (other is None)
            if other is not None and use.proven:
                assert abs(use.forced_total - other) < CENT
                dearer = other > result.total + CENT
                assert ("dearer partners" in use.why) == dearer
            elif other is None:
                assert use.why


@pytest.mark.slow
def test_more_than_is_owned_and_fewer_than_all_are_priced_as_they_should():
    """Of three owned batteries two forced in: two, or all three, whichever kit is cheaper."""
    done = 0
    for seed in SEEDS:
        needs, stock, total = bare(seed)
        if total is None or done == 5:
            continue
        battery = stock.of_class("battery")[0]
        three = Owned(part=battery, inline=False, quantity=Decimal(3), use="may")
        needs = replace(needs, owned=(three,))
        asked = Forced(battery, Decimal(2), stated=True)
        found = swapped(needs, stock, [asked], lambda o, s=stock: solve_kit(o, s))
        totals = [truth(forced(needs, battery, Decimal(n)), stock) for n in (2, 3)]
        agree(found.after, min((t for t in totals if t is not None), default=None))
        done += 1
    assert done == 5
