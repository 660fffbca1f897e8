"""A needs file with a fault is refused, and the message says where, what and what instead."""

import datetime

import openpyxl
import pytest

from bom.needs_file import read_needs
from solver.errors import BadNeeds
from tests.bom.small_needs import EXAMPLES, STOCK, TEXT, read, spoilt


def problems(folder, text, stock=STOCK):
    """What is wrong with a text, one line a fault, without the folder's name."""
    with pytest.raises(BadNeeds) as refused:
        read(folder, text, stock)
    return [p.replace(str(folder) + "/", "") for p in refused.value.problems]


LAMP = '[[load]]\nname = "Lamp"'
INLINE = """
[[owned]]
class = "lug"
name = "old lug"
area_mm2 = 35
stud = "M8"
kind = "tube"
kg = 0.02
quantity = 4
"""
CABLE = """
[[owned]]
class = "cable"
name = "rest of a roll"
use = "battery"
area_mm2 = 53.5
ohm_per_km_20c = 0.325
size = "1/0 AWG"
insulation_c = 105
outer_mm = 14.5
colour = "red"
kg = 0.58
quantity = 3.4
"""

# fmt: off
ONE_FAULT = [
    # names of keys and tables
    ("misspelt key", ("hottest_c", "hotest_c"), ["[site]", 'unknown key "hotest_c"', "hottest_c"]),
    ("misspelt key of a load", ("watts = 10", "wats = 10"), ['number 1 "Lamp"', 'key "wats"', '"watts"']),
    ("unknown table", ("[energy]", "[enery]"), ['"enery"', 'did you mean "energy"']),
    ("key before any table", ("[job]", "budget = 3\n[job]"), ['"budget"', "known: job, site"]),
    # what must be there
    ("missing table", ("[energy]\nautonomy_days = 1.5", ""), ["[energy]: missing", "autonomy_days"]),
    ("missing key", ("latitude_deg = 50\n", ""), ["[site], latitude_deg: missing", "at least -90"]),
    ("missing key of a leg", ('to = "locker"\n', ""), ["[[leg]] number 1", "to: missing", "place it ends at"]),
    ("neither sun nor clearness", ("sun_hours = [1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1]", ""), ["sun_hours: missing", "clearness"]),
    # shapes
    ("rows for one table", ("[energy]", "[[energy]]"), ["[energy]: found", "write [energy] once"]),
    ("value for a table", ("[job]", "limits = 3\n[job]"), ["[limits]: found a value"]),
    ("list for a number", ("watts = 10", "watts = [10]"), ["watts: found a list", "a number in W"]),
    ("table for a text", ('name = "Boat shed"', "name = {a = 1}"), ["name: found a table", "a text"]),
    ("text for a list", ("holds = []", 'holds = "panel"'), ['holds: found "panel"', "a list of values"]),
    ("number for a list", ("coldest_c", "months = 6\ncoldest_c"), ["months: found 6", "[4, 5, 6]"]),
    ("list for a table", ("[energy]", "[rules]\ndrop_pct = [3]\n[energy]"), ["drop_pct: found a list", "array = 3"]),
    # kinds
    ("text for a number", ("watts = 10", 'watts = "10"'), ['number 1 "Lamp"', 'the text "10"', "a number in W"]),
    ("truth for a number", ("watts = 10", "watts = true"), ["watts: found true", "a number in W"]),
    ("number for a truth", ("watts = 10", "watts = 10\ntogether = 1"), ["together: found 1", "true or false"]),
    ("number for a text", ('supply = "dc"', "supply = 12"), ["supply: found 12", "one of dc, ac"]),
    ("half a lamp", ("watts = 10", "watts = 10\nquantity = 1.5"), ["quantity: found 1.5", "a whole number"]),
    ("not a number", ("watts = 10", "watts = nan"), ["watts: found NaN", "a number in W"]),
    ("infinite", ("watts = 10", "watts = inf"), ["watts: found Infinity", "a number in W"]),
    ("huge", ("watts = 10", "watts = 1" + "0" * 400), ["watts: found 1000", "at most 100000"]),
    ("infinite money", ("[energy]", "[limits]\nbudget = inf\n[energy]"), ["[limits], budget: found Infinity", "an amount of money"]),
    # ranges
    ("26 hours", ("hours_per_day = 8", "hours_per_day = 26"), ['needs.toml, [[load]] number 2 "Fridge", hours_per_day: found 26', "at most 24"]),
    ("no watts", ("watts = 10", "watts = 0"), ["watts: found 0", "above 0"]),
    ("beyond the pole", ("latitude_deg = 50", "latitude_deg = 91"), ["latitude_deg: found 91", "at most 90"]),
    ("beyond the date line", ("longitude_deg = 8", "longitude_deg = 188"), ["longitude_deg: found 188", "at most 180"]),
    ("too bright", ("sun_hours = [1, 2", "sun_hours = [31, 2"), ["sun_hours, number 1: found 31", "at most 24"]),
    ("too dark", ("sun_hours = [1, 2", "sun_hours = [1, -2"), ["sun_hours, number 2: found -2", "at least 0"]),
    ("eleven months of sun", ("sun_hours = [1, 2", "sun_hours = [2"), ["sun_hours: found 11 values", "12 values"]),
    ("thirteen of air", ("coldest_c", "air_c = [0,0,0,0,0,0,0,0,0,0,0,0,0]\ncoldest_c"), ["air_c: found 13 values", "12 values"]),
    ("text among the sun", ("sun_hours = [1, 2", 'sun_hours = ["much", 2'), ["sun_hours, number 1", '"much"', "a number in h"]),
    ("clearness above 1", ("sun_hours = [1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1]", "clearness = 50"), ["clearness: found 50", "at most 1"]),
    ("month 13", ("coldest_c", "months = [12, 13]\ncoldest_c"), ["[site], months, number 2: found 13", "at most 12"]),
    ("month twice", ("coldest_c", "months = [3, 4, 3]\ncoldest_c"), ["months: found 3 twice", "once"]),
    ("no month", ("coldest_c", "months = []\ncoldest_c"), ["months: found an empty list", "[4, 5, 6]"]),
    ("month 0 of a load", ("watts = 10", "watts = 10\nmonths = [0]"), ['"Lamp", months, number 1: found 0', "at least 1"]),
    ("hot below cold", ("hottest_c = 35", "hottest_c = -20"), ["hottest_c: found -20", "at least coldest_c (-10)"]),
    ("place's max below min", ("height_mm = 400", "height_mm = 400\nmin_c = 10\nmax_c = 5"), ['[[place]] number 2 "locker", max_c: found 5', "at least min_c (10)"]),
    ("an entry beside its place", ("length_m = 2.5", "length_m = 2.5\nto_at_mm = [10, 2001]"), ['[[leg]] number 2 "locker > room", to_at_mm: y is 2001 mm', "at most the 2000 mm", '"room"']),
    ("an entry of one number", ("length_m = 2.5", "length_m = 2.5\nto_at_mm = [10]"), ["to_at_mm: found 1 values", "2 values"]),
    ("a limited moment and no position", ("[energy]", "[limits]\nside_kgm = 20\n[energy]"), ['[[place]] number 1 "roof", at_m', "side_kgm", "[1.9, 0, 2.2]"]),
    ("start-up below running", ("watts = 45", "watts = 45\nsurge_watts = 40"), ['"Fridge", surge_watts: found 40', "at least 45"]),
    # lengths
    ("length without a unit", ("length_mm = 3000", 'length_mm = "3000"'), ['"roof", length_mm: found "3000"', "a number in mm", "14 ft 3 in"]),
    ("length in an unknown unit", ("length_m = 4", 'length_m = "4 yards"'), ['[[leg]] number 1 "roof > locker", length_m: found "4 yards"', "14 ft 3 in"]),
    ("mass for a length", ("length_m = 4", 'length_m = "4 kg"'), ['length_m: found "4 kg"', "a number in m"]),
    ("length with a unit, too long", ("length_m = 4", 'length_m = "5000 m"'), ['found "5000 m" (5000 m)', "at most 1000"]),
    ("watts with a unit", ("watts = 10", 'watts = "10 W"'), ['watts: found the text "10 W"', "a number in W", "(the number alone: 10)"]),
    ("watts with a comma", ("watts = 10", 'watts = "10,5"'), ['watts: found the text "10,5"', "(with a decimal point: 10.5)"]),
    ("length with a comma", ("length_m = 4", 'length_m = "4,2 m"'), ['length_m: found "4,2 m"', "(with a decimal point: 4.2 m)"]),
    ("supply in capitals", ('supply = "dc"', 'supply = "DC"'), ['supply: found "DC"', 'did you mean "dc"?']),
    # texts
    ("empty name", ('name = "Boat shed"', 'name = ""'), ["[job], name: found nothing", "a text"]),
    ("long name", ('name = "Boat shed"', f'name = "{"x" * 201}"'), ["[job], name", "201 characters", "at most 200"]),
    ("control character", ('name = "Boat shed"', 'name = "Boat\\u0007shed"'), ["[job], name", "Boat\\x07shed", "control character"]),
    ("line break", ('name = "Lamp"', 'name = "La\\nmp"'), ["number 1", "name", "control character"]),
    ("no such currency", ('currency = "EUR"', 'currency = "EURO"'), ['currency: found "EURO"', "ISO 4217", '"EUR"']),
    ("currency in small letters", ('currency = "EUR"', 'currency = "eur"'), ['found "eur"', 'did you mean "EUR"']),
    ("unknown units", ('currency = "EUR"', 'currency = "EUR"\nunits = "imperail"'), ["units", '"imperail"', "metric, imperial", 'did you mean "imperial"']),
    # names that must be known
    ("load in no place", ('hours_per_day = 4\nplace = "room"', 'hours_per_day = 4\nplace = "rome"'), ['"Lamp", place: found "rome"', 'did you mean "room"']),
    ("leg from nowhere", ('from = "roof"', 'from = "rof"'), ["[[leg]] number 1", 'found "rof"', 'did you mean "roof"']),
    ("leg to itself", ('to = "locker"', 'to = "roof"'), ['[[leg]] number 1 "roof > roof", to', "two places"]),
    ("charging in no place", ("[[place]]", '[[charging]]\nkind = "shore"\nmax_w = 90\nhours_per_day = 2\nplace = "quay"\n[[place]]'), ['[[charging]] number 1 "shore", place: found "quay"', "known: roof, locker, room"]),
    ("two places alike", ('name = "locker"', 'name = "roof"'), ['[[place]] number 2 "roof", name: found "roof" again']),
    ("two loads alike", ('name = "Fridge"', 'name = "Lamp"'), ['[[load]] number 2 "Lamp", name: found "Lamp" again', "quantity"]),
    ("shore twice", ("[[place]]", '[[charging]]\nkind = "shore"\nmax_w = 90\nhours_per_day = 2\n' * 2 + "[[place]]"), ['[[charging]] number 2 "shore", kind', "at most once"]),
    ("unknown way in", ("[[place]]", '[[charging]]\nkind = "sure"\nmax_w = 90\nhours_per_day = 2\n[[place]]'), ["kind", '"sure"', "shore, engine, generator"]),
    ("way in by another word", ("[[place]]", '[[charging]]\nkind = "alternator"\nmax_w = 90\nhours_per_day = 2\n[[place]]'), ["kind", '"alternator"', 'did you mean "engine"?']),
    ("unknown part class", ('holds = ["panel"]', 'holds = ["pannel"]'), ['"roof", holds, number 1: found "pannel"', "one of battery", 'did you mean "panel"']),
    # obstacles
    ("obstacle outside", ('holds = ["panel"]', 'holds = ["panel"]\nobstacles = [{name = "pipe", x_mm = 2900, y_mm = 0, length_mm = 250, width_mm = 250}]'), ['"roof", obstacles, number 1 "pipe"', "reach 3150 mm", "3000 mm"]),
    ("obstacle without a width", ('holds = ["panel"]', 'holds = ["panel"]\nobstacles = [{name = "pipe", x_mm = 0, y_mm = 0, length_mm = 250}]'), ['obstacles, number 1 "pipe", width_mm: missing', "a number in mm"]),
    ("misspelt key of an obstacle", ('holds = ["panel"]', 'holds = ["panel"]\nobstacles = [{name = "pipe", x = 0, x_mm = 0, y_mm = 0, length_mm = 250, width_mm = 1}]'), ['number 1 "pipe", x: unknown key', "known: name, x_mm"]),
    ("obstacles as a text", ('holds = ["panel"]', 'holds = ["panel"]\nobstacles = "pipe"'), ['obstacles: found "pipe"', "a list of tables"]),
    # circuits
    ("one circuit, two supplies", ('[[load]]\nname = "Lamp"\nsupply = "dc"', '[[load]]\nname = "Old"\nsupply = "ac"\nwatts = 9\nhours_per_day = 1\nplace = "room"\ncircuit = "c"\n[[load]]\nname = "Lamp"\ncircuit = "c"\nsupply = "dc"'), ['number 2 "Lamp", supply: found "dc"', '"ac" belongs here', '"c"']),
    ("one circuit, two ends", ('[[load]]\nname = "Lamp"', '[[load]]\nname = "Old"\nsupply = "dc"\nwatts = 9\nhours_per_day = 1\nplace = "locker"\ncircuit = "c"\n[[load]]\nname = "Lamp"\ncircuit = "c"'), ['number 2 "Lamp", place: found "room"', '"locker" belongs here', '"Old"']),
    ("circuit named as another load", ('name = "Lamp"', 'name = "Lamp"\ncircuit = "Fridge"'), ['"Lamp", circuit: found "Fridge"', "choose another name"]),
    ("volts of an AC load", ('supply = "dc"', 'supply = "ac"\nvolts = 12'), ['"Lamp", volts', "supply dc", "ac_v"]),
    # rules
    ("six volts", ("[energy]", "[rules]\nvoltages = [6, 12]\n[energy]"), ["[rules], voltages, number 1: found 6", "one of 12, 24, 48"]),
    ("no voltage", ("[energy]", "[rules]\nvoltages = []\n[energy]"), ["voltages: found an empty list", "[12, 24]"]),
    ("unknown chemistry", ("[energy]", '[rules]\nchemistries = ["lpf"]\n[energy]'), ["chemistries, number 1", '"lpf"', "lfp, agm, gel, flooded", 'did you mean "lfp"']),
    ("unknown practice", ("[energy]", '[rules]\npractice = "vde"\n[energy]'), ["practice", '"vde"', "one of iso, nec, abyc"]),
    ("unknown drop", ("[energy]", "[rules]\ndrop_pct = {arrray = 3}\n[energy]"), ["[rules], drop_pct.arrray: unknown key", '"array"']),
    ("drop of nothing", ("[energy]", "[rules]\ndrop_pct = {load = 0}\n[energy]"), ["[rules], drop_pct.load: found 0", "above 0"]),
    ("less than running current", ("[energy]", "[rules]\ncontinuous = 0.8\n[energy]"), ["continuous: found 0.8", "at least 1"]),
    # order
    ("needed before the start", ("[energy]", "[order]\nstart = 2027-03-01\nneed_by = 2027-02-01\n[energy]"), ["[order], need_by: found 2027-02-01", "2027-03-01"]),
    ("needed by without a start", ("[energy]", "[order]\nneed_by = 2027-02-01\n[energy]"), ["[order], start: missing", "a date"]),
    ("no date", ("[energy]", '[order]\nstart = "soon"\n[energy]'), ['start: found "soon"', "2027-03-01"]),
    ("a time of day", ("[energy]", "[order]\nstart = 2027-02-01T10:00:00\n[energy]"), ["start: found 2027-02-01 10:00:00", "a date"]),
    ("unknown supplier", ("[energy]", '[order]\navoid_suppliers = ["nort"]\n[energy]'), ['avoid_suppliers: found "nort"', 'did you mean "north"']),
    ("no supplier left", ("[energy]", '[order]\navoid_suppliers = ["north", "harbour"]\n[energy]'), ["avoid_suppliers: found every supplier", "leave one"]),
    ("rate of no currency", ("[energy]", "[order]\nrates = {DOLLAR = 0.9}\n[energy]"), ["rates.DOLLAR: unknown currency", "ISO 4217"]),
    ("rate of nothing", ("[energy]", "[order]\nrates = {USD = 0}\n[energy]"), ["rates.USD: found 0", "above 0"]),
    ("rate of the own currency", ("[energy]", "[order]\nrates = {EUR = 2}\n[energy]"), ["rates.EUR: found 2", "1 belongs here"]),
    # owned
    ("unknown owned part", ("[energy]", '[[owned]]\npart = "panel-10"\n[energy]'), ['[[owned]] number 1 "panel-10", part: found "panel-10"', 'did you mean "panel-100"']),
    ("neither part nor class", ("[energy]", "[[owned]]\nquantity = 1\n[energy]"), ["[[owned]] number 1, part: missing", "class, name"]),
    ("part and class", ("[energy]", '[[owned]]\npart = "panel-100"\nclass = "panel"\n[energy]'), ["part", "not both"]),
    ("columns of a catalog part", ("[energy]", '[[owned]]\npart = "panel-100"\nkg = 3\n[energy]'), ['unknown key "kg"', "part, quantity, use"]),
    ("unknown class", ("[energy]", '[[owned]]\nclass = "lugg"\nname = "x"\n[energy]'), ["class", '"lugg"', 'did you mean "lug"']),
    ("owned without a name", ("[energy]", INLINE.replace('name = "old lug"\n', "") + "[energy]"), ["[[owned]] number 1, name: missing"]),
    ("owned column out of range", ("[energy]", INLINE.replace("area_mm2 = 35", "area_mm2 = -35") + "[energy]"), ['"old lug", area_mm2: found -35', "above 0"]),
    ("owned column missing", ("[energy]", INLINE.replace('stud = "M8"\n', "") + "[energy]"), ['"old lug", stud: missing', "M8"]),
    ("owned column unknown", ("[energy]", INLINE.replace("kind =", "kinds =") + "[energy]"), ['unknown key "kinds"', '"kind"']),
    ("named as a catalog part", ("[energy]", INLINE.replace("old lug", "lug-35-m8") + "[energy]"), ['name: found "lug-35-m8"', "part of the catalog", "another name"]),
    ("half a lug", ("[energy]", INLINE.replace("quantity = 4", "quantity = 2.5") + "[energy]"), ['"old lug", quantity: found 2.5', "a whole number"]),
    ("none of it", ("[energy]", INLINE.replace("quantity = 4", "quantity = 0") + "[energy]"), ["quantity: found 0", "above 0"]),
    ("owned twice", ("[energy]", INLINE + INLINE + "[energy]"), ['[[owned]] number 2 "old lug", name: found "old lug" again']),
    ("owned column missing, where to look", ("[energy]", INLINE.replace('stud = "M8"\n', "") + "[energy]"), ['"old lug": what its label does not say', "kitbill parts list --class lug"]),
    ("cable without metres", ("[energy]", CABLE.replace("quantity = 3.4\n", "") + "[energy]"), ['"rest of a roll", quantity: missing', "a number in m"]),
    ("unknown use", ("[energy]", INLINE + 'use = "shall"\n[energy]'), ['use: found "shall"', "one of may, must"]),
    # ways
    ("room that no leg reaches", ('[[leg]]\nfrom = "locker"\nto = "room"\nlength_m = 2.5\n', ""), ['number 1 "Lamp", place: no leg joins the place "room" to "locker"', "[[leg]]"]),
    ("roof that no leg reaches", ('[[leg]]\nfrom = "roof"\nto = "locker"\nlength_m = 4\n', ""), ['[[place]] number 1 "roof", name: no leg joins', '"locker"']),
    ("nowhere for panels", ('holds = ["panel"]', 'holds = ["fuse"]'), ["[[place]]: no place may hold a panel", 'holds = ["panel"]']),
    ("nowhere for a battery", ("height_mm = 400\n", ""), ["[[place]]: no place may hold a battery", "height_mm"]),
    ("nowhere for bus bars", ("height_mm = 400\n", 'height_mm = 400\nholds = ["battery"]\n'), ["[[place]]: no place may hold bus bars"]),
]
# fmt: on


