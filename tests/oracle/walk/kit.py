"""Panels, bank, inverter and chargers together: windows, sums of currents, energy."""

from __future__ import annotations

import math
from typing import Any

from tests.oracle.walk import figures
from tests.oracle.walk.world import Absent, Row, World, drawn, together, trade_v


def walk_kit(world: World) -> None:
    """Everything that belongs to the whole."""
    rules = world.needs.rules
    world.must(world.document["system_voltage_v"] in rules.voltages, "not allowed", "system")
    world.must(world.document["chemistry"] in rules.chemistries, "not allowed", "chemistry")
    for load in world.needs.loads:
        takes = load.supply != "dc" or load.volts is None or world.volts in load.volts
        world.must(takes, f"it does not take {world.volts:g} V", load.name)
    used = [p for a in world.document["arrays"] for p in a["panels"]]
    world.must(
        sorted(used) == sorted(world.of_class("panel")), "panels and strings differ", "arrays"
    )
    controllers = [a["controller"] for a in world.document["arrays"]]
    world.must(
        sorted(controllers) == sorted(world.of_class("controller")), "not one each", "arrays"
    )
    for array in world.document["arrays"]:
        with world.about(array["controller"]):
            _array(world, array)
    with world.about("bank"):
        _bank(world)
    for name in world.of_class("inverter"):
        with world.about(name):
            _inverter(world, name)
    world.must(
        not any(x.supply == "ac" for x in world.needs.loads)
        or bool(world.of_class("inverter")),
        "no inverter feeds the AC loads",
        "system",
    )
    for name in world.of_class("charger"):
        with world.about(name):
            _charger(world, name)
    with world.about("bars"):
        _bars(world)
    with world.about("energy"):
        _energy(world)


def _array(world: World, array: Row) -> None:
    name, site = array["controller"], world.needs.site
    panel = world.part(array["panel"], "panel")
    desk = world.device_part(array["controller"], "controller")
    s, k = array["series"], array["parallel"]
    alike = {world.devices.get(p, {}).get("part") for p in array["panels"]}
    world.must(alike == {array["panel"]}, "its panels are not alike", name)
    one_place = {world.devices.get(p, {}).get("place") for p in array["panels"]}
    world.must(len(one_place) == 1, "its panels are in several places", name)
    world.must(len(array["panels"]) == s * k, f"{len(array['panels'])} panels", name)
    cold = s * panel.voc_v * figures.cold_share(panel.voc_pct_per_c, site.coldest_c)
    heat = site.hottest_c + site.cell_rise_c - 25
    hot = s * panel.vmp_v * (1 + panel.pmax_pct_per_c / 100 * heat)
    isc = k * panel.isc_a
    charge = world.array_charge_a(array)
    world.same(array["voc_cold_v"], cold, "cold voltage", name)
    world.same(array["vmp_hot_v"], hot, "hot voltage", name)
    world.same(array["isc_a"], isc, "current", name)
    world.same(array["charge_a"], charge, "charging current", name)
    world.must(cold <= desk.max_pv_v * (1 + 1e-9), f"{cold:.1f} V in the cold", name)
    world.must(cold <= panel.max_system_v * (1 + 1e-9), f"{cold:.1f} V for its panels", name)
    least = world.top_v() + desk.headroom_v
    world.must(
        hot >= least * (1 - 1e-9), f"{hot:.1f} V in the heat, {least:.1f} V needed", name
    )
    if desk.max_pv_a is not None:
        world.must(1.25 * isc <= desk.max_pv_a * (1 + 1e-9), f"{isc:g} A from its panels", name)
    world.must(world.volts in desk.battery_v, f"it serves no {world.volts:g} V", name)
    world.must(k <= 4, f"{k} strings", name)
    _string_fuses(world, array, panel, cold)
    _combiner(world, array, panel, cold)


