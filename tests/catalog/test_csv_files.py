"""Loading and dumping: what goes in comes out, and nothing else changes."""

from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.cells import cell_text
from catalog.csv_files import Summary, dump, load
from catalog.store import open_catalog, read_stock
from solver.columns import columns_of, read_value
from solver.errors import BadInput
from solver.parts import CLASSES
from solver.stock import Offer, Stock, Supplier
from tests.catalog.sample import FILES, LUG, OFFERS, SUPPLIERS, small_catalog, write


def loaded(paths: list[Path], database: Path) -> Summary:
    """Load the paths into a database, which is started if it is not there."""
    with open_catalog(database, create=True) as catalog:
        return load(paths, catalog)


def stock_of(database: Path) -> Stock:
    """Everything in a database."""
    with open_catalog(database) as catalog:
        return read_stock(catalog)


def dumped(database: Path, folder: Path) -> dict[str, bytes]:
    """The files of a dump, by their names."""
    with open_catalog(database) as catalog:
        dump(catalog, folder)
    return {p.name: p.read_bytes() for p in folder.iterdir()}


def test_a_loaded_catalog_holds_what_the_files_say(tmp_path: Path) -> None:
    """Numbers, lists, money, empty cells and quoted texts arrive as what they are."""
    stock = stock_of(small_catalog(tmp_path))
    assert len(stock.parts) == 11
    assert stock.by_name["mppt-20"].battery_v == (12.0, 24.0)
    assert stock.by_name["mppt-20"].max_pv_a is None
    assert stock.by_name["panel-100"].voc_pct_per_c == -0.27
    assert stock.by_name["panel-200"].voc_pct_per_c is None
    assert stock.by_name["cable-35-red"].name == "Cable, fine strands"
    assert stock.by_name["lug-16-516"].stud == "5/16 in"
    assert stock.by_name["fuse-20"].holder == "holder-1"
    assert stock.by_name["crimper"].wears is False
    north, south = stock.suppliers
    assert (north.free_over, south.free_over) == (Decimal(150), None)
    prices = {(o.part, o.unit, o.from_quantity): o.price for o in stock.offers}
    assert prices["lug-35-m8", "each", 1] == Decimal("8.125")
    assert prices["panel-100", "each", 4] == Decimal("75.50")


def test_the_order_of_files_and_rows_changes_nothing(tmp_path: Path) -> None:
    """A catalog is a set of records: shuffled files give the same one."""
    turned = {
        stem: "\n".join([text.splitlines()[0], *reversed(text.splitlines()[1:])]) + "\n"
        for stem, text in reversed(FILES.items())
    }
    folder = write(tmp_path / "turned", **turned)
    files = sorted(folder.iterdir(), reverse=True)
    loaded(files, tmp_path / "turned.sqlite")
    assert stock_of(tmp_path / "turned.sqlite") == stock_of(small_catalog(tmp_path))


def test_load_of_a_dump_changes_nothing(tmp_path: Path) -> None:
    """Neither the database's bytes nor a second dump differ."""
    database = small_catalog(tmp_path)
    before = database.read_bytes()
    first = dumped(database, tmp_path / "first")
    summary = loaded([tmp_path / "first"], database)
    assert (summary.parts_same, summary.suppliers_same) == (11, 2)
    assert summary.parts_added == summary.parts_changed == summary.pairs_renewed == 0
    assert database.read_bytes() == before
    assert dumped(database, tmp_path / "second") == first


def test_a_dump_makes_the_same_catalog_anew(tmp_path: Path) -> None:
    """A dump loaded into nothing is the catalog it came from."""
    first = dumped(small_catalog(tmp_path), tmp_path / "first")
    loaded([tmp_path / "first"], tmp_path / "new.sqlite")
    assert dumped(tmp_path / "new.sqlite", tmp_path / "second") == first


