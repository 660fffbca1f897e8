"""What the meter should show: the values to expect of a design before and after it is switched on.

Two parts: dead tests, with sources open and fuses out, and live tests in the order in which the
sources are closed. Each row has a band, the instrument, what to do outside the band, and where the
figure is from. Sun and air of the moment are not known beforehand: rows that depend on them are
told for stated ones.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from solver.needs import Load, Needs
from solver.parts import Battery, Cable, Charger, Controller, Inverter, Monitor, Panel
from solver.records import Array, Circuit, Design, EnergyReport
from solver.rules.base import ARITHMETIC, COMMON_PRACTICE
from solver.rules.conductor import resistance_ohm_per_m
from solver.rules.string import charging_voltage_v
from solver.rules.termination import ABYC_PULL, IEC_60947_1, pull_n, torque_nm
from solver.tables.battery_voltages import COMPENSATION_MV_PER_K, FLOAT_V, REST_V

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
    low: float | None
    high: float | None
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


def expected(needs: Needs, design: Design, energy: EnergyReport) -> tuple[Expected, ...]:
    """Every test of a design, dead ones first, in the order in which they are made."""
    live = sorted(_live(needs, design, energy), key=lambda t: t.step)
    return (*_dead(needs, design), *live)


# -- dead


def _dead(needs: Needs, design: Design) -> Iterator[Expected]:
    def row(step: int, test: str, subject: str, value: float | str, unit: str = "",
            low: float | None = None, high: float | None = None, *, instrument: str,
            outside: str, source: str = PRACTICE, licensed: bool = False) -> Expected:  # fmt: skip
        return Expected(
            part=DEAD, step=step, test=test, subject=subject, value=value, low=low, high=high,
            unit=unit, instrument=instrument, outside=outside, source=source, licensed=licensed,
        )  # fmt: skip

    yield row(
        1, "look over every row of the sheet circuits against the wiring diagram",
        f"{len(design.cuts)} pieces", "device, size, colour, label", instrument="eyes",
        outside="correct it before anything is closed",
    )  # fmt: skip
    for stud, ends in sorted(_studs(design).items(), key=lambda x: torque_nm(x[0])):
        yield row(
            2, "torque of every nut and bolt", f"{stud}, {ends} ends", torque_nm(stud), "Nm",
            instrument="torque tool", source=IEC_60947_1.text(),
            outside="take the maker's own value where there is one; loosen, look at lug and "
            "thread, tighten once, mark with paint",
        )  # fmt: skip
    for size, (area_mm2, ends) in sorted(_crimped(design).items(), key=lambda x: x[1][0]):
        pull = pull_n(area_mm2)
        yield row(
            3, "pull a sample of the crimped ends for a minute", f"{size}, {ends} ends", pull, "N",
            pull, instrument="spring balance or weight", source=ABYC_PULL.text(),
            outside="another die or lug, and pull every end of that size",
        )  # fmt: skip
    yield from (
        row(
            4, "continuity of earth and bond", name, ohm, "Ω", None, 0.5, instrument="ohmmeter",
            outside="clean and tighten the joint",
        )
        for name, ohm in _earths(needs, design)
    )  # fmt: skip
    yield row(
        5, "insulation of DC plus and minus against chassis or earth, electronics disconnected",
        f"{design.system_voltage_v} V side", "at least 0.5 at 250 V", "MΩ", 0.5,
        instrument="insulation tester", source=IEC_INSULATION,
        outside="halve the circuits until the faulty one is found; dry, mend, test again",
    )  # fmt: skip
    for array in design.arrays:
        high = array.voc_cold_v >= 120
        test_v, least = (500, 1.0) if high else (250, 0.5)
        yield row(
            5, "insulation of the array's plus and minus against frames and earth",
            array.controller, f"at least {least:g} at {test_v} V", "MΩ", least,
            instrument="insulation tester", source=IEC_ARRAY,
            outside="open connectors in the dark, string by string; mend before connecting",
        )  # fmt: skip
    if _ac(design):
        yield row(
            5, "insulation of the AC side", "AC side", "at least 1 at 500 V", "MΩ", 1.0,
            instrument="insulation tester", source=IEC_INSULATION, licensed=True,
            outside="not put to use before it is mended and tested again",
        )  # fmt: skip
    yield row(
        6, "plus against minus at the bus bars, loads off", "bus bars",
        "over 1, rising while capacitors charge", "kΩ", 1.0, instrument="ohmmeter",
        outside="a short or a load that is on: find it before any fuse goes in",
    )  # fmt: skip
    yield row(
        7, "sign at every battery fuse, string end and plug", "all ends", "plus on plus",
        instrument="voltmeter", outside="never close it; change the ends",
    )  # fmt: skip


def _studs(design: Design) -> Counter[str]:
    return Counter(e.stud for c in design.cuts for e in c.ends if e.stud is not None)


def _crimped(design: Design) -> dict[str, tuple[float, int]]:
    """Sizes that lugs are crimped on, with how many."""
    found: dict[str, tuple[float, int]] = {}
    for cut in design.cuts:
        cable = design.parts[cut.cable]
        lugs = sum(
            e.termination is not None and design.parts[e.termination].cls == "lug"
            for e in cut.ends
        )
        if lugs and isinstance(cable, Cable):
            area, before = found.get(cable.size, (cable.area_mm2, 0))
            found[cable.size] = (area, before + lugs)
    return found


def _earths(needs: Needs, design: Design) -> Iterator[tuple[str, float | str]]:
    """Earth and bonding conductors with their resistance at 20 °C; without any, what to measure."""
    bonds = [c for c in design.circuits if c.kind == "bond"]
    for circuit in bonds:
        yield circuit.name, circuit.length_m * _ohm_per_m(design, circuit)
    if not bonds:
        yield "cases, frames and rails to the earth bar", "under 0.5"


def _ohm_per_m(design: Design, circuit: Circuit) -> float:
    """Of one conductor at 20 °C."""
    cable = design.parts[circuit.cable]
    if not isinstance(cable, Cable):
        raise AssertionError(f"{circuit.cable} is no cable")  # noqa: TRY004  a defect
    return resistance_ohm_per_m(cable.ohm_per_km_20c, 20.0)


def _ac(design: Design) -> list[Circuit]:
    return [c for c in design.circuits if c.kind == "ac"]


# -- live


def _live(needs: Needs, design: Design, energy: EnergyReport) -> Iterator[Expected]:
    yield from _bank(design)
    yield from _strings(needs, design)
    inverters = [d for d in design.devices if isinstance(d.part, Inverter)]
    for device in inverters:
        yield _row(
            3, "pre-charge, before the main switch closes on an inverter", device.id,
            "its capacitors come up through a resistor or by themselves", instrument="voltmeter",
            outside="sparks pit the contacts: wait, charge it first",
        )  # fmt: skip
    bank_v = rest_v(design.chemistry, design.system_voltage_v)
    yield _row(
        4, "battery switch on", "bus bars", sum(bank_v) / 2, "V", *bank_v, instrument="voltmeter",
        outside="switch off; measure from the post on, joint by joint",
    )  # fmt: skip
    yield _row(
        4, "drop across each closed fuse and the switch", "each", "under 0.1", "V", None, 0.1,
        instrument="voltmeter", outside="a bad joint or the wrong fuse",
    )  # fmt: skip
    yield from _loads(needs, design)
    yield from _charging(needs, design)
    for device in inverters:
        assert isinstance(device.part, Inverter)
        yield from _inverter(needs, design, device.id, device.part)
    yield from _drops(needs, design)
    yield from _last(needs, design, energy)


def _row(
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
    return Expected(
        part=LIVE, step=step, test=test, subject=subject, value=value, low=low, high=high,
        unit=unit, instrument=instrument, outside=outside, source=source, licensed=licensed,
    )  # fmt: skip


def _bank(design: Design) -> Iterator[Expected]:
    battery = design.parts[design.bank.battery]
    assert isinstance(battery, Battery), "a bank of something else than batteries"
    low, high = rest_v(battery.chemistry, battery.nominal_v)
    charge = "70 to 100 % charged" if battery.chemistry == "lfp" else "half to fully charged"
    for name in design.bank.batteries:
        yield _row(
            1, f"each battery alone, at rest, {charge}", name, (low + high) / 2, "V", low, high,
            instrument="voltmeter", outside="charge it alone first, or send it back",
        )  # fmt: skip
    if len(design.bank.batteries) > 1:
        most = 0.05 * max(1, round(battery.nominal_v / 12))
        yield _row(
            1, "difference between any two of them, before they are joined", "bank",
            f"under {most:g}", "V", None, most, instrument="voltmeter",
            outside="charge each alone to the same voltage; unequal ones drive large currents",
        )  # fmt: skip


def _panel(design: Design, array: Array) -> Panel:
    panel = design.parts[array.panel]
    if not isinstance(panel, Panel):
        raise AssertionError(f"{array.panel} is no panel")  # noqa: TRY004  a defect
    return panel


def _strings(needs: Needs, design: Design) -> Iterator[Expected]:
    for array in design.arrays:
        panel = _panel(design, array)
        for air_c in TOLD_AIR_C:
            for sun in TOLD_SUN_W_PER_M2:
                volts = string_open_v(
                    panel.voc_v, array.series, panel.voc_pct_per_c, air_c,
                    needs.site.cell_rise_c, sun,
                )  # fmt: skip
                yield _row(
                    2, "each string open, plus on plus, in steady sun: "
                    f"{air_c:g} °C air, {sun:g} W/m²", f"string on {array.controller}", volts,
                    "V", 0.95 * volts, 1.05 * volts, instrument="voltmeter, sun sensor",
                    source="single-diode equation; band: " + PRACTICE,
                    outside="count the panels, look for shade and a turned connector; never "
                    f"connect over {array.voc_cold_v:.0f} V",
                )  # fmt: skip
        if array.parallel > 1:
            yield _row(
                2, "strings against each other", f"strings on {array.controller}",
                "within 3", "%", None, 3.0, instrument="voltmeter", source=IEC_ARRAY,
                outside="the lower one has shade, a panel less or a bad connector",
            )  # fmt: skip


def _circuits(needs: Needs, design: Design) -> Iterator[tuple[Circuit, tuple[Load, ...]]]:
    """DC load circuits with their loads."""
    for circuit in design.circuits:
        if circuit.kind == "load":
            yield (
                circuit,
                tuple(
                    x
                    for x in needs.loads
                    if x.supply == "dc" and (x.circuit or x.name) == circuit.name
                ),
            )


def _loads(needs: Needs, design: Design) -> Iterator[Expected]:
    bank_v = sum(rest_v(design.chemistry, design.system_voltage_v)) / 2
    for circuit, loads in _circuits(needs, design):
        watts = sum(x.watts * x.quantity for x in loads)
        if not watts:
            continue
        amps = watts / bank_v
        yield _row(
            5, "current with all its loads on", circuit.name, amps, "A", 0.9 * amps, 1.1 * amps,
            instrument="clamp meter", source=COMPUTED,
            outside="higher: a wrong load or a fault; lower: one is off, or its watts were "
            "measured wrongly",
        )  # fmt: skip
    own_w = sum(
        d.part.own_w for d in design.devices if isinstance(d.part, Controller | Monitor)
    )
    yield _row(
        5, "current with all loads and inverters off", "whole kit", own_w / bank_v, "A", 0.0,
        1.2 * own_w / bank_v + 0.05, instrument="clamp meter", source=COMPUTED,
        outside="something draws that should not: open circuits one by one",
    )  # fmt: skip


def _charging(needs: Needs, design: Design) -> Iterator[Expected]:
    charging = charging_voltage_v(design.chemistry, design.system_voltage_v)
    times = design.system_voltage_v / 12
    low, high = (x * times for x in FLOAT_V[design.chemistry])
    bank_v = sum(rest_v(design.chemistry, design.system_voltage_v)) / 2
    for array in design.arrays:
        panel = _panel(design, array)
        controller = design.device(array.controller).part
        assert isinstance(controller, Controller), "an array is on a controller"
        watts = panel.stc_w * array.series * array.parallel * SUN_W_PER_M2 / 1000
        if controller.kind == "pwm":
            amps = panel.imp_a * array.parallel * SUN_W_PER_M2 / 1000
        else:
            amps = watts * needs.site.derate * controller.efficiency_pct / 100 / bank_v
        amps = min(amps, controller.max_charge_a)
        yield _row(
            6, f"array on, charging: at most this at {SUN_W_PER_M2:g} W/m²; voltage rises",
            array.controller, amps, "A", None, amps * 1.15, instrument="clamp meter, sun sensor",
            source=COMPUTED,
            outside="much less in sun: bank full, shade, dirt; more: another panel or sun",
        )  # fmt: skip
    for device in design.devices:
        if isinstance(device.part, Controller | Charger):
            yield _row(
                7, "absorption voltage, set and measured at the bank", device.id, charging, "V",
                charging - 0.1 * times, charging + 0.1 * times, instrument="voltmeter",
                outside="enter the battery maker's values; they stand above these",
            )  # fmt: skip
            yield _row(
                7, "float voltage, set and measured at the bank", device.id, (low + high) / 2,
                "V", low, high, instrument="voltmeter",
                outside="enter the battery maker's values; they stand above these",
            )  # fmt: skip
    if design.chemistry != "lfp":
        least, most = (x * times for x in COMPENSATION_MV_PER_K)
        yield _row(
            7, "change of these voltages with the bank's temperature, from 25 °C", "bank",
            (least + most) / 2, "mV/K", least, most, instrument="settings",
            outside="connect the probe, or enter the value",
        )  # fmt: skip


def _inverter(needs: Needs, design: Design, name: str, part: Inverter) -> Iterator[Expected]:
    bank_v = sum(rest_v(design.chemistry, design.system_voltage_v)) / 2
    yield _row(
        8, "AC voltage without load", name, part.ac_v, "V", 0.95 * part.ac_v, 1.05 * part.ac_v,
        instrument="true-RMS voltmeter", licensed=True, outside="change the settings, else send it back",
    )  # fmt: skip
    yield _row(
        8, "AC frequency", name, part.hz, "Hz", 0.995 * part.hz, 1.005 * part.hz,
        instrument="meter", licensed=True, outside="change the settings",
    )  # fmt: skip
    idle = part.idle_w / bank_v
    yield _row(
        8, "DC current without load", name, idle, "A", None, 1.2 * idle + 0.05,
        instrument="clamp meter", source=COMPUTED, outside="a load is on; look for it",
    )  # fmt: skip
    ac = [x for x in needs.loads if x.supply == "ac"]
    if not ac:
        return
    largest = max(ac, key=lambda x: (x.watts, x.name))
    amps = largest.watts / (part.efficiency_pct / 100) / bank_v
    yield _row(
        9, f'DC current with "{largest.name}" on ({largest.watts:g} W)', name, amps, "A",
        0.9 * amps, 1.15 * amps, instrument="clamp meter", source=COMPUTED,
        outside="bank low, or another load than stated",
    )  # fmt: skip
    yield _row(
        9, "terminals over the air after ten minutes of it, both poles alike", name, "under 30",
        "K", None, 30.0, instrument="thermometer, no fingers", outside="tighten: a joint is bad",
    )  # fmt: skip
    surging = [x for x in ac if x.surge_watts]
    if surging:
        worst = max(surging, key=lambda x: (x.surge_watts or 0, x.name))
        yield _row(
            11, f'start of "{worst.name}" with what else runs', name, "inverter stays on",
            instrument="eyes", outside="fewer loads at the start, bank warmer and fuller",
        )  # fmt: skip


def _drops(needs: Needs, design: Design) -> Iterator[Expected]:
    """Of circuits that a person can load: the drop at the current that was measured above."""
    bank_v = sum(rest_v(design.chemistry, design.system_voltage_v)) / 2
    warmer = resistance_ohm_per_m(1000.0, needs.rules.conductor_c)
    for circuit, loads in _circuits(needs, design):
        amps = sum(x.watts * x.quantity for x in loads) / bank_v
        if amps and circuit.current_a:
            yield _drop(circuit, amps, warmer)
    ac = [x.watts for x in needs.loads if x.supply == "ac"]
    for circuit in design.circuits:
        if circuit.kind == "inverter" and ac and circuit.current_a:
            part = design.device(circuit.to).part
            assert isinstance(part, Inverter), f"{circuit.to} is no inverter"
            yield _drop(circuit, max(ac) / (part.efficiency_pct / 100) / bank_v, warmer)


def _drop(circuit: Circuit, amps: float, warmer: float) -> Expected:
    volts = circuit.drop_v / circuit.current_a * amps / warmer
    return _row(
        10, f"drop there and back at {amps:.1f} A; of another current in proportion",
        circuit.name, volts, "V", None, 1.2 * volts * warmer, instrument="voltmeter, clamp meter",
        source="conductor's resistance at 20 °C; band: " + PRACTICE,
        outside="a bad joint: measure joint by joint, a sound one has under 10 mV at 100 A",
    )  # fmt: skip


def _last(needs: Needs, design: Design, energy: EnergyReport) -> Iterator[Expected]:
    if _ac(design):
        yield _row(
            12, "residual-current device of 30 mA: at half no trip in 2 s, at 30 mA within 300 ms, "
            "at 150 mA within 40 ms; each source; test button", "AC side", "trips in time",
            instrument="tester of such devices", source=IEC_RCD, licensed=True,
            outside="not put to use before it is mended and tested again",
        )  # fmt: skip
    if any(c.from_ == "shore inlet" for c in _ac(design)):
        yield _row(
            13, "shore on and off: change-over, neutral bonded at one source only, residual-"
            "current device again", "AC side", "one bond in each state",
            instrument="installation tester", licensed=True, outside="not put to use before it is mended and tested again",
        )  # fmt: skip
    for device in design.devices:
        if isinstance(device.part, Charger):
            way = "engine" if device.part.kind == "engine" else "shore"
            yield _row(
                14, f"charging from {way}", device.id, device.part.charge_a, "A", None,
                1.05 * device.part.charge_a, instrument="clamp meter",
                outside="less near full is right; else settings, input voltage",
            )  # fmt: skip
    yield _row(
        15, "stops at low voltage and low temperature, alarms: forced by the settings, then "
        "restored", "kit", "each stops", instrument="settings",
        outside="without them do not leave it alone",
    )  # fmt: skip
    for month in energy.months:
        got = month.yield_wh + month.other_wh
        yield _row(
            16, f"a day's run in month {month.month}: out of the bank, and into it at most",
            "bank", f"{month.need_wh:.0f} out, {got:.0f} in", "Wh", instrument="battery monitor",
            source="energy of a mean day: the sheet energy",
            outside="one day is no mean day: watch a week, then look for the load or the shade",
        )  # fmt: skip
