"""What a sheet is made of: columns, rows and what they are made from.

A sheet is a module with `TITLE`, `COLUMNS`, `rows(kit, first)` and, where it needs them,
`above(kit, first)` for lines over the headings, `pictures(kit)` for what stands under the rows,
`CHART`, `ONE_PAGE`, `ORIENTATION` (landscape without it), `in_book(kit)` (always without it). It
only says what stands where; `bom.workbook` writes it. `first` is the number of the first row under
the headings.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from bom.money import amount_text
from bom.since import Since
from solver.needs import Needs
from solver.owned_use import OwnedUse
from solver.parts.base import Part
from solver.records import Design, End, EnergyReport, Result
from solver.stock import Stock
from solver.work_order import WithoutNeedBy, WorkOrder

TEXT = "General"
WHOLE = "#,##0"
ONE = "#,##0.0"
TWO = "#,##0.00"
FREE = "#,##0.###"
"""Up to three digits after the point: metres, packs."""
MONEY = "money"
"""The job's currency, with as many digits as it has."""


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column of a sheet.

    Values in mm, m and kg are turned into in, ft and lb where the job asks for imperial units.
    """

    heading: str
    unit: str = ""
    width: int
    """In characters."""
    form: str = TEXT
    only: str = ""
    """`imperial`: left out of a metric job."""
    inches: str = ""
    """Form of a value in inches, where its own would be too coarse."""


@dataclass(frozen=True)
class Formula:
    """A live formula, without its equals sign."""

    text: str


@dataclass(frozen=True, kw_only=True)
class Cell:
    """A value that is not shown as its column says."""

    value: Any
    form: str


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row: a value a column, from the left."""

    cells: tuple[Any, ...]
    look: str = "line"
    """`line`, `head` (of a block) and `text` (both over all columns), `sum`, `total`, `note`,
    `bad` (a check that failed)."""
    new_page: bool = False
    """Whether paper begins a new page with it."""


@dataclass(frozen=True, kw_only=True)
class Chart:
    """Bars upon each other and a line over them, taken from columns of the sheet."""

    title: str
    categories: str
    bars: tuple[str, ...]
    line: str
    y_title: str


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A picture under the rows of a sheet."""

    png: bytes


@dataclass(frozen=True, kw_only=True)
class Beside:
    """What is told beside an answer."""

    work: WorkOrder | None = None
    without_need_by: WithoutNeedBy | None = None
    since: Since | None = None
    owned: tuple[OwnedUse, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Kit:
    """What the sheets are made from."""

    result: Result
    needs: Needs
    stock: Stock
    beside: Beside = Beside()

    @property
    def design(self) -> Design:
        """The design; a workbook is only written where there is one."""
        assert self.result.design is not None, "no workbook without a design"
        return self.result.design

    @property
    def energy(self) -> EnergyReport:
        """Its energy figures."""
        assert self.result.energy is not None, "a design without energy figures"
        return self.result.energy

    @property
    def work(self) -> WorkOrder:
        """Which task can start when."""
        assert self.beside.work is not None, "no workbook without a work order"
        return self.beside.work

    @property
    def units(self) -> str:
        """`metric` or `imperial`."""
        return self.needs.job.units

    def amount(self, value: Any) -> str:
        """An amount as text in the job's currency."""
        return amount_text(value, self.result.currency)

    def part(self, name: str) -> Part:
        """A part of the design by its name."""
        return self.design.parts[name]


def letter(columns: tuple[Column, ...], heading: str) -> str:
    """The letter of a column by its heading, for a formula."""
    return chr(ord("A") + [c.heading for c in columns].index(heading))


def stands_at(at: str, id: str) -> bool:  # noqa: A002  the contract's own word
    """Whether a cable end at `at` (with or without a port) lands on the thing of that id."""
    return at == id or at.startswith(id + ":")


def end_text(end: End) -> str:
    """How a core is ended: `lug-35-m8 on M8`, a connector, or bare wire."""
    if end.termination is None:
        return f"bare wire on {end.stud}" if end.stud else "bare wire"
    return f"{end.termination} on {end.stud}" if end.stud else end.termination