def test_a_dump_is_the_contracts_form(tmp_path: Path) -> None:
    """A file a class, sorted, numbers in their shortest form, prices with their cents."""
    files = dumped(small_catalog(tmp_path), tmp_path / "first")
    assert sorted(files) == sorted(f"{stem}.csv" for stem in FILES)
    assert files["offers.csv"].decode().splitlines() == [
        "part,supplier,pack,unit,length_m,from_quantity,price,lead_days,stock,order_number",
        "cable-35-red,north,1,m,,1,7.30,,,",
        "cable-35-red,north,1,spool,25,1,165.00,,4,",
        "conduit-20,south,2.5,m,,1,3.10,,,",
        "fuse-20,north,5,each,,1,1.99,,,",
        "lug-35-m8,north,10,each,,1,8.125,,,",
        "mppt-20,north,1,each,,1,109.95,,,",
        "panel-100,north,1,each,,1,79.00,,12,",
        "panel-100,north,1,each,,4,75.50,,12,",
        "panel-200,south,1,each,,1,120,2,,",
    ]
    assert files["lug.csv"].decode() == (
        "part,name,length_mm,width_mm,height_mm,kg,area_mm2,stud,kind\n"
        "lug-16-516,Lug 16 mm² 5/16 in,,,,0.011,16,5/16 in,tube\n"
        "lug-35-m8,Lug 35 mm² M8,,,,0.018,35,M8,tube\n"
    )


def test_a_dump_over_an_older_one_is_this_catalog_as_a_whole(tmp_path: Path) -> None:
    """A class that has no parts any more does not come back from a file left in the folder."""
    folder = write(tmp_path / "dump", vent="old", comm_cable="old")
    (folder / "notes.txt").write_text("mine", encoding="utf-8")
    database = small_catalog(tmp_path)
    files = dumped(database, folder)
    assert files["vent.csv"].decode().count("\n") == 1
    assert files["notes.txt"] == b"mine"
    loaded([folder], tmp_path / "new.sqlite")
    assert stock_of(tmp_path / "new.sqlite") == stock_of(database)


def test_a_dump_into_a_file_is_refused(tmp_path: Path) -> None:
    """A folder belongs there, and the file stays what it was."""
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    with open_catalog(small_catalog(tmp_path)) as catalog, pytest.raises(BadInput):
        dump(catalog, tmp_path / "file")
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


def test_loading_again_updates_by_name(tmp_path: Path) -> None:
    """A part and a supplier of the same name are changed; the others stay."""
    database = small_catalog(tmp_path)
    folder = write(
        tmp_path / "more",
        lug=LUG.replace("0.018", "0.02").replace("lug-16-516", "lug-new"),
        suppliers=SUPPLIERS.replace("9.90", "4.90"),
    )
    summary = loaded([folder], database)
    assert (summary.parts_added, summary.parts_changed, summary.parts_same) == (1, 1, 0)
    assert (summary.suppliers_changed, summary.suppliers_same) == (1, 1)
    stock = stock_of(database)
    assert stock.by_name["lug-35-m8"].kg == 0.02
    assert {"lug-16-516", "lug-new"} <= set(stock.by_name)
    assert stock.suppliers[0].shipping == Decimal("4.90")
    assert len(stock.offers) == 9


def test_offers_replace_those_of_the_pairs_named(tmp_path: Path) -> None:
    """Of a part and supplier in the file only its own rows remain; other pairs are left."""
    database = small_catalog(tmp_path)
    folder = write(tmp_path / "more", offers=OFFERS.splitlines()[0] + "\n"
                   "panel-100,north,2,each,,1,150,,\npanel-100,south,1,each,,1,80,,\n")  # fmt: skip
    summary = loaded([folder], database)
    assert (summary.offers, summary.pairs_renewed) == (2, 2)
    found = [(o.supplier, o.pack, o.price) for o in stock_of(database).offers
             if o.part == "panel-100"]  # fmt: skip
    assert found == [("north", 2, 150), ("south", 1, 80)]
    assert len(stock_of(database).offers) == 9


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "marked"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_byte_order_mark_and_line_ends_are_no_matter(
    mark: bytes, end: str, tmp_path: Path
) -> None:
    """Files from any system load alike, the last line end missing or not, blank rows too."""
    text = LUG.rstrip("\n").replace("\n", end) + end + ",,,,,,,,"
    folder = write(tmp_path / "odd", lug=mark + text.encode())
    loaded([folder], tmp_path / "new.sqlite")
    assert [p.part for p in stock_of(tmp_path / "new.sqlite").parts] == [
        "lug-16-516",
        "lug-35-m8",
    ]


