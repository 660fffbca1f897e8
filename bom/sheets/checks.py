"""Every rule applied to every thing it applies to."""

from __future__ import annotations

from bom.sheets.page import Column, Kit, Row
from solver.records import Check

TITLE = "checks"
COLUMNS = (
    Column(heading="rule", width=40),
    Column(heading="subject", width=34),
    Column(heading="value", width=18, form="#,##0.###"),
    Column(heading="limit", width=18, form="#,##0.###"),
    Column(heading="unit", width=11),
    Column(heading="ok", width=6),
    Column(heading="source", width=60),
)


def rows(kit: Kit, first: int) -> list[Row]:
    """A row a check, those that failed on top."""
    ordered = sorted(kit.result.checks, key=lambda c: c.ok)
    return [_row(c) for c in ordered]


def _row(c: Check) -> Row:
    ok = "yes" if c.ok else "NO"
    cells = (c.rule, c.subject, c.value, c.limit, c.unit, ok, c.source)
    return Row(cells=cells, look="line" if c.ok else "bad")
