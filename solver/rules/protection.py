"""Fuses and breakers: ratings and their limits."""

from __future__ import annotations

import math

from solver.rules.base import COMMON_PRACTICE, Source, rule
from solver.rules.gauge import row_of
from solver.rules.string import charging_voltage_v
from solver.tables import awg, iec_60059, iso_8820, nec_240

RATINGS = Source(
    "NFPA 70 (2023), 240.6(A); ISO 8820; IEC 60059", "", "", "ISO and IEC from memory"
)
NEC_240_4_D = Source(
    "NFPA 70, National Electrical Code",
    "2023",
    "240.4(D)",
    "18 and 16 AWG from memory; numbering differs by edition",
)

RESIDUAL = Source(
    "IEC 60364-4-41, 415.1.1; NEC 210.8 with UL 943; ABYC E-11", "", "", "from memory"
)
AC_BREAKING = Source("ABYC E-11", "", "interrupting capacity of AC breakers", "from memory")

MAINS = Source("IEC 60038", "", "Table 1, supply voltages within 10 %", "from memory")

UNPROTECTED = Source(
    "abyc: ABYC E-11 and 33 CFR 183.455(b); iso: ISO 10133 and ISO 13297; nec: 240.21",
    "",
    "protection near the source",
    "from memory",
)

INCH_M = 0.0254

UNPROTECTED_M = {
    "abyc": (7 * INCH_M, 40 * INCH_M, 72 * INCH_M),
    "iso": (0.2, 40 * INCH_M, 72 * INCH_M),
    "nec": (7 * INCH_M, 120 * INCH_M, 120 * INCH_M),
}
"""By practice: bare; in a sheath; in a sheath and on the battery's own terminal."""

AC_NEAR = Source(
    "abyc: ABYC E-11; iso: ISO 13297; nec: 240.21(B)(1)",
    "",
    "AC breaker near its source",
    "from memory",
)

AC_UNPROTECTED_M = {
    "abyc": (120 * INCH_M, 40 * INCH_M, 40 * INCH_M),
    "iso": (3.0, 0.5, 3.0),
    "nec": (120 * INCH_M, 120 * INCH_M, 120 * INCH_M),
}
"""By practice: from an inlet; from an inverter, in the cable's own sheath; from one in a conduit."""

NEC_RATINGS_A = tuple(sorted({*nec_240.RATINGS_A, *nec_240.FUSE_RATINGS_A}))

STANDARD_RATINGS_A: tuple[float, ...] = tuple(
    sorted(
        {
            *(float(a) for a in NEC_RATINGS_A),
            *(float(a) for a in iso_8820.MEDIUM_BLADE_A),
            *(float(a) for a in iso_8820.HIGH_CURRENT_BLADE_A),
            *(float(a) for a in iso_8820.STRIP_A),
            *(float(a) for a in iec_60059.ROUNDED_A),
            *(round(a * tens, 6) for a in iec_60059.DECADE_A for tens in (1, 10, 100, 1000)),
        }
    )
)
"""Every standard rating, rising, in amperes."""


@rule(subject="protection", limit="equal", unit="A", source=RATINGS)
def is_standard_rating(a: float) -> bool:
    """Whether a current is a standard rating of fuses or breakers.

    Parameters
    ----------
    a : float
        In amperes.

    Returns
    -------
    bool

    Source
    ------
    NFPA 70 (2023), 240.6(A); ISO 8820-3 and -5, IEC 60059 with the whole numbers of
    IEC 60269-1, from memory.
    """
    return any(math.isclose(a, rating, rel_tol=1e-9) for rating in STANDARD_RATINGS_A)


def next_standard_rating_a(a: float) -> float:
    """The smallest standard rating not below a current.

    Parameters
    ----------
    a : float
        In amperes, at most 6000.

    Returns
    -------
    float
        Amperes.

    Raises
    ------
    ValueError
        Above the table's end.

    Source
    ------
    NFPA 70 (2023), 240.6(A). Worked values: tests/published/test_nec_240.py.
    """
    for rating in NEC_RATINGS_A:
        if rating >= a:
            return float(rating)
    raise ValueError(f"no standard rating reaches {a:g} A")


@rule(subject="protection", limit="at most", unit="A", source=NEC_240_4_D)
def small_conductor_limit_a(practice: str, area_mm2: float) -> float:
    """Largest protection of a thin conductor, whatever its ampacity.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    area_mm2 : float
        In mm²; a size in mm² counts as the largest gauge not above it.

    Returns
    -------
    float
        Amperes; infinite where nothing is said, 0 under `nec` below 18 AWG.

    Source
    ------
    NFPA 70 (2023), 240.4(D).
    """
    if practice != "nec":
        return math.inf
    gauge = row_of(area_mm2, awg.AREA_MM2)
    if gauge is None:
        return 0.0
    return float(nec_240.SMALL_CONDUCTOR_A.get(gauge, math.inf))


