"""Tightening torque: IEC 60947-1, Table 4, column III, as reproduced in a motor-drive manual; M6
FROM MEMORY. Beside it UL 486A-486B for steel bolts, FROM MEMORY, and what a maker of brass
terminal bolts prints.
"""

import pytest

from solver.parts.base import STUDS
from solver.rules.termination import torque_nm
from tests.published.printed import agrees, cases

NM_PER_LBF_IN = 4.4482216152605 * 0.0254
"""Exact, by the international pound and inch and standard gravity."""


def _stud(row):
    """The thread of a row by the name that is used here."""
    text = row.get("thread") or row["bolt"]
    return text.removesuffix(" or smaller").removesuffix(" or less").removesuffix(" or larger")


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("torque_iec60947_1", "torque_nm", label="thread")
)
def test_metric_thread(row, column, text):
    """A metric thread has the torque of the table."""
    assert agrees(torque_nm(_stud(row)), text)


@pytest.mark.parametrize(
    ("row", "column", "text"), cases("torque_iec60947_1", "torque_lbf_in", label="thread")
)
def test_metric_thread_in_pounds(row, column, text):
    """The same, in the inch-pounds that an inch-sized tool shows."""
    assert agrees(torque_nm(_stud(row)) / NM_PER_LBF_IN, text)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases(
        "torque_ul486a_bolts",
        "torque_nm",
        label="bolt",
        keep=lambda row: _stud(row) in STUDS,
    ),
)
def test_inch_thread_is_under_that_of_a_steel_bolt(row, column, text):
    """An inch stud, which may be of brass, never gets more than UL 486A-486B gives a steel bolt."""
    assert 0.3 * float(text) < torque_nm(_stud(row)) < float(text)


@pytest.mark.parametrize(
    ("row", "column", "text"),
    cases(
        "torque_brass_terminal_bolt",
        "torque_nm",
        label="thread",
        keep=lambda r: r["thread"] != "M20",
    ),
)
def test_no_thread_gets_more_than_a_brass_bolt_stands(row, column, text):
    """The table stays at or under what a maker of brass terminal bolts prints."""
    assert 0.8 * float(text) <= torque_nm(_stud(row)) <= float(text)


@pytest.mark.parametrize("stud", STUDS)
def test_every_stud_of_the_catalog_has_a_torque(stud):
    """No end of a kit is left without one, and a thicker stud never gets less."""
    assert 1 <= torque_nm(stud) <= 25


def test_a_thread_beyond_the_table_has_none():
    """It is told, not guessed."""
    with pytest.raises(ValueError, match="M24"):
        torque_nm("M24")
