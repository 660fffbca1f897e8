"""Checks of arrays, bank, inverter and chargers."""

from __future__ import annotations

from collections import Counter

from solver.check_currents import ac_chargers, ac_ways_in, discharge_a, engine_chargers
from solver.check_sheet import (
    ARITHMETIC,
    COMMON_PRACTICE,
    COMPLETENESS,
    CONTRACT,
    Sheet,
    source_of,
)
from solver.check_survey import ArrayFacts, Survey
from solver.parts import Battery, Charger, Controller, Panel
from solver.rules.bank import nominal_class_v
from solver.rules.energy import surge_w, together_w
from solver.rules.standing import charged_up_to_c, charges_between
from solver.rules.string import pv_input_current_a, vmp_hot_v, voc_cold_v

NEC_690_7 = source_of(voc_cold_v)
HOT_STRING = source_of(vmp_hot_v)
NEC_690_8 = source_of(pv_input_current_a)


def check_system(sheet: Sheet, survey: Survey) -> None:
    """Voltage and chemistry are among those allowed, and every load takes the voltage."""
    needs, design = survey.needs, survey.design
    volts = design.system_voltage_v
    sheet.is_one_of(
        "system voltage allowed", CONTRACT, "system", volts, tuple(needs.rules.voltages)
    )
    sheet.is_one_of(
        "chemistry allowed", CONTRACT, "bank", design.chemistry, needs.rules.chemistries
    )
    for load in needs.loads:
        if load.supply == "dc" and load.volts is not None:
            sheet.is_one_of(
                "load takes the system voltage",
                CONTRACT,
                f"load {load.name}",
                volts,
                load.volts,
            )


def check_arrays(sheet: Sheet, survey: Survey) -> None:
    """Each array's windows of voltage and current, and the numbers stated of it."""
    _panels_and_controllers_used_once(sheet, survey)
    for array in survey.design.arrays:
        subject = f"array on {array.controller}"
        with sheet.about(subject):
            facts = survey.facts(array)
            _array_panels(sheet, survey, facts, subject)
            _array_voltages(sheet, survey, facts, subject)
            _array_currents(sheet, survey, facts, subject)


def _panels_and_controllers_used_once(sheet: Sheet, survey: Survey) -> None:
    arrays = survey.design.arrays
    panels = Counter(name for array in arrays for name in array.panels)
    controllers = Counter(array.controller for array in arrays)
    for device, _ in survey.devices_of(Panel):
        n = panels[device.id]
        sheet.holds("panel is in one string", COMPLETENESS, device.id, n == 1, n, 1, "strings")
    for device, _ in survey.devices_of(Controller):
        n = controllers[device.id]
        sheet.holds("controller has one array", COMPLETENESS, device.id, n == 1, n, 1, "arrays")


def _array_panels(sheet: Sheet, survey: Survey, facts: ArrayFacts, subject: str) -> None:
    array = facts.array
    rule = "panels are series times parallel"
    there = len(array.panels)
    sheet.holds(rule, ARITHMETIC, subject, there == facts.panels, there, facts.panels, "panels")
    devices = [survey.device(name) for name in array.panels]
    alike = all(d.part.part == array.panel for d in devices)
    found = ", ".join(sorted({d.part.part for d in devices}))
    sheet.holds("panels of an array alike", COMMON_PRACTICE, subject, alike, found, array.panel)
    places = sorted({d.place for d in devices})
    sheet.holds(
        "panels of an array in one place",
        COMMON_PRACTICE,
        subject,
        len(places) == 1,
        ", ".join(places),
        "one place",
    )


def _array_voltages(sheet: Sheet, survey: Survey, facts: ArrayFacts, subject: str) -> None:
    site, array, panel = survey.needs.site, facts.array, facts.panel
    controller = facts.controller
    cold_v = array.series * float(voc_cold_v(panel.voc_v, panel.voc_pct_per_c, site.coldest_c))
    hot_v = array.series * float(
        vmp_hot_v(panel.vmp_v, panel.pmax_pct_per_c, site.hottest_c, site.cell_rise_c)
    )
    rule = "string voltage, cold"
    sheet.agrees(f"{rule}, as stated", NEC_690_7, subject, array.voc_cold_v, cold_v, "V")
    sheet.at_most(
        f"{rule}, under the controller's", NEC_690_7, subject, cold_v, controller.max_pv_v, "V"
    )
    sheet.at_most(
        f"{rule}, under the panel's", NEC_690_7, subject, cold_v, panel.max_system_v, "V"
    )
    rule = "string voltage, hot"
    least_v = survey.charging_v + controller.headroom_v
    sheet.agrees(f"{rule}, as stated", HOT_STRING, subject, array.vmp_hot_v, hot_v, "V")
    sheet.at_least(
        f"{rule}, over the charging voltage", HOT_STRING, subject, hot_v, least_v, "V"
    )


def _array_currents(sheet: Sheet, survey: Survey, facts: ArrayFacts, subject: str) -> None:
    controller, array = facts.controller, facts.array
    sheet.agrees("array current, as stated", ARITHMETIC, subject, array.isc_a, facts.isc_a, "A")
    if controller.max_pv_a is not None:
        sheet.at_most(
            "array current, under the controller's",
            NEC_690_8,
            subject,
            pv_input_current_a(facts.isc_a),
            controller.max_pv_a,
            "A",
        )
    sheet.agrees(
        "charging current, as stated",
        COMMON_PRACTICE,
        subject,
        array.charge_a,
        facts.charge_a,
        "A",
    )
    sheet.is_one_of(
        "controller serves the bank's voltage",
        CONTRACT,
        array.controller,
        survey.design.system_voltage_v,
        controller.battery_v,
    )


