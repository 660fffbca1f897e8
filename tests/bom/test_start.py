"""`kitbill start` writes a needs file that is valid as it stands and explains every key."""

import re

import openpyxl
import pytest

from bom.needs_file import read_needs
from bom.needs_keys import TABLES
from bom.start import write_template
from bom.start_values import entries_of
from solver.errors import BadInput
from tests.bom.small_needs import STOCK

LEFT_OUT = re.compile(r"^#(?=\[|[a-z_]+ = )", re.MULTILINE)
"""The sign in front of a key or table that the template leaves out."""


@pytest.fixture
def toml(tmp_path):
    """A new TOML file."""
    write_template(tmp_path / "needs.toml")
    return tmp_path / "needs.toml"


@pytest.fixture
def book(tmp_path):
    """A new workbook."""
    write_template(tmp_path / "needs.xlsx")
    return tmp_path / "needs.xlsx"


def test_toml_is_valid_as_it_stands(toml):
    """A person can pick a kit before having changed anything."""
    needs = read_needs(toml, STOCK)
    assert len(needs.loads) == 4
    assert any(place.may_hold("panel") for place in needs.places)


def test_book_says_the_same_as_toml(toml, book):
    """Both forms come to the same needs."""
    assert read_needs(book, STOCK) == read_needs(toml, STOCK)


def test_every_key_stands_in_toml(toml):
    """No key is left for the person to find out about."""
    text = toml.read_text(encoding="utf-8")
    for table in TABLES:
        assert f"[{table.name}]" in text
        for name in table.names():
            assert re.search(rf"^#?{name} = ", text, re.MULTILINE), (table.name, name)


def test_every_remark_of_toml_precedes_its_key(toml):
    """The meaning, unit and range of the declared columns are the remarks."""
    text = re.sub(r"\n# ", " ", toml.read_text(encoding="utf-8"))
    for table in TABLES:
        if table.record is not None:
            for col in table.columns():
                assert col.meaning in text
                assert col.one_of is not None or col.unit in text


def test_whatever_is_left_out_is_valid_once_taken_in(toml):
    """The samples behind the # signs are right."""
    text = toml.read_text(encoding="utf-8")
    all_in = LEFT_OUT.sub("", text)
    assert all_in.count("\n[[owned]]") == 1
    toml.write_text(all_in, encoding="utf-8")
    needs = read_needs(toml, STOCK)
    assert needs.owned[0].part.name == "battery from the old boat"
    assert needs.charging[0].kind == "shore"
    assert needs.limits.budget == 3000
    assert needs.order.need_by is not None


def test_every_key_stands_in_the_book(book):
    """Every key is a heading or stands in the first column, with what it is beside or below it."""
    made = openpyxl.load_workbook(book)
    assert made.sheetnames[0] == "notes"
    for table in TABLES:
        sheet = made[table.name]
        if table.rows:
            names = {c.value for c in sheet[1]}
            names |= {"obstacles"} if "obstacle" in made.sheetnames else set()
            assert all(c.value for c in sheet[2])
        else:
            names = {str(row[0].value).partition(".")[0] for row in sheet.iter_rows(min_row=2)}
            assert all(row[2].value for row in sheet.iter_rows(min_row=2))
        assert {e.name for e in entries_of(table)} <= names, table.name


def test_the_book_takes_an_owned_part(book):
    """A row typed under the headings is read."""
    made = openpyxl.load_workbook(book)
    sheet = made["owned"]
    headings = {c.value: c.column for c in sheet[1]}
    for key, value in {"class": "lug", "name": "old lug", "quantity": 3, "kg": 0.02,
                       "area_mm2": 35, "stud": "M8", "kind": "tube"}.items():  # fmt: skip
        sheet.cell(3, headings[key], value)
    made.save(book)
    (owned,) = read_needs(book, STOCK).owned
    assert owned.part.cls == "lug"
    assert owned.quantity == 3


@pytest.mark.parametrize("name", ["needs.toml", "needs.xlsx"])
def test_never_overwrites_unless_told(tmp_path, name):
    """A file that is there stays as it is; with force it is replaced."""
    (tmp_path / name).write_text("mine")
    with pytest.raises(BadInput, match=rf"{name}: is there already.*--force"):
        write_template(tmp_path / name)
    assert (tmp_path / name).read_text() == "mine"
    write_template(tmp_path / name, force=True)
    assert read_needs(tmp_path / name, STOCK).job.name


@pytest.mark.parametrize("name", ["needs", "needs.yaml", "needs.xls"])
def test_another_ending_is_refused(tmp_path, name):
    """Only the two forms are written."""
    with pytest.raises(BadInput, match=r"\.toml or \.xlsx"):
        write_template(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_missing_folder_is_refused(tmp_path):
    """The folder is named, and nothing is made."""
    with pytest.raises(BadInput, match="there is no folder"):
        write_template(tmp_path / "none" / "needs.toml")
