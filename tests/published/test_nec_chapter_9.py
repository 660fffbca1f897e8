"""NFPA 70, National Electrical Code, chapter 9, table 8, NFPA: DC resistance of copper at 75 °C.

Uncoated values from 14 AWG up were read in a public reproduction; 18 and 16 AWG and the coated
ones are from memory, as each case says. Independent of the table: its values against annealed
copper, 10.371 Ω cmil/ft at 20 °C (NBS Handbook 100).
"""

import pytest

from solver.rules.conductor import (
    resistance_limit_ohm_per_km,
    resistance_ohm_per_m,
    table_8_ohm_per_km_20c,
)
from solver.rules.gauge import gauge_area_mm2
from solver.tables import awg, nec_chapter_9
from tests.published.printed import agrees, rows, standing

CASES = [
    pytest.param(
        row["awg"],
        row["coating"] == "coated",
        row["resistance_ohm_per_kft_75c"],
        id=f"{row['awg']} {row['coating']}{standing(row)}",
    )
    for row in rows("nec_ch9_table8_resistance")
]


@pytest.mark.parametrize(("gauge", "coated", "text"), CASES)
def test_resistance_at_75_c(gauge, coated, text):
    """Taken to 20 °C for the catalog and back to 75 °C for the drop, it is the printed value."""
    ohm_per_m = resistance_ohm_per_m(table_8_ohm_per_km_20c(gauge, coated), 75.0)
    assert agrees(ohm_per_m * nec_chapter_9.M_PER_KFT, text)


@pytest.mark.parametrize(("gauge", "coated", "text"), CASES)
def test_resistance_against_solid_copper(gauge, coated, text):
    """Stranding and tin add 2 % to 9 % to the resistance of a solid annealed wire."""
    solid = 10.371 * (1 + 0.00393 * 55) / (gauge_area_mm2(gauge) / awg.MM2_PER_CMIL) * 1000
    least, most = (1.03, 1.09) if coated else (1.015, 1.026)
    assert least <= float(text) / solid <= most


@pytest.mark.parametrize("gauge", awg.AREA_MM2)
def test_limit_of_a_gauge_is_table_8(gauge):
    """The highest resistance of a gauge in a catalog is the table's at 20 °C."""
    assert resistance_limit_ohm_per_km(awg.AREA_MM2[gauge]) == table_8_ohm_per_km_20c(gauge)


def test_coefficient_of_note_2():
    """0.00393 at 20 °C is the 0.00323 at 75 °C that the table's note prints."""
    per_k = (resistance_ohm_per_m(1.0, 76.0) / resistance_ohm_per_m(1.0, 75.0)) - 1.0
    assert agrees(per_k, str(nec_chapter_9.PER_K_75C))
