"""The purchase workbook: live totals that agree, text that stays text, sheets that print.

LibreOffice is the judge of the formulas: it recalculates the book and saves it again.
"""

from __future__ import annotations

import dataclasses
import io
import os
import shutil
import subprocess
from decimal import Decimal

import openpyxl
import pytest

from bom.cautions import cautions_for
from bom.drawings.files import wiring_of
from bom.drawings.wiring import wiring_pages
from bom.sheets import since, start_here, wiring
from bom.workbook import SHEETS, workbook_bytes, write_workbook
from solver.needs import Job
from tests.bom.sample import (
    CHECKS,
    CUTS,
    DESIGN,
    FAILED,
    FORMULA_NAME,
    LENGTHS,
    LINES,
    LUGS_BY_HAND,
    NEEDS,
    NO_KIT,
    ORDERS,
    PARTS,
    RATE,
    RESULT,
    STOCK,
    TOTAL,
    imperial,
)
from tests.bom.wide_design import wide_design


def _book(result=RESULT, needs=NEEDS):
    return openpyxl.load_workbook(io.BytesIO(workbook_bytes(result, needs, STOCK)))


@pytest.fixture(scope="module")
def book():
    """The sample's workbook as written."""
    return _book()


@pytest.fixture(scope="module")
def recalculated(tmp_path_factory):
    """The sample's workbook after a spreadsheet program has recalculated and saved it."""
    office = shutil.which("soffice")
    if office is None:
        message = "LibreOffice (package libreoffice-calc-nogui) is not installed: no soffice"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    folder = tmp_path_factory.mktemp("office")
    write_workbook(folder / "kit.xlsx", RESULT, NEEDS, STOCK)
    subprocess.run(
        [
            office,
            f"-env:UserInstallation={(folder / 'profile').as_uri()}",
            "--headless",
            "--convert-to",
            "xlsx:Calc MS Excel 2007 XML",
            "--outdir",
            str(folder / "saved"),
            str(folder / "kit.xlsx"),
        ],
        check=True,
        capture_output=True,
        timeout=180,
    )
    return openpyxl.load_workbook(folder / "saved" / "kit.xlsx", data_only=True)


def _cells(book):
    return (
        c for sheet in book for row in sheet.iter_rows() for c in row if c.value is not None
    )


def _rows(sheet):
    return [[c.value for c in row] for row in sheet.iter_rows()]


def _amount(sheet, label):
    """The last value of the one row that begins with this label."""
    (row,) = (r for r in _rows(sheet) if r[0] == label)
    return [v for v in row if v is not None][-1]


def test_recalculated_totals_are_the_totals(recalculated):
    """The formulas give, to the cent, the stored total and that of the result."""
    sheet = recalculated["order"]
    live = _amount(sheet, "grand total (formula)")
    assert live == pytest.approx(float(TOTAL), abs=0.005)
    stored = _amount(sheet, "grand total as computed (stored number)")
    assert stored == pytest.approx(live, abs=0.005)
    for order in ORDERS:
        total = _amount(sheet, f"total {order.name}")
        assert total == pytest.approx(float(order.total), abs=0.005)


def test_recalculated_lines_are_the_lines(recalculated):
    """Every line's own formula gives its line_total."""
    by_part = {row[0]: row for row in _rows(recalculated["order"])}
    for line in LINES:
        if line.supplier is not None:
            assert by_part[line.part][9] == pytest.approx(float(line.line_total), abs=0.005)


def test_no_cell_shows_an_error(recalculated):
    """No formula is unknown to the program, and none divides by nothing."""
    errors = [
        f"{c.parent.title}!{c.coordinate}" for c in _cells(recalculated) if c.data_type == "e"
    ]
    assert errors == []


def test_recalculated_weight_is_the_sum_of_its_places(recalculated):
    """The sheet of weights adds up, and to the weight of what the design holds."""
    rows = [r for r in _rows(recalculated["weights"]) if isinstance(r[2], int | float)]
    *parts, in_all = rows
    assert in_all[2] == pytest.approx(sum(r[2] for r in parts))
    devices = sum(d.part.kg for d in DESIGN.devices)
    fuses = sum(PARTS[p.part].kg for p in DESIGN.protections) + 2 * 0.25 + 0.3
    cable = sum(PARTS[c.cable].kg * c.length_mm / 1000 for c in CUTS)
    ends = sum(PARTS[e.termination].kg for c in CUTS for e in c.ends if e.termination)
    assert in_all[2] == pytest.approx(devices + fuses + cable + ends + 2 * 0.02)


