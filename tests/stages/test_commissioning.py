"""What the meter should show: figures worked by hand, and against a library of solar physics."""

from __future__ import annotations

import dataclasses

import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.commissioning import expected
from solver.needs import Charging, Load
from solver.readings import DEAD, IDEALITY, LIVE, rest_v, string_open_v
from solver.rules.termination import torque_nm
from tests.bom.sample import CUTS, DESIGN, ENERGY, NEEDS
from tests.oracle import larger_design

FIRST_STEPS = list(range(1, 8))


def _tests(design=DESIGN, needs=NEEDS):
    return expected(needs, design, ENERGY)


def _one(start, subject=None, **given_):
    found = [
        t for t in _tests(**given_) if t.test.startswith(start) and subject in (None, t.subject)
    ]
    assert len(found) == 1, (start, subject, [t.test for t in found])
    return found[0]


def test_two_panels_on_a_cool_morning_worked_by_hand():
    """Two of 45.3 V, -0.27 %/K, 12 °C, 700 W/m², cells 30 K over the air in full sun.

    Cells at 12 + 21 = 33 °C: 90.6 · (1 - 0.0027 · 8) = 88.64 V. Less, for 0.7 of the sun, 144
    cells · 1.1 · 26.4 mV · ln 0.7 = -1.49 V: 87.15 V.
    """
    assert string_open_v(45.3, 2, -0.27, 12, 30, 700) == pytest.approx(87.15, abs=0.01)


def test_in_full_sun_and_at_25_degrees_a_panel_gives_its_label():
    """Standard test conditions: cells at 25 °C, so air at -5 with 30 K over it."""
    assert string_open_v(22.4, 3, -0.3, -5, 30, 1000) == pytest.approx(3 * 22.4)


@pytest.mark.parametrize("share", [0.2, 0.4, 0.7, 1.0])
@pytest.mark.parametrize("cells", [36, 60, 72])
def test_less_sun_as_the_single_diode_equation_of_pvlib(share, cells):
    """Pvlib solves the equation itself; ours takes its logarithm. Cells at 25 °C throughout."""
    voc = 0.63 * cells
    thermal = cells * IDEALITY * 0.0256926
    full, part = (
        float(
            pvlib.pvsystem.singlediode(
                photocurrent=10.0 * s,
                saturation_current=10.0 / (2.718281828459045 ** (voc / thermal) - 1),
                resistance_series=0.0,
                resistance_shunt=1e9,
                nNsVth=thermal,
            )["v_oc"]
        )
        for s in (1.0, share)
    )
    assert full == pytest.approx(voc, rel=1e-4)
    air = 25 - 30 * share
    assert string_open_v(voc, 1, -0.3, air, 30, 1000 * share) == pytest.approx(part, rel=2e-4)


@given(
    st.floats(-30, 40), st.floats(0.1, 20), st.floats(100, 1100), st.integers(1, 12),
    st.floats(-0.4, -0.2),
)  # fmt: skip
def test_colder_air_never_gives_less(air, colder, sun, series, coefficient):
    """And a string is so many panels."""
    one = string_open_v(40, 1, coefficient, air, 30, sun)
    assert string_open_v(40, 1, coefficient, air - colder, 30, sun) > one
    assert string_open_v(40, series, coefficient, air, 30, sun) == pytest.approx(series * one)


def test_at_night_nothing_is_expected():
    """A string is measured in sun."""
    with pytest.raises(ValueError, match="sun"):
        string_open_v(40, 1, None, 10, 30, 0)


@pytest.mark.parametrize(
    ("chemistry", "nominal", "low", "high"),
    [
        ("lfp", 12.8, 13.0, 13.4),
        ("lfp", 51.2, 52.0, 53.6),
        ("lfp", 24, 26.0, 26.8),
        ("agm", 12, 12.2, 12.7),
        ("flooded", 6, 6.1, 6.35),
        ("gel", 2, 12.2 / 6, 12.7 / 6),
    ],
)
def test_a_battery_at_rest(chemistry, nominal, low, high):
    """By its chemistry and how many of 12 V it is."""
    assert rest_v(chemistry, nominal) == pytest.approx((low, high))


