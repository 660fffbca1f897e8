"""What changed since an earlier result: every change found, the difference explained to the cent."""

import dataclasses
import io
import json
import os
import random
import shutil
import subprocess
from datetime import date
from decimal import Decimal

import openpyxl
import pytest

from bom.beside import sections, told
from bom.result_json import dumps, result_to_json
from bom.sheets.page import Beside
from bom.since import changes, read_back, read_earlier, since_json
from bom.since_text import since_texts
from bom.summary import summary_text
from bom.workbook import workbook_bytes
from solver.errors import BadInput
from tests.bom.sample import LINES, NEEDS, NO_KIT, ORDERS, RESULT, STOCK


def _result(lines, orders=ORDERS):
    """A result whose totals agree with its lines."""
    made = []
    for order in orders:
        goods = sum((x.line_total for x in lines if x.supplier == order.supplier), Decimal(0))
        made.append(dataclasses.replace(order, goods=goods, total=goods + order.shipping))
    total = sum((o.total for o in made), Decimal(0))
    return dataclasses.replace(RESULT, lines=tuple(lines), orders=tuple(made), total=total)


def _changed(part, **values):
    """The sample's lines, one of them otherwise."""
    found = []
    for line in LINES:
        new = dataclasses.replace(line, **values) if line.part == part else line
        if new.packs and new.price is not None:
            new = dataclasses.replace(new, line_total=new.price * new.packs)
        found.append(new)
    return found


def _since(before, after=RESULT):
    return changes("old.json", read_back(result_to_json(before, NEEDS)),
                   read_back(result_to_json(after, NEEDS)))  # fmt: skip


def test_nothing_changed_is_told_as_nothing():
    """The same result twice: no line, no price, no date, no difference."""
    since = _since(RESULT)
    assert (since.lines, since.prices, since.dates) == ((), (), ())
    assert since.difference == 0
    assert "No line, price or date changed." in list(since_texts(since, "EUR"))


def test_a_price_that_rose_is_told_and_is_the_difference():
    """The battery cost 12.30 less before: one line, one price, all of the difference."""
    (now,) = (x for x in LINES if x.part == "lfp-100")
    since = _since(_result(_changed("lfp-100", price=now.price - Decimal("12.30"))))
    assert [(p.part, p.supplier, p.after - p.before) for p in since.prices] == [
        ("lfp-100", "north", Decimal("12.30"))
    ]
    assert [(x.part, x.text(), x.more) for x in since.lines] == [
        ("lfp-100", "dearer", Decimal("12.30"))
    ]
    assert (since.of_prices, since.of_freight, since.of_parts) == (Decimal("12.30"), 0, 0)
    assert since.difference == Decimal("12.30")


def test_a_part_that_came_and_one_that_went():
    """New and gone are told by name, and cost what they cost."""
    without = [x for x in LINES if x.part != "gland-m20"]
    (gland,) = (x for x in LINES if x.part == "gland-m20")
    came = _since(_result(without))
    assert [(x.part, x.text(), x.more) for x in came.lines] == [
        ("gland-m20", "new", gland.line_total)
    ]
    went = _since(RESULT, _result(without))
    assert [(x.part, x.text(), x.more) for x in went.lines] == [
        ("gland-m20", "gone", -gland.line_total)
    ]
    assert came.of_parts == came.difference == -went.difference == gland.line_total


def test_more_of_a_part_from_somebody_else():
    """Need, buy and supplier are told with what they were before."""
    before = _changed(
        "ferrule-2.5", supplier="north", need=Decimal(3), packs=2, buy=Decimal(100)
    )
    (change,) = _since(_result(before)).lines
    assert change.text() == "need 3 -> 5, buy 100 -> 50, from north -> isle"


def test_a_part_from_two_suppliers_is_one_change():
    """Two lines of one part are added up before they are compared."""
    (plug,) = (x for x in LINES if x.part == "pv-plug")
    half = dataclasses.replace(
        plug, need=Decimal(1), buy=Decimal(1), packs=1, line_total=plug.price
    )
    other = dataclasses.replace(half, supplier="north")
    split = [x for x in LINES if x is not plug] + [half, other]
    (change,) = _since(_result(split)).lines
    assert change.before.suppliers == ("isle", "north")
    assert (change.before.buy, change.more) == (Decimal(2), Decimal(0))
    assert change.text() == "from isle and north -> isle"


