"""What could do the job: arrays, banks, inverters, chargers and the hub, each feasible by itself.

Candidates are made for one *setting*: a system voltage, a battery chemistry with its charge
efficiency, and the place of the hub (bus bars, battery switch, shunt). With these fixed every
figure of a candidate is a number, and what couples candidates is a sum. Nothing is left out here
but what cannot stand in any kit: it breaks a limit alone.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from solver.balance import limits_kgm
from solver.climate import bears_climate
from solver.fittings import is_combiner, is_isolator, is_string_fuse
from solver.market import Market
from solver.needs import Needs, Place, Site
from solver.parts import (
    Battery,
    Busbar,
    Cable,
    Charger,
    Connector,
    Controller,
    Inverter,
    Monitor,
    Panel,
    PvInlet,
    Switch,
)
from solver.parts.device import Device
from solver.routes import route
from solver.rules import bank as rule_b
from solver.rules import energy as rule_e
from solver.rules import protection as rule_p
from solver.rules import string as rule_s
from solver.rules.inlet import pins_free_of_bank
from solver.rules.space import usable_area_mm2
from solver.rules.ventilation import stands_unvented

MOST_STRINGS = 4
"""Parallel strings on one controller; common practice, no source. What joins them:
`solver.string_fuses`."""

LUGS_A_STUD = 4
"""Most lugs on one stud (ABYC E-11, from memory); so most parallel strings of a bank."""

AC_WAYS = ("shore", "generator")
"""Other charging that comes as AC: one charger serves all of it, each in its own hours."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
D = TypeVar("D", bound=Device)


@dataclass(frozen=True, slots=True)
class Setting:
    """What is fixed before candidates are made."""

    voltage: int
    chemistry: str
    charge_efficiency_pct: float
    hub: str


@dataclass(frozen=True)
class Arrays:
    """Array candidates as columns: panels in strings on one controller, by their places."""

    panels: Sequence[Panel]
    controllers: Sequence[Controller]
    panel: Ints
    controller: Ints
    series: Ints
    parallel: Ints
    panel_place: Sequence[str]
    controller_place: Sequence[str]
    yields_wh: Floats
    """(candidates, months in use): arriving in the bank, a day's mean."""
    charge_a: Floats
    design_a: Floats
    """For the conductor from panels to controller."""
    voc_cold_v: Floats
    own_wh: Floats
    """A day's own use of the controller."""
    most: Ints
    """More equal arrays than this never help."""

    def __len__(self) -> int:
        return len(self.panel)

    def take(self, keep: NDArray[np.bool_]) -> Arrays:
        """Only some of the candidates."""
        at = np.flatnonzero(keep).tolist()
        return Arrays(
            panels=self.panels,
            controllers=self.controllers,
            panel=self.panel[at],
            controller=self.controller[at],
            series=self.series[at],
            parallel=self.parallel[at],
            panel_place=[self.panel_place[i] for i in at],
            controller_place=[self.controller_place[i] for i in at],
            yields_wh=self.yields_wh[at],
            charge_a=self.charge_a[at],
            design_a=self.design_a[at],
            voc_cold_v=self.voc_cold_v[at],
            own_wh=self.own_wh[at],
            most=self.most[at],
        )


@dataclass(frozen=True, slots=True)
class BankCandidate:
    """One kind of battery in equal strings."""

    battery: Battery
    series: int
    parallel: int
    place: str
    usable_wh: float
    short_circuit_ka: float


@dataclass(frozen=True, slots=True)
class InverterCandidate:
    """An inverter; `serves` are the other ways in that it charges from (none: it doesn't)."""

    inverter: Inverter
    place: str
    current_a: float
    needs_wh: tuple[float, ...]
    """Drawn from the bank for AC, by month in use."""
    serves: tuple[str, ...]
    input_w: float
    other_wh: tuple[float, ...]
    """What it can put into the bank, by month in use."""


@dataclass(frozen=True, slots=True)
class ChargerCandidate:
    """A charger for the AC ways in, or for the engine."""

    charger: Charger
    place: str
    serves: tuple[str, ...]
    other_wh: tuple[float, ...]


