"""Conduits: one width over all legs that name it, the narrowest that does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.check_small_ways import _bends
from solver.conduits import conduit_of, ducts
from solver.parts import Conduit
from solver.rules.conduit import least_conduit_mm
from solver.rules.laying import pull_boxes
from solver.stock import Stock
from tests.oracle import larger_design
from tests.stages.test_holes import with_holes

DESIGN = larger_design.design()


def conduit(inner_mm, kind="corrugated"):
    """A conduit named for its bore."""
    return Conduit(
        part=f"{kind}-{inner_mm:g}", name="conduit", kg=0.1, kind=kind, inner_mm=inner_mm,
        outer_mm=inner_mm + (4 if kind == "corrugated" else 3),
    )  # fmt: skip


def the_duct(**keys):
    """The only conduit of the larger design with keys of its legs."""
    (duct,) = ducts(with_holes(**keys), DESIGN)
    return duct


def chosen(duct, parts):
    """The part for it, by its name."""
    found = conduit_of(duct, Stock.of(parts, [], []))
    return found and found.part


def test_a_conduit_is_the_narrowest_that_is_not_too_full():
    """By its inside diameter."""
    duct = the_duct(cab_board={"conduit": "floor"})
    parts = [conduit(duct.least_mm + x) for x in (-0.1, 0.0, 5.0)]
    assert chosen(duct, parts) == parts[1].part
    assert chosen(duct, parts[:1]) is None


def test_a_conduit_over_two_legs_has_the_width_of_the_fuller_one():
    """And the length of both."""
    both = the_duct(board_bench={"conduit": "wall"}, cab_board={"conduit": "wall"})
    assert len(both.ways) == 2
    assert both.length_m == pytest.approx(sum(w.leg.length_m for w in both.ways))
    assert both.least_mm == max(least_conduit_mm(w.outer_mm) for w in both.ways)


def test_a_rigid_conduit_needs_its_bends_counted():
    """It takes an elbow at each, so a leg that states none gets one that follows the way."""
    duct = the_duct(cab_board={"conduit": "floor"})
    stiff, soft = conduit(duct.least_mm, "rigid"), conduit(duct.least_mm + 1)
    assert chosen(duct, [stiff, soft]) == soft.part
    counted = the_duct(cab_board={"conduit": "floor", "bends": 2})
    assert counted.bends == 2
    assert chosen(counted, [stiff, soft]) == stiff.part


@pytest.mark.parametrize("keys", [{"loaded_conductors": 2}, {"conduit_mm": 40}])
def test_a_conduit_that_is_there_is_told(keys):
    """Conductors lie in it, or its size is stated."""
    assert not the_duct(cab_board={"conduit": "floor"}).there
    assert the_duct(cab_board={"conduit": "floor", **keys}).there


def test_a_conduit_that_is_there_can_be_too_narrow():
    """By what is stated of it."""
    least = the_duct(cab_board={"conduit": "floor"}).least_mm
    for mm, fits in ((least + 0.1, True), (least - 0.1, False)):
        assert the_duct(cab_board={"conduit": "floor", "conduit_mm": mm}).fits is fits


def test_a_conduit_ends_where_something_leaves_it():
    """Through a place in which the same pieces go on; else each of its legs has two ends."""
    one = the_duct(cab_board={"conduit": "floor"})
    assert [run.ends for run in one.runs] == [2]
    apart = the_duct(board_bench={"conduit": "wall"}, cab_board={"conduit": "wall"})
    labels = [{cut.label for cut in way.cuts} for way in apart.ways]
    assert labels[0] != labels[1]
    assert [run.ends for run in apart.runs] == [2, 2]
    same = replace(apart, ways=(apart.ways[0], replace(apart.ways[1], cuts=apart.ways[0].cuts)))
    (run,) = same.runs
    assert run.ends == 2
    assert run.length_m == same.length_m


def test_five_quarter_bends_ask_for_a_box_with_two_more_ends():
    """NEC 358.26: four between two pull points; bends that are not stated ask for none."""
    for bends, boxes in ((None, 0), (0, 0), (4, 0), (5, 1), (8, 1), (9, 2)):
        (run,) = the_duct(cab_board={"conduit": "floor", "bends": bends}).runs
        assert (run.boxes, run.openings) == (boxes, 2 + 2 * boxes)


@pytest.mark.parametrize(
    ("bends", "boxes"), [((5, None), 1), ((None, 9), 2), ((4, None), 0), ((3, 2), 1)]
)
def test_a_leg_without_bends_takes_none_from_the_others(bends, boxes):
    """What the others state is the least there is; both the choice and the checker count it."""
    keys = [{"conduit": "wall", "bends": n} for n in bends]
    apart = the_duct(board_bench=keys[0], cab_board=keys[1])
    same = replace(apart, ways=(apart.ways[0], replace(apart.ways[1], cuts=apart.ways[0].cuts)))
    (run,) = same.runs
    assert (run.boxes, run.openings) == (boxes, 2 + 2 * boxes)
    assert same.stated_bends == sum(n or 0 for n in bends)
    assert pull_boxes(_bends([way.leg for way in same.ways])) == boxes
