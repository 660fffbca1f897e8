"""Conductors: resistance, voltage drop, ampacity, least size."""

from __future__ import annotations

import math

from solver.rules.ampacity import (
    BASE_AMBIENT_C,
    cfr_183_425_a,
    column_of,
    iso_10133_a,
    nec_310_16_a,
)
from solver.rules.base import ARITHMETIC, Number, Source, rule
from solver.rules.gauge import AREA_ROUNDING, gauge_of, row_of
from solver.tables import (
    abyc_e11,
    awg,
    cfr_33_183,
    iec_60228,
    iso_10133,
    nec_240,
    nec_310,
    nec_chapter_9,
)

IEC_60228 = Source(
    "IEC 60228, Conductors of insulated cables",
    "2004",
    "Table 3, class 5; of AWG sizes NFPA 70, Chapter 9, Table 8",
    "as reproduced",
)
AMPACITY = Source(
    "iso: the lesser of ISO 10133 (2012), Table A.1, and 33 CFR 183.425, Table 5; "
    "nec: NFPA 70 (2023), Table 310.16, 310.15, 110.14(C); "
    "abyc: ABYC E-11 and 33 CFR 183.425",
    "",
    "",
    "ISO 10133 from memory",
)
LEAST_SIZE = Source(
    "iso: ISO 10133 (2012); nec: NFPA 70 (2023), 310.3(A); abyc: 33 CFR 183.425(e)",
    "",
    "",
    "iso and nec from memory",
)

ENGINE_SPACE_C = 50.0
"""Ambient that the engine-space factors stand for."""


def resistance_ohm_per_m(ohm_per_km_20c: Number, conductor_c: float) -> Number:
    """Resistance of a metre of conductor at work.

    Parameters
    ----------
    ohm_per_km_20c : float or array
        At 20 °C, in ohms per kilometre.
    conductor_c : float
        Copper at work, in °C.

    Returns
    -------
    float or array
        Ohms per metre.

    Source
    ------
    IEC 60228 with IEC 60028's coefficient for copper, 0.00393/K at 20 °C.
    """
    return ohm_per_km_20c / 1000.0 * (1.0 + iec_60228.PER_K * (conductor_c - 20.0))


def table_8_ohm_per_km_20c(gauge: str, coated: bool = False) -> float:
    """Resistance of a gauge by the National Electrical Code, taken from 75 °C to 20 °C.

    Parameters
    ----------
    gauge : str
        `18` to `4/0`.
    coated : bool
        Tinned strands.

    Returns
    -------
    float
        Ohms per kilometre at 20 °C.

    Source
    ------
    NFPA 70 (2023), Chapter 9, Table 8; 0.00393/K at 20 °C as in IEC 60028.
    """
    per_kft = nec_chapter_9.OHM_PER_KFT_75C[gauge][1 if coated else 0]
    per_km_75c = per_kft / nec_chapter_9.M_PER_KFT * 1000.0
    return per_km_75c / (1.0 + iec_60228.PER_K * (75.0 - 20.0))


@rule(subject="conductor", limit="at most", unit="Ω/km", source=IEC_60228)
def resistance_limit_ohm_per_km(area_mm2: float, coated: bool = False) -> float:
    """Highest resistance at 20 °C that a conductor of a size may have.

    Parameters
    ----------
    area_mm2 : float
        As stated, in mm²: a size of IEC 60228 or an American gauge.
    coated : bool
        Tinned strands.

    Returns
    -------
    float
        Ohms per kilometre; of a size between the standard's, the limit of the next thinner
        one scaled by the area.

    Source
    ------
    IEC 60228 (2004), Table 3, class 5; gauges by NFPA 70, Chapter 9, Table 8, taken to 20 °C.
    """
    gauge = gauge_of(area_mm2)
    if gauge is not None:
        return table_8_ohm_per_km_20c(gauge, coated)
    column = iec_60228.COLUMNS[5, coated]
    sizes = sorted(iec_60228.OHM_PER_KM)
    size = max((s for s in sizes if s <= area_mm2 * AREA_ROUNDING), default=sizes[0])
    limit = iec_60228.OHM_PER_KM[size][column]
    if abs(size / area_mm2 - 1.0) < AREA_ROUNDING - 1.0:
        return limit
    return limit * size / area_mm2


