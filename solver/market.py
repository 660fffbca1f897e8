"""What parts cost in this job: usable offers in the job's currency, and bounds on any purchase.

All amounts are exact decimals in the job's currency until they enter a programme.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from solver.lots import lot
from solver.needs import Needs, Owned
from solver.parts import Cable, Conduit
from solver.parts.base import Part
from solver.stock import Offer, Stock, Supplier


@dataclass(frozen=True, slots=True)
class Deal:
    """One way to buy a part: a supplier's pack with its price breaks."""

    part: str
    supplier: str
    unit: str
    pack: Decimal
    length_m: float | None
    units: Decimal
    """Units (of cable: metres) in one pack."""
    levels: tuple[tuple[int, Decimal], ...]
    """Packs from which, and price of one pack for the whole quantity."""
    most_packs: int | None
    """By the stated stock; None: enough."""
    lead_days: int

    def cost(self, packs: int) -> Decimal:
        """What so many packs cost; infinite for fewer than are sold."""
        for start, price in reversed(self.levels):
            if packs >= start:
                return price * packs
        return Decimal("Infinity")


@dataclass(frozen=True, slots=True)
class Freight:
    """A supplier's freight in the job's currency."""

    supplier: str
    name: str
    shipping: Decimal
    free_over: Decimal | None


@dataclass(frozen=True)
class Market:
    """Everything that can be had: by purchase, or because it is owned."""

    deals: Mapping[str, tuple[Deal, ...]]
    """By part; a part that nobody sells in time has none."""
    freight: Mapping[str, Freight]
    owned: Mapping[str, Owned]
    parts: Mapping[str, Part]
    """Every part of the catalog and every owned one."""
    notes: tuple[str, ...]

    def to_be_had(self, part: str) -> bool:
        """Whether any of it is owned or for sale."""
        return part in self.deals or part in self.owned

    def available(self, part: str) -> float:
        """How many there are, owned or for sale; infinite where no stock is stated."""
        own = self.owned.get(part)
        total = 0.0 if own is None else float(own.quantity)
        for deal in self.deals.get(part, ()):
            if deal.most_packs is None:
                return math.inf
            total += deal.most_packs * float(deal.units)
        return total

    def floor(self, part: str, most: float) -> float:
        """A price for one unit that no purchase of up to `most` units can go under.

        Owned units cost nothing. For a need of q <= most units bought at a level from n packs at
        price p, at least max(n, q / units) packs are paid, so a unit costs at least
        p / units where n packs hold no more than `most` units, else n * p / most. A purchase
        split over several deals costs at least the least of their floors a unit.
        """
        return 0.0 if part in self.owned else self.floor_bought(part, most)

    def floor_bought(self, part: str, most: float) -> float:
        """The same for a unit that is bought, whatever is owned."""
        return least_a_unit(self.deals.get(part, ()), most)

    def floor_and_rounding(self, part: str, supplier: str, most: float) -> tuple[float, float]:
        """At one supplier, the least price of a unit, and the most that packs and breaks add.

        An empty supplier is all of them together.

        A need of q <= `most` units costs at least floor * q, and can be had for floor * q and the
        rounding, whatever is needed; so where a need falls by b the cost falls by at least
        floor * b less the rounding. That is infinite where no offer is without a stated stock.
        """
        every = [d for d in self.deals.get(part, ()) if supplier in ("", d.supplier)]
        floor = least_a_unit(every, most)
        deals = [d for d in every if d.most_packs is None]
        if not deals:
            return floor, math.inf
        step = 0.001 if isinstance(self.parts.get(part), Cable) else 1.0
        last = max(start * float(d.units) for d in deals for start, _ in d.levels)
        last = min(last, most) + max(float(d.units) for d in deals)
        # what is needed costs most beyond the floor just above a number of whole packs, or, where
        # the cheapest deal has a stock, at the end
        needs = {
            k * float(d.units) + step
            for d in deals
            for k in range(math.ceil(last / float(d.units)) + 1)
        }
        return floor, max(self.alone(part, q, supplier) - floor * q for q in (*needs, most))

    def without(self, closed: frozenset[str]) -> Market:
        """The same without the offers of some suppliers."""
        open_ = {
            part: tuple(d for d in deals if d.supplier not in closed)
            for part, deals in self.deals.items()
        }
        return replace(self, deals={part: deals for part, deals in open_.items() if deals})

    def alone(self, part: str, quantity: float, supplier: str) -> float:
        """What a quantity costs bought by itself from one deal of a supplier.

        A ceiling on what the quantity can add to an order in which that supplier is used, from
        deals without a stated stock; infinite where there is none. An empty supplier is any.
        """
        best = math.inf
        for deal in self.deals.get(part, ()):
            if supplier in ("", deal.supplier) and deal.most_packs is None:
                packs = math.ceil(quantity / float(deal.units) - 1e-9)
                best = min(best, *(max(packs, n) * float(p) for n, p in deal.levels), math.inf)
        return best


