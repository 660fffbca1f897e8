"""`[[owned]]`: parts the person has, of the catalog or described in the needs file."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from bom.needs_values import column_of, value_of
from bom.stated import Faults
from solver.columns import Column, Wrong, column, columns_of, nearest, show
from solver.needs import Owned
from solver.parts import CLASSES, Part
from solver.stock import Stock

BY_METRE = ("cable", "conduit")
"""Classes whose quantity is metres; of the others it is a count."""


@dataclass(frozen=True, kw_only=True)
class OwnedKeys:
    """Keys of an owned part beside the columns of its class; only declared, never made."""

    part: str = column("", "a part of the catalog", example="panel-200-12v")
    class_: str = column("", "class of a part described here", one_of=tuple(sorted(CLASSES)))
    name: str = column("", "what it is called, if it is described here")
    quantity: float = column(
        "", "how many; of cable metres, one piece", default=1.0, above=0, at_most=1_000_000
    )
    quantity_m: float = column("m", "length of the piece", above=0, at_most=100_000)
    use: str = column(
        "", "may be used, or all of it must", default="may", one_of=("may", "must")
    )
    must: bool = column(
        "", "of a cable described here, whose use says what it is made for", default=False
    )


@dataclass(frozen=True)
class _Row:
    """One row being read."""

    faults: Faults
    number: int
    raw: dict[str, Any]

    def wrong(self, text: str, key: str) -> None:
        self.faults.add(text, "owned", self.number, key)

    def read(self, col: Column, key: str) -> Any:
        """One value by its key, or None where it is wrong."""
        if key not in self.raw:
            if col.required:
                self.wrong(f"missing; {col.allowed()} belongs here", key)
            return col.default
        try:
            return value_of(col, self.raw[key], self.faults.stated.book)
        except Wrong as wrong:
            self.wrong(str(wrong), key)
            return None

    def like_parts(self, class_name: str) -> None:
        """Say where to look for what no label tells."""
        self.faults.add(
            f'what its label does not say, a like part may: "kitbill parts list --class '
            f'{class_name}" shows what the catalog says of each',
            "owned",
            self.number,
        )

    def refuse_others(self, known: list[str]) -> None:
        """Note every key that does not belong in this row."""
        for word in self.raw:
            if word not in known:
                self.faults.unknown("key", word, known, "owned", self.number)


def read_owned(faults: Faults, number: int, raw: dict[str, Any], stock: Stock) -> Owned | None:
    """One `[[owned]]`, or None where something is wrong in it."""
    row = _Row(faults, number, raw)
    before = len(faults.problems)
    if "part" in raw and "class" in raw:
        row.wrong('stands beside "class"; write one of them, not both', "part")
        return None
    if "part" in raw:
        made = _from_catalog(row, stock)
    elif "class" in raw:
        made = _described(row, stock)
    else:
        row.wrong(
            "missing; a part of the catalog belongs here, or else class, name and the columns "
            "of that class",
            "part",
        )
        return None
    return made if len(faults.problems) == before else None


def _from_catalog(row: _Row, stock: Stock) -> Owned | None:
    row.refuse_others(["part", "quantity", "use"])
    name = row.read(column_of(OwnedKeys, "part"), "part")
    part = stock.by_name.get(name) if name is not None else None
    if name is not None and part is None:
        hint = nearest(name, stock.by_name) or '; "kitbill parts list" shows them'
        row.wrong(f"found {show(name)}; a part of the catalog belongs here{hint}", "part")
    use = row.read(column_of(OwnedKeys, "use"), "use")
    quantity = _quantity(row, part.cls if part is not None else "")
    if part is None or use is None or quantity is None:
        return None
    return Owned(part=part, inline=False, quantity=quantity, use=use)


def _described(row: _Row, stock: Stock) -> Owned | None:
    class_name = row.read(column_of(OwnedKeys, "class_"), "class")
    if class_name is None:
        return None
    record = CLASSES[class_name]
    columns = [c for c in columns_of(record) if c.name not in ("part", "name")]
    use_is_a_column = "use" in [c.name for c in columns]
    how = "must" if use_is_a_column else "use"
    row.refuse_others(["class", "name", "quantity", how, *(c.name for c in columns)])
    name = row.read(column_of(OwnedKeys, "name"), "name")
    if name in stock.by_name:
        text = f"found {show(name)}, which is a part of the catalog; write part = {show(name)} "
        row.wrong(f"{text}without class, or choose another name", "name")
    values = {c.name: row.read(c, c.name) for c in columns}
    if any(c.required and c.name not in row.raw for c in columns):
        row.like_parts(class_name)
    if use_is_a_column and row.raw.get("use") in ("may", "must"):
        row.wrong("says what a cable is made for; that it must be used is must = true", "use")
    use = row.read(column_of(OwnedKeys, how), how)
    if use_is_a_column:
        use = "must" if use else "may"
    quantity = _quantity(row, class_name)
    if name is None or use is None or quantity is None:
        return None
    return _owned(record, name, values, quantity, use)


def _owned(
    record: type[Part], name: str, values: dict[str, Any], quantity: Decimal, use: str
) -> Owned | None:
    """The owned part itself, unless a column it needs is wrong."""
    needed = [c.name for c in columns_of(record) if not c.may_be_empty]
    if any(values[key] is None for key in needed if key in values):
        return None
    part = record(part=name, name=name, **values)
    return Owned(part=part, inline=True, quantity=quantity, use=use)


def _quantity(row: _Row, class_name: str) -> Decimal | None:
    """How many, or how many metres of what is sold by the metre."""
    by_metre = class_name in BY_METRE
    col = column_of(OwnedKeys, "quantity_m" if by_metre else "quantity")
    quantity = row.read(col, "quantity")
    if quantity is None:
        return None
    if by_metre or not class_name:
        return Decimal(str(quantity))
    if quantity != int(quantity):
        row.wrong(
            f"found {quantity:g}; of a {class_name} a whole number belongs here", "quantity"
        )
        return None
    return Decimal(int(quantity))
