"""Clearance holes: ISO 273:1979, fine, ISO; ASME B18.2.8, close, ASME. Both FROM MEMORY.

The 53 fits of a lug's hole on a stud are arithmetic from them; that a hole may be at most 15 %
of the stud's diameter loose is common practice, no source.
"""

import pytest

from solver.parts.base import STUDS
from solver.rules.termination import hole_fits, hole_mm, hole_passes, lug_fits, stud_mm
from tests.published.printed import agrees, cases, half_digit, rows

FITS = [
    pytest.param(row, id=f"{row['lug_hole_for']} hole on {row['stud']} stud, computed")
    for row in rows("lug_hole_stud_fit")
]


def _name(stud):
    """The name as it is used here, `No. 10` for #10."""
    return stud.replace("#10", "No. 10")


@pytest.mark.parametrize(
    ("row", "column", "text"),
    [
        *cases("iso273_clearance_holes", "fine_mm", label="stud"),
        *cases("asme_b18_2_8_clearance_holes", "close_mm", label="stud"),
    ],
)
def test_hole(row, column, text):
    """The hole of a lug is the tightest series of its standard."""
    assert abs(hole_mm(_name(row["stud"])) - float(text)) <= half_digit(text) + 1e-9


@pytest.mark.parametrize(
    ("row", "column", "text"),
    [
        *cases("iso273_clearance_holes", "stud_mm", label="stud"),
        *cases("asme_b18_2_8_clearance_holes", "stud_mm", label="stud"),
    ],
)
def test_stud(row, column, text):
    """A stud's diameter is what its name says."""
    assert agrees(stud_mm(_name(row["stud"])), text)


@pytest.mark.parametrize("row", FITS)
def test_clearance(row):
    """Hole less stud, to a thousandth of a millimetre."""
    clearance = hole_mm(_name(row["lug_hole_for"])) - stud_mm(_name(row["stud"]))
    assert abs(clearance - float(row["clearance_mm"])) <= 0.0011


@pytest.mark.parametrize("row", FITS)
def test_hole_on_a_stud(row):
    """Whether the hole goes over the stud, and whether not too loosely."""
    hole, stud = _name(row["lug_hole_for"]), _name(row["stud"])
    assert hole_passes(hole, stud) == (row["passes"] == "yes")
    assert hole_fits(hole, stud) == (row["good_fit"] == "yes")
    assert lug_fits(35, hole, 35, stud) == (row["good_fit"] == "yes")


@pytest.mark.parametrize("stud", STUDS)
def test_a_lug_fits_its_own_stud(stud):
    """Every stud of the catalog has lugs that fit it."""
    assert lug_fits(16, stud, 16, stud)


@pytest.mark.parametrize(
    ("lug_area_mm2", "area_mm2", "fits"),
    [
        (35, 35, True),
        (35, 33.6, False),
        (33.6, 33.6, True),
        (53.5, 50, False),
        (67.4, 70, False),
    ],
)
def test_a_gauge_is_never_about_a_size_in_mm2(lug_area_mm2, area_mm2, fits):
    """A 35 mm² lug is loose on 2 AWG: conductor and lug agree in their stated area."""
    assert lug_fits(lug_area_mm2, "M8", area_mm2, "M8") is fits
