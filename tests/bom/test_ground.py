"""Panels on the ground as a person states them, and what the answer's papers say of them."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from bom.cautions import cautions_for
from bom.drawings.files import fit_of
from bom.drawings.wiring import wiring_pages
from bom.needs_file import read_needs
from bom.result_json import notes_of
from bom.sheets import holes as holes_sheet
from bom.sheets.page import Kit
from bom.summary import chosen
from bom.tasks_file import read_tasks
from solver.commissioning import expected
from solver.errors import BadNeeds
from solver.ground import notes_of_ground
from solver.kit import solve_kit
from solver.needs import GROUND_MM
from solver.work_order import asked
from tests.bom import drawn, plates
from tests.bom.small_needs import STOCK, TEXT
from tests.oracle.small_jobs import small_job
from tests.oracle.test_ground import design, kit, stock

GROUND = """
[[place]]
name = "grass"
ground = true

[[leg]]
from = "grass"
to = "locker"
length_m = 6
"""


def read(folder, text):
    """The needs that a text states."""
    path = folder / "needs.toml"
    path.write_text(text, encoding="utf-8")
    return read_needs(path, STOCK)


def problems(folder, text):
    """What is wrong with it."""
    with pytest.raises(BadNeeds) as refused:
        read(folder, text)
    return [p.replace(str(folder) + "/", "") for p in refused.value.problems]


# --- needs --------------------------------------------------------------------------------------


def test_ground_states_no_size_of_its_own(tmp_path):
    """It is ten metres each way then, and holds panels alone."""
    grass = read(tmp_path, TEXT + GROUND).place("grass")
    assert (grass.length_mm, grass.width_mm) == (GROUND_MM, GROUND_MM)
    assert grass.may_hold("panel")
    assert not grass.may_hold("battery")
    assert not grass.may_hold("pv_inlet")


def test_a_stated_patch_is_a_limit(tmp_path):
    """One side stated: the other is as large as ever."""
    text = TEXT + GROUND.replace("ground = true", "ground = true\nlength_mm = 3000")
    grass = read(tmp_path, text).place("grass")
    assert (grass.length_mm, grass.width_mm) == (3000.0, GROUND_MM)


def test_any_other_place_still_needs_its_size(tmp_path):
    """What is not ground must be measured."""
    told = problems(tmp_path, TEXT + GROUND.replace("ground = true", "ground = false"))
    assert [x for x in told if "length_mm: missing" in x]


ONE_FAULT = {
    "something else on it": (
        ("ground = true", 'ground = true\nholds = ["panel", "battery"]'),
        ['"grass"', "holds", "panel, battery", "panels alone"],
    ),
    "a hole on the lead": (
        ("length_m = 6", 'length_m = 6\nhole = "skirt"'),
        ["[[leg]] number 3", "hole", '"skirt"', "its own opening"],
    ),
    "a conduit on the lead": (
        ("length_m = 6", 'length_m = 6\nconduit = "pipe"'), ["conduit", '"pipe"', "outside"],
    ),
    "two leads": (
        ("length_m = 6", 'length_m = 6\n\n[[leg]]\nfrom = "room"\nto = "grass"\nlength_m = 3'),
        ["[[leg]] number 4", "to", "one leg", "another ground place"],
    ),
    "a wall that may hold no inlet": (
        ('to = "locker"', 'to = "roof"'), ["to", '"roof"', "may not hold a pv_inlet"],
    ),
    "no truth": (("ground = true", 'ground = "here"'), ["ground", '"here"', "true or false"]),
}  # fmt: skip


@pytest.mark.parametrize("name", ONE_FAULT)
def test_a_fault_is_told(tmp_path, name):
    """Where, what was found and what to do."""
    (old, new), words = ONE_FAULT[name]
    assert old in GROUND
    told = problems(tmp_path, TEXT + GROUND.replace(old, new))
    for word in words:
        assert word in told[0], told


IDLE = {
    "slope_deg": ("10", "tilt_deg"),
    "sheet_mm": ("1.5", "screwed"),
    "height_mm": ("400", "lid"),
    "sleeping": ("true", "outside"),
    "engine_space": ("true", "outside"),
}
"""Keys that change nothing of ground: a value, and a word of why."""


@pytest.mark.parametrize("key", IDLE)
def test_a_key_that_changes_nothing_of_ground_is_refused(tmp_path, key):
    """Who states it believes that it counts; `false` says nothing wrong and is taken."""
    value, why = IDLE[key]
    stated = GROUND.replace("ground = true", f"ground = true\n{key} = {value}")
    (told,) = problems(tmp_path, TEXT + stated)
    for word in ("[[place]]", '"grass"', key, f"found {value}", why, "leave it away"):
        assert word in told
    if value == "true":
        read(tmp_path, TEXT + stated.replace(f"{key} = true", f"{key} = false"))


def test_ground_without_a_lead(tmp_path):
    """The leg that is missing is described."""
    told = problems(tmp_path, TEXT + GROUND.partition("[[leg]]")[0])
    assert len(told) == 1
    assert "the inlet in the wall" in told[0]


def test_a_load_on_the_ground(tmp_path):
    """Panels alone stand there."""
    told = problems(tmp_path, TEXT.replace('place = "room"', 'place = "grass"', 1) + GROUND)
    assert "panels alone" in told[0]
    assert "[[load]] number 1" in told[0]


def test_two_grounds_cannot_lead_to_each_other(tmp_path):
    """A lead ends in a wall."""
    other = GROUND.replace("grass", "sand").replace("locker", "grass")
    told = problems(tmp_path, TEXT + GROUND + other)
    assert [x for x in told if "is ground too" in x]


# --- papers -------------------------------------------------------------------------------------


def test_lead_and_inlet_are_drawn_in_both_poles():
    """The wiring diagram is whole, and the cup of each pole is on the side of the panels."""
    needs, _ = kit()
    assert drawn.faults(design(), needs) == []
    (page,) = wiring_pages(design(), needs)
    assert [s.id for s in page.symbols if s.kind == "end"] == []
    poles = [s for s in page.symbols if s.kind == "plug and socket"]
    assert [s.id for s in poles] == ["inlet-1", "inlet-1"]
    plus, minus = sorted(poles, key=lambda s: s.box.top_mm)
    cups = [max(s.strokes, key=lambda x: len(x.points)).points[0][1] for s in (plus, minus)]
    assert cups[0] - plus.box.top_mm == pytest.approx(minus.box.bottom_mm - cups[1])


def test_places_holes_and_routes_are_drawn():
    """The opening is on the hole schedule, the lead on the route plan; nothing overlaps."""
    needs, result = kit()
    pages = fit_of(result, needs)
    assert [fault for _, page in pages for fault in plates.faults(page)] == []
    texts = {name: " ".join(t.text for t in page.texts) for name, page in pages}
    holes = " ".join(text for name, text in texts.items() if name.startswith("holes"))
    routes = " ".join(text for name, text in texts.items() if name.startswith("routes"))
    assert "opening of inlet-1 grass to side wall; side wall to chest" in holes
    assert "saw Ø46" in holes
    assert "middle of the flange assumed: check the inlet" in holes
    assert "flexible lead outside, H2 opening of inlet-1 (saw Ø46)" in routes


def test_the_wall_shows_the_inlets_opening_with_two_dimensions():
    """A ring in the middle of the flange, as wide as is sawn, from two edges of the face."""
    needs, result = kit()
    (page,) = [p for _, p in fit_of(result, needs) if p.title == "Place: side wall"]
    told = [t.text for t in page.texts]
    (scale,) = {int(x) for t in told for x in re.findall(r"scale 1:(\d+) on A4", t)}
    (edge,) = [line for line in page.lines if line.look == "bold"]
    left, bottom = min(x for x, _ in edge.points), max(y for _, y in edge.points)
    inlet = next(d for d in design().devices if d.id == "inlet-1")
    across = (inlet.x_mm + inlet.part.length_mm / 2, inlet.y_mm + inlet.part.width_mm / 2)
    (ring,) = [s for s in page.symbols if s.kind == "entry"]
    (circle,) = ring.circles
    assert circle.radius_mm * 2 * scale == pytest.approx(inlet.part.cutout_mm)
    assert (circle.at[0] - left) * scale == pytest.approx(across[0])
    assert (bottom - circle.at[1]) * scale == pytest.approx(across[1])
    assert "H2 Ø46" in told
    (mark,) = [
        t for t in told if t.startswith("at x 115, y 115: saw Ø46 (middle of the flange")
    ]
    assert "check the inlet): opening of inlet-1" in mark
    for mm in across:
        assert f"H2: {mm:g}" in told
    assert "1  inlet-1" in told
    # Lead and inside run come by the inlet: nothing is left to be set on the spot.
    assert not [t for t in told if "set on the spot" in t or t == "E1"]


def test_the_ground_has_no_hole_and_no_arrow():
    """Its lead is told in the table alone."""
    needs, result = kit()
    (page,) = [p for _, p in fit_of(result, needs) if p.title == "Place: grass"]
    told = [t.text for t in page.texts]
    assert "lead to side wall, 6 m: W1, W2" in told
    assert not [t for t in told if "set on the spot" in t]
    assert not [line for line in page.lines if line.filled]


def test_the_work_order_lets_the_inlet_in_and_fastens_no_panel():
    """Tasks of roofs go, those of inlet and lead come; on a roof it is the other way about."""
    tasks = read_tasks(None, set()).tasks
    here = {t.name: t for t in asked(tasks, design())}
    assert {"inlet", "panels out"} <= set(here)
    assert not {"roof mounts", "panels up"} & set(here)
    assert "panels out" in here["switch on"].after

    roofed = solve_kit(*small_job(0)).design
    there = {t.name for t in asked(tasks, roofed)}
    assert {"roof mounts", "panels up"} <= there
    assert not {"inlet", "panels out"} & there


def first_switch_on():
    """The tests of the kit, in the order in which they are made."""
    needs, result = kit()
    return expected(needs, design(), result.energy)


def test_the_sign_is_measured_before_the_lead_is_plugged_in():
    """First the lead's sign, then its voltage; nothing of it is plugged in yet."""
    tests = [r.test for r in first_switch_on()]
    sign = next(n for n, t in enumerate(tests) if t.startswith("sign at the lead"))
    volts = next(n for n, t in enumerate(tests) if t.startswith("each string open"))
    assert sign < volts


