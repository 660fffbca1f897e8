"""A catalog file with a fault is refused: the place is named, and not a byte is changed."""

import io
from pathlib import Path

import openpyxl
import pytest

from catalog import book_files, csv_files
from catalog.csv_files import load
from catalog.store import open_catalog
from solver.errors import BadCatalog, BadInput
from tests.catalog.sample import (
    CABLE,
    FILES,
    FUSE,
    LUG,
    OFFERS,
    SUPPLIERS,
    TOOL,
    small_catalog,
    write,
)

LUG_HEAD, LUG_1, LUG_2 = LUG.splitlines()
COMBINER = (
    "part,name,length_mm,width_mm,height_mm,kg,ways,rated_a,way_a,max_v,fused_poles,fuse_kind\n"
    "box-4,Combiner,280,190,130,2,4,40,15,600,{},{}\n"
)
OFFER_HEAD = OFFERS.splitlines()[0]
SUPPLIER_HEAD = SUPPLIERS.splitlines()[0]


def refused(paths: list[Path], database: Path) -> list[str]:
    """The faults for which a load of these paths into this catalog is refused."""
    with open_catalog(database, create=True) as catalog, pytest.raises(BadInput) as caught:
        load(paths, catalog)
    return caught.value.problems


def lug(**cells: str) -> str:
    """The lug file with other cells in its row 3."""
    values = dict(zip(LUG_HEAD.split(","), LUG_2.split(","), strict=True)) | cells
    return "\n".join([LUG_HEAD, LUG_1, ",".join(values.values())]) + "\n"


def offer(**cells: str) -> str:
    """An offers file of one row, with other cells in it."""
    row = {
        "part": "lug-35-m8",
        "supplier": "north",
        "pack": "10",
        "unit": "each",
        "length_m": "",
        "from_quantity": "1",
        "price": "8.10",
        "lead_days": "",
        "stock": "",
    }
    return f"{OFFER_HEAD}\n{','.join((row | cells).values())}\n"


def supplier(**cells: str) -> str:
    """A suppliers file of one row, with other cells in it."""
    row = {
        "supplier": "west",
        "name": "West",
        "currency": "EUR",
        "shipping": "5",
        "free_over": "",
        "lead_days": "2",
    }
    return f"{SUPPLIER_HEAD}\n{','.join((row | cells).values())}\n"


