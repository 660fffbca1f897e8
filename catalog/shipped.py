"""The catalog that comes with the package: generic, invented parts, kept as CSV files.

The database made from them stands in the package where the packer built it, else in the
user's cache folder. It notes what it was made from, so that a stale one is never read.
"""

from __future__ import annotations

import atexit
import functools
import hashlib
import os
import shutil
import sqlite3
import tempfile
from pathlib import Path

from catalog import tables
from catalog.atomic import write_files
from catalog.changes import write_note
from catalog.csv_files import load
from catalog.store import open_catalog, read_note
from solver.columns import columns_of
from solver.errors import KitbillError

CSV_FOLDER = Path(__file__).parent / "shipped"
BUILT = Path(__file__).parent / "shipped.sqlite"

_SOURCE = "built from"


def shipped_path() -> Path:
    """The database of the shipped catalog; it is built on first use."""
    mark = source_mark(CSV_FOLDER)
    if _is_built_from(BUILT, mark):
        return BUILT
    cached = _cache_folder() / f"shipped-{mark}.sqlite"
    if not _is_built_from(cached, mark):
        build(CSV_FOLDER, cached)
    return cached


def build(csv_folder: str | Path, target: str | Path) -> None:
    """Make a catalog of a folder of CSV files, in one step; the same files give the same bytes.

    An existing target is replaced, in one step too: two processes may do this at once.
    """
    csv_folder, target = Path(csv_folder), Path(target)
    target.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="kitbill-") as folder:
        fresh = Path(folder) / "fresh.sqlite"
        with open_catalog(fresh, create=True) as catalog:
            load([csv_folder], catalog)
        with open_catalog(fresh, write=True) as catalog, catalog.writing() as conn:
            write_note(conn, _SOURCE, source_mark(csv_folder))
        _pack(fresh)
        write_files({target: fresh.read_bytes()})


def source_mark(csv_folder: Path) -> str:
    """A short mark of the CSV files' bytes and of the columns this version knows."""
    digest = hashlib.sha256(f"format {tables.FORMAT}".encode())
    for name, record in sorted(tables.RECORDS.items()):
        digest.update(f"\n{name}: {[(c.name, c.kind) for c in columns_of(record)]}".encode())
    for path in sorted(csv_folder.glob("*.csv")):
        data = path.read_bytes()
        digest.update(f"\n{path.name}: {len(data)} bytes\n".encode())
        digest.update(data)
    return digest.hexdigest()[:20]


def _pack(path: Path) -> None:
    # Without it the bytes would depend on the order in which pages were once filled.
    connection = sqlite3.connect(path, isolation_level=None)
    try:
        connection.execute("VACUUM")
    finally:
        connection.close()


def _is_built_from(path: Path, mark: str) -> bool:
    if not path.is_file():
        return False
    try:
        with open_catalog(path) as catalog:
            return read_note(catalog, _SOURCE) == mark
    except KitbillError:
        return False


def _cache_folder() -> Path:
    """The user's cache folder, or one of this process alone where that cannot be written."""
    try:
        given = os.environ.get("XDG_CACHE_HOME", "")
        base = Path(given) if Path(given).is_absolute() else Path.home() / ".cache"
        folder = base / "kitbill"
        folder.mkdir(parents=True, exist_ok=True)
        if os.access(folder, os.W_OK):
            return folder
    except (OSError, RuntimeError):
        pass
    return _own_folder()


@functools.cache
def _own_folder() -> Path:
    own = Path(tempfile.mkdtemp(prefix="kitbill-"))
    atexit.register(shutil.rmtree, own, ignore_errors=True)
    return own
