"""What the `kitbill parts` commands do: fill a catalog, write it out, look around in it."""

from __future__ import annotations

import os
import re
import shutil
import sys
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

from bom.money import digits
from catalog.cells import cell_text, number_text
from catalog.csv_files import Summary, dump, load
from catalog.shipped import shipped_path
from catalog.store import Catalog, open_catalog, read_stock
from solver.columns import Column, Wrong, columns_of, nearest, read_value, show
from solver.errors import BadInput
from solver.parts import CLASSES, Device, Part
from solver.stock import Offer, Stock, Supplier

ENVIRONMENT = "KITBILL_CATALOG"
"""The environment variable that names the catalog where no option does."""

_COMMON = tuple(c.name for c in columns_of(Part))
_SHARED = {c.name for c in columns_of(Device)}
"""Columns that say nothing about what a class is for."""


def chosen_catalog(given: str | None) -> str | None:
    """The catalog that an option or the environment names; None for the shipped one."""
    if given is not None:
        return given
    return os.environ.get(ENVIRONMENT) or None


def open_chosen(given: str | None) -> Catalog:
    """That catalog, or the shipped one, for reading only."""
    where = chosen_catalog(given)
    if where is not None:
        return open_catalog(where)
    catalog = open_catalog(shipped_path())
    catalog.shown = "the shipped catalog"
    return catalog


def read_chosen(given: str | None) -> Stock:
    """Everything in that catalog."""
    with open_chosen(given) as catalog:
        return read_stock(catalog)


def load_parts(
    paths: Sequence[str | Path],
    catalog: str | None = None,
    progress: Callable[[str], None] | None = None,
) -> str:
    """Load files into a catalog of one's own, which is started if it is not there.

    Returns
    -------
    str
        What was added and changed, to print.

    Raises
    ------
    BadInput
        Without a catalog to write to.
    BadCatalog
        With every fault of the files; nothing was changed.
    """
    where = chosen_catalog(catalog)
    if where is None:
        text = (
            "the shipped catalog is for reading only; name a catalog of your own with "
            f"--catalog FILE or the environment variable {ENVIRONMENT} (a file that does "
            "not exist is started empty)."
        )
        raise BadInput([text])
    with open_catalog(where, create=True) as opened:
        summary = load(paths, opened, progress)
        return _told(summary, opened.shown)


def _told(summary: Summary, shown: str) -> str:
    pairs = _count(summary.pairs_renewed, "pair")
    return "\n".join(
        [
            f"{shown}: loaded {_count(summary.files, 'file')}.",
            _changes("parts", summary.parts_added, summary.parts_changed, summary.parts_same),
            _changes(
                "suppliers",
                summary.suppliers_added,
                summary.suppliers_changed,
                summary.suppliers_same,
            ),
            f"offers: {summary.offers} read; {pairs} of part and supplier new or changed.",
        ]
    )


def _changes(what: str, added: int, changed: int, same: int) -> str:
    return f"{what}: {added} added, {changed} changed, {same} as before."


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def dump_parts(folder: str | Path, catalog: str | None = None) -> str:
    """Write a catalog as CSV files; returns what was written, to print."""
    with open_chosen(catalog) as opened:
        written = dump(opened, folder)
        return f"{folder}: wrote {_count(len(written), 'file')} of {opened.shown}."


def terminal_width() -> int | None:
    """Columns of the terminal that standard output goes to; None where it goes elsewhere."""
    return shutil.get_terminal_size().columns if sys.stdout.isatty() else None


def list_parts(
    catalog: str | None = None,
    cls: str | None = None,
    where: Sequence[str] = (),
    width: int | None = None,
) -> str:
    """The parts of a catalog as a table, a line each.

    Parameters
    ----------
    catalog : str, optional
        As `--catalog`.
    cls : str, optional
        Only this class, with as many of its own columns as fit.
    where : sequence of str
        Comparisons that must all hold, such as `stc_w>=200`, `stud=M8`.
    width : int, optional
        Columns to fit into; without it nothing is cut off.

    Returns
    -------
    str
        The table, to print.
    """
    if cls is not None and cls not in CLASSES:
        hint = nearest(cls, CLASSES) or "; there are " + ", ".join(sorted(CLASSES))
        raise BadInput([f"--class: found {show(cls)}, which is no class of parts{hint}"])
    conditions = _conditions(where, [cls] if cls else sorted(CLASSES))
    stock = read_chosen(catalog)
    parts = stock.parts if cls is None else stock.of_class(cls)
    chosen = [p for p in parts if all(c.holds(p) for c in conditions)]
    if not chosen:
        return "no such part"
    if cls is not None:
        return _class_table(chosen, cls, width)
    return _table(
        ["part", "class", "name"], [[p.part, p.cls, p.name] for p in chosen], set(), width
    )