# What is wrong: the files, and the texts that the message must hold.
CASES: dict[str, tuple[dict[str, str | bytes], list[str]]] = {
    "a file of no class": (
        {"lugs": LUG},
        ["lugs.csv: unknown file", 'did you mean "lug.csv"?'],
    ),
    "an unknown column": (
        {"lug": LUG_HEAD + ",studs\n" + LUG_1 + ",M8\n"},
        ["lug.csv, row 1, column studs: unknown column", 'did you mean "stud"?'],
    ),
    "a missing column": (
        {"lug": LUG.replace(",kind", "").replace(",tube", "")},
        ["lug.csv, row 1, column kind: the column is missing"],
    ),
    "a missing column whose cells may be empty": (
        {"lug": "part,name,length_mm,width_mm,kg,area_mm2,stud,kind\nx,X,,,1,35,M8,tube\n"},
        ["lug.csv, row 1, column height_mm: the column is missing"],
    ),
    "a repeated column": (
        {"lug": LUG_HEAD + ",kg\n" + LUG_1 + ",1\n"},
        ["lug.csv, row 1, column kg: the column stands here more than once"],
    ),
    "a column without a name": (
        {"lug": LUG_HEAD + ",\n" + LUG_1 + ",\n"},
        ["lug.csv, row 1: column number 10 has no name"],
    ),
    "columns separated by semicolons": (
        {"lug": LUG.replace(",", ";")},
        ["lug.csv, row 1: found", "columns are separated by commas"],
    ),
    "an empty first row": (
        {"lug": "\n" + LUG},
        ["lug.csv, row 1: found nothing; the names of the columns belong here"],
    ),
    "a repeated part": (
        {"lug": LUG + LUG_1 + "\n"},
        ['lug.csv, row 4, column part: found "lug-35-m8" again', "lug.csv, row 2"],
    ),
    "a part of one name in two classes": (
        {"lug": lug(part="twin"), "cable": CABLE.replace("cable-35-red", "twin")},
        ['lug.csv, row 3, column part: found "twin" again', "cable.csv, row 2"],
    ),
    "a part that the catalog has in another class": (
        {"lug": lug(part="panel-100")},
        ['lug.csv, row 3, column part: found "panel-100"', "is a panel in this catalog"],
    ),
    "a row with a field too many": (
        {"lug": LUG + "lug-x,Lug, long,,,,0.018,35,M8,tube\n"},
        ["lug.csv, row 4: found 10 fields; the heading has 9"],
    ),
    "a row with a field too few": (
        {"lug": LUG + "lug-x,Lug,,,,0.018,35,M8\n"},
        ["lug.csv, row 4: found 8 fields; the heading has 9"],
    ),
    "a row counted behind blank lines": (
        {"lug": LUG_HEAD + "\r\n\r\n\r\n" + LUG_1.replace("M8", "M7") + "\r\n"},
        ['lug.csv, row 4, column stud: found "M7"; one of M5, M6, M8'],
    ),
    "a quote that is never closed": (
        {"lug": LUG + '"lug-x,Lug,,,,0.018,35,M8,tube\n'},
        ["lug.csv, row 4: cannot be split into fields"],
    ),
    "bytes of another encoding": (
        {"lug": LUG.encode() + "lug-x,Öse,,,,0.018,35,M8,tube\n".encode("latin-1")},
        ["lug.csv, row 4: found the byte 0xd6, which is no UTF-8"],
    ),
    "two bytes a letter": (
        {"lug": LUG.encode("utf-16")},
        ["lug.csv: is UTF-16; save it as UTF-8"],
    ),
    "a NUL byte": (
        {"lug": LUG_HEAD.encode() + b"\n" + LUG_1.encode().replace(b"tube", b"tu\0be")},
        ["lug.csv, row 2: found a NUL byte"],
    ),
    "an empty file": ({"lug": b""}, ["lug.csv: is empty"]),
    "a name too long": (
        {"lug": lug(name="x" * 201)},
        ["lug.csv, row 3, column name: found a text of 201 characters; at most 200"],
    ),
    "a name over two lines": (
        {"lug": lug(name='"two\nlines"')},
        ["lug.csv, row 3, column name: found", "plain text belongs here"],
    ),
    "no name": (
        {"lug": lug(part=" ")},
        ["lug.csv, row 3, column part: found nothing"],
    ),
    "a unit where a number belongs": (
        {"lug": lug(area_mm2="35mm")},
        [
            'lug.csv, row 3, column area_mm2: found "35mm"; a number in mm², above 0',
            "belongs here (the number alone: 35)",
        ],
    ),
    "not a number": (
        {"lug": lug(area_mm2="nan")},
        ['lug.csv, row 3, column area_mm2: found "nan"; a number in mm²'],
    ),
    "an endless number": (
        {"lug": lug(kg="inf")},
        ['lug.csv, row 3, column kg: found "inf"; a number in kg'],
    ),
    "a number beyond all floats": (
        {"lug": lug(kg="1e999")},
        ['lug.csv, row 3, column kg: found "1e999"'],
    ),
    "a decimal comma": (
        {"lug": lug(kg='"0,018"')},
        ['lug.csv, row 3, column kg: found "0,018"', "(with a decimal point: 0.018)"],
    ),
    "a value below its range": (
        {"lug": lug(area_mm2="-35")},
        ['lug.csv, row 3, column area_mm2: found "-35"; a number in mm², above 0'],
    ),
    "a value above its range": (
        {"lug": lug(area_mm2="1001")},
        ['lug.csv, row 3, column area_mm2: found "1001"', "at most 1000 belongs here"],
    ),
    "a stud there is not": (
        {"lug": lug(stud="M9")},
        ['lug.csv, row 3, column stud: found "M9"; one of M5, M6, M8'],
    ),
    "a combiner with holders for no fuse": (
        {"combiner": COMBINER.format(1, "")},
        [
            "combiner.csv, row 2, column fuse_kind: found nothing; fused_poles is 1",
            "such as IEC 60269-6 gPV 10x38",
        ],
    ),
    "a combiner with fuses in no holder": (
        {"combiner": COMBINER.format(0, "IEC 60269-6 gPV 10x38")},
        [
            'combiner.csv, row 2, column fuse_kind: found "IEC 60269-6 gPV 10x38"; ',
            "fused_poles is 0, so the box has no holders",
        ],
    ),
    "a fuse in a holder there is not": (
        {"fuse": FUSE.replace("holder-1", "holder-2")},
        [
            'fuse.csv, row 2, column holder: found "holder-2", which is no part',
            'did you mean "holder-1"?',
        ],
    ),
    "a fuse that holds itself": (
        {"fuse": FUSE.replace("holder-1", "fuse-20")},
        ['fuse.csv, row 2, column holder: found "fuse-20", the part itself'],
    ),
    "a currency there is not": (
        {"suppliers": supplier(currency="EUX")},
        ['suppliers.csv, row 2, column currency: found "EUX"; a code of ISO 4217'],
    ),
    "a currency in small letters": (
        {"suppliers": supplier(currency="eur")},
        ['suppliers.csv, row 2, column currency: found "eur"', 'did you mean "EUR"?'],
    ),
    "a repeated supplier": (
        {"suppliers": SUPPLIERS + "north,Again,EUR,1,,1\n"},
        ['suppliers.csv, row 4, column supplier: found "north" again'],
    ),
    "negative freight": (
        {"suppliers": supplier(shipping="-1")},
        ['suppliers.csv, row 2, column shipping: found "-1"; an amount of money, at least 0'],
    ),
    "days that are no whole number": (
        {"suppliers": supplier(lead_days="2.5")},
        ['suppliers.csv, row 2, column lead_days: found "2.5"; a whole number in days'],
    ),
    "an offer of a part there is not": (
        {"offers": offer(part="lug-35-m6")},
        [
            'offers.csv, row 2, column part: found "lug-35-m6", which is no part',
            'did you mean "lug-35-m8"?',
        ],
    ),
    "an offer of a supplier there is not": (
        {"offers": offer(supplier="nord")},
        [
            'offers.csv, row 2, column supplier: found "nord", which is no supplier',
            'did you mean "north"?',
        ],
    ),
    "a spool without a length": (
        {"offers": offer(part="cable-35-red", unit="spool")},
        ["offers.csv, row 2, column length_m: found nothing; the metres on one spool"],
    ),
    "a length of what is no spool": (
        {"offers": offer(length_m="5")},
        ["offers.csv, row 2, column length_m: found 5; only a spool has a length"],
    ),
    "a cable by the piece": (
        {"offers": offer(part="cable-35-red")},
        ['offers.csv, row 2, column unit: found "each"; a cable is sold by the "m"'],
    ),
    "lugs by the metre": (
        {"offers": offer(unit="m")},
        ['offers.csv, row 2, column unit: found "m"; a lug is sold "each"'],
    ),
    "a unit there is not": (
        {"offers": offer(unit="box")},
        ['offers.csv, row 2, column unit: found "box"; one of each, m, spool'],
    ),
    "half a piece": (
        {"offers": offer(pack="2.5")},
        ["offers.csv, row 2, column pack: found 2.5; a whole number belongs here"],
    ),
    "an empty pack": (
        {"offers": offer(pack="0")},
        ['offers.csv, row 2, column pack: found "0"; a number, above 0 belongs here'],
    ),
    "a price from no quantity": (
        {"offers": offer(from_quantity="0")},
        ['offers.csv, row 2, column from_quantity: found "0"; a whole number, at least 1'],
    ),
    "a quantity beyond counting": (
        {"offers": offer(from_quantity="1e300")},
        ['offers.csv, row 2, column from_quantity: found "1e300"'],
    ),
    "a price that is no number": (
        {"offers": offer(price="8.10 EUR")},
        ['offers.csv, row 2, column price: found "8.10 EUR"', "(the number alone: 8.10)"],
    ),
    "two prices from one quantity": (
        {"offers": offer() + offer(pack="10.0", price="9").splitlines()[1] + "\n"},
        ["offers.csv, row 3, column from_quantity: found 1 again; offers.csv, row 2"],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_fault_is_named_with_its_place_and_changes_nothing(case: str, tmp_path: Path) -> None:
    """File, row and column stand in the message; the catalog's bytes are what they were."""
    files, wanted = CASES[case]
    database = small_catalog(tmp_path)
    before = database.read_bytes()
    folder = write(tmp_path / "bad", **files)
    with open_catalog(database, write=True) as catalog, pytest.raises(BadCatalog) as caught:
        load([folder], catalog)
    assert len(caught.value.problems) == 1, caught.value.problems
    for text in wanted:
        assert text in caught.value.problems[0]
    assert database.read_bytes() == before
    assert sorted(p.name for p in tmp_path.iterdir()) == ["bad", "small", "small.sqlite"]


@pytest.mark.parametrize(
    "case", [c for c in CASES if c != "a part that the catalog has in another class"]
)
def test_a_fault_leaves_no_new_catalog_behind(case: str, tmp_path: Path) -> None:
    """Where the catalog did not exist, it does not exist after a load that failed."""
    folder = write(tmp_path / "bad", **(FILES | CASES[case][0]))
    database = tmp_path / "new.sqlite"
    with open_catalog(database, create=True) as catalog, pytest.raises(BadCatalog):
        load([folder], catalog)
    assert [p.name for p in tmp_path.iterdir()] == ["bad"]


def test_every_fault_of_all_files_is_told_from_first_to_last(tmp_path: Path) -> None:
    """A person mends all the files in one go: faults come by file, row and column."""
    folder = write(
        tmp_path / "bad",
        lug=lug(area_mm2="x", stud="M9") + "lug-35-m8,Again,,,,1,35,M8,tube\n",
        offers=offer(part="nothing", price="-1") + offer(unit="m").splitlines()[1] + "\n",
        suppliers=supplier(currency="EURO"),
        tool=TOOL.replace("2.1", "-2.1"),
    )
    database = small_catalog(tmp_path)
    with open_catalog(database, write=True) as catalog, pytest.raises(BadCatalog) as caught:
        load([folder], catalog)
    places = [text.split(":")[0] for text in caught.value.problems]
    assert places == [
        "lug.csv, row 3, column area_mm2",
        "lug.csv, row 3, column stud",
        "lug.csv, row 4, column part",
        "offers.csv, row 2, column part",
        "offers.csv, row 2, column price",
        "offers.csv, row 3, column unit",
        "suppliers.csv, row 2, column currency",
        "tool.csv, row 2, column kg",
    ]


def test_names_of_a_file_that_cannot_be_read_are_not_called_unknown(tmp_path: Path) -> None:
    """One broken file does not make every offer of its parts look wrong too."""
    folder = write(tmp_path / "bad", **(FILES | {"panel": "", "suppliers": b"\xff"}))
    problems = refused([folder], tmp_path / "new.sqlite")
    assert [p.split(":")[0] for p in problems] == [
        "panel.csv",
        "suppliers.csv, row 1",
    ]


def test_an_offer_before_any_supplier_says_where_suppliers_stand(tmp_path: Path) -> None:
    """A new catalog has no suppliers: the message says which file brings them."""
    folder = write(tmp_path / "bad", lug=LUG, offers=offer())
    problems = refused([folder], tmp_path / "new.sqlite")
    assert any(
        "no supplier of this catalog, as it has none yet; suppliers.csv" in p for p in problems
    )


def test_a_huge_file_is_refused_unread(tmp_path: Path, monkeypatch) -> None:
    """A file over the limit is a mistake, and is not read into memory."""
    monkeypatch.setattr(csv_files, "MAX_BYTES", 100)
    folder = write(tmp_path / "bad", lug=LUG)
    problems = refused([folder], tmp_path / "new.sqlite")
    assert problems == [f"lug.csv: has {len(LUG.encode())} bytes; at most 100 are read"]


def test_the_limit_is_50_mb() -> None:
    """The largest catalog the tool is made for, 100,000 parts, is well below it."""
    assert csv_files.MAX_BYTES == 50_000_000


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("none.csv", "none.csv: no such file"),
        ("lug.csv", "lug.csv: no such file"),
        ("nowhere", "nowhere: no such file or folder"),
        ("lug.txt", "lug.txt: found another kind of file"),
        ("empty", "this folder holds no .csv file"),
    ],
)
def test_a_path_that_cannot_be_loaded_is_named(name: str, text: str, tmp_path: Path) -> None:
    """A path that is not there, or of another kind, is bad input."""
    (tmp_path / "lug.txt").write_text("x", encoding="utf-8")
    (tmp_path / "empty").mkdir()
    (problem,) = refused([tmp_path / name], tmp_path / "new.sqlite")
    assert text in problem


