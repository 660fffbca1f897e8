"""Pieces before their protection: which are short enough, and which take a sheath or a conduit."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.circuits import ac_run
from solver.wiring import lies_in_sheath, near_enough
from tests.oracle import larger_design


def with_rules(practice, slack_mm):
    """The larger design's needs under a practice, with so much slack at each end."""
    needs = larger_design.needs()
    rules = replace(needs.rules, practice=practice, slack_mm=slack_mm, round_mm=1)
    return replace(needs, rules=rules)


def lead(needs, *, from_inverter):
    """The piece from an AC source to its breaker, 15 cm away but for the slack."""
    places = [p.name for p in needs.places]
    run = ac_run(needs, places[0], places[0], guarded=True, from_inverter=from_inverter)
    return run.pieces("ac")[0]


@pytest.mark.parametrize(
    ("practice", "slack_mm", "conduit", "near"),
    [
        ("iso", 150, False, True), ("iso", 200, True, True), ("iso", 1430, True, False),
        ("abyc", 400, False, True), ("abyc", 440, True, False),
        ("nec", 1440, False, True), ("nec", 1460, True, False),
    ],
)  # fmt: skip
def test_an_inverters_breaker_is_near_or_its_lead_lies_in_a_conduit(
    practice, slack_mm, conduit, near
):
    """0.5 m or a conduit, 40 in, 10 ft: the same figures as `tests/published` has, slack included."""
    needs = with_rules(practice, slack_mm)
    piece = lead(needs, from_inverter=True)
    assert lies_in_sheath(needs, piece) is conduit
    assert near_enough(needs, piece) is near


@pytest.mark.parametrize("practice", ["iso", "abyc", "nec"])
def test_an_inlets_breaker_may_stand_farther_away(practice):
    """3 m, 10 ft: no conduit before that."""
    for slack_mm, near in ((1420, True), (1460, False)):
        needs = with_rules(practice, slack_mm)
        piece = lead(needs, from_inverter=False)
        assert near_enough(needs, piece) is near
        assert lies_in_sheath(needs, piece) is not near
