"""Needs files are read as they are meant, from TOML and from a workbook alike."""

import datetime
import tomllib
from decimal import Decimal

import openpyxl
import pytest

from bom.needs_file import needs_of, read_needs, read_stated
from solver.needs import ALL_MONTHS, CHEMISTRIES, VOLTAGES, DropLimits
from solver.parts import Cable, Panel
from tests.bom.small_needs import EXAMPLES, STOCK, TEXT, read, spoilt

SINGLE = ("job", "site", "energy", "limits", "rules", "order")


def example(name):
    """An example's needs."""
    return read_needs(EXAMPLES / f"{name}.toml", STOCK)


def every_example():
    """The names of all examples, the impossible ones included."""
    return sorted(str(p.relative_to(EXAMPLES)) for p in EXAMPLES.rglob("*.toml"))


def wh_a_day(needs, month, supply=None):
    """Energy at the loads on a day of a month."""
    return sum(
        load.watts * load.quantity * load.hours_per_day
        for load in needs.loads
        if month in (load.months or ALL_MONTHS) and supply in (None, load.supply)
    )


def ac_together(needs):
    """AC watts that run together, and with the worst start-up."""
    ac = [load for load in needs.loads if load.supply == "ac"]
    run = sum(load.watts * load.quantity for load in ac if load.together)
    start = max(
        run - (load.watts if load.together else 0) + load.surge_watts
        for load in ac
        if load.surge_watts is not None
    )
    return run, start


def usable_area_m2(place):
    """A place's area without its margins and obstacles, none of which reach into the margins."""
    inside = (place.length_mm - 2 * place.margin_mm) * (place.width_mm - 2 * place.margin_mm)
    return (inside - sum(o.length_mm * o.width_mm for o in place.obstacles)) / 1e6


@pytest.mark.parametrize("name", every_example())
def test_every_example_is_valid(name):
    """What is shipped as an example can be read, the impossible ones too."""
    needs = read_needs(EXAMPLES / name, STOCK)
    assert needs.sun_hours == needs.site.sun_hours
    assert "invented" in (EXAMPLES / name).read_text(encoding="utf-8")


def test_van_comes_to_its_reckoned_loads():
    """Loads of the library van, reckoned by hand: the blower in winter, the fan in summer."""
    needs = example("mobile-library-van")
    for month in (1, 2, 3, 10, 11, 12):
        assert wh_a_day(needs, month) == pytest.approx(2149.6)
    for month in (4, 5, 6, 7, 9):
        assert wh_a_day(needs, month) == pytest.approx(2069.6)
    assert 8 not in needs.site.months
    assert wh_a_day(needs, 1, "dc") == pytest.approx(1039.6)
    assert wh_a_day(needs, 1, "ac") == pytest.approx(1110)
    assert ac_together(needs) == (1041, 2741)
    assert needs.energy.autonomy_days * 2149.6 == pytest.approx(3224.4)
    lights = [load for load in needs.loads if load.circuit == "lighting"]
    assert sum(load.watts * load.quantity for load in lights) == 84
    assert {w.kind: w.max_w * w.hours_per_day for w in needs.charging} == {
        "shore": 5000,
        "engine": 600,
    }


def test_van_roof_is_as_large_as_reckoned():
    """6.23 m2 are left of the van's roof after margins and obstacles."""
    assert usable_area_m2(example("mobile-library-van").place("roof")) == pytest.approx(
        6.23, abs=0.005
    )


def test_trailer_comes_to_its_reckoned_loads():
    """Loads of the honey trailer, reckoned by hand, month by month."""
    needs = example("honey-house-trailer")
    for month in (6, 7, 8, 9):
        assert wh_a_day(needs, month) == pytest.approx(4146)
    for month in (4, 5):
        assert wh_a_day(needs, month) == pytest.approx(1021)
    assert wh_a_day(needs, 10) == pytest.approx(2071)
    assert wh_a_day(needs, 7, "dc") == pytest.approx(911)
    assert ac_together(needs) == (835, 1765)


