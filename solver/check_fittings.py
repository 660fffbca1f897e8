"""Checks of safety fittings: each is there, serves, and is wired in."""

from __future__ import annotations

from solver.check_sheet import COMPLETENESS, Sheet, source_of
from solver.check_survey import Survey
from solver.fittings import ARRAY_ISOLATOR
from solver.records import Array
from solver.rules.isolation import isolator_breaks
from solver.rules.string import pv_design_current_a, voc_cold_v


def check_fittings(sheet: Sheet, survey: Survey) -> None:
    """Every fitting that the catalog knows a part for."""
    _isolators(sheet, survey)


def _isolators(sheet: Sheet, survey: Survey) -> None:
    """Each array passes an isolator of its own, beside its controller."""
    used: list[str] = []
    for array in survey.design.arrays:
        subject = f"array on {array.controller}"
        with sheet.about(subject):
            found = _isolators_of(survey, array)
            used += found
            place = survey.place(survey.device(array.controller).place)
            wanted = ARRAY_ISOLATOR.name not in survey.design.without
            right = 1 if wanted and place.may_hold("switch") else 0
            sheet.holds(
                "array has its isolator",
                source_of(isolator_breaks),
                subject,
                len(found) == right,
                ", ".join(found) or "none",
                "one" if right else "none: the catalog knows none, or it may not stand there",
            )
            for name in found:
                _serves(sheet, survey, array, name, place.name)
    for device, _ in survey.isolators:
        n = used.count(device.id)
        sheet.holds(
            "isolator breaks one array", COMPLETENESS, device.id, n == 1, n, 1, "arrays"
        )


def _isolators_of(survey: Survey, array: Array) -> list[str]:
    """The isolators on which pieces of an array's circuit land."""
    ids = {d.id for d, _ in survey.isolators}
    home = {c.name for c in survey.circuits_of("array") if c.to == array.controller}
    return sorted(
        {
            survey.thing(end.at)
            for cut in survey.design.cuts
            if cut.circuit in home
            for end in cut.ends
            if survey.thing(end.at) in ids
        }
    )


def _serves(sheet: Sheet, survey: Survey, array: Array, name: str, place: str) -> None:
    """It breaks the array under load, and no pole goes past it."""
    facts, needs = survey.facts(array), survey.needs
    part = next(p for d, p in survey.isolators if d.id == name)
    source, subject = source_of(isolator_breaks), f"{name}, array on {array.controller}"
    design_a = pv_design_current_a(facts.isc_a, needs.rules.continuous, needs.rules.practice)
    cold_v = array.series * float(
        voc_cold_v(facts.panel.voc_v, facts.panel.voc_pct_per_c, needs.site.coldest_c)
    )
    sheet.at_least("isolator carries the array", source, subject, part.rated_a, design_a, "A")
    sheet.at_least("isolator's voltage", source, subject, part.max_v, cold_v, "V")
    there = survey.device(name).place
    sheet.holds(
        "isolator stands beside the controller", source, subject, there == place, there, place
    )
    circuits = {c.name for c in survey.circuits_of("array") if c.to == array.controller}
    around = [
        cut.label
        for cut in survey.design.cuts
        if cut.circuit in circuits and name not in {survey.thing(e.at) for e in cut.ends}
    ]
    sheet.holds(
        "both poles pass the isolator",
        source,
        subject,
        not around,
        ", ".join(around) or "every piece",
        "every piece",
    )
