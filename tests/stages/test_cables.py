"""Cables left out because another does in every circuit: what each carries there counts."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest

from benchmarks.catalogs import generated, one_shop
from solver.cables import asked, fewer_cables
from solver.candidates import candidates, settings
from solver.market import Deal, market
from solver.wiring import conductors, shelf
from tests.oracle.roomy_needs import roomy_needs


def a_shelf(seed=3):
    """Of a setting with candidates, and a red and a black cable of it that are sold."""
    needs, stock = roomy_needs(seed), one_shop(generated(300, seed))
    mkt = market(needs, stock)
    setting = settings(needs, mkt)[0]
    return needs, mkt, shelf(needs, mkt), candidates(needs, mkt, setting)


def with_twin(price, **changes):
    """Names of battery cables kept, where one more is sold: like another but for the changes."""
    needs, mkt, before, found = a_shelf()
    pairs = before.cables["battery"]
    old = next(p for p, _ in pairs if p.area_mm2 >= 16)
    new = dataclasses.replace(old, part="aa-new", **changes)
    deals = tuple(
        Deal("aa-new", d.supplier, d.unit, d.pack, d.length_m, d.units,
             tuple((n, p * Decimal(price)) for n, p in d.levels), None, d.lead_days)
        for d in mkt.deals[old.part]
    )  # fmt: skip
    changed = dataclasses.replace(
        mkt,
        deals={**mkt.deals, "aa-new": deals},
        parts={**mkt.parts, "aa-new": new},
    )
    left = fewer_cables(needs, shelf(needs, changed), found, weighed=True)
    kept = {x.part for pair in left.cables["battery"] for x in pair}
    return old.part in kept, "aa-new" in kept


@pytest.mark.parametrize(
    ("why", "price", "changes", "old", "new"),
    [
        ("cheaper", "0.9", {}, False, True),
        ("cheaper, a hair more resistance", "0.9", {"ohm_per_km_20c": 50.0}, True, True),
        ("dearer", "1.1", {}, True, False),
        ("heavier", "0.9", {"kg": 99.0}, True, True),
        ("another size", "0.9", {"size": "odd"}, True, False),
        ("insulation that stands less", "0.9", {"insulation_c": 70.0}, True, False),
    ],
)
def test_a_cable_goes_for_one_that_does_as_well(why, price, changes, old, new):
    """Worse in one thing alone it does not stand in for another."""
    kept_old, kept_new = with_twin(price, **changes)
    assert kept_old == old, why
    assert kept_new or not new, why


def test_what_stands_in_carries_all_that_may_be_asked():
    """In every run of the setting, for every current that may be asked of it."""
    left_out = 0
    for seed in (3, 5, 8):
        needs, stock = roomy_needs(seed), one_shop(generated(3000, seed))
        mkt = market(needs, stock)
        for setting in settings(needs, mkt):
            found = candidates(needs, mkt, setting, {})
            whole = shelf(needs, mkt)
            left = fewer_cables(needs, whole, found, weighed=False)
            kept = {x.part for pair in left.cables["battery"] for x in pair}
            every = {x.part: x for pair in whole.cables["battery"] for x in pair}
            gone = [x for name, x in sorted(every.items()) if name not in kept]
            runs = [x for x in asked(needs, whole, found) if "battery" in x.run.uses]
            for b in gone[:10]:
                assert any(
                    (a.area_mm2, a.colour, a.insulation_c)
                    == (b.area_mm2, b.colour, b.insulation_c)
                    and all(_serves(whole, one, a, b) for one in runs)
                    for a in (every[name] for name in sorted(kept))
                ), b.part
                left_out += 1
    assert left_out


def _serves(whole, one, a, b):
    """Whether a carries whatever b does of what may be asked of a run."""
    alone = dataclasses.replace(whole, cables={"battery": ((a, a), (b, b))})
    carried = [
        min(x.ampacity_a / whole.needs.rules.continuous, x.drop_cap_a)
        for x in conductors(alone, dataclasses.replace(one.run, uses=("battery",)))
    ]
    if len(carried) < 2:
        return True
    currents = one.currents_a or [one.most_a * k / 50 for k in range(1, 51)]
    return all(carried[0] >= x - 1e-9 for x in currents if carried[1] >= x - 1e-9)
