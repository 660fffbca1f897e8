"""The wiring diagram: nothing over anything, everything once, every label the cut list's."""

from __future__ import annotations

import dataclasses
import itertools
import time
from dataclasses import replace
from pathlib import Path

import pytest

from bom.drawings.hole_schedule import hole_pages
from bom.drawings.lettering import shortened, width_mm, wrap
from bom.drawings.page import box_around
from bom.drawings.places import place_pages
from bom.drawings.route_plan import route_pages
from bom.drawings.sheet import LINES, STRIP_MM
from bom.drawings.symbols import HALF_WIDTHS_MM, HEIGHTS_MM, MEANINGS, symbol
from bom.drawings.wiring import wiring_pages
from bom.needs_file import read_needs
from bom.parts import read_chosen
from solver.fit import Item, Spot, overlaps
from solver.kit import solve_kit
from solver.records import Cut, End
from tests.bom import drawn, plates
from tests.bom.wide_design import wide_design
from tests.oracle import larger_design, small_design
from tests.oracle.small_jobs import fitted_job, small_job
from tests.oracle.test_combiners import boxed
from tests.oracle.test_string_fuses import four_strings

EXAMPLES = sorted((Path(__file__).resolve().parents[2] / "examples").glob("*.toml"))
SMALL_SEEDS = (0, 5, 12, 14, 16, 31)
"""Quick jobs that have a kit; among them two strings, series links, chargers, a block."""
FITTED_SEEDS = (4, 8, 11, 21)
"""Quick jobs whose kits have bonds, AC with sockets; an inlet, isolators, a comm cable."""
WIDE_SEEDS = range(20)
ALL_FITTED = 41
"""A wide design on one page with an isolator, AC breakers, sockets, inlet, bonds, links."""


def _only_rows(pages, apart=()):
    """Things that found no place between the bars, but for those that have none."""
    ends = [s.id for page in pages for s in page.symbols if s.kind == "end"]
    return [x for x in ends if x not in apart]


def _whole(design, needs):
    assert drawn.faults(design, needs) == []
    frames = {c.from_ for c in design.circuits if c.kind == "bond"}
    panels = {p for a in design.arrays for p in a.panels}
    # the bond of an array's frames is a row of its own: at the panels only the poles are drawn
    assert _only_rows(wiring_pages(design, needs), frames & panels) == []


@pytest.mark.parametrize("by_hand", [small_design, larger_design], ids=["small", "larger"])
def test_a_design_made_by_hand_is_drawn_whole(by_hand):
    """Two strings, a branch pair, both kinds of charger, a load straight from the bars."""
    _whole(by_hand.design(), by_hand.needs())


def test_each_string_is_drawn_with_its_fuse():
    """Four fuses stand over their strings, joined above; the array's text says which they are.

    Four more stand under them where the negatives have fuses.
    """
    made, needs = four_strings(), larger_design.needs()
    one_pole = replace(made, arrays=tuple(replace(a, negative_fuses=()) for a in made.arrays))
    for drawn_one, poles in ((one_pole, ("fuses",)), (made, ("fuses", "negative_fuses"))):
        left = {f for a in drawn_one.arrays for f in a.all_fuses}
        some = tuple(p for p in made.protections if p.part != "gpv-10" or p.id in left)
        told = replace(drawn_one, protections=some)
        _whole(told, needs)
        page = wiring_pages(told, needs)[0]
        panels = sorted(s.box.left_mm for s in page.symbols if s.kind == "panel")
        for pole in poles:
            ids = getattr(told.arrays[0], pole)
            fuses = sorted(s.box.left_mm for s in page.symbols if s.id in ids)
            assert len(fuses) == len(panels) == 4
            assert all(abs(a - b) < 16 for a, b in zip(fuses, panels, strict=True))
        assert any("gpv-10" in text.text for text in page.texts)