@rule(subject="circuit", limit="at most", unit="V", source=ARITHMETIC)
def drop_v(
    conductors: Number, length_m: Number, current_a: Number, ohm_per_m: Number
) -> Number:
    """Voltage lost along a circuit.

    Parameters
    ----------
    conductors : float or array
        Loaded conductors in line: 2 there and back, 1 for a single link.
    length_m : float or array
        One way, in metres.
    current_a : float or array
        Running current, in amperes.
    ohm_per_m : float or array
        `resistance_ohm_per_m` at work.

    Returns
    -------
    float or array
        Volts.

    Source
    ------
    Arithmetic (Ohm's law). Worked cases: tests/published/test_voltage_drop.py.
    """
    return conductors * length_m * current_a * ohm_per_m


def heating_factor(insulation_c: float, ambient_c: float) -> float:
    """Factor on an ampacity for another ambient than 30 °C, from the heat balance.

    Parameters
    ----------
    insulation_c : float
        Temperature the insulation stands, in °C.
    ambient_c : float
        In °C.

    Returns
    -------
    float
        Without unit; 0 where the ambient is as hot as the insulation may be.

    Source
    ------
    NFPA 70 (2023), 310.15(B)(2): sqrt((Ti - Ta) / (Ti - 30)); it gives the engine-space
    factors of 33 CFR 183.425 at 50 °C.
    """
    if ambient_c >= insulation_c or insulation_c <= BASE_AMBIENT_C:
        return 0.0
    return math.sqrt((insulation_c - ambient_c) / (insulation_c - BASE_AMBIENT_C))


def ambient_factor(practice: str, insulation_c: float, ambient_c: float) -> float:
    """Factor on a table's ampacity for the ambient.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    insulation_c : float
        Temperature the insulation stands, in °C.
    ambient_c : float
        In °C.

    Returns
    -------
    float
        Without unit; above 1 where it is cooler than 30 °C.

    Source
    ------
    nec: NFPA 70 (2023), Table 310.15(B)(1)(1), the row whose warm end is not below the
    ambient. iso, abyc: the formula of 310.15(B)(2).
    """
    if practice != "nec":
        return heating_factor(insulation_c, ambient_c)
    column = column_of(insulation_c, nec_310.INSULATION_C)
    if column is None:
        return 0.0
    for warm_end_c, factors in nec_310.AMBIENT_FACTOR:
        if ambient_c <= warm_end_c:
            return factors[column] or 0.0
    return 0.0


def engine_space_factor(practice: str, insulation_c: float) -> float:
    """Factor on an ampacity inside an engine space.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    insulation_c : float
        Temperature the insulation stands, in °C.

    Returns
    -------
    float
        Without unit.

    Source
    ------
    33 CFR 183.425, Table 5, note 1, from memory, and never above the formula at 50 °C
    (which it rounds; at 200 °C the regulation gives 1.00, the formula 0.94);
    abyc at 105 °C: ABYC E-11's 0.85. iso and nec: the formula at 50 °C.
    """
    formula = heating_factor(insulation_c, ENGINE_SPACE_C)
    if practice != "abyc":
        return formula
    if insulation_c == 105:
        return abyc_e11.ENGINE_SPACE_FACTOR_105C
    return min(formula, cfr_33_183.ENGINE_SPACE_FACTOR.get(int(insulation_c), formula))


def bundling_factor(practice: str, n: int) -> float:
    """Factor on an ampacity for loaded conductors that lie together.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    n : int
        Loaded conductors in the bundle or conduit, this circuit's own included.

    Returns
    -------
    float
        Without unit, at most 1.

    Source
    ------
    nec: NFPA 70 (2023), Table 310.15(C)(1). iso, abyc: 33 CFR 183.425, Table 5, note 2,
    from memory.
    """
    table = nec_310.BUNDLING_FACTOR if practice == "nec" else cfr_33_183.BUNDLING_FACTOR
    return next(factor for up_to, factor in table if up_to is None or n <= up_to)


def bundling_steps(practice: str) -> tuple[int, ...]:
    """The last numbers of loaded conductors before the factor falls, rising.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.

    Returns
    -------
    tuple of int

    Source
    ------
    As of `bundling_factor`.
    """
    table = nec_310.BUNDLING_FACTOR if practice == "nec" else cfr_33_183.BUNDLING_FACTOR
    return tuple(up_to for up_to, _ in table if up_to is not None)