def test_nothing_named_is_bad_input(tmp_path: Path) -> None:
    """A load of nothing is a slip of the person, not a success."""
    (problem,) = refused([], tmp_path / "new.sqlite")
    assert problem.startswith("nothing to load")


def book(**sheets: list[list[object]]) -> bytes:
    """A workbook of these sheets."""
    made = openpyxl.Workbook()
    made.remove(made.active)
    for title, rows in sheets.items():
        sheet = made.create_sheet(title)
        for row in rows:
            sheet.append(row)
    raw = io.BytesIO()
    made.save(raw)
    return raw.getvalue()


LUG_ROW = ["lug-x", "Lug", None, None, None, 0.018, 35, "M8", "tube"]

BOOKS: dict[str, tuple[bytes, str]] = {
    "an unknown sheet": (
        book(lugs=[LUG_HEAD.split(","), LUG_ROW]),
        'shop.xlsx, sheet lugs: unknown sheet; did you mean "lug"?',
    ),
    "a text for a number": (
        book(
            lug=[LUG_HEAD.split(","), LUG_ROW, ["lug-y", *LUG_ROW[1:5], "18 g", *LUG_ROW[6:]]]
        ),
        'shop.xlsx, sheet lug, row 3, column kg: found "18 g"; a number in kg',
    ),
    "a yes for a number": (
        book(lug=[LUG_HEAD.split(","), [*LUG_ROW[:5], True, *LUG_ROW[6:]]]),
        "shop.xlsx, sheet lug, row 2, column kg: found true; a number in kg",
    ),
    "a formula never calculated": (
        book(lug=[LUG_HEAD.split(","), [*LUG_ROW[:2], "=1+1", *LUG_ROW[3:]]]),
        "shop.xlsx, sheet lug, row 2: column number 3: a formula that was never calculated",
    ),
    "a row wider than its heading": (
        book(lug=[LUG_HEAD.split(","), [*LUG_ROW, "left over"]]),
        "shop.xlsx, sheet lug, row 2: found 10 fields; the heading has 9",
    ),
    "an empty sheet": (
        book(lug=[]),
        "shop.xlsx, sheet lug, row 1: found nothing; the names of the columns belong here",
    ),
    "no workbook": (b"PK nonsense", "shop.xlsx: is no workbook that can be read"),
}


@pytest.mark.parametrize("case", BOOKS)
def test_a_fault_in_a_workbook_is_named_with_its_sheet(case: str, tmp_path: Path) -> None:
    """The same messages, with the sheet; and the catalog's bytes are what they were."""
    data, wanted = BOOKS[case]
    database = small_catalog(tmp_path)
    before = database.read_bytes()
    path = tmp_path / "shop.xlsx"
    path.write_bytes(data)
    with open_catalog(database, write=True) as catalog, pytest.raises(BadCatalog) as caught:
        load([path], catalog)
    assert [wanted in p for p in caught.value.problems] == [True], caught.value.problems
    assert database.read_bytes() == before


def test_a_workbook_that_unpacks_without_end_is_refused(tmp_path: Path, monkeypatch) -> None:
    """A small file may hold a huge one; its size is looked at before it is unpacked."""
    monkeypatch.setattr(book_files, "MAX_UNPACKED", 1000)
    path = tmp_path / "shop.xlsx"
    path.write_bytes(book(lug=[LUG_HEAD.split(","), LUG_ROW]))
    (problem,) = refused([path], tmp_path / "new.sqlite")
    assert problem.startswith("shop.xlsx: unpacks to over")
