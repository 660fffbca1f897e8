"""Sun hours of a place, computed without a network."""

from __future__ import annotations

import warnings
from functools import cache

ALBEDO = 0.2
"""Share of light that the ground sends back; common practice, no source."""

YEAR = 2023
"""Any year that is no leap year; the months of others differ by less than a per mille."""

STEP = "30min"


def monthly_sun_hours(
    latitude_deg: float,
    longitude_deg: float,
    tilt_deg: float,
    azimuth_deg: float,
    clearness: float,
) -> tuple[float, ...]:
    """Mean daily peak sun hours on a plane, January to December.

    Clear-sky irradiation on the plane, at sea level, times `clearness`. The sky between clear
    and overcast is not modelled: a plane that is tilted much gets a little less of a cloudy
    month than this says.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        North and east positive, in degrees.
    tilt_deg : float
        0 is flat, 90 a wall, in degrees.
    azimuth_deg : float
        Where the plane faces: 0 north, 90 east, 180 south, in degrees.
    clearness : float
        Fraction of clear-sky irradiation, above 0, at most 1.

    Returns
    -------
    tuple of float
        Twelve numbers in kWh/m2 a day, which is hours of 1000 W/m2.

    Source
    ------
    P. Ineichen and R. Perez, "A new airmass independent formulation for the Linke turbidity
    coefficient", Solar Energy 73 (2002), with the Linke turbidity climatology that comes with
    pvlib; sky diffuse light isotropic (Liu and Jordan, 1963). Compared with a table of monthly
    values in tests/bom/test_sun.py.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # pvlib's own, of its libraries
        return _monthly(latitude_deg, longitude_deg, tilt_deg, azimuth_deg, clearness)


@cache
def _monthly(
    latitude_deg: float,
    longitude_deg: float,
    tilt_deg: float,
    azimuth_deg: float,
    clearness: float,
) -> tuple[float, ...]:
    import pandas as pd
    import pvlib

    # Stamps in the middle of each step, in mean solar time of the place, so that no day is cut.
    local = pd.date_range(f"{YEAR}-01-01", f"{YEAR + 1}-01-01", freq=STEP, inclusive="left")
    middle = local + pd.Timedelta(STEP) / 2
    world = (middle - pd.Timedelta(hours=longitude_deg / 15)).tz_localize("UTC")
    sun = pvlib.solarposition.get_solarposition(world, latitude_deg, longitude_deg, altitude=0)
    airmass = pvlib.atmosphere.get_absolute_airmass(
        pvlib.atmosphere.get_relative_airmass(sun["apparent_zenith"])
    )
    sky = pvlib.clearsky.ineichen(
        sun["apparent_zenith"],
        airmass,
        pvlib.clearsky.lookup_linke_turbidity(world, latitude_deg, longitude_deg),
        altitude=0,
        dni_extra=pvlib.irradiance.get_extra_radiation(world),
    )
    plane = pvlib.irradiance.get_total_irradiance(
        tilt_deg,
        azimuth_deg,
        sun["apparent_zenith"],
        sun["azimuth"],
        sky["dni"],
        sky["ghi"],
        sky["dhi"],
        albedo=ALBEDO,
        model="isotropic",
    )
    # At night there is no air mass, and so no number.
    watts = plane["poa_global"].fillna(0.0).clip(lower=0.0)
    day_mean = watts.groupby(middle.month).mean() * 24 / 1000
    return tuple(float(day_mean[month]) * clearness for month in range(1, 13))
