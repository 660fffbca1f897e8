"""The same programmes through another solver: equal totals, equal verdicts.

The second opinion is CBC, which shares no code with HiGHS; both are called through the modelling
library. Brute force checks what the programmes say, this what is made of them.
"""

from __future__ import annotations

import warnings
from pathlib import Path

import pytest

from bom.needs_file import read_needs
from bom.parts import read_chosen
from solver.kit import solve_kit
from solver.stock import Stock
from tests.oracle.small_jobs import small_job

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

DECIDED = [1, 3, 5, 12, 13, 17, 19, 23, 31, 38, 48, 50]
"""Small jobs with one supplier that never gives free freight: their answer is `optimal`."""


@pytest.fixture(autouse=True)
def _cbc_is_there():
    """Without the second solver there is no second opinion."""
    import pulp

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        there = {"PULP_CBC_CMD", "COIN_CMD"} & set(pulp.listSolvers(onlyAvailable=True))
    if not there:
        pytest.skip("CBC is not installed")


def same_answer(needs, stock):
    """Both solvers' verdict and total, which must agree."""
    first = solve_kit(needs, stock)
    second = solve_kit(needs, stock, solver="cbc")
    assert (second.status, second.total) == (first.status, first.total)
    return first


@pytest.mark.parametrize("seed", DECIDED)
def test_cbc_finds_what_highs_finds(seed):
    """A small job has the same total by both solvers."""
    needs, stock = small_job(seed)
    assert same_answer(needs, stock).status in ("optimal", "infeasible")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["mobile-library-van", "star-gazing-hut"])
def test_cbc_finds_what_highs_finds_on_an_example(name):
    """A shipped example, bought from one supplier, has the same total by both solvers."""
    whole = read_chosen(None)
    needs = read_needs(EXAMPLES / f"{name}.toml", whole)
    stock = Stock.of(
        whole.parts,
        [s for s in whole.suppliers if s.supplier == "birch"],
        [o for o in whole.offers if o.supplier == "birch"],
    )
    assert same_answer(needs, stock).status == "optimal"
