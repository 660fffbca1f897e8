"""Weights, air and holes in the answer: the JSON, the notes, the sheets."""

from __future__ import annotations

import dataclasses
import io

import openpyxl
import pytest

from bom.drawings.plate import at_least_mm
from bom.result_json import notes_of, result_to_json
from bom.workbook import workbook_bytes
from solver.conduits import ducts
from solver.needs import Limits
from tests.bom.sample import DESIGN, NEEDS, NO_KIT, RESULT, STOCK

AT = {"roof": (1.0, 0.0, 2.0), "locker": (2.0, 0.5, 0.3), "hut": (0.0, 0.0, 0.0)}


def positioned(**limits):
    """The sample's needs with a position for every place, and limits of moments."""
    places = tuple(dataclasses.replace(p, at_m=AT[p.name]) for p in NEEDS.places)
    return dataclasses.replace(NEEDS, places=places, limits=Limits(**limits))


def sheet(title, needs=NEEDS, result=RESULT):
    """The rows of one sheet of the workbook."""
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(result, needs, STOCK)))
    return [[c.value for c in row] for row in book[title].iter_rows()]


def test_the_result_has_weights_air_and_holes():
    """The keys are there with a kit, and empty without one."""
    found = result_to_json(RESULT, NEEDS)
    assert found["weights"]["total_kg"] > 20
    assert [p["place"] for p in found["weights"]["places"]] == ["hut", "locker", "roof"]
    assert {x["thing"] for x in found["air"]["losses"]} >= {"MPPT1", "B1", "INV1", "CH1"}
    (hole,) = found["holes"]
    assert hole["hole"] == "roof entry"
    assert hole["cuts"] == ["W01", "W02"]
    assert (hole["number"], hole["drill_mm"], hole["linings"]) == ("H1", 9, [])
    assert hole["bores"] == [{"count": 1, "wide_mm": 9}]
    none = result_to_json(NO_KIT, NEEDS)
    assert (none["weights"], none["air"], none["holes"]) == (None, None, [])


def device_kg(place):
    """What the devices in a place weigh, without its fuses and holders."""
    return sum(d.part.kg for d in DESIGN.devices if d.place == place)


def test_moments_are_in_the_result_only_with_positions():
    """Not computed is null, not nought."""
    without = result_to_json(RESULT, NEEDS)["weights"]
    assert [m["kgm"] for m in without["moments"]] == [None] * 3
    assert without["without_position"] == ["locker", "roof"]
    with_them = result_to_json(RESULT, positioned())["weights"]
    _, locker, _ = with_them["places"]
    assert locker["moments_kgm"][0] == pytest.approx(2 * device_kg("locker"))
    moments = device_kg("roof") + 2 * device_kg("locker")
    assert with_them["moments"][0]["kgm"] == pytest.approx(moments)
    assert with_them["middle_m"][2] > 0.3


def test_a_moment_over_its_limit_is_told_in_a_note():
    """Kept: no word; not kept, or not computed: a note."""
    side = result_to_json(RESULT, positioned())["weights"]["moments"][1]["kgm"]

    def told(needs):
        return [n for n in notes_of(RESULT, needs) if n.startswith("Moment")]

    assert told(positioned(side_kgm=side + 1)) == []
    (note,) = told(positioned(side_kgm=side - 1))
    assert "NOT KEPT" in note
    (blind,) = told(dataclasses.replace(NEEDS, limits=Limits(fore_aft_kgm=5)))
    assert "not computed" in blind


def test_a_place_without_vents_or_too_hot_is_told_in_a_note():
    """150 W in a locker want a fan; less in one without vents wants openings."""
    notes = " ".join(notes_of(RESULT, NEEDS))
    assert "of heat" not in notes
    shut = tuple(
        dataclasses.replace(p, vented=False, height_mm=20) if p.name == "locker" else p
        for p in NEEDS.places
    )
    small = dataclasses.replace(NEEDS, places=shut)
    assert 'Place "locker" is not stated as vented' in " ".join(notes_of(RESULT, small))
    kettle = dataclasses.replace(NEEDS.loads[1], watts=2000)
    hot = dataclasses.replace(NEEDS, loads=(NEEDS.loads[0], kettle))
    inverter = next(d for d in DESIGN.devices if d.id == "INV1")
    large = dataclasses.replace(inverter.part, continuous_w=2000, heat_w=None)
    devices = tuple(
        dataclasses.replace(d, part=large) if d is inverter else d for d in DESIGN.devices
    )
    result = dataclasses.replace(RESULT, design=dataclasses.replace(DESIGN, devices=devices))
    assert "fit a fan with a thermostat" in " ".join(notes_of(result, hot))


def test_a_hole_too_narrow_is_told_in_a_note():
    """With how wide the bundle is and what the hole can be."""
    legs = (dataclasses.replace(NEEDS.legs[0], hole_max_mm=5.0), NEEDS.legs[1])
    notes = notes_of(RESULT, dataclasses.replace(NEEDS, legs=legs))
    (note,) = (n for n in notes if n.startswith('Hole "roof entry"'))
    assert "can only be 5 mm" in note
    assert not any(n.startswith("Hole") for n in notes_of(RESULT, NEEDS))


