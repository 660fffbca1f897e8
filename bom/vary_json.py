"""The file of `kitbill vary --json`, in the fixed keys of `kitbill-vary-1`."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from bom.numbers import number
from bom.result_json import amount
from solver.records import Reason
from solver.variants import Change, changes

if TYPE_CHECKING:
    from bom.frontiers import Staircase
    from bom.vary import Comparison

FORMAT = "kitbill-vary-1"


def vary_to_json(found: Comparison) -> dict[str, Any]:
    """The whole comparison as what `json` can write."""
    cheapest = None if found.cheapest is None else found.outcomes[found.cheapest]
    cells = []
    for cell, outcome in zip(found.cells, found.outcomes, strict=True):
        differs: tuple[Change, ...] = ()
        if cheapest is not None and outcome.total is not None:
            differs = changes(cheapest.lines, outcome.lines)
        cells.append(
            {
                **({"name": cell.what.name} if cell.what.name else {}),
                "set": {path.text: plain(value) for path, value in cell.what.values},
                "status": outcome.status,
                "total": amount(outcome.total),
                "kit_total": amount(outcome.kit_total),
                "lower_bound": amount(outcome.lower_bound),
                "gap_pct": None if outcome.gap_pct is None else number(outcome.gap_pct),
                "chosen": [{"what": what, "text": text} for what, text in outcome.chosen],
                "changes": [change_to_json(c) for c in differs],
                "reasons": [reason_to_json(r) for r in outcome.reasons],
            }
        )
    return {
        "format": FORMAT,
        "job": {"name": found.name},
        "currency": found.currency,
        "limit_s": number(found.limit_s),
        "keys": [axis.path.text for axis in found.axes],
        "cheapest": found.cheapest,
        "cells": cells,
        "frontier": found.staircase and _frontier(found.staircase, found),
    }


def plain(value: Any) -> Any:
    """A value of a needs file as JSON has it."""
    if isinstance(value, Decimal):
        return amount(value)
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, list):
        return [plain(v) for v in value]
    if isinstance(value, dict):
        return {key: plain(v) for key, v in value.items()}
    return value


def change_to_json(change: Change) -> dict[str, Any]:
    """A part of which there is more or less."""
    return {
        "part": change.part,
        "class": change.part_class,
        "name": change.name,
        "unit": change.unit,
        "before": number(change.before),
        "after": number(change.after),
        "why": change.why,
    }


def reason_to_json(reason: Reason) -> dict[str, Any]:
    """Why there is no kit."""
    return {"needs": list(reason.needs), "message": reason.message, "change": reason.change}


def _frontier(staircase: Staircase, found: Comparison) -> dict[str, Any]:
    values = staircase.axis.values
    return {
        "key": staircase.axis.path.text,
        "asks": "more" if staircase.grows else "less",
        "steps": [
            {
                "from": plain(values[s.first]),
                "to": plain(values[s.last]),
                "total": amount(found.outcomes[s.cell].total),
                "status": found.outcomes[s.cell].status,
                "cell": s.cell,
            }
            for s in staircase.stairs
        ],
    }
