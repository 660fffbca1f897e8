"""Checks of fuses, breakers, their holders and blocks."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

from solver.check_circuits import ampacity_of
from solver.check_currents import design_a, loads_of
from solver.check_sheet import (
    COMMON_PRACTICE,
    COMPLETENESS,
    MissingError,
    Sheet,
    source_of,
)
from solver.check_survey import ENGINE_BATTERY, POSITIVE_BAR, Survey
from solver.fittings import AC_BREAKER
from solver.parts import Breaker, Busbar, Fuse, Holder, Monitor, Switch
from solver.records import Circuit, Protection
from solver.rules.bank import prospective_short_circuit_ka, typical_internal_mohm
from solver.rules.energy import load_current_a
from solver.rules.protection import (
    ac_breaking_ka,
    highest_circuit_v,
    is_standard_rating,
    residual_limit_ma,
    small_conductor_limit_a,
)

NEVER_PAST_THE_CONDUCTOR = (
    "never rounded up past the conductor: the stricter side of all practices"
)

BEHIND_MAIN_KA = 1.0
"""Least breaking capacity behind the main fuse; common practice, no source."""

UNPROTECTED = ("array", "link", "ac", "bond")
"""Kinds of circuit that may do without protection of their own."""

ENGINE_CHEMISTRY = "flooded"


def check_protections(sheet: Sheet, survey: Survey) -> None:
    """Every fuse and breaker, and every circuit's need for one."""
    counted = Counter(p.id for p in survey.design.protections)
    for name, n in counted.items():
        sheet.holds("protection ids differ", COMPLETENESS, name, n == 1, n, 1, "protections")
    for circuit in survey.design.circuits:
        with sheet.about(f"circuit {circuit.name}"):
            _circuit_is_protected(sheet, survey, circuit)
    isolators = {d.id for d, _ in survey.isolators}
    for device in survey.design.devices:
        if isinstance(device.part, Busbar | Switch | Monitor) and device.id not in isolators:
            with sheet.about(device.id):
                sheet.at_least(
                    "rating not under the main protection's",
                    COMMON_PRACTICE,
                    device.id,
                    device.part.rated_a,
                    main_protection_a(survey),
                    "A",
                )
    for protection in survey.design.protections:
        if protection.id in survey.string_fuses:
            continue  # see `check_string_fuses`
        subject = f"protection {protection.id}"
        with sheet.about(subject):
            part = protection_part(survey, protection)
            _rating(sheet, survey, protection, part, subject)
            _breaking(sheet, survey, protection, part, subject)
            _holder(sheet, survey, protection, part, subject)
            _stands_at_source(sheet, survey, protection, subject)
    for block, ways in survey.blocks.items():
        with sheet.about(f"block {block}"):
            _block(sheet, survey, block, ways)
    for box, breakers in survey.boxes.items():
        with sheet.about(f"box {box}"):
            _box(sheet, survey, box, breakers)


def protection_part(survey: Survey, protection: Protection) -> Fuse | Breaker:
    """A protection's part."""
    part = survey.design.parts.get(protection.part)
    if not isinstance(part, Fuse | Breaker):
        raise MissingError(f'"{protection.part}" is no fuse or breaker of the design')
    return part


def _circuit_is_protected(sheet: Sheet, survey: Survey, circuit: Circuit) -> None:
    subject = f"circuit {circuit.name}"
    named = circuit.protection_id is not None
    needed = circuit.kind not in UNPROTECTED
    if circuit.kind == "ac":
        needed = AC_BREAKER.name not in survey.design.without
    sheet.holds(
        "circuit is protected",
        COMPLETENESS,
        subject,
        named or not needed,
        circuit.protection_id or "none",
        "a fuse or breaker" if needed else "may be none",
    )
    if circuit.protection_id is None:
        return
    found = survey.protections.get(circuit.protection_id)
    if found is None:
        raise MissingError(f'no protection "{circuit.protection_id}"')
    sheet.holds(
        "protection, as stated",
        COMPLETENESS,
        subject,
        circuit.protection == found.part,
        circuit.protection or "none",
        found.part,
    )


