"""A small needs file and a tiny catalog, for tests of the reader."""

from decimal import Decimal
from pathlib import Path

from bom.needs_file import read_needs
from solver.parts import Cable, Lug, Panel
from solver.stock import Stock, Supplier

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"

TEXT = """\
[job]
name = "Boat shed"
currency = "EUR"

[site]
latitude_deg = 50
longitude_deg = 8
tilt_deg = 30
azimuth_deg = 180
sun_hours = [1, 2, 3, 4, 5, 6, 6, 5, 4, 3, 2, 1]
coldest_c = -10
hottest_c = 35

[energy]
autonomy_days = 1.5

[[load]]
name = "Lamp"
supply = "dc"
watts = 10
hours_per_day = 4
place = "room"

[[load]]
name = "Fridge"
supply = "dc"
watts = 45
hours_per_day = 8
place = "room"

[[place]]
name = "roof"
length_mm = 3000
width_mm = 2000
holds = ["panel"]

[[place]]
name = "locker"
length_mm = 1000
width_mm = 500
height_mm = 400

[[place]]
name = "room"
length_mm = 2500
width_mm = 2000
holds = []

[[leg]]
from = "roof"
to = "locker"
length_m = 4

[[leg]]
from = "locker"
to = "room"
length_m = 2.5
"""
"""Complete and valid; each test spoils something in it."""

STOCK = Stock.of(
    [
        Panel(
            part="panel-100",
            name="panel of 100 W",
            length_mm=1050.0,
            width_mm=540.0,
            height_mm=35.0,
            kg=6.5,
            stc_w=100.0,
            voc_v=22.5,
            isc_a=5.9,
            vmp_v=18.6,
            imp_a=5.4,
            pmax_pct_per_c=-0.37,
            max_system_v=600.0,
            series_fuse_a=10.0,
        ),
        Cable(
            part="cable-35-red",
            name="battery cable 35 mm2, red",
            kg=0.4,
            use="battery",
            area_mm2=35.0,
            ohm_per_km_20c=0.55,
            size="35 mm2",
            insulation_c=105.0,
            outer_mm=12.0,
            colour="red",
        ),
        Lug(part="lug-35-m8", name="lug", kg=0.02, area_mm2=35.0, stud="M8", kind="tube"),
    ],
    [
        Supplier(supplier=name, name=name, currency="EUR", shipping=Decimal(9), lead_days=3)
        for name in ("north", "harbour")
    ],
    [],
)


def read(folder, text, stock=STOCK):
    """The needs a text states."""
    file = folder / "needs.toml"
    file.write_text(text, encoding="utf-8")
    return read_needs(file, stock)


def spoilt(*changes):
    """The small needs file with some of its text replaced; each must be there."""
    text = TEXT
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text
