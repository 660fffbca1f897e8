"""Circuit breakers."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import STUDS, Part, part_class


@part_class("breaker")
class Breaker(Part):
    """A DC circuit breaker, or one for AC that opens at a residual current too."""

    kind: str = column("", "the standard's own class", example="IEC 60947-2")
    rated_a: float = column("A", "rated current", above=0, at_most=5000)
    max_v: float = column(
        "V", "highest voltage, DC or of an AC breaker AC", above=0, at_most=3000, better="more"
    )
    breaking_ka: float = column(
        "kA", "breaking capacity at that voltage", above=0, at_most=1000, better="more"
    )
    stud: str | None = column(
        "", "terminals; empty: takes bare wire", default=None, one_of=STUDS, must_stand=True
    )
    holder: str | None = column(
        "", "part that holds it; empty: needs none", default=None, must_stand=True
    )
    rail: bool = column("", "snaps onto a rail of 35 mm, EN 60715", default=False, better="any")
    residual_ma: float | None = column(
        "mA",
        "residual current at which an AC breaker opens; empty: for DC",
        default=None,
        above=0,
        at_most=1000,
        better="less",
    )
