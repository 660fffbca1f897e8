"""Which cables run along which leg, and how wide its hole has to be."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.bundle import bundle_of
from solver.holes import holes, passages
from solver.rules.conduit import least_conduit_mm
from solver.rules.hole import least_hole_mm
from tests.oracle import larger_design, small_design

DESIGN = larger_design.design()


def with_holes(**keys):
    """The needs of the larger design with keys of each leg by its two places."""
    needs = larger_design.needs()
    legs = tuple(replace(x, **keys.get(f"{x.from_}_{x.to}", {})) for x in needs.legs)
    return replace(needs, legs=legs)


def test_pieces_of_a_circuit_run_where_they_lead():
    """A battery's short piece to its fuse stays in the locker; the long ones leave it."""
    by_leg = {(p.leg.from_, p.leg.to): p for p in passages(larger_design.needs(), DESIGN)}
    labels = {k: [c.label for c in p.cuts] for k, p in by_leg.items()}
    assert labels["roof", "board"] == ["W15", "W16"]
    # Each string: + from the fuse in the locker on, and -; not S11, S21 to the fuses, not links.
    assert labels["locker", "board"] == ["S12", "S13", "S22", "S23"]
    # The engine's fuse hangs in the cab, so its first piece stays there.
    assert labels["cab", "board"] == ["E2", "E3"]
    assert labels["board", "bench"] == ["P2", "P3", "W19", "W17", "W18", "W29"]
    assert labels["locker", "bench"] == []


def test_what_runs_along_a_leg_is_told_by_kind():
    """PV, DC and AC are kept apart by who needs it."""
    by_leg = {(p.leg.from_, p.leg.to): p.supplies for p in passages(with_holes(), DESIGN)}
    assert by_leg["roof", "board"] == ("pv",)
    assert by_leg["locker", "board"] == ("dc",)
    assert by_leg["board", "bench"] == ("dc", "ac")


def test_a_hole_takes_its_cables():
    """They fill half of it, rounded up to whole millimetres; their bundle is no wider."""
    (hole,) = holes(with_holes(locker_board={"hole": "grommet 1"}), DESIGN)
    outer = [DESIGN.parts[c.cable].outer_mm for c in hole.cuts]
    assert list(hole.outer_mm) == outer
    assert len(outer) == 4
    assert hole.bundle == bundle_of(outer)
    assert 0 <= hole.drill_mm - least_hole_mm(outer) < 1
    assert hole.bundle.diameter_mm <= hole.drill_mm
    assert hole.fits
    assert hole.drilled_mm == hole.drill_mm


def test_legs_through_one_hole_share_it():
    """Cables of both legs are in the bundle, each once."""
    both = with_holes(
        roof_board={"hole": "floor", "hole_max_mm": 60}, cab_board={"hole": "floor"}
    )
    (hole,) = holes(both, DESIGN)
    assert [c.label for c in hole.cuts] == ["W15", "W16", "E2", "E3"]
    assert hole.most_mm == 60
    assert len(hole.legs) == 2


@pytest.mark.parametrize(
    ("keys", "fits", "drilled"),
    [
        ({"hole_max_mm": 9}, False, True),
        ({"hole_mm": 9}, False, True),
        ({"hole_mm": 40}, True, False),
        ({"hole_max_mm": 40}, True, True),
        ({"hole_mm": 40, "hole_max_mm": 9}, True, False),
        ({"hole_mm": 9, "hole_max_mm": 40}, True, True),
    ],
)
def test_a_hole_that_is_there_or_may_be_so_wide(keys, fits, drilled):
    """Too narrow is told; one that is wide enough is not drilled again."""
    (hole,) = holes(with_holes(locker_board={"hole": "x", **keys}), DESIGN)
    assert hole.bundle.diameter_mm > 9
    assert hole.fits is fits
    assert (hole.drilled_mm is not None) is drilled


def test_what_is_drilled_fits_when_it_is_stated():
    """A hole of the size that the schedule asks for is there; a millimetre less is too narrow."""
    (hole,) = holes(with_holes(locker_board={"hole": "x"}), DESIGN)
    for mm, fits in ((hole.drill_mm, True), (hole.drill_mm - 1, False)):
        (stated,) = holes(with_holes(locker_board={"hole": "x", "hole_mm": mm}), DESIGN)
        assert stated.fits is fits
        assert (stated.drilled_mm is None) is fits


def test_a_size_without_a_name_is_a_hole_of_its_leg():
    """It goes by the two places; a size that another leg of the same hole states holds too."""
    (hole,) = holes(with_holes(locker_board={"hole_mm": 9}), DESIGN)
    assert hole.name == "locker to board"
    assert not hole.fits
    shared = with_holes(
        roof_board={"hole": "floor"}, locker_bench={"hole": "floor", "hole_mm": 9}
    )
    (floor,) = holes(shared, DESIGN)
    assert floor.there_mm == 9


def test_a_hole_that_nothing_passes_is_not_drilled():
    """No cable, no row."""
    assert holes(with_holes(locker_bench={"hole": "x"}), DESIGN) == ()


def test_a_conduit_is_wide_enough_for_all_of_its_leg():
    """By the fill that the number of its cables allows."""
    (leg,) = (p for p in passages(with_holes(), DESIGN) if p.leg.from_ == "cab")
    assert leg.conduit_mm == pytest.approx(least_conduit_mm(list(leg.outer_mm)))


def test_a_piece_over_two_legs_runs_along_both():
    """A cable that goes on through a second place is in the holes of both legs."""
    needs, design = small_design.needs(), small_design.design()
    kettle = next(c for c in design.circuits if c.name == "kettle")
    way = (("board", "locker"), ("locker", "bench"))
    longer = replace(
        design,
        circuits=tuple(replace(c, via=way) if c is kettle else c for c in design.circuits),
    )
    labels = {c.label for c in design.cuts if c.circuit == "kettle"}
    on = {
        (p.leg.from_, p.leg.to)
        for p in passages(needs, longer)
        if labels & {c.label for c in p.cuts}
    }
    assert on == {("locker", "board"), ("locker", "bench")}
