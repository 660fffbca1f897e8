"""The main job: from needs and a stock to the cheapest kit, with its proof.

For each setting, in the order of their bounds: a first kit, everything dropped that the gap
rules out, the programme with real purchases on what is left, the devices placed. What placing
proves impossible goes back as a cut. A setting whose bound is not under the best kit is never
solved; the least bound of all is the proof.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from decimal import ROUND_FLOOR, Decimal

import numpy as np

from solver import model as m
from solver import selection as sel
from solver.bill import lines_of, not_cut, orders_of, pieces_assigned
from solver.candidates import Setting, settings
from solver.check import check
from solver.choice import Choice, choice_of
from solver.design import Standing, design, devices_of
from solver.fit import Item, Spot, most_that_fit, prove_placing
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

POOLED_GAP = 0.0095
"""With several suppliers a bound this close, as a share of the best kit, is asked for."""

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
    clock: Callable[[], float] | None = None
    deadline_s: float | None = None
    best: Found = field(default_factory=Found)
    panel_cuts: tuple[m.PanelCut, ...] = ()
    lengths: tuple[str, ...] = ()
    """Cables whose pieces are cut within the programme: see `model.Cuts`."""
    exact: bool = True
    """Nothing was left out without a proof."""

    @property
    def pooled(self) -> bool:
        """Whether freight can depend on what is bought where.

        Bounds are then taken with all offers as one shop's that sends for nothing: no kit can
        cost less. With one supplier that never gives free freight it is paid in every kit.
        """
        suppliers = list(self.market.freight.values())
        return len(suppliers) > 1 or any(
            s.free_over is not None and s.shipping > 0 for s in suppliers
        )

    def left_s(self) -> float | None:
        """Seconds left for a proof; None: as long as it takes."""
        if self.clock is None or self.deadline_s is None:
            return self.limit_s
        return max(self.deadline_s - self.clock(), 0.0)

    @property
    def goal(self) -> float:
        """Under which cost another kit is looked for: in cents.

        With freight decided, under the best kit. With pooled offers the bound leaves freight
        out, so it closes only as far as freight and rounding allow: to `POOLED_GAP` of the best.
        """
        if self.pooled:
            return self.best.cents * (1 - POOLED_GAP)
        return self.best.cents - sel.KEEP_CENTS

    def setup(self, setting: Setting, *, weighs: bool = False, exact: bool = False) -> m.Setup:
        """Candidates, prices and wiring of a setting."""
        return sel.setup_for(
            self.needs,
            self.market,
            self.shelf,
            setting,
            pooled=self.pooled,
            weighs=weighs,
            exact=exact,
        )

    def with_freight(self, cents: float) -> float:
        """A bound on goods as a bound on goods and freight.

        With one supplier a kit pays the freight, or buys for at least the threshold.
        """
        suppliers = list(self.market.freight.values())
        if not self.pooled or len(suppliers) != 1 or suppliers[0].free_over is None:
            return cents
        over = float(suppliers[0].free_over) * m.CENTS
        return max(cents, min(cents + float(suppliers[0].shipping) * m.CENTS, over))


def solve_kit(
    needs: Needs,
    stock: Stock,
    *,
    limit_s: float | None = None,
    solver: str = "highs",
    progress: Progress = quiet,
    clock: Callable[[], float] | None = None,
) -> Result:
    """The cheapest kit that meets the needs, or why there is none.

    Parameters
    ----------
    needs : Needs
        What the person stated.
    stock : Stock
        The catalog.
    limit_s : float, optional
        Most seconds for the proofs: of all together where a `clock` is given, else of each. The
        answer may then be `feasible` only. Finding the first kit is never cut short.
    solver : str
        `highs` or `cbc`.
    progress : callable, optional
        Told in a line what is being done.
    clock : callable, optional
        Seconds, rising; the solver itself looks at no clock.

    Returns
    -------
    Result
        With design, bill and checks; or infeasible, with reasons.
    """
    mkt = market(needs, stock)
    deadline_s = None if clock is None or limit_s is None else clock() + limit_s
    job = Job(needs, mkt, shelf(needs, mkt), solver, limit_s, progress, clock, deadline_s)
    bounds: list[sel.Bound] = []
    for setting in settings(needs, mkt):
        progress(
            f"bounding {setting.voltage} V, {setting.chemistry}, bus bars in {setting.hub}"
        )
        found = sel.bound(job.setup(setting), m.Cuts())
        if found is not None:
            bounds.append(found)
    bounds.sort(key=lambda b: b.cents)
    lower = _each_setting(job, bounds)
    if job.best.design is None:
        return _none(job, needs, stock)
    return _result(job, lower)


def _each_setting(job: Job, bounds: list[sel.Bound]) -> float:
    """Solve settings while they can still hold a cheaper kit; the bound over all of them."""
    lower = math.inf
    for b in bounds:
        if b.cents >= job.goal or (job.best.design is not None and job.left_s() == 0.0):
            lower = min(lower, b.cents)
            break
        s = b.setup.found.setting
        job.progress(f"solving {s.voltage} V, {s.chemistry}, bus bars in {s.hub}")
        lower = min(lower, _solve_setting(job, b))
    return min(lower, job.best.cents)


def _solve_setting(  # noqa: PLR0911  each return is one way a setting ends
    job: Job, b: sel.Bound, *, weighs: bool = False
) -> float:
    """Solve one setting; the best kit goes into the job, the setting's bound is returned."""
    kits: tuple[m.KitCut, ...] = ()
    lower = b.cents
    for _ in range(MOST_ROUNDS):
        cuts = m.Cuts(job.panel_cuts, kits, job.lengths)
        if b.cuts != cuts:
            again = sel.bound(b.setup, cuts)
            if again is None:
                return lower if math.isfinite(lower) and not job.exact else math.inf
            b = again
            lower = max(lower, b.cents) if job.exact else lower
        if b.cents >= job.goal:
            return b.cents
        first = sel.first_kit(b, job.solver)
        if first is None:
            return math.inf
        cut = _arrays_cut(job, b, first)
        if cut is not None:
            kits = _learn(job, cut, kits)
            continue
        outcome = _buy(job, b, first)
        kits, learnt = _place(job, b, outcome, kits)
        if learnt:
            continue
        b = _with_all_wiring(job, b)
        answer = _prove(job, b)
        if answer.choice is None:
            return max(lower, min(answer.bound, job.best.cents))
        kits, learnt = _place(job, b, answer, kits)
        if answer.too_heavy and not weighs:
            heavier = job.setup(b.setup.found.setting, weighs=True)
            again = sel.bound(heavier, cuts)
            return math.inf if again is None else _solve_setting(job, again, weighs=True)
        if not learnt:
            return max(lower, answer.bound)
    job.exact = False
    return lower


