"""Checks of small parts: each end, device, hole and piece has what holds, covers and marks it.

Walked from the design alone, by other ways than `solver.small_parts` took. What the catalog knows
no part for, or has none that fits, is told in the design and not asked for here.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

from solver.check_sheet import ARITHMETIC, COMMON_PRACTICE, COMPLETENESS, Sheet, source_of
from solver.check_survey import Survey
from solver.fittings import EARTH_COLOURS
from solver.parts import (
    Battery,
    Cable,
    Charger,
    Connector,
    Fastener,
    Ferrule,
    Gland,
    Grommet,
    Label,
    Lug,
    Mounting,
    Panel,
    Sealant,
    Sleeve,
    Socket,
    Tool,
    Vent,
)
from solver.parts.base import Part
from solver.records import Cut, End
from solver.rules.fixing import (
    bead_ml,
    clips,
    panel_feet,
    panel_pull_n,
    sleeve_fits,
    support_mm,
)
from solver.rules.termination import torque_nm


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


class _Walk:
    def __init__(self, sheet: Sheet, survey: Survey) -> None:
        self.sheet, self.survey = sheet, survey
        self.design, self.needs = survey.design, survey.needs

    def _told(self, of: str, *kinds: str) -> bool:
        """Whether the design says that it is without."""
        design = self.design
        return any(k in design.without or f"{k} for {of}" in design.unsold for k in kinds)

    def _there(self, of: str, kind: type[Part]) -> list[Part]:
        """The small parts of a class for something, each as often as it is there."""
        found = []
        for one in self.design.small or ():
            part = self.design.parts.get(one.part)
            if one.of == of and isinstance(part, kind):
                found += [part] * one.quantity
        return found

    def _holds(
        self, rule: str, source: str, of: str, kinds: tuple[str, ...], n: int, need: int
    ) -> None:
        if need and not self._told(of, *kinds):
            self.sheet.at_least(rule, source, of, float(n), float(need), kinds[0])

    def _ends(self) -> Iterable[tuple[Cut, End, Cable]]:
        for cut in self.design.cuts:
            cable = self.survey.part(cut.cable, Cable)
            for end in cut.ends:
                yield cut, end, cable

    def _lug(self, end: End) -> Lug | None:
        part = self.design.parts.get(end.termination or "")
        return part if isinstance(part, Lug) else None

    def sleeves(self) -> None:
        """A sleeve of the pole's colour that fits, over each tube lug's barrel."""
        need: dict[str, Counter[tuple[float, str]]] = {}
        for cut, end, cable in self._ends():
            lug = self._lug(end)
            if lug is None or lug.kind != "tube" or cable.use in ("pair", "ac"):
                continue
            colour = "green-yellow" if cable.colour in EARTH_COLOURS else "black"
            colour = "red" if end.pole == "+" else colour
            need.setdefault(cut.circuit, Counter())[cable.outer_mm, colour] += 1
        for circuit, asked in need.items():
            there = [p for p in self._there(circuit, Sleeve) if isinstance(p, Sleeve)]
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
            self._holds(
                "each lug has its sleeve",
                source_of(sleeve_fits),
                circuit,
                ("sleeves",),
                served,
                sum(asked.values()),
            )

    def ferrules(self) -> None:
        """A ferrule of the conductor's area on each bare end that a clamp of the kit takes."""
        need: Counter[tuple[str, float]] = Counter()
        for cut, end, cable in self._ends():
            if end.termination is None and self._in_a_clamp(cut, end):
                need[cut.circuit, cable.area_mm2] += 1
        for (circuit, area), n in sorted(need.items()):
            there = [
                p
                for p in self._there(circuit, Ferrule)
                if isinstance(p, Ferrule) and abs(p.area_mm2 - area) <= 0.005 * area
            ]
            self._holds(
                "each bare end has its ferrule",
                COMMON_PRACTICE,
                circuit,
                ("ferrules",),
                len(there),
                n,
            )

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
        marked = [(c, 2 * n) for c, n in sorted(pieces.items())]
        marked += [(d.id, 1) for d in self.design.devices if not isinstance(d.part, Panel)]
        marked += [(p.id, 1) for p in self.design.protections]
        for of, n in marked:
            blank = [p for p in self._there(of, Label) if isinstance(p, Label) and not p.text]
            self._holds("is labelled", COMPLETENESS, of, ("labels",), len(blank), n)

    def clips(self) -> None:
        """Clips along each piece that is longer than it may hang free."""
        rules, need, there = self.needs.rules, Counter[str](), Counter[str]()
        for cut in self.design.cuts:
            outer = self.survey.part(cut.cable, Cable).outer_mm
            way = cut.length_mm - 2 * rules.slack_mm - self._in_conduit_mm(cut.circuit)
            need[cut.circuit] += clips(way, support_mm(rules.practice, outer))
        for circuit in need:
            found = self._there(circuit, Mounting)
            thin = min(
                self.survey.part(cut.cable, Cable).outer_mm
                for cut in self.design.cuts
                if cut.circuit == circuit
            )
            there[circuit] = sum(
                isinstance(p, Mounting) and p.cable_mm is not None and p.cable_mm >= thin
                for p in found
            )
        for circuit, n in sorted(need.items()):
            source = source_of(support_mm)
            self._holds("cable is held", source, circuit, ("clips",), there[circuit], n)

    def _in_conduit_mm(self, circuit: str) -> float:
        via = next((c.via for c in self.design.circuits if c.name == circuit), ())
        legs = [self.survey.leg(a, b) for a, b in via]
        return sum(1000 * leg.length_m for leg in legs if leg.conduit is not None)

    def panels(self) -> None:
        """Brackets enough, and strong enough, under each panel."""
        for device, panel in self.survey.devices_of(Panel):
            found = [p for p in self._there(device.id, Mounting) if isinstance(p, Mounting)]
            kinds = ("panel brackets",)
            feet = panel_feet(max(panel.face_mm))
            self._holds(
                "panel is held", source_of(panel_feet), device.id, kinds, len(found), feet
            )
            if found:
                self.sheet.at_least(
                    "brackets stand the wind",
                    source_of(panel_pull_n),
                    device.id,
                    sum(p.load_n for p in found),
                    float(panel_pull_n(math.prod(panel.face_mm))),
                    "N",
                )

    def straps(self) -> None:
        """Two straps hold each battery."""
        for device, _ in self.survey.devices_of(Battery):
            found = [
                p
                for p in self._there(device.id, Mounting)
                if isinstance(p, Mounting) and p.kind == "battery strap"
            ]
            self._holds(
                "battery is held",
                COMMON_PRACTICE,
                device.id,
                ("battery straps",),
                len(found),
                2,
            )

    def screws(self) -> None:
        """Each device, protection and outlet is screwed on; each bolt has its rivet nut."""
        need: dict[str, int] = {}
        for device in self.design.devices:
            part = device.part
            if isinstance(part, Panel):
                need[device.id] = 2 * panel_feet(max(part.face_mm))
            elif isinstance(part, Battery):
                need[device.id] = 4
            else:
                stated = (getattr(part, "mount_holes", None) or "").partition("x")[0].strip()
                need[device.id] = int(stated) if stated.isdigit() else 4
        hung = self.survey.string_fuses
        need |= {p.id.split(":")[0]: 2 for p in self.design.protections if p.id not in hung}
        for extra in self.design.extras:
            if isinstance(self.design.parts.get(extra.part), Socket):
                need[extra.of] = 2 * extra.quantity
        kinds = ("screws", "sheet metal screws", "bolts", "rivet nuts")
        for of, n in need.items():
            there = [p for p in self._there(of, Fastener) if isinstance(p, Fastener)]
            nuts = sum(p.kind == "rivet nut" for p in there)
            bolts = sum(p.kind == "bolt" for p in there)
            self._holds("is screwed on", COMMON_PRACTICE, of, kinds, len(there) - nuts, n)
            self._holds("each bolt has its nut", COMPLETENESS, of, ("rivet nuts",), nuts, bolts)

    def printed(self) -> None:
        """Printed labels where people must be warned or told."""
        design, asked = self.design, Counter[str]()
        asked["array live in daylight"] = asked["connectors under load"] = len(design.arrays)
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
        unsold = any(x.startswith("printed labels") for x in design.unsold)
        if unsold or "printed labels" in design.without:
            return
        there = Counter(
            part.topic
            for one in design.small or ()
            if isinstance(part := design.parts.get(one.part), Label) and part.topic
            for _ in range(one.quantity)
        )
        for topic, n in asked.items():
            if n:
                self.sheet.at_least(
                    "a printed label warns",
                    COMPLETENESS,
                    topic,
                    float(there[topic]),
                    float(n),
                    "labels",
                )

    def sealing(self) -> None:
        """Sealant for each panel's brackets, paint where a hole is drilled."""
        feet = sum(panel_feet(max(p.face_mm)) for _, p in self.survey.devices_of(Panel))
        kinds = {"sealing adhesive": 0.0, "paint for cut edges": 0.0}
        kinds_told = ("sealant", "paint for cut edges")
        for one in self.design.small or ():
            part = self.design.parts.get(one.part)
            if isinstance(part, Sealant) and part.kind in kinds:
                kinds[part.kind] += part.ml * one.quantity
        told = {
            k
            for k in kinds_told
            if any(x.startswith(k) for x in (*self.design.without, *self.design.unsold))
        }
        if feet and "sealant" not in told:
            source, need = source_of(bead_ml), bead_ml(100.0 * feet)
            have = kinds["sealing adhesive"]
            self.sheet.at_least("brackets are sealed", source, "panels", have, need, "ml")
        stated = {x.hole for x in self.needs.legs if x.hole_mm is not None and not x.wet}
        drilled = any(
            leg.hole is not None and leg.hole not in stated
            for c in self.design.circuits
            for leg in (self.survey.leg(a, b) for a, b in c.via)
        )
        if drilled and "paint for cut edges" not in told:
            have = kinds["paint for cut edges"]
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
            there = self._there(of, kind)
            need = len(outer) if name in wet else 1
            self._holds("hole is lined", COMMON_PRACTICE, of, kinds, len(there), need)
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
        tools = [
            p
            for one in self.design.small or ()
            if isinstance(p := self.design.parts.get(one.part), Tool)
        ]
        for (does, size), unit in sorted(self._tasks().items()):
            text = f"{does}, {size:g} {unit}"
            if f"tools for {text}" in self.design.unsold:
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
            if not any(x.startswith(f"tools for {does}") for x in self.design.unsold):
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
        ends = [self.design.parts.get(e.termination or "") for _, e, _ in self._ends()]
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
            ("saw cut-outs", any(isinstance(p, Vent) for p in parts)),
        ]

    def _tasks(self) -> dict[tuple[str, float], str]:
        """What is done to ends, with its unit."""
        tasks: dict[tuple[str, float], str] = {}
        for cut, end, cable in self._ends():
            lug = self._lug(end)
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
