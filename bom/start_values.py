"""What a new needs file says: an invented job to write over, a sample of every other key."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from bom.needs_keys import WITHOUT_EFFECT, Table
from bom.needs_owned import OwnedKeys
from bom.needs_values import ListOf
from solver.columns import Column, columns_of

FIRST_WORDS = (
    "Needs of one job: what must run, where it stands, what there is room for.",
    "Everything below is invented, and complete as it stands: write your own over it.",
    (
        "Lengths and masses are numbers in the unit of the key (_mm, _m, _kg), or a text with "
        'its unit: "14 ft 3 in", "4.2 m", "1-3/8 in", "55 lb".'
    ),
    (
        "This work can burn and kill. What comes out is a proposal: local rules and the "
        "makers' instructions stand above it, and mains work belongs to a licensed electrician."
    ),
)

STATED: dict[str, Any] = {
    "job": {"name": "Allotment shed, to be written over", "currency": "EUR", "units": "metric"},
    "site": {
        "latitude_deg": 48.1,
        "longitude_deg": 9.4,
        "tilt_deg": 30,
        "azimuth_deg": 180,
        "months": [3, 4, 5, 6, 7, 8, 9, 10],
        "sun_hours": [1.2, 2.0, 3.2, 4.2, 4.9, 5.2, 5.3, 4.7, 3.6, 2.3, 1.3, 0.9],
        "coldest_c": -15,
        "hottest_c": 35,
    },
    "energy": {"autonomy_days": 2, "shortfall_pct": 0},
    "load": [
        {
            "name": "Lamps",
            "supply": "dc",
            "watts": 5,
            "quantity": 4,
            "hours_per_day": 4,
            "place": "bench",
            "circuit": "lights",
        },
        {
            "name": "Water pump",
            "supply": "dc",
            "watts": 60,
            "hours_per_day": 0.5,
            "surge_watts": 150,
            "together": False,
            "place": "bench",
            "months": [4, 5, 6, 7, 8, 9],
        },
        {
            "name": "Radio and phone chargers",
            "supply": "dc",
            "watts": 25,
            "hours_per_day": 3,
            "place": "bench",
        },
        {
            "name": "Laptop",
            "supply": "ac",
            "watts": 65,
            "hours_per_day": 2,
            "place": "bench",
        },
    ],
    "place": [
        {
            "name": "roof",
            "length_mm": 3200,
            "width_mm": 2100,
            "holds": ["panel"],
            "max_kg": 90,
            "margin_mm": 80,
            "obstacles": [
                {
                    "name": "stove pipe",
                    "x_mm": 2700,
                    "y_mm": 1600,
                    "length_mm": 250,
                    "width_mm": 250,
                }
            ],
        },
        {
            "name": "locker",
            "length_mm": 1100,
            "width_mm": 500,
            "height_mm": 450,
            "holds": ["battery"],
            "max_kg": 120,
            "margin_mm": 20,
            "vented": True,
            "min_c": 0,
            "max_c": 35,
            "at_m": [2.4, -0.6, 0.3],
        },
        {
            "name": "board",
            "length_mm": 1200,
            "width_mm": 900,
            "max_kg": 60,
            "margin_mm": 20,
            "at_m": [1.2, 0.7, 1.4],
        },
        {"name": "bench", "length_mm": 2400, "width_mm": 600, "holds": []},
    ],
    "leg": [
        {"from": "roof", "to": "board", "length_m": 4.2, "hole": "roof entry"},
        {"from": "locker", "to": "board", "length_m": 1.1, "hole": "locker top"},
        {"from": "board", "to": "bench", "length_m": 2.6, "conduit": "left wall"},
    ],
    "rules": {"voltages": [12, 24], "chemistries": ["lfp", "agm"], "practice": "iso"},
    "order": {"spares_pct": 10},
}
"""The values a new file states, by table and key."""

SAMPLES: dict[str, dict[str, Any]] = {
    "site": {"clearness": 0.5},
    "energy": {"inverter_hours_per_day": 6},
    "load": {"surge_watts": 20, "volts": [12, 24], "surge_s": 1},
    "charging": {
        "kind": "shore",
        "max_w": 500,
        "hours_per_day": 4,
        "months": [3, 10],
        "place": "board",
    },
    "place": {"height_mm": 450, "min_c": -15, "max_c": 60, "sheet_mm": 0.9, "slope_deg": 5},
    "leg": {
        "conduit": "left wall",
        "max_c": 45,
        "bends": 2,
        "conduit_mm": 40,
        "hole_max_mm": 32,
        "hole_mm": 20,
        "from_at_mm": [250, 40],
        "to_at_mm": [250, 860],
    },
    "limits": {"total_kg": 250, "budget": 3000, "fore_aft_kgm": 250, "side_kgm": 40},
    "owned": {
        "class": "battery",
        "name": "battery from the old boat",
        "quantity": 1,
        "use": "may",
        "chemistry": "agm",
        "nominal_v": 12,
        "capacity_ah": 95,
        "usable_pct": 50,
        "charge_efficiency_pct": 85,
        "max_charge_a": 24,
        "max_discharge_a": 190,
        "max_series": 2,
        "max_parallel": 2,
        "min_charge_c": -15,
        "stud": "M8",
        "length_mm": 353,
        "width_mm": 175,
        "height_mm": 190,
        "kg": 27.5,
    },
    "order": {
        "start": date(2027, 1, 11),
        "need_by": date(2027, 3, 1),
        "avoid_suppliers": [],
        "rates": {"USD": 0.92},
    },
}
"""Samples of keys that a new file leaves out and that have no default to show."""


@dataclass(frozen=True)
class Entry:
    """One key of one table, as a new needs file explains it."""

    name: str
    remark: str
    """What it means, what is allowed, what absent means."""
    sample: Any
    """What to write if it is to be stated."""


def entries_of(table: Table) -> list[Entry]:
    """Every key of a table with its remark, the ones that must be there first."""
    if table.record is None:
        return _entries_of_owned()
    idle = WITHOUT_EFFECT.get(table.name, ())
    return [
        replace(e, remark=f"{e.remark}; without effect yet") if e.name in idle else e
        for e in _entries_of_record(table)
    ]


def _entries_of_record(table: Table) -> list[Entry]:
    must: list[Entry] = []
    may: list[Entry] = []
    for key in table.keys:
        unit = f", in {key.unit}" if key.unit else ""
        absent = "" if key.required else f"; default: {key.default or 'not there'}"
        each = f"; each {key.read.item.allowed()}" if isinstance(key.read, ListOf) else ""
        remark = f"{key.meaning}{unit}{each}{absent}"
        sample = SAMPLES.get(table.name, {}).get(key.name, Toml(key.example))
        (must if key.required else may).append(Entry(key.name, remark, sample))
    for col in table.columns():
        sample = SAMPLES.get(table.name, {}).get(col.name, _sample(col))
        (must if col.required else may).append(Entry(col.name, remark_of(col), sample))
    return must + may


def _entries_of_owned() -> list[Entry]:
    """The keys every owned part has; those of its class are shown by the sample alone."""
    cols = {c.name.removesuffix("_"): c for c in columns_of(OwnedKeys)}
    remarks = {
        name: remark_of(cols[name])
        for name in ("part", "class", "name", "quantity", "use", "must")
    }
    sample = SAMPLES["owned"]
    return [Entry(name, text, sample.get(name)) for name, text in remarks.items()]


class Toml(str):
    """A sample that is written as TOML already."""

    __slots__ = ()


def remark_of(col: Column) -> str:
    """What a column's key means, what is allowed and what absent means, in one line."""
    text = f"{col.meaning}: {col.allowed()}"
    if col.required:
        return text
    if col.default is None:
        return (
            text
            if "default" in col.meaning or "required" in col.meaning
            else f"{text}; optional"
        )
    default = str(col.default).lower() if isinstance(col.default, bool) else col.default
    default = f"{default:g}" if isinstance(default, float) else default
    return f"{text}; default {default}"


def _sample(col: Column) -> Any:
    if col.default is not None:
        return col.default
    if col.one_of is not None:
        return col.one_of[0]
    return col.example
