"""One value as the text of a CSV cell: the shortest text that reads back as the same value."""

from __future__ import annotations

from typing import Any

from solver.columns import Column


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


def number_text(value: float) -> str:
    """The shortest text of a number that reads back exactly: `200`, `0.823`."""
    text = repr(float(value) + 0.0)  # adding 0 makes 0 of a minus 0
    return text.removesuffix(".0")