@dataclass(frozen=True)
class Candidates:
    """Everything that could do the job in one setting."""

    setting: Setting
    months: tuple[int, ...]
    dc_wh: tuple[float, ...]
    """At the DC loads, by month in use."""
    dc_together_a: float
    arrays: Arrays
    banks: tuple[BankCandidate, ...]
    inverters: tuple[InverterCandidate, ...]
    chargers: tuple[ChargerCandidate, ...]
    busbars: tuple[Busbar, ...]
    switches: tuple[Switch, ...]
    monitors: tuple[Monitor, ...]
    ac_needed: bool
    most_draw_a: float = math.inf
    """No kit that is looked for draws more from its bank."""
    most_array_a: float = math.inf
    """Nor do its arrays together charge with more."""


def settings(needs: Needs, market: Market) -> list[Setting]:
    """Every setting worth trying, in a fixed order."""
    batteries = [p for p in market.parts.values() if isinstance(p, Battery)]
    kinds = sorted(
        {
            (b.chemistry, b.charge_efficiency_pct)
            for b in batteries
            if b.chemistry in needs.rules.chemistries and market.to_be_had(b.part)
        }
    )
    hubs = sorted(
        p.name for p in needs.places if all(map(p.may_hold, ("busbar", "switch", "monitor")))
    )
    return [
        Setting(v, chemistry, efficiency, hub)
        for v in sorted(needs.rules.voltages)
        if all(x.supply == "ac" or x.volts is None or v in x.volts for x in needs.loads)
        for chemistry, efficiency in kinds
        for hub in hubs
        if _reaches_loads(needs, hub)
    ]


def _reaches_loads(needs: Needs, hub: str) -> bool:
    return all(route(needs, hub, x.place) is not None for x in needs.loads if x.supply == "dc")


Pairs = Mapping[str, frozenset[str]]
"""Of each panel the controllers that arrays are made with."""


def candidates(
    needs: Needs, market: Market, setting: Setting, pairs: Pairs | None = None
) -> Candidates:
    """Make every candidate of a setting; of arrays those of some pairs, where these are given."""
    months = needs.site.months
    loads = [rule_e.load_wh(needs.loads, m) for m in months]
    highest = rule_p.highest_circuit_v(setting.chemistry, setting.voltage)
    inverters = tuple(_inverters(needs, market, setting, [ac for _, ac in loads]))
    dc_wh = tuple(dc for dc, _ in loads)
    hub = needs.place(setting.hub)
    together_a = rule_e.together_w(needs.loads, "dc") / rule_b.lowest_v(setting.voltage)
    ac_needed = any(x.supply == "ac" for x in needs.loads)
    least = _LeastAsked(
        reserve_wh=needs.energy.autonomy_days
        * max(
            dc + min((i.needs_wh[j] for i in inverters if ac_needed), default=0.0)
            for j, dc in enumerate(dc_wh)
        ),
        draw_a=together_a + min((i.current_a for i in inverters if ac_needed), default=0.0),
    )
    return Candidates(
        setting=setting,
        months=months,
        dc_wh=dc_wh,
        dc_together_a=together_a,
        arrays=_arrays(needs, market, setting, _worst_need(loads, inverters), pairs),
        banks=tuple(b for b in _banks(needs, market, setting) if least.met_by(b)),
        inverters=inverters,
        chargers=tuple(_chargers(needs, market, setting)),
        busbars=tuple(_in_place(_had(market, Busbar), hub, needs.site, 2)),
        switches=tuple(
            s
            for s in _in_place(_had(market, Switch), hub, needs.site, 1)
            if s.max_v >= highest and not s.kind.startswith("pv")
        ),
        monitors=tuple(_in_place(_had(market, Monitor), hub, needs.site, 1)),
        ac_needed=ac_needed,
    )


def with_pairs(
    found: Candidates, needs: Needs, market: Market, pairs: Pairs | None
) -> Candidates:
    """The same candidates with the arrays of other pairs."""
    loads = [rule_e.load_wh(needs.loads, m) for m in found.months]
    worst = _worst_need(loads, found.inverters)
    return replace(found, arrays=_arrays(needs, market, found.setting, worst, pairs))


def lacking(found: Candidates) -> bool:
    """Whether a kind of part is missing that every kit has."""
    hub = found.busbars and found.switches and found.monitors
    return not (found.banks and hub and (found.inverters or not found.ac_needed))


@dataclass(frozen=True)
class _LeastAsked:
    """What any kit asks of its bank, with the inverter that asks least."""

    reserve_wh: float
    draw_a: float

    def met_by(self, bank: BankCandidate) -> bool:
        """Whether a bank could do by itself; where it could not, no kit holds it."""
        limit = bank.battery.max_discharge_a * bank.parallel
        return bank.usable_wh >= self.reserve_wh - 1e-6 and limit >= self.draw_a - 1e-9


