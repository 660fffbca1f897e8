"""How many millimetres a place lacks, and for which part: told where space alone is in the way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import ceil

from solver.fit import Item, prove_placing
from solver.model import PanelCut
from solver.needs import Needs, Place
from solver.parts import Battery
from solver.parts.device import Device
from solver.stock import Stock

PROOF_S = 1.0
"""Most seconds of search for one placing, in the placer's own count; these are only hints."""
MOST_PANELS = 40
"""More panels than these are not tried again in a larger place."""
LOW_MM = 1.0
"""Height of a panel for the placing: a surface that has a height has let it in already."""


def lacking_length(place: Place, cuts: Iterable[PanelCut], stock: Stock) -> str | None:
    """By how many millimetres a place misses one panel more, where placing has shown that.

    Parameters
    ----------
    place : Place
        The place in question; obstacles stay where they are.
    cuts : iterable of PanelCut
        What placing has proven of it, and of other places.
    stock : Stock
        For the panels, where none at all is small enough.

    Returns
    -------
    str or None
        The least that lets one more of some face lie there, as a change; None where placing
        has proven nothing of this place.
    """
    found = []
    for cut in sorted(
        (*cuts, *_too_large(place, stock)), key=lambda c: (c.long_mm, c.short_mm, c.most)
    ):
        if cut.place != place.name or cut.most >= MOST_PANELS:
            continue
        longer = _growth_mm(place, cut, along=True)
        wider = _growth_mm(place, cut, along=False)
        known = [x for x in (longer, wider) if x is not None]
        if known:
            found.append((min(known), _growth_text(place, cut, longer, wider)))
    return min(found, key=lambda f: f[0])[1] if found else None


def _too_large(place: Place, stock: Stock) -> list[PanelCut]:
    """That not even the panel that lacks least lies there; nothing where one is small enough."""
    if not place.may_hold("panel"):
        return []
    sides = sorted(side - 2 * place.margin_mm for side in (place.length_mm, place.width_mm))
    lacks = [
        (max(long - sides[1], 0.0) + max(short - sides[0], 0.0), long, short)
        for panel in stock.of_class("panel")
        if isinstance(panel, Device)
        for short, long in [sorted(panel.face_mm)]
    ]
    lack, long, short = min(lacks, default=(0.0, 0.0, 0.0))
    return [PanelCut(place.name, long, short, 0)] if lack > 0 else []


def _growth_text(place: Place, cut: PanelCut, longer: int | None, wider: int | None) -> str:
    both = ((longer, "longer"), (wider, "wider"))
    ways = [f"{mm} mm {way}" for mm, way in sorted((m, w) for m, w in both if m is not None)]
    lie = "none" if cut.most == 0 else f"{cut.most} and no more"
    return (
        f'make place "{place.name}" at least {" or ".join(ways)}: of panels of {cut.long_mm:g} × '
        f"{cut.short_mm:g} mm, {lie} can lie there now"
    )


def _growth_mm(place: Place, cut: PanelCut, *, along: bool) -> int | None:
    """The least whole number of millimetres by which a place has to grow for one panel more."""
    items = [Item(f"panel-{n}", cut.long_mm, cut.short_mm, LOW_MM) for n in range(cut.most + 1)]

    def fits(more_mm: int) -> bool:
        length, width = place.length_mm, place.width_mm
        larger = (
            replace(place, length_mm=length + more_mm, height_mm=None)
            if along
            else replace(place, width_mm=width + more_mm, height_mm=None)
        )
        return prove_placing(items, larger, PROOF_S)[0] == "placed"

    # With a whole panel's length more it fits beside all that is there, unless too narrow.
    near, far = 0, ceil(cut.long_mm + 2 * place.margin_mm)
    if not fits(far):
        return None
    while far - near > 1:
        middle = (near + far) // 2
        near, far = (near, middle) if fits(middle) else (middle, far)
    return far


def lacking_height(place: Place, needs: Needs, stock: Stock) -> str | None:
    """By how many millimetres the lowest part of a class is too high for a place.

    Parameters
    ----------
    place : Place
        A place with a height.
    needs : Needs
        For the chemistries of its batteries.
    stock : Stock
        The catalog.

    Returns
    -------
    str or None
        A change that is surely needed for the class that lacks most; None where of every class
        some part is low enough.
    """
    if place.height_mm is None:
        return None
    lowest: dict[str, Device] = {}
    for part in stock.parts:
        if not isinstance(part, Device) or not place.may_hold(part.cls):
            continue
        if isinstance(part, Battery) and part.chemistry not in needs.rules.chemistries:
            continue
        if part.cls not in lowest or part.height_mm < lowest[part.cls].height_mm:
            lowest[part.cls] = part
    high = max(lowest.values(), key=lambda p: p.height_mm, default=None)
    if high is None or high.height_mm <= place.height_mm:
        return None
    lack = high.height_mm - place.height_mm
    return (
        f'make place "{place.name}" at least {lack:g} mm higher: the lowest {high.cls}, '
        f"{high.part}, is {high.height_mm:g} mm high"
    )
