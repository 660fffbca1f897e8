"""Tests before anything is closed: torque, pull, continuity, insulation, shorts, signs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import partial

from solver.parts import Cable
from solver.readings import DEAD, IEC_ARRAY, IEC_INSULATION, Expected, ac_circuits, row
from solver.records import Circuit, Design
from solver.rules.conductor import resistance_ohm_per_m
from solver.rules.termination import ABYC_PULL, IEC_60947_1, pull_n, torque_nm

_row = partial(row, DEAD)


def dead_tests(design: Design) -> Iterator[Expected]:
    """The tests with sources open and fuses out, in their order."""
    yield _row(
        1,
        "look over every row of the sheet circuits against the wiring diagram",
        f"{len(design.cuts)} pieces",
        "device, size, colour, label",
        instrument="eyes",
        outside="correct it before anything is closed",
    )
    for stud, ends in sorted(_studs(design).items(), key=lambda x: torque_nm(x[0])):
        yield _row(
            2,
            "torque of every nut and bolt",
            f"{stud}, {ends} ends",
            torque_nm(stud),
            "Nm",
            instrument="torque tool",
            source=IEC_60947_1.text(),
            outside="take the maker's own value where there is one; loosen, look at lug and "
            "thread, tighten once, mark with paint",
        )
    for size, (area_mm2, ends) in sorted(_crimped(design).items(), key=lambda x: x[1][0]):
        pull = pull_n(area_mm2)
        yield _row(
            3,
            "pull a sample of the crimped ends for a minute",
            f"{size}, {ends} ends",
            pull,
            "N",
            pull,
            instrument="spring balance or weight",
            source=ABYC_PULL.text(),
            outside="another die or lug, and pull every end of that size",
        )
    yield from (
        _row(
            4,
            "continuity of earth and bond",
            name,
            ohm,
            "Ω",
            None,
            0.5,
            instrument="ohmmeter",
            outside="clean and tighten the joint",
        )
        for name, ohm in _earths(design)
    )
    yield _row(
        5,
        "insulation of DC plus and minus against chassis or earth, electronics disconnected",
        f"{design.system_voltage_v} V side",
        "at least 0.5 at 250 V",
        "MΩ",
        0.5,
        instrument="insulation tester",
        source=IEC_INSULATION,
        outside="halve the circuits until the faulty one is found; dry, mend, test again",
    )
    for array in design.arrays:
        high = array.voc_cold_v >= 120
        test_v, least = (500, 1.0) if high else (250, 0.5)
        yield _row(
            5,
            "insulation of the array's plus and minus against frames and earth",
            array.controller,
            f"at least {least:g} at {test_v} V",
            "MΩ",
            least,
            instrument="insulation tester",
            source=IEC_ARRAY,
            outside="open connectors in the dark, string by string; mend before connecting",
        )
    if ac_circuits(design):
        yield _row(
            5,
            "insulation of the AC side",
            "AC side",
            "at least 1 at 500 V",
            "MΩ",
            1.0,
            instrument="insulation tester",
            source=IEC_INSULATION,
            licensed=True,
            outside="not put to use before it is mended and tested again",
        )
    yield _row(
        6,
        "plus against minus at the bus bars, loads off",
        "bus bars",
        "over 1, rising while capacitors charge",
        "kΩ",
        1.0,
        instrument="ohmmeter",
        outside="a short or a load that is on: find it before any fuse goes in",
    )
    yield _row(
        7,
        "sign at every battery fuse, string end and plug",
        "all ends",
        "plus on plus",
        instrument="voltmeter",
        outside="never close it; change the ends",
    )


def _studs(design: Design) -> Counter[str]:
    return Counter(e.stud for c in design.cuts for e in c.ends if e.stud is not None)


def _crimped(design: Design) -> dict[str, tuple[float, int]]:
    """Sizes that lugs are crimped on, with how many."""
    found: dict[str, tuple[float, int]] = {}
    for cut in design.cuts:
        cable = design.parts[cut.cable]
        lugs = sum(
            e.termination is not None and design.parts[e.termination].cls == "lug"
            for e in cut.ends
        )
        if lugs and isinstance(cable, Cable):
            area, before = found.get(cable.size, (cable.area_mm2, 0))
            found[cable.size] = (area, before + lugs)
    return found


def _earths(design: Design) -> Iterator[tuple[str, float | str]]:
    """Earth and bonding conductors with their resistance at 20 °C.

    A kit without any says so, and names no cases or frames that it does not bond; what somebody
    else has bonded is measured all the same.
    """
    bonds = [c for c in design.circuits if c.kind == "bond"]
    for circuit in bonds:
        yield circuit.name, circuit.length_m * _ohm_per_m(design, circuit)
    if not bonds:
        yield "none in this kit; each that was made beside it", "under 0.5"


def _ohm_per_m(design: Design, circuit: Circuit) -> float:
    """Of one conductor at 20 °C."""
    cable = design.parts[circuit.cable]
    if not isinstance(cable, Cable):
        raise AssertionError(f"{circuit.cable} is no cable")  # noqa: TRY004  a defect
    return resistance_ohm_per_m(cable.ohm_per_km_20c, 20.0)
