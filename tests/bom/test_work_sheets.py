"""The work order in workbook, chart, JSON and words: the same days everywhere."""

import dataclasses
import io
import json
from datetime import date
from decimal import Decimal

import openpyxl
import pytest

from bom.beside import sections, told
from bom.drawings.page import Box
from bom.result_json import dumps
from bom.sheets import work_order as sheet_module
from bom.sheets.page import Beside, Kit
from bom.summary import summary_text
from bom.tasks_file import read_tasks
from bom.work_chart import chart_page
from bom.work_text import day_text, hold_text
from bom.workbook import workbook_bytes
from solver.stock import Stock
from solver.work_order import without_need_by, work_order
from tests.bom.sample import NEEDS, NO_KIT, RESULT, STOCK, imperial

NETWORK = read_tasks(None, set(STOCK.by_name))


def _work(days=5, start=date(2027, 1, 11)):
    """The sample's work order, its main supplier taking so many days."""
    suppliers = [
        dataclasses.replace(s, lead_days=days) if s.supplier == "north" else s
        for s in STOCK.suppliers
    ]
    order = dataclasses.replace(NEEDS.order, start=start)
    stock = Stock.of(STOCK.parts, suppliers, STOCK.offers)
    return work_order(RESULT, dataclasses.replace(NEEDS, order=order), stock, NETWORK)


def _late():
    order = dataclasses.replace(NEEDS.order, need_by=date(2027, 1, 14))
    needs = dataclasses.replace(NEEDS, order=order)
    dearer = dataclasses.replace(RESULT, total=RESULT.total + Decimal("12.50"))
    return without_need_by(dearer, RESULT, needs, STOCK, NETWORK)


def _kit(**beside):
    return Kit(result=RESULT, needs=NEEDS, stock=STOCK, beside=Beside(work=_work(), **beside))


def _texts(kit):
    rows = [*sheet_module.above(kit, 0), *sheet_module.rows(kit, 9)]
    return [str(r.cells[0]) for r in rows if r.look in ("text", "head")]


def test_every_task_is_a_row_with_its_days():
    """Name, hours, what it waits for, dates: those of the work order."""
    kit = _kit()
    rows = [r.cells for r in sheet_module.rows(kit, 9) if r.look == "line"]
    assert [r[1] for r in rows] == [p.task.name for p in kit.work.tasks]
    for row, planned in zip(rows, kit.work.tasks, strict=True):
        assert row[3] == planned.work_h
        assert row[7] == day_text(kit.work, planned.start_day)
        assert row[8] == day_text(kit.work, planned.plan_start_day)
    (battery,) = (r for r in rows if r[1] == "battery in")
    assert battery[5] == "lfp-100"
    assert battery[6] == "Sat 2027-01-16"
    assert battery[7] == "Mon 2027-01-18"


def test_cautions_and_licensed_work_stand_in_the_work_order():
    """Where the danger arises it is said, and what is not the builder's is named."""
    kit = _kit()
    does = {r.cells[1]: r.cells[2] for r in sheet_module.rows(kit, 9) if r.look == "line"}
    assert "Caution: Live from the factory" in does["battery in"]
    assert "Caution: Live in daylight" in does["panels up"]
    texts = _texts(kit)
    (at,) = (n for n, t in enumerate(texts) if t.startswith("For a licensed person"))
    # The sample's kit has an inverter and no AC circuit: nothing of mains but what is always asked.
    assert len(texts[at + 1 :]) == 2
    assert "1.3 kWh" in texts[-1]  # one of 12.8 V and 100 Ah
    ac = dataclasses.replace(RESULT.design.circuits[0], kind="ac", from_="shore inlet")
    design = dataclasses.replace(RESULT.design, circuits=(*RESULT.design.circuits, ac))
    result = dataclasses.replace(RESULT, design=design)
    with_ac = dataclasses.replace(kit, result=result)
    assert len(sheet_module.licensed_texts(with_ac)) == 5
    work = work_order(result, NEEDS, STOCK, NETWORK)
    (side,) = (p for p in work.tasks if p.task.licensed)
    assert "Not yours to do" in sheet_module._does(side)


