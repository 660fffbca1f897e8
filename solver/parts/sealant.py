"""Sealants and adhesives."""

from __future__ import annotations

from solver.columns import column
from solver.parts.base import Part, part_class


@part_class("sealant")
class Sealant(Part):
    """A cartridge or tube of sealant."""

    kind: str = column("", "what it is", example="sealing adhesive")
    ml: float = column("ml", "contents", above=0, at_most=20000)
    cure_h: float = column("h", "time to cure", at_least=0, at_most=1000)
