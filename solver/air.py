"""Heat and gas of a finished kit: what each thing loses, and the air that each place needs.

Reckoned for the worst hour that lasts: full sun, every charger, and every load that runs
together with others for an hour a day or more, all at once. What the loads themselves give off,
and what stands in the place besides the kit, is not known here.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import chain

from solver.climate import coldest_c, hottest_c
from solver.holes import place_of_end, places_of
from solver.needs import Load, Needs, Place
from solver.parts import Battery, Cable, Charger, Controller, Inverter, Monitor, Panel
from solver.parts.device import Device as DevicePart
from solver.records import Circuit, Design, Device
from solver.report import gas_of_bank
from solver.rules import heat as rule_h
from solver.rules.bank import lowest_v, typical_internal_mohm
from solver.rules.conductor import resistance_ohm_per_m
from solver.rules.energy import inverter_hours
from solver.rules.string import charging_voltage_v

ON_THE_WAY = ""
"""The place of what lies between places."""


@dataclass(frozen=True, kw_only=True)
class Loss:
    """Heat of one thing, or of all of a kind in one place."""

    thing: str
    place: str
    loss_w: float
    why: str


@dataclass(frozen=True, kw_only=True)
class PlaceAir:
    """What one place needs of air."""

    place: str
    closed: bool
    """It has a height: a locker. Others are open, and their air is the room's."""
    vented: bool
    loss_w: float
    outside_c: float
    limit_c: float
    """Hottest that it may get, by what stands in it and what is stated of it."""
    rise_k: float
    """How much warmer than outside it may get; 0 where outside is as hot already."""
    walls_w: float
    """What its walls would shed by themselves at that rise."""
    heat_m3_per_h: float | None
    """Air for the heat; None where no air from outside is cool enough."""
    heat_cm2: float | None
    """Free area of each of two openings for it."""
    gas_m3_per_h: float
    gas_cm2: float
    rise_m: float
    """Height between the openings that is reckoned with."""

    @property
    def opening_cm2(self) -> float | None:
        """Free area of each of two openings, low and high, for heat and gas."""
        return None if self.heat_cm2 is None else max(self.heat_cm2, self.gas_cm2)

    @property
    def fan_m3_per_h(self) -> float | None:
        """What a fan has to move instead, once it is fitted."""
        if self.heat_m3_per_h is None:
            return None
        return max(self.heat_m3_per_h, self.gas_m3_per_h)


@dataclass(frozen=True, kw_only=True)
class Unfit:
    """A device in a place that may get too hot or too cold for it."""

    device: str
    place: str
    place_c: float
    limit_c: float
    hot: bool


@dataclass(frozen=True, kw_only=True)
class Air:
    """A kit's losses and its air."""

    losses: tuple[Loss, ...]
    places: tuple[PlaceAir, ...]
    """Those in which something gives off heat or gas."""
    unfit: tuple[Unfit, ...]


def air_of(needs: Needs, design: Design) -> Air:
    """The losses of a design and the air its places need."""
    currents = _Currents(needs, design)
    losses = tuple(
        loss
        for loss in chain(
            (_device_loss(needs, design, currents, d) for d in design.devices),
            _fuse_losses(design, currents),
            _cable_losses(needs, design, currents),
        )
        if loss is not None and loss.loss_w > 0
    )
    watts: dict[str, float] = defaultdict(float)
    for loss in losses:
        watts[loss.place] += loss.loss_w
    gas = _gas(design)
    places = tuple(
        _place_air(needs, design, place, watts[place.name], gas.get(place.name, (0.0, 0.0)))
        for place in needs.places
        if watts[place.name] > 0 or place.name in gas
    )
    return Air(losses=losses, places=places, unfit=_unfit(needs, design))


# -- currents of the worst hour that lasts


class _Currents:
    """What flows in each circuit in that hour."""

    def __init__(self, needs: Needs, design: Design) -> None:
        self.low_v = lowest_v(design.system_voltage_v)
        self.charging_v = charging_voltage_v(design.chemistry, design.system_voltage_v)
        self.ac_w = lasting_w(needs.loads, "ac")
        loads: dict[str, list[Load]] = defaultdict(list)
        for load in needs.loads:
            loads[load.circuit or load.name].append(load)
        self._load_w = {name: lasting_w(found) for name, found in loads.items()}
        dc_a = lasting_w(needs.loads, "dc") / self.low_v
        self.inverter_a = sum(
            self.ac_w / (d.part.efficiency_pct / 100) / self.low_v
            for d in design.devices
            if isinstance(d.part, Inverter)
        )
        into = [c for c in design.circuits if c.kind in ("controller", "charger")]
        bars = {d.id for d in design.devices if d.part.cls == "busbar"}
        self.charge_a = sum(c.current_a for c in into if c.to in bars or c.from_ in bars)
        self.bank_a = max(dc_a + self.inverter_a, self.charge_a)
        self._ac_v = needs.rules.ac_v
        self._feeds: dict[str, list[Circuit]] = defaultdict(list)
        for c in design.circuits:
            self._feeds[c.from_].append(c)
        self._strings = max(sum(c.kind == "battery" for c in design.circuits), 1)

    def of(self, circuit: Circuit) -> float:
        """In amperes; never more than the circuit is made for, and none where only faults flow."""
        return 0.0 if circuit.kind == "bond" else min(self._lasting(circuit), circuit.current_a)

    def _lasting(self, c: Circuit) -> float:
        if c.kind == "load":
            return self._load_w.get(c.to, 0.0) / self.low_v
        if c.kind == "feed":
            return sum(self.of(x) for x in self._feeds[c.to])
        if c.kind == "inverter":
            return self.inverter_a
        if c.kind == "ac" and c.to in self._load_w:
            return self._load_w[c.to] / self._ac_v
        if c.kind == "battery" or (c.kind == "link" and c.conductors == 1):
            return self.bank_a / self._strings
        return self.bank_a if c.kind == "link" else c.current_a


