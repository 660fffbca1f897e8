"""What is owned and must be used is used, whatever else that takes."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from solver.kit import solve_kit
from solver.needs import Owned
from solver.owned_use import owned_uses
from solver.parts import Cable
from solver.stock import Stock
from tests.oracle.small_jobs import one_circuit_job


@pytest.mark.parametrize("plugs", [1, 2, 7])
def test_connectors_that_must_be_used_want_an_array_each(plugs):
    """One array is enough for the lamp; each plug beyond the first comes with another."""
    needs, stock = one_circuit_job()
    # small enough that fuse and battery bear seven of them
    changed = {"busbar": {"studs": 12}, "panel": {"stc_w": 18.0, "imp_a": 1.0, "isc_a": 1.1}}
    parts = [replace(p, **changed.get(p.part, {})) for p in stock.parts]
    plug = stock.by_name["plug"]
    owned = Owned(part=plug, inline=False, quantity=Decimal(plugs), use="must")
    (hut,) = needs.places
    wide = replace(hut, length_mm=6000.0, width_mm=4000.0)
    sun = (12.0,) * 12
    needs = replace(needs, sun_hours=sun, site=replace(needs.site, sun_hours=sun))
    order = replace(needs.order, spares_pct=0.0)
    needs = replace(needs, owned=(owned,), places=(wide,), order=order)
    result = solve_kit(needs, Stock.of(parts, stock.suppliers, stock.offers))
    assert result.status == "optimal"
    assert len(result.design.arrays) == plugs
    assert not any(line.part == "plug" and line.buy for line in result.lines)


def test_an_unused_cable_is_asked_about_at_its_whole_length():
    """It is one piece: a kit that cannot use one metre of it may still use all of it."""
    needs, stock = one_circuit_job()
    cable = next(p for p in stock.parts if isinstance(p, Cable))
    roll = replace(cable, part="roll", name="roll")
    needs = replace(
        needs, owned=(Owned(part=roll, inline=True, quantity=Decimal(20), use="may"),)
    )
    result = solve_kit(replace(needs, owned=()), stock)
    asked = []

    def ask(others):
        asked.extend(others.owned)
        return replace(result, status="infeasible", design=None, total=None, kit_total=None)

    (use,) = owned_uses(result, needs, stock, ask)
    assert [(o.quantity, o.use) for o in asked] == [(Decimal(20), "must")]
    assert "no kit that meets the needs uses it" in use.why
