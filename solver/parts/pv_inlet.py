"""Inlets in an outside wall for panels that stand on the ground."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import part_class
from solver.parts.device import Device


@part_class("pv_inlet")
class PvInlet(Device):
    """An inlet for the lead of panels beside the vehicle, with the loose half for that lead.

    Both halves clamp bare wire, one core a pole.
    """

    half: str = column(
        "",
        "which half stands in the wall; the pins of a plug are dead while the lead is out",
        one_of=("plug", "socket"),
    )
    polarised: bool = column("", "goes together one way only, so poles are never swapped")
    cap: bool = column("", "comes with a cap that closes it while nothing is plugged in")
    rated_a: float = column("A", "rated current", above=0, at_most=500, better="more")
    max_v: float = column("V", "highest DC voltage", above=0, at_most=3000, better="more")
    area_to_mm2: float = column(
        "mm²", "thickest conductor its clamps take", above=0, at_most=100, better="more"
    )
    cutout_mm: float = column(
        "mm", "opening to cut in the wall", above=0, at_most=250, better="any"
    )
