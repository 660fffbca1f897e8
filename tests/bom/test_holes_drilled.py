"""Nobody drills wrong by a sheet: what may not be made is said, once and wherever the width is."""

from __future__ import annotations

import dataclasses

import pytest

from bom.drawings.dimensions import Mark, _thinned
from bom.drawings.entry_marks import EntryMark
from bom.drawings.hole_lines import (
    SIDE_BY_SIDE,
    TOO_NARROW,
    TOO_WIDE,
    Bore,
    asked_mm,
    drill_text,
    hole_lines,
    remarks_of,
)
from bom.drawings.hole_schedule import _hole_picture, _Row, _table, hole_pages
from bom.drawings.place_table import Thing, lying_under
from bom.drawings.place_views import draw_window
from bom.drawings.places import place_pages
from bom.drawings.plate import blank
from bom.drawings.route_plan import route_pages
from bom.drawings.windows import whole
from bom.result_json import result_to_json
from bom.sheets import holes as holes_sheet
from bom.sheets.page import Kit
from solver.holes import holes
from tests.bom.plates import faults
from tests.bom.sample import DESIGN, NEEDS, RESULT, imperial
from tests.bom.test_hole_schedule import GROMMET, WIDE_GLAND, stocked

AT = (300.0, 20.0)
"""Where a hole is in the locker."""


def with_hole(needs=NEEDS, **keys):
    """The needs with more stated of the leg that passes the roof entry."""
    legs = tuple(dataclasses.replace(x, **keys) if x.hole else x for x in needs.legs)
    return dataclasses.replace(needs, legs=legs)


def sheet_of(name, needs, stock=None):
    """The page of a place."""
    return next(p for p in place_pages(needs, DESIGN, stock) if p.title == f"Place: {name}")


def words(pages):
    """All texts of pages, as one."""
    return " ".join(t.text for page in pages for t in page.texts)


def ring_mm(page):
    """Diameter of the one ring on a page, on paper."""
    (ring,) = [s for s in page.symbols if s.kind == "entry"]
    return 2 * ring.circles[0].radius_mm


# -- what is not allowed


def test_no_gland_is_drilled_for_that_is_wider_than_allowed():
    """12 mm are the most that may be made there: no schedule says 2 × Ø20.5."""
    needs = with_hole(wet=True, hole_max_mm=12.0)
    (line,) = hole_lines(needs, DESIGN, stocked(WIDE_GLAND))
    assert (drill_text(line, "metric"), line.lined) == ("Ø9 or more", "nothing of that size")
    assert not line.too_wide


def test_what_is_wider_than_allowed_says_so_in_bold():
    """In schedule and workbook: the width stands there, and so what forbids it."""
    needs = with_hole(hole_max_mm=5.0)
    (line,) = hole_lines(needs, DESIGN)
    assert remarks_of(line, "metric")[:3] == [TOO_NARROW, TOO_WIDE, "largest allowed 5"]
    (page,) = hole_pages(needs, DESIGN)
    (told,) = [t for t in page.texts if TOO_WIDE in t.text]
    assert told.bold
    (row,) = holes_sheet.rows(Kit(needs=needs, result=RESULT, stock=stocked()), 1)
    assert row.look == "bad"
    assert TOO_WIDE in row.cells[-1]


def test_a_width_is_not_rounded_past_what_is_allowed():
    """Two cables of 4.2 mm ask for 8.4, and 8.6 are allowed: 9 mm would be wider."""
    (hole,) = holes(with_hole(hole_max_mm=8.6), DESIGN)
    thin = dataclasses.replace(hole, outer_mm=(4.2, 4.2))
    assert (thin.fits, thin.drilled_mm, asked_mm(thin)) == (True, 9, 8.6)
    assert asked_mm(dataclasses.replace(thin, most_mm=20.0)) == 9
    assert asked_mm(dataclasses.replace(thin, most_mm=5.0)) == 9


def test_whoever_reads_a_place_or_the_ways_meets_the_warning():
    """Their sheets give the width too, and may be the only ones at hand."""
    needs = with_hole(hole_max_mm=5.0)
    for pages in ([sheet_of("roof", needs)], route_pages(needs, DESIGN)):
        assert "TOO NARROW" in words(pages)
        assert "WIDER THAN ALLOWED" in words(pages)
        assert [f for p in pages for f in faults(p)] == []
    assert "TOO NARROW" not in words([sheet_of("roof", NEEDS), *route_pages(NEEDS, DESIGN)])


# -- one hole, one spot


