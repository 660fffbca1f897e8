"""The independent checker: silent on a correct design, and it names every planted fault.

The correct design is `small_design`, made by hand. Each fault is one change that a careless
fitter or a wrong program could make; beside it stand the rule and the thing the checker must
name. Other rows may fail too: a wrong cable is also a wrong line of the bill.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from solver.check import check
from solver.needs import Charging, Needs, Owned
from solver.parts import Charger
from solver.records import Check, Combiner, Design, Line, SupplierOrder
from tests.oracle import larger_design as larger
from tests.oracle import small_design as small

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Kit:
    """What the checker is given."""

    needs: Needs
    design: Design
    lines: tuple[Line, ...]
    orders: tuple[SupplierOrder, ...]


def good() -> Kit:
    """The correct design."""
    return Kit(small.needs(), small.design(), small.lines(), small.orders())


def good_larger() -> Kit:
    """The correct larger design."""
    return Kit(larger.needs(), larger.design(), larger.lines(), ())


def failed(kit: Kit) -> list[Check]:
    """The rows that say no."""
    rows = check(kit.needs, kit.design, kit.lines, kit.orders)
    return [row for row in rows if not row.ok]


# --- changes ----------------------------------------------------------------------------------

Change = Callable[[Kit], Kit]


def needs(table: str, /, **values: Any) -> Change:
    """Change keys of one table of the needs."""

    def change(kit: Kit) -> Kit:
        record = replace(getattr(kit.needs, table), **values)
        return replace(kit, needs=replace(kit.needs, **{table: record}))

    return change


def place(name: str, /, **values: Any) -> Change:
    """Change a place."""

    def change(kit: Kit) -> Kit:
        places = tuple(replace(p, **values) if p.name == name else p for p in kit.needs.places)
        return replace(kit, needs=replace(kit.needs, places=places))

    return change


def leg(start: str, /, **values: Any) -> Change:
    """Change the first leg that begins at a place."""

    def change(kit: Kit) -> Kit:
        legs = list(kit.needs.legs)
        at = next(n for n, x in enumerate(legs) if x.from_ == start)
        legs[at] = replace(legs[at], **values)
        return replace(kit, needs=replace(kit.needs, legs=tuple(legs)))

    return change


def load(name: str, /, **values: Any) -> Change:
    """Change a load."""

    def change(kit: Kit) -> Kit:
        loads = tuple(replace(x, **values) if x.name == name else x for x in kit.needs.loads)
        return replace(kit, needs=replace(kit.needs, loads=loads))

    return change


def design(**values: Any) -> Change:
    """Change the design's own fields."""
    return lambda kit: replace(kit, design=replace(kit.design, **values))


def record(field: str, key: str, name: str, /, **values: Any) -> Change:
    """Change one record of a list of the design, found by a field of it."""

    def change(kit: Kit) -> Kit:
        rows = getattr(kit.design, field)
        assert any(getattr(row, key) == name for row in rows), (field, name)
        made = tuple(
            replace(row, **values) if getattr(row, key) == name else row for row in rows
        )
        return replace(kit, design=replace(kit.design, **{field: made}))

    return change


def without(field: str, key: str, name: str) -> Change:
    """Leave out one record of a list of the design."""

    def change(kit: Kit) -> Kit:
        rows = getattr(kit.design, field)
        made = tuple(row for row in rows if getattr(row, key) != name)
        assert len(made) < len(rows), (field, name)
        return replace(kit, design=replace(kit.design, **{field: made}))

    return change


def twice(field: str, key: str, name: str) -> Change:
    """Repeat one record of a list of the design."""

    def change(kit: Kit) -> Kit:
        rows = getattr(kit.design, field)
        again = tuple(row for row in rows if getattr(row, key) == name)
        return replace(kit, design=replace(kit.design, **{field: rows + again}))

    return change


def device(name: str, /, **values: Any) -> Change:
    """Change a device."""
    return record("devices", "id", name, **values)


def circuit(name: str, /, **values: Any) -> Change:
    """Change a circuit."""
    return record("circuits", "name", name, **values)


def protection(name: str, /, **values: Any) -> Change:
    """Change a protection."""
    return record("protections", "id", name, **values)


def cut(label: str, /, **values: Any) -> Change:
    """Change a piece."""
    return record("cuts", "label", label, **values)


def end(label: str, index: int, /, **values: Any) -> Change:
    """Change one end of a piece."""

    def change(kit: Kit) -> Kit:
        piece = next(c for c in kit.design.cuts if c.label == label)
        ends = list(piece.ends)
        ends[index] = replace(ends[index], **values)
        return cut(label, ends=tuple(ends))(kit)

    return change


def array(**values: Any) -> Change:
    """Change the array."""
    return record("arrays", "controller", "controller-1", **values)


def part(name: str, /, **values: Any) -> Change:
    """As if a worse part of that name had been chosen: the design's record of it changes."""

    def change(kit: Kit) -> Kit:
        worse = replace(kit.design.parts[name], **values)
        devices = tuple(
            replace(d, part=worse) if d.part.part == name else d for d in kit.design.devices
        )
        parts = {**kit.design.parts, name: worse}
        return replace(kit, design=replace(kit.design, devices=devices, parts=parts))

    return change


def fuse(name: str, other: str) -> Change:
    """Put another fuse where one was."""

    def change(kit: Kit) -> Kit:
        circuits = tuple(
            replace(c, protection=other) if c.protection_id == name else c
            for c in kit.design.circuits
        )
        spare = next(p for p in small.SPARE_PARTS if p.part == other)
        made = replace(kit.design, circuits=circuits, parts={**kit.design.parts, other: spare})
        return protection(name, part=other)(replace(kit, design=made))

    return change