def _with_all_wiring(job: Job, b: sel.Bound) -> sel.Bound:
    """The setting with all wiring that a cheaper kit could hold.

    Wiring thinned by prices a unit is good for finding a kit. Where the bound is to meet the
    total, that is not enough: a cable with metres left over costs nothing more.
    """
    pricer = b.setup.pricer
    if pricer.exact:
        return b
    full = job.setup(b.setup.found.setting, weighs=pricer.weighs, exact=True)
    found = sel.bound(full, b.cuts)
    if found is None:
        raise AssertionError("more wiring left no kit")
    return found


@dataclass
class Outcome:
    """A solved programme with purchases."""

    choice: Choice | None
    bound: float
    cents: float = math.inf
    too_heavy: bool = False


def _buy(job: Job, b: sel.Bound, keep: m.Keep) -> Outcome:
    """The cheapest purchase of some main parts, freight included."""
    model = m.build(b.setup, keep, b.cuts, floor=False, freight=not job.pooled)
    answer = solve(model.programme, solver=job.solver, gap=sel.MIP_GAP_CENTS)
    if answer.status == "infeasible":
        return Outcome(None, math.inf)
    if job.pooled:
        return _from_shops(job, b, keep, model, sel.counted(model, answer))
    choice = choice_of(b.setup, sel.counted(model, answer))
    return Outcome(choice, max(answer.bound, b.cents), answer.objective)


NEAR_CENTS = 150.0
"""Wiring this close to the pooled answer's is looked at when freight is counted."""

SHOP_NODES = 40
"""Nodes of the search for a better purchase: what it finds is a kit, never a bound."""


