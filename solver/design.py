"""The design: a selection made real. Devices with ids, circuits, cut pieces, every end's terminal.

Everything is read off the chosen candidates and options; no figure is chosen here.
"""

from __future__ import annotations

import itertools
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from solver import circuits as c
from solver.candidates import ChargerCandidate, InverterCandidate, inlet_place
from solver.choice import ArrayChoice, Choice
from solver.fit import Spot
from solver.fittings import is_isolator, unknown_to
from solver.leg_loads import POLES
from solver.needs import Load, Needs
from solver.parts import Cable, Charger, Controller, Holder, Inverter, Panel, PvInlet
from solver.parts.base import Part
from solver.parts.device import Device as DevicePart
from solver.records import (
    Array,
    Bank,
    Circuit,
    Combiner,
    Cut,
    Design,
    Device,
    End,
    Extra,
    Link,
    Protection,
    seat_of,
)
from solver.routes import Route, legs_of, stated_loaded
from solver.rules import bank as rule_b
from solver.rules import conductor as rule_c
from solver.rules import energy as rule_e
from solver.rules import string as rule_s
from solver.wiring import (
    HUB,
    Mouth,
    Option,
    conductor_ampacity_a,
    cut_mm,
    lies_in_sheath,
    members,
)


@dataclass(frozen=True)
class Standing:
    """A device before it is placed."""

    id: str
    part: DevicePart
    place: str


def devices_of(choice: Choice) -> list[Standing]:
    """Every device of a selection, with its place."""
    hub = choice.setting.hub
    found: list[Standing] = []
    numbers: Counter[str] = Counter()

    def stand(name: str, part: DevicePart, place: str) -> None:
        numbers[name] += 1
        found.append(Standing(f"{name}-{numbers[name]}", part, place))

    for a in choice.arrays:
        stand("controller", a.controller, a.controller_place)
        if a.pv.isolator is not None:
            stand("isolator", a.pv.isolator, a.controller_place)
        if a.pv.inlet is not None:
            stand("inlet", a.pv.inlet, a.pv.inlet_place)
        for _ in range(a.series * a.parallel):
            stand("panel", a.panel, a.panel_place)
    for _ in range(choice.bank.series * choice.bank.parallel):
        stand("battery", choice.bank.battery, choice.bank.place)
    if choice.inverter is not None:
        stand("inverter", choice.inverter.inverter, choice.inverter.place)
    for k in choice.chargers:
        stand("charger", k.charger, k.place)
    found.append(Standing("busbar-pos", choice.busbar, hub))
    found.append(Standing("busbar-neg", choice.busbar, hub))
    stand("switch", choice.switch, hub)
    stand("monitor", choice.monitor, hub)
    return found


def design(needs: Needs, choice: Choice, spots: Mapping[str, Spot]) -> Design:
    """Build the design of a selection whose devices have found their spots."""
    return _Build(needs, choice, spots).design()


