"""The bill: every part of a design, less what is owned, as the suppliers sell it."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING

from solver.choice import Choice, Purchase
from solver.cutting import Length, cut, cuttings
from solver.design import counted
from solver.groups import TERMINATIONS
from solver.market import Market, by_metre
from solver.needs import Needs
from solver.parts import Cable
from solver.records import CableLength, Design, Line, SupplierOrder
from solver.surplus import Bought, Surplus, enough

if TYPE_CHECKING:
    from datetime import date


def spares_of(needs: Needs, part_class: str, quantity: int | Decimal) -> int:
    """Spares of a part: a share of every termination rounded up, one of each fuse."""
    if needs.order.spares_pct <= 0 or quantity <= 0:
        return 0
    if part_class == "fuse":
        return 1
    if part_class in TERMINATIONS:
        return math.ceil(float(quantity) * needs.order.spares_pct / 100 - 1e-9)
    return 0


def not_cut(found: Design, choice: Choice) -> list[str]:
    """Cables whose pieces do not come out of the lengths bought."""
    pieces: dict[str, list[int]] = {}
    for one in found.cuts:
        pieces.setdefault(one.cable, []).append(one.length_mm)
    return sorted(c for c, mm in pieces.items() if cut(mm, _lengths(c, choice)) is None)


def pieces_assigned(found: Design, choice: Choice) -> Design | None:
    """Tell each cut which length or spool it comes from; None where the bought ones don't do.

    The design then also has those lengths, each with its cuts in order and its offcut.
    """
    by_cable: dict[str, list[int]] = {}
    for i, one in enumerate(found.cuts):
        by_cable.setdefault(one.cable, []).append(i)
    origin: dict[int, str] = {}
    lengths: list[CableLength] = []
    for cable, at in sorted(by_cable.items()):
        pieces_mm = [found.cuts[i].length_mm for i in at]
        taken = _taken(cable, pieces_mm, choice)
        if taken is None:
            return None
        there = _lengths(cable, choice)
        origin.update({i: there[j].name for i, j in zip(at, taken, strict=True)})
        lengths += [
            CableLength(
                cable=cable,
                name=x.name,
                length_mm=x.mm,
                cuts=tuple(found.cuts[at[i]].label for i in x.pieces),
                offcut_mm=x.offcut_mm,
            )
            for x in cuttings(pieces_mm, there, taken)
        ]
    cuts = tuple(replace(one, piece_of=origin[i]) for i, one in enumerate(found.cuts))
    return replace(found, cuts=cuts, lengths=tuple(lengths))


def _taken(cable: str, pieces_mm: list[int], choice: Choice) -> list[int] | None:
    """For each piece its length's number: of an owned length the pieces chosen for it."""
    lengths = _lengths(cable, choice)
    chosen = Counter(choice.owned_pieces.get(cable, ()))
    taken = [-1] * len(pieces_mm)
    for i, mm in enumerate(pieces_mm):
        if chosen[mm] > 0:
            chosen[mm] -= 1
            taken[i] = 0
    rest = [i for i, j in enumerate(taken) if j < 0]
    first = 1 if choice.owned_length_mm(cable) else 0
    bought = cut([pieces_mm[i] for i in rest], lengths[first:])
    if bought is None:
        return cut(pieces_mm, lengths)
    for i, j in zip(rest, bought, strict=True):
        taken[i] = first + j
    return taken


def _owned_name(cable: str) -> str:
    return f"{cable}, owned length"


def _lengths(cable: str, choice: Choice) -> list[Length]:
    """What there is to cut from: the owned length, each length and each spool bought."""
    owned = choice.owned_length_mm(cable)
    own = [Length(_owned_name(cable), owned)] if owned else []
    return own + [x for one in _bought(cable, choice) for x in one]


def _bought(cable: str, choice: Choice) -> list[list[Length]]:
    """For each purchase of a cable its lengths: one by the metre, or its spools, numbered."""
    found: list[list[Length]] = []
    spools: Counter[str] = Counter()
    for p in choice.purchases.get(cable, []):
        shop = p.deal.supplier
        if p.deal.unit == "spool":
            each = round((p.deal.length_m or 0.0) * 1000)
            mine = []
            for _ in range(p.packs * int(p.deal.pack)):
                spools[shop] += 1
                name = f"{cable}, {shop}, spool {spools[shop]} of {p.deal.length_m:g} m"
                mine.append(Length(name, each))
            found.append(mine)
        else:
            of = f"{p.packs} × {p.deal.units.normalize():f} m in one length"
            mm = round(p.deal.units * 1000) * p.packs
            found.append([Length(f"{cable}, {shop}, {of}", mm)])
    return found