def test_trailer_is_measured_in_feet_and_pounds():
    """Imperial sizes are turned exactly; factors of the 1959 yard and pound agreement."""
    needs = example("honey-house-trailer")
    roof = needs.place("roof")
    assert roof.length_mm == pytest.approx(206 * 25.4)
    assert roof.width_mm == pytest.approx(82 * 25.4)
    assert roof.max_kg == pytest.approx(265 * 0.45359237)
    assert roof.margin_mm == pytest.approx(76.2)
    assert roof.obstacles[0].x_mm == pytest.approx(90 * 25.4)
    assert needs.place("nose box").max_kg == pytest.approx(240 * 0.45359237)
    assert needs.legs[0].length_m == pytest.approx(11.5 * 0.3048)
    assert sum(leg.length_m for leg in needs.legs[2:]) == pytest.approx(5.1562, abs=5e-4)
    assert needs.limits.total_kg == pytest.approx(620 * 0.45359237)
    (owned,) = needs.owned
    assert owned.part.length_mm == pytest.approx(58.7 * 25.4)
    assert owned.part.kg == pytest.approx(26 * 0.45359237)
    assert isinstance(owned.part, Panel)
    assert owned.quantity == 2


def test_office_comes_to_its_reckoned_loads():
    """Loads of the boatyard office, reckoned by hand."""
    needs = example("boatyard-office")
    assert wh_a_day(needs, 6) == pytest.approx(5620)
    assert wh_a_day(needs, 6, "dc") == pytest.approx(1000)
    assert ac_together(needs) == (3250, 5450)
    assert needs.order.rates == (("USD", Decimal("0.92")),)
    assert needs.limits.budget == Decimal(12000)
    assert needs.rules.drop_pct == DropLimits(load=5.0)


def test_office_owns_a_piece_of_cable():
    """Of cable, `use` is what it is made for, and the quantity is metres."""
    (owned,) = example("boatyard-office").owned
    assert isinstance(owned.part, Cable)
    assert owned.part.use == "battery"
    assert owned.use == "may"
    assert owned.inline
    assert owned.quantity == Decimal("3.4")
    assert owned.part.part == owned.part.name == "rest of a roll, battery cable"


def test_impossible_variants_differ_as_they_say():
    """Each impossible example is its scenario but for the needs that collide."""
    sunny = example("impossible/library-van-sun-only")
    assert sunny.charging == ()
    assert sunny.energy.shortfall_pct == 0
    light = example("impossible/honey-house-light-box")
    assert light.energy.autonomy_days == 3
    assert light.place("nose box").max_kg == pytest.approx(27.2, abs=0.05)
    poor = example("impossible/boatyard-small-budget")
    assert poor.limits.budget == 2500
    assert poor.loads == example("boatyard-office").loads


def test_defaults_are_those_of_the_format(tmp_path):
    """What is left out means what the needs file's description says."""
    needs = read(tmp_path, TEXT)
    assert needs.job.units == "metric"
    assert needs.site.months == ALL_MONTHS
    assert needs.site.cell_rise_c == 30
    assert needs.site.derate == 0.85
    assert needs.site.air_c is None
    assert needs.energy.shortfall_pct == 0
    assert needs.energy.inverter_hours_per_day is None
    assert needs.loads[0].quantity == 1
    assert needs.loads[0].together is True
    assert needs.loads[0].months is None
    assert needs.loads[0].circuit is None
    assert needs.place("locker").holds is None
    assert needs.place("room").holds == ()
    assert needs.legs[0].loaded_conductors == 0
    assert needs.limits.budget is None
    assert needs.rules.voltages == VOLTAGES
    assert needs.rules.chemistries == CHEMISTRIES
    assert needs.rules.practice == "iso"
    assert (needs.rules.ac_v, needs.rules.hz) == (230, 50)
    assert needs.rules.drop_pct == DropLimits(
        array=3.0, battery=1.0, inverter=2.0, charger=3.0, load=3.0
    )
    assert (needs.rules.continuous, needs.rules.conductor_c) == (1.25, 60)
    assert (needs.rules.slack_mm, needs.rules.round_mm, needs.rules.in_place_m) == (150, 10, 1)
    assert needs.order.spares_pct == 10
    assert needs.order.start is None
    assert needs.owned == ()


