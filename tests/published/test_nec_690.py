"""NFPA 70, National Electrical Code, article 690, photovoltaic systems, NFPA.

Table 690.7(A) FROM MEMORY, with an independent check: its factors follow a coefficient of
0.38 to 0.40 %/K at the cold end of each range. Worked strings by 690.7(A), worked currents by
690.8(A), (B), 690.9(B) and 240.6(A).
"""

import numpy as np
import pytest

from solver.rules.protection import next_standard_rating_a
from solver.rules.string import cold_factor, pv_design_current_a, pv_input_current_a, voc_cold_v
from solver.rules.string_fuse import (
    back_feed_a,
    string_fuse_least_a,
    string_fuse_most_a,
    string_fuse_poles,
)
from tests.published.printed import agrees, cases, rows, standing


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("nec_690_7_a_voc_factor", "voc_factor", label="ambient_from_c"),
)
@pytest.mark.parametrize("end", ["ambient_from_c", "ambient_to_c"])
def test_cold_factor(row, column, text, end):
    """Both ends of a range have the printed factor."""
    assert cold_factor(float(row[end])) == float(text)
    assert voc_cold_v(100.0, None, float(row[end])) == pytest.approx(100 * float(text))


@pytest.mark.parametrize(
    "row", rows("nec_690_7_a_voc_factor"), ids=lambda r: r["ambient_from_c"]
)
def test_cold_factor_against_a_coefficient(row):
    """The factor implies the coefficient that it should, at the cold end."""
    from_c = float(row["ambient_from_c"])
    implied_pct_per_c = 100 * (cold_factor(from_c) - 1) / (25 - from_c)
    assert agrees(implied_pct_per_c, row["implied_voc_pct_per_c"])


@pytest.mark.parametrize(("temp_c", "factor"), [(40, 1), (25, 1), (24.5, 1.02), (-0.5, 1.12)])
def test_cold_factor_between_the_printed_degrees(temp_c, factor):
    """A temperature between two ranges takes the colder one's factor, the safe side."""
    assert cold_factor(temp_c) == factor


def test_cold_factor_below_the_table():
    """Colder than the table's end it goes on rising."""
    assert cold_factor(-50) == pytest.approx(1.29)


STRINGS = [
    pytest.param(row, id=f"case {row['case']}{standing(row)}")
    for row in rows("pv_cold_voc_worked")
]


@pytest.mark.parametrize("row", STRINGS)
def test_worked_string_by_the_table(row):
    """A string of panels without a coefficient, worked by Table 690.7(A)."""
    panel_v = voc_cold_v(float(row["voc_stc_v"]), None, float(row["coldest_c"]))
    assert agrees(panel_v * int(row["modules_in_series"]), row["voc_by_table_v"])


@pytest.mark.parametrize("row", STRINGS)
def test_worked_string_by_the_coefficient(row):
    """The same string with the maker's coefficient, which takes precedence."""
    panel_v = voc_cold_v(
        float(row["voc_stc_v"]), float(row["voc_pct_per_c"]), float(row["coldest_c"])
    )
    assert agrees(panel_v * int(row["modules_in_series"]), row["voc_by_coefficient_v"])


def test_strings_as_an_array():
    """Many panels at once give what each gives alone."""
    voc_v = np.array([22.6, 49.5])
    alone = [voc_cold_v(22.6, -0.3, -10.0), voc_cold_v(49.5, -0.3, -10.0)]
    assert voc_cold_v(voc_v, -0.3, -10.0) == pytest.approx(alone)


CURRENTS = [
    pytest.param(
        row, id=f"{row['parallel_strings']} strings of {row['module_isc_a']} A{standing(row)}"
    )
    for row in rows("pv_current_worked")
]


def _isc_total_a(row):
    return float(row["module_isc_a"]) * int(row["parallel_strings"])


@pytest.mark.parametrize("row", CURRENTS)
def test_worked_largest_current(row):
    """690.8(A): 125 % of the short-circuit current reaches the controller."""
    assert agrees(pv_input_current_a(_isc_total_a(row)), row["max_current_a"])


@pytest.mark.parametrize("row", CURRENTS)
def test_worked_conductor_current(row):
    """690.8(B): conductors and protection carry 125 % of that once more, under `nec` alone."""
    isc_a = _isc_total_a(row)
    assert agrees(pv_design_current_a(isc_a, 1.25, "nec"), row["conductor_and_ocpd_min_a"])
    assert agrees(pv_design_current_a(isc_a, 1.25, "iso"), row["max_current_a"])


@pytest.mark.parametrize("row", CURRENTS)
def test_worked_fuse(row):
    """690.9(B), 240.6(A): the next standard fuse at or above it."""
    design_a = pv_design_current_a(_isc_total_a(row), 1.25, "nec")
    assert next_standard_rating_a(design_a) == float(row["next_standard_fuse_a"])


@pytest.mark.parametrize("row", CURRENTS)
def test_worked_string_fuse(row):
    """690.9(B): one string's fuse carries 156 % of its current, the table's for one string."""
    isc_a = float(row["module_isc_a"])
    assert string_fuse_least_a(isc_a, "nec") == pytest.approx(1.5625 * isc_a)
    if row["parallel_strings"] == "1":
        assert agrees(string_fuse_least_a(isc_a, "nec"), row["conductor_and_ocpd_min_a"])


def test_two_strings_never_feed_back_more_than_their_own_current():
    """690.9(A), from memory: with one or two strings no fuse, with three it hangs on the panel."""
    assert back_feed_a(9.8, 1) == 0
    assert back_feed_a(9.8, 2) == pytest.approx(12.25)
    assert back_feed_a(9.8, 3) == pytest.approx(24.5)
    assert back_feed_a(np.array([1.8, 9.8]), 3) == pytest.approx([4.5, 24.5])


@pytest.mark.parametrize("practice", ["iso", "abyc"])
def test_string_fuses_by_iec(practice):
    """IEC 62548, from memory: 1.5 to 2.4 times the current, never above the panel's own limit."""
    assert string_fuse_least_a(10.0, practice) == 15.0
    assert string_fuse_most_a(10.0, 30.0, practice) == 24.0
    assert string_fuse_most_a(10.0, 20.0, practice) == 20.0
    assert string_fuse_most_a(10.0, 30.0, "nec") == 30.0


@pytest.mark.parametrize(("practice", "earthed", "poles"), [
    ("iso", True, 1), ("iso", False, 2), ("abyc", True, 1), ("abyc", False, 2),
    ("nec", True, 1), ("nec", False, 1),
])  # fmt: skip
def test_poles_with_string_fuses(practice, earthed, poles):
    """IEC 62548, 6.5.7: every pole that is not joined to earth; NEC 690.9(C): one; from memory."""
    assert string_fuse_poles(practice, earthed) == poles