@pytest.mark.parametrize(
    ("change", "said"), [pytest.param(c, s, id=name) for name, c, s in ONE_FAULT]
)
def test_a_fault_is_named_with_its_place_and_what_is_allowed(tmp_path, change, said):
    """One fault, one line: file, table, key, what was found and what belongs there."""
    found = problems(tmp_path, spoilt(change))
    matching = [line for line in found if all(words in line for words in said)]
    assert matching, found
    assert all(line.startswith(("needs.toml, ", "needs.toml: ")) for line in found)


def test_a_misspelt_place_does_not_make_its_neighbour_look_wrong(tmp_path):
    """Loads on one circuit: only the one whose place does not exist is told of."""
    old = '[[load]]\nname = "Old"\nsupply = "dc"\nwatts = 9\nhours_per_day = 1\nplace = "rom"\n'
    text = spoilt((LAMP, f'{old}circuit = "c"\n{LAMP}\ncircuit = "c"'))
    (found,) = problems(tmp_path, text)
    assert 'number 1 "Old", place: found "rom"' in found
    assert 'did you mean "room"?' in found


def test_one_table_where_rows_belong(tmp_path):
    """A single [load] is told apart from rows."""
    text = spoilt(('[[load]]\nname = "Lamp"', '[load]\nname = "Lamp"'))
    text = text.replace(
        '[[load]]\nname = "Fridge"\nsupply = "dc"\nwatts = 45\nhours_per_day = 8\nplace = "room"\n',
        "",
    )
    (line,) = problems(tmp_path, text)
    assert (
        line
        == "needs.toml, [[load]]: found one table; write [[load]] above the keys of each load."
    )


