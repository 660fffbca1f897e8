"""The sheets a person works by, from kits that the optimizer found, not made by hand."""

import pytest

from bom.sheets import circuits, first_switch_on, work_order
from bom.sheets.page import Beside, Kit, stands_at
from bom.sheets.pieces import cores_of
from bom.tasks_file import read_tasks
from bom.work_chart import chart_page
from solver.kit import solve_kit
from solver.rules.termination import torque_nm
from solver.work_order import work_order as laid_out
from tests.oracle.small_jobs import small_job

SEEDS = (5, 14, 16)
"""Quick jobs that have a kit; among them two strings, series links, chargers, a block."""


@pytest.fixture(scope="module", params=SEEDS)
def kit(request):
    """A kit that was found, with its work order."""
    needs, stock = small_job(request.param)
    result = solve_kit(needs, stock)
    assert result.design is not None
    work = laid_out(result, needs, stock, read_tasks(None, set()))
    return Kit(result=result, needs=needs, stock=stock, beside=Beside(work=work))


def test_each_circuit_is_told_from_where_it_starts(kit):
    """The first row of a circuit begins at its start, the plus ends at its other end."""
    for circuit in kit.design.circuits:
        cores = cores_of(kit.design, circuit)
        assert stands_at(cores[0].near.at, circuit.from_)
        plus = [c for c in cores if c.near.pole == cores[0].near.pole]
        assert stands_at(plus[-1].far.at, circuit.to)


def test_every_end_is_a_cell_with_its_torque(kit):
    """As many torques as studs, each that of its stud."""
    rows = [r.cells for r in circuits.rows(kit, 6) if r.look == "line"]
    at = [n for n, c in enumerate(circuits.COLUMNS) if c.heading == "torque"]
    got = sorted(r[n] for r in rows for n in at if r[n] != "")
    studs = [e.stud for c in kit.design.cuts for e in c.ends if e.stud is not None]
    assert got == sorted(map(torque_nm, studs))
    assert sorted({r[-1] for r in rows}) == sorted({c.label for c in kit.design.cuts})


def test_every_protection_is_named_where_it_is_met(kit):
    """Each fuse stands in the rows of the pieces that end at it."""
    column = [c.heading for c in circuits.COLUMNS].index("protection")
    texts = [str(r.cells[column]) for r in circuits.rows(kit, 6) if r.look == "line"]
    for p in kit.design.protections:
        assert any(t.startswith(f"{p.id} ") and p.part in t for t in texts), p.id


def test_the_work_order_and_the_first_switch_on_can_be_written(kit):
    """Nothing of a kit that was found is unknown to them."""
    names = {r.cells[1] for r in work_order.rows(kit, 9) if r.look == "line"}
    assert {"mark out", "cables", "switch on", "hand over"} <= names
    assert ("AC side" in names) == any(c.kind == "ac" for c in kit.design.circuits)
    subjects = " ".join(
        str(r.cells[3]) for r in first_switch_on.rows(kit, 9) if r.look == "line"
    )
    for battery in kit.design.bank.batteries:
        assert battery in subjects
    for circuit in kit.design.circuits:
        if circuit.kind == "load":
            assert circuit.name in subjects
    assert chart_page(kit.work).texts
