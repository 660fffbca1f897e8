"""One kit, sold by several shops in many ways: every way to buy it is tried.

The job is the one worked by hand, of which only one kit is possible, so that what is needed is
known without asking the optimizer; what it costs is a matter of offers alone. Nothing here is
shared with the optimizer but the records.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from solver.needs import Needs
from solver.stock import Offer, Stock, Supplier
from tests.oracle.small_jobs import one_circuit_job

NEED: dict[str, int] = {
    "panel": 1, "controller": 1, "battery": 1, "busbar": 2, "switch": 1, "monitor": 1,
    "lug": 18 + 2, "fuse": 3 + 1, "holder": 3, "plug": 1 + 1, "socket": 1 + 1,
}  # fmt: skip
"""Pieces with their spares, as worked out by hand in `test_brute_force`."""

CUTS_MM: dict[str, tuple[int, ...]] = {
    "cable-red": (450, 450, 450, 1150, 1150, 1150, 1300),
    "cable-black": (1300, 1300, 1300, 1300),
    "pv": (1300, 1300),
}

PRICES = {
    "panel": 100, "controller": 80, "battery": 150, "busbar": 20, "switch": 25, "monitor": 45,
    "lug": 1, "fuse": 4, "holder": 6, "plug": 5, "socket": 5,
    "cable-red": 3, "cable-black": 3, "pv": 4,
}  # fmt: skip

RATE = Decimal("0.92")
"""Euros for a dollar, in which one of the shops may sell."""

LATE = 11
"""Days to delivery that are too many where there is a day to be ready by."""


# --- drawing a job --------------------------------------------------------------------------------


def offers_job(seed: int) -> tuple[Needs, Stock]:
    """The kit worked by hand, sold by two or three shops."""
    r = random.Random(f"offers {seed}")
    needs, stock = one_circuit_job()
    hurry = r.random() < 0.3
    start = date(2031, 3, 3)
    order = replace(
        needs.order,
        rates=(("USD", RATE),),
        start=start if hurry else None,
        need_by=start.replace(day=3 + LATE - 1) if hurry else None,
        avoid_suppliers=("quay",) if r.random() < 0.05 else (),
    )
    shops = [_shop(r, name) for name in ("birch", "quay", "elm")[: r.choice((2, 3, 3))]]
    offers = [o for part in PRICES for o in _offers(r, part, shops)]
    return replace(needs, order=order), Stock.of(stock.parts, shops, offers)


def _shop(r: random.Random, name: str) -> Supplier:
    free = r.choice((None, 0, 30, 60, 120, 250, 400))
    return Supplier(
        supplier=name,
        name=name,
        currency="USD" if name == "elm" and r.random() < 0.4 else "EUR",
        shipping=Decimal(r.choice((0, 3, 5, 8))),
        free_over=None if free is None else Decimal(free + r.choice((0, 10, 25))),
        lead_days=r.choice((2, 3, 5)),
    )


def _offers(r: random.Random, part: str, shops: Sequence[Supplier]) -> Iterator[Offer]:
    dear = PRICES[part] > 10
    sells = [s for s in shops if r.random() < 0.6] or [r.choice(shops)]
    for s in sells:
        one = Decimal(max(1, round(2 * PRICES[part] * r.uniform(0.8, 1.25)))) / 2
        sizes = (5, 10, 20) if part == "lug" else (1, 2, 5, 10)
        packs = [1] if dear else r.sample(sizes, k=r.choice((1, 1, 2)))
        for pack in packs:
            cheaper = Decimal(str(r.choice((0.7, 0.8, 0.9, 1)))) if pack > 1 else Decimal(1)
            price = max(Decimal(1), round(2 * pack * one * cheaper) * Decimal("0.5"))
            spool = part in CUTS_MM and pack > 1 and r.random() < 0.6
            stock = (
                Decimal(r.randint(1, 4) * (1 if spool else pack)) if r.random() < 0.08 else None
            )
            late = LATE if r.random() < 0.1 and len(sells) > 1 else None
            levels = [(r.choice((1,) * 9 + (2,)), price)]
            if r.random() < 0.3:
                less = max(Decimal("0.5"), round(2 * price * Decimal("0.7")) * Decimal("0.5"))
                levels.append((levels[0][0] + r.randint(1, 1 if dear else 4), less))
            for start, each in levels:
                yield Offer(
                    part=part,
                    supplier=s.supplier,
                    pack=Decimal(1) if spool else Decimal(pack),
                    unit="spool" if spool else "m" if part in CUTS_MM else "each",
                    length_m=float(pack) if spool else None,
                    from_quantity=start,
                    price=each,
                    lead_days=late,
                    stock=stock,
                )


NEVER = 10**9
"""Cents for fewer packs than are sold."""


# --- every way to buy it --------------------------------------------------------------------------


@dataclass(frozen=True)
class Way:
    """One supplier's pack of a part, in cents."""

    shop: int
    units: int
    """Pieces, or millimetres of cable, in a pack."""
    spool: bool
    cents: tuple[int, ...]
    """What 0, 1, 2, … packs cost, up to the most that can be had and could be of use."""


