"""What changed since an earlier result; only in the book where one was given."""

from __future__ import annotations

from decimal import Decimal

from bom.sheets.page import FREE, MONEY, Column, Formula, Kit, Row, letter
from bom.since import LineChange, PriceChange, Since, Taken
from bom.since_text import about_texts, date_text

TITLE = "since"
COLUMNS = (
    Column(heading="part", width=28),
    Column(heading="name", width=40),
    Column(heading="what changed", width=34),
    Column(heading="supplier", unit="before", width=12),
    Column(heading="buy", unit="before", width=9, form=FREE),
    Column(heading="cost", unit="before", width=16, form=MONEY),
    Column(heading="supplier", unit="now", width=12),
    Column(heading="buy now", unit="now", width=9, form=FREE),
    Column(heading="cost now", unit="now", width=16, form=MONEY),
    Column(heading="more", unit="than before", width=16, form=MONEY),
)
BEFORE, NOW, MORE = (letter(COLUMNS, h) for h in ("cost", "cost now", "more"))
BLANK = ("",) * (len(COLUMNS) - 2)


def in_book(kit: Kit) -> bool:
    """Whether an earlier result was given."""
    return kit.beside.since is not None


def above(kit: Kit, first: int) -> list[Row]:
    """The totals and what makes their difference."""
    since = _since(kit)
    return [Row(cells=(t,), look="text") for t in about_texts(since, kit.result.currency)]


def rows(kit: Kit, first: int) -> list[Row]:
    """Parts, those whose cost changed most on top; then freight, prices and dates."""
    since = _since(kit)
    found = [_line(x, first + n) for n, x in enumerate(since.lines)]
    last = first + len(found)
    found.append(Row(cells=("freight", *BLANK, since.of_freight), look="sum"))
    total = Formula(f"SUM({MORE}{first}:{MORE}{last})")
    found.append(Row(cells=("more than before", *BLANK, total), look="total"))
    if since.prices:
        found += _head("The same pack at another price")
        found += [_price(p) for p in since.prices]
    if since.dates:
        found += _head("Deliveries")
        found += [Row(cells=(date_text(d),), look="text") for d in since.dates]
    return found


def _since(kit: Kit) -> Since:
    assert kit.beside.since is not None, "a sheet of changes without an earlier result"
    return kit.beside.since


def _line(change: LineChange, row: int) -> Row:
    before, after = change.before, change.after
    return Row(
        cells=(
            change.part,
            change.name,
            change.text(),
            *_side(before),
            *_side(after),
            Formula(f"{NOW}{row}-{BEFORE}{row}"),
        )
    )


def _side(taken: Taken | None) -> tuple[str | Decimal, ...]:
    if taken is None:
        return "", Decimal(0), Decimal(0)
    return ", ".join(taken.suppliers) or "owned", taken.buy, taken.cost


def _head(title: str) -> list[Row]:
    return [Row(cells=(), look="space"), Row(cells=(title,), look="head")]


def _price(p: PriceChange) -> Row:
    pack = f"pack of {p.pack.normalize():f}"
    moved = "dearer" if p.after > p.before else "cheaper"
    sides = (p.supplier, "", p.before, p.supplier, "", p.after)
    return Row(cells=(p.part, pack, moved, *sides, p.after - p.before))
