"""NFPA 70, National Electrical Code, chapter 9, tables 1, 4, 5 and Annex C, table C.1: conduits.

Read in public reproductions: table 1, table 4 of EMT, table 5 to 6 AWG, table C.1. From memory:
table 4 of PVC, table 5 from 4 AWG up, which table C.1 confirms. The mixed fills are worked from
tables 4 and 5.
"""

from math import pi

import pytest

from solver.needs import PRACTICES
from solver.rules.conduit import (
    circle_mm2,
    conduit_fill_pct,
    fill_limit_pct,
    least_conduit_mm,
    most_conductors,
    pv_beside_ac,
)
from tests.published.printed import agrees, rows, standing

CONDUITS = {(r["conduit"], r["trade_size_in"]): r for r in rows("nec_ch9_table4_conduit")}
WIRES = {r["awg"]: r for r in rows("nec_ch9_table5_thhn")}


@pytest.mark.parametrize("row", rows("nec_ch9_table1_fill")[:3], ids=lambda r: r["fill_pct"])
def test_limit_of_fill(row):
    """One, two, over two."""
    first = int(row["conductors_from"])
    last = int(row["conductors_to"]) if row["conductors_to"] else 60
    for cables in range(first, last + 1):
        assert fill_limit_pct(cables) == float(row["fill_pct"])


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(r, id=f"{r['trade_size_in']} {r['awg']} AWG{standing(r)}")
        for r in rows("nec_annex_c_counts_emt")
    ],
)
def test_count_of_annex_c(row):
    """Every printed count follows from tables 1, 4 and 5."""
    conduit = CONDUITS[row["conduit"], row["trade_size_in"]]
    wire = float(WIRES[row["awg"]]["area_in2"])
    count = most_conductors(wire, float(conduit["total_area_in2"]))
    assert count == int(row["max_conductors"])


def _diameters_mm(text):
    """Outer diameters of "2 x 6 AWG + 3 x 10 AWG", from the printed areas."""
    found = []
    for part in text.split(" + "):
        count, awg = part.removesuffix(" AWG").split(" x ")
        area_mm2 = float(WIRES[awg]["area_in2"]) * 25.4**2
        found += [(area_mm2 * 4 / pi) ** 0.5] * int(count)
    return found


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(
            r, id=f"{r['conduit']} {r['trade_size_in']}: {r['conductors']}{standing(r)}"
        )
        for r in rows("conduit_fill_worked")
    ],
)
def test_mixed_fill(row):
    """Conductors of several sizes: their sum, the share filled, and whether it is allowed."""
    wires = _diameters_mm(row["conductors"])
    assert len(wires) == int(row["count"])
    inside_mm = (float(row["conduit_area_in2"]) * 25.4**2 * 4 / pi) ** 0.5
    assert agrees(sum(circle_mm2(d) for d in wires) / 25.4**2, row["sum_area_in2"])
    assert agrees(conduit_fill_pct(wires, inside_mm), row["fill_pct"])
    limit = fill_limit_pct(len(wires))
    assert limit == float(row["limit_pct"])
    assert (conduit_fill_pct(wires, inside_mm) <= limit) == (row["allowed"] == "yes")
    assert (least_conduit_mm(wires) <= inside_mm) == (row["allowed"] == "yes")


@pytest.mark.parametrize("cables", [1, 2, 3, 7])
def test_the_least_conduit_is_just_full(cables):
    """A hair narrower is too full; no cable needs no conduit."""
    wires = [6.0 + n for n in range(cables)]
    least = least_conduit_mm(wires)
    assert conduit_fill_pct(wires, least) == pytest.approx(fill_limit_pct(cables))
    assert least_conduit_mm([]) == 0.0


def test_table_4_areas_are_those_of_its_diameters():
    """Inches printed twice agree to the last digit but one: the data is not mistyped."""
    for row in CONDUITS.values():
        mm = float(row["internal_diameter_in"]) * 25.4
        assert circle_mm2(mm) / 25.4**2 == pytest.approx(float(row["total_area_in2"]), abs=1e-3)


def test_nec_690_31_keeps_pv_out_of_the_raceways_of_others():
    """From memory: the two small-craft standards ask for a sheath, which AC cable has."""
    assert {p: pv_beside_ac(p) for p in PRACTICES} == {"iso": True, "nec": False, "abyc": True}
