"""The work order as a chart: days across, a row a delivery and a row a task."""

from __future__ import annotations

from bom.drawings.lettering import shortened, width_mm, wrap
from bom.drawings.page import Box, Page, Stroke, corners
from bom.work_text import day_text
from solver.tasks import works
from solver.work_order import Basket, Planned, WorkOrder

WIDTH_MM = 270.0
NAMES_MM = 44.0
"""Room for the names of rows, on the left."""
ROW_MM = 5.4
HEAD_MM = 12.0
FOOT_MM = 9.0
TEXT_MM = 2.7
BAR_MM = 2.8
"""Thickness of a bar."""
EDGE_MM = 4.0


class _Grid:
    """Where days and rows lie on the page."""

    def __init__(self, work: WorkOrder) -> None:
        self.days = max([work.finish_day, *(b.here_day for b in work.baskets)]) + 1
        self.day_mm = (WIDTH_MM - NAMES_MM - 2 * EDGE_MM) / self.days
        self.rows = len(work.baskets) + len(work.tasks)
        self.bottom_mm = EDGE_MM + HEAD_MM + self.rows * ROW_MM

    def x(self, day: float) -> float:
        return EDGE_MM + NAMES_MM + day * self.day_mm

    def y(self, row: int) -> float:
        """The middle of a row."""
        return EDGE_MM + HEAD_MM + (row + 0.5) * ROW_MM


def chart_page(work: WorkOrder) -> Page:
    """The chart of a work order on one page, in black and white."""
    grid = _Grid(work)
    page = Page(WIDTH_MM, grid.bottom_mm + FOOT_MM)
    _days(page, grid, work)
    for row, basket in enumerate(work.baskets):
        _delivery(page, grid, row, basket)
    first = len(work.baskets)
    _line(page, (EDGE_MM, grid.x(grid.days)), grid.y(first) - ROW_MM / 2, "frame")
    for row, planned in enumerate(work.tasks, first):
        _task(page, grid, row, planned)
    _legend(page, grid)
    return page


def _days(page: Page, grid: _Grid, work: WorkOrder) -> None:
    """Upright lines between the days, dates over as many as have room, free days crossed out."""
    top = EDGE_MM + HEAD_MM
    widest = max(width_mm(day_text(work, d), TEXT_MM) for d in range(grid.days)) + 2
    every = next(n for n in (1, 2, 5, 7, 14, 28, 56, 112, 10**6) if n * grid.day_mm >= widest)
    monday = 0 if work.start is None else work.start.weekday()
    for day in range(grid.days + 1):
        if day % every == 0 or grid.day_mm >= 2:
            look = "other" if day % every == 0 else "hair"
            x = grid.x(day)
            page.lines.append(Stroke(((x, top), (x, grid.bottom_mm)), look))
        if day < grid.days and day % every == 0:
            text = day_text(work, day)
            if grid.x(day) + widest <= WIDTH_MM:
                page.write((grid.x(day) + 0.6, top - 4), [text], TEXT_MM)
        if day < grid.days and not works(work.calendar, monday, day):
            _cross(page, Box(grid.x(day), top, grid.x(day + 1), grid.bottom_mm))
    for y in (top, grid.bottom_mm):
        _line(page, (EDGE_MM, grid.x(grid.days)), y, "frame")
    page.write((EDGE_MM, EDGE_MM), ["deliveries and tasks, day by day"], TEXT_MM + 0.6, bold=1)


def _cross(page: Page, box: Box) -> None:
    """Slanted thin lines over a day on which nobody works."""
    y = box.top_mm
    wide = box.right_mm - box.left_mm
    while y + wide <= box.bottom_mm:
        page.lines.append(Stroke(((box.left_mm, y + wide), (box.right_mm, y)), "hair"))
        y += 4.0


def _line(page: Page, across: tuple[float, float], y: float, look: str) -> None:
    page.lines.append(Stroke(((across[0], y), (across[1], y)), look))


def _name(page: Page, grid: _Grid, row: int, text: str, *, bold: bool = False) -> None:
    lines = shortened(wrap(text, NAMES_MM - 3, TEXT_MM), 1)
    page.write((EDGE_MM, grid.y(row) - TEXT_MM / 2), lines, TEXT_MM, bold=int(bold))
    _line(page, (EDGE_MM, grid.x(grid.days)), grid.y(row) + ROW_MM / 2, "hair")


def _delivery(page: Page, grid: _Grid, row: int, basket: Basket) -> None:
    """From the order to the day on which it is here, where a diamond stands."""
    _name(page, grid, row, f"from {basket.supplier}", bold=True)
    y, x = grid.y(row), grid.x(basket.here_day + 0.5)
    _line(page, (grid.x(0), x), y, "outline")
    _diamond(page, x, y)


def _diamond(page: Page, x: float, y: float) -> None:
    half = BAR_MM / 2
    points = ((x - half, y), (x, y - half), (x + half, y), (x, y + half))
    page.lines.append(Stroke(points, "symbol", closed=True, filled=True))


def _task(page: Page, grid: _Grid, row: int, planned: Planned) -> None:
    """A thin line from the earliest day on, a bar over the planned days, hollow while it cures."""
    _name(page, grid, row, planned.task.name)
    y, half = grid.y(row), BAR_MM / 2
    start, end = grid.x(planned.plan_start_day), grid.x(planned.plan_end_day + 1)
    soonest = grid.x(planned.start_day)
    page.lines.append(Stroke(((soonest, y - half), (soonest, y + half)), "bold"))
    if soonest < start:
        _line(page, (soonest, start), y, "other")
    _bar(page, (start, end), y, filled=not planned.task.licensed)
    if planned.ready_day > planned.plan_end_day:
        _bar(page, (end, grid.x(planned.ready_day + 1)), y, filled=False, thin=True)


def _bar(
    page: Page, across: tuple[float, float], y: float, *, filled: bool, thin: bool = False
) -> None:
    half = BAR_MM / (4 if thin else 2)
    box = corners(Box(across[0], y - half, across[1], y + half))
    page.lines.append(Stroke(box, "symbol", closed=True, filled=filled))


LEGEND = ("here", "earliest", "planned", "licensed work", "curing", "no work")


def _legend(page: Page, grid: _Grid) -> None:
    """What the signs mean, each beside one."""
    y, half, x = grid.bottom_mm + FOOT_MM / 2, BAR_MM / 2, EDGE_MM
    for text in LEGEND:
        if text == "here":
            _diamond(page, x + 4, y)
        elif text == "earliest":
            page.lines.append(Stroke(((x + 4, y - half), (x + 4, y + half)), "bold"))
        elif text == "no work":
            page.lines.append(Stroke(((x + 2, y + half), (x + 6, y - half)), "hair"))
        else:
            filled, thin = text == "planned", text == "curing"
            _bar(page, (x, x + 7), y, filled=filled, thin=thin)
        page.write((x + 9, y - TEXT_MM / 2), [text], TEXT_MM)
        x += 9 + width_mm(text, TEXT_MM) + 6
