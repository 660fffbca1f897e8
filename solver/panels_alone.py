"""Panels by themselves: the cheapest that give what is needed and, as far as is known, find room.

Where panels hardly find room, most of what placing teaches is learnt from these small programmes
before it is from whole kits: first with a column for each panel and place, then with one for each
array that could be among the cheapest.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from solver import model as m
from solver import selection as sel
from solver.milp import Programme, solve
from solver.panel_mixes import covers, face_of, reached
from solver.rules.space import usable_area_mm2

if TYPE_CHECKING:
    from collections.abc import Sequence

    from solver.panel_mixes import PanelMix
    from solver.parts import Panel

GAP_SHARE = 0.02
"""So far from the cheapest the panels may be: what they teach is as good."""


@dataclass(frozen=True)
class Bunch:
    """Panels of a kind that are bought together, with what they cost and give at the best."""

    panel: Panel
    place: str
    panels: int
    most: float
    cents: float
    wh: tuple[float, ...]
    """By month, first beside the sun's share of what arrays use, then beside all of it."""


def panels_alone(b: sel.Bound) -> list[Bunch]:
    """Every panel in each place, by itself, as good as in the best array that it stands in."""
    a, cost, gives = b.setup.found.arrays, m.array_cost(b.setup), m.array_gives(b.setup)
    alike = defaultdict(list)
    for i in _arrays(b):
        alike[int(a.panel[i]), a.panel_place[i]].append(i)
    bunches = []
    for (kind, place), arrays in alike.items():
        panel, at = a.panels[kind], np.array(arrays)
        count = (a.series[at] * a.parallel[at]).astype(float)
        # how many it is exactly, the row of the area says
        most = usable_area_mm2(b.setup.needs.place(place)) // panel.taken_mm2 + 1
        cents = m.CENTS * float((cost[at] / count).min())
        wh = (gives[at] / count[:, None]).max(axis=0)
        bunches.append(Bunch(panel, place, 1, most, cents, tuple(wh)))
    return bunches


def arrays_alone(b: sel.Bound) -> list[Bunch]:
    """Arrays, without those that another of as many of the same panels outdoes."""
    a, cost, gives = b.setup.found.arrays, m.array_cost(b.setup), m.array_gives(b.setup)
    bunches = []
    for i in m.worth_counting(b.setup, np.array(_arrays(b), dtype=np.int64)).tolist():
        panels, cents = int(a.series[i] * a.parallel[i]), m.CENTS * float(cost[i])
        panel, place = a.panels[a.panel[i]], a.panel_place[i]
        bunches.append(Bunch(panel, place, panels, float(a.most[i]), cents, tuple(gives[i])))
    return bunches


def _arrays(b: sel.Bound) -> list[int]:
    """Arrays that a kit can hold."""
    keep = sel.everything(b.setup)
    usable = np.array([], dtype=np.int64) if keep is None else keep.arrays
    fine = np.isfinite(b.arrays_reduced) & np.isfinite(m.array_cost(b.setup))
    return [i for i in usable.tolist() if fine[i]]


def cheapest(
    b: sel.Bound,
    cuts: m.Cuts,
    bunches: Sequence[Bunch],
    solver: str,
    limit_s: float | None = None,
) -> dict[str, list[Panel]] | None:
    """By place, panels that give what is needed whatever else is chosen; None where no kit has any.

    Nothing where the time was up.

    A relaxation of all arrays of the setting, with bunches that cost no more and give no less: so where
    there is no answer there is no kit.
    """
    keep = sel.everything(b.setup)
    if keep is None:
        return None
    p = Programme()
    columns = [p.column(x.cents, 0.0, x.most) for x in bunches]
    needs = sel.least_needs_wh(b.setup, keep)
    for k, least in enumerate([*(sun for sun, _ in needs), *(wh for _, wh in needs)]):
        p.at_least([(j, x.wh[k]) for j, x in zip(columns, bunches, strict=True)], least)
    _room(b.setup, cuts, p, bunches)
    gap = GAP_SHARE * b.cents
    answer = solve(p, solver=solver, gap=max(gap, sel.MIP_GAP_CENTS), limit_s=limit_s)
    if answer.status == "infeasible":
        return None
    if answer.status == "nothing":
        return {}
    lain: dict[str, list[Panel]] = {}
    for j, x in zip(columns, bunches, strict=True):
        lain.setdefault(x.place, []).extend([x.panel] * (x.panels * round(answer.values[j])))
    return lain


def _room(setup: m.Setup, cuts: m.Cuts, p: Programme, bunches: Sequence[Bunch]) -> None:
    """What the places take, and what placing has taught of them; the bunches are the first columns."""
    for place in setup.needs.places:
        here = [(j, x.panel, x.panels) for j, x in enumerate(bunches) if x.place == place.name]
        area = [(j, n * panel.taken_mm2) for j, panel, n in here]
        p.at_most(area, usable_area_mm2(place) + 1e-6)
        for cut in (c for c in cuts.panels if c.place == place.name):
            large = [(j, float(n)) for j, panel, n in here if m.covered(cut, panel)]
            p.at_most(large, float(cut.most))
        for mix in (c for c in cuts.mixes if c.place == place.name):
            m.mix_row(p, _covering(here, mix), mix, lambda _: p.column())


def _covering(
    here: Sequence[tuple[int, Panel, int]], mix: PanelMix
) -> dict[frozenset[tuple[float, float]], list[tuple[int, float]]]:
    """Of each set of faces of a mix, the columns with how many panels cover one of them."""
    return {
        faces: [(j, float(n)) for j, panel, n in here if covers(face_of(panel.taken_mm), faces)]
        for faces, _ in reached(mix)
    }
