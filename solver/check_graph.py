"""Walks over the finished wiring: every piece, every end, every pole from bank to load.

A *core* is one conductor of one piece, between two ends. A *node* is what ends meet on: a
thing, with its pole where the thing has both. Fuses, switch and shunt join what lands on them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from solver.check_sheet import (
    COMMON_PRACTICE,
    COMPLETENESS,
    MissingError,
    Sheet,
    source_of,
)
from solver.check_survey import (
    ENGINE_BATTERY,
    NEGATIVE_BAR,
    OUTSIDE,
    POSITIVE_BAR,
    Survey,
)
from solver.fittings import is_isolator
from solver.parts import Busbar, Cable, Inverter, Monitor, PvInlet, Switch
from solver.records import Circuit, Cut, End
from solver.rules.protection import ac_unprotected_limit_m, unprotected_limit_m

Node = tuple[str, str]
"""A thing and a pole; the pole is empty where the thing has only one."""

CORES = {"battery": 1, "pv": 1, "pair": 2, "ac": 3}
"""Cores of a cable, by its use."""

AC_POLES = ("L", "N", "PE")

LUGS_ON_STUD = 4
ABYC_FOUR = "ABYC E-11, at most four on a stud, from memory"


@dataclass(frozen=True, slots=True)
class Core:
    """One conductor of one piece."""

    cut: Cut
    a: End
    b: End


@dataclass(frozen=True)
class Wiring:
    """All cores with the nodes they join."""

    survey: Survey
    cores: tuple[tuple[Core, Node, Node], ...]

    def of(self, circuit: Circuit, poles: Iterable[str]) -> list[tuple[Core, Node, Node]]:
        """The cores of a circuit whose poles are among those asked for."""
        wanted = set(poles)
        return [
            (core, a, b)
            for core, a, b in self.cores
            if core.cut.circuit == circuit.name and {core.a.pole, core.b.pole} <= wanted
        ]


def node_of(survey: Survey, end: End) -> Node:
    """What an end lands on."""
    thing = survey.thing(end.at)
    if thing in survey.blocks or thing in survey.load_circuits or thing in OUTSIDE:
        return (thing, end.pole)
    if thing in survey.protections:
        return (thing, end.pole if thing in survey.ac_protections else "")
    part = survey.device(thing).part
    one_pole = isinstance(part, Busbar | Switch | Monitor) and not is_isolator(part)
    return (thing, "" if one_pole else end.pole)


def cores_of(survey: Survey, cut: Cut) -> list[Core]:
    """The conductors of a piece, each with its two ends."""
    count = CORES[survey.part(cut.cable, Cable).use]
    if len(cut.ends) != 2 * count:
        raise MissingError(f"it has {len(cut.ends)} ends and {count} cores")
    if count == 1:
        return [Core(cut, *cut.ends)]
    poles = sorted({end.pole for end in cut.ends})
    found = []
    for pole in poles:
        ends = [end for end in cut.ends if end.pole == pole]
        if len(ends) != 2 or len(poles) != count:
            raise MissingError(f"its poles {', '.join(poles)} don't make {count} cores")
        found.append(Core(cut, *ends))
    return found


def check_graph(sheet: Sheet, survey: Survey) -> None:
    """Every walk over the wiring."""
    wiring = _wiring(sheet, survey)
    _labels(sheet, survey)
    _poles(sheet, wiring)
    _ports(sheet, survey)
    _lugs_on_studs(sheet, survey)
    for circuit in survey.design.circuits:
        with sheet.about(f"circuit {circuit.name}"):
            _circuit_is_whole(sheet, wiring, circuit)
    with sheet.about("bank"):
        _from_positive(sheet, wiring)
        _from_negative(sheet, wiring)


def _wiring(sheet: Sheet, survey: Survey) -> Wiring:
    circuits = {c.name for c in survey.design.circuits}
    found = []
    for cut in survey.design.cuts:
        with sheet.about(f"piece {cut.label}"):
            if cut.circuit not in circuits:
                raise MissingError(f'no circuit "{cut.circuit}"')
            found += [
                (core, node_of(survey, core.a), node_of(survey, core.b))
                for core in cores_of(survey, cut)
            ]
    return Wiring(survey, tuple(found))


def _labels(sheet: Sheet, survey: Survey) -> None:
    labels = Counter(cut.label for cut in survey.design.cuts)
    for label, n in labels.items():
        rule = "a label of its own on every piece"
        sheet.holds(
            rule, COMPLETENESS, f"piece {label}", n == 1 and label.strip() != "", n, 1, "pieces"
        )


def _poles(sheet: Sheet, wiring: Wiring) -> None:
    """Both ends of a core have one pole, and each end's pole is that of what it lands on."""
    survey = wiring.survey
    series = {c.name for c in survey.circuits_of("link") if c.conductors == 1}
    for core, a, b in wiring.cores:
        subject = f"piece {core.cut.label}"
        poles = (core.a.pole, core.b.pole)
        wanted = sorted(poles) == ["+", "-"] if core.cut.circuit in series else None
        right = poles[0] == poles[1] if wanted is None else wanted
        sheet.holds(
            "one pole from end to end",
            COMPLETENESS,
            subject,
            right,
            " and ".join(poles),
            "+ and -" if core.cut.circuit in series else "one pole",
        )
        for end, node in ((core.a, a), (core.b, b)):
            allowed = _allowed_poles(survey, end, node[0])
            sheet.holds(
                "polarity",
                COMPLETENESS,
                f"{subject} at {end.at}",
                end.pole in allowed,
                end.pole,
                " or ".join(allowed),
            )


