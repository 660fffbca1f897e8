"""Rules of small parts: common practice, arithmetic and the sleeves of a published table."""

import math

import pytest

from solver.rules.fixing import (
    bead_ml,
    clips,
    panel_feet,
    panel_pull_n,
    sleeve_fits,
    support_mm,
)

# SAE AMS-DTL-23053/5, 2:1 sleeves: nominal in, least expanded mm, largest recovered mm.
# FROM MEMORY.
SLEEVES = (("1/4", 6.35, 3.17), ("3/8", 9.52, 4.75), ("1/2", 12.70, 6.35), ("1", 25.40, 12.70))


@pytest.mark.parametrize(("size", "before", "after"), SLEEVES, ids=[s for s, _, _ in SLEEVES])
def test_a_sleeve_takes_cables_between_its_two_sizes(size, before, after):
    """A tenth narrower than supplied, a tenth wider than shrunk: no further either way."""
    assert sleeve_fits(before, after, before / 1.101)
    assert sleeve_fits(before, after, after / 0.899)
    assert not sleeve_fits(before, after, before / 1.09)
    assert not sleeve_fits(before, after, after / 0.91)


@pytest.mark.parametrize(
    ("practice", "outer_mm", "asked"),
    [
        ("iso", 8.9, 300),
        ("iso", 12.0, 400),
        ("nec", 19.0, 500),
        ("abyc", 8.9, 300),
        ("abyc", 19.0, 457.2),
    ],
)
def test_cables_are_held_by_thickness(practice, outer_mm, asked):
    """Guidance tables to BS 7671 and the 18 in of ABYC E-11, both FROM MEMORY."""
    assert support_mm(practice, outer_mm) == asked
    # 46 CFR 183.340(b)(4), opened: no more than 24 in
    assert support_mm(practice, outer_mm) <= 24 * 25.4


def test_clips_stand_at_both_ends_and_no_further_apart():
    """Counted along ways of all lengths; a way shorter than one distance has none."""
    for way in range(1, 4000, 7):
        n = clips(way, 300.0)
        assert n == 0 if way < 300 else way / (n - 1) <= 300 < way / (n - 2 or 0.5)


def test_a_panel_has_four_feet_or_six():
    """Common practice, no source."""
    assert [panel_feet(x) for x in (600, 1200, 1201, 2000)] == [4, 4, 6, 6]


def test_wind_pulls_with_half_the_density_times_speed_squared():
    """482 Pa at 100 km/h; 0.8 m² at a suction of 1.5 are pulled with 579 N: arithmetic."""
    assert math.isclose(panel_pull_n(0.8e6) / 2, 579, abs_tol=0.5)
    assert math.isclose(panel_pull_n(1.6e6), 2 * panel_pull_n(0.8e6))


def test_a_metre_of_bead_takes_28_ml():
    """Half a circle of 6 mm is 14 ml a metre; the corner it fills doubles it: arithmetic."""
    assert bead_ml(1000) == 28
    assert math.isclose(bead_ml(1000) / 2, math.pi * 3**2 / 2, rel_tol=0.02)
