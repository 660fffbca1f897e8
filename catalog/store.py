"""The catalog's database: opening or starting it, and reading it whole."""

from __future__ import annotations

import contextlib
import errno
import functools
import gc
import math
import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.pool import NullPool, StaticPool

from catalog import tables
from catalog.atomic import write_file
from catalog.cells import reads_as_itself
from catalog.trouble import UnfinishedWrite, first_line, in_plain_words
from solver.columns import Column, Wrong, columns_of, read_value
from solver.errors import BadInput, BrokenCatalog
from solver.parts import CLASSES, Part
from solver.stock import Offer, Stock, Supplier

_WAIT_S = 10.0
"""How long to wait for another program that is writing to the same file."""

_BLOCK_ROWS = 25_000
"""Rows fetched at a time: no more of them stand in memory as rows."""


@contextlib.contextmanager
def collector_paused() -> Iterator[None]:
    """Without Python's search for unreachable cycles.

    Records make no cycles, and while they are read they all live on: looking through all of
    them again and again, as their number grows, takes longer than making them.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


class Catalog:
    """An open catalog; close it, or use it in a `with` statement."""

    def __init__(
        self, engine: sa.Engine, shown: str, *, write: bool, becomes: Path | None = None
    ) -> None:
        self.engine = engine
        self.shown = shown
        """How messages call it: the path as given, or the URL without its password."""
        self.write = write
        self._becomes = becomes
        self._present: dict[str, set[str]] = {}

    def __enter__(self) -> Catalog:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()

    @contextlib.contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """A connection that sees one state of the catalog throughout."""
        with in_plain_words(self.shown), self.engine.begin() as conn:
            yield conn

    @contextlib.contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """One transaction: everything in it happens, or nothing does.

        A catalog whose file does not exist yet lives in memory and is written out in one step
        at the end, so that neither a failure nor a kill leaves half a file behind.
        """
        if not self.write:
            raise AssertionError(f"{self.shown} was opened for reading only")
        before = self._present
        with in_plain_words(self.shown):
            try:
                with self.engine.begin() as conn:
                    self._grow(conn)
                    # Servers: a second writer waits here. SQLite took its lock at the start.
                    conn.execute(sa.select(tables.about).with_for_update()).all()
                    yield conn
            except BaseException:
                self._present = before
                raise
            if self._becomes is not None:
                _write_new(self.engine, self._becomes)

    def columns_present(self, table: str) -> set[str]:
        """Columns the database has of a table; older catalogs lack those that came later."""
        return self._present.get(table, set())

    def verify(self) -> None:
        """Refuse a database that is not a catalog, or not one this version can read."""
        with self.reading() as conn:
            found = sa.inspect(conn)
            if not found.has_table(tables.about.name):
                raise BrokenCatalog(
                    f"{self.shown}: this database is not a kitbill catalog; give one that "
                    "`kitbill parts load` has made."
                )
            self._check_format(conn)
            self._present = {
                name: {str(c["name"]) for c in columns}
                for (_, name), columns in found.get_multi_columns().items()
                if name is not None
            }
        self._check_columns()

    def _check_format(self, conn: sa.Connection) -> None:
        about = tables.about.c
        text = conn.execute(sa.select(about.value).where(about.key == "format")).scalar()
        if text is None or not str(text).isdecimal():
            raise BrokenCatalog(f"{self.shown}: the catalog does not say its format.")
        if int(text) > tables.FORMAT:
            raise BrokenCatalog(
                f"{self.shown}: written by a later version of kitbill (format {text}; this "
                f"version reads up to {tables.FORMAT}); update kitbill to use it."
            )

    def _check_columns(self) -> None:
        for name, record in tables.RECORDS.items():
            present = self._present.get(name)
            if present is None:
                continue
            lacking = [c for c in columns_of(record) if c.required and c.name not in present]
            if lacking:
                raise BrokenCatalog(
                    f"{self.shown}: made by an earlier version of kitbill; its table {name} "
                    f"has no column {lacking[0].name}. Dump it with that version, add the "
                    f"column to {name}.csv, and load the files into a new catalog."
                )

    def _grow(self, conn: sa.Connection) -> None:
        """Add the tables and optional columns that came after this catalog was made."""
        if not self._present:
            tables.metadata.create_all(conn)
            conn.execute(tables.about.insert(), {"key": "format", "value": str(tables.FORMAT)})
        else:
            tables.metadata.create_all(conn, checkfirst=True)
            quote = conn.dialect.identifier_preparer.quote
            for name in tables.RECORDS:
                for column in tables.metadata.tables[name].columns:
                    if column.name in self._present.get(name, {column.name}):
                        continue
                    kind = column.type.compile(conn.dialect)
                    conn.exec_driver_sql(
                        f"ALTER TABLE {quote(name)} ADD COLUMN {quote(column.name)} {kind}"
                    )
        self._present = {
            name: {c.name for c in tables.metadata.tables[name].columns}
            for name in tables.metadata.tables
        }


def open_catalog(where: str | Path, *, write: bool = False, create: bool = False) -> Catalog:
    """Open a catalog by the path of its SQLite file or by an SQLAlchemy URL.

    Parameters
    ----------
    where : str or Path
        A path, or a URL such as `postgresql+psycopg://…`.
    write : bool
        Without it the database cannot be changed, and no file is ever created.
    create : bool
        A catalog that does not exist is started empty; nothing is written before the first
        change is complete. Implies `write`.

    Raises
    ------
    BadInput
        If there is no such file, or the server cannot be reached.
    BrokenCatalog
        If it is no database, no catalog, or of a later version.
    """
    write = write or create
    if isinstance(where, str) and "://" in where:
        url = _url(where)
        if url.get_backend_name() != "sqlite":
            return _open_server(url, write=write, create=create)
        where = _sqlite_path(url)
    if not str(where).strip():
        raise BadInput(["the catalog: found an empty text; a path or a URL belongs here."])
    path, shown = Path(where), str(where)
    size = _size(path)
    if size is None or (size == 0 and create):
        if not create:
            text = f"{shown}: no such catalog; give the path of one, or start it with "
            raise BadInput([f"{text}`kitbill parts load PATH --catalog {shown}`."])
        return _start(path, shown)
    catalog = Catalog(_file_engine(path, write=write), shown, write=write)
    try:
        catalog.verify()
    except UnfinishedWrite:
        _finish_rollback(path)
        catalog.verify()
    return catalog


def _size(path: Path) -> int | None:
    """Bytes of a file; None if there is none."""
    try:
        if path.is_dir():
            raise BadInput([f"{path}: this is a folder; a catalog's file belongs here."])
        return path.stat().st_size
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        raise BadInput([f"{path}: {first_line(error)}"]) from None


def _start(path: Path, shown: str) -> Catalog:
    if not path.absolute().parent.is_dir():
        raise BadInput([f"{shown}: the folder for the new catalog does not exist; make it."])
    engine = sa.create_engine("sqlite://", poolclass=StaticPool)
    _prepare(engine, begin="BEGIN")
    return Catalog(engine, shown, write=True, becomes=path)


def _file_engine(path: Path, *, write: bool) -> sa.Engine:
    uri = f"{path.absolute().as_uri()}?mode={'rw' if write else 'ro'}"

    def connect() -> sqlite3.Connection:
        return sqlite3.connect(uri, uri=True, timeout=_WAIT_S)

    engine = sa.create_engine("sqlite://", creator=connect, poolclass=NullPool)
    _prepare(engine, begin="BEGIN IMMEDIATE" if write else "BEGIN")
    return engine


def _prepare(engine: sa.Engine, *, begin: str) -> None:
    @sa.event.listens_for(engine, "connect")
    def _on_connect(connection: Any, _record: Any) -> None:
        # Python's own driver would begin a transaction late, and none at all for reading.
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys = ON")

    @sa.event.listens_for(engine, "begin")
    def _on_begin(conn: sa.Connection) -> None:
        conn.exec_driver_sql(begin)


def _finish_rollback(path: Path) -> None:
    # A load was killed midway. Only a writer may put the file back to its last whole state.
    with in_plain_words(str(path)):
        engine = _file_engine(path, write=True)
        with engine.begin() as conn:
            conn.exec_driver_sql("SELECT count(*) FROM sqlite_master").all()


def _write_new(engine: sa.Engine, path: Path) -> None:
    if _size(path):
        raise BadInput([f"{path}: another program has made this file meanwhile; load again."])
    raw = engine.raw_connection()
    try:
        write_file(path, functools.partial(_copied, raw.driver_connection))
    finally:
        raw.close()


def _copied(source: Any, target: Path) -> None:
    """Copy a database page by page: a second whole one in memory would double its size."""
    with contextlib.closing(sqlite3.connect(target, isolation_level=None)) as copy:
        # Nobody knows of the file yet, and a half one is thrown away: no journal is needed.
        try:
            copy.execute("PRAGMA journal_mode = OFF")
            copy.execute("PRAGMA synchronous = OFF")
            source.backup(copy)
        except sqlite3.Error as error:
            raise OSError(errno.EIO, first_line(error)) from error


def _url(text: str) -> sa.URL:
    try:
        return sa.make_url(text)
    except sa.exc.ArgumentError:
        raise BadInput(
            [f'the catalog: found "{text}"; a path or an SQLAlchemy URL belongs here.']
        ) from None


def _sqlite_path(url: sa.URL) -> Path:
    name = url.database
    if not name or name == ":memory:" or name.startswith("file:"):
        shown = _without_password(url)
        raise BadInput([f"{shown}: give the plain path of the SQLite file, or sqlite:///PATH."])
    return Path(name)


def _without_password(url: sa.URL) -> str:
    return url.render_as_string(hide_password=True)


def _open_server(url: sa.URL, *, write: bool, create: bool) -> Catalog:
    shown = _without_password(url)
    try:
        engine = sa.create_engine(url, poolclass=NullPool)
    except sa.exc.NoSuchModuleError:
        raise BadInput([f"{shown}: SQLAlchemy knows no such kind of database."]) from None
    except ModuleNotFoundError as error:
        raise BadInput(
            [f"{shown}: the driver {error.name} is not installed; `pip install {error.name}`."]
        ) from None
    if not write and url.get_backend_name() == "postgresql":
        # A load that ends between two questions must not be seen by the second alone.
        engine = engine.execution_options(
            postgresql_readonly=True, isolation_level="REPEATABLE READ"
        )
    catalog = Catalog(engine, shown, write=write)
    with catalog.reading() as conn:
        is_there = sa.inspect(conn).has_table(tables.about.name)
    if is_there or not create:
        catalog.verify()
    return catalog


def read_stock(catalog: Catalog) -> Stock:
    """The whole catalog as records, every value checked against its column.

    Raises
    ------
    BrokenCatalog
        If other software has put a value there that does not belong.
    """
    if not catalog.columns_present(tables.about.name):
        return Stock.of((), (), ())
    with collector_paused(), catalog.reading() as conn:
        return read_stock_from(catalog, conn)


def read_stock_from(catalog: Catalog, conn: sa.Connection) -> Stock:
    """The same inside a transaction that is open already."""
    parts: list[Part] = []
    for name in CLASSES:
        parts += _read_table(catalog, conn, name)
    suppliers: list[Supplier] = _read_table(catalog, conn, "supplier")
    offers: list[Offer] = _read_table(catalog, conn, "offer")
    known = {p.part for p in parts}
    _refuse_unknown(catalog, "part", {o.part for o in offers} - known)
    _refuse_unknown(
        catalog, "supplier", {o.supplier for o in offers} - {s.supplier for s in suppliers}
    )
    return Stock.of(parts, suppliers, offers)


def _refuse_unknown(catalog: Catalog, what: str, names: set[str]) -> None:
    if names:
        raise BrokenCatalog(
            f'{catalog.shown}, table offer, column {what}: found "{min(names)}", which is no '
            f"{what} of this catalog; other software has changed the database."
        )


def _read_table(catalog: Catalog, conn: sa.Connection, name: str) -> list[Any]:
    record = tables.RECORDS[name]
    present = catalog.columns_present(name)
    cols = [c for c in columns_of(record) if c.name in present]
    if not cols:
        return []
    table = tables.metadata.tables[name]
    columns: list[list[Any]] = [[] for _ in cols]
    rows = conn.execute(sa.select(*(table.c[c.name] for c in cols)))
    for block in rows.partitions(_BLOCK_ROWS):
        for column, cells in zip(columns, zip(*block, strict=True), strict=True):
            column.extend(cells)
    values = [
        _checked(catalog, name, col, cells) for col, cells in zip(cols, columns, strict=True)
    ]
    del columns
    names = [c.name for c in cols]
    return [record(**dict(zip(names, row, strict=True))) for row in zip(*values, strict=True)]


def _checked(catalog: Catalog, name: str, col: Column, cells: list[Any]) -> list[Any]:
    # Column by column and each different value once: 30,000 offers share a few units and packs.
    distinct = set(cells)
    # Of equal texts one is enough to keep.
    known: dict[Any, Any] = {c: c for c in distinct} if col.kind == "text" else {}
    try:
        for cell in _to_read(col, distinct):
            known[cell] = read_value(col, cell)
    except (Wrong, TypeError) as wrong:
        raise BrokenCatalog(
            f"{catalog.shown}, table {name}, column {col.name}: {wrong}; other software has "
            "changed the database."
        ) from None
    if col.kind == "number" and all(value is cell for cell, value in known.items()):
        return cells
    return [known.get(cell, cell) for cell in cells]


def _to_read(col: Column, distinct: set[Any]) -> set[Any]:
    """The values that must be looked at one by one; the others are what they are."""
    if col.kind == "text":
        return {c for c in distinct if type(c) is not str or not reads_as_itself(col, c)}
    if col.kind != "number" or col.one_of is not None:
        return distinct
    # Of numbers that are numbers already the least and the greatest tell of the range.
    plain = {cell for cell in distinct if type(cell) is float and math.isfinite(cell)}
    return distinct - plain | ({min(plain), max(plain)} if plain else set())


def read_note(catalog: Catalog, key: str) -> str | None:
    """A note about the catalog, such as what it was built from."""
    about = tables.about.c
    with catalog.reading() as conn:
        return conn.execute(sa.select(about.value).where(about.key == key)).scalar()