def test_same_answer_same_bytes():
    """A workbook that changed is an answer that changed."""
    assert workbook_bytes(RESULT, NEEDS, STOCK) == workbook_bytes(RESULT, NEEDS, STOCK)


def test_without_a_kit_nothing_is_written(tmp_path):
    """No half workbook and no empty one."""
    with pytest.raises(ValueError, match="no workbook"):
        write_workbook(tmp_path / "kit.xlsx", NO_KIT, NEEDS, STOCK)
    assert list(tmp_path.iterdir()) == []


def test_each_line_to_buy_stands_in_one_row(book):
    """Part, buy, price and line_total under their headings, in one row of the order."""
    rows = _rows(book["order"])
    (at,) = (i for i, r in enumerate(rows) if r[0] == "part")
    column = {heading: n for n, heading in enumerate(rows[at])}
    by_part = {r[0]: r for r in rows[at:]}
    for line in LINES:
        if line.supplier is None:
            assert line.part not in by_part
            continue
        row = by_part[line.part]
        assert row[column["buy"]] == float(line.buy)
        assert row[column["price"]] == pytest.approx(float(line.price), rel=1e-12)
        assert str(row[column["line_total"]]).startswith("=")


def test_each_line_tells_the_number_to_order_it_by(book):
    """The supplier's own, where its offer has one."""
    numbers = {r[0]: r[2] for r in _rows(book["order"])}
    bought = [x for x in LINES if x.supplier is not None]
    assert [numbers[x.part] for x in bought] == [f"{x.supplier}/{x.part}" for x in bought]


def test_each_supplier_begins_a_page(book):
    """So that each is sent what concerns it alone; the first stands under the title."""
    sheet = book["order"]
    heads = [n for n, r in enumerate(_rows(sheet), 1) if "; delivers in " in str(r[0])]
    assert len(heads) == len(ORDERS) > 1
    assert [b.id for b in sheet.row_breaks.brk] == [n - 1 for n in heads[1:]]


def test_total_is_stored_as_a_plain_number_too(book):
    """A preview that does not calculate still shows what is to be spent."""
    assert _amount(book["order"], "grand total as computed (stored number)") == float(TOTAL)
    assert _amount(book["start here"], "total") == float(TOTAL)


def test_text_from_files_is_never_a_formula(book):
    """Names beginning like formulas are quoted text; only our own cells calculate."""
    formulas = {c.parent.title for c in _cells(book) if c.data_type == "f"}
    assert formulas == {"order", "energy", "weights"}
    for cell in _cells(book):
        if cell.data_type == "f":
            assert set(cell.value) <= set("=ABCDEFGHIJSUM0123456789+-*():"), cell.value
        elif isinstance(cell.value, str) and cell.value[0] in "=+-@":
            assert cell.quotePrefix, f"{cell.parent.title}!{cell.coordinate}"
    found = [c for c in _cells(book) if c.value == FORMULA_NAME]
    assert len(found) >= 2
    assert {c.data_type for c in found} == {"s"}


@pytest.mark.parametrize(
    "name", ["#REF!", "#N/A", "=1+1", "@SUM(A1)", "-2", "+3", "a\x0bb", "a&b"]
)
def test_any_job_name_makes_a_book(name):
    """Error values, control characters and signs in a name are text like any other."""
    job = Job(name=name, currency="EUR")
    note = dataclasses.replace(RESULT, notes=(name,))
    book = _book(note, dataclasses.replace(NEEDS, job=job))
    (cell,) = (row[1] for row in book["start here"] if row[0].value == "note 2")
    assert cell.data_type == "s"
    assert cell.value == name.replace("\x0b", " ")


@pytest.mark.parametrize("module", [m for m in SHEETS if m is not since], ids=lambda m: m.TITLE)
def test_every_sheet_is_set_up_for_the_printer(book, module):
    """A4, one page wide, headings frozen and repeated, pages numbered; tables lie landscape."""
    sheet = book[module.TITLE]
    upright = module.TITLE in ("start here", "cautions")
    assert sheet.page_setup.orientation == ("portrait" if upright else "landscape")
    assert int(sheet.page_setup.paperSize) == 9
    assert sheet.page_setup.fitToWidth == 1
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert "&P" in sheet.oddFooter.right.text
    if any(c.heading for c in module.COLUMNS):
        assert sheet.freeze_panes is not None
        assert sheet.print_title_rows is not None