def spare_part(name: str) -> Change:
    """Make a part known to the design that the correct one doesn't use."""

    def change(kit: Kit) -> Kit:
        spare = next(p for p in small.SPARE_PARTS if p.part == name)
        parts = {**kit.design.parts, name: spare}
        return replace(kit, design=replace(kit.design, parts=parts))

    return change


def line(name: str, /, **values: Any) -> Change:
    """Change a line of the bill."""

    def change(kit: Kit) -> Kit:
        lines = tuple(replace(x, **values) if x.part == name else x for x in kit.lines)
        return replace(kit, lines=lines)

    return change


def no_line(name: str) -> Change:
    """Leave a line out of the bill."""
    return lambda kit: replace(kit, lines=tuple(x for x in kit.lines if x.part != name))


def order(name: str, /, **values: Any) -> Change:
    """Change a supplier's basket."""

    def change(kit: Kit) -> Kit:
        orders = tuple(replace(o, **values) if o.supplier == name else o for o in kit.orders)
        return replace(kit, orders=orders)

    return change


def both(*changes: Change) -> Change:
    """Several changes, one after another."""

    def change(kit: Kit) -> Kit:
        for one in changes:
            kit = one(kit)
        return kit

    return change


def owned_battery(quantity: str) -> Change:
    """A second battery that the person has and wants used."""

    def change(kit: Kit) -> Kit:
        item = Owned(
            part=small.BY_NAME["lfp-100"], inline=False, quantity=Decimal(quantity), use="must"
        )
        return replace(kit, needs=replace(kit.needs, owned=(item,)))

    return change


def owned_cable(kit: Kit) -> Kit:
    """A length of cable that the person wants used and that the design doesn't touch."""
    item = Owned(part=small.BY_NAME["red-25"], inline=False, quantity=Decimal(4), use="must")
    return replace(kit, needs=replace(kit.needs, owned=(item,)))


def charger(volts: tuple[float, ...], input_w: float, charge_a: float) -> Change:
    """A shore charger stands on the board, not wired, beside a way in of 300 W."""

    def change(kit: Kit) -> Kit:
        made = Charger(
            part="charger", name="charger", length_mm=100, width_mm=80, height_mm=50, kg=1,
            kind="shore", battery_v=volts, charge_a=charge_a, input_w=input_w,
        )  # fmt: skip
        new = replace(kit.design.devices[-1], id="charger-1", part=made, x_mm=10, y_mm=300)
        way = Charging(kind="shore", max_w=300, hours_per_day=2)
        return replace(
            kit,
            needs=replace(kit.needs, charging=(way,)),
            design=replace(kit.design, devices=(*kit.design.devices, new)),
        )

    return change


# --- the faults -------------------------------------------------------------------------------

RED_10 = both(spare_part("red-10"), circuit("controller 1", cable="red-10"))

