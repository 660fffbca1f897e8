"""What all tests share: how generated cases are drawn, and what they must not be told."""

import os

import pytest
from hypothesis import settings

# On a shared machine one case may take long without anything being wrong: no deadline. CI draws
# the same cases on every run, so that a failure there is a failure of the change.
settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


@pytest.fixture(autouse=True)
def _plain_surroundings(monkeypatch):
    """No test depends on the catalog that the person running it has chosen."""
    monkeypatch.delenv("KITBILL_CATALOG", raising=False)
