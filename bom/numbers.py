"""Numbers of the result file."""

from __future__ import annotations

import math
from decimal import Decimal


def number(value: float | Decimal) -> int | float:
    """A physical value with no more digits than mean something: six after the point."""
    assert math.isfinite(value), f"a value of the result is not a number: {value}"
    return whole_if_it_is(round(float(value), 6))


def whole_if_it_is(value: float) -> int | float:
    """A whole number without a point."""
    return int(value) if value.is_integer() else value
