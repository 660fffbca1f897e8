"""Earthing conductors: IEC 60364-5-54 Table 54.2, NFPA 70 Table 250.122, ABYC E-11.

FROM MEMORY, all of them; so are the limits of the AC side's protection.
"""

import pytest

from solver.rules.earthing import earth_least_mm2, frame_least_mm2
from solver.rules.isolation import isolator_breaks
from solver.rules.protection import ac_breaking_ka, residual_limit_ma, serves_ac_v
from solver.tables.awg import AREA_MM2


@pytest.mark.parametrize(
    ("live_mm2", "least_mm2"),
    [
        (2.5, 4.0),
        (4, 4),
        (6, 6),
        (10, 10),
        (16, 16),
        (25, 16),
        (35, 16),
        (50, 25),
        (70, 35),
        (120, 60),
    ],
)
def test_iec_table_54_2(live_mm2, least_mm2):
    """S up to 16 mm², 16 up to 35, then half; 4 mm² at the least (543.1.3). From memory."""
    assert earth_least_mm2("iso", live_mm2) == least_mm2


@pytest.mark.parametrize(
    ("live", "least"),
    # live gauge; its ampacity at 75 °C, Table 310.16; the row of Table 250.122 it falls in
    [
        ("14", "12"),  # 20 A
        ("12", "10"),  # 25 A
        ("10", "10"),  # 35 A
        ("8", "10"),  # 50 A
        ("6", "8"),  # 65 A
        ("4", "8"),  # 85 A
        ("2", "6"),  # 115 A
        ("1/0", "6"),  # 150 A
        ("2/0", "6"),  # 175 A
        ("3/0", "6"),  # 200 A
        ("4/0", "4"),  # 230 A
    ],
)
def test_nec_table_250_122(live, least):
    """By the largest protection that the live conductor could have. From memory."""
    assert earth_least_mm2("nec", AREA_MM2[live]) == AREA_MM2[least]


@pytest.mark.parametrize(
    ("live", "least"),
    [("16", "16"), ("14", "16"), ("8", "10"), ("2", "3"), ("1/0", "1"), ("4/0", "3/0")],
)
def test_abyc_is_one_gauge_thinner(live, least):
    """No more than one size under the live conductor, never under 16 AWG. From memory."""
    assert earth_least_mm2("abyc", AREA_MM2[live]) == AREA_MM2[least]


@pytest.mark.parametrize(("practice", "most_ma"), [("iso", 30), ("nec", 6), ("abyc", 30)])
def test_residual_current(practice, most_ma):
    """30 mA (IEC 60364-4-41, 415.1.1; ABYC E-11), class A of UL 943 up to 6 mA. From memory."""
    assert residual_limit_ma(practice) == most_ma


@pytest.mark.parametrize(("ac_v", "least_ka"), [(120, 3), (230, 5), (240, 5)])
def test_breaking_capacity_of_the_ac_side(ac_v, least_ka):
    """3 kA at 120 V, 5 kA at 240 V: ABYC E-11's main breakers. From memory."""
    assert ac_breaking_ka(ac_v) == least_ka


@pytest.mark.parametrize(
    ("rated_v", "ac_v", "serves"),
    [
        (230, 220, True),
        (230, 240, True),
        (230, 253, True),
        (230, 120, False),
        (120, 110, True),
        (120, 230, False),
    ],
)
def test_supplies_within_ten_per_cent(rated_v, ac_v, serves):
    """220, 230 and 240 V are one class of supply, 110 to 120 V another (IEC 60038, from memory)."""
    assert serves_ac_v(rated_v, ac_v) is serves


@pytest.mark.parametrize(
    ("rated_a", "max_v", "design_a", "voc_cold_v", "breaks"),
    [(16, 250, 16, 250, True), (16, 250, 16.1, 250, False), (16, 250, 16, 251, False)],
)
def test_isolator(rated_a, max_v, design_a, voc_cold_v, breaks):
    """It breaks current and voltage of the coldest morning (IEC 62548, from memory)."""
    assert bool(isolator_breaks(rated_a, max_v, design_a, voc_cold_v)) is breaks


@pytest.mark.parametrize(
    ("practice", "least_mm2"), [("iso", 6.0), ("nec", 5.26), ("abyc", 5.26)]
)
def test_frames(practice, least_mm2):
    """6 mm² by common practice; 10 AWG, Table 250.122 up to 60 A by NEC 690.45. From memory."""
    assert frame_least_mm2(practice) == pytest.approx(least_mm2, abs=0.005)
