"""Lengths, masses and torques in the units a person asked for; everything is kept in metric units."""

from __future__ import annotations

import math

MM_PER_INCH = 25.4
KG_PER_POUND = 0.45359237
"""Both exact, by the international yard and pound agreement of 1959."""
NM_PER_LBF_IN = KG_PER_POUND * 9.80665 * MM_PER_INCH / 1000
"""By standard gravity."""

IMPERIAL = {
    "mm": ("in", 1 / MM_PER_INCH),
    "m": ("ft", 1000 / MM_PER_INCH / 12),
    "kg": ("lb", 1 / KG_PER_POUND),
    "Nm": ("lbf in", 1 / NM_PER_LBF_IN),
}
"""Of each metric unit that is shown otherwise: the other unit, and how many of it make one."""


def shown(value: float, unit: str, units: str) -> tuple[float, str]:
    """A value and its unit in `units`, `metric` or `imperial`; most units stay as they are."""
    if units == "imperial" and unit in IMPERIAL:
        other, factor = IMPERIAL[unit]
        return value * factor, other
    return value, unit


def measure_text(value: float, unit: str, units: str) -> str:
    """A value with its unit for a person: `2,100 mm`, `6 ft 10.7 in`, `55.1 lb`."""
    if units == "imperial" and unit in ("mm", "m"):
        return feet_and_inches(value * (1 if unit == "mm" else 1000))
    value, unit = shown(value, unit, units)
    return f"{number_text(value)} {unit}".rstrip()


def number_text(value: float) -> str:
    """A number as a person reads it: four digits, or all of those before the point."""
    if abs(value) >= 1000:
        return f"{value:,.0f}"
    return f"{float(f'{value:.4g}'):g}"


def energy_text(wh: float) -> str:
    """An amount of energy for a person."""
    return f"{wh:,.0f} Wh"


def days_text(days: float) -> str:
    """Days to a hundredth, rounded down: no bank is said to last longer than it does."""
    return f"{math.floor(days * 100 + 1e-6) / 100:g} days"


def inches_up(mm: float) -> float:
    """A length in inches, rounded up to a tenth: no piece is cut too short."""
    tenths = round(mm / MM_PER_INCH * 10, 6)
    # Rounded first: 12954 mm are 510 in, whatever the machine makes of the quotient.
    return math.ceil(tenths) / 10


def feet_and_inches(mm: float) -> str:
    """A length as feet and inches to a tenth: `6 ft 10.7 in`, below one foot `9.5 in`."""
    tenths = round(mm / MM_PER_INCH * 10)
    feet, rest = divmod(tenths, 120)
    inches = f"{rest / 10:g} in"
    return f"{feet} ft {inches}" if feet else inches