FAULTS: dict[str, tuple[Change, str, str]] = {
    # system, arrays
    "a system voltage that is not allowed": (
        needs("rules", voltages=(24, 48)), "system voltage allowed", "system",
    ),
    "a chemistry that is not allowed": (
        needs("rules", chemistries=("agm",)), "chemistry allowed", "bank",
    ),
    "a load of another voltage": (
        load("Fridge", volts=(24.0,)), "load takes the system voltage", "load Fridge",
    ),
    "a panel in no string": (
        array(panels=("panel-1",)), "panel is in one string", "panel-2",
    ),
    "a controller without an array": (
        design(arrays=()), "controller has one array", "controller-1",
    ),
    "the bars on the bank's side of the switch": (
        end("W4", 0, at="switch-1:bank"), "right port", "piece W4 at switch-1:bank",
    ),
    "a string of one panel called two": (
        array(panels=("panel-1",)), "panels are series times parallel", "controller-1",
    ),
    "another panel in the string": (
        device("panel-2", part=replace(small.BY_NAME["panel-99"], part="panel-other")),
        "panels of an array alike", "controller-1",
    ),
    "a panel on another surface": (
        device("panel-2", place="bench"), "panels of an array in one place", "controller-1",
    ),
    "three strings without fuses": (
        array(parallel=4), "back-feed into a string without a fuse", "controller-1",
    ),
    "cold string voltage understated": (
        array(voc_cold_v=44.0), "string voltage, cold, as stated", "controller-1",
    ),
    "string over the controller's limit": (
        part("mppt-20", max_pv_v=48.0), "string voltage, cold, under the controller's",
        "controller-1",
    ),
    "string over the panel's limit": (
        part("panel-99", max_system_v=48.0), "string voltage, cold, under the panel's",
        "controller-1",
    ),
    "hot string voltage overstated": (
        array(vmp_hot_v=36.0), "string voltage, hot, as stated", "controller-1",
    ),
    "string too low on a hot roof": (
        part("mppt-20", headroom_v=17.0), "string voltage, hot, over the charging voltage",
        "controller-1",
    ),
    "array current understated": (
        array(isc_a=5.5), "array current, as stated", "controller-1",
    ),
    "array current over the controller's": (
        part("mppt-20", max_pv_a=7.0), "array current, under the controller's", "controller-1",
    ),
    "charging current understated": (
        array(charge_a=15.0), "charging current, as stated", "controller-1",
    ),
    "a controller for another bank voltage": (
        part("mppt-20", battery_v=(24.0, 48.0)), "controller serves the bank's voltage",
        "controller-1",
    ),
    # bank
    "two batteries in series on 12 V": (
        design(bank=replace(small.design().bank, series=2)), "bank has the system voltage",
        "bank",
    ),
    "a chemistry that is not the battery's": (
        design(chemistry="agm"), "chemistry, as stated", "bank",
    ),
    "more in series than the battery allows": (
        both(
            part("lfp-100", max_series=1),
            design(bank=replace(small.design().bank, series=2)),
        ),
        "batteries in series", "bank",
    ),
    "more strings than the battery allows": (
        both(
            part("lfp-100", max_parallel=1),
            design(bank=replace(small.design().bank, parallel=2)),
        ),
        "strings in parallel", "bank",
    ),
    "a battery of the bank not there": (
        without("devices", "id", "battery-1"), "batteries are series times parallel, all alike",
        "bank",
    ),
    "arrays charge faster than the bank may": (
        part("lfp-100", max_charge_a=15.0), "charging current within the bank's",
        "all arrays together",
    ),
    "a charger charges faster than the bank may": (
        charger((12.0,), 250, 60), "charging current within the bank's", "charger-1",
    ),
    "inverter and loads over the bank's discharge": (
        part("lfp-100", max_discharge_a=55.0), "discharge within the bank's", "inverter",
    ),
    "lfp charged in the frost": (
        place("locker", min_c=-5.0), "warm enough to charge", "battery-1",
    ),
    # inverter, chargers, energy
    "AC loads and no inverter": (
        without("devices", "id", "inverter-1"), "an inverter serves AC loads", "system",
    ),
    "a 24 V inverter on 12 V": (
        part("inverter-500", dc_v=24.0), "inverter takes the system voltage", "inverter-1",
    ),
    "an inverter of 120 V": (part("inverter-500", ac_v=120.0), "AC voltage", "inverter-1"),
    "an inverter of 60 Hz": (part("inverter-500", hz=60.0), "AC frequency", "inverter-1"),
    "an inverter too small": (
        load("Kettle", watts=600), "inverter carries the AC loads", "inverter-1",
    ),
    "a start-up over the inverter's surge": (
        load("Kettle", surge_watts=1100), "inverter starts the AC loads", "inverter-1",
    ),
    "a charger for another bank voltage": (
        charger((24.0,), 250, 10), "charger serves the bank's voltage", "charger-1",
    ),
    "a charger that takes more than the inlet gives": (
        charger((12.0,), 350, 20), "charger takes what is there", "charger-1",
    ),
    "too little sun in the hottest month": (
        load("Fridge", hours_per_day=12), "arrays' share of a day's energy", "month 7",
    ),
    "no other charging for the shortfall": (
        both(load("Fridge", hours_per_day=12), needs("energy", shortfall_pct=50.0)),
        "a day's energy", "month 7",
    ),
    "a bank too small for the days alone": (
        needs("energy", autonomy_days=2), "bank carries the days alone", "bank",
    ),
    # circuits
    "two circuits of one name": (
        circuit("lamps", name="fridge"), "circuit names differ", "circuits",
    ),
    "a controller without its array's circuit": (
        without("circuits", "name", "array 1"), "has its circuit (array)", "controller-1",
    ),
    "a controller not wired to the bars": (
        without("circuits", "name", "controller 1"), "has its circuit (controller)",
        "controller-1",
    ),
    "an inverter not wired": (
        without("circuits", "name", "inverter"), "has its circuit (inverter)", "inverter-1",
    ),
    "a battery not wired": (
        without("circuits", "name", "bank"), "has its circuit (battery)", "battery-1",
    ),
    "a charger not wired": (
        charger((12.0,), 250, 10), "has its circuit (charger)", "charger-1",
    ),
    "a load forgotten": (
        without("circuits", "name", "lamps"), "has its circuit (load)", "load Lamps",
    ),
    "an AC load forgotten": (
        without("circuits", "name", "kettle"), "has its circuit (ac)", "load Kettle",
    ),
    "a block not fed": (without("circuits", "name", "feed 1"), "has its circuit (feed)", "FB1"),
    "no battery switch": (
        without("devices", "id", "switch-1"), "one of it isolates or measures the bank",
        "switch",
    ),
    "wrong current stated": (
        circuit("inverter", current_a=45.0), "current, as stated", "circuit inverter",
    ),
    "design current without its factor": (
        circuit("bank", design_a=small.BANK_A), "design current, as stated", "circuit bank",
    ),
    "one conductor instead of two": (
        circuit("inverter", conductors=1), "conductors of a circuit", "circuit inverter",
    ),
    "length shorter than the legs": (
        circuit("lamps", length_m=2.0), "length, as stated", "circuit lamps",
    ),
    "a way over another leg": (
        circuit("lamps", via=(("board", "locker"), ("locker", "bench"))),
        "way is a shortest one", "circuit lamps",
    ),
    "a way that is broken": (
        circuit("lamps", via=(("board", "bench"), ("locker", "bench"))),
        "way is a shortest one", "circuit lamps",
    ),
    "a conductor under the least size": (
        part("pair-1.5", area_mm2=0.5, ohm_per_km_20c=39.0), "least conductor",
        "circuit lamps",
    ),
    "copper worse than its class": (
        part("red-25", ohm_per_km_20c=0.9), "conductor's resistance", "circuit bank",
    ),
    "a thinner conductor than stated": (
        circuit("controller 1", area_mm2=10), "conductor's area, as stated",
        "circuit controller 1",
    ),
    "one pole of another size": (
        both(RED_10, circuit("controller 1", area_mm2=10)), "conductor's area, as stated",
        "circuit controller 1",
    ),
    "house cable for panels": (
        part("pv-red-4", use="battery"), "cable made for the use", "circuit array 1",
    ),
    "ampacity without the roof's heat": (
        circuit("array 1", ampacity_a=45 * small.HEAT_35), "ampacity, as stated",
        "circuit array 1",
    ),
    "a thinner conductor": (
        part("red-16", area_mm2=4, ohm_per_km_20c=4.95), "conductor carries the design current",
        "circuit inverter",
    ),
    "a conductor in a full bundle": (
        lambda kit: replace(
            kit,
            needs=replace(
                kit.needs,
                legs=tuple(replace(leg, loaded_conductors=30) for leg in kit.needs.legs),
            ),
        ),
        "conductor carries the design current", "circuit bank",
    ),
    "an ampacity as if nothing else of the kit lay beside it": (
        circuit("fridge", ampacity_a=small.A_1_5), "ampacity, as stated", "circuit fridge",
    ),
    "a fuse for a conductor that lies alone": (
        fuse("FB1:2", "blade-10-other"), "protection within the conductor's ampacity",
        "protection FB1:2, conductor of fridge",
    ),
    "one stated conductor more on a leg than its circuits stand": (
        both(
            needs("rules", continuous=1.0),
            lambda kit: replace(
                kit,
                needs=replace(
                    kit.needs,
                    legs=tuple(
                        replace(x, loaded_conductors=20) if x.to == "bench" else x
                        for x in kit.needs.legs
                    ),
                ),
            ),
        ),
        "protection within the conductor's ampacity", "conductor of fridge",
    ),
    "drop in volts understated": (
        circuit("fridge", drop_v=0.15), "voltage drop, as stated", "circuit fridge",
    ),
    "drop in percent understated": (
        circuit("fridge", drop_pct=1.0), "drop in percent, as stated", "circuit fridge",
    ),
    "drop over the limit": (
        load("Fridge", watts=60), "voltage drop", "circuit fridge",
    ),
    "red on the negative": (
        cut("W3", cable="red-25"), "colour fits the pole", "piece W3",
    ),
    "black on the positive": (
        cut("W2", cable="black-25"), "colour fits the pole", "piece W2",
    ),
    "bus bars too weak": (
        part("bar-150", rated_a=50.0), "carries the largest current", "busbar-neg",
    ),
    "a shunt too weak": (
        part("monitor-200", rated_a=50.0), "carries the largest current", "monitor-1",
    ),
    "a switch that the main fuse does not guard": (
        part("switch-200", rated_a=75.0), "rating not under the main protection's", "switch-1",
    ),
    "flooded cells shut in": (
        part("lfp-100", chemistry="flooded"), "air for gassing cells", "battery-1",
    ),
    "more lugs than studs on a bar": (
        part("bar-150", studs=3), "a stud for every lug", "busbar-pos",
    ),
    "a switch for less than the bank's voltage": (
        part("switch-200", max_v=12.0), "voltage it may switch", "switch-1",
    ),
    "no negative bar": (
        without("devices", "id", "busbar-neg"), "bus bar of each pole", "busbar-neg",
    ),
    # protection
    "one id on two fuses": (twice("protections", "id", "F2"), "protection ids differ", "F2"),
    "an inverter without a fuse": (
        circuit("inverter", protection=None, protection_id=None), "circuit is protected",
        "circuit inverter",
    ),
    "another fuse stated than fitted": (
        circuit("inverter", protection="main-80"), "protection, as stated", "circuit inverter",
    ),
    "a rating that is not made": (fuse("F3", "blade-odd"), "standard rating", "F3"),
    "a fuse a size down": (
        fuse("F2", "strip-60"), "rated for the design current", "protection F2",
    ),
    "a fuse a size up": (
        fuse("FB1:2", "blade-30"), "protection within the conductor's ampacity",
        "protection FB1:2, conductor of fridge",
    ),
    "a link behind the bank's fuse too thin for it": (
        both(
            spare_part("red-10"), circuit("bars", cable="red-10"), cut("W4", cable="red-10"),
            cut("W5", cable="red-10"), needs("rules", conductor_c=20.0), fuse("F1", "main-100"),
        ),
        "protection within the conductor's ampacity", "conductor of bars",
    ),
    "a small conductor behind too large a fuse": (
        both(needs("rules", practice="nec"), fuse("FB1:2", "blade-30")),
        "protection of a small conductor", "conductor of fridge",
    ),
    "a fuse for less than the bank's voltage": (
        part("main-80", max_v=12.0), "voltage it breaks", "protection F1",
    ),
    "a main fuse that can't break the bank's short circuit": (
        fuse("F1", "main-80-weak"), "breaking capacity", "protection F1",
    ),
    "a fuse without its holder": (protection("F2", holder=None), "holder fits", "F2"),
    "a fuse in a holder of another kind": (
        protection("F2", holder="post-holder"), "holder fits", "protection F2",
    ),
    "a holder weaker than its fuse": (
        part("strip-holder", rated_a=60.0), "holder carries the fuse", "protection F2",
    ),
    "a holder for less than the bank's voltage": (
        part("block-6", max_v=12.0), "holder's voltage", "protection FB1:1",
    ),
    "a main holder that can't break the short circuit": (
        part("post-holder", breaking_ka=2.0), "holder's breaking capacity", "protection F1",
    ),
    "the main fuse away from the battery": (
        protection("F1", place="board"), "protection stands at its source", "protection F1",
    ),
    "two blocks under one id": (
        protection("FB1:2", holder="blade-holder"), "fuses of a block share it", "block FB1",
    ),
    "two fuses in one way": (protection("FB1:2", way=1), "a way for each fuse", "block FB1"),
    "a block weaker than what it feeds": (
        part("block-6", rated_a=7.0), "block carries its feed", "block FB1",
    ),
    "a feed's fuse over the block's rating": (
        part("block-6", rated_a=8.0), "feed's protection within the block's rating",
        "block FB1",
    ),
    "a kit that leans too far": (
        both(
            needs("limits", side_kgm=5.0), place("roof", at_m=(0.0, 0.0, 2.0)),
            place("locker", at_m=(0.0, 1.0, 0.0)), place("board", at_m=(0.0, 0.0, 1.0)),
        ),
        "moment left and right", "kit",
    ),
    "a kit too heavy at the back": (
        both(
            needs("limits", fore_aft_kgm=5.0), place("roof", at_m=(-1.0, 0.0, 2.0)),
            place("locker", at_m=(0.0, 1.0, 0.0)), place("board", at_m=(0.0, 0.0, 1.0)),
        ),
        "moment fore and aft", "kit",
    ),
    "a moment that is limited and no position": (
        both(
            needs("limits", fore_aft_kgm=500.0), place("roof", at_m=(-1.0, 0.0, 2.0)),
            place("locker", at_m=(0.0, 1.0, 0.0)),
        ),
        "what is named is there", "kit",
    ),
    "a place too hot for a device": (
        part("inverter-500", max_c=34.0), "not too hot for it", "inverter-1",
    ),
    "a place too hot to charge in": (
        place("locker", max_c=45.5), "cool enough to charge", "battery-1",
    ),
    "a place too hot for what the battery states": (
        part("lfp-100", max_charge_c=34.5), "cool enough to charge", "battery-1",
    ),
    "a place too cold for a device": (
        part("lfp-100", min_c=6.0), "not too cold for it", "battery-1",
    ),
    "a device without a code where it is wet": (
        place("board", wet=True), "stands splashing water", "inverter-1",
    ),
    "a code that stands no splashing": (
        both(part("inverter-500", ip="IP43"), place("board", wet=True)),
        "stands splashing water", "inverter-1",
    ),
    "a device nearer than its free space allows": (
        part("inverter-500", clear_mm=150.0), "nothing overlaps", "place board",
    ),
    "free space that is over the edge": (
        part("inverter-500", clear_mm=400.0), "inside its place", "inverter-1",
    ),
    "no free space before a device": (
        part("lfp-100", clear_mm=200.0), "not too high", "battery-1",
    ),
    "PV and AC in one conduit under nec": (
        both(
            needs("rules", practice="nec"), leg("board", conduit="left wall"),
            circuit("array 1", via=(("roof", "board"), ("board", "bench"))),
        ),
        "PV apart from AC", "conduit left wall, bench to board",
    ),
    "a hole too narrow for its cables": (
        leg("roof", hole="entry", hole_mm=7.9), "hole takes its cables", "hole entry",
    ),
    "a hole that may not be drilled wide enough": (
        leg("roof", hole_max_mm=7.9), "hole takes its cables", "hole roof to board",
    ),
    # the walk
    "one label on two pieces": (
        cut("W2", label="W1"), "a label of its own on every piece", "piece W1",
    ),
    "polarity swapped along a piece": (
        end("W8", 1, at="inverter-1:+", pole="+"), "one pole from end to end", "piece W8",
    ),
    "polarity swapped at a battery": (
        both(end("W1", 0, at="battery-1:-"), end("W3", 0, at="battery-1:+")), "polarity",
        "piece W1 at battery-1:-",
    ),
    "a positive on the negative bar": (
        end("W6", 0, at="busbar-neg:2"), "polarity", "piece W6 at busbar-neg:2",
    ),
    "five lugs on one stud": (
        both(*(end(f"W{n}", 0, at="busbar-pos:1") for n in (6, 9, 12)),
             twice("cuts", "label", "W12")),
        "lugs on one stud", "busbar-pos:1",
    ),
    "a piece forgotten": (
        without("cuts", "label", "W7"), "pole + leads from end to end", "circuit inverter",
    ),
    "a negative forgotten": (
        without("cuts", "label", "W8"), "pole - leads from end to end", "circuit inverter",
    ),
    "a protective conductor on the wrong device": (
        end("W19", 5, at="Fridge"), "pole PE leads from end to end", "circuit kettle",
    ),
    "a line conductor on the wrong device": (
        end("W19", 1, at="Fridge"), "pole L leads from end to end", "circuit kettle",
    ),
    "a neutral on the wrong device": (
        end("W19", 3, at="Fridge"), "pole N leads from end to end", "circuit kettle",
    ),
    "a fuse by-passed": (
        both(end("W6", 1, at="inverter-1:+"), without("cuts", "label", "W7")),
        "positive passes its protection", "circuit inverter",
    ),
    "a load on another way of the block": (
        end("W17", 0, at="FB1:2"), "positive passes its protection", "circuit lamps",
    ),
    "the fuse far along the cable": (
        both(cut("W1", length_mm=1900), cut("W2", length_mm=450)),
        "protection near its source", "circuit bank",
    ),
    "a long lead to a fuse without its sheath": (
        cut("W1", sheathed=False), "protection near its source", "circuit bank",
    ),
    "a lead from the bars as long as only one on the battery may be": (
        both(cut("W6", length_mm=1150), cut("W7", length_mm=450)),
        "protection near its source", "circuit inverter",
    ),
    "a positive that never arrives": (
        end("W10", 1, at="inverter-1:+"), "positive reaches", "controller-1",
    ),
    "a branch before the main fuse": (
        end("W6", 0, at="battery-1:+"), "nothing before the main protection", "bank",
    ),
    "the switch by-passed": (
        both(end("W2", 1, at="busbar-pos:1"), end("W4", 0, at="busbar-pos:1")),
        "switch isolates the bank", "bank",
    ),
    "a negative that never arrives": (
        end("W11", 1, at="inverter-1:-"), "negative reaches", "controller-1",
    ),
    "a negative around the shunt": (
        end("W8", 0, at="battery-1:-"), "everything negative is behind the shunt", "bank",
    ),
    "an end on nothing": (
        end("W7", 1, at="inverter-9:+"), "what is named is there", "piece W7",
    ),
    "an end too few": (
        cut("W17", ends=small.CUTS[16].ends[:2]), "what is named is there",
        "piece W17",
    ),
    "a cable that is not in the design": (
        cut("W7", cable="red-99"), "what is named is there", "piece W7",
    ),
    # ends and lengths
    "wrong stud stated": (
        end("W7", 1, stud="M8", termination="lug-16-m8"), "stud, as stated",
        "piece W7 at inverter-1:+",
    ),
    "wrong lug for the stud": (
        end("W7", 1, termination="lug-16-m8"), "lug fits conductor and stud",
        "piece W7 at inverter-1:+",
    ),
    "wrong lug for the conductor": (
        end("W1", 0, termination="lug-16-m8"), "lug fits conductor and stud",
        "piece W1 at battery-1:+",
    ),
    "bare wire on a stud": (
        end("W1", 0, termination=None), "what is named is there", "piece W1",
    ),
    "bare wire at a panel": (
        end("W15", 0, termination=None), "end is made up", "piece W15 at panel-1:+",
    ),
    "a lug where bare wire belongs": (
        end("W10", 1, termination="lug-6-m8"), "end is made up", "piece W10 at controller-1:+",
    ),
    "a connector for thicker cable": (
        part("pv-plug", area_from_mm2=6.0), "connector takes the conductor", "piece W15",
    ),
    "two plugs and no socket": (
        end("W16", 0, termination="pv-plug"), "a plug and a socket at the panels",
        "controller-1",
    ),
    "a connector weaker than the array": (
        part("pv-plug", rated_a=6.0), "connector carries the array", "pv-plug",
    ),
    "a connector for less than the string's voltage": (
        part("pv-socket", max_v=40.0), "connector's voltage", "pv-socket",
    ),
    "two strings and no branch pair": (
        array(parallel=2), "a branch pair for each further string", "array on",
    ),
    "a piece cut too short": (
        cut("W8", length_mm=1200), "piece reaches, slack kept", "piece W8",
    ),
    "a piece cut a metre too long": (
        cut("W8", length_mm=2300), "piece no longer than rounded up", "piece W8",
    ),
    "a piece not cut in whole steps": (
        cut("W8", length_mm=1304), "cut in whole steps", "piece W8",
    ),
    "the pieces beside a fuse too short": (
        cut("W7", length_mm=1050), "piece reaches, slack kept", "pieces W6, W7",
    ),
    # places
    "one id on two devices": (
        device("panel-2", id="panel-1"), "device ids differ", "devices",
    ),
    "a device where it may not stand": (
        place("board", holds=("controller", "busbar", "switch", "monitor")),
        "place may hold it", "inverter-1",
    ),
    "a panel over the edge": (
        device("panel-2", x_mm=1100), "inside its place", "panel-2",
    ),
    "a turned panel over the edge": (
        device("panel-2", rotated=True, y_mm=100), "inside its place", "panel-2",
    ),
    "a panel on the stove pipe": (
        device("panel-2", x_mm=1080, y_mm=380), "off the obstacles", "panel-2 and pipe",
    ),
    "a battery higher than its locker": (
        place("locker", height_mm=200.0), "not too high", "battery-1",
    ),
    "two devices on one spot": (
        device("monitor-1", x_mm=440, y_mm=120), "nothing overlaps", "place board",
    ),
    "a place too heavy": (place("roof", max_kg=12.0), "load of a place", "place roof"),
    "the kit too heavy": (needs("limits", total_kg=30.0), "total weight", "kit"),
    "a place that is not there": (
        device("battery-1", place="cellar"), "what is named is there", "battery-1",
    ),
    # bill
    "a missing holder line": (no_line("strip-holder"), "a line for every part", "strip-holder"),
    "a lug too few": (
        line("lug-25-m8", need=Decimal(10), buy=Decimal(10), packs=10), "need, as stated",
        "lug-25-m8",
    ),
    "no spare fuse": (line("main-80", spares=Decimal(0)), "spares, as stated", "main-80"),
    "cable by the piece": (line("red-25", unit="each"), "unit of a line", "red-25"),
    "less bought than needed": (
        line("pair-1.5", packs=5, buy=Decimal(5)), "bought covers what is not owned",
        "pair-1.5",
    ),
    "a part that nobody needs": (
        lambda kit: replace(
            kit, lines=(*kit.lines, replace(kit.lines[0], part="panel-other"))
        ),
        "a use for every line", "panel-other",
    ),
    "paid for nothing": (
        line("pair-1.5", buy=Decimal(0)), "nothing bought, nothing paid", "line pair-1.5",
    ),
    "bought from nobody": (
        line("mppt-20", supplier=None), "a supplier and whole packs", "line mppt-20",
    ),
    "packs that don't add up": (
        line("red-25", packs=2), "bought is packs times pack", "line red-25",
    ),
    "a wrong line total": (
        line("mppt-20", line_total=Decimal(100)), "line total is packs times price",
        "line mppt-20",
    ),
    "an avoided supplier": (
        line("mppt-20", supplier="far"), "supplier not avoided", "line mppt-20",
    ),
    "more taken from the shelf than is there": (
        line("mppt-20", owned=Decimal(1)), "no more than is owned", "mppt-20",
    ),
    "an owned battery left out": (
        owned_battery("2"), "owned part that must be used", "lfp-100",
    ),
    "owned cable left out": (owned_cable, "owned part that must be used", "red-25"),
    "more cut than the length has": (
        both(cut("W2", length_mm=2500), line("red-25", need=Decimal("4.25"))),
        "pieces fit what they are cut from", "red-25",
    ),
    "more cut from one spool than it holds": (
        both(
            *(cut(w, piece_of="red-25, south, spool 1 of 2 m") for w in ("W1", "W2", "W4")),
            line("red-25", pack=Decimal(2), packs=2, buy=Decimal(4)),
        ),
        "pieces fit what they are cut from", "red-25",
    ),
    "goods that don't add up": (
        order("north", goods=Decimal(900), total=Decimal(920)), "goods of an order",
        "order at north",
    ),
    "freight forgotten in a total": (
        order("north", total=Decimal(988)), "total of an order", "order at north",
    ),
    "a lead time forgotten": (
        order("north", lead_days=20), "arrival is the start and the lead", "order at north",
    ),
    "an order that comes too late": (
        order("north", lead_days=30, arrives=date(2027, 2, 10)), "arrives in time",
        "order at north",
    ),
    "a supplier without an order": (
        lambda kit: replace(kit, orders=kit.orders[:1]), "an order for every supplier",
        "orders",
    ),
    "over the budget": (needs("limits", budget=Decimal(1200)), "budget", "kit"),
}  # fmt: skip


