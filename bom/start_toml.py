"""A new needs file as TOML, every key explained."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator
from typing import Any

from bom.needs_keys import TABLES, Table
from bom.start_values import FIRST_WORDS, SAMPLES, STATED, Entry, Toml, entries_of

WIDTH = 96

_OF_THE_CATALOG = (
    'written as part = "panel-200-12v", with quantity and use, and without all that follows; '
    '"kitbill parts list" shows the parts'
)


def template_toml() -> str:
    """The text of a new needs file; keys that are not stated stand in it behind a `#`."""
    lines = [line for words in FIRST_WORDS for line in _remark(words)]
    lines += _remark(
        'A line such as "#name = value" is a key left out: take the # away to state it.'
    )
    for table in TABLES:
        lines += ["", *_remark(f"{_heading(table)}: {table.meaning}.")]
        if not table.rows:
            lines += _table(table, STATED.get(table.name), first=True)
            continue
        for number, row in enumerate(STATED.get(table.name, [None])):
            if number:
                lines.append("")
            lines += _table(table, row, first=number == 0)
    return "\n".join(lines) + "\n"


def _heading(table: Table) -> str:
    return f"[[{table.name}]]" if table.rows else f"[{table.name}]"


def _table(table: Table, stated: dict[str, Any] | None, first: bool) -> Iterator[str]:
    """One table or row; the first of its kind explains its keys."""
    off = "" if stated is not None or not table.rows else "#"
    yield off + _heading(table)
    values = stated or {}
    for entry in entries_of(table):
        if first:
            yield from _remark(entry.remark)
            yield from _line(entry, values, off)
            if table.name == "owned" and entry.name == "part":
                yield from _remark(_OF_THE_CATALOG)
        elif entry.name in values:
            yield f"{entry.name} = {toml_text(values[entry.name])}"
    if first and table.name == "owned":
        yield from _remark("and the columns of its class, here of a battery:")
        shown = [e.name for e in entries_of(table)]
        for name, value in SAMPLES["owned"].items():
            if name not in shown:
                yield f"#{name} = {toml_text(value)}"


def _line(entry: Entry, values: dict[str, Any], off: str) -> Iterator[str]:
    if entry.name in values:
        yield f"{off}{entry.name} = {toml_text(values[entry.name])}"
    elif entry.sample is not None and entry.sample != "":
        yield f"#{entry.name} = {toml_text(entry.sample)}"


def _remark(text: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent="# ", subsequent_indent="# ", break_on_hyphens=False
    )


def toml_text(value: Any) -> str:
    """A value as TOML writes it."""
    if isinstance(value, Toml):
        return str(value)
    if isinstance(value, str | bool):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml_text(one) for one in value) + "]"
    if isinstance(value, dict):
        inner = ", ".join(f"{key} = {toml_text(one)}" for key, one in value.items())
        return "{ " + inner + " }"
    return f"{value:g}" if isinstance(value, float) else str(value)
