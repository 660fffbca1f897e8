"""The second walk itself: it stands alone, trusts nothing stated, and takes in what is new.

That it sees each planted fault stands in `test_faults_in_finished_kits`; that it finds nothing in
kits for random needs in `test_random_needs`.
"""

from __future__ import annotations

import ast
import copy
import itertools
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from solver.rules import bank, conductor, earthing, protection, string, termination
from tests.oracle.finished import hut, shipped, van, written
from tests.oracle.second_walk import complaints
from tests.oracle.walk import figures

HERE = Path(__file__).parent
MODULES = (HERE / "second_walk.py", *sorted((HERE / "walk").glob("*.py")))
KITS = {"van": van, "hut": hut}

Document = dict[str, Any]


def document_of(name: str) -> Document:
    """A finished design as it is written, to be changed."""
    needs, result = KITS[name]()
    return copy.deepcopy(dict(written(result, needs)))


def found_in(name: str, document: Mapping[str, Any], more: Mapping[str, Any] | None = None):
    """What the walk says of it."""
    return complaints(document, {**shipped().by_name, **(more or {})}, KITS[name]()[0])


@pytest.mark.parametrize("module", MODULES, ids=lambda p: p.stem)
def test_the_second_walk_shares_no_code_with_the_project(module):
    """It imports the standard library and itself, nothing else."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    taken = {
        name
        for node in ast.walk(tree)
        for name in (
            [node.module or ""]
            if isinstance(node, ast.ImportFrom)
            else [alias.name for alias in node.names]
            if isinstance(node, ast.Import)
            else []
        )
    }
    ours = {
        t for t in taken if t.split(".")[0] in ("solver", "bom", "catalog", "tests", "tools")
    }
    assert {t for t in ours if not t.startswith("tests.oracle.walk")} == set()


# --- two sets of figures ----------------------------------------------------------------------

PRACTICES = ("iso", "nec", "abyc")
INSULATIONS_C = (55.0, 60.0, 70.0, 75.0, 85.0, 90.0, 105.0, 125.0, 150.0)
AMBIENTS_C = (20.0, 30.0, 33.0, 38.0, 50.0, 60.0)


def areas() -> list[float]:
    """Every conductor of the catalog, and some that it does not have."""
    sold = {c.area_mm2 for c in shipped().of_class("cable")}
    return sorted(sold | {5.0, 18.3, 100.0, 200.0})


@pytest.mark.parametrize("practice", PRACTICES)
@pytest.mark.parametrize("engine", [False, True])
def test_ampacities_worked_out_twice_agree(practice, engine):
    """Read from the printed tables here, from the project's own there."""
    for mm2, stands_c, ambient_c, n in itertools.product(
        areas(), INSULATIONS_C, AMBIENTS_C, (2, 4, 9, 26)
    ):
        case = (practice, mm2, stands_c, ambient_c, n, engine)
        assert figures.ampacity(*case) == pytest.approx(
            conductor.ampacity_a(*case), rel=1e-9
        ), case


def test_other_figures_worked_out_twice_agree():
    """Resistance, least sizes, small conductors, ratings, holes, cold strings and cold banks."""
    for mm2 in areas():
        limit = conductor.resistance_limit_ohm_per_km(mm2)
        assert figures.most_ohm_per_km(mm2) == pytest.approx(limit, rel=1e-9)
        for practice in PRACTICES:
            earth = earthing.earth_least_mm2(practice, mm2)
            assert figures.earth_mm2(practice, mm2) == pytest.approx(earth)
            small = protection.small_conductor_limit_a(practice, mm2)
            assert figures.largest_small_fuse(practice, mm2) == small
    for practice, sheath in itertools.product(PRACTICES, (False, True)):
        least = conductor.least_area_mm2(practice, sheath)
        assert figures.thinnest(practice, sheath) == least
    studs = ("M5", "M6", "M8", "M10", "M12", "No. 10", "1/4 in", "5/16 in", "3/8 in", "1/2 in")
    for made_for, stud in itertools.product(studs, studs):
        assert figures.goes_over(made_for, stud) == termination.hole_fits(made_for, stud)
    assert figures.ratings() == set(protection.STANDARD_RATINGS_A)
    for c in range(-50, 35):
        assert figures.cold_share(None, c) == pytest.approx(string.cold_factor(c))
        assert figures.cold_capacity("agm", c) == pytest.approx(
            bank.temperature_factor("agm", c)
        )


