"""Stand-alone sizing, worked through: two whole jobs and a textbook's battery.

- `constructed_van_12v`, `constructed_cabin_24v`: the worksheet method of SAND87-7023,
  Stand-Alone Photovoltaic Systems: A Handbook of Recommended Design Practices, Sandia National
  Laboratories, revised 1995, worksheets 1 to 4. The inputs are constructed, not the handbook's.
- `masters_salt_lake_cabin_battery`: Masters, Renewable and Efficient Electric Power Systems,
  Wiley 2004, chapter 9, FROM MEMORY, the arithmetic recomputed.

Every step that the method shares with ours is done with our functions. Where ours differ:

- The worksheets charge at the nominal voltage; ours at the charging voltage (14.4 V per 12 V).
- Their wire efficiency is part of our `derate` and weighs on the yield, not on the load.
- Their battery efficiency weighs on the load before storage too; our charge efficiency only on
  what arrives in the bank, and the days of autonomy are counted on what is drawn from it.
- They know no idle draw of an inverter, no temperature of the cells month by month and no
  limit of the controller; here these are set to nothing.
"""

import math
from dataclasses import dataclass

import pytest

from solver.needs import Load
from solver.rules.bank import usable_wh
from solver.rules.energy import array_yield_wh, inverter_need_wh, load_wh
from tests.published.printed import half_digit, rows, standing

JOBS = ("constructed_van_12v", "constructed_cabin_24v")
NO_LIMIT_A = 1e9


def _sheet(job):
    return {row["quantity"]: row for row in rows("sizing_examples") if row["example"] == job}


@dataclass
class Worksheet:
    """A job's figures as printed, and its loads as we describe them."""

    job: str

    def __post_init__(self):
        self.rows = _sheet(self.job)
        self.names = sorted({q.rsplit("_power", 1)[0] for q in self.rows if "_power" in q})

    def __getitem__(self, quantity):
        return float(self.rows[quantity]["value"])

    def load(self, name):
        """One of its loads; days a week are folded into the hours of a mean day."""
        quantity = int(self[f"{name}_quantity"])
        return Load(
            name=name,
            supply="ac" if "_ac" in name else "dc",
            watts=self[f"{name}_power"] / quantity,
            quantity=quantity,
            hours_per_day=self[f"{name}_hours_per_day"] * self[f"{name}_days_per_week"] / 7,
            place="hut",
        )

    def from_bank_wh(self, name):
        """What one load draws from the bank on a mean day."""
        dc_wh, ac_wh = load_wh([self.load(name)], month=1)
        efficiency_pct = 100 * self[f"{name}_conversion_efficiency"]
        return dc_wh + inverter_need_wh(ac_wh, efficiency_pct, idle_w=0, hours=0)

    def need_wh(self):
        """What all of them draw."""
        return sum(self.from_bank_wh(name) for name in self.names)

    def corrected_wh(self):
        """The same over the efficiencies of wire and battery, as the worksheet has it."""
        return self.need_wh() / (self["wire_efficiency"] * self["battery_efficiency"])

    def bank_wh(self, parallel, factor=1.0):
        """Usable energy of a number of strings."""
        return usable_wh(
            self["system_voltage"] / self["batteries_in_series"],
            self["batteries_in_series"],
            self["battery_capacity_each"],
            parallel,
            100 * self["max_depth_of_discharge"],
            factor,
        )

    def yield_wh(self, parallel, sun_hours=None):
        """Yield of a number of strings, charging at the nominal voltage as the worksheet does."""
        return array_yield_wh(
            "pwm",
            0.0,
            0.0,
            self["rated_module_current"],
            parallel,
            1.0,
            self["module_derate_factor"],
            100.0,
            NO_LIMIT_A,
            self["system_voltage"],
            self["peak_sun_design_month"] if sun_hours is None else sun_hours,
        )

    def least(self, enough):
        """The smallest whole number that is enough."""
        return next(n for n in range(1, 100) if enough(n))


SHEETS = {job: Worksheet(job) for job in JOBS}

