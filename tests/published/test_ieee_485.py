"""IEEE 485, Sizing lead-acid batteries for stationary applications, IEEE, table 1.

FROM MEMORY (the ends, -3.9 °C and 51.7 °C, were read). Independent checks: the factor falls
with the temperature and is 1 at 25 °C.
"""

import pytest

from solver.rules.bank import temperature_factor
from solver.tables import ieee_485
from tests.published.printed import agrees, cases


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("ieee485_temperature_factor", "sizing_factor", label="temperature_c"),
)
def test_sizing_factor(row, column, text):
    """The table holds the remembered factor."""
    assert dict(ieee_485.SIZING_FACTOR)[float(row["temperature_c"])] == float(text)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("ieee485_temperature_factor", "available_capacity_fraction", label="temperature_c"),
)
@pytest.mark.parametrize("chemistry", ["agm", "gel", "flooded"])
def test_share_of_the_capacity(row, column, text, chemistry):
    """At a row's temperature the share is the factor's inverse, but never above 1."""
    share = temperature_factor(chemistry, float(row["temperature_c"]))
    if float(text) >= 1:
        assert share == 1.0
    else:
        assert agrees(share, text)


@pytest.mark.parametrize(("temp_c", "row_c"), [(-20, -3.9), (60, 51.7)])
def test_ends_are_held(temp_c, row_c):
    """Colder and warmer than the table its end rows go on."""
    assert temperature_factor("agm", temp_c) == temperature_factor("agm", row_c)


def test_between_rows():
    """Halfway between two rows the factor is halfway."""
    halfway = (-3.9 + -1.1) / 2
    assert temperature_factor("agm", halfway) == pytest.approx(2 / (1.52 + 1.43))


def test_colder_holds_less():
    """The table falls from row to row: a slip of a digit would show."""
    factors = [factor for _, factor in ieee_485.SIZING_FACTOR]
    assert factors == sorted(set(factors), reverse=True)
    assert dict(ieee_485.SIZING_FACTOR)[25.0] == 1.0


def test_lithium_has_no_such_factor():
    """The table is for lead-acid alone."""
    assert temperature_factor("lfp", -10) == 1.0
