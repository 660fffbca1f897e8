"""Parallel strings with a fuse in each: brute force, the checker's faults, the second walk."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest

from bom.result_json import result_to_json
from solver import groups, string_fuses
from solver.check_sheet import Sheet
from solver.check_string_fuses import check_string_fuses
from solver.check_survey import Survey
from solver.fittings import is_string_fuse, is_string_holder
from solver.kit import solve_kit
from solver.parts import Cable, Connector, Controller, Fuse, Lug
from solver.records import Circuit, Design, Protection
from solver.stock import Offer, Stock
from solver.string_fuses import ALONE
from tests.oracle import larger_design as larger
from tests.oracle.brute_force import cheapest
from tests.oracle.second_walk import complaints
from tests.oracle.small_jobs import stringed_job

FUSED = {75: 3, 99: 8}
"""Jobs whose cheapest kit has so many strings with fuses."""

UNFUSED = (72, 88)
"""Jobs whose cheapest kit has three strings of panels that need none."""


def bonded_job(seed, pole):
    """A job with cable for a bond, whose controllers all share one pole with the bank.

    What fuses strings costs next to nothing there.
    """
    needs, stock = stringed_job(seed)
    parts = [
        replace(p, common_pole=pole) if isinstance(p, Controller) else p for p in stock.parts
    ]
    cable = next(p for p in parts if isinstance(p, Cable) and p.use == "battery")
    lug = next(p for p in parts if isinstance(p, Lug))
    new = [
        replace(
            cable,
            part="bond",
            colour="green-yellow",
            area_mm2=35.0,
            size="35 mm2",
            ohm_per_km_20c=0.554,
        ),
        *(replace(lug, part=f"bond-{m}", area_mm2=35.0, stud=m) for m in ("M6", "M8")),
    ]
    shop = stock.suppliers[0].supplier
    offers = [
        Offer(
            part=p.part,
            supplier=shop,
            unit="m" if p is new[0] else "each",
            pack=Decimal(1),
            from_quantity=1,
            price=Decimal(2),
        )
        for p in new
    ]
    fusing = {p.part for p in parts if is_string_fuse(p) or is_string_holder(p)}
    offers += [
        replace(o, price=Decimal("0.10")) if o.part in fusing else o for o in stock.offers
    ]
    return needs, Stock.of([*parts, *new], stock.suppliers, offers)


def right(needs, stock):
    """The kit of a job: brute force finds no cheaper, checker and second walk nothing wrong."""
    answer = walked(needs, stock)
    assert answer.total == cheapest(needs, stock).total
    return answer


def walked(needs, stock):
    """The kit of a job, with which neither the checker nor the second walk finds anything wrong."""
    answer = solve_kit(needs, stock)
    assert answer.status == "optimal"
    assert [c for c in answer.checks if not c.ok] == []
    document = json.loads(json.dumps(result_to_json(answer, needs)))
    assert complaints(document, {**stock.by_name, **answer.design.parts}, needs) == []
    return answer


@pytest.mark.parametrize("seed", FUSED)
def test_strings_that_could_harm_each_other_have_fuses(seed):
    """Every string has its own fuse in its own holder, and the bill a spare where asked for."""
    answer = right(*stringed_job(seed))
    needs = stringed_job(seed)[0]
    spare = int(needs.order.spares_pct > 0)
    fuses = [f for a in answer.design.arrays for f in a.all_fuses]
    # these catalogs know no cable for a bond, so no negative is joined to earth
    poles = 1 if needs.rules.practice == "nec" else 2
    assert len(fuses) == len(set(fuses)) == poles * FUSED[seed]
    guards = {p.id: p for p in answer.design.protections}
    for part in {guards[f].part for f in fuses}:
        needed = sum(guards[f].part == part for f in fuses)
        assert sum(x.need for x in answer.lines if x.part == part) == needed + spare
    held = [guards[f].holder for f in fuses]
    assert sum(x.need - x.spares for x in answer.lines if x.part in held) == len(held)


@pytest.mark.parametrize("seed", UNFUSED)
def test_small_panels_lie_in_three_strings_without_fuses(seed):
    """Where two strings together bring no more than a panel bears, the third needs no fuse."""
    arrays = right(*stringed_job(seed)).design.arrays
    assert max(a.parallel for a in arrays) == 3
    assert not any(a.all_fuses for a in arrays)


@pytest.mark.parametrize(
    ("pole", "poles"), [pytest.param("negative", 1, marks=pytest.mark.slow), ("positive", 2)]
)
def test_negatives_have_fuses_unless_joined_to_earth(pole, poles):
    """Where the kit bonds its negative bar, the controller decides whether the array's is free."""
    needs, stock = bonded_job(58, pole)
    answer = walked(needs, stock)
    (array,) = answer.design.arrays
    assert needs.rules.practice != "nec"
    assert len(array.fuses) == 3
    assert len(array.negative_fuses) == 3 * (poles - 1)


