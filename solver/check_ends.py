"""Checks of what each end of each piece is made up with, and of pieces' lengths."""

from __future__ import annotations

from collections import Counter

from solver.check_graph import cores_of, node_of
from solver.check_sheet import (
    ARITHMETIC,
    COMPLETENESS,
    CONTRACT,
    MissingError,
    Sheet,
    source_of,
)
from solver.check_survey import OUTSIDE, Survey
from solver.parts import Cable, Charger, Connector, Ferrule, Inverter, Lug, Panel
from solver.records import Array, Cut, End
from solver.rules.string import pv_design_current_a, voc_cold_v
from solver.rules.termination import lug_fits

HALF_MM = 0.5
"""Lengths are whole millimetres: a multiple of a broken step may be off by half of one."""

EARTH_STUD = "M6"
"""Earth bolt on the case of an inverter or a charger, or on a frame; common practice, no source."""

IEC_62548 = "IEC 62548: halves of one family, rated for the string; from memory"


def check_ends(sheet: Sheet, survey: Survey) -> None:
    """Every end of every piece has what its terminal and its conductor take."""
    for cut in survey.design.cuts:
        subject = f"piece {cut.label}"
        with sheet.about(subject):
            cable = survey.part(cut.cable, Cable)
            for end in cut.ends:
                _stud(sheet, survey, end, subject)
                _termination(sheet, survey, cable, end, subject)
    for array in survey.design.arrays:
        with sheet.about(f"array on {array.controller}"):
            _connectors(sheet, survey, array)


def _stud(sheet: Sheet, survey: Survey, end: End, subject: str) -> None:
    """The stud an end states is that of the thing it lands on."""
    found = _studs_of(survey, end)
    if found is None:
        return
    sheet.holds(
        "stud, as stated",
        COMPLETENESS,
        f"{subject} at {end.at}",
        end.stud in found,
        end.stud or "bare wire",
        " or ".join(stud or "bare wire" for stud in found),
    )


def _studs_of(survey: Survey, end: End) -> tuple[str | None, ...] | None:
    """The studs at which an end may land; None where nothing is known of them."""
    thing = survey.thing(end.at)
    if thing in OUTSIDE:
        return None
    if thing in survey.load_circuits:
        return (None,)
    if thing in survey.blocks:
        # A block's ways may take bare wire though its feed lands on a stud.
        return (_stud_of_part(survey, survey.blocks[thing][0].holder), None)
    if thing in survey.protections:
        protection = survey.protections[thing]
        return (_stud_of_part(survey, protection.holder or protection.part),)
    part = survey.device(thing).part
    if isinstance(part, Inverter | Charger | Panel) and end.pole not in ("+", "-"):
        return (EARTH_STUD if end.at.endswith(":earth") else None,)
    return (_stud_of_part(survey, part.part),)


def _stud_of_part(survey: Survey, name: str | None) -> str | None:
    """A part's stud; None for a part that takes bare wire or leads."""
    stud = getattr(survey.design.parts.get(name or ""), "stud", None)
    return stud if isinstance(stud, str) else None


def _termination(sheet: Sheet, survey: Survey, cable: Cable, end: End, subject: str) -> None:
    at = f"{subject} at {end.at}"
    if end.stud is not None:
        if end.termination is None:
            raise MissingError(f"no lug at {end.at}, which has a stud {end.stud}")
        lug = survey.part(end.termination, Lug)
        sheet.holds(
            "lug fits conductor and stud",
            source_of(lug_fits),
            at,
            lug_fits(lug.area_mm2, lug.stud, cable.area_mm2, end.stud),
            f"{lug.area_mm2:g} mm², {lug.stud}",
            f"{cable.area_mm2:g} mm², {end.stud}",
        )
        return
    panel_end = survey.thing(end.at) in {d.id for d, _ in survey.devices_of(Panel)}
    if end.termination is None:
        sheet.holds(
            "end is made up",
            COMPLETENESS,
            at,
            not panel_end,
            "bare wire",
            "a connector" if panel_end else "bare wire",
        )
        return
    part = survey.design.parts.get(end.termination)
    if panel_end:
        half = survey.part(end.termination, Connector)
        sheet.holds(
            "connector takes the conductor",
            COMPLETENESS,
            at,
            half.area_from_mm2 <= cable.area_mm2 <= half.area_to_mm2,
            cable.area_mm2,
            f"{half.area_from_mm2:g} to {half.area_to_mm2:g}",
            "mm²",
        )
        return
    sheet.holds(
        "end is made up",
        COMPLETENESS,
        at,
        isinstance(part, Ferrule) and abs(part.area_mm2 - cable.area_mm2) < 1e-3,
        end.termination,
        f"bare wire or a ferrule for {cable.area_mm2:g} mm²",
    )