def test_every_stud_has_its_torque_and_its_ends_are_counted():
    """10 ends on M8 and 4 on M6, counted on the sample's list with a finger: 6 and 3 Nm."""
    rows = [(t.subject, t.value) for t in _tests() if t.test.startswith("torque")]
    assert rows == [("M6, 4 ends", 3.0), ("M8, 10 ends", 6.0)]
    assert {s for c in CUTS for e in c.ends if (s := e.stud)} == {"M6", "M8"}
    assert torque_nm("M8") == 6.0


def test_crimped_ends_are_pulled_by_their_size():
    """25 mm² lies over 4 AWG (21.2): 70 lbf, 311 N; ferrules and connectors are not pulled."""
    pull = _one("pull a sample")
    assert pull.subject == "25 mm2, 14 ends"
    assert pull.value == pytest.approx(311.4, abs=0.1)


def test_a_load_draws_its_watts_over_the_voltage_at_rest():
    """Four lamps of 5 W at 13.2 V: 1.52 A, within a tenth."""
    lamps = _one("current with all its loads on", "@lamps")
    assert lamps.value == pytest.approx(20 / 13.2)
    assert (lamps.at_least, lamps.at_most) == pytest.approx((18 / 13.2, 22 / 13.2))


def test_the_drop_is_the_conductors_at_that_current():
    """Twice 2.2 m of 2.5 mm² at 1.515 A.

    The sample's drop is reckoned with 0.022 Ωmm²/m at 60 °C: 4.4 · 1.515 · 0.022 / 2.5 = 58.7 mV;
    at 20 °C it is 1.1572 times less, 50.7 mV. At most 1.2 times the warm one: 70.4 mV.
    """
    drop = _one("drop there and back", "@lamps")
    assert drop.value == pytest.approx(0.0507, abs=1e-4)
    assert drop.at_most == pytest.approx(0.0704, abs=1e-4)


def test_the_inverter_under_its_largest_load():
    """A laptop of 65 W through 91 %: 71.4 W out of 13.2 V is 5.41 A; idle 6 W is 0.45 A."""
    load = _one('DC current with "Laptop" on', "INV1")
    assert load.value == pytest.approx(65 / 0.91 / 13.2)
    assert _one("DC current without load").value == pytest.approx(6 / 13.2)
    volts = _one("AC voltage without load")
    assert (volts.at_least, volts.at_most) == pytest.approx((218.5, 241.5))
    assert volts.licensed


def test_charging_voltages_of_the_chemistry():
    """LFP at 12 V: 14.4 and 13.4 to 13.6 V; of lead-acid at 24 V twice the usual, with its probe."""
    absorption = _one("absorption", "MPPT1")
    assert (absorption.value, absorption.at_least, absorption.at_most) == pytest.approx(
        (14.4, 14.3, 14.5)
    )
    hold = _one("float", "CH1")
    assert (hold.at_least, hold.at_most) == (13.4, 13.6)
    assert not any("temperature, from 25" in t.test for t in _tests())
    lead = dataclasses.replace(DESIGN, chemistry="agm", system_voltage_v=24)
    assert _one("absorption", "MPPT1", design=lead).value == pytest.approx(29.4)
    assert _one("change of these voltages", design=lead).at_least == -60


def test_the_string_is_told_for_several_airs_and_suns():
    """Two panels of 24.3 V, -0.28 %/K: a row each, the coldest and brightest highest."""
    rows = {t.test: t.value for t in _tests() if t.test.startswith("each string open")}
    assert len(rows) == 12
    (zero,) = (
        v for k, v in rows.items() if k.endswith("0 °C air, 1000 W/m²") and ": 0 °C" in k
    )
    assert zero == pytest.approx(48.6 * (1 - 0.0028 * 5))


