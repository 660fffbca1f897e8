"""Columns: what a value means, its unit and what is allowed, declared once.

The same declaration makes the catalog's tables, the CSV reader, the checks of a needs file,
every message about a wrong value, the workbook's headings and the documentation.
"""

from __future__ import annotations

import dataclasses
import difflib
import math
import typing
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

MAX_NAME = 200
"""Longest name or part a file may hold, in characters."""


@dataclass(frozen=True, slots=True)
class Column:
    """What one column or key holds."""

    name: str
    kind: str
    """`text`, `number`, `whole`, `yes_no`, `money`, or `numbers` (several, `12;24` in a CSV)."""
    unit: str
    meaning: str
    required: bool
    default: Any
    may_be_empty: bool
    above: float | None
    at_least: float | None
    at_most: float | None
    one_of: tuple[Any, ...] | None
    example: str
    must_stand: bool
    """A CSV file without this column is refused, even where its cells may be empty."""
    noun: str = ""
    """What to call the value in a message, where its kind does not say it ("a number")."""
    better: str = "same"
    """Which of two values is at least as good in every kit: see `column`."""

    def allowed(self) -> str:
        """What belongs here, as a person would say it."""
        if self.one_of is not None:
            return "one of " + ", ".join(str(o) for o in self.one_of)
        noun = (
            self.noun
            or {
                "text": "a text",
                "number": "a number",
                "whole": "a whole number",
                "yes_no": "true or false",
                "money": "an amount of money",
                "numbers": "numbers",
            }[self.kind]
        )
        if self.unit:
            noun += f" in {self.unit}"
        limits = []
        if self.above is not None:
            limits.append(f"above {_plain(self.above)}")
        if self.at_least is not None:
            limits.append(f"at least {_plain(self.at_least)}")
        if self.at_most is not None:
            limits.append(f"at most {_plain(self.at_most)}")
        text = " and ".join(limits)
        text = f"{noun}, {text}" if text else noun
        return f"{text} (such as {self.example})" if self.example else text


def _plain(x: float) -> str:
    return f"{x:.15g}"


def column(
    unit: str = "",
    meaning: str = "",
    *,
    default: Any = dataclasses.MISSING,
    above: float | None = None,
    at_least: float | None = None,
    at_most: float | None = None,
    one_of: tuple[Any, ...] | None = None,
    example: str = "",
    must_stand: bool = False,
    noun: str = "",
    better: str = "same",
) -> Any:
    """Declare one column of a part class or one key of a needs table.

    Parameters
    ----------
    unit : str
        The unit, as printed ("mm²", "°C"); empty for none.
    meaning : str
        One line that says what the value is.
    default : object, optional
        Taken when the value is absent; without it the value is required.
        A default of None makes the value optional: absent means "not stated".
    above, at_least, at_most : float, optional
        The allowed range.
    one_of : tuple, optional
        The only values allowed.
    example : str
        Shown in messages.
    must_stand : bool
        A CSV file needs the column even though its cells may be empty.
    noun : str
        What messages call the value, where its kind does not say it: a `Decimal` that counts
        packs is "a number", not "an amount of money".
    better : str
        Of two parts alike otherwise, which value is at least as good in every kit: the one that
        is `less` or `more`; `any`: it makes no difference; `same`: only an equal one. See
        `solver.twins`.
    """
    meta = {
        "kitbill": {
            "unit": unit,
            "meaning": meaning,
            "above": above,
            "at_least": at_least,
            "at_most": at_most,
            "one_of": one_of,
            "example": example,
            "must_stand": must_stand or default is dataclasses.MISSING,
            "noun": noun,
            "better": better,
        }
    }
    if default is dataclasses.MISSING:
        return dataclasses.field(metadata=meta)
    return dataclasses.field(default=default, metadata=meta)


_KINDS: dict[Any, str] = {
    str: "text",
    float: "number",
    int: "whole",
    bool: "yes_no",
    Decimal: "money",
}

_cache: dict[type, tuple[Column, ...]] = {}


def columns_of(record: type) -> tuple[Column, ...]:
    """The declared columns of a record class, in order (fields without `column` are left out)."""
    if record not in _cache:
        # the type of dates is known to type checkers alone: dates are never columns
        hints = typing.get_type_hints(record, localns={"date": object})
        found = []
        for f in dataclasses.fields(record):
            meta = f.metadata.get("kitbill")
            if meta is None:
                continue
            kind, may_be_empty = _kind(hints[f.name])
            required = f.default is dataclasses.MISSING
            found.append(
                Column(
                    name=f.name,
                    kind=kind,
                    required=required,
                    default=None if required else f.default,
                    may_be_empty=may_be_empty,
                    **meta,
                )
            )
        _cache[record] = tuple(found)
    return _cache[record]


def _kind(hint: Any) -> tuple[str, bool]:
    args = typing.get_args(hint)
    empty = type(None) in args
    if empty:
        (hint,) = [a for a in args if a is not type(None)]
    if typing.get_origin(hint) is tuple:
        return "numbers", empty
    return _KINDS[hint], empty


class Wrong(ValueError):
    """A value that does not belong in its column; the text says what was found and allowed."""


def read_value(col: Column, raw: Any) -> Any:
    """A raw value (text of a CSV cell, or a typed value of TOML or a workbook) as the column's type.

    Raises
    ------
    Wrong
        With "found …; … belongs here".
    """
    if raw is None or (isinstance(raw, str) and raw.strip() == ""):
        if (
            col.kind == "text"
            and isinstance(raw, str)
            and col.required
            and not col.may_be_empty
        ):
            raise Wrong(f"found nothing; {col.allowed()} belongs here")
        if col.may_be_empty or not col.required:
            return col.default
        raise Wrong(f"found nothing; {col.allowed()} belongs here")
    value = _READERS[col.kind](col, raw)
    for one in value if isinstance(value, tuple) else (value,):
        _check_range(col, raw, one)
    return value


