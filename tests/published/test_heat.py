"""Heat and air, worked by hand: no standard is behind these figures but plain physics.

The losses are the arithmetic of an efficiency or of Joule's law; the openings the stack effect
through two openings as ventilation handbooks have it (from memory), with 0.6 for the orifice,
0.5 m between the openings and 303 K; the rest is common practice, no source.
"""

import pytest

from solver.rules.heat import (
    controller_loss_w,
    converter_loss_w,
    fuse_loss_w,
    heat_air_m3_per_h,
    heat_opening_cm2,
    inverter_loss_w,
    resistance_loss_w,
    shunt_loss_w,
    wall_heat_w,
)
from solver.rules.ventilation import gas_air_m3_per_h, gas_opening_cm2
from tests.published.printed import agrees


@pytest.mark.parametrize(
    ("output_w", "efficiency_pct", "text"),
    [(1000, 90, "111"), (2000, 92, "174"), (40 * 14.4, 88, "79"), (30 * 14.4, 90, "48")],
)
def test_loss_of_a_converter(output_w, efficiency_pct, text):
    """Two inverters, a charger on mains, one on the engine."""
    assert agrees(converter_loss_w(output_w, efficiency_pct), text)


def test_loss_of_a_controller():
    """500 W of sun at 97 %, and its own use on top."""
    assert agrees(controller_loss_w(500, 97, 0), "15")
    assert controller_loss_w(500, 97, 1.5) == pytest.approx(16.5)


def test_loss_of_a_resistance():
    """A battery of 4 mΩ at 100 A; 3 m of 35 mm² at 60 °C, 1.71 mΩ."""
    assert agrees(resistance_loss_w(100, 0.004), "40")
    assert agrees(resistance_loss_w(100, 0.00171), "17")


def test_loss_of_a_fuse_and_a_shunt():
    """At their rating 0.1 V and 50 mV; at half of it a quarter."""
    assert agrees(fuse_loss_w(200, 200), "20")
    assert agrees(shunt_loss_w(200, 200), "10")
    assert fuse_loss_w(100, 200) == pytest.approx(5)


def test_loss_of_an_inverter_between_idle_and_rated():
    """Its idle draw without load, its rated loss at rated power and never beyond."""
    rated = converter_loss_w(1000, 90)
    assert inverter_loss_w(0, 1000, rated, 12) == 12
    assert inverter_loss_w(1000, 1000, rated, 12) == pytest.approx(rated)
    assert inverter_loss_w(500, 1000, rated, 12) == pytest.approx((rated + 12) / 2)
    assert inverter_loss_w(1500, 1000, rated, 12) == pytest.approx(rated)


def test_air_for_a_loss():
    """100 W at 10 K; the flow goes with the loss over the rise."""
    assert agrees(heat_air_m3_per_h(100, 10), "29.9")
    assert agrees(heat_air_m3_per_h(1, 1), "2.99")


@pytest.mark.parametrize(
    ("loss_w", "texts"),
    [
        (50, ("172", "93", "61")),
        (100, ("343", "187", "121")),
        (200, ("687", "374", "243")),
        (300, ("1030", "561", "364")),
    ],
)
def test_openings_for_a_loss(loss_w, texts):
    """Two openings half a metre apart, at 10, 15 and 20 K: cm² net each."""
    for rise_k, text in zip((10, 15, 20), texts, strict=True):
        area = heat_opening_cm2(loss_w, rise_k, 0.5)
        assert area == pytest.approx(float(text), abs=5 if text == "1030" else 0.5)


def test_walls_shed_heat():
    """1.5 m² of plywood at 10 K."""
    assert agrees(wall_heat_w(1.5, 10), "60")


@pytest.mark.parametrize(
    ("chemistry", "volts", "ah", "air", "opening"),
    [
        ("flooded", 12, 200, "1.20", "33.6"),
        ("flooded", 24, 400, "4.80", "134.4"),
        ("agm", 12, 200, "0.48", "13.4"),
        ("flooded", 48, 400, "9.60", "268.8"),
    ],
)
def test_gas_of_lead_acid(chemistry, volts, ah, air, opening):
    """EN IEC 62485-2, 7.2, from memory: vented and valve-regulated banks at boost."""
    found = gas_air_m3_per_h(chemistry, volts, ah)
    assert agrees(found, air)
    assert agrees(gas_opening_cm2(found), opening)
