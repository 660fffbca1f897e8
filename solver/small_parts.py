"""Small parts: what holds, covers, marks, seals and lines what a kit consists of, and its tools.

They follow from the finished design, each by a rule of its own, and say what they are for. A kind
of which the catalog knows no part is left out of the kit and named; so is a single one of which
it has none that fits.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, TypeGuard

from solver.air import air_of
from solver.fittings import EARTH_COLOURS, is_isolator
from solver.ground import is_on_the_ground
from solver.holes import Hole, holes
from solver.lining import lining_of
from solver.parts import (
    Battery,
    Breaker,
    Cable,
    Charger,
    Combiner,
    Connector,
    Ferrule,
    Holder,
    Label,
    Lug,
    Mounting,
    Panel,
    PvInlet,
    Sealant,
    Sleeve,
    Socket,
    Switch,
    Tool,
    Vent,
)
from solver.parts.device import Device as DevicePart
from solver.parts.tool import UNITS
from solver.records import Cut, Design, Device, End, Unsold, seat_of
from solver.rules import fixing as rule_f
from solver.rules import laying as rule_l
from solver.rules.consumables import paint_tins, spare_labels
from solver.rules.termination import torque_nm
from solver.sheaths import sheaths
from solver.small_consumables import used_up
from solver.small_wants import Shelf, Want, is_mounting
from solver.small_ways import along_ways

if TYPE_CHECKING:
    from solver.market import Market
    from solver.needs import Needs
    from solver.parts.base import Part

PANEL_BRACKETS = ("corner bracket", "Z bracket")
"""Mounting parts that hold a panel to any flat surface."""

THICK_SCREW_MM = 6.0
"""Holes that the thicker screws, and M6 bolts, pass; common practice, no source."""

HEAVY_KG = 2.0
"""From this mass on a device has the thicker screws; common practice, no source."""

PILOT_MM = 4.0
"""Hole drilled for a screw; common practice, no source."""

LARGEST_DRILL_MM = 13.0
"""Wider holes in sheet take another tool than a drill; common practice, no source."""


def wants(needs: Needs, design: Design, market: Market, *, twins: bool = True) -> list[Want]:
    """All small parts that a design asks for; without `twins` each bare end has a ferrule."""
    found = list(_Walk(needs, design, Shelf(market), twins=twins).all())
    return [w for w in found if w.quantity > 0]


KINDS = (
    "sleeves",
    "ferrules",
    "twin ferrules",
    "labels",
    "printed labels",
    "panel brackets",
    "tilt legs",
    "battery straps",
    "stowage straps",
    "device rails",
    "screws",
    "sheet metal screws",
    "bolts",
    "rivet nuts",
    "clips",
    "cable ties",
    "conduits",
    "conduit saddles",
    "conduit bushings",
    "conduit elbows",
    "conduit couplings",
    "pull boxes",
    "sheaths",
    "grommets",
    "glands",
    "paint for cut edges",
    "vents",
    "sealant",
    "solvent",
    "wipes",
    "insulating tape",
    "abrasive sheets",
    "contact paste",
    "thread lock",
    "spare nozzles",
    "tools",
)
"""Of which small parts there are wants."""


def notes_of_small_parts(needs: Needs, design: Design) -> tuple[str, ...]:
    """What a person must know of the small parts that a kit is without."""
    unknown = [k for k in KINDS if k in design.without]
    notes = []
    if unknown:
        notes.append(
            "Not in this bill, and so not in its total, since the catalog knows none: "
            + ", ".join(unknown)
            + "."
        )
    if design.unsold:
        notes.append(
            "Not in this bill, since nothing that the catalog has for sale fits: "
            + "; ".join(_grouped(design.unsold))
            + "."
        )
    if design.small and any(p.max_kg is not None for p in needs.places):
        notes.append(
            "Small parts are in the mass of the whole, and in that of no place: leave some "
            "kilograms under each place's own limit for brackets, screws and straps."
        )
    if not needs.order.tools:
        notes.append("Tools are not in this bill: order.tools is false.")
    return tuple(notes)


def _grouped(unsold: Iterable[Unsold]) -> Iterator[str]:
    """What is unsold, by kind where there is much of it."""
    by_kind: defaultdict[str, list[str]] = defaultdict(list)
    for one in unsold:
        by_kind[one.kind].append(one.of)
    for kind, things in by_kind.items():
        more = f" and {len(things) - 3} more" if len(things) > 3 else ""
        yield f"{kind} for {', '.join(things[:3])}{more}"


class _Walk:
    def __init__(self, needs: Needs, design: Design, shelf: Shelf, *, twins: bool) -> None:
        self.needs, self.design, self.shelf, self.twins = needs, design, shelf, twins
        self.holes = holes(needs, design)
        self.devices = {d.id for d in design.devices}
        self.fixed = self.devices | {p.id for p in design.protections}
        self.via = {c.name: c.via for c in design.circuits}
        self.socketed = {
            e.of for e in design.extras if isinstance(design.parts[e.part], Socket)
        }
        """AC circuits that end at sockets of the kit, or begin at its inlet."""
        self.inlets = {d.id: d.part for d in design.devices if isinstance(d.part, PvInlet)}
        """Those of panels on the ground, each with an opening in its wall."""
        self.lined = {h.name: lining_of(h, needs, shelf.sold) or () for h in self.holes}
        self.vents = list(self._vents())
        self.sealant = self._sealant()

    def all(self) -> Iterator[Want]:
        bolted = False
        for want in self._parts():
            bolted |= want.kind == "bolts" and want.quantity > 0
            yield want
        sealed = self.sealant.quantity > 0
        yield from used_up(
            self.design, self.shelf, feet=self._feet(), bolted=bolted, sealed=sealed
        )
        if self.needs.order.tools:
            yield from self._tools()

    def _parts(self) -> Iterator[Want]:
        """What stays in the kit."""
        yield from self._ends()
        yield from self._labels()
        yield from self._panels()
        yield from self._devices()
        yield from self._rails()
        yield from along_ways(self.needs, self.design, self.shelf)
        yield from sheaths(self.design, self.shelf)
        yield from self._linings()
        yield from self.vents
        yield self.sealant

    # -- ends

    def _ends(self) -> Iterator[Want]:
        """A sleeve over each lug's barrel, a ferrule on each bare end in a clamp."""
        sleeves: Counter[tuple[str, str, str]] = Counter()
        clamps: defaultdict[tuple[str, str, float], list[str]] = defaultdict(list)
        for cut, end in self._each_end():
            if self._sleeved(cut, end):
                sleeves[cut.circuit, cut.cable, end.pole] += 1
            elif self._clamped(cut, end):
                area = self._cable(cut.cable).area_mm2
                clamps[end.at, end.pole, area].append(cut.circuit)
        for (circuit, cable, pole), n in sleeves.items():
            yield self._sleeve(circuit, self._cable(cable), pole, n)
        yield from self._ferrules(clamps)

    def _ferrules(
        self, clamps: Mapping[tuple[str, str, float], Sequence[str]]
    ) -> Iterator[Want]:
        """A twin one for each two equal conductors in one terminal of a device, else one each."""
        alone: Counter[tuple[str, float]] = Counter()
        for (at, _, area), circuits in clamps.items():
            pairs = len(circuits) // 2 if self.twins and self._shares(at) else 0
            twins = self._ferrule("twin ferrules", at, pairs, area, conductors=2)
            if pairs:
                yield twins
            alone.update((c, area) for c in circuits[2 * pairs if twins.gives else 0 :])
        for (circuit, area), n in alone.items():
            yield self._ferrule("ferrules", circuit, n, area, conductors=1)

    def _shares(self, at: str) -> bool:
        """Whether all that lands there lies in one clamp: fuses and breakers have two."""
        return at in self.devices or at.rpartition(":")[0] in self.devices

    def _ferrule(self, kind: str, of: str, n: int, area_mm2: float, *, conductors: int) -> Want:
        def fits(part: Part) -> float:
            close = isinstance(part, Ferrule) and math.isclose(
                part.area_mm2, area_mm2, rel_tol=rule_f.SAME_AREA
            )
            return float(close)

        return self.shelf.want(
            kind,
            of,
            n,
            Ferrule,
            fits,
            is_one=lambda p: isinstance(p, Ferrule) and p.conductors == conductors,
        )

    def _each_end(self) -> Iterator[tuple[Cut, End]]:
        return ((cut, end) for cut in self.design.cuts for end in cut.ends)

    def _cable(self, name: str) -> Cable:
        part = self.design.parts[name]
        assert isinstance(part, Cable), f"{name} is no cable"
        return part

    def _sleeved(self, cut: Cut, end: End) -> bool:
        """Ring terminals come insulated; cores of a sheathed cable have no sleeves of theirs."""
        lug = self.design.parts.get(end.termination or "")
        single = self._cable(cut.cable).use not in ("pair", "ac")
        return isinstance(lug, Lug) and lug.kind == "tube" and single

    def _clamped(self, cut: Cut, end: End) -> bool:
        """Whether a bare end lies in a clamp of the kit: a load's own terminal is not known."""
        there = end.at in self.fixed or end.at.rpartition(":")[0] in self.fixed
        return end.termination is None and (there or cut.circuit in self.socketed)

    def _sleeve(self, circuit: str, cable: Cable, pole: str, n: int) -> Want:
        colour = "green-yellow" if cable.colour in EARTH_COLOURS else "black"
        colour = "red" if pole == "+" else colour

        def fits(part: Part) -> float:
            return float(
                isinstance(part, Sleeve)
                and part.colour == colour
                and rule_f.sleeve_fits(part.before_mm, part.after_mm, cable.outer_mm)
            )

        return self.shelf.want("sleeves", circuit, n, Sleeve, fits)

    # -- labels

    def _labels(self) -> Iterator[Want]:
        pieces = Counter(cut.circuit for cut in self.design.cuts)
        for circuit, n in pieces.items():
            yield self._label("cable end", circuit, rule_f.LABELS_A_PIECE * n)
        for d in self.design.devices:
            if not isinstance(d.part, Panel):
                yield self._label("device", d.id, 1)
        for p in self.design.protections:
            yield self._label("protection", p.id, 1)
        for box in self.design.combiners:
            yield self._label("device", box.id, 1)
        written = sum(self._written())
        spare = spare_labels(written, self.needs.order.spares_pct)
        yield self._label("cable end", "spares", spare)
        for topic, of in self._topics():
            gives, known = self.shelf.gives(Label, _is_topic(topic), lambda _: 1.0)
            yield Want(kind="printed labels", of=of, quantity=1, gives=gives, known=known)

    def _written(self) -> Iterator[int]:
        """Labels that are written on."""
        yield rule_f.LABELS_A_PIECE * len(self.design.cuts)
        yield sum(not isinstance(d.part, Panel) for d in self.design.devices)
        yield len(self.design.protections)
        yield len(self.design.combiners)

    def _label(self, kind: str, of: str, n: int) -> Want:
        return self.shelf.want("labels", of, n, Label, is_one=lambda p: _is_label(p, kind))

    def _topics(self) -> Iterator[tuple[str, str]]:
        """What printed labels are about, and where each goes."""
        design = self.design
        for array in design.arrays:
            yield "array live in daylight", f"array on {array.controller}"
            yield "connectors under load", f"array on {array.controller}"
        for inlet in self.inlets:
            yield "array live in daylight", inlet
            yield "connectors under load", inlet
        for box in design.combiners:
            yield "array live in daylight", box.id
            if _has_fuse_holders(design.parts[box.part]):
                yield "fuse holders under load", box.id
        for place in sorted({d.place for d in design.devices if isinstance(d.part, Battery)}):
            yield "battery", place
            lithium = design.chemistry == "lfp"
            yield ("lithium battery" if lithium else "lead-acid battery"), place
        yield "shut-down order", "the way in"
        for d in design.devices:
            if isinstance(d.part, Switch) and not is_isolator(d.part):
                yield "battery switch", d.id
        if any(isinstance(d.part, Charger) and d.part.kind != "engine" for d in design.devices):
            yield "two sources", "AC side"
        for p in design.protections:
            part = design.parts[p.part]
            if isinstance(part, Breaker) and part.residual_ma is not None:
                yield "residual-current test", p.id

    # -- what holds things

    def _panels(self) -> Iterator[Want]:
        """Brackets; where a panel is tilted off its surface, legs at its upper edge.

        What stands on the ground is held by nothing there; it is strapped down on the way.
        """
        for d in self.design.devices:
            if not isinstance(d.part, Panel) or is_on_the_ground(self.needs, d):
                continue
            side = max(d.part.face_mm)
            feet = rule_f.panel_feet(side)
            least = rule_f.panel_pull_n(math.prod(d.part.face_mm)) / feet
            tilt, slope = self.needs.site.tilt_deg, self.needs.place(d.place).slope_deg
            legs = 0 if slope is None else rule_f.tilt_legs(feet, tilt, slope)
            yield self.shelf.want(
                "panel brackets",
                d.id,
                feet - legs,
                Mounting,
                _carries(least),
                is_one=lambda p: isinstance(p, Mounting) and p.kind in PANEL_BRACKETS,
            )
            if legs:
                rise = rule_f.edge_rise_mm(side, tilt, slope or 0.0)
                yield self.shelf.want(
                    "tilt legs",
                    d.id,
                    legs,
                    Mounting,
                    _carries(least, rise),
                    is_one=is_mounting("tilt leg"),
                )
            yield from self._bolted(d.id, d.place, 2 * feet)
        for array in self.design.arrays:
            if is_on_the_ground(self.needs, self.design.device(array.panels[0])):
                yield self.shelf.want(
                    "stowage straps",
                    f"array on {array.controller}",
                    rule_f.STOWAGE_STRAPS,
                    Mounting,
                    is_one=is_mounting("stowage strap"),
                )

    def _feet(self) -> int:
        return sum(
            rule_f.panel_feet(max(d.part.face_mm))
            for d in self.design.devices
            if isinstance(d.part, Panel) and not is_on_the_ground(self.needs, d)
        )

    def _bolted(self, of: str, place: str, n: int) -> Iterator[Want]:
        """Bolts into rivet nuts where the sheet is stated, else wood screws."""
        if self.needs.place(place).sheet_mm is None:
            yield self.shelf.fastener("screws", of, n, "wood screw", "5 mm", 25)
            return
        yield self.shelf.fastener("bolts", of, n, "bolt", "M6", 16)
        yield self.shelf.fastener("rivet nuts", of, n, "rivet nut", "M6", 0)

    def _devices(self) -> Iterator[Want]:
        for d in self.design.devices:
            if isinstance(d.part, Battery):
                yield self.shelf.want(
                    "battery straps",
                    d.id,
                    rule_f.STRAPS,
                    Mounting,
                    is_one=is_mounting("battery strap"),
                )
                yield from self._screws(d.id, d.place, 2 * rule_f.STRAPS, heavy=True)
            elif not isinstance(d.part, Panel):
                yield from self._screws(d.id, d.place, screws_of(d), heavy=_heavy(d))
        for id_, place, part in self._seats():
            if not _on_rail(part):
                yield from self._screws(id_, place, rule_f.SCREWS_OF_A_HOLDER, heavy=False)
        for box in self.design.combiners:
            # beside panels on the ground there is nothing to screw it to
            if not self.needs.place(box.place).ground:
                n = rule_f.SCREWS_OF_A_HOLDER
                yield from self._screws(box.id, box.place, n, heavy=False)
        for extra in self.design.extras:
            if isinstance(self.design.parts[extra.part], Socket):
                n = rule_f.SCREWS_OF_A_HOLDER * extra.quantity
                yield from self._screws(extra.of, self._end_of(extra.of), n, heavy=False)

    def _end_of(self, circuit: str) -> str | None:
        """The place that a circuit leads to; None where it stays in one place, or is not known."""
        via = self.via.get(circuit)
        return via[-1][1] if via else None

    def _seats(self) -> list[tuple[str, str, Part]]:
        """Each holder, block, box, or what has none: its id, its place, and the part."""
        # the fuses of strings hang in their panels' leads
        hung = {name for array in self.design.arrays for name in array.all_fuses}
        fixed = [p for p in self.design.protections if p.id not in hung]
        seats = {seat_of(p): (p.place, p.holder or p.part) for p in fixed}
        return [(id_, place, self.design.parts[n]) for id_, (place, n) in seats.items()]

    def _rails(self) -> Iterator[Want]:
        """In each place a rail for what snaps onto one, and its screws."""
        widths: defaultdict[str, list[float]] = defaultdict(list)
        for _, place, part in self._seats():
            if _on_rail(part):
                widths[place].append(part.width_mm or rule_l.MODULE_MM)
        for place, wide in widths.items():
            need = rule_l.rail_length_mm(wide)
            want = self.shelf.want(
                "device rails",
                f"rail in {place}",
                need,
                Mounting,
                _carries_all(wide),
                is_one=is_mounting("device rail"),
                counted=False,
            )
            # as few rails as can be: so their number does not hang on which are bought
            number = {part: math.ceil(need / gives - 1e-9) for part, gives in want.gives}
            few = min(number.values(), default=1)
            yield replace(want, gives=tuple(x for x in want.gives if number[x[0]] == few))
            screws = rule_l.rail_screws(need, few)
            yield from self._screws(f"rail in {place}", place, screws, heavy=False)

    def _screws(self, of: str, place: str | None, n: int, *, heavy: bool) -> Iterator[Want]:
        if heavy and place is not None:
            yield from self._bolted(of, place, n)
        elif place is not None and self.needs.place(place).sheet_mm is not None:
            yield self.shelf.fastener(
                "sheet metal screws", of, n, "sheet metal screw", "4.2 mm", 13
            )
        else:
            yield self.shelf.fastener("screws", of, n, "wood screw", "4 mm", 20)

    # -- holes

    def _linings(self) -> Iterator[Want]:
        for hole in self.holes:
            lined = self.lined[hole.name]
            kind = "glands" if any(leg.wet for leg in hole.legs) else "grommets"
            cls = kind.removesuffix("s")
            known = any(p.cls == cls for p in self.shelf.market.parts.values())
            if not lined:
                yield Want(kind=kind, of=f"hole {hole.name}", quantity=1, gives=(), known=known)
            for one in lined:
                gives = ((one.part, 1.0),)
                yield Want(
                    kind=kind,
                    of=f"hole {hole.name}",
                    quantity=one.count,
                    gives=gives,
                    known=known,
                )
        drilled = sum(self._drilled(hole) for hole in self.holes) + len(self.inlets)
        if drilled:
            yield self.shelf.want(
                "paint for cut edges",
                f"{drilled} holes",
                paint_tins(drilled),
                Sealant,
                is_one=lambda p: isinstance(p, Sealant) and p.kind == "paint for cut edges",
            )

    def _drilled(self, hole: Hole) -> int:
        """How many holes are drilled for one: a wet one has a gland, and a hole, for each cable."""
        wet = any(leg.wet for leg in hole.legs)
        return len(hole.cuts) if wet else int(hole.drilled_mm is not None)

    def _vents(self) -> Iterator[Want]:
        """Two openings, low and high, for a closed place that says nothing of its air."""
        for place in air_of(self.needs, self.design).places:
            if not place.closed or place.vented:
                continue
            heat = 0.0 if place.loss_w <= place.walls_w else place.heat_cm2 or 0.0
            for where in ("low", "high"):
                yield self.shelf.want(
                    "vents",
                    f"{place.place}, {where}",
                    max(heat, place.gas_cm2),
                    Vent,
                    lambda p: p.free_cm2 if isinstance(p, Vent) else 0.0,
                    counted=False,
                )

    def _sealant(self) -> Want:
        """A bead round each gland and each inlet's opening, and under each foot of a panel."""
        round_mm = self._gland_mm() + sum(math.pi * x.cutout_mm for x in self.inlets.values())
        return self.shelf.want(
            "sealant",
            "glands, brackets and inlets",
            rule_f.bead_ml(round_mm + self._feet() * rule_f.BRACKET_BEAD_MM),
            Sealant,
            lambda p: p.ml if isinstance(p, Sealant) else 0.0,
            is_one=lambda p: isinstance(p, Sealant) and p.kind == "sealing adhesive",
            counted=False,
        )

    def _gland_mm(self) -> float:
        """Round all glands."""
        return sum(
            math.pi * one.hole_mm * one.count
            for hole in self.holes
            if any(leg.wet for leg in hole.legs)
            for one in self.lined[hole.name]
        )

    # -- tools

    def _tools(self) -> Iterator[Want]:
        for does, size in sorted(self._tasks()):
            unit = UNITS[does]
            gives, known = self.shelf.gives(Tool, _does(does), _reaches(does, size))
            text = does if size is None else f"{does}, {size:g} {unit}"
            yield Want(kind="tools", of=text, quantity=1, gives=gives, known=known, shared=True)

    def _tasks(self) -> Iterable[tuple[str, float | None]]:
        """What is done to which size, once each."""
        found: set[tuple[str, float | None]] = {("measure volts and amperes", None)}
        for cut, end in self._each_end():
            cable = self._cable(cut.cable)
            found |= {("strip cable", cable.area_mm2), ("cut cable", cable.area_mm2)}
            part = self.design.parts.get(end.termination or "")
            if isinstance(part, Lug):
                kind = "crimp tube lugs" if part.kind == "tube" else "crimp ring lugs"
                found.add((kind, cable.area_mm2))
                found.add(("tighten", torque_nm(end.stud or part.stud)))
            elif isinstance(part, Connector):
                found |= {("crimp PV connectors", cable.area_mm2), ("open PV connectors", None)}
            elif self._clamped(cut, end):
                found.add(("crimp ferrules", cable.area_mm2))
            if self._sleeved(cut, end):
                found.add(("shrink sleeves", None))
        return found | self._made_holes()

    def _made_holes(self) -> set[tuple[str, float | None]]:
        """What is drilled, sawn, riveted and sealed."""
        found: set[tuple[str, float | None]] = {("drill", PILOT_MM)}
        for hole in self.holes:
            if any(leg.wet for leg in hole.legs) or hole.drilled_mm is not None:
                for one in self.lined[hole.name]:
                    wide = one.hole_mm
                    task = "drill" if wide <= LARGEST_DRILL_MM else "make holes in sheet"
                    found.add((task, wide))
        for d in self.design.devices:
            panel, steel = isinstance(d.part, Panel), self.needs.place(d.place).sheet_mm
            if is_on_the_ground(self.needs, d):
                continue
            if steel is not None and (panel or _heavy(d) or isinstance(d.part, Battery)):
                found.add(("set rivet nuts", None))
        if self.sealant.quantity > 0:
            found.add(("press out sealant", None))
        if self.inlets or any(w.quantity > 0 for w in self.vents):
            found.add(("saw cut-outs", None))
        return found