LARGER_FAULTS: dict[str, tuple[Change, str, str]] = {
    "a box that is two": (
        both(protection("F3", box="XB1"), protection("F4", box="XB1")),
        "breakers share one box", "box XB1",
    ),
    "two in a box for one": (
        both(protection("F4", box="XB1"), protection("F5", box="XB1")),
        "breakers have room in their box", "box XB1",
    ),
    "a fuse of DC in a box for AC breakers": (
        protection("F4", box="XB1"), "a box holds breakers of one AC source", "box XB1",
    ),
    "a box in two places": (
        both(protection("F4", box="XB1"), protection("F5", box="XB1", place="locker")),
        "a box stands in one place", "box XB1",
    ),
    "a link in a string turned round": (
        both(end("S14", 0, at="battery-2:+", pole="+"), end("S14", 1, at="battery-1:-", pole="+")),
        "one pole from end to end", "piece S14",
    ),
    "a link between the wrong batteries": (
        end("S14", 1, at="battery-4:+"), "pole - to + leads from end to end", "circuit link 1",
    ),
    "a string without its link": (
        without("circuits", "name", "link 2"), "has its circuit (link)", "battery-3",
    ),
    "a link too thin for its string's fuse": (
        both(circuit("link 1", cable="pv-red-4"), part("pv-red-4", insulation_c=60.0)),
        "protection within the conductor's ampacity", "protection F1, conductor of link 1",
    ),
    "the link to the bars too thin for both fuses": (
        both(circuit("bars", cable="red-6"), cut("W4", cable="red-6"), cut("W5", cable="red-6")),
        "protection within the conductor's ampacity", "conductor of bars",
    ),
    "a share of the current taken for the whole": (
        circuit("bars", current_a=larger.BANK_A / 2), "current, as stated", "circuit bars",
    ),
    "the bank's current without the chargers": (
        circuit("string 1", current_a=larger.CHARGE_A / 2), "current, as stated",
        "circuit string 1",
    ),
    "an engine's circuit without a fuse": (
        circuit("engine", protection=None, protection_id=None), "circuit is protected",
        "circuit engine",
    ),
    "an engine's fuse at the charger": (
        protection("F7", place="board"), "protection stands at its source", "protection F7",
    ),
    "an engine's current at 24 V": (
        circuit("engine", current_a=15.0), "current, as stated", "circuit engine",
    ),
    "an engine's circuit that loses too much of 12 V": (
        needs("rules", conductor_c=90.0), "voltage drop", "circuit engine",
    ),
    "an engine charger not wired to the engine": (
        without("circuits", "name", "engine"), "has its circuit (charger)", "charger-2",
    ),
    "a shore charger not wired to the inlet": (
        without("circuits", "name", "shore"), "has its circuit (ac)", "charger-1",
    ),
    "an array without an isolator, though there are some": (
        design(without=()), "array has its isolator", "array on controller-1",
    ),
    "a load without a socket, though there are some": (
        design(without=()), "socket for what is plugged in", "circuit",
    ),
    "a charger without an inlet, though there are some": (
        design(without=()), "inlet for what is plugged in", "circuit",
    ),
    "a branch pair forgotten": (
        design(extras=()), "a branch pair for each further string", "array on",
    ),
    "a branch pair too weak": (
        part("pv-branch", rated_a=12.0), "connector carries the array", "pv-branch",
    ),
    "five strings on branch connectors": (
        array(parallel=5), "strings that meet in one array", "array on",
    ),
    "a combiner for two strings": (
        array(combiner=Combiner(id="combiner-1", part="box-4", place="roof")),
        "a combiner for more than two strings", "array on",
    ),
    "a battery in two strings": (
        design(
            bank=replace(
                larger.design().bank,
                batteries=("battery-1", "battery-2", "battery-1", "battery-4"),
            )
        ),
        "batteries are series times parallel, all alike", "bank",
    ),
    "main fuses that can't break two strings together": (
        part("main-30", breaking_ka=5.0), "breaking capacity", "protection F2",
    ),
    "a string's negative past the shunt": (
        end("S23", 1, at="busbar-neg:8"), "everything negative is behind the shunt", "bank",
    ),
    "a load's fuse by-passed": (
        both(end("P1", 1, at="Pump"), without("cuts", "label", "P2")),
        "positive passes its protection", "circuit pump",
    ),
}  # fmt: skip


