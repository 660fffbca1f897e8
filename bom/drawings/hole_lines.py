"""The lines of the hole schedule: each hole once, by its number, as every sheet tells it.

Holes of legs come first, sorted by their legs, then the openings of inlets: in whatever order the
needs state their rows, a hole has the same number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from bom.drawings.plate import least_text, length_text, most_text
from solver.bundle import bundle_of
from solver.entries import face_of, stated_at
from solver.ground import Opening, openings
from solver.holes import Hole, Passage, holes, outer_of, passages
from solver.lining import Lining, lining_of
from solver.needs import Leg, Needs
from solver.records import Cut, Design
from solver.stock import Stock

ON_THE_SPOT = "to be set on the spot"
FLANGE = "its own flange, on sealant"
NOTHING = "nothing of that size"
ASSUMED = "middle of the flange assumed: check the inlet"
SIDE_BY_SIDE = "side by side about this middle, room for lock nuts"
NUT = 1.4
"""How many times as wide as its hole a gland's lock nut is, over its corners: common practice, no
source."""
TOO_NARROW = "TOO NARROW: part the bundle between two holes"
TOO_WIDE = "WIDER THAN ALLOWED: do not drill it so"
SHARED = "AC beside DC: apart, or in sheaths for the AC voltage"


CLOSE_MM = 1e-6
"""Of widths, what comes from turning inches."""


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
    cables: tuple[int, ...]
    """Which of the line's cables pass them, by their place in it."""


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
    linings: tuple[Lining, ...]
    cuts: tuple[Cut, ...]
    outer_mm: tuple[float, ...]
    supplies: tuple[str, ...]
    hole: Hole | None
    opening: Opening | None

    @property
    def bore_mm(self) -> float:
        """Of the one hole that it is, or of a ring around all its holes with their lock nuts."""
        if self.each_its_own:
            nuts = [NUT * b.wide_mm for b in self.bores for _ in range(b.count)]
            return bundle_of(nuts).diameter_mm
        if self.bores:
            return self.bores[0].wide_mm
        assert self.hole is not None, self.number
        return self.hole.there_mm or self.hole.drill_mm

    @property
    def each_its_own(self) -> bool:
        """Whether each cable has a hole of its own."""
        return sum(b.count for b in self.bores) > 1

    @property
    def too_wide(self) -> bool:
        """Whether anything is made in it that is wider than allowed."""
        most = None if self.hole is None else self.hole.most_mm
        return most is not None and any(b.wide_mm > most + CLOSE_MM for b in self.bores)


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
    needs = needs.in_one_order()
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
    faces = dict.fromkeys(place for leg in hole.legs for place in (leg.from_, leg.to))
    bores = _bores(hole, linings)
    return HoleLine(
        number="",
        name=hole.name,
        legs=hole.legs,
        spots=tuple(
            Spot(place=place, at_mm=stated_at(needs.legs, hole.name, place)) for place in faces
        ),
        bores=bores,
        least=bool(bores) and not linings,
        lined="" if stock is None else _lined(linings),
        linings=linings or (),
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
        return tuple(Bore(count=x.count, wide_mm=x.hole_mm, cables=x.cables) for x in linings)
    least = asked_mm(hole)
    every = tuple(range(len(hole.cuts)))
    return () if least is None else (Bore(count=1, wide_mm=least, cables=every),)


def asked_mm(hole: Hole) -> float | None:
    """What its cables ask for at the least; None where the hole that is there does.

    Rounded up to a whole millimetre, but not past what is allowed where that takes them too.
    """
    if hole.drilled_mm is None or hole.most_mm is None or not hole.fits:
        return hole.drilled_mm
    return min(hole.drilled_mm, hole.most_mm)


def _lined(linings: tuple[Lining, ...] | None) -> str:
    if not linings:
        return NOTHING
    return ", ".join(f"{x.count} × {x.part}" if x.count > 1 else x.part for x in linings)


def _of_opening(opening: Opening, ways: Sequence[Passage], design: Design) -> HoleLine:
    inlet = design.device(opening.inlet)
    x0, y0, x1, y1 = face_of(inlet)
    cables = tuple(range(len(opening.cuts)))
    every = Bore(count=1, wide_mm=opening.cutout_mm, cables=cables)
    return HoleLine(
        number="",
        name=f"opening of {opening.inlet}",
        legs=tuple(way.leg for way in ways if _meets(way, inlet.id, inlet.place)),
        spots=(Spot(place=opening.place, at_mm=((x0 + x1) / 2, (y0 + y1) / 2)),),
        bores=(every,),
        least=False,
        lined=FLANGE,
        linings=(),
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
        return f"nothing: Ø{most_text(line.hole.there_mm or 0, units)} is there"
    if line.opening is not None:
        return f"saw Ø{most_text(line.bore_mm, units)}"
    if line.each_its_own:
        return ", ".join(f"{b.count} × Ø{least_text(b.wide_mm, units)}" for b in line.bores)
    text = f"Ø{least_text(line.bore_mm, units)}"
    return f"{text} or more" if line.least else text


def middle_text(line: HoleLine, at_mm: tuple[float, ...] | None, units: str) -> str:
    """Where its middle lies in one face, and what lies about it where it is many."""
    text = at_text(at_mm, units)
    several = line.each_its_own and at_mm is not None
    return f"{text}, {SIDE_BY_SIDE}" if several else text


def ways_text(legs: Sequence[Leg]) -> str:
    """From where to where its cables run."""
    return "; ".join(dict.fromkeys(f"{leg.from_} to {leg.to}" for leg in legs))


def where_text(line: HoleLine, units: str) -> str:
    """Where its middle lies in each face, as far as that is stated."""
    if all(spot.at_mm is None for spot in line.spots):
        return ON_THE_SPOT
    return "; ".join(f"{s.place}: {middle_text(line, s.at_mm, units)}" for s in line.spots)


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
        made = "as the inlet's maker says, and no wider; paint the edge, seal the flange"
        return [made, ASSUMED]
    hole, found = line.hole, warnings_of(line)
    if line.bores and hole.there_mm is not None:
        found.append(f"there is one of {most_text(hole.there_mm, units)}")
    if hole.most_mm is not None:
        found.append(f"largest allowed {most_text(hole.most_mm, units)}")
    if hole.loaded_conductors:
        found.append(f"in it already: {hole.loaded_conductors} conductors, not drawn")
    return found + shared(line.supplies)


def warnings_of(line: HoleLine) -> list[str]:
    """What forbids to make it as it is told: said wherever its width is."""
    narrow = line.hole is not None and not line.hole.fits
    return [TOO_NARROW] * narrow + [TOO_WIDE] * line.too_wide


def is_loud(line: HoleLine) -> bool:
    """Whether what has to be minded with it is set bold."""
    return bool(warnings_of(line) or shared(line.supplies))


def shared(supplies: Sequence[str]) -> list[str]:
    """What is said where AC and DC lie together."""
    return [SHARED] if "ac" in supplies and len(supplies) > 1 else []