def _connectors(sheet: Sheet, survey: Survey, array: Array) -> None:
    """A plug and a socket at the panels, and a branch pair for each further string."""
    subject = f"array on {array.controller}"
    facts = survey.facts(array)
    home = {c.name for c in survey.circuits_of("array") if c.to == array.controller}
    halves = [
        survey.part(end.termination, Connector)
        for cut in survey.design.cuts
        if cut.circuit in home
        for end in cut.ends
        if survey.thing(end.at) in array.panels and end.termination is not None
    ]
    kinds = sorted(half.kind for half in halves)
    sheet.holds(
        "a plug and a socket at the panels",
        IEC_62548,
        subject,
        kinds == ["plug", "socket"],
        ", ".join(kinds) or "none",
        "plug, socket",
    )
    branches = [x for x, _ in _branches(survey, home)]
    needed_a = float(
        pv_design_current_a(
            facts.isc_a, survey.needs.rules.continuous, survey.needs.rules.practice
        )
    )
    needed_v = array.series * float(
        voc_cold_v(facts.panel.voc_v, facts.panel.voc_pct_per_c, survey.needs.site.coldest_c)
    )
    for part in halves + branches:
        sheet.at_least(
            "connector carries the array",
            IEC_62548,
            f"{subject}, {part.part}",
            part.rated_a,
            needed_a,
            "A",
        )
        sheet.at_least(
            "connector's voltage",
            IEC_62548,
            f"{subject}, {part.part}",
            part.max_v,
            needed_v,
            "V",
        )


def _branches(survey: Survey, home: set[str]) -> list[tuple[Connector, int]]:
    """The branch pairs of some circuits, each with how many there are."""
    return [
        (part, e.quantity)
        for e in survey.design.extras
        if e.of in home
        and isinstance(part := survey.design.parts.get(e.part), Connector)
        and part.kind == "branch pair"
    ]


def check_branches(sheet: Sheet, survey: Survey) -> None:
    """As many branch pairs as strings beyond the first of each array, or a combiner and none."""
    for array in survey.design.arrays:
        home = {c.name for c in survey.circuits_of("array") if c.to == array.controller}
        there = sum(n for _, n in _branches(survey, home))
        needed = array.parallel - 1 if array.combiner is None else 0
        sheet.holds(
            "a branch pair for each further string",
            IEC_62548,
            f"array on {array.controller}",
            there == needed,
            there,
            needed,
            "pairs",
        )


# --- lengths ----------------------------------------------------------------------------------


def check_lengths(sheet: Sheet, survey: Survey) -> None:
    """Pieces reach: between two things by the shortest way, slack at both ends of each."""
    slack_mm = survey.needs.rules.slack_mm
    joints = {p.id for p in survey.design.protections if p.way is None}
    joints |= {d.id for d, _ in survey.isolators}
    runs: dict[tuple[str, str, str], list[Cut]] = {}
    for cut in survey.design.cuts:
        with sheet.about(f"piece {cut.label}"):
            for core in cores_of(survey, cut)[:1]:
                a, b = node_of(survey, core.a)[0], node_of(survey, core.b)[0]
                if a in joints or b in joints:
                    # The two pieces beside a fuse or an isolator reach together.
                    joint = a if a in joints else b
                    runs.setdefault((cut.circuit, core.a.pole, joint), []).append(cut)
                    continue
                _reaches(sheet, survey, [cut], a, b, f"piece {cut.label}", slack_mm)
    for (circuit, _, joint), cuts in runs.items():
        subject = f"pieces {', '.join(cut.label for cut in cuts)}"
        with sheet.about(subject):
            ends = Counter(node_of(survey, end)[0] for cut in cuts for end in cut.ends)
            outer = [thing for thing in ends if thing != joint]
            if len(cuts) != 2 or len(outer) != 2:
                raise MissingError(f"circuit {circuit}: not two pieces at {joint}")
            _reaches(sheet, survey, cuts, outer[0], outer[1], subject, slack_mm)


def _reaches(
    sheet: Sheet, survey: Survey, cuts: list[Cut], a: str, b: str, subject: str, slack_mm: float
) -> None:
    metres = survey.least_m(a, b)
    there = sum(cut.length_mm - 2 * slack_mm for cut in cuts) / 1000
    sheet.at_least("piece reaches, slack kept", ARITHMETIC, subject, there, metres, "m")
    step_mm = survey.needs.rules.round_mm
    most = metres + len(cuts) * step_mm / 1000
    rule = "piece no longer than rounded up"
    sheet.holds(rule, ARITHMETIC, subject, there < most - 1e-9, there, most, "m")
    off_mm = [abs(cut.length_mm - round(cut.length_mm / step_mm) * step_mm) for cut in cuts]
    sheet.holds(
        "cut in whole steps",
        CONTRACT,
        subject,
        all(off <= HALF_MM for off in off_mm),
        ", ".join(str(cut.length_mm) for cut in cuts),
        f"multiples of {step_mm:g}",
        "mm",
    )
