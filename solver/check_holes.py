"""Checks of holes and conduits: what the cables that pass one take of it, and what lies together."""

from __future__ import annotations

from itertools import pairwise

from solver.check_sheet import Sheet, source_of
from solver.check_survey import OUTSIDE, Survey
from solver.needs import Leg
from solver.parts import Cable
from solver.records import Circuit, Cut
from solver.rules.conduit import pv_beside_ac
from solver.rules.hole import hole_takes_mm2


def check_holes(sheet: Sheet, survey: Survey) -> None:
    """Every hole whose size is stated takes what leads through it."""
    sized = _sized(survey)
    if not sized:
        return
    circuits = {c.name: c for c in survey.design.circuits}
    taken = dict.fromkeys(sized, 0.0)
    for cut in survey.design.cuts:
        circuit = circuits.get(cut.circuit)
        if circuit is None:
            continue
        with sheet.about(cut.label):
            outer = survey.part(cut.cable, Cable).outer_mm
            for name in _passed(survey, circuit, cut) & set(sized):
                taken[name] += outer * outer
    for name, bore in sized.items():
        sheet.at_most(
            "hole takes its cables",
            source_of(hole_takes_mm2),
            f"hole {name}",
            taken[name],
            hole_takes_mm2(bore),
            "mm²",
        )


def check_conduits(sheet: Sheet, survey: Survey) -> None:
    """Where the practice wants it, no conduit holds cables of an array and of AC."""
    if pv_beside_ac(survey.needs.rules.practice):
        return
    inside: dict[tuple[str, str, str], dict[str, list[str]]] = {}
    for circuit in survey.design.circuits:
        for a, b in circuit.via:
            with sheet.about(circuit.name):
                leg = _walked(survey, a, b)
                if leg.conduit is not None:
                    key = (leg.conduit, min(a, b), max(a, b))
                    inside.setdefault(key, {}).setdefault(circuit.kind, []).append(circuit.name)
    for (conduit, a, b), kinds in inside.items():
        sheet.holds(
            "PV apart from AC",
            source_of(pv_beside_ac),
            f"conduit {conduit}, {a} to {b}",
            not ("array" in kinds and "ac" in kinds),
            ", ".join(kinds),
            "not both array and ac",
        )


def _name(leg: Leg) -> str | None:
    """A hole goes by its name; one of a stated size without a name by its leg."""
    if leg.hole is None and (leg.hole_mm is not None or leg.hole_max_mm is not None):
        return f"{leg.from_} to {leg.to}"
    return leg.hole


def _sized(survey: Survey) -> dict[str, float]:
    """Holes whose size is stated: as they are, or as they may be made if that is wider."""
    found: dict[str, float] = {}
    for name in dict.fromkeys(_name(leg) for leg in survey.needs.legs):
        legs = [leg for leg in survey.needs.legs if _name(leg) == name]
        there = [leg.hole_mm for leg in legs if leg.hole_mm is not None]
        most = [leg.hole_max_mm for leg in legs if leg.hole_max_mm is not None]
        if name is not None and (there or most):
            found[name] = max(min(there, default=0.0), min(most, default=0.0))
    return found


def _passed(survey: Survey, circuit: Circuit, cut: Cut) -> set[str]:
    """The holes on the way between the two places that a piece joins: its circuit's, as a rule."""
    ends = {_place(survey, circuit, end.at) for end in cut.ends}
    if len(ends) == 1:
        return set()
    places = tuple(dict.fromkeys(name for leg in circuit.via for name in leg))
    if ends <= set(places):
        at = sorted(places.index(name) for name in ends)
        places = places[at[0] : at[-1] + 1]
    else:
        start, *others = sorted(ends)
        places = survey.way(start, others[-1]).places
    names = {_name(_walked(survey, a, b)) for a, b in pairwise(places)}
    return {name for name in names if name is not None}


def _place(survey: Survey, circuit: Circuit, at: str) -> str:
    """Where an end is; of what is outside the kit or a load, where its circuit's way ends."""
    thing = survey.thing(at)
    if thing in OUTSIDE or thing in survey.load_circuits:
        other = circuit.to if thing == circuit.from_ else circuit.from_
        return survey.places_of(thing, other)[0]
    return survey.places_of(thing, thing)[0]


def _walked(survey: Survey, a: str, b: str) -> Leg:
    """The leg taken between two places: the shortest, then the coolest, the emptiest."""
    between = [leg for leg in survey.needs.legs if {leg.from_, leg.to} == {a, b}]
    return min(
        between,
        key=lambda leg: (leg.length_m, leg.max_c or 0.0, leg.loaded_conductors, leg.hole or ""),
    )
