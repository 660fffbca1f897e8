"""Tools the job needs."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class

DOES = (
    "crimp tube lugs",
    "crimp ring lugs",
    "crimp ferrules",
    "crimp PV connectors",
    "open PV connectors",
    "strip cable",
    "cut cable",
    "shrink sleeves",
    "tighten",
    "measure volts and amperes",
    "drill",
    "make holes in sheet",
    "set rivet nuts",
    "saw cut-outs",
    "press out sealant",
)
"""What tools do that the kit asks for; a catalog may hold others."""


@part_class("tool")
class Tool(Part):
    """A tool."""

    does: str = column("", "what it does", example="crimp tube lugs")
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
