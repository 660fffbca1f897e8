"""Needs: what the person stated, validated, as plain frozen records.

Each record is one table of the needs file and each field one key, with its unit in its name.
The fields are declared with `column`, so the reader of needs files takes keys, ranges and
messages from here. Values that cannot be a column (nested lists, dates, tables) are plain fields
and are read by hand in `bom.needs_file`.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, TypeVar

from solver.columns import column
from solver.parts.base import Part

if TYPE_CHECKING:
    from datetime import date

T = TypeVar("T")

GROUND_MM = 10000.0
"""Sides of a patch of ground that states none: more than any array that is put out by hand."""

ALL_MONTHS = (1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12)
CHEMISTRIES = ("lfp", "agm", "gel", "flooded")
VOLTAGES = (12, 24, 48)
PRACTICES = ("iso", "nec", "abyc")


@dataclass(frozen=True, kw_only=True)
class Job:
    """`[job]`."""

    name: str = column("", "name of the job", example="Allotment hut")
    currency: str = column("", "currency of every amount, ISO 4217", example="EUR")
    units: str = column(
        "", "units for what is shown", default="metric", one_of=("metric", "imperial")
    )


@dataclass(frozen=True, kw_only=True)
class Site:
    """`[site]`: where, how the panels look, how cold and hot."""

    latitude_deg: float = column("°", "north positive", at_least=-90, at_most=90)
    longitude_deg: float = column("°", "east positive", at_least=-180, at_most=180)
    tilt_deg: float = column("°", "panel tilt, 0 is flat", at_least=0, at_most=90)
    azimuth_deg: float = column("°", "where panels face, 180 is south", at_least=0, at_most=360)
    months: tuple[int, ...] = ALL_MONTHS
    """Months in use, 1 to 12, rising."""
    sun_hours: tuple[float, ...] | None = None
    """Twelve mean daily peak sun hours on the plane of the array, as stated."""
    clearness: float | None = column(
        "",
        "fraction of clear-sky irradiation; required without sun_hours",
        default=None,
        above=0,
        at_most=1,
    )
    coldest_c: float = column("°C", "coldest air", at_least=-60, at_most=40)
    hottest_c: float = column("°C", "hottest air", at_least=-30, at_most=60)
    cell_rise_c: float = column(
        "°C", "cells over the air in full sun", default=30.0, at_least=0, at_most=60
    )
    air_c: tuple[float, ...] | None = None
    """Twelve mean air temperatures by day, as stated."""
    derate: float = column("", "soiling, wiring and mismatch", default=0.85, above=0, at_most=1)


@dataclass(frozen=True, kw_only=True)
class Energy:
    """`[energy]`."""

    autonomy_days: float = column("days", "days the bank carries alone", at_least=0, at_most=60)
    shortfall_pct: float = column(
        "%",
        "share of a month's energy that may come from other charging",
        default=0.0,
        at_least=0,
        at_most=100,
    )
    inverter_hours_per_day: float | None = column(
        "h",
        "hours the inverter is on; default 24 where there is an AC load, else 0",
        default=None,
        at_least=0,
        at_most=24,
    )


@dataclass(frozen=True, kw_only=True)
class Load:
    """One `[[load]]`."""

    name: str = column("", "what runs")
    supply: str = column("", "which supply it takes", one_of=("dc", "ac"))
    watts: float = column("W", "running draw of one", above=0, at_most=100000)
    quantity: int = column("", "how many", default=1, at_least=1, at_most=1000)
    hours_per_day: float = column("h", "hours a day each runs", at_least=0, at_most=24)
    surge_watts: float | None = column(
        "W",
        "start-up draw of one, in place of its watts",
        default=None,
        above=0,
        at_most=1000000,
    )
    together: bool = column("", "counts in the simultaneous peak", default=True)
    place: str = column("", "place it stands in")
    circuit: str | None = column(
        "", "loads with the same name here share one circuit", default=None
    )
    months: tuple[int, ...] | None = None
    """Months it runs; None: all in use."""
    volts: tuple[float, ...] | None = column(
        "V",
        "system voltages a DC load takes directly; default any",
        default=None,
        above=0,
        example="12",
    )
    surge_s: float | None = column(
        "s", "how long a start-up lasts", default=None, above=0, at_most=60
    )
    power_factor: float = column("", "watts over volt-amperes", default=1.0, above=0, at_most=1)
    critical: bool = column("", "must never stop", default=False)


@dataclass(frozen=True, kw_only=True)
class Charging:
    """One `[[charging]]`: another way in for energy."""

    kind: str = column("", "where it comes from", one_of=("shore", "engine", "generator"))
    max_w: float = column("W", "most that goes into the charger", above=0, at_most=100000)
    hours_per_day: float = column("h", "hours a day", at_least=0, at_most=24)
    months: tuple[int, ...] | None = None
    """Months it is there; None: all in use."""
    place: str | None = column("", "where its inlet or the engine's battery is", default=None)


@dataclass(frozen=True, kw_only=True)
class Obstacle:
    """Something on a surface that nothing may cover."""

    name: str = column("", "what it is")
    x_mm: float = column(
        "mm", "nearest corner, along the place's length", at_least=0, at_most=100000
    )
    y_mm: float = column(
        "mm", "nearest corner, along the place's width", at_least=0, at_most=100000
    )
    length_mm: float = column("mm", "along the place's length", above=0, at_most=100000)
    width_mm: float = column("mm", "along the place's width", above=0, at_most=100000)


@dataclass(frozen=True, kw_only=True)
class Place:
    """One `[[place]]`: a rectangle that things stand in or hang on."""

    name: str = column("", "name of the place")
    length_mm: float = column(
        "mm", "length; of ground 10000 unless stated", above=0, at_most=100000
    )
    width_mm: float = column(
        "mm", "width; of ground 10000 unless stated", above=0, at_most=100000
    )
    height_mm: float | None = column(
        "mm", "free height; absent for a flat surface", default=None, above=0, at_most=100000
    )
    holds: tuple[str, ...] | None = None
    """Part classes it may hold; None: anything but panels, and batteries only with a height."""
    max_kg: float | None = column(
        "kg", "most it carries", default=None, at_least=0, at_most=100000
    )
    margin_mm: float = column(
        "mm", "kept free along the edges", default=0.0, at_least=0, at_most=10000
    )
    obstacles: tuple[Obstacle, ...] = ()
    vented: bool = column("", "has a way out for air", default=False)
    min_c: float | None = column("°C", "coldest in it", default=None, at_least=-60, at_most=60)
    max_c: float | None = column("°C", "hottest in it", default=None, at_least=-40, at_most=150)
    at_m: tuple[float, ...] | None = None
    """Position of its middle from a stated reference, x, y, z."""
    wet: bool = column("", "gets wet", default=False)
    engine_space: bool = column("", "is an engine space", default=False)
    sheet_mm: float | None = column(
        "mm", "thickness of its sheet", default=None, above=0, at_most=200
    )
    sleeping: bool = column("", "people sleep in it", default=False)
    ground: bool = column(
        "",
        "is the ground beside the vehicle: panels are put out there by hand, and their lead, its "
        "one leg, ends at an inlet in the wall of the place it leads to",
        default=False,
    )
    slope_deg: float | None = column(
        "°",
        "pitch of its surface; default: panels lie on it, at the site's tilt",
        default=None,
        at_least=0,
        at_most=90,
    )

    @property
    def gets_wet(self) -> bool:
        """Whether it rains on what stands here: where that is stated, and on every ground place."""
        return self.wet or self.ground

    def may_hold(self, part_class: str) -> bool:
        """Whether parts of this class may stand here; on the ground panels alone."""
        if self.ground:
            return part_class == "panel"
        if self.holds is None:
            if part_class == "panel":
                return False
            return part_class != "battery" or self.height_mm is not None
        return part_class in self.holds


@dataclass(frozen=True, kw_only=True)
class Leg:
    """One `[[leg]]`: a measured way a cable can take between two places."""

    from_: str = ""
    to: str = ""
    length_m: float = column("m", "measured length", above=0, at_most=1000)
    hole: str | None = column("", "hole or gland it passes", default=None)
    conduit: str | None = column(
        "",
        "conduit it runs in; it is bought, unless conductors lie in it already or its size is "
        "stated",
        default=None,
    )
    conduit_mm: float | None = column(
        "mm",
        "inside diameter of the conduit that is there",
        default=None,
        above=0,
        at_most=500,
    )
    loaded_conductors: int = column(
        "", "loaded conductors already in it", default=0, at_least=0, at_most=200
    )
    max_c: float | None = column(
        "°C", "hottest along it", default=None, at_least=-40, at_most=150
    )
    bends: int | None = column("", "bends in it", default=None, at_least=0, at_most=100)
    hole_max_mm: float | None = column(
        "mm", "largest hole allowed", default=None, above=0, at_most=500
    )
    hole_mm: float | None = column(
        "mm", "hole that is there", default=None, above=0, at_most=500
    )
    wet: bool = column("", "gets wet", default=False)
    from_at_mm: tuple[float, ...] | None = None
    """Where it enters the place it begins at: x, y from that place's corner."""
    to_at_mm: tuple[float, ...] | None = None
    """Where it enters the place it ends at, likewise."""


