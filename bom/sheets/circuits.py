"""Every connection, piece by piece, each row read from left to right as it is built."""

from __future__ import annotations

from bom.measures import inches_up, measure_text, number_text
from bom.sheets.page import ONE, WHOLE, Column, Kit, Row, stands_at
from bom.sheets.pieces import Core, cores_of, place_of
from solver.parts import Cable
from solver.records import Circuit, End
from solver.rules.termination import IEC_60947_1, torque_nm

TITLE = "circuits"
COLUMNS = (
    Column(heading="done", width=6),
    Column(heading="from", width=22),
    Column(heading="terminal", width=10),
    Column(heading="lug", unit="at its start", width=17),
    Column(heading="torque", unit="Nm", width=8, form=ONE),
    Column(heading="pole", width=7),
    Column(heading="protection", width=20),
    Column(heading="conductor", width=23),
    Column(heading="length_mm", unit="slack included", width=11, form=WHOLE),
    Column(heading="length_in", unit="slack included", width=11, form=ONE, only="imperial"),
    Column(heading="lug", unit="at its end", width=17),
    Column(heading="terminal", width=10),
    Column(heading="torque", unit="Nm", width=8, form=ONE),
    Column(heading="to", width=22),
    Column(heading="label", unit="both ends", width=9),
)
TORQUES = (
    f"Torque: {IEC_60947_1.text()}. What a part's maker states stands above it. A clamp without "
    "a torque here is tightened as its maker says. Tighten once, mark with paint."
)
ROWS = (
    "Each row is one core of one piece: mount, cut, end it on both sides, label it. Its length has "
    "the slack of both ends in it; the sheet cut list says from which spool it comes. Fuses stay "
    "out until the sheet first switch-on puts them in."
)


def above(kit: Kit, first: int) -> list[Row]:
    """Where the torques are from, and what stays open."""
    return [Row(cells=(text,), look="text") for text in (TORQUES, ROWS)]


def rows(kit: Kit, first: int) -> list[Row]:
    """A block a circuit: its figures, then a row for each core of each piece."""
    found: list[Row] = []
    for circuit in kit.design.circuits:
        found.append(Row(cells=(_head(kit, circuit),), look="head"))
        found += [_row(kit, circuit, core) for core in cores_of(kit.design, circuit)]
    return found


def _head(kit: Kit, c: Circuit) -> str:
    way = " > ".join([c.via[0][0], *(leg[1] for leg in c.via)]) if c.via else "in one place"
    length = measure_text(c.length_m, "m", kit.units)
    amps = ", ".join(
        f"{what} {number_text(value)} A"
        for what, value in (
            ("runs", c.current_a),
            ("sized for", c.design_a),
            ("conductor carries", c.ampacity_a),
        )
    )
    drop = f"drop {c.drop_v:.3f} V, {c.drop_pct:.2f} %"
    extras = [f"{x.quantity} × {x.part}" for x in kit.design.extras if x.of == c.name]
    takes = f"; with {', '.join(extras)}" if extras else ""
    return f"{c.name} ({c.kind}): {c.from_} to {c.to}, {length} one way, {way}; {amps}; {drop}{takes}"


def _row(kit: Kit, circuit: Circuit, core: Core) -> Row:
    near, far, cut = core.near, core.far, core.cut
    return Row(
        cells=(
            "☐" if core.first else "",
            _at(kit, circuit, near),
            _terminal(kit, near),
            _lug(near),
            _torque(near),
            core.pole,
            _protection(kit, circuit, core),
            _conductor(kit, core),
            cut.length_mm if core.first else "",
            inches_up(cut.length_mm) if core.first else "",
            _lug(far),
            _terminal(kit, far),
            _torque(far),
            _at(kit, circuit, far),
            cut.label,
        )
    )


def _at(kit: Kit, circuit: Circuit, end: End) -> str:
    place = place_of(kit, end.at, circuit)
    return f"{end.at}\n{place}" if place and place != end.at else end.at


def _terminal(kit: Kit, end: End) -> str:
    if end.stud is not None:
        return f"{end.stud} stud"
    if end.termination is not None and kit.part(end.termination).cls == "connector":
        return "plug-in"
    return "clamp"


def _lug(end: End) -> str:
    return end.termination or "bare wire"


def _torque(end: End) -> float | str:
    return "" if end.stud is None else torque_nm(end.stud)


def _protection(kit: Kit, circuit: Circuit, core: Core) -> str:
    """The protection at either end of a piece; that of its circuit, where it stands elsewhere."""
    if core.pole == "PE":
        return "never fused"
    for p in kit.design.protections:
        told = f"{p.id} {_rated(kit, p.part)}"
        if stands_at(core.near.at, p.id):
            return f"{told}\n{p.part}" if core.first else told
        if stands_at(core.far.at, p.id):
            return f"{told}\nat its end" if core.first else told
    if circuit.protection_id is None:
        return {"ac": "licensed work", "bond": "never fused"}.get(
            circuit.kind, "none of its own"
        )
    return f"{circuit.protection_id}, other pole" if core.pole == "-" else circuit.protection_id


def _rated(kit: Kit, part: str) -> str:
    rated = getattr(kit.part(part), "rated_a", None)
    return "" if rated is None else f"{rated:g} A"


def _conductor(kit: Kit, core: Core) -> str:
    if not core.first:
        return "same cable"
    part = kit.part(core.cut.cable)
    assert isinstance(part, Cable), f"{part.part} is cut as a cable and is none"
    cores = len(core.cut.ends) // 2
    size = part.size if cores == 1 else f"{cores} × {part.size}"
    return f"{size}, {part.colour}\n{part.part}"
