"""The tables of a needs file and their keys, declared once.

Most keys are columns of the records in `solver.needs`. The others, whose values are lists,
dates or tables, are declared here with what reads them. The reader and the template both go by
this.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from bom.needs_values import (
    ListOf,
    Reader,
    WrongInside,
    column_of,
    date_of,
    shown,
    table_of,
    value_of,
)
from solver.columns import Column, Wrong, column, columns_of, nearest, show
from solver.needs import (
    CHEMISTRIES,
    VOLTAGES,
    Charging,
    DropLimits,
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Obstacle,
    Order,
    Place,
    Rules,
    Site,
)
from solver.parts import CLASSES
from solver.tables.iso_4217 import CODES


@dataclass(frozen=True)
class Key:
    """A key that is no plain column."""

    name: str
    field: str
    """Of the record."""
    meaning: str
    example: str
    """As TOML, after the equals sign."""
    read: Reader
    required: bool = False
    unit: str = ""
    default: str = ""
    """What absent means, where it is not "not there"."""
    nested: bool = False
    """Whether tables stand in it."""


@dataclass(frozen=True)
class Table:
    """One table of the needs file, one sheet of the workbook."""

    name: str
    record: type | None
    """None: `[[owned]]`, whose keys hang on the part class."""
    rows: bool = False
    """Written `[[name]]`, as often as needed."""
    required: bool = False
    keys: tuple[Key, ...] = ()
    meaning: str = ""

    def columns(self) -> tuple[Column, ...]:
        """The keys that are plain columns."""
        return columns_of(self.record) if self.record is not None else ()

    def names(self) -> list[str]:
        """Every key, plain ones first."""
        return [c.name for c in self.columns()] + [k.name for k in self.keys]

    def list_keys(self) -> list[str]:
        """Keys that hold several values."""
        return [k.name for k in self.keys if isinstance(k.read, ListOf)]

    def inner_keys(self) -> list[str]:
        """Keys that hold a list or a table."""
        lists = [c.name for c in self.columns() if c.kind == "numbers"]
        return lists + [k.name for k in self.keys if isinstance(k.read, ListOf) or k.nested]

    def required_names(self) -> list[str]:
        """The keys that must be there."""
        return [c.name for c in self.columns() if c.required] + [
            k.name for k in self.keys if k.required
        ]


@dataclass(frozen=True, kw_only=True)
class _Items:
    """What stands in the lists, one field a list; only declared, never made."""

    month: int = column("", "month", at_least=1, at_most=12)
    sun: float = column("h", "mean daily peak sun hours", at_least=0, at_most=24)
    air: float = column("°C", "mean air temperature by day", at_least=-60, at_most=60)
    holds: str = column("", "part class", one_of=tuple(sorted(CLASSES)))
    at_m: float = column("m", "position", at_least=-1000, at_most=1000)
    at_mm: float = column("mm", "position", at_least=0, at_most=100000)
    voltage: int = column("V", "system voltage", one_of=VOLTAGES)
    chemistry: str = column("", "cell chemistry", one_of=CHEMISTRIES)
    supplier: str = column("", "supplier", example="north")
    rate: Decimal = column(
        "",
        "what one of it is in the job's currency",
        above=0,
        at_most=1_000_000_000,
        noun="a number",
    )
    place: str = column("", "place", example="roof")


WITHOUT_EFFECT: dict[str, tuple[str, ...]] = {
    "load": ("surge_s", "critical"),
    "place": ("sleeping",),
}
"""Keys that are read and change nothing in an answer yet; whoever states one is told so."""


def _item(name: str) -> Column:
    return column_of(_Items, name)


def _place_name(raw: Any, loose: bool) -> str:
    text: str = value_of(_item("place"), raw, loose)
    return text


def _obstacles(raw: Any, loose: bool) -> tuple[Obstacle, ...]:
    if not isinstance(raw, list):
        raise Wrong(f"found {shown(raw)}; a list of tables such as {_OBSTACLES} belongs here")
    found, problems = [], []
    for number, one in enumerate(raw, 1):
        name = one.get("name") if isinstance(one, dict) else None
        part = f"number {number}" + (f" {show(name)}" if isinstance(name, str) else "")
        try:
            found.append(Obstacle(**table_of(Obstacle, one, loose, _OBSTACLES[1:-1])))
        except WrongInside as wrong:
            problems += [(f"{part}, {key}", text) for key, text in wrong.problems]
        except Wrong as wrong:
            problems.append((part, str(wrong)))
    if problems:
        raise WrongInside(problems)
    return tuple(found)


def _drop(raw: Any, loose: bool) -> DropLimits:
    return DropLimits(**table_of(DropLimits, raw, loose, _DROP))


def _rates(raw: Any, loose: bool) -> tuple[tuple[str, Decimal], ...]:
    if not isinstance(raw, dict):
        raise Wrong(f"found {shown(raw)}; a table such as {_RATES} belongs here")
    found, problems = [], []
    for code, rate in raw.items():
        if code not in CODES:
            problems.append((code, f"unknown currency{currency_hint(code)}"))
            continue
        try:
            found.append((code, value_of(_item("rate"), rate, loose)))
        except Wrong as wrong:
            problems.append((code, str(wrong)))
    if problems:
        raise WrongInside(problems)
    return tuple(sorted(found))


def currency_hint(code: str) -> str:
    """What to type instead of a code that ISO 4217 does not know."""
    hint = nearest(code.strip().upper(), sorted(CODES))
    return f"; an ISO 4217 code such as EUR or USD belongs here{hint}"


_OBSTACLES = (
    '[{ name = "stove pipe", x_mm = 300, y_mm = 250, length_mm = 250, width_mm = 250 }]'
)
_DROP = "{ array = 3, battery = 1, inverter = 2, charger = 3, load = 3 }"
_RATES = "{ USD = 0.92 }"
_MONTHS = ListOf(_item("month"), "[4, 5, 6]", rising=True)
_SUN = "[2.1, 2.9, 3.9, 4.5, 4.8, 5.0, 5.3, 5.0, 4.3, 3.3, 2.2, 1.7]"
_AIR = "[-2, 0, 5, 9, 14, 17, 19, 19, 15, 10, 3, -1]"


def _entry(end: str) -> Key:
    """Where a leg comes out in one of its two places."""
    return Key(
        f"{end}_at_mm",
        f"{end}_at_mm",
        f"where its cables enter that place ({end}): x, y of the middle from the place's corner",
        "[250, 40]",
        ListOf(_item("at_mm"), "[250, 40]", count=2, repeats=True),
        unit="mm",
        default="to be set on the spot",
    )


def _months(meaning: str, default: str) -> Key:
    return Key("months", "months", meaning, "[4, 5, 6]", _MONTHS, default=default)


TABLES = (
    Table("job", Job, required=True, meaning="the job"),
    Table(
        "site",
        Site,
        required=True,
        meaning="where it stands, how the panels look, how cold and hot it gets",
        keys=(
            _months("months in use, 1 to 12", "all"),
            Key(
                "sun_hours",
                "sun_hours",
                "mean daily peak sun hours on the plane of the array, January to December",
                _SUN,
                ListOf(_item("sun"), _SUN, count=12, repeats=True),
                unit="h",
                default="computed for the place and clearness",
            ),
            Key(
                "air_c",
                "air_c",
                "mean air temperature by day, January to December",
                _AIR,
                ListOf(_item("air"), _AIR, count=12, repeats=True),
                unit="°C",
                default="estimated from coldest_c and hottest_c",
            ),
        ),
    ),
    Table("energy", Energy, required=True, meaning="how long it must last, what may help"),
    Table(
        "load",
        Load,
        rows=True,
        required=True,
        meaning="everything that uses power",
        keys=(_months("months it runs", "all in use"),),
    ),
    Table(
        "charging",
        Charging,
        rows=True,
        meaning="other ways in for energy: shore, engine, generator; each at most once",
        keys=(_months("months it is there", "all in use"),),
    ),
    Table(
        "place",
        Place,
        rows=True,
        required=True,
        meaning="every surface, locker or room that holds something; measured from one corner",
        keys=(
            Key(
                "holds",
                "holds",
                "part classes it may hold; an empty list: nothing",
                '["panel"]',
                ListOf(_item("holds"), '["panel"]', may_be_empty=True),
                default="anything but panels, and batteries only where there is a height_mm",
            ),
            Key(
                "obstacles",
                "obstacles",
                "what nothing may cover; x_mm and y_mm are the nearest corner",
                _OBSTACLES,
                _obstacles,
                nested=True,
            ),
            Key(
                "at_m",
                "at_m",
                "position of its middle from a stated reference: x, y, z",
                "[1.9, 0, 2.2]",
                ListOf(_item("at_m"), "[1.9, 0, 2.2]", count=3, repeats=True),
                unit="m",
            ),
        ),
    ),
    Table(
        "leg",
        Leg,
        rows=True,
        meaning="measured ways a cable can take from place to place",
        keys=(
            Key("from", "from_", "place it begins at", '"roof"', _place_name, required=True),
            Key("to", "to", "place it ends at", '"locker"', _place_name, required=True),
            _entry("from"),
            _entry("to"),
        ),
    ),
    Table("limits", Limits, meaning="most it may weigh and cost; absent: no limit"),
    Table(
        "rules",
        Rules,
        meaning="rules to build by",
        keys=(
            Key(
                "voltages",
                "voltages",
                "system voltages that come into question",
                "[12, 24, 48]",
                ListOf(_item("voltage"), "[12, 24]", rising=True),
                unit="V",
                default="[12, 24, 48]",
            ),
            Key(
                "chemistries",
                "chemistries",
                "battery chemistries that come into question",
                '["lfp", "agm"]',
                ListOf(_item("chemistry"), '["lfp", "agm"]'),
                default='["lfp", "agm", "gel", "flooded"]',
            ),
            Key(
                "drop_pct",
                "drop_pct",
                "allowed voltage drop by kind of circuit",
                _DROP,
                _drop,
                nested=True,
                unit="%",
                default=_DROP,
            ),
        ),
    ),
    Table(
        "owned",
        None,
        rows=True,
        meaning="parts at hand: one of the catalog by its part, or described with its class, "
        "its name and the columns of its class",
    ),
    Table(
        "order",
        Order,
        meaning="when to order and whom from",
        keys=(
            Key("start", "start", "day the orders go out", "2027-01-11", date_of),
            Key("need_by", "need_by", "day everything must be there", "2027-03-01", date_of),
            Key(
                "avoid_suppliers",
                "avoid_suppliers",
                "suppliers not to buy from",
                '["north"]',
                ListOf(_item("supplier"), '["north"]', may_be_empty=True),
            ),
            Key(
                "rates",
                "rates",
                "what one of another currency is in the job's; without it offers are left out",
                _RATES,
                _rates,
                nested=True,
            ),
        ),
    ),
)

BY_NAME = {t.name: t for t in TABLES}
