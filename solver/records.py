"""What the later stages hand on: the finished design, its bill, its checks, the result.

Plain frozen records. Names and meanings are those of the result file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from solver.parts.base import Part

if TYPE_CHECKING:
    from datetime import date


@dataclass(frozen=True, kw_only=True)
class Device:
    """Something that takes up space: placed, with the nearest corner of its face at x, y."""

    id: str
    part: Part
    place: str
    x_mm: float
    y_mm: float
    rotated: bool


@dataclass(frozen=True, kw_only=True)
class Combiner:
    """The box in which the strings of an array meet, beside its panels.

    The strings' connectors and the half at the array's conductors go into it; so of a piece that
    ends there the panel is told whose end it is. An extra of the array's circuit counts it.
    """

    id: str
    part: str
    place: str


@dataclass(frozen=True, kw_only=True)
class Array:
    """Panels on one controller: equal strings in parallel."""

    controller: str
    """Device id."""
    panel: str
    """Part."""
    panels: tuple[str, ...]
    """Device ids, string after string."""
    series: int
    parallel: int
    voc_cold_v: float
    vmp_hot_v: float
    isc_a: float
    """All strings together, without factor."""
    charge_a: float
    fuses: tuple[str, ...] = ()
    """Protection ids, one for each string in their order; empty where none needs a fuse."""
    negative_fuses: tuple[str, ...] = ()
    """Likewise of the fuses in the strings' negatives; empty where these need none."""
    combiner: Combiner | None = None
    """What more than two strings meet in; None: branch pairs, or one string. Their fuses sit in it,
    and have no holder of their own."""

    @property
    def all_fuses(self) -> tuple[str, ...]:
        """The fuses of both poles."""
        return (*self.fuses, *self.negative_fuses)


@dataclass(frozen=True, kw_only=True)
class Bank:
    """One kind of battery, in equal parallel strings."""

    battery: str
    """Part."""
    series: int
    parallel: int
    batteries: tuple[str, ...]
    """Device ids, string after string, the positive end of each string first."""


@dataclass(frozen=True, kw_only=True)
class Protection:
    """A fuse or breaker in the design; several circuits name it where one serves several.

    The fuse of a string stands in its panels' own leads, which are no circuit: its array names it.
    """

    id: str
    part: str
    holder: str | None
    place: str
    """Where it stands: at its source's end."""
    way: int | None
    """Its way in a block of several; `id` is then the block's with the way, `FB1:2`."""
    box: str | None = None
    """The box that it may share with others, `XB1`; its holder is that box's part."""


def seat_of(p: Protection) -> str:
    """The id of what stands on the board for it: its block, the box it shares, or itself."""
    return p.box or (p.id if p.way is None else p.id.rpartition(":")[0])


@dataclass(frozen=True, kw_only=True)
class Circuit:
    """One electrical connection, both poles."""

    name: str
    kind: str
    from_: str
    to: str
    conductors: int
    current_a: float
    design_a: float
    length_m: float
    """One way, without slack."""
    cable: str
    """Part (of the positive, where the poles have different colours)."""
    area_mm2: float
    ampacity_a: float
    """Corrected for ambient, bundling and terminals."""
    drop_v: float
    drop_pct: float
    protection: str | None
    protection_id: str | None
    via: tuple[tuple[str, str], ...]
    """Legs taken, as pairs of places, in order from `from_`."""


@dataclass(frozen=True, kw_only=True)
class End:
    """One core's end of a piece of cable."""

    at: str
    """Device id or protection id, with `:port` where it has several."""
    pole: str
    """`+`, `-`, `L`, `N`, `PE` or empty."""
    stud: str | None
    termination: str | None
    """Part, or None where the terminal takes bare wire."""


@dataclass(frozen=True, kw_only=True)
class Cut:
    """One physical piece of cable."""

    label: str
    cable: str
    length_mm: int
    circuit: str
    piece_of: str
    """The spool or length it is cut from."""
    ends: tuple[End, ...]
    sheathed: bool = False
    """It lies in a sheath, a conduit or an enclosure: so long before its protection."""


@dataclass(frozen=True, kw_only=True)
class CableLength:
    """A spool or length that is bought or owned, and what is cut from it."""

    cable: str
    name: str
    """The `piece_of` of what is cut from it."""
    length_mm: int
    cuts: tuple[str, ...]
    """Labels in the order in which they are cut."""
    offcut_mm: int
    """What stays over; all of it where nothing is cut."""


@dataclass(frozen=True, kw_only=True)
class Extra:
    """Counted parts beside devices, protections, cables and terminations: branch pairs, sockets."""

    part: str
    of: str
    """The circuit or device that they belong to."""
    quantity: int


@dataclass(frozen=True, kw_only=True)
class SmallPart:
    """What holds, covers, marks or lines something of the finished kit, or a tool for it."""

    part: str
    of: str
    """The circuit, device, place, hole or task that it is for."""
    quantity: int | Decimal
    """Pieces; of conduit metres."""

    @property
    def pieces(self) -> int:
        """How many, of what is counted."""
        return int(self.quantity)


