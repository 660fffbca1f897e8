"""The page on the three practices names every rule by which they differ, and no other."""

import inspect
import re

from solver.rules.conductor import bundling_factor
from tests.house.test_rules import PUBLIC
from tests.house.tree import ROOT

PAGE = (ROOT / "docs" / "practices.md").read_text(encoding="utf-8")

ASKED = {
    name.rsplit(".", 1)[1]
    for name, function in PUBLIC.items()
    if "practice" in inspect.signature(function).parameters
} - {"bundling_steps"}
"""Rules that ask by which practice; where a factor falls is told with the factor."""


def rule_rows():
    """The rows of the table of rules: name, and what each practice has."""
    table = PAGE.split("## Where the rules differ", 1)[1].split("\n## ", 1)[0]
    rows = [line.strip("| ").split(" | ") for line in table.splitlines() if line[:3] == "| `"]
    return {tuple(re.findall(r"`([a-z_0-9]+)`", row[0])): row[1:] for row in rows}


def test_every_rule_that_asks_by_which_practice_is_in_the_table():
    """A rule that comes to differ by practice comes into the page."""
    assert {name for names in rule_rows() for name in names} == ASKED


def test_the_factors_of_bundles_are_those_of_the_page():
    """Of 3, 6, 9 and 20 loaded conductors, and of as many as there are."""
    iso, nec, abyc = rule_rows()[("bundling_factor",)]
    assert abyc == "as iso"
    for practice, cell in (("iso", iso), ("nec", nec)):
        factors = [float(x) for x in re.findall(r"\d\.\d", cell.split(" (")[0])]
        assert factors == [bundling_factor(practice, n) for n in (3, 6, 9, 20)]
