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
    on = Counter((end["at"].split(":")[0], end["pole"]) for _, end in ends)
    kind = {c["name"]: c["kind"] for c in whole["circuits"]}
    tried = 0
    for (cut, a), (other, b) in list(itertools.combinations(ends, 2))[::3]:
        things = {at.split(":")[0] for at in (a["at"], b["at"])}
        same_thing = len(things) == 1 and (
            "busbar" in a["at"] or all(on[thing, a["pole"]] == 2 for thing in things)
        )
        alike = (a["pole"], a["stud"]) == (b["pole"], b["stud"]) and a["at"] != b["at"]
        # an AC breaker whose two cables are changed about: either may be the shorter
        kinds = {kind[c["circuit"]] for c in (cut, other)}
        turned = cut["circuit"] == other["circuit"] and kinds == {"ac"}
        if not alike or same_thing or turned or cut is other:
            continue
        a["at"], b["at"] = b["at"], a["at"]
        assert found_in(name, whole), (cut["label"], other["label"], a["at"], b["at"])
        a["at"], b["at"] = b["at"], a["at"]
        tried += 1
    assert tried > 30


# --- what is new is taken in ------------------------------------------------------------------


def test_devices_and_circuits_of_kinds_unknown_so_far_are_taken_in():
    """A gateway, and a comm link from the shunt to it: nothing to say of either."""
    document = document_of("van")
    more = _linked(document)
    assert [c for c in found_in("van", document, more) if c.subject not in more] == []


def test_pieces_of_a_circuit_of_an_unknown_kind_must_lead_somewhere():
    """The same with a link that ends elsewhere, or is cut too short."""
    for change in ({"at": "inverter-1:comm"}, None):
        document = document_of("van")
        more = _linked(document)
        if change is None:
            document["cuts"][-1]["length_mm"] = 900
        else:
            document["cuts"][-1]["ends"][1].update(change)
        assert "comm" in {c.subject for c in found_in("van", document, more)}


def test_what_an_isolator_joins_is_seen():
    """With one of its poles left open the array no longer reaches its controller."""
    document = document_of("van")
    ends = [end for cut in document["cuts"] for end in cut["ends"]]
    out = next(e for e in ends if e["at"] == "isolator-1:out" and e["pole"] == "+")
    out["at"] = "isolator-1:spare"
    assert found_in("van", document) == []
    out["pole"] = "-"
    assert "controller-1" in {c.subject for c in found_in("van", document)}


def _linked(document: Document) -> dict[str, Any]:
    """A gateway beside the shunt, with a comm cable from it."""
    sizes = {"length_mm": 30, "width_mm": 20, "height_mm": 20, "kg": 0.1}
    gateway = SimpleNamespace(part="gateway", cls="gateway", **sizes)
    cable = SimpleNamespace(part="comm-1m", cls="comm_cable", kg=0.05)
    where = next(d for d in document["devices"] if d["id"] == "monitor-1")["place"]
    document["devices"].append(
        {"id": "gateway-1", "part": "gateway", "class": "gateway", "place": where,
         "x_mm": 1650, "y_mm": 770, "rotated": False}
    )  # fmt: skip
    document["circuits"].append(
        {
            "name": "comm", "kind": "comm", "from": "monitor-1", "to": "gateway-1",
            "conductors": 1, "current_a": 0, "design_a": 0, "length_m": 1, "cable": "comm-1m",
            "area_mm2": 0, "ampacity_a": 0, "drop_v": 0, "drop_pct": 0, "protection": None,
            "protection_id": None, "via": [],
        }
    )  # fmt: skip
    document["cuts"].append(
        {"label": "C1", "cable": "comm-1m", "length_mm": 1300, "circuit": "comm",
         "piece_of": "comm-1m", "ends": [_end("monitor-1:comm"), _end("gateway-1:comm")]}
    )  # fmt: skip
    document["lines"] += [_line("gateway", 1), _line("comm-1m", 1.3)]
    return {"gateway": gateway, "comm-1m": cable}


def _end(at: str) -> Document:
    return {"at": at, "pole": "", "stud": None, "termination": None}


def _line(part: str, need: float) -> Document:
    return {
        "part": part, "unit": "each", "need": need, "spares": 0, "owned": 0, "buy": 2,
        "supplier": "alder", "pack": 1, "packs": 2, "price": 0, "line_total": 0,
    }  # fmt: skip
