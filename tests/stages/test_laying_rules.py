"""Rules of what lies along ways and on rails, of tilted panels, of what is used up.

All common practice without a source, but NEC 358.30 (within 3 ft of each end, every 10 ft) and 358.26
(360 degrees between pull points), FROM MEMORY, and arithmetic.
"""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.rules.consumables import (
    abrasive_sheets,
    paint_tins,
    solvent_ml,
    spare_labels,
    tape_rolls,
    wipes,
)
from solver.rules.fixing import edge_rise_mm, tilt_legs
from solver.rules.laying import (
    cable_ties,
    conduit_couplings,
    conduit_saddles,
    pull_boxes,
    rail_holds_mm,
    rail_length_mm,
    rail_screws,
)


@pytest.mark.parametrize("way", [100, 899, 900, 901, 2700, 8600])
def test_saddles_are_no_further_apart_than_the_code_allows(way):
    """0.9 m at the most; the code asks for 3 ft from the ends and 10 ft between."""
    n = conduit_saddles(way)
    assert way / (n - 1) <= 900 < 3 * 304.8
    assert n == 2 or way / (n - 2) > 900


def test_ties_stand_where_clips_would():
    """At both ends and no further apart."""
    for way in (50, 300, 301, 4200):
        n = cable_ties(way, 300)
        assert n >= 2
        assert way / (n - 1) <= 300


def test_a_rail_is_as_long_as_what_snaps_on_it():
    """DIN 43880 modules of 17.5 mm, from memory, and two stops of 10 mm."""
    assert rail_length_mm([17.5] * 4) == 90
    assert rail_length_mm([]) == 0


@pytest.mark.parametrize("widths", [[18] * 20, [72] * 13, [18, 36, 72] * 9, [54] * 9])
def test_rails_hold_what_they_are_counted_for(widths):
    """Filled one after another, the widest last: what is left over stands on none."""
    for rail_mm in (250, 500, 1000):
        need, holds = rail_length_mm(widths), rail_holds_mm(rail_mm, widths)
        count = math.ceil(need / holds)
        left, used = sorted(widths), 0
        while left:
            room = rail_mm - 20
            used += 1
            while left and left[0] <= room:
                room -= left.pop(0)
        assert used <= count


def test_a_rail_has_screws_at_its_ends_and_between():
    """One every 250 mm; no rail, no screw."""
    assert [rail_screws(x) for x in (0, 90, 250, 251, 900)] == [0, 2, 2, 3, 5]


@given(st.lists(st.integers(1, 2000), min_size=1, max_size=8))
def test_screws_of_several_rails_are_enough_however_long_each_is(lengths):
    """Two more for each rail beyond the first: its ends are ends too."""
    each = sum(math.ceil(x / 250) + 1 for x in lengths)
    counted = rail_screws(sum(lengths), len(lengths))
    assert each <= counted <= each + len(lengths)


@given(st.lists(st.integers(1, 9000), min_size=1, max_size=8))
def test_couplings_are_enough_wherever_elbows_and_boxes_part_a_conduit(lengths):
    """The pieces between them want no more than the whole without them."""
    assert sum(math.ceil(x / 3000) - 1 for x in lengths) <= conduit_couplings(sum(lengths))
    assert [conduit_couplings(x) for x in (0, 2999, 3000, 3001, 9000)] == [0, 0, 0, 1, 2]


def test_no_stretch_of_conduit_turns_more_than_a_full_circle():
    """NEC 358.26, from memory: 360 degrees, so four quarter bends, between pull points."""
    for bends in range(30):
        boxes = pull_boxes(bends)
        assert math.ceil(bends / (boxes + 1)) <= 4
        assert boxes == 0 or math.ceil(bends / boxes) > 4


def test_the_upper_half_of_the_feet_of_a_tilted_panel_are_legs():
    """None where it lies on its surface, to a degree, whichever way it is off."""
    assert [tilt_legs(4, 30, x) for x in (0, 29, 30, 31, 45)] == [2, 0, 0, 0, 2]
    assert tilt_legs(6, 10, 0) == 3


def test_the_upper_edge_rises_with_the_sine():
    """A metre at 30 degrees: half a metre."""
    assert edge_rise_mm(1000, 30, 0) == pytest.approx(500)
    assert edge_rise_mm(1000, 0, 30) == pytest.approx(500)


def test_what_is_used_up_goes_by_the_dozen():
    """20 ml and two wipes a foot, 100 ml at least; a roll, a sheet or a tin for so many begun."""
    assert [solvent_ml(n) for n in (0, 4, 6, 12)] == [0, 100, 120, 240]
    assert wipes(12) == 24
    for n, begun in ((0, 0), (1, 1), (20, 1), (21, 2)):
        assert tape_rolls(n) == abrasive_sheets(n) == begun
    assert [paint_tins(n) for n in (0, 1, 10, 11)] == [0, 1, 1, 2]


def test_blank_labels_to_spare_are_rounded_up():
    """As other spares are."""
    shares = itertools.product((0, 1, 10, 11, 100), (0, 10))
    assert [spare_labels(n, pct) for n, pct in shares] == [0, 0, 0, 1, 0, 1, 0, 2, 0, 10]