def _allowed_poles(survey: Survey, end: End, thing: str) -> tuple[str, ...]:
    """The poles that may land on a thing: the port's own, where it names one."""
    port = end.at[len(thing) + 1 :]
    if port in ("+", "-", *AC_POLES):
        return (port,)
    if thing in survey.ac_protections:
        return AC_POLES
    if thing in survey.protections or thing == POSITIVE_BAR:
        return ("+",)
    if thing == NEGATIVE_BAR:
        return ("-", "PE")
    part = next((d.part for d in survey.design.devices if d.id == thing), None)
    if part is not None and (is_isolator(part) or isinstance(part, PvInlet)):
        return ("+", "-")
    one = {Switch: ("+",), Monitor: ("-",)}
    return one.get(type(part), ("+", "-", *AC_POLES))


PORTS: dict[tuple[str, str], tuple[str, ...]] = {
    ("battery", "switch"): ("bank",),
    ("battery", "monitor"): ("bank",),
    ("link", "switch"): ("bars",),
    ("link", "monitor"): ("bars",),
    ("array", "controller"): ("pv+", "pv-"),
    ("controller", "controller"): ("+", "-"),
    ("inverter", "inverter"): ("+", "-"),
    ("bond", "inverter"): ("earth",),
    ("bond", "charger"): ("earth",),
    ("bond", "panel"): ("earth",),
}
"""Ports of a device, by the kind of circuit and the device's class; others hang on its ends."""


def _ports(sheet: Sheet, survey: Survey) -> None:
    """Each end lands on the port of its device that its circuit is for."""
    circuits = {c.name: c for c in survey.design.circuits}
    between = {d.id for d, _ in (*survey.isolators, *survey.inlets)}
    for cut in survey.design.cuts:
        circuit = circuits.get(cut.circuit)
        for end in cut.ends if circuit is not None else ():
            with sheet.about(f"piece {cut.label} at {end.at}"):
                thing = survey.thing(end.at)
                device = next((d for d in survey.design.devices if d.id == thing), None)
                if circuit is None or device is None:
                    continue
                wanted = (
                    _side(survey, cut, thing)
                    if thing in between
                    else _device_ports(circuit, device.id, device.part.cls)
                )
                if wanted:
                    port = end.at[len(thing) + 1 :]
                    sheet.is_one_of(
                        "right port",
                        COMPLETENESS,
                        f"piece {cut.label} at {end.at}",
                        port,
                        wanted,
                    )


