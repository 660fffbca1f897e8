"""Which rule keeps a part out of every kit of a job, with the numbers.

Only what holds whatever else is chosen: what depends on its partners is decided by solving.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence

from solver.candidates import AC_WAYS, LUGS_A_STUD, fits_alone
from solver.climate import bears_climate
from solver.market import Market
from solver.needs import Needs, Place, Site
from solver.parts import (
    Battery,
    Breaker,
    Charger,
    Controller,
    Fuse,
    Inverter,
    Panel,
    Switch,
)
from solver.parts.base import Part
from solver.parts.device import Device
from solver.rules import bank as rule_b
from solver.rules import energy as rule_e
from solver.rules import protection as rule_p
from solver.rules import string as rule_s
from solver.rules.standing import charged_up_to_c
from solver.rules.ventilation import stands_unvented

HUB = ("busbar", "switch", "monitor")
"""What stands together in one place."""


def against(part: Part, count: int, needs: Needs, market: Market) -> tuple[str, ...]:
    """Why no kit of a job can hold so many of a part; nothing where no rule by itself says so.

    Parameters
    ----------
    part : Part
        The part.
    count : int
        How many of it.
    needs : Needs
        The job.
    market : Market
        For the partners that can be had at all.

    Returns
    -------
    tuple of str
        Sentences without a capital, each with the value found and what is allowed.
    """
    found: list[str] = []
    for of_class, rules in _RULES.items():
        if isinstance(part, of_class):
            found += rules(part, count, needs, market)
    if isinstance(part, Device):
        found += _no_place(part, needs)
    return tuple(found)


def _volts(needs: Needs) -> str:
    return " or ".join(f"{v}" for v in needs.rules.voltages) + " V"


def _battery(b: Battery, count: int, needs: Needs, _market: Market) -> Iterable[str]:
    rules = needs.rules
    if b.chemistry not in rules.chemistries:
        yield (
            f"its chemistry is {b.chemistry}; rules.chemistries allows "
            f"{', '.join(rules.chemistries)}"
        )
    of_class = rule_b.nominal_class_v(b.nominal_v)
    series = [v / of_class for v in rules.voltages]
    usable = [int(s) for s in series if s == int(s) and 1 <= s <= b.max_series]
    if not usable:
        yield (
            f"wrong voltage: {b.nominal_v:g} V a battery, at most {b.max_series} in series; the "
            f"system has {_volts(needs)}"
        )
        return
    most = max(usable) * min(b.max_parallel, LUGS_A_STUD)
    if count > most:
        yield f"{count} of them are asked for; a bank takes at most {most}"
    places = [p for p in needs.places if p.may_hold("battery")]
    yield from _battery_places(b, needs, places)
    yield from _reserve(b, max(usable), needs, places)


def _coldest_c(needs: Needs, place: Place) -> float:
    return needs.site.coldest_c if place.min_c is None else place.min_c


def _hottest_c(needs: Needs, place: Place) -> float:
    return needs.site.hottest_c if place.max_c is None else place.max_c


def _battery_places(b: Battery, needs: Needs, places: Sequence[Place]) -> Iterable[str]:
    warm = [p for p in places if b.min_charge_c <= _coldest_c(needs, p)]
    if places and not warm:
        coldest = max(_coldest_c(needs, p) for p in places)
        yield (
            f"too cold: it may be charged from {b.min_charge_c:g} °C up, and the warmest place "
            f"that may hold it gets {coldest:g} °C"
        )
    cool = [p for p in places if _hottest_c(needs, p) <= charged_up_to_c(b.max_charge_c)]
    if places and not cool:
        hottest = min(_hottest_c(needs, p) for p in places)
        yield (
            f"too hot: it may be charged up to {charged_up_to_c(b.max_charge_c):g} °C, and the "
            f"coolest place that may hold it gets {hottest:g} °C"
        )
    if places and not any(p.vented or stands_unvented(b.chemistry) for p in places):
        yield f"it gives off gas ({b.chemistry}), and no place that may hold it is vented"


def _reserve(b: Battery, series: int, needs: Needs, places: Sequence[Place]) -> Iterable[str]:
    """What the largest bank of it holds and gives, against the loads without any losses."""
    if not places:
        return
    strings = min(b.max_parallel, LUGS_A_STUD)
    factor = max(rule_b.temperature_factor(b.chemistry, _coldest_c(needs, p)) for p in places)
    most_wh = rule_b.usable_wh(
        b.nominal_v, series, b.capacity_ah, strings, b.usable_pct, factor
    )
    day_wh = max(sum(rule_e.load_wh(needs.loads, m)) for m in needs.site.months)
    asked_wh = needs.energy.autonomy_days * day_wh
    volts = rule_b.lowest_v(series * rule_b.nominal_class_v(b.nominal_v))
    draw_w = rule_e.together_w(needs.loads, "dc") + rule_e.together_w(needs.loads, "ac")
    if b.max_discharge_a * strings < draw_w / volts - 1e-9:
        yield (
            f"too weak: its largest bank, {strings} in parallel, gives "
            f"{b.max_discharge_a * strings:g} A; the loads that run together draw at least "
            f"{draw_w / volts:.0f} A"
        )
    if most_wh < asked_wh - 1e-6:
        yield (
            f"too small: its largest bank, {series} in series and {strings} in parallel, holds "
            f"{most_wh:.0f} Wh; {needs.energy.autonomy_days:g} days of the loads are at least "
            f"{asked_wh:.0f} Wh"
        )


def _inverter(i: Inverter, count: int, needs: Needs, _market: Market) -> Iterable[str]:
    rules = needs.rules
    if i.dc_v not in rules.voltages:
        yield f"wrong voltage: it takes {i.dc_v:g} V; the system has {_volts(needs)}"
    if i.ac_v != rules.ac_v or i.hz != rules.hz:
        yield (
            f"it gives {i.ac_v:g} V at {i.hz:g} Hz; rules.ac_v and rules.hz ask for "
            f"{rules.ac_v:g} V at {rules.hz:g} Hz"
        )
    together, surge = rule_e.together_w(needs.loads, "ac"), rule_e.surge_w(needs.loads)
    if i.continuous_w < together:
        yield (
            f"too small: it gives {i.continuous_w:g} W; the AC loads that run together are "
            f"{together:g} W"
        )
    if i.surge_w < surge:
        yield f"too small: it starts {i.surge_w:g} W; the AC loads start with {surge:g} W"
    if count > 1:
        yield f"{count} of them are asked for; a kit has one inverter"


def _charger(c: Charger, _count: int, needs: Needs, _market: Market) -> Iterable[str]:
    if not set(c.battery_v) & set(needs.rules.voltages):
        yield (
            f"wrong voltage: it charges {_list_v(c.battery_v)}; the system has {_volts(needs)}"
        )
    kinds = AC_WAYS if c.kind == "shore" else ("engine",)
    ways = [w for w in needs.charging if w.kind in kinds]
    if not ways:
        yield (
            f"nothing feeds it: no [[charging]] of kind {' or '.join(kinds)} is stated, so "
            "there is nothing left for it to do"
        )
    elif all(c.input_w > w.max_w + 1e-9 for w in ways):
        most = max(w.max_w for w in ways)
        yield f"it takes {c.input_w:g} W; [[charging]] max_w gives at most {most:g} W"


def _list_v(volts: Iterable[float]) -> str:
    return " or ".join(f"{v:g}" for v in volts) + " V"


def _charging_v(needs: Needs, voltages: Iterable[float]) -> list[float]:
    return [
        rule_s.charging_voltage_v(chemistry, v)
        for chemistry in needs.rules.chemistries
        for v in voltages
    ]


def _controller(c: Controller, _count: int, needs: Needs, market: Market) -> Iterable[str]:
    shared = set(c.battery_v) & set(needs.rules.voltages)
    if not shared:
        yield (
            f"wrong voltage: it charges {_list_v(c.battery_v)}; the system has {_volts(needs)}"
        )
        return
    panels = [
        p for p in market.parts.values() if isinstance(p, Panel) and market.to_be_had(p.part)
    ]
    if panels and not any(_string(p, c, needs, shared) for p in panels):
        cold = min(_cold_v(p, needs) for p in panels)
        least = min(_charging_v(needs, shared)) + c.headroom_v
        limit_a = "" if c.max_pv_a is None else f" and {c.max_pv_a:g} A"
        yield (
            f"no string of any panel suits it: it takes at most {c.max_pv_v:g} V{limit_a} and "
            f"needs {least:.1f} V; the lowest panel has {cold:.1f} V at "
            f"{needs.site.coldest_c:g} °C"
        )


def _panel(p: Panel, _count: int, needs: Needs, market: Market) -> Iterable[str]:
    controllers = [
        c
        for c in market.parts.values()
        if isinstance(c, Controller)
        and market.to_be_had(c.part)
        and set(c.battery_v) & set(needs.rules.voltages)
    ]
    suits = any(
        _string(p, c, needs, set(c.battery_v) & set(needs.rules.voltages)) for c in controllers
    )
    if controllers and not suits:
        highest = max(c.max_pv_v for c in controllers)
        least = min(
            min(_charging_v(needs, set(c.battery_v) & set(needs.rules.voltages))) + c.headroom_v
            for c in controllers
        )
        yield (
            f"no controller suits any string of it: one has {_cold_v(p, needs):.1f} V at "
            f"{needs.site.coldest_c:g} °C and {_hot_v(p, needs):.1f} V in the heat; controllers "
            f"take up to {highest:g} V and need {least:.1f} V or more"
        )


def _cold_v(p: Panel, needs: Needs) -> float:
    return float(rule_s.voc_cold_v(p.voc_v, p.voc_pct_per_c, needs.site.coldest_c))


def _hot_v(p: Panel, needs: Needs) -> float:
    site = needs.site
    return float(rule_s.vmp_hot_v(p.vmp_v, p.pmax_pct_per_c, site.hottest_c, site.cell_rise_c))


def _string(p: Panel, c: Controller, needs: Needs, voltages: Iterable[float]) -> bool:
    """Whether some string of a panel keeps to a controller's limits at some voltage."""
    cold, hot = _cold_v(p, needs), _hot_v(p, needs)
    most_v = min(p.max_system_v, c.max_pv_v)
    if c.max_pv_a is not None and rule_s.pv_input_current_a(p.isc_a) > c.max_pv_a + 1e-9:
        return False
    least = min(_charging_v(needs, voltages)) + c.headroom_v
    series = math.floor(most_v / cold + 1e-12) if cold > 0 else 0
    return series >= 1 and series * hot >= least - 1e-9


