"""The rules' figures, worked by hand: currents, voltages, energy and room of small cases."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.needs import Energy, Job, Load, Needs, Obstacle, Place, Site
from solver.rules.bank import (
    lowest_v,
    nominal_class_v,
    prospective_short_circuit_ka,
    typical_internal_mohm,
    usable_wh,
)
from solver.rules.conductor import (
    ampacity_a,
    drop_v,
    least_area_mm2,
    resistance_ohm_per_m,
)
from solver.rules.energy import (
    ac_current_a,
    air_c_by_month,
    array_yield_wh,
    inverter_current_a,
    inverter_hours,
    inverter_need_wh,
    load_current_a,
    load_wh,
    surge_w,
    thermal_factor,
    together_w,
)
from solver.rules.protection import highest_circuit_v
from solver.rules.space import usable_area_mm2
from solver.rules.string import array_charge_a, charging_voltage_v, vmp_hot_v
from solver.rules.ventilation import gas_air_m3_per_h


def _load(name="lamp", supply="dc", watts=10.0, **others):
    return Load(
        name=name, supply=supply, watts=watts, **{"hours_per_day": 1.0, "place": "x", **others}
    )


# --- strings and currents ---


@pytest.mark.parametrize(("system_v", "lowest"), [(12, 11), (24, 22), (48, 44)])
def test_lowest_voltage_is_eleven_twelfths(system_v, lowest):
    """Currents are reckoned at 11, 22 and 44 V."""
    assert lowest_v(system_v) == pytest.approx(lowest)


@pytest.mark.parametrize(
    ("nominal_v", "counts_as"), [(12.8, 12), (25.6, 24), (51.2, 48), (12, 12), (6, 6), (24, 24)]
)
def test_trade_voltages_count_as_the_systems(nominal_v, counts_as):
    """A battery of 12.8 V is matched as 12 V; every other as stated."""
    assert nominal_class_v(nominal_v) == counts_as


@pytest.mark.parametrize(
    ("chemistry", "volts"), [("lfp", 57.6), ("agm", 58.8), ("gel", 56.8), ("flooded", 59.2)]
)
def test_charging_voltage_of_48_v(chemistry, volts):
    """Four times the 12 V figure, also what fuses and breakers must stand."""
    assert charging_voltage_v(chemistry, 48) == pytest.approx(volts)
    assert highest_circuit_v(chemistry, 48) == pytest.approx(volts)


def test_hot_string_by_the_power_coefficient():
    """20 V, -0.4 %/K, cells at 35 + 30 °C: 16 % less."""
    assert vmp_hot_v(20.0, -0.4, 35.0, 30.0) == pytest.approx(16.8)


@pytest.mark.parametrize(
    ("system_v", "max_charge_a", "amps"), [(12, 60, 52.3636), (24, 60, 26.1818), (12, 40, 40)]
)
def test_charging_current_of_an_mppt_controller(system_v, max_charge_a, amps):
    """600 W at 96 % over the lowest voltage, or the controller's limit."""
    found = array_charge_a("mppt", 200, 3, 96, max_charge_a, 30, system_v)
    assert found == pytest.approx(amps, abs=5e-5)


@pytest.mark.parametrize(("isc_a", "amps"), [(18.0, 18.0), (33.0, 30.0)])
def test_charging_current_of_a_pwm_controller(isc_a, amps):
    """The strings' short-circuit current, or the controller's limit."""
    assert array_charge_a("pwm", 200, 3, 96, 30, isc_a, 12) == amps


def test_many_arrays_at_once():
    """An array of panels' powers gives what each gives alone; one number stays a plain one."""
    watts = np.array([100.0, 200.0, 400.0])
    found = array_charge_a("mppt", watts, 3, 96, 40, 30, 12)
    alone = [array_charge_a("mppt", w, 3, 96, 40, 30, 12) for w in watts.tolist()]
    assert found == pytest.approx(alone)
    assert all(type(a) in {float, int} for a in alone)