# --- tests ------------------------------------------------------------------------------------


def test_a_correct_design_passes() -> None:
    """The checker finds nothing wrong with a design that is right."""
    kit = good()
    rows = check(kit.needs, kit.design, kit.lines, kit.orders)
    assert [row for row in rows if not row.ok] == []
    assert len(rows) > 500


def test_a_correct_larger_design_passes() -> None:
    """Strings of batteries, chargers, a branch pair, a load from the bars: nothing is wrong."""
    assert failed(good_larger()) == []


def test_no_row_is_without_source_or_with_a_number_json_cannot_hold() -> None:
    """Every row can be printed and written: a source, a subject, no infinity."""
    kit = good()
    for row in check(kit.needs, kit.design, kit.lines, kit.orders):
        assert row.rule
        assert row.source
        assert row.subject
        for number in (row.value, row.limit):
            assert isinstance(number, str) or math.isfinite(number), row


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_named(name: str) -> None:
    """The checker's failed rows hold the rule and the thing of the fault."""
    change, rule, subject = FAULTS[name]
    rows = failed(change(good()))
    named = [row for row in rows if row.rule == rule and subject in row.subject]
    assert named, [(row.rule, row.subject) for row in rows]


@pytest.mark.parametrize("name", LARGER_FAULTS)
def test_a_fault_in_the_larger_design_is_named(name: str) -> None:
    """Likewise for what only the larger design has."""
    change, rule, subject = LARGER_FAULTS[name]
    rows = failed(change(good_larger()))
    named = [row for row in rows if row.rule == rule and subject in row.subject]
    assert named, [(row.rule, row.subject) for row in rows]


