"""Checks of small parts: each end, device, hole and piece has what holds, covers and marks it.

Walked from the design alone, by other ways than `solver.small_parts` took. What the catalog knows
no part for, or has none that fits, is told in the design and not asked for here.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping

from solver.check_sheet import ARITHMETIC, COMMON_PRACTICE, COMPLETENESS, Sheet, source_of
from solver.check_small_sheet import SmallSheet
from solver.check_small_ways import WaysSheet
from solver.check_survey import Survey
from solver.fittings import EARTH_COLOURS
from solver.parts import (
    Battery,
    Breaker,
    Cable,
    Charger,
    Connector,
    Fastener,
    Ferrule,
    Gland,
    Grommet,
    Holder,
    Label,
    Mounting,
    Panel,
    Sealant,
    Sleeve,
    Socket,
    Tool,
    Vent,
)
from solver.parts.base import Part
from solver.records import Cut, End, seat_of
from solver.rules.consumables import spare_labels
from solver.rules.fixing import (
    BRACKET_BEAD_MM,
    LABELS_A_PIECE,
    SAME_AREA,
    SCREWS,
    SCREWS_OF_A_HOLDER,
    STOWAGE_STRAPS,
    STRAPS,
    bead_ml,
    clips,
    panel_feet,
    panel_pull_n,
    sleeve_fits,
    support_mm,
)
from solver.rules.termination import torque_nm

FEET = ("corner bracket", "Z bracket", "tilt leg")
"""What a panel stands on."""


def check_small_parts(sheet: Sheet, survey: Survey) -> None:
    """Every small part that a finished kit asks for."""
    if survey.design.small is None:
        return
    walk = _Walk(sheet, survey)
    for check in (
        walk.sleeves,
        walk.ferrules,
        walk.labels,
        walk.clips,
        walk.panels,
        walk.straps,
        walk.screws,
        walk.printed,
        walk.sealing,
        walk.linings,
        walk.tools,
    ):
        with sheet.about("small parts"):
            check()
    WaysSheet(sheet, survey).all()


class _Walk(SmallSheet):
    def sleeves(self) -> None:
        """A sleeve of the pole's colour that fits, over each tube lug's barrel."""
        need: dict[str, Counter[tuple[float, str]]] = {}
        for cut, end, cable in self.ends():
            lug = self.lug(end)
            if lug is None or lug.kind != "tube" or cable.use in ("pair", "ac"):
                continue
            colour = "green-yellow" if cable.colour in EARTH_COLOURS else "black"
            colour = "red" if end.pole == "+" else colour
            need.setdefault(cut.circuit, Counter())[cable.outer_mm, colour] += 1
        for circuit, asked in need.items():
            there = self.there(circuit, Sleeve)
            served = 0
            for (outer, colour), n in sorted(asked.items()):
                fit = [
                    p
                    for p in there
                    if p.colour == colour and sleeve_fits(p.before_mm, p.after_mm, outer)
                ][:n]
                served += len(fit)
                for part in fit:
                    there.remove(part)
            self.holds(
                "each lug has its sleeve",
                source_of(sleeve_fits),
                circuit,
                ("sleeves",),
                served,
                sum(asked.values()),
            )

    def ferrules(self) -> None:
        """Each bare end in a clamp of the kit has its ferrule; two in one clamp share one."""
        ends: Counter[float] = Counter()
        sharing: Counter[tuple[str, str, float]] = Counter()
        for cut, end, cable in self.ends():
            if end.termination is None and self._in_a_clamp(cut, end):
                ends[cable.area_mm2] += 1
                if end.at not in self.survey.protections:
                    sharing[end.at, end.pole, cable.area_mm2] += 1
        have = Counter[float]()
        for area in ends:
            have[area] = sum(
                p.conductors * int(n)
                for p, n in self.every(Ferrule)
                if abs(p.area_mm2 - area) <= SAME_AREA * area
            )
        self._each(
            "each bare end has its ferrule",
            COMMON_PRACTICE,
            "ferrules",
            {f"ends of {area:g} mm²": (have[area], n) for area, n in ends.items()},
        )
        devices = {d.id for d in self.design.devices}
        pairs: Counter[str] = Counter()
        for (at, _, _), n in sharing.items():
            if {at, at.rpartition(":")[0]} & devices:
                pairs[at] += n // 2
        for at, n in sorted(pairs.items()):
            twins = sum(p.conductors == 2 for p in self.there(at, Ferrule))
            rule = "two in one clamp share a ferrule"
            self.holds(rule, COMMON_PRACTICE, at, ("twin ferrules",), twins, n)

    def _in_a_clamp(self, cut: Cut, end: End) -> bool:
        thing = end.at if end.at in self.survey.protections else end.at.rpartition(":")[0]
        devices = {d.id for d in self.design.devices}
        outlets = {
            e.of
            for e in self.design.extras
            if isinstance(self.design.parts.get(e.part), Socket)
        }
        known = thing in self.survey.protections or thing in devices or end.at in devices
        return known or cut.circuit in outlets

    def labels(self) -> None:
        """A label at each end of each piece, on each device and each protection."""
        pieces = Counter(cut.circuit for cut in self.design.cuts)
        marked = [(c, LABELS_A_PIECE * n) for c, n in sorted(pieces.items())]
        marked += [(d.id, 1) for d in self.design.devices if not isinstance(d.part, Panel)]
        marked += [(p.id, 1) for p in self.design.protections]
        marked += [(box.id, 1) for box in self.design.combiners]
        for of, n in marked:
            blank = [p for p in self.there(of, Label) if not p.text]
            self.holds("is labelled", COMPLETENESS, of, ("labels",), len(blank), n)
        spare = spare_labels(sum(n for _, n in marked), self.needs.order.spares_pct)
        blank = [p for p in self.there("spares", Label) if not p.text]
        source = source_of(spare_labels)
        self.holds("blank labels to spare", source, "spares", ("labels",), len(blank), spare)

    def clips(self) -> None:
        """Clips along each piece that is longer than it may hang free."""
        rules, need, there = self.needs.rules, Counter[str](), Counter[str]()
        inlets = {d.id for d, _ in self.survey.inlets}
        panels = {d.id for d, _ in self.survey.devices_of(Panel)}
        for cut in self.design.cuts:
            ends = {self.survey.thing(end.at) for end in cut.ends}
            if ends & inlets and ends & panels:
                # a lead lies on the ground
                continue
            outer = self.survey.part(cut.cable, Cable).outer_mm
            way = cut.length_mm - 2 * rules.slack_mm - self._in_conduit_mm(cut.circuit)
            need[cut.circuit] += clips(way, support_mm(rules.practice, outer))
        for circuit in need:
            found = self.there(circuit, Mounting)
            thin = min(
                self.survey.part(cut.cable, Cable).outer_mm
                for cut in self.design.cuts
                if cut.circuit == circuit
            )
            there[circuit] = sum(
                p.kind == "cable clip" and p.cable_mm is not None and p.cable_mm >= thin
                for p in found
            )
        for circuit, n in sorted(need.items()):
            source = source_of(support_mm)
            self.holds("cable is held", source, circuit, ("clips",), there[circuit], n)

    def _in_conduit_mm(self, circuit: str) -> float:
        via = next((c.via for c in self.design.circuits if c.name == circuit), ())
        legs = [self.survey.leg(a, b) for a, b in via]
        return sum(1000 * leg.length_m for leg in legs if leg.conduit is not None)

    def panels(self) -> None:
        """Brackets enough, and strong enough, under each panel."""
        for device, panel in self.survey.held_panels:
            found = [p for p in self.there(device.id, Mounting) if p.kind in FEET]
            kinds = ("panel brackets", "tilt legs")
            feet = panel_feet(max(panel.face_mm))
            source = source_of(panel_feet)
            self.holds("panel is held", source, device.id, kinds, len(found), feet)
            pull_n = float(panel_pull_n(math.prod(panel.face_mm)))
            if found and not self.lacking(device.id, *kinds):
                self.sheet.at_least(
                    "brackets stand the wind",
                    source_of(panel_pull_n),
                    device.id,
                    sum(p.load_n for p in found),
                    pull_n,
                    "N",
                )

    def straps(self) -> None:
        """Two straps hold each battery, and on the way the panels of an array on the ground."""
        for array in self.design.arrays:
            if self.survey.on_the_ground(array):
                of = f"array on {array.controller}"
                stowed = sum(p.kind == "stowage strap" for p in self.there(of, Mounting))
                kinds = ("stowage straps",)
                self.holds(
                    "panels are strapped down on the way",
                    COMMON_PRACTICE,
                    of,
                    kinds,
                    stowed,
                    STOWAGE_STRAPS,
                )
        for device, _ in self.survey.devices_of(Battery):
            found = [p for p in self.there(device.id, Mounting) if p.kind == "battery strap"]
            self.holds(
                "battery is held",
                COMMON_PRACTICE,
                device.id,
                ("battery straps",),
                len(found),
                STRAPS,
            )

    def screws(self) -> None:
        """Each device, protection and outlet is screwed on; each bolt has its rivet nut."""
        need: dict[str, int] = {}
        for device in self.design.devices:
            part = device.part
            if self.survey.place(device.place).ground:
                continue
            if isinstance(part, Panel):
                need[device.id] = 2 * panel_feet(max(part.face_mm))
            elif isinstance(part, Battery):
                need[device.id] = 2 * STRAPS
            else:
                stated = (getattr(part, "mount_holes", None) or "").partition("x")[0].strip()
                need[device.id] = int(stated) if stated.isdigit() else SCREWS
        for p in self.design.protections:
            seat = self.design.parts.get(p.holder or p.part)
            # the fuses of strings hang in their panels' leads
            hung = p.id in self.survey.string_fuses
            if not hung and not (isinstance(seat, Breaker | Holder) and seat.rail):
                need[seat_of(p)] = SCREWS_OF_A_HOLDER
        fixed = [x for x in self.design.combiners if not self.survey.place(x.place).ground]
        need |= {box.id: SCREWS_OF_A_HOLDER for box in fixed}
        for extra in self.design.extras:
            if isinstance(self.design.parts.get(extra.part), Socket):
                need[extra.of] = SCREWS_OF_A_HOLDER * extra.quantity
        kinds = ("screws", "sheet metal screws", "bolts", "rivet nuts")
        for box in self.design.combiners:
            if box not in fixed:
                idle = len(self.there(box.id, Fastener))
                rule = "nothing is screwed to the ground"
                self.sheet.at_most(rule, COMMON_PRACTICE, box.id, idle, 0, "screws")
        for of, n in need.items():
            there = self.there(of, Fastener)
            nuts = sum(p.kind == "rivet nut" for p in there)
            bolts = sum(p.kind == "bolt" for p in there)
            self.holds("is screwed on", COMMON_PRACTICE, of, kinds, len(there) - nuts, n)
            self.holds("each bolt has its nut", COMPLETENESS, of, ("rivet nuts",), nuts, bolts)

    def printed(self) -> None:
        """Printed labels where people must be warned or told."""
        design, asked = self.design, Counter[str]()
        live = len(design.arrays) + len(self.survey.inlets)
        asked["connectors under load"] = live
        asked["array live in daylight"] = live + len(design.combiners)
        asked["fuse holders under load"] = sum(
            getattr(design.parts.get(box.part), "fused_poles", 0) > 0
            for box in design.combiners
        )
        houses = {d.place for d, _ in self.survey.devices_of(Battery)}
        lead = design.chemistry != "lfp"
        asked["battery"] = len(houses)
        asked["lead-acid battery" if lead else "lithium battery"] = len(houses)
        asked["shut-down order"] = 1
        asked["battery switch"] = len(self.survey.bank_switches)
        asked["residual-current test"] = sum(
            getattr(design.parts.get(p.part), "residual_ma", None) is not None
            for p in design.protections
        )
        mains = [p for _, p in self.survey.devices_of(Charger) if p.kind != "engine"]
        asked["two sources"] = int(bool(mains))
        there = Counter(p.topic for p, n in self.every(Label) for _ in range(int(n)))
        self._each(
            "a printed label warns",
            COMPLETENESS,
            "printed labels",
            {topic: (there[topic], n) for topic, n in asked.items()},
        )

    def _each(
        self, rule: str, source: str, kind: str, counts: Mapping[str, tuple[int, int]]
    ) -> None:
        """By size or topic what is there and what is needed; so many in all are not to be had."""
        lacking = self.lacking(None, kind)
        for of, (have, need) in sorted(counts.items()):
            let_go = min(max(need - have, 0), lacking)
            lacking -= let_go
            if need > let_go:
                self.sheet.at_least(rule, source, of, have, need - let_go, kind)

    def sealing(self) -> None:
        """Sealant for each panel's brackets and each inlet, paint where a hole is made."""
        feet = sum(panel_feet(max(p.face_mm)) for _, p in self.survey.held_panels)
        openings = [math.pi * p.cutout_mm for _, p in self.survey.inlets]
        ml: Counter[str] = Counter()
        for part, n in self.every(Sealant):
            ml[part.kind] += round(part.ml * n)
        source, need = source_of(bead_ml), bead_ml(BRACKET_BEAD_MM * feet + sum(openings))
        have = ml["sealing adhesive"]
        sealed = "brackets and inlets are sealed" if openings else "brackets are sealed"
        of = "glands, brackets and inlets"
        self.holds(sealed, source, of, ("sealant",), have, need)
        stated = {x.hole for x in self.needs.legs if x.hole_mm is not None and not x.wet}
        drilled = bool(openings) or any(
            leg.hole is not None and leg.hole not in stated
            for c in self.design.circuits
            for leg in (self.survey.leg(a, b) for a, b in c.via)
        )
        if drilled and not self.lacking(None, "paint for cut edges"):
            have = ml["paint for cut edges"]
            self.sheet.holds(
                "cut edges are painted", COMMON_PRACTICE, "holes", have > 0, have, "some", "ml"
            )

    def linings(self) -> None:
        """Each hole has its grommet, or a gland for each cable where it is wet."""
        passing: dict[str, list[float]] = {}
        wet: set[str] = set()
        for circuit in self.design.circuits:
            cable = self.survey.part(circuit.cable, Cable)
            cables = 1 if cable.use in ("pair", "ac") else 2
            for a, b in circuit.via:
                leg = self.survey.leg(a, b)
                if leg.hole is not None:
                    passing.setdefault(leg.hole, []).extend([cable.outer_mm] * cables)
                    wet |= {leg.hole} if leg.wet else set()
        for name, outer in passing.items():
            of = f"hole {name}"
            kind: type[Part] = Gland if name in wet else Grommet
            kinds = ("glands",) if name in wet else ("grommets",)
            there = self.there(of, kind)
            need = len(outer) if name in wet else 1
            self.holds("hole is lined", COMMON_PRACTICE, of, kinds, len(there), need)
            for one in there:
                if isinstance(one, Grommet):
                    # two discs side by side need both their diameters
                    least = sum(sorted(outer)[-2:])
                    self.sheet.at_least(
                        "cables pass the grommet", ARITHMETIC, of, one.bore_mm, least, "mm"
                    )

    def tools(self) -> None:
        """A tool for each kind and size of termination, unless tools are not asked for."""
        if not self.needs.order.tools or "tools" in self.design.without:
            return
        tools = [tool for tool, _ in self.every(Tool)]
        for (does, size), unit in sorted(self._tasks().items()):
            text = f"{does}, {size:g} {unit}"
            if self.lacking(text, "tools"):
                continue
            able = [t.part for t in tools if t.does == does and _within(t, unit, size)]
            self.sheet.holds(
                "a tool for each termination",
                COMPLETENESS,
                text,
                bool(able),
                ", ".join(able) or "none",
                "one that does",
            )

        plain = [t for t, asked in self._plain_tasks() if asked]
        for does in plain:
            missing = (x for x in self.design.unsold if x.kind == "tools")
            if not any(x.of.startswith(does) for x in missing):
                able = [t.part for t in tools if t.does == does]
                self.sheet.holds(
                    "a tool for each task",
                    COMPLETENESS,
                    does,
                    bool(able),
                    ", ".join(able) or "none",
                    "one that does",
                )

    def _plain_tasks(self) -> list[tuple[str, bool]]:
        """What is done that has no size, or whose size is another matter; and whether it is."""
        parts = [self.design.parts.get(e.part) for e in self.design.small or ()]
        ends = [self.design.parts.get(e.termination or "") for _, e, _ in self.ends()]
        return [
            ("measure volts and amperes", True),
            ("drill", True),
            ("shrink sleeves", any(isinstance(p, Sleeve) for p in parts)),
            ("open PV connectors", any(isinstance(p, Connector) for p in ends)),
            (
                "press out sealant",
                any(isinstance(p, Sealant) and p.kind == "sealing adhesive" for p in parts),
            ),
            (
                "set rivet nuts",
                any(isinstance(p, Fastener) and p.kind == "rivet nut" for p in parts),
            ),
            (
                "saw cut-outs",
                bool(self.survey.inlets) or any(isinstance(p, Vent) for p in parts),
            ),
        ]

    def _tasks(self) -> dict[tuple[str, float], str]:
        """What is done to ends, with its unit."""
        tasks: dict[tuple[str, float], str] = {}
        for cut, end, cable in self.ends():
            lug = self.lug(end)
            tasks["strip cable", cable.area_mm2] = tasks["cut cable", cable.area_mm2] = "mm²"
            if lug is not None:
                crimp = "crimp tube lugs" if lug.kind == "tube" else "crimp ring lugs"
                tasks[crimp, cable.area_mm2] = "mm²"
                tasks["tighten", torque_nm(end.stud or lug.stud)] = "Nm"
            elif isinstance(self.design.parts.get(end.termination or ""), Connector):
                tasks["crimp PV connectors", cable.area_mm2] = "mm²"
            elif self._in_a_clamp(cut, end):
                tasks["crimp ferrules", cable.area_mm2] = "mm²"
        return tasks


def _within(tool: Tool, unit: str, size: float) -> bool:
    low, high = (tool.from_nm, tool.to_nm) if unit == "Nm" else (tool.from_mm2, tool.to_mm2)
    above = low is None or size >= low - 1e-9
    return above and (high is None or size <= high + 1e-9)
