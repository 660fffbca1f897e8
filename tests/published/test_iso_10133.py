"""ISO 10133:2012, Small craft, electrical systems, extra-low-voltage DC installations, ISO.

Annex A, table A.1, FROM MEMORY: not read again, up to 18 % off 33 CFR 183.425. It is used only
as the lesser of the two, so that an error in it can make a cable thicker, never thinner.
"""

import math
from itertools import pairwise

import pytest

from solver.rules.ampacity import cfr_183_425_a, iso_10133_a
from solver.rules.conductor import ampacity_a, least_area_mm2
from solver.rules.gauge import gauge_area_mm2
from solver.tables import cfr_33_183, iso_10133
from tests.published.printed import agrees, cases, rows

COLUMNS = {
    "ampacity_70c_a": 70.0,
    "ampacity_85_90c_a": 85.0,
    "ampacity_105c_a": 105.0,
    "ampacity_125c_a": 125.0,
}
CFR_COLUMN_C = {"70c": 75, "85_90c": 90, "105c": 105, "125c": 125}


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("iso10133_ampacity", *COLUMNS, label="area_mm2")
)
def test_table_a_1(row, column, text):
    """A size's ampacity at 30 °C is the remembered one."""
    assert iso_10133_a(float(row["area_mm2"]), COLUMNS[column]) == pytest.approx(float(text))


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("iso10133_ampacity", *COLUMNS, label="area_mm2")
)
def test_lesser_of_the_two_tables(row, column, text):
    """What is used is never above the remembered value nor above the regulation's."""
    area_mm2, insulation_c = float(row["area_mm2"]), COLUMNS[column]
    used = ampacity_a("iso", area_mm2, insulation_c, 30, 2)
    by_regulation = cfr_183_425_a(area_mm2, insulation_c, between=True)
    assert used == pytest.approx(min(float(text), by_regulation))


def _regulation_by_logarithms(area_mm2, insulation_c):
    """The regulation between its gauges, a straight line on doubly logarithmic paper."""
    column = cfr_33_183.INSULATION_C.index(insulation_c)
    gauges = [(gauge_area_mm2(g), amps[column]) for g, amps in cfr_33_183.AMPACITY_A.items()]
    for (low_mm2, low_a), (high_mm2, high_a) in pairwise(gauges):
        if low_mm2 <= area_mm2 <= high_mm2:
            share = math.log(area_mm2 / low_mm2) / math.log(high_mm2 / low_mm2)
            return low_a * (high_a / low_a) ** share
    raise AssertionError(area_mm2)


@pytest.mark.parametrize(
    "row",
    [row for row in rows("iso10133_ampacity") if float(row["area_mm2"]) < 107],
    ids=lambda row: f"{row['area_mm2']} mm2",
)
def test_deviation_from_the_regulation(row):
    """The remembered table lies where it was found to lie: a slip in either would show.

    The deviations were found with logarithmic interpolation; the straight one that is used
    lies below it, or where the table bends the other way at most 0.2 % above. Sizes above 4/0
    are left out.
    """
    area_mm2 = float(row["area_mm2"])
    for name, cfr_c in CFR_COLUMN_C.items():
        smooth_a = _regulation_by_logarithms(area_mm2, cfr_c)
        deviation_pct = 100 * (float(row[f"ampacity_{name}_a"]) / smooth_a - 1)
        assert agrees(deviation_pct, row[f"deviation_{name}_pct"])
        assert cfr_183_425_a(area_mm2, cfr_c, between=True) <= smooth_a * 1.002


@pytest.mark.parametrize("insulation_c", [70, 85, 105, 125])
def test_thicker_carries_more(insulation_c):
    """Down any column and between its rows more copper carries more, from nothing upward."""
    sizes = [0.5, 0.75, 1, 1.5, 2.08, *iso_10133.AMPACITY_A]
    amps = [iso_10133_a(size, insulation_c) for size in sorted(sizes)]
    assert amps == sorted(amps)
    assert iso_10133_a(240, insulation_c) == iso_10133_a(150, insulation_c)


def test_60_c_insulation_has_no_column_and_is_scaled_down():
    """The 60 °C column was not credible; the 70 °C one less its smaller rise is used instead."""
    assert iso_10133_a(10, 60) == pytest.approx(65 * (30 / 40) ** 0.5)
    assert ampacity_a("iso", 10, 60, 30, 2) < ampacity_a("iso", 10, 70, 30, 2) * 1.0001


@pytest.mark.parametrize(("sheathed", "area_mm2"), [(False, 1.0), (True, 0.75)])
def test_thinnest_conductor(sheathed, area_mm2):
    """1 mm² by itself, 0.75 mm² in a sheath (from memory)."""
    assert least_area_mm2("iso", sheathed) == area_mm2
