"""What changed since an earlier result: lines, prices, dates, and what the total owes to which."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any

from bom.result_json import FORMAT, amount, dumps, number
from solver.columns import show
from solver.errors import BadInput

MAX_BYTES = 50_000_000
NOTHING = Decimal(0)
LINE_KEYS = ("part", "name", "unit", "need", "owned", "buy", "line_total")
ORDER_KEYS = ("supplier", "name", "shipping", "lead_days", "arrives")


@dataclass(frozen=True, kw_only=True)
class Taken:
    """How much of a part is needed and bought in one result, from whom, at what cost."""

    need: Decimal
    owned: Decimal
    buy: Decimal
    suppliers: tuple[str, ...]
    cost: Decimal


@dataclass(frozen=True, kw_only=True)
class LineChange:
    """A part that is new, gone, or taken otherwise; None where a result does not have it."""

    part: str
    name: str
    unit: str
    before: Taken | None
    after: Taken | None

    @property
    def more(self) -> Decimal:
        """What it costs more than before."""
        return _cost(self.after) - _cost(self.before)

    def text(self) -> str:
        """What changed, in words."""
        if self.before is None:
            return "new"
        if self.after is None:
            return "gone"
        b, a = self.before, self.after
        told = [
            f"{name} {_plain(x)} -> {_plain(y)}"
            for name, x, y in (("need", b.need, a.need), ("buy", b.buy, a.buy))
            if x != y
        ]
        if b.suppliers != a.suppliers:
            told.append(f"from {_names(b.suppliers)} -> {_names(a.suppliers)}")
        return ", ".join(told) or ("dearer" if self.more > 0 else "cheaper")


@dataclass(frozen=True, kw_only=True)
class PriceChange:
    """A pack that is bought in both results, at another price."""

    part: str
    supplier: str
    pack: Decimal
    before: Decimal
    after: Decimal


@dataclass(frozen=True, kw_only=True)
class DateChange:
    """A supplier's delivery that is new, gone, or on another day."""

    supplier: str
    name: str
    lead_days_before: int | None
    lead_days_after: int | None
    arrives_before: str | None
    arrives_after: str | None


@dataclass(frozen=True, kw_only=True)
class Since:
    """Everything that changed; amounts are in the job's currency."""

    file: str
    status_before: str
    total_before: Decimal | None
    total_after: Decimal | None
    of_prices: Decimal
    """Of the difference, what the same packs cost more."""
    of_freight: Decimal
    of_parts: Decimal
    """The rest: other parts, other numbers of packs, other suppliers."""
    lines: tuple[LineChange, ...]
    prices: tuple[PriceChange, ...]
    dates: tuple[DateChange, ...]
    finish_before: str | None
    finish_after: str | None
    """End of the work, where both results tell it."""

    @property
    def difference(self) -> Decimal | None:
        """What is to be spent more than before; None where a result has no kit."""
        if self.total_before is None or self.total_after is None:
            return None
        return self.total_after - self.total_before


def read_earlier(path: Path, currency: str) -> dict[str, Any]:
    """An earlier result file.

    Raises
    ------
    BadInput
        If it is none of ours, or in another currency than the job.
    """
    if path.is_dir():
        raise BadInput([f"{path}: is a folder; an earlier result (--json) belongs here."])
    with path.open("rb") as file:
        content = file.read(MAX_BYTES + 1)
    if len(content) > MAX_BYTES:
        raise BadInput([f"{path}: is larger than {MAX_BYTES:,} bytes; no result is."])
    try:
        found = json.loads(content, parse_float=Decimal, parse_constant=_no_number)
    except (ValueError, RecursionError) as wrong:
        raise BadInput([f"{path}: is no JSON ({wrong}); give a file of --json."]) from None
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        what = show(found.get("format")) if isinstance(found, dict) else "no table"
        raise BadInput([f'{path}, format: found {what}; "{FORMAT}" belongs here.'])
    problems = [f"{path}, {text}." for text in _faults(found)]
    if not problems and found["currency"] != currency:
        problems = [
            (
                f"{path}, currency: found {show(found['currency'])}; the job's, {currency}, belongs "
                "here, or amounts cannot be compared."
            )
        ]
    if problems:
        raise BadInput(problems)
    return found