def test_every_heading_has_room_for_all_its_lines(book):
    """A row that is too low hides the first words of what its columns hold."""
    for module in SHEETS:
        if module is since:
            continue
        sheet = book[module.TITLE]
        at = sheet.print_title_rows
        if at is None:
            continue
        row = int(at.replace("$", "").split(":")[0])
        for cell, column in zip(sheet[row], module.COLUMNS, strict=False):
            # a digit is about as wide as a letter; a word is never broken before its end
            lines, used = 1, 0
            for word in str(cell.value or "").split():
                if used and used + 1 + len(word) > column.width:
                    lines, used = lines + 1, len(word)
                else:
                    used += (1 if used else 0) + len(word)
            assert sheet.row_dimensions[row].height >= 12 * lines, (module.TITLE, cell.value)


def test_first_sheet_lists_the_others():
    """A sheet that is added is announced where a reader begins."""
    assert [title for title, _ in start_here.SHEETS] == [m.TITLE for m in SHEETS[1:]]


def test_the_wiring_diagram_is_in_the_book(book):
    """Every page of it, as a picture; printed, each has a page of its own."""
    pages = wiring_of(RESULT, NEEDS)
    sheet = book["wiring"]
    assert len(sheet._images) == len(pages) >= 1
    for image in sheet._images:
        assert image._data().startswith(b"\x89PNG")


