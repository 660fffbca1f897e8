"""The wiring diagram: nothing over anything, everything once, every label the cut list's."""

from __future__ import annotations

import dataclasses
import itertools
import time
from dataclasses import replace
from pathlib import Path

import pytest

from bom.drawings.lettering import shortened, width_mm, wrap
from bom.drawings.sheet import LINES
from bom.drawings.symbols import HALF_WIDTHS_MM, HEIGHTS_MM, MEANINGS, symbol
from bom.drawings.wiring import wiring_pages
from bom.needs_file import read_needs
from bom.parts import read_chosen
from solver.kit import solve_kit
from solver.records import Cut, End
from tests.bom import drawn
from tests.bom.wide_design import wide_design
from tests.oracle import larger_design, small_design
from tests.oracle.small_jobs import small_job

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
SMALL_SEEDS = (0, 5, 12, 14, 16, 31)
"""Quick jobs that have a kit; among them two strings, series links, chargers, a block."""
WIDE_SEEDS = range(20)


def _only_rows(pages):
    """Things that found no place between the bars."""
    return [s.id for page in pages for s in page.symbols if s.kind == "end"]


def _whole(design, needs):
    assert drawn.faults(design, needs) == []
    assert _only_rows(wiring_pages(design, needs)) == []


@pytest.mark.parametrize("by_hand", [small_design, larger_design], ids=["small", "larger"])
def test_a_design_made_by_hand_is_drawn_whole(by_hand):
    """Two strings, a branch pair, both kinds of charger, a load straight from the bars."""
    _whole(by_hand.design(), by_hand.needs())


@pytest.mark.parametrize("seed", SMALL_SEEDS)
def test_a_random_kit_is_drawn_whole(seed):
    """What the optimizer finds can be drawn, however small its parts' names and sizes."""
    needs, stock = small_job(seed)
    design = solve_kit(needs, stock).design
    assert design is not None
    _whole(design, needs)


@pytest.mark.parametrize("seed", WIDE_SEEDS)
def test_a_design_of_any_size_is_drawn_whole(seed):
    """Long strings, many loads, names of 200 characters: more pages, and still no overlap."""
    _whole(*wide_design(seed))


@pytest.mark.slow
@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_the_kit_of_an_example_is_drawn_whole(file):
    """The shipped examples with the shipped catalog, as a person gets them."""
    stock = read_chosen(None)
    needs = read_needs(file, stock)
    design = solve_kit(needs, stock, limit_s=20, clock=time.monotonic).design
    assert design is not None
    _whole(design, needs)


def test_a_van_has_one_page_and_a_large_design_several():
    """Pages are added only where one would be too dense."""
    assert len(wiring_pages(larger_design.design(), larger_design.needs())) == 1
    numbers = [len(wiring_pages(*wide_design(seed))) for seed in (5, 9)]
    assert min(numbers) > 1


def test_a_bar_that_goes_on_is_named_on_both_pages():
    """Who follows a bar off the page finds it on the page named, which names the way back."""
    pages = wiring_pages(*wide_design(5))
    leads = {
        (n, text.page)
        for n, page in enumerate(pages, 1)
        for text in page.texts
        if text.page and text.text.startswith(("busbar", "FB"))
    }
    assert leads
    assert {(b, a) for a, b in leads} == leads


# -- what has no place between the bars


def _with_circuit(design, circuit, *cuts):
    return replace(design, circuits=(*design.circuits, circuit), cuts=(*design.cuts, *cuts))


def test_a_circuit_of_a_new_kind_is_still_drawn():
    """A bond that hangs on no bar becomes a row of its own; nothing is left out."""
    design = larger_design.design()
    bond = replace(
        design.circuits[0], name="bond", kind="bond", from_="busbar-neg", to="chassis"
    )
    ends = (
        End(at="busbar-neg:9", pole="", stud=None, termination=None),
        End(at="chassis", pole="", stud=None, termination=None),
    )
    cut = Cut(label="B1", cable="red-6", length_mm=900, circuit="bond", piece_of="", ends=ends)
    added = _with_circuit(design, bond, cut)
    assert drawn.faults(added, larger_design.needs()) == []
    assert sorted(_only_rows(wiring_pages(added, larger_design.needs()))) == [
        "busbar-neg",
        "chassis",
    ]


def test_a_thing_put_into_a_line_is_met_on_the_way():
    """A second fuse in the inverter's positive is drawn where the cut list puts it."""
    design = larger_design.design()
    second = replace(design.protections[2], id="F20")
    (whole,) = (c for c in design.cuts if c.label == "W7")
    one, other = whole.ends
    mid = replace(one, at="F20")
    cuts = [c for c in design.cuts if c.label != "W7"]
    cuts += [
        replace(whole, label="X1", ends=(one, mid)),
        replace(whole, label="X2", ends=(mid, other)),
    ]
    longer = replace(design, protections=(*design.protections, second), cuts=tuple(cuts))
    _whole(longer, larger_design.needs())


