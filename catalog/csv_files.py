"""Loading a catalog from CSV files, folders of them and workbooks; dumping it as CSV."""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter
from pathlib import Path
from typing import Any

from catalog.atomic import write_files
from catalog.cells import column_texts
from catalog.changes import Changes, write_changes
from catalog.faults import Faults
from catalog.offers import (
    References,
    check_combiners,
    check_holders,
    check_names,
    check_offers,
    check_suppliers,
)
from catalog.sheet import RECORDS, Lines, Progress, Sheet, known_stem, read_lines
from catalog.store import Catalog, collector_paused, read_stock, read_stock_from
from solver.columns import columns_of
from solver.errors import BadInput
from solver.stock import Offer, Stock, Supplier

MAX_BYTES = 50_000_000
"""A larger file is no catalog, but a mistake."""

BLOCK_ROWS = 25_000
"""Rows written to a CSV file at a time."""


class _CutShort(Exception):
    """A file that cannot be split into fields from some row on."""

    def __init__(self, row: int, text: str) -> None:
        super().__init__(text)
        self.row = row


@dataclass(frozen=True, kw_only=True)
class Summary:
    """What a load did."""

    files: int
    parts_added: int
    parts_changed: int
    parts_same: int
    suppliers_added: int
    suppliers_changed: int
    suppliers_same: int
    offers: int
    """Offers in the files."""
    pairs_renewed: int
    """Pairs of part and supplier whose offers differ from before."""


def load(
    paths: Iterable[str | Path], catalog: Catalog, progress: Progress | None = None
) -> Summary:
    """Add or update parts, suppliers and offers; all of it, or nothing.

    Parameters
    ----------
    paths : iterable of str or Path
        CSV files, folders of them, workbooks.
    catalog : Catalog
        Opened for writing.
    progress : callable, optional
        Told in a few words what is being done.

    Returns
    -------
    Summary
        Counts of what was added and changed.

    Raises
    ------
    BadCatalog
        With every fault of all the files, first to last; nothing was changed.
    """
    tell = progress or (lambda _: None)
    faults = Faults()
    with collector_paused():
        found, all_read = _read_files(paths, faults, tell)
        if not found and all_read:
            raise BadInput(["nothing to load: no CSV file or workbook was named."])
        with catalog.writing() as conn:
            stock = read_stock_from(catalog, conn)
            tell("checking names and offers")
            _check_together(found, References(stock, found, all_read=all_read), stock, faults)
            faults.raise_any()
            changes, summary = _compare(found, stock)
            del found, stock
            tell(f"writing to {catalog.shown}")
            write_changes(conn, changes, tell)
    return summary


def _read_files(
    paths: Iterable[str | Path], faults: Faults, tell: Progress
) -> tuple[list[Lines], bool]:
    """What the files say, one after the other; and whether all of them could be read."""
    files = _listed(paths, faults)
    all_read = not len(faults)
    names = [path.name for path in files]
    found: list[Lines] = []
    for number, path in enumerate(files):
        label = path.name if names.count(path.name) == 1 else str(path)
        tell(f"reading {label}")
        before = len(faults)
        sheets = _read_file(path, number, label, faults)
        all_read = all_read and len(faults) == before
        for sheet in sheets:
            try:
                found.append(read_lines(sheet, faults, tell))
            except _CutShort as cut:
                faults.add(sheet.order, sheet.label, str(cut), row=cut.row)
                all_read = False
    return found, all_read


def _listed(paths: Iterable[str | Path], faults: Faults) -> list[Path]:
    """The files to read, folders opened, each once."""
    files: dict[Path, Path] = {}
    for position, given in enumerate(paths):
        path = Path(given)
        members = [path]
        if path.is_dir():
            members = sorted(
                p
                for p in path.iterdir()
                if p.suffix.lower() == ".csv" and not p.name.startswith(".")
            )
            if not members:
                text = "this folder holds no .csv file"
                faults.add((-1, position), str(path), text)
        for member in members:
            files.setdefault(member.resolve(), member)
    return list(files.values())


def _read_file(path: Path, number: int, label: str, faults: Faults) -> list[Sheet]:
    suffix = path.suffix.lower()
    wrong = _wrong_file(path, suffix)
    if wrong:
        faults.add((number, 0), label, wrong)
        return []
    if suffix == ".xlsx":
        # Importing the workbook library takes longer than reading all the CSV files.
        from catalog.book_files import read_book

        return read_book(path, number, label, faults)
    sheet = _read_csv(path, number, label, faults)
    return [sheet] if sheet else []


def _wrong_file(path: Path, suffix: str) -> str:
    if suffix not in (".csv", ".xlsx"):
        what = "found another kind of file" if path.exists() else "no such file or folder"
        return f"{what}; .csv files, .xlsx workbooks and folders of .csv files belong here"
    try:
        size = path.stat().st_size if path.is_file() else None
    except OSError as error:
        return f"cannot be read: {error.strerror}"
    if size is None:
        return "no such file"
    hint = known_stem(path.stem) if suffix == ".csv" else None
    if hint is not None:
        hint = hint.replace('"?', '.csv"?')
        return f"unknown file; a file has the name of what it lists{hint}"
    if size > MAX_BYTES:
        return f"has {size:,} bytes; at most {MAX_BYTES:,} are read"
    return "" if size else "is empty; the names of the columns belong in its first row"


def _read_csv(path: Path, number: int, label: str, faults: Faults) -> Sheet | None:
    order = (number, 0)
    try:
        data = path.read_bytes()
    except OSError as error:
        faults.add(order, label, f"cannot be read: {error.strerror}")
        return None
    if not _is_text(data, order, label, faults):
        return None
    return Sheet(order, label, path.stem, _rows(data))