def _device_ports(circuit: Circuit, thing: str, part_class: str) -> tuple[str, ...]:
    if circuit.kind == "ac" and part_class in ("inverter", "charger"):
        return ("out",) if circuit.from_ == thing else ("in",)
    if circuit.kind == "charger" and part_class == "charger":
        return ("in+", "in-") if circuit.from_ == ENGINE_BATTERY else ("+", "-")
    return PORTS.get((circuit.kind, part_class), ())


def _side(survey: Survey, cut: Cut, thing: str) -> tuple[str, ...]:
    """The side of the panels is an isolator's or an inlet's `in`, that of the controller its `out`.

    From panels on the ground the inlet comes first, then the isolator.
    """
    before = {panel for array in survey.design.arrays for panel in array.panels}
    before |= {d.id for d, _ in survey.inlets}
    others = {survey.thing(end.at) for end in cut.ends} - {thing}
    return ("in",) if others & before else ("out",)


def _lugs_on_studs(sheet: Sheet, survey: Survey) -> None:
    studs = Counter(
        (end.at, end.pole)
        for cut in survey.design.cuts
        for end in cut.ends
        if end.stud is not None and ":" in end.at
    )
    for (at, pole), n in sorted(studs.items()):
        sheet.at_most("lugs on one stud", ABYC_FOUR, f"{at} {pole}", n, LUGS_ON_STUD, "lugs")


# --- one circuit ------------------------------------------------------------------------------


def _circuit_is_whole(sheet: Sheet, wiring: Wiring, circuit: Circuit) -> None:
    """Each pole of a circuit leads from its one end to the other, through its protection."""
    survey = wiring.survey
    subject = f"circuit {circuit.name}"
    if circuit.kind == "bond":
        start = (circuit.from_, "" if circuit.from_ == NEGATIVE_BAR else "PE")
        _walk(sheet, wiring, circuit, ("PE",), {start}, {(circuit.to, "PE")})
        return
    if circuit.kind == "link" and circuit.conductors == 1:
        _walk(sheet, wiring, circuit, ("+", "-"), {(circuit.from_, "-")}, {(circuit.to, "+")})
        return
    if circuit.kind == "ac":
        _ac_is_whole(sheet, wiring, circuit)
        return
    starts, ends = _positive_ends(survey, circuit)
    _walk(sheet, wiring, circuit, ("+",), starts, ends)
    if circuit.protection_id is not None and circuit.protection_id in survey.protections:
        _passes_protection(sheet, wiring, circuit, starts, ends, subject)
    starts, ends = _negative_ends(survey, circuit)
    _walk(sheet, wiring, circuit, ("-",), starts, ends)


def _ac_is_whole(sheet: Sheet, wiring: Wiring, circuit: Circuit) -> None:
    """Each core leads from end to end; line and neutral pass the protection, near its source."""
    for pole in AC_POLES:
        starts, ends = {(circuit.from_, pole)}, {(circuit.to, pole)}
        _walk(sheet, wiring, circuit, (pole,), starts, ends)
        if circuit.protection_id in wiring.survey.protections and pole != "PE":
            _passes_protection(
                sheet, wiring, circuit, starts, ends, f"circuit {circuit.name}", pole
            )


def _walk(
    sheet: Sheet,
    wiring: Wiring,
    circuit: Circuit,
    poles: tuple[str, ...],
    starts: set[Node],
    ends: set[Node],
) -> None:
    """The pieces of a pole lead from start to end, and none of them leads elsewhere."""
    cores = wiring.of(circuit, poles)
    reached = _reach(cores, starts, frozenset())
    met = Counter(node for _, a, b in cores for node in (a, b))
    loose = sorted(
        node[0] for node, n in met.items() if n == 1 and node not in starts and node not in ends
    )
    pole = " to ".join(poles[::-1]) if len(poles) > 1 else poles[0]
    # one way from end to end has one node more than pieces
    whole = bool(reached & ends) and not loose and set(met) <= reached
    whole = whole and len(cores) == len(met) - 1
    sheet.holds(
        f"pole {pole} leads from end to end",
        COMPLETENESS,
        f"circuit {circuit.name}",
        whole,
        ", ".join(sorted({node[0] for node in met})) or "no piece",
        f"{_names(starts)} to {_names(ends)}",
    )