def _from_shops(
    job: Job, b: sel.Bound, keep: m.Keep, pooled: m.Model, counts: sel.Counts
) -> Outcome:
    """Buy a kit that was found with pooled offers from the real suppliers, freight included.

    First just as it is, then with wiring that is nearly as good, so that a further supplier's
    freight can be saved. The answer is a kit, no bound.
    """
    main = sel.only(keep, counts)
    for kind, lists in (
        ("busbar", main.busbars),
        ("switch", main.switches),
        ("monitor", main.monitors),
        ("mode", main.modes),
    ):
        lists[:] = [k for k in lists if counts.get((kind, k), 0.0) > 0.5]
    options = [k for k in pooled.keys if k[0] in sel.OPTION_KINDS]
    chosen = {k for k in options if counts.get(k, 0.0) > 0.5}
    main.dropped = keep.dropped | (set(options) - chosen)
    found = _bought(job, b, main, None)
    if found is None:
        return Outcome(None, b.cents)
    reduced = solve_relaxed(pooled.programme).reduced
    near = {k for k, r in zip(pooled.keys, reduced, strict=True) if r <= NEAR_CENTS}
    main.dropped = keep.dropped | (set(options) - chosen - near)
    better = _bought(job, b, main, found[1])
    counts, cents = better or found
    return Outcome(choice_of(b.setup, counts), b.cents, cents)


def _bought(
    job: Job, b: sel.Bound, keep: m.Keep, under: float | None
) -> tuple[sel.Counts, float] | None:
    """The programme with real suppliers; `under` a cost only as far as a short search goes."""
    model = m.build(b.setup, keep, b.cuts, floor=False, freight=True)
    if under is not None:
        cost = [(j, c) for j, c in enumerate(model.programme.cost) if c]
        model.programme.at_most(cost, under - SHOP_GAP_CENTS, "cheaper")
    answer = solve(
        model.programme,
        solver=job.solver,
        gap=SHOP_GAP_CENTS,
        nodes=None if under is None else SHOP_NODES,
        limit_s=None if under is None else SHOP_S,
    )
    if answer.status in ("infeasible", "nothing"):
        return None
    return sel.counted(model, answer), answer.objective


SHOP_S = 10.0
SHOP_GAP_CENTS = 2.0

ROUNDS = 3
"""How often what a relaxed programme rules out is dropped and the rest solved again."""


def _prove(job: Job, b: sel.Bound) -> Outcome:
    """Look for a kit under the goal over everything the gap leaves; none is the proof."""
    goal, left = job.goal, job.left_s()
    if left == 0.0 and math.isfinite(goal):
        return Outcome(None, b.cents)
    keep = sel.promising(b, goal - b.cents)
    model = m.build(b.setup, keep, b.cuts, floor=False, freight=not job.pooled)
    if math.isfinite(goal):
        tight = sel.tighten(b, goal, job.solver)
        narrowed = None if tight is None else _narrowed(job, tight, goal)
        if narrowed is None:
            return Outcome(None, job.with_freight(goal))
        model, keep = narrowed
        cost = [(j, c) for j, c in enumerate(model.programme.cost) if c]
        model.programme.at_most(cost, goal, "under the goal")
    left = job.left_s() if math.isfinite(goal) else None
    if left is not None:
        left = max(left, 1.0)
    job.progress(
        f"proving over {len(model.keys)} columns"
        + (f" that nothing is under {_money(goal)}" if math.isfinite(goal) else "")
    )
    answer = solve(
        model.programme,
        solver=job.solver,
        limit_s=left,
        gap=sel.MIP_GAP_CENTS,
        proving=math.isfinite(goal),
    )
    if answer.status == "infeasible":
        return Outcome(None, job.with_freight(goal))
    bound = job.with_freight(min(max(answer.bound, b.cents), goal))
    if answer.status == "nothing":
        return Outcome(None, bound)
    counts = sel.counted(model, answer)
    if not job.pooled:
        return Outcome(choice_of(b.setup, counts), bound, answer.objective)
    paid = _from_shops(job, b, sel.only(keep, counts), model, counts)
    return Outcome(paid.choice, bound, paid.cents)


