"""Dotted keys: one value of a needs file, named on the command line, found and changed.

`energy.autonomy_days`; where a table has rows, the row's name stands between (`load."Kettle".watts`,
`charging.shore.hours_per_day`, `leg."roof>bench locker".length_m`). The shell may have taken the
quotes away, and a name may hold points: it is looked for among the names that are there.
"""

from __future__ import annotations

import copy
import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from bom.needs_keys import BY_NAME, Key, Table
from bom.needs_values import ListOf
from bom.stated import Stated
from solver.columns import Column, Wrong, columns_of, nearest, show
from solver.needs import DropLimits

_INSIDE: dict[str, tuple[str, ...]] = {
    "drop_pct": tuple(c.name for c in columns_of(DropLimits)),
}
"""Of keys that hold a table the keys in it, where these are fixed."""


@dataclass(frozen=True)
class Path:
    """Where one value stands in the tables of a needs file."""

    text: str
    """As it was typed."""
    table: str
    row: int | None
    """Which row, of a table that has rows."""
    keys: tuple[str, ...]
    """The key, and the one inside it where it holds a table."""

    @property
    def brief(self) -> str:
        """The key without its table; of a row with the row's name."""
        return self.text.partition(".")[2] if self.row is not None else ".".join(self.keys)

    @property
    def plain(self) -> str:
        """Table and keys, whichever row is meant."""
        return ".".join((self.table, *self.keys))

    @property
    def kind(self) -> Column | Key | None:
        """What is declared of the key; None for a column of an owned part."""
        table = BY_NAME[self.table]
        declared: list[Column | Key] = [*table.columns(), *table.keys]
        return next((c for c in declared if c.name == self.keys[0]), None)

    @property
    def holds_list(self) -> bool:
        """Whether the key's value is a list."""
        kind = self.kind
        if len(self.keys) > 1:
            return False
        if isinstance(kind, Key):
            return isinstance(kind.read, ListOf)
        return kind is not None and kind.kind == "numbers"

    @property
    def holds_text(self) -> bool:
        """Whether its value, or each in its list, is a text."""
        kind = self.kind
        if isinstance(kind, Key):
            return isinstance(kind.read, ListOf) and kind.read.item.kind == "text"
        return kind is not None and kind.kind == "text"


def path_of(text: str, stated: Stated) -> Path:
    """Find what a dotted key names in a needs file.

    Raises
    ------
    Wrong
        Where there is no such table, row or key, with the nearest right one.
    """
    typed = text.strip()
    table_name, _, rest = typed.partition(".")
    table_name = table_name.strip().strip('"')
    if table_name not in BY_NAME or not rest:
        names = list(BY_NAME)
        hint = nearest(table_name, names) if table_name not in BY_NAME else ""
        hint = _with_its_table(typed) or hint
        example = "table.key, such as energy.autonomy_days"
        raise Wrong(f"{example}, belongs here{hint or '; tables: ' + ', '.join(names)}")
    table = BY_NAME[table_name]
    row = None
    if table.rows:
        row, rest = _row(table, rest.strip(), stated)
    keys = tuple(part.strip().strip('"') for part in rest.split(".", 1))
    _check_keys(table, keys)
    return Path(typed, table_name, row, keys)


def _with_its_table(key: str) -> str:
    """A hint for a key that was written without its table; a row has a name as well."""
    first = key.partition(".")[0]
    tables = [t for t in BY_NAME.values() if t.record is not None and first in t.names()]
    written = [f'{t.name}."…".{key}' if t.rows else f"{t.name}.{key}" for t in tables]
    return f"; did you mean {' or '.join(written)}?" if written else ""


def path_of_parts(parts: Sequence[str], stated: Stated) -> Path:
    """The same, of a key whose parts are known."""
    table = BY_NAME.get(parts[0])
    rows = table is not None and table.rows
    # a name is put into quotes unless it is a single word, as it is written in the file
    shown = [
        f'"{part}"' if rows and n == 1 and parts[0] != "charging" else part
        for n, part in enumerate(parts)
    ]
    return path_of(".".join(shown), stated)


def row_names(table: str, stated: Stated) -> list[str]:
    """What the rows of a table are called, one after the other."""
    return [_name(table, row) for row in stated.rows(table)]


def _name(table: str, row: dict[str, Any]) -> str:
    if table == "leg":
        return f"{row.get('from', '?')}>{row.get('to', '?')}"
    if table == "charging":
        return str(row.get("kind", "?"))
    return str(row.get("name") or row.get("part") or "?")


def _plain(name: str) -> str:
    """A name as it is compared: a leg may be written with blanks around its sign."""
    return ">".join(part.strip() for part in name.split(">"))


def _row(table: Table, rest: str, stated: Stated) -> tuple[int, str]:
    """Which row is meant, and what stands behind its name."""
    names = row_names(table.name, stated)
    found: list[tuple[int, int, str]] = []
    for number, name in enumerate(names):
        for written in dict.fromkeys((name, name.replace(">", " > "))):
            starts = (f'"{written}".', f"'{written}'.", f"{written}.")
            found += [
                (len(written), number, rest[len(s) :]) for s in starts if rest.startswith(s)
            ]
    if not found:
        typed = rest.rpartition(".")[0].strip("\"'") or rest
        known = nearest(_plain(typed), names) or f"; there are: {', '.join(names) or 'none'}"
        raise Wrong(f"there is no {table.name} {show(typed)} in the needs{known}")
    longest = max(length for length, _, _ in found)
    rows = {number: after for length, number, after in found if length == longest}
    if len(rows) > 1:
        raise Wrong(f"several rows of [[{table.name}]] have that name; give each its own")
    return next(iter(rows.items()))


def _check_keys(table: Table, keys: tuple[str, ...]) -> None:
    if table.record is None:
        return
    if keys[0] not in table.names():
        hint = nearest(keys[0], table.names()) or f"; known: {', '.join(table.names())}"
        raise Wrong(f"unknown key {show(keys[0])} in {table.name}{hint}")
    nested = keys[0] in ("rates", *_INSIDE)
    if len(keys) > 1 and not nested:
        raise Wrong(f"{keys[0]} is one value; nothing stands in it by name")
    inside = _INSIDE.get(keys[0])
    if inside is not None and len(keys) > 1 and keys[1] not in inside:
        hint = nearest(keys[1], inside) or f"; known: {', '.join(inside)}"
        raise Wrong(f"unknown key {show(keys[1])} in {keys[0]}{hint}")


def whole_value(path: Path, raw: Any) -> Any:
    """What is put in the key: of one that holds a list, a single value as a list of it."""
    if path.holds_list and not isinstance(raw, list):
        return [raw]
    return raw


def with_value(stated: Stated, path: Path, value: Any) -> Stated:
    """The same needs file with another value in one place."""
    return with_values(stated, [(path, value)])


def with_values(stated: Stated, values: Sequence[tuple[Path, Any]]) -> Stated:
    """The same needs file with other values in some places."""
    tables = copy.deepcopy(stated.tables)
    for path, value in values:
        _put(tables, path, value)
    return dataclasses.replace(stated, tables=tables)


def _put(tables: dict[str, Any], path: Path, value: Any) -> None:
    """Put a value; where something else stands than a table, that is told when the file is read."""
    at = tables.setdefault(path.table, {})
    if path.row is not None:
        at = at[path.row]
    for key in path.keys[:-1]:
        if isinstance(at, dict):
            at = at.setdefault(key, {})
    if isinstance(at, dict):
        at[path.keys[-1]] = value
