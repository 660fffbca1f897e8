"""Room beyond anything that a kit could use: a hectare is no harder than a few metres."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver import model as m
from solver.groups import Pricer
from solver.kit import solve_kit
from tests.oracle.small_jobs import small_job
from tests.stages.test_bounds import SEEDS, bounds_of

HECTARE_MM = 100_000.0
WIDE_MM = 20_000.0


def roomy(needs, side_mm):
    """The same needs where every place for panels is a square without a limit of its mass."""
    return replace(
        needs,
        places=tuple(
            replace(p, length_mm=side_mm, width_mm=side_mm, max_kg=None)
            if p.may_hold("panel")
            else p
            for p in needs.places
        ),
    )


@pytest.mark.parametrize("seed", [0, 13, 16])
def test_a_hectare_gives_the_kit_of_a_large_roof(seed, monkeypatch):
    """As cheap, and nobody works out what thousands of panels cost: that would take hours."""
    asked = []
    least = Pricer.least

    def counted(self, name, quantity):
        if self.market.parts[name].cls == "panel":
            asked.append(quantity)
            assert quantity <= 1000, f"{quantity:g} of {name}"
        return least(self, name, quantity)

    monkeypatch.setattr(Pricer, "least", counted)
    needs, stock = small_job(seed)
    totals = [solve_kit(roomy(needs, x), stock).total for x in (WIDE_MM, HECTARE_MM)]
    assert totals[0] is not None
    assert totals[0] == totals[1]
    assert asked


@pytest.mark.parametrize("seed", SEEDS)
def test_no_array_brings_more_panels_than_a_kit_is_taken_to_hold(seed):
    """As many of the largest array as the bus bars have studs, if there is so much room."""
    tried = 0
    for _, b in bounds_of(seed):
        found = b.setup.found
        needs = roomy(b.setup.needs, HECTARE_MM)
        setup = replace(b.setup, needs=needs)
        studs = max(bar.studs for bar in found.busbars)
        count = found.arrays.series * found.arrays.parallel
        for k, panel in enumerate(found.arrays.panels):
            mine = count[found.arrays.panel == k]
            if not len(mine):
                continue
            there = setup.pricer.market.available(panel.part)
            assert m.most_panels(setup, panel) >= min(studs * int(mine.max()), there)
            assert m.most_panels(b.setup, panel) >= mine.max()
            tried += 1
    assert tried