@dataclass
class _Build:
    """Numbers things in one fixed order while circuits are laid out."""

    needs: Needs
    choice: Choice
    spots: Mapping[str, Spot]
    protections: list[Protection] = field(default_factory=list)
    circuits: list[Circuit] = field(default_factory=list)
    cuts: list[Cut] = field(default_factory=list)
    extras: list[Extra] = field(default_factory=list)
    bars: Counter[str] = field(default_factory=Counter)
    wires: list[tuple[Route, Cable, Cable]] = field(default_factory=list)
    """Of each circuit its way and its two cables."""
    taken: Counter[str] = field(default_factory=Counter)
    """Of each family, how many of its members have been handed out."""

    def design(self) -> Design:
        choice = self.choice
        self.standing = devices_of(choice)
        arrays = tuple(self._arrays())
        bank = self._bank()
        self._inverter()
        self._chargers()
        self._distribution()
        self._bonds()
        links = tuple(self._links())
        parts = self._parts(links)
        return Design(
            system_voltage_v=choice.setting.voltage,
            chemistry=choice.setting.chemistry,
            devices=tuple(self._placed()),
            arrays=arrays,
            bank=bank,
            protections=tuple(self.protections),
            circuits=tuple(self._beside_others()),
            cuts=tuple(self.cuts),
            parts=parts,
            extras=tuple(self.extras),
            links=links,
            heard=tuple(sorted(choice.links.heard)),
            without=unknown_to(choice.parts.values()),
        )

    def _beside_others(self) -> Iterator[Circuit]:
        """Every circuit with its ampacity among all that lies on its legs."""
        there = Counter(
            leg
            for circuit, (way, _, _) in zip(self.circuits, self.wires, strict=True)
            for leg in legs_of(way)
            for _ in range(0 if circuit.kind == "bond" else POLES)
        )
        for circuit, (way, *cables) in zip(self.circuits, self.wires, strict=True):
            loaded = [stated_loaded(self.needs, leg) + there[leg] for leg in legs_of(way)]
            most = max(loaded, default=POLES)
            amps = [conductor_ampacity_a(self.needs, way, cable, most) for cable in cables]
            yield replace(circuit, ampacity_a=min(amps))

    def _placed(self) -> Iterator[Device]:
        for s in self.standing:
            spot = self.spots[s.id]
            yield Device(
                id=s.id,
                part=s.part,
                place=s.place,
                x_mm=spot.x_mm,
                y_mm=spot.y_mm,
                rotated=spot.rotated,
            )

    def _ids(self, cls: type) -> list[str]:
        return [s.id for s in self.standing if isinstance(s.part, cls)]

    # -- circuits

    def _add(
        self,
        option: Option,
        route: Route,
        *,
        name: str,
        kind: str,
        from_: str,
        to: str,
        current_a: float,
        roles: Mapping[str, str],
        protect_at: str | None,
        drop_base_v: float,
        drop_current_a: float | None = None,
        design_a: float | None = None,
        conductors: int = 2,
        protection: Protection | None = None,
        box: str | None = None,
        skip: int = 0,
    ) -> Protection | None:
        """Add a circuit with its pieces; returns its protection, made here where it has its own.

        `skip` leaves out so many pieces at the end: the series links, which are circuits of
        their own.
        """
        if option.protection is not None and protection is None:
            protection = self._protection(option, protect_at or "", box)
        drop = rule_c.drop_v(
            conductors,
            route.length_m,
            current_a if drop_current_a is None else drop_current_a,
            option.ohm_per_m,
        )
        self.circuits.append(
            Circuit(
                name=name,
                kind=kind,
                from_=from_,
                to=to,
                conductors=conductors,
                current_a=current_a,
                design_a=current_a * self.needs.rules.continuous
                if design_a is None
                else design_a,
                length_m=route.length_m,
                cable=option.plus.part,
                area_mm2=option.plus.area_mm2,
                ampacity_a=option.ampacity_a,
                drop_v=drop,
                drop_pct=drop / drop_base_v * 100,
                protection=None if protection is None else protection.part,
                protection_id=None if protection is None else protection.id,
                via=route.via,
            )
        )
        self.wires.append((route, option.plus, option.minus))
        pieces = len(option.pieces) - skip
        self._cut(option, range(pieces), name, roles, protection)
        return protection

    def _protection(self, option: Option, place: str, box: str | None) -> Protection:
        if option.protection is None:
            raise AssertionError("a protection is asked for where none is chosen")
        made = Protection(
            id=f"F{self._next_fuse()}",
            part=option.protection.part,
            holder=None if option.holder is None else option.holder.part,
            place=place,
            way=None,
            box=box,
        )
        self.protections.append(made)
        return made

    def _next_fuse(self) -> int:
        return 1 + sum(p.way is None for p in self.protections)

    def _cut(
        self,
        option: Option,
        pieces: Sequence[int],
        circuit: str,
        roles: Mapping[str, str],
        protection: Protection | None,
    ) -> None:
        for number in pieces:
            piece = option.pieces[number]
            cable = option.minus if piece.pole == "-" else option.plus
            ends = tuple(
                self._end(option, mouth, cable, option.ends[number][k], roles, protection)
                for k, mouth in enumerate(piece.mouths)
            )
            self.cuts.append(
                Cut(
                    label=f"W{len(self.cuts) + 1}",
                    cable=cable.part,
                    length_mm=cut_mm(self.needs, piece.metres),
                    circuit=circuit,
                    piece_of="",
                    ends=ends,
                    sheathed=lies_in_sheath(self.needs, piece),
                )
            )

    def _end(
        self,
        option: Option,
        mouth: Mouth,
        cable: Cable,
        termination: str | None,
        roles: Mapping[str, str],
        protection: Protection | None,
    ) -> End:
        at = roles.get(f"{mouth.at}{mouth.pole}", roles.get(mouth.at, mouth.at))
        stud = mouth.stud
        if mouth.at == "fuse":
            if protection is None:
                raise AssertionError(f"a piece ends at a protection that {at} does not have")
            at = protection.id
            seat = option.holder or option.protection
            stud = seat.stud if seat is not None else None
        if mouth.at.startswith("isolator") and option.isolator is not None:
            stud = option.isolator.stud
        if mouth.at in HUB:
            at, stud = self._hub(mouth, at)
            lug = None if stud is None else self.choice.hub_lug(mouth.at, cable.area_mm2, stud)
            termination = lug
        if mouth.at == "cell" or (mouth.at in ("source", "engine") and ":" not in at):
            at = f"{at}:{mouth.pole}"
        if termination is None:
            stud = None
        return End(at=at, pole=mouth.pole, stud=stud, termination=self._member(termination))

    def _hub(self, mouth: Mouth, at: str) -> tuple[str, str | None]:
        if mouth.at == "bar":
            bar = "busbar-pos" if mouth.pole == "+" else "busbar-neg"
            self.bars[bar] += 1
            return f"{bar}:{self.bars[bar]}", self.choice.busbar.stud
        if mouth.at == "switch":
            return at, self.choice.switch.stud
        if mouth.at == "feed":
            block = None if self.choice.mode is None else self.choice.mode.block
            return at, None if block is None else block.stud
        return at, self.choice.monitor.stud

    def _member(self, name: str | None) -> str | None:
        """A part of a family, as many of each as were bought."""
        if name is None or len(members(name)) == 1:
            return name
        self.taken[name] += 1
        seen = 0
        for part in members(name):
            seen += self.choice.members.get((name, part), 0)
            if self.taken[name] <= seen:
                return part
        raise AssertionError(f"more ends than lugs of {members(name)}")

    # -- each kind

    def _arrays(self) -> Iterator[Array]:
        needs, choice = self.needs, self.choice
        panels, desks = self._ids(Panel), self._ids(Controller)
        isolators = iter(s.id for s in self.standing if is_isolator(s.part))
        inlets = iter(self._ids(PvInlet))
        used = 0
        for n, (a, desk) in enumerate(zip(choice.arrays, desks, strict=True), start=1):
            mine = tuple(panels[used : used + a.series * a.parallel])
            used += len(mine)
            isc = a.parallel * a.panel.isc_a
            isolator = "" if a.pv.isolator is None else next(isolators)
            inlet = "" if a.pv.inlet is None else next(inlets)
            r = c.way(needs, a.panel_place, a.controller_place)
            self._add(
                a.pv,
                r,
                name=f"array {n}",
                kind="array",
                from_=mine[0],
                to=desk,
                current_a=isc,
                design_a=float(
                    rule_s.pv_design_current_a(
                        isc, needs.rules.continuous, needs.rules.practice
                    )
                ),
                drop_current_a=a.parallel * a.panel.imp_a,
                drop_base_v=a.series * a.panel.vmp_v,
                roles={
                    "panel+": f"{mine[0]}:+",
                    "panel-": f"{mine[a.series - 1]}:-",
                    "inlet in": f"{inlet}:in",
                    "inlet out": f"{inlet}:out",
                    "isolator in": f"{isolator}:in",
                    "isolator out": f"{isolator}:out",
                    "sink+": f"{desk}:pv+",
                    "sink-": f"{desk}:pv-",
                },
                protect_at=None,
            )
            box = self._joined(a, n)
            self._add(
                a.output,
                _back(c.way(needs, choice.setting.hub, a.controller_place)),
                name=f"controller {n}",
                kind="controller",
                from_=desk,
                to="busbar-pos",
                current_a=a.charge_a,
                drop_base_v=choice.setting.voltage,
                roles={"sink+": f"{desk}:+", "sink-": f"{desk}:-"},
                protect_at=choice.setting.hub,
            )
            yield replace(self._array(a, desk, mine, isc), combiner=box)

    def _joined(self, a: ArrayChoice, n: int) -> Combiner | None:
        """What joins the strings of an array; of a family with several members, those bought."""
        of = f"array {n}"
        box = self._member(a.joints.combiner)
        if box is not None:
            self.extras.append(Extra(part=box, of=of, quantity=1))
            return Combiner(id=f"combiner-{n}", part=box, place=a.panel_place)
        pairs = Counter(self._member(a.joints.branch) or "" for _ in range(a.joints.pairs))
        self.extras += [Extra(part=p, of=of, quantity=q) for p, q in sorted(pairs.items())]
        return None

    def _string_fuses(self, a: ArrayChoice) -> Iterator[str]:
        """A fuse for each string that needs one, in its in-line holder or in the combiner.

        The positives' first.
        """
        for _ in range(a.joints.fuses):
            fuse, holder = self._member(a.joints.fuse), self._member(a.joints.holder)
            made = Protection(
                id=f"F{self._next_fuse()}",
                part=fuse or "",
                holder=holder,
                place=a.panel_place,
                way=None,
            )
            self.protections.append(made)
            yield made.id

    def _array(self, a: ArrayChoice, desk: str, mine: tuple[str, ...], isc: float) -> Array:
        site, panel = self.needs.site, a.panel
        cold = rule_s.voc_cold_v(panel.voc_v, panel.voc_pct_per_c, site.coldest_c)
        hot = rule_s.vmp_hot_v(
            panel.vmp_v, panel.pmax_pct_per_c, site.hottest_c, site.cell_rise_c
        )
        fuses = tuple(self._string_fuses(a))
        return Array(
            controller=desk,
            panel=panel.part,
            panels=mine,
            series=a.series,
            parallel=a.parallel,
            voc_cold_v=float(a.series * cold),
            vmp_hot_v=float(a.series * hot),
            isc_a=isc,
            charge_a=a.charge_a,
            fuses=fuses[: a.parallel],
            negative_fuses=fuses[a.parallel :],
        )

    def _bank(self) -> Bank:
        choice, needs = self.choice, self.needs
        bank = choice.bank
        ids = self._ids(type(bank.battery))
        total = choice.trunk_current_a
        share = total / bank.parallel
        r = c.way(needs, bank.place, choice.setting.hub)
        for k in range(bank.parallel):
            string = ids[k * bank.series : (k + 1) * bank.series]
            name = "bank" if bank.parallel == 1 else f"bank string {k + 1}"
            self._add(
                choice.string,
                r,
                name=name,
                kind="battery",
                from_=string[0],
                to="switch-1",
                current_a=share,
                drop_base_v=choice.setting.voltage,
                roles={
                    "source+": f"{string[0]}:+",
                    "source-": f"{string[-1]}:-",
                    "switch": "switch-1:bank",
                    "shunt": "monitor-1:bank",
                },
                protect_at=bank.place,
                skip=bank.series - 1,
            )
            self._series_links(string, share)
        self._add(
            replace(choice.link, protection=None),
            c.way(needs, choice.setting.hub, choice.setting.hub),
            name="bank to bus bars",
            kind="link",
            from_="switch-1",
            to="busbar-pos",
            current_a=total,
            drop_base_v=choice.setting.voltage,
            roles={"switch": "switch-1:bars", "shunt": "monitor-1:bars"},
            protect_at=None,
        )
        return Bank(
            battery=bank.battery.part,
            series=bank.series,
            parallel=bank.parallel,
            batteries=tuple(ids),
        )

    def _series_links(self, string: Sequence[str], share: float) -> None:
        """Within a string each battery's negative goes to the next one's positive."""
        option = self.choice.string
        place = self.choice.bank.place
        for a, b in itertools.pairwise(string):
            route = c.way(self.needs, place, place)
            last = len(option.pieces) - 1
            one = replace(
                option,
                protection=None,
                pieces=(option.pieces[last],),
                ends=(option.ends[last],),
                plus=option.minus,
            )
            self._add(
                one,
                route,
                name=f"link {a} to {b}",
                kind="link",
                from_=a,
                to=b,
                conductors=1,
                current_a=share,
                drop_base_v=self.choice.setting.voltage,
                roles={"cell-": a, "cell+": b},
                protect_at=None,
            )

    def _inverter(self) -> None:
        one = self.choice.inverter
        if one is None:
            return
        self._add(
            self.choice.inverter_run,
            c.way(self.needs, self.choice.setting.hub, one.place),
            name="inverter",
            kind="inverter",
            from_="busbar-pos",
            to="inverter-1",
            current_a=one.current_a,
            drop_base_v=self.choice.setting.voltage,
            roles={"sink+": "inverter-1:+", "sink-": "inverter-1:-"},
            protect_at=self.choice.setting.hub,
        )
        self._ac_circuits(one)

    def _ac_circuits(self, one: InverterCandidate) -> None:
        needs = self.needs
        options = list(self.choice.ac)
        of_loads = zip(c.load_circuits(needs, "ac"), options, _boxes_of(options), strict=False)
        for (name, loads), option, box in of_loads:
            watts = rule_e.together_w(loads, "ac")
            self._ac(
                option, one.place, loads[0].place, f"AC {name}", "inverter-1", name, watts, box
            )
        if one.serves:
            inlet = inlet_place(needs, one.serves, one.place)
            self._ac(
                options[-1],
                inlet,
                one.place,
                "AC inlet",
                "shore inlet",
                "inverter-1",
                one.input_w,
            )

    def _ac(
        self,
        option: Option,
        start: str,
        goal: str,
        name: str,
        from_: str,
        to: str,
        watts: float,
        box: str | None = None,
    ) -> None:
        source = f"{from_}:out" if from_.startswith("inverter") else from_
        sink = f"{to}:in" if to.startswith(("inverter", "charger")) else to
        self._add(
            option,
            c.way(self.needs, start, goal),
            name=name,
            kind="ac",
            from_=from_,
            to=to,
            conductors=3,
            current_a=float(rule_e.ac_current_a(watts, self.needs.rules.ac_v)),
            drop_base_v=self.needs.rules.ac_v,
            roles={"source": source, "sink": sink},
            protect_at=start,
            box=box,
        )
        if option.outlet is not None:
            self.extras.append(Extra(part=option.outlet.part, of=name, quantity=option.outlets))

    def _chargers(self) -> None:
        for n, (one, runs) in enumerate(
            zip(self.choice.chargers, self.choice.charger_runs, strict=True), start=1
        ):
            self._charger(n, one, runs)

    def _charger(self, n: int, one: ChargerCandidate, runs: tuple[Option, Option]) -> None:
        needs, id_ = self.needs, f"charger-{n}"
        self._add(
            runs[0],
            _back(c.way(needs, self.choice.setting.hub, one.place)),
            name=f"charger {n}",
            kind="charger",
            from_=id_,
            to="busbar-pos",
            current_a=one.charger.charge_a,
            drop_base_v=self.choice.setting.voltage,
            roles={"sink+": f"{id_}:+", "sink-": f"{id_}:-"},
            protect_at=self.choice.setting.hub,
        )
        inlet = inlet_place(needs, one.serves, one.place)
        if one.charger.kind != "engine":
            self._ac(
                runs[1], inlet, one.place, f"AC charger {n}", "shore inlet", id_,
                one.charger.input_w,
            )  # fmt: skip
            return
        self._add(
            runs[1],
            c.way(needs, inlet, one.place),
            name=f"engine to charger {n}",
            kind="charger",
            from_="engine battery",
            to=id_,
            current_a=one.charger.input_w / rule_b.lowest_v(c.ENGINE_V),
            # stated of the system's nominal voltage; its limit was kept at the engine's own
            drop_base_v=self.choice.setting.voltage,
            roles={
                "engine": "engine battery",
                "sink+": f"{id_}:in+",
                "sink-": f"{id_}:in-",
            },
            protect_at=inlet,
        )

    def _bonds(self) -> None:
        """The one bond of the negative bar, the earth of each case with mains in it, of frames."""
        chargers = [
            f"charger-{n}"
            for n, k in enumerate(self.choice.chargers, start=1)
            if k.charger.kind != "engine"
        ]
        cases = {"link": ["busbar-neg"], "inverter": ["inverter-1"], "charger": chargers}
        roofs: defaultdict[str, list[Option]] = defaultdict(list)
        for of, place, option in self.choice.bonds:
            if of == "frames":
                roofs[place].append(option)
                continue
            for device in cases[of]:
                self._add(
                    option,
                    c.way(self.needs, place, place),
                    name="bond" if of == "link" else f"earth of {device}",
                    kind="bond",
                    from_=device,
                    to="chassis",
                    conductors=1,
                    current_a=0.0,
                    drop_base_v=self.choice.setting.voltage,
                    roles={"case": f"{device}:earth", "chassis": "chassis"},
                    protect_at=None,
                )
        if roofs:
            self._frames(roofs)

    def _frames(self, roofs: Mapping[str, list[Option]]) -> None:
        """The frames of each array on a roof, from its first panel to the chassis where it lies."""
        panels = iter(self._ids(Panel))
        for n, a in enumerate(self.choice.arrays, start=1):
            first, *_ = [next(panels) for _ in range(a.series * a.parallel)]
            if a.pv.inlet is not None:
                continue
            self._add(
                roofs[a.panel_place].pop(0),
                c.way(self.needs, a.panel_place, a.panel_place),
                name=f"frames of array {n}",
                kind="bond",
                from_=first,
                to="chassis",
                conductors=1,
                current_a=0.0,
                drop_base_v=self.choice.setting.voltage,
                roles={"frame": f"{first}:earth", "chassis": "chassis"},
                protect_at=None,
            )

    def _distribution(self) -> None:
        circuits = dict(c.load_circuits(self.needs, "dc"))
        mode = self.choice.mode
        if mode is None:
            return
        options = self.choice.dc
        voltage = self.choice.setting.voltage
        for k, names in enumerate(mode.blocks, start=1):
            block = f"FB{k}"
            loads = [x for n in names for x in circuits[n]]
            self._add(
                options[f"feed {k}"],
                c.way(self.needs, self.choice.setting.hub, self.choice.setting.hub),
                name=f"feed {k}",
                kind="feed",
                from_="busbar-pos",
                to=block,
                current_a=rule_e.load_current_a(loads, voltage),
                drop_base_v=voltage,
                roles={"feed+": f"{block}:+", "feed-": f"{block}:-"},
                protect_at=self.choice.setting.hub,
            )
            for way, name in enumerate(names, start=1):
                self._block_load(block, way, name, circuits[name], options[f"load {name}"])
        for name in mode.direct:
            self._load(options[f"load {name}"], name, circuits[name], "busbar-pos", {}, None)

    def _block_load(
        self, block: str, way: int, name: str, loads: Sequence[Load], option: Option
    ) -> None:
        mode = self.choice.mode
        if option.protection is None or mode is None or mode.block is None:
            raise AssertionError(f"{name} stands in a block without a fuse")
        made = Protection(
            id=f"{block}:{way}",
            part=option.protection.part,
            holder=mode.block.part,
            place=self.choice.setting.hub,
            way=way,
        )
        self.protections.append(made)
        roles = {"block+": f"{block}:{way}", "block-": f"{block}:-"}
        self._load(option, name, loads, block, roles, made)

    def _load(
        self,
        option: Option,
        name: str,
        loads: Sequence[Load],
        from_: str,
        roles: Mapping[str, str],
        protection: Protection | None,
    ) -> None:
        hub = self.choice.setting.hub
        self._add(
            option,
            c.way(self.needs, hub, loads[0].place),
            name=name,
            kind="load",
            from_=from_,
            to=name,
            current_a=rule_e.load_current_a(loads, self.choice.setting.voltage),
            drop_base_v=self.choice.setting.voltage,
            roles={**roles, "sink": name},
            protect_at=hub,
            protection=protection,
        )

    def _links(self) -> Iterator[Link]:
        """Comm cables: of each device to the monitor, of a further battery to the one before."""
        chosen = self.choice.links
        ids = [(s.id, s.part, s.place) for s in self.standing]
        bank = [x for x in ids if isinstance(x[1], type(self.choice.bank.battery))]
        singles = [[x] for x in ids if isinstance(x[1], Controller | Inverter | Charger)]
        for group in (*singles, bank):
            _, part, place = group[0]
            to, end = "monitor-1", chosen.hub
            families = chosen.chain(part, place, len(group)) or []
            for (device, _, _), family in zip(group, families, strict=False):
                way = c.way(self.needs, place, end)
                cable = self._member(family) or ""
                yield Link(part=cable, from_=device, to=to, length_m=way.length_m)
                to, end = device, place

    def _parts(self, links: Sequence[Link]) -> dict[str, Part]:
        """Every part the design names."""
        known = self.choice.parts
        names = {s.part.part for s in self.standing} | {e.part for e in self.extras}
        names |= {link.part for link in links}
        for p in self.protections:
            names |= {p.part} | ({p.holder} if p.holder else set())
        for cut in self.cuts:
            names.add(cut.cable)
            names |= {e.termination for e in cut.ends if e.termination is not None}
        return {name: known[name] for name in sorted(names)}