def test_all_faults_are_told_at_once(tmp_path):
    """Faults of every kind stand in one list, so that a file is mended in one go."""
    text = spoilt(
        ('currency = "EUR"', 'currency = "EURO"'),
        ("latitude_deg = 50", "latitude_deg = 91"),
        ("hottest_c = 35", "hotest_c = 35"),
        ("autonomy_days = 1.5", "autonomy_days = -1"),
        ('hours_per_day = 4\nplace = "room"', 'hours_per_day = 4\nplace = "rom"'),
        ("hours_per_day = 8", "hours_per_day = 26"),
        ("length_mm = 3000", 'length_mm = "3 furlongs"'),
        ('to = "room"', 'to = "romm"'),
    )
    text += "[rules]\nvoltages = [36]\n[order]\nneed_by = 2027-01-01\nstart = 2027-02-01\n"
    found = problems(tmp_path, text)
    for words in (
        "[job], currency", "[site], latitude_deg", 'unknown key "hotest_c"', "hottest_c: missing",
        "autonomy_days: found -1", '"Lamp", place: found "rom"', '"Fridge", hours_per_day',
        '"roof", length_mm', '"locker > romm", to', "voltages, number 1", "need_by: found",
    ):  # fmt: skip
        assert any(words in line for line in found), (words, found)
    assert len(found) == 11