def _combiner(world: World, array: Row, panel: Any, volts: float) -> None:
    """Three strings and more meet in one box, if the catalog has any, which suits their place."""
    name, k, box = array["controller"], array["parallel"], array["combiner"]
    known = any(p.cls == "combiner" for p in world.parts.values())
    world.must((box is not None) == (known and k > 2), f"{box} for {k} strings", name)
    home = [c["name"] for c in world.circuits_of("array") if c["to"] == name]
    extras = [row for row in world.document["extras"] if row["of"] in home]
    boxes = [
        (row["part"], row["quantity"])
        for row in extras
        if getattr(world.parts.get(row["part"]), "cls", "") == "combiner"
    ]
    if box is None:
        world.must(not boxes, f"{boxes} is for nothing", name)
        return
    world.must(boxes == [(box["part"], 1)], f"{boxes} is not {box['part']}", name)
    part, rules = world.part(box["part"], "combiner"), world.needs.rules
    isc, american = panel.isc_a, rules.practice == "nec"
    one = isc * rules.continuous * (1.25 if american else 1)
    poles = (len(array["fuses"]) + len(array["negative_fuses"])) / k
    if poles:
        one = max(one, min(panel.series_fuse_a, (math.inf if american else 2.4) * isc))
        world.must("gPV" in (part.fuse_kind or ""), f"it takes {part.fuse_kind}", box["id"])
    whole = k * isc * rules.continuous * (1.25 if american else 1)
    for value, least in (
        (part.ways, k), (part.way_a, one), (part.rated_a, whole), (part.max_v, volts),
    ):  # fmt: skip
        world.must(value >= least * (1 - 1e-9), f"{value:g} is less than {least:g}", box["id"])
    world.must(part.fused_poles == poles, f"holders in {part.fused_poles} poles", box["id"])
    world.must(box["place"] == world.where(array["panels"][0]), "it is elsewhere", box["id"])
    place, site = world.place(box["place"]), world.needs.site
    cold = site.coldest_c if place.min_c is None else place.min_c
    heat = site.hottest_c if place.max_c is None else place.max_c
    fine = (part.min_c is None or part.min_c <= cold) and (
        part.max_c is None or part.max_c >= heat
    )
    world.must(fine, f"from {cold:g} to {heat:g} °C", box["id"])
    splashed = str(part.ip or "")[-1:]
    dry = not (place.wet or place.ground) or (splashed.isdigit() and int(splashed) >= 4)
    world.must(dry, f"{part.ip} in the wet", box["id"])


def _string_fuses(world: World, array: Row, panel: Any, volts: float) -> None:
    """A fuse in every string where the others could bring more than its panels bear, else none.

    NEC 690.9(A) and IEC 60364-7-712 (when), IEC 62548 or NEC 690.9(B) (which); from memory. In
    the negative too, unless that is joined to earth (IEC 62548) or NEC asks for one pole
    (690.9(C)).
    """
    name, k, isc = array["controller"], array["parallel"], panel.isc_a
    asked = k if (k - 1) * 1.25 * isc > panel.series_fuse_a * (1 + 1e-9) else 0
    american = world.needs.rules.practice == "nec"
    bonded = any("busbar-neg" in (c["from"], c["to"]) for c in world.circuits_of("bond"))
    passed = world.device_part(name, "controller").common_pole == "negative"
    one_pole = american or (bonded and passed)
    for pole, few in (("fuses", asked), ("negative_fuses", 0 if one_pole else asked)):
        n = len(array[pole])
        world.must(n == few, f"{n} string fuses ({pole}), {few} needed", name)
    everywhere = [f for a in world.document["arrays"] for f in a["fuses"] + a["negative_fuses"]]
    there = {*array["fuses"], *array["negative_fuses"]}
    low, high = (1.5625, math.inf) if american else (1.5, 2.4)
    most = min(panel.series_fuse_a, high * isc)
    for fuse in there:
        row = world.protections.get(fuse)
        if row is None:
            raise Absent(f"there is no {fuse}")
        others = everywhere.count(fuse)
        others += sum(c["protection_id"] == fuse for c in world.circuits)
        world.must(others == 1, "it serves something else too", fuse)
        part = world.part(row["part"], "fuse")
        world.must("gPV" in part.kind, f"{part.kind} in a string", fuse)
        world.must(part.rated_a >= low * isc * (1 - 1e-9), "it is too small", fuse)
        world.must(part.rated_a <= most * (1 + 1e-9), "it is too large", fuse)
        world.must(part.breaking_ka >= 1, "it breaks too little", fuse)
        world.must(part.max_v >= volts * (1 - 1e-9), f"{volts:.0f} V on {part.max_v:g} V", fuse)
        if array["combiner"] is not None:
            world.must(row["holder"] is None, "it has a holder beside its combiner", fuse)
            continue
        seat = world.part(row["holder"], "connector")
        right = seat.kind == "fuse holder" and seat.rated_a >= most * (1 - 1e-9)
        world.must(right, "its holder is another's", fuse)
        world.must(seat.max_v >= volts * (1 - 1e-9), f"{volts:.0f} V on {seat.max_v:g} V", fuse)
        roofs = {world.devices[p]["place"] for p in array["panels"] if p in world.devices}
        world.must(row["place"] in roofs, "it is not by its panels", fuse)


