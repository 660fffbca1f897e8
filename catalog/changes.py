"""Writing to the database: what differs from it, in one order."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from catalog import tables
from solver.parts import Part
from solver.stock import Offer, Supplier


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


def write_changes(conn: sa.Connection, changes: Changes) -> None:
    """Write changes, in an order that a foreign key never points at nothing."""
    _insert(
        conn,
        tables.part,
        [{"part": p.part, "class": p.cls} for p in changes.new_parts],
    )
    for name, table in tables.CLASS_TABLES.items():
        changed = [p for p in changes.changed_parts if p.cls == name]
        _delete(conn, table, ("part",), [(p.part,) for p in changed])
        added = [p for p in changes.new_parts if p.cls == name]
        _insert(conn, table, [tables.row_of(p) for p in [*changed, *added]])
    _insert(conn, tables.supplier, [tables.row_of(s) for s in changes.new_suppliers])
    _update_suppliers(conn, changes.changed_suppliers)
    _delete(conn, tables.offer, ("part", "supplier"), changes.renewed_pairs)
    _insert(conn, tables.offer, [tables.row_of(o) for o in changes.offers])


def _insert(conn: sa.Connection, table: sa.Table, rows: list[dict[str, Any]]) -> None:
    if rows:
        conn.execute(table.insert(), rows)


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
