"""Writing to the database: what differs from it, in one order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from catalog import tables
from solver.parts import Part
from solver.stock import Offer, Supplier

BLOCK_ROWS = 25_000
"""Rows handed to the database at a time."""


@dataclass(frozen=True, kw_only=True)
class Changes:
    """What is to be written; only what differs from the catalog as it stands."""

    new_parts: tuple[Part, ...]
    changed_parts: tuple[Part, ...]
    new_suppliers: tuple[Supplier, ...]
    changed_suppliers: tuple[Supplier, ...]
    renewed_pairs: tuple[tuple[str, str], ...]
    """Pairs of part and supplier whose offers are replaced."""
    offers: tuple[Offer, ...]
    """All the offers of those pairs."""


def write_changes(
    conn: sa.Connection, changes: Changes, progress: Callable[[str], None] | None = None
) -> None:
    """Write changes, in an order that a foreign key never points at nothing."""
    tell = progress or (lambda _: None)
    _insert_rows(conn, tables.part, [(p.part, p.cls) for p in changes.new_parts])
    changed, added = _by_class(changes.changed_parts), _by_class(changes.new_parts)
    for name, table in tables.CLASS_TABLES.items():
        old, new = changed.get(name, []), added.get(name, [])
        _delete(conn, table, ("part",), [(p.part,) for p in old])
        _insert(conn, table, [*old, *new])
    _insert(conn, tables.supplier, changes.new_suppliers)
    _update_suppliers(conn, changes.changed_suppliers)
    _delete(conn, tables.offer, ("part", "supplier"), changes.renewed_pairs)
    _insert(conn, tables.offer, changes.offers, tell)


def _by_class(parts: Iterable[Part]) -> dict[str, list[Part]]:
    found: dict[str, list[Part]] = {}
    for p in parts:
        found.setdefault(p.cls, []).append(p)
    return found


def _insert(
    conn: sa.Connection,
    table: sa.Table,
    records: Sequence[Any],
    tell: Callable[[str], None] = lambda _: None,
) -> None:
    """Insert records block by block: no more of them stand in memory as rows."""
    for start in range(0, len(records), BLOCK_ROWS):
        block = records[start : start + BLOCK_ROWS]
        _insert_rows(conn, table, tables.stored(block))
        if len(block) == BLOCK_ROWS:
            done = start + BLOCK_ROWS
            tell(f"writing {table.name} rows: {done:,} of {len(records):,}")


def _insert_rows(conn: sa.Connection, table: sa.Table, rows: list[tuple[Any, ...]]) -> None:
    """Insert rows that have a value for each column, in the table's order."""
    if not rows:
        return
    if conn.dialect.paramstyle == "qmark":
        # The driver takes the rows as they are; nothing of theirs has to be converted, for the
        # tables hold only texts, numbers and booleans.
        conn.exec_driver_sql(str(table.insert().compile(dialect=conn.dialect)), rows)
        return
    names = [c.name for c in table.columns]
    conn.execute(table.insert(), [dict(zip(names, row, strict=True)) for row in rows])


def _delete(
    conn: sa.Connection, table: sa.Table, by: tuple[str, ...], keys: Iterable[tuple[str, ...]]
) -> None:
    rows = [{f"old_{name}": v for name, v in zip(by, key, strict=True)} for key in keys]
    if rows:
        same = [table.c[name] == sa.bindparam(f"old_{name}") for name in by]
        conn.execute(table.delete().where(*same), rows)


def _update_suppliers(conn: sa.Connection, suppliers: Iterable[Supplier]) -> None:
    for supplier in suppliers:
        same = tables.supplier.c.supplier == supplier.supplier
        conn.execute(tables.supplier.update().where(same).values(**tables.row_of(supplier)))


def write_note(conn: sa.Connection, key: str, value: str) -> None:
    """Set a note about the catalog."""
    conn.execute(tables.about.delete().where(tables.about.c.key == key))
    conn.execute(tables.about.insert(), {"key": key, "value": value})
