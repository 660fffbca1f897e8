"""The file of `kitbill swap --json`, in the fixed keys of `kitbill-swap-1`."""

from __future__ import annotations

from typing import Any

from bom.numbers import number
from bom.result_json import amount, result_to_json
from bom.swap import Swap
from bom.vary_json import change_to_json
from solver.market import by_metre

FORMAT = "kitbill-swap-1"


def swap_to_json(found: Swap) -> dict[str, Any]:
    """Both answers whole, and every part that changes."""
    return {
        "format": FORMAT,
        "currency": found.before.currency,
        "parts": [
            {
                "part": f.part.part,
                "class": f.part.cls,
                "quantity": number(f.quantity),
                "unit": "m" if by_metre(f.part) else "each",
                "owned": f.stated,
                "against": list(f.against),
            }
            for f in found.forced
        ],
        "difference": amount(found.difference),
        "without_total": found.without and amount(found.without.total),
        "before": result_to_json(found.before, found.needs),
        "after": result_to_json(found.after, found.after_needs),
        "changes": [change_to_json(c) for c in found.changes],
    }
