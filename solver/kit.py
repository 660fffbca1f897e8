"""The main job: from needs and a stock to the cheapest kit, with its proof.

For each setting, in the order of their bounds: a first kit, everything dropped that the gap
rules out, the programme with real purchases on what is left, the devices placed. What placing
proves impossible goes back as a cut. A setting whose bound is not under the best kit is never
solved; the least bound of all is the proof.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from decimal import ROUND_FLOOR, Decimal

import numpy as np

from solver import model as m
from solver import selection as sel
from solver.bill import lines_of, orders_of, pieces_assigned
from solver.candidates import settings
from solver.check import check
from solver.choice import Choice, choice_of
from solver.design import Standing, design, devices_of
from solver.fit import Item, Spot, prove_placing
from solver.market import Market, market
from solver.milp import solve, solve_relaxed
from solver.needs import Needs
from solver.parts import Panel
from solver.records import Design, Line, Result, SupplierOrder
from solver.report import bindings, energy_report, total_kg
from solver.stock import Stock
from solver.why import reasons
from solver.wiring import Shelf, shelf

Progress = Callable[[str], None]

PLACING_S = 20.0
"""Most seconds of exact search for one place, in the placer's own deterministic count."""

OPTIMAL_PCT = 0.01
"""A gap up to this counts as none."""

MOST_ROUNDS = 60
"""Placing sends a setting back to be solved at most so often."""


def quiet(_text: str) -> None:
    """No progress."""


@dataclass
class Found:
    """The best kit so far."""

    cents: float = math.inf
    design: Design | None = None
    lines: tuple[Line, ...] = ()
    orders: tuple[SupplierOrder, ...] = ()


@dataclass
class Job:
    """One run: what stays the same over settings, and what is learnt."""

    needs: Needs
    market: Market
    shelf: Shelf
    solver: str
    limit_s: float | None
    progress: Progress
    best: Found = field(default_factory=Found)
    panel_cuts: tuple[m.PanelCut, ...] = ()
    exact: bool = True
    """Nothing was left out without a proof."""


def solve_kit(
    needs: Needs,
    stock: Stock,
    *,
    limit_s: float | None = None,
    solver: str = "highs",
    progress: Progress = quiet,
) -> Result:
    """The cheapest kit that meets the needs, or why there is none.

    Parameters
    ----------
    needs : Needs
        What the person stated.
    stock : Stock
        The catalog.
    limit_s : float, optional
        Most seconds for one integer programme; the answer may then be `feasible` only.
    solver : str
        `highs` or `cbc`.
    progress : callable, optional
        Told in a line what is being done.

    Returns
    -------
    Result
        With design, bill and checks; or infeasible, with reasons.
    """
    mkt = market(needs, stock)
    job = Job(needs, mkt, shelf(needs, mkt), solver, limit_s, progress)
    bounds: list[sel.Bound] = []
    for setting in settings(needs, mkt):
        progress(
            f"bounding {setting.voltage} V, {setting.chemistry}, bus bars in {setting.hub}"
        )
        found = sel.bound(sel.setup_for(needs, mkt, job.shelf, setting), m.Cuts())
        if found is not None:
            bounds.append(found)
    bounds.sort(key=lambda b: b.cents)
    lower = _each_setting(job, bounds)
    if job.best.design is None:
        return _none(job, needs, stock, bounds)
    return _result(job, lower)


def _each_setting(job: Job, bounds: list[sel.Bound]) -> float:
    """Solve settings while they can still hold a cheaper kit; the bound over all of them."""
    lower = math.inf
    for b in bounds:
        if b.cents >= job.best.cents - sel.KEEP_CENTS:
            lower = min(lower, b.cents)
            break
        s = b.setup.found.setting
        job.progress(f"solving {s.voltage} V, {s.chemistry}, bus bars in {s.hub}")
        lower = min(lower, _solve_setting(job, b))
    return min(lower, job.best.cents)


