"""Figures of a finished design that a person reads: energy by month, mass, where limits bind."""

from __future__ import annotations

from decimal import Decimal

from solver.candidates import inverter_input_w
from solver.design import counted
from solver.needs import Needs
from solver.parts import Battery, Cable, Charger, Controller, Inverter, Monitor, Panel
from solver.records import Array, Binding, Design, EnergyReport, MonthEnergy
from solver.rules import bank as rule_b
from solver.rules import energy as rule_e
from solver.rules import string as rule_s
from solver.rules import ventilation as rule_v
from solver.weights import small_kg


def energy_report(needs: Needs, design: Design) -> EnergyReport:
    """A mean day of each month, and the bank's reserve."""
    months = []
    worst_load = worst_need = 0.0
    for j, month in enumerate(needs.site.months):
        dc, ac = rule_e.load_wh(needs.loads, month)
        need = dc + _inverter_wh(needs, design, month, ac) + _own_wh(design)
        got = sum(_array_wh(needs, design, a, j) for a in design.arrays)
        other = min(max(0.0, need - got), _other_wh(needs, design, month))
        months.append(MonthEnergy(month=month, need_wh=need, yield_wh=got, other_wh=other))
        if need > worst_need:
            worst_need, worst_load = need, dc + ac
    return EnergyReport(
        daily_load_wh=worst_load,
        daily_battery_wh=worst_need,
        usable_battery_wh=usable_wh(needs, design),
        months=tuple(months),
    )


def gas_of_bank(design: Design) -> tuple[float, float]:
    """Air in m³/h that must pass the bank while it is charged, and cm² of each of two openings.

    Nothing of either for chemistries that give off no gas in service.
    """
    bank_ah = _battery(design).capacity_ah * design.bank.parallel
    air = rule_v.gas_air_m3_per_h(design.chemistry, design.system_voltage_v, bank_ah)
    return air, float(rule_v.gas_opening_cm2(air))


def _inverter_wh(needs: Needs, design: Design, month: int, ac_wh: float) -> float:
    inverters = [d.part for d in design.devices if isinstance(d.part, Inverter)]
    hours = rule_e.inverter_hours(needs, month)
    return sum(
        rule_e.inverter_need_wh(ac_wh, i.efficiency_pct, i.idle_w, hours) for i in inverters
    )


def _own_wh(design: Design) -> float:
    return sum(
        24 * d.part.own_w for d in design.devices if isinstance(d.part, Controller | Monitor)
    )


def _battery(design: Design) -> Battery:
    part = design.parts[design.bank.battery]
    if not isinstance(part, Battery):
        raise AssertionError("a bank of something else than batteries")  # noqa: TRY004  a defect
    return part


def _array_wh(needs: Needs, design: Design, array: Array, at: int) -> float:
    site = needs.site
    month = site.months[at]
    panel, controller = design.parts[array.panel], design.device(array.controller).part
    if not isinstance(panel, Panel) or not isinstance(controller, Controller):
        raise AssertionError("an array is panels on a controller")  # noqa: TRY004  a defect
    air = site.air_c or rule_e.air_c_by_month(site.coldest_c, site.hottest_c, site.latitude_deg)
    return float(
        rule_e.array_yield_wh(
            controller.kind,
            panel.stc_w,
            array.series * array.parallel,
            panel.imp_a,
            array.parallel,
            rule_e.thermal_factor(panel.pmax_pct_per_c, air[month - 1], site.cell_rise_c),
            site.derate,
            controller.efficiency_pct,
            controller.max_charge_a,
            rule_s.charging_voltage_v(design.chemistry, design.system_voltage_v),
            needs.sun_hours[month - 1],
        )
        * _battery(design).charge_efficiency_pct
        / 100
    )


def _other_wh(needs: Needs, design: Design, month: int) -> float:
    """What the chosen chargers can put into the bank on a day of a month."""
    volts = rule_s.charging_voltage_v(design.chemistry, design.system_voltage_v)
    efficiency = _battery(design).charge_efficiency_pct / 100
    total = 0.0
    for way in needs.charging:
        if way.months is not None and month not in way.months:
            continue
        amps = _charge_a(design, way.kind, way.max_w)
        total += amps * volts * efficiency * way.hours_per_day
    return total


def _charge_a(design: Design, kind: str, max_w: float) -> float:
    """The charging current that serves a way in: of its charger, or an inverter that charges."""
    want = "engine" if kind == "engine" else "shore"
    for d in design.devices:
        if (
            isinstance(d.part, Charger)
            and d.part.kind == want
            and d.part.input_w <= max_w + 1e-9
        ):
            return d.part.charge_a
    fed = {c.to for c in design.circuits if c.kind == "ac" and c.from_ == "shore inlet"}
    for d in design.devices:
        if isinstance(d.part, Inverter) and d.id in fed and want == "shore":
            watts = inverter_input_w(d.part, design.chemistry, design.system_voltage_v)
            return d.part.charge_a if watts <= max_w + 1e-9 else 0.0
    return 0.0


def usable_wh(needs: Needs, design: Design) -> float:
    """Usable energy of the bank at its place's coldest."""
    b = _battery(design)
    place = needs.place(design.device(design.bank.batteries[0]).place)
    coldest = needs.site.coldest_c if place.min_c is None else place.min_c
    return rule_b.usable_wh(
        b.nominal_v,
        design.bank.series,
        b.capacity_ah,
        design.bank.parallel,
        b.usable_pct,
        rule_b.temperature_factor(b.chemistry, coldest),
    )


def total_kg(design: Design) -> float:
    """Mass of everything the design holds, by what is used, not what is bought.

    Small parts too, once they are reckoned.
    """
    kg = small_kg(design)
    for name, takers in counted(design).items():
        part = design.parts[name]
        used = sum(takers.values())
        kg += part.kg * (used / 1000 if isinstance(part, Cable) else used)
    return kg


def bindings(
    needs: Needs, design: Design, total: Decimal, energy: EnergyReport
) -> tuple[Binding, ...]:
    """How much of each stated limit the kit uses, the tightest first."""
    found = [
        Binding(
            need="energy.autonomy_days",
            used=needs.energy.autonomy_days * energy.daily_battery_wh,
            limit=energy.usable_battery_wh,
            unit="Wh",
        )
    ]
    share = 1 - needs.energy.shortfall_pct / 100
    tightest = min(
        energy.months, key=lambda x: x.yield_wh / x.need_wh if x.need_wh else float("inf")
    )
    found.append(
        Binding(
            need=f"sun of month {tightest.month}",
            used=share * tightest.need_wh,
            limit=tightest.yield_wh,
            unit="Wh a day",
        )
    )
    if needs.limits.budget is not None:
        found.append(
            Binding(
                need="limits.budget",
                used=float(total),
                limit=float(needs.limits.budget),
                unit=needs.job.currency,
            )
        )
    if needs.limits.total_kg is not None:
        found.append(
            Binding(
                need="limits.total_kg",
                used=total_kg(design),
                limit=needs.limits.total_kg,
                unit="kg",
            )
        )
    for place in needs.places:
        kg = sum(d.part.kg for d in design.devices if d.place == place.name)
        if place.max_kg is not None and kg:
            found.append(
                Binding(
                    need=f'place "{place.name}" max_kg', used=kg, limit=place.max_kg, unit="kg"
                )
            )
    return tuple(sorted(found, key=lambda x: (-(x.used / x.limit if x.limit else 1.0), x.need)))