@dataclass(frozen=True, slots=True)
class _Condition:
    column: str
    sign: str
    values: dict[str, Any]
    """What it compares with, by class: one column may hold a text here, a number there."""

    def holds(self, part: Part) -> bool:
        if part.cls not in self.values:
            return False
        wanted, found = self.values[part.cls], getattr(part, self.column)
        if isinstance(found, tuple):
            same = wanted is not None and all(one in found for one in wanted)
            return same if self.sign == "=" else not same
        if self.sign == "=":
            return bool(found == wanted)
        if self.sign == "!=":
            return bool(found != wanted)
        return found is not None and _ORDER[self.sign](found, wanted)


_ORDER: dict[str, Callable[[Any, Any], bool]] = {
    ">=": lambda found, wanted: found >= wanted,
    "<=": lambda found, wanted: found <= wanted,
    ">": lambda found, wanted: found > wanted,
    "<": lambda found, wanted: found < wanted,
}

_CONDITION = re.compile(r"\s*([^\s<>=!]+)\s*(>=|<=|!=|==|=|>|<)\s*(.*?)\s*", re.DOTALL)


def _conditions(where: Sequence[str], classes: Sequence[str]) -> list[_Condition]:
    """The comparisons, read for each class that has their column; all faults at once."""
    made, problems = [], []
    for text in where:
        try:
            made.append(_condition(text, classes))
        except Wrong as wrong:
            problems.append(f"--where {show(text)}: {wrong}")
    if problems:
        raise BadInput(problems)
    return made


def _condition(text: str, classes: Sequence[str]) -> _Condition:
    match = _CONDITION.fullmatch(text)
    if match is None:
        raise Wrong("a comparison belongs here, such as stc_w>=200 or stud=M8")
    name, sign, raw = match[1], match[2].replace("==", "="), match[3]
    columns = {k: c for k in classes for c in columns_of(CLASSES[k]) if c.name == name}
    if not columns:
        known = {c.name for k in classes for c in columns_of(CLASSES[k])}
        of = f"the class {classes[0]} has no" if len(classes) == 1 else "no class has a"
        raise Wrong(f"{of} column {show(name)}{nearest(name, known)}")
    values: dict[str, Any] = {}
    fault = None
    for cls, column in columns.items():
        try:
            values[cls] = _compared(column, sign, raw)
        except Wrong as wrong:
            fault = fault or wrong
    if fault is not None and not values:
        raise fault
    return _Condition(name, sign, values)


def _compared(column: Column, sign: str, raw: str) -> Any:
    """The value to compare with; the column's own limits do not bind it (`stc_w>=0`)."""
    if sign in _ORDER and column.kind in ("text", "yes_no", "numbers"):
        raise Wrong(f"{column.name} can only be compared with = and !=")
    if not raw:
        if sign in _ORDER:
            raise Wrong(f"found nothing after {sign}; {column.allowed()} belongs here")
        return None if column.may_be_empty else ""
    free = replace(column, above=None, at_least=None, at_most=None)
    if column.kind == "numbers":
        return read_value(free, raw)
    if column.kind != "text" and column.one_of is not None:
        free = replace(free, one_of=None)
    return read_value(free, raw)


