"""Where cables come into a place, as its sheet marks them.

A hole goes by its number in the hole schedule, whichever legs pass it; an entry without one by E
and a number. The lead of panels on the ground comes in by the opening of its inlet, and by nothing
else.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bom.drawings.hole_lines import (
    ASSUMED,
    HoleLine,
    at_text,
    drill_text,
    ends_at,
    middle_text,
    warnings_of,
)
from bom.measures import measure_text
from solver.entries import Entry
from solver.needs import Place


@dataclass(frozen=True, kw_only=True)
class EntryMark:
    """A line of the table, and what is drawn of it."""

    key: str
    text: str
    at_mm: tuple[float, ...] | None
    """Its middle from the place's corner; None where it is not stated."""
    bore_mm: float
    """Of its ring; 0 without a hole."""
    label: str
    """What stands beside the ring where there is room: the key, and how wide it is made."""
    arrow: bool
    """Whether its place is to be set on the spot: then an arrow stands for it."""
    opening: bool
    """Whether it is that of an inlet, which lies over it as it should."""


def entry_marks(
    place: Place, entries: Sequence[Entry], lines: Sequence[HoleLine], units: str
) -> list[EntryMark]:
    """The entries of a place in their order, then the openings of its inlets.

    Parameters
    ----------
    place : Place
    entries : sequence of Entry
        Those of that place.
    lines : sequence of HoleLine
        The whole hole schedule.
    units : str
        `metric` or `imperial`.
    """
    holes = {line.name: line for line in lines if line.hole is not None}
    inlets = [x for x in lines if x.opening is not None and x.spots[0].place == place.name]
    bored: dict[str, list[Entry]] = {}
    for entry in entries:
        if entry.hole is not None:
            bored.setdefault(entry.hole.name, []).append(entry)
    found: list[EntryMark] = []
    plain = 0
    for entry in entries:
        if entry.hole is not None:
            # One hole is one mark, where its first leg stands.
            some = bored.pop(entry.hole.name, None)
            found += [] if some is None else [_of_hole(some, holes[entry.hole.name], units)]
        elif not _by_inlets(entry, inlets):
            plain += 1
            found.append(_plain(place, entry, f"E{plain}", units))
    return found + [_of_opening(line, entries, units) for line in inlets]


def _by_inlets(entry: Entry, inlets: Sequence[HoleLine]) -> bool:
    """Whether all its cables end at inlets of the place."""
    ids = [line.opening.inlet for line in inlets if line.opening is not None]
    return all(any(ends_at(cut, inlet) for inlet in ids) for cut in entry.way.cuts)


def _of_hole(entries: Sequence[Entry], line: HoleLine, units: str) -> EntryMark:
    """The mark of a hole, by all legs that pass it into this place."""
    at = entries[0].at_mm
    drill = f"drill {drill_text(line, units)}"
    warned = "; ".join(warnings_of(line))
    # What to drill comes first: a long name or many cables may be cut short.
    text = f"{drill} ({warned}): {line.name}" if warned else f"{drill}: {line.name}"
    text = "; ".join([text, *(_way(entry, units) for entry in entries)])
    if at is not None:
        text = f"at {middle_text(line, at, units)}: {text}"
    return EntryMark(
        key=line.number,
        text=text,
        at_mm=at,
        bore_mm=line.bore_mm,
        label=_label(line, units),
        arrow=at is None,
        opening=False,
    )


def _label(line: HoleLine, units: str) -> str:
    """Its key and how wide it is made; nothing where that is not one width to drill to."""
    if line.least or len(line.bores) != 1 or line.each_its_own:
        return ""
    return f"{line.number} {drill_text(line, units).removeprefix('saw ')}"


def _plain(place: Place, entry: Entry, key: str, units: str) -> EntryMark:
    text = _way(entry, units)
    if entry.at_mm is not None:
        text = f"at {at_text(entry.at_mm, units)}: {text}"
    if place.ground:
        text = f"lead {text}"
    return EntryMark(
        key=key,
        text=text,
        at_mm=entry.at_mm,
        bore_mm=0.0,
        label="",
        # Nothing is made in the ground for a lead.
        arrow=entry.at_mm is None and not place.ground,
        opening=False,
    )


def _of_opening(line: HoleLine, entries: Sequence[Entry], units: str) -> EntryMark:
    assert line.opening is not None, line.number
    inlet = line.opening.inlet
    ways = [
        _way(entry, units)
        for entry in entries
        if any(ends_at(cut, inlet) for cut in entry.way.cuts)
    ]
    drill, at = drill_text(line, units), at_text(line.spots[0].at_mm, units)
    return EntryMark(
        key=line.number,
        text="; ".join([f"at {at}: {drill} ({ASSUMED}): {line.name}", *ways]),
        at_mm=line.spots[0].at_mm,
        bore_mm=line.bore_mm,
        label=_label(line, units),
        arrow=False,
        opening=True,
    )


def _way(entry: Entry, units: str) -> str:
    """Where it leads, how far, and which pieces run there."""
    leg = entry.way.leg
    conduit = "" if leg.conduit is None else f", conduit {leg.conduit}"
    labels = ", ".join(c.label for c in entry.way.cuts)
    return f"to {entry.far}, {measure_text(leg.length_m, 'm', units)}{conduit}: {labels}"