def _solve_setting(job: Job, b: sel.Bound, *, weighs: bool = False) -> float:
    """Solve one setting; the best kit goes into the job, the setting's bound is returned."""
    kits: tuple[m.KitCut, ...] = ()
    lower = b.cents
    for _ in range(MOST_ROUNDS):
        cuts = m.Cuts(job.panel_cuts, kits)
        if b.cuts != cuts:
            again = sel.bound(b.setup, cuts)
            if again is None:
                return lower if math.isfinite(lower) and not job.exact else math.inf
            b = again
            lower = max(lower, b.cents) if job.exact else lower
        if b.cents >= job.best.cents - sel.KEEP_CENTS:
            return b.cents
        first = sel.first_kit(b, job.solver, job.limit_s)
        if first is None:
            return math.inf
        if _panels_do_not_lie(job, b, first):
            continue
        outcome = _buy(job, b, first, freight=True)
        kits, learnt = _place(job, b, outcome, kits)
        if learnt:
            continue
        answer = _prove(job, b)
        if answer.choice is None:
            return max(lower, min(answer.bound, job.best.cents))
        if answer.too_heavy and not weighs:
            heavier = sel.setup_for(
                job.needs, job.market, job.shelf, b.setup.found.setting, weighs=True
            )
            again = sel.bound(heavier, cuts)
            return math.inf if again is None else _solve_setting(job, again, weighs=True)
        kits, learnt = _place(job, b, answer, kits)
        if not learnt:
            return max(lower, answer.bound)
    job.exact = False
    return lower


@dataclass
class Outcome:
    """A solved programme with purchases."""

    choice: Choice | None
    bound: float
    cents: float = math.inf
    too_heavy: bool = False


def _buy(job: Job, b: sel.Bound, keep: m.Keep, *, freight: bool) -> Outcome:
    """Solve the programme with purchases over what is kept."""
    model = m.build(b.setup, keep, b.cuts, floor=False, freight=freight)
    answer = solve(
        model.programme, solver=job.solver, limit_s=job.limit_s, gap=sel.MIP_GAP_CENTS
    )
    if answer.status in ("infeasible", "nothing"):
        bound = math.inf if answer.status == "infeasible" else max(answer.bound, b.cents)
        return Outcome(None, bound)
    choice = choice_of(b.setup, sel.counted(model, answer))
    return Outcome(choice, max(answer.bound, b.cents), answer.objective)


def _prove(job: Job, b: sel.Bound) -> Outcome:
    """The programme over everything that the gap to the best kit leaves."""
    if math.isfinite(job.best.cents):
        tight = sel.tighten(b, job.best.cents, job.solver)
        if tight is None:
            return Outcome(None, job.best.cents)
        b = tight
    keep = sel.promising(b, job.best.cents - b.cents)
    lenient = any(
        f.free_over is not None and f.shipping > 0 for f in job.market.freight.values()
    ) and not _freight_is_free(job, b)
    model = m.build(b.setup, keep, b.cuts, floor=False, freight=not lenient)
    relaxed = solve_relaxed(model.programme)
    if not relaxed.feasible:
        return Outcome(None, job.best.cents)
    if math.isfinite(job.best.cents):
        gap = job.best.cents - relaxed.objective + sel.KEEP_CENTS
        _drop(model, keep, relaxed.reduced, gap)
        slope = float(relaxed.row_duals[model.array_rows["array cost"]]) / m.CENTS
        keep.arrays = sel.worthwhile(b.setup, keep, gap / m.CENTS, slope)
        model = m.build(b.setup, keep, b.cuts, floor=False, freight=not lenient)
        cost = [(j, c) for j, c in enumerate(model.programme.cost) if c]
        model.programme.at_most(cost, job.best.cents + sel.KEEP_CENTS, "no dearer")
    s = len(model.programme.cost)
    job.progress(f"proving over {s} columns, at most {_money(job.best.cents)}")
    answer = solve(
        model.programme, solver=job.solver, limit_s=job.limit_s, gap=sel.MIP_GAP_CENTS
    )
    if answer.status in ("infeasible", "nothing"):
        proven = answer.status == "infeasible"
        return Outcome(None, job.best.cents if proven else max(answer.bound, b.cents))
    choice = choice_of(b.setup, sel.counted(model, answer))
    outcome = Outcome(choice, max(answer.bound, b.cents), answer.objective)
    if lenient:
        # the bound left freight out; the kit is bought again with it
        paid = _buy(job, b, _only_of(b, choice), freight=True)
        outcome = Outcome(paid.choice, outcome.bound, paid.cents)
    return outcome


