"""Large catalogs are read and written block by block: what that may not change, and what it tells.

The blocks are made tiny here, so that every seam between two of them is crossed.
"""

from __future__ import annotations

import functools
import gc
import subprocess
import sys
from pathlib import Path

import pytest
import sqlalchemy as sa
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.catalogs import generated
from catalog import changes, csv_files, sheet, store
from catalog.cells import cell_text, column_texts, reads_as_itself
from catalog.csv_files import dump, load, write_stock
from catalog.store import open_catalog, read_stock
from solver.columns import Column, Wrong, columns_of, read_value
from solver.errors import BadCatalog, BadInput
from solver.parts import CLASSES
from solver.stock import Offer, Stock
from tests.catalog.sample import FILES, small_catalog, write
from tests.catalog.test_bad_catalogs import CASES

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def large() -> Stock:
    """A catalog of more rows than the tiny blocks hold, with rows of every class."""
    return generated(2000, 5)


@pytest.fixture(scope="module")
def files(large: Stock, tmp_path_factory) -> Path:
    """Its CSV files."""
    folder = tmp_path_factory.mktemp("large") / "files"
    write_stock(large, folder)
    return folder


def tiny_blocks(monkeypatch, rows: int) -> None:
    """Let everything that goes by blocks take so few rows at a time."""
    monkeypatch.setattr(sheet, "BLOCK_ROWS", rows)
    monkeypatch.setattr(changes, "BLOCK_ROWS", rows)
    monkeypatch.setattr(csv_files, "BLOCK_ROWS", rows)
    monkeypatch.setattr(store, "_BLOCK_ROWS", rows)


def loaded(paths: list[Path], database: Path, told: list[str] | None = None) -> Path:
    """A catalog of these files."""
    with open_catalog(database, create=True) as catalog:
        load(paths, catalog, None if told is None else told.append)
    return database


def stock_of(database: Path) -> Stock:
    """Everything in a catalog."""
    with open_catalog(database) as catalog:
        return read_stock(catalog)


def problems(paths: list[Path], database: Path) -> list[str]:
    """The faults for which a load is refused."""
    with open_catalog(database, write=True) as catalog, pytest.raises(BadInput) as caught:
        load(paths, catalog)
    return caught.value.problems


def test_what_was_loaded_is_what_is_read_and_dumped(large, files, tmp_path) -> None:
    """Thousands of parts and offers come back as the same records, and as the same bytes."""
    database = loaded([files], tmp_path / "new.sqlite")
    assert stock_of(database) == large
    with open_catalog(database) as catalog:
        dumped = dump(catalog, tmp_path / "dumped")
    assert len(dumped) == len({p.cls for p in large.parts}) + 2
    for path in dumped:
        assert path.read_bytes() == (files / path.name).read_bytes()


@pytest.mark.parametrize("rows", [1, 7, 500])
def test_blocks_leave_no_seam(rows, files, tmp_path, monkeypatch) -> None:
    """The same database, byte for byte, and the same dump, however few rows go at a time."""
    whole = loaded([files], tmp_path / "whole.sqlite")
    tiny_blocks(monkeypatch, rows)
    blocks = loaded([files], tmp_path / "blocks.sqlite")
    assert blocks.read_bytes() == whole.read_bytes()
    with open_catalog(blocks) as catalog:
        for path in dump(catalog, tmp_path / "dumped"):
            assert path.read_bytes() == (files / path.name).read_bytes()


@pytest.mark.parametrize("case", CASES)
def test_a_fault_is_told_alike_in_every_block(case, tmp_path, monkeypatch) -> None:
    """A fault's row does not depend on which block the row falls into."""
    database = small_catalog(tmp_path)
    folder = write(tmp_path / "bad", **CASES[case][0])
    whole = problems([folder], database)
    for rows in (1, 2):
        tiny_blocks(monkeypatch, rows)
        assert problems([folder], database) == whole


def test_faults_far_down_are_all_told_and_change_nothing(files, tmp_path, monkeypatch) -> None:
    """One wrong price in the first offer, a part there is not in the last: both, with rows."""
    database = loaded([files], tmp_path / "own.sqlite")
    before = database.read_bytes()
    lines = (files / "offers.csv").read_text(encoding="utf-8").splitlines()
    first, last = lines[1].split(","), lines[-1].split(",")
    first[6], last[0] = "dear", "no-such-part"
    offers = [lines[0], ",".join(first), *lines[2:-1], ",".join(last)]
    folder = write(tmp_path / "bad", offers="\n".join(offers) + "\n")
    tiny_blocks(monkeypatch, 100)
    with open_catalog(database, write=True) as catalog, pytest.raises(BadCatalog) as caught:
        load([folder], catalog)
    wrong_price, wrong_part = caught.value.problems
    assert wrong_price.startswith('offers.csv, row 2, column price: found "dear"')
    assert wrong_part.startswith(f"offers.csv, row {len(lines)}, column part: found")
    assert database.read_bytes() == before


def test_every_fault_of_many_is_told(files, tmp_path) -> None:
    """Thousands of faults are thousands of messages; only a few have a hint, which is slow."""
    database = loaded([files], tmp_path / "own.sqlite")
    text = (files / "offers.csv").read_text(encoding="utf-8")
    heading, *rows = text.splitlines()
    folder = write(tmp_path / "bad", offers="\n".join([heading, *(f"x{r}" for r in rows)]))
    told = problems([folder], database)
    assert len(told) == len(rows)
    assert 'did you mean "' in told[0]
    assert len({t.split("did you mean")[1] for t in told if "did you mean" in t}) <= 20