def lasting_w(loads: Iterable[Load], supply: str | None = None) -> float:
    """Power of the loads that run together and for an hour a day or more, in W.

    Parameters
    ----------
    loads : iterable of Load
        The loads in question.
    supply : str, optional
        `dc` or `ac`: only those.
    """
    return sum(
        x.watts * x.quantity
        for x in loads
        if x.together and x.hours_per_day >= rule_h.LASTING_HOURS and supply in (None, x.supply)
    )


# -- losses


def _device_loss(
    needs: Needs, design: Design, currents: _Currents, device: Device
) -> Loss | None:
    part = device.part
    if isinstance(part, Inverter):
        watts, why = _inverter_w(needs, currents, part)
    elif isinstance(part, Controller):
        watts, why = _controller_w(design, currents, device)
    elif isinstance(part, Charger):
        watts, why = _charger_w(currents, part)
    elif isinstance(part, Battery):
        ohm = battery_ohm(part)
        amps = currents.bank_a / design.bank.parallel
        watts, why = rule_h.resistance_loss_w(amps, ohm), f"{amps:.0f} A, {1000 * ohm:.3g} mΩ"
    elif isinstance(part, Monitor):
        watts = rule_h.shunt_loss_w(currents.bank_a, part.rated_a) + part.own_w
        why = f"shunt at {currents.bank_a:.0f} A of {part.rated_a:g} A"
    else:
        return None
    return Loss(thing=device.id, place=device.place, loss_w=watts, why=why)


def battery_ohm(part: Battery) -> float:
    """Internal resistance of a battery, stated or typical, in ohms."""
    typical = typical_internal_mohm(part.chemistry, part.nominal_v, part.capacity_ah)
    return (part.internal_mohm or typical) / 1000


def _inverter_w(needs: Needs, currents: _Currents, part: Inverter) -> tuple[float, str]:
    rated = part.heat_w
    if rated is None:
        rated = rule_h.converter_loss_w(part.continuous_w, part.efficiency_pct)
    on = any(inverter_hours(needs, month) > 0 for month in needs.site.months)
    idle = part.idle_w if on else 0.0
    watts = rule_h.inverter_loss_w(currents.ac_w, part.continuous_w, rated, idle)
    charging = part.charge_a * currents.charging_v
    turned = rule_h.converter_loss_w(charging, part.efficiency_pct)
    if turned > watts:
        return turned, f"charging with {part.charge_a:g} A"
    return watts, f"{currents.ac_w:.0f} W of AC loads that last"


def _controller_w(design: Design, currents: _Currents, device: Device) -> tuple[float, str]:
    part = device.part
    assert isinstance(part, Controller), f"{device.id} is no controller"
    share = part.efficiency_pct / 100
    most_w = part.max_charge_a * currents.charging_v / share
    panels_w = 0.0
    for array in design.arrays:
        panel = design.parts[array.panel]
        if array.controller == device.id and isinstance(panel, Panel):
            panels_w += panel.stc_w * array.series * array.parallel
    pv_w = min(panels_w, most_w)
    watts = rule_h.controller_loss_w(pv_w, part.efficiency_pct, part.own_w)
    return watts, f"{pv_w:.0f} W of sun"


def _charger_w(currents: _Currents, part: Charger) -> tuple[float, str]:
    output_w = part.charge_a * currents.charging_v
    efficiency = min(100 * output_w / part.input_w, rule_h.MOST_CHARGER_PCT)
    watts = rule_h.converter_loss_w(output_w, efficiency)
    return max(watts, part.heat_w or 0.0), f"charging with {part.charge_a:g} A"


