"""Places that are the ground beside the vehicle: what they state, and the one leg they have."""

from __future__ import annotations

from typing import Any

from bom.needs_values import column_of, value_of
from bom.stated import Faults
from solver.columns import Wrong, show
from solver.needs import GROUND_MM, Leg, Place

SIDES = ("length_mm", "width_mm")

INLET = "pv_inlet"
"""Part class of what the lead ends at."""

NOT_ON_A_LEAD = ("hole", "hole_mm", "hole_max_mm", "conduit", "conduit_mm")
"""Keys of a leg that a lead has no use for: it lies outside, and its inlet has its own opening."""


NOT_OF_GROUND = {
    "slope_deg": "the panels stand there at the site's tilt (tilt_deg)",
    "sheet_mm": "nothing is screwed to it",
    "height_mm": "nothing there has a lid over it",
    "sleeping": "it is outside",
    "engine_space": "it is outside",
}
"""Keys of a place that change nothing of ground, and why."""


def with_patch(row: dict[str, Any], book: bool) -> dict[str, Any]:
    """A row of a place; where it is ground that states no size, with that of a large patch."""
    try:
        ground = value_of(column_of(Place, "ground"), row.get("ground", False), book)
    except Wrong:
        # told where the row is read, and its size is not asked for beside that
        ground = True
    return {**dict.fromkeys(SIDES, GROUND_MM), **row} if ground else row


def check_ground(faults: Faults, rows: dict[str, list[Any]]) -> None:
    """Note every fault of ground places: what stands there, and the lead that leads from there."""
    places = {p.name: p for p in rows["place"] if p is not None}
    for number, place in enumerate(rows["place"]):
        if place is not None and place.ground:
            _check_place(faults, number, place, rows["leg"], places)
    for table in ("load", "charging"):
        for number, one in enumerate(rows[table]):
            if one is not None and one.place in places and places[one.place].ground:
                text = (
                    f"found {show(one.place)}, the ground beside the vehicle, where panels alone "
                    "stand; the name of another place belongs here"
                )
                faults.add(text, table, number, "place")


def _check_place(
    faults: Faults,
    number: int,
    place: Place,
    legs: list[Leg | None],
    places: dict[str, Place],
) -> None:
    if place.holds is not None and place.holds != ("panel",):
        text = (
            f"found {show(', '.join(place.holds) or 'nothing')}; on the ground stand panels alone: "
            'leave holds away, or write ["panel"]'
        )
        faults.add(text, "place", number, "holds")
    for key, why in NOT_OF_GROUND.items():
        # a stated false says nothing wrong of it
        found = getattr(place, key)
        if found is not None and found is not False:
            text = f"found {show(found)}; this changes nothing of ground, since {why}: leave it away"
            faults.add(text, "place", number, key)
    mine = [
        (n, leg)
        for n, leg in enumerate(legs)
        if leg is not None and place.name in (leg.from_, leg.to)
    ]
    if not mine and None not in legs:
        text = (
            f"no leg leads from {show(place.name)}; add the one [[leg]] that its lead takes, from "
            "the panels to the inlet in the wall: to is the place whose wall holds it"
        )
        faults.add(text, "place", number, "ground")
    for n, leg in mine[1:]:
        key = "from" if leg.from_ == place.name else "to"
        text = (
            f"found {show(place.name)} again; from the ground leads one leg, the lead to its "
            "inlet: for another inlet state another ground place"
        )
        faults.add(text, "leg", n, key)
    for n, leg in mine[:1]:
        _check_lead(faults, n, leg, place, places)


def _check_lead(
    faults: Faults, number: int, leg: Leg, place: Place, places: dict[str, Place]
) -> None:
    """The one leg of a ground place: a lead that lies outside, to a wall that may hold an inlet."""
    at_start = leg.from_ == place.name
    far, key = (leg.to, "to") if at_start else (leg.from_, "from")
    wall = places.get(far)
    if wall is not None and far != place.name and not wall.may_hold(INLET):
        what = "is ground too" if wall.ground else f"may not hold a {INLET} by its holds"
        text = (
            f"found {show(far)}, which {what}; the place in whose wall the inlet stands belongs "
            "here"
        )
        faults.add(text, "leg", number, key)
    for stated in NOT_ON_A_LEAD:
        if getattr(leg, stated) is not None:
            text = (
                f"found {show(getattr(leg, stated))}; a lead from the ground lies outside and ends "
                "at its inlet, which has its own opening: leave this key away"
            )
            faults.add(text, "leg", number, stated)
