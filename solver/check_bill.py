"""Checks of the bill: it covers the design, adds up, keeps to the money and the dates."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import Decimal

from solver.check_places import by_metre, parts_used, small_parts_used
from solver.check_sheet import ARITHMETIC, COMPLETENESS, CONTRACT, Sheet, same
from solver.check_survey import Survey
from solver.parts import Cable, Connector, Ferrule, Fuse, Lug, Sleeve
from solver.parts.base import SMALL_CLASSES
from solver.records import Cut, Line, SupplierOrder


def check_bill(
    sheet: Sheet,
    survey: Survey,
    lines: tuple[Line, ...],
    orders: tuple[SupplierOrder, ...],
) -> None:
    """Every line, every part of the design, every order."""
    _lines_cover_the_design(sheet, survey, lines)
    for line in lines:
        _line(sheet, survey, line)
    _owned(sheet, survey, lines)
    _cut_from(sheet, survey, lines)
    _orders(sheet, survey, lines, orders)


def spares_of(survey: Survey) -> dict[str, int]:
    """Spares by part: of every termination by the share asked for, and one of each fuse."""
    share = survey.needs.order.spares_pct
    if share <= 0:
        return {}
    ends: dict[str, int] = {}
    for cut in survey.design.cuts:
        for end in cut.ends:
            if end.termination is not None:
                ends[end.termination] = ends.get(end.termination, 0) + 1
    more = [(e.part, e.quantity) for e in survey.design.extras]
    more += [(e.part, e.pieces) for e in survey.design.small or ()]
    for name, count in more:
        if isinstance(survey.design.parts.get(name), Connector | Ferrule | Lug | Sleeve):
            ends[name] = ends.get(name, 0) + count
    for protection in survey.design.protections:
        # the in-line holder of a string's fuse is a pair of connectors
        if isinstance(survey.design.parts.get(protection.holder or ""), Connector):
            ends[protection.holder or ""] = ends.get(protection.holder or "", 0) + 1
    spares = {name: math.ceil(count * share / 100 - 1e-9) for name, count in ends.items()}
    for protection in survey.design.protections:
        if isinstance(survey.design.parts.get(protection.part), Fuse):
            spares[protection.part] = 1
    return spares


def _lines_cover_the_design(sheet: Sheet, survey: Survey, lines: tuple[Line, ...]) -> None:
    used, spares = parts_used(survey), spares_of(survey)
    for name, n in small_parts_used(survey).items():
        used[name] = used.get(name, 0) + n
    needed = {name: used.get(name, 0) + spares.get(name, 0) for name in used | spares}
    for name in sorted(needed):
        here = [line for line in lines if line.part == name]
        unit = "m" if by_metre(survey, name) else "each"
        if not here:
            sheet.holds("a line for every part", COMPLETENESS, name, False, "no line", "a line")
            continue
        sheet.agrees(
            "need, as stated",
            COMPLETENESS,
            name,
            _sum(x.need for x in here),
            needed[name],
            unit,
        )
        sheet.agrees(
            "spares, as stated",
            CONTRACT,
            name,
            _sum(x.spares for x in here),
            spares.get(name, 0),
            unit,
        )
        units = {line.unit for line in here}
        sheet.holds(
            "unit of a line",
            COMPLETENESS,
            name,
            units == {unit},
            ", ".join(sorted(units)),
            unit,
        )
        missing = _sum(x.need for x in here) - _sum(x.owned for x in here)
        sheet.at_least(
            "bought covers what is not owned",
            COMPLETENESS,
            name,
            _sum(x.buy for x in here),
            missing,
            unit,
        )
    for name in sorted({line.part for line in lines} - set(needed)):
        sheet.holds("a use for every line", COMPLETENESS, name, False, "no use", "used")


def _sum(amounts: Iterable[Decimal]) -> float:
    return float(sum(amounts, Decimal(0)))


def _line(sheet: Sheet, survey: Survey, line: Line) -> None:
    subject = f"line {line.part}"
    if line.buy <= 0:
        sheet.holds(
            "nothing bought, nothing paid",
            ARITHMETIC,
            subject,
            line.line_total == 0 and line.supplier is None,
            float(line.line_total),
            0,
        )
        return
    whole = line.packs is not None and line.pack is not None and line.price is not None
    sheet.holds(
        "a supplier and whole packs",
        COMPLETENESS,
        subject,
        whole and line.supplier is not None,
        line.supplier or "none",
        "a supplier",
    )
    if line.packs is None or line.pack is None or line.price is None:
        return
    sheet.agrees(
        "bought is packs times pack",
        ARITHMETIC,
        subject,
        float(line.buy),
        float(line.packs * line.pack),
        line.unit,
    )
    sheet.agrees(
        "line total is packs times price",
        ARITHMETIC,
        subject,
        float(line.line_total),
        float(line.packs * line.price),
        survey.needs.job.currency,
    )
    if survey.needs.order.avoid_suppliers:
        avoided = line.supplier in survey.needs.order.avoid_suppliers
        sheet.holds(
            "supplier not avoided",
            CONTRACT,
            subject,
            not avoided,
            line.supplier or "none",
            "not " + ", ".join(survey.needs.order.avoid_suppliers),
        )


def _owned(sheet: Sheet, survey: Survey, lines: tuple[Line, ...]) -> None:
    """No more is taken from what the person has than there is; what must be used is."""
    has: dict[str, float] = {}
    for owned in survey.needs.owned:
        has[owned.part.part] = has.get(owned.part.part, 0) + float(owned.quantity)
    taken = {
        name: _sum(x.owned for x in lines if x.part == name)
        for name in {line.part for line in lines if line.owned > 0} | set(has)
    }
    for name in sorted(taken):
        sheet.at_most(
            "no more than is owned", CONTRACT, name, taken[name], has.get(name, 0), "owned"
        )
    used = parts_used(survey)
    for owned in survey.needs.owned:
        if owned.use != "must" or owned.part.cls in SMALL_CLASSES:
            continue
        name = owned.part.part
        if isinstance(owned.part, Cable):
            in_use = min(used.get(name, 0), taken[name])
            sheet.holds(
                "owned part that must be used",
                CONTRACT,
                name,
                in_use > 0,
                in_use,
                "above 0",
                "m",
            )
            continue
        sheet.at_least(
            "owned part that must be used",
            CONTRACT,
            name,
            min(used.get(name, 0), taken[name]),
            float(owned.quantity),
            "pieces",
        )


def _cut_from(sheet: Sheet, survey: Survey, lines: tuple[Line, ...]) -> None:
    """Pieces cut from one spool or length are together no longer than any that is had."""
    groups: dict[tuple[str, str], list[Cut]] = {}
    for cut in survey.design.cuts:
        groups.setdefault((cut.cable, cut.piece_of), []).append(cut)
    for (cable, piece_of), cuts in sorted(groups.items()):
        longest = _longest_piece_m(survey, lines, cable, spool=", spool " in piece_of)
        sheet.at_most(
            "pieces fit what they are cut from",
            ARITHMETIC,
            f"{cable}, {piece_of}",
            sum(cut.length_mm for cut in cuts) / 1000,
            longest,
            "m",
        )


def _longest_piece_m(
    survey: Survey, lines: tuple[Line, ...], cable: str, *, spool: bool
) -> float:
    """Of what is bought or owned; a spool is one pack, metres come in one length."""
    mine = [line for line in lines if line.part == cable]
    if spool:
        return max((float(x.pack) for x in mine if x.pack is not None), default=0.0)
    owned = [float(o.quantity) for o in survey.needs.owned if o.part.part == cable]
    return max([*owned, *(float(x.buy) for x in mine)], default=0.0)


def _orders(
    sheet: Sheet, survey: Survey, lines: tuple[Line, ...], orders: tuple[SupplierOrder, ...]
) -> None:
    currency, limits = survey.needs.job.currency, survey.needs.limits
    if not orders:
        if limits.budget is not None:
            spent = _sum(x.line_total for x in lines)
            sheet.at_most("budget", CONTRACT, "kit", spent, float(limits.budget), currency)
        return
    for order in orders:
        subject = f"order at {order.supplier}"
        goods = _sum(x.line_total for x in lines if x.supplier == order.supplier)
        sheet.agrees(
            "goods of an order", ARITHMETIC, subject, float(order.goods), goods, currency
        )
        sheet.agrees(
            "total of an order",
            ARITHMETIC,
            subject,
            float(order.total),
            float(order.goods + order.shipping),
            currency,
        )
        _arrives(sheet, survey, order, subject)
    sold = {line.supplier for line in lines if line.supplier is not None}
    named = [order.supplier for order in orders]
    sheet.holds(
        "an order for every supplier",
        COMPLETENESS,
        "orders",
        sorted(named) == sorted(sold),
        ", ".join(sorted(named)),
        ", ".join(sorted(sold)),
    )
    if limits.budget is not None:
        spent = _sum(order.total for order in orders)
        sheet.at_most("budget", CONTRACT, "kit", spent, float(limits.budget), currency)


def _arrives(sheet: Sheet, survey: Survey, order: SupplierOrder, subject: str) -> None:
    start, need_by = survey.needs.order.start, survey.needs.order.need_by
    if start is None or order.arrives is None:
        return
    sheet.holds(
        "arrival is the start and the lead",
        ARITHMETIC,
        subject,
        same((order.arrives - start).days, order.lead_days),
        (order.arrives - start).days,
        order.lead_days,
        "days",
    )
    if need_by is not None:
        sheet.holds(
            "arrives in time",
            CONTRACT,
            subject,
            order.arrives <= need_by,
            order.arrives.isoformat(),
            need_by.isoformat(),
        )
