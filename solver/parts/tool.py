"""Tools the job needs."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class

UNITS = {
    "crimp tube lugs": "mm²",
    "crimp ring lugs": "mm²",
    "crimp ferrules": "mm²",
    "crimp PV connectors": "mm²",
    "open PV connectors": "",
    "strip cable": "mm²",
    "cut cable": "mm²",
    "shrink sleeves": "",
    "tighten": "Nm",
    "measure volts and amperes": "",
    "drill": "mm",
    "make holes in sheet": "mm",
    "set rivet nuts": "",
    "saw cut-outs": "",
    "press out sealant": "",
}
"""What tools do that a kit asks for, each with the unit of its sizes."""


@part_class("tool")
class Tool(Part):
    """A tool."""

    does: str = column("", "what it does", one_of=tuple(UNITS))
    from_mm2: float | None = column(
        "mm²", "thinnest conductor", default=None, at_least=0, must_stand=True
    )
    to_mm2: float | None = column(
        "mm²", "thickest conductor", default=None, at_least=0, must_stand=True
    )
    from_nm: float | None = column("Nm", "least torque", default=None, at_least=0)
    to_nm: float | None = column("Nm", "highest torque", default=None, at_least=0)
    from_mm: float | None = column("mm", "narrowest hole", default=None, at_least=0)
    to_mm: float | None = column("mm", "widest hole", default=None, at_least=0)
    wears: bool = column("", "wears out at work")
