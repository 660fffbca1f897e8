"""What a meter should show: the record of one test, and the voltages that it is about."""

from __future__ import annotations

import math
from dataclasses import dataclass

from solver.records import Circuit, Design
from solver.rules.base import ARITHMETIC, COMMON_PRACTICE
from solver.tables.battery_voltages import REST_V

DEAD, LIVE = "dead", "live"
PRACTICE = COMMON_PRACTICE.text()
COMPUTED = ARITHMETIC.text()
IEC_INSULATION = "IEC 60364-6, Table 6.1, from memory"
IEC_ARRAY = "IEC 62446-1, from memory"
IEC_RCD = "IEC 61008-1 and IEC 60364-6, from memory"

BOLTZMANN_OVER_CHARGE_V_PER_K = 1.380649e-23 / 1.602176634e-19
"""Both exact since the SI of 2019."""
KELVIN = 273.15
IDEALITY = 1.1
"""Of crystalline silicon; common practice, no source."""
CELL_VOC_V = 0.63
"""Open-circuit voltage of one cell, for how many there are; common practice, no source."""
VOC_PCT_PER_C = -0.30
"""Of a panel that states none; common practice, no source."""
TOLD_AIR_C = (0.0, 10.0, 20.0, 30.0)
TOLD_SUN_W_PER_M2 = (400.0, 700.0, 1000.0)
AIR_C, SUN_W_PER_M2 = 20.0, 700.0
"""For rows that name one air and one sun."""


@dataclass(frozen=True, kw_only=True)
class Expected:
    """One test with the value to expect."""

    part: str
    """`dead` or `live`."""
    step: int
    """In its part; several rows of one step are done together."""
    test: str
    subject: str
    value: float | str
    at_least: float | None
    at_most: float | None
    """The band; None where the value is a text or one side is open."""
    unit: str
    instrument: str
    outside: str
    """What to do if it is outside."""
    source: str
    licensed: bool = False


def string_open_v(
    voc_v: float,
    series: int,
    voc_pct_per_c: float | None,
    air_c: float,
    cell_rise_c: float,
    sun_w_per_m2: float,
) -> float:
    """Open-circuit voltage of a string in the air and sun of the moment.

    Parameters
    ----------
    voc_v : float
        Of one panel at standard test conditions, in volts.
    series : int
        Panels in the string.
    voc_pct_per_c : float or None
        Its temperature coefficient, in %/K; None: -0.30.
    air_c : float
        Air, in °C.
    cell_rise_c : float
        Cells over the air in full sun, in K.
    sun_w_per_m2 : float
        Sun on the panels, in W/m², above 0.

    Returns
    -------
    float
        Volts.

    Raises
    ------
    ValueError
        Without sun.

    Source
    ------
    The single-diode equation for an open circuit: the voltage falls by the thermal voltage of
    all cells, times the ideality factor, with the logarithm of the sun. Ideality 1.1 and 0.63 V a
    cell are common practice, no source. Against a reference library:
    tests/stages/test_commissioning.py.
    """
    if sun_w_per_m2 <= 0:
        raise ValueError(f"a string is measured in sun, not at {sun_w_per_m2} W/m²")
    share = sun_w_per_m2 / 1000
    cell_c = air_c + cell_rise_c * share
    coefficient = VOC_PCT_PER_C if voc_pct_per_c is None else voc_pct_per_c
    warm = series * voc_v * (1 + coefficient / 100 * (cell_c - 25))
    cells = series * voc_v / CELL_VOC_V
    thermal_v = BOLTZMANN_OVER_CHARGE_V_PER_K * (cell_c + KELVIN)
    return warm + cells * IDEALITY * thermal_v * math.log(share)


def rest_v(chemistry: str, nominal_v: float) -> tuple[float, float]:
    """Voltage at rest, lowest and highest, of a battery or bank.

    Source
    ------
    Common practice, no source: see `solver.tables.battery_voltages`.
    """
    low, high = REST_V[chemistry]
    times = round(nominal_v / 12.0)
    if nominal_v < 12:
        return low * nominal_v / 12, high * nominal_v / 12
    return low * times, high * times


def row(
    part: str,
    step: int,
    test: str,
    subject: str,
    value: float | str,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    *,
    instrument: str,
    outside: str,
    source: str = PRACTICE,
    licensed: bool = False,
) -> Expected:
    """A test, in the order in which a person reads it."""
    return Expected(
        part=part,
        step=step,
        test=test,
        subject=subject,
        value=value,
        at_least=low,
        at_most=high,
        unit=unit,
        instrument=instrument,
        outside=outside,
        source=source,
        licensed=licensed,
    )


def ac_circuits(design: Design) -> list[Circuit]:
    """The circuits of the AC side."""
    return [c for c in design.circuits if c.kind == "ac"]