def _bank(world: World) -> None:
    cell, bank = world.bank(), world.document["bank"]
    volts = trade_v(cell.nominal_v) * bank["series"]
    world.must(abs(volts - world.volts) < 1e-6, f"it has {volts:g} V", "bank")
    world.must(cell.chemistry == world.document["chemistry"], "another chemistry", "bank")
    world.must(bank["series"] <= cell.max_series, "too many in series", "bank")
    world.must(bank["parallel"] <= cell.max_parallel, "too many in parallel", "bank")
    most = cell.max_charge_a * bank["parallel"] * (1 + 1e-9)
    arrays = sum(world.array_charge_a(a) for a in world.document["arrays"])
    world.must(arrays <= most, f"arrays charge with {arrays:.1f} A", "bank")
    for amps, _ in world.from_mains() + world.from_engine():
        world.must(amps <= most, f"a charger charges with {amps:g} A", "bank")
    drain = world.discharge_a()
    limit = cell.max_discharge_a * bank["parallel"]
    if world.of_class("inverter"):
        world.must(
            drain <= limit * (1 + 1e-9), f"{drain:.1f} A of {limit:g} A are drawn", "bank"
        )
    for name in bank["batteries"]:
        place = world.place(world.where(name))
        cold = place.min_c if place.min_c is not None else world.needs.site.coldest_c
        world.must(cold >= cell.min_charge_c, f"{cold:g} °C where it is charged", name)
        hot = place.max_c if place.max_c is not None else world.needs.site.hottest_c
        most = 45 if cell.max_charge_c is None else cell.max_charge_c
        world.must(hot <= most, f"{hot:g} °C where it is charged", name)
        gas = cell.chemistry == "flooded"
        world.must(place.vented or not gas, "its gas has no way out", name)


def _inverter(world: World, name: str) -> None:
    part, rules = world.device_part(name, "inverter"), world.needs.rules
    world.must(part.dc_v == world.volts, f"it takes {part.dc_v:g} V", name)
    world.must(part.ac_v == rules.ac_v and part.hz == rules.hz, "another mains", name)
    loads = [x for x in world.needs.loads if x.supply == "ac"]
    world.must(part.continuous_w >= together(loads) * (1 - 1e-9), "it is too small", name)
    running = sum(drawn(x) * x.quantity for x in loads if x.together)
    starts = [running]
    for x in loads:
        if x.surge_watts is not None:
            rest = running - (drawn(x) if x.together else 0.0)
            starts.append(rest + x.surge_watts / x.power_factor)
    world.must(part.surge_w >= max(starts) * (1 - 1e-9), f"{max(starts):g} W to start", name)


def _charger(world: World, name: str) -> None:
    part = world.device_part(name, "charger")
    world.must(world.volts in part.battery_v, f"it serves no {world.volts:g} V", name)
    kinds = ("engine",) if part.kind == "engine" else ("shore", "generator")
    feeds = [w for w in world.needs.charging if w.kind in kinds]
    fits = any(part.input_w <= w.max_w * (1 + 1e-9) for w in feeds)
    world.must(fits, f"nothing gives it {part.input_w:g} W", name)


def _bars(world: World) -> None:
    """Bus bars, switch and shunt carry everything, and more than the main protections let pass."""
    most = world.trunk_a()
    guards = {c["protection_id"] for c in world.circuits_of("battery")} - {None}
    mains = sum(world.part(world.protections[g]["part"]).rated_a
                for g in guards if g in world.protections)  # fmt: skip
    for name in world.of_class("busbar", "switch", "monitor"):
        with world.about(name):
            part = world.device_part(name)
            if world.is_isolator(name):
                continue
            world.must(
                part.rated_a >= most * (1 - 1e-9),
                f"it carries {part.rated_a:g} A of {most:.1f} A",
                name,
            )
            world.must(part.rated_a >= mains, f"{mains:g} A guard its {part.rated_a:g} A", name)
            if part.cls == "switch":
                world.must(part.max_v >= world.top_v(), f"it switches {part.max_v:g} V", name)


# --- energy -----------------------------------------------------------------------------------


