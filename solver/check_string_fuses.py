"""Checks of what joins the strings of an array: how many there are, and the fuse in each."""

from __future__ import annotations

from collections import Counter

from solver.check_protection import BEHIND_MAIN_KA, protection_part
from solver.check_sheet import (
    COMMON_PRACTICE,
    COMPLETENESS,
    MissingError,
    Sheet,
    source_of,
)
from solver.check_survey import CHASSIS, NEGATIVE_BAR, ArrayFacts, Survey
from solver.fittings import STRING_FUSE, is_string_holder
from solver.records import Array, Protection
from solver.rules.protection import is_standard_rating
from solver.rules.string import voc_cold_v
from solver.rules.string_fuse import (
    back_feed_a,
    string_fuse_least_a,
    string_fuse_most_a,
    string_fuse_poles,
)

MOST_STRINGS = 4
"""No more meet in any kit; common practice, no source."""

BOTH = 2


def check_string_fuses(sheet: Sheet, survey: Survey) -> None:
    """Every array's strings, and their fuses where the others could harm one."""
    for array in survey.design.arrays:
        subject = f"array on {array.controller}"
        with sheet.about(subject):
            facts = survey.facts(array)
            sheet.at_most(
                "strings that meet in one array",
                COMMON_PRACTICE,
                subject,
                array.parallel,
                MOST_STRINGS,
                "strings",
            )
            _as_many_as_needed(sheet, survey, facts, subject)
            for name in array.all_fuses:
                _fuse(sheet, survey, facts, name)


def _as_many_as_needed(sheet: Sheet, survey: Survey, facts: ArrayFacts, subject: str) -> None:
    array, panel = facts.array, facts.panel
    back_a = float(back_feed_a(panel.isc_a, array.parallel))
    needed = array.parallel if back_a > panel.series_fuse_a + 1e-9 else 0
    if array.fuses:
        rule = "a fuse in each string that needs one"
        _in_pole(sheet, survey, array, array.fuses, (rule, COMPLETENESS), needed)
    else:
        sheet.at_most(
            "back-feed into a string without a fuse",
            source_of(back_feed_a),
            subject,
            back_a,
            panel.series_fuse_a,
            "A",
        )
    poles = string_fuse_poles(survey.needs.rules.practice, _is_earthed(survey, facts))
    if array.all_fuses:
        rule = "a fuse in each negative that needs one"
        source = source_of(string_fuse_poles)
        both = needed if poles == BOTH else 0
        _in_pole(sheet, survey, array, array.negative_fuses, (rule, source), both)


def _is_earthed(survey: Survey, facts: ArrayFacts) -> bool:
    """Whether the array's negative is joined to earth: by its controller, the bar and its bond."""
    bonds = [
        c for c in survey.circuits_of("bond") if {c.from_, c.to} == {NEGATIVE_BAR, CHASSIS}
    ]
    return bool(bonds) and facts.controller.common_pole == "negative"


def _in_pole(
    sheet: Sheet,
    survey: Survey,
    array: Array,
    names: tuple[str, ...],
    said: tuple[str, str],
    needed: int,
) -> None:
    """As many fuses in one pole of an array as its strings need there, none of them another's."""
    circuits = [c.name for c in survey.design.circuits if c.protection_id in names]
    everywhere = Counter(n for a in survey.design.arrays for n in a.all_fuses)
    own = all(everywhere[name] == 1 for name in names)
    sheet.holds(
        said[0],
        said[1],
        f"array on {array.controller}",
        len(names) == needed and own and not circuits,
        ", ".join(names) or "none",
        f"{needed} of its own" if needed else "none",
    )


def _fuse(sheet: Sheet, survey: Survey, facts: ArrayFacts, name: str) -> None:
    """One of them: its class, rating, voltage and breaking capacity, its holder and place."""
    subject = f"protection {name}"
    found = survey.protections.get(name)
    if found is None:
        raise MissingError(f'no protection "{name}"')
    part, panel = protection_part(survey, found), facts.panel
    practice = survey.needs.rules.practice
    rated_a, source = part.rated_a, source_of(string_fuse_least_a)
    least_a = float(string_fuse_least_a(panel.isc_a, practice))
    most_a = float(string_fuse_most_a(panel.isc_a, panel.series_fuse_a, practice))
    sheet.holds(
        "a string's fuse is of its class",
        source,
        subject,
        part.kind == STRING_FUSE,
        part.kind,
        STRING_FUSE,
    )
    sheet.holds(
        "standard rating",
        source_of(is_standard_rating),
        subject,
        is_standard_rating(rated_a),
        rated_a,
        "a standard rating",
        "A",
    )
    sheet.at_least("string fuse bears its string", source, subject, rated_a, least_a, "A")
    sheet.at_most("string fuse spares its panels", source, subject, rated_a, most_a, "A")
    volts = facts.array.series * float(
        voc_cold_v(panel.voc_v, panel.voc_pct_per_c, survey.needs.site.coldest_c)
    )
    sheet.at_least("string fuse's voltage", source, subject, part.max_v, volts, "V")
    sheet.at_least(
        "breaking capacity", COMMON_PRACTICE, subject, part.breaking_ka, BEHIND_MAIN_KA, "kA"
    )
    if facts.array.combiner is None:
        _holder(sheet, survey, found, most_a, volts)
    else:
        _in_combiner(sheet, found)
    places = sorted({survey.device(p).place for p in facts.array.panels})
    sheet.is_one_of(
        "string fuse lies by its panels", COMMON_PRACTICE, subject, found.place, tuple(places)
    )


def _holder(
    sheet: Sheet, survey: Survey, fuse: Protection, most_a: float, volts: float
) -> None:
    """Its holder has connectors at both ends and carries any fuse that may be put in it."""
    subject = f"protection {fuse.id}"
    part = survey.design.parts.get(fuse.holder or "")
    fits = part is not None and is_string_holder(part)
    sheet.holds(
        "string fuse's holder",
        COMPLETENESS,
        subject,
        fits,
        fuse.holder or "none",
        "a fuse holder with connectors",
    )
    if part is not None and is_string_holder(part):
        sheet.at_least(
            "holder carries the string's fuse",
            COMMON_PRACTICE,
            subject,
            part.rated_a,
            most_a,
            "A",
        )
        sheet.at_least("holder's voltage", COMMON_PRACTICE, subject, part.max_v, volts, "V")


def _in_combiner(sheet: Sheet, fuse: Protection) -> None:
    """It sits in a way of the combiner, see `check_combiners`, and has no holder beside that."""
    sheet.holds(
        "string fuse's holder",
        COMPLETENESS,
        f"protection {fuse.id}",
        fuse.holder is None,
        fuse.holder or "none",
        "a way of the combiner",
    )
