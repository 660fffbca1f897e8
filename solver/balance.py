"""Moments about the stated reference: what each device adds, and which are limited.

The moment of a kit along an axis is the sum, over its panels, batteries and other devices, of
mass times the distance of its place's middle from the reference of `at_m`. Fuses, holders, cable
and what ends it belong to no one place: they weigh in the total and in no moment. So what is
chosen adds up, and a limit either way is one row of the programme.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from solver.needs import Needs

AXES = {"moment x": 0, "moment y": 1}
"""Rows of moments with the number of `at_m` that counts: fore and aft, left and right."""


def limits_kgm(needs: Needs) -> dict[str, float]:
    """The moments that are limited, by the name of their row: most either way, in kg·m."""
    stated = (needs.limits.fore_aft_kgm, needs.limits.side_kgm)
    return {row: most for row, most in zip(AXES, stated, strict=True) if most is not None}


def lever_m(needs: Needs, place: str, row: str) -> float:
    """How far a place is from the reference along the axis of a row."""
    at = needs.place(place).at_m
    if at is None:
        raise AssertionError(f"a moment is limited, and no position of {place} is stated")
    return at[AXES[row]]
