"""Checks of what the strings of an array meet in: branch pairs, or a combiner that fits them."""

from __future__ import annotations

from solver.check_sheet import COMMON_PRACTICE, COMPLETENESS, MissingError, Sheet, source_of
from solver.check_survey import ArrayFacts, Survey
from solver.fittings import COMBINER, MOST_BRANCHED, STRING_FUSE
from solver.parts import Combiner
from solver.rules.standing import stands_splashing, works_between
from solver.rules.string import pv_design_current_a, voc_cold_v
from solver.rules.string_fuse import string_fuse_most_a

IEC_62548 = "IEC 62548: combiner boxes, rated for their strings and their place; from memory"


def check_combiners(sheet: Sheet, survey: Survey) -> None:
    """More than two strings meet in a combiner where the catalog knows one, and in one that fits."""
    for array in survey.design.arrays:
        subject = f"array on {array.controller}"
        with sheet.about(subject):
            known = COMBINER.name not in survey.design.without
            needed = int(known and array.parallel > MOST_BRANCHED)
            counted = _counted(survey, array.controller)
            named = [] if array.combiner is None else [array.combiner.part]
            sheet.holds(
                "a combiner for more than two strings",
                COMMON_PRACTICE,
                subject,
                len(named) == needed and counted == named,
                ", ".join(counted) or "none",
                "one" if needed else "none",
            )
            if array.combiner is not None:
                _fits(sheet, survey, survey.facts(array))
    ids = [a.combiner.id for a in survey.design.arrays if a.combiner is not None]
    known_ids = {d.id for d in survey.design.devices} | set(survey.protections)
    for name in sorted(set(ids)):
        one = ids.count(name) == 1 and name not in known_ids
        sheet.holds("an id of its own", COMPLETENESS, f"combiner {name}", one, name, "once")


def _counted(survey: Survey, controller: str) -> list[str]:
    """The combiners that the extras of an array's circuit count, each as often as it is there."""
    home = {c.name for c in survey.circuits_of("array") if c.to == controller}
    return [
        e.part
        for e in survey.design.extras
        if e.of in home and isinstance(survey.design.parts.get(e.part), Combiner)
        for _ in range(e.quantity)
    ]


def _fits(sheet: Sheet, survey: Survey, facts: ArrayFacts) -> None:
    array, panel, needs = facts.array, facts.panel, survey.needs
    found = array.combiner
    if found is None:
        raise MissingError("no combiner")
    subject = f"combiner {found.id}"
    part = survey.part(found.part, Combiner)
    practice = needs.rules.practice
    strings = array.parallel
    all_a = float(pv_design_current_a(facts.isc_a, needs.rules.continuous, practice))
    volts = array.series * float(
        voc_cold_v(panel.voc_v, panel.voc_pct_per_c, needs.site.coldest_c)
    )
    poles = bool(array.fuses) + bool(array.negative_fuses)
    way_a = all_a / strings
    if poles:
        fuse_a = float(string_fuse_most_a(panel.isc_a, panel.series_fuse_a, practice))
        way_a = max(way_a, fuse_a)
        right = part.fuse_kind == STRING_FUSE
        rule = "combiner takes fuses of strings"
        sheet.holds(rule, IEC_62548, subject, right, part.fuse_kind or "none", STRING_FUSE)
    for rule, value, least, unit in (
        ("combiner has a way for each string", part.ways, strings, "ways"),
        ("combiner carries the array", part.rated_a, all_a, "A"),
        ("combiner's ways carry their strings", part.way_a, way_a, "A"),
        ("combiner's voltage", part.max_v, volts, "V"),
    ):
        sheet.at_least(rule, IEC_62548, subject, value, least, unit)
    sheet.holds(
        "combiner has holders in the poles with fuses",
        IEC_62548,
        subject,
        part.fused_poles == poles,
        part.fused_poles,
        poles,
        "poles",
    )
    places = sorted({survey.device(p).place for p in array.panels})
    rule = "combiner lies by its panels"
    sheet.is_one_of(rule, COMMON_PRACTICE, subject, found.place, tuple(places))
    _bears_its_place(sheet, survey, part, found.place, subject)


def _bears_its_place(
    sheet: Sheet, survey: Survey, part: Combiner, name: str, subject: str
) -> None:
    place, site = survey.place(name), survey.needs.site
    coldest = site.coldest_c if place.min_c is None else place.min_c
    hottest = site.hottest_c if place.max_c is None else place.max_c
    sheet.holds(
        "combiner bears its place's climate",
        source_of(works_between),
        subject,
        works_between(part.min_c, part.max_c, coldest, hottest),
        f"{part.min_c} to {part.max_c}",
        f"{coldest:g} to {hottest:g}",
        "°C",
    )
    if place.gets_wet:
        sheet.holds(
            "combiner stands in the wet",
            source_of(stands_splashing),
            subject,
            stands_splashing(part.ip),
            part.ip or "none",
            "IPX4",
        )
