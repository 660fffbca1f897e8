"""Placing: what is placed can be built, and what is called impossible is."""

import random
from collections import Counter
from itertools import permutations

import pytest

from solver import fit_exact
from solver.fit import Item, Spot, most_that_fit, overlaps, place_items, prove_placing
from solver.fit_opening import NM_PER_MM, Opening, opening_of
from solver.fit_positions import patterns_of, positions_of
from solver.fit_search import search_filling, search_like
from solver.needs import Obstacle, Place

LIMIT_S = 5.0


def surface(length_mm, width_mm, *obstacles, **more):
    """A place with obstacles of (x, y, length, width)."""
    barred = tuple(
        Obstacle(name=f"hatch {k}", x_mm=x, y_mm=y, length_mm=l, width_mm=w)
        for k, (x, y, l, w) in enumerate(obstacles)
    )
    return Place(name="roof", length_mm=length_mm, width_mm=width_mm, obstacles=barred, **more)


def likes(count, length_mm, width_mm, height_mm=35.0):
    """So many items of one size."""
    return [Item(f"P{k}", length_mm, width_mm, height_mm) for k in range(1, count + 1)]


def verdict_on(items, place):
    """The verdict, once its spots were checked and the quick way was found to agree."""
    quick = place_items(items, place)
    verdict, spots = prove_placing(items, place, LIMIT_S)
    assert (verdict == "placed") == (spots is not None)
    for found in (quick, spots):
        if found is not None:
            assert [spot.id for spot in found] == [item.id for item in items]
            assert overlaps(items, found, place) == []
            assert verdict == "placed"
    return verdict


# --- designed cases --------------------------------------------------------------------------


def test_turned_where_it_only_fits_turned():
    """A panel longer than the roof is wide lies along it, and says that it is turned."""
    place = surface(1700, 800)
    assert place_items([Item("P1", 700, 1650, 35)], place) == (Spot("P1", 0, 0, rotated=True),)
    assert place_items([Item("P1", 1650, 700, 35)], place) == (Spot("P1", 0, 0, rotated=False),)


@pytest.mark.parametrize(
    ("count", "length_mm", "width_mm"),
    [
        pytest.param(3, 3300, 2100, id="two along, one across"),
        pytest.param(4, 2700, 2700, id="pinwheel round a gap"),
    ],
)
def test_mixed_turning_is_found(count, length_mm, width_mm):
    """Some way of turning only some of the panels is found; one millimetre less, and none is."""
    items = likes(count, 1700, 1000)
    assert verdict_on(items, surface(length_mm, width_mm)) == "placed"
    least = surface(length_mm - 601, width_mm) if count == 3 else surface(2699, 2699)
    assert verdict_on(items, least) == "impossible"


def test_area_is_not_enough():
    """Five 2 × 2 into 5 × 5: the area would do, the shape does not."""
    assert verdict_on(likes(5, 200, 200), surface(500, 500)) == "impossible"
    assert verdict_on(likes(4, 200, 200), surface(500, 500)) == "placed"


def test_obstacle_splits_the_roof():
    """A hatch in the middle leaves room for small panels on both sides and for no long one."""
    place = surface(3000, 1000, (1300, 0, 400, 1000))
    assert verdict_on(likes(2, 1300, 1000), place) == "placed"
    assert verdict_on(likes(1, 1301, 1000), place) == "impossible"
    assert verdict_on(likes(3, 1300, 600), place) == "impossible"


def test_obstacles_over_one_another_or_over_the_edge():
    """Obstacles may overlap, touch and stick out of the place; what is left can be used."""
    place = surface(2000, 1000, (0, 0, 600, 700), (300, 300, 700, 900), (1900, 900, 500, 500))
    assert verdict_on(likes(1, 1000, 900), place) == "placed"
    assert verdict_on([*likes(1, 1000, 900), Item("s", 400, 300, 9)], place) == "placed"
    assert verdict_on([*likes(1, 1000, 901), Item("s", 400, 300, 9)], place) == "impossible"


def test_height_of_a_locker():
    """As high as the locker is fine, higher is impossible, a flat surface does not mind."""
    locker = surface(900, 500, height_mm=240)
    assert verdict_on([Item("B1", 330, 170, 240)], locker) == "placed"
    assert verdict_on([Item("B1", 330, 170, 240.5)], locker) == "impossible"
    assert verdict_on([Item("B1", 330, 170, 900)], surface(900, 500)) == "placed"