def test_the_sheet_of_weights_has_moments():
    """Of each place and in all; a limit that is not kept shouts."""
    rows = sheet("weights", positioned(fore_aft_kgm=1))
    found = result_to_json(RESULT, positioned())["weights"]
    roof = next(r for r in rows if r[0] == "roof")
    assert roof[5:9] == [1, 0, pytest.approx(found["places"][2]["device_kg"]), 0]
    total = next(r for r in rows if r[0] == "in all")
    assert total[7] == pytest.approx(found["moments"][0]["kgm"])
    assert any(r[0] and "NOT KEPT" in str(r[0]) for r in rows)


def test_the_sheet_of_weights_computes_nothing_without_positions():
    """Never nought, never balanced."""
    rows = sheet("weights")
    total = next(r for r in rows if r[0] == "in all")
    assert total[7:9] == ["not computed", "not computed"]
    assert any("no position (at_m) is stated of roof, locker" in str(r[0]) for r in rows)


def test_the_sheet_of_air_adds_up():
    """Each place's loss is the sum of what is listed under it."""
    rows = [r for r in sheet("air") if isinstance(r[2], int | float)]
    place, under = None, {}
    for row in rows:
        if not str(row[0]).startswith(" "):
            place = row[0]
            under[place] = [row[2], 0.0]
        else:
            under[place][1] += row[2]
    assert set(under) == {"locker", "on the way"}
    assert under["locker"][0] == pytest.approx(under["locker"][1])
    locker = next(r for r in rows if r[0] == "locker")
    assert locker[7] > 0
    assert locker[8] > 0


def test_the_sheet_of_holes_names_cables_and_diameters():
    """The same as the schedule draws, and what the catalog has for it."""
    (row,) = (r for r in sheet("holes") if r[1] == "roof entry")
    assert row[0] == "H1"
    assert row[2] == "roof to locker"
    assert row[7].startswith("W01 Ø")
    assert row[5] >= row[9] > 0
    assert row[5] == row[10]
    assert row[6] == "nothing of that size"


def test_a_stated_conduit_too_narrow_is_told_in_a_note():
    """It rules out no kit, so whoever reads the answer must meet it; one just wide enough is none."""
    legs = tuple(dataclasses.replace(x, conduit="duct") for x in NEEDS.legs)
    bought = dataclasses.replace(NEEDS, legs=legs)
    least = max(d.least_mm for d in ducts(bought, DESIGN))

    def told(mm):
        there = tuple(dataclasses.replace(x, conduit_mm=mm) for x in legs)
        notes = notes_of(RESULT, dataclasses.replace(NEEDS, legs=there))
        return [n for n in notes if n.startswith('Conduit "duct": its')]

    (note,) = told(least - 0.2)
    assert f"has {least - 0.2:g} mm" in note
    assert told(least) == []
    assert not [n for n in notes_of(RESULT, bought) if n.startswith('Conduit "duct": its')]


def test_a_stated_conduit_that_turns_too_often_is_told_in_a_note():
    """Nobody pulls a cable through five quarter bends; where it is bought the box is in the bill."""

    def told(**keys):
        legs = tuple(dataclasses.replace(x, conduit="duct", **keys) for x in NEEDS.legs)
        notes = notes_of(RESULT, dataclasses.replace(NEEDS, legs=legs))
        return [n for n in notes if "pull box" in n]

    assert len(told(bends=5, conduit_mm=200)) == 1
    assert told(bends=4, conduit_mm=200) == told(bends=5) == told(conduit_mm=200) == []


def test_a_roof_of_unknown_pitch_is_told_in_a_note():
    """Legs for tilting are in no bill then; where the pitch is stated there is nothing to say."""
    told = [n for n in notes_of(RESULT, NEEDS) if n.startswith("The pitch of")]
    assert len(told) == 1
    assert '"roof"' in told[0]
    sloped = tuple(dataclasses.replace(p, slope_deg=5.0) for p in NEEDS.places)
    notes = notes_of(RESULT, dataclasses.replace(NEEDS, places=sloped))
    assert not [n for n in notes if n.startswith("The pitch of")]


@pytest.mark.parametrize(("units", "digits", "mm"), [("metric", 1, 1.0), ("imperial", 2, 25.4)])
def test_no_diameter_is_shown_smaller_than_it_must_be(units, digits, mm):
    """Whoever drills by the rounded figure must not come out too narrow."""
    shown = at_least_mm(23.04, units) / mm
    assert shown == pytest.approx(round(shown, digits))
    assert shown * mm >= 23.04
    assert shown * mm < 23.04 + mm * 10**-digits


def test_the_drawings_are_in_the_book():
    """A picture a page: two places, the holes, the routes."""
    book = openpyxl.load_workbook(io.BytesIO(workbook_bytes(RESULT, NEEDS, STOCK)))
    images = book["drawings"]._images
    assert len(images) == 4
    assert all(i._data().startswith(b"\x89PNG") for i in images)
