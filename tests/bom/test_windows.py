"""Few small things on a large face are drawn large, beside a key plan of the whole."""

from __future__ import annotations

import dataclasses
import re
from xml.etree import ElementTree

import pytest

from bom.drawings.files import file_name
from bom.drawings.places import place_pages
from bom.drawings.svg import svg_text
from bom.drawings.windows import GAIN, LEGIBLE_MM, Extent, whole, window_of
from solver.needs import Obstacle, Place
from tests.bom.plates import faults
from tests.bom.sample import DESIGN, NEEDS

SVG = "{http://www.w3.org/2000/svg}"
WALL = {"length_mm": 5200.0, "width_mm": 3000.0}
PILLAR = Obstacle(name="pillar", x_mm=4000, y_mm=2000, length_mm=600, width_mm=700)
ROOM = (244.0, 100.0)


def page_of(**keys):
    """The page of the sample's locker, made larger, or a wall."""
    places = tuple(
        dataclasses.replace(p, **keys) if p.name == "locker" else p for p in NEEDS.places
    )
    pages = place_pages(dataclasses.replace(NEEDS, places=places), DESIGN)
    return next(p for p in pages if p.title == "Place: locker")


def wall(**keys):
    """A wall with the sample's devices in its corner."""
    return page_of(height_mm=None, **WALL, **keys)


def told(page):
    """All its texts as one."""
    return " ".join(t.text for t in page.texts)


def scales(page):
    """Of the part drawn large, and of its key plan."""
    (large,) = re.findall(r"scale 1:(\d+) on A4", told(page))
    (small,) = re.findall(r"key plan 1:(\d+)", told(page))
    return int(large), int(small)


def corners(page):
    """The rectangles of its SVG: left, top, right and lower edge."""
    root = ElementTree.fromstring(svg_text(page, "x", file_name))
    assert (root.get("width"), root.get("viewBox")) == ("297mm", "0 0 297 210")
    for one in root.iter(f"{SVG}polygon"):
        xs, ys = zip(
            *(map(float, p.split(",")) for p in one.get("points").split()), strict=True
        )
        yield min(xs), min(ys), max(xs), max(ys)


def test_two_known_lengths_in_the_file_are_true_to_their_scales():
    """A battery in the part drawn large, the wall in the key plan; both measured in the SVG."""
    page = wall()
    large, small = scales(page)
    battery = next(d for d in DESIGN.devices if d.id == "B1").part
    drawn = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in corners(page)]

    def times(scale, long, wide):
        return sum(
            w * scale == pytest.approx(long, abs=0.1 * scale / 20)
            and h * scale == pytest.approx(wide, abs=0.1 * scale / 20)
            for w, h in drawn
        )

    assert times(large, battery.length_mm, battery.width_mm) == 1
    assert times(small, battery.length_mm, battery.width_mm) == 1
    assert times(small, 5200, 3000) == 1
    assert times(large, 5200, 3000) == 0


def test_the_key_plan_has_every_device_where_it_stands():
    """From the same corner as the part drawn large, by its own scale."""
    page = wall()
    _, small = scales(page)
    devices = {d.id: d for d in DESIGN.devices}
    (whole_box,) = [
        line.points
        for line in page.lines
        if line.closed and line.look == "symbol" and not line.filled
    ]
    left, bottom = min(x for x, _ in whole_box), max(y for _, y in whole_box)
    for symbol in page.symbols:
        if symbol.kind == "whole":
            device = devices[symbol.id]
            assert (symbol.box.left_mm - left) * small == pytest.approx(device.x_mm)
            assert (bottom - symbol.box.bottom_mm) * small == pytest.approx(device.y_mm)


def test_things_get_larger_and_the_page_stays_whole():
    """Nothing over anything; the overall sides stand at the break lines and at the key plan."""
    page = wall()
    assert faults(page) == []
    large, _ = scales(page)
    place = Place(name="wall", **WALL)
    assert large * GAIN <= whole(place, ROOM).scale
    texts = [t.text for t in page.texts]
    assert texts.count("5,200") == 1
    assert "5,200 over all" in texts
    assert texts.count("3,000") == 2
    assert "over all" in texts
    shown = {s.id for s in page.symbols if s.kind == "device"}
    assert shown == {d.id for d in DESIGN.devices if d.place == "locker"}
    assert shown == {s.id for s in page.symbols if s.kind == "whole"}