@pytest.mark.parametrize(
    ("first_at", "second_at"), [(AT, None), (None, AT), (AT, AT)],
    ids=["the first states it", "the second", "both"],
)  # fmt: skip
def test_a_hole_of_two_legs_is_drawn_once_in_their_place(first_at, second_at):
    """One ring, one mark, no arrow: it would be drilled twice, or looked for elsewhere."""
    first, second = (dataclasses.replace(x, hole="side") for x in NEEDS.legs)
    first = dataclasses.replace(first, to_at_mm=first_at)
    second = dataclasses.replace(second, from_at_mm=second_at)
    needs = dataclasses.replace(NEEDS, legs=(first, second))
    page = sheet_of("locker", needs)
    assert ring_mm(page) > 0
    told = [t.text for t in page.texts]
    assert len([t for t in told if t.startswith("at x 300, y 20: drill")]) == 1
    assert told.count("H1: 300") == 1
    assert words([page]).count("LIES UNDER") <= 1
    assert "set on the spot" not in words([page])
    ways = words([page]).partition("at x 300")[2]
    assert "to roof, 3.4 m" in ways
    assert "to hut, 2.2 m" in ways
    (line,) = hole_lines(needs, DESIGN)
    places = [spot.place for spot in line.spots]
    assert sorted(places) == ["hut", "locker", "roof"]


def test_a_wet_hole_at_a_stated_middle_has_a_ring_for_all_its_glands():
    """One of 9 mm would be covered by what leaves no room for two glands."""
    needs = with_hole(wet=True, from_at_mm=(2900.0, 1700.0))
    stock = stocked(WIDE_GLAND)
    page = sheet_of("roof", needs, stock)
    scale = 3200 / max(x for s in page.lines if s.look == "bold" for x, _ in s.points)
    assert ring_mm(page) * scale >= 2 * 20.5 * 0.8
    (line,) = hole_lines(needs, DESIGN, stock)
    assert line.bore_mm == pytest.approx(2 * 1.4 * 20.5)
    told = f"at x 2,900, y 1,700, {SIDE_BY_SIDE}: drill 2 × Ø20.5: roof"
    assert told in words([page])
    assert SIDE_BY_SIDE in words(hole_pages(needs, DESIGN, stock))
    assert "but where the table has a gland" in words(hole_pages(needs, DESIGN, stock))


def test_a_thing_over_the_lined_hole_is_told():
    """Beside the 9 mm that the cables ask for, but over the 14 of the grommet."""
    panel = next(d for d in DESIGN.devices if d.id == "PV1")
    needs = with_hole(from_at_mm=(panel.x_mm - 6, panel.y_mm + 200))
    assert "LIES UNDER" not in words([sheet_of("roof", needs)])
    assert "H1 LIES UNDER PV1" in words([sheet_of("roof", needs, stocked(GROMMET))])


def test_a_hole_need_not_give_way_to_a_proposal():
    """Where a fuse stands is only proposed: it goes elsewhere."""
    (mark,) = _holes_in_a_row(1)
    fuse = Thing("1", "F1", "", 100, 470, 40, 40, None, "fuse")
    device = dataclasses.replace(fuse, name="B1", kind="device")
    assert lying_under([mark], [fuse]) == ["H1 LIES UNDER F1: put that elsewhere"]
    (both,) = lying_under([mark], [fuse, device])
    assert both.startswith("H1 LIES UNDER F1, B1: move it")
    assert lying_under([mark], [dataclasses.replace(fuse, x_mm=131)]) == []


def test_a_place_without_devices_has_a_sheet_where_a_hole_is_measured_in_it():
    """The schedule measures from the corner marked 0 there: a sheet must mark it."""
    legs = (NEEDS.legs[0], dataclasses.replace(NEEDS.legs[1], hole="h", to_at_mm=(400.0, 90.0)))
    bare = dataclasses.replace(
        DESIGN, devices=tuple(d for d in DESIGN.devices if d.place != "hut")
    )
    needs = dataclasses.replace(NEEDS, legs=legs)
    titles = [p.title for p in place_pages(NEEDS, bare)]
    assert "Place: hut" not in titles
    (page,) = [p for p in place_pages(needs, bare) if p.title == "Place: hut"]
    assert "at x 400, y 90" in words([page])
    assert faults(page) == []


# -- figures


def test_limits_in_inches_are_told_no_wider():
    """14 mm are 0.5512 in: 0.6 would be 15.2 mm."""
    needs = with_hole(imperial(), hole_max_mm=14.9)
    (line,) = hole_lines(needs, DESIGN)
    assert "largest allowed 0.58" in remarks_of(line, "imperial")
    (row,) = holes_sheet.rows(Kit(needs=needs, result=RESULT, stock=stocked()), 1)
    assert row.cells[12] / 25.4 == pytest.approx(0.58)
    (there,) = hole_lines(with_hole(hole_mm=14.9), DESIGN)
    assert drill_text(there, "imperial") == "nothing: Ø0.58 is there"
    assert drill_text(there, "metric") == "nothing: Ø14.9 is there"


