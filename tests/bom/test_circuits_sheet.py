"""The sheet of circuits: every piece read from left to right, in the order one builds it."""

import dataclasses
from itertools import pairwise

import pytest

from bom.sheets import circuits
from bom.sheets.page import Kit
from bom.sheets.pieces import cores_of
from solver.records import Cut, End
from solver.rules.termination import torque_nm
from tests.bom.sample import CIRCUITS, CUTS, DESIGN, NEEDS, RESULT, STOCK
from tests.bom.wide_design import wide_design

HEADINGS = [c.heading for c in circuits.COLUMNS]


def _kit(design=DESIGN):
    return Kit(result=dataclasses.replace(RESULT, design=design), needs=NEEDS, stock=STOCK)


def _blocks(kit):
    """Of each circuit its head and its rows, as cells by heading; of two alike a list."""
    found = {}
    for row in circuits.rows(kit, 6):
        if row.look == "head":
            name = row.cells[0].split(" (")[0]
            found[name] = (row.cells[0], [])
        else:
            found[name][1].append(row.cells)
    return found


def _cell(row, heading, which=0):
    places = [n for n, h in enumerate(HEADINGS) if h == heading]
    return row[places[which]]


def test_columns_stand_in_the_order_of_the_work():
    """From, terminal, lug and torque, protection, conductor, length, then the other end, label."""
    assert [h for h in HEADINGS if h != "length_in"] == [
        *("done", "from", "terminal", "lug", "torque", "pole", "protection", "conductor"),
        *("length_mm", "lug", "terminal", "torque", "to", "label"),
    ]


def test_a_pole_with_a_fuse_is_two_rows():
    """Battery to fuse, fuse to bar, then the other pole: read as they are built."""
    head, rows = _blocks(_kit())["bank"]
    assert "B1 to BAR+, 1 m one way, in one place" in head
    assert "runs 60 A, sized for 75 A, conductor carries 120 A" in head
    assert [(_cell(r, "from"), _cell(r, "to")) for r in rows] == [
        ("B1:+\nlocker", "F1\nlocker"),
        ("F1\nlocker", "BAR+\nlocker"),
        ("B1:-\nlocker", "MON1\nlocker"),
    ]
    lead, rest, minus = rows
    assert [_cell(r, "label") for r in rows] == ["W05", "W06", "W07"]
    assert [_cell(r, "protection") for r in rows] == [
        "F1 80 A\nat its end",
        "F1 80 A\nfuse-t-80",
        "F1, other pole",
    ]
    assert _cell(lead, "conductor") == "25 mm2, red\ncable-25-red"
    assert _cell(minus, "conductor") == "25 mm2, black\ncable-25-black"
    assert [_cell(r, "length_mm") for r in rows] == [500, 800, 1300]
    for side in (0, 1):
        assert _cell(rest, "terminal", side) == "M8 stud"
        assert _cell(rest, "lug", side) == "lug-25-m8"
        assert _cell(rest, "torque", side) == 6


def test_both_ends_have_their_own_stud_and_torque():
    """An M8 bar and an M6 inverter: two lugs, two torques (IEC 60947-1: 6 and 3 Nm)."""
    _, rows = _blocks(_kit())["inverter"]
    for row in rows:
        assert [_cell(row, "lug", n) for n in (0, 1)] == ["lug-25-m8", "lug-25-m6"]
        assert [_cell(row, "torque", n) for n in (0, 1)] == [6, 3]


def test_a_sheathed_cable_is_one_piece_with_a_row_a_core():
    """Its length stands once, or somebody cuts it twice."""
    _, rows = _blocks(_kit())["@lamps"]
    assert [_cell(r, "pole") for r in rows] == ["+", "-"]
    assert [_cell(r, "length_mm") for r in rows] == [2500, ""]
    assert [_cell(r, "done") for r in rows] == ["☐", ""]
    assert [_cell(r, "label") for r in rows] == ["W12", "W12"]
    assert _cell(rows[0], "conductor").startswith("2 × 2.5 mm2")
    assert _cell(rows[1], "conductor") == "same cable"
    assert _cell(rows[0], "protection") == "FB1:3 5 A\nfuse-blade-5"
    assert _cell(rows[1], "protection") == "FB1:3, other pole"
    assert _cell(rows[0], "to") == "@lamps\nhut"
    assert _cell(rows[0], "torque") == ""


