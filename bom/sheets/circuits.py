"""Every connection, read from left to right as it is built."""

from __future__ import annotations

from bom.sheets.page import ONE, TWO, Column, Kit, Row, end_text, ends_of, stands_at
from solver.parts import Cable
from solver.records import Circuit, End

TITLE = "circuits"
COLUMNS = (
    Column(heading="circuit", width=20),
    Column(heading="kind", width=10),
    Column(heading="from", width=14),
    Column(heading="terminal", unit="at its start", width=16),
    Column(heading="protection", width=16),
    Column(heading="conductor", width=17),
    Column(heading="length", unit="m", width=9, form=TWO),
    Column(heading="route", width=16),
    Column(heading="to", width=14),
    Column(heading="terminal", unit="at its end", width=16),
    Column(heading="current", unit="A", width=9, form=ONE),
    Column(heading="design", unit="A", width=9, form=ONE),
    Column(heading="ampacity", unit="A", width=10, form=ONE),
    Column(heading="drop_v", unit="V", width=9, form="0.000"),
    Column(heading="drop_pct", unit="%", width=10, form="0.00"),
)


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a circuit; lengths are one way and without slack."""
    return [_row(kit, c) for c in kit.design.circuits]


def _row(kit: Kit, c: Circuit) -> Row:
    ends = ends_of(kit.design, c)
    return Row(
        cells=(
            c.name,
            c.kind,
            c.from_,
            _terminal(ends, c.from_),
            _protection(kit, c),
            _conductor(kit, c),
            c.length_m,
            _way(c),
            c.to,
            _terminal(ends, c.to),
            c.current_a,
            c.design_a,
            c.ampacity_a,
            c.drop_v,
            c.drop_pct,
        )
    )


def _terminal(ends: list[End], at: str) -> str:
    found = dict.fromkeys(end_text(e) for e in ends if stands_at(e.at, at))
    return "\n".join(found) or "see cut list"


def _protection(kit: Kit, c: Circuit) -> str:
    if c.protection is None:
        return "none"
    rated = getattr(kit.part(c.protection), "rated_a", None)
    amps = f" {rated:g} A" if rated is not None else ""
    return f"{c.protection_id or ''}{amps}\n{c.protection}".strip()


def _conductor(kit: Kit, c: Circuit) -> str:
    part = kit.part(c.cable)
    assert isinstance(part, Cable), f"{c.cable} carries {c.name} and is no cable"
    one_sheath = part.use in ("pair", "ac")
    cores = f"{c.conductors} cores, " if one_sheath else f"{c.conductors} × "
    return f"{cores}{part.size}\n{c.cable}"


def _way(c: Circuit) -> str:
    return " > ".join([c.via[0][0], *(leg[1] for leg in c.via)]) if c.via else "in one place"
