"""What of a catalog lines a hole, by size."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.holes import holes
from solver.lining import lining_of
from solver.parts import Gland, Grommet
from solver.rules.hole import least_hole_mm
from solver.stock import Stock
from tests.oracle import larger_design
from tests.stages.test_holes import with_holes

DESIGN = larger_design.design()


def grommet(hole_mm, bore_mm, sheet_mm=2.0):
    """A grommet named for its hole."""
    return Grommet(
        part=f"grommet-{hole_mm:g}", name="grommet", kg=0.01, hole_mm=hole_mm, bore_mm=bore_mm,
        sheet_mm=sheet_mm,
    )  # fmt: skip


def gland(low, high, hole_mm):
    """A gland named for its hole."""
    return Gland(
        part=f"gland-{hole_mm:g}", name="gland", kg=0.02, thread="M", clamp_min_mm=low,
        clamp_max_mm=high, hole_mm=hole_mm,
    )  # fmt: skip


def lined(stock, sheet_mm=None, **keys):
    """What lines the hole between locker and board, as parts, counts and holes."""
    needs = with_holes(locker_board={"hole": "x", **keys})
    places = tuple(
        replace(p, sheet_mm=sheet_mm) if p.name == "board" else p for p in needs.places
    )
    needs = replace(needs, places=places)
    (hole,) = holes(needs, DESIGN)
    found = lining_of(hole, needs, Stock.of(stock, [], []))
    return found and [(x.part, x.count, x.hole_mm) for x in found]


def test_a_dry_hole_gets_the_smallest_grommet_that_takes_its_cables():
    """By the bore, not by the hole; none too small, none larger than it must be."""
    (hole,) = holes(with_holes(locker_board={"hole": "x"}), DESIGN)
    wide = least_hole_mm(hole.outer_mm)
    stock = [grommet(99, wide + 9), grommet(50, wide + 0.1), grommet(49, wide - 0.1)]
    assert lined(stock) == [("grommet-50", 1, 50)]
    assert lined(stock[2:]) is None


def test_a_grommet_grips_the_sheet_that_is_stated():
    """12 mm of plywood are no sheet of 2 mm."""
    thin, thick = grommet(50, 45, 2), grommet(60, 45, 14)
    assert lined([thin, thick]) == [("grommet-50", 1, 50)]
    assert lined([thin, thick], sheet_mm=12) == [("grommet-60", 1, 60)]


def test_a_hole_that_is_there_gets_a_grommet_of_its_size():
    """One of 60 mm is not lined by what needs 50; one allowed up to 55 takes none of 60."""
    stock = [grommet(50, 45), grommet(60, 48)]
    assert lined(stock, hole_mm=60) == [("grommet-60", 1, 60)]
    assert lined(stock, hole_mm=70) is None
    assert lined(stock[1:], hole_max_mm=55) is None


def test_a_wet_hole_gets_a_gland_for_each_cable():
    """Within its clamping range at both ends of it."""
    (hole,) = holes(with_holes(locker_board={"hole": "x"}), DESIGN)
    (outer,) = set(hole.outer_mm)
    stock = [
        gland(outer - 2, outer - 0.1, 12), gland(outer + 0.1, outer + 5, 14),
        gland(outer - 1, outer + 1, 16), gland(outer - 3, outer + 3, 20),
    ]  # fmt: skip
    assert lined(stock, wet=True) == [("gland-16", 4, 16)]
    assert lined(stock[:2], wet=True) is None
    assert lined(stock, wet=True, hole_max_mm=16) == [("gland-16", 4, 16)]
    assert lined(stock, wet=True, hole_max_mm=15) is None


def test_each_gland_knows_its_cables():
    """A thick cable may have the narrower hole: nobody may guess which is whose."""
    hole = holes(with_holes(locker_board={"hole": "x", "wet": True}), DESIGN)[0]
    hole = replace(hole, outer_mm=(12.0, 5.0, 12.0, 5.0))
    stock = Stock.of([gland(10, 13, 20), gland(4, 6, 25)], [], [])
    found = lining_of(hole, with_holes(locker_board={"hole": "x", "wet": True}), stock)
    assert [(x.part, x.cables) for x in found] == [("gland-20", (0, 2)), ("gland-25", (1, 3))]


def test_the_shipped_catalog_lines_usual_holes():
    """Bundles of two cables for 4 to 35 mm²: none of them is without a grommet."""
    from bom.parts import read_chosen

    bores = sorted(g.bore_mm for g in read_chosen(None).of_class("grommet"))
    assert bores[-1] >= 2 * 13.7
    assert bores[0] == pytest.approx(5)
