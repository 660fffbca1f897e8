"""Checks of energy: each month's balance, and the days the bank carries alone."""

from __future__ import annotations

from solver.check_currents import ChargerFacts, ac_chargers, engine_chargers
from solver.check_sheet import Sheet, source_of
from solver.check_survey import Survey
from solver.needs import ALL_MONTHS, Charging
from solver.parts import Controller, Monitor
from solver.rules.bank import temperature_factor, usable_wh
from solver.rules.energy import (
    air_c_by_month,
    array_yield_wh,
    inverter_hours,
    inverter_need_wh,
    load_wh,
    thermal_factor,
)

STAND_ALONE = source_of(array_yield_wh)


def check_energy(sheet: Sheet, survey: Survey) -> None:
    """Each month's balance, and the days the bank carries alone."""
    with sheet.about("energy"):
        needs = survey.needs
        share = 1 - needs.energy.shortfall_pct / 100
        hungriest = 0.0
        for month in needs.site.months:
            subject = f"month {month}"
            need = need_wh(survey, month)
            sun = yield_wh(survey, month)
            hungriest = max(hungriest, need)
            sheet.at_least(
                "arrays' share of a day's energy", STAND_ALONE, subject, sun, share * need, "Wh"
            )
            sheet.at_least(
                "a day's energy",
                STAND_ALONE,
                subject,
                sun + other_wh(survey, month),
                need,
                "Wh",
            )
        sheet.at_least(
            "bank carries the days alone",
            source_of(usable_wh),
            "bank",
            bank_wh(survey),
            needs.energy.autonomy_days * hungriest,
            "Wh",
        )


def need_wh(survey: Survey, month: int) -> float:
    """What a mean day of a month draws from the bank."""
    dc_wh, ac_wh = load_wh(survey.needs.loads, month)
    need = float(dc_wh) + own_w(survey) * 24
    if survey.inverter is not None:
        part = survey.inverter[1]
        hours = inverter_hours(survey.needs, month)
        need += float(inverter_need_wh(ac_wh, part.efficiency_pct, part.idle_w, hours))
    return need


def yield_wh(survey: Survey, month: int) -> float:
    """What the arrays bring into the bank on a mean day of a month."""
    site = survey.needs.site
    air_c = site.air_c or air_c_by_month(site.coldest_c, site.hottest_c, site.latitude_deg)
    total = 0.0
    for array in survey.design.arrays:
        facts = survey.facts(array)
        panel, controller = facts.panel, facts.controller
        thermal = thermal_factor(panel.pmax_pct_per_c, air_c[month - 1], site.cell_rise_c)
        total += float(
            array_yield_wh(
                controller.kind,
                panel.stc_w,
                facts.panels,
                panel.imp_a,
                array.parallel,
                thermal,
                site.derate,
                controller.efficiency_pct,
                controller.max_charge_a,
                survey.charging_v,
                survey.needs.sun_hours[month - 1],
            )
        )
    return total * survey.battery.charge_efficiency_pct / 100


def other_wh(survey: Survey, month: int) -> float:
    """The most that other charging brings into the bank on a mean day of a month.

    Ways in over AC share what charges from AC, each for its own hours; a way counts only where
    it can feed the charger.
    """
    over_ac, engine = ac_chargers(survey), engine_chargers(survey)
    now = [w for w in survey.needs.charging if month in (w.months or ALL_MONTHS)]
    return _ways_wh(survey, over_ac, [w for w in now if w.kind != "engine"]) + _ways_wh(
        survey, engine, [w for w in now if w.kind == "engine"]
    )


def _ways_wh(survey: Survey, chargers: list[ChargerFacts], ways: list[Charging]) -> float:
    total = 0.0
    for _, charge_a, input_w in chargers:
        hours = sum(w.hours_per_day for w in ways if input_w <= w.max_w * (1 + 1e-9))
        total += min(charge_a * survey.charging_v, input_w) * min(hours, 24)
    return total * survey.battery.charge_efficiency_pct / 100


def bank_wh(survey: Survey) -> float:
    """The usable energy of the bank at its place's coldest."""
    battery, bank = survey.battery, survey.design.bank
    coldest = [
        survey.needs.site.coldest_c if place.min_c is None else place.min_c
        for place in (survey.place(survey.device(b).place) for b in bank.batteries)
    ]
    factor = temperature_factor(
        battery.chemistry, min(coldest, default=survey.needs.site.coldest_c)
    )
    return float(
        usable_wh(
            battery.nominal_v,
            bank.series,
            battery.capacity_ah,
            bank.parallel,
            battery.usable_pct,
            factor,
        )
    )


def own_w(survey: Survey) -> float:
    """What controllers and monitors draw day and night."""
    controllers = sum(part.own_w for _, part in survey.devices_of(Controller))
    return controllers + sum(part.own_w for _, part in survey.devices_of(Monitor))
