"""Energy of a mean day, and what runs together."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from solver.rules.bank import lowest_v
from solver.rules.base import COMMON_PRACTICE, Number, Source, lesser, rule

if TYPE_CHECKING:
    from solver.needs import Load, Needs

STAND_ALONE = Source(
    "method of the handbooks for stand-alone systems",
    "",
    "array energy = rated power x peak sun hours x factors",
    "the cap at 1 is the safe side; common practice, no source",
)


def air_c_by_month(
    coldest_c: float, hottest_c: float, latitude_deg: float
) -> tuple[float, ...]:
    """Mean air temperature by day of each month, where none is stated.

    Parameters
    ----------
    coldest_c, hottest_c : float
        Coldest and hottest air of the year, in °C.
    latitude_deg : float
        North positive; south of the equator the year is turned by six months.

    Returns
    -------
    tuple of 12 float
        In °C, January first.

    Source
    ------
    Common practice, no source.
    """
    mean = (coldest_c + hottest_c) / 2.0
    swing = (hottest_c - coldest_c) / 4.0
    warmest = 7 if latitude_deg >= 0 else 1
    return tuple(
        mean + swing * math.cos(math.radians(30.0 * (month - warmest)))
        for month in range(1, 13)
    )


def thermal_factor(pmax_pct_per_c: Number, air_c: Number, cell_rise_c: float) -> Number:
    """Share of its rated power that a panel gives at its temperature.

    Parameters
    ----------
    pmax_pct_per_c : float or array
        Temperature coefficient of the power, in %/K (negative).
    air_c : float or array
        Mean air by day, in °C.
    cell_rise_c : float
        Cells over the air in full sun, in K.

    Returns
    -------
    float or array
        Without unit, at most 1 (the safe side) and at least 0.

    Source
    ------
    Arithmetic from the maker's coefficient; the cap at 1 is common practice, no source.
    """
    factor = 1.0 + pmax_pct_per_c / 100.0 * (air_c + cell_rise_c - 25.0)
    return lesser(factor, 1.0)


@rule(subject="month", limit="at least", unit="Wh", source=STAND_ALONE)
def array_yield_wh(
    kind: str,
    stc_w: Number,
    panels: Number,
    imp_a: Number,
    parallel: Number,
    thermal: Number,
    derate: float,
    efficiency_pct: Number | float,
    max_charge_a: Number | float,
    charging_v: float,
    sun_hours: Number,
) -> Number:
    """Energy of an array on a mean day, after its controller, before the charge efficiency.

    Parameters
    ----------
    kind : str
        `mppt` or `pwm`.
    stc_w, imp_a : float or array
        Of one panel at standard test conditions, in watts and amperes.
    panels, parallel : float or array
        Panels in all, and strings.
    thermal : float or array
        `thermal_factor` of the month.
    derate : float
        Soiling, wiring and mismatch.
    efficiency_pct, max_charge_a : float
        Of the controller, in % and amperes.
    charging_v : float
        `charging_voltage_v`, in volts.
    sun_hours : float or array
        Mean daily peak sun hours on the plane of the array, in hours.

    Returns
    -------
    float or array
        Watt-hours; times the charge efficiency it is what arrives in the bank.

    Source
    ------
    The method of the handbooks for stand-alone systems (rated power x peak sun hours x
    factors), common practice; clipped at the controller's limit. A pwm controller passes the
    panels' current on at the bank's voltage. Compare tests/published/test_sizing_examples.py.
    """
    if kind == "pwm":
        power_w = imp_a * parallel * charging_v * thermal * derate
    else:
        power_w = stc_w * panels * thermal * derate * (efficiency_pct / 100.0)
    return lesser(power_w, max_charge_a * charging_v) * sun_hours


def runs_in(load: Load, month: int) -> bool:
    """Whether a load runs in that month (1 to 12); without months of its own, in all."""
    return load.months is None or month in load.months


def load_wh(loads: Iterable[Load], month: int) -> tuple[float, float]:
    """Energy at the loads on a day of a month.

    Parameters
    ----------
    loads : iterable of Load
        All of them.
    month : int
        1 to 12.

    Returns
    -------
    tuple of float
        Watt-hours of the DC loads and of the AC loads.

    Source
    ------
    Arithmetic: watts x quantity x hours.
    """
    dc_wh = ac_wh = 0.0
    for load in loads:
        if not runs_in(load, month):
            continue
        wh = load.watts * load.quantity * load.hours_per_day
        if load.supply == "dc":
            dc_wh += wh
        else:
            ac_wh += wh
    return dc_wh, ac_wh


def inverter_need_wh(
    ac_wh: Number, efficiency_pct: float, idle_w: float, hours: float
) -> Number:
    """Energy that an inverter draws from the bank in a day.

    Parameters
    ----------
    ac_wh : float or array
        Of the AC loads, in watt-hours.
    efficiency_pct : float
        Of the inverter, in %.
    idle_w : float
        Its draw while switched on without load, in watts.
    hours : float
        Hours a day it is switched on.

    Returns
    -------
    float or array
        Watt-hours.

    Source
    ------
    Arithmetic; the idle draw is counted for all the hours, the safe side.
    """
    return ac_wh / (efficiency_pct / 100.0) + idle_w * hours


def inverter_hours(needs: Needs, month: int) -> float:
    """Hours a day that the inverter is switched on in a month.

    Parameters
    ----------
    needs : Needs
        All of them.
    month : int
        1 to 12.

    Returns
    -------
    float
        Hours: as stated, else 24; 0 in a month without an AC load.

    Source
    ------
    Common practice, no source.
    """
    if not any(load.supply == "ac" and runs_in(load, month) for load in needs.loads):
        return 0.0
    stated = needs.energy.inverter_hours_per_day
    return 24.0 if stated is None else stated


def draw_of_one(load: Load) -> float:
    """Watts of one item; of an AC load its volt-amperes, which size an inverter."""
    return load.watts / load.power_factor if load.supply == "ac" else load.watts


@rule(subject="inverter", limit="at most", unit="W", source=COMMON_PRACTICE)
def together_w(loads: Iterable[Load], supply: str) -> float:
    """What the loads of one supply draw together, or the largest single item if that is more.

    Parameters
    ----------
    loads : iterable of Load
        All of them; those of the other supply are left out.
    supply : str
        `dc` or `ac`.

    Returns
    -------
    float
        Watts; of AC loads volt-amperes. Compare with the inverter's `continuous_w`.

    Source
    ------
    Common practice, no source.
    """
    chosen = [load for load in loads if load.supply == supply]
    running = sum(draw_of_one(load) * load.quantity for load in chosen if load.together)
    largest = max((draw_of_one(load) for load in chosen), default=0.0)
    return float(max(running, largest))


@rule(subject="inverter", limit="at most", unit="W", source=COMMON_PRACTICE)
def surge_w(loads: Iterable[Load]) -> float:
    """Worst start-up of the AC loads: one item starts while those that run together run.

    Parameters
    ----------
    loads : iterable of Load
        All of them; DC loads are left out.

    Returns
    -------
    float
        Volt-amperes; compare with the inverter's `surge_w`. The starting item's draw takes the
        place of its running draw, or is added where it is not among those that run together.

    Source
    ------
    Common practice, no source.
    """
    chosen = [load for load in loads if load.supply == "ac"]
    running = sum(draw_of_one(load) * load.quantity for load in chosen if load.together)
    worst = running
    for load in chosen:
        if load.surge_watts is None:
            continue
        replaced = draw_of_one(load) if load.together else 0.0
        worst = max(worst, running - replaced + load.surge_watts / load.power_factor)
    return float(worst)


def inverter_current_a(continuous_w: Number, efficiency_pct: float, system_v: float) -> Number:
    """Current that an inverter draws from the bank at its rated power.

    Parameters
    ----------
    continuous_w : float or array
        Rated power, in watts.
    efficiency_pct : float
        At rated power, in %.
    system_v : float
        Nominal voltage, in volts.

    Returns
    -------
    float or array
        Amperes, at the bank's lowest voltage.

    Source
    ------
    NFPA 70, 690.8(A), stand-alone inverter input at the lowest input voltage, from memory;
    that lowest voltage is common practice, no source.
    """
    return continuous_w / (efficiency_pct / 100.0) / lowest_v(system_v)


def load_current_a(loads_of_circuit: Sequence[Load], system_v: float) -> float:
    """Running current of a circuit of DC loads.

    Parameters
    ----------
    loads_of_circuit : sequence of Load
        The loads that share it.
    system_v : float
        Nominal voltage, in volts.

    Returns
    -------
    float
        Amperes: the watts that run together, or the largest single item if more, at the
        bank's lowest voltage.

    Source
    ------
    Common practice, no source.
    """
    largest = max((load.watts for load in loads_of_circuit), default=0.0)
    return max(together_a(loads_of_circuit, system_v), float(largest) / lowest_v(system_v))


def together_a(loads: Sequence[Load], system_v: float) -> float:
    """Current of the DC loads that run together, whatever single item draws more.

    Parameters
    ----------
    loads : sequence of Load
        Loads of one circuit or of several.
    system_v : float
        Nominal voltage, in volts.

    Returns
    -------
    float
        Amperes, at the bank's lowest voltage. What circuits draw together is their sum.

    Source
    ------
    Common practice, no source.
    """
    running = sum(load.watts * load.quantity for load in loads if load.together)
    return float(running) / lowest_v(system_v)


def ac_current_a(watts: Number, ac_v: float) -> Number:
    """Running current of an AC circuit: watts (or volt-amperes) over volts.

    Parameters
    ----------
    watts : float or array
        In watts; volt-amperes where the power factor is known.
    ac_v : float
        In volts.

    Returns
    -------
    float or array
        Amperes.

    Source
    ------
    Arithmetic.
    """
    return watts / ac_v