def test_columns_may_stand_in_any_order_and_optional_ones_be_left_out(tmp_path: Path) -> None:
    """A heading in another order is the same table; an absent optional column is its default."""
    rows = [line.split(",") for line in LUG.splitlines()]
    turned = "\n".join(",".join(reversed(row)) for row in rows) + "\n"
    loaded([write(tmp_path / "a", lug=turned)], tmp_path / "a.sqlite")
    loaded([write(tmp_path / "b", lug=LUG)], tmp_path / "b.sqlite")
    assert stock_of(tmp_path / "a.sqlite") == stock_of(tmp_path / "b.sqlite")
    panel = stock_of(small_catalog(tmp_path)).by_name["panel-100"]
    assert panel.clear_mm is None


def test_a_file_named_twice_is_read_once(tmp_path: Path) -> None:
    """A folder and a file in it may both be named."""
    folder = write(tmp_path / "a", lug=LUG)
    summary = loaded([folder, folder / "lug.csv"], tmp_path / "new.sqlite")
    assert (summary.files, summary.parts_added) == (1, 2)


def test_a_workbook_is_read_like_the_files(tmp_path: Path) -> None:
    """One sheet a file, numbers as numbers or as text: the same catalog."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for stem, text in FILES.items():
        sheet = book.create_sheet(stem)
        for line in text.replace('"Cable, fine strands"', "Cable; fine strands").splitlines():
            cells = line.replace("Cable;", "Cable,,").split(",")
            if ",," in line and "Cable;" in line:
                at = cells.index("Cable")
                cells[at : at + 3] = ["Cable, fine strands"]
            sheet.append([number(c) for c in cells])
    book.save(tmp_path / "shop.xlsx")
    loaded([tmp_path / "shop.xlsx"], tmp_path / "new.sqlite")
    assert stock_of(tmp_path / "new.sqlite") == stock_of(small_catalog(tmp_path))


def number(cell: str) -> object:
    """A cell as a spreadsheet program keeps it."""
    if cell in ("true", "false"):
        return cell == "true"
    try:
        return float(cell) if cell else None
    except ValueError:
        return cell


def test_money_of_a_workbook_has_no_binary_noise(tmp_path: Path) -> None:
    """A price that was computed in the book is what the book shows."""
    book = openpyxl.Workbook()
    book.active.title = "suppliers"
    for line in SUPPLIERS.replace("9.90", str(0.1 + 0.2)).splitlines():
        book.active.append([number(c) for c in line.split(",")])
    book.save(tmp_path / "shop.xlsx")
    loaded([tmp_path / "shop.xlsx"], tmp_path / "new.sqlite")
    assert stock_of(tmp_path / "new.sqlite").suppliers[0].shipping == Decimal("0.3")


def test_progress_is_told(tmp_path: Path) -> None:
    """Each file is named while it is read."""
    told: list[str] = []
    folder = write(tmp_path / "a", lug=LUG)
    with open_catalog(tmp_path / "new.sqlite", create=True) as catalog:
        load([folder], catalog, told.append)
    assert "reading lug.csv" in told


COLUMNS = [
    pytest.param(c, id=f"{name}-{c.name}")
    for name, record in {"lug": CLASSES["lug"], "controller": CLASSES["controller"],
                         "tool": CLASSES["tool"], "suppliers": Supplier,
                         "offers": Offer}.items()
    for c in columns_of(record)
    if c.one_of is None
]  # fmt: skip

VALUES = {
    "text": st.text(
        st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=30
    ),
    "whole": st.integers(1, 1000),
    "yes_no": st.booleans(),
    "money": st.decimals(0, 10**6, allow_nan=False, places=4).map(lambda d: d + 1),
}


@pytest.mark.parametrize("column", COLUMNS)
@given(data=st.data())
@settings(max_examples=40)
def test_a_cell_reads_back_exactly(column, data) -> None:
    """Any value, written as a cell, is read as the very same value."""
    least = 0.001 if column.above is None else column.above + 0.001
    most = 1e9 if column.at_most is None else column.at_most
    values = VALUES | {"number": st.floats(least, most)}
    value = data.draw(values[column.kind])
    assert read_value(column, cell_text(column, value)) == value
