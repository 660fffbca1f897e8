"""One hole schedule: each hole once, with the same number and width on every sheet."""

from __future__ import annotations

import dataclasses
import re

import pytest

from bom.drawings.dimensions import Mark, _thinned
from bom.drawings.files import fit_of
from bom.drawings.hole_lines import drill_text, hole_lines
from bom.drawings.hole_schedule import hole_pages
from bom.sheets import holes as holes_sheet
from bom.sheets.page import Kit
from solver.parts import Gland, Grommet
from solver.stock import Stock
from tests.bom.plates import faults
from tests.bom.sample import DESIGN, NEEDS, RESULT, STOCK, imperial

GROMMET = Grommet(
    part="grommet-14", name="grommet 14 mm", kg=0.002, hole_mm=14, bore_mm=10, sheet_mm=2
)
WIDE_GLAND = Gland(
    part="gland-20", name="gland M20", kg=0.02, thread="M20", clamp_min_mm=3, clamp_max_mm=14,
    hole_mm=20.5,
)  # fmt: skip


def stocked(*parts):
    """A stock that has these to line holes."""
    return Stock.of(parts, (), ())


def wet():
    """The sample with rain on its roof entry."""
    legs = tuple(dataclasses.replace(x, wet=x.hole is not None) for x in NEEDS.legs)
    return dataclasses.replace(NEEDS, legs=legs)


def four_holes():
    """The sample's kit with a hole in each of its legs, three conduits, and a leg of a hole more."""
    legs = tuple(
        dataclasses.replace(x, hole=f"hole {n}", conduit=f"pipe {n}")
        for n, x in enumerate(NEEDS.legs)
    )
    return dataclasses.replace(NEEDS, legs=legs)


def words(page):
    """Its texts."""
    return [t.text for t in page.texts]


def test_what_lines_a_hole_says_how_wide_it_is_drilled():
    """A grommet's own hole, not the least that the cables ask for: that would be too narrow."""
    (bare,) = hole_lines(NEEDS, DESIGN)
    assert (drill_text(bare, "metric"), bare.lined) == ("Ø9 or more", "")
    (lined,) = hole_lines(NEEDS, DESIGN, stocked(GROMMET))
    assert (drill_text(lined, "metric"), lined.lined) == ("Ø14", "grommet-14")
    (none,) = hole_lines(NEEDS, DESIGN, stocked())
    assert (drill_text(none, "metric"), none.lined) == ("Ø9 or more", "nothing of that size")
    assert drill_text(lined, "imperial") == "Ø0.56"


def test_a_wet_hole_is_as_many_holes_as_it_has_cables():
    """A round seal holds one cable: each has a gland and a hole, and is drawn in it."""
    (line,) = hole_lines(wet(), DESIGN, stocked(WIDE_GLAND))
    assert drill_text(line, "metric") == "2 × Ø20.5"
    assert line.lined == "2 × gland-20"
    (page,) = hole_pages(wet(), DESIGN, stocked(WIDE_GLAND))
    assert faults(page) == []
    (picture,) = [s for s in page.symbols if s.kind == "hole"]
    radii = [c.radius_mm for c in picture.circles]
    assert len(radii) == 4
    for hole, cable, outer in zip(radii[::2], radii[1::2], line.outer_mm, strict=True):
        assert hole / cable == pytest.approx(20.5 / outer)


def test_a_hole_that_is_there_and_wide_enough_is_not_drilled():
    """It keeps its number, and says how wide it is."""
    legs = tuple(dataclasses.replace(x, hole_mm=30.0 if x.hole else None) for x in NEEDS.legs)
    needs = dataclasses.replace(NEEDS, legs=legs)
    (line,) = hole_lines(needs, DESIGN, stocked(GROMMET))
    assert (line.number, line.bores) == ("H1", ())
    assert drill_text(line, "metric") == "nothing: Ø30 is there"


def test_each_hole_has_one_number_and_one_width_on_every_sheet():
    """Schedule, workbook, sheets of the places and route plan tell the same."""
    needs = four_holes()
    stock = Stock.of([*STOCK.parts, GROMMET], STOCK.suppliers, STOCK.offers)
    result = dataclasses.replace(RESULT, design=DESIGN)
    pages = dict(fit_of(result, needs, stock))
    lines = hole_lines(needs, DESIGN, stock)
    assert [line.number for line in lines] == [f"H{n + 1}" for n in range(len(lines))]
    assert len(lines) == 2
    kit = Kit(result=result, needs=needs, stock=stock)
    rows = [row.cells for row in holes_sheet.rows(kit, 1)]
    schedule = words(pages["holes.svg"])
    routes = " ".join(words(pages["routes.svg"]))
    for line in lines:
        drill = drill_text(line, "metric")
        # Its number stands in the table and under its picture.
        assert schedule.count(line.number) == 2
        assert drill in schedule
        (row,) = [r for r in rows if r[0] == line.number]
        assert row[1] == line.name
        assert row[5] == line.bores[0].wide_mm
        assert row[6] == line.lined
        assert f"hole {line.number} {line.name} (drill {drill})" in routes
        for spot in line.spots:
            if spot.place == "hut":
                continue
            (page,) = [p for p in pages.values() if p.title == f"Place: {spot.place}"]
            told = words(page)
            assert line.number in told
            assert [t for t in told if t.startswith(f"drill {drill}: {line.name}; to ")]


def test_holes_and_conduits_are_on_one_page():
    """Whoever drills takes one sheet along: the table, then the pictures."""
    needs = four_holes()
    (page,) = hole_pages(needs, DESIGN, stocked(GROMMET))
    assert faults(page) == []
    assert len([s for s in page.symbols if s.kind == "hole"]) == 4
    heads = [t for t in words(page) if t in ("No.", "hole", "conduit", "drill", "inside")]
    assert heads == ["No.", "hole", "drill", "conduit", "inside"]


def test_where_a_hole_is_drilled_is_in_its_line():
    """By x and y in each face where that is stated; else that it is to be set on the spot."""
    (line,) = hole_pages(NEEDS, DESIGN)
    assert "to be set on the spot" in words(line)
    legs = tuple(
        dataclasses.replace(x, from_at_mm=(2900.0, 1700.0)) if x.hole else x for x in NEEDS.legs
    )
    (page,) = hole_pages(dataclasses.replace(NEEDS, legs=legs), DESIGN)
    told = " ".join(words(page))
    assert "roof: x 2,900, y 1,700; locker: to be set on the spot" in told


def test_inches_hold_for_cables_too():
    """A page or sheet of inches with one figure of millimetres would be read wrong."""
    (page,) = hole_pages(imperial(), DESIGN, stocked(GROMMET))
    sizes = [float(x) for t in words(page) for x in re.findall(r"Ø([\d.]+)", t)]
    assert sizes
    assert max(sizes) < 1


def test_dimensions_of_holes_are_never_left_out():
    """Where marks are too many, those of things go: the table has them."""
    marks = [Mark(float(n), str(n)) for n in range(20)] + [Mark(21.0, "H1: 21", kept=True)]
    left = _thinned(marks, [4.0] * 21, 30.0)
    assert marks[-1] in left
    assert 4 * len(left) <= 30
    assert len(left) > 4
    assert _thinned(marks, [4.0] * 21, 84.0) == marks
