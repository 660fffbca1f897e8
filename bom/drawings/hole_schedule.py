"""The hole schedule: every hole true to scale with the cables in it, and what to drill.

Also the conduits, by the least inside diameter that their cables ask for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from bom.drawings.labels import SHEATHED
from bom.drawings.lettering import height_mm, shortened, width_mm, wrap
from bom.drawings.page import Box, Circle, Page, Stroke, Symbol
from bom.drawings.plate import (
    EDGE_MM,
    HEIGHT_MM,
    INNER_MM,
    SMALL_MM,
    STRIP_MM,
    TEXT_MM,
    WIDTH_MM,
    Plate,
    blank,
    furnish,
    least_text,
    length_text,
    put,
    put_right,
    unit_text,
)
from bom.measures import measure_text
from solver.bundle import bundle_of
from solver.ground import Opening, openings
from solver.holes import Hole, Passage, holes, outer_of, passages
from solver.needs import Needs
from solver.parts import Cable
from solver.records import Cut, Design
from solver.rules.conduit import fill_limit_pct

PICTURE_MM = 52.0
"""Room for the picture of a hole, at the left."""
LARGEST_MM = 46.0
SCALES = ((2, 1), (1, 1), (1, 2), (1, 5), (1, 10))
"""So much on paper to so much in truth."""
LABEL_SIZES_MM = (SMALL_MM, 1.8, 1.5)
"""Of a label within its cable: the largest that fits; a cable too thin for all has none."""
ROW_MM = 3.2
GAP_MM = 4.0
"""Between two holes."""
ABOUT_MM = 62.0
"""Width of what is said of a hole, beside its picture."""
LIST_MM = WIDTH_MM - 2 * INNER_MM - PICTURE_MM - ABOUT_MM - 4
MOST_ROWS = 36
"""Of a list of cables: what finds room on a page."""
STOPS_MM = (0.0, 14.0, 44.0, 62.0, LIST_MM)
HEADS = ("piece", "cable", "outer", "circuit")
SUPPLIES = {"pv": "PV", "dc": "DC", "ac": "AC"}


@dataclass(frozen=True)
class _Block:
    """One hole or conduit as it is to be drawn."""

    name: str
    about: tuple[str, ...]
    cuts: tuple[Cut, ...]
    outer_mm: tuple[float, ...]
    outline_mm: float
    """Diameter of the circle that is drawn around the cables; 0: no picture."""

    @property
    def rows(self) -> int:
        """Lines of the list of cables."""
        return min(len(self.cuts), MOST_ROWS)


def hole_pages(needs: Needs, design: Design, *, invented: bool = False) -> list[Page]:
    """The pages of the hole schedule; none where there is no hole, no inlet and no conduit.

    Parameters
    ----------
    needs : Needs
        For the legs and their holes.
    design : Design
        For the cables.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    units = needs.job.units
    blocks = [_hole_block(h, units) for h in holes(needs, design)]
    blocks += [_opening_block(x, design, units) for x in openings(design)]
    ways = [w for w in passages(needs, design) if w.leg.conduit is not None and w.cuts]
    blocks += [_conduit_block(w, units) for w in ways]
    if not blocks:
        return []
    scale = _scale(max(b.outline_mm for b in blocks))
    parted = _parted(blocks, scale)
    pages = []
    for n, some in enumerate(parted, start=1):
        page = blank()
        y = EDGE_MM + 3
        for block in some:
            y = _draw(page, design, block, y, scale, units)
        facts = (
            f"pictures {scale[0]}:{scale[1]} on A4; {unit_text(units)}",
            "outer: diameter of a cable over its sheath; bundle: the narrowest circle found",
            "drill: the cables fill half of it, rounded up; what lines it comes on top of that",
            "line every edge; where both poles of a circuit pass steel, one hole for both",
        )
        furnish(page, Plate(needs.job, "Hole schedule", facts, n, len(parted), invented))
        pages.append(page)
    return pages