def test_a_combiner_is_drawn_about_what_meets_in_it():
    """One housing about each pole, over the fuses or the bare joints; its name once, its part."""
    needs, fused = larger_design.needs(), boxed()
    bare = replace(
        fused, arrays=tuple(replace(a, fuses=(), negative_fuses=()) for a in fused.arrays),
        protections=tuple(p for p in fused.protections if p.part != "gpv-10"),
    )  # fmt: skip
    for made in (fused, bare):
        _whole(made, needs)
        page = wiring_pages(made, needs)[0]
        assert sum(t.text == "combiner-1" for t in page.texts) == 1
        assert "combiner-1: box-4" in " ".join(t.text for t in page.texts)
        panels = [s.box for s in page.symbols if s.kind == "panel"]
        housings = [
            box_around(x.points) for x in page.lines if x.look == "outline" and x.closed
        ]
        about = [
            h for h in housings
            if h.bottom_mm < STRIP_MM
            and all(h.left_mm < (b.left_mm + b.right_mm) / 2 < h.right_mm for b in panels)
        ]  # fmt: skip
        assert len(about) == 2
        inside = [s.box for s in page.symbols if s.id in made.arrays[0].all_fuses]
        assert all(any(drawn.holds(h, b) for h in about) for b in inside)
        assert not any(b.overlaps(h) for b in panels for h in about)


@pytest.mark.parametrize("seed", SMALL_SEEDS)
def test_a_random_kit_is_drawn_whole(seed):
    """What the optimizer finds can be drawn, however small its parts' names and sizes."""
    needs, stock = small_job(seed)
    design = solve_kit(needs, stock).design
    assert design is not None
    _whole(design, needs)


@pytest.mark.parametrize("seed", FITTED_SEEDS)
def test_a_random_kit_with_fittings_is_drawn_whole(seed):
    """Isolators, AC breakers, sockets, inlets and bonds stand where the kit has them."""
    needs, stock = fitted_job(seed)
    design = solve_kit(needs, stock).design
    assert design is not None
    assert any(c.kind == "bond" for c in design.circuits)
    _whole(design, needs)


@pytest.mark.parametrize("seed", WIDE_SEEDS)
def test_a_design_of_any_size_is_drawn_whole(seed):
    """Long strings, many loads, names of 200 characters: more pages, and still no overlap."""
    _whole(*wide_design(seed))


@pytest.mark.slow
@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_the_kit_of_an_example_is_drawn_whole(file):
    """The shipped examples with the shipped catalog, as a person gets them; all of it stands."""
    stock = read_chosen(None)
    needs = read_needs(file, stock)
    design = solve_kit(needs, stock, limit_s=20, clock=time.monotonic).design
    assert design is not None
    _whole(design, needs)
    _stands(design, needs)


def _stands(design, needs):
    """Everything lies in its place, by a check that shares nothing with what placed it."""
    for place in needs.places:
        here = [d for d in design.devices if d.place == place.name]
        items = [Item(d.id, *d.part.face_mm, d.part.height_mm) for d in here]
        spots = [Spot(d.id, d.x_mm, d.y_mm, d.rotated) for d in here]
        assert overlaps(items, spots, place) == []
    pages = [
        *place_pages(needs, design),
        *hole_pages(needs, design),
        *route_pages(needs, design),
    ]
    assert [fault for page in pages for fault in plates.faults(page)] == []


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
    """A circuit that goes where no other goes becomes a row of its own; nothing is left out."""
    design = larger_design.design()
    screen = replace(
        design.circuits[0], name="screen", kind="screen", from_="busbar-neg", to="radio mast"
    )
    ends = (
        End(at="busbar-neg:9", pole="", stud=None, termination=None),
        End(at="radio mast", pole="", stud=None, termination=None),
    )
    cut = Cut(
        label="B1", cable="red-6", length_mm=900, circuit="screen", piece_of="", ends=ends
    )
    added = _with_circuit(design, screen, cut)
    assert drawn.faults(added, larger_design.needs()) == []
    assert sorted(_only_rows(wiring_pages(added, larger_design.needs()))) == [
        "busbar-neg",
        "radio mast",
    ]


def _with_earth(design, device):
    name = f"earth of {device}"
    bond = replace(
        design.circuits[0], name=name, kind="bond", from_=device, to="chassis", conductors=1
    )
    ends = (
        End(at=f"{device}:earth", pole="PE", stud=None, termination=None),
        End(at="chassis", pole="PE", stud=None, termination=None),
    )
    cut = Cut(label="B1", cable="red-6", length_mm=900, circuit=name, piece_of="", ends=ends)
    return _with_circuit(design, bond, cut)


