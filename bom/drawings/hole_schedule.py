"""The hole schedule: one table of what to drill, and every hole true to scale with its cables.

Under the holes stand the conduits, by the least inside diameter that their cables ask for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from math import ceil

from bom.drawings.duct_lines import duct_part, duct_remarks, is_duct_loud
from bom.drawings.hole_lines import (
    HoleLine,
    cables_text,
    drill_text,
    had_by,
    hole_lines,
    is_loud,
    remarks_of,
    ways_text,
    where_text,
)
from bom.drawings.lettering import LEADING, height_mm, shortened, width_mm, wrap
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
    unit_text,
)
from bom.measures import measure_text
from solver.bundle import bundle_of
from solver.conduits import Duct, ducts
from solver.needs import Needs
from solver.records import Cut, Design
from solver.stock import Stock

WIDTHS_MM = (9.0, 38.0, 50.0, 42.0, 30.0, 36.0, WIDTH_MM - 2 * INNER_MM - 205.0)
"""Of the table's columns: number, name, from and to, where, drill, lined with, cables."""
STOPS_MM = tuple(accumulate(WIDTHS_MM, initial=INNER_MM))
HEADS = ("No.", "hole", "from, to", "where, its middle", "drill", "lined with", "cables in it")
CONDUIT_HEADS = ("", "conduit", "from, to", "length", "inside", "part", "cables in it")
MOST_LINES = (1, 3, 4, 8, 8, 8, 24)
"""Of a cell, before it is cut short."""
BOLD_COLUMNS = (0, 4)
"""What is read first with the drill in hand."""
EDGES = "line every edge; where both poles of a circuit pass steel, one hole for both"
WITH_GLANDS = ", but where the table has a gland for each cable"
TABLE_MM = 2.4
"""Size of its texts."""
ROW_GAP_MM = 1.8
PICTURE_GAP_MM = 5.0
"""Between two pictures, and over a row of them."""
LARGEST_MM = 46.0
SCALES = ((2, 1), (1, 1), (1, 2), (1, 5), (1, 10))
"""So much on paper to so much in truth."""
LABEL_SIZES_MM = (SMALL_MM, 1.8, 1.5)
"""Of a label within its cable: the largest that fits; a cable too thin for all has none."""
NAME_MM = 30.0
"""A name under a picture is no wider."""
ROOM_MM = HEIGHT_MM - 2 * EDGE_MM - STRIP_MM - 6
WIDE_MM = WIDTH_MM - 2 * INNER_MM


@dataclass(frozen=True)
class _Row:
    """A line of the table, wrapped; with what has to be minded under it."""

    cells: tuple[tuple[str, ...], ...]
    remarks: tuple[str, ...]
    loud: bool = False
    """Whether what has to be minded is set bold."""
    head: bool = False

    @property
    def high_mm(self) -> float:
        """With the gap to the next one."""
        lines = max(self.before + len(self.remarks), *map(len, self.cells))
        return height_mm(lines, TABLE_MM) + ROW_GAP_MM

    @property
    def before(self) -> int:
        """Lines over the remarks, which stand left of the cables."""
        return max(map(len, self.cells[:-1]))


@dataclass(frozen=True)
class _Round:
    """A circle that is there to be seen, and the cables in it."""

    outline_mm: float
    cuts: tuple[Cut, ...]
    outer_mm: tuple[float, ...]


@dataclass(frozen=True)
class _Picture:
    """One hole or conduit as it is drawn: side by side where each cable has its own hole."""

    id: str
    name: str
    rounds: tuple[_Round, ...]

    @property
    def largest_mm(self) -> float:
        """Of its circles."""
        return max(r.outline_mm for r in self.rounds)


