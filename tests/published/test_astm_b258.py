"""ASTM B258, Standard nominal diameters of solid round wires used as electrical conductors.

Compared with a printed wire table: Lessons In Electric Circuits, volume 5, Reference, chapter
3 (open textbook), which prints diameters to four places and areas to four figures; and with
the formula of the standard worked out to more digits.
"""

import pytest

from solver.rules.gauge import gauge_area_mm2, gauge_diameter_in, gauge_of, row_of
from solver.tables import awg
from tests.published.printed import agrees, cases


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("awg_published_table", "diameter_in", label="awg")
)
def test_diameter_of_a_gauge(row, column, text):
    """The formula gives the printed diameter, four figures or four places of it."""
    printed = float(text)
    assert abs(gauge_diameter_in(row["awg"]) - printed) <= max(0.00005, printed * 0.00005)


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("awg_published_table", "area_cmil", label="awg")
)
def test_circular_mils_of_a_gauge(row, column, text):
    """The formula gives the printed area, to the last of its four figures.

    The textbook squares its own rounded diameter, so a gauge may be off by what that moves.
    """
    printed = float(text)
    rounded = 2 * 0.00005 / gauge_diameter_in(row["awg"]) * printed
    area_cmil = gauge_area_mm2(row["awg"]) / awg.MM2_PER_CMIL
    fourth_figure = 10.0 ** (len(str(int(printed))) - 4)
    assert abs(area_cmil - printed) <= fourth_figure / 2 + rounded


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("awg_diameter_area", "diameter_in", "area_mm2", label="awg"),
)
def test_formula_to_all_digits(row, column, text):
    """Diameter and area by the formula, worked out independently to more digits."""
    mine = gauge_diameter_in if column == "diameter_in" else gauge_area_mm2
    assert agrees(mine(row["awg"]), text)


@pytest.mark.parametrize("gauge", awg.AREA_MM2)
def test_stated_area_of_a_gauge(gauge):
    """The three-digit areas that catalogs state are the formula's, rounded."""
    area = gauge_area_mm2(gauge)
    assert awg.AREA_MM2[gauge] == float(f"{area:.3g}")
    assert gauge_of(awg.AREA_MM2[gauge]) == gauge


@pytest.mark.parametrize("area_mm2", [0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95])
def test_a_metric_size_is_no_gauge(area_mm2):
    """No size in mm² is taken for an American gauge: their lugs differ."""
    assert gauge_of(area_mm2) is None


@pytest.mark.parametrize(
    ("area_mm2", "gauge"),
    [(0.5, None), (2.08, "14"), (4, "12"), (35, "2"), (50, "1"), (120, "4/0")],
)
def test_row_of_the_largest_gauge_not_above(area_mm2, gauge):
    """A size between gauges takes the thinner one's row, never the thicker one's."""
    assert row_of(area_mm2, awg.AREA_MM2) == gauge
