"""Cable and wire, by use."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("cable")
class Cable(Part):
    """Cable by the metre or the spool."""

    use: str = column("", "what it is made for", one_of=("battery", "pv", "pair", "ac"))
    area_mm2: float = column("mm²", "cross-section of one core", above=0, at_most=1000)
    ohm_per_km_20c: float = column(
        "Ω/km", "resistance of one core at 20 °C", above=0, at_most=1000, better="less"
    )
    size: str = column("", "as it is sold", example="35 mm2")
    insulation_c: float = column(
        "°C", "temperature the insulation stands", at_least=40, at_most=300
    )
    outer_mm: float = column("mm", "outer diameter", above=0, at_most=200, better="less")
    colour: str = column("", "of the insulation", example="red")