def _nec_ampacity_a(
    area_mm2: float, insulation_c: float, factor: float, current_over_100a: bool
) -> float:
    corrected = (nec_310_16_a(area_mm2, insulation_c) or 0.0) * factor
    terminals_c = 75 if current_over_100a else 60
    terminals = nec_310_16_a(area_mm2, terminals_c)
    if terminals is None:
        # 18 and 16 AWG have no value at the terminals' column: 240.4(D) stands in for it.
        gauge = row_of(area_mm2, awg.AREA_MM2)
        terminals = float(nec_240.SMALL_CONDUCTOR_A.get(gauge or "", 0))
    return min(corrected, terminals)


@rule(subject="conductor", limit="at least", unit="A", source=AMPACITY)
def ampacity_a(
    practice: str,
    area_mm2: float,
    insulation_c: float,
    ambient_c: float,
    loaded_conductors: int,
    engine_space: bool = False,
    current_over_100a: bool = False,
) -> float:
    """Current that a conductor carries where it lies.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    area_mm2 : float
        In mm².
    insulation_c : float
        Temperature the insulation stands, in °C.
    ambient_c : float
        Hottest around it, in °C.
    loaded_conductors : int
        In the bundle or conduit, its own circuit's included.
    engine_space : bool
        Whether it passes an engine space (then at least 50 °C).
    current_over_100a : bool
        Of the circuit, for the terminals' column under `nec`.

    Returns
    -------
    float
        Amperes; 0 where the ambient is as hot as the insulation may be.

    Source
    ------
    iso: the lesser of ISO 10133 (2012), Table A.1 (from memory), and 33 CFR 183.425,
    Table 5, each linear in area. nec: NFPA 70 (2023), Table 310.16, with 310.15(B) and (C);
    not above the terminals' column, 60 °C up to 100 A, else 75 °C, 110.14(C). abyc: ABYC
    E-11 and 33 CFR 183.425. A size in mm² takes under nec and abyc the row of the largest
    gauge not above it.

    Notes
    -----
    No credit is taken for an ambient below 30 °C, the safe side. The column is the highest
    not above the insulation, the ambient's factor that of the insulation itself.
    """
    if ambient_c >= insulation_c:
        return 0.0
    ambient = min(1.0, ambient_factor(practice, insulation_c, ambient_c))
    if engine_space:
        ambient = min(ambient, engine_space_factor(practice, insulation_c))
    factor = ambient * bundling_factor(practice, loaded_conductors)
    if practice == "nec":
        return _nec_ampacity_a(area_mm2, insulation_c, factor, current_over_100a)
    if practice == "abyc":
        return cfr_183_425_a(area_mm2, insulation_c, between=False) * factor
    by_iso = iso_10133_a(area_mm2, insulation_c)
    return min(by_iso, cfr_183_425_a(area_mm2, insulation_c, between=True)) * factor


@rule(subject="conductor", limit="at least", unit="mm²", source=LEAST_SIZE)
def least_area_mm2(practice: str, sheathed: bool = False) -> float:
    """Thinnest conductor of a power circuit, whatever its current.

    Parameters
    ----------
    practice : str
        `iso`, `nec` or `abyc`.
    sheathed : bool
        A core of a sheathed cable of several.

    Returns
    -------
    float
        In mm².

    Source
    ------
    iso: ISO 10133 (2012), 1 mm², 0.75 mm² in a sheath, from memory. nec: NFPA 70 (2023),
    310.3(A), 14 AWG, from memory; the thinner wires that articles 720 and 725 allow are not
    used, the safe side. abyc: 33 CFR 183.425(d), (e), 16 AWG, 18 AWG in a sheath.
    """
    if practice == "nec":
        return awg.AREA_MM2["14"]
    if practice == "abyc":
        gauge = abyc_e11.LEAST_AWG_SHEATHED if sheathed else abyc_e11.LEAST_AWG_SINGLE
        return awg.AREA_MM2[gauge]
    return iso_10133.LEAST_MM2_SHEATHED if sheathed else iso_10133.LEAST_MM2_SINGLE
