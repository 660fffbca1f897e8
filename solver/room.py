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
LEAST_OF = {"busbar": 2, "switch": 1, "monitor": 1, "controller": 1, "battery": 1}
"""What every kit with the sun has at the least."""
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
        for short, long in [sorted(panel.taken_mm)]
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
    # With a whole panel's length more it lies beside all that is there, unless too narrow.
    return _least_growth_mm(items, place, ceil(cut.long_mm + 2 * place.margin_mm), along=along)


def _least_growth_mm(
    items: list[Item], place: Place, most_mm: int, *, along: bool
) -> int | None:
    """The least whole number of millimetres, up to a most, with which all stand; None if none."""
    near, far = 0, most_mm
    if not _stand(items, place, far, along=along):
        return None
    while far - near > 1:
        middle = (near + far) // 2
        if _stand(items, place, middle, along=along):
            far = middle
        else:
            near = middle
    return far


def _stand(items: list[Item], place: Place, more_mm: int, *, along: bool) -> bool:
    """Whether items stand in a place so much longer or wider; of height nothing is asked."""
    length, width = place.length_mm, place.width_mm
    larger = (
        replace(place, length_mm=length + more_mm, height_mm=None)
        if along
        else replace(place, width_mm=width + more_mm, height_mm=None)
    )
    return prove_placing(items, larger, PROOF_S)[0] == "placed"


def lacking_floor(place: Place, needs: Needs, stock: Stock) -> str | None:
    """By how many millimetres a place misses what cannot stand anywhere else.

    Parameters
    ----------
    place : Place
        The place in question.
    needs : Needs
        For the other places, and for what a kit has at the least.
    stock : Stock
        The catalog: of every class its part with the least face.

    Returns
    -------
    str or None
        The least that lets one of each of those stand there, as a change; None where they do
        already, or nothing has to stand here.
    """
    others = [p for p in needs.places if p.name != place.name]
    counts = dict(LEAST_OF)
    if any(load.supply == "ac" for load in needs.loads):
        counts["inverter"] = 1
    items: list[Item] = []
    told = []
    for cls, count in counts.items():
        parts = [p for p in stock.of_class(cls) if isinstance(p, Device)]
        only_here = place.may_hold(cls) and not any(p.may_hold(cls) for p in others)
        if not parts or not only_here:
            continue
        one = min(parts, key=lambda p: (p.taken_mm2, p.part))
        items += [Item(f"{cls}-{n}", *one.taken_mm, LOW_MM) for n in range(count)]
        told.append(one.part if count == 1 else f"{count} of {one.part}")
    if not items or _stand(items, place, 0, along=True):
        return None
    longest = ceil(sum(i.length_mm for i in items) + 2 * place.margin_mm)
    both = (
        (_least_growth_mm(items, place, longest, along=True), "longer"),
        (_least_growth_mm(items, place, longest, along=False), "wider"),
    )
    ways = [f"{mm} mm {way}" for mm, way in sorted((m, w) for m, w in both if m is not None)]
    if not ways:
        return None
    return (
        f'make place "{place.name}" at least {" or ".join(ways)}: of the least faces in the '
        f"catalog, {', '.join(told)} do not all stand there"
    )


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
        if part.cls not in lowest or part.depth_mm < lowest[part.cls].depth_mm:
            lowest[part.cls] = part
    high = max(lowest.values(), key=lambda p: p.depth_mm, default=None)
    if high is None or high.depth_mm <= place.height_mm:
        return None
    lack = high.depth_mm - place.height_mm
    free = f", with {high.clear_mm:g} mm to stay free before it" if high.clear_mm else ""
    return (
        f'make place "{place.name}" at least {lack:g} mm higher: the lowest {high.cls}, '
        f"{high.part}, is {high.height_mm:g} mm high{free}"
    )