def lines_of(needs: Needs, found: Design, choice: Choice, market: Market) -> tuple[Line, ...]:
    """The lines of the bill, by class and part."""
    cut_mm: defaultdict[str, Counter[str]] = defaultdict(Counter)
    for one in found.cuts:
        cut_mm[one.cable][one.piece_of] += one.length_mm
    wanted = {
        part: _wanted(needs, market, choice, part, takers, cut_mm[part])
        for part, takers in counted(found).items()
    }
    surplus = Surplus({part: x.bought for part, x in wanted.items()}, market)
    lines = [line for x in wanted.values() for line in _lines(needs, market, x, surplus)]
    return tuple(sorted(lines, key=order_of_lines))


def counted_lines(
    needs: Needs,
    takers: Mapping[str, Mapping[str, int | Decimal]],
    purchases: Mapping[str, list[Purchase]],
    market: Market,
    goods: Mapping[str, Decimal],
) -> tuple[Line, ...]:
    """The lines of parts that are counted, of which `takers` say how many each takes.

    Of conduit they say metres.

    `goods` is by supplier what is ordered beside them.
    """
    wanted = {p: _counted(needs, market, p, t, purchases.get(p, [])) for p, t in takers.items()}
    surplus = Surplus({part: x.bought for part, x in wanted.items()}, market, goods)
    lines = [line for x in wanted.values() for line in _lines(needs, market, x, surplus)]
    return tuple(sorted(lines, key=order_of_lines))


def order_of_lines(line: Line) -> tuple[str, str, str]:
    """By class, part and supplier."""
    return (line.part_class, line.part, line.supplier or "")


@dataclass(frozen=True)
class _Wanted:
    """What the design takes of a part, and where it comes from."""

    part: str
    takers: Mapping[str, int | Decimal]
    need: Decimal
    spares: Decimal
    owned: Decimal
    shares: list[Decimal]
    """Of each purchase, what is taken from it."""
    bought: list[Bought]


def _wanted(
    needs: Needs,
    market: Market,
    choice: Choice,
    name: str,
    takers: Mapping[str, int | Decimal],
    cut_mm: Mapping[str, int],
) -> _Wanted:
    """The need of one part; of a cable, from each purchase what is cut from it."""
    buys = choice.purchases.get(name, [])
    if not isinstance(market.parts[name], Cable):
        return _counted(needs, market, name, takers, buys)
    need = Decimal(sum(takers.values())) / 1000
    have = Decimal(0)
    if name in market.owned:
        have = Decimal(cut_mm.get(_owned_name(name), 0)) / 1000
    shares = _cut_shares(name, choice, cut_mm)
    # of a spool that is begun all is taken, as far as the number of packs goes
    begun = _begun(name, choice, cut_mm)
    bought = [(p, enough(p, x)) for p, x in zip(buys, begun, strict=True)]
    return _Wanted(name, takers, need, Decimal(0), have, shares, bought)


def _counted(
    needs: Needs,
    market: Market,
    name: str,
    takers: Mapping[str, int | Decimal],
    buys: list[Purchase],
) -> _Wanted:
    """The need of one part that is counted, spares included."""
    used = sum(takers.values())
    spares = Decimal(spares_of(needs, market.parts[name].cls, used))
    need = Decimal(used) + spares
    own = market.owned.get(name)
    have = Decimal(0) if own is None else min(need, own.quantity)
    shares = _shares(need - have, buys)
    bought = [(p, enough(p, x)) for p, x in zip(buys, shares, strict=True)]
    return _Wanted(name, takers, need, spares, have, shares, bought)