def _narrowed(job: Job, b: sel.Bound, goal: float) -> tuple[m.Model, m.Keep] | None:
    """The programme over what a kit under the goal could hold; None where there is none."""
    keep = sel.promising(b, goal - b.cents)
    model = m.build(b.setup, keep, b.cuts, floor=False, freight=not job.pooled)
    for _ in range(ROUNDS):
        relaxed = solve_relaxed(model.programme)
        gap = goal - relaxed.objective + sel.KEEP_CENTS
        if not relaxed.feasible or gap < 0:
            return None
        _drop(model, keep, relaxed.reduced, gap)
        slope = float(relaxed.row_duals[model.array_rows["array cost"]]) / m.CENTS
        sel.narrow_arrays(b, keep, gap / m.CENTS, slope, job.solver)
        model = m.build(b.setup, keep, b.cuts, floor=False, freight=not job.pooled)
    return model, keep


def _money(cents: float) -> str:
    return f"{cents / 100:.2f}"


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
            return _learn(job, cut, kits), True
        spots.update({s.id: s for s in found})
    return kits, _keep(job, choice, spots, outcome)


def _arrays_cut(job: Job, b: sel.Bound, keep: m.Keep) -> m.PanelCut | m.KitCut | None:
    """What to learn where the panels of the chosen arrays do not lie on their surfaces."""
    a = b.setup.found.arrays
    by_place: dict[str, list[Panel]] = {}
    for i, n in keep.array_counts.items():
        panels = [a.panels[a.panel[i]]] * int(a.series[i] * a.parallel[i] * n)
        by_place.setdefault(a.panel_place[i], []).extend(panels)
    for place, panels in sorted(by_place.items()):
        cut = _panels_cut(job, place, panels)
        if cut is not None:
            return cut
        items = [
            Item(f"panel-{k}", *p.face_mm, p.height_mm) for k, p in enumerate(panels, start=1)
        ]
        verdict, _ = prove_placing(items, job.needs.place(place), PLACING_S)
        if verdict == "impossible":
            there = [(i, n) for i, n in keep.array_counts.items() if a.panel_place[i] == place]
            return m.KitCut(tuple((("array", i), n) for i, n in sorted(there)))
    return None


def _panels_cut(job: Job, place: str, panels: list[Panel]) -> m.PanelCut | None:
    """A cut where too many panels at least as large as some face are among these.

    Tried for the face of each kind, then for the largest that every one of them covers.
    """
    faces = sorted({tuple(sorted(p.face_mm)) for p in panels})
    common = (min(f[0] for f in faces), min(f[1] for f in faces)) if faces else (0.0, 0.0)
    low = min((p.height_mm for p in panels), default=0.0)
    for short, long in [*faces, common]:
        larger = [p for p in panels if _at_least(p, short, long)]
        item = Item("panel", long, short, low)
        fits, proven = most_that_fit(item, job.needs.place(place), PLACING_S, len(larger))
        if fits < len(larger) and proven:
            return m.PanelCut(place, long, short, fits)
    return None


def _at_least(panel: Panel, short_mm: float, long_mm: float) -> bool:
    short, long = sorted(panel.face_mm)
    return short >= short_mm and long >= long_mm


def _learn(
    job: Job, cut: m.PanelCut | m.KitCut, kits: tuple[m.KitCut, ...]
) -> tuple[m.KitCut, ...]:
    """Panels that do not lie somewhere do not in any setting; a kit's columns are its setting's."""
    if isinstance(cut, m.PanelCut):
        job.panel_cuts = (*job.panel_cuts, cut)
        return kits
    return (*kits, cut)


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
    panels = [s.part for s in mine if isinstance(s.part, Panel)]
    return (), _panels_cut(job, place, panels) or _kit_cut(b, choice, place)


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


def _keep(job: Job, choice: Choice, spots: dict[str, Spot], outcome: Outcome) -> bool:
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
        job.exact = job.exact and bool(learnt)
        return bool(learnt)
    lines = lines_of(job.needs, cut, choice, job.market)
    orders = orders_of(job.needs, lines, choice, job.market)
    cents = float(sum((o.total for o in orders), Decimal(0)) * 100)
    if cents < job.best.cents - 1e-6:
        job.best = Found(cents, cut, lines, orders)
        job.progress(f"a kit at {_money(cents)}")
    return False


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


def _none(job: Job, needs: Needs, stock: Stock) -> Result:
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
        reasons=reasons(needs, stock, job.panel_cuts),
    )
