"""What joins the strings of an array: branch connectors or a combiner, with a fuse in each.

Strings lie beside each other on the roof. Two meet in a branch pair. More meet in a combiner, a
box beside their panels that takes their connectors; where the catalog knows none, each further
string takes one more branch pair, so `n` strings take `n - 1`, and the last pair carries them all.

Where strings need fuses, a string's fuse sits in its positive: in its way of the combiner, whose
ways then have holders in just the poles that need fuses, or in an in-line holder before its
branch. The
negative has one too where the practice asks for it: not where the controller passes it through
to the bank's, which is bonded.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from solver.candidates import Arrays
from solver.climate import bears_climate
from solver.fittings import (
    COMBINER,
    EARTH_CABLE,
    MOST_BRANCHED,
    STRING_FUSE,
    is_string_holder,
)
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
    combiner: str | None = None

    @property
    def takes(self) -> Iterator[tuple[str, int]]:
        """Each family with its number."""
        for family, n in (
            (self.branch, self.pairs),
            (self.fuse, self.fuses),
            (self.holder, self.fuses),
            (self.combiner, 1),
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
    place: str
    """Of their panels."""


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


def strings_of(shelf: Shelf, a: Arrays, i: int) -> Strings:
    """What joining the strings of an array candidate depends on."""
    panel = a.panels[int(a.panel[i])]
    return Strings(
        isc_a=panel.isc_a,
        series_fuse_a=panel.series_fuse_a,
        parallel=int(a.parallel[i]),
        design_a=float(a.design_a[i]),
        voc_cold_v=float(a.voc_cold_v[i]),
        poles=fused_poles(shelf, a.controllers[int(a.controller[i])]),
        place=a.panel_place[i],
    )


def joints(shelf: Shelf, strings: Strings) -> Joints | None:
    """What joins some strings; None where the parts for it are not to be had."""
    if strings.parallel == 1:
        return ALONE
    fused = need_fuses(strings.isc_a, strings.parallel, strings.series_fuse_a)
    fuse, fuses = None, 0
    if fused:
        fuse, fuses = _fuse(shelf, strings), strings.poles * strings.parallel
        if fuse is None:
            return None
    if strings.parallel > MOST_BRANCHED and COMBINER.name not in shelf.unknown:
        box = combiner_for(shelf, strings, strings.poles if fused else 0)
        return None if box is None else Joints(fuse=fuse, fuses=fuses, combiner=box)
    branch = _family(
        x
        for x in shelf.connectors
        if x.kind == "branch pair"
        and x.rated_a >= strings.design_a
        and x.max_v >= strings.voc_cold_v
    )
    if branch is None:
        return None
    holder = None
    if fused:
        # whichever of these fuses is put in one day, its holder carries it
        holder = _family(
            x
            for x in shelf.connectors
            if is_string_holder(x)
            and x.rated_a >= _most_a(shelf, strings)
            and x.max_v >= strings.voc_cold_v
        )
        if holder is None:
            return None
    return Joints(branch, strings.parallel - 1, fuse, holder, fuses)


def _most_a(shelf: Shelf, strings: Strings) -> float:
    practice = shelf.needs.rules.practice
    return float(string_fuse_most_a(strings.isc_a, strings.series_fuse_a, practice))


def _fuse(shelf: Shelf, strings: Strings) -> str | None:
    """The family of fuses for each of some strings."""
    least_a = float(string_fuse_least_a(strings.isc_a, shelf.needs.rules.practice))
    return _family(
        x
        for x in shelf.string_fuses
        if least_a - 1e-9 <= x.rated_a <= _most_a(shelf, strings) + 1e-9
        and x.max_v >= strings.voc_cold_v
        and x.breaking_ka >= BEHIND_MAIN_KA
    )


def combiner_for(shelf: Shelf, strings: Strings, poles: int) -> str | None:
    """The family of combiners that some strings may meet in, with fuses in so many poles."""
    needs = shelf.needs
    place = needs.place(strings.place)
    # whichever fuse is put in one day, its way carries it
    way_a = _most_a(shelf, strings) if poles else 0.0
    return _family(
        x
        for x in shelf.combiners
        if x.ways >= strings.parallel
        and x.rated_a >= strings.design_a
        and x.max_v >= strings.voc_cold_v
        and x.fused_poles == poles
        and (not poles or x.fuse_kind == STRING_FUSE)
        and x.way_a >= way_a
        and x.way_a * strings.parallel >= strings.design_a
        and bears_climate(x, place, needs.site)
    )


def _family(parts: Iterable[Part]) -> str | None:
    return family_name(tuple(x.part for x in parts))