def test_each_page_of_the_wiring_diagram_is_printed_on_a_page_of_its_own(monkeypatch):
    """No drawing is cut in two by the end of the paper, nor wider than it."""
    pages = wiring_pages(*wide_design(5))
    monkeypatch.setattr(wiring, "wiring_of", lambda *_: pages)
    sheet = _book()["wiring"]
    assert len(sheet._images) == len(pages) > 2
    printed = (595.3 - 2 * 0.7 * 72, 841.9 - 2 * 0.5 * 72)
    tops = [0.0]
    for row in range(1, sheet.max_row + 200):
        height = sheet.row_dimensions[row].height or 15
        # A row that does not fit goes onto the next page whole.
        over = (tops[-1] % printed[0]) + height > printed[0]
        start = (tops[-1] // printed[0] + 1) * printed[0] if over else tops[-1]
        tops[-1] = start
        tops.append(start + height)
    on = []
    for image in sheet._images:
        top = tops[image.anchor._from.row]
        bottom = top + image.anchor.ext.height / 12700
        assert top // printed[0] == bottom // printed[0]
        assert image.anchor.ext.width / 12700 < printed[1]
        on.append(top // printed[0])
    assert on == [0, 1, 2]


def test_cautions_are_met_before_any_work(book):
    """Whoever turns the pages meets them second, not behind the many pages of checks."""
    assert book.sheetnames[:2] == ["start here", "cautions"]
    assert book.sheetnames[-1] == "checks"


@pytest.mark.parametrize("title", ["start here", "cautions"])
def test_short_sheets_print_on_one_page(book, title):
    """No single line is left for a second page."""
    assert book[title].page_setup.fitToHeight == 1


def test_a_supplier_in_another_currency_is_told_in_both(book):
    """What its invoice and each price will read, beside the job's currency."""
    texts = [str(r[0]) for r in _rows(book["order"])]
    (head,) = (t for t in texts if t.startswith("Isle Cable and Lug"))
    isle = next(o for o in ORDERS if o.supplier == "isle")
    invoice = isle.total / RATE
    assert invoice == invoice.quantize(Decimal("0.01"))
    assert f"sells in USD, 1 USD = {RATE} EUR; its invoice comes to {invoice:.2f} USD" in head
    sold_as = {r[0]: r[3] for r in _rows(book["order"])}
    assert sold_as["lug-25-m8"] == "pack of 10, 7.77 USD"
    assert sold_as["cable-pv-6"] == "spool of 25 m, 31.49 USD"
    assert sold_as["panel-200"] == "single"


def test_lug_count_is_that_of_the_ends(book):
    """The sheet's count is the one made by hand."""
    counted = [(r[0], r[5]) for r in _rows(book["lug count"]) if r[1] == "lug"]
    assert counted == LUGS_BY_HAND


def test_every_piece_stands_once_in_the_cut_list(book):
    """No piece is forgotten and none is cut twice."""
    labels = [r[1] for r in _rows(book["cut list"]) if r[0] == "☐"]
    assert sorted(labels) == sorted(c.label for c in CUTS)


def test_each_length_ends_with_its_offcut_and_the_longest_piece_is_cut_first(book):
    """Under the pieces of a length stands what is left of it, as worked out by hand."""
    order, offcuts = [], {}
    for row in _rows(book["cut list"]):
        if row[0] == "☐":
            order.append(row[1])
        elif row[1] == "offcut":
            offcuts[tuple(order)] = row[2]
            order = []
    assert offcuts == {x.cuts: x.offcut_mm for x in LENGTHS}


def test_a_spool_from_which_nothing_is_cut_is_told():
    """Bought for a price break: it stays whole, and the list says so."""
    spare = dataclasses.replace(LENGTHS[1], name="spool 2", cuts=(), offcut_mm=6000)
    design = dataclasses.replace(DESIGN, lengths=(*LENGTHS, spare))
    book = _book(dataclasses.replace(RESULT, design=design))
    assert any(
        r[0] == "spool 2: nothing is cut from it, 6 m stay over"
        for r in _rows(book["cut list"])
    )


def test_energy_has_a_chart_of_need_and_supply(book):
    """Yield and other charging as bars, the need as a line over the same months."""
    (chart,) = book["energy"]._charts
    titles = [s.tx.strRef.f for part in (chart, *chart._charts[1:]) for s in part.series]
    names = [book["energy"][t.split("!")[1].replace("$", "")].value for t in titles]
    assert names == ["array yield", "other charging", "need"]


def test_failed_checks_come_first_and_shout(book):
    """A check that failed stands on top, in bold, with NO."""
    checks = (*CHECKS, FAILED)
    sheet = _book(dataclasses.replace(RESULT, checks=checks))["checks"]
    row = next(r for r in sheet.iter_rows(min_row=4) if r[5].value in {"yes", "NO"})
    assert (row[0].value, row[5].value) == (FAILED.rule, "NO")
    assert row[0].font.bold
    assert not any(r[5].value == "NO" for r in book["checks"].iter_rows())


def test_each_check_shows_its_source(book):
    """No value is asked for on anybody's word."""
    rows = [r for r in _rows(book["checks"]) if r[5] in {"yes", "NO"}]
    assert [(r[0], r[6]) for r in rows] == [(c.rule, c.source) for c in CHECKS]


def test_amounts_have_the_currency_in_their_format():
    """Numbers stay numbers; the currency is their format, with its own number of decimals."""
    needs = dataclasses.replace(NEEDS, job=Job(name="hut", currency="JPY"))
    book = _book(dataclasses.replace(RESULT, currency="JPY"), needs)
    formats = {c.number_format for c in _cells(book) if "JPY" in c.number_format}
    assert formats == {'#,##0" JPY"'}


def test_imperial_jobs_are_shown_in_inches_and_pounds():
    """Shown only: a piece of cable keeps its millimetres and gets inches, rounded up."""
    book = _book(needs=imperial())
    (cut,) = (r for r in _rows(book["cut list"]) if r[1] == "W12")
    assert cut[2:4] == [2500, 98.5]
    offcuts = [r[2:4] for r in _rows(book["cut list"]) if r[1] == "offcut"]
    assert [2100, 82.6] in offcuts, "2100 mm are 82.68 in: no more is promised than there is"
    (panel,) = (r for r in _rows(book["places"]) if r[0] == "PV1")
    assert panel[5] == pytest.approx(1480 / 25.4)
    assert panel[9] == pytest.approx(11.5 / 0.45359237)


def test_two_offers_of_a_part_are_two_rows():
    """A part bought from two suppliers stands under each, and the total holds both."""
    line = next(x for x in LINES if x.part == "pv-plug")
    north = dataclasses.replace(line, supplier="north", price=Decimal(2), line_total=Decimal(4))
    sheet = _book(dataclasses.replace(RESULT, lines=(*LINES, north)))["order"]
    assert [r[0] for r in _rows(sheet)].count("pv-plug") == 2


@pytest.mark.parametrize(
    ("chemistry", "said", "unsaid"),
    [("lfp", "below 0 °C", "hydrogen"), ("agm", "hydrogen", "below 0 °C")],
)
def test_cautions_are_those_of_the_chemistry(chemistry, said, unsaid):
    """Freezing for lithium, gas for lead; the general ones for both."""
    texts = " ".join(
        c.text for c in cautions_for(dataclasses.replace(DESIGN, chemistry=chemistry))
    )
    assert said in texts
    assert unsaid not in texts
    assert "live from the factory" in texts
    assert "licensed electrician" in texts