@dataclass(frozen=True, kw_only=True)
class Limits:
    """`[limits]`."""

    total_kg: float | None = column(
        "kg", "most the whole kit may weigh", default=None, at_least=0, at_most=1000000
    )
    budget: Decimal | None = column("", "most that may be spent", default=None, at_least=0)
    fore_aft_kgm: float | None = column(
        "kg·m",
        "largest moment along x about the reference of at_m, either way; then every place that "
        "may hold something has at_m",
        default=None,
        at_least=0,
        at_most=1000000,
    )
    side_kgm: float | None = column(
        "kg·m",
        "largest moment along y about the reference of at_m, either way; then every place that "
        "may hold something has at_m",
        default=None,
        at_least=0,
        at_most=1000000,
    )


@dataclass(frozen=True, kw_only=True)
class DropLimits:
    """`drop_pct` of `[rules]`: allowed voltage drop by circuit."""

    array: float = column("%", "panels to controller", default=3.0, above=0, at_most=50)
    battery: float = column("%", "bank to bus bars", default=1.0, above=0, at_most=50)
    inverter: float = column("%", "bus bars to inverter", default=2.0, above=0, at_most=50)
    charger: float = column(
        "%", "chargers and controllers to bus bars", default=3.0, above=0, at_most=50
    )
    load: float = column("%", "to the loads", default=3.0, above=0, at_most=50)


