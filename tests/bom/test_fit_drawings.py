"""Places to scale, hole schedule and route plan: true to scale, complete, nothing overlapping."""

from __future__ import annotations

import dataclasses
import itertools
import re
from collections import Counter
from xml.etree import ElementTree

import pytest

from bom.drawings.files import drawing_files, file_name, fit_files, fit_of, left_over
from bom.drawings.hatching import hatched
from bom.drawings.hole_lines import asked_mm
from bom.drawings.hole_schedule import hole_pages
from bom.drawings.keys import crosses, write_beside, write_led
from bom.drawings.page import Box
from bom.drawings.places import place_pages
from bom.drawings.plate import blank, spread
from bom.drawings.route_plan import route_pages
from bom.drawings.svg import svg_text
from bom.drawings.windows import scale_of
from bom.fit_notes import fit_notes
from solver.fuse_spots import fuse_spots
from solver.holes import holes, passages
from tests.bom.drawn import holds
from tests.bom.fitted import fitted_design
from tests.bom.plates import faults
from tests.bom.sample import DESIGN, NEEDS, NO_KIT, RESULT, imperial
from tests.oracle import larger_design, small_design

SVG = "{http://www.w3.org/2000/svg}"
SEEDS = (4, 7, 15, 26, 35, 38, 45, 61)
"""Small and large, long names, many obstacles, rings of legs, imperial: chosen for that."""

NAMED = {
    "sample": (DESIGN, NEEDS),
    "imperial": (DESIGN, imperial()),
    "small": (small_design.design(), small_design.needs()),
    "larger": (larger_design.design(), larger_design.needs()),
}
CASES = [
    *(pytest.param(*pair, id=name) for name, pair in NAMED.items()),
    *(pytest.param(*fitted_design(seed), id=f"seed {seed}") for seed in SEEDS),
]


def words(pages):
    """All texts of pages, as one."""
    return " ".join(t.text for page in pages for t in page.texts)


@pytest.mark.parametrize(("design", "needs"), CASES)
def test_nothing_overlaps_and_nothing_is_cut_off(design, needs):
    """Texts stand apart, off every line and ring, and inside the frame."""
    for pages in (
        place_pages(needs, design),
        hole_pages(needs, design),
        route_pages(needs, design),
    ):
        for n, page in enumerate(pages, start=1):
            assert (n, page.title, faults(page)) == (n, page.title, [])


@pytest.mark.parametrize(("design", "needs"), CASES)
def test_every_device_is_drawn_once_and_apart(design, needs):
    """Each in its place, no two over one another, all in the table with their coordinates."""
    pages = place_pages(needs, design)
    drawn = [(p, s) for p in pages for s in p.symbols if s.kind == "device"]
    assert Counter(s.id for _, s in drawn) == Counter(d.id for d in design.devices)
    for page in pages:
        boxes = [s.box for s in page.symbols if s.kind == "device"]
        assert not any(a.overlaps(b) for a, b in itertools.combinations(boxes, 2))
    told = {t.text for p in pages for t in p.texts}
    ids = {d.id for d in design.devices}
    assert {i for i in ids if i not in told and not any(i in t for t in told)} == set()