def _rating(
    sheet: Sheet, survey: Survey, protection: Protection, part: Fuse | Breaker, subject: str
) -> None:
    practice = survey.needs.rules.practice
    behind = survey.circuits_behind(protection.id)
    if not behind:
        raise MissingError("no circuit names it")
    sheet.holds(
        "standard rating",
        source_of(is_standard_rating),
        subject,
        is_standard_rating(part.rated_a),
        part.rated_a,
        "a standard rating",
        "A",
    )
    sheet.at_least(
        "rated for the design current",
        COMMON_PRACTICE,
        subject,
        part.rated_a,
        design_behind_a(survey, behind),
        "A",
    )
    for circuit in behind + _unprotected_behind(survey, behind):
        ways = f"{subject}, conductor of {circuit.name}"
        sheet.at_most(
            "protection within the conductor's ampacity",
            NEVER_PAST_THE_CONDUCTOR,
            ways,
            rating_on_a(survey, circuit, part.rated_a),
            ampacity_of(survey, circuit),
            "A",
        )
        small_a = min(
            small_conductor_limit_a(practice, c.area_mm2) for c in survey.cables_of(circuit)
        )
        if small_a < math.inf:
            sheet.at_most(
                "protection of a small conductor",
                source_of(small_conductor_limit_a),
                ways,
                part.rated_a,
                small_a,
                "A",
            )
    needed_v = _circuit_v(survey, behind)
    sheet.at_least(
        "voltage it breaks", source_of(highest_circuit_v), subject, part.max_v, needed_v, "V"
    )


def _circuit_v(survey: Survey, behind: list[Circuit]) -> float:
    """The highest voltage behind a protection; an engine's battery is a 12 V lead-acid one."""
    if any(c.kind == "ac" for c in behind):
        return float(survey.needs.rules.ac_v)
    if all(c.from_ == ENGINE_BATTERY for c in behind):
        return float(highest_circuit_v(ENGINE_CHEMISTRY, 12))
    return survey.circuit_v


def design_behind_a(survey: Survey, behind: list[Circuit]) -> float:
    """The design current of what a protection serves: of loads, those that run together."""
    if all(c.kind == "load" for c in behind):
        loads = [load for c in behind for load in loads_of(survey, c)]
        running_a = load_current_a(loads, survey.design.system_voltage_v)
        return running_a * survey.needs.rules.continuous
    return sum(design_a(survey, c) for c in behind)


def _unprotected_behind(survey: Survey, behind: list[Circuit]) -> list[Circuit]:
    """The links that a string's fuse protects: in the string, and on to the bus bars."""
    found: list[Circuit] = []
    for circuit in behind:
        if circuit.kind == "battery":
            string = next((s for s in survey.strings if circuit.from_ in s), ())
            found += [
                c
                for c in survey.circuits_of("link")
                if c.from_ in string or c.from_ == circuit.to
            ]
    return found


def rating_on_a(survey: Survey, circuit: Circuit, rated_a: float) -> float:
    """What fuses let into a conductor; into the link to the bars those of every string."""
    if circuit.kind != "link" or circuit.conductors == 1:
        return rated_a
    return _let_through_a(
        survey, [c for c in survey.circuits_of("battery") if c.to == circuit.from_]
    )


def main_protection_a(survey: Survey) -> float:
    """What the protections of all strings of the bank let through together."""
    return _let_through_a(survey, survey.circuits_of("battery"))


def _let_through_a(survey: Survey, circuits: Iterable[Circuit]) -> float:
    """What the protections of some circuits let through together, each counted once."""
    fuses = {
        c.protection_id: protection_part(survey, survey.protections[c.protection_id]).rated_a
        for c in circuits
        if c.protection_id in survey.protections
    }
    return sum(fuses.values())


def bank_short_circuit_ka(survey: Survey) -> float:
    """What the whole bank drives into a short circuit."""
    battery, bank = survey.battery, survey.design.bank
    mohm = battery.internal_mohm or typical_internal_mohm(
        battery.chemistry, battery.nominal_v, battery.capacity_ah
    )
    return float(
        prospective_short_circuit_ka(battery.nominal_v, bank.series, bank.parallel, mohm)
    )


def _breaking(
    sheet: Sheet, survey: Survey, protection: Protection, part: Fuse | Breaker, subject: str
) -> None:
    if protection.id in survey.ac_protections:
        _opens_ac(sheet, survey, part, subject)
        return
    main = any(c.kind == "battery" for c in survey.circuits_behind(protection.id))
    needed = bank_short_circuit_ka(survey) if main else BEHIND_MAIN_KA
    source = source_of(prospective_short_circuit_ka) if main else COMMON_PRACTICE
    sheet.at_least("breaking capacity", source, subject, part.breaking_ka, needed, "kA")


def _opens_ac(sheet: Sheet, survey: Survey, part: Fuse | Breaker, subject: str) -> None:
    """An AC circuit's protection opens at a residual current, and breaks a short circuit."""
    rules = survey.needs.rules
    residual_ma = getattr(part, "residual_ma", None)
    most_ma = residual_limit_ma(rules.practice)
    sheet.holds(
        "opens at a residual current",
        source_of(residual_limit_ma),
        subject,
        residual_ma is not None and residual_ma <= most_ma,
        "at none" if residual_ma is None else residual_ma,
        most_ma,
        "mA",
    )
    needed = ac_breaking_ka(rules.ac_v)
    source = source_of(ac_breaking_ka)
    sheet.at_least("breaking capacity", source, subject, part.breaking_ka, needed, "kA")


