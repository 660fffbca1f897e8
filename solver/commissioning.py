"""The first switch-on: what the meter should show before and after, for one design.

Two parts: dead tests, with sources open and fuses out, and live tests in the order in which the
sources are closed. Each row has a band, the instrument, what to do outside the band, and where the
figure is from. Sun and air of the moment are not known beforehand: rows that depend on them are
told for stated ones.
"""

from __future__ import annotations

from solver.dead_tests import dead_tests
from solver.live_tests import live_tests
from solver.needs import Needs
from solver.readings import Expected
from solver.records import Design, EnergyReport


def expected(needs: Needs, design: Design, energy: EnergyReport) -> tuple[Expected, ...]:
    """Every test of a design, dead ones first, in the order in which they are made."""
    live = sorted(live_tests(needs, design, energy), key=lambda t: t.step)
    return (*dead_tests(design), *live)
