"""Combiners, in which strings meet: brute force, the checker's faults, the second walk."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from solver import string_fuses
from solver.check_combiners import check_combiners
from solver.check_ends import check_branches
from solver.check_sheet import Sheet
from solver.check_string_fuses import check_string_fuses
from solver.check_survey import Survey
from solver.combiner_reasons import combiner_reasons, notes_of_poles
from solver.fittings import COMBINER, Fitting, notes_of
from solver.kit import solve_kit
from solver.market import market
from solver.parts import Combiner, Controller
from solver.records import Combiner as Box
from solver.records import Design, Extra
from solver.stock import Stock
from solver.wiring import shelf
from tests.oracle import larger_design as larger
from tests.oracle.small_jobs import boxed_job, stringed_job
from tests.oracle.test_string_fuses import four_strings, right

BOXED = {58: (3, 6), 72: (3, 0), 99: (8, 16)}
"""Jobs with so many strings in combiners, and so many fuses in these."""


@pytest.mark.parametrize("seed", [72, 99, pytest.param(58, marks=pytest.mark.slow)])
def test_more_than_two_strings_meet_in_a_combiner(seed):
    """The cheapest kit as by brute force; its fuses sit in the combiner, which the bill counts."""
    answer = right(*boxed_job(seed))
    design = answer.design
    boxed = [a for a in design.arrays if a.combiner is not None]
    strings, fuses = BOXED[seed]
    assert sum(a.parallel for a in boxed) == strings
    assert sum(len(a.all_fuses) for a in boxed) == fuses
    inside = {f for a in boxed for f in a.all_fuses}
    assert {p.holder for p in design.protections if p.id in inside} <= {None}
    for box in design.combiners:
        assert any(x.part == box.part and x.need >= 1 for x in answer.lines)


def test_two_strings_meet_in_a_branch_pair():
    """A combiner joins more of them alone, however cheap it is."""
    arrays = right(*boxed_job(75)).design.arrays
    assert max(a.parallel for a in arrays) == 2
    assert not any(a.combiner for a in arrays)


def test_a_combiner_is_a_rule_of_the_programme(monkeypatch):
    """Without it branch pairs join three strings more cheaply, and the checker says so."""
    needs, stock = boxed_job(72)
    boxed = solve_kit(needs, stock)
    monkeypatch.setattr(string_fuses, "MOST_BRANCHED", 4)
    bare = solve_kit(needs, stock)
    assert bare.total < boxed.total
    assert "a combiner for more than two strings" in {c.rule for c in bare.checks if not c.ok}


def test_a_catalog_without_combiners_is_told_of():
    """Three strings meet in branch pairs then, and a note says so; of two it says nothing."""
    said = [COMBINER.unknown in notes_of(solve_kit(*stringed_job(s)).design) for s in (72, 58)]
    assert said == [True, False]
    assert isinstance(COMBINER, Fitting)


# --- faults -----------------------------------------------------------------------------------

Change = Callable[[Design], Design]


def boxed() -> Design:
    """Four fused strings in a combiner: 29 A by design, 1.25 times 4 times 5.8 A."""
    made = four_strings()
    part = Combiner(
        part="box-4", name="combiner", kg=2, length_mm=280, width_mm=190, height_mm=130, ways=4,
        rated_a=40, way_a=15, max_v=600, fused_poles=2, fuse_kind="IEC 60269-6 gPV 10x38",
        ip="IP65", min_c=-25, max_c=70,
    )  # fmt: skip
    (array,) = made.arrays
    fuses = set(array.all_fuses)
    box = Box(id="combiner-1", part="box-4", place="roof")
    branch = {e.part for e in made.extras if e.of.startswith("array")}
    extras = [e for e in made.extras if e.part not in branch]
    home = next(c.name for c in made.circuits if c.kind == "array")
    return replace(
        made,
        arrays=(replace(array, combiner=box),),
        protections=tuple(
            replace(p, holder=None) if p.id in fuses else p for p in made.protections
        ),
        extras=(*extras, Extra(part="box-4", of=home, quantity=1)),
        parts={**made.parts, "box-4": part},
        without=tuple(x for x in made.without if x != COMBINER.name),
    )


def failed(made: Design, **roof: bool) -> set[str]:
    """Rules about strings and what they meet in that a design breaks."""
    sheet, needs = Sheet(), larger.needs()
    places = tuple(replace(p, **roof) if p.name == "roof" else p for p in needs.places)
    survey = Survey(replace(needs, places=places), made)
    for section in (check_combiners, check_branches, check_string_fuses):
        section(sheet, survey)
    return {row.rule for row in sheet.rows if not row.ok}


def of_box(**values: object) -> Change:
    """Another combiner of that name."""

    def change(made: Design) -> Design:
        worse = replace(made.parts["box-4"], **values)  # type: ignore[arg-type]
        return replace(made, parts={**made.parts, "box-4": worse})

    return change


def of_array(**values: object) -> Change:
    """Another array."""
    return lambda made: replace(
        made,
        arrays=tuple(replace(a, **values) for a in made.arrays),  # type: ignore[arg-type]
    )


def counted(n: int) -> Change:
    """So many combiners among the extras."""
    return lambda made: replace(
        made,
        extras=tuple(replace(e, quantity=n) if e.part == "box-4" else e for e in made.extras),
    )


def holders(made: Design) -> Design:
    """The fuses in the combiner have in-line holders beside that."""
    inside = set(made.arrays[0].all_fuses)
    return replace(
        made,
        protections=tuple(
            replace(p, holder="pv-holder") if p.id in inside else p for p in made.protections
        ),
    )


FAULTS: dict[str, tuple[Change, str]] = {
    "strings in nothing": (of_array(combiner=None), "a combiner for more than two strings"),
    "a combiner that is not counted": (counted(0), "a combiner for more than two strings"),
    "two for one array": (counted(2), "a combiner for more than two strings"),
    "a combiner that is another's": (
        of_array(combiner=Box(id="combiner-1", part="main-30", place="roof")),
        "a combiner for more than two strings",
    ),
    "a combiner for two strings": (
        of_array(series=2, parallel=2, fuses=(), negative_fuses=()),
        "a combiner for more than two strings",
    ),
    "an id that a fuse has": (
        of_array(combiner=Box(id="S1", part="box-4", place="roof")), "an id of its own",
    ),
    "three ways for four strings": (of_box(ways=3), "combiner has a way for each string"),
    "an output too weak": (of_box(rated_a=28), "combiner carries the array"),
    "ways too weak for their fuses": (of_box(way_a=10), "combiner's ways carry their strings"),
    "too low a voltage": (of_box(max_v=20), "combiner's voltage"),
    "holders in one pole alone": (
        of_box(fused_poles=1), "combiner has holders in the poles with fuses",
    ),
    "no holders": (of_box(fused_poles=0), "combiner has holders in the poles with fuses"),
    "holders for other fuses": (
        of_box(fuse_kind="ISO 8820-3 medium blade"), "combiner takes fuses of strings",
    ),
    "far from its panels": (
        of_array(combiner=Box(id="combiner-1", part="box-4", place="board")),
        "combiner lies by its panels",
    ),
    "a box that the frost breaks": (of_box(min_c=10), "combiner bears its place's climate"),
    "holders beside the combiner's": (holders, "string fuse's holder"),
}  # fmt: skip


def test_four_strings_in_a_combiner_are_right():
    """The design that faults are planted in has none."""
    assert failed(boxed()) == set()


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_named(name):
    """Each is named by its rule."""
    change, rule = FAULTS[name]
    assert rule in failed(change(boxed()))


@pytest.mark.parametrize("key", ["wet", "ground"])
@pytest.mark.parametrize(("ip", "broken"), [("IP65", False), ("IP20", True), (None, True)])
def test_a_combiner_in_the_wet_stands_splashing(ip, broken, key):
    """IEC 60529: a second numeral of 4 or more, from memory; it rains on the ground, too."""
    found = failed(of_box(ip=ip)(boxed()), **{key: True})
    assert found == ({"combiner stands in the wet"} if broken else set())


def test_branch_pairs_beside_a_combiner_are_one_thing_too_many():
    """What meets in a combiner needs no branch pair."""
    made = boxed()
    home = next(c.name for c in made.circuits if c.kind == "array")
    more = replace(made, extras=(*made.extras, Extra(part="pv-branch", of=home, quantity=3)))
    assert failed(more) == {"a branch pair for each further string"}


def test_a_catalog_whose_combiners_suit_no_strings_is_told_of():
    """With fuses in one pole alone where both ask for one: IEC 62548, from memory; not under NEC."""
    needs, stock = boxed_job(99)
    others = [
        p
        if not isinstance(p, Controller)
        else replace(p, common_pole="none")
        for p in stock.parts
        if not isinstance(p, Combiner)
    ]  # fmt: skip
    box = replace(
        boxed().parts["box-4"], part="box-0", rated_a=500.0, way_a=200.0, max_v=3000.0,
        min_c=None, max_c=None,
    )  # fmt: skip

    def told(*poles: int, practice: str = "iso") -> list[str]:
        asked = replace(needs, rules=replace(needs.rules, practice=practice))
        boxes = [
            replace(box, part=f"box-{n}", fused_poles=n, fuse_kind=box.fuse_kind if n else None)
            for n in poles
        ]
        offers = [o for o in stock.offers if not o.part.startswith("box-")]
        offers += [replace(offers[0], part=b.part) for b in boxes]
        sold = Stock.of([*others, *boxes], stock.suppliers, offers)
        return [
            r.message + r.change
            for r in combiner_reasons(asked, shelf(asked, market(asked, sold)))
        ]

    assert told() == told(0, 2) == told(0, 1, practice="nec") == []
    lacking = told(0, 1)
    assert lacking
    assert all("in both poles" in x and "fused_poles 2" in x for x in lacking)


def test_a_negative_taken_for_shared_is_told_of():
    """Fuses in the positive alone hang on the controller; in both poles, and under NEC, on nothing."""
    made, needs = boxed(), larger.needs()
    (array,) = made.arrays
    bare = replace(made, arrays=(replace(array, negative_fuses=()),))
    iso, nec = (replace(needs, rules=replace(needs.rules, practice=x)) for x in ("iso", "nec"))
    (note,) = notes_of_poles(iso, bare)
    assert array.controller in note
    assert notes_of_poles(iso, made) == notes_of_poles(nec, bare) == ()
