"""Losses and air of a finished kit, worked by hand on the small design."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.air import air_of, lasting_w
from solver.needs import Load
from solver.rules.heat import heat_opening_cm2
from tests.oracle import larger_design, small_design

NEEDS, DESIGN = small_design.needs(), small_design.design()
CHARGE_A = 2 * 100 * 0.97 / 11
"""More than the 6 A of lamps and fridge; the kettle boils for minutes and does not count."""


def losses(needs, design):
    """Loss by thing and place."""
    return {(x.thing, x.place): x.loss_w for x in air_of(needs, design).losses}


def test_losses_of_the_small_design():
    """Controller, battery, inverter and shunt, each from its own figures."""
    found = losses(NEEDS, DESIGN)
    assert found["controller-1", "board"] == pytest.approx(200 * 0.03 + 1)
    assert found["battery-1", "locker"] == pytest.approx(CHARGE_A**2 * 0.003)
    assert found["inverter-1", "board"] == pytest.approx(5)
    assert found["monitor-1", "board"] == pytest.approx(0.05 * CHARGE_A**2 / 200 + 0.5)


def test_a_load_that_lasts_warms_the_inverter_and_the_battery():
    """300 W of AC for two hours: on the line between 5 W idle and 55.6 W at 500 W."""
    kettle = replace(NEEDS.loads[2], hours_per_day=2)
    found = losses(replace(NEEDS, loads=(*NEEDS.loads[:2], kettle)), DESIGN)
    rated = 500 * (1 / 0.9 - 1)
    assert found["inverter-1", "board"] == pytest.approx(5 + (rated - 5) * 0.6)
    bank_a = 66 / 11 + 300 / 0.9 / 11
    assert found["battery-1", "locker"] == pytest.approx(bank_a**2 * 0.003)


def test_lasting_loads_run_together_and_for_an_hour():
    """Minutes of a kettle and what runs alone are left out."""

    def load(hours, *, together=True, supply="dc"):
        return Load(
            name="x", supply=supply, watts=10, quantity=2, hours_per_day=hours, place="bench",
            together=together,
        )  # fmt: skip

    loads = [load(1), load(0.9), load(5, together=False), load(5, supply="ac")]
    assert lasting_w(loads) == 40
    assert lasting_w(loads, "ac") == 20


def test_every_place_has_the_sum_of_its_losses():
    """Nothing is counted twice or lost, on a kit with chargers, fuses and two strings."""
    air = air_of(larger_design.needs(), larger_design.design())
    for place in air.places:
        here = sum(x.loss_w for x in air.losses if x.place == place.place)
        assert place.loss_w == pytest.approx(here)
    in_places = sum(p.loss_w for p in air.places)
    between = sum(x.loss_w for x in air.losses if x.place == "")
    assert in_places + between == pytest.approx(sum(x.loss_w for x in air.losses))
    assert between > 0


def test_a_shared_charge_is_shared_by_the_strings():
    """Two strings: each battery carries half of all that charges together."""
    found = losses(larger_design.needs(), larger_design.design())
    half = (4 * 100 * 0.97 / 22 + 15 + 10) / 2
    for n in (1, 2, 3, 4):
        assert found[f"battery-{n}", "locker"] == pytest.approx(half**2 * 0.003)


def test_the_charger_loses_what_it_takes_and_does_not_give():
    """480 W in, 15 A at 28.8 V out."""
    found = losses(larger_design.needs(), larger_design.design())
    assert found["charger-1", "board"] == pytest.approx(480 - 15 * 28.8)


def test_a_locker_gets_its_openings_and_an_open_board_none():
    """Openings by the rule, 0.8 of the locker's height apart; a battery stays below 45 °C."""
    places = {p.place: p for p in air_of(NEEDS, DESIGN).places}
    locker = places["locker"]
    assert (locker.closed, locker.rise_k, locker.limit_c) == (True, 10, 45)
    wanted = heat_opening_cm2(locker.loss_w, 10, 0.24)
    assert locker.opening_cm2 == pytest.approx(wanted)
    assert locker.gas_m3_per_h == 0
    assert not places["board"].closed
    assert "roof" not in places


def test_no_air_cools_below_the_air_outside():
    """At 46 °C outside no opening keeps a battery at 45 °C: not a small opening, none."""
    hot = replace(NEEDS, site=replace(NEEDS.site, hottest_c=46))
    air = air_of(hot, DESIGN)
    (locker,) = (p for p in air.places if p.place == "locker")
    assert locker.heat_m3_per_h is None
    assert locker.opening_cm2 is None
    assert [(x.device, x.hot, x.limit_c) for x in air.unfit] == [("battery-1", True, 45)]


def test_a_lead_acid_bank_needs_air_for_its_gas():
    """The gas opening counts where it is the larger of the two."""
    agm = replace(DESIGN, chemistry="flooded")
    (locker,) = (p for p in air_of(NEEDS, agm).places if p.place == "locker")
    assert locker.gas_m3_per_h == pytest.approx(0.05 * 6 * 20 * 100 / 1000)
    assert locker.gas_cm2 == pytest.approx(28 * 0.6)
    assert locker.opening_cm2 == max(locker.gas_cm2, locker.heat_cm2)


def test_a_device_in_too_cold_or_too_hot_a_place_is_named():
    """By its own limits, against what is stated of the place, else of the site."""
    devices = tuple(
        replace(d, part=replace(d.part, min_c=0.0, max_c=34.0)) if d.id == "inverter-1" else d
        for d in DESIGN.devices
    )
    found = air_of(NEEDS, replace(DESIGN, devices=devices)).unfit
    assert [(x.device, x.place_c, x.hot) for x in found] == [
        ("inverter-1", 35, True),
        ("inverter-1", -10, False),
    ]


def test_a_bond_gives_off_no_heat():
    """It carries a fault's current and nothing else."""
    design = larger_design.design()
    bond = replace(design.circuits[0], name="bond", kind="bond", current_a=30.0)
    cut = replace(design.cuts[0], label="B1", circuit="bond")
    more = replace(design, circuits=(*design.circuits, bond), cuts=(*design.cuts, cut))
    needs = larger_design.needs()
    assert losses(needs, more) == losses(needs, design)