def _with_fuses(design, label, number):
    """The same with so many more fuses in one conductor, one behind the other."""
    (whole,) = (c for c in design.cuts if c.label == label)
    fuses = [replace(design.protections[2], id=f"F{n}") for n in range(20, 20 + number)]
    ends = [whole.ends[0], *(replace(whole.ends[0], at=f.id) for f in fuses), whole.ends[1]]
    pieces = [
        replace(whole, label=f"X{n}", ends=pair)
        for n, pair in enumerate(itertools.pairwise(ends))
    ]
    return replace(
        design,
        protections=(*design.protections, *fuses),
        cuts=(*(c for c in design.cuts if c is not whole), *pieces),
    )


def test_the_earth_of_a_case_that_finds_no_room_is_told_by_a_row():
    """Two fuses in the negative leave no room for it; the row ends at an earth all the same."""
    design = _with_earth(larger_design.design(), "inverter-1")
    _whole(design, larger_design.needs())
    crowded = _with_fuses(design, "W8", 2)
    assert drawn.faults(crowded, larger_design.needs()) == []
    pages = wiring_pages(crowded, larger_design.needs())
    assert _only_rows(pages) == ["inverter-1"]
    assert sum(s.kind == "earth" for page in pages for s in page.symbols) == 1


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
    longer = _with_fuses(larger_design.design(), "W7", 12)
    assert drawn.faults(longer, larger_design.needs()) == []
    assert "F31" in _only_rows(wiring_pages(longer, larger_design.needs()))


# -- fittings


def _fitted_page():
    design, needs = wide_design(ALL_FITTED)
    (page,) = wiring_pages(design, needs)
    return design, page


def test_an_isolator_is_one_device_in_two_poles():
    """Who sees two symbols sees by their names and by the joint that he buys one device."""
    _, page = _fitted_page()
    poles = [s for s in page.symbols if s.kind == "isolator"]
    assert [s.id for s in poles] == ["isolator-1", "isolator-1"]
    told = [t.text for t in page.texts]
    assert told.count("isolator-1") == 2
    assert told.count("isolator-32") == 1
    assert [t for t in told if t.startswith("pole")] == ["pole 1 of 2", "pole 2 of 2"]
    joints = [x for x in page.lines if x.look == "joint" and len(x.points) == 4]
    assert sum(x.points[0][1] < drawn.STRIP_MM for x in joints) == 1


def test_an_ac_breaker_says_its_residual_current():
    """It has a symbol of its own, and both its figures beside it."""
    design, page = _fitted_page()
    breakers = [p.id for p in design.protections if p.part == "residual-10"]
    assert sorted(s.id for s in page.symbols if s.kind == "residual breaker") == breakers
    assert [t.text for t in page.texts].count("10 A, 30 mA") == len(breakers) > 0


def test_sockets_and_inlet_are_those_of_the_kit():
    """Each AC load with its sockets and their number; the inlet is no longer outside the kit."""
    design, page = _fitted_page()
    sockets = [x for x in design.extras if x.part == "socket-16"]
    assert len([s for s in page.symbols if s.kind == "socket"]) == len(sockets) > 0
    told = " ".join(t.text for t in page.texts)
    for x in sockets:
        many = "1 socket," if x.quantity == 1 else f"{x.quantity} sockets,"
        assert many in told
    assert "shore inlet 16 A inlet-16 a licensed electrician's work" in told
    assert "outside this kit" not in told


def test_a_bond_leaves_the_negative_bar_at_its_stud():
    """The stud's number stands at the bar where the bond is screwed on."""
    design, page = _fitted_page()
    (cut,) = (c for c in design.cuts if c.circuit == "bond")
    (wire,) = (w for w in page.wires if w.circuit == "bond")
    stud = cut.ends[0].at.removeprefix("busbar-neg:")
    under = next(t for t in page.texts if t.text == stud and t.at[1] > wire.points[0][1])
    middle = (under.box.left_mm + under.box.right_mm) / 2
    assert middle == pytest.approx(wire.points[0][0])


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


