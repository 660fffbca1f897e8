"""The answer on a terminal: what it must say, in words, within 80 columns."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest

from bom.measures import days_text
from bom.summary import opinion_text, proof_text, summary_text, worst_month
from solver.needs import Job
from solver.records import MonthEnergy, Opinion
from tests.bom.sample import (
    CHECKS,
    DESIGN,
    FAILED,
    NEEDS,
    NO_KIT,
    ORDERS,
    RESULT,
    TOTAL,
    imperial,
)


def _said(result=RESULT, needs=NEEDS):
    """The summary as one line, so that no test depends on where lines break."""
    return " ".join(summary_text(result, needs).split())


def test_no_line_is_wider_than_the_terminal():
    """Long names of jobs and suppliers wrap or are shortened; no line passes 80 columns."""
    long = "a name that somebody made very long " * 5
    orders = tuple(dataclasses.replace(o, name=long) for o in ORDERS)
    needs = dataclasses.replace(NEEDS, job=Job(name=long, currency="EUR"))
    for result in (dataclasses.replace(RESULT, orders=orders, notes=(long,)), NO_KIT):
        assert max(map(len, summary_text(result, needs).splitlines())) <= 80


def test_what_was_chosen_stands_in_the_summary():
    """Panels, controller, bank, inverter and charger, each with its place."""
    said = _said()
    assert "2 × panel 200 W, framed (2 in series), roof" in said
    assert "tracking controller 30 A, locker" in said
    assert "battery 12.8 V 100 Ah, lithium iron phosphate, locker" in said
    assert "inverter 500 W, pure sine, locker" in said
    assert "+ shed charger, locker" in said


def test_cost_stands_by_supplier_with_freight():
    """Goods, shipping and total of each supplier in one line."""
    lines = summary_text(RESULT, NEEDS).splitlines()
    (north,) = (x for x in lines if "North Row Supply" in x)
    assert north.split()[-3:] == ["971.65", "0.00", "971.65"]
    (isle,) = (x for x in lines if "Isle Cable and Lug" in x)
    assert isle.split()[-3:] == ["133.32", "8.76", "142.08"]


@pytest.mark.parametrize(
    ("status", "cheaper", "gap_pct", "words"),
    [
        ("optimal", "0", 0.0, "proven cheapest: no kit from this catalog"),
        ("optimal", "0.06", 0.005, "at most 0.06 EUR dearer than possible"),
        (
            "feasible",
            "12.30",
            1.1,
            "at most 12.30 EUR (1.1%) dearer than the cheapest possible",
        ),
    ],
)
def test_proof_is_said_in_words(status, cheaper, gap_pct, words):
    """A person reads what the bound means; "proven" is only said of a proof."""
    result = dataclasses.replace(
        RESULT, status=status, lower_bound=TOTAL - Decimal(cheaper), gap_pct=gap_pct
    )
    assert words in proof_text(result)
    assert ("proven" in proof_text(result)) == (status == "optimal")


def test_the_month_least_covered_is_the_worst():
    """Not the darkest and not the hungriest: the one with the least over its need."""
    assert worst_month(RESULT.energy.months).month == 9


def test_where_other_charging_fills_every_month_the_darkest_is_the_worst():
    """With shore power all months are just covered; the one that leans on it most is told."""
    months = [
        MonthEnergy(month=m, need_wh=2307.441739, yield_wh=y, other_wh=2307.441739 - y)
        for m, y in ((1, 260.118203), (11, 290.9), (12, 184.701818))
    ]
    assert worst_month(months).month == 12


def test_every_limit_is_shown_with_what_is_used_of_it():
    """Money as money, kilograms with their unit, the fullest first."""
    said = _said()
    budget, roof = (
        said.index("1,113.73 EUR of 1,500.00 EUR (74%)"),
        said.index("23 kg of 40 kg"),
    )
    assert budget < roof


def test_imperial_jobs_read_pounds():
    """`units` changes what is shown."""
    said = _said(needs=imperial())
    assert "50.71 lb of 88.18 lb" in said
    assert " kg" not in said


def test_a_failed_check_is_shown_in_full():
    """Rule, thing, value, limit and source: nobody builds on a failed check unawares."""
    assert f"all {len(CHECKS)} passed" in _said()
    said = _said(dataclasses.replace(RESULT, checks=(*CHECKS, FAILED)))
    assert "1 of 4 FAILED" in said
    assert "=roof: roof_mass: found 41.5 kg, limit 40 kg (the needs)" in said


def test_cautions_and_notes_are_always_there():
    """What can kill, and what was assumed, are part of every answer."""
    said = _said()
    assert "licensed electrician" in said
    assert "live in daylight" in said
    for note in (*NEEDS.notes, *RESULT.notes):
        assert note in said


def test_without_a_kit_the_reasons_are_in_plain_words():
    """Which needs collide, and the smallest change that helps."""
    said = _said(NO_KIT)
    assert "No kit in this catalog meets these needs." in said
    assert "what collides: limits.budget, energy.autonomy_days" in said
    assert "smallest change that helps: budget 300 -> 412.50" in said


def test_a_kit_of_owned_parts_says_that_nothing_is_bought():
    """No table of suppliers without suppliers."""
    owned = dataclasses.replace(
        RESULT, orders=(), lines=(), total=Decimal(0), lower_bound=Decimal(0)
    )
    assert "nothing: everything needed is owned" in _said(owned)
    assert "0.00 EUR still to be spent" in _said(owned)


def test_a_second_string_is_told_from_panels_in_series():
    """Series and parallel are wired differently: the summary says which."""
    array = dataclasses.replace(DESIGN.arrays[0], series=1, parallel=2)
    design = dataclasses.replace(DESIGN, arrays=(array,))
    said = _said(dataclasses.replace(RESULT, design=design))
    assert "2 × panel 200 W, framed (2 strings in parallel), roof" in said


@pytest.mark.parametrize(("days", "text"), [(1.4999, "1.49 days"), (1.5, "1.5 days")])
def test_days_are_rounded_down(days, text):
    """A bank that lasts a little less than asked for is not shown as lasting it."""
    assert days_text(days) == text


OPINION = Opinion(
    solver="CBC",
    programme="setting",
    columns=900,
    rows=700,
    said="agrees",
    first=TOTAL,
    second=TOTAL,
    limit_s=300.0,
)


@pytest.mark.parametrize(
    ("opinion", "said"),
    [
        (OPINION, "second opinion: CBC finds the same least cost"),
        (dataclasses.replace(OPINION, said="no time", second=None), "CBC did not finish"),
        (
            dataclasses.replace(OPINION, said="no time", first=None, second=None),
            "HiGHS and CBC did not finish within 300 s",
        ),
        (
            dataclasses.replace(OPINION, said="interrupted", first=None, second=None),
            "no second opinion: it was interrupted",
        ),
        (dataclasses.replace(OPINION, programme="case"), "the case of the proof"),
        (
            dataclasses.replace(OPINION, first=TOTAL - 5, second=TOTAL - 5),
            "that is below this total: a longer search may find a cheaper kit",
        ),
    ],
)
def test_a_second_opinion_is_told_or_that_there_is_none(opinion, said):
    """Nobody takes an opinion that was asked for for one that was given."""
    assert said in opinion_text(opinion, RESULT)
    result = dataclasses.replace(RESULT, opinion=opinion)
    assert said in _said(result)
    assert max(map(len, summary_text(result, NEEDS).splitlines())) <= 80
    assert "second opinion" not in _said(RESULT)


def test_a_second_opinion_that_meets_the_total_asks_for_nothing_more():
    """Only where both solvers see something cheaper is a longer search worth it."""
    assert "longer search" not in opinion_text(OPINION, RESULT)
