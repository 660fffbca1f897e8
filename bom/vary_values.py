"""What is tried by `kitbill vary`: values after `--set`, and named alternatives from a file.

A value is written as in a needs file, a text without quotes too; `1..3 step 0.5` is a range with
both ends. Lists stand in brackets.
"""

from __future__ import annotations

import itertools
import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from pathlib import Path as File
from typing import Any

from bom.needs_path import Path, path_of, path_of_parts, whole_value, with_values
from bom.needs_toml import read_toml
from bom.stated import Stated
from solver.columns import Wrong, printable, sentence, show
from solver.errors import BadInput

MOST_CELLS = 100_000
"""More combinations than this are taken for a slip of the pen."""

_RANGE = re.compile(
    r"(?P<first>[-+]?[0-9.]+?)\s*\.\.\s*(?P<last>[-+]?[0-9.]+)(?:\s+step\s+(?P<step>[0-9.]+))?"
)


@dataclass(frozen=True)
class Axis:
    """One key and the values it takes."""

    path: Path
    values: tuple[Any, ...]
    """Each the key's whole value."""


@dataclass(frozen=True)
class Alternative:
    """A named set of values."""

    name: str
    values: tuple[tuple[Path, Any], ...]


@dataclass(frozen=True)
class Combination:
    """One cell to be solved: where which values are put."""

    name: str
    """Of its alternative; empty where there are none."""
    values: tuple[tuple[Path, Any], ...]

    def shown(self) -> str:
        """As a person reads it."""
        texts = [f"{path.brief} {value_text(value)}" for path, value in self.values]
        return ", ".join([self.name, *texts] if self.name else texts)

    def stated(self, stated: Stated) -> Stated:
        """The needs file with its values."""
        return with_values(stated, self.values)


def axes_of(sets: Sequence[str], stated: Stated) -> tuple[Axis, ...]:
    """Read every `KEY=V1,V2,…`.

    Raises
    ------
    BadInput
        With every fault: an unknown key, a value that cannot be read, a key that stands twice.
    """
    axes, problems = [], []
    for text in sets:
        try:
            axes.append(_axis(text, stated))
        except Wrong as wrong:
            problems.append(printable(sentence(f"--set {show(text)}: {wrong}")))
    places = [(a.path.table, a.path.row, a.path.keys) for a in axes]
    problems += [
        f"--set {show(a.path.text)}: stands twice; write all values of a key after one --set."
        for n, a in enumerate(axes)
        if places[n] in places[:n]
    ]
    if problems:
        raise BadInput(problems)
    return tuple(axes)


def _axis(text: str, stated: Stated) -> Axis:
    key, values = split_key(text)
    path = path_of(key, stated)
    found: list[Any] = []
    for item in _items(values):
        found += values_of(item, path)
    whole = [whole_value(path, v) for v in found]
    if not whole:
        raise Wrong("found no value; one or several with commas between them belong here")
    twice = [v for n, v in enumerate(whole) if v in whole[:n]]
    if twice:
        raise Wrong(f"found {value_text(twice[0])} twice; each value is tried once")
    return Axis(path, tuple(whole))


def split_key(text: str) -> tuple[str, str]:
    """A key and what stands behind its equals sign; one within quotes belongs to the key."""
    quote = ""
    for at, sign in enumerate(text):
        if sign in "\"'" and quote in ("", sign):
            quote = "" if quote else sign
        elif sign == "=" and not quote:
            return text[:at], text[at + 1 :]
    raise Wrong("KEY=VALUE,… belongs here, such as energy.autonomy_days=1,2,3")


def _items(text: str) -> Iterator[str]:
    """What stands between commas, those within quotes and brackets left alone."""
    depth, quote, start = 0, "", 0
    for at, sign in enumerate(text):
        if quote:
            quote = "" if sign == quote else quote
        elif sign in "\"'" and not text[start:at].strip():
            quote = sign
        elif sign in "[{":
            depth += 1
        elif sign in "]}":
            depth -= 1
        elif sign == "," and depth == 0:
            yield text[start:at].strip()
            start = at + 1
    yield text[start:].strip()


def values_of(item: str, path: Path) -> list[Any]:
    """The values that one item stands for: of a range every one, else itself.

    Raises
    ------
    Wrong
        Where nothing stands there, or a range cannot be.
    """
    if not item:
        raise Wrong("found nothing between two commas; a value belongs there")
    range_ = None if path.holds_text else _RANGE.fullmatch(item)
    if range_ is not None:
        step = range_["step"] or "1"
        return range_values(_number(range_["first"]), _number(range_["last"]), _number(step))
    value = _typed(item)
    if path.holds_text and value == item and item[0] == "[" and item[-1] == "]":
        return [[_typed(word) for word in _items(item[1:-1]) if word]]
    if path.holds_text and not isinstance(value, str | list):
        return [item]
    return [value]