def _rectangles(page):
    """The closed rectangles of a page's SVG: stroke width, x, y, width, height in its units."""
    root = ElementTree.fromstring(svg_text(page, "x", file_name))
    assert root.get("width") == "297mm"
    assert root.get("viewBox") == "0 0 297 210"
    for one in root.iter(f"{SVG}polygon"):
        points = [tuple(map(float, p.split(","))) for p in one.get("points").split()]
        xs, ys = zip(*points, strict=True)
        sides = (min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
        yield float(one.get("stroke-width")), *sides


def test_two_known_lengths_in_the_file_are_true_to_scale():
    """The roof's length and a panel's, measured in the SVG, times the stated scale."""
    page = next(p for p in place_pages(NEEDS, DESIGN) if p.title == "Place: roof")
    (scale,) = re.findall(r"scale 1:(\d+) on A4", words([page]))
    drawn = list(_rectangles(page))
    (edge,) = (r for r in drawn if r[0] == 0.8)
    assert edge[3] * int(scale) == pytest.approx(3200, abs=0.1)
    assert edge[4] * int(scale) == pytest.approx(1900, abs=0.1)
    panel = next(d for d in DESIGN.devices if d.id == "PV1")
    found = [
        r
        for r in drawn
        if r[3] * int(scale) == pytest.approx(panel.part.length_mm, abs=0.1)
        and r[4] * int(scale) == pytest.approx(panel.part.width_mm, abs=0.1)
    ]
    assert len(found) == 1
    x, y = found[0][1] - edge[1], edge[2] + edge[4] - found[0][2] - found[0][4]
    assert x * int(scale) == pytest.approx(panel.x_mm, abs=0.1)
    assert y * int(scale) == pytest.approx(panel.y_mm, abs=0.1)


@pytest.mark.parametrize(("design", "needs"), CASES)
def test_every_thing_lies_where_the_design_puts_it(design, needs):
    """From the corner marked 0, x to the right, y upwards, by the page's own scale."""
    devices = {d.id: d for d in design.devices}
    places = {p.name: p for p in needs.places}
    for page in place_pages(needs, design):
        scales = re.findall(r"scale 1:(\d+) on A4", words([page]))
        shown = [s for s in page.symbols if s.kind == "device"]
        if not shown:
            continue
        scale = int(scales[0])
        edge = next(line for line in page.lines if line.look == "bold")
        xs, ys = zip(*edge.points, strict=True)
        left, bottom = min(xs), max(ys)
        place = places[devices[shown[0].id].place]
        if edge.closed:
            assert (max(xs) - left) * scale == pytest.approx(place.length_mm)
            assert (bottom - min(ys)) * scale == pytest.approx(place.width_mm)
        for s in shown:
            d = devices[s.id]
            along, across = d.part.length_mm, d.part.width_mm
            if d.rotated:
                along, across = across, along
            assert (s.box.left_mm - left) * scale == pytest.approx(d.x_mm)
            assert (bottom - s.box.bottom_mm) * scale == pytest.approx(d.y_mm)
            assert (s.box.right_mm - s.box.left_mm) * scale == pytest.approx(along)
            assert (s.box.bottom_mm - s.box.top_mm) * scale == pytest.approx(across)


def test_a_locker_has_its_front_view_to_the_same_scale():
    """Heights under the lid, straight under the plan: what the lid must clear is seen."""
    page = next(p for p in place_pages(NEEDS, DESIGN) if p.title == "Place: locker")
    (scale,) = map(int, re.findall(r"scale 1:(\d+) on A4", words([page])))
    plan, front = (line.points for line in page.lines if line.look == "bold")
    assert (front[2][0] - front[0][0]) * scale == pytest.approx(1200)
    assert (front[2][1] - front[0][1]) * scale == pytest.approx(400)
    assert (front[0][0], front[2][0]) == (plan[0][0], plan[2][0])
    battery = next(d for d in DESIGN.devices if d.id == "B1")
    (seen,) = (s.box for s in page.symbols if s.kind == "front" and s.id == "B1")
    assert (seen.bottom_mm - seen.top_mm) * scale == pytest.approx(battery.part.height_mm)
    assert (seen.left_mm - front[0][0]) * scale == pytest.approx(battery.x_mm)
    free = 400 - max(d.part.height_mm for d in DESIGN.devices if d.place == "locker")
    assert f"{free:g} free under the lid" in words([page])


def test_what_is_seen_from_the_front_is_named():
    """An outline without a name says nothing: each has its key where some of it stands free."""
    page = next(p for p in place_pages(NEEDS, DESIGN) if p.title == "Place: locker")
    fronts = [s.box for s in page.symbols if s.kind == "front"]
    (battery,) = (s for s in page.symbols if s.kind == "front" and s.id == "B1")
    inside = [t for t in page.texts if holds(battery.box, t.box)]
    (name,) = (t for t in inside if t.text.endswith("B1"))
    assert not [f for f in fronts if f != battery.box and f.overlaps(name.box)]


def test_a_thing_between_others_has_its_key_at_the_end_of_a_leader():
    """Nothing fits in it or beside it: the leader begins at it and crosses nothing else."""
    page, whole = blank(), Box(0, 0, 100, 100)
    face = Box(50, 50, 52, 51)
    others = [
        Box(40, 48, 50, 54),
        Box(52, 48, 62, 54),
        Box(48, 51, 54, 60),
        Box(46, 45, 49.5, 48),
    ]
    assert not write_beside(page, whole, face, "17", [face, *others])
    assert write_led(page, whole, face, "17", others, [])
    (leader,), (key,) = page.lines, page.texts
    start, end = leader.points
    assert face.left_mm <= start[0] <= face.right_mm
    assert start[1] == face.top_mm
    assert not any(crosses(start, end, b) or key.box.overlaps(b) for b in others)
    shut = [*others, Box(48, 40, 54, 49.9)]
    assert not write_led(blank(), whole, face, "17", shut, [])


def test_the_scale_is_the_largest_that_fits():
    """A round one where there is one; a place of a kilometre still gets one."""
    assert scale_of(4300, 1750, 240, 110) == 20
    assert scale_of(4300, 1750, 4300, 1750) == 1
    assert scale_of(1_000_000, 1750, 240, 110) * 240 >= 1_000_000


def test_the_roof_page_has_its_dimensions_obstacles_and_entries():
    """What a fitter measures by: sides, edges from the corner, the hatched pipe, the hole."""
    page = next(p for p in place_pages(NEEDS, DESIGN) if p.title == "Place: roof")
    told = {t.text for t in page.texts}
    assert {"3,200", "1,900", "0", "60", "1,600", "2,700", "1,500"} <= told
    assert {"PV1", "PV2", "stove pipe", "H1"} <= told
    assert any(
        t.startswith("drill Ø9 or more: roof entry; to locker, 3.4 m: W01") for t in told
    )
    (pipe,) = (s for s in page.symbols if s.kind == "obstacle")
    assert sum(s.look == "hair" for s in pipe.strokes) > 3


def test_fuses_of_no_stated_size_are_named():
    """Nobody could draw them: the page of their place says so."""
    page = next(p for p in place_pages(NEEDS, DESIGN) if p.title == "Place: locker")
    told = "not drawn, no size is stated, find room near their sources: F1, F2, FB1"
    assert told in words([page])


@pytest.mark.parametrize(("design", "needs"), CASES)
def test_every_fuse_is_drawn_where_its_spot_is(design, needs):
    """Once, dashed, over nothing else; one that finds no room is named with its size."""
    spots = fuse_spots(needs, design)
    pages = {p.title: p for p in reversed(place_pages(needs, design))}
    for found in spots:
        page = pages[f"Place: {found.place}"]
        shown = {s.id: s for s in page.symbols if s.kind == "fuse"}
        assert list(shown) == [s.mount.id for s in found.spots]
        others = [s.box for s in page.symbols if s.kind in ("device", "fuse")]
        for symbol in shown.values():
            assert symbol.strokes[0].look == "dashed"
            assert sum(symbol.box.overlaps(other) for other in others) == 1
        if found.crowded and len(page.texts) < 60:
            assert "NOT DRAWN" in words([page])


def _entered(**ends):
    legs = tuple(dataclasses.replace(leg, **ends) for leg in NEEDS.legs)
    return dataclasses.replace(NEEDS, legs=legs)


def test_an_entry_is_drawn_where_the_needs_state_it():
    """A ring as wide as its hole, at its place by the scale; its numbers stand in the table."""
    needs = _entered(from_at_mm=(2900.0, 1700.0))
    page = next(p for p in place_pages(needs, DESIGN) if p.title == "Place: roof")
    (scale,) = map(int, re.findall(r"scale 1:(\d+) on A4", words([page])))
    (ring,) = (s for s in page.symbols if s.kind == "entry")
    (edge,) = (line for line in page.lines if line.look == "bold")
    (left, _), _, (_, bottom), _ = edge.points
    (circle,) = ring.circles
    assert (circle.at[0] - left) * scale == pytest.approx(2900)
    assert (bottom - circle.at[1]) * scale == pytest.approx(1700)
    told = words([page])
    assert "at x 2,900, y 1,700: drill Ø9 or more: roof entry; to locker, 3.4 m" in told
    assert "ring: entry as wide as its hole (small ones drawn larger)" in told
    assert {"H1: 2,900", "H1: 1,700"} <= {t.text for t in page.texts}
    assert "to be set on the spot" not in told
    assert faults(page) == []


def test_an_entry_without_a_position_is_told_at_the_edge():
    """Whoever drills has to choose it: the sheet says so."""
    page = next(p for p in place_pages(NEEDS, DESIGN) if p.title == "Place: roof")
    assert "arrow: cable entry, its place to be set on the spot" in words([page])
    assert not [s for s in page.symbols if s.kind == "entry"]


def test_a_device_over_a_stated_entry_is_told():
    """On the sheet and among the notes: nobody should find it with the drill in hand."""
    panel = next(d for d in DESIGN.devices if d.id == "PV1")
    needs = _entered(from_at_mm=(panel.x_mm + 200, panel.y_mm + 100))
    page = next(p for p in place_pages(needs, DESIGN) if p.title == "Place: roof")
    assert "H1 LIES UNDER PV1" in words([page])
    assert faults(page) == []
    notes = [n for n in fit_notes(DESIGN, needs) if "stands PV1" in n]
    assert len(notes) == 1
    assert not [n for n in fit_notes(DESIGN, NEEDS) if "stands PV" in n]


def test_imperial_jobs_are_drawn_in_inches():
    """One unit a page, and said once."""
    told = words(place_pages(imperial(), DESIGN))
    assert "all lengths in inches" in told
    assert "126.0" in told
    assert "3,200" not in told


# -- holes and ways


@pytest.mark.parametrize(("design", "needs"), CASES)
def test_every_hole_is_drawn_with_all_its_cables(design, needs):
    """A ring a cable and one for the hole as it is or is drilled, to one scale."""
    pages = hole_pages(needs, design)
    shown = [s for p in pages for s in p.symbols if s.kind == "hole"]
    bored = holes(needs.in_one_order(), design)
    pipes = [w for w in passages(needs, design) if w.leg.conduit is not None and w.cuts]
    assert len(shown) == len(bored) + len(pipes)
    for hole, symbol in zip(bored, shown, strict=False):
        assert len(symbol.circles) == 1 + len(hole.cuts)
        first = symbol.circles[0].radius_mm
        around = asked_mm(hole) or hole.there_mm
        for circle, outer in zip(symbol.circles[1:], hole.outer_mm, strict=True):
            assert circle.radius_mm / first == pytest.approx(outer / around)
    told = words(pages)
    if needs.job.units == "metric":
        for hole in bored:
            if asked_mm(hole) is not None:
                assert f"Ø{asked_mm(hole):g} or more" in told


def test_a_hole_says_what_is_wrong_with_it():
    """Too narrow, shared by AC and DC, already taken: beside the picture, not in a footnote."""
    needs = larger_design.needs()
    legs = tuple(
        dataclasses.replace(leg, hole="side", hole_max_mm=12.0, loaded_conductors=3)
        if {leg.from_, leg.to} == {"board", "bench"}
        else leg
        for leg in needs.legs
    )
    told = words(hole_pages(dataclasses.replace(needs, legs=legs), larger_design.design()))
    assert "TOO NARROW" in told
    assert "largest allowed 12" in told
    assert "AC beside DC" in told
    assert "3 conductors" in told


def test_a_conduit_with_ac_beside_dc_is_told_in_a_note():
    """No catalog states what voltage a cable's insulation stands: a person must look."""
    needs = larger_design.needs()
    legs = tuple(
        dataclasses.replace(leg, conduit="left wall") if leg.to == "bench" else leg
        for leg in needs.legs
    )
    piped = dataclasses.replace(needs, legs=legs)
    told = [n for n in fit_notes(larger_design.design(), piped) if "left wall" in n]
    assert len(told) == 1
    assert "insulated for the highest voltage" in told[0]
    assert not [n for n in fit_notes(larger_design.design(), needs) if "Conduit" in n]


def test_no_hole_no_schedule_no_leg_no_plan():
    """An empty sheet says nothing."""
    needs = larger_design.needs()
    assert hole_pages(needs, larger_design.design()) == []
    alone = dataclasses.replace(needs, legs=())
    design = dataclasses.replace(larger_design.design(), circuits=(), cuts=())
    assert route_pages(alone, design) == []


@pytest.mark.parametrize(("design", "needs"), CASES)
def test_every_leg_and_place_is_on_the_plan(design, needs):
    """Each leg is one line with its length, each place that a leg reaches one box."""
    pages = route_pages(needs, design)
    boxes = Counter(s.id for p in pages for s in p.symbols if s.kind == "place" and s.id)
    reached = {name for leg in needs.legs for name in (leg.from_, leg.to)}
    assert set(boxes) == reached
    # A box that goes on on another page stands on both.
    assert max(boxes.values(), default=1) <= max(len(pages), 1)
    lines = [line for p in pages for line in p.lines if line.look in ("+", "lead")]
    assert len(lines) == len(needs.legs)
    used = sum(bool(w.cuts) for w in passages(needs, design))
    assert sum(line.look == "+" for line in lines) == used


def test_the_plan_says_what_runs_where():
    """Circuits with the labels of their pieces, under the line of their leg."""
    told = words(route_pages(NEEDS, DESIGN))
    assert "3.4 m, hole H1 roof entry (drill Ø9 or more)" in told
    assert "array 1: W01, W02" in told
    assert "@lamps: W12" in told


# -- files


def test_the_files_are_the_pages_by_their_names():
    """Places by their number and name, then holes, then routes; the wiring diagram as ever."""
    names = [name for name, _ in fit_of(RESULT, NEEDS)]
    assert names == ["place-1-roof.svg", "place-2-locker.svg", "holes.svg", "routes.svg"]
    files = drawing_files(RESULT, NEEDS)
    assert list(files) == ["wiring.svg", *names]
    assert fit_files(RESULT, NEEDS) == fit_files(RESULT, NEEDS)
    for text in files.values():
        assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', text)) <= {"black", "white", "none"}


def test_a_place_of_any_name_has_a_file_of_its_own():
    """Signs that no file system wants are left out; names that then are alike get numbers."""
    places = tuple(
        dataclasses.replace(
            p, name={"roof": "Küche/../a", "locker": "küche ..\\A"}.get(p.name, p.name)
        )
        for p in NEEDS.places
    )
    renamed = {"roof": places[0].name, "locker": places[1].name}
    devices = tuple(
        dataclasses.replace(d, place=renamed.get(d.place, d.place)) for d in DESIGN.devices
    )
    design = dataclasses.replace(DESIGN, devices=devices, circuits=(), cuts=())
    needs = dataclasses.replace(NEEDS, places=places, legs=())
    result = dataclasses.replace(RESULT, design=design)
    names = [name for name, _ in fit_of(result, needs)]
    assert names == ["place-1-kuche-a.svg", "place-2-kuche-a.svg"]


def test_drawings_of_an_earlier_answer_are_known(tmp_path):
    """Fewer lockers this time: the page of the one that is gone is not this kit's."""
    there = [
        tmp_path / n for n in ("place-3-bench.svg", "routes-2.svg", "mine.svg", "holes.svg")
    ]
    written = [tmp_path / "holes.svg"]
    assert left_over(there, written) == ["place-3-bench.svg", "routes-2.svg"]


def test_without_a_kit_no_place_is_drawn():
    """An empty roof would look like an answer."""
    with pytest.raises(ValueError, match="without a kit"):
        fit_of(NO_KIT, NEEDS)


# -- the measure and its tools


def _page():
    return next(p for p in place_pages(NEEDS, DESIGN) if p.title == "Place: roof")


def _moved(page, text, at):
    n = next(n for n, t in enumerate(page.texts) if t.text == text)
    page.texts[n] = dataclasses.replace(page.texts[n], at=at)


def _text_on_text(page):
    _moved(page, "PV1", next(t.at for t in page.texts if t.text == "PV2"))


def _text_on_line(page):
    (edge,) = (line for line in page.lines if line.look == "bold")
    _moved(page, "PV1", edge.points[0])


def _text_on_hatching(page):
    (pipe,) = (s for s in page.symbols if s.kind == "obstacle")
    _moved(page, "PV1", (pipe.box.left_mm + 0.2, pipe.box.bottom_mm - 0.6))


def _text_cut_off(page):
    _moved(page, "PV1", (page.width_mm - 10, 60))


@pytest.mark.parametrize(
    "spoil", [_text_on_text, _text_on_line, _text_on_hatching, _text_cut_off],
    ids=lambda f: f.__name__.strip("_"),
)  # fmt: skip
def test_the_measure_finds_a_planted_fault(spoil):
    """Without this, the tests above could not fail."""
    page = _page()
    assert faults(page) == []
    spoil(page)
    assert faults(page) != []


def test_hatching_stays_in_its_face_and_out_of_gaps():
    """Each line within the rectangle, slanted by 45 degrees, none through a label."""
    face, gap = Box(10, 20, 40, 35), Box(20, 25, 30, 30)
    strokes = hatched(face, [gap])
    assert len(strokes) > 20
    for stroke in strokes:
        (x0, y0), (x1, y1) = stroke.points
        assert x1 - x0 == pytest.approx(y1 - y0)
        for x, y in stroke.points:
            assert 10 - 1e-9 <= x <= 40 + 1e-9
            assert 20 - 1e-9 <= y <= 35 + 1e-9
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        assert not (20 < middle[0] < 30 and 25 < middle[1] < 30)


def test_labels_are_spread_no_farther_than_they_must():
    """Apart and in order, unmoved where there is room, together around where they would be."""
    assert spread([10, 30], [4, 4], 0, 50) == [10, 30]
    assert spread([10, 10], [4, 4], 0, 50) == [8, 12]
    assert spread([1, 1, 30], [4, 4, 4], 0, 50) == [2, 6, 30]
    assert spread([49, 49], [4, 4], 0, 50) == [44, 48]
    assert spread([], [], 0, 50) == []