def test_dead_pins_are_proven_where_something_could_feed_them():
    """Before the bank is on they are dead of themselves, which would prove nothing.

    Two pins measured to each other alone may both stand at the bank's plus.
    """
    rows = first_switch_on()
    tests = [r.test for r in rows]
    (pins,) = [n for n, t in enumerate(tests) if t.startswith("pins of the inlet")]
    assert rows[pins].subject == "inlet-1"
    assert tests.index("battery switch on") < pins
    assert pins < next(n for n, t in enumerate(tests) if t.startswith("array on"))
    assert "each pin measured to the other, and each to chassis" in tests[pins]


def test_the_lead_is_plugged_in_with_the_isolator_open():
    """Dead pins first, then open, plug, close; only then is the array on."""
    tests = [r.test for r in first_switch_on()]
    (plug,) = [n for n, t in enumerate(tests) if t.startswith("isolator open, then the lead")]
    assert tests[plug - 1].startswith("pins of the inlet")
    assert tests[plug + 1].startswith("array on")
    words = ("isolator open", "plugged in", "isolator closed")
    assert sorted(words, key=tests[plug].index) == list(words)


def test_cautions_notes_and_the_sheet_of_holes():
    """Wind, tripping, pulling under load; where they are stowed; the opening to saw."""
    needs, result = kit()
    assert "Panels on the ground" in {c.about for c in cautions_for(design())}
    assert any("stowed by hand" in note for note in result.notes)
    assert not [note for note in notes_of(result, needs) if note.startswith("The pitch of")]
    assert any("PV inlet" in text for _, text in chosen(design()))
    sheet = holes_sheet.rows(Kit(needs=needs, result=result, stock=stock()), 1)
    (row,) = [r for r in sheet if r.cells[1] == "opening of inlet-1"]
    assert row.cells[0] == "H2"
    assert row.cells[3] == "side wall: x 115, y 115"
    assert row.cells[4:6] == (1, 46)
    assert "middle of the flange assumed: check the inlet" in row.cells[-1]


