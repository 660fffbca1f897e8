"""The lines of the hole schedule: each hole once, by its number, as every sheet tells it.

Holes of legs come first, in the order of the legs, then the openings of inlets.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bom.drawings.plate import least_text, length_text
from solver.entries import face_of
from solver.ground import Opening, openings
from solver.holes import Hole, Passage, holes, outer_of, passages
from solver.lining import Lining, lining_of
from solver.needs import Leg, Needs
from solver.records import Cut, Design
from solver.stock import Stock

ON_THE_SPOT = "to be set on the spot"
FLANGE = "its own flange, on sealant"
NOTHING = "nothing of that size"
SHARED = "AC beside DC: apart, or in sheaths for the AC voltage"


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A face that a hole passes, and where in it."""

    place: str
    at_mm: tuple[float, ...] | None
    """x and y of its middle from the place's corner; None: to be set on the spot."""


@dataclass(frozen=True, kw_only=True)
class Bore:
    """How many are made, and how wide."""

    count: int
    wide_mm: float


@dataclass(frozen=True, kw_only=True)
class HoleLine:
    """A hole of a leg, or the opening of an inlet."""

    number: str
    """`H1` and so on: the same on every sheet."""
    name: str
    legs: tuple[Leg, ...]
    spots: tuple[Spot, ...]
    bores: tuple[Bore, ...]
    """What is drilled or sawn; nothing where a hole is there that does."""
    least: bool
    """Whether that is the least that the cables ask for, since nothing is known to line it."""
    lined: str
    """With what; empty where that is not reckoned."""
    cuts: tuple[Cut, ...]
    outer_mm: tuple[float, ...]
    supplies: tuple[str, ...]
    hole: Hole | None
    opening: Opening | None

    @property
    def bore_mm(self) -> float:
        """Of the one hole that it is, or of one around all its cables."""
        if len(self.bores) == 1 and self.bores[0].count == 1:
            return self.bores[0].wide_mm
        assert self.hole is not None, self.number
        drilled = self.hole.drilled_mm
        return self.hole.there_mm or self.hole.drill_mm if drilled is None else drilled

    @property
    def each_its_own(self) -> bool:
        """Whether each cable has a hole of its own."""
        return sum(b.count for b in self.bores) > 1

    def at_mm(self, place: str, leg: Leg) -> tuple[float, ...] | None:
        """Where it lies in one of its faces, by a leg that passes it."""
        if self.opening is not None:
            return self.spots[0].at_mm
        return leg.from_at_mm if leg.from_ == place else leg.to_at_mm


def hole_lines(
    needs: Needs, design: Design, stock: Stock | None = None
) -> tuple[HoleLine, ...]:
    """Every hole and opening, numbered.

    Parameters
    ----------
    needs : Needs
    design : Design
    stock : Stock, optional
        What may line them where the design's small parts were not reckoned; without it, a
        design without small parts says nothing of what lines its holes.
    """
    stock = had_by(design, stock)
    ways = passages(needs, design)
    found = [_of_hole(hole, needs, stock) for hole in holes(needs, design)]
    found += [_of_opening(x, ways, design) for x in openings(design)]
    return tuple(replace(line, number=f"H{n}") for n, line in enumerate(found, start=1))


def had_by(design: Design, stock: Stock | None) -> Stock | None:
    """What a kit has; where its small parts were not reckoned, all that is on offer."""
    if design.small is None:
        return stock
    return Stock.of(design.parts.values(), (), ())


def _of_hole(hole: Hole, needs: Needs, stock: Stock | None) -> HoleLine:
    linings = None if stock is None else lining_of(hole, needs, stock)
    spots = {
        (place, at)
        for leg in hole.legs
        for place, at in ((leg.from_, leg.from_at_mm), (leg.to, leg.to_at_mm))
    }
    order = {p.name: n for n, p in enumerate(needs.places)}
    bores = _bores(hole, linings)
    return HoleLine(
        number="",
        name=hole.name,
        legs=hole.legs,
        spots=tuple(
            Spot(place=place, at_mm=at)
            for place, at in sorted(spots, key=lambda s: (order[s[0]], s[1] or ()))
        ),
        bores=bores,
        least=bool(bores) and not linings,
        lined="" if stock is None else _lined(linings),
        cuts=hole.cuts,
        outer_mm=hole.outer_mm,
        supplies=hole.supplies,
        hole=hole,
        opening=None,
    )


