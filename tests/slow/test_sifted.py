"""More generated catalogs solved as if they were large: the same cost, the same verdict."""

from __future__ import annotations

import pytest

from tests.stages.test_outdone import sifted_agrees

pytestmark = pytest.mark.slow

SEEDS = range(60)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_sifted_catalog_gives_the_same_cost(seed, monkeypatch):
    """Candidates outdone, banks and pairs as they pay, wiring thinned roughly."""
    sifted_agrees(seed, monkeypatch)
