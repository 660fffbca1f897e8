"""Write the shipped catalog: invented, generic parts, shops and prices as CSV.

Run as `python tools/invent_catalog.py`; every run writes the same bytes. Nothing here is a real
product, maker or shop: sizes, weights and prices are what is usual for goods of the kind.
"""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

# The imports stand after the path, so that the script runs from anywhere.
from solver.columns import columns_of, read_record  # noqa: E402
from solver.parts import CLASSES  # noqa: E402
from solver.stock import Offer, Supplier  # noqa: E402
from tools.invented import (  # noqa: E402
    batteries,
    panels,
    power,
    protection,
    sundries,
    wiring,
)
from tools.invented.row import Row, plain  # noqa: E402
from tools.invented.shops import SHOPS, offers  # noqa: E402

SHIPPED = ROOT / "catalog" / "shipped"


def all_rows() -> list[Row]:
    """Every part of every class, in its one order."""
    rows = [
        *panels.rows(),
        *batteries.rows(),
        *power.rows(),
        *wiring.rows(),
        *protection.rows(),
        *sundries.rows(),
    ]
    names = [r.part for r in rows]
    twice = sorted({n for n in names if names.count(n) > 1})
    if twice:
        raise ValueError(f"parts named twice: {', '.join(twice)}")
    return rows


def cell(value: Any) -> str:
    """A value as it stands in a CSV file."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, tuple):
        return ";".join(plain(v) for v in value)
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return str(value)


def checked(record: type, cells: Mapping[str, str]) -> None:
    """Refuse a row that the catalog's own reader would refuse."""
    _, problems = read_record(record, cells)
    if problems:
        raise ValueError(f"{record.__name__} {dict(cells)}: {problems}")


def table(record: type, rows: Sequence[Mapping[str, Any]]) -> str:
    """The rows as CSV: the columns that must stand, and the others where a row has a value."""
    used = [
        c.name
        for c in columns_of(record)
        if c.required or c.must_stand or any(r.get(c.name) is not None for r in rows)
    ]
    unknown = {k for r in rows for k in r} - {c.name for c in columns_of(record)}
    if unknown:
        raise ValueError(f"{record.__name__} has no {', '.join(sorted(unknown))}")
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow(used)
    for r in rows:
        cells = {name: cell(r.get(name)) for name in used}
        checked(record, cells)
        out.writerow(cells.values())
    return text.getvalue()


def part_cells(r: Row) -> dict[str, Any]:
    """A part's columns by name."""
    return {"part": r.part, "name": r.name, "kg": r.kg, **r.values}


def files(rows: Iterable[Row]) -> dict[str, str]:
    """Every file of the catalog, by its name."""
    rows = list(rows)
    made = {}
    for name, record in CLASSES.items():
        of_class = [part_cells(r) for r in rows if r.part_class == name]
        if of_class:
            made[f"{name}.csv"] = table(record, of_class)
    terms = [c.name for c in columns_of(Supplier)]
    made["suppliers.csv"] = table(
        Supplier, [{name: getattr(s, name) for name in terms} for s in SHOPS]
    )
    made["offers.csv"] = table(
        Offer, [{c.name: getattr(o, c.name) for c in columns_of(Offer)} for o in offers(rows)]
    )
    return made


def main() -> None:
    """Write the files, and say how many rows each holds."""
    SHIPPED.mkdir(parents=True, exist_ok=True)
    for name, text in files(all_rows()).items():
        (SHIPPED / name).write_text(text, encoding="utf-8", newline="")
        print(f"{name:20} {text.count(chr(10)) - 1:5} rows")


if __name__ == "__main__":
    main()
