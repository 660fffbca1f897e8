"""EN IEC 62485-2, Safety requirements for secondary batteries, clause 7.2: ventilation.

FROM MEMORY; the cases are the formula's arithmetic. Boost charging is what is reckoned with;
float charging of the same cells needs a quarter of the air (vented) or an eighth (sealed).
"""

import pytest

from solver.rules.ventilation import gas_air_m3_per_h, gas_opening_cm2
from tests.published.printed import agrees, rows, standing

CASES = [
    pytest.param(
        row,
        "flooded" if row["cell_type"].startswith("vented") else "agm",
        id=f"{row['cell_type']} {row['cells']} x {row['rated_capacity_ah']} Ah{standing(row)}",
    )
    for row in rows("iec62485_2_ventilation")
    if row["charging"] == "boost"
]


@pytest.mark.parametrize(("row", "chemistry"), CASES)
def test_air_and_opening(row, chemistry):
    """Cubic metres an hour, and the area of each of the two openings."""
    system_v = 2.0 * float(row["cells"])
    air = gas_air_m3_per_h(chemistry, system_v, float(row["rated_capacity_ah"]))
    assert agrees(air, row["air_m3_per_h"])
    assert agrees(gas_opening_cm2(air), row["opening_cm2"])


def test_lithium_gives_off_no_gas():
    """The formula is for lead-acid alone."""
    assert gas_air_m3_per_h("lfp", 12.0, 400.0) == 0.0