def test_the_message_of_the_exception_is_every_line(tmp_path):
    """What the command line prints holds every fault."""
    with pytest.raises(BadNeeds) as refused:
        read(tmp_path, spoilt(("watts = 10", "watts = 0"), ("watts = 45", "watts = 0")))
    assert str(refused.value).count("watts: found 0") == 2


def _one_hole(first, second):
    """Two legs of a hole that meet in the locker, each with what it states of it there."""
    return spoilt(
        ("length_m = 4", f'length_m = 4\nhole = "side"\n{first}'),
        ("length_m = 2.5", f'length_m = 2.5\nhole = "side"\n{second}'),
    )


def test_one_hole_has_one_middle_in_a_place(tmp_path):
    """Drilled by one leg's figure it would be missed by the other's: the file must say one."""
    (line,) = problems(tmp_path, _one_hole("to_at_mm = [10, 20]", "from_at_mm = [10, 30]"))
    for words in (
        '[[leg]] number 2 "locker > room", from_at_mm: found [10, 30] mm',
        'hole "side"', '"locker" at [10, 20] mm', '[[leg]] number 1 "roof > locker"',
        "state the same", "another name",
    ):  # fmt: skip
        assert words in line
    for second in ("from_at_mm = [10, 20]", "", "to_at_mm = [10, 30]"):
        read(tmp_path, _one_hole("to_at_mm = [10, 20]", second))


