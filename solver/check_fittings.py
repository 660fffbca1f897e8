"""Checks of safety fittings: each is there, serves, and is wired in."""

from __future__ import annotations

from collections import Counter

from solver.check_sheet import (
    ARITHMETIC,
    COMMON_PRACTICE,
    COMPLETENESS,
    MissingError,
    Sheet,
    source_of,
)
from solver.check_survey import CHASSIS, NEGATIVE_BAR, SHORE_INLET, Survey
from solver.fittings import ARRAY_ISOLATOR, EARTH_CABLE, INLET, SOCKET
from solver.parts import (
    Battery,
    Breaker,
    Charger,
    CommCable,
    Controller,
    Inverter,
    Socket,
)
from solver.records import Array, Circuit
from solver.rules.comm import buses_of, link_m, plugs_fit
from solver.rules.earthing import earth_least_mm2, frame_least_mm2
from solver.rules.isolation import isolator_breaks
from solver.rules.protection import serves_ac_v
from solver.rules.string import pv_design_current_a, voc_cold_v


def check_fittings(sheet: Sheet, survey: Survey) -> None:
    """Every fitting that the catalog knows a part for."""
    _isolators(sheet, survey)
    for circuit in survey.circuits_of("ac"):
        with sheet.about(f"circuit {circuit.name}"):
            _outlets(sheet, survey, circuit)
    with sheet.about("earthing"):
        _bonds(sheet, survey)
    with sheet.about("comm links"):
        _links(sheet, survey)


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
            # what is plugged in by hand must be dead first, whatever the catalog has
            must = survey.on_the_ground(array)
            right = 1 if must or (wanted and place.may_hold("switch")) else 0
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
    # the lead of panels on the ground ends at its inlet, before the isolator
    outside = {*array.panels, *(d.id for d, _ in survey.inlets)}
    around = [
        cut.label
        for cut in survey.design.cuts
        if cut.circuit in circuits
        and name not in (ends := {survey.thing(e.at) for e in cut.ends})
        and not ends <= outside
    ]
    sheet.holds(
        "both poles pass the isolator",
        source,
        subject,
        not around,
        ", ".join(around) or "every piece",
        "every piece",
    )


def _outlets(sheet: Sheet, survey: Survey, circuit: Circuit) -> None:
    """A socket for each AC load, an inlet where shore power comes in; both carry the fuse."""
    subject = f"circuit {circuit.name}"
    from_shore = circuit.from_ == SHORE_INLET
    fitting, kind = (INLET, "inlet") if from_shore else (SOCKET, "socket")
    loads = survey.load_circuits.get(circuit.to, [])
    wanted = 1 if from_shore else sum(load.quantity for load in loads)
    if fitting.name in survey.design.without:
        wanted = 0
    found = [
        (survey.part(e.part, Socket), e.quantity)
        for e in survey.design.extras
        if e.of == circuit.name
    ]
    n = sum(n for part, n in found if part.kind == kind)
    sheet.holds(f"{kind} for what is plugged in", COMPLETENESS, subject, n == wanted, n, wanted)
    let_through_a = circuit.design_a
    if circuit.protection_id in survey.protections:
        name = survey.protections[circuit.protection_id].part
        let_through_a = survey.part(name, Breaker).rated_a
    for part, _ in found:
        whole = f"{subject}, {part.part}"
        rule = f"{kind} carries what its protection lets through"
        sheet.at_least(rule, COMMON_PRACTICE, whole, part.rated_a, let_through_a, "A")
        ac_v = survey.needs.rules.ac_v
        right, source = serves_ac_v(part.ac_v, ac_v), source_of(serves_ac_v)
        sheet.holds(f"{kind}'s voltage", source, whole, right, part.ac_v, ac_v, "V")