def test_margin_is_kept_to_the_tenth_of_a_millimetre():
    """Lengths are compared as they are, not rounded to whole millimetres."""
    place = surface(1842.4, 1120, margin_mm=60)
    (spot,) = place_items([Item("P1", 1722.4, 1000, 30)], place)
    assert spot == Spot("P1", 60, 60, rotated=False)
    assert verdict_on([Item("P1", 1722.5, 1000, 30)], place) == "impossible"


def test_inches_fill_to_the_edge():
    """Three panels of 4 ft 9 in go on a roof of 14 ft 3 in: binary fractions do not matter."""
    foot_mm, inch_mm = 304.8, 25.4
    roof = surface(14 * foot_mm + 3 * inch_mm, 3 * foot_mm)
    panel = (4 * foot_mm + 9 * inch_mm, 2 * foot_mm + 11 * inch_mm)
    assert verdict_on(likes(3, *panel), roof) == "placed"
    assert verdict_on(likes(3, panel[0] + inch_mm / 64, panel[1]), roof) == "impossible"


def test_place_eaten_up_by_its_margin():
    """Nothing fits where the margins meet, and nothing at all always does."""
    place = surface(300, 200, margin_mm=100)
    assert verdict_on(likes(1, 1, 1), place) == "impossible"
    assert prove_placing([], place, LIMIT_S) == ("placed", ())


def test_same_spots_in_any_order():
    """An item's spot does not depend on its row; like items lie in the order of their names."""
    place = surface(2000, 900, (900, 0, 100, 300))
    items = [*likes(3, 600, 300), Item("P10", 600, 300, 35), Item("box", 500, 280, 35)]
    first = {spot.id: spot for spot in place_items(items, place)}
    for order in permutations(items):
        assert {spot.id: spot for spot in place_items(order, place)} == first
    names = ["P1", "P2", "P3", "P10"]
    assert sorted(names, key=lambda n: (first[n].y_mm, first[n].x_mm)) == names


def test_same_spots_from_the_exact_search():
    """The searches give the same answer for the same question, whatever its order."""
    place, items = surface(2700, 2700), likes(4, 1700, 1000)
    _, first = prove_placing(items, place, LIMIT_S)
    _, second = prove_placing(items[::-1], place, LIMIT_S)
    assert second == first[::-1]


VAN_ROOF = surface(4300, 1750, (2900, 675, 400, 400), (1150, 575, 700, 600), margin_mm=60)


@pytest.mark.parametrize(
    ("length_mm", "width_mm", "most"),
    [(1650, 1000, 0), (1722, 1134, 0), (1480, 670, 3), (1040, 680, 5), (600, 550, 10)],
)
def test_count_on_a_van_roof(length_mm, width_mm, most):
    """One to twelve panels between hatch and vent: placed up to a number, then impossible.

    The next number is refused by two methods that share no search: positions and intervals.
    """
    verdicts = [verdict_on(likes(n, length_mm, width_mm), VAN_ROOF) for n in range(1, most + 3)]
    assert verdicts == ["placed"] * most + ["impossible"] * 2
    assert most_that_fit(Item("P", length_mm, width_mm, 35), VAN_ROOF, LIMIT_S) == (most, True)
    size = (length_mm * NM_PER_MM, width_mm * NM_PER_MM)
    opening = opening_of(VAN_ROOF)
    again = fit_exact._by_intervals(opening, [size] * (most + 1), None, 40.0)
    assert again == ("impossible", None)


def test_count_of_like_items():
    """Proven, up to the number asked for: three rows of four and one turned; none too high."""
    item = Item("B", 330, 172, 214)
    assert most_that_fit(item, surface(1500, 550, height_mm=450), LIMIT_S) == (13, True)
    assert most_that_fit(item, surface(1500, 550, height_mm=213), LIMIT_S) == (0, True)
    assert most_that_fit(item, surface(9000, 5500), LIMIT_S, at_most=7) == (7, True)


def test_count_where_rows_and_columns_are_not_the_most():
    """A large roof with hatches, where the quick ways lay fewer than the exact one proves."""
    place = surface(
        7000, 2200, (1500, 600, 400, 400), (4200, 1500, 700, 400), (6000, 100, 400, 250)
    )
    item = Item("P", 780, 540, 30)
    count, proven = most_that_fit(item, place, 20.0)
    assert proven
    assert verdict_on(likes(count, 780, 540), place) == "placed"
    assert verdict_on(likes(count + 1, 780, 540), place) == "impossible"
    assert place_items(likes(count, 780, 540), place) is None


