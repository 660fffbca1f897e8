"""The bank: voltages, usable energy, short circuit."""

from __future__ import annotations

import numpy as np

from solver.rules.base import ARITHMETIC, Number, Source, rule
from solver.tables import ieee_485

IEEE_485 = Source(
    "IEEE 485, Sizing lead-acid batteries for stationary applications",
    "",
    "Table 1",
    "from memory",
)

TRADE_CLASS_V = {12.8: 12.0, 25.6: 24.0, 51.2: 48.0}

TYPICAL_MOHM = {"lfp": 3.0, "agm": 4.0, "gel": 6.0, "flooded": 5.0}
"""Of 12 V (lfp 12.8 V), 100 Ah, charged and warm: the low side, for the largest fault current.
Common practice, no source."""


def nominal_class_v(nominal_v: float) -> float:
    """The system voltage that a battery counts for.

    Parameters
    ----------
    nominal_v : float
        Nominal voltage as stated, in volts.

    Returns
    -------
    float
        12, 24, 48 V for 12.8, 25.6, 51.2 V; every other as stated.

    Source
    ------
    Trade use, no source.
    """
    for stated, of_class in TRADE_CLASS_V.items():
        if abs(nominal_v - stated) < 1e-6:
            return of_class
    return nominal_v


def lowest_v(system_v: float) -> float:
    """Lowest voltage of the bank that currents are reckoned at.

    Parameters
    ----------
    system_v : float
        Nominal voltage of the system, in volts.

    Returns
    -------
    float
        11/12 of it: 11, 22, 44 V.

    Source
    ------
    Common practice, no source.
    """
    return system_v * 11.0 / 12.0


def temperature_factor(chemistry: str, temp_c: float) -> float:
    """Share of the rated capacity that is there at a temperature.

    Parameters
    ----------
    chemistry : str
        `lfp`, `agm`, `gel` or `flooded`.
    temp_c : float
        Of the place, in °C.

    Returns
    -------
    float
        Without unit, at most 1; 1 for lfp.

    Source
    ------
    IEEE 485, Table 1, from memory, for lead-acid. The published sizing factor is taken
    linearly between rows and held at the ends; its inverse is the share.
    """
    if chemistry == "lfp":
        return 1.0
    temps_c, factors = zip(*ieee_485.SIZING_FACTOR, strict=True)
    return min(1.0, 1.0 / float(np.interp(temp_c, temps_c, factors)))


@rule(subject="bank", limit="at least", unit="Wh", source=IEEE_485)
def usable_wh(
    nominal_v: Number,
    series: Number,
    capacity_ah: Number,
    parallel: Number,
    usable_pct: Number,
    factor: Number,
) -> Number:
    """Energy that may be drawn from a full bank.

    Parameters
    ----------
    nominal_v, capacity_ah : float or array
        Of one battery, in volts and ampere-hours.
    series, parallel : float or array
        Batteries in a string, and strings.
    usable_pct : float or array
        Share of the capacity that may be used, in %.
    factor : float or array
        `temperature_factor` at the coldest of its place.

    Returns
    -------
    float or array
        Watt-hours; compare with the days of autonomy's draw.

    Source
    ------
    Arithmetic; the factor by IEEE 485, Table 1, from memory.
    """
    return nominal_v * series * capacity_ah * parallel * usable_pct / 100.0 * factor


def typical_internal_mohm(chemistry: str, nominal_v: float, capacity_ah: float) -> float:
    """Internal resistance of a battery that states none.

    Parameters
    ----------
    chemistry : str
        `lfp`, `agm`, `gel` or `flooded`.
    nominal_v : float
        In volts.
    capacity_ah : float
        In ampere-hours.

    Returns
    -------
    float
        Milliohms: cells in series add, capacity divides.

    Source
    ------
    Common practice, no source: for 12 V, 100 Ah lfp 3, agm 4, gel 6, flooded 5 mΩ.
    """
    base_v = 12.8 if chemistry == "lfp" else 12.0
    return TYPICAL_MOHM[chemistry] * (nominal_v / base_v) * (100.0 / capacity_ah)


@rule(subject="protection", limit="at most", unit="kA", source=ARITHMETIC)
def prospective_short_circuit_ka(
    nominal_v: float, series: float, parallel: float, internal_mohm: float
) -> float:
    """Current that flows when the bank is short-circuited at its terminals.

    Parameters
    ----------
    nominal_v : float
        Of one battery, in volts.
    series, parallel : float
        Batteries in a string, and strings.
    internal_mohm : float
        Of one battery, in milliohms.

    Returns
    -------
    float
        Kiloamperes; compare with `breaking_ka`. The conductors are left out, the safe side.

    Source
    ------
    Arithmetic (Ohm's law): 12.8 V at 10 mΩ is 1.28 kA.
    """
    volts = nominal_v * series
    return parallel * volts / (series * internal_mohm)