def _hole_block(hole: Hole, units: str) -> _Block:
    ways = "; ".join(f"{leg.from_} to {leg.to}" for leg in hole.legs)
    drill = hole.drilled_mm
    about = [
        ways,
        f"{_count(hole.cuts)}: {', '.join(SUPPLIES[s] for s in hole.supplies)}",
        f"bundle {least_text(hole.bundle.diameter_mm, units)}",
        "drill nothing: wide enough as it is"
        if drill is None
        else f"DRILL AT LEAST {least_text(drill, units)}",
    ]
    if hole.there_mm is not None:
        about.append(f"there is one of {length_text(hole.there_mm, units)}")
    if hole.most_mm is not None:
        about.append(f"largest allowed {length_text(hole.most_mm, units)}")
    if not hole.fits:
        about.append("TOO NARROW: part the bundle between two holes")
    if hole.loaded_conductors:
        about.append(f"in it already: {hole.loaded_conductors} conductors, not drawn")
    if "ac" in hole.supplies and len(hole.supplies) > 1:
        about.append("AC beside DC: keep them apart, or in sheaths for the AC voltage")
    outline = hole.bundle.diameter_mm if drill is None else drill
    return _Block(f"Hole: {hole.name}", tuple(about), hole.cuts, hole.outer_mm, outline)


def _opening_block(opening: Opening, design: Design, units: str) -> _Block:
    about = (
        f"in {opening.place}",
        f"{_count(opening.cuts)}: {SUPPLIES['pv']}",
        f"SAW {length_text(opening.cutout_mm, units)}, as the inlet's maker says",
        "paint the edge, seal the flange",
    )
    outer = tuple(outer_of(design, cut) for cut in opening.cuts)
    name = f"Opening: {opening.inlet}"
    return _Block(name, about, opening.cuts, outer, opening.cutout_mm)


def _conduit_block(way: Passage, units: str) -> _Block:
    about = [
        f"{way.leg.from_} to {way.leg.to}, {measure_text(way.leg.length_m, 'm', units)}",
        f"{_count(way.cuts)}: {', '.join(SUPPLIES[s] for s in way.supplies)}",
        f"INSIDE AT LEAST {least_text(way.conduit_mm, units)}",
        f"filled to {fill_limit_pct(len(way.cuts)):g} % (NEC chapter 9, table 1)",
    ]
    if way.leg.loaded_conductors:
        about.append(f"in it already: {way.leg.loaded_conductors} conductors, not counted")
    if "ac" in way.supplies and len(way.supplies) > 1:
        about.append("AC beside DC: keep them apart, or in sheaths for the AC voltage")
    return _Block(
        f"Conduit: {way.leg.conduit}", tuple(about), way.cuts, way.outer_mm, way.conduit_mm
    )


def _count(cuts: Sequence[Cut]) -> str:
    return "1 cable" if len(cuts) == 1 else f"{len(cuts)} cables"


def _scale(largest_mm: float) -> tuple[int, int]:
    fitting = (s for s in SCALES if largest_mm * s[0] / s[1] <= LARGEST_MM)
    return next(fitting, SCALES[-1])


def _about_lines(block: _Block) -> list[tuple[str, bool]]:
    """What is said of a hole, in lines; the name and what stands in capitals are bold."""
    found = [(line, True) for line in shortened(_wrapped(block.name, bold=True), 2)]
    for text in block.about:
        bold = text[:4].isupper()
        found += [(line, bold) for line in shortened(_wrapped(text, bold=bold), 3)]
    return found


def _wrapped(text: str, *, bold: bool) -> list[str]:
    return wrap(text, ABOUT_MM - 3, TEXT_MM, bold=bold)


def _height_mm(block: _Block, scale: tuple[int, int]) -> float:
    picture = min(block.outline_mm * scale[0] / scale[1], LARGEST_MM) + 4
    about = height_mm(len(_about_lines(block)), TEXT_MM)
    return max(picture, about, (block.rows + 2) * ROW_MM) + GAP_MM


