"""The page on the three practices says what the examples come to by them: solved anew, nine times."""

from __future__ import annotations

import re
from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest

from bom.result_json import result_to_json
from solver.kit import solve_kit
from tests.house.tree import ROOT
from tests.relations.jobs import from_one_shop

pytestmark = pytest.mark.slow

PRACTICES = ("iso", "nec", "abyc")

PAGE = (ROOT / "docs" / "practices.md").read_text(encoding="utf-8")

CHAPTERS = {
    "mobile-library-van": "Mobile library van",
    "honey-house-trailer": "Honey-house trailer",
    "boatyard-office": "Boatyard office",
}

CLASSES = {
    "total": None,
    "panels": "panel",
    "controllers": "controller",
    "bus bars": "busbar",
    "cable": "cable",
    "lugs": "lug",
    "breakers": "breaker",
    "holders": "holder",
    "fuses": "fuse",
}
"""What the first table of a chapter tells, by the class of part."""


def rows_of(demo):
    """The rows of a chapter's tables: first cell, then one by practice."""
    chapter = re.split(r"\n## ", PAGE.split(f"## {CHAPTERS[demo]}", 1)[1], maxsplit=1)[0]
    table = [line for line in chapter.splitlines() if re.match(r"\| (?!-)\S", line)]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in table]


@cache
def solved(demo, practice):
    """An example by a practice from one supplier, as its file has it, and the parts it names."""
    needs, stock = from_one_shop(demo)
    needs = replace(needs, rules=replace(needs.rules, practice=practice))
    result = solve_kit(needs, stock)
    assert result.status == "optimal"
    return result, result_to_json(result, needs), {**stock.by_name, **result.design.parts}


def spent(result, cls):
    """On a class of parts, or on the kit without its small parts."""
    if cls is None:
        return round(result.kit_total, 2)
    return sum((x.line_total for x in result.lines if x.part_class == cls), Decimal(0))


each = pytest.mark.parametrize(
    ("demo", "practice"), [(d, p) for d in CHAPTERS for p in PRACTICES]
)


@each
def test_totals_are_those_of_the_page(demo, practice):
    """The kit's cost, and what of it goes to which parts."""
    result, _, _ = solved(demo, practice)
    money = [row for row in rows_of(demo) if row[0].split(",")[0] in CLASSES]
    assert money
    for what, *cells in money:
        cell = cells[PRACTICES.index(practice)]
        cls = CLASSES[what.split(",")[0]]
        assert abs(Decimal(cell.replace(",", "")) - spent(result, cls)) < Decimal("0.006"), what


@each
def test_conductors_are_those_of_the_page(demo, practice):
    """Of every circuit that the page names: its design current, conductor and what that carries."""
    _, kit, parts = solved(demo, practice)
    circuits = {x["name"]: x for x in kit["circuits"]}
    told = [row for row in rows_of(demo) if row[0].startswith("`")]
    assert told
    for name, *cells, _ in told:
        cell = cells[PRACTICES.index(practice)]
        circuit = circuits.get(name.strip("`"))
        if cell == "none":
            assert circuit is None, name
            continue
        size = parts[circuit["cable"]].size.replace("mm2", "mm²")
        assert cell.startswith(size), (name, cell, size)
        for asked, key in (("carries", "ampacity_a"), ("for", "design_a")):
            for figure in re.findall(rf"{asked} ([\d.]+) A", cell):
                assert float(figure) == pytest.approx(circuit[key], abs=0.051), (name, cell)
