"""The file of `kitbill why --json`, in the fixed keys of `kitbill-why-1`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from bom.numbers import number
from bom.result_json import amount
from bom.why_text import among_text, change_text, ending_of, heading_of, not_looked_at

if TYPE_CHECKING:
    from bom.why import Why
    from solver.collide import Change, Collision, Explanation
    from solver.margins import Margins
    from solver.records import Reason

FORMAT = "kitbill-why-1"


def why_to_json(found: Why) -> dict[str, Any]:
    """What collides, or what each need costs."""
    result = found.result
    told: dict[str, Any] = {
        "format": FORMAT,
        "status": result.status,
        "currency": result.currency,
        "total": amount(result.total),
        "lower_bound": amount(result.lower_bound),
        "interrupted": found.interrupted,
        "time_up": found.time_up,
    }
    if found.explanation is not None:
        return told | _explanation(found.explanation, result.reasons)
    if found.margins is not None:
        return told | _margins(found.margins)
    return told | {"reasons": [_reason(r) for r in result.reasons]}


def _reason(reason: Reason) -> dict[str, Any]:
    return {"needs": list(reason.needs), "message": reason.message, "change": reason.change}


def _explanation(told: Explanation, lacks: tuple[Reason, ...]) -> dict[str, Any]:
    """Of each collision a reason for all its needs, then one for each with its change."""
    return {
        "reasons": [
            *(r for c in told.collisions for r in _reasons(c)),
            *map(_reason, lacks),
        ],
        "collisions": [_collision(c) for c in told.collisions],
        "together": [key for key, _ in told.together],
        "among": [key for key, _ in told.among],
        "message": ending_of(told) if told.decided else among_text(told),
        "searches": told.asked,
    }


def _reasons(collision: Collision) -> list[dict[str, Any]]:
    helping = [c.text for c in collision.changes if c.text]
    whole = {
        "needs": list(collision.keys),
        "message": f"{heading_of(collision)} {'; '.join(collision.whats)}.",
        "change": "; or ".join(helping) or "no single change helps",
    }
    if len(collision.keys) == 1:
        return [whole]
    return [
        whole,
        *(
            {"needs": [c.key], "message": f"{change_text(c)}.", "change": c.text}
            for c in collision.changes
        ),
    ]


def _collision(collision: Collision) -> dict[str, Any]:
    return {
        "needs": list(collision.keys),
        "minimal": collision.minimal,
        "changes": [_change(c) for c in collision.changes],
        "open": list(not_looked_at(collision)),
    }


def _change(change: Change) -> dict[str, Any]:
    return {
        "need": change.key,
        "what": change.what,
        "helps": change.helps,
        "change": change.text,
        "not_enough": change.lacking,
        "step": number(change.step),
        "unit": change.unit,
        "least": change.least,
    }


def _margins(told: Margins) -> dict[str, Any]:
    return {
        "margins": [
            {
                "need": m.key,
                "change": m.change,
                "easier": m.easier,
                "status": m.status,
                "total": amount(m.total),
                "difference": amount(m.difference),
                "proven": m.proven,
            }
            for m in told.margins
        ],
        "open": list(told.open),
        "limits": [
            {
                "need": s.key,
                "left": number(s.left),
                "unit": s.unit,
                "step": number(s.step),
                "binds": not s.left,
            }
            for s in told.slacks
        ],
    }
