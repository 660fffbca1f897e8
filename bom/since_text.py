"""What changed since an earlier result, in words."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from bom.money import amount_text
from bom.since import DateChange, LineChange, PriceChange, Since

MOST = 12
"""Lines of a kind that a terminal shows."""


def about_texts(since: Since, currency: str) -> list[str]:
    """The totals, what makes their difference, and the end of the work."""
    texts = [_totals(since, currency)]
    if since.difference:
        parts = (
            ("the same packs at other prices", since.of_prices),
            ("freight", since.of_freight),
            ("other parts, numbers or suppliers", since.of_parts),
        )
        told = [f"{_signed(value, currency)} {what}" for what, value in parts if value]
        texts.append(f"Of this: {', '.join(told)}.")
    if since.finish_before != since.finish_after:
        was, now = (f or "not told" for f in (since.finish_before, since.finish_after))
        texts.append(f"End of the work: {was} before, {now} now.")
    return texts


def _totals(since: Since, currency: str) -> str:
    before = (
        "no kit" if since.total_before is None else amount_text(since.total_before, currency)
    )
    now = "no kit" if since.total_after is None else amount_text(since.total_after, currency)
    text = f"Since {since.file}: {before} before, {now} now"
    if since.difference is None:
        return text + "."
    if not since.difference:
        return text + ", the same."
    return f"{text}, {_signed(since.difference, currency)}."


def since_texts(since: Since, currency: str) -> Iterable[str]:
    """All of it for a terminal, the largest changes first."""
    yield from about_texts(since, currency)
    if not (since.lines or since.prices or since.dates):
        yield "No line, price or date changed."
    yield from _some([line_text(x, currency) for x in since.lines], "parts")
    yield from _some([price_text(p, currency) for p in since.prices], "prices")
    yield from _some([date_text(d) for d in since.dates], "deliveries")


def _some(texts: list[str], what: str) -> Iterable[str]:
    yield from texts[:MOST]
    if len(texts) > MOST:
        yield f"and {len(texts) - MOST} more {what}; the workbook and the JSON have all"


def line_text(change: LineChange, currency: str) -> str:
    """One part."""
    more = f", {_signed(change.more, currency)}" if change.more else ""
    return f"{change.part}: {change.text()}{more}"


def price_text(change: PriceChange, currency: str) -> str:
    """One price."""
    before, after = (amount_text(x, currency) for x in (change.before, change.after))
    pack = "" if change.pack == 1 else f" (pack of {change.pack.normalize():f})"
    return f"{change.part} from {change.supplier}{pack}: {before} -> {after}"


def date_text(change: DateChange) -> str:
    """One delivery."""
    was = _when(change.lead_days_before, change.arrives_before)
    now = _when(change.lead_days_after, change.arrives_after)
    if was is None:
        return f"{change.name}: new, {now}"
    if now is None:
        return f"{change.name}: nothing is bought there any more, before {was}"
    return f"{change.name}: {was} -> {now}"


def _when(days: int | None, date: str | None) -> str | None:
    if days is None:
        return None
    many = "1 day" if days == 1 else f"{days} days"
    return many if date is None else f"{date} ({many})"


def _signed(value: Decimal, currency: str) -> str:
    sign = "+" if value > 0 else "-"
    return f"{sign}{amount_text(abs(value), currency)}"