def _bores(hole: Hole, linings: tuple[Lining, ...] | None) -> tuple[Bore, ...]:
    """By what lines it: a wet hole has a gland, and so a hole, for each cable."""
    wet = any(leg.wet for leg in hole.legs)
    if hole.drilled_mm is None and not wet:
        return ()
    if linings:
        return tuple(Bore(count=x.count, wide_mm=x.hole_mm) for x in linings)
    return () if hole.drilled_mm is None else (Bore(count=1, wide_mm=hole.drilled_mm),)


def _lined(linings: tuple[Lining, ...] | None) -> str:
    if not linings:
        return NOTHING
    return ", ".join(f"{x.count} × {x.part}" if x.count > 1 else x.part for x in linings)


def _of_opening(opening: Opening, ways: Sequence[Passage], design: Design) -> HoleLine:
    inlet = design.device(opening.inlet)
    x0, y0, x1, y1 = face_of(inlet)
    return HoleLine(
        number="",
        name=f"opening of {opening.inlet}",
        legs=tuple(way.leg for way in ways if _meets(way, inlet.id, inlet.place)),
        spots=(Spot(place=opening.place, at_mm=((x0 + x1) / 2, (y0 + y1) / 2)),),
        bores=(Bore(count=1, wide_mm=opening.cutout_mm),),
        least=False,
        lined=FLANGE,
        cuts=opening.cuts,
        outer_mm=tuple(outer_of(design, cut) for cut in opening.cuts),
        supplies=("pv",),
        hole=None,
        opening=opening,
    )


def _meets(way: Passage, inlet: str, place: str) -> bool:
    """Whether a leg of that place has a cable that ends at the inlet."""
    return place in (way.leg.from_, way.leg.to) and any(ends_at(c, inlet) for c in way.cuts)


def ends_at(cut: Cut, device: str) -> bool:
    """Whether a piece of cable ends at a device."""
    return any(end.at.rpartition(":")[0] == device for end in cut.ends)


# -- as texts


def drill_text(line: HoleLine, units: str) -> str:
    """What is made, and how wide."""
    if not line.bores:
        assert line.hole is not None, line.number
        return f"nothing: Ø{length_text(line.hole.there_mm or 0, units)} is there"
    text = ", ".join(
        f"{b.count} × Ø{least_text(b.wide_mm, units)}"
        if line.each_its_own
        else f"Ø{least_text(b.wide_mm, units)}"
        for b in line.bores
    )
    if line.opening is not None:
        return f"saw {text}"
    return f"{text} or more" if line.least else text


def ways_text(legs: Sequence[Leg]) -> str:
    """From where to where its cables run."""
    return "; ".join(dict.fromkeys(f"{leg.from_} to {leg.to}" for leg in legs))


def where_text(line: HoleLine, units: str) -> str:
    """Where its middle lies in each face, as far as that is stated."""
    if all(spot.at_mm is None for spot in line.spots):
        return ON_THE_SPOT
    return "; ".join(f"{s.place}: {at_text(s.at_mm, units)}" for s in line.spots)


def at_text(at_mm: tuple[float, ...] | None, units: str) -> str:
    """X and y of a middle."""
    if at_mm is None:
        return ON_THE_SPOT
    x, y = (length_text(mm, units) for mm in at_mm)
    return f"x {x}, y {y}"


def cables_text(cuts: Sequence[Cut], outer_mm: Sequence[float], units: str) -> str:
    """Pieces with their outer diameters, circuit by circuit."""
    by_circuit: dict[str, list[str]] = {}
    for cut, outer in zip(cuts, outer_mm, strict=True):
        piece = f"{cut.label} Ø{least_text(outer, units)}"
        by_circuit.setdefault(cut.circuit, []).append(piece)
    return "; ".join(f"{', '.join(some)} ({name})" for name, some in by_circuit.items())


def remarks_of(line: HoleLine, units: str) -> list[str]:
    """What has to be minded with it."""
    if line.hole is None:
        return ["as the inlet's maker says, and no wider; paint the edge, seal the flange"]
    hole, found = line.hole, []
    if not hole.fits:
        found.append("TOO NARROW: part the bundle between two holes")
    if line.bores and hole.there_mm is not None:
        found.append(f"there is one of {length_text(hole.there_mm, units)}")
    if hole.most_mm is not None:
        found.append(f"largest allowed {length_text(hole.most_mm, units)}")
    if hole.loaded_conductors:
        found.append(f"in it already: {hole.loaded_conductors} conductors, not drawn")
    return found + shared(line.supplies)


def shared(supplies: Sequence[str]) -> list[str]:
    """What is said where AC and DC lie together."""
    return [SHARED] if "ac" in supplies and len(supplies) > 1 else []
