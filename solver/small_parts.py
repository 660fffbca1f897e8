"""Small parts: what holds, covers, marks, seals and lines what a kit consists of, and its tools.

They follow from the finished design, each by a rule of its own, and say what they are for. A kind
of which the catalog knows no part is left out of the kit and named; so is a single one of which
it has none that fits.
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from solver.air import air_of
from solver.fittings import EARTH_COLOURS, is_isolator
from solver.holes import Hole, holes, outer_of
from solver.lining import lining_of
from solver.parts import (
    Battery,
    Breaker,
    Cable,
    Charger,
    Connector,
    Fastener,
    Ferrule,
    Label,
    Lug,
    Mounting,
    Panel,
    Sealant,
    Sleeve,
    Socket,
    Switch,
    Tool,
    Vent,
)
from solver.parts.device import Device as DevicePart
from solver.parts.tool import UNITS
from solver.records import Cut, Design, Device, End
from solver.routes import leg_between
from solver.rules import fixing as rule_f
from solver.rules.termination import torque_nm
from solver.stock import Stock

if TYPE_CHECKING:
    from solver.market import Market
    from solver.needs import Needs
    from solver.parts.base import Part

PANEL_BRACKETS = ("corner bracket", "Z bracket")
"""Mounting parts that hold a panel to any flat surface."""

STRAPS = 2
"""For each battery; common practice, no source."""

LABELS_A_PIECE = 2
"""One at each end; common practice, no source."""

SCREWS = 4
"""Of a device whose mounting holes are not stated; common practice, no source."""

SCREWS_OF_A_HOLDER = 2
"""Of a fuse holder, a box or a socket; common practice, no source."""

THICK_SCREW_MM = 6.0
"""Holes that the thicker screws, and M6 bolts, pass; common practice, no source."""

HEAVY_KG = 2.0
"""From this mass on a device has the thicker screws; common practice, no source."""

BRACKET_BEAD_MM = 100.0
"""Bead of sealant under a panel's bracket; common practice, no source."""

CLIP_SLACK = 2.0
"""A clip is at most so many times as wide as its cable; common practice, no source."""

HOLES_A_TIN = 10
"""Holes whose edges one tin of paint protects; common practice, no source."""

PILOT_MM = 4.0
"""Hole drilled for a screw; common practice, no source."""