def _text_at_symbol(page):
    """Beside a symbol, over nothing, and yet so near that it reads as a part of it."""
    box = next(s.box for s in page.symbols if s.kind == "inverter")
    at = (box.right_mm + 0.1, box.bottom_mm - 0.3)
    page.texts[0] = dataclasses.replace(page.texts[0], at=at)


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


def _fault_found(pages, design, needs, monkeypatch):
    monkeypatch.setattr(drawn, "wiring_pages", lambda *_: pages)
    return drawn.faults(design, needs) != []


@pytest.mark.parametrize(
    "spoil",
    [
        _text_over_text, _text_over_symbol, _text_over_wire, _text_at_symbol, _outside,
        _wire_left_out, _wire_twice, _wire_cut_short, _other_label, _other_length, _symbol_left_out,
    ],
    ids=lambda f: f.__name__.strip("_"),
)  # fmt: skip
def test_the_measure_finds_a_planted_fault(spoil, monkeypatch):
    """Without this, the tests above could not fail."""
    design, needs = larger_design.design(), larger_design.needs()
    (page,) = wiring_pages(design, needs)
    spoil(page)
    assert _fault_found([page], design, needs, monkeypatch)


def _joint_through_a_line(page):
    n = next(n for n, x in enumerate(page.lines) if x.look == "joint")
    a, b, c, d = page.lines[n].points
    lane = a[0] + 60
    points = (a, (lane, b[1]), (lane, c[1]), d)
    page.lines[n] = dataclasses.replace(page.lines[n], points=points)


def _joint_to_nothing(page):
    n = next(n for n, x in enumerate(page.lines) if x.look == "joint")
    joint = page.lines[n]
    page.lines[n] = dataclasses.replace(joint, points=joint.points[:-1])


def _earth_as_negative(page):
    n = next(n for n, w in enumerate(page.wires) if w.look == "earth")
    page.wires[n] = dataclasses.replace(page.wires[n], look="-")


def _earth_left_out(page):
    page.symbols.pop(next(n for n, s in enumerate(page.symbols) if s.kind == "earth"))


def _comm_cable_not_told(page):
    page.texts.pop(next(n for n, t in enumerate(page.texts) if t.text.startswith("C2: ")))


def _comm_cable_elsewhere(page):
    page.texts.pop(next(n for n, t in enumerate(page.texts) if t.text.startswith("comm: ")))


@pytest.mark.parametrize(
    "spoil",
    [
        _joint_through_a_line, _joint_to_nothing, _earth_as_negative, _earth_left_out,
        _comm_cable_not_told, _comm_cable_elsewhere,
    ],
    ids=lambda f: f.__name__.strip("_"),
)  # fmt: skip
def test_the_measure_finds_a_fault_among_the_fittings(spoil, monkeypatch):
    """The same for joints, earths and comm cables."""
    design, needs = wide_design(ALL_FITTED)
    (page,) = wiring_pages(design, needs)
    spoil(page)
    assert _fault_found([page], design, needs, monkeypatch)


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


def test_pieces_that_nothing_protects_are_told_on_their_page():
    """Each with its label among the cautions; where all are protected there is no such line."""
    design, needs = larger_design.design(), larger_design.needs()
    labels = [cut.label for cut in design.cuts if len(cut.ends) == 2][:3]
    for bare in ([], labels):
        cuts = tuple(replace(cut, sheathed=cut.label in bare) for cut in design.cuts)
        (page,) = wiring_pages(replace(design, cuts=cuts), needs)
        told = " ".join(t.text for t in page.texts)
        assert (f"Nothing protects {', '.join(labels)} before their fuse" in told) == bool(bare)


def test_links_of_a_bank_look_like_neither_pole():
    """Between batteries in series a line is at a voltage of its own: not drawn as a negative."""
    needs, stock = small_job(14)
    design = solve_kit(needs, stock).design
    (page,) = wiring_pages(design, needs)
    batteries = set(design.bank.batteries)
    links = [w for w in page.wires if {end.split(":")[0] for end in w.ends} <= batteries]
    assert [w.look for w in links] == ["link"] * (design.bank.series - 1)
    assert links


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