KITS = {"small": good, "larger": good_larger}
LISTS = ("devices", "circuits", "cuts", "protections", "arrays")


@pytest.mark.parametrize("field", LISTS)
@pytest.mark.parametrize("which", KITS)
def test_anything_left_out_is_noticed(which: str, field: str) -> None:
    """Each single device, circuit, piece, fuse and array left out fails, and never crashes."""
    kit = KITS[which]()
    rows = getattr(kit.design, field)
    for i in range(len(rows)):
        lacking = replace(kit.design, **{field: rows[:i] + rows[i + 1 :]})
        assert failed(replace(kit, design=lacking)), rows[i]
    assert failed(replace(kit, design=replace(kit.design, **{field: ()})))


@pytest.mark.parametrize("which", KITS)
def test_any_part_unknown_is_noticed(which: str) -> None:
    """A part that is named and not in the design's parts fails, and never crashes."""
    kit = KITS[which]()
    named = {c.cable for c in kit.design.cuts} | {p.part for p in kit.design.protections}
    named |= {e.termination for c in kit.design.cuts for e in c.ends if e.termination}
    named |= {p.holder for p in kit.design.protections if p.holder}
    for name in sorted(named):
        parts = {k: v for k, v in kit.design.parts.items() if k != name}
        assert failed(replace(kit, design=replace(kit.design, parts=parts))), name