def test_an_opening_is_told_no_wider_in_inches():
    """46 mm are 1.811 in: 1.82 would be wider than the inlet's maker says."""
    needs, result = kit()
    inches = replace(needs, job=replace(needs.job, units="imperial"))
    told = " ".join(t.text for _, page in fit_of(result, inches) for t in page.texts)
    assert "saw Ø1.81" in told
    assert "H2 Ø1.81" in told
    assert "1.82" not in told
    sheet = holes_sheet.rows(Kit(needs=inches, result=result, stock=stock()), 1)
    (row,) = [r for r in sheet if r.cells[1] == "opening of inlet-1"]
    assert row.cells[5] / 25.4 == pytest.approx(1.81)


def test_notes_of_frames_and_of_what_may_be_touched_dry():
    """Frames have no bond of the kit; 60 V DC is kept, a little more is told with its voltage."""

    def told(volts):
        arrays = tuple(replace(a, voc_cold_v=volts) for a in design().arrays)
        return notes_of_ground(replace(design(), arrays=arrays))

    assert [n for n in told(24.0) if "not bonded" in n]
    assert not [n for n in told(60.0) if "touched" in n]
    (high,) = [n for n in told(60.1) if "touched" in n]
    assert "60.1 V" in high
    assert "local code" in high
    roofed = solve_kit(*small_job(0)).design
    assert notes_of_ground(roofed) == ()
