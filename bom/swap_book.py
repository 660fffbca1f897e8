"""The workbook of `kitbill swap`: the totals, every part that changes, and both bills."""

from __future__ import annotations

from bom.comparison_book import Sheet, comparison_book_bytes
from bom.sheets.page import FREE, MONEY, Column, Row
from bom.summary import proof_text
from bom.swap import Swap
from bom.swap_text import difference_text, forced_text
from bom.vary_text import change_text
from solver.records import Result
from solver.variants import needed


def swap_book_bytes(found: Swap) -> bytes:
    """The workbook as the bytes of its file; the same answers make the same bytes."""
    sheets = [
        _totals(found),
        _changes(found),
        _bill("bill before", found.before),
        _bill("bill after", found.after),
    ]
    return comparison_book_bytes(found.needs.job.name, found.before.currency, sheets)


def _totals(found: Swap) -> Sheet:
    columns = (
        Column(heading="", width=16),
        Column(heading="total", unit="still to be spent", width=18, form=MONEY),
        Column(heading="in words", width=70),
    )
    more = found.difference
    rows = (
        Row(cells=("before", _shown(found.before), proof_text(found.before))),
        Row(cells=("after", _shown(found.after), proof_text(found.after))),
        Row(
            cells=("difference", "" if more is None else more, difference_text(found)),
            look="total",
        ),
        *(Row(cells=("forced in", "", forced_text(f))) for f in found.forced),
    )
    return Sheet(title="swap", columns=columns, rows=rows)


def _shown(result: Result) -> object:
    return "" if result.total is None else result.total


def _changes(found: Swap) -> Sheet:
    columns = (
        Column(heading="part", width=28),
        Column(heading="class", width=12),
        Column(heading="name", width=40),
        Column(heading="before", unit="pieces or m", width=12, form=FREE),
        Column(heading="after", unit="pieces or m", width=12, form=FREE),
        Column(heading="in words", width=44),
        Column(heading="what for", width=44),
    )
    rows = tuple(
        Row(
            cells=(
                c.part,
                c.part_class,
                c.name,
                float(c.before),
                float(c.after),
                change_text(c),
                c.why,
            )
        )
        for c in found.changes
    )
    return Sheet(title="changes", columns=columns, rows=rows)


def _bill(title: str, result: Result) -> Sheet:
    columns = (
        Column(heading="part", width=28),
        Column(heading="name", width=40),
        Column(heading="need", unit="pieces or m", width=12, form=FREE),
        Column(heading="of it owned", unit="pieces or m", width=12, form=FREE),
        Column(heading="to buy", unit="pieces or m", width=12, form=FREE),
        Column(heading="cost", width=16, form=MONEY),
        Column(heading="what for", width=44),
    )
    rows = tuple(
        Row(
            cells=(
                line.part,
                line.name,
                float(line.need),
                float(line.owned),
                float(line.buy),
                line.line_total,
                line.why,
            )
        )
        for line in needed(result.lines).values()
    )
    return Sheet(title=title, columns=columns, rows=rows)
