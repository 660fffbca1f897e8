"""A small shop and a small cabin, so that a real run of `kitbill pick` takes seconds.

The shop is one supplier of the shipped catalog with a share of its range. It always sends for
the same price, so that the cheapest kit is proven to the cent. Everything in it is invented.
"""

import csv

from bom.parts import load_parts
from tests.cli.commands import ROOT

SHIPPED = ROOT / "catalog" / "shipped"
SUPPLIER = "birch"
UNSOLD = ("awg", "strip58", "post", "nh", "gg", "charger-engine")
"""Nothing with one of these in its name is sold: no American sizes, few kinds of fuses."""
EVERY = {
    **dict.fromkeys(("battery", "panel", "controller", "inverter", "charger"), 6),
    "breaker": 4,
    **dict.fromkeys(("busbar", "switch"), 3),
}
"""Of these classes only one part in so many is sold."""

CABIN = """\
[job]
name = "Small cabin"
currency = "EUR"

[site]
latitude_deg = 47
longitude_deg = 12
tilt_deg = 35
azimuth_deg = 180
months = [4, 5, 6, 7, 8, 9]
sun_hours = [2.1, 2.9, 3.9, 4.5, 4.8, 5.0, 5.3, 5.0, 4.3, 3.3, 2.2, 1.7]
coldest_c = -18
hottest_c = 34

[energy]
autonomy_days = 1

[[load]]
name = "Lamps"
supply = "dc"
watts = 20
hours_per_day = 4
place = "room"

[[load]]
name = "Fridge"
supply = "dc"
watts = 45
hours_per_day = 8
surge_watts = 120
place = "room"

[[load]]
name = "Kettle"
supply = "ac"
watts = 900
hours_per_day = 0.3
place = "room"

[[place]]
name = "roof"
length_mm = 3900
width_mm = 2100
holds = ["panel"]

[[place]]
name = "locker"
length_mm = 1500
width_mm = 600
height_mm = 500
max_kg = 90
vented = true
min_c = 2
max_c = 38

[[place]]
name = "room"
length_mm = 3000
width_mm = 2000
holds = []

[[leg]]
from = "roof"
to = "locker"
length_m = 4.5

[[leg]]
from = "locker"
to = "room"
length_m = 2.5

[limits]
budget = 9000

[rules]
voltages = [12]
chemistries = ["lfp"]
ac_v = 230
hz = 50
"""


def small_needs(folder, **stated):
    """A needs file of the cabin in a folder, with other values for some of its keys."""
    text = CABIN
    for key, value in stated.items():
        lines = [line for line in text.splitlines() if line.startswith(f"{key} = ")]
        assert len(lines) == 1, f"{key} stands {len(lines)} times in the cabin's needs"
        text = text.replace(lines[0], f"{key} = {value}")
    path = folder / "cabin.toml"
    path.write_text(text, encoding="utf-8")
    return path


def small_catalog(folder, suppliers=(SUPPLIER,)):
    """A catalog of the small shop in a folder; of several, freight has to be chosen."""
    files = folder / "shop"
    files.mkdir()
    sold = set()
    for path in sorted(SHIPPED.glob("*.csv")):
        if path.stem not in ("suppliers", "offers"):
            sold |= _copy_part_class(path, files / path.name)
    for name in ("suppliers.csv", "offers.csv"):
        heading, *rows = _rows(SHIPPED / name)
        found = [dict(zip(heading, row, strict=True)) for row in rows]
        kept = [
            list(row.values())
            for row in found
            if row["supplier"] in suppliers and ("part" not in row or row["part"] in sold)
        ]
        _write(files / name, [heading, *kept])
    catalog = folder / "shop.sqlite"
    load_parts([files], str(catalog))
    return catalog


def _copy_part_class(source, target):
    """Write the parts of a class that are sold, and give their names."""
    heading, *rows = _rows(source)
    at = heading.index("part")
    sold = [row for row in rows if not any(word in row[at] for word in UNSOLD)]
    sold = sold[:: EVERY.get(source.stem, 1)]
    _write(target, [heading, *sold])
    return {row[at] for row in sold}


def _rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def _write(path, rows):
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