LARGEST_DRILL_MM = 13.0
"""Wider holes in sheet take another tool than a drill; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Want:
    """So much of one kind: pieces, ml of sealant, cm² of a vent, which any of some parts gives."""

    kind: str
    of: str
    """The circuit, device, hole or task that it is for."""
    quantity: float
    gives: tuple[tuple[str, float], ...]
    """Parts with what one of each gives; empty: the catalog has none that fits."""
    known: bool = True
    """Whether the catalog knows any part of the kind."""
    shared: bool = False
    """Whether one part may serve several wants: a tool."""
    counted: bool = True
    """Whether pieces are counted; else ml or cm² are filled, each want by itself."""


@dataclass(frozen=True)
class Shelf:
    """The small parts of a catalog."""

    market: Market

    @cached_property
    def _by_class(self) -> Mapping[type[Part], list[Part]]:
        found: defaultdict[type[Part], list[Part]] = defaultdict(list)
        for part in self.market.parts.values():
            found[type(part)].append(part)
        return found

    def gives(
        self, cls: type[Part], is_one: Callable[[Part], bool], fits: Callable[[Part], float]
    ) -> tuple[tuple[tuple[str, float], ...], bool]:
        """Parts that are one and what each gives, and whether the catalog knows any such part."""
        kind = [p for p in self._by_class[cls] if is_one(p)]
        found = [(p.part, fits(p)) for p in kind if self.market.to_be_had(p.part)]
        return tuple(sorted(x for x in found if x[1] > 0)), bool(kind)


def wants(needs: Needs, design: Design, market: Market) -> list[Want]:
    """All small parts that a design asks for."""
    found = list(_Walk(needs, design, Shelf(market)).all())
    return [w for w in found if w.quantity > 0]


KINDS = (
    "sleeves",
    "ferrules",
    "labels",
    "printed labels",
    "panel brackets",
    "battery straps",
    "screws",
    "sheet metal screws",
    "bolts",
    "rivet nuts",
    "clips",
    "grommets",
    "glands",
    "paint for cut edges",
    "vents",
    "sealant",
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
    if design.small:
        notes.append(
            "Small parts and tools are not weighed, nor are they in the limits on mass: leave some "
            "kilograms for brackets, screws and straps."
        )
    if not needs.order.tools:
        notes.append("Tools are not in this bill: order.tools is false.")
    return tuple(notes)


def _grouped(unsold: Iterable[str]) -> Iterator[str]:
    """What is unsold, by kind where there is much of it."""
    by_kind: defaultdict[str, list[str]] = defaultdict(list)
    for text in unsold:
        kind = next(k for k in sorted(KINDS, key=len, reverse=True) if text.startswith(k))
        by_kind[kind].append(text.removeprefix(f"{kind} for "))
    for kind, things in by_kind.items():
        more = f" and {len(things) - 3} more" if len(things) > 3 else ""
        yield f"{kind} for {', '.join(things[:3])}{more}"


def _one(_: Part) -> bool:
    return True


class _Walk:
    def __init__(self, needs: Needs, design: Design, shelf: Shelf) -> None:
        self.needs, self.design, self.shelf = needs, design, shelf
        self.holes = holes(needs, design)
        had = [p for p in shelf.market.parts.values() if shelf.market.to_be_had(p.part)]
        self.sold = Stock.of(had, (), ())
        self.fixed = {d.id for d in design.devices} | {p.id for p in design.protections}
        self.via = {c.name: c.via for c in design.circuits}
        self.socketed = {
            e.of for e in design.extras if isinstance(design.parts[e.part], Socket)
        }
        """AC circuits that end at sockets of the kit, or begin at its inlet."""
        self.lined = {h.name: lining_of(h, needs, self.sold) or () for h in self.holes}
        self.vents = list(self._vents())

    def all(self) -> Iterator[Want]:
        yield from self._ends()
        yield from self._labels()
        yield from self._panels()
        yield from self._devices()
        yield from self._clips()
        yield from self._linings()
        yield from self.vents
        yield from self._sealing()
        if self.needs.order.tools:
            yield from self._tools()

    def _want(
        self,
        kind: str,
        of: str,
        quantity: float,
        cls: type[Part],
        fits: Callable[[Part], float],
        *,
        is_one: Callable[[Part], bool] = _one,
        counted: bool = True,
    ) -> Want:
        gives, known = self.shelf.gives(cls, is_one, fits)
        return Want(
            kind=kind, of=of, quantity=quantity, gives=gives, known=known, counted=counted
        )

    # -- ends

    def _ends(self) -> Iterator[Want]:
        """A sleeve over each lug's barrel, a ferrule on each bare end in a clamp."""
        sleeves: Counter[tuple[str, str, str]] = Counter()
        ferrules: Counter[tuple[str, str]] = Counter()
        for cut, end in self._each_end():
            if self._sleeved(cut, end):
                sleeves[(cut.circuit, cut.cable, end.pole)] += 1
            elif self._clamped(cut, end):
                ferrules[(cut.circuit, cut.cable)] += 1
        for (circuit, cable, pole), n in sleeves.items():
            yield self._sleeve(circuit, self._cable(cable), pole, n)
        for (circuit, cable), n in ferrules.items():
            yield self._want(
                "ferrules", circuit, n, Ferrule, _ferrule_for(self._cable(cable).area_mm2)
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

        return self._want("sleeves", circuit, n, Sleeve, fits)

    # -- labels

    def _labels(self) -> Iterator[Want]:
        pieces = Counter(cut.circuit for cut in self.design.cuts)
        for circuit, n in pieces.items():
            yield self._label("cable end", circuit, LABELS_A_PIECE * n)
        for d in self.design.devices:
            if not isinstance(d.part, Panel):
                yield self._label("device", d.id, 1)
        for p in self.design.protections:
            yield self._label("protection", p.id, 1)
        for topic, of in self._topics():
            gives, known = self.shelf.gives(Label, _is_topic(topic), lambda _: 1.0)
            yield Want(kind="printed labels", of=of, quantity=1, gives=gives, known=known)

    def _label(self, kind: str, of: str, n: int) -> Want:
        return self._want(
            "labels", of, n, Label, lambda _: 1.0, is_one=lambda p: _is_label(p, kind)
        )

    def _topics(self) -> Iterator[tuple[str, str]]:
        """What printed labels are about, and where each goes."""
        design = self.design
        for array in design.arrays:
            yield "array live in daylight", f"array on {array.controller}"
            yield "connectors under load", f"array on {array.controller}"
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
        for d in self.design.devices:
            if isinstance(d.part, Panel):
                feet = rule_f.panel_feet(max(d.part.face_mm))
                least = rule_f.panel_pull_n(math.prod(d.part.face_mm)) / feet
                yield self._want(
                    "panel brackets",
                    d.id,
                    feet,
                    Mounting,
                    _carries(least),
                    is_one=lambda p: isinstance(p, Mounting) and p.kind in PANEL_BRACKETS,
                )
                yield from self._bolted(d.id, d.place, 2 * feet)

    def _bolted(self, of: str, place: str, n: int) -> Iterator[Want]:
        """Bolts into rivet nuts where the sheet is stated, else wood screws."""
        if self.needs.place(place).sheet_mm is None:
            yield self._fastener("screws", of, n, "wood screw", "5 mm", 25)
            return
        yield self._fastener("bolts", of, n, "bolt", "M6", 16)
        yield self._fastener("rivet nuts", of, n, "rivet nut", "M6", 0)

    def _fastener(
        self, kind: str, of: str, n: int, what: str, thread: str, least_mm: float
    ) -> Want:
        def fits(part: Part) -> float:
            return float(
                isinstance(part, Fastener)
                and part.thread == thread
                and least_mm <= part.shaft_mm <= 1.6 * least_mm
            )

        return self._want(
            kind,
            of,
            n,
            Fastener,
            fits,
            is_one=lambda p: isinstance(p, Fastener) and p.kind == what,
        )

    def _devices(self) -> Iterator[Want]:
        for d in self.design.devices:
            if isinstance(d.part, Battery):
                yield self._want(
                    "battery straps",
                    d.id,
                    STRAPS,
                    Mounting,
                    lambda _: 1.0,
                    is_one=lambda p: isinstance(p, Mounting) and p.kind == "battery strap",
                )
                yield from self._screws(d.id, d.place, 2 * STRAPS, heavy=True)
            elif not isinstance(d.part, Panel):
                yield from self._screws(d.id, d.place, screws_of(d), heavy=_heavy(d))
        for id_, place in self._holders():
            yield from self._screws(id_, place, SCREWS_OF_A_HOLDER, heavy=False)
        for extra in self.design.extras:
            if isinstance(self.design.parts[extra.part], Socket):
                n = SCREWS_OF_A_HOLDER * extra.quantity
                yield from self._screws(extra.of, self._end_of(extra.of), n, heavy=False)

    def _end_of(self, circuit: str) -> str | None:
        """The place that a circuit leads to; None where it stays in one place, or is not known."""
        via = self.via.get(circuit)
        return via[-1][1] if via else None

    def _holders(self) -> list[tuple[str, str]]:
        """Each holder, block, box or breaker once, with its place."""
        # the fuses of strings hang in their panels' leads
        hung = {name for array in self.design.arrays for name in array.fuses}
        fixed = [p for p in self.design.protections if p.id not in hung]
        return list({p.id.split(":")[0]: p.place for p in fixed}.items())

    def _screws(self, of: str, place: str | None, n: int, *, heavy: bool) -> Iterator[Want]:
        if heavy and place is not None:
            yield from self._bolted(of, place, n)
        elif place is not None and self.needs.place(place).sheet_mm is not None:
            yield self._fastener("sheet metal screws", of, n, "sheet metal screw", "4.2 mm", 13)
        else:
            yield self._fastener("screws", of, n, "wood screw", "4 mm", 20)

    def _clips(self) -> Iterator[Want]:
        """Along each piece, but for the legs on which it runs in a conduit."""
        rules = self.needs.rules
        found: Counter[tuple[str, float]] = Counter()
        for cut in self.design.cuts:
            outer = outer_of(self.design, cut)
            way = cut.length_mm - 2 * rules.slack_mm - 1000 * self._in_conduit_m(cut.circuit)
            n = rule_f.clips(way, rule_f.support_mm(rules.practice, outer))
            found[(cut.circuit, outer)] += n
        for (circuit, outer), n in found.items():
            yield self._want("clips", circuit, n, Mounting, _holds(outer), is_one=_is_clip)

    def _in_conduit_m(self, circuit: str) -> float:
        legs = [leg_between(self.needs.legs, a, b) for a, b in self.via.get(circuit, ())]
        return sum(leg.length_m for leg in legs if leg.conduit is not None)

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
        drilled = sum(self._drilled(hole) for hole in self.holes)
        if drilled:
            yield self._want(
                "paint for cut edges",
                f"{drilled} holes",
                math.ceil(drilled / HOLES_A_TIN),
                Sealant,
                lambda _: 1.0,
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
                yield self._want(
                    "vents",
                    f"{place.place}, {where}",
                    max(heat, place.gas_cm2),
                    Vent,
                    lambda p: p.free_cm2 if isinstance(p, Vent) else 0.0,
                    counted=False,
                )

    def _sealing(self) -> Iterator[Want]:
        """A bead round each gland and under each panel's bracket."""
        beads = 0.0
        for hole in self.holes:
            if any(leg.wet for leg in hole.legs):
                for one in self.lined[hole.name]:
                    beads += math.pi * (one.hole_mm or 0.0) * one.count
        panels = [d.part for d in self.design.devices if isinstance(d.part, Panel)]
        feet = sum(rule_f.panel_feet(max(p.face_mm)) for p in panels)
        yield self._want(
            "sealant",
            "glands and brackets",
            rule_f.bead_ml(beads + feet * BRACKET_BEAD_MM),
            Sealant,
            lambda p: p.ml if isinstance(p, Sealant) else 0.0,
            is_one=lambda p: isinstance(p, Sealant) and p.kind == "sealing adhesive",
            counted=False,
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
                    wide = one.hole_mm or 0.0
                    task = "drill" if wide <= LARGEST_DRILL_MM else "make holes in sheet"
                    found.add((task, wide))
        for d in self.design.devices:
            panel, steel = isinstance(d.part, Panel), self.needs.place(d.place).sheet_mm
            if steel is not None and (panel or _heavy(d) or isinstance(d.part, Battery)):
                found.add(("set rivet nuts", None))
        if any(w.quantity > 0 for w in self._sealing()):
            found.add(("press out sealant", None))
        if any(w.quantity > 0 for w in self.vents):
            found.add(("saw cut-outs", None))
        return found


def _ferrule_for(area_mm2: float) -> Callable[[Part], float]:
    return lambda p: float(
        isinstance(p, Ferrule) and math.isclose(p.area_mm2, area_mm2, rel_tol=0.005)
    )


def _is_label(part: Part, kind: str) -> bool:
    return (
        isinstance(part, Label) and part.kind == kind and part.topic is None and not part.text
    )


def _is_topic(topic: str) -> Callable[[Part], bool]:
    return lambda p: isinstance(p, Label) and p.topic == topic


def _carries(least_n: float) -> Callable[[Part], float]:
    return lambda p: float(isinstance(p, Mounting) and p.load_n >= least_n)


def _is_clip(part: Part) -> bool:
    return isinstance(part, Mounting) and part.cable_mm is not None


def _holds(outer_mm: float) -> Callable[[Part], float]:
    def fits(part: Part) -> float:
        wide = part.cable_mm if isinstance(part, Mounting) else None
        return float(wide is not None and outer_mm <= wide <= max(CLIP_SLACK * outer_mm, 8.0))

    return fits


def _heavy(device: Device) -> bool:
    """Whether a device has the thicker screws: by its mass, if they pass its stated holes."""
    stated = _HOLES.match(_holes_of(device))
    wide = stated is None or stated[2] is None or float(stated[2]) >= THICK_SCREW_MM
    return device.part.kg > HEAVY_KG and wide


def screws_of(device: Device) -> int:
    """Screws of a device, by its stated mounting holes ("4 x 5 mm")."""
    stated = _HOLES.match(_holes_of(device))
    return SCREWS if stated is None else int(stated[1])


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
