"""Kits that do not stand where they should, and what that teaches."""

from __future__ import annotations

from dataclasses import replace

from solver.kit import solve_kit
from solver.needs import Leg
from tests.oracle.small_jobs import one_circuit_job


def with_a_locker(length_mm):
    """The job worked by hand, its panel on a roof and all else in a locker 150 mm wide.

    Six devices of 200 by 100 mm (two of them bus bars) stand in it one behind the other.
    """
    needs, stock = one_circuit_job()
    (hut,) = needs.places
    roof = replace(hut, name="roof", holds=("panel",))
    others = tuple(x for x in hut.holds if x != "panel")
    locker = replace(hut, holds=others, length_mm=length_mm, width_mm=150.0)
    leg = Leg(from_="hut", to="roof", length_m=0.1)
    return replace(needs, places=(locker, roof), legs=(leg,)), stock


def test_devices_that_do_not_stand_in_a_place_without_panels():
    """Their area is there and their sides are not: no kit, and no word of panels."""
    needs, stock = with_a_locker(1190.0)
    result = solve_kit(needs, stock)
    assert result.status == "infeasible"
    assert "panel" not in " ".join(r.message for r in result.reasons)


def test_devices_that_just_stand():
    """With ten millimetres more they do."""
    needs, stock = with_a_locker(1200.0)
    assert solve_kit(needs, stock).status == "optimal"
