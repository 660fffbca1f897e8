"""Safety fittings: what every kit has wherever the catalog knows a part of the kind.

Isolators, earthing conductors and the like are asked for by the rules of the trade, and yet not
every catalog sells them. From one that knows none the kit is designed without, and the answer
says so. From one that knows any, each kit has them, whoever sells them: so what is asked for
does not hang on prices.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeGuard

from solver.parts import Breaker, Cable, Combiner, Connector, Fuse, Monitor, Socket, Switch
from solver.parts.base import Part
from solver.records import Design
from solver.rules.comm import heard_by_all


@dataclass(frozen=True)
class Fitting:
    """A kind of fitting."""

    name: str
    is_one: Callable[[Part], bool]
    kinds: tuple[str, ...]
    """Circuits of these kinds have one."""
    unknown: str
    """What a person must know where the catalog knows none."""


def is_isolator(part: Part) -> TypeGuard[Switch]:
    """Whether a part breaks both poles of an array under load."""
    return isinstance(part, Switch) and part.kind.startswith("pv")


ARRAY_ISOLATOR = Fitting(
    "isolator of an array",
    is_isolator,
    ("array",),
    "The catalog knows no isolator for arrays (a switch of kind pv): the kit has none. Fit one "
    "beside each controller that breaks both poles under load at the array's coldest voltage.",
)


STRING_FUSE = "IEC 60269-6 gPV 10x38"
"""Class of the fuses of strings: the one that in-line holders with panel connectors take."""


def is_string_fuse(part: Part) -> TypeGuard[Fuse]:
    """Whether a part is a fuse for strings of panels."""
    return isinstance(part, Fuse) and part.kind == STRING_FUSE


def is_string_holder(part: Part) -> TypeGuard[Connector]:
    """Whether a part holds such a fuse between two panel connectors."""
    return isinstance(part, Connector) and part.kind == "fuse holder"


def is_combiner(part: Part) -> TypeGuard[Combiner]:
    """Whether a part joins the strings of an array in one box."""
    return isinstance(part, Combiner)


MOST_BRANCHED = 2
"""Strings that meet in a branch pair; more of them meet in a combiner; common practice, no source."""

COMBINER = Fitting(
    "combiner of an array",
    is_combiner,
    ("array",),
    "The catalog knows no combiner: more than two strings of panels meet in branch pairs, and "
    "where they need fuses these hang in in-line holders, out of reach under the panels.",
)


def is_ac_breaker(part: Part) -> TypeGuard[Breaker]:
    """Whether a part protects an AC circuit, against residual currents too."""
    return isinstance(part, Breaker) and part.residual_ma is not None


def _is_outlet(kind: str) -> Callable[[Part], bool]:
    return lambda part: isinstance(part, Socket) and part.kind == kind


AC_BREAKER = Fitting(
    "protection of AC circuits",
    is_ac_breaker,
    ("ac",),
    "The catalog knows no AC breaker with residual-current release: AC circuits stand in the "
    "kit without protection. A licensed person must choose and fit it.",
)
SOCKET = Fitting(
    "socket for AC loads",
    _is_outlet("socket"),
    ("ac",),
    "The catalog knows no AC socket: AC circuits end in bare wire at their loads.",
)
INLET = Fitting(
    "AC inlet",
    _is_outlet("inlet"),
    ("ac",),
    "The catalog knows no AC inlet: what shore power comes in by is not in the kit.",
)

EARTH_COLOURS = frozenset({"green", "green-yellow"})


def is_earth_cable(part: Part) -> TypeGuard[Cable]:
    """Whether a part is single-core cable for earthing and bonding."""
    return isinstance(part, Cable) and part.use == "battery" and part.colour in EARTH_COLOURS


EARTH_CABLE = Fitting(
    "earthing conductor",
    is_earth_cable,
    ("link",),
    "The catalog knows no green-yellow cable: the kit has no bond between its negative bus bar "
    "and the chassis, and no earthing conductors. A licensed person must say what is needed.",
)

FITTINGS = (ARRAY_ISOLATOR, COMBINER, AC_BREAKER, SOCKET, INLET, EARTH_CABLE)


NO_PLACE_FOR_ISOLATOR = (
    "A controller stands in a place that may not hold a switch, so its array has no isolator in "
    "this kit. Let that place hold switches too, or fit one that breaks both poles under load."
)


def heard_in(parts: Iterable[Part]) -> frozenset[str]:
    """The buses that every battery monitor of a catalog hears, through one kind of plug."""
    monitors = [p for p in parts if isinstance(p, Monitor)]
    alike = len({p.comm_plug for p in monitors}) == 1
    return heard_by_all(p.comm for p in monitors) if alike else frozenset()


SHEATHED = (
    "Nothing protects these pieces between their source and their fuse or breaker: {}. Cut as long "
    "as stated, each must lie in a sheath or a conduit over its whole length."
)


def notes_of(design: Design) -> tuple[str, ...]:
    """What a person must know of the fittings that a design is without."""
    kinds = {c.kind for c in design.circuits}
    without = set(design.without)
    if all(a.parallel <= MOST_BRANCHED for a in design.arrays):
        without.discard(COMBINER.name)
    notes = [f.unknown for f in FITTINGS if f.name in without and kinds & set(f.kinds)]
    isolators = sum(is_isolator(d.part) for d in design.devices)
    if ARRAY_ISOLATOR.name not in design.without and isolators < len(design.arrays):
        notes.append(NO_PLACE_FOR_ISOLATOR)
    sheathed = [x.label for x in design.cuts if x.sheathed]
    if sheathed:
        notes.append(SHEATHED.format(", ".join(sheathed)))
    return tuple(notes)


def unknown_to(parts: Iterable[Part]) -> tuple[str, ...]:
    """The names of the fittings that none of some parts is."""
    left = list(FITTINGS)
    for part in parts:
        left = [f for f in left if not f.is_one(part)]
        if not left:
            break
    return tuple(f.name for f in left)