def _names(nodes: set[Node]) -> str:
    return " or ".join(sorted({node[0] for node in nodes}))


def _reach(
    cores: Iterable[tuple[Core, Node, Node]], starts: set[Node], stop: frozenset[str]
) -> set[Node]:
    """Every node that cores lead to; things in `stop` are reached and not passed."""
    beside: dict[Node, list[Node]] = {}
    for _, a, b in cores:
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    reached = set(starts)
    queue = list(starts)
    while queue:
        here = queue.pop()
        if here[0] in stop and here not in starts:
            continue
        for there in beside.get(here, ()):
            if there not in reached:
                reached.add(there)
                queue.append(there)
    return reached


def _positive_ends(survey: Survey, circuit: Circuit) -> tuple[set[Node], set[Node]]:
    return _sides(survey, circuit, "+", circuit.from_), _sides(survey, circuit, "+", circuit.to)


def _negative_ends(survey: Survey, circuit: Circuit) -> tuple[set[Node], set[Node]]:
    return _sides(survey, circuit, "-", circuit.from_), _sides(survey, circuit, "-", circuit.to)


def _sides(survey: Survey, circuit: Circuit, pole: str, thing: str) -> set[Node]:
    """The nodes at which one pole of a circuit may begin or end."""
    if circuit.kind == "array" and thing == circuit.from_:
        array = survey.array_at(circuit.to)
        end = 0 if pole == "+" else array.series - 1
        return {(panel, pole) for panel in array.panels[end : end + 1]}
    monitors = {(d.id, "") for d, _ in survey.devices_of(Monitor)}
    if thing == POSITIVE_BAR:
        return {(POSITIVE_BAR if pole == "+" else NEGATIVE_BAR, "")}
    if any(d.id == thing for d, _ in survey.bank_switches):
        return {(thing, "")} if pole == "+" else monitors
    if thing in survey.blocks:
        # A block without a rail of its own leaves the negative to the bus bar.
        return {(thing, pole)} | ({(NEGATIVE_BAR, "")} if pole == "-" else set())
    if circuit.kind == "battery" and thing == circuit.from_ and pole == "-":
        string = next((s for s in survey.strings if thing in s), (thing,))
        return {(string[-1], "-")}
    return {(thing, pole)}


def _passes_protection(
    sheet: Sheet,
    wiring: Wiring,
    circuit: Circuit,
    starts: set[Node],
    ends: set[Node],
    subject: str,
    pole: str = "+",
) -> None:
    """Without its protection a pole leads nowhere; the protection is near the source."""
    survey = wiring.survey
    protection = survey.protections[circuit.protection_id or ""]
    cores = wiring.of(circuit, (pole,))
    if protection.way is not None:
        landed = any(protection.id in (core.a.at, core.b.at) for core, _, _ in cores)
        sheet.holds(
            "positive passes its protection",
            COMPLETENESS,
            subject,
            landed,
            "lands elsewhere" if not landed else protection.id,
            protection.id,
        )
        return
    node = (protection.id, "" if pole == "+" else pole)
    rule = "positive passes its protection" if pole == "+" else f"{pole} passes its protection"
    past = _reach(cores, starts, frozenset({protection.id})) - {node}
    meets = any(node in (a, b) for _, a, b in cores)
    sheet.holds(
        rule,
        COMPLETENESS,
        subject,
        meets and not past & ends,
        protection.id if meets else "not wired in",
        protection.id,
    )
    sources = starts
    if circuit.to == POSITIVE_BAR and circuit.kind in ("controller", "charger"):
        sources = ends
    practice = survey.needs.rules.practice
    rule = "protection near its source"
    for core, a, b in cores:
        if node not in (a, b) or not (a in sources or b in sources):
            continue
        if circuit.kind == "ac":
            sheet.at_most(
                "AC breaker near its source",
                source_of(ac_unprotected_limit_m),
                subject,
                core.cut.length_mm / 1000,
                ac_unprotected_limit_m(
                    practice,
                    any(d.id == circuit.from_ for d, _ in survey.devices_of(Inverter)),
                    core.cut.sheathed,
                ),
                "m",
            )
            continue
        at_battery = circuit.kind == "battery" or circuit.from_ == ENGINE_BATTERY
        sheet.at_most(
            rule,
            source_of(unprotected_limit_m),
            subject,
            core.cut.length_mm / 1000,
            unprotected_limit_m(practice, at_battery, core.cut.sheathed),
            "m",
        )


