"""What became of the owned parts, as `kitbill pick` prints and writes it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from bom.money import amount_text
from bom.numbers import number
from bom.result_json import amount
from solver.owned_use import OwnedUse
from solver.parts.base import SMALL_CLASSES
from solver.records import Result


def owned_texts(uses: Sequence[OwnedUse], result: Result) -> list[str]:
    """A sentence for each owned part."""
    return [_said(use, result) for use in uses]


def _said(use: OwnedUse, result: Result) -> str:
    unit = " m" if use.unit == "m" else ""
    used, quantity = (format(q.normalize(), "f") for q in (use.used, use.quantity))
    if not use.used:
        text = f"{use.part}: not used: {use.why}"
    elif use.used < use.quantity:
        text = f"{use.part}: {used} of {quantity}{unit} used, for {use.why}"
    else:
        text = f"{use.part}: {used}{unit} used, for {use.why}"
    apart = [] if use.part_class in SMALL_CLASSES else ["small parts and tools apart"]
    notes = apart + ([] if use.proven else ["as far as was found in the time given"])
    found = f" ({', '.join(notes)})" if notes else ""
    if use.saved is not None:
        what = "saves" if use.saved >= 0 else "must be used, and makes the kit dearer by"
        text += f"; {what} {amount_text(abs(use.saved), result.currency)}{found}"
    if use.forced_total is not None and result.kit_total is not None:
        more = use.forced_total - result.kit_total
        text += (
            f": {amount_text(use.forced_total, result.currency)} with it"
            + (f", {amount_text(more, result.currency)} more" if more > 0 else "")
            + found
        )
    return text + "."


def owned_to_json(uses: Sequence[OwnedUse]) -> list[dict[str, Any]]:
    """The same as what `json` can write."""
    return [
        {
            "part": use.part,
            "class": use.part_class,
            "name": use.name,
            "unit": use.unit,
            "quantity": number(use.quantity),
            "used": number(use.used),
            "must": use.must,
            "without_total": amount(use.without_total),
            "saved": amount(use.saved),
            "forced_total": amount(use.forced_total),
            "proven": use.proven,
            "why": use.why,
        }
        for use in uses
    ]