def _worst_need(
    loads: Sequence[tuple[float, float]], inverters: Sequence[InverterCandidate]
) -> float:
    """The most that any kit needs in any month, from its DC and AC loads."""
    return max(dc + _worst_ac(ac, inverters, i) for i, (dc, ac) in enumerate(loads))


def _worst_ac(ac: float, inverters: Sequence[InverterCandidate], month: int) -> float:
    if not inverters:
        return ac
    return max(i.needs_wh[month] for i in inverters)


def _had(market: Market, cls: type) -> list:  # type: ignore[type-arg]
    found = [
        p for p in market.parts.values() if isinstance(p, cls) and market.to_be_had(p.part)
    ]
    return sorted(found, key=lambda p: p.part)


def _in_place(devices: list[D], place: Place, site: Site, count: int) -> list[D]:
    return [d for d in devices if fits_alone(d, place, site, count)]


def fits_alone(device: Device, place: Place, site: Site, count: int = 1) -> bool:
    """Whether a device could stand in an empty place: class, climate, sides, mass, area.

    Its sides and its height are those with the free space that it needs.
    """
    if not (place.may_hold(device.cls) and bears_climate(device, place, site)):
        return False
    if place.height_mm is not None and device.depth_mm > place.height_mm:
        return False
    long = max(place.length_mm, place.width_mm) - 2 * place.margin_mm
    short = min(place.length_mm, place.width_mm) - 2 * place.margin_mm
    a, b = sorted(device.taken_mm, reverse=True)
    if a > long or b > short:
        return False
    if place.max_kg is not None and count * device.kg > place.max_kg + 1e-9:
        return False
    return count * a * b <= usable_area_mm2(place) + 1e-6


def places_for(needs: Needs, part_class: str, reach: str) -> list[str]:
    """Places that may hold a class and from which a cable reaches another place, sorted."""
    return sorted(
        p.name
        for p in needs.places
        if p.may_hold(part_class) and route(needs, p.name, reach) is not None
    )


# --- banks ------------------------------------------------------------------------------------


def _banks(needs: Needs, market: Market, setting: Setting) -> list[BankCandidate]:
    found = []
    for place_name in places_for(needs, "battery", setting.hub):
        place = needs.place(place_name)
        coldest = needs.site.coldest_c if place.min_c is None else place.min_c
        for b in _had(market, Battery):
            if (b.chemistry, b.charge_efficiency_pct) != (
                setting.chemistry,
                setting.charge_efficiency_pct,
            ):
                continue
            series = setting.voltage / rule_b.nominal_class_v(b.nominal_v)
            if series != int(series) or not 1 <= series <= b.max_series:
                continue
            if not (place.vented or stands_unvented(b.chemistry)):
                continue
            found += _bank_sizes(needs, market, place, b, int(series), coldest)
    return found


def _bank_sizes(
    needs: Needs, market: Market, place: Place, b: Battery, series: int, coldest_c: float
) -> list[BankCandidate]:
    factor = rule_b.temperature_factor(b.chemistry, coldest_c)
    mohm = b.internal_mohm or rule_b.typical_internal_mohm(
        b.chemistry, b.nominal_v, b.capacity_ah
    )
    return [
        BankCandidate(
            battery=b,
            series=series,
            parallel=k,
            place=place.name,
            usable_wh=rule_b.usable_wh(
                b.nominal_v, series, b.capacity_ah, k, b.usable_pct, factor
            ),
            short_circuit_ka=rule_b.prospective_short_circuit_ka(b.nominal_v, series, k, mohm),
        )
        for k in range(1, min(b.max_parallel, LUGS_A_STUD) + 1)
        if fits_alone(b, place, needs.site, series * k)
    ]


# --- inverters and chargers -------------------------------------------------------------------


def other_by_month(needs: Needs, serves: Sequence[str], watts: float) -> tuple[float, ...]:
    """What a charger puts into the bank on a day of each month in use, for the ways it serves."""
    return tuple(
        sum(
            watts * c.hours_per_day
            for c in needs.charging
            if c.kind in serves and (c.months is None or m in c.months)
        )
        for m in needs.site.months
    )


