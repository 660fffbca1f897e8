"""Voltage drop, worked: NFPA 70, chapter 9, table 8 at 75 °C, and IEC 60228:2004, class 5.

The cases are constructed; the resistances are the published ones, the arithmetic is Ohm's law
there and back, 2 · L · I · R.
"""

import pytest

from solver.rules.conductor import drop_v, resistance_ohm_per_m, table_8_ohm_per_km_20c
from solver.tables import iec_60228
from tests.published.printed import agrees, rows, standing

CASES = [
    pytest.param(
        row,
        id=f"{row['method']} {row['awg'] or row['area_mm2']}, {row['current_a']} A, "
        f"{row['one_way_m']} m{standing(row)}",
    )
    for row in rows("voltage_drop_worked")
]


def _drop_v(row):
    if row["awg"]:
        ohm_per_m = resistance_ohm_per_m(table_8_ohm_per_km_20c(row["awg"]), 75.0)
    else:
        ohm_per_km = iec_60228.OHM_PER_KM[float(row["area_mm2"])][iec_60228.COLUMNS[5, False]]
        copper_c = float(row["method"].rsplit("_", 1)[1].rstrip("c"))
        ohm_per_m = resistance_ohm_per_m(ohm_per_km, copper_c)
    return drop_v(2, float(row["one_way_m"]), float(row["current_a"]), ohm_per_m)


@pytest.mark.parametrize("row", CASES)
def test_worked_drop(row):
    """Volts lost there and back."""
    assert agrees(_drop_v(row), row["drop_v"])


@pytest.mark.parametrize("row", CASES)
def test_worked_drop_in_per_cent(row):
    """Per cent of the system's nominal voltage."""
    assert agrees(100 * _drop_v(row) / float(row["system_v"]), row["drop_pct"])