def read_back(result: Mapping[str, Any]) -> dict[str, Any]:
    """A result as its file would be read, with exact amounts."""
    found: dict[str, Any] = json.loads(dumps(dict(result)), parse_float=Decimal)
    return found


def changes(file: str, before: Mapping[str, Any], after: Mapping[str, Any]) -> Since:
    """Compare two results, each as read from its JSON with exact amounts."""
    was, now = _taken(before), _taken(after)
    lines = [
        LineChange(
            part=part,
            name=_name(after, part) or _name(before, part),
            unit=_unit(after, part) or _unit(before, part),
            before=was.get(part),
            after=now.get(part),
        )
        for part in sorted({*was, *now})
        if was.get(part) != now.get(part)
    ]
    prices, of_prices = _prices(before, after)
    freight = sum((_dec(o["shipping"]) for o in after["orders"]), NOTHING)
    freight -= sum((_dec(o["shipping"]) for o in before["orders"]), NOTHING)
    totals = [None if r["total"] is None else _dec(r["total"]) for r in (before, after)]
    in_all = NOTHING
    if totals[0] is not None and totals[1] is not None:
        in_all = totals[1] - totals[0] - of_prices - freight
    return Since(
        file=file,
        status_before=str(before["status"]),
        total_before=totals[0],
        total_after=totals[1],
        of_prices=of_prices,
        of_freight=freight,
        of_parts=in_all,
        lines=tuple(sorted(lines, key=lambda x: (-abs(x.more), x.part))),
        prices=tuple(prices),
        dates=tuple(_dates(before, after)),
        finish_before=_finish(before),
        finish_after=_finish(after),
    )


def since_json(since: Since) -> dict[str, Any]:
    """What changed, as what `json` can write."""
    return {
        "status_before": since.status_before,
        "total_before": amount(since.total_before),
        "total_after": amount(since.total_after),
        "difference": amount(since.difference),
        "of_prices": amount(since.of_prices),
        "of_freight": amount(since.of_freight),
        "of_parts": amount(since.of_parts),
        "finish_before": since.finish_before,
        "finish_after": since.finish_after,
        "lines": [
            {
                "part": x.part,
                "name": x.name,
                "change": x.text(),
                "before": _taken_json(x.before),
                "after": _taken_json(x.after),
            }
            for x in since.lines
        ],
        "prices": [
            {
                "part": p.part,
                "supplier": p.supplier,
                "pack": number(p.pack),
                "before": amount(p.before),
                "after": amount(p.after),
            }
            for p in since.prices
        ],
        "dates": [
            {
                "supplier": d.supplier,
                "name": d.name,
                "lead_days_before": d.lead_days_before,
                "lead_days_after": d.lead_days_after,
                "arrives_before": d.arrives_before,
                "arrives_after": d.arrives_after,
            }
            for d in since.dates
        ],
    }


def _taken_json(taken: Taken | None) -> dict[str, Any] | None:
    if taken is None:
        return None
    return {
        "need": number(taken.need),
        "owned": number(taken.owned),
        "buy": number(taken.buy),
        "suppliers": list(taken.suppliers),
        "line_total": amount(taken.cost),
    }


def _taken(result: Mapping[str, Any]) -> dict[str, Taken]:
    """What a result takes of each part; one bought from two offers is two of its lines."""
    by_part: dict[str, list[Any]] = {}
    for line in result["lines"]:
        by_part.setdefault(line["part"], []).append(line)
    return {
        part: Taken(
            need=sum((_dec(x["need"]) for x in lines), NOTHING),
            owned=sum((_dec(x["owned"]) for x in lines), NOTHING),
            buy=sum((_dec(x["buy"]) for x in lines), NOTHING),
            suppliers=tuple(sorted({x["supplier"] for x in lines if x.get("supplier")})),
            cost=sum((_dec(x["line_total"]) for x in lines), NOTHING),
        )
        for part, lines in by_part.items()
    }


