"""What everything weighs as built, by place and in all, against the limits, with its moments.

Cables and terminations by what is used, not by what is bought; they belong to no one place.
"""

from __future__ import annotations

from bom.fit_notes import NOT_COMPUTED, moment_text
from bom.measures import measure_text
from bom.sheets.page import ONE, TWO, Column, Formula, Kit, Row, letter
from solver.records import Design
from solver.weights import PlaceWeight, Weights, weights_of

TITLE = "weights"
COLUMNS = (
    Column(heading="place", width=32),
    Column(heading="holds", width=46),
    Column(heading="weight", unit="kg", width=11, form=TWO),
    Column(heading="limit", unit="kg", width=11, form=TWO),
    Column(heading="left", unit="kg", width=11, form=TWO),
    Column(heading="at x", unit="m", width=9, form=TWO),
    Column(heading="at y", unit="m", width=9, form=TWO),
    Column(heading="fore and aft, x", unit="kg·m", width=14, form=ONE),
    Column(heading="left and right, y", unit="kg·m", width=14, form=ONE),
)
WEIGHT, LIMIT = (letter(COLUMNS, h) for h in ("weight", "limit"))


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a place, one for what runs between them, the sum, and what the moments mean."""
    weights = weights_of(kit.needs, kit.design)
    found = [_place_row(kit.design, place) for place in weights.places]
    found += [
        Row(cells=("between the places", "cables as cut", weights.cable_kg, "", "")),
        Row(cells=("", "terminations", weights.termination_kg, "", "")),
        Row(cells=("", "sockets, branch pairs, comm cables", weights.extras_kg, "", "")),
        Row(
            cells=(
                "",
                "small parts, but for tools and what is used up",
                weights.small_kg,
                "",
                "",
            )
        ),
    ]
    limit = kit.needs.limits.total_kg
    end = first + len(found)
    left_over = "" if limit is None else Formula(f"{LIMIT}{end}-{WEIGHT}{end}")
    total = Formula(f"SUM({WEIGHT}{first}:{WEIGHT}{end - 1})")
    x, y, _ = (m.kgm for m in weights.moments)
    moments = [NOT_COMPUTED if kgm is None else kgm for kgm in (x, y)]
    in_all = ("in all", "", total, _limit(limit), left_over, "", "", *moments)
    found.append(Row(cells=in_all, look="total"))
    found += [Row(cells=(text,), look="note") for text in notes(weights, kit.units)]
    return found


def notes(weights: Weights, units: str) -> list[str]:
    """What the moments are about, and whether they keep to their limits."""
    if weights.middle_m is None:
        lacking = ", ".join(weights.without_position)
        return [
            "Moments are not computed: no position (at_m) is stated of " + lacking + "."
            if lacking
            else "Moments are not computed: nothing stands in a place.",
        ]
    loose_kg = weights.total_kg - sum(p.device_kg for p in weights.places)
    x, y, z = (f"{m:.2f} m" for m in weights.middle_m)
    return [
        "Moments: weight of the devices in a place times its middle's distance from the reference.",
        f"In no moment: fuses, cables, small parts, {measure_text(loose_kg, 'kg', units)}.",
        f"The middle of the devices' weight is at x {x}, y {y}, z {z}.",
        *(moment_text(m) for m in weights.moments if m.limit_kgm is not None),
    ]


def _place_row(design: Design, place: PlaceWeight) -> Row:
    left = "" if place.max_kg is None else place.max_kg - place.kg
    at = place.at_m or ("", "", "")
    moments = place.moments_kgm or ("", "", "")
    if place.device_kg and place.at_m is None:
        moments = (NOT_COMPUTED, NOT_COMPUTED, "")
    cells = (place.place, _holds(design, place.place), place.kg, _limit(place.max_kg), left)
    return Row(cells=(*cells, at[0], at[1], moments[0], moments[1]))


def _limit(limit: float | None) -> float | str:
    return "none" if limit is None else limit


def _holds(design: Design, place: str) -> str:
    ids = [d.id for d in design.devices if d.place == place]
    ids += [p.id for p in design.protections if p.place == place]
    return ", ".join(ids) or "nothing"
