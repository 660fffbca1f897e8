"""Pieces within one place that do not reach from one device to another: found, and no others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bom.fit_notes import fit_notes
from solver.parts import Busbar
from solver.records import Cut, Device, End
from solver.short_pieces import short_pieces
from tests.bom.fitted import fitted_design
from tests.oracle import larger_design

BAR = Busbar(
    part="bar", name="bar", kg=0.3, length_mm=200, width_mm=50, height_mm=40, rated_a=200,
    studs=4, stud="M8",
)  # fmt: skip


def two(x_mm, y_mm, length_mm, *, place="locker", rotated=False):
    """Two bars, the second with its corner at x and y, joined by one piece; slack is 150 mm."""
    needs = larger_design.needs()
    needs = replace(needs, rules=replace(needs.rules, slack_mm=150.0))
    first = Device(id="busbar-pos", part=BAR, place="locker", x_mm=0, y_mm=0, rotated=False)
    second = replace(first, id="busbar-neg", place=place, x_mm=x_mm, y_mm=y_mm, rotated=rotated)
    ends = tuple(
        End(at=at, pole="+", stud="M8", termination=None)
        for at in ("busbar-pos:2", "busbar-neg:1")
    )
    cut = Cut(
        label="W1", cable="red-6", length_mm=length_mm, circuit="x", piece_of="a", ends=ends
    )
    design = replace(larger_design.design(), devices=(first, second), cuts=(cut,))
    return needs, design


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "length_mm", "gap_mm"),
    [
        (700, 0, 450, 500),
        (700, 0, 798, 500),
        (700, 0, 800, None),
        (0, 250, 450, 200),
        (700, 250, 900, 700),
        (700, 250, 1000, None),
        (100, 20, 300, None),
    ],
)
def test_a_piece_reaches_along_the_walls_without_its_slack_or_is_named(
    x_mm, y_mm, length_mm, gap_mm
):
    """200 mm by 50 mm each: what lies between them, along plus across."""
    found = short_pieces(*two(x_mm, y_mm, length_mm))
    if gap_mm is None:
        assert found == ()
    else:
        (piece,) = found
        assert (piece.label, piece.gap_mm) == ("W1", gap_mm)
        assert piece.reach_mm == max(length_mm - 300, 0)


def test_a_turned_device_is_nearer_by_its_other_side():
    """50 mm wide when it is turned: its far end counts for nothing."""
    (flat,) = short_pieces(*two(0, 250, 350))
    (turned,) = short_pieces(*two(250, 100, 350, rotated=True))
    assert (flat.gap_mm, turned.gap_mm) == (200, 100)


def test_between_two_places_the_way_is_measured_and_not_this():
    """Only what is in one place is reckoned with a length that is the same for all."""
    assert short_pieces(*two(700, 0, 450, place="cabin")) == ()


def test_the_notes_name_the_pieces_and_what_lies_between():
    """Once for both poles, with what the pieces reckon with."""
    design, needs = fitted_design(4)
    devices = design.devices
    pair = [d for d in devices if d.place == devices[-1].place][:2]
    ends = tuple(End(at=d.id, pole="+", stud=None, termination=None) for d in pair)
    far = replace(pair[1], x_mm=pair[0].x_mm + 5000.0)
    cuts = tuple(
        Cut(
            label=label,
            cable=design.cuts[0].cable,
            length_mm=450,
            circuit=design.cuts[0].circuit,
            piece_of="a",
            ends=ends,
        )
        for label in ("W901", "W902")
    )
    others = tuple(far if d is pair[1] else d for d in devices)
    changed = replace(design, devices=others, cuts=(*design.cuts, *cuts))
    told = [note for note in fit_notes(changed, needs) if "W901, W902" in note]
    assert len(told) == 1
    assert pair[0].id in told[0]