def _boxes_of(options: Sequence[Option]) -> list[str | None]:
    """Of each AC circuit the box that its breaker shares; None where it shares none.

    Boxes are numbered as they are begun, and one of its part is filled before the next is.
    """
    begun: dict[Holder, str] = {}
    inside: Counter[Holder] = Counter()
    count, found = 0, []
    for option in options:
        box = option.shared_box
        if box is not None:
            if inside[box] % box.ways == 0:
                count += 1
                begun[box] = f"XB{count}"
            inside[box] += 1
        found.append(None if box is None else begun[box])
    return found


def _back(r: Route) -> Route:
    """The same way from its other end: a circuit is told from its source on."""
    return replace(r, via=tuple((b, a) for a, b in reversed(r.via)))


def counted(found: Design) -> dict[str, dict[str, int]]:
    """What a design takes: for each part how many, or millimetres of a cable, by what takes it."""
    takes: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for d in found.devices:
        takes[d.part.part][d.id] += 1
    for p in found.protections:
        takes[p.part][p.id] += 1
    for id_, holder in holders_of(found):
        takes[holder][id_] += 1
    for cut in found.cuts:
        takes[cut.cable][cut.circuit] += cut.length_mm
        for end in cut.ends:
            if end.termination is not None:
                takes[end.termination][cut.circuit] += 1
    for link in found.links:
        takes[link.part][f"{link.from_} to {link.to}"] += 1
    for e in found.extras:
        takes[e.part][e.of] += e.quantity
    return {k: dict(v) for k, v in sorted(takes.items())}


def holders_of(found: Design) -> list[tuple[str, str]]:
    """Each holder or block once, with its id."""
    seen: dict[str, str] = {}
    for p in found.protections:
        if p.holder is not None:
            seen[seat_of(p)] = p.holder
    return list(seen.items())