def _refuse(col: Column, raw: Any) -> Wrong:
    return Wrong(f"found {show(raw)}; {col.allowed()} belongs here")


def show(raw: Any) -> str:
    """A value as found, for a message: quoted if text, never too long."""
    text = (
        f'"{raw}"'
        if isinstance(raw, str)
        else str(raw).lower()
        if isinstance(raw, bool)
        else str(raw)
    )
    return text if len(text) <= 60 else text[:57] + "…"


def printable(text: str) -> str:
    """A text with whatever a terminal would obey (control characters) written out."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def _text(col: Column, raw: Any) -> str:
    if not isinstance(raw, str):
        raise _refuse(col, raw)
    text = raw.strip()
    if len(text) > MAX_NAME:
        raise Wrong(f"found a text of {len(text)} characters; at most {MAX_NAME} are allowed")
    if not (text.isascii() and text.isprintable()) and any(
        unicodedata.category(c) in ("Cc", "Cs") or ord(c) & 0xFFFE == 0xFFFE for c in text
    ):
        raise Wrong(
            f"found {show(printable(text))} with a control character; plain text belongs here"
        )
    return text


def _number(col: Column, raw: Any) -> float:
    if isinstance(raw, bool):
        raise _refuse(col, raw)
    try:
        value = float(raw.strip()) if isinstance(raw, str) else float(raw)
    except (TypeError, ValueError, OverflowError):
        raise _refuse(col, raw) from None
    if isinstance(raw, str) and ("_" in raw or not raw.isascii()):
        raise _refuse(col, raw)
    if not math.isfinite(value):
        raise _refuse(col, raw)
    return value


def _whole(col: Column, raw: Any) -> int:
    value = _number(col, raw)
    if value != int(value):
        raise _refuse(col, raw)
    return int(value)


def _yes_no(col: Column, raw: Any) -> bool:
    if isinstance(raw, bool):
        return raw
    if isinstance(raw, str) and raw.strip().lower() in ("true", "false"):
        return raw.strip().lower() == "true"
    raise _refuse(col, raw)


def _money(col: Column, raw: Any) -> Decimal:
    if isinstance(raw, bool):
        raise _refuse(col, raw)
    text = raw.strip() if isinstance(raw, str) else str(raw)
    try:
        value = Decimal(text)
    except InvalidOperation:
        raise _refuse(col, raw) from None
    if not value.is_finite() or "_" in text or abs(value) > Decimal("1e12"):
        raise _refuse(col, raw)
    return value


def _numbers(col: Column, raw: Any) -> tuple[float, ...]:
    if isinstance(raw, str):
        items: Iterable[Any] = [p for p in raw.split(";") if p.strip()]
    elif isinstance(raw, list | tuple):
        items = raw
    else:
        items = [raw]
    values = tuple(_number(col, item) for item in items)
    if not values:
        raise _refuse(col, raw)
    return values


_READERS = {
    "text": _text,
    "number": _number,
    "whole": _whole,
    "yes_no": _yes_no,
    "money": _money,
    "numbers": _numbers,
}


def _check_range(col: Column, raw: Any, value: Any) -> None:
    bad = (
        (col.one_of is not None and value not in col.one_of)
        or (col.above is not None and not value > col.above)
        or (col.at_least is not None and not value >= col.at_least)
        or (col.at_most is not None and not value <= col.at_most)
    )
    if bad:
        raise _refuse(col, raw)


def sentence(text: str) -> str:
    """A message with a full stop, unless it ends with a question, as a hint does."""
    return text if text.endswith((".", "?")) else f"{text}."


def nearest(word: str, known: Iterable[str]) -> str:
    """A hint "; did you mean …?" for a misspelt name, or nothing."""
    names = list(known)
    alike = [n for n in names if n.casefold() == word.strip().casefold()]
    found = alike or difflib.get_close_matches(word, names, n=1, cutoff=0.6)
    return f'; did you mean "{found[0]}"?' if found else ""


def read_record(record: type, raw: Mapping[str, Any]) -> tuple[Any, list[tuple[str, str]]]:
    """Make a record from raw values by name.

    Returns
    -------
    tuple
        The record, or None where something is wrong, and the problems as (column, text).
        Unknown names and absent required ones are problems too.
    """
    cols = columns_of(record)
    names = [c.name for c in cols]
    problems = [(k, f"unknown{nearest(k, names)}") for k in raw if k not in names]
    values: dict[str, Any] = {}
    for col in cols:
        if col.name not in raw:
            if col.required:
                problems.append((col.name, f"missing; {col.allowed()} belongs here"))
            else:
                values[col.name] = col.default
            continue
        try:
            values[col.name] = read_value(col, raw[col.name])
        except Wrong as wrong:
            problems.append((col.name, str(wrong)))
    if problems:
        return None, problems
    return record(**values), []


def better_ways(cls: type) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Columns in which only an equal value is as good; those with less, and with more, better."""
    ways: dict[str, list[str]] = {"same": [], "less": [], "more": [], "any": []}
    for field in dataclasses.fields(cls):
        ways[field.metadata["kitbill"]["better"]].append(field.name)
    return tuple(ways["same"]), tuple(ways["less"]), tuple(ways["more"])