# --- the whole --------------------------------------------------------------------------------


def _bank_side(wiring: Wiring) -> list[tuple[Core, Node, Node]]:
    """The cores of the bank's own side: not those of arrays, AC, or an engine's battery."""
    survey = wiring.survey
    apart = {
        c.name
        for c in survey.design.circuits
        if c.kind in ("array", "ac", "bond") or c.from_ == ENGINE_BATTERY
    }
    series = {c.name for c in survey.circuits_of("link") if c.conductors == 1}
    return [x for x in wiring.cores if x[0].cut.circuit not in apart | series]


def _consumers(survey: Survey) -> list[str]:
    """What both poles of the bank must reach."""
    devices = [
        d.id
        for d in survey.design.devices
        if d.part.cls in ("controller", "inverter", "charger")
    ]
    dc = [name for name, loads in survey.load_circuits.items() if loads[0].supply == "dc"]
    return devices + dc


def _from_positive(sheet: Sheet, wiring: Wiring) -> None:
    survey = wiring.survey
    cores = [x for x in _bank_side(wiring) if x[0].a.pole == "+"]
    starts = {(string[0], "+") for string in survey.strings}
    reached = _reach(cores, starts, frozenset())
    for thing in _consumers(survey):
        there = (thing, "+") in reached
        sheet.holds(
            "positive reaches",
            COMPLETENESS,
            thing,
            there,
            "reached" if there else "not reached",
            "reached",
        )
    fuses = frozenset(c.protection_id or "" for c in survey.circuits_of("battery"))
    bare = {n for n in _reach(cores, starts, fuses) - starts if n[0] not in fuses}
    sheet.holds(
        "nothing before the main protection",
        COMPLETENESS,
        "bank",
        not bare,
        _names(bare) or "nothing",
        "nothing",
    )
    switches = frozenset(d.id for d, _ in survey.bank_switches)
    past = _reach(cores, starts, switches)
    sheet.holds(
        "switch isolates the bank",
        COMMON_PRACTICE,
        "bank",
        (POSITIVE_BAR, "") not in past,
        "passed by" if (POSITIVE_BAR, "") in past else "in the way",
        "in the way",
    )


def _from_negative(sheet: Sheet, wiring: Wiring) -> None:
    survey = wiring.survey
    cores = [x for x in _bank_side(wiring) if x[0].a.pole == "-"]
    starts = {(string[-1], "-") for string in survey.strings}
    reached = _reach(cores, starts, frozenset())
    for thing in _consumers(survey):
        there = (thing, "-") in reached
        sheet.holds(
            "negative reaches",
            COMPLETENESS,
            thing,
            there,
            "reached" if there else "not reached",
            "reached",
        )
    shunts = frozenset(d.id for d, _ in survey.devices_of(Monitor))
    beside = {n for n in _reach(cores, starts, shunts) - starts if n[0] not in shunts}
    sheet.holds(
        "everything negative is behind the shunt",
        COMPLETENESS,
        "bank",
        not beside,
        _names(beside) or "nothing else",
        "nothing else",
    )