def test_a_loaded_price_list_changes_only_its_offers(large, files, tmp_path) -> None:
    """Loading the same again writes nothing; a dearer list replaces the offers it names."""
    database = loaded([files], tmp_path / "own.sqlite")
    before = database.read_bytes()
    loaded([files], database)
    assert database.read_bytes() == before
    dearer = [
        Offer(
            **{**{c.name: getattr(o, c.name) for c in columns_of(Offer)}, "price": o.price + 1}
        )
        for o in large.offers
    ]
    write_stock(Stock.of([], large.suppliers, dearer), tmp_path / "dearer")
    loaded([tmp_path / "dearer"], database)
    assert stock_of(database) == Stock.of(large.parts, large.suppliers, dearer)


def test_progress_tells_files_and_rows(files, tmp_path, monkeypatch) -> None:
    """A person who waits sees what is read, how far it is, and what is written."""
    told: list[str] = []
    tiny_blocks(monkeypatch, 1000)
    loaded([files], tmp_path / "own.sqlite", told)
    offers = len((files / "offers.csv").read_text(encoding="utf-8").splitlines()) - 1
    reading = [t for t in told if t.startswith("reading offers.csv")]
    assert reading == [
        "reading offers.csv",
        *(f"reading offers.csv: {n:,} rows" for n in range(1000, offers + 1, 1000)),
    ]
    after = told[told.index("checking names and offers") :]
    assert after[1] == f"writing to {tmp_path / 'own.sqlite'}"
    assert after[2:] == [
        f"writing offer rows: {n:,} of {offers:,}" for n in range(1000, offers + 1, 1000)
    ]


def test_the_collector_runs_again_afterwards(files, tmp_path) -> None:
    """A load or a reading that fails does not leave the process without its collector."""
    assert gc.isenabled()
    loaded([files], tmp_path / "own.sqlite")
    problems(
        [write(tmp_path / "bad", lug=FILES["lug"].replace("M8", "M9"))], tmp_path / "own.sqlite"
    )
    stock_of(tmp_path / "own.sqlite")
    assert gc.isenabled()


def test_equal_texts_are_kept_once(files, tmp_path) -> None:
    """300,000 offers do not keep 300,000 copies of five suppliers' names."""
    stock = stock_of(loaded([files], tmp_path / "own.sqlite"))
    assert len({id(o.supplier) for o in stock.offers}) == len(stock.suppliers)
    assert len({id(o.unit) for o in stock.offers}) == 3


def test_a_full_disk_leaves_no_file(files, tmp_path, monkeypatch) -> None:
    """Where a new catalog cannot be written whole, there is none, and the reason is told."""
    real = store.sqlite3.connect

    def small(*given, **named):
        made = real(*given, **named)
        if str(given[0]).startswith(str(tmp_path)):
            made.close()
        return made

    monkeypatch.setattr(store.sqlite3, "connect", small)
    with (
        open_catalog(tmp_path / "own.sqlite", create=True) as catalog,
        pytest.raises(BadInput, match=r"own\.sqlite: cannot be written"),
    ):
        load([files], catalog)
    assert list(tmp_path.iterdir()) == []


TEXT_COLUMNS = [
    c for r in (*CLASSES.values(), Offer) for c in columns_of(r) if c.kind == "text"
]


@given(col=st.sampled_from(TEXT_COLUMNS), text=st.text(max_size=210))
@settings(max_examples=300)
def test_a_plain_text_is_its_own_value(col: Column, text: str) -> None:
    """The short cut past the reader is taken only where the reader would change nothing."""
    if reads_as_itself(col, text):
        assert read_value(col, text) == text
    elif col.one_of is None and text.isascii() and text.isalnum() and len(text) <= 200:
        pytest.fail(f"{text!r} could have been taken as it stands")


@pytest.mark.parametrize("text", ["", " ", " a", "a ", "a\n", "\ta", "a\x7f", "é", "a" * 201])
def test_a_text_that_is_not_plain_goes_to_the_reader(text: str) -> None:
    """Spaces at the ends, control characters, letters beyond ASCII, emptiness, length."""
    name = next(c for c in columns_of(Offer) if c.name == "part")
    assert not reads_as_itself(name, text)
    try:
        assert read_value(name, text) == text.strip()
    except Wrong:
        assert text.strip() == "" or not text.isprintable() or len(text) > 200


def test_a_column_is_written_as_its_cells_are(large) -> None:
    """A column's texts are those of its cells one by one, for every class that it has."""
    classes = sorted({p.cls for p in large.parts})
    for rows in (*(large.of_class(name) for name in classes), large.offers, large.suppliers):
        for col in columns_of(type(rows[0])):
            values = [getattr(r, col.name) for r in rows]
            assert column_texts(col, values) == [cell_text(col, v) for v in values]


def test_the_table_of_the_benchmark_is_printed() -> None:
    """Parts, offers, seconds, file and peaks of memory stand in one line a size."""
    done = subprocess.run(
        [sys.executable, ROOT / "benchmarks" / "catalog_scale.py", "--sizes", "60"],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    heading, _, row = done.stdout.splitlines()
    assert heading.split()[:3] == ["parts", "offers", "copy"]
    cells = row.split()
    assert cells[0] == "60"
    assert cells[1].isdecimal()
    assert all(float(seconds) >= 0 for seconds in cells[2:6])
    assert all(float(megabytes) > 0 for megabytes in cells[6:])


def test_a_driver_with_named_parameters_gets_the_same_rows(
    files, tmp_path, monkeypatch
) -> None:
    """Servers' drivers do not take plain rows; what they are given makes the same catalog."""
    plain = loaded([files], tmp_path / "plain.sqlite")
    named = functools.partial(sa.create_engine, paramstyle="named")
    monkeypatch.setattr(sa, "create_engine", named)
    assert loaded([files], tmp_path / "named.sqlite").read_bytes() == plain.read_bytes()