@pytest.mark.parametrize(("system_v", "amps"), [(12, 197.6), (24, 98.8), (48, 49.4)])
def test_current_of_a_2_kw_inverter(system_v, amps):
    """2 kW at 92 % and the lowest voltage."""
    assert inverter_current_a(2000, 92, system_v) == pytest.approx(amps, abs=0.05)


def test_current_of_an_ac_circuit():
    """Watts over volts."""
    assert ac_current_a(2300, 230) == 10


# --- the bank ---


def test_usable_energy():
    """Two strings of two 12 V, 100 Ah batteries, half of it usable, nine tenths in the cold."""
    assert usable_wh(12, 2, 100, 2, 50, 0.9) == pytest.approx(2160)


@pytest.mark.parametrize(
    ("series", "parallel", "mohm", "kiloamps"),
    [(1, 1, 10, 1.28), (1, 1, 1, 12.8), (4, 2, 10, 2.56)],
)
def test_short_circuit_of_a_bank(series, parallel, mohm, kiloamps):
    """Volts over milliohms; series changes nothing, strings add."""
    found = prospective_short_circuit_ka(12.8, series, parallel, mohm)
    assert found == pytest.approx(kiloamps)


def test_typical_resistance_goes_with_cells_and_capacity():
    """3 mΩ for 12.8 V, 100 Ah lfp; twice the voltage doubles it, twice the capacity halves it."""
    assert typical_internal_mohm("lfp", 12.8, 100) == pytest.approx(3)
    assert typical_internal_mohm("lfp", 25.6, 100) == pytest.approx(6)
    assert typical_internal_mohm("lfp", 12.8, 200) == pytest.approx(1.5)


def test_gas_of_a_flooded_bank():
    """Six cells, 200 Ah, boost charging: 1.2 m³/h."""
    assert gas_air_m3_per_h("flooded", 12, 200) == pytest.approx(1.2)


# --- energy ---


def test_air_by_month():
    """Mean of the extremes in April and October, a quarter of their difference up in July."""
    air_c = air_c_by_month(-8, 32, 50)
    assert air_c[6] == pytest.approx(22)
    assert air_c[0] == pytest.approx(2)
    assert air_c[3] == pytest.approx(12)
    assert air_c[9] == pytest.approx(12)


def test_air_south_of_the_equator_is_six_months_off():
    """January there is July here."""
    north, south = air_c_by_month(-8, 32, 50), air_c_by_month(-8, 32, -50)
    assert south == pytest.approx(north[6:] + north[:6])


@pytest.mark.parametrize(("air_c", "factor"), [(35, 0.84), (-5, 1.0), (-30, 1.0)])
def test_panels_lose_power_in_heat_and_gain_none_in_cold(air_c, factor):
    """-0.4 %/K from 25 °C cells, never above 1."""
    assert thermal_factor(-0.4, air_c, 30) == pytest.approx(factor)


@pytest.mark.parametrize(("max_charge_a", "wh"), [(40, 2016.0), (20, 1152.0)])
def test_yield_of_an_mppt_controller(max_charge_a, wh):
    """700 W · 0.9 · 0.8 · 100 % for 4 h, or the limit of 20 A at 14.4 V."""
    found = array_yield_wh("mppt", 175, 4, 9, 4, 0.9, 0.8, 100, max_charge_a, 14.4, 4)
    assert found == pytest.approx(wh)


def test_yield_of_an_mppt_controller_with_its_losses():
    """The controller's efficiency takes its share."""
    found = array_yield_wh("mppt", 100, 2, 5, 2, 1.0, 1.0, 95, 100, 14.4, 3)
    assert found == pytest.approx(100 * 2 * 0.95 * 3)


def test_yield_of_a_pwm_controller_is_current_at_the_banks_voltage():
    """9 A · 2 strings · 14.4 V · 0.9 · 0.8 for 4 h; watts and efficiency play no part."""
    found = array_yield_wh("pwm", 175, 4, 9, 2, 0.9, 0.8, 50, 40, 14.4, 4)
    assert found == pytest.approx(9 * 2 * 14.4 * 0.9 * 0.8 * 4)