def test_reserved_keys_are_read(tmp_path):
    """Keys for what comes next are understood already."""
    text = spoilt(
        (
            'name = "Lamp"',
            'name = "Lamp"\nvolts = [12, 24]\nsurge_s = 2\npower_factor = 0.8\ncritical = true',
        ),
        (
            'holds = ["panel"]',
            'holds = ["panel"]\nat_m = [1.9, "-2 ft", 2.2]\nwet = true\nsheet_mm = "1/16 in"\nsleeping = false',
        ),
        (
            "length_m = 4",
            (
                "length_m = 4\nmax_c = 50\nbends = 2\n"
                'hole_max_mm = "1-3/8 in"\nhole_mm = 20\nwet = true\n'
                'from_at_mm = ["1 in", 40]\nto_at_mm = [0, 12.5]'
            ),
        ),
    )
    text += '[[charging]]\nkind = "shore"\nmax_w = 300\nhours_per_day = 5\nmonths = [12, 1]\nplace = "room"\n'
    needs = read(tmp_path, text)
    lamp, roof, leg, shore = needs.loads[0], needs.places[0], needs.legs[0], needs.charging[0]
    assert (lamp.volts, lamp.surge_s, lamp.power_factor, lamp.critical) == (
        (12, 24),
        2,
        0.8,
        True,
    )
    assert roof.at_m == pytest.approx((1.9, -0.6096, 2.2))
    assert (roof.wet, roof.sheet_mm) == (True, pytest.approx(1.5875))
    assert (leg.max_c, leg.bends, leg.hole_mm, leg.wet) == (50, 2, 20, True)
    assert leg.hole_max_mm == pytest.approx(34.925)
    assert leg.from_at_mm == pytest.approx((25.4, 40))
    assert leg.to_at_mm == pytest.approx((0, 12.5))
    assert (shore.months, shore.place) == ((1, 12), "room")


def test_money_stays_exact(tmp_path):
    """A budget and a rate are the digits that were typed."""
    text = (
        TEXT + "[limits]\nbudget = 1234.10\n[order]\nrates = { USD = 0.9200000000000000001 }\n"
    )
    needs = read(tmp_path, text)
    assert needs.limits.budget == Decimal("1234.10")
    assert needs.order.rates == (("USD", Decimal("0.9200000000000000001")),)


def test_owned_parts_of_the_catalog_are_found(tmp_path):
    """An owned part of the catalog is the catalog's; of cable it is a length."""
    text = TEXT + '[[owned]]\npart = "panel-100"\nquantity = 2\nuse = "must"\n'
    text += (
        '[[owned]]\npart = "cable-35-red"\nquantity = "11 ft"\n[[owned]]\npart = "lug-35-m8"\n'
    )
    panel, cable, lug = read(tmp_path, text).owned
    assert panel.part is STOCK.by_name["panel-100"]
    assert (panel.quantity, panel.use, panel.inline) == (2, "must", False)
    assert float(cable.quantity) == pytest.approx(3.3528)
    assert (lug.quantity, lug.use) == (1, "may")


def test_a_cable_that_must_be_used(tmp_path):
    """`use` of a described cable says what it is made for, so `must` says that it must be used."""
    text = (EXAMPLES / "boatyard-office.toml").read_text(encoding="utf-8")
    needs = read(tmp_path, text.replace("quantity = 3.4", "quantity = 3.4\nmust = true"))
    assert needs.owned[0].use == "must"


