"""The same job gives the same file to the byte.

Whatever the order of rows, the hash seed, the number of workers and the Python.
"""

from __future__ import annotations

import csv
import random
import re
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TypeVar

import pytest

import solver.kit
from bom.parts import load_parts
from solver.kit import solve_kit
from solver.needs import Needs
from solver.run import Job
from solver.stock import Stock
from tests.cli.commands import shell
from tests.cli.small_shop import small_catalog, small_needs
from tests.relations.digests import ROOT, digests_of
from tests.relations.jobs import (
    DEMOS,
    IN_SUITE,
    WITH_KIT,
    WITHOUT_KIT,
    answer,
    as_json,
    each_job,
    job,
    marked,
)

T = TypeVar("T")


some_jobs = pytest.mark.parametrize("name", marked([*WITH_KIT[:5], *DEMOS]))


def shuffled(needs: Needs, stock: Stock, seed: int) -> tuple[Needs, Stock]:
    """The same rows in another order."""
    r = random.Random(seed)

    def mixed(rows: tuple[T, ...]) -> tuple[T, ...]:
        return tuple(r.sample(rows, len(rows)))

    places = [replace(p, obstacles=mixed(p.obstacles)) for p in needs.places]
    return (
        replace(
            needs,
            loads=mixed(needs.loads),
            charging=mixed(needs.charging),
            places=mixed(tuple(places)),
            legs=mixed(needs.legs),
            owned=mixed(needs.owned),
        ),
        Stock.of(mixed(stock.parts), mixed(stock.suppliers), mixed(stock.offers)),
    )


@each_job
def test_rows_in_another_order_give_the_same_answer(name):
    """Rows of the catalog and of the needs have no first and no last."""
    needs, stock = job(name)
    others, other_stock = shuffled(needs, stock, 0)
    after = as_json(solve_kit(others, other_stock), others)
    assert after == as_json(answer(name), needs)


@some_jobs
def test_rows_of_the_catalog_in_another_order_give_the_same_bytes(name):
    """To the byte, where the order of the catalog's rows alone is another."""
    needs, stock = job(name)
    after = as_json(solve_kit(needs, shuffled(needs, stock, 1)[1]), needs)
    assert after == as_json(answer(name), needs)


@some_jobs
def test_rows_of_the_needs_in_another_order_give_the_same_bytes(name):
    """To the byte, where the order of the needs' rows alone is another."""
    needs, stock = job(name)
    others = shuffled(needs, stock, 0)[0]
    assert as_json(solve_kit(others, stock), others) == as_json(answer(name), needs)


@some_jobs
def test_one_worker_gives_the_same_bytes_as_two(name, monkeypatch):
    """Who looks at a case does not matter."""
    needs, stock = job(name)
    two = as_json(answer(name), needs)
    monkeypatch.setattr(solver.kit, "Job", partial(Job, workers=1))
    assert as_json(solve_kit(needs, stock), needs) == two


@pytest.mark.parametrize(
    "names", [IN_SUITE, pytest.param((*WITH_KIT, *WITHOUT_KIT), marks=pytest.mark.slow)]
)
def test_hash_seeds_give_the_same_bytes(names):
    """No answer hangs on the order in which a set is walked through."""
    first = digests_of(names, PYTHONHASHSEED="0")
    assert len(first) == len(names)
    assert digests_of(names, PYTHONHASHSEED="4711") == first


@pytest.mark.slow
def test_hash_seeds_give_the_same_bytes_on_an_example():
    """The same on what is large enough to be solved in cases."""
    first = digests_of(["star-gazing-hut"], PYTHONHASHSEED="0")
    assert digests_of(["star-gazing-hut"], PYTHONHASHSEED="4711") == first


def test_files_with_rows_in_another_order_give_the_same_file(tmp_path):
    """From the files to the file: a catalog and needs shuffled, and another hash seed."""
    plain, mixed = tmp_path / "plain", tmp_path / "mixed"
    answers = []
    for folder, seed in ((plain, "1"), (mixed, "2")):
        folder.mkdir()
        needs, catalog = small_needs(folder), small_catalog(folder)
        if folder == mixed:
            catalog = _other_catalog(folder)
            _shuffle_tables(needs)
        out = folder / "answer.json"
        run = shell("pick", needs, "--catalog", catalog, "--json", out, PYTHONHASHSEED=seed)
        assert run.returncode == 0, run.stderr
        answers.append(out.read_bytes())
    assert (plain / "cabin.toml").read_bytes() != (mixed / "cabin.toml").read_bytes()
    assert answers[0] == answers[1]


def _other_catalog(folder: Path) -> Path:
    """A catalog of the same CSV files with their rows shuffled."""
    r = random.Random(7)
    for path in sorted((folder / "shop").glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as file:
            heading, *rows = csv.reader(file)
        with path.open("w", encoding="utf-8", newline="") as file:
            csv.writer(file).writerows([heading, *r.sample(rows, len(rows))])
    load_parts([folder / "shop"], str(folder / "mixed.sqlite"))
    return folder / "mixed.sqlite"


def _shuffle_tables(needs: Path) -> None:
    """Write the tables of a needs file in another order."""
    tables = re.split(r"(?m)^(?=\[)", needs.read_text(encoding="utf-8"))
    mixed = random.Random(7).sample([t.rstrip() for t in tables if t.strip()], len(tables) - 1)
    needs.write_text("\n\n".join(mixed) + "\n", encoding="utf-8")


OTHERS = sorted(ROOT.glob("build/venv-3*/bin/python"))
"""Environments made with `make ... VENV=build/...`, see DEVELOPERS.md."""


another_python = pytest.mark.parametrize(
    "python", OTHERS, ids=[p.parents[1].name for p in OTHERS]
)

without_another = pytest.mark.skipif(
    not OTHERS, reason="there is no environment of another Python in build/"
)


@pytest.mark.slow
@without_another
@another_python
@pytest.mark.parametrize("name", ["small", *DEMOS])
def test_another_python_gives_the_same_bytes(python: Path, name: str):
    """Another Python, with the releases of the libraries that it gets."""
    names = [*WITH_KIT, *WITHOUT_KIT] if name == "small" else [name]
    assert digests_of(names, python) == digests_of(names)
