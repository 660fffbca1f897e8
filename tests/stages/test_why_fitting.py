"""Why there is no kit where holes, moments or the climate of a place alone rule out all."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.holes import holes
from solver.kit import solve_kit
from solver.rules.hole import least_hole_mm
from solver.weights import weights_of
from tests.oracle.small_jobs import harsh_job, holed_job, leaning_job, piped_job, warm_job


def test_a_hole_that_is_too_narrow_is_named_with_what_is_enough():
    """Its leg, how wide it is, and a width for which there is a kit."""
    needs, stock = holed_job(11)
    free = solve_kit(needs, stock)
    least = {h.name: 0.985 * least_hole_mm(h.outer_mm) for h in holes(needs, free.design)}
    narrow = replace(
        needs, legs=tuple(replace(x, hole_mm=least.get(x.hole)) for x in needs.legs)
    )
    answer = solve_kit(narrow, stock)
    assert answer.status == "infeasible"
    told = [r for r in answer.reasons if any(".hole_mm" in key for key in r.needs)]
    assert told
    assert all("fill half of it" in r.message for r in told)
    assert any("mm wide" in r.change for r in told)


@pytest.mark.parametrize(("seed", "key"), [(31, "side_kgm"), (8, "side_kgm")])
def test_a_moment_that_is_too_small_is_named_with_what_is_enough(seed, key):
    """By sums there could be a kit; one without the limit shows what moment is enough."""
    needs, stock = leaning_job(seed)
    free = solve_kit(needs, stock)
    kgm = abs(weights_of(needs, free.design).moments[1].kgm)
    tight = replace(needs, limits=replace(needs.limits, **{key: 0.3 * kgm}))
    answer = solve_kit(tight, stock)
    assert answer.status == "infeasible"
    told = [r for r in answer.reasons if f"limits.{key}" in r.needs]
    assert told
    assert any("kg·m" in r.change for r in told)


def test_a_place_too_hot_or_too_cold_is_named():
    """With the temperature at which what is kept out could stand there."""
    needs, stock = harsh_job(4)
    answer = solve_kit(needs, stock)
    assert answer.status == "infeasible"
    (reason,) = answer.reasons
    assert reason.needs == ('place."bench".max_c',)
    assert reason.change == 'keep place "bench" cooler, down to 40 °C'


def test_a_conduit_that_pv_and_ac_would_share_is_named():
    """Under nec, where everything stands in one place: what is in the way, and what would help."""
    needs, stock = piped_job(40)
    shut = tuple(replace(p, holds=()) if p.name == "bench" else p for p in needs.places)
    answer = solve_kit(replace(needs, places=shut), stock)
    assert answer.status == "infeasible"
    told = [r for r in answer.reasons if 'leg."bench>bay".conduit' in r.needs]
    assert any("second conduit" in r.change for r in told)


def test_a_place_too_hot_to_charge_in_is_named():
    """45 °C where the batteries state nothing, and no kit without it."""
    needs, stock = warm_job(8)
    answer = solve_kit(needs, stock)
    (reason,) = answer.reasons
    assert reason.needs == ('place."bench".max_c',)
    assert reason.change == 'keep place "bench" cooler, down to 45 °C'