def test_dates_that_moved_are_told():
    """A supplier that takes longer, one that is new, one that is gone."""
    later = [
        dataclasses.replace(o, lead_days=9, arrives=date(2027, 1, 20)) if o.supplier == "north" else o
        for o in ORDERS
    ]  # fmt: skip
    since = _since(RESULT, _result(LINES, later))
    (moved,) = since.dates
    assert (moved.lead_days_before, moved.lead_days_after) == (5, 9)
    assert (moved.arrives_before, moved.arrives_after) == ("2027-01-16", "2027-01-20")
    texts = list(since_texts(since, "EUR"))
    assert any("2027-01-16 (5 days) -> 2027-01-20 (9 days)" in t for t in texts)
    north = [x for x in LINES if x.supplier != "isle"]
    only = _since(_result(north, [o for o in ORDERS if o.supplier == "north"]))
    assert [(d.supplier, d.lead_days_before) for d in only.dates] == [("isle", None)]


def test_freight_is_told_apart():
    """A freight that fell is neither a price nor a part."""
    dear = [dataclasses.replace(o, shipping=o.shipping + 7) for o in ORDERS]
    since = _since(_result(LINES, dear))
    assert (since.of_prices, since.of_freight, since.of_parts) == (0, -14, 0)
    assert since.difference == -14


def test_before_or_now_without_a_kit():
    """No total, no difference, and every line is new or gone."""
    since = _since(NO_KIT)
    assert (since.total_before, since.difference) == (None, None)
    assert {x.text() for x in since.lines} == {"new"}
    assert "no kit before" in next(iter(since_texts(since, "EUR")))
    gone = _since(RESULT, NO_KIT)
    assert gone.total_after is None
    text = summary_text(NO_KIT, NEEDS, sections(NO_KIT, Beside(since=gone)))
    assert "EUR before, no kit now" in " ".join(text.split())


def test_the_end_of_the_work_is_compared():
    """Where both results tell it."""
    found = told(RESULT, NEEDS, Beside())
    before = read_back(found | {"work_order": {"finish": "2027-01-20"}})
    after = read_back(found | {"work_order": {"finish": "2027-01-25"}})
    since = changes("old.json", before, after)
    assert "End of the work: 2027-01-20 before, 2027-01-25 now." in list(
        since_texts(since, "EUR")
    )


@pytest.mark.parametrize("seed", range(40))
def test_the_parts_of_the_difference_add_up(seed):
    """Whatever changes, prices, freight and the rest are the difference, and so are the lines."""
    draw = random.Random(seed)

    def some():
        lines = []
        for line in LINES:
            if draw.random() < 0.2:
                continue
            new = line
            if line.price is not None and draw.random() < 0.5:
                new = dataclasses.replace(
                    line,
                    price=line.price * Decimal(draw.choice(("0.9", "1", "1.25"))),
                    packs=draw.randint(1, 4),
                    supplier=draw.choice(("north", "isle")),
                )
                packs = new.packs
                new = dataclasses.replace(
                    new, buy=line.buy / line.packs * packs, line_total=new.price * packs
                )
            lines.append(new)
        ships = [
            dataclasses.replace(o, shipping=Decimal(draw.choice(("0", "9.90", "14.90"))))
            for o in ORDERS
        ]
        return _result(lines, ships)

    before, after = some(), some()
    since = _since(before, after)
    assert since.difference == after.total - before.total
    assert since.of_prices + since.of_freight + since.of_parts == since.difference
    assert sum(x.more for x in since.lines) + since.of_freight == since.difference
    back = changes("x", read_back(result_to_json(after, NEEDS)),
                   read_back(result_to_json(before, NEEDS)))  # fmt: skip
    assert back.difference == -since.difference
    assert {x.part for x in back.lines} == {x.part for x in since.lines}
    assert json.loads(dumps(since_json(since)))["difference"] == float(since.difference)


# -- the earlier file


def _earlier(tmp_path, found):
    path = tmp_path / "old.json"
    path.write_bytes(found if isinstance(found, bytes) else dumps(found))
    return read_earlier(path, "EUR")