@dataclass(frozen=True, kw_only=True)
class Unsold:
    """A small part that is wanted, and of which the catalog has none, or not enough, that fits."""

    kind: str
    of: str
    quantity: float

    @property
    def text(self) -> str:
        """In words."""
        return f"{self.kind} for {self.of}"


@dataclass(frozen=True, kw_only=True)
class Link:
    """A comm cable between two devices."""

    part: str
    from_: str
    to: str
    length_m: float
    """Of the way, without slack."""


@dataclass(frozen=True, kw_only=True)
class Design:
    """The selection made real."""

    system_voltage_v: int
    chemistry: str
    devices: tuple[Device, ...]
    arrays: tuple[Array, ...]
    bank: Bank
    protections: tuple[Protection, ...]
    circuits: tuple[Circuit, ...]
    cuts: tuple[Cut, ...]
    parts: Mapping[str, Part]
    """Every part the design uses, by its name."""
    extras: tuple[Extra, ...] = ()
    links: tuple[Link, ...] = ()
    heard: tuple[str, ...] = ()
    """Buses that every monitor of the catalog hears: devices that speak one are linked."""
    without: tuple[str, ...] = ()
    """Fittings that the catalog knows none of, see `solver.fittings`: the design has none."""
    small: tuple[SmallPart, ...] | None = None
    """Small parts and tools, bought for the finished kit: see `solver.small_parts`; None: not
    reckoned yet."""
    unsold: tuple[Unsold, ...] = ()
    lengths: tuple[CableLength, ...] = ()
    """All that cables are cut from; told with the bill."""

    @property
    def combiners(self) -> tuple[Combiner, ...]:
        """Those of all arrays."""
        return tuple(a.combiner for a in self.arrays if a.combiner is not None)

    def device(self, id: str) -> Device:  # noqa: A002  the contract's own word
        """The device of that id."""
        return next(d for d in self.devices if d.id == id)


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the bill."""

    part: str
    part_class: str
    name: str
    unit: str
    """`each` or `m`."""
    need: Decimal
    """What the design takes, spares included."""
    spares: Decimal
    owned: Decimal
    """Of the need, what the person has."""
    buy: Decimal
    supplier: str | None
    pack: Decimal | None
    packs: int | None
    price: Decimal | None
    """Of one pack, in the job's currency."""
    line_total: Decimal
    why: str


@dataclass(frozen=True, kw_only=True)
class SupplierOrder:
    """One supplier's basket."""

    supplier: str
    name: str
    goods: Decimal
    shipping: Decimal
    total: Decimal
    lead_days: int
    """The longest of its lines."""
    arrives: date | None
    """Where the needs state a start."""


@dataclass(frozen=True, kw_only=True)
class Check:
    """One rule applied to one thing."""

    rule: str
    source: str
    subject: str
    value: float | str
    limit: float | str
    unit: str
    ok: bool


@dataclass(frozen=True, kw_only=True)
class MonthEnergy:
    """A mean day of one month."""

    month: int
    need_wh: float
    yield_wh: float
    other_wh: float


@dataclass(frozen=True, kw_only=True)
class EnergyReport:
    """The energy figures of a design."""

    daily_load_wh: float
    daily_battery_wh: float
    usable_battery_wh: float
    months: tuple[MonthEnergy, ...]


@dataclass(frozen=True, kw_only=True)
class Reason:
    """Why no kit meets the needs."""

    needs: tuple[str, ...]
    message: str
    change: str


@dataclass(frozen=True, kw_only=True)
class Binding:
    """A limit, how much of it is used."""

    need: str
    used: float
    limit: float
    unit: str


@dataclass(frozen=True, kw_only=True)
class Opinion:
    """What a second solver says of the final programme; amounts are in the job's currency."""

    solver: str
    programme: str
    """`setting`: all that the last gap leaves in the kit's setting; `case`: what is left of it
    in the case in which the kit was found."""
    columns: int
    rows: int
    said: str
    """`agrees`, or why there is no opinion: `no time` or `interrupted`."""
    first: Decimal | None
    """The least cost by the first solver; None where it was not done."""
    second: Decimal | None
    """And by the second."""
    limit_s: float


@dataclass(frozen=True, kw_only=True)
class Result:
    """The answer to a needs file. `design` and what follows from it are None or empty without one."""

    status: str
    """`optimal`, `feasible` or `infeasible`."""
    currency: str
    total: Decimal | None
    lower_bound: Decimal | None
    gap_pct: float | None
    design: Design | None
    energy: EnergyReport | None
    lines: tuple[Line, ...]
    orders: tuple[SupplierOrder, ...]
    checks: tuple[Check, ...]
    bindings: tuple[Binding, ...]
    notes: tuple[str, ...]
    reasons: tuple[Reason, ...]
    kit_total: Decimal | None = None
    """The total without the small parts: what was proven to be least."""
    opinion: Opinion | None = None
    """Where one was asked for, and there is a kit."""

    @property
    def small_total(self) -> Decimal:
        """What the small parts add to the total."""
        if self.total is None or self.kit_total is None:
            return Decimal(0)
        return self.total - self.kit_total

    @property
    def kit_bound(self) -> Decimal | None:
        """What no kit undercuts, small parts apart."""
        return None if self.lower_bound is None else self.lower_bound - self.small_total