def _lines(needs: Needs, market: Market, x: _Wanted, surplus: Surplus) -> list[Line]:
    """The lines of one part: one, or one a purchase."""
    part = market.parts[x.part]
    unit = "m" if by_metre(part) else "each"
    nothing_bought = Line(
        part=x.part,
        part_class=part.cls,
        name=part.name,
        unit=unit,
        need=x.need,
        spares=x.spares,
        owned=x.owned,
        buy=Decimal(0),
        supplier=None,
        pack=None,
        packs=None,
        price=None,
        line_total=Decimal(0),
        why=_why(x.takers, x.spares),
    )
    if not x.bought:
        return [nothing_bought]
    lines = []
    for k, ((p, packs), share) in enumerate(zip(x.bought, x.shares, strict=True)):
        owned, spares = (x.owned, x.spares) if k == 0 else (Decimal(0), Decimal(0))
        price = p.deal.cost(p.packs) / p.packs
        more = surplus.why(p, packs, " m" if unit == "m" else "", needs.job.currency)
        lines.append(
            replace(
                nothing_bought,
                need=share + owned,
                spares=spares,
                owned=owned,
                buy=p.deal.units * p.packs,
                supplier=p.deal.supplier,
                pack=p.deal.units,
                packs=p.packs,
                price=price,
                line_total=price * p.packs,
                why=_why(x.takers, spares) + (f"; {more}" if more else ""),
            )
        )
    return lines


def _shares(left: Decimal, buys: list[Purchase]) -> list[Decimal]:
    """How much of a need each purchase covers, one after the other."""
    shares = []
    for k, p in enumerate(buys):
        share = left if k == len(buys) - 1 else min(left, p.deal.units * p.packs)
        left -= share
        shares.append(share)
    return shares


def _cut_shares(cable: str, choice: Choice, cut_mm: Mapping[str, int]) -> list[Decimal]:
    """How many metres are cut from each purchase."""
    return [
        sum((Decimal(cut_mm.get(x.name, 0)) for x in lengths), Decimal(0)) / 1000
        for lengths in _bought(cable, choice)
    ]


def _begun(cable: str, choice: Choice, cut_mm: Mapping[str, int]) -> list[Decimal]:
    """How many metres of each purchase are touched: what is cut, or the spools begun, whole."""
    found = []
    for p, lengths in zip(choice.purchases.get(cable, []), _bought(cable, choice), strict=True):
        touched = [x for x in lengths if cut_mm.get(x.name)]
        whole = p.deal.unit == "spool"
        mm = sum(x.mm if whole else cut_mm[x.name] for x in touched)
        found.append(Decimal(mm) / 1000)
    return found


def _why(takers: Mapping[str, int | Decimal], spares: Decimal) -> str:
    names = list(takers)
    text = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
    if spares:
        text += f"; {spares} spare" + ("s" if spares > 1 else "")
    return text


def orders_of(
    needs: Needs, lines: tuple[Line, ...], choice: Choice, market: Market
) -> tuple[SupplierOrder, ...]:
    """Each supplier's basket with its freight."""
    return orders_with(needs, lines, lead_days(choice.purchases), market)


def lead_days(purchases: Mapping[str, list[Purchase]]) -> dict[str, int]:
    """By supplier the longest time that any of some purchases takes."""
    found: dict[str, int] = {}
    for buys in purchases.values():
        for p in buys:
            found[p.deal.supplier] = max(found.get(p.deal.supplier, 0), p.deal.lead_days)
    return found


def orders_with(
    needs: Needs, lines: tuple[Line, ...], lead: Mapping[str, int], market: Market
) -> tuple[SupplierOrder, ...]:
    """The same, with the longest lead of each supplier."""
    orders = []
    for name, freight in sorted(market.freight.items()):
        mine = [x for x in lines if x.supplier == name]
        if not mine:
            continue
        goods = sum((x.line_total for x in mine), Decimal(0))
        free = freight.free_over is not None and goods >= freight.free_over
        shipping = Decimal(0) if free else freight.shipping
        start = needs.order.start
        orders.append(
            SupplierOrder(
                supplier=name,
                name=freight.name,
                goods=goods,
                shipping=shipping,
                total=goods + shipping,
                lead_days=lead[name],
                arrives=None if start is None else later(start, lead[name]),
            )
        )
    return tuple(orders)


def later(start: date, days: int) -> date:
    """A date so many calendar days later."""
    return start.fromordinal(start.toordinal() + days)


def cost_of(orders: Iterable[SupplierOrder]) -> Decimal:
    """What some orders cost together, freight included."""
    return sum((o.total for o in orders), Decimal(0))
