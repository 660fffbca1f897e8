"""Equal circles in the smallest circle, from the literature: bundles of equal cables.

S. Kravitz (1967), Packing cylinders into cylindrical containers, Mathematics Magazine 40; R. L.
Graham, B. D. Lubachevsky, K. J. Nurmela, P. R. J. Östergård (1998), Dense packings of congruent
circles in a circle, Discrete Mathematics 181. Diameters of the bundle over those of a cable;
from memory. Up to 13, and for 19, they are proven; the others are the best known.
"""

import itertools
import math
import random

import pytest

from solver.bundle import bundle_of

NARROWEST = {
    1: 1.0, 2: 2.0, 3: 2.155, 4: 2.414, 5: 2.701, 6: 3.0, 7: 3.0, 8: 3.304, 9: 3.613, 10: 3.813,
    11: 3.924, 12: 4.030, 13: 4.236, 14: 4.328, 15: 4.521, 16: 4.615, 17: 4.792, 18: 4.864,
    19: 4.864, 20: 5.122,
}  # fmt: skip


def checked(outer_mm):
    """A bundle of these, once no cable was found to overlap another or to stick out."""
    bundle = bundle_of(outer_mm)
    near = 1e-6 * bundle.diameter_mm
    rounds = list(zip(bundle.middles_mm, outer_mm, strict=True))
    for middle, outer in rounds:
        assert math.hypot(*middle) + outer / 2 <= bundle.diameter_mm / 2 + near
    for (a, d), (b, e) in itertools.combinations(rounds, 2):
        assert math.dist(a, b) >= (d + e) / 2 - near
    return bundle


@pytest.mark.parametrize(("count", "ratio"), NARROWEST.items())
def test_bundle_of_equal_cables(count, ratio):
    """To seven as narrow as can be; beyond within a twentieth, and never narrower."""
    found = checked([7.5] * count).diameter_mm / 7.5
    assert found >= ratio - 0.0006
    assert found <= ratio * (1.0005 if count <= 7 else 1.05)


def test_two_unequal_cables_lie_side_by_side():
    """Both diameters together, and a third that fits beside them makes it no wider."""
    assert checked([10, 4]).diameter_mm == pytest.approx(14)
    assert checked([10, 10, 6.6]).diameter_mm == pytest.approx(20)
    assert checked([10, 10, 6.7]).diameter_mm > 20


def test_three_unequal_cables_touch_their_circle():
    """The outer circle of three that touch each other, after Descartes."""
    a, b, c = 6.0, 5.0, 4.0
    bends = (1 / a, 1 / b, 1 / c)
    pairs = bends[0] * bends[1] + bends[1] * bends[2] + bends[2] * bends[0]
    outer = 1 / abs(sum(bends) - 2 * math.sqrt(pairs))
    assert checked([2 * a, 2 * b, 2 * c]).diameter_mm == pytest.approx(2 * outer, rel=5e-4)


@pytest.mark.parametrize("seed", range(40))
def test_any_bundle_can_be_laid(seed):
    """Cables of all sizes: none overlaps, none sticks out, order changes nothing."""
    r = random.Random(seed)
    outer = [r.choice((3.8, 5.3, 6.8, 7.9, 9.1, 13.7, 21)) for _ in range(r.randint(1, 24))]
    found = checked(outer)
    area = sum(d * d for d in outer)
    assert math.sqrt(area) <= found.diameter_mm <= 1.5 * math.sqrt(area) or len(outer) < 3
    assert bundle_of(outer[::-1]).diameter_mm == found.diameter_mm


def test_no_cable_is_no_bundle():
    """Nothing needs no hole."""
    assert bundle_of([]).diameter_mm == 0