def least_a_unit(deals: Iterable[Deal], most: float) -> float:
    """What a unit of up to `most` costs at the least in any of some deals, see `Market.floor`."""
    best = math.inf
    for deal in deals:
        units = float(deal.units)
        for start, price in deal.levels:
            paid = float(price) / units
            if start * units > most:
                paid = start * float(price) / most
            best = min(best, paid)
    return best


def cheapest_purchase(deals: Iterable[Deal], quantity: float) -> float:
    """What at least so many units cost at the least, from however many of the deals."""
    ordered = sorted(deals, key=_unit_price)
    prices = [_unit_price(d) for d in ordered]
    best = math.inf

    def buy(k: int, left: float, paid: float) -> None:
        nonlocal best
        if left <= 1e-9:
            best = min(best, paid)
            return
        if k == len(ordered) or paid + left * prices[k] >= best - 1e-9:
            return
        for packs in _worth_buying(ordered[k], left):
            cost = float(ordered[k].cost(packs)) if packs else 0.0
            buy(k + 1, left - packs * float(ordered[k].units), paid + cost)

    buy(0, quantity, 0.0)
    return best


def _unit_price(deal: Deal) -> float:
    """The least that a unit can cost in a deal, whatever is bought."""
    return min(float(price) for _, price in deal.levels) / float(deal.units)


def _worth_buying(deal: Deal, left: float) -> list[int]:
    """Numbers of packs, most first: up to enough, and more where a price break starts there."""
    enough = math.ceil(left / float(deal.units) - 1e-9)
    numbers = {*range(enough + 1), *(start for start, _ in deal.levels if start > enough)}
    if deal.most_packs is not None:
        numbers = {n for n in numbers if n <= deal.most_packs}
    first = deal.levels[0][0]
    return sorted((n for n in numbers if n == 0 or n >= first), reverse=True)


def best_deals(deals: Sequence[Deal], most: float) -> list[int]:
    """Numbers of the deals worth having where no supplier's freight counts.

    A deal is left out where another, of which there is enough and whose price never rises with
    the quantity, gives at least as much for no more, whatever number of its packs is bought.
    """
    kept: list[int] = []
    for y, deal in enumerate(deals):
        if not any(
            _always_better(deals[x], deal, most)
            and (x in kept or (x > y and not _always_better(deal, deals[x], most)))
            for x in range(len(deals))
            if x != y
        ):
            kept.append(y)
    return kept


def _always_better(x: Deal, y: Deal, most: float) -> bool:
    if x.most_packs is not None or rises(x.levels):
        return False
    enough = max(math.ceil(most / float(y.units) - 1e-9), 1)
    packs = {*range(1, min(enough, 60) + 1), enough, *(n for n, _ in y.levels)}
    return all(
        x.cost(max(1, math.ceil(n * y.units / x.units))) <= y.cost(n)
        for n in packs
        if n >= y.levels[0][0] and n <= max(enough, y.levels[-1][0])
    )


def rises(levels: Sequence[tuple[int, Decimal]]) -> bool:
    """Whether a pack costs more at some higher level."""
    prices = [p for _, p in levels]
    return any(b > a for a, b in itertools.pairwise(prices))


def useful_levels(deal: Deal, enough: int, saved: Decimal) -> list[tuple[int, Decimal]]:
    """Price levels that could ever pay for a need of at most `enough` packs.

    A level that starts above `enough` packs costs at least start times its price; where fewer
    packs at an earlier level never cost more than that, it is never the cheapest. Up to `saved`
    more may be paid, where that makes freight free.
    """
    return [
        (start, price)
        for start, price in deal.levels
        if start <= max(enough, 1) or start * price < deal.cost(enough) + saved
    ]


