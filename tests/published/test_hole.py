"""How much of a hole cables may fill: a theorem on discs in a disc, and its figures.

S. P. Fekete, P. Keldenich, C. Scheffer (2019), Packing Disks into Disks with Optimal Worst-Case
Density, SoCG: discs of a total area of at most half a disc's area can always be packed into it,
and a half is the best such share, as two equal discs show. From memory.
"""

import math
import random

import pytest

from solver.bundle import bundle_of
from solver.rules.hole import filling_mm2, hole_takes_mm2, least_hole_mm


def test_two_equal_cables_are_the_worst_case():
    """Side by side they need just twice their diameter, and fill half of that hole."""
    assert least_hole_mm([7.0, 7.0]) == pytest.approx(14.0)
    assert bundle_of([7.0, 7.0]).diameter_mm == pytest.approx(14.0)
    assert filling_mm2([7.0, 7.0]) == pytest.approx(hole_takes_mm2(14.0))
    assert filling_mm2([7.0, 7.0]) > hole_takes_mm2(13.99)


def test_figures_worked_by_hand():
    """6, 8 and 10 mm: 36 + 64 + 100 = 200 mm², a hole of 20 mm; of one cable √2 times it."""
    assert filling_mm2([6.0, 8.0, 10.0]) == pytest.approx(200.0)
    assert least_hole_mm([6.0, 8.0, 10.0]) == pytest.approx(20.0)
    assert hole_takes_mm2(20.0) == pytest.approx(200.0)
    assert least_hole_mm([10.0]) == pytest.approx(10 * math.sqrt(2))
    assert least_hole_mm([]) == 0.0


@pytest.mark.parametrize("seed", range(150))
def test_what_fills_half_lies_in_it_side_by_side(seed):
    """Random cables are laid into the least hole for them: no bundle is wider than the theorem."""
    r = random.Random(f"hole {seed}")
    outer = [round(r.uniform(2, r.choice((4, 9, 24))), 1) for _ in range(r.randrange(1, 12))]
    assert bundle_of(outer).diameter_mm <= least_hole_mm(outer) * 1.0005
