"""What is used up at work and stays in no kit."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class

KINDS = (
    "abrasive sheet",
    "contact paste",
    "insulating tape",
    "sealant nozzle",
    "solvent",
    "thread lock",
    "wipe",
)


@part_class("consumable")
class Consumable(Part):
    """One sheet, roll, wipe or nozzle, or a tin or tube."""

    kind: str = column("", "what it is", one_of=KINDS)
    ml: float | None = column(
        "ml", "contents of a tin or tube", default=None, above=0, at_most=20000
    )
