"""What `kitbill swap` prints: both totals, what changes, or what stands against the parts."""

from __future__ import annotations

import textwrap
from decimal import Decimal
from typing import TYPE_CHECKING

from bom.money import amount_text
from bom.summary import chosen, proof_text
from bom.vary_text import MAIN, change_text
from solver.market import by_metre
from solver.variants import Change

if TYPE_CHECKING:
    from bom.swap import Forced, Swap
    from solver.records import Result

WIDTH = 80


def swap_text(found: Swap) -> str:
    """Lines of at most 80 characters, with a newline at the end."""
    parts = ", ".join(map(forced_text, found.forced))
    heading = textwrap.wrap(f"{found.needs.job.name}: with {parts}", WIDTH)
    lines = [*heading, "=" * max(map(len, heading)), ""]
    lines += _row("before", _total(found.before))
    lines += _row("after", _total(found.after))
    if found.after.design is None:
        return "\n".join([*lines, *_against(found)]) + "\n"
    lines += _row("difference", difference_text(found))
    lines += ["", "Chosen with it"]
    for label, text in chosen(found.after.design):
        lines += _row(label, text)
    if not found.changes:
        lines += ["", *textwrap.wrap(_already(found), WIDTH)]
        return "\n".join(lines) + "\n"
    main = [c for c in found.changes if c.part_class in MAIN]
    rest = [c for c in found.changes if c.part_class not in MAIN]
    lines += ["", "What changes"]
    for change in (*main, *rest):
        lines += _item(f"{change_text(change)}{_why(change)}")
    return "\n".join(lines) + "\n"


def _already(found: Swap) -> str:
    """What the parts save where the answer uses them as it is."""
    text = "Nothing changes: the answer uses what was asked for already"
    if found.without is None or found.after.total is None:
        return text + "."
    if found.without.total is None:
        return f"{text}, and without it there is no kit."
    saved = amount_text(found.without.total - found.after.total, found.after.currency)
    total = amount_text(found.without.total, found.after.currency)
    return f"{text}. Without it the kit costs {total}: it saves {saved}."


def forced_text(one: Forced) -> str:
    """A part and how much of it."""
    unit = " m of" if by_metre(one.part) else " ×"
    name = one.part.name if one.part.name == one.part.part else f"{one.part.part}"
    return f"{format(one.quantity.normalize(), 'f')}{unit} {name}"


def difference_text(found: Swap) -> str:
    """What the parts save or cost, in words."""
    more = found.difference
    owned = "it counts as owned: free of charge"
    if more is None:
        return f"without the parts there is no kit; {owned}"
    amount = amount_text(abs(more), found.before.currency)
    open_ = [r for r in (found.before, found.after) if r.status != "optimal"]
    sure = "; one of the answers is not proven, see above" if open_ else ""
    if more == Decimal(0):
        return f"none; {owned}{sure}"
    return f"{amount} {'more' if more > 0 else 'less'} to be spent; {owned}{sure}"


def _total(result: Result) -> str:
    if result.total is None:
        return proof_text(result)
    return f"{amount_text(result.total, result.currency)}; {proof_text(result)}"


def _against(found: Swap) -> list[str]:
    lines = ["", "What stands against it"]
    ruled_out = [f"{f.part.part}: {text}." for f in found.forced for text in f.against]
    if ruled_out:
        return lines + [line for text in ruled_out for line in _item(text)]
    for reason in found.after.reasons:
        lines += _item(reason.message)
        if reason.change:
            lines += textwrap.wrap(
                f"smallest change that helps: {reason.change}",
                WIDTH,
                initial_indent="    ",
                subsequent_indent="    ",
            )
    return lines


def _why(change: Change) -> str:
    return f" ({change.why})" if change.why else ""


def _row(label: str, text: str) -> list[str]:
    start = f"  {label}".ljust(16) + " "
    return textwrap.wrap(text, WIDTH, initial_indent=start, subsequent_indent=" " * len(start))


def _item(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  - ", subsequent_indent="    ")