def test_the_part_that_holds_the_job_back_is_told_on_top():
    """With its day and the task that waits for it."""
    kit = _kit()
    assert hold_text(kit.work) in _texts(kit)
    assert "from north" in hold_text(kit.work)
    assert "Sat 2027-01-16" in hold_text(kit.work)


def test_without_a_start_there_are_no_dates():
    """Days are counted, and that is said."""
    work = _work(start=None)
    assert day_text(work, 3) == "day 3"
    kit = dataclasses.replace(_kit(), beside=Beside(work=work))
    assert any("counted" in t for t in _texts(kit))
    found = told(RESULT, NEEDS, kit.beside)["work_order"]
    assert (found["start"], found["finish"]) == (None, None)
    assert found["finish_day"] == work.finish_day


def test_json_and_sheet_tell_the_same_days():
    """Whoever reads the JSON finds the workbook's dates."""
    kit = _kit(without_need_by=_late())
    found = json.loads(dumps(told(RESULT, NEEDS, kit.beside)))["work_order"]
    rows = {r.cells[1]: r.cells for r in sheet_module.rows(kit, 9) if r.look == "line"}
    for task in found["tasks"]:
        row = rows[task["task"]]
        assert row[7].endswith(task["can_start"])
        assert row[8].endswith(task["planned_start"])
        assert row[9].endswith(task["ready"])
        assert row[4] == ", ".join(task["after"])
    assert found["holds_back"]["supplier"] == "north"
    assert found["holds_back"]["here"] == "2027-01-16"
    assert found["without_need_by"]["saved"] == 12.5
    assert {p["late_days"] for p in found["without_need_by"]["later"]} == {2}
    assert "battery in" not in found["without_need_by"]["meanwhile"]
    assert "cables" in found["without_need_by"]["meanwhile"]
    for basket in found["baskets"]:
        assert basket["order_by"] >= found["start"]


def test_without_a_kit_there_is_no_work_order():
    """The key is there, and null."""
    assert told(NO_KIT, NEEDS, Beside())["work_order"] is None
    assert list(sections(NO_KIT, Beside())) == []


def test_the_terminal_tells_it_in_lines_of_80():
    """Finish, hold and what can begin, and the total without need_by beside it."""
    beside = Beside(work=_work(), without_need_by=_late())
    text = summary_text(RESULT, NEEDS, sections(RESULT, beside))
    assert max(map(len, text.splitlines())) <= 80
    flat = " ".join(text.split())
    assert hold_text(beside.work) in flat
    assert "Without need_by the kit costs" in flat
    assert "12.50 EUR less" in flat
    assert 'Meanwhile these can be done: "mark out", "holes", "roof mounts", "cables"' in flat


@pytest.mark.parametrize("days", [0, 5, 33, 160])
def test_the_chart_has_a_bar_a_task_and_nothing_outside(days):
    """Few days or many: every row is named, and no text leaves the page or meets another."""
    work = _work(days)
    page = chart_page(work)
    texts = [t.text for t in page.texts]
    for planned in work.tasks:
        assert planned.task.name in texts
    for basket in work.baskets:
        assert f"from {basket.supplier}" in texts
    whole = Box(0, 0, page.width_mm, page.height_mm)
    boxes = [t.box for t in page.texts]
    for n, box in enumerate(boxes):
        assert box.left_mm >= 0
        assert box.right_mm <= whole.right_mm
        assert box.bottom_mm <= whole.bottom_mm
        assert not any(box.overlaps(other) for other in boxes[:n])
    bars = [s for s in page.lines if s.closed and s.look == "symbol" and len(s.points) == 4]
    assert len(bars) >= len(work.tasks) + len(work.baskets)
    for stroke in page.lines:
        assert all(-1e-9 <= x <= whole.right_mm + 1e-9 for x, _ in stroke.points)


