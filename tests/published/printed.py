"""Published values as printed: read from the files in data/, compared to their last digit."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

DATA = Path(__file__).resolve().parent / "data"


def rows(name):
    """The rows of data/<name>.csv, every cell as the text that stands there."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def standing(row):
    """How sure a row is, for a test's id."""
    return {"memory": ", from memory", "opened": ", read"}.get(row["provenance"], ", computed")


def cases(name, *columns, label, keep=lambda row: True):
    """One test case for every value of a file.

    Parameters
    ----------
    name : str
        File in data/, without its suffix.
    columns : str
        Columns with values; each cell is a case of its own, empty ones are none.
    label : str
        Column that names the row.
    keep : callable
        Rows to take.

    Returns
    -------
    list
        Cases of (row, column, printed text), whose ids say which row and column, and whether
        the value is from memory.
    """
    return [
        pytest.param(row, column, row[column], id=f"{row[label]} {column}{standing(row)}")
        for row in rows(name)
        if keep(row)
        for column in columns
        if row[column] != ""
    ]


def half_digit(text):
    """Half a unit of the last digit printed."""
    return float(Decimal(5).scaleb(Decimal(text).as_tuple().exponent - 1))


def agrees(value, text):
    """Whether a value rounds to what is printed (with room for the computer's own rounding)."""
    return abs(value - float(text)) <= half_digit(text) * (1 + 1e-9) + 1e-12