@rule(subject="protection", limit="at most", unit="m", source=UNPROTECTED)
def unprotected_limit_m(practice: str, at_battery: bool, sheathed: bool) -> float:
    """Longest piece of a positive between its source and its protection.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    at_battery : bool
        Whether it is on the battery's own terminal; else on a bus bar.
    sheathed : bool
        Whether it lies in a sheath, a conduit or an enclosure over its whole length.

    Returns
    -------
    float
        Metres along the conductor as it is cut, slack included.

    Source
    ------
    abyc: 7 in, in a sheath 40 in, and 72 in on the battery's terminal: ABYC E-11, 33 CFR
    183.455(b). iso: 200 mm, or in a sheath, of which ISO 10133 and ISO 13297 state no length:
    ABYC's. nec: 240.21 asks for it where the conductor begins, and allows taps of 10 ft in a
    raceway, 240.21(B)(1); bare, where it states no length, the 7 in of ABYC. All from memory.
    """
    bare_m, sheathed_m, battery_m = UNPROTECTED_M[practice]
    if not sheathed:
        return bare_m
    return battery_m if at_battery else sheathed_m


@rule(subject="protection", limit="at most", unit="m", source=AC_NEAR)
def ac_unprotected_limit_m(practice: str, from_inverter: bool, sheathed: bool) -> float:
    """Longest piece of an AC cable between its source and its breaker.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    from_inverter : bool
        Whether the source is an inverter's output; else an inlet.
    sheathed : bool
        Whether it lies in a conduit over its whole length, beside the sheath of its own that
        every AC cable has.

    Returns
    -------
    float
        Metres as it is cut, slack included.

    Source
    ------
    From memory, all of it. abyc: ABYC E-11 has 10 ft from a shore inlet to its breaker, and of the
    output of a generator or an inverter what it has of other sources: 7 in, 40 in in a sheath,
    and a cable of several cores has one. iso: ISO 13297 has 3 m from the inlet; from any source
    0.5 m, or a conduit or trunking, of which it states no length: here the 3 m. nec:
    240.21(B)(1), taps of 10 ft.
    """
    inlet_m, own_m, conduit_m = AC_UNPROTECTED_M[practice]
    if not from_inverter:
        return inlet_m
    return conduit_m if sheathed else own_m


@rule(subject="protection", limit="at most", unit="V", source=COMMON_PRACTICE)
def highest_circuit_v(chemistry: str, system_v: float) -> float:
    """Highest voltage between the poles of a circuit on the bank.

    Parameters
    ----------
    chemistry : str
        `lfp`, `agm`, `gel` or `flooded`.
    system_v : float
        Nominal voltage, in volts.

    Returns
    -------
    float
        Volts: the charging voltage. Compare with `max_v` of fuses, breakers and switches.

    Source
    ------
    Common practice, no source; equalising a flooded bank goes higher and is not reckoned with.
    """
    return charging_voltage_v(chemistry, system_v)


@rule(subject="protection", limit="at most", unit="mA", source=RESIDUAL)
def residual_limit_ma(practice: str) -> float:
    """Largest residual current at which an AC circuit's protection still holds.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.

    Returns
    -------
    float
        Milliamperes.

    Source
    ------
    iso: 30 mA, IEC 60364-4-41, 415.1.1. nec: 6 mA, 210.8 with class A of UL 943. abyc: 30 mA,
    ABYC E-11's leakage protection of the shore supply. All from memory.
    """
    return 6.0 if practice == "nec" else 30.0


@rule(subject="protection", limit="at least", unit="kA", source=AC_BREAKING)
def ac_breaking_ka(ac_v: float) -> float:
    """Least breaking capacity of the protection of an AC circuit.

    Parameters
    ----------
    ac_v : float
        Voltage of the AC side, in volts.

    Returns
    -------
    float
        Kiloamperes.

    Source
    ------
    ABYC E-11's main breakers of a shore supply, 3 kA at 120 V and 5 kA at 240 V, from memory.
    """
    return 5.0 if ac_v > 150 else 3.0


@rule(subject="protection", limit="equal", unit="V", source=MAINS)
def serves_ac_v(rated_v: float, ac_v: float) -> bool:
    """Whether a socket or an inlet is made for the voltage of an AC side.

    Parameters
    ----------
    rated_v : float
        What it is made for, in volts.
    ac_v : float
        Of the AC side, in volts.

    Returns
    -------
    bool

    Source
    ------
    IEC 60038: supplies of 220, 230 and 240 V, and of 110, 115 and 120 V, lie within 10 % of
    each other; from memory.
    """
    return bool(abs(rated_v - ac_v) <= 0.1 * ac_v + 1e-9)
