"""What the relations are tried on: small random jobs, and the shipped examples from one shop."""

from __future__ import annotations

import random
from collections.abc import Iterable
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from bom.needs_file import read_needs
from bom.parts import read_chosen
from bom.result_json import dumps, result_to_json
from solver.kit import solve_kit
from solver.needs import Needs
from solver.records import Result
from solver.stock import Stock
from tests.oracle.small_jobs import small_job

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

DEMOS = ("mobile-library-van", "honey-house-trailer", "star-gazing-hut", "boatyard-office")

WITH_KIT = (0, 1, 2, 5, 12, 13, 14, 16, 19, 27, 29, 31, 36, 38, 43)
WITHOUT_KIT = (3, 9, 22, 26, 39)

IN_SUITE = (0, 5, 12, 13, 14, 16, 19, 31, 3, 22, 39)


def marked(names: Iterable[int | str]) -> list[object]:
    """All but some small jobs are among the slow tests."""
    slow = pytest.mark.slow
    return [x if x in IN_SUITE else pytest.param(x, marks=slow) for x in names]


each_job = pytest.mark.parametrize("name", marked([*WITH_KIT, *WITHOUT_KIT, *DEMOS]))
"""Eleven of twenty small jobs in the suite, the others and the examples among the slow tests."""

each_small_job = pytest.mark.parametrize("name", marked([*WITH_KIT, *WITHOUT_KIT]))

each_job_with_kit = pytest.mark.parametrize("name", marked([*WITH_KIT, *DEMOS]))

CENT = Decimal("0.01")


@cache
def job(name: int | str) -> tuple[Needs, Stock]:
    """A small job by its number, an example by its name."""
    return small_job(name) if isinstance(name, int) else from_one_shop(name)


def from_one_shop(name: str, supplier: str = "birch") -> tuple[Needs, Stock]:
    """A shipped example's needs, and the shipped catalog as one of its suppliers sells it.

    Where one supplier never sends for nothing, freight is a constant and the proof ends.
    """
    whole = read_chosen(None)
    stock = Stock.of(
        whole.parts,
        [s for s in whole.suppliers if s.supplier == supplier],
        [o for o in whole.offers if o.supplier == supplier],
    )
    return read_needs(EXAMPLES / f"{name}.toml", whole), stock


@cache
def answer(name: int | str) -> Result:
    """The answer of a job as it is: these jobs are all decided."""
    result = solve_kit(*job(name))
    assert result.status in ("optimal", "infeasible")
    return result


def few(name: int | str, choices: Iterable[str], why: str) -> list[str]:
    """Some of the choices, always the same: two for a small job, one for an example."""
    listed = sorted(choices)
    number = min(len(listed), 2 if isinstance(name, int) else 1)
    return random.Random(f"{name} {why}").sample(listed, number)


def as_json(result: Result, needs: Needs) -> bytes:
    """The answer as its file holds it."""
    return dumps(result_to_json(result, needs))


# --- comparing --------------------------------------------------------------------------------


def costs_as_much(one: Result, other: Result) -> None:
    """Both have the same verdict, and the same total to the cent, small parts apart."""
    assert one.status == other.status
    if one.kit_total is not None and other.kit_total is not None:
        assert abs(one.kit_total - other.kit_total) < CENT


def costs_no_more(easier: Result, harder: Result) -> None:
    """The first is possible where the second is, and no dearer.

    An answer that is not proven to the end is held to its bound. Small parts follow from the kit
    and have no part in what is least.
    """
    assert "unknown" not in (easier.status, harder.status)
    if harder.kit_total is None:
        return
    assert easier.kit_total is not None, f"a kit for {harder.kit_total} is lost"
    assert easier.kit_bound is not None
    cost = easier.kit_total if easier.status == "optimal" else easier.kit_bound
    assert cost < harder.kit_total + CENT


# --- catalogs changed ---------------------------------------------------------------------------


def for_sale(name: int | str, *, used: bool) -> list[str]:
    """Parts that someone sells and nobody owns, in the bill of the answer or not in it."""
    needs, stock = job(name)
    in_bill = {line.part for line in answer(name).lines}
    owned = {o.part.part for o in needs.owned}
    return sorted({o.part for o in stock.offers if (o.part in in_bill) == used} - owned)


def without(stock: Stock, *parts: str) -> Stock:
    """The catalog without some parts and their offers."""
    return Stock.of(
        [p for p in stock.parts if p.part not in parts],
        stock.suppliers,
        [o for o in stock.offers if o.part not in parts],
    )
