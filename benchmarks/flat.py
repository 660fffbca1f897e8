"""The named baseline `flat`: the whole kit as one big-M model, as one would first write it.

A binary for every part that could be taken, whole numbers for what is counted, and big-M rows
wherever two choices meet: what panels in strings give on a controller, the current of a circuit
that depends on what else is chosen, the lug that a conductor needs on a stud. Nothing is priced
beforehand, nothing is left out because something else is cheaper, no bound is passed on.

What a kit is it shares with the optimizer: the published rules, the runs of a job and which
conductors and protections may serve a run at all (`solver.circuits`, `solver.wiring`). What is
chosen, how it is coupled and how it is bought is stated here anew, so equal totals say something.

It knows simple needs only: nothing owned, no other charging, no limit of mass or money, panels in
one place and everything else in one other. It has `SLOTS` arrays to fill where a kit may have
more, and counts cable by the metre: both make it easier, neither may change its total.
"""

from __future__ import annotations

import itertools
import math
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import pulp

from solver import circuits as c
from solver.candidates import (
    LUGS_A_STUD,
    MOST_STRINGS,
    BankCandidate,
    Setting,
    fits_alone,
    settings,
)
from solver.fittings import is_string_holder
from solver.market import Deal, Market, market
from solver.needs import Needs
from solver.parts import (
    Battery,
    Busbar,
    Cable,
    Controller,
    Inverter,
    Lug,
    Monitor,
    Panel,
    Switch,
)
from solver.parts.device import Device
from solver.routes import Route, legs_of, stated_loaded
from solver.rules import bank as rule_b
from solver.rules import conductor as rule_c
from solver.rules import energy as rule_e
from solver.rules import protection as rule_p
from solver.rules import string as rule_s
from solver.rules.space import usable_area_mm2
from solver.rules.string_fuse import string_fuse_least_a, string_fuse_most_a
from solver.rules.ventilation import stands_unvented
from solver.stock import Stock
from solver.string_fuses import need_fuses
from solver.wiring import (
    HUB,
    Run,
    Shelf,
    conductor_ampacity_a,
    conductor_ohm_per_m,
    conductors,
    cut_mm,
    seats,
    shelf,
)

SLOTS = 3
"""Arrays that a kit may have here."""

BIG_A = 1000.0
"""No current of these small systems is larger."""

MOST = 100
"""No kit takes more pieces of a part, nor more metres of a cable."""

TERMINATIONS = ("lug", "connector", "ferrule", "sleeve")

GAP = 0.004
"""In the currency: whole prices differ by a cent at least."""

Terms = list[Any]


@dataclass(frozen=True)
class Flat:
    """What the flat model came to."""

    total: float | None
    """In the job's currency; None where no answer was found."""
    proven: bool
    """Every setting was solved to the end: without a total there is no kit."""
    columns: int
    rows: int


@dataclass(frozen=True)
class Layout:
    """Panels of one kind in strings."""

    panel: Panel
    series: int
    parallel: int

    @property
    def count(self) -> int:
        """How many panels."""
        return self.series * self.parallel


CBC_OPTIONS = ["preprocess off", "presolve off", "primalT 1e-9"]
"""With its preprocessing, its presolve or its usual tolerance it calls answers of this model optimal
that are not: HiGHS finds kits of the same model that cost less."""


def solve_flat(needs: Needs, stock: Stock, limit_s: float, solver: str = "highs") -> Flat:
    """The cheapest kit by the flat model, setting by setting, within so many seconds.

    `solver` is `highs`, as in our own solves and to the same gap, or `cbc`, which the modelling
    library calls where nothing is asked for, with `CBC_OPTIONS`.
    """
    _only_simple(needs)
    mkt = market(needs, stock)
    parts = shelf(needs, mkt)
    end = time.monotonic() + limit_s
    best, proven, columns, rows = math.inf, True, 0, 0
    for setting in settings(needs, mkt):
        flat = _Flat(needs, mkt, parts, setting)
        total, done = flat.solve(max(1.0, end - time.monotonic()), solver)
        best, proven = min(best, total), proven and done
        columns += flat.p.numVariables()
        rows += flat.p.numConstraints()
    return Flat(None if math.isinf(best) else best, proven, columns, rows)


