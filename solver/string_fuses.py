"""What joins the strings of an array: branch connectors, and a fuse in each where one is needed.

Strings lie beside each other on the roof. The first two meet in a branch pair, each further
string in one more, so `n` strings take `n - 1` pairs, and the last pair carries them all. A
string's fuse sits in its positive, in an in-line holder between the string and its branch. The
negative has one too where the practice asks for it: not where the controller passes it through
to the bank's, which is bonded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from solver.fittings import EARTH_CABLE, is_string_holder
from solver.parts import Controller
from solver.parts.base import Part
from solver.rules.string_fuse import (
    back_feed_a,
    string_fuse_least_a,
    string_fuse_most_a,
    string_fuse_poles,
)
from solver.wiring import BEHIND_MAIN_KA, Shelf, family_name


@dataclass(frozen=True, slots=True)
class Joints:
    """Of an array: families of what joins its strings, and how many of each it takes."""

    branch: str | None = None
    pairs: int = 0
    fuse: str | None = None
    holder: str | None = None
    fuses: int = 0

    @property
    def takes(self) -> Iterator[tuple[str, int]]:
        """Each family with its number."""
        for family, n in (
            (self.branch, self.pairs),
            (self.fuse, self.fuses),
            (self.holder, self.fuses),
        ):
            if family is not None and n:
                yield family, n


ALONE = Joints()
"""Of an array of one string."""


@dataclass(frozen=True, slots=True)
class Strings:
    """What joining depends on: a panel's currents, how many strings, their voltage and current."""

    isc_a: float
    series_fuse_a: float
    parallel: int
    design_a: float
    """Of all strings together."""
    voc_cold_v: float
    poles: int
    """Of each string that have a fuse, where the strings need fuses."""


def need_fuses(isc_a: float, parallel: int, series_fuse_a: float) -> bool:
    """Whether the other strings could feed more into one than its panels bear."""
    return float(back_feed_a(isc_a, parallel)) > series_fuse_a + 1e-9


def fused_poles(shelf: Shelf, controller: Controller) -> int:
    """How many poles of each string have a fuse, where the strings behind a controller need some.

    Every kit bonds its negative bus bar, unless the catalog knows no cable for it: then no array
    has a pole that is joined to earth.
    """
    bonded = EARTH_CABLE.name not in shelf.unknown
    earthed = bonded and controller.common_pole == "negative"
    return string_fuse_poles(shelf.needs.rules.practice, earthed)


def joints(shelf: Shelf, strings: Strings) -> Joints | None:
    """What joins some strings; None where the parts for it are not to be had."""
    if strings.parallel == 1:
        return ALONE
    branch = _family(
        x
        for x in shelf.connectors
        if x.kind == "branch pair"
        and x.rated_a >= strings.design_a
        and x.max_v >= strings.voc_cold_v
    )
    if branch is None:
        return None
    pairs = strings.parallel - 1
    if not need_fuses(strings.isc_a, strings.parallel, strings.series_fuse_a):
        return Joints(branch, pairs)
    practice = shelf.needs.rules.practice
    least_a = float(string_fuse_least_a(strings.isc_a, practice))
    most_a = float(string_fuse_most_a(strings.isc_a, strings.series_fuse_a, practice))
    fuse = _family(
        x
        for x in shelf.string_fuses
        if least_a - 1e-9 <= x.rated_a <= most_a + 1e-9
        and x.max_v >= strings.voc_cold_v
        and x.breaking_ka >= BEHIND_MAIN_KA
    )
    # whichever of these fuses is put in one day, its holder carries it
    holder = _family(
        x
        for x in shelf.connectors
        if is_string_holder(x) and x.rated_a >= most_a and x.max_v >= strings.voc_cold_v
    )
    if fuse is None or holder is None:
        return None
    return Joints(branch, pairs, fuse, holder, strings.poles * strings.parallel)


def _family(parts: Iterable[Part]) -> str | None:
    return family_name(tuple(x.part for x in parts))