def test_panels_need_no_place_where_all_energy_comes_otherwise(tmp_path):
    """With a shortfall of 100 % and a way in, a kit may have no array."""
    text = spoilt(
        ("autonomy_days = 1.5", "autonomy_days = 1.5\nshortfall_pct = 100"),
        ('holds = ["panel"]', "holds = []"),
    )
    text += '[[charging]]\nkind = "shore"\nmax_w = 300\nhours_per_day = 5\n'
    assert read(tmp_path, text).energy.shortfall_pct == 100


def test_one_place_needs_no_legs(tmp_path):
    """A kit in a single place has no ways between places."""
    text = TEXT[: TEXT.index("[[place]]")].replace('"room"', '"hut"')
    text += '[[place]]\nname = "hut"\nlength_mm = 3000\nwidth_mm = 2000\nheight_mm = 2000\n'
    text += 'holds = ["panel", "battery", "busbar", "controller", "fuse"]\n'
    assert read(tmp_path, text).legs == ()


def test_what_was_assumed_is_told(tmp_path):
    """The person sees what the file left open."""
    text = spoilt(("sun_hours = [1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1]", "clearness = 0.5"))
    text = text.replace('supply = "dc"', 'supply = "ac"', 1).replace(
        "watts = 45", "watts = 45\nmonths = [1]"
    )
    text = text.replace("coldest_c", "months = [6, 7]\ncoldest_c")
    needs = read(tmp_path, text)
    notes = "\n".join(needs.notes)
    assert "clearness of 0.5" in notes
    assert "air_c" in notes
    assert "24 h a day" in notes
    assert 'Load "Fridge" runs in none of the months' in notes
    assert needs.site.sun_hours is None
    assert len(needs.sun_hours) == 12
    assert needs.sun_hours[5] > needs.sun_hours[11] > 0


def test_what_has_no_effect_yet_is_told_once_and_only_if_stated(tmp_path):
    """Nobody believes that a key was reckoned with which nothing reads."""
    assert not any("without effect" in n for n in read(tmp_path, TEXT).notes)
    text = spoilt(
        ("watts = 45", "watts = 45\ncritical = true"),
    )
    (note,) = (n for n in read(tmp_path, text).notes if "without effect" in n)
    assert note.endswith("[[load]] critical.")


def test_stated_sun_goes_before_clearness(tmp_path):
    """With both stated the sun hours hold, and the answer says so."""
    needs = read(tmp_path, spoilt(("coldest_c", "clearness = 0.4\ncoldest_c")))
    assert needs.sun_hours == (1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1)
    assert any("clearness is not used" in note for note in needs.notes)


def test_a_byte_order_mark_and_other_line_ends_are_no_fault(tmp_path):
    """Files of other systems' editors are read alike."""
    expected = read(tmp_path, TEXT)
    file = tmp_path / "marked.toml"
    file.write_bytes(b"\xef\xbb\xbf" + TEXT.replace("\n", "\r\n").encode())
    assert read_needs(file, STOCK) == expected


def test_the_order_of_tables_changes_nothing(tmp_path):
    """Tables may stand in any order."""
    head, rest = TEXT.split("[[load]]", 1)
    assert read(tmp_path, "[[load]]" + rest + head) == read(tmp_path, TEXT)


def test_judging_does_not_change_what_was_stated(tmp_path):
    """The same tables can be judged again, as they are for each variation."""
    read(tmp_path, TEXT)
    stated = read_stated(tmp_path / "needs.toml")
    assert needs_of(stated, STOCK) == needs_of(stated, STOCK)


# workbooks


def cell_of(value):
    """A TOML value as a person types it into a cell."""
    if isinstance(value, list):
        return ";".join(str(one) for one in value) or "[]"
    return float(value) if isinstance(value, Decimal) else value