# --- nothing is trusted -----------------------------------------------------------------------

LISTS = ("devices", "circuits", "cuts", "protections", "arrays", "lines", "orders", "lugs")


@pytest.mark.parametrize("field", LISTS)
@pytest.mark.parametrize("name", KITS)
def test_anything_left_out_is_noticed(name, field):
    """Each single row left out is complained of, and never ends the walk."""
    whole = document_of(name)
    for n in range(len(whole[field])):
        lacking = {**whole, field: whole[field][:n] + whole[field][n + 1 :]}
        assert found_in(name, lacking), whole[field][n]


FIGURES = {
    "circuits": ("current_a", "design_a", "length_m", "area_mm2", "ampacity_a", "drop_v", "drop_pct"),
    "arrays": ("voc_cold_v", "vmp_hot_v", "isc_a", "charge_a"),
    "lines": ("need", "buy", "line_total"),
    "orders": ("goods", "shipping", "total"),
}  # fmt: skip


@pytest.mark.parametrize("field", FIGURES)
@pytest.mark.parametrize("name", KITS)
def test_no_stated_figure_is_trusted(name, field):
    """A figure off by a thousandth, anywhere, is noticed."""
    whole = document_of(name)
    for n, key in itertools.product(range(len(whole[field])), FIGURES[field]):
        before = whole[field][n][key]
        if before:
            whole[field][n][key] = before * 1.001
            assert found_in(name, whole), (field, n, key)
            whole[field][n][key] = before


@pytest.mark.parametrize("name", KITS)
def test_no_unknown_part_ends_the_walk(name):
    """A part that the catalog does not have is complained of."""
    whole = document_of(name)
    named = {c["cable"] for c in whole["cuts"]} | {p["part"] for p in whole["protections"]}
    named |= {e["termination"] for c in whole["cuts"] for e in c["ends"]} - {None}
    named |= {d["part"] for d in whole["devices"]}
    for part in sorted(named):
        parts = {k: v for k, v in shipped().by_name.items() if k != part}
        assert complaints(whole, parts, KITS[name]()[0]), part


@pytest.mark.parametrize("name", KITS)
def test_two_ends_changed_about_are_noticed(name):
    """Two ends of one pole and stud, unless they are one net, or what they land on is turned."""
    whole = document_of(name)
    ends = [(cut, end) for cut in whole["cuts"] for end in cut["ends"]]
    on = Counter(end["at"].split(":")[0] for _, end in ends)
    tried = 0
    for (cut, a), (other, b) in list(itertools.combinations(ends, 2))[::2]:
        things = {at.split(":")[0] for at in (a["at"], b["at"])}
        same_thing = len(things) == 1 and (
            "busbar" in a["at"] or all(on[thing] == 2 for thing in things)
        )
        alike = (a["pole"], a["stud"]) == (b["pole"], b["stud"]) and a["at"] != b["at"]
        if not alike or same_thing or cut is other:
            continue
        a["at"], b["at"] = b["at"], a["at"]
        assert found_in(name, whole), (cut["label"], other["label"], a["at"], b["at"])
        a["at"], b["at"] = b["at"], a["at"]
        tried += 1
    assert tried > 50


# --- what is new is taken in ------------------------------------------------------------------


def test_devices_and_circuits_of_kinds_unknown_so_far_are_taken_in():
    """An isolator in the array's wires, a bond and a link between devices: nothing to say."""
    document = document_of("van")
    more = _isolated(document) | _bonded(document) | _linked(document)
    assert [c for c in found_in("van", document, more) if c.subject not in more] == []


def test_what_an_isolator_joins_is_seen():
    """With one of its poles left open the array no longer reaches its controller."""
    document = document_of("van")
    more = _isolated(document)
    isolator = next(c for c in document["cuts"] if c["label"] == "W1b")
    isolator["ends"][0]["at"] = "isolator-1:in-"
    subjects = {c.subject for c in found_in("van", document, more)}
    assert "controller-1" in subjects


