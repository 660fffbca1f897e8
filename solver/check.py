"""The independent checker: every rule, recomputed from needs and design alone.

It takes no number from the stages that made the design: it looks parts up by name, walks legs,
pieces and poles again, and compares what it finds with what the design states and with the
limits. The formulas are those of `solver.rules`; the reasoning about what they are applied to
is its own.
"""

from __future__ import annotations

from solver.check_bill import check_bill
from solver.check_circuits import check_bars, check_circuits
from solver.check_combiners import check_combiners
from solver.check_ends import check_branches, check_ends, check_lengths
from solver.check_energy import check_energy
from solver.check_fittings import check_fittings
from solver.check_graph import check_graph
from solver.check_ground import check_ground
from solver.check_holes import check_conduits, check_holes
from solver.check_places import check_places, check_weight
from solver.check_protection import check_protections
from solver.check_sheet import Sheet
from solver.check_small import check_small_parts
from solver.check_string_fuses import check_string_fuses
from solver.check_strings import (
    check_arrays,
    check_bank,
    check_chargers,
    check_inverter,
    check_system,
)
from solver.check_survey import Survey
from solver.needs import Needs
from solver.records import Check, Design, Line, SupplierOrder


def check(
    needs: Needs,
    design: Design,
    lines: tuple[Line, ...],
    orders: tuple[SupplierOrder, ...] = (),
) -> tuple[Check, ...]:
    """Apply every rule to everything it applies to.

    Parameters
    ----------
    needs : Needs
        What was asked for.
    design : Design
        What is to be built; its parts are trusted as the catalog's, its numbers are not.
    lines : tuple of Line
        The bill.
    orders : tuple of SupplierOrder
        The suppliers' baskets; without them money is added up from the lines, without freight.

    Returns
    -------
    tuple of Check
        A row for each rule and thing, in the order of the design; `ok` is the verdict. A thing
        that is named and isn't there gives a failed row, never an exception.
    """
    sheet, survey = Sheet(), Survey(needs, design)
    for section in (
        check_system,
        check_arrays,
        check_bank,
        check_inverter,
        check_chargers,
        check_energy,
        check_circuits,
        check_bars,
        check_fittings,
        check_ground,
        check_protections,
        check_graph,
        check_ends,
        check_branches,
        check_string_fuses,
        check_combiners,
        check_lengths,
        check_places,
        check_holes,
        check_conduits,
        check_weight,
        check_small_parts,
    ):
        section(sheet, survey)
    check_bill(sheet, survey, lines, orders)
    return tuple(sheet.rows)
