"""Pull on a crimped end: ABYC E-11, tensile test for one minute. FROM MEMORY."""

import pytest

from solver.rules.gauge import gauge_area_mm2
from solver.rules.termination import pull_n
from tests.published.printed import cases


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("abyc_e11_tensile_test", "pull_n", label="awg")
)
def test_pull(row, column, text):
    """Each gauge stands its pull, to the last digit printed."""
    assert abs(pull_n(gauge_area_mm2(row["awg"])) - float(text)) <= 0.051


def test_between_two_gauges_the_thinner_one_counts():
    """A size in mm² is never pulled harder than the gauge under it; one thinner than all, least."""
    assert pull_n(35) == pull_n(33.6) < pull_n(42.4)
    assert pull_n(0.5) == pull_n(0.823)
