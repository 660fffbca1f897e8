"""Two finished designs of the shipped catalog, to plant faults in. The needs are invented.

The first kit that the solver finds, without a proof: it depends on needs and catalog alone.
"""

from __future__ import annotations

import json
import time
from collections.abc import Mapping
from decimal import Decimal
from functools import cache
from typing import Any

from bom.parts import read_chosen
from bom.result_json import result_to_json
from solver.kit import solve_kit
from solver.needs import (
    Charging,
    DropLimits,
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Needs,
    Obstacle,
    Order,
    Owned,
    Place,
    Rules,
    Site,
)
from solver.parts.base import SMALL_CLASSES
from solver.records import Result
from solver.stock import Stock
from tests.oracle.shipped_needs import SUPPLIERS


@cache
def shipped() -> Stock:
    """The shipped catalog."""
    return read_chosen(None)


@cache
def without_small_parts() -> Stock:
    """The shipped catalog without the classes of small parts: kits have none then."""
    whole = shipped()
    gone = {p.part for p in whole.parts if p.cls in SMALL_CLASSES}
    return Stock.of(
        [p for p in whole.parts if p.part not in gone],
        whole.suppliers,
        [o for o in whole.offers if o.part not in gone],
    )


def first_kit(
    needs: Needs, *, small: bool = True, explains: bool = True, limit_s: float | None = None
) -> Result:
    """The first kit that is found, and no more: without a limit nothing in it hangs on a clock."""
    stock = shipped() if small else without_small_parts()
    clock = None if limit_s is None else time.process_time
    return solve_kit(
        needs, stock, stopped=lambda: True, explains=explains, clock=clock, limit_s=limit_s
    )


def written(result: Result, needs: Needs) -> Mapping[str, Any]:
    """What the result's file says, read again."""
    read: Mapping[str, Any] = json.loads(json.dumps(result_to_json(result, needs)))
    return read


def _site(coldest_c: float, months: tuple[int, ...]) -> Site:
    return Site(
        latitude_deg=47.0,
        longitude_deg=8.0,
        tilt_deg=10.0,
        azimuth_deg=180.0,
        months=months,
        sun_hours=SUN,
        coldest_c=coldest_c,
        hottest_c=35.0,
    )


SUN = (1.2, 2.1, 3.3, 4.4, 5.0, 5.3, 5.4, 4.8, 3.7, 2.4, 1.4, 1.0)


def _kept(part: str, quantity: int) -> Owned:
    """Something that is there already and has to be used."""
    return Owned(
        part=shipped().by_name[part], inline=False, quantity=Decimal(quantity), use="must"
    )


def _from_one(shop: str) -> Order:
    return Order(avoid_suppliers=tuple(s for s in SUPPLIERS if s != shop))


@cache
def van(*, small: bool = False) -> tuple[Needs, Result]:
    """12 V, by the ISO practice: fuse blocks, mains appliances, shore, engine."""
    needs = Needs(
        job=Job(name="van", currency="EUR"),
        site=_site(-8.0, (5, 6, 7, 8)),
        energy=Energy(autonomy_days=1.0, inverter_hours_per_day=3.0, shortfall_pct=40.0),
        loads=(
            Load(name="lamps", supply="dc", watts=6, quantity=4, hours_per_day=3, place="cabin"),
            Load(name="pump", supply="dc", watts=45, hours_per_day=0.3, place="galley"),
            Load(name="fridge", supply="dc", watts=48, hours_per_day=7, place="galley"),
            Load(name="fan", supply="dc", watts=12, hours_per_day=5, place="cabin"),
            Load(name="chargers", supply="dc", watts=30, hours_per_day=1, place="cabin"),
            Load(name="mixer", supply="ac", watts=350, hours_per_day=0.2, surge_watts=700, place="galley"),
        ),
        places=(
            Place(
                name="roof", length_mm=3600, width_mm=1700, holds=("panel",), margin_mm=30,
                max_kg=80, obstacles=(Obstacle(name="hatch", x_mm=1400, y_mm=600, length_mm=450, width_mm=450),),
            ),
            Place(name="locker", length_mm=900, width_mm=500, height_mm=400, holds=("battery",), min_c=4, max_c=42),
            Place(name="board", length_mm=1700, width_mm=800),
            Place(name="cabin", length_mm=2000, width_mm=1600, holds=()),
            Place(name="galley", length_mm=1100, width_mm=600, holds=()),
            Place(name="engine bay", length_mm=800, width_mm=800, holds=(), max_c=60, engine_space=True),
        ),
        charging=(
            Charging(kind="shore", max_w=700, hours_per_day=3, place="cabin"),
            Charging(kind="engine", max_w=500, hours_per_day=1, place="engine bay"),
        ),
        legs=(
            Leg(from_="roof", to="board", length_m=2.6, hole="roof entry"),
            Leg(from_="locker", to="board", length_m=0.9),
            Leg(from_="board", to="cabin", length_m=2.2, conduit="left wall", loaded_conductors=2),
            Leg(from_="cabin", to="galley", length_m=1.7),
            Leg(from_="board", to="galley", length_m=6.0),
            Leg(from_="engine bay", to="board", length_m=3.4, max_c=55),
        ),
        limits=Limits(total_kg=120, budget=Decimal(4000)),
        rules=Rules(voltages=(12,), chemistries=("lfp",), drop_pct=DropLimits(load=4.0)),
        owned=(_kept("shore-12v-15", 1), _kept("engine-12v-18", 1)),
        order=_from_one("alder"),
        sun_hours=SUN,
    )  # fmt: skip
    return needs, first_kit(needs, small=small)


@cache
def hut(*, small: bool = False) -> tuple[Needs, Result]:
    """24 V of 12 V batteries in strings, by the NEC, mains of 120 V, strings of panels abreast."""
    needs = Needs(
        job=Job(name="hut", currency="EUR"),
        site=_site(-15.0, (4, 5, 6, 7, 8, 9)),
        energy=Energy(autonomy_days=1.0, inverter_hours_per_day=6.0),
        loads=(
            Load(name="light", supply="dc", watts=9, quantity=6, hours_per_day=3, place="room"),
            Load(name="radio", supply="dc", watts=30, hours_per_day=3, place="room", circuit="plugs"),
            Load(name="pads", supply="dc", watts=20, hours_per_day=2, place="room", circuit="plugs"),
            Load(name="saw", supply="ac", watts=500, hours_per_day=0.6, surge_watts=1200, place="shed"),
        ),
        places=(
            Place(name="roof", length_mm=5000, width_mm=2600, holds=("panel",)),
            Place(name="chest", length_mm=1500, width_mm=700, height_mm=500, holds=("battery",), vented=True, min_c=5),
            Place(name="wall", length_mm=1900, width_mm=900),
            Place(name="room", length_mm=4000, width_mm=3000, holds=()),
            Place(name="shed", length_mm=2000, width_mm=2000, holds=()),
        ),
        legs=(
            Leg(from_="roof", to="wall", length_m=4.1),
            Leg(from_="chest", to="wall", length_m=1.1),
            Leg(from_="wall", to="room", length_m=3.0),
            Leg(from_="room", to="shed", length_m=5.5),
        ),
        rules=Rules(
            voltages=(24,), chemistries=("agm",), practice="nec", ac_v=120.0, hz=60.0,
            drop_pct=DropLimits(battery=2.0),
        ),
        owned=(_kept("panel-100-a", 4),),
        order=_from_one("birch"),
        sun_hours=SUN,
    )  # fmt: skip
    return needs, first_kit(needs, small=small)
