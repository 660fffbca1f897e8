"""NFPA 70-2023, National Electrical Code, article 310, NFPA: ampacity of copper.

Table 310.16 (14, 12, 3, 1 AWG from memory, the rest read in two public reproductions), table
310.15(B)(1)(1) ambient factors, table 310.15(C)(1) bundles; 110.14(C) terminals. The factors
have an independent check: the formula of 310.15(B)(2) at the warm end of each range.
"""

import math

import pytest

from solver.rules.ampacity import nec_310_16_a
from solver.rules.conductor import ambient_factor, ampacity_a, bundling_factor
from solver.tables import awg, nec_310
from tests.published.printed import agrees, cases, rows, standing

INSULATION_C = {"60c": 60.0, "75c": 75.0, "90c": 90.0}


def _insulation(column):
    return next(c for name, c in INSULATION_C.items() if name in column)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases(
        "nec_310_16_copper_ampacity",
        "ampacity_60c_a",
        "ampacity_75c_a",
        "ampacity_90c_a",
        label="awg",
    ),
)
def test_table_310_16(row, column, text):
    """A gauge's ampacity at 30 °C is the table's."""
    assert nec_310_16_a(awg.AREA_MM2[row["awg"]], _insulation(column)) == float(text)


@pytest.mark.parametrize("gauge", ["18", "16"])
@pytest.mark.parametrize("column_c", [60, 75])
def test_thin_wires_have_no_value_below_90_c(gauge, column_c):
    """Where the table is blank nothing is made up."""
    assert nec_310_16_a(awg.AREA_MM2[gauge], column_c) is None


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases(
        "nec_310_15_b1_ambient_factor",
        "factor_60c",
        "factor_75c",
        "factor_90c",
        label="ambient_to_c",
    ),
)
@pytest.mark.parametrize("end", ["ambient_from_c", "ambient_to_c"])
def test_ambient_factor(row, column, text, end):
    """Both ends of a range have the printed factor."""
    ambient_c = float(row[end] or -10.0)
    assert ambient_factor("nec", _insulation(column), ambient_c) == float(text)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases(
        "nec_310_15_b1_ambient_factor",
        "factor_60c",
        "factor_75c",
        "factor_90c",
        label="ambient_to_c",
    ),
)
def test_ambient_factor_against_the_formula(row, column, text):
    """The heat balance gives the printed factor at the warm end of each range."""
    insulation_c, ambient_c = _insulation(column), float(row["ambient_to_c"])
    assert agrees(ambient_factor("iso", insulation_c, ambient_c), f"{float(text):.2f}")


@pytest.mark.parametrize(
    ("insulation_c", "ambient_c"), [(60, 56), (60, 60), (75, 71), (75, 90), (90, 86), (50, 20)]
)
def test_no_factor_where_the_table_is_blank(insulation_c, ambient_c):
    """Hotter than the table's last row for an insulation, or no column: the wire is not used."""
    assert ambient_factor("nec", insulation_c, ambient_c) == 0.0
    assert ampacity_a("nec", 33.6, insulation_c, ambient_c, 2) == 0.0


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("nec_310_15_c1_bundling_factor", "percent_of_table_value", label="conductors_from"),
)
@pytest.mark.parametrize("end", ["conductors_from", "conductors_to"])
def test_bundling_factor(row, column, text, end):
    """Both ends of a range of loaded conductors have the printed percentage."""
    assert 100 * bundling_factor("nec", int(row[end] or 200)) == pytest.approx(float(text))


WORKED = [
    pytest.param(row, id=f"{row['case']}{standing(row)}") for row in rows("nec_ampacity_worked")
]


def _case(row):
    """A case named as 10 AWG 90C in 46 C, 6 conductors: gauge, insulation, ambient, count."""
    words = row["case"].replace(",", "").split()
    return words[0], float(words[2].rstrip("C")), float(words[4]), int(words[6])


@pytest.mark.parametrize("row", WORKED)
def test_worked_ampacity(row):
    """Base, ambient and bundle multiply to the worked ampacity."""
    gauge, insulation_c, ambient_c, n = _case(row)
    base_a = nec_310_16_a(awg.AREA_MM2[gauge], insulation_c)
    factors = ambient_factor("nec", insulation_c, ambient_c) * bundling_factor("nec", n)
    assert base_a == float(row["base_ampacity_a"])
    assert agrees(base_a * factors, row["corrected_ampacity_a"])


@pytest.mark.parametrize("row", WORKED)
def test_worked_ampacity_at_its_terminals(row):
    """As worked, and never above the terminals' column: 60 °C up to 100 A, else 75 °C.

    It decides one of the worked cases: 12 AWG of 75 °C gives 22 A, its terminals carry 20 A.
    """
    gauge, insulation_c, ambient_c, n = _case(row)
    corrected_a = float(row["corrected_ampacity_a"])
    over_100a = corrected_a > 100
    terminals_a = nec_310.AMPACITY_A[gauge][1 if over_100a else 0]
    found = ampacity_a(
        "nec", awg.AREA_MM2[gauge], insulation_c, ambient_c, n, current_over_100a=over_100a
    )
    assert found == pytest.approx(min(corrected_a, terminals_a), abs=0.0005)


@pytest.mark.parametrize(
    ("gauge", "over_100a", "amps"),
    [("2/0", False, 145), ("2/0", True, 175), ("6", False, 55), ("14", False, 15)],
)
def test_terminals_hold_90_c_insulation_back(gauge, over_100a, amps):
    """Cooler terminals than the insulation decide, NEC 110.14(C)."""
    area_mm2 = awg.AREA_MM2[gauge]
    assert ampacity_a("nec", area_mm2, 90, 30, 2, current_over_100a=over_100a) == amps


@pytest.mark.parametrize(("gauge", "amps"), [("18", 7), ("16", 10)])
def test_thin_wires_carry_what_240_4_d_lets_them(gauge, amps):
    """18 and 16 AWG have no 60 °C column for their terminals: 240.4(D) stands in for it."""
    assert ampacity_a("nec", awg.AREA_MM2[gauge], 90, 30, 2) == amps


@pytest.mark.parametrize("column", [0, 1, 2])
def test_thicker_carries_more(column):
    """Read down any column, every ampacity is above the one before it (a slip would show)."""
    amps = [row[column] for row in nec_310.AMPACITY_A.values() if row[column] is not None]
    assert amps == sorted(set(amps))


@pytest.mark.parametrize(
    ("size", "kcmil"), [(size, int(size.split()[0])) for size in nec_310.KCMIL_MM2]
)
def test_area_of_a_size_above_4_0(size, kcmil):
    """A thousand circular mils are 0.50671 mm²; the row of a size is found by that area."""
    assert nec_310.KCMIL_MM2[size] == float(f"{kcmil * 1000 * awg.MM2_PER_CMIL:.3g}")
    assert nec_310_16_a(nec_310.KCMIL_MM2[size], 75) == nec_310.AMPACITY_A[size][1]


def test_cold_gives_no_credit():
    """Below 30 °C the table's factors pass 1, but no more than the base ampacity is used."""
    assert math.isclose(ambient_factor("nec", 90, 5), 1.15)
    cold_a = ampacity_a("nec", 8.37, 90, 5, 4, current_over_100a=True)
    assert cold_a == ampacity_a("nec", 8.37, 90, 30, 4, current_over_100a=True)
