"""A second walk over a finished design, written apart from the checker.

It takes the result as it is written to the file, the catalog's parts and the needs, and follows
the copper from its own graph of the cut pieces: what every source can drive into every conductor,
what opens before that burns, what is behind the shunt, what each end is made up with; and it
works out every figure anew, from the printed tables. It imports nothing of the project: parts and
needs are read as plain records.

What it knows of the topology stands in a few tables (`wires.PASSES`, `runs.CABLES`, `runs.LIMITS`,
`runs.UNFUSED`): another device that passes current, or another kind of circuit, is a row there.
Of kinds that have no row it checks what holds for any: pieces, ends, ways, lengths, the bill.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tests.oracle.walk.bill import walk_bill
from tests.oracle.walk.ends import walk_ends
from tests.oracle.walk.fittings import walk_fittings
from tests.oracle.walk.holes import walk_conduits, walk_holes
from tests.oracle.walk.kit import walk_kit
from tests.oracle.walk.runs import walk_runs
from tests.oracle.walk.sources import walk_sources
from tests.oracle.walk.wires import Wires
from tests.oracle.walk.world import Complaint, World


def complaints(
    document: Mapping[str, Any], parts: Mapping[str, Any], needs: Any
) -> list[Complaint]:
    """Everything that is wrong with a finished design.

    Parameters
    ----------
    document : mapping
        The result, as read from its JSON.
    parts : mapping
        The catalog's parts by name, those of the person among them.
    needs : Needs
        What was stated.

    Returns
    -------
    list of Complaint
        Text and subject; empty where nothing is wrong.
    """
    world = World(document, parts, needs)
    wires = Wires(world)
    walk_sources(world, wires)
    walk_runs(world, wires)
    walk_ends(world)
    walk_fittings(world, wires)
    walk_kit(world)
    walk_holes(world)
    walk_conduits(world)
    walk_bill(world)
    return world.found
