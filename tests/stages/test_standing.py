"""What a place is to a device: heat, cold and water, and the space that stays free around it."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest

from solver.against import against
from solver.candidates import fits_alone
from solver.climate import bears_climate
from solver.kit import solve_kit
from solver.market import market
from solver.needs import Place, Site
from solver.parts import Inverter, Panel
from solver.rules.standing import charges_between, stands_splashing, works_between
from tests.oracle import small_design
from tests.oracle.small_jobs import harsh_job, warm_job

SITE = Site(
    latitude_deg=47, longitude_deg=8, tilt_deg=0, azimuth_deg=180, coldest_c=-12, hottest_c=34
)


def box(**columns):
    """An inverter of 300 × 200 × 100 mm."""
    return Inverter(
        part="box", name="box", length_mm=300, width_mm=200, height_mm=100, kg=5, dc_v=12,
        continuous_w=500, surge_w=1000, efficiency_pct=90, idle_w=5, ac_v=230, hz=50, charge_a=0,
        stud="M8", **columns,
    )  # fmt: skip


def shelf(**keys):
    """A place of 400 × 300 × 150 mm."""
    return replace(Place(name="shelf", length_mm=400, width_mm=300, height_mm=150), **keys)


@pytest.mark.parametrize(
    ("limits", "stays", "works"),
    [
        ((None, None), (-40, 80), True),
        ((-10, 50), (-10, 50), True),
        ((-10, 50), (-10.5, 50), False),
        ((-10, 50), (-10, 50.5), False),
        ((None, 50), (-40, 50), True),
        ((-10, None), (-9, 90), True),
    ],
)
def test_a_device_works_between_what_it_states(limits, stays, works):
    """At its limits it still does; what states nothing works anywhere."""
    assert works_between(*limits, *stays) is works


@pytest.mark.parametrize(
    ("code", "stands"),
    [
        ("IP65", True), ("IP44", True), ("IPX4", True), ("ip 67", True), ("IP43", False),
        ("IP22", False), ("IP6X", False), (None, False), ("", False), ("splash proof", False),
    ],
)  # fmt: skip
def test_the_second_numeral_tells_of_water(code, stands):
    """IEC 60529: 4 is splashing from any side; what is not stated is taken as none."""
    assert stands_splashing(code) is stands


def test_a_place_without_temperatures_has_those_of_the_site():
    """Stated ones stand in their stead, for better or worse."""
    assert not bears_climate(box(min_c=-10), shelf(), SITE)
    assert bears_climate(box(min_c=-10), shelf(min_c=5), SITE)
    assert bears_climate(box(max_c=40), shelf(), SITE)
    assert not bears_climate(box(max_c=40), shelf(max_c=41), SITE)


def test_a_panel_needs_no_code_in_the_rain():
    """Other devices do where it is wet."""
    lain = Panel(
        part="p", name="p", length_mm=300, width_mm=200, height_mm=30, kg=5, stc_w=50, voc_v=22,
        isc_a=3, vmp_v=18, imp_a=2.8, voc_pct_per_c=-0.3, pmax_pct_per_c=-0.4, max_system_v=600,
        series_fuse_a=15,
    )  # fmt: skip
    assert bears_climate(lain, shelf(wet=True), SITE)
    assert not bears_climate(box(), shelf(wet=True), SITE)
    assert bears_climate(box(ip="IP65"), shelf(wet=True), SITE)


def test_the_ground_is_wet_without_a_word():
    """It lies in the open: what stands there beside panels needs its code, whatever `wet` says."""
    assert not bears_climate(box(ip="IP20"), shelf(ground=True), SITE)
    assert bears_climate(box(ip="IP65"), shelf(ground=True, wet=False), SITE)


def test_free_space_counts_on_every_side_and_before_the_face():
    """50 mm around 300 × 200 × 100 just find room in 400 × 300 × 150, and no more does."""
    assert fits_alone(box(clear_mm=50), shelf(), SITE)
    assert not fits_alone(box(clear_mm=50.5), shelf(), SITE)
    assert not fits_alone(box(clear_mm=50), shelf(height_mm=149), SITE)
    assert not fits_alone(box(clear_mm=50), shelf(margin_mm=1), SITE)
    assert fits_alone(box(), shelf(height_mm=100, margin_mm=50), SITE)


def test_why_a_part_suits_no_place_is_told():
    """With what it bears and how its places are."""
    needs, stock = harsh_job(2)

    hot = replace(box(max_c=20), dc_v=12)
    (why,) = [x for x in against(hot, 1, needs, market(needs, stock)) if "suits" in x]
    assert "up to 20 °C" in why
    assert '"bench" has' in why


KEPT_FREE = [7, 11, 60]


@pytest.mark.parametrize("seed", KEPT_FREE)
def test_devices_of_a_kit_keep_their_space_free(seed):
    """No face is nearer to another than both keep free, nor to the edge than its own."""
    needs, stock = harsh_job(seed)
    design = solve_kit(needs, stock).design
    for place in needs.places:
        faces = []
        for d in design.devices:
            if d.place == place.name:
                a, b = reversed(d.part.face_mm) if d.rotated else d.part.face_mm
                faces.append((d.x_mm, d.y_mm, d.x_mm + a, d.y_mm + b, d.part.clear_mm or 0.0))
        for x0, y0, x1, y1, free in faces:
            assert min(x0, y0, place.length_mm - x1, place.width_mm - y1) >= free - 1e-6
        for p, q in combinations(faces, 2):
            apart = max(p[0] - q[2], q[0] - p[2], p[1] - q[3], q[1] - p[3])
            assert apart >= p[4] + q[4] - 1e-6
    assert any((d.part.clear_mm or 0) > 0 for d in design.devices)


@pytest.mark.parametrize(
    ("stated", "hot", "charged"),
    [(None, 45, True), (None, 45.1, False), (40, 41, False), (55, 50, True)],
)
def test_a_battery_is_charged_up_to_what_it_states_or_45(stated, hot, charged):
    """Its place is where it is charged; what it may work at is another limit."""
    assert charges_between(0, stated, 5, hot) is charged
    assert not charges_between(6, stated, 5, 20)
    lfp = replace(
        next(p for p in small_design.PARTS if p.part == "lfp-100"),
        max_charge_c=stated,
        max_c=60,
    )
    roomy = shelf(length_mm=900, width_mm=900, height_mm=900, min_c=5)
    assert bears_climate(lfp, replace(roomy, max_c=hot), SITE) is charged


def test_why_a_battery_suits_no_place_is_told():
    """Asked for by name, it is told how hot it gets where it would be charged."""
    needs, stock = warm_job(8)
    battery = next(p for p in stock.parts if p.cls == "battery" and p.max_charge_c is None)
    told = list(against(battery, 1, needs, market(needs, stock)))
    assert any("too hot: it may be charged up to 45 °C" in x for x in told)
