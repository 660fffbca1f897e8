"""A sheet of A4, across, for what is drawn to scale: its frame and the strip with its title."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor

from bom.cautions import BRIEF
from bom.drawings.lettering import shortened, width_mm, wrap
from bom.drawings.page import Box, Page, Point, Stroke, corners
from bom.measures import MM_PER_INCH
from solver.needs import Job

WIDTH_MM, HEIGHT_MM = 297.0, 210.0
"""A4, across."""
EDGE_MM = 8.0
INNER_MM = 11.0
"""Where texts begin inside the frame."""
STRIP_MM = 22.0
"""Height of the strip with the title, at the foot."""
TITLE_MM, FACTS_MM = 96.0, 88.0
SMALL_MM, TEXT_MM = 2.1, 2.3


@dataclass(frozen=True)
class Plate:
    """What the title of a sheet says."""

    job: Job
    title: str
    facts: tuple[str, ...]
    number: int
    count: int
    invented: bool


def blank(width_mm: float = WIDTH_MM, height_mm: float = HEIGHT_MM) -> Page:
    """An empty sheet."""
    return Page(width_mm, height_mm)


def strip_top_mm(page: Page) -> float:
    """Upper edge of the strip with the title."""
    return page.height_mm - EDGE_MM - STRIP_MM


def furnish(page: Page, plate: Plate) -> None:
    """Draw frame and title around what a sheet shows."""
    page.title = plate.title
    right, bottom = page.width_mm - EDGE_MM, page.height_mm - EDGE_MM
    top = strip_top_mm(page)
    frame = Box(EDGE_MM, EDGE_MM, right, bottom)
    page.lines.append(Stroke(corners(frame), "frame", closed=True))
    page.lines.append(Stroke(((EDGE_MM, top), (right, top)), "frame"))
    title, facts = right - TITLE_MM, right - TITLE_MM - FACTS_MM
    for x in (facts, title):
        page.lines.append(Stroke(((x, top), (x, bottom)), "frame"))
    lines = [line for text in BRIEF for line in wrap(text, facts - EDGE_MM - 5, SMALL_MM)]
    page.write((INNER_MM, top + 2), shortened(lines, 7), SMALL_MM)
    told = [line for fact in plate.facts for line in wrap(fact, FACTS_MM - 5, SMALL_MM)]
    page.write((facts + 2.5, top + 2), shortened(told, 7), SMALL_MM)
    _title(page, title + 2.5, top, plate)


def _title(page: Page, x: float, top: float, plate: Plate) -> None:
    wide = TITLE_MM - 5
    head = shortened(wrap(plate.title, wide, 3.2, bold=True), 2)
    page.write((x, top + 2), head, 3.2, bold=2)
    job = shortened(wrap(plate.job.name, wide, SMALL_MM), 1)
    page.write((x, top + 11), job, SMALL_MM)
    foot = f"sheet {plate.number} of {plate.count}"
    page.write((x, top + 14.5), [foot], SMALL_MM)
    if plate.invented:
        text = "parts from an invented catalog: no offer"
        page.write((x + 26, top + 14.5), [text], SMALL_MM)


def length_text(mm: float, units: str) -> str:
    """A length as drawings have it: whole millimetres, or inches to a tenth; no unit."""
    if units == "imperial":
        return f"{mm / MM_PER_INCH:,.1f}"
    return f"{round(mm, 1):,g}" if mm < 1000 else f"{mm:,.0f}"


def at_least_mm(mm: float, units: str) -> float:
    """What a diameter must be at the least, rounded up as it is shown, in mm."""
    per_mm = _steps_per_mm(units)
    return ceil(mm * per_mm - 1e-6) / per_mm


def at_most_mm(mm: float, units: str) -> float:
    """What a diameter is or may be at the most, rounded down as it is shown, in mm."""
    per_mm = _steps_per_mm(units)
    return floor(mm * per_mm + 1e-6) / per_mm


def _steps_per_mm(units: str) -> float:
    """Diameters are shown to a tenth of a millimetre or a hundredth of an inch."""
    return 100 / MM_PER_INCH if units == "imperial" else 10


def least_text(mm: float, units: str) -> str:
    """What a diameter must be at the least, never told smaller than it is; no unit."""
    return _diameter_text(at_least_mm(mm, units), units)


def most_text(mm: float, units: str) -> str:
    """What a diameter is or may be at the most, never told wider than it is; no unit."""
    return _diameter_text(at_most_mm(mm, units), units)


def _diameter_text(mm: float, units: str) -> str:
    return f"{mm / MM_PER_INCH:.2f}" if units == "imperial" else f"{round(mm, 1):,g}"


def unit_text(units: str) -> str:
    """What a sheet says once of all its lengths."""
    return "all lengths in inches" if units == "imperial" else "all lengths in millimetres"


def put(page: Page, at: Point, text: str, most_mm: float, size_mm: float = SMALL_MM) -> None:
    """One line of text, cut to a width."""
    page.write(at, shortened(wrap(text, most_mm, size_mm), 1), size_mm)


def put_right(page: Page, at: Point, text: str, size_mm: float = SMALL_MM) -> None:
    """One line of text that ends at a point."""
    page.write((at[0] - width_mm(text, size_mm), at[1]), [text], size_mm)


def spread(
    wanted: Sequence[float], apart: Sequence[float], least: float, most: float
) -> list[float]:
    """Middles as near as can be to where they are wanted, in order and far enough apart.

    Parameters
    ----------
    wanted : sequence of float
        Where each middle would stand, rising.
    apart : sequence of float
        Extent of each, gap included.
    least, most : float
        Where the first may begin and the last must end. Where they find no room they begin at
        `least` and go on past `most`.
    """
    offsets = [0.0]
    for one, other in pairwise(apart):
        offsets.append(offsets[-1] + (one + other) / 2)
    # Pools of neighbours that touch stand together around their mean.
    pools: list[list[float]] = []
    for middle, offset in zip(wanted, offsets, strict=False):
        pools.append([middle - offset, 1.0])
        while len(pools) > 1 and pools[-2][0] > pools[-1][0]:
            value, weight = pools.pop()
            before = pools[-1]
            before[0] = (before[0] * before[1] + value * weight) / (before[1] + weight)
            before[1] += weight
    starts = [value for value, weight in pools for _ in range(int(weight))]
    if not starts:
        return []
    low = least + apart[0] / 2
    high = max(most - apart[-1] / 2 - offsets[len(starts) - 1], low)
    return [min(max(s, low), high) + o for s, o in zip(starts, offsets, strict=False)]