def _is_label(part: Part, kind: str) -> bool:
    return (
        isinstance(part, Label) and part.kind == kind and part.topic is None and not part.text
    )


def _is_topic(topic: str) -> Callable[[Part], bool]:
    return lambda p: isinstance(p, Label) and p.topic == topic


def _has_fuse_holders(part: Part) -> bool:
    return isinstance(part, Combiner) and part.fused_poles > 0


def _carries(least_n: float, rise_mm: float = 0.0) -> Callable[[Part], float]:
    return lambda p: float(
        isinstance(p, Mounting) and p.load_n >= least_n and (p.rise_mm or 0.0) >= rise_mm
    )


def _on_rail(part: Part) -> TypeGuard[Breaker | Holder]:
    """Whether a part snaps onto a rail."""
    return isinstance(part, Breaker | Holder) and part.rail


def _carries_all(widths_mm: Sequence[float]) -> Callable[[Part], float]:
    return lambda p: max(rule_l.rail_holds_mm(p.length_mm or 0.0, widths_mm), 0.0)


def _heavy(device: Device) -> bool:
    """Whether a device has the thicker screws: by its mass, if they pass its stated holes."""
    stated = _HOLES.match(_holes_of(device))
    wide = stated is None or stated[2] is None or float(stated[2]) >= THICK_SCREW_MM
    return device.part.kg > HEAVY_KG and wide


