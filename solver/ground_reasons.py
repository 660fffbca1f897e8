"""Why no array of a catalog can stand on the ground, told where there is no kit."""

from __future__ import annotations

from collections.abc import Iterator

from solver.candidates import fits_alone
from solver.needs import Needs, Place
from solver.records import Reason
from solver.wiring import Shelf


def ground_reasons(needs: Needs, shelf: Shelf) -> tuple[Reason, ...]:
    """A reason for each ground place from which no panel could be wired, whatever else there is."""
    return tuple(
        Reason(
            needs=(f'place."{place.name}".ground',),
            message=f'No panel can stand on "{place.name}": {what}.',
            change=change,
        )
        for place in needs.places
        if place.ground
        for what, change in _lacks(needs, shelf, place)
    )


def _lacks(needs: Needs, shelf: Shelf, ground: Place) -> Iterator[tuple[str, str]]:
    """What there is none of, with what to do."""
    legs = [leg for leg in needs.legs if ground.name in (leg.from_, leg.to)]
    for leg in legs[:1]:
        wall = needs.place(leg.to if leg.from_ == ground.name else leg.from_)
        if not any(fits_alone(x, wall, needs.site) for x in shelf.inlets):
            yield (
                f'no inlet (pv_inlet) that leaves nothing live outside fits in "{wall.name}"',
                "add one to the catalog, or more room to that place",
            )
    desks = [p for p in needs.places if p.may_hold("controller") and p.may_hold("switch")]
    if not any(fits_alone(x, p, needs.site) for x in shelf.isolators for p in desks):
        yield (
            "no isolator (a switch of kind pv) fits where a controller may stand",
            "add one to the catalog, or let that place hold switches",
        )
