"""Measure loading, reading and dumping catalogs of growing size: `python benchmarks/catalog_scale.py`.

Every step runs in a process of its own, so that its peak of memory is its own too. The baseline,
measured in the same run, copies the same CSV cells into an SQLite file without reading, checking
or comparing any of them: what any load costs at least.
"""

from __future__ import annotations

import argparse
import csv
import json
import resource
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

# The imports stand after the path, so that the script runs from anywhere.
from benchmarks.catalogs import generated  # noqa: E402
from catalog.csv_files import dump, load, write_stock  # noqa: E402
from catalog.store import open_catalog, read_stock  # noqa: E402

SIZES = (1_000, 10_000, 100_000)
SEED = 1
MB = 1e6


@dataclass(frozen=True)
class Scale:
    """What one size of catalog takes."""

    parts: int
    offers: int
    copy_s: float
    """The baseline."""
    load_s: float
    read_s: float
    dump_s: float
    file_mb: float
    load_mb: float
    """Peaks of memory, the interpreter and its imports included."""
    read_mb: float
    dump_mb: float


def measured(parts: int, seed: int, folder: Path) -> Scale:
    """Load, read and dump a generated catalog, each in a new process."""
    files, database = folder / "files", folder / "catalog.sqlite"
    offers = int(_apart("write", files, parts, seed)["result"])
    copy = _apart("copy", files, folder / "copy.sqlite")
    loading = _apart("load", files, database)
    reading = _apart("read", database)
    dumping = _apart("dump", database, folder / "dumped")
    return Scale(
        parts=parts,
        offers=offers,
        copy_s=copy["seconds"],
        load_s=loading["seconds"],
        read_s=reading["seconds"],
        dump_s=dumping["seconds"],
        file_mb=database.stat().st_size / MB,
        load_mb=loading["peak_mb"],
        read_mb=reading["peak_mb"],
        dump_mb=dumping["peak_mb"],
    )


def _apart(step: str, *given: object) -> dict[str, float]:
    """Run a step in a new process."""
    done = subprocess.run(  # noqa: S603  our own interpreter and our own code
        [sys.executable, __file__, "--step", step, *map(str, given)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
        check=True,
    )
    told: dict[str, float] = json.loads(done.stdout)
    return told


def _write(files: str, parts: str, seed: str) -> int:
    stock = generated(int(parts), int(seed))
    write_stock(stock, Path(files))
    return len(stock.offers)


def _copy(files: str, database: str) -> int:
    connection = sqlite3.connect(database)
    with connection:
        for path in sorted(Path(files).glob("*.csv")):
            with path.open(encoding="utf-8", newline="") as file:
                heading, *rows = csv.reader(file)
            columns = ", ".join(f'"{name}"' for name in heading)
            connection.execute(f'CREATE TABLE "{path.stem}" ({columns})')
            marks = ", ".join("?" * len(heading))
            connection.executemany(
                f'INSERT INTO "{path.stem}" VALUES ({marks})',  # noqa: S608  our own files
                rows,
            )
    connection.close()
    return 0


def _load(files: str, database: str) -> int:
    with open_catalog(database, create=True) as catalog:
        return load([files], catalog, lambda text: print(f"  {text}", file=sys.stderr)).offers


def _read(database: str) -> int:
    with open_catalog(database) as catalog:
        return len(read_stock(catalog).offers)


def _dump(database: str, folder: str) -> int:
    with open_catalog(database) as catalog:
        return len(dump(catalog, folder))


STEPS: dict[str, Callable[..., int]] = {
    "write": _write,
    "copy": _copy,
    "load": _load,
    "read": _read,
    "dump": _dump,
}


def _step(name: str, given: Sequence[str]) -> None:
    """Do one step, and say what it took."""
    start = time.perf_counter()
    result = STEPS[name](*given)
    seconds = time.perf_counter() - start
    # in kB on Linux, in bytes on macOS
    unit = 1 if sys.platform == "darwin" else 1024
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / MB
    print(json.dumps({"result": result, "seconds": seconds, "peak_mb": peak}))


HEADINGS = (
    *("parts", "offers", "copy s", "load s", "read s", "dump s", "file MB"),
    *("peak MB: load", "read", "dump"),
)


def table(rows: Sequence[Scale]) -> str:
    """The sizes as a person reads them."""
    cells = [
        (
            f"{r.parts:,}",
            f"{r.offers:,}",
            *(f"{x:.2f}" for x in (r.copy_s, r.load_s, r.read_s, r.dump_s)),
            f"{r.file_mb:.1f}",
            *(f"{x:.0f}" for x in (r.load_mb, r.read_mb, r.dump_mb)),
        )
        for r in rows
    ]
    wide = [max(len(line[i]) for line in [HEADINGS, *cells]) for i in range(len(HEADINGS))]
    lines = [
        "  ".join(cell.rjust(w) for cell, w in zip(line, wide, strict=True))
        for line in [HEADINGS, *cells]
    ]
    return "\n".join([lines[0], "-" * len(lines[0]), *lines[1:]])


def scales(sizes: Sequence[int] = SIZES, seed: int = SEED) -> list[Scale]:
    """Every size measured, in a folder that is gone afterwards."""
    found = []
    for parts in sizes:
        print(f"measuring a catalog of {parts:,} parts", file=sys.stderr)
        with tempfile.TemporaryDirectory(prefix="kitbill-scale-") as folder:
            found.append(measured(parts, seed, Path(folder)))
    return found


def main() -> int:
    """Measure every size and print the table."""
    asked = argparse.ArgumentParser(description="Measure catalogs of growing size.")
    asked.add_argument("--sizes", type=int, nargs="+", default=SIZES, metavar="PARTS")
    asked.add_argument("--step", nargs="+", help=argparse.SUPPRESS)
    options = asked.parse_args()
    if options.step:
        _step(options.step[0], options.step[1:])
    else:
        print(table(scales(options.sizes)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