def test_no_time_is_no_proof():
    """Without time for a search the verdict is `unknown`, not a guess."""
    generator = random.Random(3)
    items = [
        Item(f"b{k}", generator.randrange(90, 400), generator.randrange(60, 260), 9)
        for k in range(20)
    ]
    area = sum(item.length_mm * item.width_mm for item in items)
    assert prove_placing(items, surface(area / 550 + 3, 550), 0.0) == ("unknown", None)


@pytest.mark.parametrize("work", [1e-9, 1e-4, 1e-3, 1e-2])
def test_search_cut_short_proves_nothing(work):
    """The constraint solver stopped at once has found no bound, and none is taken from it."""
    opening = Opening(33, 32, ())
    sizes = [(side, side) for side in (18, 15, 14, 10, 9, 8, 7, 4, 1)]
    positions = positions_of(opening, patterns_of(opening, sizes))
    assert fit_exact._by_positions(positions, work)[0] != "impossible"
    assert fit_exact._by_intervals(opening, sizes, None, work)[0] != "impossible"


def test_rounded_lengths_prove_nothing():
    """Lengths without a common measure are rounded for the intervals, to the safe side."""
    opening = Opening(1_000_000_007, 500_000_003, ((0, 0, 300_000_011, 499_999_999),))
    fits, too_many = (699_999_000, 249_999_000), (699_999_996, 250_000_001)
    verdict, blocks = fit_exact._by_intervals(opening, [fits] * 2, None, 20.0)
    assert verdict == "placed"
    assert all(x >= 300_000_011 and x + l <= 1_000_000_007 for x, _, l, _ in blocks)
    assert sorted(y for _, y, _, _ in blocks)[1] >= 249_999_000
    verdict, _ = fit_exact._by_intervals(opening, [too_many] * 2, None, 20.0)
    assert verdict == "unknown"
    assert fit_exact.lay_or_prove(opening, [too_many] * 2, 1.0)[0] == "placed"


# --- the check -------------------------------------------------------------------------------


ITEMS = [Item("A", 400, 200, 100), Item("B", 300, 300, 100)]
GOOD = [Spot("A", 50, 50, rotated=True), Spot("B", 250, 50, rotated=False)]
SHELF = surface(800, 600, (600, 0, 100, 100), margin_mm=50, height_mm=120)


def test_check_passes_what_is_right():
    """Touching is not overlapping."""
    assert overlaps(ITEMS, GOOD, SHELF) == []


@pytest.mark.parametrize(
    ("items", "spots", "said"),
    [
        (ITEMS, [GOOD[0], Spot("B", 249.9, 50, rotated=False)], "A overlaps B"),
        (ITEMS, [Spot("A", 50, 50, rotated=False), GOOD[1]], "A overlaps B"),
        (ITEMS, [Spot("A", 49.9, 50, rotated=True), GOOD[1]], "A sticks out of roof"),
        (ITEMS, [GOOD[0], Spot("B", 450, 251, rotated=False)], "B sticks out of roof"),
        (ITEMS, [GOOD[0], Spot("B", 301, 50, rotated=False)], "B covers hatch 0"),
        ([ITEMS[0], Item("B", 300, 300, 121)], GOOD, "B is 121 mm high, roof 120 mm"),
        (ITEMS, GOOD[:1], "B has no spot"),
        (ITEMS[:1], GOOD, "B has a spot in roof and is not"),
        ([*ITEMS, ITEMS[1]], GOOD, "B has no spot of its own"),
    ],
)
def test_check_names_each_fault(items, spots, said):
    """Each planted fault is found, alone, and named."""
    (found,) = overlaps(items, spots, SHELF)
    assert found.startswith(said)


def test_check_does_not_pass_a_spot_that_is_no_number():
    """A coordinate that is not a number compares with nothing, and still is a fault."""
    found = overlaps(ITEMS, [GOOD[0], Spot("B", float("nan"), 50, rotated=False)], SHELF)
    assert "B sticks out of roof or into its margin" in found


# --- against brute force ---------------------------------------------------------------------