def test_a_plug_and_a_clamp_are_no_studs():
    """A panel's lead is plugged in, a controller's terminal clamps bare wire: no torque of ours."""
    _, (plus, _) = _blocks(_kit())["array 1"]
    assert [_cell(plus, "terminal", n) for n in (0, 1)] == ["plug-in", "clamp"]
    assert [_cell(plus, "lug", n) for n in (0, 1)] == ["pv-socket", "bare wire"]
    assert [_cell(plus, "torque", n) for n in (0, 1)] == ["", ""]
    assert _cell(plus, "protection") == "none of its own"


def test_a_circuit_told_from_its_other_end_is_turned_round():
    """Pieces listed from the bar on are read from the controller on, where the circuit begins."""
    (bank,) = (c for c in CIRCUITS if c.name == "bank")
    turned = dataclasses.replace(bank, from_="BAR+", to="B1")
    cores = cores_of(DESIGN, turned)
    assert [(c.near.at, c.far.at) for c in cores] == [
        ("BAR+", "F1"), ("F1", "B1:+"), ("MON1", "B1:-"),
    ]  # fmt: skip


@pytest.mark.parametrize("design", [DESIGN, wide_design(3)[0], wide_design(6)[0]])
def test_every_core_of_every_piece_is_a_row_once(design):
    """Nothing is left out, nothing is built twice, and each end has the torque of its stud."""
    rows = [r for _, block in _blocks(_kit(design)).values() for r in block]
    got = sorted(
        (_cell(r, "label"), *(sorted((_cell(r, "from"), _cell(r, "to"))))) for r in rows
    )
    assert len(got) == sum(len(c.ends) // 2 for c in design.cuts)
    cut = sum(c.length_mm for c in design.cuts)
    assert sum(_cell(r, "length_mm") or 0 for r in rows) == cut
    studs = [e.stud for c in design.cuts for e in c.ends if e.stud]
    torques = [_cell(r, "torque", n) for r in rows for n in (0, 1) if _cell(r, "torque", n)]
    assert sorted(torques) == sorted(map(torque_nm, studs))


@pytest.mark.parametrize("design", [DESIGN, wide_design(3)[0], wide_design(6)[0]])
def test_each_pole_is_a_line(design):
    """Where a piece begins at a thing in the middle of a pole, the row above ended there."""
    for circuit in design.circuits:
        cores = cores_of(design, circuit)
        things = [(c.near.at.split(":")[0], c.far.at.split(":")[0], c.near.pole) for c in cores]
        ends = {(far, pole) for _, far, pole in things}
        for (_, before, _), (at, _, pole) in pairwise(things):
            assert before == at or (at, pole) not in ends


def test_pieces_in_any_order_make_the_same_line():
    """Three things in one pole are read one after the other, in whatever order they were cut."""

    def piece(n, a, b):
        ends = tuple(End(at=at, pole="+", stud="M8", termination="lug-25-m8") for at in (a, b))
        return Cut(
            label=f"W{n}", cable="cable-25-red", length_mm=500, circuit="bank",
            piece_of="", ends=ends,
        )  # fmt: skip

    line = [piece(1, "B1:+", "F1"), piece(2, "F1", "SW1:in"), piece(3, "SW1:out", "BAR+")]
    (bank,) = (c for c in CIRCUITS if c.name == "bank")
    for order in ((0, 1, 2), (2, 1, 0), (1, 2, 0)):
        design = dataclasses.replace(DESIGN, cuts=tuple(line[n] for n in order))
        assert [c.cut.label for c in cores_of(design, bank)] == ["W1", "W2", "W3"]
    assert len(CUTS) == 12
