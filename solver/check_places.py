"""Checks of where things stand: inside, apart, not too high, not too heavy."""

from __future__ import annotations

from solver.check_sheet import (
    ARITHMETIC,
    CONTRACT,
    MissingError,
    Sheet,
    not_above,
    source_of,
)
from solver.check_survey import Survey
from solver.needs import Place
from solver.parts import Battery, Cable, Conduit, Panel
from solver.parts.base import USED_UP_CLASSES
from solver.parts.device import Device as DevicePart
from solver.records import Device, seat_of
from solver.rules.standing import stands_splashing, works_between
from solver.rules.ventilation import IEC_62485_2, stands_unvented

Rectangle = tuple[float, float, float, float]
"""Nearest corner and farthest corner: x, y, x, y, in mm."""

TOUCH_MM = 1e-6
"""Faces that touch don't overlap."""


def check_places(sheet: Sheet, survey: Survey) -> None:
    """Each device in its place, and each place's load."""
    ids = [d.id for d in survey.design.devices]
    sheet.holds(
        "device ids differ",
        ARITHMETIC,
        "devices",
        len(set(ids)) == len(ids),
        len(set(ids)),
        len(ids),
        "ids",
    )
    for device in survey.design.devices:
        with sheet.about(device.id):
            _in_its_place(sheet, survey, device, survey.place(device.place))
    for place in survey.needs.places:
        here = [d for d in survey.design.devices if d.place == place.name]
        _apart(sheet, here, place)
        _kg(sheet, survey, place)


def face_of(device: Device) -> Rectangle:
    """The rectangle a device covers."""
    part = device.part
    length, width = part.length_mm or 0.0, part.width_mm or 0.0
    if device.rotated:
        length, width = width, length
    return (device.x_mm, device.y_mm, device.x_mm + length, device.y_mm + width)


def _free_mm(device: Device) -> float:
    """What stays free on every side of it, and before it."""
    return getattr(device.part, "clear_mm", None) or 0.0


def _climate(sheet: Sheet, survey: Survey, device: Device, place: Place) -> None:
    """Neither too cold, too hot nor too wet there; where the place says nothing, by the site."""
    part, site = device.part, survey.needs.site
    if not isinstance(part, DevicePart):
        return
    if part.min_c is not None:
        coldest = site.coldest_c if place.min_c is None else place.min_c
        source = source_of(works_between)
        sheet.at_least("not too cold for it", source, device.id, coldest, part.min_c, "°C")
    if part.max_c is not None:
        hottest = site.hottest_c if place.max_c is None else place.max_c
        source = source_of(works_between)
        sheet.at_most("not too hot for it", source, device.id, hottest, part.max_c, "°C")
    if place.gets_wet and not isinstance(part, Panel):
        sheet.holds(
            "stands splashing water",
            source_of(stands_splashing),
            device.id,
            stands_splashing(part.ip),
            part.ip or "no code",
            "IPX4",
        )


def _in_its_place(sheet: Sheet, survey: Survey, device: Device, place: Place) -> None:
    sheet.holds(
        "place may hold it",
        CONTRACT,
        device.id,
        place.may_hold(device.part.cls),
        device.part.cls,
        place.name,
    )
    if isinstance(device.part, Battery):
        unvented = stands_unvented(device.part.chemistry)
        sheet.holds(
            "air for gassing cells",
            IEC_62485_2.text(),
            device.id,
            place.vented or unvented,
            f"{device.part.chemistry} in {place.name}",
            "a vented place",
        )
    _climate(sheet, survey, device, place)
    x0, y0, x1, y1 = _taken_by(device)
    m = place.margin_mm
    inside = (
        isinstance(device.part, DevicePart)
        and not_above(m, x0)
        and not_above(m, y0)
        and not_above(x1, place.length_mm - m)
        and not_above(y1, place.width_mm - m)
    )
    sheet.holds(
        "inside its place",
        ARITHMETIC,
        device.id,
        inside,
        _text((x0, y0, x1, y1)),
        _text((m, m, place.length_mm - m, place.width_mm - m)),
        "mm",
    )
    if place.height_mm is not None:
        sheet.at_most(
            "not too high",
            ARITHMETIC,
            device.id,
            (device.part.height_mm or 0.0) + _free_mm(device),
            place.height_mm,
            "mm",
        )
    for obstacle in place.obstacles:
        block = (
            obstacle.x_mm,
            obstacle.y_mm,
            obstacle.x_mm + obstacle.length_mm,
            obstacle.y_mm + obstacle.width_mm,
        )
        sheet.holds(
            "off the obstacles",
            ARITHMETIC,
            f"{device.id} and {obstacle.name}",
            not overlap((x0, y0, x1, y1), block),
            _text((x0, y0, x1, y1)),
            _text(block),
            "mm",
        )


