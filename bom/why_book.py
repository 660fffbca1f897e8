"""The workbook of `kitbill why`: the same as on the terminal, a row for each need."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bom.comparison_book import Sheet, comparison_book_bytes
from bom.sheets.page import FREE, MONEY, Column, Row
from bom.why_text import (
    NOT_LOOKED_AT,
    among_text,
    among_whats,
    change_text,
    ending_of,
    heading_of,
    margin_text,
    not_looked_at,
)

if TYPE_CHECKING:
    from bom.why import Why
    from solver.collide import Explanation
    from solver.margins import Margins


def why_book_bytes(found: Why) -> bytes:
    """The workbook as the bytes of its file; the same answers make the same bytes."""
    if found.explanation is not None:
        sheets = [_collisions(found, found.explanation)]
    elif found.margins is not None:
        sheets = [_margins(found.margins), _limits(found.margins)]
    else:
        sheets = [_said([r.message for r in found.result.reasons])]
    return comparison_book_bytes(found.needs.job.name, found.result.currency, sheets)


def _said(texts: list[str]) -> Sheet:
    columns = (Column(heading="in words", width=100),)
    return Sheet(title="why", columns=columns, rows=tuple(Row(cells=(t,)) for t in texts if t))


def _collisions(found: Why, told: Explanation) -> Sheet:
    if not told.decided:
        return _said([among_text(told), *among_whats(found, told)])
    if not told.collisions:
        return _said([ending_of(told), *(r.message for r in found.result.reasons)])
    columns = (
        Column(heading="set", width=8),
        Column(heading="need", width=34),
        Column(heading="what is asked for", width=60),
        Column(heading="least change that alone helps", width=60),
        Column(heading="proven to be the least", width=24),
    )
    rows = []
    for number, one in enumerate(told.collisions, 1):
        rows.append(Row(cells=(number, "", heading_of(one), "", ""), look="total"))
        rows += [
            Row(cells=(number, c.key, c.what, change_text(c), "yes" if c.least else "no"))
            for c in one.changes
        ]
        rows += [
            Row(cells=(number, key, what, NOT_LOOKED_AT, "no"))
            for key, what in zip(one.keys, one.whats, strict=True)
            if key in not_looked_at(one)
        ]
    if ending_of(told):
        rows.append(Row(cells=("", "", ending_of(told), "", ""), look="total"))
    return Sheet(title="why", columns=columns, rows=tuple(rows))


def _margins(told: Margins) -> Sheet:
    columns = (
        Column(heading="need", width=34),
        Column(heading="change", width=50),
        Column(heading="total", width=16, form=MONEY),
        Column(heading="more", unit="below 0: saved", width=16, form=MONEY),
        Column(heading="in words", width=60),
    )
    currency = told.before.currency
    rows = tuple(
        Row(
            cells=(
                m.key,
                m.change,
                "" if m.total is None else m.total,
                "" if m.difference is None else m.difference,
                margin_text(m, currency),
            )
        )
        for m in told.margins
    ) + tuple(Row(cells=("", change, "", "", NOT_LOOKED_AT)) for change in told.open)
    return Sheet(title="why", columns=columns, rows=rows)


def _limits(told: Margins) -> Sheet:
    columns = (
        Column(heading="need", width=34),
        Column(heading="what is asked for", width=60),
        Column(heading="left over", width=14, form=FREE),
        Column(heading="unit", width=10),
        Column(heading="binds", width=10),
    )
    rows = tuple(
        Row(cells=(s.key, s.what, s.left, s.unit, "no" if s.left else "yes"))
        for s in told.slacks
    )
    return Sheet(title="limits", columns=columns, rows=rows)