def test_yield_of_twelve_months_at_once():
    """Arrays of sun and heat give what each month gives alone."""
    sun, heat = np.linspace(1, 6, 12), np.linspace(1, 0.85, 12)
    found = array_yield_wh("mppt", 175, 4, 9, 4, heat, 0.85, 97, 30, 14.4, sun)
    alone = [
        array_yield_wh("mppt", 175, 4, 9, 4, h, 0.85, 97, 30, 14.4, s)
        for s, h in zip(sun, heat, strict=True)
    ]
    assert found == pytest.approx(alone)


LOADS = (
    _load("lamps", watts=5, quantity=4, hours_per_day=3),
    _load("heater fan", watts=30, hours_per_day=6, months=(1, 2, 12)),
    _load("kettle", "ac", 1000, hours_per_day=0.2),
    _load("drill", "ac", 600, hours_per_day=0.5, together=False, surge_watts=1500, months=(7,)),
)


def test_energy_of_the_loads_that_run_in_a_month():
    """A load counts in its own months, one without months in all."""
    assert load_wh(LOADS, 1) == pytest.approx((60 + 180, 200))
    assert load_wh(LOADS, 7) == pytest.approx((60, 200 + 300))


def test_inverter_draws_its_loss_and_its_idle_power():
    """900 Wh at 90 % and 10 W for 24 h."""
    assert inverter_need_wh(900, 90, 10, 24) == pytest.approx(1240)


@pytest.mark.parametrize(
    ("loads", "stated", "hours"),
    [(LOADS, None, 24), (LOADS, 5.0, 5), (LOADS[:2], None, 0), (LOADS[:2], 5.0, 0)],
)
def test_inverter_hours(loads, stated, hours):
    """As stated, else all day; none in a month without an AC load."""
    needs = Needs(
        job=Job(name="hut", currency="EUR"),
        site=Site(
            latitude_deg=50, longitude_deg=8, tilt_deg=30, azimuth_deg=180, coldest_c=-8,
            hottest_c=32,
        ),
        energy=Energy(autonomy_days=2, inverter_hours_per_day=stated),
        loads=loads,
        places=(Place(name="x", length_mm=1000, width_mm=1000),),
    )  # fmt: skip
    assert inverter_hours(needs, 1) == hours


def test_what_runs_together():
    """All that run together, or the largest single item where that is more."""
    assert together_w(LOADS, "dc") == 50
    assert together_w(LOADS, "ac") == 1000
    assert together_w(LOADS[3:], "ac") == 600
    assert together_w([], "ac") == 0


def test_volt_amperes_size_an_inverter():
    """An AC load's power factor counts, a DC load's never."""
    pump = _load("pump", "ac", 400, power_factor=0.8, surge_watts=800)
    assert together_w([pump], "ac") == pytest.approx(500)
    assert surge_w([pump]) == pytest.approx(1000)


def test_surge_of_one_that_does_not_run_with_the_others_is_added():
    """The kettle runs, the drill starts on top: 1000 + 1500."""
    assert surge_w(LOADS) == 2500


def test_surge_of_one_that_runs_with_the_others_replaces_its_watts():
    """Two fridges and a lamp; one fridge starts: 100 + 700 + 40, and the other starting alone."""
    fridges = _load("fridge", "ac", 100, quantity=2, surge_watts=700)
    assert surge_w([fridges, _load("lamp", "ac", 40)]) == 840


def test_surge_without_start_up_draws_is_what_runs_together():
    """Nothing is made up where no start-up draw is stated."""
    assert surge_w([_load("kettle", "ac", 1000), _load("lamp", "ac", 40)]) == 1040


def test_current_of_a_circuit_of_loads():
    """What runs together of the circuit, at the lowest voltage; or its largest item alone."""
    lamps = _load(watts=11, quantity=2)
    winch = _load(watts=440, together=False)
    assert load_current_a([lamps], 12) == pytest.approx(2)
    assert load_current_a([lamps, winch], 12) == pytest.approx(40)


