"""Rectangles that fill a rectangle, from the literature on packing.

Squared rectangles: Z. Moroń (1925), order 9; A. J. W. Duijvestijn (1978), order 21. Perfect
packings: E. Hopper, B. Turton (2001), class C1. Smallest rectangle for the squares 1 to n:
R. Korf, Optimal rectangle packing (2003, 2004). All from memory; the packings were recomputed,
and so was that no smaller rectangle holds the squares, up to n = 12. The other boxes are
constructed, their verdicts by a constraint solver or by area.
"""

import pytest

from solver.fit import Item, Spot, overlaps, prove_placing
from solver.needs import Place
from tests.published.printed import rows, standing

LIMIT_S = 2.0
SMALLER_UP_TO, SLOWLY_UP_TO = 8, 10
"""Squares for which every smaller rectangle is tried; from the first on only where time is no
matter, beyond the second it takes too long."""
SLOW_LIMIT_S = 30.0


def _cases(name, label, keep=lambda row: True):
    return [
        pytest.param(row, id=f"{row[label]}{standing(row)}") for row in rows(name) if keep(row)
    ]


def _rows_of_items(row):
    name = row["instance"].removesuffix("_height_less_1")
    return [item for item in rows("packing_items") if item["instance"] == name]


def _items(row):
    found = [
        Item(r["item"], float(r["width"]), float(r["height"]), 1.0) for r in _rows_of_items(row)
    ]
    assert len(found) == int(row["items"])
    return found


def _box(length, width):
    return Place(name="box", length_mm=float(length), width_mm=float(width))


def _squares(row):
    return [Item(f"{side}", side, side, 1.0) for side in range(1, int(row["n"]) + 1)]


@pytest.mark.parametrize("row", _cases("packing_instances", "instance"))
def test_verdict_on_a_published_box(row):
    """What fills the box is placed, and what cannot is proven impossible."""
    items, place = _items(row), _box(row["width"], row["height"])
    verdict, spots = prove_placing(items, place, LIMIT_S)
    assert verdict == {"feasible": "placed", "infeasible": "impossible"}[row["verdict"]]
    assert spots is None or overlaps(items, spots, place) == []


@pytest.mark.parametrize(
    "row", _cases("packing_instances", "instance", lambda row: row["verdict"] == "feasible")
)
def test_published_packing_passes_the_check(row):
    """Our check finds nothing wrong with the recomputed packing."""
    spots = [
        Spot(r["item"], float(r["x"]), float(r["y"]), rotated=r["turned"] == "yes")
        for r in _rows_of_items(row)
    ]
    assert overlaps(_items(row), spots, _box(row["width"], row["height"])) == []


@pytest.mark.parametrize("row", _cases("packing_consecutive_squares", "n"))
def test_squares_in_their_smallest_rectangle(row):
    """The squares 1 to n go into the published rectangle."""
    items, place = _squares(row), _box(row["width"], row["height"])
    verdict, spots = prove_placing(items, place, LIMIT_S)
    assert verdict == "placed"
    assert overlaps(items, spots, place) == []


@pytest.mark.parametrize(
    "row",
    _cases("packing_consecutive_squares", "n", lambda row: int(row["n"]) <= SMALLER_UP_TO),
)
def test_squares_in_no_smaller_rectangle(row):
    """No rectangle of less area, however long, holds the squares 1 to n."""
    _in_no_smaller(row, LIMIT_S)


@pytest.mark.slow
@pytest.mark.parametrize(
    "row",
    _cases(
        "packing_consecutive_squares",
        "n",
        lambda row: SMALLER_UP_TO < int(row["n"]) <= SLOWLY_UP_TO,
    ),
)
def test_more_squares_in_no_smaller_rectangle(row):
    """The same for nine and ten squares."""
    _in_no_smaller(row, SLOW_LIMIT_S)


def _in_no_smaller(row, limit_s):
    area, least = int(row["area"]), int(row["area_of_squares"])
    boxes = [
        (length, width)
        for width in range(int(row["n"]), area)
        for length in range(width, area // width + 1)
        if least <= length * width < area
    ]
    for length, width in boxes:
        verdict, _ = prove_placing(_squares(row), _box(length, width), limit_s)
        assert verdict == "impossible", (length, width)