NUMBERS = ("current_a", "design_a", "length_m", "area_mm2", "ampacity_a", "drop_v", "drop_pct")


@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("which", KITS)
def test_no_stated_number_of_a_circuit_is_trusted(which: str, number: str) -> None:
    """A number off by a thousandth, on any circuit, is noticed as that circuit's."""
    kit = KITS[which]()
    for one in kit.design.circuits:
        wrong = circuit(one.name, **{number: getattr(one, number) * 1.001})(kit)
        assert [row for row in failed(wrong) if row.subject == f"circuit {one.name}"], one.name


@pytest.mark.parametrize("which", KITS)
def test_every_piece_cut_shorter_is_noticed(which: str) -> None:
    """No piece can be a centimetre shorter."""
    kit = KITS[which]()
    for one in kit.design.cuts:
        rows = failed(cut(one.label, length_mm=one.length_mm - 10)(kit))
        short = [row for row in rows if row.rule == "piece reaches, slack kept"]
        assert any(one.label in row.subject for row in short), one.label


@pytest.mark.parametrize("which", KITS)
def test_every_end_moved_to_another_device_is_noticed(which: str) -> None:
    """No core's end can land on another thing with nobody noticing."""
    kit = KITS[which]()
    for one in kit.design.cuts:
        for i, there in enumerate(one.ends):
            elsewhere = "monitor-1:x" if there.at.startswith("battery") else "battery-1:+"
            assert failed(end(one.label, i, at=elsewhere)(kit)), (one.label, i)


