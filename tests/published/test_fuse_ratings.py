"""ISO 8820-3, Road vehicles, fuse-links, ISO; IEC 60059, Standard current ratings, IEC.

ISO 8820-3 FROM MEMORY. IEC 60059 FROM MEMORY, with an independent check: its numbers are the
rounded terms of the series R10, ten equal steps to a decade (ISO 3).
"""

import pytest

from solver.rules.protection import STANDARD_RATINGS_A, is_standard_rating
from solver.tables import iec_60059, iso_8820
from tests.published.printed import rows, standing

BLADES = [
    pytest.param(
        row["fuse_type"],
        float(row["rating_a"]),
        id=f"{row['fuse_type']} {row['rating_a']} A{standing(row)}",
    )
    for row in rows("iso8820_fuse_ratings")
]


@pytest.mark.parametrize(("kind", "amps"), BLADES)
def test_blade_rating(kind, amps):
    """Each rating of a blade fuse is a standard rating."""
    table = {
        "medium blade": iso_8820.MEDIUM_BLADE_A,
        "high current blade": iso_8820.HIGH_CURRENT_BLADE_A,
    }[kind]
    assert amps in table
    assert is_standard_rating(amps)


@pytest.mark.parametrize(("step", "amps"), list(enumerate(iec_60059.DECADE_A)))
@pytest.mark.parametrize("tens", [1, 10, 100])
def test_rating_of_the_series_r10(step, amps, tens):
    """Each rating is a term of R10 within the 1.3 % that rounding takes, in every decade."""
    assert amps * tens == pytest.approx(10 ** (step / 10) * tens, rel=0.013)
    assert is_standard_rating(amps * tens)


@pytest.mark.parametrize("amps", [6, 12, 16, 20, 25, 32, 40, 50, 63, 80, 100, 125, 160, 200])
def test_rating_that_breakers_bear(amps):
    """Ratings of IEC 60269-1 and IEC 60898-1, whole numbers, from memory."""
    assert is_standard_rating(amps)


def test_ratings_rise():
    """The list is in order and names nothing twice."""
    assert list(STANDARD_RATINGS_A) == sorted(set(STANDARD_RATINGS_A))
