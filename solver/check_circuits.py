"""Checks of circuits: current, way, conductor, drop."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from solver.check_currents import bank_a, current_a, design_a
from solver.check_sheet import (
    ARITHMETIC,
    COMMON_PRACTICE,
    COMPLETENESS,
    CONTRACT,
    Sheet,
    source_of,
)
from solver.check_survey import (
    ENGINE_BATTERY,
    NEGATIVE_BAR,
    POSITIVE_BAR,
    SHORE_INLET,
    Survey,
    Way,
)
from solver.fittings import EARTH_COLOURS
from solver.parts import Busbar, Cable, Charger, Controller, Inverter, Monitor, Switch
from solver.records import Circuit, Device
from solver.rules.conductor import (
    ampacity_a,
    drop_v,
    least_area_mm2,
    resistance_limit_ohm_per_km,
    resistance_ohm_per_m,
)

DROP = "arithmetic, with the resistance of IEC 60228 at the working temperature"
IEC_60445 = "IEC 60445 and the practices' colours, from memory"

ENGINE_NOMINAL_V = 12.0

LIVE = 2
"""Loaded conductors a circuit brings to a bundle: its two poles; of AC, line and neutral."""

EARTHS = ("bond",)
"""Kinds of circuit whose conductors carry nothing."""

USES = {
    "array": ("pv",),
    "load": ("pair", "battery"),
    "ac": ("ac",),
}
"""Cable by kind of circuit; the others take battery cable."""

POSITIVE_ONLY = frozenset({"red"})
NEGATIVE_ONLY = frozenset({"black", "blue", "white", "yellow"})


def check_circuits(sheet: Sheet, survey: Survey) -> None:
    """Every circuit by itself, and that none is missing."""
    check_all_wired(sheet, survey)
    for circuit in survey.design.circuits:
        subject = f"circuit {circuit.name}"
        with sheet.about(subject):
            _currents(sheet, survey, circuit, subject)
        with sheet.about(subject):
            way = survey.way_of(circuit)
            _length(sheet, survey, circuit, way, subject)
            _cable(sheet, survey, circuit, subject)
            _ampacity(sheet, survey, circuit, way, subject)
            _drop(sheet, survey, circuit, way, subject)
    for cut in survey.design.cuts:
        with sheet.about(f"piece {cut.label}"):
            _colour(sheet, survey.part(cut.cable, Cable), {e.pole for e in cut.ends}, cut.label)


def _currents(sheet: Sheet, survey: Survey, circuit: Circuit, subject: str) -> None:
    sheet.agrees(
        "current, as stated",
        COMMON_PRACTICE,
        subject,
        circuit.current_a,
        current_a(survey, circuit),
        "A",
    )
    sheet.agrees(
        "design current, as stated",
        COMMON_PRACTICE,
        subject,
        circuit.design_a,
        design_a(survey, circuit),
        "A",
    )
    right = 3 if circuit.kind == "ac" else 2
    single = circuit.kind in ("bond", "link") and circuit.conductors == 1
    sheet.holds(
        "conductors of a circuit",
        ARITHMETIC,
        subject,
        single or circuit.conductors == right,
        circuit.conductors,
        right,
        "conductors",
    )


def _length(sheet: Sheet, survey: Survey, circuit: Circuit, way: Way, subject: str) -> None:
    sheet.agrees("length, as stated", ARITHMETIC, subject, circuit.length_m, way.length_m, "m")
    passed = [circuit.via[0][0], *(b for _, b in circuit.via)] if circuit.via else []
    joined = all(b == c for (_, b), (c, _) in pairwise(circuit.via))
    ends = (way.places[0], way.places[-1]) if len(way.places) > 1 else None
    right = joined and (
        (ends is None and not passed)
        or (ends is not None and len(passed) > 1 and (passed[0], passed[-1]) == ends)
    )
    length_m = survey.along(tuple(passed)).length_m if passed and right else way.length_m
    sheet.holds(
        "way is a shortest one",
        ARITHMETIC,
        subject,
        right and length_m <= way.length_m * (1 + 1e-9),
        " > ".join(passed) or "in one place",
        " > ".join(way.places) if ends else "in one place",
    )


def _cable(sheet: Sheet, survey: Survey, circuit: Circuit, subject: str) -> None:
    rules = survey.needs.rules
    for cable in survey.cables_of(circuit):
        sheet.at_least(
            "least conductor",
            source_of(least_area_mm2),
            subject,
            cable.area_mm2,
            least_area_mm2(rules.practice, cable.use in ("pair", "ac")),
            "mm²",
        )
        sheet.at_most(
            "conductor's resistance",
            source_of(resistance_limit_ohm_per_km),
            subject,
            cable.ohm_per_km_20c,
            resistance_limit_ohm_per_km(cable.area_mm2),
            "Ω/km",
        )
        sheet.agrees(
            "conductor's area, as stated",
            ARITHMETIC,
            subject,
            circuit.area_mm2,
            cable.area_mm2,
            "mm²",
        )
        uses = USES.get(circuit.kind, ("battery",))
        sheet.is_one_of("cable made for the use", COMMON_PRACTICE, subject, cable.use, uses)


def _ampacity(sheet: Sheet, survey: Survey, circuit: Circuit, way: Way, subject: str) -> None:
    carried_a = ampacity_of(survey, circuit, way)
    source = source_of(ampacity_a)
    sheet.agrees("ampacity, as stated", source, subject, circuit.ampacity_a, carried_a, "A")
    sheet.at_least(
        "conductor carries the design current",
        source,
        subject,
        carried_a,
        design_a(survey, circuit),
        "A",
    )


def ampacity_of(survey: Survey, circuit: Circuit, way: Way | None = None) -> float:
    """The corrected ampacity of a circuit: of the weakest cable it is made of."""
    way = way or survey.way_of(circuit)
    together = loaded_on(survey, way)
    return min(
        float(
            ampacity_a(
                survey.needs.rules.practice,
                cable.area_mm2,
                cable.insulation_c,
                way.ambient_c,
                together,
                way.engine_space,
            )
        )
        for cable in survey.cables_of(circuit)
    )


def loaded_on(survey: Survey, way: Way) -> int:
    """Loaded conductors on the fullest leg of a circuit's way: those of the kit, and those stated.

    Within one place its own alone count.
    """
    if len(way.places) < 2:
        return LIVE
    passing = Counter(
        frozenset(pair)
        for other in survey.design.circuits
        if other.kind not in EARTHS
        for pair in pairwise(survey.way_of(other).places)
    )
    return max(
        stated + LIVE * passing[frozenset(pair)]
        for pair, stated in zip(pairwise(way.places), way.stated, strict=True)
    )


def _drop(sheet: Sheet, survey: Survey, circuit: Circuit, way: Way, subject: str) -> None:
    rules = survey.needs.rules
    worst = max(c.ohm_per_km_20c for c in survey.cables_of(circuit))
    ohm_per_m = resistance_ohm_per_m(worst, rules.conductor_c)
    running_a = current_a(survey, circuit)
    base_v = float(survey.design.system_voltage_v)
    if circuit.kind == "array":
        facts = survey.facts(survey.array_at(circuit.to))
        running_a = facts.array.parallel * facts.panel.imp_a
        base_v = facts.array.series * facts.panel.vmp_v
    elif circuit.kind == "ac":
        base_v = rules.ac_v
    volts = float(drop_v(circuit.conductors, way.length_m, running_a, ohm_per_m))
    percent = 100 * volts / base_v
    sheet.agrees("voltage drop, as stated", DROP, subject, circuit.drop_v, volts, "V")
    sheet.agrees("drop in percent, as stated", DROP, subject, circuit.drop_pct, percent, "%")
    if circuit.from_ == ENGINE_BATTERY:
        # What is lost counts against an engine's own 12 V, whatever the bank's voltage.
        percent = 100 * volts / ENGINE_NOMINAL_V
    limits = rules.drop_pct
    limit = {
        "array": limits.array,
        "controller": limits.charger,
        "charger": limits.charger,
        "battery": limits.battery,
        "link": limits.battery,
        "feed": limits.battery,
        "inverter": limits.inverter,
        "load": limits.load,
        "ac": limits.load,
    }.get(circuit.kind)
    if limit is not None:
        sheet.at_most("voltage drop", CONTRACT, subject, percent, limit, "%")


def _colour(sheet: Sheet, cable: Cable, poles: set[str], label: str) -> None:
    """Colours say the pole where they can; cables of several cores carry their own."""
    if cable.use in ("pair", "ac"):
        return
    allowed = (cable.colour in EARTH_COLOURS) == (poles == {"PE"}) and not (
        (cable.colour in POSITIVE_ONLY and poles == {"-"})
        or (cable.colour in NEGATIVE_ONLY and poles == {"+"})
    )
    sheet.holds(
        "colour fits the pole",
        IEC_60445,
        f"piece {label}",
        allowed,
        cable.colour,
        " ".join(sorted(poles)),
    )


# --- nothing left unwired --------------------------------------------------------------------


def check_all_wired(sheet: Sheet, survey: Survey) -> None:
    """Every device and load has the circuits it needs, each exactly once."""
    circuits = survey.design.circuits
    names = [c.name for c in circuits]
    sheet.holds(
        "circuit names differ",
        COMPLETENESS,
        "circuits",
        len(set(names)) == len(names),
        len(set(names)),
        len(names),
        "names",
    )
    rule = "has its circuit"
    for subject, kind, from_, to in _wanted(survey):
        found = [
            c
            for c in circuits
            if c.kind == kind
            and (from_ is None or c.from_ == from_)
            and (to is None or c.to == to)
        ]
        sheet.holds(
            f"{rule} ({kind})",
            COMPLETENESS,
            subject,
            len(found) == 1,
            len(found),
            1,
            "circuits",
        )
    for name, devices in (
        ("switch", survey.bank_switches),
        ("monitor", survey.devices_of(Monitor)),
    ):
        n = len(devices)
        rule = "one of it isolates or measures the bank"
        sheet.holds(rule, COMMON_PRACTICE, name, n == 1, n, 1, "devices")


def _wanted(survey: Survey) -> list[tuple[str, str, str | None, str | None]]:
    """What must be wired: the thing, the circuit's kind, its ends where they are known."""
    wanted: list[tuple[str, str, str | None, str | None]] = []
    for device, _ in survey.devices_of(Controller):
        wanted.append((device.id, "array", None, device.id))
        wanted.append((device.id, "controller", device.id, POSITIVE_BAR))
    for device, _ in survey.devices_of(Inverter):
        wanted.append((device.id, "inverter", POSITIVE_BAR, device.id))
    for device, part in survey.devices_of(Charger):
        wanted.append((device.id, "charger", device.id, POSITIVE_BAR))
        if part.kind == "engine":
            wanted.append((device.id, "charger", ENGINE_BATTERY, device.id))
        else:
            wanted.append((device.id, "ac", SHORE_INLET, device.id))
    for string in survey.strings:
        wanted.append((string[0], "battery", string[0], None))
        wanted += [(a, "link", a, b) for a, b in pairwise(string)]
    for name, loads in survey.load_circuits.items():
        kind = "load" if loads[0].supply == "dc" else "ac"
        wanted.append((f"load {name}", kind, None, name))
    wanted += [(block, "feed", POSITIVE_BAR, block) for block in survey.blocks]
    return wanted