def _served(needs: Needs, kinds: Sequence[str], input_w: float) -> tuple[str, ...]:
    """The stated ways in that can feed a charger of that draw."""
    return tuple(
        sorted(c.kind for c in needs.charging if c.kind in kinds and input_w <= c.max_w + 1e-9)
    )


def _into_bank_w(setting: Setting, charge_a: float) -> float:
    volts = rule_s.charging_voltage_v(setting.chemistry, setting.voltage)
    return charge_a * volts * setting.charge_efficiency_pct / 100


def _inverters(
    needs: Needs, market: Market, setting: Setting, ac_wh: Sequence[float]
) -> list[InverterCandidate]:
    together = rule_e.together_w(needs.loads, "ac")
    surge = rule_e.surge_w(needs.loads)
    must = any(isinstance(o.part, Inverter) and o.use == "must" for o in needs.owned)
    if together <= 0 and not must:
        return []
    ac_places = {x.place for x in needs.loads if x.supply == "ac"}
    found = []
    for place_name in places_for(needs, "inverter", setting.hub):
        if any(route(needs, place_name, p) is None for p in ac_places):
            continue
        for i in _had(market, Inverter):
            if (
                i.dc_v != setting.voltage
                or i.ac_v != needs.rules.ac_v
                or i.hz != needs.rules.hz
            ):
                continue
            if i.continuous_w < together or i.surge_w < surge:
                continue
            if fits_alone(i, needs.place(place_name), needs.site):
                found += _inverter_uses(needs, setting, i, place_name, ac_wh)
    return found


def inverter_input_w(inverter: Inverter, chemistry: str, voltage: int) -> float:
    """AC power an inverter takes in while it charges; its efficiency taken both ways."""
    volts = rule_s.charging_voltage_v(chemistry, voltage)
    return inverter.charge_a * volts / (inverter.efficiency_pct / 100)


def _inverter_uses(
    needs: Needs, setting: Setting, i: Inverter, place: str, ac_wh: Sequence[float]
) -> list[InverterCandidate]:
    need = tuple(
        rule_e.inverter_need_wh(ac, i.efficiency_pct, i.idle_w, rule_e.inverter_hours(needs, m))
        for ac, m in zip(ac_wh, needs.site.months, strict=True)
    )
    input_w = inverter_input_w(i, setting.chemistry, setting.voltage)
    serves = _served(needs, AC_WAYS, input_w) if i.charge_a > 0 else ()
    together = [w for w in by_inlet(needs, serves) if _inlet_reached(needs, w, place)]
    watts = _into_bank_w(setting, i.charge_a)
    current = rule_e.inverter_current_a(i.continuous_w, i.efficiency_pct, setting.voltage)
    return [
        InverterCandidate(
            inverter=i,
            place=place,
            current_a=current,
            needs_wh=need,
            serves=ways,
            input_w=input_w if ways else 0.0,
            other_wh=other_by_month(needs, ways, watts),
        )
        for ways in sorted({(), *together})
    ]


def _chargers(needs: Needs, market: Market, setting: Setting) -> list[ChargerCandidate]:
    found = []
    for place_name in places_for(needs, "charger", setting.hub):
        for c in _had(market, Charger):
            stands = fits_alone(c, needs.place(place_name), needs.site)
            if setting.voltage not in c.battery_v or not stands:
                continue
            kinds = AC_WAYS if c.kind == "shore" else ("engine",)
            # no charger gives more than it takes in
            most_w = c.input_w * setting.charge_efficiency_pct / 100
            watts = min(_into_bank_w(setting, c.charge_a), most_w)
            found += [
                ChargerCandidate(c, place_name, ways, other_by_month(needs, ways, watts))
                for ways in by_inlet(needs, _served(needs, kinds, c.input_w))
                if _inlet_reached(needs, ways, place_name)
            ]
    return found


def inlet_place(needs: Needs, serves: Sequence[str], device_place: str) -> str:
    """Where some ways in come in together: their stated place, or the charger's own."""
    stated = _places_in(needs, serves)
    return stated[0] if stated else device_place


def _places_in(needs: Needs, serves: Sequence[str]) -> list[str]:
    return sorted({c.place for c in needs.charging if c.kind in serves and c.place})


def by_inlet(needs: Needs, serves: Sequence[str]) -> list[tuple[str, ...]]:
    """The ways in that one device can serve, which has one inlet.

    Ways in that state different places cannot come in together; one that states none comes in
    wherever another does.
    """
    places = _places_in(needs, serves)
    if len(places) < 2:
        return [tuple(serves)] if serves else []
    return [
        tuple(k for k in serves if _places_in(needs, (k,)) in ([], [place])) for place in places
    ]