def _small_case(seed):
    """A few items and a place of a few units, often tight, sometimes with like items only."""
    r = random.Random(seed)
    length, width = r.randint(3, 9), r.randint(3, 7)
    obstacles = [
        (r.randrange(length), r.randrange(width), r.randint(1, 3), r.randint(1, 3))
        for _ in range(r.choice((0, 0, 1, 2)))
    ]
    margin, height = r.choice((0, 0, 0, 1)), r.choice((None, 4))
    place = surface(length, width, *obstacles, margin_mm=margin, height_mm=height)
    kinds = [(r.randint(1, 5), r.randint(1, 4), 4) for _ in range(r.choice((1, 1, 2, 3, 5)))]
    if seed % 25 == 0:
        kinds.append((1, 1, 5))
    room = max(length - 2 * margin, 0) * max(width - 2 * margin, 0)
    items, area = [], 0.0
    while len(items) < 7 and area < r.uniform(0.5, 0.9) * room:
        items.append(Item(f"i{len(items)}", *r.choice(kinds)))
        area += items[-1].length_mm * items[-1].width_mm
    return items, place


def _can_be_laid(items, place):
    """Whether items of whole sizes fit a whole-numbered place, trying every whole corner."""
    if place.height_mm is not None and any(i.height_mm > place.height_mm for i in items):
        return False
    margin, length, width = int(place.margin_mm), int(place.length_mm), int(place.width_mm)
    free = {
        (x, y)
        for x in range(margin, length - margin)
        for y in range(margin, width - margin)
        if not any(
            o.x_mm <= x < o.x_mm + o.length_mm and o.y_mm <= y < o.y_mm + o.width_mm
            for o in place.obstacles
        )
    }
    faces = Counter(
        tuple(sorted((int(item.length_mm), int(item.width_mm)), reverse=True)) for item in items
    )
    ways = {face: _covers(face, free) for face in faces}
    return _lay(sorted(faces.elements(), reverse=True), ways, frozenset(), -1)


def _covers(face, free):
    found = set()
    for l, w in {face, face[::-1]}:
        for x, y in free:
            cells = frozenset((x + i, y + j) for i in range(l) for j in range(w))
            if cells <= free:
                found.add(cells)
    return sorted(found, key=sorted)


def _lay(faces, ways, taken, last):
    if not faces:
        return True
    for index in range(last + 1, len(ways[faces[0]])):
        cells = ways[faces[0]][index]
        if cells & taken:
            continue
        like = len(faces) > 1 and faces[1] == faces[0]
        if _lay(faces[1:], ways, taken | cells, index if like else -1):
            return True
    return False


CASES = range(200)


@pytest.mark.parametrize("block", range(0, len(CASES), 20))
def test_verdict_equals_brute_force(block):
    """Random small cases: the verdict is that of trying every corner, and spots are right."""
    verdicts = Counter()
    for seed in CASES[block : block + 20]:
        items, place = _small_case(seed)
        fits = _can_be_laid(items, place)
        assert verdict_on(items, place) == ("placed" if fits else "impossible"), seed
        verdicts[fits] += 1
    assert len(verdicts) == 2, "a block of cases that all fit, or none, protects nothing"


@pytest.mark.parametrize("block", range(0, len(CASES), 20))
def test_each_search_alone_equals_brute_force(block):
    """Every method gives the verdict by itself, without the cheap proofs before it."""
    for seed in CASES[block : block + 20]:
        items, place = _small_case(seed)
        opening = opening_of(place)
        if min(opening.length, opening.width) <= 0 or seed % 25 == 0 or not items:
            continue
        sizes = [
            (max(sides), min(sides))
            for item in items
            for sides in [(item.length_mm * NM_PER_MM, item.width_mm * NM_PER_MM)]
        ]
        patterns = patterns_of(opening, sizes)
        positions = positions_of(opening, patterns)
        searches = [
            search_filling(opening, positions, 10**6),
            search_filling(opening, positions, 10**6, small_first=True),
            fit_exact._by_positions(positions, LIMIT_S),
            fit_exact._by_intervals(opening, sizes, patterns, LIMIT_S),
            fit_exact._by_intervals(opening, sizes, None, LIMIT_S),
        ]
        if len(positions.sizes) == 1:
            searches.append(search_like(positions, 10**6))
        expected = "placed" if _can_be_laid(items, place) else "impossible"
        assert [verdict for verdict, _ in searches] == [expected] * len(searches), seed
