"""Placing a chosen kit: where everything stands, or what that it does not fit teaches.

A kit whose devices all stand is built, cut and billed, and kept if it is the cheapest yet. One
that cannot be placed gives a cut: no kit with these panels, or these columns, again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

from solver import model as m
from solver import selection as sel
from solver.bill import cost_of, lines_of, not_cut, orders_of, pieces_assigned
from solver.choice import Choice, choice_of
from solver.design import Standing, design, devices_of
from solver.fit import Item, Spot, most_that_fit, prove_placing
from solver.groups import Group
from solver.needs import Place
from solver.panel_mixes import Face, PanelMix, covers, face_of, mix_of
from solver.parts import Panel
from solver.report import total_kg
from solver.run import Found, Job
from solver.ties import lots_of
from solver.trace import cut_text

PLACING_S = 20.0
"""Most seconds of exact search for one place, in the placer's own deterministic count."""
LEAST_PLACING_S = 2.0
"""So many are always given, however little is left of the time for all."""


@dataclass
class Outcome:
    """A kit as bought; `too_heavy` is told once it is built."""

    choice: Choice
    lots: tuple[int, int] = (0, 0)
    counts: sel.Counts = field(default_factory=dict)
    """The columns it was read from."""
    too_heavy: bool = False


def outcome_of(setup: m.Setup, counts: sel.Counts) -> Outcome:
    """What a programme with purchases chose."""
    return Outcome(choice_of(setup, counts), lots_of(setup, counts), counts)


def _search_s(job: Job) -> float:
    """Seconds for one search: no more than are left of the time for all."""
    left = job.left_s()
    return PLACING_S if left is None else min(PLACING_S, max(left, LEAST_PLACING_S))


def place(
    job: Job, b: sel.Bound, outcome: Outcome, kits: tuple[m.KitCut, ...], least_cents: float
) -> tuple[tuple[m.KitCut, ...], bool]:
    """Place a kit's devices; keep the kit if they fit, else learn a cut.

    No kit of the setting costs less than `least_cents`. A kit of which placing could not decide
    is left out by a cut like one that is proven not to fit, so from then on that is all that is
    known of what a cheapest kit costs: the answer's bound is not above it.
    """
    choice = outcome.choice
    spots: dict[str, Spot] = {}
    standing = devices_of(choice)
    for place in sorted({s.place for s in standing}):
        mine = [s for s in standing if s.place == place]
        found, cut = _spots(job, b, choice, place, mine, least_cents)
        if cut is not None:
            return learn(job, cut, kits), True
        spots.update({s.id: s for s in found})
    return kits, _keep(job, choice, spots, outcome, least_cents)


Cut = m.PanelCut | m.KitCut | PanelMix


def arrays_cut(job: Job, b: sel.Bound, keep: m.Keep) -> Cut | None:
    """What to learn where the panels of the chosen arrays do not lie on their surfaces."""
    a = b.setup.found.arrays
    by_place: dict[str, list[Panel]] = {}
    for i, n in keep.array_counts.items():
        panels = [a.panels[a.panel[i]]] * int(a.series[i] * a.parallel[i] * n)
        by_place.setdefault(a.panel_place[i], []).extend(panels)
    for place, panels in sorted(by_place.items()):
        cut = panels_cut(job, b, place, panels, _search_s(job))
        if cut == "untold":
            there = [(i, n) for i, n in keep.array_counts.items() if a.panel_place[i] == place]
            return m.KitCut(tuple((("array", i), n) for i, n in sorted(there)))
        if cut is not None:
            return cut
    return None


def panels_cut(
    job: Job, b: sel.Bound, place: str, panels: list[Panel], search_s: float
) -> m.PanelCut | PanelMix | Literal["untold"] | None:
    """What to learn where panels do not lie in a place; None where they do, or it is not known.

    Each search takes `search_s` seconds at the most, in the placer's own count.
    """
    cut = _too_many(job, place, panels, search_s)
    if cut is not None:
        return _sharper(job, b, cut)
    if not _never_lie(_sizes(panels), job.needs.place(place), search_s):
        return None
    return _lesson(job, b, place, panels) or "untold"