def _fuse_losses(design: Design, currents: _Currents) -> list[Loss]:
    """All fuses and breakers of a place together."""
    through: dict[str, float] = defaultdict(float)
    for circuit in design.circuits:
        if circuit.protection_id is not None:
            through[circuit.protection_id] += currents.of(circuit)
    watts: dict[str, float] = defaultdict(float)
    count: dict[str, int] = defaultdict(int)
    for protection in design.protections:
        rated = getattr(design.parts[protection.part], "rated_a", None)
        if rated is None or not through[protection.id]:
            continue
        watts[protection.place] += rule_h.fuse_loss_w(through[protection.id], rated)
        count[protection.place] += 1
    return [
        Loss(
            thing="fuses and breakers", place=place, loss_w=loss, why=f"{count[place]} of them"
        )
        for place, loss in watts.items()
    ]


def _cable_losses(needs: Needs, design: Design, currents: _Currents) -> list[Loss]:
    """All cables of a place together, and those that run from place to place."""
    circuits = {c.name: c for c in design.circuits}
    places = places_of(design)
    watts: dict[str, float] = defaultdict(float)
    for cut in design.cuts:
        part, circuit = design.parts[cut.cable], circuits.get(cut.circuit)
        if not isinstance(part, Cable) or circuit is None:
            continue
        ends = {place_of_end(end.at, circuit, places) for end in cut.ends}
        if not circuit.via:
            ends.discard(None)
        place = ends.pop() if len(ends) == 1 else None
        per_m = resistance_ohm_per_m(part.ohm_per_km_20c, needs.rules.conductor_c)
        cores = min(len(cut.ends) // 2, 2)
        ohm = per_m * cores * cut.length_mm / 1000
        watts[place or ON_THE_WAY] += rule_h.resistance_loss_w(currents.of(circuit), ohm)
    return [
        Loss(
            thing="cables",
            place=place,
            loss_w=loss,
            why="between places" if place == ON_THE_WAY else "within the place",
        )
        for place, loss in watts.items()
    ]


# -- air


def _gas(design: Design) -> dict[str, tuple[float, float]]:
    """Air and opening for the gas of the bank, by the places it stands in; none without gas."""
    air, opening = gas_of_bank(design)
    places = {d.place for d in design.devices if d.id in design.bank.batteries}
    return dict.fromkeys(places, (air, opening)) if air > 0 else {}


def _place_air(
    needs: Needs, design: Design, place: Place, loss_w: float, gas: tuple[float, float]
) -> PlaceAir:
    outside = needs.site.hottest_c
    limit = min([outside + rule_h.USUAL_RISE_K, *_limits_c(design, place)])
    rise = max(limit - outside, 0.0)
    closed = place.height_mm is not None
    height_m = (place.height_mm or 0.0) / 1000
    rise_m = rule_h.VENT_RISE_FACTOR * height_m
    air = area = None
    if rise > 0:
        air = rule_h.heat_air_m3_per_h(loss_w, rise)
        area = rule_h.heat_opening_cm2(loss_w, rise, rise_m) if closed else 0.0
    length_m, width_m = place.length_mm / 1000, place.width_mm / 1000
    # Four sides and the lid; what it stands on sheds nothing.
    wall_m2 = length_m * width_m + 2 * (length_m + width_m) * height_m if closed else 0.0
    return PlaceAir(
        place=place.name,
        closed=closed,
        vented=place.vented,
        loss_w=loss_w,
        outside_c=outside,
        limit_c=limit,
        rise_k=rise,
        walls_w=rule_h.wall_heat_w(wall_m2, rise),
        heat_m3_per_h=air,
        heat_cm2=area,
        gas_m3_per_h=gas[0],
        gas_cm2=gas[1],
        rise_m=rise_m,
    )


def _limits_c(design: Design, place: Place) -> list[float]:
    """How hot a place may get: as stated, and for each device in it."""
    found = [] if place.max_c is None else [place.max_c]
    for device in design.devices:
        if device.place == place.name:
            hottest = hottest_of(device)
            found += [] if hottest is None else [hottest]
    return found


def hottest_of(device: Device) -> float | None:
    """Hottest place that a device may stand in, a battery while it is charged."""
    part = device.part
    return hottest_c(part) if isinstance(part, DevicePart) else None


def _unfit(needs: Needs, design: Design) -> tuple[Unfit, ...]:
    """Devices whose place is stated, or the site is, beyond what they may work at."""
    found = []
    places: Mapping[str, Place] = {p.name: p for p in needs.places}
    for device in design.devices:
        place, part = places[device.place], device.part
        hot = needs.site.hottest_c if place.max_c is None else place.max_c
        cold = needs.site.coldest_c if place.min_c is None else place.min_c
        hottest = hottest_of(device)
        coldest = coldest_c(part) if isinstance(part, DevicePart) else None
        if hottest is not None and hot > hottest:
            found.append((device, hot, hottest, True))
        if coldest is not None and cold < coldest:
            found.append((device, cold, coldest, False))
    return tuple(
        Unfit(device=d.id, place=d.place, place_c=place_c, limit_c=limit_c, hot=hot)
        for d, place_c, limit_c, hot in found
    )