def test_every_rule_has_a_planted_fault() -> None:
    """No rule of the checker stands there untried: each that is applied can also say no."""
    kit = good()
    applied = {row.rule for row in check(kit.needs, kit.design, kit.lines, kit.orders)}
    kit = good_larger()
    applied |= {row.rule for row in check(kit.needs, kit.design, kit.lines, kit.orders)}
    tried = {rule for _, rule, _ in (*FAULTS.values(), *LARGER_FAULTS.values())}
    assert applied - tried == set()


STAGES = {
    "bill",
    "candidates",
    "circuits",
    "cutting",
    "design",
    "fit",
    "milp",
    "prune",
    "routes",
    "selection",
    "wiring",
}


@pytest.mark.parametrize("module", sorted(p.name for p in (ROOT / "solver").glob("check*.py")))
def test_the_checker_is_independent(module: str) -> None:
    """The checker takes nothing from the stages whose work it checks."""
    tree = ast.parse((ROOT / "solver" / module).read_text(encoding="utf-8"))
    modules = {
        name
        for node in ast.walk(tree)
        for name in (
            [node.module or ""]
            if isinstance(node, ast.ImportFrom)
            else [alias.name for alias in node.names]
            if isinstance(node, ast.Import)
            else []
        )
    }
    taken = {name.removeprefix("solver.").split(".")[0] for name in modules}
    assert taken & STAGES == set()
