"""What everything weighs as built, by place and in all, against the limits.

Cables and terminations by what is used, not by what is bought; they belong to no one place.
"""

from __future__ import annotations

from bom.sheets.page import TWO, Column, Formula, Kit, Row, letter
from solver.records import Design

TITLE = "weights"
COLUMNS = (
    Column(heading="place", width=34),
    Column(heading="holds", width=60),
    Column(heading="weight", unit="kg", width=13, form=TWO),
    Column(heading="limit", unit="kg", width=13, form=TWO),
    Column(heading="left", unit="kg", width=13, form=TWO),
)
WEIGHT, LIMIT = (letter(COLUMNS, h) for h in ("weight", "limit"))


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a place, one for what runs between them, and the sum."""
    design = kit.design
    found = []
    for place in kit.needs.places:
        kg = place_kg(design, place.name)
        left = "" if place.max_kg is None else place.max_kg - kg
        holds = _holds(design, place.name)
        found.append(Row(cells=(place.name, holds, kg, _limit(place.max_kg), left)))
    found += [
        Row(cells=("between the places", "cables as cut", cable_kg(design), "", "")),
        Row(cells=("", "terminations", termination_kg(design), "", "")),
        Row(cells=("", "small parts", extras_kg(design), "", "")),
    ]
    limit = kit.needs.limits.total_kg
    end = first + len(found)
    left_over = "" if limit is None else Formula(f"{LIMIT}{end}-{WEIGHT}{end}")
    total = Formula(f"SUM({WEIGHT}{first}:{WEIGHT}{end - 1})")
    found.append(Row(cells=("in all", "", total, _limit(limit), left_over), look="total"))
    return found


def place_kg(design: Design, place: str) -> float:
    """Devices, protection and holders in a place; a block of several ways counts once."""
    devices = sum(d.part.kg for d in design.devices if d.place == place)
    here = [p for p in design.protections if p.place == place]
    fuses = sum(design.parts[p.part].kg for p in here)
    holders = {
        (p.id.rpartition(":")[0] if p.way is not None else p.id): p.holder
        for p in here
        if p.holder is not None
    }
    return devices + fuses + sum(design.parts[h].kg for h in holders.values())


def cable_kg(design: Design) -> float:
    """The cables as cut."""
    return sum(design.parts[c.cable].kg * c.length_mm / 1000 for c in design.cuts)


def termination_kg(design: Design) -> float:
    """What ends the cables."""
    return sum(
        design.parts[e.termination].kg for c in design.cuts for e in c.ends if e.termination
    )


def extras_kg(design: Design) -> float:
    """Counted small parts."""
    return sum(design.parts[e.part].kg * e.quantity for e in design.extras)


def _limit(limit: float | None) -> float | str:
    return "none" if limit is None else limit


def _holds(design: Design, place: str) -> str:
    ids = [d.id for d in design.devices if d.place == place]
    ids += [p.id for p in design.protections if p.place == place]
    return ", ".join(ids) or "nothing"