@dataclass(frozen=True, kw_only=True)
class Rules:
    """`[rules]`."""

    voltages: tuple[int, ...] = VOLTAGES
    chemistries: tuple[str, ...] = CHEMISTRIES
    practice: str = column(
        "", "rules for conductors and protection", default="iso", one_of=PRACTICES
    )
    ac_v: float = column("V", "AC voltage", default=230.0, above=0, at_most=500)
    hz: float = column("Hz", "AC frequency", default=50.0, one_of=(50, 60))
    drop_pct: DropLimits = dataclasses.field(default_factory=DropLimits)
    continuous: float = column(
        "", "design current over running current", default=1.25, at_least=1, at_most=3
    )
    conductor_c: float = column(
        "°C", "copper at work, for the drop", default=60.0, at_least=-40, at_most=150
    )
    slack_mm: float = column(
        "mm", "added at each end of each piece", default=150.0, at_least=0, at_most=10000
    )
    round_mm: float = column(
        "mm", "cut lengths are rounded up to it", default=10.0, above=0, at_most=10000
    )
    in_place_m: float = column(
        "m", "one way, between two devices in one place", default=1.0, above=0, at_most=100
    )


@dataclass(frozen=True, kw_only=True)
class Owned:
    """One `[[owned]]`: a part the person has, from the catalog or described inline."""

    part: Part
    """The part; one described inline has its `name` as its `part`."""
    inline: bool
    quantity: Decimal
    """How many; of cable metres, in one piece."""
    use: str = column(
        "", "may be used, or all of it must", default="may", one_of=("may", "must")
    )


@dataclass(frozen=True, kw_only=True)
class Order:
    """`[order]`."""

    start: date | None = None
    need_by: date | None = None
    avoid_suppliers: tuple[str, ...] = ()
    spares_pct: float = column(
        "%",
        "spares of every termination, rounded up, and one of each fuse; 0: none",
        default=10.0,
        at_least=0,
        at_most=1000,
    )
    tools: bool = column(
        "", "tools that the job needs and that are not owned are bought", default=True
    )
    rates: tuple[tuple[str, Decimal], ...] = ()
    """Pairs of a currency and what one of it is in the job's currency."""


def _sorted(rows: Iterable[T]) -> tuple[T, ...]:
    # what they are named by comes first in a record, then whatever else tells them apart
    return tuple(sorted(rows, key=repr))


@dataclass(frozen=True, kw_only=True)
class Needs:
    """Everything a needs file says."""

    job: Job
    site: Site
    energy: Energy
    loads: tuple[Load, ...]
    places: tuple[Place, ...]
    charging: tuple[Charging, ...] = ()
    legs: tuple[Leg, ...] = ()
    limits: Limits = dataclasses.field(default_factory=Limits)
    rules: Rules = dataclasses.field(default_factory=Rules)
    owned: tuple[Owned, ...] = ()
    order: Order = dataclasses.field(default_factory=Order)
    sun_hours: tuple[float, ...] = ()
    """Twelve mean daily peak sun hours that are reckoned with: stated, or computed from the place."""
    notes: tuple[str, ...] = ()
    """What the reader of the file assumed and the person must see."""

    def in_one_order(self) -> Needs:
        """The same with every table's rows sorted, so that their order changes no answer."""
        places = [dataclasses.replace(p, obstacles=_sorted(p.obstacles)) for p in self.places]
        return dataclasses.replace(
            self,
            loads=_sorted(self.loads),
            places=_sorted(places),
            charging=_sorted(self.charging),
            legs=_sorted(self.legs),
            owned=_sorted(self.owned),
        )

    def place(self, name: str) -> Place:
        """The place of that name."""
        return next(p for p in self.places if p.name == name)
