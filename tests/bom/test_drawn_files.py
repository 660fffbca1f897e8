"""The files of the wiring diagram: SVG that every program reads, pictures that show the same."""

from __future__ import annotations

import dataclasses
import io
import re
from xml.etree import ElementTree

import pytest
from PIL import Image

from bom.drawings.files import file_name, left_over, wiring_files, wiring_of
from bom.drawings.page import Page, Stroke, Text, Wire
from bom.drawings.png import DOTS_PER_MM, png_bytes
from bom.drawings.svg import svg_text
from bom.drawings.wiring import wiring_pages
from bom.measures import inches_up
from tests.bom.sample import NEEDS, NO_KIT, RESULT
from tests.bom.wide_design import wide_design

SVG = "{http://www.w3.org/2000/svg}"


def _svg(page):
    return ElementTree.fromstring(svg_text(page, "a drawing", file_name))


def test_every_text_and_conductor_of_a_page_is_in_its_svg():
    """The file holds what was measured: each text once, as wide as was reckoned."""
    for page in wiring_pages(*wide_design(5)):
        root = _svg(page)
        texts = [(e.text, float(e.get("textLength"))) for e in root.iter(f"{SVG}text")]
        assert len(texts) == len(page.texts)
        for (shown, wide), text in zip(texts, page.texts, strict=True):
            assert shown == text.text
            assert wide == pytest.approx(text.width_mm, abs=0.001)
        labels = [e.find(f"{SVG}title") for e in root.iter(f"{SVG}polyline")]
        assert [e.text for e in labels if e is not None] == [w.cut for w in page.wires]
        assert root.get("width") == "420mm"


def test_the_pages_are_black_on_white():
    """They read the same on any printer."""
    for page in wiring_pages(*wide_design(5)):
        text = svg_text(page, "", file_name)
        assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', text)) <= {"black", "white", "none"}


def test_every_link_of_a_page_leads_to_a_file():
    """A click on a bar's end opens the page it goes on on."""
    pages = wiring_pages(*wide_design(5))
    names = {file_name(n) for n in range(1, len(pages) + 1)}
    links = {e.get("href") for p in pages for e in _svg(p).iter(f"{SVG}a")}
    assert len(links) == len(pages) > 1
    assert links <= names


def test_signs_of_the_file_format_stay_text():
    """Names hold what people type, and what a careless catalog holds."""
    page = Page(100, 50)
    page.write((10, 10), ['<b> & "x" \x0b\ud800 Küche ² −'], 3)
    (text,) = _svg(page).iter(f"{SVG}text")
    assert text.text == '<b> & "x"  Küche ² −'
    assert png_bytes(page)


def test_an_answer_has_its_files_and_two_runs_the_same_bytes():
    """`wiring.svg` first, each page of several by its number; nothing left to chance."""
    files = wiring_files(RESULT, NEEDS)
    pages = wiring_of(RESULT, NEEDS)
    assert list(files) == [file_name(n) for n in range(1, len(pages) + 1)]
    assert next(iter(files)) == "wiring.svg"
    assert wiring_files(RESULT, NEEDS) == files
    assert png_bytes(pages[0]) == png_bytes(pages[0])


def test_without_a_kit_there_is_no_drawing():
    """A drawing of nothing would look like an answer."""
    with pytest.raises(ValueError, match="without a kit"):
        wiring_of(NO_KIT, NEEDS)


def test_an_invented_catalog_is_told_on_every_page():
    """Nobody orders by a drawing of made-up parts."""
    made_up = tuple(dataclasses.replace(o, name=f"{o.name}, invented") for o in RESULT.orders)
    real = tuple(dataclasses.replace(o, name="a shop") for o in RESULT.orders)
    for orders, told in ((made_up, True), (real, False)):
        for page in wiring_of(dataclasses.replace(RESULT, orders=orders), NEEDS):
            assert any("invented catalog" in t.text for t in page.texts) == told


def test_pages_of_an_earlier_answer_are_known(tmp_path):
    """Only drawings count, and only those that were not written now."""
    names = ["wiring.svg", "wiring-2.svg", "wiring-3.svg", "wiring-mine.svg", "roof.svg"]
    there = [tmp_path / name for name in names]
    written = [tmp_path / "wiring.svg", tmp_path / "wiring-2.svg"]
    assert left_over(there, written) == ["wiring-3.svg"]


# -- pictures


def _dark(page, at):
    """Whether a picture is dark at a place."""
    image = Image.open(io.BytesIO(png_bytes(page))).convert("L")
    return image.getpixel(tuple(round(v * DOTS_PER_MM) for v in at)) < 128


def test_a_picture_has_the_size_of_its_page():
    """Six dots a millimetre."""
    image = Image.open(io.BytesIO(png_bytes(Page(100, 50))))
    assert image.size == (600, 300)


def test_a_picture_shows_a_line_where_it_was_laid():
    """Solid all along, dashed with gaps at the places that the look states."""
    page = Page(100, 50)
    page.lines.append(Stroke(((10, 10), (90, 10)), "+"))
    page.wires.append(
        Wire(
            cut="W1", circuit="x", core=0, cores=1, ends=("a", "b"),
            points=((10, 20), (90, 20)), look="-",
        )
    )  # fmt: skip
    assert _dark(page, (50, 10))
    assert not _dark(page, (50, 15))
    assert _dark(page, (10 + 1.1, 20))
    assert not _dark(page, (10 + 2.2 + 0.55, 20))
    assert _dark(page, (10 + 3.3 + 1.1, 20))


@pytest.mark.parametrize("text", ["W12 2×2.5 mm²", "Küche, Ångström", "電灯"])
def test_a_text_stays_in_its_box_in_a_picture(text):
    """Letters that the face at hand does not have change no box either."""
    page = Page(100, 50)
    page.texts.append(Text(at=(20, 20), text=text, size_mm=4.0, bold=True))
    image = (
        Image.open(io.BytesIO(png_bytes(page))).convert("L").point(lambda v: v < 200 and 255)
    )
    left, top, right, bottom = (v / DOTS_PER_MM for v in image.getbbox())
    box = page.texts[0].box
    assert left >= box.left_mm - 0.3
    assert right <= box.right_mm + 0.3
    # A capital's accent may reach into the space between lines.
    assert top >= box.top_mm - 0.2 * 4.0
    assert bottom <= box.bottom_mm + 0.5


def test_whole_inches_stay_whole():
    """12954 mm are exactly 510 in; a hair more is rounded up, so that no piece is too short."""
    assert inches_up(12954) == 510
    assert inches_up(12955) == 510.1
    assert inches_up(25) == 1.0
