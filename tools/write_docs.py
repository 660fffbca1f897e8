"""Write the pages of docs/ that are made from the code: `make docs`."""

from __future__ import annotations

from pathlib import Path

from solver.columns import Column, columns_of
from solver.parts import CLASSES, Device, Part
from solver.stock import Offer, Supplier

DOCS = Path(__file__).resolve().parent.parent / "docs"

CLASSES_INTRO = """\
# The catalog's files

Made from the part classes in `solver/parts/` by `make docs`; do not edit it by hand.

One CSV file a part class, named after it, plus `suppliers.csv` and `offers.csv`. The first row
holds the column names, in any order; a column that is not listed here is refused. "Needed" says
whether a cell must be filled in: `yes`; `empty` where the column must stand, but its cells may
be empty; `no` where the column may be left out (then its default, if one is named, holds).
"""


def _needed(col: Column) -> str:
    if col.required and not col.may_be_empty:
        return "yes"
    if col.must_stand:
        return "empty"
    return "no" if col.default in (None, ()) else f"no ({col.default})"


def _row(col: Column) -> str:
    cells = (f"`{col.name}`", col.unit, col.meaning, col.allowed(), _needed(col))
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _table(columns: list[Column]) -> list[str]:
    head = [
        "| column | unit | what it is | allowed | needed |",
        "| --- | --- | --- | --- | --- |",
    ]
    return [*head, *(_row(col) for col in columns)]


def _first_line(record: type) -> str:
    return (record.__doc__ or "").strip().splitlines()[0]


def _section(title: str, text: str, columns: list[Column]) -> list[str]:
    body = _table(columns) if columns else ["No columns of its own."]
    return [f"## {title}", "", text, "", *body, ""]


def classes_page() -> str:
    """The page of every part class and its columns."""
    common, device = columns_of(Part), columns_of(Device)
    devices = [f"`{name}`" for name, record in CLASSES.items() if issubclass(record, Device)]
    lines = [CLASSES_INTRO]
    lines += _section("What every part has", "These columns stand in every file.", list(common))
    lines += _section(
        "What every device has besides",
        f"Devices take up space in a place: {', '.join(sorted(devices))}.",
        [col for col in device if col not in common],
    )
    for name, record in sorted(CLASSES.items()):
        shared = device if issubclass(record, Device) else common
        own = [col for col in columns_of(record) if col not in shared]
        kind = " A device." if issubclass(record, Device) else ""
        lines += _section(f"`{name}.csv`", _first_line(record) + kind, own)
    for name, record in (("suppliers", Supplier), ("offers", Offer)):
        lines += _section(f"`{name}.csv`", _first_line(record), list(columns_of(record)))
    return "\n".join(lines).rstrip() + "\n"


PAGES = {"classes.md": classes_page}


def main() -> None:
    """Write every generated page."""
    for name, page in PAGES.items():
        (DOCS / name).write_text(page(), encoding="utf-8")
        print(f"docs/{name}")


if __name__ == "__main__":
    main()