Size = tuple[float, float, float]
"""The sides of what a panel takes of its place, and how far it stands out."""


def _sizes(panels: Iterable[Panel]) -> list[Size]:
    return [(*p.taken_mm, p.depth_mm) for p in panels]


def _never_lie(sizes: Iterable[Size], where: Place, search_s: float) -> bool:
    """Whether it is proven that panels of these sizes do not lie in a place together."""
    items = [Item(f"panel-{k}", *size) for k, size in enumerate(sizes, start=1)]
    return prove_placing(items, where, search_s)[0] == "impossible"


def _too_many(job: Job, place: str, panels: list[Panel], search_s: float) -> m.PanelCut | None:
    """A cut where too many panels at least as large as some face are among these.

    Tried for the face of each kind, then for the largest that every one of them covers.
    """
    if not panels:
        return None
    faces = sorted({tuple(sorted(p.taken_mm)) for p in panels})
    common = (min(f[0] for f in faces), min(f[1] for f in faces))
    low = min(p.depth_mm for p in panels)
    for short, long in [*faces, common]:
        larger = [p for p in panels if covers(face_of(p.taken_mm), [(long, short)])]
        item = Item("panel", long, short, low)
        where = job.needs.place(place)
        fits, proven = most_that_fit(item, where, search_s, len(larger))
        if fits < len(larger) and proven:
            return m.PanelCut(place, long, short, fits)
    return None


def _lesson(
    job: Job, b: sel.Bound, place: str, panels: list[Panel]
) -> m.PanelCut | PanelMix | None:
    """What to learn of panels that are proven not to lie in a place; None where it cannot be told.

    Of as few of them as that can still be proven of: so it speaks of more kits.
    """
    where, left = job.needs.place(place), Counter(face_of(p.taken_mm) for p in panels)
    for face in sorted(left, key=lambda f: (f[0] * f[1], f)):
        while left[face] and _impossible(left - Counter([face]), where):
            left -= Counter([face])
    if len(left) == 1:
        ((face, number),) = left.items()
        return _sharper(job, b, m.PanelCut(place, *face, number - 1))
    mix = mix_of(place, left.elements())
    return None if mix is None else _sharper(job, b, mix)


SHARPER_S = 0.05
"""Most seconds, in the placer's own count, for whether smaller panels do not lie there either."""
MOST_SHARPER = 12
"""Of more panels that is not asked: it takes long, and speaks of few other kits."""


def _sharper(job: Job, b: sel.Bound, cut: m.PanelCut | PanelMix) -> m.PanelCut | PanelMix:
    """The same of the smallest faces of panels in the catalog of which it is proven too.

    So one lesson speaks of all panels that are as large, and not of each kind again.
    """
    faces = {face_of(p.taken_mm) for p in b.setup.found.arrays.panels}
    where = job.needs.place(cut.place)
    smallest = sorted(faces, key=lambda f: (f[0] * f[1], f))
    if isinstance(cut, m.PanelCut):
        for face in smallest:
            if _within(face, (cut.long_mm, cut.short_mm)):
                item = Item("panel", *face, LOW_MM)
                fits, proven = most_that_fit(item, where, SHARPER_S, cut.most + 1)
                if proven and fits <= cut.most:
                    return replace(cut, long_mm=face[0], short_mm=face[1])
        return cut
    for face, number in sorted(cut.faces, reverse=True):
        for smaller in smallest:
            if not _within(smaller, face):
                continue
            others = [f for f, n in cut.faces if f != face for _ in range(n)]
            mix = mix_of(cut.place, [*others, *[smaller] * number])
            if mix is not None and _impossible(Counter(dict(mix.faces)), where):
                cut = mix
                break
    return cut


LOW_MM = 1.0
"""As thick as no panel is: where only panels that are not too thick for a place are looked at,
how thick they are changes nothing."""


def _within(face: Face, other: Face) -> bool:
    """Whether a face is smaller than another, and so covered by it."""
    return face != other and face[0] <= other[0] and face[1] <= other[1]


def _impossible(faces: Counter[Face], where: Place) -> bool:
    """Whether it is soon proven that panels of some faces do not lie in a place, so many of each."""
    if faces.total() > MOST_SHARPER:
        return False
    return _never_lie([(*face, LOW_MM) for face in faces.elements()], where, SHARPER_S)