def test_an_earlier_result_is_read_with_exact_amounts(tmp_path):
    """What was written comes back to the last digit."""
    found = _earlier(tmp_path, result_to_json(RESULT, NEEDS))
    assert found["total"] == RESULT.total


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"format": "other"}, 'format: found "other"; "kitbill-result-1" belongs here'),
        ({"currency": "USD"}, 'currency: found "USD"; the job\'s, EUR, belongs here'),
        ({"lines": 3}, "lines: a list of tables belongs here"),
        ({"lines": [{}]}, "lines, number 1: part is missing"),
        ({"orders": [{"supplier": "a"}]}, "orders, number 1: name is missing"),
        ({"total": "much"}, 'total: found "much"; an amount or null belongs here'),
    ],
)
def test_a_file_that_is_no_result_is_refused(tmp_path, change, told):
    """It says which key, what was found and what belongs there."""
    with pytest.raises(BadInput) as wrong:
        _earlier(tmp_path, result_to_json(RESULT, NEEDS) | change)
    assert told in str(wrong.value)
    assert "old.json" in str(wrong.value)


@pytest.mark.parametrize(
    "content", [b"", b"[1, 2]", b"{", b'{"format": NaN}', b"\xff\xfe", b"[" * 9999]
)
def test_other_files_are_refused_in_words(tmp_path, content):
    """Never with a traceback."""
    with pytest.raises(BadInput):
        _earlier(tmp_path, content)


def test_a_wrong_number_in_a_line_is_refused(tmp_path):
    """A text where an amount belongs."""
    found = result_to_json(RESULT, NEEDS)
    found["lines"][2]["line_total"] = "dear"
    with pytest.raises(BadInput, match="lines, number 3, line_total"):
        _earlier(tmp_path, found)


# -- the sheet


def _beside():
    before = _result(_changed("lfp-100", price=Decimal(270)),
                     [dataclasses.replace(o, lead_days=8) for o in ORDERS])  # fmt: skip
    return Beside(since=_since(before))


def _book(beside):
    from bom.tasks_file import read_tasks
    from solver.work_order import work_order

    work = work_order(RESULT, NEEDS, STOCK, read_tasks(None, set()))
    return workbook_bytes(RESULT, NEEDS, STOCK, dataclasses.replace(beside, work=work))


def test_the_sheet_is_there_only_where_it_is_asked_for():
    """Without an earlier result nobody looks for changes."""
    with_it = openpyxl.load_workbook(io.BytesIO(_book(_beside())))
    without = openpyxl.load_workbook(io.BytesIO(_book(Beside())))
    assert "since" in with_it.sheetnames
    assert "since" not in without.sheetnames
    listed = [[r[0].value for r in b["start here"].iter_rows()] for b in (with_it, without)]
    assert ["since" in names for names in listed] == [True, False]
    sheet = with_it["since"]
    assert sheet.page_setup.orientation == "landscape"
    assert sheet.freeze_panes is not None


def test_the_sheet_recalculated_adds_up_to_the_difference(tmp_path):
    """A spreadsheet program finds the difference of the totals in the live formula."""
    office = shutil.which("soffice")
    if office is None:
        message = "LibreOffice (package libreoffice-calc-nogui) is not installed: no soffice"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    beside = _beside()
    (tmp_path / "kit.xlsx").write_bytes(_book(beside))
    subprocess.run(
        [
            office, f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless",
            "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir", str(tmp_path / "saved"),
            str(tmp_path / "kit.xlsx"),
        ],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    book = openpyxl.load_workbook(tmp_path / "saved" / "kit.xlsx", data_only=True)
    rows = [[c.value for c in row] for row in book["since"].iter_rows()]
    (total,) = (r[9] for r in rows if r[0] == "more than before")
    assert total == pytest.approx(float(beside.since.difference), abs=0.005)
    assert total == pytest.approx(19.0)
    (battery,) = (
        r
        for r in rows
        if r[0] == "lfp-100" and str(r[2]) == "dearer" and r[3] == "north" and r[4] == 1
    )
    assert battery[9] == pytest.approx(19.0)