def _money(cents: float) -> str:
    return f"{cents / 100:.2f}"


def _freight_is_free(job: Job, b: sel.Bound) -> bool:
    """With one supplier, and goods surely over its threshold, freight is free in every kit."""
    suppliers = list(job.market.freight.values())
    if len(suppliers) != 1:
        return False
    over = suppliers[0].free_over
    return over is not None and b.cents / 100 >= float(over)


def _drop(model: m.Model, keep: m.Keep, reduced: sel.Floats, gap: float) -> None:
    """Drop from `keep` every column whose reduced cost is above the gap."""
    lists = {
        "bank": keep.banks,
        "inverter": keep.inverters,
        "charger": keep.chargers,
        "busbar": keep.busbars,
        "switch": keep.switches,
        "monitor": keep.monitors,
        "mode": keep.modes,
    }
    arrays = set(keep.arrays.tolist())
    for key, r in zip(model.keys, reduced, strict=True):
        if r <= gap:
            continue
        kind, number = str(key[0]), key[1] if len(key) > 1 else None
        if kind == "array":
            arrays.discard(number)
        elif kind in lists and isinstance(number, int):
            lists[kind].remove(number)
        elif kind in sel.OPTION_KINDS:
            keep.dropped.add(key)
    keep.arrays = np.array(sorted(arrays), dtype=np.int64)


def _only_of(b: sel.Bound, choice: Choice) -> m.Keep:
    """Everything, with no other main parts than those chosen."""
    keep = sel.everything(b.setup)
    if keep is None:
        raise AssertionError("a chosen kit has candidates")
    counts = {key: 1.0 for key, _ in choice.main}
    return sel.only(keep, counts)


# --- placing ----------------------------------------------------------------------------------


def _place(
    job: Job, b: sel.Bound, outcome: Outcome, kits: tuple[m.KitCut, ...]
) -> tuple[tuple[m.KitCut, ...], bool]:
    """Place a kit's devices; keep the kit if they fit, else learn a cut."""
    choice = outcome.choice
    if choice is None:
        return kits, False
    spots: dict[str, Spot] = {}
    standing = devices_of(choice)
    for place in sorted({s.place for s in standing}):
        mine = [s for s in standing if s.place == place]
        found, cut = _spots(job, b, choice, place, mine)
        if cut is not None:
            if isinstance(cut, m.PanelCut):
                job.panel_cuts = (*job.panel_cuts, cut)
                return kits, True
            return (*kits, cut), True
        spots.update({s.id: s for s in found})
    _keep(job, choice, spots, outcome)
    return kits, False


def _panels_do_not_lie(job: Job, b: sel.Bound, keep: m.Keep) -> bool:
    """Whether the panels of some chosen arrays are too many for their surface; learns the cut."""
    a = b.setup.found.arrays
    by_place: dict[str, list[Panel]] = {}
    for i, n in keep.array_counts.items():
        panels = [a.panels[a.panel[i]]] * int(a.series[i] * a.parallel[i] * n)
        by_place.setdefault(a.panel_place[i], []).extend(panels)
    for place, panels in sorted(by_place.items()):
        items = [
            Item(f"panel-{k}", *p.face_mm, p.height_mm) for k, p in enumerate(panels, start=1)
        ]
        verdict, _ = prove_placing(items, job.needs.place(place), PLACING_S)
        if verdict == "impossible" and len({p.part for p in panels}) == 1:
            cut = _panel_cut(job, panels[0], place, len(panels))
            job.panel_cuts = (*job.panel_cuts, cut)
            return True
    return False


