"""The cable route plan: places as boxes, legs as lines with what is measured and what runs there.

The place with most legs stands at the left; from it every other place is reached to the right,
a row a leg, so no line crosses another. A leg that closes a ring leads to a dashed box that
names its place again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from bom.drawings.hole_lines import HoleLine, drill_text, hole_lines, warnings_of
from bom.drawings.lettering import LEADING, height_mm, shortened, wrap
from bom.drawings.page import Box, Page, Stroke, Symbol, corners
from bom.drawings.plate import (
    EDGE_MM,
    HEIGHT_MM,
    SMALL_MM,
    STRIP_MM,
    TEXT_MM,
    WIDTH_MM,
    Plate,
    blank,
    furnish,
    unit_text,
)
from bom.measures import measure_text
from solver.holes import Passage, passages
from solver.needs import Needs
from solver.passing import hole_of
from solver.records import Design
from solver.stock import Stock

BOX_MM, LEG_MM = 46.0, 62.0
"""Widths of a place's box and of a leg."""
MOST_LINES = 14
"""Of what is said along one leg, or in one box."""
PAD_MM = 1.6
BETWEEN_MM = 4.0
"""Between two rows."""
SUPPLIES = {"pv": "PV", "dc": "DC", "ac": "AC"}


@dataclass
class _Node:
    """A place in the tree, and how it is reached."""

    place: str
    way: Passage | None = None
    again: bool = False
    """It stands elsewhere too: this box only names it."""
    children: list[_Node] = field(default_factory=list)

    @property
    def depth(self) -> int:
        """Boxes from here to the right, this one included."""
        return 1 + max((c.depth for c in self.children), default=0)


@dataclass(frozen=True)
class _Texts:
    """What is written in boxes and along legs."""

    needs: Needs
    design: Design
    lines: tuple[HoleLine, ...]

    def box(self, node: _Node) -> list[str]:
        """The place's name and what stands there."""
        name = shortened(wrap(node.place, BOX_MM - 3, TEXT_MM, bold=True), 3)
        if node.again:
            return name
        return [*name, *shortened(wrap(self._holds(node.place), BOX_MM - 3, SMALL_MM), 8)]

    def name_lines(self, node: _Node) -> int:
        """How many of those lines are its name."""
        return len(shortened(wrap(node.place, BOX_MM - 3, TEXT_MM, bold=True), 3))

    def _holds(self, place: str) -> str:
        ids = [d.id for d in self.design.devices if d.place == place]
        ids += [p.id for p in self.design.protections if p.place == place and p.way is None]
        blocks = [p for p in self.design.protections if p.place == place and p.way is not None]
        ids += dict.fromkeys(p.id.rpartition(":")[0] for p in blocks)
        loads = [x.name for x in self.needs.loads if x.place == place]
        return ", ".join([*ids, *loads])

    def over(self, way: Passage) -> list[str]:
        """Over the line: how long, through what."""
        units, leg = self.needs.job.units, way.leg
        text = measure_text(leg.length_m, "m", units)
        if any(self.needs.place(end).ground for end in (leg.from_, leg.to)):
            text += ", flexible lead outside"
        text += "".join(f", {self._hole(x)}" for x in self.lines if leg in x.legs)
        name = hole_of(leg)
        if name is not None and not any(name == x.name for x in self.lines if x.hole):
            text += f", hole {name}"
        if leg.conduit is not None:
            text += f", conduit {leg.conduit}"
        return shortened(wrap(text, LEG_MM - 4, TEXT_MM, bold=True), 4)

    def _hole(self, line: HoleLine) -> str:
        """A hole of the schedule by its number, with what is drilled."""
        drill = drill_text(line, self.needs.job.units)
        if line.opening is not None:
            return f"{line.number} {line.name} ({drill})"
        told = [f"drill {drill}" if line.bores else "wide enough", *warnings_of(line)]
        return f"hole {line.number} {line.name} ({'; '.join(told)})"

    def under(self, way: Passage) -> list[str]:
        """Under the line: what runs there."""
        if not way.cuts:
            return ["no cable of this kit"]
        kinds = ", ".join(SUPPLIES[s] for s in way.supplies)
        labels: dict[str, list[str]] = defaultdict(list)
        for cut in way.cuts:
            labels[cut.circuit].append(cut.label)
        lines = [kinds]
        for circuit, found in labels.items():
            text = f"{circuit}: {', '.join(found)}"
            lines += shortened(wrap(text, LEG_MM - 4, SMALL_MM), 2)
        return shortened(lines, MOST_LINES)