def test_the_poles_are_a_rule_of_the_programme(monkeypatch):
    """With fuses in one pole alone the programme gives a kit too cheap; the checker says so."""
    needs, stock = stringed_job(75)
    right_one = solve_kit(needs, stock)
    monkeypatch.setattr(string_fuses, "fused_poles", lambda *_: 1)
    bare = solve_kit(needs, stock)
    assert bare.total < right_one.total
    assert "a fuse in each negative that needs one" in {c.rule for c in bare.checks if not c.ok}


@pytest.mark.parametrize("seed", [pytest.param(58, marks=pytest.mark.slow), 99])
def test_fuses_are_a_rule_of_the_programme(seed, monkeypatch):
    """Without it the programme gives a kit that is too cheap to be right, and the checker says so."""
    needs, stock = stringed_job(seed)
    fused = solve_kit(needs, stock)
    monkeypatch.setattr(string_fuses, "need_fuses", lambda *_: False)
    bare = solve_kit(needs, stock)
    assert bare.total < fused.total
    assert "back-feed into a string without a fuse" in {c.rule for c in bare.checks if not c.ok}


# --- faults -----------------------------------------------------------------------------------

Change = Callable[[Design], Design]


def four_strings() -> Design:
    """The larger design's four panels as four strings: 21.75 A could come back, 15 A are allowed.

    NEC 690.8, 690.9; IEC 62548 for fuses of 8.7 to 13.92 A, in both poles, as nothing is bonded
    here; all from memory.
    """
    made = larger.design()
    fuse = Fuse(
        part="gpv-10", name="fuse", kg=0.01, kind="IEC 60269-6 gPV 10x38", rated_a=10,
        max_v=1000, breaking_ka=10, holder="rail",
    )  # fmt: skip
    holder = Connector(
        part="pv-holder", name="holder", kg=0.06, kind="fuse holder", area_from_mm2=2.5,
        area_to_mm2=6, rated_a=30, max_v=1000,
    )  # fmt: skip
    fuses = tuple(
        Protection(id=f"{pole}{n}", part="gpv-10", holder="pv-holder", place="roof", way=None)
        for pole in "SN"
        for n in (1, 2, 3, 4)
    )
    ids = tuple(f.id for f in fuses)
    arrays = tuple(
        replace(a, series=1, parallel=4, fuses=ids[:4], negative_fuses=ids[4:])
        for a in made.arrays
    )
    return replace(
        made,
        arrays=arrays,
        protections=(*made.protections, *fuses),
        parts={**made.parts, "gpv-10": fuse, "pv-holder": holder},
    )


def failed(made: Design, practice: str = "iso") -> set[str]:
    """Rules about strings that a design breaks."""
    sheet, needs = Sheet(), larger.needs()
    needs = replace(needs, rules=replace(needs.rules, practice=practice))
    check_string_fuses(sheet, Survey(needs, made))
    return {row.rule for row in sheet.rows if not row.ok}


def part(name: str, **values: object) -> Change:
    """Another part of that name."""

    def change(made: Design) -> Design:
        worse = replace(made.parts[name], **values)  # type: ignore[arg-type]
        return replace(made, parts={**made.parts, name: worse})

    return change


def of_array(**values: object) -> Change:
    """Another array."""
    return lambda made: replace(
        made,
        arrays=tuple(replace(a, **values) for a in made.arrays),  # type: ignore[arg-type]
    )


def of_fuse(**values: object) -> Change:
    """Another fuse in the first string."""
    return lambda made: replace(
        made,
        protections=tuple(
            replace(p, **values) if p.id == "S1" else p  # type: ignore[arg-type]
            for p in made.protections
        ),
    )


