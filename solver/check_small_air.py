"""What air a closed place needs at the least, by what gives off most heat there, and by gas."""

from __future__ import annotations

from typing import TYPE_CHECKING

from solver.needs import Place
from solver.parts import Battery, Charger, Controller, Inverter
from solver.rules import heat
from solver.rules.standing import charged_up_to_c
from solver.rules.ventilation import gas_air_m3_per_h, gas_opening_cm2

if TYPE_CHECKING:
    from solver.check_survey import Survey
    from solver.records import Device


def openings_cm2(survey: Survey) -> dict[str, float]:
    """Of closed places that have no way for air, the free area that each of two openings needs.

    A lower bound: the heat of cables, fuses, shunts and batteries is left out. Places that need
    none by that are left out too.
    """
    found = {}
    for place in survey.needs.places:
        if place.height_mm is None or place.vented:
            continue
        need = max(_heat_cm2(survey, place), _gas_cm2(survey, place))
        if need > 0:
            found[place.name] = need
    return found


def _heat_cm2(survey: Survey, place: Place) -> float:
    here = [d for d in survey.design.devices if d.place == place.name]
    loss_w = sum(_loss_w(survey, d) for d in here)
    outside = survey.needs.site.hottest_c
    limits = [outside + heat.USUAL_RISE_K]
    limits += [] if place.max_c is None else [place.max_c]
    for device in here:
        hottest = getattr(device.part, "max_c", None)
        if isinstance(device.part, Battery):
            charged = charged_up_to_c(device.part.max_charge_c)
            hottest = charged if hottest is None else min(hottest, charged)
        limits += [] if hottest is None else [hottest]
    rise = min(limits) - outside
    high_m = (place.height_mm or 0.0) / 1000
    if rise <= 0 or loss_w <= _walls_w(place, high_m, rise):
        return 0.0
    return float(heat.heat_opening_cm2(loss_w, rise, heat.VENT_RISE_FACTOR * high_m))


def _walls_w(place: Place, high_m: float, rise_k: float) -> float:
    """What four sides and the lid shed."""
    a, b = place.length_mm / 1000, place.width_mm / 1000
    return float(heat.wall_heat_w(a * b + 2 * high_m * (a + b), rise_k))


def _gas_cm2(survey: Survey, place: Place) -> float:
    design = survey.design
    bank = survey.part(design.bank.battery, Battery)
    if not any(d.place == place.name and isinstance(d.part, Battery) for d in design.devices):
        return 0.0
    ah = bank.capacity_ah * design.bank.parallel
    air = gas_air_m3_per_h(design.chemistry, design.system_voltage_v, ah)
    return float(gas_opening_cm2(air))


def _loss_w(survey: Survey, device: Device) -> float:
    """Of a controller in full sun, a charger at work, an inverter with the loads that last."""
    part, volts = device.part, survey.charging_v
    if isinstance(part, Controller):
        most = part.max_charge_a * volts / (part.efficiency_pct / 100)
        facts = [survey.facts(a) for a in survey.design.arrays if a.controller == device.id]
        sun = sum(x.panel.stc_w * x.panels for x in facts)
        return float(heat.controller_loss_w(min(sun, most), part.efficiency_pct, part.own_w))
    if isinstance(part, Charger):
        out = part.charge_a * volts
        efficiency = min(100 * out / part.input_w, heat.MOST_CHARGER_PCT)
        return max(float(heat.converter_loss_w(out, efficiency)), part.heat_w or 0.0)
    if isinstance(part, Inverter):
        lasting = sum(
            x.watts * x.quantity
            for x in survey.needs.loads
            if x.supply == "ac" and x.together and x.hours_per_day >= heat.LASTING_HOURS
        )
        rated = part.heat_w
        if rated is None:
            rated = heat.converter_loss_w(part.continuous_w, part.efficiency_pct)
        return float(heat.inverter_loss_w(lasting, part.continuous_w, rated, 0.0))
    return 0.0