def test_a_line_that_finds_no_room_is_told_by_rows():
    """Twelve fuses one behind the other fit on no page: a row each, and no answer is lost."""
    design = larger_design.design()
    (whole,) = (c for c in design.cuts if c.label == "W7")
    fuses = [replace(design.protections[2], id=f"F{n}") for n in range(20, 32)]
    ends = [whole.ends[0], *(replace(whole.ends[0], at=f.id) for f in fuses), whole.ends[1]]
    pieces = [
        replace(whole, label=f"X{n}", ends=pair)
        for n, pair in enumerate(itertools.pairwise(ends))
    ]
    longer = replace(
        design,
        protections=(*design.protections, *fuses),
        cuts=(*(c for c in design.cuts if c is not whole), *pieces),
    )
    assert drawn.faults(longer, larger_design.needs()) == []
    assert "F31" in _only_rows(wiring_pages(longer, larger_design.needs()))


# -- that the measure finds what is wrong


def _moved(page, of, to):
    page.texts[of] = dataclasses.replace(page.texts[of], at=page.texts[to].at)


def _text_over_text(page):
    _moved(page, 0, 5)


def _text_over_symbol(page):
    box = next(s.box for s in page.symbols if s.kind == "inverter")
    page.texts[0] = dataclasses.replace(page.texts[0], at=(box.left_mm + 1, box.top_mm + 5))


def _text_over_wire(page):
    x, y = page.wires[0].points[-1]
    page.texts[0] = dataclasses.replace(page.texts[0], at=(x - 1, y - 4))


def _outside(page):
    page.texts[0] = dataclasses.replace(page.texts[0], at=(page.width_mm - 10, 50))


def _wire_left_out(page):
    page.wires.pop()


def _wire_twice(page):
    page.wires.append(page.wires[-1])


def _wire_cut_short(page):
    wire = page.wires[3]
    (x, y), *rest = wire.points
    page.wires[3] = dataclasses.replace(wire, points=((x, y + 1), *rest))


def _other_label(page):
    n = next(n for n, t in enumerate(page.texts) if t.cut)
    page.texts[n] = dataclasses.replace(page.texts[n], text="W99")


def _other_length(page):
    n = next(n for n, t in enumerate(page.texts) if t.text.endswith(" mm"))
    page.texts[n] = dataclasses.replace(page.texts[n], text="1 mm")


def _symbol_left_out(page):
    page.symbols.pop(next(n for n, s in enumerate(page.symbols) if s.id == "F1"))


@pytest.mark.parametrize(
    "spoil",
    [
        _text_over_text, _text_over_symbol, _text_over_wire, _outside, _wire_left_out,
        _wire_twice, _wire_cut_short, _other_label, _other_length, _symbol_left_out,
    ],
    ids=lambda f: f.__name__.strip("_"),
)  # fmt: skip
def test_the_measure_finds_a_planted_fault(spoil, monkeypatch):
    """Without this, the tests above could not fail."""
    design, needs = larger_design.design(), larger_design.needs()
    (page,) = wiring_pages(design, needs)
    spoil(page)
    monkeypatch.setattr(drawn, "wiring_pages", lambda *_: [page])
    assert drawn.faults(design, needs) != []


# -- signs and letters


@pytest.mark.parametrize("kind", HEIGHTS_MM)
def test_a_symbol_lies_within_its_box_and_touches_its_terminals(kind):
    """What is measured is what is drawn; a line that ends at the box ends at the symbol."""
    made = symbol(kind, "x", (50, 50))
    points = [p for s in made.strokes for p in s.points]
    points += [
        (c.at[0] + dx * c.radius_mm, c.at[1] + dy * c.radius_mm)
        for c in made.circles
        for dx, dy in itertools.product((-1, 1), repeat=2)
    ]
    near = 1e-6
    for x, y in points:
        assert made.box.left_mm - near <= x <= made.box.right_mm + near
        assert made.box.top_mm - near <= y <= made.box.bottom_mm + near
    assert min(y for _, y in points) == 50


def test_the_legend_explains_every_sign_of_its_page():
    """Nobody has to guess what a sign means."""
    for page in wiring_pages(*wide_design(5)):
        told = " ".join(t.text for t in page.texts)
        signs = [MEANINGS[k] for k in {s.kind for s in page.symbols} & set(MEANINGS)]
        signs += [LINES[look] for look in {w.look for w in page.wires}]
        assert signs
        assert [sign for sign in signs if sign not in told] == []
    assert set(HEIGHTS_MM) == set(HALF_WIDTHS_MM) == set(MEANINGS)


def test_every_page_has_the_cautions():
    """A page that is torn off still says what burns and kills."""
    for page in wiring_pages(*wide_design(5)):
        told = " ".join(t.text for t in page.texts)
        assert "Panels are live in daylight" in told
        assert "a licensed electrician" in told


def test_the_ac_side_is_left_to_a_licensed_person_where_it_arises():
    """Beside the inverter's outlet and beside the inlet, not only among the cautions."""
    (page,) = wiring_pages(larger_design.design(), larger_design.needs())
    told = " ".join(t.text for t in page.texts)
    assert "AC side: a licensed electrician's work" in told
    assert "shore inlet outside this kit a licensed electrician's work" in told


def test_lines_are_no_wider_than_asked_and_nothing_is_lost():
    """A long word is broken, a short line is filled."""
    text = "fuse-blade-high-current-40 of the galley " + "x" * 60
    lines = wrap(text, 14, 2.3)
    assert all(width_mm(line, 2.3) <= 14 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert wrap("", 14, 2.3) == []
    assert len(shortened(lines, 2)) == 2
    assert shortened(lines, 2)[-1].endswith("...")
