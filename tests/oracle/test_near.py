"""A kit bought near a relaxed answer: it may lower the goal of a proof, never change its answer."""

from __future__ import annotations

import pytest

from solver import tree
from solver.kit import solve_kit
from tests.oracle.small_jobs import small_job

SEEDS = (5, 28, 29)
"""Jobs in which a proof comes to look near an answer; in two of them it finds a cheaper kit."""


@pytest.mark.parametrize("seed", SEEDS)
def test_the_cheapest_kit_is_the_same_without_one(seed, monkeypatch):
    """Of two suppliers whose freight is to be decided."""
    needs, stock = small_job(seed, suppliers=2)
    looked = []
    plain = tree.Tree._look_near

    def counted(self, case, keep):
        looked.append(keep is not None)
        plain(self, case, keep)

    monkeypatch.setattr(tree.Tree, "_look_near", counted)
    near = solve_kit(needs, stock)
    monkeypatch.setattr(tree, "NEAR_CASES", 0)
    far = solve_kit(needs, stock)
    assert (near.status, near.kit_total) == (far.status, far.kit_total)
    assert near.kit_bound == far.kit_bound
    assert any(looked)