def _prices(
    before: Mapping[str, Any], after: Mapping[str, Any]
) -> tuple[list[PriceChange], Decimal]:
    """Packs whose price changed, and what the earlier numbers of them cost more."""
    was, now = _packs(before), _packs(after)
    found, more = [], NOTHING
    for key in sorted(set(was) & set(now)):
        (price, packs), (price_now, _) = was[key], now[key]
        if price != price_now:
            more += (price_now - price) * packs
            part, supplier, pack = key
            found.append(
                PriceChange(
                    part=part, supplier=supplier, pack=pack, before=price, after=price_now
                )
            )
    return found, more


def _packs(
    result: Mapping[str, Any],
) -> dict[tuple[str, str, Decimal], tuple[Decimal, Decimal]]:
    """By part, supplier and units in a pack its price, and how many are bought."""
    found = {}
    for line in result["lines"]:
        packs = line.get("packs")
        if line.get("supplier") and line.get("price") is not None and packs:
            units = _dec(line["buy"]) / _dec(packs)
            found[line["part"], line["supplier"], units] = (_dec(line["price"]), _dec(packs))
    return found


def _dates(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[DateChange]:
    was, now = ({o["supplier"]: o for o in r["orders"]} for r in (before, after))
    found = []
    for supplier in sorted({*was, *now}):
        old, new = was.get(supplier), now.get(supplier)
        one: Mapping[str, Any] = new or old or {}
        change = DateChange(
            supplier=supplier,
            name=one["name"],
            lead_days_before=None if old is None else old["lead_days"],
            lead_days_after=None if new is None else new["lead_days"],
            arrives_before=None if old is None else old["arrives"],
            arrives_after=None if new is None else new["arrives"],
        )
        same = (change.lead_days_before, change.arrives_before) == (
            change.lead_days_after,
            change.arrives_after,
        )
        if not same:
            found.append(change)
    return found


def _finish(result: Mapping[str, Any]) -> str | None:
    work = result.get("work_order")
    finish = work.get("finish") if isinstance(work, dict) else None
    return finish if isinstance(finish, str) else None


def _faults(found: Mapping[str, Any]) -> list[str]:
    """What a result must hold to be compared with."""
    problems = [
        f"{key}: missing; a result has it"
        for key in ("status", "currency", "total", "lines", "orders")
        if key not in found
    ]
    if problems:
        return problems
    if found["total"] is not None and not _is_number(found["total"]):
        problems.append(f"total: found {show(found['total'])}; an amount or null belongs here")
    for name, keys in (("lines", LINE_KEYS), ("orders", ORDER_KEYS)):
        rows = found[name]
        if not isinstance(rows, list) or not all(isinstance(r, dict) for r in rows):
            problems.append(f"{name}: a list of tables belongs here")
            continue
        for n, row in enumerate(rows, 1):
            problems += [
                f"{name}, number {n}: {key} is missing" for key in keys if key not in row
            ]
            problems += [
                f"{name}, number {n}, {key}: found {show(row[key])}; a number belongs here"
                for key in ("need", "owned", "buy", "line_total", "shipping", "price", "packs")
                if row.get(key) is not None and not _is_number(row[key])
            ]
    return problems


def _no_number(text: str) -> Any:
    raise ValueError(f"{text} is no number")


def _is_number(value: object) -> bool:
    return isinstance(value, int | Decimal) and not isinstance(value, bool)


def _dec(value: Any) -> Decimal:
    return NOTHING if value is None else Decimal(value)


def _cost(taken: Taken | None) -> Decimal:
    return NOTHING if taken is None else taken.cost


def _name(result: Mapping[str, Any], part: str) -> str:
    return next((str(x["name"]) for x in result["lines"] if x["part"] == part), "")


def _unit(result: Mapping[str, Any], part: str) -> str:
    return next((str(x["unit"]) for x in result["lines"] if x["part"] == part), "")


def _names(suppliers: tuple[str, ...]) -> str:
    return " and ".join(suppliers) or "what is owned"


def _plain(value: Decimal) -> str:
    return f"{value.normalize():f}"
