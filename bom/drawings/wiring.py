"""The wiring diagram of a finished design: its groups parted among pages, and the bars."""

from __future__ import annotations

from collections.abc import Sequence

from bom.drawings.comm import draw_comm
from bom.drawings.groups import CONNECTOR_MM, UPPER_BAR_MM, Group, connector
from bom.drawings.labels import TEXT_MM, Labels
from bom.drawings.lettering import width_mm
from bom.drawings.page import Box, Circle, Page, Stroke, Symbol, corners
from bom.drawings.plot import BAR_MM, Plot
from bom.drawings.sheet import HEIGHT_MM, LEFT_MM, RIGHT_MM, WIDTH_MM, Heading, furnish
from bom.drawings.sorting import groups_of
from solver.needs import Needs
from solver.records import Design

MOST_MM = RIGHT_MM - LEFT_MM
"""Room for groups where all of them stand on one page."""
WIDER = 1.15
"""A single page may be so much wider: on A3 it is so much smaller, and still read."""
WIDEST_GAP_MM = 10.0
"""Between groups, where there is room to spare."""
STUD_MM = 5.0
"""From a bar's end to its first stud, and between studs that are free."""
MARGIN_MM = 12.0
"""Kept at either side where bars lead to other pages."""


def wiring_pages(design: Design, needs: Needs, *, invented: bool = False) -> list[Page]:
    """The pages of the wiring diagram, first to last.

    Parameters
    ----------
    design : Design
        What is drawn: every circuit once, every piece of cable with its label once.
    needs : Needs
        For the job's name, its loads and its units.
    invented : bool
        Whether the parts come from an invented catalog, which every page then says.
    """
    labels = Labels(design, needs)
    most = MOST_MM - 2 * MARGIN_MM
    groups = groups_of(labels, most)
    if sum(g.width_mm for g in groups) <= MOST_MM * WIDER:
        parted, margin = [groups], 0.0
    else:
        parted, margin = _parted(groups, most), MARGIN_MM
    plots = [
        _drawn(labels, part, number, margin) for number, part in enumerate(parted, start=1)
    ]
    _draw_bars(plots)
    for plot in plots:
        plot.join_sheaths()
        draw_comm(plot)
        heading = Heading(needs.job.name, plot.number, len(plots), invented)
        furnish(plot.page, design, heading)
    return [plot.page for plot in plots]


def _parted(groups: Sequence[Group], most_mm: float) -> list[list[Group]]:
    """Groups onto pages, in their order."""
    pages: list[list[Group]] = []
    room = 0.0
    for group in groups:
        if not pages or group.width_mm > room:
            pages.append([])
            room = most_mm
        pages[-1].append(group)
        room -= group.width_mm
    return pages


def _drawn(labels: Labels, groups: Sequence[Group], number: int, margin: float) -> Plot:
    width = sum(g.width_mm for g in groups)
    page = Page(max(WIDTH_MM, width + 2 * margin + WIDTH_MM - MOST_MM), HEIGHT_MM)
    plot = Plot(page, labels, number)
    spare = page.width_mm - WIDTH_MM + MOST_MM - 2 * margin - width
    gap = min(spare / (len(groups) + 1), WIDEST_GAP_MM)
    x = LEFT_MM + margin + (spare - gap * (len(groups) - 1)) / 2
    for group in groups:
        group.draw(plot, x)
        x += group.width_mm + gap
    return plot


# -- the bars


def _draw_bars(plots: Sequence[Plot]) -> None:
    for bar in dict.fromkeys(bar for plot in plots for bar in plot.studs):
        with_it = [plot for plot in plots if plot.studs[bar]]
        for n, plot in enumerate(with_it):
            y = plot.bars_mm[bar]
            # Over its studs' numbers, and over the names of the pages where it goes on.
            aside = 4.6 if len(with_it) == 1 else 8.6
            box = _draw_bar(plot, bar, y, aside, last=n == len(with_it) - 1)
            under = y > UPPER_BAR_MM
            if n < len(with_it) - 1:
                after = with_it[n + 1].number
                connector(plot, box.right_mm, y, bar, after, under=under)
            if n:
                before = with_it[n - 1].number
                connector(plot, box.left_mm - CONNECTOR_MM, y, bar, before, under=under)


def _draw_bar(plot: Plot, bar: str, y: float, aside: float, *, last: bool) -> Box:
    taken = sorted(plot.studs[bar])
    ends = taken[-1][0]
    free = plot.labels.free_studs(bar) if last else []
    limit = plot.page.width_mm - WIDTH_MM + RIGHT_MM - STUD_MM
    spots = [(ends + STUD_MM * n, stud) for n, stud in enumerate(free, start=1)]
    studs = taken + [(x, stud) for x, stud in spots if x <= limit]
    half = BAR_MM / 2
    box = Box(taken[0][0] - STUD_MM, y - half, studs[-1][0] + STUD_MM, y + half)
    plot.page.symbols.append(
        Symbol(
            kind="bus bar",
            id=bar,
            box=box,
            strokes=(Stroke(corners(box), closed=True),),
            circles=tuple(Circle((x, y), 0.8) for x, _ in studs),
        )
    )
    upper = y == UPPER_BAR_MM
    for x, stud in studs:
        middle = x - width_mm(stud, TEXT_MM) / 2
        plot.note((middle, y - half - 3.2 if upper else y + half + 0.8), [stud])
    text = plot.labels.bar_text(bar, free, limit + STUD_MM - box.left_mm)
    plot.note(
        (box.left_mm, y - half - aside - 2.4 if upper else y + half + aside - 0.4), [text]
    )
    return box
