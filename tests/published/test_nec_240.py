"""NFPA 70-2023, National Electrical Code, article 240, NFPA: ratings of fuses and breakers.

Table 240.6(A) read in public reproductions (601 A stands in editions to 2020 only and is not
used); 240.4(D) for 14, 12 and 10 AWG read, 18 and 16 AWG from memory.
"""

import math

import pytest

from solver.rules.protection import (
    is_standard_rating,
    next_standard_rating_a,
    small_conductor_limit_a,
)
from solver.tables import awg
from tests.published.printed import cases


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases(
        "nec_240_6_standard_ratings",
        "rating_a",
        label="rating_a",
        keep=lambda row: "2020" not in row["applies_to"],
    ),
)
def test_standard_rating(row, column, text):
    """Each printed rating is one of ours, and the next at or above itself."""
    assert is_standard_rating(float(text))
    assert next_standard_rating_a(float(text)) == float(text)


@pytest.mark.parametrize("amps", [601, 17.5, 33, 65, 0, 7, 26])
def test_what_is_no_standard_rating(amps):
    """601 A of earlier editions, and numbers that no standard lists."""
    assert not is_standard_rating(amps)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("nec_next_standard_rating", "next_rating_a", label="current_a"),
)
def test_next_standard_rating(row, column, text):
    """The next rating at or above a current, worked from the table."""
    assert next_standard_rating_a(float(row["current_a"])) == float(text)


def test_no_rating_above_the_table():
    """Nothing is made up above 6000 A."""
    with pytest.raises(ValueError, match="6001 A"):
        next_standard_rating_a(6001)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases("nec_240_4_d_small_conductor", "max_protection_a", label="awg_copper"),
)
def test_small_conductors(row, column, text):
    """Thin copper is protected at no more than the printed rating, under `nec` alone."""
    area_mm2 = awg.AREA_MM2[row["awg_copper"]]
    assert small_conductor_limit_a("nec", area_mm2) == float(text)
    assert small_conductor_limit_a("iso", area_mm2) == math.inf
    assert small_conductor_limit_a("abyc", area_mm2) == math.inf


@pytest.mark.parametrize(
    ("area_mm2", "amps"),
    [(0.5, 0), (2.5, 15), (4, 20), (6, 30), (8.37, math.inf), (10, math.inf)],
)
def test_small_sizes_in_mm2(area_mm2, amps):
    """A size in mm² counts as the largest gauge not above it: 4 mm² as 12 AWG."""
    assert small_conductor_limit_a("nec", area_mm2) == amps