def test_a_faulty_place_is_still_a_place(tmp_path):
    """One fault is not told twice: a load in a place with a wrong size is no second fault."""
    (line,) = problems(tmp_path, spoilt(("length_mm = 2500", "length_mm = 0")))
    assert '"room", length_mm' in line


def test_a_second_way_that_ends_blind_is_named(tmp_path):
    """Two groups of places: the one without bus bars and bank is the one to join."""
    text = spoilt(('hours_per_day = 4\nplace = "room"', 'hours_per_day = 4\nplace = "porch"'))
    text += '[[place]]\nname = "porch"\nlength_mm = 500\nwidth_mm = 500\nholds = []\n'
    text += '[[place]]\nname = "gate"\nlength_mm = 500\nwidth_mm = 500\nholds = []\n'
    text += '[[leg]]\nfrom = "porch"\nto = "gate"\nlength_m = 3\n'
    (line,) = problems(tmp_path, text)
    assert '"Lamp", place: no leg joins the place "porch" to "locker"' in line


def test_a_bank_apart_from_the_bus_bars_is_named(tmp_path):
    """A locker for the bank that no leg reaches is bad input."""
    text = spoilt(
        ("height_mm = 400", 'height_mm = 400\nholds = ["battery"]'),
        ('from = "roof"\nto = "locker"', 'from = "roof"\nto = "board"'),
        ('from = "locker"\nto = "room"', 'from = "board"\nto = "room"'),
    )
    text += '[[place]]\nname = "board"\nlength_mm = 900\nwidth_mm = 600\n'
    assert any(
        '"locker", name: no leg joins the place "locker" to "board"' in line
        for line in problems(tmp_path, text)
    )


