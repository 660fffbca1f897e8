"""One value as the text of a CSV cell: the shortest text that reads back as the same value."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from solver.columns import MAX_NAME, Column


def cell_text(col: Column, value: Any) -> str:
    """The value as it stands in a CSV file; nothing for an absent one."""
    if value is None:
        return ""
    if col.kind == "number":
        return number_text(value)
    if col.kind == "numbers":
        return ";".join(number_text(v) for v in value)
    if col.kind == "money":
        # As it was written, cents included; but never with an exponent or a sign before 0.
        return format(abs(value) if value == 0 else value, "f")
    if col.kind == "yes_no":
        return "true" if value else "false"
    return str(value)


def column_texts(col: Column, values: Sequence[Any]) -> list[str]:
    """The texts of a whole column, as `cell_text` gives them one by one."""
    if col.kind == "text":
        return ["" if v is None else v for v in values]
    if col.kind == "money":
        # 8.10 and 8.1 are equal, yet each keeps its own form: no text stands for both
        return [cell_text(col, v) for v in values]
    texts = {v: cell_text(col, v) for v in set(values)}
    return [texts[v] for v in values]


def reads_as_itself(col: Column, cell: str) -> bool:
    """Whether a text is plainly the column's value as it stands; False says nothing.

    True only for what `read_value` gives back unchanged: printable ASCII without a space at its
    ends, neither empty nor too long, in a column that takes any text.
    """
    return (
        col.kind == "text"
        and col.one_of is None
        and 0 < len(cell) <= MAX_NAME
        and cell.isascii()
        and cell.isprintable()
        and cell[0] != " "
        and cell[-1] != " "
    )


def number_text(value: float) -> str:
    """The shortest text of a number that reads back exactly: `200`, `0.823`."""
    text = repr(float(value) + 0.0)  # adding 0 makes 0 of a minus 0
    return text.removesuffix(".0")
