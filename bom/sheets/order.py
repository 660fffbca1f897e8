"""What to buy: a block a supplier, every amount that is a sum as a live formula."""

from __future__ import annotations

from decimal import Decimal

from bom.money import amount_text
from bom.sheets.page import FREE, MONEY, WHOLE, Column, Formula, Kit, Row, letter
from bom.work_text import day_text
from solver.records import Line, SupplierOrder
from solver.stock import Offer, Supplier

TITLE = "order"
COLUMNS = (
    Column(heading="part", width=28),
    Column(heading="name", width=46),
    Column(heading="order number", width=14),
    Column(heading="sold as", width=21),
    Column(heading="pack", unit="units", width=9, form=FREE),
    Column(heading="packs", width=8, form=WHOLE),
    Column(heading="buy", unit="units", width=9, form=FREE),
    Column(heading="unit", width=7),
    Column(heading="price", unit="of one pack", width=17, form=MONEY),
    Column(heading="line_total", unit="packs × price", width=19, form=MONEY),
)
PACKS, PRICE, TOTAL = (letter(COLUMNS, h) for h in ("packs", "price", "line_total"))
BLANK = ("",) * (len(COLUMNS) - 1)


def above(kit: Kit, first: int) -> list[Row]:
    """The grand total, live and once more as a plain number."""
    totals = [f"{TOTAL}{n}" for n in _total_rows(kit, first)]
    return [
        _sum("grand total (formula)", Formula("+".join(totals) or "0"), "total"),
        _sum("grand total as computed (stored number)", kit.result.total, "sum"),
    ]


def rows(kit: Kit, first: int) -> list[Row]:
    """The suppliers' blocks, one under the other."""
    found: list[Row] = []
    for order in kit.result.orders:
        found += _block(kit, order, first + len(found))
    if not found:
        found.append(Row(cells=("Nothing to buy: everything needed is owned.",), look="note"))
    return found


def lines_of(kit: Kit, order: SupplierOrder) -> list[Line]:
    """The lines of the bill that this supplier delivers."""
    return [x for x in kit.result.lines if x.supplier == order.supplier and x.packs]


def _block(kit: Kit, order: SupplierOrder, at: int) -> list[Row]:
    # a page of its own, so that each supplier is sent what concerns it alone
    first = order == kit.result.orders[0]
    head = Row(cells=(_head_text(kit, order), *BLANK), look="head", new_page=not first)
    lines = [_line(kit, line, at + 1 + n) for n, line in enumerate(lines_of(kit, order))]
    goods = at + 1 + len(lines)
    return [
        head,
        *lines,
        _sum("goods", Formula(f"SUM({TOTAL}{at + 1}:{TOTAL}{goods - 1})"), "sum"),
        _sum("shipping", order.shipping, "line"),
        _sum(f"total {order.name}", Formula(f"{TOTAL}{goods}+{TOTAL}{goods + 1}"), "total"),
        Row(cells=(), look="space"),
    ]


def _total_rows(kit: Kit, first: int) -> list[int]:
    found, at = [], first
    for order in kit.result.orders:
        height = len(lines_of(kit, order)) + 5
        found.append(at + height - 2)
        at += height
    return found


def _sum(text: str, value: object, look: str) -> Row:
    return Row(cells=(text, *BLANK[:-1], value), look=look)


def _line(kit: Kit, line: Line, row: int) -> Row:
    offer = _offer(kit, line)
    return Row(
        cells=(
            line.part,
            line.name,
            "" if offer is None else offer.order_number or "",
            _sold_as(line, offer) + _own_price(kit, line),
            line.pack,
            line.packs,
            line.buy,
            line.unit,
            line.price,
            Formula(f"{PACKS}{row}*{PRICE}{row}"),
        )
    )


def _offer(kit: Kit, line: Line) -> Offer | None:
    """What is bought of a line: the offer of packs of that size, a spool before so many metres."""
    each = _units_a_pack(line)
    found = [
        o
        for o in kit.stock.offers
        if (o.part, o.supplier) == (line.part, line.supplier) and _units(o) == each
    ]
    return min(found, key=lambda o: o.unit != "spool", default=None)


def _units(offer: Offer) -> Decimal:
    """Units, of cable and conduit metres, in one pack."""
    return offer.pack * Decimal(str(offer.length_m or 1))


def _units_a_pack(line: Line) -> Decimal:
    return line.buy / line.packs if line.packs else Decimal(0)


def _sold_as(line: Line, offer: Offer | None) -> str:
    each = _units_a_pack(line)
    if offer is not None and offer.length_m is not None:
        spool = f"spool of {Decimal(str(offer.length_m)).normalize():f} m"
        return spool if offer.pack == 1 else f"{offer.pack.normalize():f} × {spool}"
    if line.unit == "m":
        return "by the metre" if each == 1 else f"pack of {each.normalize():f} m"
    return "single" if each == 1 else f"pack of {each.normalize():f}"


def _own_price(kit: Kit, line: Line) -> str:
    """The price as the supplier writes it, where that is in another currency than the job's."""
    supplier = _supplier(kit, line.supplier)
    if supplier is None or line.price is None or supplier.currency == kit.result.currency:
        return ""
    return f", {amount_text(line.price / _rate(kit, supplier), supplier.currency)}"


def _supplier(kit: Kit, name: str | None) -> Supplier | None:
    return next((s for s in kit.stock.suppliers if s.supplier == name), None)


def _rate(kit: Kit, supplier: Supplier) -> Decimal:
    """The job's currency for one of the supplier's."""
    return dict(kit.needs.order.rates).get(supplier.currency, Decimal(1))


def _head_text(kit: Kit, order: SupplierOrder) -> str:
    supplier = _supplier(kit, order.supplier)
    texts = [f"{order.name} ({order.supplier})"]
    days = "day" if order.lead_days == 1 else "days"
    texts.append(f"delivers in {order.lead_days} {days}")
    if order.arrives is not None:
        texts.append(f"ordered at the start, here on {order.arrives.isoformat()}")
    texts += [
        f"order by {day_text(kit.work, b.order_by_day)} to keep the end of the work"
        for b in kit.work.baskets
        if b.supplier == order.supplier and b.order_by_day is not None
    ]
    if supplier is not None:
        texts += _terms(kit, order, supplier)
    return "; ".join(texts)


def _terms(kit: Kit, order: SupplierOrder, supplier: Supplier) -> list[str]:
    rate = _rate(kit, supplier)
    texts = []
    if supplier.free_over is not None:
        texts.append(f"no freight from {kit.amount(supplier.free_over * rate)} of goods")
    if supplier.currency != kit.result.currency:
        one = f"1 {supplier.currency} = {rate} {kit.result.currency}"
        invoice = amount_text(order.total / rate, supplier.currency)
        texts.append(f"sells in {supplier.currency}, {one}; its invoice comes to {invoice}")
    return texts