def _parted(blocks: Sequence[_Block], scale: tuple[int, int]) -> list[list[_Block]]:
    room = HEIGHT_MM - 2 * EDGE_MM - STRIP_MM - 4
    parted: list[list[_Block]] = [[]]
    left = room
    for block in blocks:
        high = _height_mm(block, scale)
        if parted[-1] and high > left:
            parted.append([])
            left = room
        parted[-1].append(block)
        left -= high
    return parted


def _draw(
    page: Page, design: Design, block: _Block, top: float, scale: tuple[int, int], units: str
) -> float:
    high = _height_mm(block, scale)
    _picture(page, block, top + (high - GAP_MM) / 2, scale)
    y = top
    for line, bold in _about_lines(block):
        page.write((INNER_MM + PICTURE_MM, y), [line], TEXT_MM, bold=int(bold))
        y += 1.22 * TEXT_MM
    _list(page, design, block, top, units)
    foot = top + high - GAP_MM / 2
    page.lines.append(Stroke(((INNER_MM, foot), (WIDTH_MM - INNER_MM, foot)), "hair"))
    return top + high


def _picture(page: Page, block: _Block, y: float, scale: tuple[int, int]) -> None:
    """The hole and its cables, true to scale; each cable with its label where that fits."""
    part = scale[0] / scale[1]
    x = INNER_MM + (PICTURE_MM - 4) / 2
    radius = block.outline_mm * part / 2
    bundle = bundle_of(block.outer_mm)
    circles = [Circle((x, y), radius)]
    for (dx, dy), outer, cut in zip(bundle.middles_mm, block.outer_mm, block.cuts, strict=True):
        at, r = (x + dx * part, y + dy * part), outer * part / 2
        circles.append(Circle(at, r))
        for size in LABEL_SIZES_MM:
            wide, tall = width_mm(cut.label, size), height_mm(1, size)
            if (wide**2 + tall**2) ** 0.5 / 2 < r - 0.3:
                page.write((at[0] - wide / 2, at[1] - tall / 2), [cut.label], size)
                break
    box = Box(x - radius, y - radius, x + radius, y + radius)
    page.symbols.append(Symbol(kind="hole", id=block.name, box=box, circles=tuple(circles)))


def _list(page: Page, design: Design, block: _Block, top: float, units: str) -> None:
    left = INNER_MM + PICTURE_MM + ABOUT_MM + 4
    _line(page, left, top, HEADS)
    page.lines.append(
        Stroke(((left, top + ROW_MM - 0.4), (left + LIST_MM, top + ROW_MM - 0.4)), "hair")
    )
    shown = list(zip(block.cuts, block.outer_mm, strict=True))
    if len(shown) > MOST_ROWS:
        shown = shown[: MOST_ROWS - 1]
    y = top + ROW_MM
    for cut, outer in shown:
        part = design.parts[cut.cable]
        size = part.size.replace("mm2", "mm²") if isinstance(part, Cable) else ""
        if isinstance(part, Cable) and part.use in SHEATHED:
            size = f"{len(cut.ends) // 2}×{size}"
        cells = (cut.label, size, least_text(outer, units), cut.circuit)
        _line(page, left, y, cells)
        y += ROW_MM
    if len(shown) < len(block.cuts):
        more = f"and {len(block.cuts) - len(shown)} more: see the sheet holes of the workbook"
        put(page, (left, y), more, LIST_MM)


def _line(page: Page, left: float, y: float, cells: Sequence[str]) -> None:
    for n, text in enumerate(cells):
        if n == 2:
            put_right(page, (left + STOPS_MM[3] - 4, y), text)
        else:
            put(page, (left + STOPS_MM[n], y), text, STOPS_MM[n + 1] - STOPS_MM[n] - 1)