def test_only_what_is_drilled_as_told_stands_beside_a_ring():
    """`H1 Ø9` would be read as it stands, though 9 mm are the least."""
    needs = with_hole(from_at_mm=(2900.0, 1700.0))
    assert not [t for t in sheet_of("roof", needs).texts if t.text.startswith("H1 Ø")]
    assert "H1 Ø14" in [t.text for t in sheet_of("roof", needs, stocked(GROMMET)).texts]


def test_a_long_name_cuts_off_no_width():
    """What is drilled comes first."""
    needs = with_hole(hole="beside the rear door " * 20, from_at_mm=(2900.0, 1700.0))
    told = [t.text for t in sheet_of("roof", needs).texts]
    assert [t for t in told if t.startswith("at x 2,900, y 1,700: drill Ø9 or more: beside")]


def test_the_result_file_has_number_bores_and_linings():
    """As the sheets have them, beside the least that cables ask for; rows in another order too."""
    small = dataclasses.replace(DESIGN, small=(), parts={**DESIGN.parts, GROMMET.part: GROMMET})
    result = dataclasses.replace(RESULT, design=small)
    legs = tuple(dataclasses.replace(x, hole=f"hole {n}") for n, x in enumerate(NEEDS.legs))
    needs = dataclasses.replace(NEEDS, legs=legs)
    found = result_to_json(result, needs)["holes"]
    lines = {line.number: line for line in hole_lines(needs, small)}
    assert {x["number"]: x["hole"] for x in found} == {n: x.name for n, x in lines.items()}
    for hole in found:
        bores = [(b["count"], b["wide_mm"]) for b in hole["bores"]]
        assert bores == [(b.count, b.wide_mm) for b in lines[hole["number"]].bores]
    assert [x["linings"] for x in found if x["drill_mm"] == 9] == [
        [{"part": "grommet-14", "count": 1}]
    ]
    turned = dataclasses.replace(needs, legs=tuple(reversed(legs)))
    assert result_to_json(result, turned)["holes"] == found


# -- drawing


def _holes_in_a_row(n):
    """So many holes at one height, each at an x of its own."""
    return [
        EntryMark(
            key=f"H{k}", text="", at_mm=(120.0 * k, 490.0), bore_mm=20, label=f"H{k} Ø20",
            arrow=False, opening=False,
        )
        for k in range(1, n + 1)
    ]  # fmt: skip


@pytest.mark.parametrize("turned", [False, True])
def test_many_holes_at_one_height_have_one_dimension(turned):
    """24 marks over each other could not be read; none runs out of the page."""
    marks = _holes_in_a_row(24)
    place = dataclasses.replace(NEEDS.places[0], length_mm=3000, width_mm=3000, obstacles=())
    if turned:
        marks = [dataclasses.replace(m, at_mm=m.at_mm[::-1]) for m in marks]
    page = blank()
    draw_window(page, (40, 24), whole(place, (240, 110)), [], marks, "metric")
    told = [t.text for t in page.texts]
    assert [t for t in told if t.endswith(": 490")] == ["H1-H24: 490"]
    assert faults(page) == []


def test_dimensions_of_holes_beyond_their_room_are_left_out():
    """The table has them all; what runs over others says nothing."""
    kept = [Mark(float(n), f"H{n}", kept=True) for n in range(40)]
    left = _thinned(kept, [4.0] * 40, 60.0)
    assert 10 < len(left) <= 15
    assert _thinned([], [], 60.0) == []


def test_each_cable_is_drawn_in_the_hole_of_its_gland():
    """The thick one in the narrower hole, where its gland is such."""
    (line,) = hole_lines(NEEDS, DESIGN)
    bores = (Bore(count=1, wide_mm=20, cables=(0,)), Bore(count=1, wide_mm=25, cables=(1,)))
    line = dataclasses.replace(line, outer_mm=(12.0, 5.0), bores=bores)
    rounds = _hole_picture(line).rounds
    assert [(r.outline_mm, r.outer_mm) for r in rounds] == [(20, (12.0,)), (25, (5.0,))]


def test_no_heading_stands_alone_at_the_foot():
    """Also where what follows it is tall."""
    line, tall, head = (("x",), ()), (("x",) * 24, ()), (("head",), ())
    rows = [_Row(head, (), head=True), *(_Row(line, ()) for _ in range(34))]
    rows += [_Row((("second",), ()), (), head=True), _Row(tall, ())]
    pages = [blank()]
    _table(pages, rows)
    assert [[t.text for t in p.texts][-1] for p in pages] == ["x", "x"]
    assert pages[1].texts[0].text == "second"