def learn(job: Job, cut: Cut, kits: tuple[m.KitCut, ...]) -> tuple[m.KitCut, ...]:
    """Panels that do not lie somewhere do not in any setting; a kit's columns are its setting's."""
    job.tell("cut", why=cut_text(cut))
    if isinstance(cut, PanelMix):
        job.mixes = (*job.mixes, cut)
        return kits
    if isinstance(cut, m.PanelCut):
        job.panel_cuts = (*job.panel_cuts, cut)
        return kits
    return (*kits, cut)


def _spots(
    job: Job,
    b: sel.Bound,
    choice: Choice,
    place: str,
    mine: list[Standing],
    least_cents: float,
) -> tuple[tuple[Spot, ...], Cut | None]:
    where = job.needs.place(place)
    items = [Item(s.id, *s.part.taken_mm, s.part.depth_mm) for s in mine]
    verdict, found = prove_placing(items, where, _search_s(job))
    if found is not None:
        return tuple(map(_within_its_free_space, found, mine)), None
    panels = [s.part for s in mine if isinstance(s.part, Panel)]
    proven = _too_many(job, place, panels, _search_s(job))
    if proven is not None:
        return (), _sharper(job, b, proven)
    if panels and _never_lie(_sizes(panels), where, _search_s(job)):
        lesson = _lesson(job, b, place, panels)
        if lesson is not None:
            return (), lesson
    if verdict == "unknown":
        job.leave_out(least_cents)
        job.tell("undecided", why=f"whether all stands in {place}", bound_cents=least_cents)
    return (), _kit_cut(b, choice, place)


def _within_its_free_space(spot: Spot, one: Standing) -> Spot:
    """Where the device itself is, from where it lies with the free space around it."""
    free = one.part.clear_mm or 0.0
    return replace(spot, x_mm=spot.x_mm + free, y_mm=spot.y_mm + free)


def _kit_cut(b: sel.Bound, choice: Choice, place: str) -> m.KitCut:
    """The chosen columns that put something there, not all together again."""
    found = b.setup.found
    hub = place == found.setting.hub
    a = found.arrays
    columns: list[tuple[tuple[object, ...], int]] = []
    for key, n in choice.main:
        kind, number = key[0], int(str(key[1]))
        there = {
            "array": lambda i: place in (a.panel_place[i], a.controller_place[i]),
            "bank": lambda i: found.banks[i].place == place,
            "inverter": lambda i: found.inverters[i].place == place,
            "charger": lambda i: found.chargers[i].place == place,
            "pv": lambda i: place in _fitting_places(b.setup.wiring.pv[i]),
        }.get(str(kind), lambda _i: hub)(number)
        if there:
            columns.append((key, n))
    return m.KitCut(tuple(columns))


def _fitting_places(group: Group) -> set[str]:
    """Where the isolator and the inlet of an array's options stand."""
    return {group.where[-1], *(o.inlet_place for o in group.options)}


def _keep(
    job: Job,
    choice: Choice,
    spots: dict[str, Spot],
    outcome: Outcome,
    least_cents: float,
) -> bool:
    """Build the kit, and keep it if it is the cheapest yet; whether cutting taught anything."""
    made = design(job.needs, choice, spots)
    limit = job.needs.limits.total_kg
    if limit is not None and total_kg(made) > limit + 1e-6:
        outcome.too_heavy = True
        return False
    cut = pieces_assigned(made, choice)
    if cut is None:
        learnt = set(not_cut(made, choice)) - set(job.lengths)
        job.lengths = tuple(sorted({*job.lengths, *learnt}))
        if learnt:
            job.tell("cut", why=f"pieces are told their length: {', '.join(sorted(learnt))}")
        else:
            job.leave_out(least_cents)
        return bool(learnt)
    lines = lines_of(job.needs, cut, choice, job.market)
    orders = orders_of(job.needs, lines, choice, job.market)
    cents = float(cost_of(orders) * 100)
    if job.improves(cents, outcome.lots):
        job.take(Found(cents, outcome.lots, cut, lines, orders), choice.setting)
    return False
