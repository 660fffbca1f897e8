"""33 CFR 183.425, US Code of Federal Regulations, boats: table 5 and its notes 1 and 2.

The ampacities were read in the regulation; both notes' factors are from memory. Note 1 has an
independent check: the heat balance at 50 °C, NFPA 70, 310.15(B)(2).
"""

import pytest

from solver.rules.ampacity import cfr_183_425_a
from solver.rules.conductor import (
    ampacity_a,
    bundling_factor,
    engine_space_factor,
    heating_factor,
    least_area_mm2,
)
from solver.tables import awg, cfr_33_183
from tests.published.printed import agrees, cases, rows, standing

COLUMNS = {f"ampacity_{c}c_a": float(c) for c in cfr_33_183.INSULATION_C}


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("cfr33_183_425_ampacity", *COLUMNS, label="awg")
)
def test_table_5(row, column, text):
    """A gauge's ampacity is the table's, as a row and where rows are interpolated in area."""
    area_mm2 = awg.AREA_MM2[row["awg"]]
    for between in (False, True):
        assert cfr_183_425_a(area_mm2, COLUMNS[column], between) == pytest.approx(float(text))


ENGINE = [
    pytest.param(row, id=f"{row['insulation_c']} C{standing(row)}")
    for row in rows("cfr33_183_425_engine_space_factor")
]


@pytest.mark.parametrize("row", ENGINE)
def test_engine_space_factor(row):
    """Note 1 is the heat balance at 50 °C, to one unit of its last digit.

    Except at 200 °C, where the note remembered gives 1.00 and the formula 0.94. Wherever they
    differ the lower is taken, the safe side.
    """
    insulation_c = float(row["insulation_c"])
    formula = heating_factor(insulation_c, 50.0)
    assert agrees(formula, row["computed_factor"])
    if insulation_c != 200:
        assert formula == pytest.approx(float(row["factor"]), abs=0.01)
    if insulation_c != 105:
        assert engine_space_factor("abyc", insulation_c) == min(formula, float(row["factor"]))


def test_engine_space_factor_at_105_c():
    """ABYC's 0.85 stands beside the regulation's 0.86: the lower is taken."""
    assert engine_space_factor("abyc", 105) == 0.85


@pytest.mark.parametrize("row", ENGINE)
@pytest.mark.parametrize("practice", ["iso", "abyc"])
def test_engine_space_is_never_above_the_note(row, practice):
    """No practice gives an engine space more than the note and the formula allow."""
    insulation_c = float(row["insulation_c"])
    assert engine_space_factor(practice, insulation_c) <= float(row["factor"])
    inside_a = ampacity_a(practice, 33.6, insulation_c, 30, 2, engine_space=True)
    outside_a = ampacity_a(practice, 33.6, insulation_c, 30, 2)
    assert inside_a == pytest.approx(outside_a * engine_space_factor(practice, insulation_c))


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("cfr33_183_425_bundling_factor", "factor", label="conductors_from"),
)
@pytest.mark.parametrize("end", ["conductors_from", "conductors_to"])
@pytest.mark.parametrize("practice", ["iso", "abyc"])
def test_bundling_factor(row, column, text, end, practice):
    """Both ends of a range of loaded conductors have the factor of note 2."""
    assert bundling_factor(practice, int(row[end] or 90)) == float(text)


@pytest.mark.parametrize(
    ("sheathed", "gauge"), [(False, "16"), (True, "18")], ids=["(e), read", "(d), read"]
)
def test_thinnest_conductor(sheathed, gauge):
    """16 AWG by itself, 18 AWG inside a sheath."""
    assert least_area_mm2("abyc", sheathed) == awg.AREA_MM2[gauge]


@pytest.mark.parametrize("area_mm2", [0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10, 16, 25, 35, 50, 70, 95])
@pytest.mark.parametrize("insulation_c", [60, 75, 80, 90, 105, 125, 200])
def test_between_rows_is_never_above_the_next_row(area_mm2, insulation_c):
    """Interpolation stays between the neighbours and, by rows, takes the lower of them."""
    by_row = cfr_183_425_a(area_mm2, insulation_c, between=False)
    between = cfr_183_425_a(area_mm2, insulation_c, between=True)
    above = min((a for a in awg.AREA_MM2.values() if a >= area_mm2), default=None)
    assert by_row <= between
    if above is not None:
        assert between <= cfr_183_425_a(above, insulation_c, between=False)


def test_insulation_below_the_lowest_column_is_scaled_down():
    """A 50 °C wire gets the 60 °C column less what its smaller rise takes away."""
    expected = 100 * (20 / 30) ** 0.5
    assert cfr_183_425_a(13.3, 50, between=False) == pytest.approx(80 / 100 * expected)


@pytest.mark.parametrize("practice", ["iso", "nec", "abyc"])
@pytest.mark.parametrize("ambient_c", [75, 80])
def test_as_hot_as_the_insulation_carries_nothing(practice, ambient_c):
    """Where the surroundings are as hot as the insulation may be, no current is allowed."""
    assert ampacity_a(practice, 33.6, 75, ambient_c, 2) == 0.0