TOML_FAULTS = [
    ("decimal comma", ("autonomy_days = 1.5", "autonomy_days = 1,5"), "line 15, column 18", "a number has a point"),
    ("text without quotes", ('currency = "EUR"', "currency = EUR"), "line 3, column 12", "a text stands in quotes"),
    ("key twice", ("tilt_deg = 30", "tilt_deg = 30\ntilt_deg = 40"), "line 9", "this key stands twice"),
    ("unfinished text", ('name = "Boat shed"', 'name = "Boat shed'), "line 2", "not valid TOML"),
    ("number of many digits", ("watts = 10", "watts = 1" + "0" * 5000), "needs.toml", "not valid TOML"),
    ("deep nesting", ("watts = 10", "watts = " + "[" * 5000), "needs.toml", "too deep"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "place", "said"), [pytest.param(*rest, id=name) for name, *rest in TOML_FAULTS]
)
def test_a_slip_in_the_syntax_is_named_with_its_line(tmp_path, change, place, said):
    """What is not TOML is refused with line and column where the reader knows them."""
    (line,) = problems(tmp_path, spoilt(change))
    assert line.startswith("needs.toml")
    assert place in line
    assert said in line


def test_a_missing_file_is_named(tmp_path):
    """The message says which file, and how to get one."""
    with pytest.raises(BadNeeds, match=r"none\.toml: there is no such file; kitbill start"):
        read_needs(tmp_path / "none.toml", STOCK)