def book_of(file):
    """A TOML needs file as a workbook of the plain form, without any remarks."""
    tables = tomllib.loads(file.read_text(encoding="utf-8"))
    made = openpyxl.Workbook()
    made.remove(made.active)
    for name, table in tables.items():
        sheet = made.create_sheet(name)
        if name in SINGLE:
            sheet.append(["key", "value"])
            for key, value in table.items():
                inner = value.items() if isinstance(value, dict) else None
                for part, one in inner or [(None, value)]:
                    sheet.append([f"{key}.{part}" if part else key, cell_of(one)])
            continue
        keys = list(dict.fromkeys(k for row in table for k in row if k != "obstacles"))
        sheet.append(keys)
        for row in table:
            sheet.append([cell_of(row.get(key)) for key in keys])
        obstacles = [(row["name"], o) for row in table for o in row.get("obstacles", [])]
        if obstacles:
            sheet = made.create_sheet("obstacle")
            sheet.append(["place", *obstacles[0][1]])
            for place, obstacle in obstacles:
                sheet.append([place, *obstacle.values()])
    return made


@pytest.mark.parametrize("name", every_example())
def test_a_workbook_says_the_same_as_its_toml(name, tmp_path):
    """Both forms of a needs file come to the same needs."""
    book_of(EXAMPLES / name).save(tmp_path / "needs.xlsx")
    assert read_needs(tmp_path / "needs.xlsx", STOCK) == read_needs(EXAMPLES / name, STOCK)


def test_cells_may_hold_lists_and_tables_as_toml(tmp_path):
    """What nests may be typed into one cell, as it stands in TOML."""
    made = book_of(EXAMPLES / "star-gazing-hut.toml")
    del made["obstacle"]
    place = made["place"]
    column = place.max_column + 1
    place.cell(1, column, "obstacles")
    place.cell(
        2,
        column,
        '[{ name = "stove pipe", x_mm = 300, y_mm = 250, length_mm = 250, width_mm = 250 }]',
    )
    made["site"]["B6"] = "[3, 4, 5, 6, 7, 8, 9, 10]"
    made["order"].append(["rates", "{ USD = 0.92 }"])
    made.save(tmp_path / "needs.xlsx")
    needs = read_needs(tmp_path / "needs.xlsx", STOCK)
    original = example("star-gazing-hut")
    assert needs.places == original.places
    assert needs.site == original.site
    assert needs.order.rates == (("USD", Decimal("0.92")),)


def test_numbers_typed_as_text_and_names_typed_as_numbers(tmp_path):
    """A workbook's cells hold what the program made of them; both are understood."""
    made = book_of(EXAMPLES / "star-gazing-hut.toml")
    made["energy"]["B2"] = "2"
    made["place"]["B2"] = "3900"
    made["job"]["B2"] = 7
    made["order"]["B2"] = "2027-01-11"
    made.save(tmp_path / "needs.xlsx")
    needs = read_needs(tmp_path / "needs.xlsx", STOCK)
    assert needs.energy.autonomy_days == 2
    assert needs.place("roof").length_mm == 3900
    assert needs.job.name == "7"
    assert needs.order.start == datetime.date(2027, 1, 11)


def test_remarks_empty_rows_and_notes_are_passed_over(tmp_path):
    """Rows of remarks, empty ones and a sheet of notes say nothing."""
    made = book_of(EXAMPLES / "star-gazing-hut.toml")
    made["load"].insert_rows(2)
    made["load"]["A2"] = "# what runs"
    made["load"].insert_rows(4)
    made["site"]["A30"] = "# remark"
    made["site"]["C2"] = "measured on the map"
    made.create_sheet("notes").append(["anything", 3])
    made.create_sheet("Sheet1")
    made.save(tmp_path / "needs.xlsx")
    assert read_needs(tmp_path / "needs.xlsx", STOCK) == example("star-gazing-hut")