def route_pages(
    needs: Needs, design: Design, stock: Stock | None = None, *, invented: bool = False
) -> list[Page]:
    """The pages of the route plan; none where there is no leg.

    Parameters
    ----------
    needs : Needs
        For the places and legs.
    design : Design
        For what runs there.
    stock : Stock, optional
        See `hole_lines`.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    if not needs.legs:
        return []
    texts = _Texts(needs, design, hole_lines(needs, design, stock))
    roots = _trees(needs, passages(needs, design))
    columns = max(r.depth for r in roots)
    wide = columns * BOX_MM + (columns - 1) * LEG_MM + 2 * EDGE_MM + 8
    room = HEIGHT_MM - 2 * EDGE_MM - STRIP_MM - 6
    parted = list(_parted(texts, roots, room))
    pages = []
    for n, some in enumerate(parted, start=1):
        tall = sum(_tall(texts, r) + BETWEEN_MM for r in some) - BETWEEN_MM
        # A page wider or higher than A4 keeps the paper's shape; programs print it to fit.
        width = max(WIDTH_MM, wide, (tall - room) * WIDTH_MM / HEIGHT_MM + WIDTH_MM)
        high = max(HEIGHT_MM, tall - room + HEIGHT_MM, width * HEIGHT_MM / WIDTH_MM)
        page = blank(width, high)
        y = EDGE_MM + 3
        left = (width - wide) / 2 + EDGE_MM + 4
        for root in some:
            _draw(page, texts, root, left, y)
            y += _tall(texts, root) + BETWEEN_MM
        facts = (
            "not to scale; lengths as measured, without slack",
            f"holes by their numbers in the hole schedule; {unit_text(needs.job.units)}",
            "labels are those of the cut list; dashed: the place stands elsewhere on the plan",
        )
        furnish(page, Plate(needs.job, "Cable route plan", facts, n, len(parted), invented))
        pages.append(page)
    return pages


# -- the tree


def _trees(needs: Needs, ways: Sequence[Passage]) -> list[_Node]:
    """Every leg once, every place once as itself; trees from the places with most legs on."""
    at: dict[str, list[Passage]] = defaultdict(list)
    for way in ways:
        at[way.leg.from_].append(way)
        at[way.leg.to].append(way)
    order = sorted(needs.places, key=lambda p: -len(at[p.name]))
    seen: set[str] = set()
    walked: set[int] = set()
    roots = []
    for place in order:
        if place.name in seen or not at[place.name]:
            continue
        roots.append(_Node(place.name))
        seen.add(place.name)
        queue = [roots[-1]]
        while queue:
            node = queue.pop(0)
            for way in at[node.place]:
                if id(way) in walked:
                    continue
                walked.add(id(way))
                other = way.leg.to if way.leg.from_ == node.place else way.leg.from_
                child = _Node(other, way, again=other in seen)
                node.children.append(child)
                if not child.again:
                    seen.add(other)
                    queue.append(child)
    return roots


def _parted(texts: _Texts, roots: Sequence[_Node], room: float) -> Iterator[list[_Node]]:
    """Trees onto pages; one that is too tall goes on with the rest of its legs."""
    page: list[_Node] = []
    left = room
    for root in roots:
        for part in _pieces(texts, root, room):
            tall = _tall(texts, part) + BETWEEN_MM
            if page and tall > left:
                yield page
                page, left = [], room
            page.append(part)
            left -= tall
    if page:
        yield page


def _pieces(texts: _Texts, root: _Node, room: float) -> Iterator[_Node]:
    part = _Node(root.place)
    for child in root.children:
        longer = _Node(root.place, children=[*part.children, child])
        if part.children and _tall(texts, longer) > room:
            yield part
            part = _Node(root.place, children=[child])
        else:
            part = longer
    yield part


# -- drawing


def _box_mm(texts: _Texts, node: _Node) -> float:
    return height_mm(len(texts.box(node)), TEXT_MM) + 2 * PAD_MM


def _leg_mm(texts: _Texts, way: Passage) -> tuple[float, float]:
    """Height over and under the line of a leg."""
    over = height_mm(len(texts.over(way)), TEXT_MM) + 1.4
    return over, height_mm(len(texts.under(way)), SMALL_MM) + 1.4


def _row_mm(texts: _Texts, node: _Node) -> float:
    """Height that a leg with the box behind it takes: the line meets the box in its middle."""
    if node.way is None:
        return _tall(texts, node)
    over, under = _leg_mm(texts, node.way)
    half = max(over, under, _tall(texts, node) / 2)
    return 2 * half if not node.children else max(2 * half, _tall(texts, node))


def _tall(texts: _Texts, node: _Node) -> float:
    """Height of a box: its texts, or all legs that leave it."""
    legs = sum(_row_mm(texts, c) + BETWEEN_MM for c in node.children) - BETWEEN_MM
    return max(_box_mm(texts, node), legs)


def _draw(page: Page, texts: _Texts, node: _Node, left: float, top: float) -> None:
    """A box with all that hangs on it to the right."""
    tall = _tall(texts, node)
    box = Box(left, top, left + BOX_MM, top + tall)
    look = "outline" if node.again else "symbol"
    page.symbols.append(
        Symbol(
            kind="place",
            id="" if node.again else node.place,
            box=box,
            strokes=(Stroke(corners(box), look, closed=True),),
        )
    )
    lines, bold = texts.box(node), texts.name_lines(node)
    y = top + (tall - height_mm(len(lines), TEXT_MM)) / 2
    for n, line in enumerate(lines):
        size = TEXT_MM if n < bold else SMALL_MM
        page.write((left + PAD_MM, y), [line], size, bold=int(n < bold))
        y += LEADING * TEXT_MM
    y = top
    for child in node.children:
        row = _row_mm(texts, child)
        _draw_leg(page, texts, child, left + BOX_MM, y + row / 2)
        own = _tall(texts, child)
        _draw(page, texts, child, left + BOX_MM + LEG_MM, y + (row - own) / 2)
        y += row + BETWEEN_MM


def _draw_leg(page: Page, texts: _Texts, node: _Node, x: float, y: float) -> None:
    assert node.way is not None
    look = "+" if node.way.cuts else "lead"
    page.lines.append(Stroke(((x, y), (x + LEG_MM, y)), look))
    over = texts.over(node.way)
    page.write((x + 2, y - 0.8 - height_mm(len(over), TEXT_MM)), over, TEXT_MM, bold=len(over))
    page.write((x + 2, y + 0.8), texts.under(node.way), SMALL_MM)
