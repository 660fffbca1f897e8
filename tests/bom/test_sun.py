"""Sun hours computed for a place.

Compared with two tables. `clear_sky_monthly_pvlib.csv`: monthly clear-sky sums by the model of
Ineichen and Perez (Solar Energy 73, 2002), every day of a year at ten minutes, computed with
pvlib 0.16.1, so it checks our use of the model and not the model.
`h0_monthly_mj_m2_day.csv`: irradiation outside the atmosphere, Duffie and Beckman, Solar
Engineering of Thermal Processes, equation 1.10.3: independent of the model.
"""

import socket

import pytest

from bom.sun import monthly_sun_hours
from tests.published.printed import rows

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
CLEAR_SKY = rows("clear_sky_monthly_pvlib")
OUTSIDE = {float(row["latitude_deg"]): row for row in rows("h0_monthly_mj_m2_day")}


def facing_equator(latitude):
    """Azimuth of a plane that faces the equator."""
    return 180 if latitude >= 0 else 0


@pytest.fixture(autouse=True)
def no_network(monkeypatch):
    """Nothing here may reach for a network."""

    def refused(*args, **kwargs):
        raise AssertionError("a network was asked for")

    monkeypatch.setattr(socket, "socket", refused)


@pytest.mark.parametrize("row", CLEAR_SKY, ids=lambda r: f"{r['site']}, {r['plane']}")
def test_clear_sky_by_month_is_the_published_one(row):
    """Every month agrees within a per mille; the steps are longer than the table's."""
    latitude = float(row["latitude_deg"])
    hours = monthly_sun_hours(
        latitude,
        float(row["longitude_deg"]),
        float(row["tilt_deg"]),
        facing_equator(latitude),
        1.0,
    )
    expected = [float(row[f"{month}_kwh_m2_day"]) for month in MONTHS]
    assert hours == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("latitude", [-50, -30, 0, 30, 50])
def test_clear_sky_is_a_likely_share_of_the_sun_outside(latitude):
    """A clear sky lets through half to 80 % of what arrives above it (common practice, no source)."""
    hours = monthly_sun_hours(latitude, 0, 0, 180, 1.0)
    for month, value in zip(MONTHS, hours, strict=True):
        outside = float(OUTSIDE[latitude][f"{month}_mj_m2_day"]) / 3.6
        assert 0.5 < value / outside < 0.80, month


def test_clearness_scales_every_month():
    """Half the clearness is half the sun hours."""
    clear = monthly_sun_hours(47, 11, 35, 180, 1.0)
    half = monthly_sun_hours(47, 11, 35, 180, 0.5)
    assert half == pytest.approx([0.5 * h for h in clear])


def test_the_darkest_month_turns_with_the_hemisphere():
    """December is dark in the north, June in the south."""
    north = monthly_sun_hours(52, 1, 0, 180, 0.5)
    south = monthly_sun_hours(-41.6, 173, 30, 0, 0.5)
    assert min(north) == north[11]
    assert min(south) == south[5]


def test_a_plane_turned_away_from_the_equator_gets_less():
    """Facing north in the north costs sun in every month, most in winter."""
    towards = monthly_sun_hours(48, 9, 40, 180, 1.0)
    away = monthly_sun_hours(48, 9, 40, 0, 1.0)
    assert all(a < t for a, t in zip(away, towards, strict=True))
    assert away[11] / towards[11] < away[5] / towards[5]


def test_polar_night_is_dark_and_polar_day_is_not():
    """No sun is 0, not a gap in the numbers, at the pole and at the date line too."""
    arctic = monthly_sun_hours(78, 15, 0, 180, 1.0)
    assert arctic[11] == 0
    assert arctic[0] == 0
    assert arctic[5] > 6
    for pole in (90, -90):
        hours = monthly_sun_hours(pole, -180, 45, 180, 1.0)
        assert all(0 <= h < 15 for h in hours)
        assert min(hours) == 0


def test_east_and_west_are_mirrored():
    """Morning and evening are alike under a clear sky."""
    east = monthly_sun_hours(45, 10, 60, 90, 1.0)
    west = monthly_sun_hours(45, 10, 60, 270, 1.0)
    assert east == pytest.approx(west, rel=0.02)
