"""Needs that no kit meets, from outside: exit code 1, and what collides is named."""

import json

import pytest

from tests.cli.commands import EXAMPLES, shell
from tests.cli.small_shop import small_needs

COLLIDE = {
    "boatyard-small-budget": {"limits.budget"},
    "honey-house-light-box": {'place."nose box".max_kg', "energy.autonomy_days"},
    "library-van-sun-only": {"energy.shortfall_pct", "site.months"},
}
"""Of each impossible example the needs that collide, by how it was made."""


def no_kit(folder, needs, *words):
    """What `kitbill pick` prints and writes where there is no kit; no workbook is written."""
    answer, book = folder / "answer.json", folder / "bill.xlsx"
    run = shell("pick", needs, "--json", answer, "--out", book, *words)
    assert run.returncode == 1, run.stderr
    assert "Traceback" not in run.stderr
    assert not book.exists()
    result = json.loads(answer.read_text(encoding="utf-8"))
    assert result["status"] == "infeasible"
    assert (result["total"], result["lower_bound"], result["gap_pct"]) == (None, None, None)
    assert result["reasons"]
    printed = " ".join(run.stdout.split())
    for reason in result["reasons"]:
        assert " ".join(reason["message"].split()) in printed
        assert " ".join(reason["change"].split()) in printed
    return result["reasons"]


def test_every_impossible_example_is_tried():
    """A new one must say what collides in it."""
    assert {path.stem for path in (EXAMPLES / "impossible").glob("*.toml")} == set(COLLIDE)


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(COLLIDE))
def test_the_needs_that_collide_in_an_example_are_named(tmp_path, name):
    """On the shipped catalog, with all its parts and suppliers."""
    reasons = no_kit(tmp_path, EXAMPLES / "impossible" / f"{name}.toml")
    assert COLLIDE[name] <= set(reasons[0]["needs"])


@pytest.mark.parametrize(
    ("stated", "named"),
    [
        ({"max_kg": 15}, 'place."locker".max_kg'),
        ({"autonomy_days": 30}, "energy.autonomy_days"),
        ({"months": "[6, 12]", "sun_hours": [4] * 11 + [0]}, "site.months"),
    ],
    ids=["mass", "days", "sun"],
)
def test_the_need_that_spoils_a_small_job_is_named(tmp_path, shop, stated, named):
    """The cabin with one need that goes too far."""
    reasons = no_kit(tmp_path, small_needs(tmp_path, **stated), "--catalog", shop)
    assert named in reasons[0]["needs"]


def test_the_budget_told_is_enough(tmp_path, picked, shop):
    """Who raises the budget as told gets a kit for it: the cheapest costs no more."""
    total = json.loads(picked.answer.read_text(encoding="utf-8"))["total"]
    reasons = no_kit(tmp_path, small_needs(tmp_path, budget=900), "--catalog", shop)
    assert "limits.budget" in reasons[0]["needs"]
    change = next(r["change"] for r in reasons if r["needs"] == ["limits.budget"])
    told = float(change.removeprefix("raise the budget to ").split()[0])
    assert told > total - 0.01