def _inlet_reached(needs: Needs, serves: Sequence[str], place: str) -> bool:
    return route(needs, inlet_place(needs, serves, place), place) is not None


# --- arrays -----------------------------------------------------------------------------------


def panels_and_controllers(
    market: Market, setting: Setting
) -> tuple[list[Panel], list[Controller]]:
    """What arrays are made of in a setting."""
    controllers = [c for c in _had(market, Controller) if setting.voltage in c.battery_v]
    return _had(market, Panel), controllers


@dataclass(frozen=True)
class StringLimits:
    """What bounds the panels of a string: of each panel, then of each controller."""

    cold_v: Floats
    """Open-circuit voltage of one panel on the coldest day."""
    hot_v: Floats
    """Its voltage at full power on the hottest."""
    highest_v: Floats
    isc_a: Floats
    max_v: Floats
    max_a: Floats
    """Infinite where none is stated."""
    need_v: Floats
    """What a controller needs to charge."""


def string_limits(
    needs: Needs, setting: Setting, panels: list[Panel], controllers: list[Controller]
) -> StringLimits:
    """The figures of panels and controllers that decide how many panels a string has."""
    site = needs.site
    charging = rule_s.charging_voltage_v(setting.chemistry, setting.voltage)
    return StringLimits(
        cold_v=np.array(
            [rule_s.voc_cold_v(p.voc_v, p.voc_pct_per_c, site.coldest_c) for p in panels]
        ),
        hot_v=np.array(
            [
                rule_s.vmp_hot_v(p.vmp_v, p.pmax_pct_per_c, site.hottest_c, site.cell_rise_c)
                for p in panels
            ]
        ),
        highest_v=np.array([p.max_system_v for p in panels]),
        isc_a=np.array([p.isc_a for p in panels]),
        max_v=np.array([c.max_pv_v for c in controllers]),
        max_a=np.array([math.inf if c.max_pv_a is None else c.max_pv_a for c in controllers]),
        need_v=np.array([charging + c.headroom_v for c in controllers]),
    )


def _arrays(
    needs: Needs, market: Market, setting: Setting, worst_need_wh: float, pairs: Pairs | None
) -> Arrays:
    panels, controllers = panels_and_controllers(market, setting)
    if pairs is not None:
        meant = frozenset().union(*pairs.values())
        panels = [p for p in panels if p.part in pairs]
        controllers = [c for c in controllers if c.part in meant]
    rows: list[tuple[Ints, Ints, int, int]] = []
    limits = string_limits(needs, setting, panels, controllers)
    cold, hot, highest = limits.cold_v, limits.hot_v, limits.highest_v
    max_v, max_a, need_v = limits.max_v, limits.max_a, limits.need_v
    if pairs is not None:
        at = {c.part: k for k, c in enumerate(controllers)}
        paired = np.zeros((len(panels), len(controllers)), dtype=bool)
        for i, p in enumerate(panels):
            paired[i, [at[name] for name in pairs[p.part] if name in at]] = True
    if panels and controllers:
        most_series = int(max(np.minimum(highest, max_v.max()) / cold))
        free_v = _free_v(needs, market)
        boxed = any(map(is_combiner, market.parts.values()))
        tracks = np.array([c.kind == "mppt" for c in controllers])[None, :]

        def window(s: int) -> NDArray[np.bool_]:
            found = (s * cold <= highest)[:, None] & (s * cold[:, None] <= max_v[None, :])
            return found & (s * hot[:, None] >= need_v[None, :] - 1e-9)

        for s in range(1, most_series + 1):
            for k in range(1, MOST_STRINGS + 1):
                pv_a = rule_s.pv_input_current_a(k * limits.isc_a)
                fits = window(s) & (pv_a[:, None] <= max_a[None, :] + 1e-9)
                if pairs is not None:
                    fits &= paired
                for longer in _in_fewer_strings(s, k, boxed=boxed):
                    fits &= ~(tracks & window(longer) & (longer * cold <= free_v)[:, None])
                at_p, at_c = np.nonzero(fits)
                rows.append((at_p, at_c, s, k))
    return _with_places(needs, market, setting, panels, controllers, rows, worst_need_wh)


