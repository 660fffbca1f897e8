"""Write the pages of docs/ that are made from the code: `make docs`."""

from __future__ import annotations

import pkgutil
import re
from importlib import import_module
from pathlib import Path

import solver.rules
from solver.columns import Column, columns_of
from solver.parts import CLASSES, Device, Part
from solver.rules.base import RULES, RuleInfo
from solver.stock import Offer, Supplier

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"

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


def _cells(*cells: str) -> str:
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _row(col: Column) -> str:
    return _cells(f"`{col.name}`", col.unit, col.meaning, col.allowed(), _needed(col))


def _table(columns: list[Column]) -> list[str]:
    head = [
        "| column | unit | what it is | allowed | needed |",
        "| --- | --- | --- | --- | --- |",
    ]
    return [*head, *(_row(col) for col in columns)]


def _first_line(thing: object) -> str:
    """The first line of what a record, a rule or a module says of itself."""
    return (thing.__doc__ or "").strip().splitlines()[0]


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


RULES_INTRO = """\
# The rules

Made from the functions under `rule` in `solver/rules/` by `make docs`; do not edit it by hand.

A rule gives a value for the thing it applies to. "Limit" says which way that value goes:
`at most` what it is compared with, `at least` it, or `equal`; a rule without a unit is a plain
yes or no. The rules that keep candidates and wiring within their limits and those that check
the finished design are the same functions; the checker applies them anew. The figures behind
them stand in `solver/tables/`, one module a source.

"From memory" marks what was not read in the standard itself, "as reproduced" what was read in
a reproduction of it; "common practice, no source" is a rule of thumb. The rules in force where
you build, and the makers' instructions, stand above all of them.
"""

RULES_HEAD = [
    "| rule | value | applies to | limit | unit | source | tested in |",
    "| --- | --- | --- | --- | --- | --- | --- |",
]


def tested_in(name: str, texts: dict[str, str]) -> list[str]:
    """The test modules that call a rule by its name."""
    return [module for module, text in texts.items() if re.search(rf"\b{name}\(", text)]


def _test_texts() -> dict[str, str]:
    """Every test module under `tests/` by its path there."""
    tests = ROOT / "tests"
    return {
        path.relative_to(tests).as_posix(): path.read_text(encoding="utf-8")
        for path in sorted(tests.rglob("test_*.py"))
    }


def _rule_row(info: RuleInfo, texts: dict[str, str]) -> str:
    tests = ", ".join(f"`{module}`" for module in tested_in(info.name, texts))
    return _cells(
        f"`{info.name}`",
        _first_line(info.function),
        info.subject,
        info.limit,
        info.unit,
        info.source.text(),
        tests,
    )


def rules_page() -> str:
    """The page of every rule with its source, by topic."""
    texts = _test_texts()
    lines = [RULES_INTRO]
    for found in pkgutil.iter_modules(solver.rules.__path__):
        topic = import_module(f"solver.rules.{found.name}")
        mine = [info for info in RULES.values() if info.function.__module__ == topic.__name__]
        if mine:
            rows = [_rule_row(info, texts) for info in sorted(mine, key=lambda info: info.name)]
            lines += [f"## {found.name}", "", _first_line(topic), "", *RULES_HEAD, *rows, ""]
    return "\n".join(lines).rstrip() + "\n"


PAGES = {"classes.md": classes_page, "rules.md": rules_page}


def main() -> None:
    """Write every generated page."""
    for name, page in PAGES.items():
        (DOCS / name).write_text(page(), encoding="utf-8")
        print(f"docs/{name}")


if __name__ == "__main__":
    main()