def _rows(data: bytes) -> Iterator[tuple[int, list[str]]]:
    """The lines at which rows begin, and their cells."""
    text = io.TextIOWrapper(io.BytesIO(data), encoding="utf-8-sig", newline="")
    reader = csv.reader(text, strict=True)
    start = 1
    try:
        for cells in reader:
            yield start, cells
            start = reader.line_num + 1
    except csv.Error as error:
        raise _CutShort(start, f"cannot be split into fields: {error}") from None


def _is_text(data: bytes, order: tuple[int, int], label: str, faults: Faults) -> bool:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        faults.add(order, label, "is UTF-16; save it as UTF-8")
        return False
    where = data.find(b"\0")
    if where >= 0:
        faults.add(order, label, "found a NUL byte; text belongs here", row=_row(data, where))
        return False
    try:
        data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # The position counts from after a byte order mark; that is in row 1 either way.
        text = f"found the byte 0x{error.object[error.start]:02x}, which is no UTF-8; save the "
        faults.add(order, label, text + "file as UTF-8", row=_row(error.object, error.start))
        return False
    return True


def _row(data: bytes, position: int) -> int:
    return len((data[:position] + b".").splitlines())


def _check_together(
    found: Sequence[Lines], known: References, stock: Stock, faults: Faults
) -> None:
    check_names(found, stock, faults)
    for lines in found:
        if lines.sheet.stem == "suppliers":
            check_suppliers(lines, faults)
        elif lines.sheet.stem != "offers":
            check_holders(lines, known, faults)
        if lines.sheet.stem == "combiner":
            check_combiners(lines, faults)
    check_offers([lines for lines in found if lines.sheet.stem == "offers"], known, faults)


def _compare(found: Sequence[Lines], stock: Stock) -> tuple[Changes, Summary]:
    """Keep only what differs, so that loading a dump leaves the database as it is."""
    records: dict[str, list[Any]] = {"suppliers": [], "offers": [], "parts": []}
    for lines in found:
        records.get(lines.sheet.stem, records["parts"]).extend(lines.records)
    given = Stock.of(records["parts"], records["suppliers"], records["offers"])
    suppliers = {s.supplier: s for s in stock.suppliers}
    before = _by_pair(stock.offers)
    offers: list[Offer] = []
    old_pairs, pairs = [], 0
    for pair, group in groupby(given.offers, key=attrgetter("part", "supplier")):
        asked = list(group)
        if before.get(pair) != asked:
            offers += asked
            pairs += 1
            if pair in before:
                old_pairs.append(pair)
    changes = Changes(
        new_parts=tuple(p for p in given.parts if p.part not in stock.by_name),
        changed_parts=tuple(p for p in given.parts if stock.by_name.get(p.part, p) != p),
        new_suppliers=tuple(s for s in given.suppliers if s.supplier not in suppliers),
        changed_suppliers=tuple(
            s for s in given.suppliers if suppliers.get(s.supplier, s) != s
        ),
        renewed_pairs=tuple(old_pairs),
        offers=tuple(offers),
    )
    return changes, _summary(changes, given, len({s.sheet.order[0] for s in found}), pairs)


def _by_pair(offers: Iterable[Offer]) -> dict[tuple[str, str], list[Offer]]:
    pairs: dict[tuple[str, str], list[Offer]] = defaultdict(list)
    for offer in offers:
        pairs[offer.part, offer.supplier].append(offer)
    return dict(pairs)


def _summary(changes: Changes, given: Stock, files: int, pairs: int) -> Summary:
    parts = len(changes.new_parts), len(changes.changed_parts)
    suppliers = len(changes.new_suppliers), len(changes.changed_suppliers)
    return Summary(
        files=files,
        parts_added=parts[0],
        parts_changed=parts[1],
        parts_same=len(given.parts) - sum(parts),
        suppliers_added=suppliers[0],
        suppliers_changed=suppliers[1],
        suppliers_same=len(given.suppliers) - sum(suppliers),
        offers=len(given.offers),
        pairs_renewed=pairs,
    )


def dump(catalog: Catalog, folder: str | Path) -> list[Path]:
    """Write the catalog as CSV files that `load` reads back to the same catalog.

    A class without parts has no file; but where one of its name stands in the folder already,
    it becomes a mere heading, so that the folder as a whole is this catalog.

    Returns
    -------
    list of Path
        The files written.
    """
    return write_stock(read_stock(catalog), folder)


def write_stock(stock: Stock, folder: str | Path) -> list[Path]:
    """Write a stock as `dump` writes a catalog."""
    folder = Path(folder)
    made: dict[Path, bytes] = {}
    for stem, record in RECORDS.items():
        rows: Sequence[Any] = stock.of_class(stem)
        if record is Supplier:
            rows = stock.suppliers
        elif record is Offer:
            rows = stock.offers
        path = folder / f"{stem}.csv"
        if rows or record in (Supplier, Offer) or path.exists():
            made[path] = _csv_bytes(record, rows)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput([f"{folder}: cannot be made a folder: {error.strerror}"]) from None
    write_files(made)
    return list(made)


def _csv_bytes(record: type, rows: Sequence[Any]) -> bytes:
    columns = columns_of(record)
    data = io.BytesIO()
    text = io.TextIOWrapper(data, encoding="utf-8", newline="", write_through=True)
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow([c.name for c in columns])
    for start in range(0, len(rows), BLOCK_ROWS):
        block = rows[start : start + BLOCK_ROWS]
        texts = [column_texts(c, [*map(attrgetter(c.name), block)]) for c in columns]
        writer.writerows(zip(*texts, strict=True))
    text.flush()
    return data.getvalue()
