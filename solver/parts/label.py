"""Labels and markers."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class

TOPICS = (
    "array live in daylight",
    "connectors under load",
    "two sources",
    "battery",
    "lithium battery",
    "lead-acid battery",
    "shut-down order",
    "battery switch",
    "residual-current test",
    "fuse holders under load",
)
"""What printed labels are about."""


@part_class("label")
class Label(Part):
    """Labels."""

    kind: str = column("", "what it marks", example="cable end")
    text: str = column(
        "", "what is printed on it; empty: to be written on", default="", must_stand=True
    )
    topic: str | None = column(
        "",
        "what its print is about; empty: nothing is printed",
        default=None,
        one_of=TOPICS,
    )
