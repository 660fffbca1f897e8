"""Heat that devices give off at their load, and the air that carries it away."""

from __future__ import annotations

from math import sqrt

from solver.rules.base import ARITHMETIC, COMMON_PRACTICE, Source, rule

STACK_EFFECT = Source(
    "Stack effect through two openings, orifice formula of ventilation handbooks",
    "",
    "",
    "from memory",
)

AIR_KG_PER_M3 = 1.2
AIR_J_PER_KG_K = 1005.0
"""Dry air at about 20 °C."""
GRAVITY_M_PER_S2 = 9.81
ORIFICE_FACTOR = 0.6
"""Of a sharp-edged opening."""
AIR_AT_WORK_K = 303.0
"""30 °C, the air of a hot day."""

LASTING_HOURS = 1.0
"""A load that runs so long a day counts for heat; minutes of a kettle do not. Common practice."""
USUAL_RISE_K = 10.0
"""What a locker may warm up over the air outside, if nothing in it allows less. Common practice."""
FAN_FROM_W = 150.0
"""Lasting loss above which openings alone become too large. Common practice."""
FAN_FACTOR = 2.0
"""Free-blowing flow of a fan over what it moves once it is fitted. Common practice."""
WALL_W_PER_M2_K = 4.0
"""What a thin wall of plywood sheds, 3 to 5; common practice."""
VENT_RISE_FACTOR = 0.8
"""Share of a locker's height that lies between the middles of its vents. Common practice."""
FUSE_V, SHUNT_V = 0.1, 0.05
"""Lost over a fuse and over a shunt at rated current. Common practice."""
MOST_CHARGER_PCT = 95.0
"""No charger is taken to lose less than a twentieth: the safe side."""


@rule(subject="place", limit="at most", unit="W", source=ARITHMETIC)
def converter_loss_w(output_w: float, efficiency_pct: float) -> float:
    """Heat of an inverter, a charger or a converter while it gives power.

    Parameters
    ----------
    output_w : float
        Power it gives, in watts.
    efficiency_pct : float
        Energy out over energy in, in per cent.

    Returns
    -------
    float
        Watts.

    Source
    ------
    Arithmetic: P · (1/η − 1). 1 kW at 90 %: 111 W.
    """
    return output_w * (100.0 / efficiency_pct - 1.0)


def inverter_loss_w(
    output_w: float, continuous_w: float, rated_loss_w: float, idle_w: float
) -> float:
    """Heat of an inverter at part of its rated power.

    Parameters
    ----------
    output_w : float
        AC power it gives, in watts.
    continuous_w : float
        Its rated power, in watts.
    rated_loss_w : float
        Its loss at rated power, in watts.
    idle_w : float
        Its draw without load, in watts.

    Returns
    -------
    float
        Watts: its idle draw without load, its rated loss at rated power, in between on a line.

    Source
    ------
    Common practice, no source.
    """
    share = min(output_w / continuous_w, 1.0)
    return idle_w + max(rated_loss_w - idle_w, 0.0) * share


@rule(subject="place", limit="at most", unit="W", source=ARITHMETIC)
def controller_loss_w(pv_w: float, efficiency_pct: float, own_w: float) -> float:
    """Heat of a charge controller in full sun.

    Parameters
    ----------
    pv_w : float
        Power that comes from its panels, in watts.
    efficiency_pct : float
        Energy out over energy in, in per cent.
    own_w : float
        Its own use, in watts.

    Returns
    -------
    float
        Watts.

    Source
    ------
    Arithmetic: P · (1 − η) and its own use. 500 W at 97 %: 15 W.
    """
    return pv_w * (1.0 - efficiency_pct / 100.0) + own_w


@rule(subject="place", limit="at most", unit="W", source=ARITHMETIC)
def resistance_loss_w(current_a: float, ohm: float) -> float:
    """Heat of a battery or a conductor.

    Parameters
    ----------
    current_a : float
        In amperes.
    ohm : float
        Its resistance, in ohms.

    Returns
    -------
    float
        Watts.

    Source
    ------
    Arithmetic (Joule's law): 100 A through 4 mΩ, 40 W.
    """
    return current_a * current_a * ohm


@rule(subject="place", limit="at most", unit="W", source=COMMON_PRACTICE)
def fuse_loss_w(current_a: float, rated_a: float) -> float:
    """Heat of a fuse or breaker.

    Parameters
    ----------
    current_a : float
        Running current, in amperes.
    rated_a : float
        Its rating, in amperes.

    Returns
    -------
    float
        Watts.

    Source
    ------
    Common practice, no source: it loses 0.1 V at its rating. 200 A at 200 A: 20 W.
    """
    return FUSE_V * current_a * current_a / rated_a


@rule(subject="place", limit="at most", unit="W", source=COMMON_PRACTICE)
def shunt_loss_w(current_a: float, rated_a: float) -> float:
    """Heat of a monitor's shunt.

    Parameters
    ----------
    current_a : float
        Running current, in amperes.
    rated_a : float
        Its rating, in amperes.

    Returns
    -------
    float
        Watts.

    Source
    ------
    Common practice, no source: it loses 50 mV at its rating. 200 A at 200 A: 10 W.
    """
    return SHUNT_V * current_a * current_a / rated_a


def heat_air_m3_per_h(loss_w: float, rise_k: float) -> float:
    """Air that carries a loss away while it warms up by so much.

    Parameters
    ----------
    loss_w : float
        In watts.
    rise_k : float
        How much warmer the air leaves than it came, in kelvin.

    Returns
    -------
    float
        Cubic metres an hour, of air of 1.2 kg/m³.

    Source
    ------
    Arithmetic: 3600 · P / (ρ · c · ΔT) with 1005 J/(kg·K). 100 W at 10 K: 29.9 m³/h.
    """
    return 3600.0 * loss_w / (AIR_KG_PER_M3 * AIR_J_PER_KG_K * rise_k)


@rule(subject="place", limit="at least", unit="cm²", source=STACK_EFFECT)
def heat_opening_cm2(loss_w: float, rise_k: float, rise_m: float) -> float:
    """Free area of each of two openings, low in and high out, that let a loss out by itself.

    Parameters
    ----------
    loss_w : float
        In watts.
    rise_k : float
        How much warmer than outside it may get, in kelvin.
    rise_m : float
        Height from the middle of the low opening to that of the high one, in metres.

    Returns
    -------
    float
        In cm², each, net: louvres and meshes hold back part of a vent's face.

    Source
    ------
    Stack effect, orifice formula, from memory: q = Cd · (A/√2) · √(2 · g · h · ΔT/T) with
    Cd 0.6 and T 303 K. 100 W, 10 K, 0.5 m: 343 cm².
    """
    m3_per_s = heat_air_m3_per_h(loss_w, rise_k) / 3600.0
    speed = sqrt(2.0 * GRAVITY_M_PER_S2 * rise_m * rise_k / AIR_AT_WORK_K)
    return 1e4 * m3_per_s * sqrt(2.0) / (ORIFICE_FACTOR * speed)


def wall_heat_w(wall_m2: float, rise_k: float) -> float:
    """Heat that thin walls shed by themselves.

    Parameters
    ----------
    wall_m2 : float
        Their area, in square metres.
    rise_k : float
        How much warmer it is inside, in kelvin.

    Returns
    -------
    float
        Watts.

    Source
    ------
    Common practice, no source: 4 W/(m²·K). 1.5 m² at 10 K: 60 W.
    """
    return WALL_W_PER_M2_K * wall_m2 * rise_k