STEPS = {
    "total_amp_hour_load": lambda s: s.need_wh() / s["system_voltage"],
    "corrected_amp_hour_load": lambda s: s.corrected_wh() / s["system_voltage"],
    "design_current": lambda s: (
        s.corrected_wh() / s["system_voltage"] / s["peak_sun_design_month"]
    ),
    "required_battery_capacity": lambda s: (
        s["storage_days"] * s.corrected_wh() / s.bank_wh(1, s["temperature_derate"])
        * s["battery_capacity_each"]
    ),
    "batteries_in_parallel": lambda s: s.least(
        lambda n: s.bank_wh(n, s["temperature_derate"])
        >= s["storage_days"] * s.corrected_wh()
    ),
    "batteries_total": lambda s: (
        s.least(
            lambda n: s.bank_wh(n, s["temperature_derate"])
            >= s["storage_days"] * s.corrected_wh()
        )
        * s["batteries_in_series"]
    ),
    "system_battery_capacity": lambda s: (
        s.bank_wh(s["batteries_in_parallel"]) / s["system_voltage"] / s["max_depth_of_discharge"]
    ),
    "usable_battery_capacity": lambda s: (
        s.bank_wh(s["batteries_in_parallel"]) / s["system_voltage"]
    ),
    "derated_design_current": lambda s: (
        s["rated_module_current"] * s.corrected_wh() / s.yield_wh(1)
    ),
    "modules_in_parallel": lambda s: s.least(lambda n: s.yield_wh(n) >= s.corrected_wh()),
    "rated_array_current": lambda s: (
        s.yield_wh(s["modules_in_parallel"], sun_hours=1.0)
        / s["system_voltage"]
        / s["module_derate_factor"]
    ),
}  # fmt: skip
"""Each figure of the worksheets that is a step of ours too."""


@pytest.mark.parametrize("quantity", STEPS)
@pytest.mark.parametrize("job", JOBS)
def test_step_of_the_worksheets(job, quantity):
    """The step comes out as worked, to its last printed digit."""
    sheet = SHEETS[job]
    text = sheet.rows[quantity]["value"]
    assert abs(STEPS[quantity](sheet) - float(text)) <= half_digit(text) * (1 + 1e-6)


LOADS = [
    pytest.param(job, name, id=f"{job} {name}") for job in JOBS for name in SHEETS[job].names
]


@pytest.mark.parametrize(("job", "name"), LOADS)
def test_energy_of_a_load(job, name):
    """Worksheet 1: watts, hours and days a week make the mean day's energy."""
    sheet = SHEETS[job]
    text = sheet.rows[f"{name}_mean_daily_energy"]["value"]
    assert abs(sum(load_wh([sheet.load(name)], 1)) - float(text)) <= half_digit(text)


@pytest.mark.parametrize(("job", "name"), LOADS)
def test_ampere_hours_of_a_load(job, name):
    """Worksheet 1: over the conversion's efficiency and the system's voltage."""
    sheet = SHEETS[job]
    text = sheet.rows[f"{name}_amp_hour_load"]["value"]
    found = sheet.from_bank_wh(name) / sheet["system_voltage"]
    assert abs(found - float(text)) <= half_digit(text) * (1 + 1e-6)


@pytest.mark.parametrize(("job", "name"), LOADS)
def test_watts_of_a_load(job, name):
    """The stated watts are volts times amperes of all the items."""
    sheet = SHEETS[job]
    volts, amps = sheet[f"{name}_voltage"], sheet[f"{name}_current"]
    load = sheet.load(name)
    assert load.watts * load.quantity == pytest.approx(
        volts * amps * sheet[f"{name}_quantity"], rel=1e-9
    )


@pytest.mark.parametrize("job", JOBS)
def test_ours_needs_no_more_than_the_worksheets(job):
    """Our charging voltage and our autonomy without the battery's efficiency ask for less.

    The difference is known and bounded: 14.4 V for 12 V on the array, 1 / (0.98 · 0.9) on the
    bank.
    """
    sheet = SHEETS[job]
    days, factor = sheet["storage_days"], sheet["temperature_derate"]
    ours = sheet.least(lambda n: sheet.bank_wh(n, factor) >= days * sheet.need_wh())
    theirs = sheet["batteries_in_parallel"]
    assert math.floor(theirs * 0.98 * 0.9) <= ours <= theirs


MASTERS = _sheet("masters_salt_lake_cabin_battery")


def _masters(quantity):
    return float(MASTERS[quantity]["value"])


def _dc_wh():
    efficiency_pct = 100 * _masters("inverter_efficiency")
    return inverter_need_wh(_masters("ac_demand"), efficiency_pct, idle_w=0, hours=0)


MASTERS_STEPS = {
    "dc_demand": _dc_wh,
    "load": lambda: _dc_wh() / _masters("system_voltage"),
    "usable_storage": lambda: (
        _dc_wh()
        / _masters("system_voltage")
        * _masters("usable_storage_days_for_95pct_availability")
    ),
    "battery_capacity_25c_c20": lambda: (
        _masters("usable_storage")
        * _masters("system_voltage")
        / usable_wh(
            _masters("system_voltage"),
            1,
            1.0,
            1,
            100 * _masters("max_depth_of_discharge_at_minus_10_c"),
            _masters("temperature_and_rate_factor_minus_10_c_c72"),
        )
    ),
}


@pytest.mark.parametrize(
    "quantity", [pytest.param(q, id=f"{q}{standing(MASTERS[q])}") for q in MASTERS_STEPS]
)
def test_step_of_the_textbooks_battery(quantity):
    """The cabin's battery, step by step, to the printed digit."""
    text = MASTERS[quantity]["value"]
    assert abs(MASTERS_STEPS[quantity]() - float(text)) <= half_digit(text)