def _interrupts(
    part: Fuse | Breaker | Switch, _count: int, needs: Needs, _market: Market
) -> Iterable[str]:
    least = min(
        rule_p.highest_circuit_v(chemistry, v)
        for chemistry in needs.rules.chemistries
        for v in needs.rules.voltages
    )
    if part.max_v < least:
        yield (
            f"wrong voltage: it interrupts up to {part.max_v:g} V; the system has at least "
            f"{least:g} V while it is charged"
        )


def _no_place(part: Device, needs: Needs) -> Iterable[str]:
    """Why it cannot stand anywhere, with the nearest miss."""
    may = [p for p in needs.places if _may_stand(p, part.cls)]
    if any(fits_alone(part, p, needs.site) for p in may):
        return
    if not may:
        yield f"no place may hold a {part.cls}"
        return
    if not any(bears_climate(part, p, needs.site) for p in may):
        climates = "; ".join(f'"{p.name}" {_climate(p, needs.site)}' for p in may)
        yield f"no place that may hold it suits it: {_bears(part)}; {climates}"
        return
    size = f"{part.length_mm:g} × {part.width_mm:g} × {part.height_mm:g} mm, {part.kg:g} kg"
    if part.clear_mm:
        size += f", with {part.clear_mm:g} mm free around it"
    there = "; ".join(f'"{p.name}" has {_room(p)}' for p in may)
    yield f"it fits in no place that may hold it: it is {size}; {there}"


