"""What schedule and workbook say of a conduit."""

from __future__ import annotations

from bom.drawings.hole_lines import NOTHING, shared
from bom.drawings.plate import most_text
from solver.conduits import Duct, conduit_of
from solver.rules.conduit import fill_limit_pct
from solver.stock import Stock

THERE = "there already"


def duct_part(duct: Duct, stock: Stock | None) -> str:
    """Which part it is; empty where that is not reckoned."""
    if duct.there:
        return THERE
    if stock is None:
        return ""
    part = conduit_of(duct, stock)
    return NOTHING if part is None else part.part


def duct_supplies(duct: Duct) -> tuple[str, ...]:
    """What runs in it, over all its legs."""
    return tuple(dict.fromkeys(x for way in duct.ways for x in way.supplies))


def duct_remarks(duct: Duct, units: str) -> list[str]:
    """What has to be minded with it."""
    fullest = max(duct.ways, key=lambda way: way.conduit_mm)
    found = [] if duct.fits else ["TOO NARROW: lay a second one beside it"]
    found.append(f"filled to {fill_limit_pct(len(fullest.cuts)):g} % (NEC chapter 9, table 1)")
    if duct.there_mm is not None:
        found.append(f"there is one of {most_text(duct.there_mm, units)}")
    already = max(way.leg.loaded_conductors for way in duct.ways)
    if already:
        found.append(f"in it already: {already} conductors, not counted")
    return [*found, *_bends(duct), *_shared(duct)]


def is_duct_loud(duct: Duct) -> bool:
    """Whether what has to be minded with it is set bold."""
    return not duct.fits or bool(_shared(duct))


def _shared(duct: Duct) -> list[str]:
    """AC beside DC on one of its legs; one leg of each is no such thing."""
    return list(dict.fromkeys(text for way in duct.ways for text in shared(way.supplies)))


def _bends(duct: Duct) -> list[str]:
    """Where cables are pulled, by how often the conduit turns."""
    boxes = sum(run.boxes for run in duct.runs)
    told = [f"{boxes} pull {'box' if boxes == 1 else 'boxes'} on the way"] if boxes else []
    if duct.bends is None:
        some = "some bends" if duct.stated_bends else "bends"
        told.append(f"{some} not stated: a pull box wherever four quarter bends are behind it")
    return told