def _energy(world: World) -> None:
    needs, stated = world.needs, world.document["energy"]
    months = {row["month"]: row for row in stated["months"]}
    draws = {}
    for month in needs.site.months:
        draws[month] = _need_wh(world, month)
        sun, other = _sun_wh(world, month), _other_wh(world, month)
        subject = f"month {month}"
        share = 1 - needs.energy.shortfall_pct / 100
        world.must(
            sun >= share * draws[month] * (1 - 1e-6), f"the arrays give {sun:.0f} Wh", subject
        )
        world.must(
            sun + other >= draws[month] * (1 - 1e-6), f"{draws[month]:.0f} Wh not met", subject
        )
        if month not in months:
            world.say("it is not reported", subject)
            continue
        world.same(months[month]["need_wh"], draws[month], "the need", subject)
        world.same(months[month]["yield_wh"], sun, "the yield", subject)
    usable, worst = _usable_wh(world), max(draws.values(), default=0.0)
    world.same(stated["daily_battery_wh"], worst, "the daily draw", "energy")
    world.same(stated["usable_battery_wh"], usable, "the usable energy", "bank")
    days = needs.energy.autonomy_days
    world.must(
        usable >= days * worst * (1 - 1e-6), f"{usable:.0f} Wh for {days:g} days", "bank"
    )


def _now(thing: Any, month: int) -> bool:
    return thing.months is None or month in thing.months


def _need_wh(world: World, month: int) -> float:
    needs = world.needs
    loads = [x for x in needs.loads if _now(x, month)]
    wh = {
        supply: sum(x.watts * x.quantity * x.hours_per_day for x in loads if x.supply == supply)
        for supply in ("dc", "ac")
    }
    own = sum(world.device_part(d).own_w for d in world.of_class("controller", "monitor"))
    total = wh["dc"] + 24 * own
    for name in world.of_class("inverter"):
        part = world.device_part(name, "inverter")
        stated = needs.energy.inverter_hours_per_day
        hours = 24.0 if stated is None else stated
        on = hours if any(x.supply == "ac" for x in loads) else 0.0
        total += wh["ac"] * 100 / part.efficiency_pct + part.idle_w * on
    return total


def _air_c(site: Any, month: int) -> float:
    if site.air_c is not None:
        return float(site.air_c[month - 1])
    turned = month if site.latitude_deg >= 0 else month + 6
    swing = (site.hottest_c - site.coldest_c) / 4 * math.cos(math.radians(30 * (turned - 7)))
    return float((site.hottest_c + site.coldest_c) / 2 + swing)


def _sun_wh(world: World, month: int) -> float:
    site, total = world.needs.site, 0.0
    for array in world.document["arrays"]:
        panel = world.part(array["panel"], "panel")
        desk = world.device_part(array["controller"], "controller")
        cells = _air_c(site, month) + site.cell_rise_c - 25
        share = min(1.0, 1 + panel.pmax_pct_per_c * cells / 100) * site.derate
        if desk.kind == "pwm":
            watts = panel.imp_a * array["parallel"] * world.top_v() * share
        else:
            count = array["series"] * array["parallel"]
            watts = panel.stc_w * count * share * desk.efficiency_pct / 100
        watts = min(watts, desk.max_charge_a * world.top_v())
        total += watts * world.needs.sun_hours[month - 1]
    return total * world.bank().charge_efficiency_pct / 100


def _other_wh(world: World, month: int) -> float:
    total = 0.0
    for chargers, kinds in (
        (world.from_mains(), ("shore", "generator")),
        (world.from_engine(), ("engine",)),
    ):
        ways = [w for w in world.needs.charging if w.kind in kinds and _now(w, month)]
        for amps, watts in chargers:
            hours = sum(w.hours_per_day for w in ways if watts <= w.max_w * (1 + 1e-9))
            total += min(amps * world.top_v(), watts) * min(hours, 24)
    return total * world.bank().charge_efficiency_pct / 100


def _usable_wh(world: World) -> float:
    cell, bank, site = world.bank(), world.document["bank"], world.needs.site
    places = [world.place(world.where(b)) for b in bank["batteries"]]
    coldest = min(
        (site.coldest_c if p.min_c is None else p.min_c for p in places), default=site.coldest_c
    )
    count = bank["series"] * bank["parallel"]
    full = cell.nominal_v * cell.capacity_ah * count * cell.usable_pct / 100
    return float(full * figures.cold_capacity(cell.chemistry, coldest))
