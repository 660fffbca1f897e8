"""Tests while the kit is switched on: voltages, currents, drops, settings, stops."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from solver.ground import inlet_of
from solver.needs import Load, Needs
from solver.parts import Battery, Charger, Controller, Inverter, Monitor, Panel
from solver.readings import (
    COMPUTED,
    IEC_ARRAY,
    IEC_RCD,
    LIVE,
    PRACTICE,
    SUN_W_PER_M2,
    TOLD_AIR_C,
    TOLD_SUN_W_PER_M2,
    Expected,
    ac_circuits,
    rest_v,
    row,
    string_open_v,
)
from solver.records import Array, Circuit, Design, EnergyReport
from solver.rules.conductor import resistance_ohm_per_m
from solver.rules.string import charging_voltage_v
from solver.tables.battery_voltages import COMPENSATION_MV_PER_K, FLOAT_V

_row = partial(row, LIVE)


def live_tests(needs: Needs, design: Design, energy: EnergyReport) -> Iterator[Expected]:
    """The tests while one source after the other is closed."""
    yield from _bank(design)
    yield from _strings(needs, design)
    inverters = [d for d in design.devices if isinstance(d.part, Inverter)]
    for device in inverters:
        yield _row(
            3,
            "pre-charge, before the main switch closes on an inverter",
            device.id,
            "its capacitors come up through a resistor or by themselves",
            instrument="voltmeter",
            outside="sparks pit the contacts: wait, charge it first",
        )
    bank_v = rest_v(design.chemistry, design.system_voltage_v)
    yield _row(
        4,
        "battery switch on",
        "bus bars",
        sum(bank_v) / 2,
        "V",
        *bank_v,
        instrument="voltmeter",
        outside="switch off; measure from the post on, joint by joint",
    )
    yield _row(
        4,
        "drop across each closed fuse and the switch",
        "each",
        "under 0.1",
        "V",
        None,
        0.1,
        instrument="voltmeter",
        outside="a bad joint or the wrong fuse",
    )
    yield from _loads(needs, design)
    yield from _charging(needs, design)
    for device in inverters:
        assert isinstance(device.part, Inverter)
        yield from _inverter(needs, design, device.id, device.part)
    yield from _drops(needs, design)
    yield from _last(needs, design, energy)


def _bank(design: Design) -> Iterator[Expected]:
    battery = design.parts[design.bank.battery]
    assert isinstance(battery, Battery), "a bank of something else than batteries"
    low, high = rest_v(battery.chemistry, battery.nominal_v)
    charge = "70 to 100 % charged" if battery.chemistry == "lfp" else "half to fully charged"
    for name in design.bank.batteries:
        yield _row(
            1,
            f"each battery alone, at rest, {charge}",
            name,
            (low + high) / 2,
            "V",
            low,
            high,
            instrument="voltmeter",
            outside="charge it alone first, or send it back",
        )
    if len(design.bank.batteries) > 1:
        most = 0.05 * max(1, round(battery.nominal_v / 12))
        yield _row(
            1,
            "difference between any two of them, before they are joined",
            "bank",
            f"under {most:g}",
            "V",
            None,
            most,
            instrument="voltmeter",
            outside="charge each alone to the same voltage; unequal ones drive large currents",
        )


def _panel(design: Design, array: Array) -> Panel:
    panel = design.parts[array.panel]
    if not isinstance(panel, Panel):
        raise AssertionError(f"{array.panel} is no panel")  # noqa: TRY004  a defect
    return panel


def _sign_of_lead(design: Design, array: Array) -> Iterator[Expected]:
    """Of a lead from the ground: its sign, before it is ever plugged in."""
    inlet = inlet_of(design, array)
    if inlet is None:
        return
    yield _row(
        2,
        "sign at the lead's loose half, panels in light, before it is ever plugged into the inlet",
        inlet,
        "plus on plus",
        instrument="voltmeter",
        outside="do not plug it in: cover the panels, change the two ends in the loose half",
    )


def _plugged_in(design: Design, array: Array) -> Iterator[Expected]:
    """A lead from the ground is plugged in: pins proven dead where they could be fed, then by hand.

    Before the bank is on and the controller connected nothing could feed them.
    """
    inlet = inlet_of(design, array)
    if inlet is None:
        return
    yield _row(
        6,
        "pins of the inlet dead: battery switch on, controller connected, isolator closed, lead "
        "not plugged in, cap off; each pin measured to the other, and each to chassis or earth",
        inlet,
        "under 1",
        "V",
        None,
        1.0,
        instrument="voltmeter",
        outside="something feeds them: open the isolator, cap the inlet, and find it before the "
        "lead is touched",
    )
    yield _row(
        6,
        "isolator open, then the lead plugged in, then the isolator closed; to take it down: "
        "isolator open, lead out, cap on",
        inlet,
        "in this order",
        instrument="eyes",
        outside="plugged in with the isolator closed the pins may arc: open the isolator, look "
        "at the pins, and change what is pitted",
    )


def _strings(needs: Needs, design: Design) -> Iterator[Expected]:
    for array in design.arrays:
        yield from _sign_of_lead(design, array)
        panel = _panel(design, array)
        for air_c in TOLD_AIR_C:
            for sun in TOLD_SUN_W_PER_M2:
                volts = string_open_v(
                    panel.voc_v,
                    array.series,
                    panel.voc_pct_per_c,
                    air_c,
                    needs.site.cell_rise_c,
                    sun,
                )
                yield _row(
                    2,
                    "each string open, plus on plus, in steady sun: "
                    f"{air_c:g} °C air, {sun:g} W/m²",
                    f"string on {array.controller}",
                    volts,
                    "V",
                    0.95 * volts,
                    1.05 * volts,
                    instrument="voltmeter, sun sensor",
                    source="single-diode equation; band: " + PRACTICE,
                    outside="count the panels, look for shade and a turned connector; never "
                    f"connect more than {array.voc_cold_v:.1f} V, the coldest morning's",
                )
        if array.parallel > 1:
            yield _row(
                2,
                "strings against each other",
                f"strings on {array.controller}",
                "within 3",
                "%",
                None,
                3.0,
                instrument="voltmeter",
                source=IEC_ARRAY,
                outside="the lower one has shade, a panel less or a bad connector",
            )


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
            5,
            "current with all its loads on",
            circuit.name,
            amps,
            "A",
            0.9 * amps,
            1.1 * amps,
            instrument="clamp meter",
            source=COMPUTED,
            outside="higher: a wrong load or a fault; lower: one is off, or its watts were "
            "measured wrongly",
        )
    own_w = sum(
        d.part.own_w for d in design.devices if isinstance(d.part, Controller | Monitor)
    )
    yield _row(
        5,
        "current with all loads and inverters off",
        "whole kit",
        own_w / bank_v,
        "A",
        0.0,
        1.2 * own_w / bank_v + 0.05,
        instrument="clamp meter",
        source=COMPUTED,
        outside="something draws that should not: open circuits one by one",
    )


def _charging(needs: Needs, design: Design) -> Iterator[Expected]:
    charging = charging_voltage_v(design.chemistry, design.system_voltage_v)
    times = design.system_voltage_v / 12
    low, high = (x * times for x in FLOAT_V[design.chemistry])
    bank_v = sum(rest_v(design.chemistry, design.system_voltage_v)) / 2
    for array in design.arrays:
        yield from _plugged_in(design, array)
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
            6,
            f"array on, charging: at most this at {SUN_W_PER_M2:g} W/m²; voltage rises",
            array.controller,
            amps,
            "A",
            None,
            amps * 1.15,
            instrument="clamp meter, sun sensor",
            source=COMPUTED,
            outside="much less in sun: bank full, shade, dirt; more: another panel or sun",
        )
    for device in design.devices:
        if isinstance(device.part, Controller | Charger):
            yield _row(
                7,
                "absorption voltage, set and measured at the bank",
                device.id,
                charging,
                "V",
                charging - 0.1 * times,
                charging + 0.1 * times,
                instrument="voltmeter",
                outside="enter the battery maker's values; they stand above these",
            )
            yield _row(
                7,
                "float voltage, set and measured at the bank",
                device.id,
                (low + high) / 2,
                "V",
                low,
                high,
                instrument="voltmeter",
                outside="enter the battery maker's values; they stand above these",
            )
    if design.chemistry != "lfp":
        least, most = (x * times for x in COMPENSATION_MV_PER_K)
        yield _row(
            7,
            "change of these voltages with the bank's temperature, from 25 °C",
            "bank",
            (least + most) / 2,
            "mV/K",
            least,
            most,
            instrument="settings",
            outside="connect the probe, or enter the value",
        )


def _inverter(needs: Needs, design: Design, name: str, part: Inverter) -> Iterator[Expected]:
    bank_v = sum(rest_v(design.chemistry, design.system_voltage_v)) / 2
    yield _row(
        8,
        "AC voltage without load",
        name,
        part.ac_v,
        "V",
        0.95 * part.ac_v,
        1.05 * part.ac_v,
        instrument="true-RMS voltmeter",
        licensed=True,
        outside="change the settings, else send it back",
    )
    yield _row(
        8,
        "AC frequency",
        name,
        part.hz,
        "Hz",
        0.995 * part.hz,
        1.005 * part.hz,
        instrument="meter",
        licensed=True,
        outside="change the settings",
    )
    idle = part.idle_w / bank_v
    yield _row(
        8,
        "DC current without load",
        name,
        idle,
        "A",
        None,
        1.2 * idle + 0.05,
        instrument="clamp meter",
        source=COMPUTED,
        outside="a load is on; look for it",
    )
    ac = [x for x in needs.loads if x.supply == "ac"]
    if not ac:
        return
    largest = max(ac, key=lambda x: (x.watts, x.name))
    amps = largest.watts / (part.efficiency_pct / 100) / bank_v
    yield _row(
        9,
        f'DC current with "{largest.name}" on ({largest.watts:g} W)',
        name,
        amps,
        "A",
        0.9 * amps,
        1.15 * amps,
        instrument="clamp meter",
        source=COMPUTED,
        outside="bank low, or another load than stated",
    )
    yield _row(
        9,
        "terminals over the air after ten minutes of it, both poles alike",
        name,
        "under 30",
        "K",
        None,
        30.0,
        instrument="thermometer, no fingers",
        outside="tighten: a joint is bad",
    )
    surging = [x for x in ac if x.surge_watts]
    if surging:
        worst = max(surging, key=lambda x: (x.surge_watts or 0, x.name))
        yield _row(
            11,
            f'start of "{worst.name}" with what else runs',
            name,
            "inverter stays on",
            instrument="eyes",
            outside="fewer loads at the start, bank warmer and fuller",
        )


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
        10,
        f"drop there and back at {amps:.1f} A; of another current in proportion",
        circuit.name,
        volts,
        "V",
        None,
        1.2 * volts * warmer,
        instrument="voltmeter, clamp meter",
        source="conductor's resistance at 20 °C; band: " + PRACTICE,
        outside="a bad joint: measure joint by joint, a sound one has under 10 mV at 100 A",
    )


def _last(needs: Needs, design: Design, energy: EnergyReport) -> Iterator[Expected]:
    if ac_circuits(design):
        yield _row(
            12,
            "residual-current device of 30 mA: at half no trip in 2 s, at 30 mA within 300 ms, "
            "at 150 mA within 40 ms; each source; test button",
            "AC side",
            "trips in time",
            instrument="tester of such devices",
            source=IEC_RCD,
            licensed=True,
            outside="not put to use before it is mended and tested again",
        )
    if any(c.from_ == "shore inlet" for c in ac_circuits(design)):
        yield _row(
            13,
            "shore on and off: change-over, neutral bonded at one source only, residual-"
            "current device again",
            "AC side",
            "one bond in each state",
            instrument="installation tester",
            licensed=True,
            outside="not put to use before it is mended and tested again",
        )
    for device in design.devices:
        if isinstance(device.part, Charger):
            way = "engine" if device.part.kind == "engine" else "shore"
            yield _row(
                14,
                f"charging from {way}",
                device.id,
                device.part.charge_a,
                "A",
                None,
                1.05 * device.part.charge_a,
                instrument="clamp meter",
                outside="less near full is right; else settings, input voltage",
            )
    yield _row(
        15,
        "stops at low voltage and low temperature, alarms: forced by the settings, then "
        "restored",
        "kit",
        "each stops",
        instrument="settings",
        outside="without them do not leave it alone",
    )
    for month in energy.months:
        got = month.yield_wh + month.other_wh
        yield _row(
            16,
            f"a day's run in month {month.month}: out of the bank, and into it at most",
            "bank",
            f"{month.need_wh:.0f} out, {got:.0f} in",
            "Wh",
            instrument="battery monitor",
            source="energy of a mean day: the sheet energy",
            outside="one day is no mean day: watch a week, then look for the load or the shade",
        )