def _in_fewer_strings(series: int, parallel: int, *, boxed: bool) -> list[int]:
    """How long strings are of as many panels in fewer strings, which need no other part.

    One string needs nothing that joins it. Fewer strings in branch pairs need fewer of these;
    where combiners join more than two, `boxed`, two need a branch pair instead, and three perhaps
    a combiner with fuses in other poles: neither takes the place of what joined more.
    """
    count = series * parallel
    most = 1 if boxed else parallel - 1
    return [count // k for k in range(1, min(most, parallel - 1) + 1) if count % k == 0]


def _free_v(needs: Needs, market: Market) -> float:
    """Up to this voltage an array of longer strings does all that one of more strings does.

    As many panels behind the same tracking controller yield and charge alike. In fewer strings
    their current is smaller and their voltage higher: no cable, connector, isolator or inlet that
    did for more strings drops too much or carries too little, and fewer branch pairs and fuses, of
    the same kinds, join them. Only what bears a voltage can tell the two apart. Below the least
    that any such part bears, the kit with more strings need not be looked at: with the others
    in their place the same purchase is enough. Beside a freight that is free from some value of
    goods on, fillers hold the bound below such a kit, as docs/formulation.md says of thinning.
    What must be used and is no device could be a branch pair or a fuse: then nothing is left out.
    """
    if any(o.use == "must" and not isinstance(o.part, Device) for o in needs.owned):
        return 0.0
    return min(
        (
            part.max_v
            for part in market.parts.values()
            if isinstance(part, Connector | PvInlet)
            or is_isolator(part)
            or is_string_fuse(part)
        ),
        default=math.inf,
    )


def _with_places(
    needs: Needs,
    market: Market,
    setting: Setting,
    panels: list[Panel],
    controllers: list[Controller],
    rows: list[tuple[Ints, Ints, int, int]],
    worst_need_wh: float,
) -> Arrays:
    parts: dict[str, list[NDArray]] = {k: [] for k in ("p", "c", "s", "k")}  # type: ignore[type-arg]
    panel_place: list[str] = []
    controller_place: list[str] = []
    face = np.array([p.taken_mm2 for p in panels])
    mass = np.array([p.kg for p in panels])
    there = np.array([market.available(p.part) for p in panels])
    desks = np.array([market.available(c.part) for c in controllers])
    for where in sorted(p.name for p in needs.places if p.may_hold("panel")):
        roof = needs.place(where)
        most = np.minimum(
            (usable_area_mm2(roof) + 1e-6) / face,
            np.inf if roof.max_kg is None else (roof.max_kg + 1e-9) / mass,
        )
        most = np.minimum(most, there)
        lies = np.array([fits_alone(p, roof, needs.site) for p in panels], dtype=bool)
        for desk in places_for(needs, "controller", setting.hub):
            if route(needs, where, desk) is None:
                continue
            stands = np.array(
                [
                    fits_alone(c, needs.place(desk), needs.site)
                    and (pins_free_of_bank(c.common_pole) or not roof.ground)
                    for c in controllers
                ],
                dtype=bool,
            )
            for at_p, at_c, s, k in rows:
                keep = lies[at_p] & stands[at_c] & (s * k <= most[at_p])
                n = int(keep.sum())
                parts["p"].append(at_p[keep])
                parts["c"].append(at_c[keep])
                parts["s"].append(np.full(n, s))
                parts["k"].append(np.full(n, k))
                panel_place += [where] * n
                controller_place += [desk] * n
    joined = {k: _joined(v) for k, v in parts.items()}
    found = _figures(
        needs,
        setting,
        panels,
        controllers,
        joined,
        panel_place,
        controller_place,
        worst_need_wh,
    )
    if not len(found):
        return found
    must = {o.part.part: float(o.quantity) for o in needs.owned if o.use == "must"}
    asked = np.array([must.get(p.part, 0.0) for p in panels])[found.panel]
    asked = np.maximum(
        asked, np.array([must.get(c.part, 0.0) for c in controllers])[found.controller]
    )
    # wiring that must be used may want arrays that nothing else does
    small = [o for o in needs.owned if o.use == "must" and not isinstance(o.part, Device)]
    more = sum(1.0 if isinstance(o.part, Cable) else float(o.quantity) for o in small)
    found = replace(found, most=np.minimum(np.maximum(found.most, asked) + more, MOST_ARRAYS))
    whole = np.minimum(
        np.floor(there[found.panel] / (found.series * found.parallel)),
        desks[found.controller],
    )
    return replace(found, most=np.minimum(found.most, whole).astype(np.int64))


def _joined(pieces: list[NDArray]) -> Ints:  # type: ignore[type-arg]
    return np.concatenate(pieces).astype(np.int64) if pieces else np.zeros(0, dtype=np.int64)


def _figures(
    needs: Needs,
    setting: Setting,
    panels: list[Panel],
    controllers: list[Controller],
    at: dict[str, Ints],
    panel_place: list[str],
    controller_place: list[str],
    worst_need_wh: float,
) -> Arrays:
    site, p, c, s, k = needs.site, at["p"], at["c"], at["s"], at["k"]
    stated = site.air_c
    air = stated or rule_e.air_c_by_month(site.coldest_c, site.hottest_c, site.latitude_deg)
    charging = rule_s.charging_voltage_v(setting.chemistry, setting.voltage)
    stc = _picked([x.stc_w for x in panels], p)
    isc = _picked([x.isc_a for x in panels], p)
    imp = _picked([x.imp_a for x in panels], p)
    heat = _picked([x.pmax_pct_per_c for x in panels], p)
    cold_one = [rule_s.voc_cold_v(x.voc_v, x.voc_pct_per_c, site.coldest_c) for x in panels]
    series, parallel = s.astype(float), k.astype(float)
    cold = series * _picked(cold_one, p)
    efficiency = _picked([x.efficiency_pct for x in controllers], c)
    max_charge = _picked([x.max_charge_a for x in controllers], c)
    own = 24 * _picked([x.own_w for x in controllers], c)
    pwm = _picked([float(x.kind == "pwm") for x in controllers], c) > 0
    charge = np.zeros(len(p))
    yields = np.zeros((len(p), len(site.months)))
    for kind in ("mppt", "pwm"):
        at_kind = np.flatnonzero(pwm == (kind == "pwm"))
        count = (series * parallel)[at_kind]
        charge[at_kind] = rule_s.array_charge_a(
            kind, stc[at_kind], count, efficiency[at_kind], max_charge[at_kind],
            (parallel * isc)[at_kind], setting.voltage,
        )  # fmt: skip
        for j, month in enumerate(site.months):
            air_c: Floats = np.full(len(at_kind), air[month - 1])
            thermal = rule_e.thermal_factor(heat[at_kind], air_c, site.cell_rise_c)
            yields[at_kind, j] = rule_e.array_yield_wh(
                kind, stc[at_kind], count, imp[at_kind], parallel[at_kind], thermal, site.derate,
                efficiency[at_kind], max_charge[at_kind], charging, needs.sun_hours[month - 1],
            )  # fmt: skip
    yields *= setting.charge_efficiency_pct / 100
    design = rule_s.pv_design_current_a(
        parallel * isc, needs.rules.continuous, needs.rules.practice
    )
    return Arrays(
        panels=panels,
        controllers=controllers,
        panel=p,
        controller=c,
        series=s,
        parallel=k,
        panel_place=panel_place,
        controller_place=controller_place,
        yields_wh=yields,
        charge_a=charge,
        design_a=design,
        voc_cold_v=cold,
        own_wh=own,
        most=_most_of_each(yields, own, worst_need_wh)
        if not limits_kgm(needs)
        # where moments are limited, one more could be what balances the others
        else np.full(len(p), MOST_ARRAYS, dtype=np.int64),
    )


def _picked(values: Sequence[float], at: Ints) -> Floats:
    """A figure of parts for the candidates made of them."""
    return np.array([*values, 0.0], dtype=float)[at]


MOST_ARRAYS = 24
"""No more equal arrays are counted."""


def _most_of_each(yields: Floats, own: Floats, worst_need_wh: float) -> Ints:
    """How many equal arrays could ever be needed.

    With m of them alone covering the largest need of every month, one more can be taken away
    and every limit still holds, at a lower cost; the need counts their own use. One that gives
    nothing in some month never covers it, so there may be as many as are counted.
    """
    if not len(yields):
        return np.zeros(0, dtype=np.int64)
    net = yields.min(axis=1) - own
    with np.errstate(divide="ignore"):
        needed = np.where(
            net > 0, np.ceil((worst_need_wh * 1.05 + 100) / np.maximum(net, 1e-9)), MOST_ARRAYS
        )
    return np.clip(needed, 1, MOST_ARRAYS).astype(np.int64)