def test_the_array_charges_with_no_more_than_sun_and_limit_give():
    """Two of 200 W at 700 W/m², derate 0.85, 97 %: 230.9 W at 13.2 V are 17.5 A, under 30 A."""
    assert _one("array on", "MPPT1").value == pytest.approx(280 * 0.85 * 0.97 / 13.2)
    small = dataclasses.replace(DESIGN.device("MPPT1").part, max_charge_a=10)
    devices = tuple(
        dataclasses.replace(d, part=small) if d.id == "MPPT1" else d for d in DESIGN.devices
    )
    limited = dataclasses.replace(DESIGN, devices=devices)
    assert _one("array on", "MPPT1", design=limited).value == 10


def test_several_batteries_are_compared_before_they_are_joined():
    """One has nothing to be compared with; two of 12 V may differ by 0.05 V."""
    assert not any("difference between any two" in t.test for t in _tests())
    bank = dataclasses.replace(DESIGN.bank, parallel=2, batteries=("B1", "B2"))
    two = dataclasses.replace(DESIGN, bank=bank)
    assert _one("difference between any two", design=two).at_most == pytest.approx(0.05)


def test_licensed_work_is_marked_where_there_is_an_ac_side():
    """Residual-current device and change-over: only with AC circuits, and never the builder's."""
    plain = [t.test for t in _tests() if t.step in (12, 13) and t.part == LIVE]
    assert plain == []
    ac = dataclasses.replace(DESIGN.circuits[0], kind="ac", name="AC in", from_="shore inlet")
    with_ac = dataclasses.replace(DESIGN, circuits=(*DESIGN.circuits, ac))
    rows = [t for t in _tests(design=with_ac) if t.step in (12, 13) and t.part == LIVE]
    assert len(rows) == 2
    assert all(t.licensed for t in rows)


@pytest.mark.parametrize(
    ("design", "needs"),
    [(DESIGN, NEEDS), (larger_design.design(), larger_design.needs())],
    ids=["sample", "larger"],
)
def test_every_row_can_be_worked_by(design, needs):
    """Steps rise within a part, dead before live; a value lies in its band; nothing is empty."""
    rows = _tests(design=design, needs=needs)
    for part in (DEAD, LIVE):
        steps = [t.step for t in rows if t.part == part]
        assert steps == sorted(steps)
        assert len(set(steps)) >= 5
    parts = [t.part for t in rows]
    assert parts == sorted(parts)
    for t in rows:
        assert all((t.test, t.subject, t.instrument, t.outside, t.source)), t
        if not isinstance(t.value, str):
            assert t.at_least is None or t.at_least <= t.value
            assert t.at_most is None or t.value <= t.at_most
            assert t.unit
    assert sorted({t.step for t in rows if t.part == DEAD}) == FIRST_STEPS


def test_what_is_not_there_is_not_tested():
    """No inverter, no charger, no surge: no rows about them."""
    bare = dataclasses.replace(
        DESIGN, devices=tuple(d for d in DESIGN.devices if d.part.cls not in ("inverter", "charger")),
        circuits=tuple(c for c in DESIGN.circuits if c.kind not in ("inverter", "charger")),
    )  # fmt: skip
    texts = " ".join(f"{t.test} {t.subject}" for t in _tests(design=bare))
    assert "INV1" not in texts
    assert "CH1" not in texts
    loads = (*NEEDS.loads, Load(name="saw", supply="ac", watts=400, surge_watts=900,
                                hours_per_day=1, place="hut"))  # fmt: skip
    needs = dataclasses.replace(NEEDS, loads=loads, charging=(
        Charging(kind="shore", max_w=200, hours_per_day=1),))  # fmt: skip
    assert _one("start of", needs=needs).test.startswith('start of "saw"')


def test_no_bond_is_measured_that_the_kit_has_not():
    """With bonds each is named; without, neither cases nor frames are told of as bonded."""
    bare = dataclasses.replace(
        DESIGN, circuits=tuple(c for c in DESIGN.circuits if c.kind != "bond")
    )
    told = _one("continuity of earth and bond", design=bare)
    assert told.subject.startswith("none in this kit")
    assert not [w for w in ("cases", "frames", "rails") if w in told.subject]
    bond = dataclasses.replace(DESIGN.circuits[0], kind="bond", name="frames of array 1")
    bonded = dataclasses.replace(bare, circuits=(*bare.circuits, bond))
    assert _one("continuity of earth", design=bonded).subject == "frames of array 1"