def _holder(
    sheet: Sheet, survey: Survey, protection: Protection, part: Fuse | Breaker, subject: str
) -> None:
    rule = "holder fits"
    if protection.holder is None:
        sheet.holds(
            rule, COMPLETENESS, subject, part.holder is None, "none", part.holder or "none"
        )
        return
    holder = survey.part(protection.holder, Holder)
    fits = holder.kind == part.kind or holder.part == part.holder
    sheet.holds(rule, COMPLETENESS, subject, fits, holder.kind, part.kind)
    sheet.at_most(
        "holder carries the fuse", COMMON_PRACTICE, subject, part.rated_a, holder.rated_a, "A"
    )
    needed_v = _circuit_v(survey, survey.circuits_behind(protection.id))
    sheet.at_least("holder's voltage", COMMON_PRACTICE, subject, holder.max_v, needed_v, "V")
    if holder.breaking_ka is not None and any(
        c.kind == "battery" for c in survey.circuits_behind(protection.id)
    ):
        sheet.at_least(
            "holder's breaking capacity",
            source_of(prospective_short_circuit_ka),
            subject,
            holder.breaking_ka,
            bank_short_circuit_ka(survey),
            "kA",
        )


def _stands_at_source(
    sheet: Sheet, survey: Survey, protection: Protection, subject: str
) -> None:
    """The bank feeds a fault, so a fuse stands by the bank, by the bars, or by its block."""
    for circuit in survey.circuits_behind(protection.id):
        source = circuit.from_
        if circuit.kind in ("controller", "charger") and circuit.to == POSITIVE_BAR:
            source = POSITIVE_BAR
        other = circuit.to if source == circuit.from_ else circuit.from_
        places = survey.places_of(source, other)
        sheet.holds(
            "protection stands at its source",
            COMMON_PRACTICE,
            subject,
            protection.place in places,
            protection.place,
            " or ".join(places),
        )


def _box(sheet: Sheet, survey: Survey, box: str, breakers: list[Protection]) -> None:
    """Breakers that share a box: AC ones from one source, no more than it has room for."""
    subject = f"box {box}"
    names = sorted({p.holder or "none" for p in breakers})
    one = len(names) == 1
    sheet.holds(
        "breakers share one box", COMPLETENESS, subject, one, ", ".join(names), "one box"
    )
    room = survey.part(names[0], Holder).ways
    rule = "breakers have room in their box"
    sheet.at_most(rule, COMPLETENESS, subject, len(breakers), room, "breakers")
    behind = [c for p in breakers for c in survey.circuits_behind(p.id)]
    sources = sorted({f"{c.kind} from {c.from_}" for c in behind})
    # that each protects a circuit is asked elsewhere
    fine = len(sources) <= 1 and all(x.startswith("ac ") for x in sources)
    sheet.holds(
        "a box holds breakers of one AC source", COMMON_PRACTICE, subject, fine,
        ", ".join(sources), "AC circuits of one source",
    )  # fmt: skip
    places = sorted({p.place for p in breakers})
    sheet.holds(
        "a box stands in one place", COMPLETENESS, subject, len(places) == 1,
        ", ".join(places), "one place",
    )  # fmt: skip


def _block(sheet: Sheet, survey: Survey, block: str, ways: list[Protection]) -> None:
    subject = f"block {block}"
    names = sorted({p.holder or "none" for p in ways})
    sheet.holds(
        "fuses of a block share it",
        COMPLETENESS,
        subject,
        len(names) == 1,
        ", ".join(names),
        "one block",
    )
    holder = survey.part(names[0], Holder)
    used = [p.way for p in ways if p.way is not None]
    right = len(set(used)) == len(used) and all(1 <= way <= holder.ways for way in used)
    right = right and all(p.id == f"{block}:{p.way}" for p in ways)
    sheet.holds(
        "a way for each fuse",
        COMPLETENESS,
        subject,
        right,
        ", ".join(str(way) for way in sorted(used)),
        f"1 to {holder.ways}, each once",
    )
    for feed in (c for c in survey.circuits_of("feed") if c.to == block):
        sheet.at_least(
            "block carries its feed",
            COMMON_PRACTICE,
            subject,
            holder.rated_a,
            design_a(survey, feed),
            "A",
        )
        if feed.protection_id in survey.protections:
            fuse = protection_part(survey, survey.protections[feed.protection_id])
            sheet.at_most(
                "feed's protection within the block's rating",
                COMMON_PRACTICE,
                subject,
                fuse.rated_a,
                holder.rated_a,
                "A",
            )
