"""The database's tables, made from the part classes; and values as they are stored.

Every part has a row in `part`, so that its name is unique across the classes, and a row in the
table of its class. Money and lists of numbers are stored as text: a database's own decimal
type passes through a binary fraction on SQLite.
"""

from __future__ import annotations

import operator
from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa

from catalog.cells import cell_text
from solver.columns import MAX_NAME, Column, columns_of
from solver.parts import CLASSES
from solver.stock import Offer, Supplier

FORMAT = 1
"""Counts up whenever an older kitbill could no longer read the tables rightly."""

metadata = sa.MetaData()

about = sa.Table(
    "kitbill_catalog",
    metadata,
    sa.Column("key", sa.String(40), primary_key=True),
    sa.Column("value", sa.String(MAX_NAME), nullable=False),
)
"""What marks a database as a catalog: its `format`, and what it was built from, if anything."""

part = sa.Table(
    "part",
    metadata,
    sa.Column("part", sa.String(MAX_NAME), primary_key=True),
    sa.Column("class", sa.String(40), nullable=False),
)

_TYPES: dict[str, Any] = {
    "text": sa.String(MAX_NAME),
    "number": sa.Double(),
    "whole": sa.Integer(),
    "yes_no": sa.Boolean(),
    "money": sa.String(60),
    "numbers": sa.String(MAX_NAME),
}

TEXT_KINDS = ("money", "numbers")
"""Kinds stored in the form a CSV cell has."""


def _column(col: Column, *constraints: Any, key: bool = False) -> sa.Column[Any]:
    # A column with a default may stay empty: catalogs made before it existed have no value.
    empty = col.may_be_empty or not col.required
    return sa.Column(
        col.name, _TYPES[col.kind], *constraints, primary_key=key, nullable=empty and not key
    )


def _class_table(name: str, record: type) -> sa.Table:
    made = []
    for col in columns_of(record):
        names_a_part = col.name in ("part", "holder")
        constraints = [sa.ForeignKey("part.part")] if names_a_part else []
        made.append(_column(col, *constraints, key=col.name == "part"))
    return sa.Table(name, metadata, *made)


CLASS_TABLES = {name: _class_table(name, record) for name, record in sorted(CLASSES.items())}

supplier = sa.Table(
    "supplier", metadata, *(_column(c, key=c.name == "supplier") for c in columns_of(Supplier))
)

_OFFER_KEYS = {"part": "part.part", "supplier": "supplier.supplier"}

offer = sa.Table(
    "offer",
    metadata,
    *(
        _column(c, *([sa.ForeignKey(_OFFER_KEYS[c.name])] if c.name in _OFFER_KEYS else []))
        for c in columns_of(Offer)
    ),
    sa.Index("offer_part_supplier", "part", "supplier"),
)

RECORDS: dict[str, type] = {**CLASSES, "supplier": Supplier, "offer": Offer}
"""The record class of each table that holds records."""


def row_of(record: Any) -> dict[str, Any]:
    """A record as the values of its table's row."""
    columns = columns_of(type(record))
    return dict(zip([c.name for c in columns], *stored([record]), strict=True))


def stored(records: Sequence[Any]) -> list[tuple[Any, ...]]:
    """Records of one class as rows of their table, in the order of its columns."""
    columns = columns_of(type(records[0]))
    values = [_stored(c, [*map(operator.attrgetter(c.name), records)]) for c in columns]
    return [*zip(*values, strict=True)]


def _stored(col: Column, values: list[Any]) -> list[Any]:
    if col.kind not in TEXT_KINDS:
        return values
    return [None if v is None else cell_text(col, v) for v in values]
