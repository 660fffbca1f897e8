"""Small parts under the limit on mass.

The kit is chosen without them, so only a finished kit tells what they weigh. Where they break the
limit, a kit is looked for that leaves as much free: it keeps the limit unless its own weigh more,
and then once more. The bound stays that of all kits within the limit without their small parts,
so a dearer kit is called optimal only where that bound meets it; between, a cheaper kit with
lighter small parts may be.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from solver.records import Reason
from solver.report import total_kg
from solver.weights import small_kg

if TYPE_CHECKING:
    from solver.needs import Needs
    from solver.records import Result

SLACK_KG = 1e-6


def leaving_kg(needs: Needs, free_kg: float) -> Needs:
    """The same needs with so much less allowed for the whole."""
    limit = needs.limits.total_kg
    if limit is None or not free_kg:
        return needs
    return replace(needs, limits=replace(needs.limits, total_kg=max(limit - free_kg, 0.0)))


def small_kg_over(needs: Needs, result: Result) -> float:
    """What the small parts of a kit weigh, where it breaks the limit with them; else nothing."""
    limit, design = needs.limits.total_kg, result.design
    if limit is None or design is None or total_kg(design) <= limit + SLACK_KG:
        return 0.0
    return small_kg(design)


def over_weight(needs: Needs, heavy: Result) -> Reason:
    """Why there is no answer where small parts break the limit, and no lighter kit was found."""
    design, limit = heavy.design, needs.limits.total_kg
    assert design is not None, "a kit that is too heavy"
    kg, small = total_kg(design), small_kg(design)
    return Reason(
        needs=("limits.total_kg",),
        message=f"The cheapest kit weighs {kg - small:.1f} kg; with its brackets, screws and other "
        f"small parts it comes to {kg:.1f} kg, and the limit is {limit:g} kg. No kit that leaves "
        "so much free was found. Whether one has small parts so much lighter was not decided.",
        change=f"limits.total_kg to {kg:.1f}",
    )
