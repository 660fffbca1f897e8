"""Kits whose room decides: what lies on the roof and stands in the locker, and what cannot.

One job worked by hand, with panels of 20 W in series on one controller. Its lamp burns so many
hours that just one, two, three or four of them are needed. Whatever is answered is held against
a check that compares rectangles pair by pair and shares nothing with the code that places.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from solver.fit import Item, Spot, overlaps
from solver.kit import solve_kit
from solver.needs import Leg, Obstacle, Place
from solver.parts import Battery, Busbar, Controller, Panel
from solver.stock import Stock
from tests.oracle.small_jobs import one_circuit_job

HOURS = {1: 5, 2: 10, 3: 16, 4: 22}
"""Of a lamp of 8 W, for so many panels that give 54 Wh a day each."""
INSIDE = ("controller", "battery", "busbar", "switch", "monitor")
ROOMY = Place(name="hut", length_mm=3000, width_mm=2000, height_mm=500, holds=INSIDE)


def job(panels, *places, battery_mm=(200, 100, 50), panel_mm=(170, 100)):
    """The job, which needs so many panels, with these places; each has a leg to the first."""
    needs, stock = one_circuit_job()
    lamp = replace(needs.loads[0], watts=8.0, hours_per_day=HOURS[panels], place=places[0].name)
    needs = replace(
        needs,
        loads=(lamp,),
        energy=replace(needs.energy, autonomy_days=0.1),
        places=places,
        legs=tuple(Leg(from_=places[0].name, to=p.name, length_m=0.1) for p in places[1:]),
    )
    parts = [_changed(p, battery_mm, panel_mm) for p in stock.parts]
    return needs, Stock.of(parts, stock.suppliers, stock.offers)


def _changed(part, battery_mm, panel_mm):
    if isinstance(part, Panel):
        long, short = panel_mm
        return replace(
            part, stc_w=20.0, isc_a=1.2, imp_a=1.11, length_mm=long, width_mm=short, kg=1.0
        )
    if isinstance(part, Controller):
        return replace(part, kind="mppt", max_pv_v=150.0)
    if isinstance(part, Busbar):
        return replace(part, studs=6)
    if isinstance(part, Battery):
        sides = dict(zip(("length_mm", "width_mm", "height_mm"), battery_mm, strict=True))
        return replace(part, **sides)
    return part


def with_another(stock, part, price, **changes):
    """The stock with one more part, like one that is there but for these columns."""
    like = stock.by_name[part]
    offer = next(o for o in stock.offers if o.part == part)
    new = replace(like, part=f"{part}-2", **changes)
    dearer = replace(offer, part=new.part, price=Decimal(price))
    return Stock.of([*stock.parts, new], stock.suppliers, [*stock.offers, dearer])


def roof(length_mm, width_mm, *obstacles, **more):
    """A roof for panels alone, with obstacles of (x, y, length, width)."""
    barred = tuple(
        Obstacle(name=f"hatch {n}", x_mm=x, y_mm=y, length_mm=l, width_mm=w)
        for n, (x, y, l, w) in enumerate(obstacles)
    )
    keys = {"name": "roof", "holds": ("panel",)} | more
    return Place(length_mm=length_mm, width_mm=width_mm, obstacles=barred, **keys)


def placed(needs, stock):
    """The devices of the cheapest kit by class, once every place was checked; None without one."""
    result = solve_kit(needs, stock)
    if result.design is None:
        assert result.status == "infeasible"
        return None
    assert result.status == "optimal"
    for place in needs.places:
        here = [d for d in result.design.devices if d.place == place.name]
        items = [Item(d.id, *d.part.face_mm, d.part.height_mm) for d in here]
        spots = [Spot(d.id, d.x_mm, d.y_mm, d.rotated) for d in here]
        assert overlaps(items, spots, place) == []
        assert all(place.may_hold(d.part.cls) for d in here)
    return {cls: [d for d in result.design.devices if d.part.cls == cls] for cls in
            {d.part.cls for d in result.design.devices}}  # fmt: skip


def panels_on(*places, panels, **more):
    """The panels of the cheapest kit, or None where there is none."""
    found = placed(*job(panels, *places, **more))
    return None if found is None else found["panel"]


def test_the_hours_ask_for_so_many_panels():
    """On a roof with room for any number, each step of hours takes one panel more."""
    counts = [len(panels_on(ROOMY, roof(700, 400), panels=n)) for n in HOURS]
    assert counts == [1, 2, 3, 4]


def test_panels_that_fit_only_turned():
    """A roof narrower than the panel is long: it lies across, and says so."""
    (panel,) = panels_on(ROOMY, roof(110, 180), panels=1)
    assert panel.rotated
    assert panels_on(ROOMY, roof(110, 169), panels=1) is None


def test_panels_that_fit_only_some_this_way_and_some_that():
    """Three on 270 × 210: two along and one across; all alike, only two would lie there."""
    found = panels_on(ROOMY, roof(270, 210), panels=3)
    assert {p.rotated for p in found} == {True, False}
    assert panels_on(ROOMY, roof(269, 210), panels=3) is None


def test_a_pinwheel_round_a_gap():
    """Four on 270 × 270, and on no roof a millimetre smaller."""
    found = panels_on(ROOMY, roof(270, 270), panels=4)
    assert Counter(p.rotated for p in found) == {True: 2, False: 2}
    assert panels_on(ROOMY, roof(269, 269), panels=4) is None


def test_area_says_yes_and_shape_says_no():
    """Two panels are 34,000 mm²; 230 × 160 has more, and they do not lie there."""
    assert panels_on(ROOMY, roof(230, 160), panels=2) is None
    assert len(panels_on(ROOMY, roof(230, 170), panels=2)) == 2


def test_an_obstacle_splits_the_roof():
    """A hatch across leaves two halves: as long as a panel, or ten millimetres too short."""
    assert len(panels_on(ROOMY, roof(400, 110, (170, 0, 60, 110)), panels=2)) == 2
    assert panels_on(ROOMY, roof(400, 110, (160, 0, 80, 110)), panels=2) is None


def test_a_mast_in_the_middle_of_the_roof():
    """The area of both is there beside it, and only a thinner one just lets them stand."""
    assert panels_on(ROOMY, roof(205, 180, (97, 85, 10, 10)), panels=2) is None
    assert len(panels_on(ROOMY, roof(205, 180, (100, 85, 5, 10)), panels=2)) == 2


def test_margins_are_kept():
    """190 mm less two margins of 10 are just a panel; of 10.5, not."""
    assert panels_on(ROOMY, roof(190, 120, margin_mm=10), panels=1)
    assert panels_on(ROOMY, roof(190, 121, margin_mm=10.5), panels=1) is None


def test_two_roofs_must_share():
    """Neither has room for two panels: each gets one, with a controller of its own."""
    fore, aft = roof(180, 110, name="fore"), roof(180, 110, name="aft")
    found = placed(*job(2, ROOMY, fore, aft))
    assert Counter(p.place for p in found["panel"]) == {"fore": 1, "aft": 1}
    assert len(found["controller"]) == 2
    assert panels_on(ROOMY, fore, panels=2) is None


def test_two_lockers_must_share():
    """One takes the five devices at the bars and no battery; the battery stands in the other."""
    first = Place(name="first", length_mm=1000, width_mm=100, height_mm=60, holds=INSIDE)
    second = replace(first, name="second", length_mm=210)
    found = placed(*job(1, first, second, roof(500, 500)))
    assert found["battery"][0].place == "second"
    assert {d.place for cls in ("controller", "busbar", "switch", "monitor")
            for d in found[cls]} == {"first"}  # fmt: skip
    assert placed(*job(1, first, roof(500, 500))) is None


def test_height_under_the_lid():
    """As high as the locker is fine; half a millimetre higher stands in no low locker."""
    low = replace(ROOMY, height_mm=90)
    assert placed(*job(1, low, roof(500, 500), battery_mm=(200, 100, 90)))
    assert placed(*job(1, low, roof(500, 500), battery_mm=(200, 100, 90.5))) is None


def test_the_battery_goes_where_the_lid_is_high_enough():
    """A low locker next to the loads and a higher one behind: the battery stands in that."""
    low, high = replace(ROOMY, height_mm=60), replace(ROOMY, name="aft", height_mm=120)
    found = placed(*job(1, low, high, roof(500, 500), battery_mm=(200, 100, 110)))
    assert found["battery"][0].place == "aft"


def test_a_dearer_panel_that_lies_there_beats_a_cheaper_one_that_does_not():
    """A beam leaves 180 and 110 mm: the cheap one is 185 long, the other 150 and 30 dearer."""
    needs, stock = job(1, ROOMY, roof(300, 110, (110, 0, 10, 110)), panel_mm=(185, 105))
    more = with_another(stock, "panel", 130, length_mm=150.0)
    assert placed(needs, stock) is None
    assert [p.part.part for p in placed(needs, more)["panel"]] == ["panel-2"]
    open_roof = replace(needs, places=(ROOMY, roof(300, 110)))
    assert [p.part.part for p in placed(open_roof, more)["panel"]] == ["panel"]
    dearer = solve_kit(needs, more).total - solve_kit(open_roof, more).total
    assert dearer == 30


def test_a_dearer_battery_that_stands_there_beats_a_cheaper_one_that_does_not():
    """Six compartments of 210 × 210: area for all, and none that takes a length of 230."""
    walls = ((210, 0, 20, 440), (440, 0, 20, 440), (0, 210, 670, 20))
    locker = roof(670, 440, *walls, name="hut", holds=INSIDE, height_mm=60)
    needs, stock = job(1, locker, roof(500, 500), battery_mm=(230, 100, 50))
    more = with_another(stock, "battery", 190, length_mm=190.0)
    assert placed(needs, stock) is None
    assert [b.part.part for b in placed(needs, more)["battery"]] == ["battery-2"]


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0)])
def test_the_order_of_places_changes_nothing(order):
    """The same kit lies at the same spots, whichever place is written first."""
    fore, aft = roof(180, 110, name="fore"), roof(180, 110, name="aft")
    needs, stock = job(2, ROOMY, fore, aft)
    turned = replace(needs, places=tuple(needs.places[n] for n in order))
    first, second = (solve_kit(n, stock).design.devices for n in (needs, turned))
    assert {(d.id, d.place, d.x_mm, d.y_mm) for d in first} == {
        (d.id, d.place, d.x_mm, d.y_mm) for d in second
    }


# -- what is said where room is all that lacks


def change_of(needs, stock, key):
    """The change named for a need that stands in the way."""
    result = solve_kit(needs, stock)
    assert result.status == "infeasible"
    (found,) = {r.change for r in result.reasons if r.needs[0] == key and len(r.needs) <= 2}
    return found


ROOF_LENGTH = 'place."roof".length_mm'


@pytest.mark.parametrize(
    ("panels", "where", "said"),
    [
        pytest.param(
            1, roof(110, 169), "at least 1 mm wider or 60 mm longer: of panels of 170 × 100 mm, none",
            id="too short for one",
        ),
        pytest.param(
            3, roof(269, 210), "at least 1 mm longer or 60 mm wider: of panels of 170 × 100 mm, 2",
            id="a millimetre for the third",
        ),
        pytest.param(
            2, roof(230, 160), "at least 10 mm wider or 110 mm longer: of panels of 170 × 100 mm, 1",
            id="area would be enough",
        ),
        pytest.param(
            2, roof(400, 110, (160, 0, 80, 110)),
            "at least 10 mm longer or 60 mm wider: of panels of 170 × 100 mm, none",
            id="split by a hatch",
        ),
    ],
)  # fmt: skip
def test_a_roof_says_how_many_millimetres_it_lacks(panels, where, said):
    """In which place, for which panel, and by how much: grown by that, one more lies there."""
    change = change_of(*job(panels, ROOMY, where), ROOF_LENGTH)
    assert change.startswith(f'make place "roof" {said}')


def test_a_lid_says_how_many_millimetres_it_lacks():
    """By the lowest battery of the catalog."""
    needs, stock = job(
        1, replace(ROOMY, height_mm=90), roof(500, 500), battery_mm=(200, 100, 90.5)
    )
    assert change_of(needs, stock, 'place."hut".height_mm') == (
        'make place "hut" at least 0.5 mm higher: the lowest battery, battery, is 90.5 mm high'
    )


def test_a_locker_says_how_many_millimetres_it_lacks():
    """Six things of 200 × 100 in a row, with 1000 × 100 for them."""
    first = Place(name="first", length_mm=1000, width_mm=100, height_mm=60, holds=INSIDE)
    change = change_of(*job(1, first, roof(500, 500)), 'place."first".length_mm')
    assert change.startswith('make place "first" at least 100 mm wider or 200 mm longer: ')
    assert "2 of busbar, switch, monitor, controller, battery" in change