def check_bank(sheet: Sheet, survey: Survey) -> None:
    """The bank's make-up, and its limits of current and temperature."""
    with sheet.about("bank"):
        _bank_make_up(sheet, survey, survey.battery)
        _bank_currents(sheet, survey, survey.battery)
        for device, part in survey.devices_of(Battery):
            place = survey.place(device.place)
            coldest = survey.needs.site.coldest_c if place.min_c is None else place.min_c
            sheet.at_least(
                "warm enough to charge",
                COMMON_PRACTICE,
                device.id,
                coldest,
                part.min_charge_c,
                "°C",
            )
            sheet.at_most(
                "cool enough to charge",
                source_of(charges_between),
                device.id,
                survey.needs.site.hottest_c if place.max_c is None else place.max_c,
                charged_up_to_c(part.max_charge_c),
                "°C",
            )


def _bank_make_up(sheet: Sheet, survey: Survey, battery: Battery) -> None:
    bank, design = survey.design.bank, survey.design
    volts = bank.series * float(nominal_class_v(battery.nominal_v))
    sheet.agrees(
        "bank has the system voltage", "trade use", "bank", volts, design.system_voltage_v, "V"
    )
    sheet.holds(
        "chemistry, as stated",
        CONTRACT,
        "bank",
        design.chemistry == battery.chemistry,
        design.chemistry,
        battery.chemistry,
    )
    sheet.at_most(
        "batteries in series",
        "the battery's own limit",
        "bank",
        bank.series,
        battery.max_series,
        "batteries",
    )
    sheet.at_most(
        "strings in parallel",
        "the battery's own limit",
        "bank",
        bank.parallel,
        battery.max_parallel,
        "strings",
    )
    counted = Counter(bank.batteries)
    devices = {d.id: p.part for d, p in survey.devices_of(Battery)}
    right = (
        len(bank.batteries) == bank.series * bank.parallel > 0
        and all(n == 1 for n in counted.values())
        and set(counted) == set(devices)
        and set(devices.values()) == {bank.battery}
    )
    sheet.holds(
        "batteries are series times parallel, all alike",
        ARITHMETIC,
        "bank",
        right,
        len(devices),
        bank.series * bank.parallel,
        "batteries",
    )


def _bank_currents(sheet: Sheet, survey: Survey, battery: Battery) -> None:
    parallel = survey.design.bank.parallel
    charge_limit_a = battery.max_charge_a * parallel
    arrays_a = sum(survey.facts(a).charge_a for a in survey.design.arrays)
    rule = "charging current within the bank's"
    sheet.at_most(rule, COMMON_PRACTICE, "all arrays together", arrays_a, charge_limit_a, "A")
    for device, charge_a, _ in ac_chargers(survey) + engine_chargers(survey):
        sheet.at_most(rule, COMMON_PRACTICE, device.id, charge_a, charge_limit_a, "A")
    sheet.at_most(
        "discharge within the bank's",
        COMMON_PRACTICE,
        "inverter with the DC loads together",
        discharge_a(survey),
        battery.max_discharge_a * parallel,
        "A",
    )


def check_inverter(sheet: Sheet, survey: Survey) -> None:
    """An inverter where there are AC loads, large enough and of the right voltages."""
    loads, rules = survey.needs.loads, survey.needs.rules
    wanted = any(load.supply == "ac" for load in loads)
    if survey.inverter is None:
        sheet.holds(
            "an inverter serves AC loads",
            COMPLETENESS,
            "system",
            not wanted,
            0,
            int(wanted),
            "inverters",
        )
        return
    device, part = survey.inverter
    sheet.is_one_of(
        "inverter takes the system voltage",
        CONTRACT,
        device.id,
        survey.design.system_voltage_v,
        part.dc_v,
    )
    sheet.is_one_of("AC voltage", CONTRACT, device.id, part.ac_v, rules.ac_v)
    sheet.is_one_of("AC frequency", CONTRACT, device.id, part.hz, rules.hz)
    if wanted:
        need_w = together_w(loads, "ac")
        sheet.at_least(
            "inverter carries the AC loads",
            COMMON_PRACTICE,
            device.id,
            part.continuous_w,
            need_w,
            "W",
        )
        sheet.at_least(
            "inverter starts the AC loads",
            COMMON_PRACTICE,
            device.id,
            part.surge_w,
            surge_w(loads),
            "W",
        )


def check_chargers(sheet: Sheet, survey: Survey) -> None:
    """Chargers serve the bank's voltage, and what feeds them is enough."""
    for device, part in survey.devices_of(Charger):
        sheet.is_one_of(
            "charger serves the bank's voltage",
            CONTRACT,
            device.id,
            survey.design.system_voltage_v,
            part.battery_v,
        )
    for device, _, input_w in engine_chargers(survey):
        most = max((w.max_w for w in survey.needs.charging if w.kind == "engine"), default=0)
        sheet.at_most("charger takes what is there", CONTRACT, device.id, input_w, most, "W")
    for device, _, input_w in ac_chargers(survey):
        most = max((w.max_w for w in ac_ways_in(survey)), default=0)
        sheet.at_most("charger takes what is there", CONTRACT, device.id, input_w, most, "W")