def _isolated(document: Document) -> dict[str, Any]:
    """An isolator beside the controller, in both poles of the array."""
    part = SimpleNamespace(
        part="isolator", cls="isolator", kg=0.3, length_mm=80, width_mm=60, height_mm=60, stud=None,
        rated_a=32.0, max_v=600.0, poles=2,
    )  # fmt: skip
    where = next(d for d in document["devices"] if d["id"] == "controller-1")["place"]
    document["devices"].append(
        {"id": "isolator-1", "part": "isolator", "class": "isolator", "place": where,
         "x_mm": 1600, "y_mm": 730, "rotated": False}
    )  # fmt: skip
    document["lines"].append(_line("isolator", 1))
    circuit = next(c for c in document["circuits"] if c["kind"] == "array")
    for cut in [c for c in document["cuts"] if c["circuit"] == circuit["name"]]:
        pole = cut["ends"][0]["pole"]
        far = copy.deepcopy(cut)
        far["label"] += "b"
        far["length_mm"] = 300
        cut["ends"][1]["at"] = f"isolator-1:in{pole}"
        far["ends"][0] = {
            "at": f"isolator-1:out{pole}",
            "pole": pole,
            "stud": None,
            "termination": None,
        }
        document["cuts"].append(far)
        for line in (x for x in document["lines"] if x["part"] == cut["cable"]):
            line["need"] += 0.3
            line["buy"] += 1
            line["packs"] += 1
            line["line_total"] += line["price"]
            _paid(document, line["supplier"], line["price"])
    return {"isolator": part}


def _bonded(document: Document) -> dict[str, Any]:
    """The inverter's case bonded to the chassis."""
    cable = SimpleNamespace(
        part="bond-6", cls="cable", use="earth", area_mm2=6.0, ohm_per_km_20c=3.3, kg=0.06,
        insulation_c=70.0, colour="green-yellow",
    )  # fmt: skip
    document["circuits"].append(_bare_circuit("bond", "inverter-1", "chassis", "bond-6", 6.0))
    ends = [_end("inverter-1:earth", "PE"), _end("chassis", "PE")]
    document["cuts"].append(_cut("B1", "bond-6", 1300, "bond", ends))
    document["lines"].append(_line("bond-6", 1.3, "m"))
    return {"bond-6": cable}


def _linked(document: Document) -> dict[str, Any]:
    """A comm cable from the shunt to a charger."""
    cable = SimpleNamespace(part="comm-1m", cls="comm_cable", kg=0.05)
    row = _bare_circuit("comm", "monitor-1", "charger-2", "comm-1m", 0.0)
    document["circuits"].append(row)
    ends = [_end("monitor-1:comm", ""), _end("charger-2:comm", "")]
    document["cuts"].append(_cut("C1", "comm-1m", 1300, "comm", ends))
    document["lines"].append(_line("comm-1m", 1.3))
    return {"comm-1m": cable}


def _bare_circuit(kind: str, start: str, goal: str, cable: str, mm2: float) -> Document:
    return {
        "name": kind, "kind": kind, "from": start, "to": goal, "conductors": 1, "current_a": 0,
        "design_a": 0, "length_m": 1, "cable": cable, "area_mm2": mm2, "ampacity_a": 0,
        "drop_v": 0, "drop_pct": 0, "protection": None, "protection_id": None, "via": [],
    }  # fmt: skip


def _end(at: str, pole: str) -> Document:
    return {"at": at, "pole": pole, "stud": None, "termination": None}


def _cut(label: str, cable: str, mm: int, circuit: str, ends: list[Document]) -> Document:
    return {
        "label": label, "cable": cable, "length_mm": mm, "circuit": circuit,
        "piece_of": cable, "ends": ends,
    }  # fmt: skip


def _line(part: str, need: float, unit: str = "each") -> Document:
    return {
        "part": part, "unit": unit, "need": need, "spares": 0, "owned": 0, "buy": 2,
        "supplier": "alder", "pack": 1, "packs": 2, "price": 0, "line_total": 0,
    }  # fmt: skip


def _paid(document: Document, supplier: str, price: float) -> None:
    for row in document["orders"]:
        if row["supplier"] == supplier:
            row["goods"] += price
            row["total"] += price
            document["total"] += price
