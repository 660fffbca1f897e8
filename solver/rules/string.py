"""Strings of panels and the controller's windows of voltage and current."""

from __future__ import annotations

from solver.rules.bank import lowest_v
from solver.rules.base import COMMON_PRACTICE, Number, Source, lesser, rule
from solver.tables import nec_690

NEC_690_7 = Source(
    "NFPA 70, National Electrical Code", "2023", "690.7(A), Table 690.7(A)", "from memory"
)
NEC_690_8 = Source("NFPA 70, National Electrical Code", "2023", "690.8(A), (B)", "from memory")
HOT_STRING = Source(
    "common practice, no source",
    "",
    "",
    "the power coefficient taken for the voltage's, the safe side",
)

STC_C = 25.0
"""Cells at standard test conditions, in °C."""

CHARGING_V_PER_12V = {"lfp": 14.4, "agm": 14.7, "gel": 14.2, "flooded": 14.8}
"""Common practice, no source."""


def cold_factor(coldest_c: float) -> float:
    """Factor on a panel's open-circuit voltage on the coldest day, where it states none.

    Parameters
    ----------
    coldest_c : float
        Coldest air, in °C. From 25 °C up the factor is 1; under the table's end, -40 °C,
        it is extended by the table's steepest step, 0.4 %/K, the safe side.

    Returns
    -------
    float
        Without unit.

    Source
    ------
    NFPA 70 (2023), Table 690.7(A), from memory. Table values: tests/published/test_nec_690.py.
    """
    if coldest_c >= STC_C:
        return 1.0
    for from_c, factor in nec_690.VOC_FACTOR:
        if coldest_c >= from_c:
            return factor
    last_c, last = nec_690.VOC_FACTOR[-1]
    return last + 0.004 * (last_c - coldest_c)


@rule(subject="array", limit="at most", unit="V", source=NEC_690_7)
def voc_cold_v(voc_v: Number, voc_pct_per_c: float | None, coldest_c: float) -> Number:
    """Open-circuit voltage of one panel on the coldest day; times `series`, of a string.

    Parameters
    ----------
    voc_v : float or array
        Open-circuit voltage of one panel at standard test conditions, in volts.
    voc_pct_per_c : float or None
        Its temperature coefficient, in %/K (negative); None: the published table.
    coldest_c : float
        Coldest air, in °C.

    Returns
    -------
    float or array
        Volts; a string of them is compared with `max_pv_v` and `max_system_v`.

    Source
    ------
    NFPA 70 (2023), 690.7(A)(1) with the maker's coefficient, Table 690.7(A) without,
    from memory. Worked strings: tests/published/test_nec_690.py.

    Notes
    -----
    Holds for crystalline silicon. With the coefficient the voltage falls below `voc_v` where
    the coldest air is above 25 °C, as the formula says.
    """
    if voc_pct_per_c is None:
        return voc_v * cold_factor(coldest_c)
    return voc_v * (1.0 + voc_pct_per_c / 100.0 * (coldest_c - STC_C))


@rule(subject="array", limit="at least", unit="V", source=HOT_STRING)
def vmp_hot_v(
    vmp_v: Number, pmax_pct_per_c: float, hottest_c: float, cell_rise_c: float
) -> Number:
    """Voltage at full power of one panel on the hottest day; times `series`, of a string.

    Parameters
    ----------
    vmp_v : float or array
        Voltage at full power at standard test conditions, in volts.
    pmax_pct_per_c : float
        Temperature coefficient of the power, in %/K (negative).
    hottest_c : float
        Hottest air, in °C.
    cell_rise_c : float
        Cells over the air in full sun, in K.

    Returns
    -------
    float or array
        Volts; a string of them must reach the charging voltage and the controller's headroom.

    Source
    ------
    Common practice, no source: the power coefficient, which is the steeper, is taken for the
    voltage's, the safe side.
    """
    return vmp_v * (1.0 + pmax_pct_per_c / 100.0 * (hottest_c + cell_rise_c - STC_C))


def charging_voltage_v(chemistry: str, system_v: float) -> float:
    """Highest charging voltage of a bank, for the windows of strings.

    Parameters
    ----------
    chemistry : str
        `lfp`, `agm`, `gel` or `flooded`.
    system_v : float
        Nominal voltage of the system, in volts.

    Returns
    -------
    float
        Volts.

    Source
    ------
    Common practice, no source; for 12 V: lfp 14.4, agm 14.7, gel 14.2, flooded 14.8.
    """
    return CHARGING_V_PER_12V[chemistry] * system_v / 12.0


@rule(subject="array", limit="at most", unit="A", source=COMMON_PRACTICE)
def array_charge_a(
    kind: str,
    stc_w: Number,
    panels: Number,
    efficiency_pct: Number | float,
    max_charge_a: Number | float,
    isc_total_a: Number,
    system_v: float,
) -> Number:
    """Largest current that an array's controller puts into the bank.

    Parameters
    ----------
    kind : str
        `mppt` or `pwm`.
    stc_w : float or array
        Power of one panel at standard test conditions, in watts.
    panels : float or array
        Panels on the controller.
    efficiency_pct : float
        Of the controller, in %.
    max_charge_a : float
        Its limit, in amperes.
    isc_total_a : float or array
        Short-circuit current of all strings, in amperes.
    system_v : float
        Nominal voltage, in volts.

    Returns
    -------
    float or array
        Amperes.

    Source
    ------
    Common practice, no source; the safe side: the full power at the lowest voltage.
    """
    if kind == "pwm":
        return lesser(isc_total_a, max_charge_a)
    power_w = stc_w * panels * (efficiency_pct / 100.0)
    return lesser(power_w / lowest_v(system_v), max_charge_a)


@rule(subject="controller", limit="at most", unit="A", source=NEC_690_8)
def pv_input_current_a(isc_total_a: Number) -> Number:
    """Largest current from an array into its controller.

    Parameters
    ----------
    isc_total_a : float or array
        Short-circuit current of all strings at standard test conditions, in amperes.

    Returns
    -------
    float or array
        Amperes; compare with the controller's `max_pv_a`.

    Source
    ------
    NFPA 70 (2023), 690.8(A)(1): 125 % of the short-circuit current, from memory.
    """
    return isc_total_a * nec_690.CURRENT_FACTOR


@rule(subject="circuit", limit="at most", unit="A", source=NEC_690_8)
def pv_design_current_a(isc_total_a: Number, continuous: float, practice: str) -> Number:
    """Current that the conductors and the protection of an array are sized for.

    Parameters
    ----------
    isc_total_a : float or array
        Short-circuit current of all strings, in amperes: the circuit's running current.
    continuous : float
        Design current over running current, without unit.
    practice : str
        `iso`, `nec` or `abyc`.

    Returns
    -------
    float or array
        Amperes.

    Source
    ------
    NFPA 70 (2023), 690.8(A)(1) and (B)(1), from memory: under `nec` 1.25 once more.
    """
    design = isc_total_a * continuous
    return design * nec_690.CURRENT_FACTOR if practice == "nec" else design