# --- conductors ---


@pytest.mark.parametrize(("system_v", "least_mm2"), [(12, 49.3), (24, 12.3), (48, 3.1)])
def test_least_copper_for_2_pct(system_v, least_mm2):
    """2 kW at 92 %, 1.5 m one way: the area that keeps 2 %, by plain resistivity at 60 °C."""
    amps = inverter_current_a(2000, 92, system_v)
    ohm_per_m = resistance_ohm_per_m(17.241 / least_mm2, 60)
    assert drop_v(2, 1.5, amps, ohm_per_m) == pytest.approx(0.02 * system_v, rel=0.02)


areas = st.sampled_from([1, 1.31, 1.5, 2.08, 2.5, 4, 6, 8.37, 10, 16, 25, 35, 50, 70, 95, 120])
insulations = st.sampled_from([60, 70, 75, 80, 85, 90, 105, 125])
practices = st.sampled_from(["iso", "nec", "abyc"])


@given(practices, areas, areas, insulations, st.floats(-20, 100), st.integers(1, 45))
def test_thicker_never_carries_less(practice, one, other, insulation_c, ambient_c, n):
    """More copper of the same insulation in the same place never carries less."""
    thin, thick = sorted((one, other))
    amps = [ampacity_a(practice, a, insulation_c, ambient_c, n) for a in (thin, thick)]
    assert amps[0] <= amps[1]


@given(practices, areas, insulations, st.floats(-20, 100), st.floats(0, 40), st.integers(1, 45))
def test_hotter_fuller_or_beside_an_engine_never_carries_more(
    practice, area_mm2, insulation_c, ambient_c, warmer_k, n
):
    """Heat, company and an engine take current away, never add."""
    base = ampacity_a(practice, area_mm2, insulation_c, ambient_c, n)
    assert ampacity_a(practice, area_mm2, insulation_c, ambient_c + warmer_k, n) <= base
    assert ampacity_a(practice, area_mm2, insulation_c, ambient_c, n + 1) <= base
    assert ampacity_a(practice, area_mm2, insulation_c, ambient_c, n, True) <= base


@given(practices, areas, insulations, insulations, st.floats(-20, 100), st.integers(1, 45))
def test_better_insulation_never_carries_less(practice, area_mm2, one, other, ambient_c, n):
    """The same copper in insulation that stands more heat never carries less."""
    poor, good = sorted((one, other))
    assert ampacity_a(practice, area_mm2, poor, ambient_c, n) <= (
        ampacity_a(practice, area_mm2, good, ambient_c, n) + 1e-9
    )


@pytest.mark.parametrize(
    ("practice", "area_mm2"), [("iso", 1.0), ("nec", 2.08), ("abyc", 1.31)]
)
def test_thinnest_wire_of_a_power_circuit(practice, area_mm2):
    """1 mm², 14 AWG, 16 AWG."""
    assert least_area_mm2(practice) == area_mm2


# --- room ---


corners = st.integers(0, 12)
sides = st.integers(1, 8)


@given(
    st.integers(1, 12),
    st.integers(1, 12),
    st.integers(0, 3),
    st.lists(st.tuples(corners, corners, sides, sides), max_size=5),
)
def test_usable_area_is_the_squares_left(length, width, margin, blocks):
    """Against counting unit squares one by one, with obstacles that overlap and stick out."""
    place = Place(
        name="roof",
        length_mm=length,
        width_mm=width,
        margin_mm=margin,
        obstacles=tuple(
            Obstacle(name="o", x_mm=x, y_mm=y, length_mm=a, width_mm=b) for x, y, a, b in blocks
        ),
    )
    free = sum(
        not any(x <= i < x + a and y <= j < y + b for x, y, a, b in blocks)
        for i in range(margin, length - margin)
        for j in range(margin, width - margin)
    )
    assert math.isclose(usable_area_mm2(place), free)
