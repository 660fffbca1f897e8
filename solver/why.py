"""Why there is no kit: which needs collide."""

from __future__ import annotations

from solver.market import Market
from solver.needs import Needs
from solver.records import Reason
from solver.selection import Bound
from solver.stock import Stock
from solver.wiring import Shelf


def reasons(
    needs: Needs, stock: Stock, mkt: Market, shelf: Shelf, bounds: list[Bound]
) -> tuple[Reason, ...]:
    """What stands in the way."""
    return ()