def screws_of(device: Device) -> int:
    """Screws of a device, by its stated mounting holes ("4 x 5 mm")."""
    stated = _HOLES.match(_holes_of(device))
    return rule_f.SCREWS if stated is None else int(stated[1])


_HOLES = re.compile(r"\s*(\d+)\s*x\s*(\d+(?:\.\d+)?)?")
"""Count and diameter of mounting holes."""


def _holes_of(device: Device) -> str:
    part = device.part
    return (part.mount_holes if isinstance(part, DevicePart) else None) or ""


def _does(does: str) -> Callable[[Part], bool]:
    return lambda p: isinstance(p, Tool) and p.does == does


def _reaches(does: str, size: float | None) -> Callable[[Part], float]:
    """What a tool gives to a task: all, or half where it wears out and one is spare."""

    def gives(part: Part) -> float:
        if not isinstance(part, Tool):
            return 0.0
        low, high = {
            "mm²": (part.from_mm2, part.to_mm2),
            "Nm": (part.from_nm, part.to_nm),
            "mm": (part.from_mm, part.to_mm),
            "": (None, None),
        }[UNITS[does]]
        if (
            size is not None
            and not (low or 0.0) - 1e-9 <= size <= (math.inf if high is None else high) + 1e-9
        ):
            return 0.0
        return 0.5 if part.wears else 1.0

    return gives
