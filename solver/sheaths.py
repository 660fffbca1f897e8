"""Sheaths: conduit over what nothing protects between its source and its fuse.

A piece that is too long to lie bare before its protection (`Cut.sheathed`) lies in corrugated conduit
over its whole length, the narrowest that the fill of one cable allows.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from solver.conduits import narrowest
from solver.holes import outer_of
from solver.rules.conduit import least_conduit_mm
from solver.small_wants import Shelf, Want

if TYPE_CHECKING:
    from solver.records import Design


def sheaths(design: Design, shelf: Shelf) -> Iterator[Want]:
    """For each piece that lies in a sheath, as many metres as it is long."""
    for cut in design.cuts:
        if cut.sheathed:
            # one that bends by itself
            least_mm = least_conduit_mm([outer_of(design, cut)])
            part = narrowest(shelf.sold, least_mm, rigid=False)
            of, metres = f"piece {cut.label}", cut.length_mm / 1000
            yield shelf.conduit_metres("sheaths", of, metres, part)