def _number(text: str) -> Decimal:
    try:
        return Decimal(text)
    except InvalidOperation:
        raise Wrong(f"found {show(text)} in a range; a number belongs there") from None


def range_values(first: Decimal, last: Decimal, step: Decimal) -> list[Any]:
    """Numbers from the first to the last, which must be met exactly."""
    if step <= 0:
        raise Wrong(f"found a step of {step}; a number above 0 belongs there")
    if last < first:
        raise Wrong(f"found {first}..{last}; the smaller end stands first")
    steps = (last - first) / step
    if steps != int(steps):
        raise Wrong(f"found {first}..{last} step {step}, which does not end at {last}")
    if steps > MOST_CELLS:
        raise Wrong(f"found {int(steps) + 1} values; at most {MOST_CELLS} are allowed")
    return [_plain(first + n * step) for n in range(int(steps) + 1)]


def _plain(number: Decimal) -> Any:
    """As it would be written in the file: whole numbers without a point."""
    return int(number) if number == int(number) else number.normalize()


def _typed(item: str) -> Any:
    """A value as TOML reads it; what it cannot read is a text, and so is what goes beyond it."""
    if "\n" in item:
        return item
    try:
        return tomllib.loads(f"value = {item}\n", parse_float=Decimal)["value"]
    except (tomllib.TOMLDecodeError, KeyError):
        return item


def value_text(value: Any) -> str:
    """A value for a person; of a list with one value that one."""
    if isinstance(value, list):
        inside = ", ".join(map(value_text, value))
        return inside if len(value) == 1 else f"[{inside}]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, Decimal):
        return format(value, "f")
    return str(value)


def alternatives_of(file: File, stated: Stated) -> tuple[Alternative, ...]:
    """Named alternatives: a TOML file with a table each, its keys as in `--set`.

    Raises
    ------
    BadInput
        Where the file cannot be read, or a key in it is none.
    """
    try:
        content = file.read_bytes()
    except OSError as wrong:
        raise BadInput([f"{file}: cannot be read ({wrong.strerror or wrong})."]) from wrong
    found, problems = [], []
    for name, table in read_toml(str(file), content).tables.items():
        if not isinstance(table, dict):
            text = 'an alternative is a table, such as ["two days"] with keys under it'
            problems.append(printable(f"{file}: found the value {show(name)}; {text}."))
            continue
        values = []
        for parts, raw in _leaves((), table):
            try:
                path = _path_in_file(parts, stated)
                values.append((path, whole_value(path, raw)))
            except Wrong as wrong:
                where = f"{file}, [{show(name)}], {'.'.join(parts)}"
                problems.append(printable(sentence(f"{where}: {wrong}")))
        found.append(Alternative(name, tuple(values)))
    if not found and not problems:
        problems.append(f"{file}: no alternative stands in it; write a table for each.")
    if problems:
        raise BadInput(problems)
    return tuple(found)


def _path_in_file(parts: tuple[str, ...], stated: Stated) -> Path:
    """A key written whole in quotes (`"energy.autonomy_days" = 2`), or with plain points."""
    return path_of(parts[0], stated) if len(parts) == 1 else path_of_parts(parts, stated)


def _leaves(
    before: tuple[str, ...], table: dict[str, Any]
) -> Iterator[tuple[tuple[str, ...], Any]]:
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _leaves((*before, key), value)
        else:
            yield (*before, key), value


def combinations(
    axes: Sequence[Axis], alternatives: Sequence[Alternative]
) -> list[Combination]:
    """Every alternative with every combination of the values; the last key goes fastest.

    Raises
    ------
    BadInput
        Where there are too many, or a key stands in an alternative and after `--set`.
    """
    count = max(len(alternatives), 1)
    for axis in axes:
        count *= len(axis.values)
    if count > MOST_CELLS:
        raise BadInput(
            [f"--set: {count} combinations; at most {MOST_CELLS} are looked at in one go."]
        )
    taken = {(a.path.table, a.path.row, a.path.keys) for a in axes}
    problems = [
        f"--set {show(path.text)}: the alternative {show(alternative.name)} states it too."
        for alternative in alternatives
        for path, _ in alternative.values
        if (path.table, path.row, path.keys) in taken
    ]
    if problems:
        raise BadInput(problems)
    pairs = [[(axis.path, value) for value in axis.values] for axis in axes]
    return [
        Combination(alternative.name, (*alternative.values, *chosen))
        for alternative in (alternatives or [Alternative("", ())])
        for chosen in itertools.product(*pairs)
    ]