def hole_pages(
    needs: Needs, design: Design, stock: Stock | None = None, *, invented: bool = False
) -> list[Page]:
    """The pages of the hole schedule; none where there is no hole, no inlet and no conduit.

    Parameters
    ----------
    needs : Needs
        For the legs and their holes.
    design : Design
        For the cables.
    stock : Stock, optional
        See `hole_lines`.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    units = needs.job.units
    lines = hole_lines(needs, design, stock)
    pipes = ducts(needs, design)
    if not lines and not pipes:
        return []
    rows = _rows(lines, pipes, had_by(design, stock), units)
    pictures = [_hole_picture(line) for line in lines]
    pictures += [_conduit_picture(duct, n) for duct in pipes for n in range(len(duct.ways))]
    scale = _scale(rows, pictures)
    pages = [blank()]
    y = _table(pages, rows)
    _pictures(pages, pictures, y, scale)
    glands = any(line.each_its_own for line in lines)
    facts = (
        f"pictures {scale[0]}:{scale[1]} on A4; {unit_text(units)}",
        "numbers are those of the sheets of the places; where: from the corner marked 0 there",
        "Ø of a cable: over its sheath",
        "drill: as what lines it asks for, or so wide that the cables fill half of it",
        EDGES + (WITH_GLANDS if glands else ""),
    )
    for n, page in enumerate(pages, start=1):
        furnish(page, Plate(needs.job, "Hole schedule", facts, n, len(pages), invented))
    return pages


# -- the table


def _rows(
    lines: Sequence[HoleLine], pipes: Sequence[Duct], stock: Stock | None, units: str
) -> list[_Row]:
    rows = [_Row(tuple((x,) for x in HEADS), (), head=True)] if lines else []
    rows += [_hole_row(line, units) for line in lines]
    if pipes:
        rows.append(_Row(tuple((x,) for x in CONDUIT_HEADS), (), head=True))
    return rows + [_conduit_row(duct, stock, units) for duct in pipes]


def _hole_row(line: HoleLine, units: str) -> _Row:
    cells = (
        line.number,
        line.name,
        ways_text(line.legs),
        where_text(line, units),
        drill_text(line, units),
        line.lined,
        cables_text(line.cuts, line.outer_mm, units),
    )
    return _Row(_wrapped(cells), _remarks(remarks_of(line, units)), loud=is_loud(line))


def _conduit_row(duct: Duct, stock: Stock | None, units: str) -> _Row:
    cuts = {
        cut.label: (cut, outer)
        for way in duct.ways
        for cut, outer in zip(way.cuts, way.outer_mm, strict=True)
    }
    cells = (
        "",
        duct.name,
        ways_text([way.leg for way in duct.ways]),
        measure_text(duct.length_m, "m", units),
        f"Ø{least_text(duct.least_mm, units)} or more",
        duct_part(duct, stock),
        cables_text([c for c, _ in cuts.values()], [mm for _, mm in cuts.values()], units),
    )
    remarks = _remarks(duct_remarks(duct, units))
    return _Row(_wrapped(cells), remarks, loud=is_duct_loud(duct))


def _wrapped(cells: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """Each cell in lines that its column holds."""
    found = []
    for n, (text, wide, most) in enumerate(zip(cells, WIDTHS_MM, MOST_LINES, strict=True)):
        lines = wrap(text, wide - 2, TABLE_MM, bold=n in BOLD_COLUMNS)
        found.append(tuple(shortened(lines, most)))
    return tuple(found)


def _remarks(texts: Sequence[str]) -> tuple[str, ...]:
    wide = STOPS_MM[-2] - STOPS_MM[1] - 2
    return tuple(shortened(wrap("; ".join(texts), wide, TABLE_MM, bold=True), 3))


def _table(pages: list[Page], rows: Sequence[_Row]) -> float:
    """Write the table, on as many pages as it takes; where it ends on the last of them."""
    top = EDGE_MM + 4
    y, head = top, rows[0]
    for n, row in enumerate(rows):
        if row.head:
            head = row
        # No heading stands alone at the foot of a page.
        needed = sum(one.high_mm for one in rows[n : n + (2 if row.head else 1)])
        if y > top and y + needed > top + ROOM_MM:
            pages.append(blank())
            y = top
            if not row.head:
                y = _row(pages[-1], head, y)
        y = _row(pages[-1], row, y)
    return y


def _row(page: Page, row: _Row, y: float) -> float:
    for n, (left, cell) in enumerate(zip(STOPS_MM, row.cells, strict=False)):
        bold = len(cell) if n in BOLD_COLUMNS and not row.head else 0
        page.write((left, y), cell, TABLE_MM, bold=bold)
    if row.remarks:
        at = (STOPS_MM[1], y + row.before * LEADING * TABLE_MM)
        page.write(at, row.remarks, TABLE_MM, bold=len(row.remarks) if row.loud else 0)
    foot = y + row.high_mm - ROW_GAP_MM / 2
    look = "symbol" if row.head else "hair"
    page.lines.append(Stroke(((INNER_MM, foot), (WIDTH_MM - INNER_MM, foot)), look))
    return y + row.high_mm


# -- the pictures


def _hole_picture(line: HoleLine) -> _Picture:
    if line.each_its_own:
        # Each cable in the hole of its own gland, in the order of the table.
        wide = {n: bore.wide_mm for bore in line.bores for n in bore.cables}
        rounds = tuple(
            _Round(wide[n], (line.cuts[n],), (line.outer_mm[n],)) for n in sorted(wide)
        )
    else:
        rounds = (_Round(line.bore_mm, line.cuts, line.outer_mm),)
    return _Picture(line.name, line.number, rounds)


def _conduit_picture(duct: Duct, n: int) -> _Picture:
    way = duct.ways[n]
    rounds = (_Round(way.conduit_mm, way.cuts, way.outer_mm),)
    return _Picture(duct.name, duct.name, rounds)


def _scale(rows: Sequence[_Row], pictures: Sequence[_Picture]) -> tuple[int, int]:
    """The largest at which all is on one page; where none is so, the largest that fits one."""
    table = sum(row.high_mm for row in rows)
    largest = max(p.largest_mm for p in pictures)
    fitting = [s for s in SCALES if largest * s[0] / s[1] <= LARGEST_MM] or [SCALES[-1]]
    for scale in fitting:
        whole = sum(high for _, high in _parted(pictures, scale))
        # Smaller than half of the truth, labels of cables are no longer read.
        if table + whole <= ROOM_MM and scale[1] <= 2 * scale[0]:
            return scale
    return fitting[0]


def _size(picture: _Picture, part: float) -> tuple[float, float]:
    """Width and height on the page, its name included."""
    across = _columns(picture, part)
    one = picture.largest_mm * part
    down = ceil(len(picture.rounds) / across)
    wide = across * one + (across - 1)
    return max(wide, _name_mm(picture)), down * one + (down - 1) + height_mm(1, TEXT_MM) + 1


def _columns(picture: _Picture, part: float) -> int:
    """How many of its circles stand side by side."""
    most = int((WIDE_MM + 1) // (picture.largest_mm * part + 1))
    return max(1, min(most, len(picture.rounds)))


def _name(picture: _Picture) -> str:
    return shortened(wrap(picture.name, NAME_MM, TEXT_MM, bold=True), 1)[0]


def _name_mm(picture: _Picture) -> float:
    return width_mm(_name(picture), TEXT_MM, bold=True)


def _parted(
    pictures: Sequence[_Picture], scale: tuple[int, int]
) -> list[tuple[list[_Picture], float]]:
    """The pictures in rows, with the height of each row."""
    part = scale[0] / scale[1]
    rows: list[tuple[list[_Picture], float]] = []
    used = 0.0
    for picture in pictures:
        wide, high = _size(picture, part)
        if not rows or used + wide > WIDE_MM:
            rows.append(([], 0.0))
            used = 0.0
        some, tallest = rows[-1]
        rows[-1] = ([*some, picture], max(tallest, high + PICTURE_GAP_MM))
        used += wide + PICTURE_GAP_MM
    return rows


def _pictures(
    pages: list[Page], pictures: Sequence[_Picture], y: float, scale: tuple[int, int]
) -> None:
    part = scale[0] / scale[1]
    top = EDGE_MM + 4
    for some, high in _parted(pictures, scale):
        if y > top and y + high > top + ROOM_MM:
            pages.append(blank())
            y = top
        left = INNER_MM
        for picture in some:
            wide, own = _size(picture, part)
            _picture(pages[-1], picture, (left, y + high - own), part)
            left += wide + PICTURE_GAP_MM
        y += high


def _picture(page: Page, picture: _Picture, at: tuple[float, float], part: float) -> None:
    """Its circles in rows from a corner, its name under them."""
    left, top = at
    wide, high = _size(picture, part)
    across, one = _columns(picture, part), picture.largest_mm * part
    side = (wide - across * one - (across - 1)) / 2
    circles: list[Circle] = []
    for n, some in enumerate(picture.rounds):
        down, right = divmod(n, across)
        x = left + side + right * (one + 1) + one / 2
        circles += _round(page, some, (x, top + down * (one + 1) + one / 2), part)
    box = Box(left, top, left + wide, top + high - height_mm(1, TEXT_MM) - 0.6)
    page.symbols.append(Symbol(kind="hole", id=picture.id, box=box, circles=tuple(circles)))
    name = _name(picture)
    x = left + (wide - _name_mm(picture)) / 2
    page.write((x, top + high - height_mm(1, TEXT_MM)), [name], TEXT_MM, bold=1)


def _round(page: Page, some: _Round, at: tuple[float, float], part: float) -> list[Circle]:
    """The hole and its cables; each cable with its label where that fits."""
    x, y = at
    circles = [Circle((x, y), some.outline_mm * part / 2)]
    bundle = bundle_of(some.outer_mm)
    for (dx, dy), outer, cut in zip(bundle.middles_mm, some.outer_mm, some.cuts, strict=True):
        middle, r = (x + dx * part, y + dy * part), outer * part / 2
        circles.append(Circle(middle, r))
        for size in LABEL_SIZES_MM:
            wide, tall = width_mm(cut.label, size), height_mm(1, size)
            if (wide**2 + tall**2) ** 0.5 / 2 < r - 0.3:
                page.write((middle[0] - wide / 2, middle[1] - tall / 2), [cut.label], size)
                break
    return circles
