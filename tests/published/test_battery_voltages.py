"""Voltages of banks of 12 V: usual values of the trade. Common practice, no source."""

import pytest

from solver.rules.string import charging_voltage_v
from solver.tables.battery_voltages import COMPENSATION_MV_PER_K, FLOAT_V, REST_V
from tests.published.printed import rows

ROWS = {(r["battery"], r["quantity"]): (float(r["low"]), float(r["high"])) for r in rows("battery_typical_values")}  # fmt: skip
NAMES = {"lfp": "lfp_4s", "agm": "agm_6s", "gel": "gel_6s", "flooded": "flooded_6s"}


@pytest.mark.parametrize("chemistry", NAMES)
def test_float(chemistry):
    """The float voltages are the listed ones."""
    assert FLOAT_V[chemistry] == ROWS[NAMES[chemistry], "charging_float"]


def test_rest_of_lead_acid_from_half_to_full():
    """From the middle of the half-charged values to the full one's end."""
    half, full = ROWS["flooded_6s", "resting_50pct"], ROWS["flooded_6s", "resting_100pct"]
    for chemistry in ("agm", "gel", "flooded"):
        low, high = REST_V[chemistry]
        assert half[0] <= low <= half[1]
        assert high == full[1]


def test_rest_of_lithium_reaches_the_listed_end():
    """It begins lower, at 70 % charged, and ends at the same full voltage."""
    listed = ROWS["lfp_4s", "resting_high_charge"]
    assert REST_V["lfp"][1] == listed[1]
    assert REST_V["lfp"][0] <= listed[0]


@pytest.mark.parametrize("chemistry", NAMES)
def test_the_charging_voltage_lies_within_the_listed_range(chemistry):
    """What a charger is set to is what the trade sets."""
    low, high = ROWS[NAMES[chemistry], "charging_absorption"]
    assert low <= round(charging_voltage_v(chemistry, 12), 9) <= high


def test_compensation_of_lead_acid():
    """Millivolts a kelvin for 12 V."""
    assert ROWS["flooded_6s", "temperature_compensation"] == COMPENSATION_MV_PER_K
