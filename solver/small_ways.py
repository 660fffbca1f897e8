"""What cables want along their ways: clips, conduit with its fittings, ties round bundles."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from solver.bundle import bundle_of
from solver.conduits import Duct, conduit_of, ducts
from solver.ground import outside_pieces
from solver.holes import outer_of, passages
from solver.parts import Conduit, ConduitFitting, Mounting
from solver.routes import leg_between
from solver.rules import fixing as rule_f
from solver.rules import laying as rule_l
from solver.small_wants import Shelf, Want, holds, is_mounting

if TYPE_CHECKING:
    from solver.needs import Needs
    from solver.parts.base import Part
    from solver.records import Design


def along_ways(needs: Needs, design: Design, shelf: Shelf) -> Iterator[Want]:
    """Clips of each circuit, each conduit with its fittings, ties of each leg."""
    yield from _clips(needs, design, shelf)
    for duct in ducts(needs, design):
        if not duct.there:
            yield from _conduit(duct, shelf)
    yield from _ties(needs, design, shelf)


def _clips(needs: Needs, design: Design, shelf: Shelf) -> Iterator[Want]:
    """Along each piece, but for the legs on which it runs in a conduit, and for leads outside."""
    rules, via = needs.rules, {c.name: c.via for c in design.circuits}
    found: Counter[tuple[str, float]] = Counter()
    outside = outside_pieces(design)
    for cut in design.cuts:
        if cut.label in outside:
            continue
        legs = [leg_between(needs.legs, a, b) for a, b in via.get(cut.circuit, ())]
        in_conduit_m = sum(leg.length_m for leg in legs if leg.conduit is not None)
        outer = outer_of(design, cut)
        way = cut.length_mm - 2 * rules.slack_mm - 1000 * in_conduit_m
        n = rule_f.clips(way, rule_f.support_mm(rules.practice, outer))
        found[cut.circuit, outer] += n
    for (circuit, outer), n in found.items():
        is_clip = is_mounting("cable clip")
        yield shelf.want("clips", circuit, n, Mounting, holds(outer), is_one=is_clip)


def _conduit(duct: Duct, shelf: Shelf) -> Iterator[Want]:
    """The narrowest that does, in metres; its fittings are made for its size."""
    of, part = f"conduit {duct.name}", conduit_of(duct, shelf.sold)
    yield shelf.conduit_metres("conduits", of, duct.length_m, part)
    if part is None:
        return
    saddles = sum(rule_l.conduit_saddles(1000 * way.leg.length_m) for way in duct.ways)
    yield _fitting(shelf, "conduit saddles", "saddle", of, saddles, part)
    openings = sum(run.openings for run in duct.runs)
    yield _fitting(shelf, "conduit bushings", "bushing", of, openings, part)
    boxes = sum(run.boxes for run in duct.runs)
    yield _fitting(shelf, "pull boxes", "pull box", of, boxes, part)
    if part.is_rigid:
        yield _fitting(shelf, "conduit elbows", "elbow", of, duct.bends or 0, part)
        joints = sum(rule_l.conduit_couplings(1000 * run.length_m) for run in duct.runs)
        yield _fitting(shelf, "conduit couplings", "coupling", of, joints, part)


def _fitting(shelf: Shelf, kind: str, what: str, of: str, n: int, conduit: Conduit) -> Want:
    def fits(part: Part) -> float:
        return float(isinstance(part, ConduitFitting) and part.outer_mm == conduit.outer_mm)

    return shelf.want(
        kind,
        of,
        n,
        ConduitFitting,
        fits,
        is_one=lambda p: isinstance(p, ConduitFitting) and p.kind == what,
    )


def _ties(needs: Needs, design: Design, shelf: Shelf) -> Iterator[Want]:
    """Where cables run side by side and no conduit holds them together."""
    for way in passages(needs, design):
        if way.leg.conduit is not None or len(way.cuts) < 2:
            continue
        held_mm = rule_f.support_mm(needs.rules.practice, min(way.outer_mm))
        wide = bundle_of(way.outer_mm).diameter_mm
        yield shelf.want(
            "cable ties",
            f"{way.leg.from_} to {way.leg.to}",
            rule_l.cable_ties(1000 * way.leg.length_m, held_mm),
            Mounting,
            _goes_round(wide),
            is_one=is_mounting("cable tie"),
        )


def _goes_round(wide_mm: float) -> Callable[[Part], float]:
    """Ties long enough: what is left over is cut off."""
    return lambda p: float(
        isinstance(p, Mounting) and p.cable_mm is not None and p.cable_mm >= wide_mm
    )
