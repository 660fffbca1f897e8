"""Single values of a needs file: a raw value in, the right type out, or a message.

What is allowed comes from the declared columns; here stands what a column cannot say: lengths
with units, lists, dates, tables within tables.
"""

from __future__ import annotations

import datetime
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

from bom.lengths import measure
from catalog.sheet import typed_hint
from solver.columns import Column, Wrong, columns_of, nearest, read_value, show

Reader = Callable[[Any, bool], Any]
"""From a raw value, and whether it is a workbook's cell, to the value of the key."""


class WrongInside(Wrong):
    """Faults inside a value that has parts: what part (such as `array`), and what is wrong."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        super().__init__("; ".join(f"{part}: {text}" for part, text in problems))
        self.problems = problems


def unit_of_text(col: Column) -> str | None:
    """The unit a text with a unit is turned into, where the key is a length or a mass."""
    if col.kind != "number":
        return None
    unit = "kg" if col.name == "kg" else col.name.rpartition("_")[2]
    return unit if unit in ("mm", "m", "kg") else None


def value_of(col: Column, raw: Any, loose: bool) -> Any:
    """One value as its column wants it.

    Parameters
    ----------
    col : Column
        The declared column.
    raw : object
        As found.
    loose : bool
        Whether numbers may be typed as text and names as numbers, as in a workbook's cells.

    Raises
    ------
    Wrong
        With what was found and what belongs there.
    """
    if isinstance(raw, dict):
        raise Wrong(f"found a table; {col.allowed()} belongs here")
    if isinstance(raw, list) and col.kind != "numbers":
        raise Wrong(f"found a list; {col.allowed()} belongs here")
    if isinstance(raw, str) and col.kind in ("number", "whole", "money", "yes_no"):
        return _from_text(col, raw, loose)
    if loose and col.kind == "text" and isinstance(raw, int | float):
        raw = show(raw) if isinstance(raw, bool) else f"{raw:.15g}"
    try:
        return read_value(col, raw)
    except Wrong as wrong:
        choices = col.one_of if col.kind == "text" and isinstance(raw, str) else None
        hint = _meant(raw, tuple(map(str, choices))) if choices is not None else ""
        raise Wrong(f"{wrong}{hint}") from None


_ALSO_CALLED = {
    "alternator": "engine",
    "starter battery": "engine",
    "mains": "shore",
    "grid": "shore",
    "hook-up": "shore",
    "genset": "generator",
    "lifepo4": "lfp",
    "lithium": "lfp",
    "wet": "flooded",
}
"""What people also write for a word of ours."""


def _meant(word: str, choices: tuple[str, ...]) -> str:
    """A hint at the choice that a word stands for, or that it is nearest to."""
    ours = _ALSO_CALLED.get(word.strip().casefold())
    return f'; did you mean "{ours}"?' if ours in choices else nearest(word, choices)


def _from_text(col: Column, raw: str, loose: bool) -> Any:
    """A text where a number belongs: right in a workbook, or as a length with its unit."""
    unit = unit_of_text(col)
    if loose and (unit is None or _reads_as_number(raw)):
        return read_value(col, raw)
    if unit is None:
        hint = typed_hint(col, raw)
        raise Wrong(f"found the text {show(raw)}; {col.allowed()} belongs here{hint}")
    number = measure(raw, unit)
    try:
        return read_value(col, number)
    except Wrong:
        raise Wrong(
            f"found {show(raw)} ({number:g} {unit}); {col.allowed()} belongs here"
        ) from None


def _reads_as_number(text: str) -> bool:
    try:
        return Decimal(text.strip()).is_finite()
    except InvalidOperation:
        return False


def column_of(record: type, name: str) -> Column:
    """One declared column by its name."""
    return next(c for c in columns_of(record) if c.name == name)


@dataclass(frozen=True)
class ListOf:
    """A list of values of one kind."""

    item: Column
    example: str
    """As TOML."""
    count: int | None = None
    """How many there must be."""
    may_be_empty: bool = False
    repeats: bool = False
    """Whether a value may stand twice."""
    rising: bool = False
    """Whether the order means nothing, so that it is put in order."""

    @property
    def allowed(self) -> str:
        """What belongs here."""
        how_many = f"{self.count} values" if self.count else "values"
        return f"a list of {how_many} such as {self.example}, each {self.item.allowed()},"

    def __call__(self, raw: Any, loose: bool) -> tuple[Any, ...]:
        """Read the list."""
        if not isinstance(raw, list):
            raise Wrong(f"found {shown(raw)}; {self.allowed} belongs here")
        if self.count is not None and len(raw) != self.count:
            raise Wrong(f"found {len(raw)} values; {self.allowed} belongs here")
        if not raw and not self.may_be_empty:
            raise Wrong(f"found an empty list; {self.allowed} belongs here")
        values, problems = [], []
        for number, one in enumerate(raw, 1):
            try:
                values.append(value_of(self.item, one, loose))
            except Wrong as wrong:
                problems.append((f"number {number}", str(wrong)))
        if problems:
            raise WrongInside(problems)
        twice = [v for v in dict.fromkeys(values) if values.count(v) > 1]
        if twice and not self.repeats:
            raise Wrong(f"found {show(twice[0])} twice; each may stand once")
        return tuple(sorted(values)) if self.rising else tuple(values)


def shown(raw: Any) -> str:
    """A raw value for a message; of a list or table only that it is one."""
    if isinstance(raw, dict):
        return "a table"
    if isinstance(raw, list):
        return "a list"
    return show(raw)


def date_of(raw: Any, loose: bool) -> datetime.date:
    """A calendar day: a TOML date, a workbook's date cell, or a text such as 2027-03-01."""
    if isinstance(raw, datetime.datetime):
        at_midnight = raw.time() == datetime.time() and raw.tzinfo is None
        if loose and at_midnight:
            return raw.date()
    elif isinstance(raw, datetime.date):
        return raw
    elif isinstance(raw, str):
        text = raw.strip()
        if len(text) == len("2027-03-01") and text[4] == "-":
            try:
                return datetime.date.fromisoformat(text)
            except ValueError:
                pass
    raise Wrong(f"found {shown(raw)}; a date such as 2027-03-01 belongs here")


def table_of(record: type, raw: Any, loose: bool, example: str) -> dict[str, Any]:
    """The values of a small table inside another, by key; absent ones are left out."""
    if not isinstance(raw, dict):
        raise Wrong(f"found {shown(raw)}; a table such as {example} belongs here")
    cols = {c.name: c for c in columns_of(record)}
    values, problems = {}, []
    for key, one in raw.items():
        if key not in cols:
            hint = nearest(key, cols) or f"; known: {', '.join(cols)}"
            problems.append((key, f"unknown key{hint}"))
            continue
        try:
            values[key] = value_of(cols[key], one, loose)
        except Wrong as wrong:
            problems.append((key, str(wrong)))
    problems += [
        (c.name, f"missing; {c.allowed()} belongs here")
        for c in cols.values()
        if c.required and c.name not in raw
    ]
    if problems:
        raise WrongInside(problems)
    return values


def texts(values: Iterable[Any]) -> list[str]:
    """Those of some raw values that are texts, as they are compared: without blanks around."""
    return [v.strip() for v in values if isinstance(v, str)]
