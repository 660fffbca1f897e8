"""Checks of panels on the ground: their lead, and the inlet in the wall at which it ends."""

from __future__ import annotations

from solver.check_sheet import COMPLETENESS, Sheet, source_of
from solver.check_survey import Survey
from solver.parts import Cable, PvInlet
from solver.records import Array, Cut
from solver.rules.inlet import dead_outside, inlet_carries, pins_free_of_bank
from solver.rules.string import pv_design_current_a, voc_cold_v


def check_ground(sheet: Sheet, survey: Survey) -> None:
    """An inlet of its own for each array on the ground, and none for any other."""
    used: list[str] = []
    for array in survey.design.arrays:
        subject = f"array on {array.controller}"
        with sheet.about(subject):
            found = _inlets_of(survey, array)
            used += found
            right = int(survey.on_the_ground(array))
            if right or found:
                sheet.holds(
                    "an array on the ground has its inlet",
                    COMPLETENESS,
                    subject,
                    len(found) == right,
                    ", ".join(found) or "none",
                    right or "none",
                    "inlets",
                )
            for name in found:
                _serves(sheet, survey, array, name)
    for device, _ in survey.inlets:
        n = used.count(device.id)
        sheet.holds("inlet serves one array", COMPLETENESS, device.id, n == 1, n, 1, "arrays")


def _pieces_of(survey: Survey, array: Array) -> list[Cut]:
    """The pieces of an array's circuit."""
    home = {c.name for c in survey.circuits_of("array") if c.to == array.controller}
    return [cut for cut in survey.design.cuts if cut.circuit in home]


def _inlets_of(survey: Survey, array: Array) -> list[str]:
    """The inlets on which pieces of an array's circuit land."""
    ids = {d.id for d, _ in survey.inlets}
    ends = (end for cut in _pieces_of(survey, array) for end in cut.ends)
    return sorted({survey.thing(end.at) for end in ends} & ids)


def _serves(sheet: Sheet, survey: Survey, array: Array, name: str) -> None:
    """What it carries and takes, where it stands, and that no pole goes past it."""
    facts, needs = survey.facts(array), survey.needs
    subject, source = f"{name}, array on {array.controller}", source_of(inlet_carries)
    part = survey.part(survey.device(name).part.part, PvInlet)
    design_a = pv_design_current_a(facts.isc_a, needs.rules.continuous, needs.rules.practice)
    cold_v = array.series * float(
        voc_cold_v(facts.panel.voc_v, facts.panel.voc_pct_per_c, needs.site.coldest_c)
    )
    sheet.at_least("inlet carries the array", source, subject, part.rated_a, design_a, "A")
    sheet.at_least("inlet's voltage", source, subject, part.max_v, cold_v, "V")
    dead = dead_outside(part.half, part.polarised, part.cap, part.ip)
    sheet.holds(
        "nothing live outside, no pole swapped",
        source_of(dead_outside),
        subject,
        dead,
        _told(part),
        "a plug, polarised, with a cap, IPX4",
    )
    sheet.holds(
        "no pole of the bank on the inlet's pins",
        source_of(pins_free_of_bank),
        subject,
        pins_free_of_bank(facts.controller.common_pole),
        f"{facts.controller.common_pole} shared",
        "negative or none shared",
    )
    pieces = _pieces_of(survey, array)
    thick = max(
        (
            survey.part(cut.cable, Cable).area_mm2
            for cut in pieces
            if name in {survey.thing(end.at) for end in cut.ends}
        ),
        default=0.0,
    )
    sheet.at_most(
        "inlet's clamps take the cable", source, subject, thick, part.area_to_mm2, "mm²"
    )
    _at_the_lead(sheet, survey, array, name, subject)
    panels = set(array.panels)
    past = [
        cut.label
        for cut in pieces
        if panels & (ends := {survey.thing(end.at) for end in cut.ends}) and name not in ends
    ]
    sheet.holds(
        "both poles of the lead end at the inlet",
        COMPLETENESS,
        subject,
        not past,
        ", ".join(past) or "every piece",
        "every piece",
    )


def _told(part: PvInlet) -> str:
    """What an inlet is, in the words of its columns."""
    way = "polarised" if part.polarised else "not polarised"
    return (
        f"a {part.half}, {way}, {'with' if part.cap else 'without'} a cap, {part.ip or 'no IP'}"
    )


def _at_the_lead(sheet: Sheet, survey: Survey, array: Array, name: str, subject: str) -> None:
    """It stands in the wall of the place that the ground's one leg leads to."""
    ground = survey.device(array.panels[0]).place
    far = sorted(
        leg.to if leg.from_ == ground else leg.from_
        for leg in survey.needs.legs
        if ground in (leg.from_, leg.to)
    )
    there = survey.device(name).place
    sheet.holds(
        "inlet stands where the lead ends",
        COMPLETENESS,
        subject,
        far == [there],
        there,
        " or ".join(far) or "no leg leads from the ground",
    )
