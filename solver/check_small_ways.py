"""Checks of what lies along the ways of cables, of what is tilted, vented, railed and used up."""

from __future__ import annotations

import math
from collections import Counter, defaultdict

from solver.check_sheet import COMMON_PRACTICE, COMPLETENESS, source_of
from solver.check_small_air import openings_cm2
from solver.check_small_sheet import SmallSheet
from solver.needs import Leg
from solver.parts import (
    Breaker,
    Cable,
    Conduit,
    ConduitFitting,
    Consumable,
    Fastener,
    Holder,
    Mounting,
    Sealant,
    Vent,
)
from solver.records import Cut, seat_of
from solver.rules.conduit import conduit_fill_pct, fill_limit_pct
from solver.rules.consumables import abrasive_sheets, solvent_ml, tape_rolls, wipes
from solver.rules.fixing import edge_rise_mm, panel_feet, panel_pull_n, support_mm, tilt_legs
from solver.rules.laying import (
    MODULE_MM,
    cable_ties,
    conduit_couplings,
    conduit_saddles,
    pull_boxes,
    rail_length_mm,
    rail_screws,
)


class WaysSheet(SmallSheet):
    """The walk along legs and places."""

    def all(self) -> None:
        """Every check of this module."""
        for check in (
            self.conduits,
            self.sheaths,
            self.ties,
            self.rails,
            self.tilted,
            self.vents,
            self.used_up,
        ):
            with self.sheet.about("small parts"):
                check()

    def _on_legs(self) -> list[tuple[Leg, list[float]]]:
        """Each leg with the outer diameters of what runs along it for sure."""
        return [
            (leg, [self.survey.part(cut.cable, Cable).outer_mm for cut in cuts])
            for leg, cuts in self._sure()
        ]

    def _sure(self) -> list[tuple[Leg, list[Cut]]]:
        """Each leg with the pieces that run along it for sure.

        That is each piece no shorter than all the legs of its circuit together, but for those
        that stay in one place, such as the lead before a fuse.
        """
        on: defaultdict[int, list[Cut]] = defaultdict(list)
        for cut in self.design.cuts:
            via = next((c.via for c in self.design.circuits if c.name == cut.circuit), ())
            legs = [self.survey.leg(a, b) for a, b in via]
            along = 1000 * sum(leg.length_m for leg in legs)
            if cut.length_mm >= along and not self._in_one_place(cut):
                for leg in legs:
                    on[self.needs.legs.index(leg)].append(cut)
        return [(self.needs.legs[n], cuts) for n, cuts in sorted(on.items())]

    def _in_one_place(self, cut: Cut) -> bool:
        """Whether both ends of a piece land on things that stand in one place."""
        things = sorted({self.survey.thing(end.at) for end in cut.ends})
        if len(things) == 1:
            return True
        others = [things[0 if n else 1] for n in range(len(things))]
        pairs = zip(things, others, strict=True)
        places = {place for t, other in pairs for place in self.survey.places_of(t, other)}
        return len(places) == 1

    def conduits(self) -> None:
        """Each conduit that is not there yet: long and wide enough, held, its ends covered."""
        ways: defaultdict[str, list[tuple[Leg, list[float]]]] = defaultdict(list)
        for leg, outer in self._on_legs():
            if leg.conduit is not None:
                ways[leg.conduit].append((leg, outer))
        for name, runs in ways.items():
            there = any(x.loaded_conductors or x.conduit_mm is not None for x, _ in runs)
            if not there:
                self._conduit(f"conduit {name}", runs)

    def sheaths(self) -> None:
        """What is too long to lie bare before its fuse is covered over its whole length."""
        for cut in self.design.cuts:
            if not cut.sheathed:
                continue
            of, outer = f"piece {cut.label}", self.survey.part(cut.cable, Cable).outer_mm
            parts = self.every(Conduit, of)
            there_m = sum(n for _, n in parts)
            rule = "sheath over the whole piece"
            self.holds(rule, COMPLETENESS, of, ("sheaths",), there_m, cut.length_mm / 1000)
            for part, _ in parts:
                filled = conduit_fill_pct([outer], part.inner_mm)
                source, most = source_of(conduit_fill_pct), fill_limit_pct(1)
                self.sheet.at_most("sheath takes the piece", source, of, filled, most, "%")

    def _conduit(self, of: str, runs: list[tuple[Leg, list[float]]]) -> None:
        need_m = sum(leg.length_m for leg, _ in runs)
        parts = self.every(Conduit, of)
        have_m = sum(n for _, n in parts)
        self.holds("conduit is there", COMPLETENESS, of, ("conduits",), have_m, need_m)
        for part, _ in parts:
            for _, outer in runs:
                source, most = source_of(conduit_fill_pct), fill_limit_pct(len(outer))
                filled = conduit_fill_pct(outer, part.inner_mm)
                self.sheet.at_most("conduit is not overfilled", source, of, filled, most, "%")
            self._fittings(of, part, [leg for leg, _ in runs])

    def _fittings(self, of: str, conduit: Conduit, legs: list[Leg]) -> None:
        found = Counter(
            p.kind for p in self.there(of, ConduitFitting) if p.outer_mm == conduit.outer_mm
        )
        saddles = sum(conduit_saddles(1000 * leg.length_m) for leg in legs)
        source = source_of(conduit_saddles)
        kinds = ("conduit saddles",)
        self.holds("conduit is held", source, of, kinds, found["saddle"], saddles)
        stretches, ends = self._stretches(legs)
        bends = [_bends(some) for some in stretches]
        boxes = sum(map(pull_boxes, bends))
        kinds = ("pull boxes",)
        source = source_of(pull_boxes)
        self.holds("conduit can be pulled through", source, of, kinds, found["pull box"], boxes)
        kinds = ("conduit bushings",)
        bushed, openings = "conduit ends are covered", ends + 2 * boxes
        self.holds(bushed, COMMON_PRACTICE, of, kinds, found["bushing"], openings)
        if conduit.kind == "rigid":
            kinds = ("conduit elbows",)
            self.holds("conduit turns", COMPLETENESS, of, kinds, found["elbow"], sum(bends))
            joints = sum(
                conduit_couplings(1000 * sum(leg.length_m for leg in some))
                for some in stretches
            )
            kinds = ("conduit couplings",)
            source = source_of(conduit_couplings)
            joined = "lengths of conduit are joined"
            self.holds(joined, source, of, kinds, found["coupling"], joints)

    def _stretches(self, legs: list[Leg]) -> tuple[list[list[Leg]], int]:
        """Legs of a conduit by the stretches that they make, and how many ends these have.

        Two of them make one stretch where they alone meet in a place in which no piece leaves
        either.
        """
        inside = {id(leg): {c.label for c in cuts} for leg, cuts in self._sure()}
        found = [[leg] for leg in legs]
        ends = 0
        for place in {name for leg in legs for name in (leg.from_, leg.to)}:
            here = [leg for leg in legs if place in (leg.from_, leg.to)]
            through = len(here) == 2 and inside[id(here[0])] == inside[id(here[1])]
            ends += 0 if through else len(here)
            if through:
                one, other = (next(some for some in found if leg in some) for leg in here)
                if one is not other:
                    one += other
                    found = [some for some in found if some is not other]
        return found, ends

    def ties(self) -> None:
        """Where cables run side by side along a leg they are tied together."""
        for leg, outer in self._on_legs():
            if leg.conduit is not None or len(outer) < 2:
                continue
            of = f"{leg.from_} to {leg.to}"
            held = support_mm(self.needs.rules.practice, min(outer))
            need = cable_ties(1000 * leg.length_m, held)
            # two discs side by side need both their diameters
            least = sum(sorted(outer)[-2:])
            ties = [
                p
                for p in self.there(of, Mounting)
                if p.kind == "cable tie" and p.cable_mm is not None and p.cable_mm >= least
            ]
            source, kinds = source_of(cable_ties), ("cable ties",)
            self.holds("cables are tied together", source, of, kinds, len(ties), need)

    def rails(self) -> None:
        """What snaps onto a rail has one, long enough for all of it in a place."""
        widths: defaultdict[str, dict[str, float]] = defaultdict(dict)
        for p in self.design.protections:
            part = self.design.parts.get(p.holder or p.part)
            if isinstance(part, Breaker | Holder) and part.rail:
                widths[p.place][seat_of(p)] = part.width_mm or MODULE_MM
        for place, wide in widths.items():
            of, need = f"rail in {place}", rail_length_mm(list(wide.values()))
            rails = [p for p in self.there(of, Mounting) if p.kind == "device rail"]
            have = sum(p.length_mm or 0.0 for p in rails)
            source = source_of(rail_length_mm)
            self.holds("breakers have their rail", source, of, ("device rails",), have, need)
            screws = sum(p.kind != "rivet nut" for p in self.there(of, Fastener))
            kinds = ("screws", "sheet metal screws")
            # rails whose lengths add up to the need have the fewest screws as one
            source, least = source_of(rail_screws), rail_screws(need) + max(len(rails) - 1, 0)
            self.holds("is screwed on", source, of, kinds, screws, least)

    def tilted(self) -> None:
        """A panel tilted off its surface stands on legs that are strong and long enough."""
        tilt = self.needs.site.tilt_deg
        for device, panel in self.survey.held_panels:
            slope = self.survey.place(device.place).slope_deg
            feet = panel_feet(max(panel.face_mm))
            need = 0 if slope is None else tilt_legs(feet, tilt, slope)
            if not need or slope is None:
                continue
            rise = edge_rise_mm(max(panel.face_mm), tilt, slope)
            pull = panel_pull_n(math.prod(panel.face_mm)) / feet
            legs = [
                p
                for p in self.there(device.id, Mounting)
                if p.kind == "tilt leg" and (p.rise_mm or 0.0) >= rise and p.load_n >= pull
            ]
            source, kinds = source_of(tilt_legs), ("tilt legs",)
            self.holds("panel stands at its tilt", source, device.id, kinds, len(legs), need)

    def vents(self) -> None:
        """A closed place that says nothing of its air has its openings, low and high."""
        for place, cm2 in openings_cm2(self.survey).items():
            for where in ("low", "high"):
                of = f"{place}, {where}"
                have = sum(p.free_cm2 for p in self.there(of, Vent))
                self.holds("place has its vents", COMPLETENESS, of, ("vents",), have, cm2)

    def used_up(self) -> None:
        """Solvent, wipes, tape, abrasive and paste for all that is fitted."""
        feet = sum(panel_feet(max(p.face_mm)) for _, p in self.survey.held_panels)
        lugs = sum(self.lug(end) is not None for _, end, _ in self.ends())
        pieces = len(self.design.cuts)
        have = Counter(part.kind for part, n in self.every(Consumable) for _ in range(int(n)))
        ml = sum((p.ml or 0.0) * n for p, n in self.every(Consumable) if p.kind == "solvent")
        small = [self.design.parts.get(one.part) for one in self.design.small or ()]
        bolts = any(isinstance(p, Fastener) and p.kind == "bolt" for p in small)
        sealed = any(isinstance(p, Sealant) and p.kind == "sealing adhesive" for p in small)
        asked = (
            ("solvent", ml, solvent_ml(feet), source_of(solvent_ml)),
            ("wipes", have["wipe"], wipes(feet), source_of(wipes)),
            (
                "insulating tape",
                have["insulating tape"],
                tape_rolls(pieces),
                source_of(tape_rolls),
            ),
            (
                "abrasive sheets",
                have["abrasive sheet"],
                abrasive_sheets(lugs),
                source_of(abrasive_sheets),
            ),
            ("contact paste", have["contact paste"], int(lugs > 0), COMMON_PRACTICE),
            ("thread lock", have["thread lock"], int(bolts), COMMON_PRACTICE),
            ("spare nozzles", have["sealant nozzle"], int(sealed), COMMON_PRACTICE),
        )
        for kind, n, need, source in asked:
            lacking = self.lacking(None, kind)
            if need > lacking:
                self.sheet.at_least(
                    "enough to work with", source, kind, float(n), need - lacking, kind
                )


def _bends(legs: list[Leg]) -> int:
    """Bends of a stretch, of those legs that state them: it has no fewer."""
    return sum(leg.bends or 0 for leg in legs)