def _spots(
    job: Job, b: sel.Bound, choice: Choice, place: str, mine: list[Standing]
) -> tuple[tuple[Spot, ...], m.PanelCut | m.KitCut | None]:
    where = job.needs.place(place)
    items = [Item(s.id, *s.part.face_mm, s.part.height_mm) for s in mine]
    verdict, found = prove_placing(items, where, PLACING_S)
    if found is not None:
        return found, None
    if verdict == "unknown":
        job.exact = False
    panels = {s.part.part: s.part for s in mine if isinstance(s.part, Panel)}
    if len(panels) == 1 and len(mine) == sum(isinstance(s.part, Panel) for s in mine):
        (panel,) = panels.values()
        return (), _panel_cut(job, panel, place, len(mine))
    return (), _kit_cut(b, choice, place)


def _panel_cut(job: Job, panel: Panel, place: str, count: int) -> m.PanelCut:
    """So many of a panel do not lie there: at most as many as do, of any that is no smaller."""
    short, long = sorted(panel.face_mm)
    where = job.needs.place(place)
    fits = count - 1
    while fits > 0:
        items = [Item(f"p{k}", long, short, panel.height_mm) for k in range(fits)]
        verdict, found = prove_placing(items, where, PLACING_S)
        if found is not None:
            break
        if verdict == "unknown":
            job.exact = False
        fits -= 1
    return m.PanelCut(place, long, short, fits)


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
        }.get(str(kind), lambda _i: hub)(number)
        if there:
            columns.append((key, n))
    return m.KitCut(tuple(columns))


def _keep(job: Job, choice: Choice, spots: dict[str, Spot], outcome: Outcome) -> None:
    """Build the kit, and keep it if it is the cheapest yet."""
    made = design(job.needs, choice, spots)
    limit = job.needs.limits.total_kg
    if limit is not None and total_kg(made) > limit + 1e-6:
        outcome.too_heavy = True
        return
    cut = pieces_assigned(made, choice)
    if cut is None:
        job.exact = False
        return
    lines = lines_of(job.needs, cut, choice, job.market)
    orders = orders_of(job.needs, lines, choice, job.market)
    cents = float(sum((o.total for o in orders), Decimal(0)) * 100)
    if cents < job.best.cents - 1e-6:
        job.best = Found(cents, cut, lines, orders)
        job.progress(f"a kit at {_money(cents)}")


# --- the result -------------------------------------------------------------------------------


def _result(job: Job, lower_cents: float) -> Result:
    needs, best = job.needs, job.best
    if best.design is None:
        raise AssertionError("a result without a kit")
    total = sum((o.total for o in best.orders), Decimal(0))
    bound = _bound(total, lower_cents)
    gap = float((total - bound) / total * 100) if total else 0.0
    energy = energy_report(needs, best.design)
    return Result(
        status="optimal" if gap <= OPTIMAL_PCT and job.exact else "feasible",
        currency=needs.job.currency,
        total=total,
        lower_bound=bound,
        gap_pct=gap,
        design=best.design,
        energy=energy,
        lines=best.lines,
        orders=best.orders,
        checks=check(needs, best.design, best.lines, best.orders),
        bindings=bindings(needs, best.design, total, energy),
        notes=job.market.notes,
        reasons=(),
    )


def _bound(total: Decimal, lower_cents: float) -> Decimal:
    """The bound as money: never above the total, else rounded down to a cent."""
    if lower_cents >= float(total * 100) - 1.0 + 1e-6:
        return total
    return (Decimal(lower_cents) / 100).quantize(Decimal("0.01"), rounding=ROUND_FLOOR)


def _none(job: Job, needs: Needs, stock: Stock, bounds: Iterable[sel.Bound]) -> Result:
    return Result(
        status="infeasible",
        currency=needs.job.currency,
        total=None,
        lower_bound=None,
        gap_pct=None,
        design=None,
        energy=None,
        lines=(),
        orders=(),
        checks=(),
        bindings=(),
        notes=job.market.notes,
        reasons=reasons(needs, stock, job.market, job.shelf, list(bounds)),
    )