def _bonds(sheet: Sheet, survey: Survey) -> None:
    """One bond of the negative bar and no second; earths of cases with mains in them, of frames."""
    cases = [d.id for d, _ in survey.devices_of(Inverter)]
    cases += [d.id for d, p in survey.devices_of(Charger) if p.kind != "engine"]
    wanted = [] if EARTH_CABLE.name in survey.design.without else [NEGATIVE_BAR, *cases]
    bonds = survey.circuits_of("bond")
    arrays = {panel: a.controller for a in survey.design.arrays for panel in a.panels}
    # the frames of an array are one thing, joined by their rails
    starts = Counter(
        f"frames at {arrays[c.from_]}" if c.from_ in arrays else c.from_ for c in bonds
    )
    if wanted:
        wanted += [
            f"frames at {a.controller}"
            for a in survey.design.arrays
            if not survey.on_the_ground(a)
        ]
    for thing in sorted({*wanted, *starts}):
        right = int(thing in wanted)
        sheet.holds(
            "one way to earth",
            source_of(earth_least_mm2),
            thing,
            starts[thing] == right and all(c.to == CHASSIS for c in bonds),
            starts[thing],
            right,
            "conductors",
        )
    for bond in bonds:
        with sheet.about(f"circuit {bond.name}"):
            practice, frames = survey.needs.rules.practice, bond.from_ in arrays
            sheet.at_least(
                "earthing conductor thick enough",
                source_of(frame_least_mm2 if frames else earth_least_mm2),
                f"circuit {bond.name}",
                min(c.area_mm2 for c in survey.cables_of(bond)),
                frame_least_mm2(practice)
                if frames
                else earth_least_mm2(practice, _live_mm2(survey, bond)),
                "mm²",
            )


def _live_mm2(survey: Survey, bond: Circuit) -> float:
    """What an earthing conductor goes by: the conductor to the bus bars, or to the device."""
    if bond.from_ == NEGATIVE_BAR:
        live = [c for c in survey.circuits_of("link") if c.conductors > 1]
    else:
        kinds = survey.circuits_of("inverter", "charger")
        live = [c for c in kinds if bond.from_ in (c.from_, c.to)]
    areas = [cable.area_mm2 for c in live for cable in survey.cables_of(c)]
    if not areas:
        raise MissingError(f'nothing feeds "{bond.from_}"')
    return max(areas)


def _links(sheet: Sheet, survey: Survey) -> None:
    """Each device that speaks a bus of the monitor is linked once, to it or along the bank."""
    bank = survey.design.bank.batteries
    goals = dict(zip(bank, ("monitor-1", *bank), strict=False))
    starts = Counter(link.from_ for link in survey.design.links)
    for device in survey.design.devices:
        part = device.part
        speaks = isinstance(part, Battery | Controller | Inverter | Charger) and bool(
            buses_of(part.comm) & set(survey.design.heard)
        )
        if speaks or starts[device.id]:
            sheet.holds(
                "comm port is linked",
                COMPLETENESS,
                device.id,
                starts[device.id] == int(speaks),
                starts[device.id],
                int(speaks),
                "links",
            )
    for link in survey.design.links:
        subject = f"link {link.from_} to {link.to}"
        with sheet.about(subject):
            ends = [survey.device(x).part for x in (link.from_, link.to)]
            cable = survey.part(link.part, CommCable)
            wanted = goals.get(link.from_, "monitor-1")
            sheet.is_one_of("link leads to", COMPLETENESS, subject, link.to, wanted)
            shared = buses_of(getattr(ends[0], "comm", None))
            shared &= buses_of(getattr(ends[1], "comm", None))
            bus = "both ends speak the cable's bus"
            sheet.is_one_of(bus, COMPLETENESS, subject, cable.bus, tuple(sorted(shared)))
            plugs = (getattr(ends[0], "comm_plug", None), getattr(ends[1], "comm_plug", None))
            sheet.holds(
                "plugs fit",
                COMPLETENESS,
                subject,
                plugs_fit((cable.plug_a, cable.plug_b), plugs),
                f"{cable.plug_a}, {cable.plug_b}",
                " and ".join(x or "any" for x in plugs),
            )
            metres = survey.least_m(link.from_, link.to)
            least = link_m(metres, survey.needs.rules.slack_mm)
            sheet.agrees("length, as stated", ARITHMETIC, subject, link.length_m, metres, "m")
            source = source_of(link_m)
            sheet.at_least("comm cable reaches", source, subject, cable.run_m, least, "m")