def test_the_chart_shows_the_planned_days():
    """A later delivery moves the bar of its task to the right."""

    def left_of(work, name):
        page = chart_page(work)
        row = [p.task.name for p in work.tasks].index(name)
        y = next(t.at[1] for t in page.texts if t.text == name)
        bars = [
            s for s in page.lines if s.closed and s.look == "symbol"
            and min(p[1] for p in s.points) < y < max(p[1] for p in s.points) + 1
        ]  # fmt: skip
        assert row >= 0
        days = max([work.finish_day, *(b.here_day for b in work.baskets)]) + 1
        left = min(p[0] for s in bars for p in s.points)
        return round((left - 48) / ((page.width_mm - 52) / days), 6)

    for days in (5, 33):
        work = _work(days)
        (planned,) = (p for p in work.tasks if p.task.name == "battery in")
        assert left_of(work, "battery in") == planned.plan_start_day


def test_the_book_holds_sheet_and_chart():
    """The picture is there, and the sheet prints on pages as wide as the paper."""
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(RESULT, NEEDS, STOCK)))
    assert len(book["work chart"]._images) == 1
    names = [r[1].value for r in book["work order"].iter_rows()]
    assert "battery in" in names


def test_the_first_switch_on_is_a_sheet_with_every_test():
    """A row a test, both parts with their heads, the cautions of this kit on top."""
    from bom.sheets import first_switch_on
    from solver.commissioning import expected

    kit = _kit()
    rows = first_switch_on.rows(kit, 5)
    tests = expected(NEEDS, RESULT.design, RESULT.energy)
    lines = [r.cells for r in rows if r.look == "line"]
    assert [(r[1], r[2], r[3]) for r in lines] == [
        (str(t.step), t.test, t.subject) for t in tests
    ]
    assert len([r for r in rows if r.look == "head"]) == 2
    for line, test in zip(lines, tests, strict=True):
        assert line[10].startswith("Licensed work") == test.licensed
        assert line[11] == test.source
    said = " ".join(str(r.cells[0]) for r in first_switch_on.above(kit, 5))
    for word in ("live", "cannot be switched off", "Short circuit", "below 0 °C"):
        assert word in said
    found = told(RESULT, NEEDS, kit.beside)["first_switch_on"]
    assert [t["test"] for t in found] == [t.test for t in tests]
    assert json.loads(dumps({"x": found}))["x"][1]["value"] == 3


def test_the_order_sheet_says_by_when():
    """Beside each supplier stands the last day that keeps the end of the work."""
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(RESULT, NEEDS, STOCK)))
    heads = [str(r[0].value) for r in book["order"].iter_rows()]
    for basket in _work().baskets:
        (head,) = (h for h in heads if h.startswith(f"{basket.name} ("))
        assert f"order by {day_text(_work(), basket.order_by_day)}" in head


def test_torque_is_told_in_the_units_of_the_tool():
    """In an imperial job in inch-pounds: 6 Nm are 53.1 (IEC 60947-1's table has both)."""
    from bom.sheets import circuits, first_switch_on

    kit = dataclasses.replace(_kit(), needs=imperial())
    rows = [r.cells for r in first_switch_on.rows(kit, 5) if r.look == "line"]
    (m8,) = (r for r in rows if r[2].startswith("torque") and r[3].startswith("M8"))
    assert m8[4].value == pytest.approx(53.1, abs=0.05)
    assert m8[7] == "lbf in"
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(RESULT, imperial(), STOCK)))
    sheet = book["circuits"]
    values = {c.value for row in sheet.iter_rows() for c in row if isinstance(c.value, float)}
    assert any(v == pytest.approx(53.1, abs=0.05) for v in values)
    assert "lbf in" in {c.value for row in sheet.iter_rows() for c in row}
    assert circuits.COLUMNS[4].unit == "Nm"
