"""The TOML form of a needs file, as tables."""

from __future__ import annotations

import re
import tomllib
from decimal import Decimal
from typing import Any

from bom.stated import Stated
from solver.columns import printable
from solver.errors import BadNeeds

_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")

_PLAINER = {
    "Cannot overwrite a value": "this key stands twice",
    "Cannot mutate immutable namespace": "this table stands twice",
    "Invalid value": "no value that TOML knows; a text stands in quotes, a number has a point",
    "Expected newline or end of document after a statement": (
        "something follows the value; a number has a point, no comma, a text stands in quotes"
    ),
}
"""The reader's words for the commonest slips, in ours."""


def read_toml(file: str, content: bytes) -> Stated:
    """The tables of a TOML text.

    Raises
    ------
    BadNeeds
        Where it is not UTF-8 or not TOML, with line and column.
    """
    return Stated(file=file, tables=parse(file, _decoded(file, content)))


def _decoded(file: str, content: bytes) -> str:
    try:
        return content.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as wrong:
        line = content.count(b"\n", 0, wrong.start) + 1
        found = f"byte {content[wrong.start]:#04x} is not UTF-8"
        problem = f"{file}, line {line}: {found}; save the file as UTF-8 text."
        raise BadNeeds([problem]) from None


def parse(file: str, text: str) -> dict[str, Any]:
    """A TOML text as tables; numbers with a point stay exact."""
    try:
        return tomllib.loads(text, parse_float=Decimal)
    except ValueError as wrong:  # also too long a number, which is no TOMLDecodeError
        raise BadNeeds([_message(file, text, str(wrong))]) from None
    except RecursionError:
        raise BadNeeds([f"{file}: lists or tables are nested too deep to read."]) from None


def _message(file: str, text: str, said: str) -> str:
    place = _PLACE.search(said)
    what = _PLACE.sub("", said)
    what = _PLAINER.get(what, what)
    if place is None:
        return printable(f"{file}: not valid TOML: {what}.")
    line = int(place[1]) if place[1] else text.count("\n") + 1
    where = f"line {line}, column {place[2]}" if place[2] else f"line {line}, the end"
    return printable(f"{file}, {where}: not valid TOML: {what}.")