def _bears(part: Device) -> str:
    """What a device says of where it may stand."""
    ends = [
        "" if c is None else f"{way} {c:g} °C"
        for way, c in (("from", part.min_c), ("up to", part.max_c))
    ]
    works = " ".join(x for x in ends if x)
    return f"it works {works or 'at any temperature'}, {part.ip or 'without a protection code'}"


def _climate(place: Place, site: Site) -> str:
    cold = site.coldest_c if place.min_c is None else place.min_c
    hot = site.hottest_c if place.max_c is None else place.max_c
    return f"has {cold:g} to {hot:g} °C{' and gets wet' if place.wet else ''}"


def _may_stand(place: Place, part_class: str) -> bool:
    if part_class in HUB:
        return all(map(place.may_hold, HUB))
    return place.may_hold(part_class)


def _room(place: Place) -> str:
    high = "" if place.height_mm is None else f" × {place.height_mm:g}"
    kg = "" if place.max_kg is None else f", carries {place.max_kg:g} kg"
    margin = f", margin {place.margin_mm:g} mm" if place.margin_mm else ""
    taken = ", less its obstacles" if place.obstacles else ""
    return f"{place.length_mm:g} × {place.width_mm:g}{high} mm{margin}{taken}{kg}"


_RULES: dict[type | tuple[type, ...], Callable[..., Iterable[str]]] = {
    Battery: _battery,
    Inverter: _inverter,
    Charger: _charger,
    Controller: _controller,
    Panel: _panel,
    (Fuse, Breaker, Switch): _interrupts,
}