def _taken_by(device: Device) -> Rectangle:
    """The rectangle it covers with the space that stays free around it."""
    x0, y0, x1, y1 = face_of(device)
    f = _free_mm(device)
    return (x0 - f, y0 - f, x1 + f, y1 + f)


def overlap(a: Rectangle, b: Rectangle) -> bool:
    """Whether two rectangles share more than an edge."""
    across = min(a[2], b[2]) - max(a[0], b[0])
    along = min(a[3], b[3]) - max(a[1], b[1])
    return across > TOUCH_MM and along > TOUCH_MM


def _apart(sheet: Sheet, here: list[Device], place: Place) -> None:
    clashes = [
        f"{a.id} and {b.id}"
        for i, a in enumerate(here)
        for b in here[i + 1 :]
        if overlap(_taken_by(a), _taken_by(b))
    ]
    sheet.holds(
        "nothing overlaps",
        ARITHMETIC,
        f"place {place.name}",
        not clashes,
        ", ".join(clashes) or "nothing",
        "nothing",
    )


def _kg(sheet: Sheet, survey: Survey, place: Place) -> None:
    """What stands in the place; fuses, cable and lugs are weighed with the whole kit."""
    if place.max_kg is None:
        return
    kg = sum(d.part.kg for d in survey.design.devices if d.place == place.name)
    sheet.at_most("load of a place", CONTRACT, f"place {place.name}", kg, place.max_kg, "kg")


def _protection_parts(survey: Survey) -> list[str]:
    """Fuses and their holders, a block or a shared box once."""
    every = survey.design.protections
    holders = {seat_of(p): p.holder for p in every if p.holder is not None}
    return [*(p.part for p in every), *holders.values()]


def parts_used(survey: Survey) -> dict[str, float]:
    """What the design is made of, without spares: pieces, and of cable metres."""
    used: dict[str, float] = {}

    def add(name: str, quantity: float) -> None:
        used[name] = used.get(name, 0) + quantity

    for device in survey.design.devices:
        add(device.part.part, 1)
    for name in _protection_parts(survey):
        add(name, 1)
    millimetres: dict[str, int] = {}
    for cut in survey.design.cuts:
        millimetres[cut.cable] = millimetres.get(cut.cable, 0) + cut.length_mm
        for end in cut.ends:
            if end.termination is not None:
                add(end.termination, 1)
    for name, mm in millimetres.items():
        add(name, mm / 1000)
    for link in survey.design.links:
        add(link.part, 1)
    for extra in survey.design.extras:
        add(extra.part, extra.quantity)
    return used


def _moments(sheet: Sheet, survey: Survey) -> None:
    """Mass times distance of all devices, either way, within what is stated."""
    limits = survey.needs.limits
    for name, axis, most in (
        ("fore and aft", 0, limits.fore_aft_kgm),
        ("left and right", 1, limits.side_kgm),
    ):
        if most is None:
            continue
        with sheet.about("kit"):
            total = 0.0
            for device in survey.design.devices:
                at = survey.place(device.place).at_m
                if at is None:
                    raise MissingError(f'no position (at_m) of "{device.place}" is stated')
                total += device.part.kg * at[axis]
            sheet.at_most(f"moment {name}", CONTRACT, "kit", abs(total), most, "kg·m")


def small_parts_used(survey: Survey) -> dict[str, float]:
    """Of each small part and tool, how many."""
    used: dict[str, float] = {}
    for one in survey.design.small or ():
        used[one.part] = used.get(one.part, 0) + float(one.quantity)
    return used


def check_weight(sheet: Sheet, survey: Survey) -> None:
    """The whole kit within the limit: cable and terminations by what is used; its moments."""
    _moments(sheet, survey)
    limit = survey.needs.limits.total_kg
    if limit is None:
        return
    with sheet.about("kit"):
        parts = survey.design.parts
        used = parts_used(survey)
        for name, quantity in small_parts_used(survey).items():
            if name in parts and parts[name].cls not in USED_UP_CLASSES:
                used[name] = used.get(name, 0) + quantity
        kg = sum(parts[name].kg * quantity for name, quantity in used.items() if name in parts)
        sheet.at_most("total weight", CONTRACT, "kit", kg, limit, "kg")


def by_metre(survey: Survey, name: str) -> bool:
    """Whether a part is cable or conduit, and so counted in metres."""
    return isinstance(survey.design.parts.get(name), Cable | Conduit)


def _text(rectangle: Rectangle) -> str:
    x0, y0, x1, y1 = rectangle
    return f"{x0:g}, {y0:g} to {x1:g}, {y1:g}"
