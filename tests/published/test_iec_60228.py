"""IEC 60228:2004, Conductors of insulated cables, IEC.

Highest resistance at 20 °C, tables 2 (class 2) and 3 (class 5), and the factors of its annex
that take a measured resistance to 20 °C. Read in two independent public reproductions.
"""

import pytest

from solver.rules.conductor import resistance_limit_ohm_per_km, resistance_ohm_per_m
from solver.tables import iec_60228
from tests.published.printed import agrees, cases, half_digit

CLASS_5 = ("class5_plain_ohm_per_km_20c", "class5_metal_coated_ohm_per_km_20c")
CLASS_2 = ("class2_plain_ohm_per_km_20c", "class2_metal_coated_ohm_per_km_20c")


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("iec60228_resistance", *CLASS_5, label="area_mm2")
)
def test_limit_of_class_5(row, column, text):
    """The highest resistance of a flexible conductor is the printed one, to its last digit."""
    coated = column == CLASS_5[1]
    assert agrees(resistance_limit_ohm_per_km(float(row["area_mm2"]), coated), text)


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("iec60228_resistance", *CLASS_2, label="area_mm2")
)
def test_table_of_class_2(row, column, text):
    """The class 2 columns hold the printed values."""
    ohm = iec_60228.OHM_PER_KM[float(row["area_mm2"])]
    assert agrees(ohm[iec_60228.COLUMNS[2, column == CLASS_2[1]]], text)


@pytest.mark.parametrize("area_mm2", iec_60228.OHM_PER_KM)
def test_table_against_resistivity(area_mm2):
    """A slip of a digit would show: R · A over copper's 17.241 Ω mm²/km is near 1 everywhere."""
    for ohm in iec_60228.OHM_PER_KM[area_mm2]:
        assert 0.98 <= ohm * area_mm2 / 17.241 <= 1.22


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("iec60228_temperature_factor_to_20c", "factor_exact_copper", label="temperature_c"),
)
def test_resistance_at_a_temperature(row, column, text):
    """Resistance at a temperature, back at 20 °C, by the exact law 254.5 / (234.5 + t).

    To half a unit of the last digit printed, and half a unit of the coefficient's own last
    digit (0.00393 is the rounded 1 / 254.5) a kelvin.
    """
    temp_c = float(row["temperature_c"])
    factor = resistance_ohm_per_m(1000.0, 20.0) / resistance_ohm_per_m(1000.0, temp_c)
    rounded = 0.000005 * abs(temp_c - 20.0)
    assert abs(factor - float(text)) <= half_digit(text) + rounded * factor


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("iec60228_temperature_factor_to_20c", "factor_table", label="temperature_c"),
)
def test_resistance_against_the_printed_factors(row, column, text):
    """The annex's own factors follow the rounder 250 / (230 + t): we stay within 0.4 % of it.

    The standard's table is an approximation, so the exact law does not meet its last digit
    away from 20 °C; the difference is the approximation's, and it is bounded here.
    """
    temp_c = float(row["temperature_c"])
    assert agrees(250.0 / (230.0 + temp_c), text)
    factor = 1.0 / (1000.0 * resistance_ohm_per_m(1.0, temp_c))
    assert abs(factor / (250.0 / (230.0 + temp_c)) - 1.0) <= 0.004


@pytest.mark.parametrize(("area_mm2", "least", "most"), [(3, 4.95, 7.98), (30, 0.554, 0.78)])
def test_a_size_between_rows_lies_between_their_limits(area_mm2, least, most):
    """A size that the standard does not have gets a limit between its neighbours'."""
    assert least < resistance_limit_ohm_per_km(area_mm2) < most