# --- what carries everything -----------------------------------------------------------------


def check_bars(sheet: Sheet, survey: Survey) -> None:
    """Bus bars, switch and shunt carry the largest current; bars have room for every lug."""
    with sheet.about("bus bars"):
        most_a = bank_a(survey)
        isolators = {d.id for d, _ in survey.isolators}
        for device in survey.design.devices:
            if device.id in isolators:
                continue
            if isinstance(device.part, Busbar | Switch | Monitor):
                sheet.at_least(
                    "carries the largest current",
                    COMMON_PRACTICE,
                    device.id,
                    device.part.rated_a,
                    most_a,
                    "A",
                )
            if isinstance(device.part, Switch):
                sheet.at_least(
                    "voltage it may switch",
                    COMMON_PRACTICE,
                    device.id,
                    device.part.max_v,
                    survey.circuit_v,
                    "V",
                )
            if isinstance(device.part, Busbar):
                _bar_studs(sheet, survey, device, device.part)
    for name in (POSITIVE_BAR, NEGATIVE_BAR):
        there = any(d.id == name for d in survey.design.devices)
        sheet.holds("bus bar of each pole", COMPLETENESS, name, there, int(there), 1, "devices")


def _bar_studs(sheet: Sheet, survey: Survey, device: Device, part: Busbar) -> None:
    lugs = sum(
        end.at == device.id or end.at.startswith(f"{device.id}:")
        for cut in survey.design.cuts
        for end in cut.ends
    )
    sheet.at_most("a stud for every lug", COMMON_PRACTICE, device.id, lugs, part.studs, "lugs")