def _only_simple(needs: Needs) -> None:
    roofs = [p for p in needs.places if p.may_hold("panel")]
    lockers = [p for p in needs.places if p.may_hold("battery") or p.may_hold("busbar")]
    limits = needs.limits
    simple = (
        not needs.owned
        and not needs.charging
        and (limits.total_kg, limits.budget) == (None, None)
        and (len(roofs), len(lockers)) == (1, 1)
        and roofs != lockers
        and needs.energy.shortfall_pct == 0
    )
    if not simple:
        raise ValueError("the flat model knows simple needs only")


class _Flat:
    """The model of one setting."""

    def __init__(self, needs: Needs, mkt: Market, parts: Shelf, setting: Setting) -> None:
        self.needs, self.market, self.shelf, self.setting = needs, mkt, parts, setting
        self.roof = next(p for p in needs.places if p.may_hold("panel"))
        self.locker = needs.place(setting.hub)
        self.highest_v = rule_p.highest_circuit_v(setting.chemistry, setting.voltage)
        self.charging_v = rule_s.charging_voltage_v(setting.chemistry, setting.voltage)
        self.months = needs.site.months
        self.p = pulp.LpProblem("flat", pulp.LpMinimize)
        self.taken: defaultdict[str, Terms] = defaultdict(list)
        """Of each part what is taken, in pieces or metres."""
        self.lugs: defaultdict[tuple[float, str], Terms] = defaultdict(list)
        self.faces: defaultdict[str, Terms] = defaultdict(list)
        self.masses: defaultdict[str, Terms] = defaultdict(list)
        self.names = itertools.count()
        self._build()

    # -- words of the model

    def _binary(self) -> Any:
        return self.p.add_variable(f"b{next(self.names)}", 0, 1, pulp.LpBinary)

    def _number(self, most: float, *, whole: bool = False) -> Any:
        kind = pulp.LpInteger if whole else pulp.LpContinuous
        return self.p.add_variable(f"n{next(self.names)}", 0, most, kind)

    def _one_of(self, things: Sequence[Any], active: Any) -> list[tuple[Any, Any]]:
        """A binary for each thing; as many of them are chosen as `active` says, 0 or 1."""
        chosen = [(self._binary(), x) for x in things]
        self.p += pulp.lpSum([b for b, _ in chosen]) == active
        return chosen

    def _parts(self, cls: type) -> list[Any]:
        parts = [p for p in self.market.parts.values() if isinstance(p, cls)]
        return sorted((p for p in parts if p.part in self.market.deals), key=lambda p: p.part)

    def _stands(self, chosen: list[tuple[Any, Any]], place: str, count: int = 1) -> None:
        for b, device in chosen:
            self._puts(b, device, place, count)

    def _puts(self, b: Any, device: Device, place: str, count: int) -> None:
        self.taken[device.part].append(count * b)
        self.faces[place].append(count * device.taken_mm2 * b)
        self.masses[place].append(count * device.kg * b)

    # -- the model

    def _build(self) -> None:
        self._arrays()
        self._bank()
        self._inverter()
        self._hub()
        self._energy()
        self._currents()
        self._circuits()
        self._loads()
        for place in (self.roof, self.locker):
            self.p += pulp.lpSum(self.faces[place.name]) <= usable_area_mm2(place)
            if place.max_kg is not None:
                self.p += pulp.lpSum(self.masses[place.name]) <= place.max_kg
        self._buy()

    def _arrays(self) -> None:
        """Slots for arrays, each with panels in strings and a controller, or empty."""
        panels = [p for p in self._parts(Panel) if fits_alone(p, self.roof, self.needs.site)]
        self.controllers = [
            x
            for x in self._parts(Controller)
            if self.setting.voltage in x.battery_v
            and fits_alone(x, self.locker, self.needs.site)
        ]
        highest = max((x.max_pv_v for x in self.controllers), default=0.0)
        self.layouts = [
            Layout(p, s, k)
            for p in panels
            for s in range(1, int(min(p.max_system_v, highest) / self._cold_v(p)) + 1)
            for k in range(1, MOST_STRINGS + 1)
            if fits_alone(p, self.roof, self.needs.site, s * k)
        ]
        self.on = [self._binary() for _ in range(SLOTS)]
        self.yields = [[self._number(1e5) for _ in self.months] for _ in self.on]
        self.charge = [self._number(BIG_A) for _ in self.on]
        self.laid: list[list[tuple[Any, Layout]]] = []
        self.desks: list[list[tuple[Any, Controller]]] = []
        for slot, on in enumerate(self.on):
            if slot:
                self.p += on <= self.on[slot - 1]
            self._array(slot)

    def _cold_v(self, p: Panel) -> float:
        return float(rule_s.voc_cold_v(p.voc_v, p.voc_pct_per_c, self.needs.site.coldest_c))

    def _array(self, slot: int) -> None:
        laid = self._one_of(self.layouts, self.on[slot])
        desks = self._one_of(self.controllers, self.on[slot])
        self.laid.append(laid)
        self.desks.append(desks)
        for b, x in laid:
            self._puts(b, x.panel, self.roof.name, x.count)
        self._stands(desks, self.locker.name)
        for (a, layout), (d, desk) in itertools.product(laid, desks):
            if not self._fits(layout, desk):
                self.p += a + d <= 1
                continue
            self.p += self.charge[slot] >= self._charge_a(layout, desk) - BIG_A * (2 - a - d)
            for j, wh in enumerate(self._yields_wh(layout, desk)):
                self.p += self.yields[slot][j] <= wh + 1e5 * (2 - a - d)
        for j in range(len(self.months)):
            self.p += self.yields[slot][j] <= 1e5 * self.on[slot]

    def _fits(self, x: Layout, desk: Controller) -> bool:
        """Whether strings keep to a controller's window of voltage and its current."""
        site = self.needs.site
        hot = rule_s.vmp_hot_v(
            x.panel.vmp_v, x.panel.pmax_pct_per_c, site.hottest_c, site.cell_rise_c
        )
        amps = rule_s.pv_input_current_a(x.parallel * x.panel.isc_a)
        return bool(
            x.series * self._cold_v(x.panel) <= min(desk.max_pv_v, x.panel.max_system_v)
            and x.series * hot >= self.charging_v + desk.headroom_v - 1e-9
            and (desk.max_pv_a is None or amps <= desk.max_pv_a + 1e-9)
        )

    def _yields_wh(self, x: Layout, desk: Controller) -> list[float]:
        site, p = self.needs.site, x.panel
        air = site.air_c or rule_e.air_c_by_month(
            site.coldest_c, site.hottest_c, site.latitude_deg
        )
        return [
            self.setting.charge_efficiency_pct
            / 100
            * float(
                rule_e.array_yield_wh(
                    desk.kind,
                    p.stc_w,
                    x.count,
                    p.imp_a,
                    x.parallel,
                    rule_e.thermal_factor(p.pmax_pct_per_c, air[m - 1], site.cell_rise_c),
                    site.derate,
                    desk.efficiency_pct,
                    desk.max_charge_a,
                    self.charging_v,
                    self.needs.sun_hours[m - 1],
                )
            )
            for m in self.months
        ]

    def _charge_a(self, x: Layout, desk: Controller) -> float:
        return float(
            rule_s.array_charge_a(
                desk.kind,
                x.panel.stc_w,
                x.count,
                desk.efficiency_pct,
                desk.max_charge_a,
                x.parallel * x.panel.isc_a,
                self.setting.voltage,
            )
        )

    def _bank(self) -> None:
        self.banks = self._one_of(list(self._bank_choices()), 1)
        for b, x in self.banks:
            self._puts(b, x.battery, self.locker.name, x.series * x.parallel)

    def _bank_choices(self) -> Iterator[BankCandidate]:
        coldest = self.locker.min_c
        if coldest is None:
            coldest = self.needs.site.coldest_c
        kind = (self.setting.chemistry, self.setting.charge_efficiency_pct)
        for b in self._parts(Battery):
            series = self.setting.voltage / rule_b.nominal_class_v(b.nominal_v)
            may = (
                (b.chemistry, b.charge_efficiency_pct) == kind
                and series == int(series)
                and 1 <= series <= b.max_series
                and b.min_charge_c <= coldest
                and (self.locker.vented or stands_unvented(b.chemistry))
            )
            if not may:
                continue
            factor = rule_b.temperature_factor(b.chemistry, coldest)
            mohm = b.internal_mohm or rule_b.typical_internal_mohm(
                b.chemistry, b.nominal_v, b.capacity_ah
            )
            for k in range(1, min(b.max_parallel, LUGS_A_STUD) + 1):
                if fits_alone(b, self.locker, self.needs.site, int(series) * k):
                    wh = rule_b.usable_wh(
                        b.nominal_v, series, b.capacity_ah, k, b.usable_pct, factor
                    )
                    short = rule_b.prospective_short_circuit_ka(b.nominal_v, series, k, mohm)
                    place = self.locker.name
                    yield BankCandidate(b, int(series), k, place, float(wh), float(short))

    def _inverter(self) -> None:
        rules, loads = self.needs.rules, self.needs.loads
        self.ac = c.load_circuits(self.needs, "ac")
        able = [
            i
            for i in self._parts(Inverter)
            if (i.dc_v, i.ac_v, i.hz) == (self.setting.voltage, rules.ac_v, rules.hz)
            and i.continuous_w >= rule_e.together_w(loads, "ac")
            and i.surge_w >= rule_e.surge_w(loads)
            and fits_alone(i, self.locker, self.needs.site)
        ]
        self.inverters = self._one_of(able, 1) if self.ac else []
        self._stands(self.inverters, self.locker.name)

    def _draw_a(self, i: Inverter) -> float:
        return float(
            rule_e.inverter_current_a(i.continuous_w, i.efficiency_pct, self.setting.voltage)
        )

    def _hub(self) -> None:
        hub = self.locker
        bars = [b for b in self._parts(Busbar) if fits_alone(b, hub, self.needs.site, 2)]
        switches = [
            s
            for s in self._parts(Switch)
            if fits_alone(s, hub, self.needs.site)
            and s.max_v >= self.highest_v
            and not s.kind.startswith("pv")
        ]
        shunts = [m for m in self._parts(Monitor) if fits_alone(m, hub, self.needs.site)]
        self.hub = {
            "bar": self._one_of(bars, 1),
            "switch": self._one_of(switches, 1),
            "shunt": self._one_of(shunts, 1),
        }
        for terminal, chosen in self.hub.items():
            self._stands(chosen, hub.name, 2 if terminal == "bar" else 1)

    def _energy(self) -> None:
        own = [24 * d.own_w * b for desks in self.desks for b, d in desks]
        own += [24 * m.own_w * b for b, m in self.hub["shunt"]]
        bank = pulp.lpSum([x.usable_wh * b for b, x in self.banks])
        for j, month in enumerate(self.months):
            dc, ac = rule_e.load_wh(self.needs.loads, month)
            hours = rule_e.inverter_hours(self.needs, month)
            need = dc + pulp.lpSum(own)
            for b, i in self.inverters:
                wh = rule_e.inverter_need_wh(ac, i.efficiency_pct, i.idle_w, hours)
                need += float(wh) * b
            self.p += pulp.lpSum([y[j] for y in self.yields]) >= need
            self.p += bank >= self.needs.energy.autonomy_days * need

    def _currents(self) -> None:
        """What is drawn, what charges, and the larger of both behind the bank."""
        dc = rule_e.together_w(self.needs.loads, "dc") / rule_b.lowest_v(self.setting.voltage)
        draw = dc + pulp.lpSum([self._draw_a(i) * b for b, i in self.inverters])
        charge = pulp.lpSum(self.charge)
        self.trunk = self._number(BIG_A)
        self.p += self.trunk >= draw
        self.p += self.trunk >= charge
        limits = [(b, x.parallel, x.battery) for b, x in self.banks]
        self.p += draw <= pulp.lpSum([k * x.max_discharge_a * b for b, k, x in limits])
        self.p += charge <= pulp.lpSum([k * x.max_charge_a * b for b, k, x in limits])
        for chosen in self.hub.values():
            self.p += self.trunk <= pulp.lpSum([x.rated_a * b for b, x in chosen])

    # -- wiring

    def _circuits(self) -> None:
        needs, setting, place = self.needs, self.setting, self.locker.name
        fuses = []
        for b, x in self.banks:
            k = x.parallel
            _, seated = self._wire(
                c.bank_run(needs, setting, x),
                b,
                self.trunk * (1 / k),
                times=k,
            )
            fuses += [k * seat[0].rated_a * z for z, seat in seated]
        wires, _ = self._wire(c.link_run(needs, setting), 1, self.trunk)
        guarded = pulp.lpSum(fuses)
        self.p += guarded <= pulp.lpSum([w.ampacity_a * x for x, w in wires])
        for chosen in self.hub.values():
            self.p += guarded <= pulp.lpSum([x.rated_a * b for b, x in chosen])
        for b, i in self.inverters:
            run = c.inverter_run(needs, setting, place, i.stud)
            self._wire(run, b, self._draw_a(i))
        for _, loads in self.ac:
            amps = rule_e.ac_current_a(rule_e.together_w(loads, "ac"), needs.rules.ac_v)
            run = c.ac_run(needs, place, loads[0].place, guarded=False, from_inverter=True)
            self._wire(run, 1, float(amps))
        for slot, on in enumerate(self.on):
            self._wire(c.controller_run(needs, setting, place), on, self.charge[slot])
            self._bring_down(slot)

    def _wire(
        self, run: Run, active: Any, amps: Any, times: int = 1
    ) -> tuple[list[tuple[Any, Any]], list[tuple[Any, Any]]]:
        """Conductor and protection of a circuit that is there where `active` is 1."""
        continuous = self.needs.rules.continuous
        run = replace(run, counts=(self._lying(run.route),))
        wires = self._one_of(conductors(self.shelf, run), active)
        seated = self._one_of(seats(self.shelf, run), active)
        asked = amps - BIG_A * (1 - active)
        may = [(x, min(w.ampacity_a / continuous, w.drop_cap_a, BIG_A)) for x, w in wires]
        self.p += pulp.lpSum([a * x for x, a in may]) >= asked
        if run.protected != "none":
            rated = pulp.lpSum([seat[0].rated_a * z for z, seat in seated])
            self.p += rated >= continuous * amps - 2 * BIG_A * (1 - active)
            self.p += rated <= pulp.lpSum([min(w.limit_a, BIG_A) * x for x, w in wires])
        for z, seat in seated:
            for part in seat:
                if part is not None:
                    self.taken[part.part].append(times * z)
        self._pieces(wires, seated, times)
        return wires, seated

    def _lying(self, way: Route) -> int:
        """Loaded conductors on the fullest leg of a way, those of arrays apart."""
        needs = self.needs
        ends = [(self.setting.hub, x[0].place) for _, x in c.load_circuits(needs, "dc")]
        ends += [(self.locker.name, x[0].place) for _, x in self.ac]
        there = Counter(leg for a, b in ends for leg in legs_of(c.way(needs, a, b)))
        return max((stated_loaded(needs, x) + 2 * there[x] for x in legs_of(way)), default=2)

    def _pieces(
        self, wires: list[tuple[Any, Any]], seated: list[tuple[Any, Any]], times: int
    ) -> None:
        """Cable and lugs of a circuit; lugs at fuses and at the hub where two choices meet."""
        ends: defaultdict[tuple[str, float, int], Terms] = defaultdict(list)
        for x, w in wires:
            area, at = w.plus.area_mm2, defaultdict(int)
            for piece in w.pieces:
                cable = w.minus if piece.pole == "-" else w.plus
                self.taken[cable.part].append(
                    times * cut_mm(self.needs, piece.metres) / 1000 * x
                )
                for mouth in piece.mouths:
                    if mouth.at == "fuse" or mouth.at in HUB:
                        at[mouth.at] += times
                    elif mouth.stud is not None:
                        self.lugs[area, mouth.stud].append(times * x)
            for role, n in at.items():
                ends[role, area, n].append(x)
        for (role, area, n), chosen in ends.items():
            studs: defaultdict[str, Terms] = defaultdict(list)
            landing = seated if role == "fuse" else self.hub[role]
            for b, thing in landing:
                device = thing if role != "fuse" else thing[1] or thing[0]
                if device.stud is not None:
                    studs[device.stud].append(b)
            for stud, there in studs.items():
                lugs = self._number(MOST)
                self.p += lugs >= n * (pulp.lpSum(chosen) + pulp.lpSum(there) - 1)
                self.lugs[area, stud].append(lugs)

    def _bring_down(self, slot: int) -> None:
        """Cable, connectors and branch connectors of an array."""
        needs, on, laid = self.needs, self.on[slot], self.laid[slot]
        way = c.way(needs, self.roof.name, self.locker.name)
        cables = self._one_of(list(self.shelf.cables.get("pv", ())), on)
        kinds = {
            kind: self._one_of([x for x in self.shelf.connectors if x.kind == kind], on)
            for kind in ("plug", "socket")
        }
        metres = cut_mm(needs, way.length_m) / 1000
        alone = self._lying(way)
        for x, pair in cables:
            for cable in pair:
                self.taken[cable.part].append(metres * x)
            ohm = conductor_ohm_per_m(needs, *pair)
            for a, layout in laid:
                drop = rule_c.drop_v(2, way.length_m, layout.parallel * layout.panel.imp_a, ohm)
                limit = needs.rules.drop_pct.array / 100 * layout.series * layout.panel.vmp_v
                if drop > limit + 1e-12:
                    self.p += a + x <= 1
                self._stands_together(alone, way, pair, a + x, layout)
            for kind in ("plug", "socket"):
                for b, half in kinds[kind]:
                    area = pair[0].area_mm2
                    if not half.area_from_mm2 <= area <= half.area_to_mm2:
                        self.p += b + x <= 1
        for chosen in kinds.values():
            for b, half in chosen:
                self.taken[half.part].append(b)
                for a, layout in laid:
                    cold = layout.series * self._cold_v(layout.panel)
                    weak = half.rated_a < self._design_a(layout) - 1e-9
                    if weak or half.max_v < cold - 1e-9:
                        self.p += a + b <= 1
        self._joins(laid)

    def _joins(self, laid: Terms) -> None:
        """Branch pairs between strings; where these could harm one, a fuse in its holder in each."""
        practice = self.needs.rules.practice

        def span(x: Layout) -> tuple[float, float]:
            least = float(string_fuse_least_a(x.panel.isc_a, practice))
            most = string_fuse_most_a(x.panel.isc_a, x.panel.series_fuse_a, practice)
            return least, float(most)

        pairs = [(a, x, x.parallel - 1) for a, x in laid if x.parallel > 1]
        fused = [
            (a, x, x.parallel)
            for a, x, _ in pairs
            if need_fuses(x.panel.isc_a, x.parallel, x.panel.series_fuse_a)
        ]
        some = self.shelf.connectors
        for parts, several, bears in (
            (
                [x for x in some if x.kind == "branch pair"],
                pairs,
                lambda part, x: part.rated_a >= self._design_a(x),
            ),
            (
                list(self.shelf.string_fuses),
                fused,
                lambda part, x: span(x)[0] - 1e-9 <= part.rated_a <= span(x)[1] + 1e-9,
            ),
            (
                [x for x in some if is_string_holder(x)],
                fused,
                lambda part, x: part.rated_a >= span(x)[1],
            ),
        ):
            for b, part in self._one_of(parts, pulp.lpSum([a for a, _, _ in several])):
                taken = self._number(MOST)
                self.taken[part.part].append(taken)
                for a, x, n in several:
                    self.p += taken >= n * (a + b - 1)
                    if not bears(part, x) or part.max_v < x.series * self._cold_v(x.panel):
                        self.p += a + b <= 1

    def _stands_together(
        self, alone: int, way: Route, pair: Sequence[Cable], both: Any, layout: Layout
    ) -> None:
        """With so many arrays that their cables are too warm, not this layout by this cable."""
        for n in range(1, SLOTS + 1):
            amps = min(conductor_ampacity_a(self.needs, way, x, alone + 2 * n) for x in pair)
            if self._design_a(layout) > amps + 1e-9:
                over = (SLOTS - n + 1) * (2 - both)
                self.p += pulp.lpSum(self.on) <= n - 1 + over
                return

    def _design_a(self, x: Layout) -> float:
        rules = self.needs.rules
        amps = x.parallel * x.panel.isc_a
        return float(rule_s.pv_design_current_a(amps, rules.continuous, rules.practice))

    # -- distribution

    def _loads(self) -> None:
        """Each circuit from the bus bars, or from one of some equal fuse blocks."""
        circuits = dict(c.load_circuits(self.needs, "dc"))
        parts = [b for b in self.shelf.blocks if b.max_v >= self.highest_v]
        some = [(self._binary(), b) for b in parts]
        self.p += pulp.lpSum([b for b, _ in some]) <= 1
        self.hub["feed"] = some
        most = {b.part: math.ceil(len(circuits) / b.ways) for b in parts}
        there = [self._binary() for _ in range(max(most.values(), default=0))]
        inside = {name: [self._binary() for _ in there] for name in circuits}
        self.p += pulp.lpSum(there) <= pulp.lpSum([most[x.part] * b for b, x in some])
        if there:
            self.p += there[0] == pulp.lpSum([b for b, _ in some])
        for b, block in some:
            blocks = self._number(len(there))
            self.p += blocks >= pulp.lpSum(there) - len(there) * (1 - b)
            self.taken[block.part].append(blocks)
        for k, used in enumerate(there):
            self._block(used, some, [(inside[name][k], x) for name, x in circuits.items()])
        for name, loads in circuits.items():
            self._load(loads, pulp.lpSum(inside[name]), some)
        lugs = 1 + pulp.lpSum(self.on) + len(self.inverters[:1]) + len(circuits)
        lugs += pulp.lpSum(there) - pulp.lpSum(itertools.chain(*inside.values()))
        self.p += pulp.lpSum([x.studs * b for b, x in self.hub["bar"]]) >= lugs

    def _block(self, used: Any, some: Terms, circuits: Terms) -> None:
        """A fuse block, whichever part it is: its ways, and what its feed carries."""
        chosen = pulp.lpSum([x for x, _ in circuits])
        self.p += chosen >= used
        self.p += chosen <= len(circuits) * used
        self.p += chosen <= pulp.lpSum([x.ways * b for b, x in some])
        amps, volts = self._number(BIG_A), self.setting.voltage
        drawn = [rule_e.together_a(loads, volts) * x for x, loads in circuits]
        self.p += amps >= pulp.lpSum(drawn)
        for x, loads in circuits:
            self.p += amps >= self._amps(loads) * x
        rated = pulp.lpSum([x.rated_a * b for b, x in some])
        self.p += amps <= rated + BIG_A * (1 - used)
        _, seated = self._wire(c.feed_run(self.needs, self.setting), used, amps)
        self.p += pulp.lpSum([seat[0].rated_a * z for z, seat in seated]) <= rated

    def _load(self, loads: Sequence[Any], inside: Any, some: Terms) -> None:
        """A circuit on the bars, or in a block with the fuses and conductors that suit it."""
        needs, setting, place = self.needs, self.setting, loads[0].place
        amps = self._amps(loads)
        self.p += inside <= 1
        self._wire(c.direct_load_run(needs, setting, place), 1 - inside, amps)
        for b, block in some:
            here = self._binary()
            self.p += here >= inside + b - 1
            self.p += here <= inside
            self.p += here <= b
            self._wire(c.block_load_run(needs, setting, block, place), here, amps)

    def _amps(self, loads: Sequence[Any]) -> float:
        return float(rule_e.load_current_a(loads, self.setting.voltage))

    # -- purchases

    def _buy(self) -> None:
        """Whole packs at price levels, spares, freight; any lug of the right size and stud."""
        for (area, stud), terms in sorted(self.lugs.items()):
            fit = [x for x in self._parts(Lug) if (x.area_mm2, x.stud) == (area, stud)]
            shares = [(x, self._number(MOST, whole=True)) for x in fit]
            self.p += pulp.lpSum([n for _, n in shares]) >= pulp.lpSum(terms)
            for x, n in shares:
                self.taken[x.part].append(n)
        self.paid: defaultdict[str, Terms] = defaultdict(list)
        self.ordered = {name: self._binary() for name in sorted(self.market.freight)}
        for part, terms in sorted(self.taken.items()):
            self._buy_part(part, pulp.lpSum(terms))
        cost: Terms = []
        for name, freight in sorted(self.market.freight.items()):
            goods = pulp.lpSum(self.paid[name])
            cost += [goods, float(freight.shipping) * self.ordered[name]]
            if freight.free_over is not None and freight.shipping:
                free = self._binary()
                self.p += free <= self.ordered[name]
                self.p += goods >= float(freight.free_over) * free
                cost.append(-float(freight.shipping) * free)
        self.p += pulp.lpSum(cost)

    def _buy_part(self, part: str, taken: Any) -> None:
        kind, pct = self.market.parts[part].cls, self.needs.order.spares_pct
        need = taken
        used = self._binary()
        self.p += taken <= MOST * used
        if pct > 0 and kind == "fuse":
            need = taken + used
        elif pct > 0 and kind in TERMINATIONS:
            spare = self._number(MOST, whole=True)
            self.p += spare >= pct / 100 * taken - 1e-7
            need = taken + spare
        bought = [self._packs(deal, used) for deal in self.market.deals.get(part, ())]
        self.p += pulp.lpSum(bought) >= need
        least = 0.001 if isinstance(self.market.parts[part], Cable) else 1
        self.p += taken >= least * used

    def _packs(self, deal: Deal, used: Any) -> Any:
        """Units bought in a deal: packs at one of its price levels."""
        chosen, units = [], []
        for k, (start, price) in enumerate(deal.levels):
            most = MOST if k + 1 == len(deal.levels) else deal.levels[k + 1][0] - 1
            if deal.most_packs is not None:
                most = min(most, deal.most_packs)
            if most < start:
                continue
            gate, packs = self._binary(), self._number(most, whole=True)
            self.p += packs <= most * gate
            self.p += packs >= start * gate
            chosen.append(gate)
            units.append(float(deal.units) * packs)
            self.paid[deal.supplier].append(float(price) * packs)
        self.p += pulp.lpSum(chosen) <= used
        for gate in chosen:
            self.p += gate <= self.ordered[deal.supplier]
        return pulp.lpSum(units)

    # -- the answer

    def solve(self, limit_s: float, solver: str) -> tuple[float, bool]:
        """The least total, infinite where there is none, and whether that is proven."""
        return self._by_highs(limit_s) if solver == "highs" else self._by_cbc(limit_s)

    def _by_highs(self, limit_s: float) -> tuple[float, bool]:
        options = {
            "mip_rel_gap": 0.0, "mip_abs_gap": GAP, "random_seed": 1, "threads": 1,
            "mip_feasibility_tolerance": 1e-7,
        }  # fmt: skip
        self.p.solve(pulp.HiGHS(msg=False, timeLimit=limit_s, **options))
        h = self.p.solverModel
        status = str(h.getModelStatus()).rsplit(".", 1)[-1]
        if status in ("kInfeasible", "kUnboundedOrInfeasible"):
            return math.inf, True
        info = h.getInfo()
        found = info.primal_solution_status == 2
        total = float(info.objective_function_value) if found else math.inf
        return total, status == "kOptimal"

    def _by_cbc(self, limit_s: float) -> tuple[float, bool]:
        there = "PULP_CBC_CMD" in pulp.listSolvers(onlyAvailable=True)
        command = pulp.PULP_CBC_CMD if there else pulp.COIN_CMD
        options = {"msg": False, "timeLimit": limit_s, "options": CBC_OPTIONS}
        ended = self.p.solve(command(**options))
        if isinstance(ended, int):
            none, found, done = ended == -1, self.p.sol_status in (1, 2), self.p.sol_status == 1
        else:
            # a later release of the library says it in words
            none, found = ended.status_str == "Infeasible", bool(ended.has_solution)
            done = ended.status_str in ("Optimal", "GapLimit")
        if none or not found:
            return math.inf, none
        return float(pulp.value(self.p.objective)), done
