"""Heat by place, and the air that carries it away: openings low and high, or a fan."""

from __future__ import annotations

from bom.sheets.page import ONE, WHOLE, Column, Kit, Row
from solver.air import ON_THE_WAY, Air, PlaceAir, air_of
from solver.rules import heat as rule_h

TITLE = "air"
COLUMNS = (
    Column(heading="place, or what", width=30),
    Column(heading="", width=40),
    Column(heading="loss", unit="W", width=9, form=ONE),
    Column(heading="outside", unit="°C", width=9, form=WHOLE),
    Column(heading="at most", unit="°C", width=9, form=WHOLE),
    Column(heading="for heat", unit="m³/h", width=10, form=ONE),
    Column(heading="for gas", unit="m³/h", width=10, form=ONE),
    Column(heading="two openings, each", unit="cm² net", width=13, form=WHOLE),
    Column(heading="or a fan of", unit="m³/h", width=10, form=WHOLE),
)


def above(kit: Kit, first: int) -> list[Row]:
    """What is reckoned with."""
    lines = (
        "The worst hour that lasts: full sun, all chargers, all loads that run an hour a day.",
        "Openings: free area. Louvres leave 50 to 60 % of a face, mesh takes 30 to 40 % of it.",
        "A fan's flow is as fitted; freely blowing it should move twice as much.",
        "Sources: stack effect and EN IEC 62485-2 from memory; the rest common practice.",
        "What the loads in a place give off comes on top.",
    )
    return [Row(cells=(text,), look="note") for text in lines]


def rows(kit: Kit, first: int) -> list[Row]:
    """A block a place: its sum and what air it needs, then what gives off heat there."""
    air = air_of(kit.needs, kit.design)
    found: list[Row] = []
    for place in air.places:
        found.append(_place_row(place))
        found += _loss_rows(air, place.place)
    between = [x for x in air.losses if x.place == ON_THE_WAY]
    if between:
        watts = sum(x.loss_w for x in between)
        found.append(Row(cells=("on the way", "along the cables", watts), look="sum"))
    return found


def _place_row(place: PlaceAir) -> Row:
    fan = "" if not place.closed or place.fan_m3_per_h is None else place.fan_m3_per_h
    cells = (
        place.place,
        remark(place),
        place.loss_w,
        place.outside_c,
        place.limit_c,
        "" if place.heat_m3_per_h is None else place.heat_m3_per_h,
        place.gas_m3_per_h or "",
        "" if not place.closed or place.opening_cm2 is None else place.opening_cm2,
        fan,
    )
    return Row(cells=cells, look="sum")


def remark(place: PlaceAir) -> str:
    """What a person should know about a place's air, in a few words."""
    if place.heat_m3_per_h is None:
        return "air outside is no cooler than it may get"
    if not place.closed:
        return "open: its air is the room's"
    if place.loss_w >= rule_h.FAN_FROM_W:
        return "fan with a thermostat"
    if place.loss_w <= place.walls_w:
        walls = f"thin walls shed {place.walls_w:.0f} W by themselves"
        return walls if not place.gas_m3_per_h else f"{walls}; gas"
    return "vented" if place.vented else "not stated as vented"


def _loss_rows(air: Air, place: str) -> list[Row]:
    return [
        Row(cells=(f"   {x.thing}", x.why, x.loss_w)) for x in air.losses if x.place == place
    ]
