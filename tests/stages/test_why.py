"""Why there is no kit: of a job that one need spoils, that need is named, and what would help.

The job is the one worked by hand (`one_circuit_job`): a lamp, a panel, a battery, one of
everything else. Each test changes one need so that no kit is left.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from solver.kit import solve_kit
from solver.needs import Charging, Owned
from solver.parts import Panel
from solver.stock import Stock
from tests.oracle.small_jobs import small_job
from tests.oracle.spoilt import energy, limited, months, the_job, with_place


def why(needs, stock):
    """The reasons of a job without a kit."""
    result = solve_kit(needs, stock)
    assert result.status == "infeasible"
    assert result.reasons
    return result.reasons


def change_of(found, key):
    """The change told by the reason that names one key first, alone or among several."""
    return [r.change for r in found if r.needs[0] == key][-1]


def test_the_job_has_a_kit_before_it_is_spoilt():
    """What the other tests find comes from the need that each of them changes."""
    assert solve_kit(*the_job()).status == "optimal"


@pytest.mark.parametrize("share", ["0.2", "0.99"])
def test_the_budget_is_named_and_what_is_enough(share):
    """Far under or just under the cheapest kit: the budget told is enough, a cent less is not."""
    needs, stock = the_job()
    total = solve_kit(needs, stock).total
    budget = (total * Decimal(share)).quantize(Decimal("0.01"))
    found = why(limited(needs, budget=budget), stock)
    assert "limits.budget" in found[0].needs
    change = change_of(found, "limits.budget")
    assert f"raise the budget to {total:.2f} EUR" in change
    enough = Decimal(change.split()[4])
    assert solve_kit(limited(needs, budget=enough), stock).total == total
    less = solve_kit(limited(needs, budget=total - Decimal("0.01")), stock)
    assert less.status == "infeasible"


def test_a_kit_found_under_several_suppliers_makes_the_budget_told_enough():
    """Where the cheapest is not proven, both ends are told: surely enough, surely too little."""
    needs, stock = small_job(22)
    change = change_of(why(needs, stock), "limits.budget")
    words = change.replace(";", "").split()
    enough, too_little = Decimal(words[4]), Decimal(words[words.index("found") + 1])
    assert too_little < enough
    assert solve_kit(limited(needs, budget=enough), stock).total <= enough
    assert solve_kit(limited(needs, budget=too_little), stock).total is None


def test_the_weight_of_all_is_named():
    """Six kilograms of devices at the least: two may be too few, and more than some is told."""
    needs, stock = the_job()
    found = why(limited(needs, total_kg=2.0), stock)
    assert "limits.total_kg" in found[0].needs
    change = change_of(found, "limits.total_kg")
    assert float(change.split(" kg")[0].split()[-1]) > 4.5


def test_the_load_of_a_place_is_named():
    """The battery of one kilogram cannot stand where half a kilogram is carried."""
    needs, stock = the_job()
    found = why(with_place(needs, "locker", max_kg=0.5), stock)
    assert 'place."locker".max_kg' in found[0].needs
    assert not any("roof" in key or "hut" in key for key in found[0].needs)
    assert '"locker" carry more than 0.9' in change_of(found, 'place."locker".max_kg')


def test_a_roof_too_small_is_named():
    """A panel of 200 mm by 100 mm does not lie on 150 mm by 90 mm."""
    needs, stock = the_job()
    found = why(with_place(needs, "roof", length_mm=150.0, width_mm=90.0), stock)
    assert 'place."roof".length_mm' in found[0].needs
    assert not any("locker" in key for key in found[0].needs)


def test_a_roof_whose_area_is_enough_but_not_its_shape_is_named():
    """Two panels by area, of which one lies: placing taught it, and the roof is still named."""
    needs, stock = the_job()
    needs = with_place(months(needs, m6=0.6), "roof", length_mm=260.0, width_mm=170.0)
    found = why(needs, stock)
    assert 'place."roof".length_mm' in found[0].needs


def test_a_place_too_low_is_named():
    """A battery 50 mm high does not stand under 40 mm."""
    needs, stock = the_job()
    found = why(with_place(needs, "locker", height_mm=40.0), stock)
    assert 'place."locker".height_mm' in found[0].needs


def test_all_energy_from_the_sun_is_named_where_there_is_none():
    """A month without sun is in use and nothing may come from other charging."""
    needs, stock = the_job()
    found = why(months(needs, m6=4.0, m12=0.0), stock)
    assert {"energy.shortfall_pct", "site.months"} <= set(found[0].needs)
    assert "month 12, with 0 sun hours" in found[0].message
    assert change_of(found, "site.months") == "leave out month 12"
    assert not any(key.startswith("place") for key in found[0].needs)


def test_a_shortfall_of_nothing_is_named_where_there_is_other_charging():
    """With a charger that could give all, the share that may come from it is what collides."""
    needs, stock = small_job(0)
    engine = Charging(kind="engine", max_w=2000.0, hours_per_day=4.0)
    dark = months(replace(needs, charging=(engine,)), m6=0.3)
    dark = energy(replace(dark, limits=replace(dark.limits, budget=None)), shortfall_pct=0.0)
    assert solve_kit(energy(dark, shortfall_pct=100.0), stock).total is not None
    found = why(dark, stock)
    assert "energy.shortfall_pct" in found[0].needs
    assert "more than" in change_of(found, "energy.shortfall_pct")


def test_a_delivery_too_early_is_named():
    """The only shop needs three days, and there is one."""
    needs, stock = the_job()
    order = replace(needs.order, start=date(2031, 3, 3), need_by=date(2031, 3, 4))
    found = why(replace(needs, order=order), stock)
    assert [r.needs for r in found] == [("order.need_by",)]
    assert "2031-03-04" in found[0].message


def test_suppliers_avoided_are_named_where_none_is_left():
    """The only shop is avoided."""
    needs, stock = the_job()
    order = replace(needs.order, avoid_suppliers=("birch",))
    found = why(replace(needs, order=order), stock)
    assert [r.needs for r in found] == [("order.avoid_suppliers",)]


def test_a_currency_without_a_rate_is_named():
    """The only shop sells in dollars, and the needs state no rate for them."""
    needs, stock = the_job()
    dollars = [replace(s, currency="USD") for s in stock.suppliers]
    found = why(needs, Stock.of(stock.parts, dollars, stock.offers))
    assert [r.needs for r in found] == [("order.rates",)]
    assert "USD" in found[0].change


def test_days_without_charging_and_the_locker_are_named_together():
    """More batteries than the locker has room for: fewer days or a larger locker would help."""
    needs, stock = the_job()
    small = with_place(energy(needs, autonomy_days=12.0), "locker", length_mm=210, width_mm=110)
    found = why(small, stock)
    assert {"energy.autonomy_days", 'place."locker".length_mm'} <= set(found[0].needs)
    assert not any("roof" in key for key in found[0].needs)
    change = change_of(found, "energy.autonomy_days")
    days = float(change.split(" days")[0].split()[-1])
    assert solve_kit(energy(small, autonomy_days=days), stock).status == "infeasible"
    assert solve_kit(energy(small, autonomy_days=days * 0.8), stock).status == "optimal"


def test_two_needs_that_only_help_together_are_named_together():
    """A locker too low and a roof too small: one alone would leave no kit."""
    needs, stock = the_job()
    needs = with_place(needs, "locker", height_mm=40.0)
    needs = with_place(needs, "roof", length_mm=150.0, width_mm=90.0)
    (only,) = why(needs, stock)
    assert 'place."locker".height_mm' in only.needs
    assert 'place."roof".length_mm' in only.needs
    assert "all must change" in only.message


def test_a_part_that_must_be_used_and_cannot_is_named():
    """A second battery of another kind must be used, and there is one bank only."""
    needs, stock = the_job()
    mine = next(p for p in stock.parts if isinstance(p, Panel))
    big = replace(mine, part="mine", name="mine", length_mm=5000.0, width_mm=4000.0)
    owned = Owned(part=big, inline=True, quantity=Decimal(1), use="must")
    found = why(replace(needs, owned=(owned,)), stock)
    assert 'owned."mine".use' in found[0].needs


def test_a_system_voltage_that_nothing_is_made_for_is_named():
    """Batteries of 12 V that must not be put in series, and a system of 24 V."""
    needs, stock = the_job()
    found = why(replace(needs, rules=replace(needs.rules, voltages=(24,))), stock)
    assert found[0].needs == ("rules.voltages",)


def test_what_the_catalog_lacks_is_named():
    """An AC load and no inverter anywhere: no limit is blamed."""
    needs, stock = the_job()
    kettle = replace(needs.loads[0], name="kettle", supply="ac", watts=800.0)
    (only,) = why(replace(needs, loads=(*needs.loads, kettle)), stock)
    assert "no inverter from 12 V to 230 V 50 Hz for 800 W" in only.message
    assert "rules.ac_v" in only.needs