def cheapest_order(needs: Needs, stock: Stock) -> Decimal | None:
    """The least that the kit costs with freight, by trying every way to buy it."""
    rates = dict(needs.order.rates) | {needs.job.currency: Decimal(1)}
    shops = [s for s in stock.suppliers if s.supplier not in needs.order.avoid_suppliers]
    cents = [round(100 * s.shipping * rates[s.currency]) for s in shops]
    free = [
        None if s.free_over is None else 100 * s.free_over * rates[s.currency] for s in shops
    ]
    # all that freight can cost is the most that paying more for goods can save
    slack = sum(cents)
    spent = {(0,) * len(shops): 0}
    least = 0
    for part in PRICES:
        ways = _ways(needs, stock, shops, part, slack)
        bought = _bought(part, ways, len(shops), slack)
        if not bought:
            return None
        least += min(map(sum, bought))
        spent = {
            both: 0
            for one in spent
            for other in bought
            if sum(both := tuple(map(int.__add__, one, other))) <= least + slack
        }
    totals = (
        sum(
            x + (c if x and (f is None or x < f) else 0)
            for x, c, f in zip(one, cents, free, strict=True)
        )
        for one in spent
    )
    return Decimal(min(totals)) / 100


def _ways(
    needs: Needs, stock: Stock, shops: Sequence[Supplier], part: str, slack: int
) -> list[Way]:
    rates = dict(needs.order.rates) | {needs.job.currency: Decimal(1)}
    number = {s.supplier: k for k, s in enumerate(shops)}
    rows: dict[tuple[object, ...], list[Offer]] = {}
    for o in stock.offers:
        if o.part == part and o.supplier in number:
            lead = shops[number[o.supplier]].lead_days if o.lead_days is None else o.lead_days
            order = needs.order
            if order.need_by is None or lead <= (order.need_by - order.start).days:
                rows.setdefault((o.supplier, o.unit, o.pack, o.length_m), []).append(o)
    ways = [_way(part, levels, number, shops, rates, slack) for levels in rows.values()]
    return [w for w in ways if w.cents[-1] < NEVER]


def _way(part, levels, number, shops, rates, slack) -> Way:
    first = levels[0]
    shop = number[first.supplier]
    per_pack = first.pack if first.unit != "spool" else Decimal(str(first.length_m))
    units = round(per_pack * (1000 if part in CUTS_MM else 1))
    price = {
        o.from_quantity: round(100 * o.price * rates[shops[shop].currency]) for o in levels
    }
    enough = len(CUTS_MM[part]) if first.unit == "spool" else -(-_total(part) // units)
    most = max(enough, *price) + slack // min(price.values())
    if first.stock is not None:
        most = min(most, int(first.stock // first.pack))
    cents = [
        n * price[max(s for s in price if s <= n)] if n >= min(price) else NEVER
        for n in range(1, most + 1)
    ]
    return Way(shop, units, first.unit == "spool", (0, *cents))


def _total(part: str) -> int:
    return NEED[part] if part in NEED else sum(CUTS_MM[part])


def _bought(part: str, ways: list[Way], shops: int, slack: int) -> set[tuple[int, ...]]:
    """What may be spent at each shop for enough of a part, up to `slack` more than the least."""
    none = (0,) * len(ways)
    from_one = [
        w.cents[n]
        for k, w in enumerate(ways)
        for n in range(len(w.cents))
        if _enough(part, ways, (*none[:k], n, *none[k + 1 :]))
    ]
    limit = min(from_one, default=sum(w.cents[-1] for w in ways)) + slack
    found: dict[tuple[int, ...], int] = {}
    for packs in _packs(ways, limit):
        spent = [0] * shops
        for w, n in zip(ways, packs, strict=True):
            spent[w.shop] += w.cents[n]
        if tuple(spent) not in found and _enough(part, ways, packs):
            found[tuple(spent)] = sum(spent)
    least = min(found.values(), default=0)
    return {spent for spent, total in found.items() if total <= least + slack}


def _packs(ways: Sequence[Way], limit: int) -> Iterator[tuple[int, ...]]:
    """Every number of packs of each way that costs no more than the limit."""
    if not ways:
        yield ()
        return
    for n, cents in enumerate(ways[0].cents):
        if cents <= limit:
            for more in _packs(ways[1:], limit - cents):
                yield (n, *more)


def _enough(part: str, ways: Sequence[Way], packs: Sequence[int]) -> bool:
    if sum(w.units * n for w, n in zip(ways, packs, strict=True)) < _total(part):
        return False
    if part in NEED:
        return True
    lengths: list[int] = []
    for w, n in zip(ways, packs, strict=True):
        lengths += [w.units] * n if w.spool else [w.units * n]
    return _cut(sorted(CUTS_MM[part], reverse=True), tuple(sorted(lengths)))


def _cut(pieces: Sequence[int], rooms: tuple[int, ...]) -> bool:
    if not pieces:
        return True
    return any(
        _cut(pieces[1:], tuple(sorted((*rooms[:j], room - pieces[0], *rooms[j + 1 :]))))
        for j, room in enumerate(rooms)
        if room >= pieces[0] and room not in rooms[:j]
    )
