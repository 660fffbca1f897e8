"""ABYC E-11, AC and DC electrical systems on boats, American Boat and Yacht Council.

The 105 °C ampacities and table IX (gauges for 3 % drop at 12 V, length there and back in feet)
were read in public reproductions. The least areas of a gauge are from memory; 88 of the 89
printed cells of table IX confirm them, and one is a misprint (15 A over 60 ft).
"""

import pytest

from solver.rules.ampacity import cfr_183_425_a
from solver.rules.conductor import ampacity_a, drop_v, resistance_ohm_per_m
from solver.rules.gauge import gauge_area_mm2
from solver.tables import abyc_e11, awg
from tests.published.printed import agrees, cases, half_digit, rows

M_PER_FT = 0.3048
IACS_OHM_CMIL_PER_FT = 10.371
"""Annealed copper at 20 °C, NBS Handbook 100, from memory."""


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("abyc_e11_ampacity_105c", "outside_engine_space_a", label="awg"),
)
def test_ampacity_outside(row, column, text):
    """105 °C insulation at 30 °C carries the printed current."""
    assert ampacity_a("abyc", awg.AREA_MM2[row["awg"]], 105, 30, 2) == float(text)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("abyc_e11_ampacity_105c", "inside_engine_space_a", label="awg"),
)
def test_ampacity_inside(row, column, text):
    """In an engine space it carries 0.85 of it; the print rounds to whole amperes."""
    found = ampacity_a("abyc", awg.AREA_MM2[row["awg"]], 105, 30, 2, engine_space=True)
    assert abs(found - float(text)) <= half_digit(text)
    assert abyc_e11.AMPACITY_105C_A[row["awg"]][1] == float(text)


@pytest.mark.parametrize("gauge", abyc_e11.AMPACITY_105C_A)
def test_outside_column_is_the_regulations(gauge):
    """Two independent reproductions, the regulation's 105 °C column and ABYC's, are equal."""
    by_regulation = cfr_183_425_a(awg.AREA_MM2[gauge], 105, between=False)
    assert by_regulation == abyc_e11.AMPACITY_105C_A[gauge][0]


def _drop(gauge, current_a, round_trip_ft):
    """Volts lost in a gauge of ABYC's least area, at the temperature that its K stands for."""
    per_k = 0.00393
    copper_c = 20 + (abyc_e11.K_OHM_CMIL_PER_FT / IACS_OHM_CMIL_PER_FT - 1) / per_k
    ohm_per_ft_20c = IACS_OHM_CMIL_PER_FT / abyc_e11.LEAST_CMIL[gauge]
    ohm_per_m = resistance_ohm_per_m(ohm_per_ft_20c / M_PER_FT * 1000, copper_c)
    return drop_v(1, round_trip_ft * M_PER_FT, current_a, ohm_per_m)


TABLE_IX = [
    pytest.param(row, id=f"{row['current_a']} A {row['round_trip_ft']} ft, read")
    for row in rows("abyc_e11_drop_3pct_12v")
    if row["match"] == "yes"
]
MISPRINTS = [row for row in rows("abyc_e11_drop_3pct_12v") if row["match"] != "yes"]


@pytest.mark.parametrize("row", TABLE_IX)
def test_gauge_for_3_pct_of_12_v(row):
    """The printed gauge keeps the drop within 3 % of 12 V, and no thinner one does."""
    current_a, round_trip_ft = float(row["current_a"]), float(row["round_trip_ft"])
    gauges = list(abyc_e11.LEAST_CMIL)
    enough = [g for g in gauges if _drop(g, current_a, round_trip_ft) <= 0.03 * 12]
    assert enough[0] == row["table_awg"]


def test_the_one_misprint_of_table_ix():
    """15 A over 60 ft is printed as 6 AWG, which drops more than 3 %; 4 AWG is needed."""
    (row,) = MISPRINTS
    assert (row["current_a"], row["round_trip_ft"], row["table_awg"]) == ("15", "60", "6")
    assert _drop("6", 15, 60) > 0.36 >= _drop("4", 15, 60)


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("abyc_e11_min_cmil", "min_area_cmil", label="awg")
)
def test_least_area_of_a_gauge(row, column, text):
    """A gauge's stranded conductor may be up to 11 % thinner than the solid wire's area."""
    least = abyc_e11.LEAST_CMIL[row["awg"]]
    assert least == float(text)
    solid_cmil = gauge_area_mm2(row["awg"]) / awg.MM2_PER_CMIL
    assert 0.89 <= least / solid_cmil <= 1.0
    assert agrees(least / solid_cmil, row["ratio"])
