"""Small parts under the limit on mass: they count, and a kit that leaves them room is looked for."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from solver.check import check
from solver.kit import solve_kit
from solver.needs import Needs
from solver.parts import Mounting
from solver.report import total_kg
from solver.stock import Offer, Stock
from solver.weights import small_kg
from tests.oracle.small_jobs import small_job

LIGHTER = {0: "unknown", 2: "feasible", 31: "optimal"}
"""Small jobs, and what comes of them where small parts break the limit: none, a dearer kit, one as
cheap."""

STRAP_KG = 1.5
STRAP = Mounting(
    part="strap", name="strap", kg=STRAP_KG, kind="battery strap", load_n=2500, cable_mm=None
)
"""Far heavier than one is, so that what it does to the limit is seen."""


@cache
def job(seed: int) -> tuple[Needs, Stock]:
    """A small job in whose catalog battery straps are the only small part."""
    needs, stock = small_job(seed)
    offer = Offer(
        part="strap", supplier=stock.suppliers[0].supplier, pack=Decimal(1), unit="each",
        length_m=None, from_quantity=1, price=Decimal(5), lead_days=None, stock=None,
    )  # fmt: skip
    strapped = Stock.of([*stock.parts, STRAP], stock.suppliers, [*stock.offers, offer])
    return limited(needs, None), strapped


def limited(needs: Needs, kg: float | None) -> Needs:
    """With another limit on mass."""
    return replace(needs, limits=replace(needs.limits, total_kg=kg))


@cache
def free(seed):
    """The cheapest kit without a limit on mass."""
    needs, stock = job(seed)
    return solve_kit(needs, stock)


def test_small_parts_count_as_they_are_counted():
    """Two straps a battery are in the mass of the whole; the kit's own is that without them."""
    design = free(2).design
    straps = 2 * len(design.bank.batteries)
    assert small_kg(design) == pytest.approx(straps * STRAP_KG)
    bare = replace(design, small=None)
    assert total_kg(design) == pytest.approx(total_kg(bare) + straps * STRAP_KG)


def test_a_limit_that_the_whole_keeps_changes_nothing():
    """The same kit, proven as well; the binding and the check tell the whole mass."""
    needs, stock = job(2)
    whole = free(2)
    limit = total_kg(whole.design) + 0.01
    found = solve_kit(limited(needs, limit), stock)
    assert (found.status, found.total) == (whole.status, whole.total)
    (used,) = (b.used for b in found.bindings if b.need == "limits.total_kg")
    (told,) = (c.value for c in found.checks if c.rule == "total weight")
    assert used == pytest.approx(told) == pytest.approx(total_kg(whole.design))


@pytest.mark.parametrize("seed", LIGHTER)
def test_a_limit_that_only_small_parts_break_is_never_broken(seed):
    """A lighter kit with a bound that holds for all, or none and the reason told."""
    needs, stock = job(seed)
    whole = free(seed)
    tight = limited(needs, total_kg(whole.design) - 0.01)
    found = solve_kit(tight, stock)
    assert found.status == LIGHTER[seed]
    if found.design is None:
        (reason,) = found.reasons
        assert reason.needs == ("limits.total_kg",)
        assert f"{total_kg(whole.design):.1f} kg" in reason.message
        return
    assert total_kg(found.design) <= tight.limits.total_kg
    assert found.kit_bound == whole.kit_bound
    assert (found.status == "optimal") == (found.kit_total == whole.kit_total)
    assert [c for c in found.checks if not c.ok] == []


def test_a_kit_too_heavy_with_its_small_parts_is_named():
    """The check finds what the choice could not know."""
    needs, _ = job(2)
    whole = free(2)
    tight = limited(needs, total_kg(whole.design) - 0.01)
    broken = {c.rule for c in check(tight, whole.design, whole.lines, whole.orders) if not c.ok}
    assert broken == {"total weight"}