FAULTS: dict[str, tuple[Change, str]] = {
    "no fuses at all": (
        of_array(fuses=(), negative_fuses=()), "back-feed into a string without a fuse",
    ),
    "fuses in the negatives alone": (
        of_array(fuses=()), "back-feed into a string without a fuse",
    ),
    "fuses in the positives alone": (
        of_array(negative_fuses=()), "a fuse in each negative that needs one",
    ),
    "one negative without": (
        of_array(negative_fuses=("N1", "N2", "N3")), "a fuse in each negative that needs one",
    ),
    "one fuse for both poles": (
        of_array(negative_fuses=("N1", "N2", "N3", "S4")),
        "a fuse in each negative that needs one",
    ),
    "one string without": (
        of_array(fuses=("S1", "S2", "S3")), "a fuse in each string that needs one",
    ),
    "one fuse for two strings": (
        of_array(fuses=("S1", "S2", "S3", "S3")), "a fuse in each string that needs one",
    ),
    "a circuit's fuse taken for a string's": (
        of_array(fuses=("S1", "S2", "S3", "F4")), "a fuse in each string that needs one",
    ),
    "fuses in two strings, which need none": (
        of_array(series=2, parallel=2), "a fuse in each string that needs one",
    ),
    "five strings": (of_array(parallel=5), "strings that meet in one array"),
    "a fuse of another class": (
        part("gpv-10", kind="ISO 8820-3 medium blade"), "a string's fuse is of its class",
    ),
    "a fuse of no standard rating": (part("gpv-10", rated_a=11.0), "standard rating"),
    "a fuse that blows at noon": (part("gpv-10", rated_a=8.0), "string fuse bears its string"),
    "a fuse above what the panels allow": (
        part("gpv-10", rated_a=16.0), "string fuse spares its panels",
    ),
    "a fuse for less than the string's voltage": (
        part("gpv-10", max_v=20.0), "string fuse's voltage",
    ),
    "a fuse that breaks too little": (part("gpv-10", breaking_ka=0.5), "breaking capacity"),
    "a fuse far from its panels": (of_fuse(place="board"), "string fuse lies by its panels"),
    "a holder for bare wire": (of_fuse(holder="strip-holder"), "string fuse's holder"),
    "no holder": (of_fuse(holder=None), "string fuse's holder"),
    "a holder weaker than the largest fuse": (
        part("pv-holder", rated_a=10.0), "holder carries the string's fuse",
    ),
    "a holder for less than the string's voltage": (
        part("pv-holder", max_v=20.0), "holder's voltage",
    ),
}  # fmt: skip


def test_four_fused_strings_are_right():
    """The design that faults are planted in has none."""
    assert failed(four_strings()) == set()


def bonded(made: Design, pole: str) -> Design:
    """The same with the negative bar joined to earth, and controllers that share that pole."""
    bond = Circuit(
        name="bond", kind="bond", from_="busbar-neg", to="chassis", conductors=1, current_a=0,
        design_a=0, length_m=1, cable="", area_mm2=16, ampacity_a=80, drop_v=0, drop_pct=0,
        protection=None, protection_id=None, via=(),
    )  # fmt: skip
    devices = tuple(
        replace(d, part=replace(d.part, common_pole=pole))
        if isinstance(d.part, Controller)
        else d
        for d in made.devices
    )
    return replace(made, circuits=(*made.circuits, bond), devices=devices)


@pytest.mark.parametrize("practice", ["iso", "nec", "abyc"])
@pytest.mark.parametrize("pole", ["negative", "positive", "none"])
def test_fuses_in_one_pole_where_the_other_is_joined_to_earth(practice, pole):
    """IEC 62548, 6.5.7, and NEC 690.9(C), from memory: too many are as wrong as too few."""
    both = bonded(four_strings(), pole)
    one = of_array(negative_fuses=())(both)
    rule = {"a fuse in each negative that needs one"}
    single = practice == "nec" or pole == "negative"
    assert failed(both, practice) == (rule if single else set())
    assert failed(one, practice) == (set() if single else rule)


@pytest.mark.parametrize("name", FAULTS)
def test_a_planted_fault_is_named(name):
    """Each is named by its rule."""
    change, rule = FAULTS[name]
    assert rule in failed(change(four_strings()))


@pytest.mark.parametrize("seed", [58, 75])
def test_strings_are_joined_as_their_own_controller_asks(seed, monkeypatch):
    """Of equal strings those behind a controller that shares no pole have more fuses."""
    needs, stock = bonded_job(seed, "negative")
    needs = replace(needs, rules=replace(needs.rules, practice="abyc"))
    others = [p for p in stock.parts if isinstance(p, Controller)]
    other = replace(others[0], common_pole="none")
    new = replace(other, part=f"{other.part}-none")
    offers = [replace(o, part=new.part) for o in stock.offers if o.part == other.part]
    stock = Stock.of([*stock.parts, new], stock.suppliers, [*stock.offers, *offers])
    made = []
    own = groups._array_groups

    def seen(shelf, pricer, found, beside):
        answer = own(shelf, pricer, found, beside)
        a = found.arrays
        asked = [groups._joints(shelf, pricer, a, i) or ALONE for i in range(len(a))]
        made.append((asked, list(answer[4])))
        return answer

    monkeypatch.setattr(groups, "_array_groups", seen)
    solve_kit(needs, stock, any_kit=True, workers=1, explains=False)
    assert any(len({j.fuses for j in asked if j.fuses}) > 1 for asked, _ in made)
    for asked, answered in made:
        assert asked == answered
