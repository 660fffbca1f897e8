"""Why no three strings of panels can meet in any combiner of a catalog, though it knows some."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from solver.candidates import MOST_STRINGS
from solver.fittings import COMBINER, MOST_BRANCHED, STRING_FUSE
from solver.needs import Needs
from solver.parts import Controller, Panel
from solver.records import Design, Reason
from solver.rules.string import pv_design_current_a, voc_cold_v
from solver.string_fuses import Strings, combiner_for, fused_poles, need_fuses
from solver.wiring import Shelf

_FUSED = {
    0: "without fuses",
    1: "with a fuse in one pole of each string",
    2: "with a fuse in both poles of each string",
}


SHARED_NEGATIVE = (
    "Strings have fuses in their positive alone, since their controller is taken to pass the negative "
    "through to the bank's, as it is where a catalog leaves common_pole empty: {}. Look it up in its "
    "manual; if it does not, state common_pole and pick again, as both poles need fuses then."
)


def combiner_reasons(needs: Needs, shelf: Shelf) -> tuple[Reason, ...]:
    """A reason for each place of panels and each way to fuse strings that no combiner suits.

    Whatever the panels: a combiner too weak for some of them alone is not told of.
    """
    if COMBINER.name in shelf.unknown:
        return ()
    return tuple(
        Reason(
            needs=("rules.practice",),
            message=(
                f'No combiner of the catalog suits strings {_FUSED[poles]} on "{place}", so more '
                f"than {MOST_BRANCHED} of them were in no kit that was looked at."
            ),
            change=f"add a combiner that suits them to the catalog: {_wanted(poles)}",
        )
        for place in (p.name for p in needs.places if p.may_hold("panel"))
        for poles in _lacking(needs, shelf, place)
    )


def notes_of_combiners(needs: Needs, shelf: Shelf) -> tuple[str, ...]:
    """The same, for a kit that was found all the same."""
    return tuple(
        f"{reason.message} If you want them: {reason.change}."
        for reason in combiner_reasons(needs, shelf)
    )


def notes_of_poles(needs: Needs, design: Design) -> tuple[str, ...]:
    """What was taken of controllers where strings have fuses in their positive alone.

    Under `nec` one pole is enough, whatever the controller passes through.
    """
    if needs.rules.practice == "nec":
        return ()
    found = sorted(a.controller for a in design.arrays if a.fuses and not a.negative_fuses)
    return (SHARED_NEGATIVE.format(", ".join(found)),) if found else ()


def _wanted(poles: int) -> str:
    fuses = f' and fuse_kind "{STRING_FUSE}"' if poles else ""
    return (
        f"with fused_poles {poles}{fuses}, a way for each string, current and voltage enough, "
        "and of the place's climate (ip of IPX4 or better where it is wet)"
    )


def _lacking(needs: Needs, shelf: Shelf, place: str) -> list[int]:
    """In how many poles strings there ask for fuses and have no combiner."""
    asked: set[int] = set()
    suited: set[int] = set()
    for some in _strings(needs, shelf, place):
        asked.add(some.poles)
        if some.poles not in suited and combiner_for(shelf, some, some.poles) is not None:
            suited.add(some.poles)
    return sorted(asked - suited)


def _strings(needs: Needs, shelf: Shelf, place: str) -> Iterator[Strings]:
    """Strings of one panel each that ask for a combiner, each with the poles that have a fuse."""
    had = [p for p in shelf.market.parts.values() if shelf.market.to_be_had(p.part)]
    fused = {fused_poles(shelf, p) for p in had if isinstance(p, Controller)}
    rules = needs.rules
    kinds = {
        (p.isc_a, p.series_fuse_a, p.voc_v, p.voc_pct_per_c)
        for p in had
        if isinstance(p, Panel)
    }
    for isc_a, most_a, voc_v, pct in sorted(kinds, key=str):
        for parallel in range(MOST_BRANCHED + 1, MOST_STRINGS + 1):
            all_a = pv_design_current_a(isc_a * parallel, rules.continuous, rules.practice)
            some = Strings(
                isc_a=isc_a,
                series_fuse_a=most_a,
                parallel=parallel,
                design_a=float(all_a),
                voc_cold_v=float(voc_cold_v(voc_v, pct, needs.site.coldest_c)),
                poles=0,
                place=place,
            )
            for poles in fused if need_fuses(isc_a, parallel, most_a) else {0}:
                yield replace(some, poles=poles)
