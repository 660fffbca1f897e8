"""The small shop, the small cabin, and one run of the main job with them for all tests."""

from types import SimpleNamespace

import pytest

from tests.cli.commands import shell
from tests.cli.small_shop import small_catalog, small_needs


@pytest.fixture(scope="session")
def shop(tmp_path_factory):
    """A catalog of a small shop."""
    return small_catalog(tmp_path_factory.mktemp("shop"))


@pytest.fixture(scope="session")
def cabin(tmp_path_factory):
    """Needs that the small shop can meet."""
    return small_needs(tmp_path_factory.mktemp("cabin"))


@pytest.fixture(scope="session")
def picked(shop, cabin, tmp_path_factory):
    """The cabin's kit, picked once: the finished run, its workbook and its JSON."""
    folder = tmp_path_factory.mktemp("picked")
    book, answer = folder / "bill.xlsx", folder / "bill.json"
    run = shell(
        "pick", cabin, "--catalog", shop, "--out", book, "--json", answer, PYTHONHASHSEED="1"
    )
    return SimpleNamespace(run=run, folder=folder, book=book, answer=answer)