def _class_table(parts: Sequence[Part], cls: str, width: int | None) -> str:
    everything = {c.name: c for c in columns_of(CLASSES[cls])}
    own = [n for n in everything if n not in _SHARED]
    order = ["part", *own, *_COMMON[2:], "name"]
    columns = [everything[n] for n in order]
    rows = [[cell_text(c, getattr(p, c.name)) for c in columns] for p in parts]
    fit = _fitting(order, rows, width)
    right = {i for i, c in enumerate(columns) if c.kind in ("number", "whole", "money")}
    text = _table(order[:fit], [row[:fit] for row in rows], right, width)
    if fit < len(order):
        text += "\n(no room for " + ", ".join(order[fit:]) + ": kitbill parts show PART)"
    return text


def _fitting(heading: Sequence[str], rows: Sequence[Sequence[str]], width: int | None) -> int:
    """How many of the columns fit, the first two at least."""
    used = 0
    for position, column in enumerate(_widths(heading, rows)):
        used += column + (2 if position else 0)
        if width is not None and used > width and position >= 2:
            return position
    return len(heading)


def _widths(heading: Sequence[str], rows: Sequence[Sequence[str]]) -> list[int]:
    return [max(map(len, cells)) for cells in zip(heading, *rows, strict=True)]


def _table(
    heading: Sequence[str],
    rows: Sequence[Sequence[str]],
    right: set[int],
    width: int | None,
    *,
    wrap: bool = False,
) -> str:
    """Aligned columns; the last one is cut off at the width, or wrapped."""
    widths = _widths(heading, rows)
    before = sum(widths[:-1]) + 2 * (len(widths) - 1)
    room = max(widths[-1] if width is None else width - before, 10)
    lines: list[str] = []
    for row in (heading, *rows):
        cells = [
            cell.rjust(w) if i in right else cell.ljust(w)
            for i, (cell, w) in enumerate(zip(row, widths, strict=True))
        ]
        start, last = "  ".join([*cells[:-1], ""]), cells[-1]
        if not wrap:
            last = last.rstrip()
            lines.append(
                (start + (last if len(last) <= room else last[: room - 1] + "…")).rstrip()
            )
            continue
        first, *more = textwrap.wrap(last, room) or [""]
        lines.append((start + first).rstrip())
        lines += [" " * before + rest for rest in more]
    return "\n".join(lines)


def show_part(part: str, catalog: str | None = None, width: int | None = None) -> str:
    """All a catalog says about one part: its columns, and its offers by supplier.

    Raises
    ------
    BadInput
        If there is no such part, with the nearest name.
    """
    stock = read_chosen(catalog)
    found = stock.by_name.get(part)
    if found is None:
        hint = nearest(part, stock.by_name)
        raise BadInput([f"found {show(part)}, which is no part of this catalog{hint}"])
    rows = [
        [c.name, cell_text(c, getattr(found, c.name)) or "-", c.unit, c.meaning]
        for c in columns_of(type(found))
        if c.name not in ("part", "name")
    ]
    table = _table(["column", "value", "unit", "meaning"], rows, set(), width, wrap=True)
    return f"{found.part} ({found.cls}): {found.name}\n\n{table}\n\n{_offers(found, stock)}"


def _offers(part: Part, stock: Stock) -> str:
    suppliers = {s.supplier: s for s in stock.suppliers}
    offers = [o for o in stock.offers if o.part == part.part]
    if not offers:
        return "no supplier offers it"
    heading = ["supplier", "unit", "pack", "from packs", "price of a pack", "days", "in stock"]
    rows = [_offer_cells(o, suppliers[o.supplier]) for o in offers]
    return _table(heading, rows, {2, 3, 4, 5, 6}, None)


def _offer_cells(offer: Offer, supplier: Supplier) -> list[str]:
    unit = offer.unit
    if offer.length_m is not None:
        unit += f" of {number_text(offer.length_m)} m"
    days = supplier.lead_days if offer.lead_days is None else offer.lead_days
    return [
        offer.supplier,
        unit,
        format(offer.pack, "f"),
        str(offer.from_quantity),
        _price(offer.price, supplier.currency),
        str(days),
        "enough" if offer.stock is None else format(offer.stock, "f"),
    ]


def _price(amount: Decimal, currency: str) -> str:
    """Every digit the catalog has: a lug may cost a fraction of a cent."""
    exponent = amount.as_tuple().exponent
    decimals = max(digits(currency), -exponent if isinstance(exponent, int) else 0)
    return f"{amount:,.{decimals}f} {currency}"