def level_packs(deal: Deal, enough: int, saved: Decimal) -> list[tuple[int, int, Decimal]]:
    """Useful levels with the fewest and the most packs that are bought at each, and the price.

    More than `enough` packs are bought only to begin a level, or for no more than `saved`, which
    is what free freight is worth. There are no more than in stock; and where a level costs more
    than the one before it, what is bought before it is less than its start.
    """
    levels = useful_levels(deal, enough, saved)
    dearer, found = rises(levels), []
    for n, (start, price) in enumerate(levels):
        top = max(enough, start) + (int(saved // price) if price else 0)
        if deal.most_packs is not None:
            top = min(top, deal.most_packs)
        if dearer and n + 1 < len(levels):
            top = min(top, levels[n + 1][0] - 1)
        if top >= start:
            found.append((start, top, price))
    return found


def nowhere_dearer(deals: Mapping[str, Sequence[Deal]], a: str, b: str) -> bool:
    """Whether for each deal of b the same shop has one of a, in the same pack, no dearer."""
    return all(any(_no_dearer(x, y) for x in deals.get(a, ())) for y in deals.get(b, ()))


def comes_before(deals: Mapping[str, Sequence[Deal]], a: str, b: str) -> bool:
    """Of two parts of which a is nowhere dearer, whether b may go: a is cheaper, or first by lot.

    Where a only costs the same in some order, a kit with b may be among the cheapest: it may go
    if the one with a in its place comes before it, see `solver.ties`.
    """
    return everywhere_cheaper(deals, a, b) or (lot(a), a) < (lot(b), b)


def everywhere_cheaper(deals: Mapping[str, Sequence[Deal]], a: str, b: str) -> bool:
    """Whether for each deal of b the same shop has a cheaper one of a, in the same pack."""
    return all(any(_cheaper(x, y) for x in deals.get(a, ())) for y in deals.get(b, ()))


def _cheaper(x: Deal, y: Deal) -> bool:
    """Whether x in the place of y costs less, however many packs."""
    starts = {n for n, _ in (*x.levels, *y.levels) if n >= y.levels[0][0]}
    return _no_dearer(x, y) and all(x.cost(n) < y.cost(n) for n in starts)


def _no_dearer(x: Deal, y: Deal) -> bool:
    """Whether x in the place of y costs no more, whatever else is bought of x."""
    if (x.supplier, x.unit, x.units, x.length_m) != (y.supplier, y.unit, y.units, y.length_m):
        return False
    if x.most_packs is not None or rises(x.levels) or x.levels[0][0] > y.levels[0][0]:
        return False
    starts = {n for n, _ in (*x.levels, *y.levels) if n >= y.levels[0][0]}
    return all(x.cost(n) <= y.cost(n) for n in starts)


def market(needs: Needs, stock: Stock) -> Market:
    """Offers usable for this job: suppliers not avoided, currencies with a rate, in time."""
    notes: list[str] = []
    rates = dict(needs.order.rates) | {needs.job.currency: Decimal(1)}
    suppliers = {
        s.supplier: s for s in stock.suppliers if s.supplier not in needs.order.avoid_suppliers
    }
    for s in list(suppliers.values()):
        if s.currency not in rates:
            del suppliers[s.supplier]
            notes.append(
                f"Offers of {s.name} are left out: its prices are in {s.currency} and the needs "
                f"state no rate for it ([order] rates)."
            )
    late = 0
    rows: dict[tuple[str, str, str, Decimal, float | None], list[Offer]] = {}
    for offer in stock.offers:
        supplier = suppliers.get(offer.supplier)
        if supplier is None:
            continue
        if not _in_time(needs, _lead(offer, supplier)):
            late += 1
            continue
        key = (offer.part, offer.supplier, offer.unit, offer.pack, offer.length_m)
        rows.setdefault(key, []).append(offer)
    if late:
        notes.append(
            f"{late} offers are left out: they would arrive after {needs.order.need_by}."
        )
    deals: dict[str, list[Deal]] = {}
    for (part, name, *_), offers in rows.items():
        supplier = suppliers[name]
        deals.setdefault(part, []).append(_deal(offers, supplier, rates[supplier.currency]))
    owned = {o.part.part: o for o in needs.owned}
    return Market(
        deals={k: tuple(v) for k, v in deals.items()},
        freight={
            s.supplier: Freight(
                s.supplier,
                s.name,
                s.shipping * rates[s.currency],
                None if s.free_over is None else s.free_over * rates[s.currency],
            )
            for s in suppliers.values()
        },
        owned=owned,
        parts=stock.by_name | {o.part.part: o.part for o in needs.owned},
        notes=tuple(notes),
    )


def _lead(offer: Offer, supplier: Supplier) -> int:
    return supplier.lead_days if offer.lead_days is None else offer.lead_days


def _in_time(needs: Needs, lead_days: int) -> bool:
    order = needs.order
    if order.start is None or order.need_by is None:
        return True
    return lead_days <= (order.need_by - order.start).days


def _deal(offers: list[Offer], supplier: Supplier, rate: Decimal) -> Deal:
    first = offers[0]
    units = first.pack
    if first.unit == "spool" and first.length_m is not None:
        units = first.pack * Decimal(str(first.length_m))
    levels = sorted((o.from_quantity, o.price * rate) for o in offers)
    stocks = [o.stock for o in offers if o.stock is not None]
    return Deal(
        part=first.part,
        supplier=first.supplier,
        unit=first.unit,
        pack=first.pack,
        length_m=first.length_m,
        units=units,
        levels=tuple(levels),
        most_packs=int(min(stocks) // first.pack) if stocks else None,
        lead_days=max(_lead(o, supplier) for o in offers),
    )


def by_metre(part: Part) -> bool:
    """Whether a part's quantity is metres, and no count."""
    return isinstance(part, Cable | Conduit)