def test_a_folder_is_no_needs_file(tmp_path):
    """A folder with the right ending is told from a file."""
    (tmp_path / "a.toml").mkdir()
    with pytest.raises(BadNeeds, match=r"a\.toml: is a folder"):
        read_needs(tmp_path / "a.toml", STOCK)


def test_another_ending_is_refused(tmp_path):
    """Only the two forms are read."""
    (tmp_path / "needs.yaml").write_text(TEXT)
    with pytest.raises(BadNeeds, match=r"needs\.yaml: a needs file ends in \.toml or \.xlsx"):
        read_needs(tmp_path / "needs.yaml", STOCK)


def test_a_file_over_50_mb_is_refused(tmp_path):
    """A file too large is refused before it is understood."""
    with (tmp_path / "big.toml").open("wb") as file:
        file.truncate(50_000_001)
    with pytest.raises(BadNeeds, match=r"big\.toml: is over 50 MB"):
        read_needs(tmp_path / "big.toml", STOCK)


def test_another_encoding_is_refused_with_its_line(tmp_path):
    """Latin-1 is not taken for UTF-8."""
    (tmp_path / "a.toml").write_bytes('[job]\nname = "Hütte"\n'.encode("latin-1"))
    with pytest.raises(BadNeeds, match=r"a\.toml, line 2: byte 0xfc is not UTF-8"):
        read_needs(tmp_path / "a.toml", STOCK)


def test_a_hostile_key_does_not_reach_the_terminal(tmp_path):
    """Control characters of a key are written out in the message."""
    (line,) = problems(tmp_path, spoilt(("[energy]", '[energy]\n"\\u001b[2J" = 1')))
    assert "\x1b" not in line
    assert "\\x1b[2J" in line


# workbooks


def book(tmp_path, change=None):
    """The star-gazing hut as a workbook written by hand, spoilt by `change`."""
    from tests.bom.test_needs_file import book_of

    file = tmp_path / "needs.xlsx"
    made = book_of(EXAMPLES / "star-gazing-hut.toml")
    if change is not None:
        change(made)
    made.save(file)
    return file


