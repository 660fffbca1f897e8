"""The same programmes through another solver: equal totals, equal verdicts.

The second opinion is CBC, which shares no code with HiGHS; both are called through the modelling
library. Brute force checks what the programmes say, this what is made of them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from bom.needs_file import read_needs
from bom.parts import read_chosen
from solver import model as m
from solver import selection as sel
from solver.candidates import settings
from solver.kit import solve_kit
from solver.market import market
from solver.milp import has_cbc, solve
from solver.run import Job, quiet
from solver.stock import Stock
from solver.wiring import shelf
from tests.oracle.small_jobs import small_job

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

DECIDED = [1, 3, 5, 12, 13, 17, 19, 23, 31, 38, 48, 50]
"""Small jobs with one supplier that never gives free freight: their answer is `optimal`."""


@pytest.fixture(autouse=True)
def _cbc_is_there():
    """Without the second solver there is no second opinion."""
    if not has_cbc():
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


def one_shop(name):
    """Needs of a shipped example, and the shipped catalog as one of its suppliers sells it."""
    whole = read_chosen(None)
    stock = Stock.of(
        whole.parts,
        [s for s in whole.suppliers if s.supplier == "birch"],
        [o for o in whole.offers if o.supplier == "birch"],
    )
    return read_needs(EXAMPLES / f"{name}.toml", whole), stock


DEMOS = ["mobile-library-van", "honey-house-trailer", "star-gazing-hut", "boatyard-office"]


@pytest.mark.parametrize(
    "name", [DEMOS[-1], *(pytest.param(x, marks=pytest.mark.slow) for x in DEMOS[:-1])]
)
def test_both_solvers_buy_the_same_for_an_example(name):
    """The whole purchase for the main parts found first costs the same by both solvers."""
    needs, stock = one_shop(name)
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), "highs", None, quiet)
    found = [sel.bound(job.setup(s), m.Cuts()) for s in settings(needs, mkt)]
    b = min((b for b in found if b is not None), key=lambda b: b.cents)
    main = sel.first_kit(b, "highs")
    p = m.build(b.setup, main.keep, m.Cuts(), floor=False, freight="exact").programme
    first, second = (solve(p, solver=s, gap=sel.MIP_GAP_CENTS) for s in ("highs", "cbc"))
    assert first.status == second.status == "optimal"
    assert second.objective == pytest.approx(first.objective, abs=2 * sel.MIP_GAP_CENTS)


@pytest.mark.slow
@pytest.mark.parametrize("name", DEMOS)
def test_cbc_finds_what_highs_finds_on_an_example(name):
    """A shipped example, bought from one supplier, has the same total by both solvers."""
    needs, stock = one_shop(name)
    assert same_answer(needs, stock).status == "optimal"
