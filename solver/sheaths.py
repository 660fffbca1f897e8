"""Sheaths: conduit over what nothing protects between its source and its fuse.

A piece that is too long to lie bare before its protection (`Cut.sheathed`) lies in corrugated conduit
over its whole length, the narrowest that the fill of one cable allows.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from solver.holes import outer_of
from solver.parts import Conduit
from solver.rules.conduit import least_conduit_mm
from solver.small_wants import Shelf, Want

if TYPE_CHECKING:
    from solver.records import Design
    from solver.stock import Stock


def sheaths(design: Design, shelf: Shelf) -> Iterator[Want]:
    """For each piece that lies in a sheath, as many metres as it is long."""
    known = any(isinstance(p, Conduit) for p in shelf.market.parts.values())
    for cut in design.cuts:
        if cut.sheathed:
            part = sheath_of(outer_of(design, cut), shelf.sold)
            yield Want(
                kind="sheaths",
                of=f"piece {cut.label}",
                quantity=cut.length_mm / 1000,
                gives=() if part is None else ((part.part, 1.0),),
                known=known,
                by_metre=True,
            )


def sheath_of(outer_mm: float, stock: Stock) -> Conduit | None:
    """The narrowest conduit that bends by itself and takes a cable; None where there is none."""
    least_mm = least_conduit_mm([outer_mm])
    fitting = [
        c
        for c in stock.of_class("conduit")
        if isinstance(c, Conduit) and not c.is_rigid and c.inner_mm >= least_mm - 1e-9
    ]
    return min(fitting, key=lambda c: (c.outer_mm, c.part), default=None)