def test_edges_that_are_broken_off_are_break_lines():
    """Bold are the two edges that meet in the corner marked 0; the others are thin zigzags."""
    page = wall()
    (edge,) = [line for line in page.lines if line.look == "bold"]
    assert not edge.closed
    assert len(edge.points) == 3
    zigzags = [line for line in page.lines if line.look == "hair" and len(line.points) == 6]
    assert len(zigzags) == 2
    assert "zigzag: broken off there" in told(page)


def test_what_lies_in_the_rest_is_in_the_key_plan():
    """An obstacle out of the part drawn large keeps its letter there; arrows stand over it."""
    page = wall(obstacles=(PILLAR,))
    assert faults(page) == []
    (pillar,) = [s for s in page.symbols if s.id == "pillar"]
    assert pillar.kind == "whole"
    (key,) = [t for t in page.texts if t.text == "A" and t.bold]
    assert pillar.box.left_mm < key.box.left_mm < key.box.right_mm < pillar.box.right_mm
    tips = [line for line in page.lines if line.filled]
    assert len(tips) == 2
    left = max(line.points[2][0] for line in page.lines if line.look == "bold")
    assert all(x > left for line in tips for x, _ in line.points)


def test_a_stated_hole_is_never_broken_off():
    """Its ring lies in the part drawn large, or the whole is drawn."""
    at = (3000.0, 900.0)
    legs = tuple(
        dataclasses.replace(x, to_at_mm=at) if x.hole is not None else x for x in NEEDS.legs
    )
    places = tuple(
        dataclasses.replace(p, height_mm=None, **WALL) if p.name == "locker" else p
        for p in NEEDS.places
    )
    needs = dataclasses.replace(NEEDS, legs=legs, places=places)
    page = next(p for p in place_pages(needs, DESIGN) if p.title == "Place: locker")
    assert faults(page) == []
    (scale,) = map(int, re.findall(r"scale 1:(\d+) on A4", told(page)))
    edge = next(line for line in page.lines if line.look == "bold")
    left, bottom = min(x for x, _ in edge.points), max(y for _, y in edge.points)
    (ring,) = [s for s in page.symbols if s.kind == "entry"]
    assert (ring.circles[0].at[0] - left) * scale == pytest.approx(at[0])
    assert (bottom - ring.circles[0].at[1]) * scale == pytest.approx(at[1])
    assert ring.box.right_mm < max(x for x, _ in edge.points)


def test_a_lockers_front_is_broken_off_like_its_plan():
    """Plan and front to one scale, both in the key plan; the free height is told as ever."""
    page = page_of(length_mm=2600, width_mm=1400, height_mm=1500)
    assert faults(page) == []
    large, _ = scales(page)
    plan, front = (line for line in page.lines if line.look == "bold")
    assert plan.points[1][0] == front.points[1][0]
    battery = next(d for d in DESIGN.devices if d.id == "B1")
    (seen,) = [s.box for s in page.symbols if s.kind == "front" and s.id == "B1"]
    assert (seen.bottom_mm - seen.top_mm) * large == pytest.approx(battery.part.height_mm)
    assert "over all" in told(page)
    free = 1500 - max(d.part.height_mm for d in DESIGN.devices if d.place == "locker")
    assert f"{free:,g} free under the lid" in told(page)
    assert {s.id for s in page.symbols if s.kind == "whole front"} == {
        d.id for d in DESIGN.devices if d.place == "locker"
    }


@pytest.mark.parametrize(
    ("along", "across", "narrow"),
    [(1500, 400, 300), (2150, 1700, 40), (600, 400, LEGIBLE_MM * 20)],
    ids=["large things", "a full wall", "just large enough"],
)
def test_the_whole_is_drawn_where_a_part_would_say_no_more(along, across, narrow):
    """A second picture for nothing would be one picture too many."""
    place = Place(name="wall", length_mm=2200, width_mm=1800)
    extent = Extent(along_mm=along, across_mm=across, rises_mm=0.0, narrowest_mm=narrow)
    assert window_of(place, extent, ROOM, 0.0) == whole(place, ROOM)


def test_more_arrows_than_the_key_plan_is_wide_keep_the_whole():
    """Their keys would run into each other."""
    place = Place(name="wall", length_mm=2200, width_mm=1800)
    extent = Extent(along_mm=900, across_mm=400, rises_mm=0.0, narrowest_mm=40)
    assert window_of(place, extent, ROOM, 30.0).key_scale is not None
    assert window_of(place, extent, ROOM, 400.0) == whole(place, ROOM)
