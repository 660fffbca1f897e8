"""What every page has around its drawing: frame, cautions, legend, title."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bom.cautions import BRIEF, cautions_for
from bom.drawings.lettering import LEADING, shortened, wrap
from bom.drawings.page import Box, Circle, Page, Stroke, corners
from bom.drawings.symbols import HEIGHTS_MM, MEANINGS, symbol
from solver.records import Design

WIDTH_MM, HEIGHT_MM = 420.0, 297.0
"""A3, across."""
LEFT_MM, RIGHT_MM = 14.0, 406.0
"""Between them groups may stand."""

EDGE_MM = 8.0
STRIP_MM = 245.0
"""Upper edge of the strip with cautions, legend and title."""
CAUTIONS_MM, TITLE_MM = 118.0, 88.0
"""Widths of the first and the last part of the strip."""
SMALL_MM = 2.1
CELL_MM = 8.0
"""Height of a line of the legend."""

Mark = Callable[[Page, float, float], None]
"""Draws a sign of the legend, its middle at x and y."""


@dataclass(frozen=True)
class Heading:
    """What the title says."""

    job: str
    number: int
    pages: int
    invented: bool


def furnish(page: Page, design: Design, heading: Heading) -> None:
    """Draw frame, cautions, legend and title around what a page shows."""
    right, bottom = page.width_mm - EDGE_MM, page.height_mm - EDGE_MM
    legend, title = EDGE_MM + CAUTIONS_MM, right - TITLE_MM
    page.lines.append(
        Stroke(corners(Box(EDGE_MM, EDGE_MM, right, bottom)), "frame", closed=True)
    )
    page.lines.append(Stroke(((EDGE_MM, STRIP_MM), (right, STRIP_MM)), "frame"))
    for x in (legend, title):
        page.lines.append(Stroke(((x, STRIP_MM), (x, bottom)), "frame"))
    _cautions(page, design)
    _legend(page, legend + 2, title - 1)
    _title(page, title + 2, design, heading)


def _cautions(page: Page, design: Design) -> None:
    x, y = EDGE_MM + 2, STRIP_MM + 2
    width = CAUTIONS_MM - 4
    page.write((x, y), ["Cautions"], 2.6, bold=1)
    about = "; ".join(c.about for c in cautions_for(design))
    texts = [*BRIEF, *_bare(page, design), f"{about}: the workbook says more."]
    lines = [line for text in texts for line in wrap(text, width, SMALL_MM)]
    page.write((x, y + 4), shortened(lines, 14), SMALL_MM)


def _bare(page: Page, design: Design) -> list[str]:
    """Which pieces on a page nothing protects before their fuse: there the eye sees no fault."""
    shown = {w.cut for w in page.wires}
    bare = [c.label for c in design.cuts if c.sheathed and c.label in shown]
    if not bare:
        return []
    return [
        f"Nothing protects {', '.join(bare)} before their fuse or breaker: in a sheath, whole."
    ]


def _title(page: Page, x: float, design: Design, heading: Heading) -> None:
    width = TITLE_MM - 4
    name = shortened(wrap(heading.job, width, 3.2, bold=True), 2)
    page.write((x, STRIP_MM + 2), ["Wiring diagram"], 2.6)
    page.write((x, STRIP_MM + 6.5), name, 3.2, bold=2)
    facts = [
        f"{design.system_voltage_v} V, {design.chemistry} bank",
        "not to scale; lengths are of the cut pieces, slack included",
        "labels, sizes and lengths are those of the cut list",
    ]
    if heading.invented:
        facts.append("parts from an invented catalog: no offer")
    page.write((x, STRIP_MM + 16), facts, SMALL_MM)
    at = STRIP_MM + 37
    page.write((x, at), [f"page {heading.number} of {heading.pages}"], 2.6, bold=1)
    others = [n for n in range(1, heading.pages + 1) if n != heading.number]
    for n, other in enumerate(others[:6]):
        page.write((x + 24 + n * 10, at), [f"page {other}"], SMALL_MM, page=other)


# -- legend


def _legend(page: Page, left: float, right: float) -> None:
    page.write(
        (left, STRIP_MM + 1.2),
        ["Legend: symbols after IEC 60617, drawn from memory of it"],
        SMALL_MM,
    )
    entries = _entries(page)
    rows = int((HEIGHT_MM - EDGE_MM - STRIP_MM - 4) // CELL_MM)
    columns = -(-len(entries) // rows)
    width = (right - left) / max(columns, 5)
    for n, (mark, text) in enumerate(entries):
        column, row = divmod(n, rows)
        x, y = left + column * width, STRIP_MM + 4 + row * CELL_MM
        mark(page, x + 4.5, y + CELL_MM / 2)
        lines = shortened(wrap(text, width - 11, SMALL_MM), 3)
        high = len(lines) * SMALL_MM * LEADING
        page.write((x + 10, y + CELL_MM / 2 - high / 2), lines, SMALL_MM)


def _entries(page: Page) -> list[tuple[Mark, str]]:
    """What this page shows, each sign once."""
    looks = {w.look for w in page.wires}
    kinds = {s.kind for s in page.symbols}
    found: list[tuple[Mark, str]] = [
        (_line(look), text) for look, text in LINES.items() if look in looks
    ]
    if any(s.look == "lead" for s in page.lines):
        found.append((_line("lead"), "panels' own leads"))
    if any(not m.filled for m in page.marks):
        found.append((_rings, "cores of one cable, labelled once"))
    if "terminal" in kinds:
        found.append((_terminal, "one terminal for several conductors"))
    if "bus bar" in kinds:
        found.append((_bar, "bus bar with its studs, numbered"))
    if any(s.look == "joint" for s in page.lines):
        found.append((_line("joint"), "joint: both poles are one device"))
    if any(s.look == "outline" for s in page.lines):
        found.append((_outline, "one housing"))
    if "connector" in kinds:
        found.append((_connector, "goes on, on the page named"))
    found += [(_symbol(kind), text) for kind, text in MEANINGS.items() if kind in kinds]
    return found


LINES = {
    "+": "positive conductor",
    "-": "negative conductor",
    "ac": "AC cable; strokes: its cores L, N, protective",
    "earth": "protective conductor: earthing, bonding",
    "link": "link of batteries in series, between the poles",
    "other": "other conductor",
}
"""What each look of a conductor means."""


def _line(look: str) -> Mark:
    def draw(page: Page, x: float, y: float) -> None:
        page.lines.append(Stroke(((x - 4, y), (x + 4, y)), look))
        if look == "ac":
            for n in (-1.1, 0, 1.1):
                page.lines.append(Stroke(((x + n - 0.7, y + 1.1), (x + n + 0.7, y - 1.1))))

    return draw


def _rings(page: Page, x: float, y: float) -> None:
    for dy, look in ((-1.8, "+"), (1.8, "-")):
        page.lines.append(Stroke(((x + 1, y + dy - 1.5), (x + 1, y + dy + 1.5)), look))
        page.marks.append(Circle((x + 1, y + dy), 0.9))
        page.lines.append(Stroke(((x + 0.1, y + dy), (x - 2, y + dy)), "hair"))
    page.lines.append(Stroke(((x - 2, y - 1.8), (x - 2, y + 1.8)), "hair"))


def _terminal(page: Page, x: float, y: float) -> None:
    page.lines.append(Stroke(((x - 4, y), (x + 4, y)), "terminal"))


def _bar(page: Page, x: float, y: float) -> None:
    page.lines.append(Stroke(corners(Box(x - 4, y - 1.2, x + 4, y + 1.2)), closed=True))
    page.marks += [Circle((x + dx, y), 0.8) for dx in (-2, 2)]


def _outline(page: Page, x: float, y: float) -> None:
    box = Box(x - 4, y - 2.5, x + 4, y + 2.5)
    page.lines.append(Stroke(corners(box), "outline", closed=True))


def _connector(page: Page, x: float, y: float) -> None:
    shape = ((x - 2, y - 1.6), (x, y - 1.6), (x + 2, y), (x, y + 1.6), (x - 2, y + 1.6))
    page.lines.append(Stroke(shape, closed=True))


def _symbol(kind: str) -> Mark:
    def draw(page: Page, x: float, y: float) -> None:
        high = min(6.4, HEIGHTS_MM[kind])
        made = symbol(kind, "", (x, y - high / 2), height_mm=high)
        page.lines += made.strokes
        page.marks += made.circles

    return draw
