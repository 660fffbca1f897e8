"""Air for batteries that give off gas while charging."""

from __future__ import annotations

from solver.rules.base import Source, rule
from solver.tables import iec_62485

IEC_62485_2 = Source(
    "EN IEC 62485-2, Safety requirements for secondary batteries",
    "",
    "7.2",
    "from memory",
)


def stands_unvented(chemistry: str) -> bool:
    """Whether a battery may stand in a place without a way out for air.

    Parameters
    ----------
    chemistry : str
        `lfp`, `agm`, `gel` or `flooded`.

    Returns
    -------
    bool
        False for flooded cells, which give off hydrogen whenever they are charged. Valve-regulated
        ones do where they are overcharged: the air they need is told, and not forbidden.

    Source
    ------
    EN IEC 62485-2, 7.2: vented cells stand in a ventilated place; from memory.
    """
    return chemistry != "flooded"


def gas_air_m3_per_h(chemistry: str, system_v: float, bank_ah: float) -> float:
    """Air that must pass a lead-acid bank while it is charged at its highest voltage.

    Parameters
    ----------
    chemistry : str
        `lfp`, `agm`, `gel` or `flooded`.
    system_v : float
        Nominal voltage of the bank, in volts; a lead-acid cell has 2 V.
    bank_ah : float
        Rated capacity of all its strings together, in ampere-hours.

    Returns
    -------
    float
        Cubic metres an hour; 0 for lfp, which gives off no gas in service.

    Source
    ------
    EN IEC 62485-2, 7.2: 0.05 · cells · I_gas · C_rt / 1000, with the gas current of boost
    charging; from memory. Compare tests/published/test_iec_62485.py.
    """
    gas_ma_per_ah = iec_62485.BOOST_GAS_MA_PER_AH.get(chemistry, 0.0)
    return iec_62485.AIR_FACTOR * (system_v / 2.0) * gas_ma_per_ah * bank_ah / 1000.0


@rule(subject="place", limit="at least", unit="cm²", source=IEC_62485_2)
def gas_opening_cm2(air_m3_per_h: float) -> float:
    """Free area of each of two openings, low in and high out, that let the air pass by itself.

    Parameters
    ----------
    air_m3_per_h : float
        `gas_air_m3_per_h`, in cubic metres an hour.

    Returns
    -------
    float
        In cm², each; louvres and meshes hold back part of a vent's face.

    Source
    ------
    EN IEC 62485-2, 7.2: 28 cm² an hourly cubic metre, from memory.
    """
    return iec_62485.CM2_PER_M3_H * air_m3_per_h