def book_problems(tmp_path, change):
    """What is wrong with the spoilt workbook."""
    with pytest.raises(BadNeeds) as refused:
        read_needs(book(tmp_path, change), STOCK)
    return [p.replace(str(tmp_path) + "/", "") for p in refused.value.problems]


def put(sheet, cell, value):
    """A change that puts a value into a cell."""

    def change(made):
        made[sheet][cell] = value

    return change


BOOK_FAULTS = [
    ("value of a key", put("site", "B2", 91), ["needs.xlsx, sheet site, row 2, latitude_deg: found 91", "at most 90"]),
    ("value of a column", put("load", "E3", 26), ['needs.xlsx, sheet load, row 3 "Telescope mount", column', "found 26"]),
    ("misspelt key", put("site", "A2", "latitud_deg"), ["sheet site", '"latitud_deg"', '"latitude_deg"']),
    ("misspelt heading", put("load", "A1", "nam"), ["sheet load", 'unknown key "nam"', '"name"']),
    ("heading twice", put("load", "B1", "name"), ['sheet load, row 1: the heading "name" stands twice']),
    ("unknown sheet", lambda made: made.create_sheet("lode").append(["x"]), ['needs.xlsx, sheet lode: unknown sheet', '"load"']),
    ("column without a heading", put("place", "Z2", "x"), ["sheet place, row 2", "a column without a heading"]),
    ("value without a key", put("energy", "B9", 4), ["sheet energy, row 9", "a key belongs here"]),
    ("key twice", put("energy", "A4", "autonomy_days"), ["sheet energy, row 4", '"autonomy_days" stands twice']),
    ("error in a cell", put("load", "D3", "#N/A"), ["sheet load, row 3", "#N/A"]),
    ("formula never worked out", put("load", "D3", "=2+2"), ["sheet load, cell D3", "a formula without a stored value"]),
    ("obstacle on no place", put("obstacle", "A2", "rof"), ['sheet obstacle, row 2', 'found "rof"', 'did you mean "roof"']),
    ("obstacle outside", put("obstacle", "C2", 3800), ['sheet place, row 2 "roof"', "stove pipe", "at most the 3900 mm"]),
    ("broken list", put("site", "B6", "[3, 4"), ["sheet site, row 6", "not valid TOML"]),
    ("month 13 in a list", put("site", "B6", "3;13"), ["sheet site, row 6, months, number 2: found", "at most 12"]),
    ("time of day", put("order", "B2", datetime.datetime(2027, 1, 1, 9)), ["sheet order, row 2, start", "a date"]),  # noqa: DTZ001
]  # fmt: skip


@pytest.mark.parametrize(
    ("change", "said"), [pytest.param(c, s, id=name) for name, c, s in BOOK_FAULTS]
)
def test_a_fault_in_a_workbook_is_named_with_sheet_and_row(tmp_path, change, said):
    """The message leads to the cell."""
    found = book_problems(tmp_path, change)
    assert any(all(words in line for words in said) for line in found), found


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 broken", b"name,watts\nLamp,10\n"])
def test_what_is_no_workbook_is_refused(tmp_path, content):
    """A text file with the ending of a workbook, or a damaged one."""
    file = tmp_path / "needs.xlsx"
    file.write_bytes(content)
    with pytest.raises(BadNeeds, match=r"needs\.xlsx: is not a workbook"):
        read_needs(file, STOCK)


def test_a_zip_without_sheets_is_refused(tmp_path):
    """A zip file is not yet a workbook."""
    import zipfile

    with zipfile.ZipFile(tmp_path / "needs.xlsx", "w") as packed:
        packed.writestr("a.txt", "x")
    with pytest.raises(BadNeeds, match="is not a workbook"):
        read_needs(tmp_path / "needs.xlsx", STOCK)


def test_an_empty_workbook_lacks_every_table(tmp_path):
    """The tables that must be there are all named."""
    openpyxl.Workbook().save(tmp_path / "needs.xlsx")
    with pytest.raises(BadNeeds) as refused:
        read_needs(tmp_path / "needs.xlsx", STOCK)
    for table in ("[job]", "[site]", "[energy]", "[[load]]", "[[place]]"):
        assert f"{table}: missing" in str(refused.value)
