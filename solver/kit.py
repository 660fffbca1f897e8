"""The main job: from needs and a stock to the cheapest kit, with its proof.

For each setting, in the order of their bounds: a first kit, everything dropped that the gap
rules out, the programme with real purchases on what is left, the devices placed. What placing
proves impossible goes back as a cut. A setting whose bound is not under the best kit is never
solved; the least bound of all is the proof.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import ROUND_FLOOR, Decimal
from functools import partial

from solver import model as m
from solver import selection as sel
from solver import sift
from solver.candidates import Pairs, Setting, candidates, lacking, settings
from solver.check import check
from solver.market import market
from solver.needs import Needs
from solver.placing import arrays_cut, learn, place
from solver.records import Reason, Result
from solver.report import bindings, energy_report
from solver.run import Job, Origin, Progress, never, quiet
from solver.second import second_opinion
from solver.shopping import buy, first_by_lot
from solver.stock import Stock
from solver.trace import Trace, finite, setting_text, untold
from solver.tree import Tree
from solver.twins import without_twins
from solver.why import reasons
from solver.wiring import shelf

OPTIMAL_PCT = 0.01
"""A gap up to this counts as none."""

COARSE_AIM_PCT = 0.95
"""By how much a kit would have to be cheaper, where that is ruled out first."""

NO_PAIRS: Pairs = {}

MUCH_ROOM_CENTS = 1e6
"""Where pairs so far over the bound made no kit, all of them are looked at."""

MOST_ROUNDS = 60
"""Placing sends a setting back to be solved at most so often."""


def solve_kit(
    needs: Needs,
    stock: Stock,
    *,
    limit_s: float | None = None,
    solver: str = "highs",
    progress: Progress = quiet,
    clock: Callable[[], float] | None = None,
    trace: Trace = untold,
    stopped: Callable[[], bool] = never,
    opinion_s: float | None = None,
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
    trace : callable, optional
        Told the steps of the proof.
    stopped : callable, optional
        Asked often whether to end with the best kit so far, as when the time is up. As long as
        there is none it changes nothing.
    opinion_s : float, optional
        Seconds for a second solver, which then goes over the final programme.

    Returns
    -------
    Result
        With design, bill and checks; or infeasible, with reasons.
    """
    needs = needs.in_one_order()
    mkt = without_twins(market(needs, stock))
    deadline_s = None if clock is None or limit_s is None else clock() + limit_s
    job = Job(needs, mkt, shelf(needs, mkt), solver, limit_s, progress, clock, deadline_s)
    job.trace, job.stopped = trace, stopped
    courses: list[Course] = []
    for setting in settings(needs, mkt):
        progress(
            f"bounding {setting.voltage} V, {setting.chemistry}, bus bars in {setting.hub}"
        )
        lacks = lacking(candidates(needs, mkt, setting, NO_PAIRS))
        course = None if lacks else _course(job, setting)
        if course is not None:
            courses.append(course)
        _tell_bound(job, setting, None if course is None else course.b)
    courses.sort(key=lambda c: c.bound)
    lower = _each_setting(job, courses)
    first_by_lot(job)
    if job.best.design is None:
        result = _none(job, needs, stock, proven=job.exact and lower >= job.goal)
    else:
        result = _result(job, lower)
    job.tell(
        "answer",
        status=result.status,
        bound_cents=finite(lower),
        total=result.total,
        lower_bound=result.lower_bound,
    )
    if opinion_s is not None and job.origin is not None:
        asked = next(c for c in courses if c.b.setup.found.setting == job.origin.setting)
        result = replace(
            result, opinion=second_opinion(job, result, asked.full, asked.kits, opinion_s)
        )
    return result


def _tell_bound(job: Job, setting: Setting, found: sel.Bound | None) -> None:
    job.tell(
        "setting",
        setting=setting_text(setting),
        bound_cents=None if found is None else found.cents,
        why="holds no kit" if found is None else None,
    )


@dataclass
class Course:
    """How far a setting is solved."""

    b: sel.Bound
    bound: float
    kits: tuple[m.KitCut, ...] = ()
    weighs: bool = False
    begun: bool = False
    sieve: sift.Sieve | None = None
    """Where there are too many pairs of panel and controller to make every array."""
    pairs: Pairs | None = None
    """The pairs that arrays were made of."""
    room_cents: float = 2000.0
    """How far over the bound pairs were looked for, where those under it made no kit."""
    full: sel.Bound | None = None
    """With all wiring, once a proof has asked for it."""


def _course(job: Job, setting: Setting, *, weighs: bool = False) -> Course | None:
    """A setting with its bound; None where it holds no kit."""
    sieve = sift.sieve(job.needs, job.market, setting)
    if sieve is None:
        b = sel.bound(job.setup(setting, weighs=weighs), m.Cuts())
        return None if b is None else Course(b, b.cents, weighs=weighs)
    pairs = sift.first_pairs(sieve)
    make = partial(job.setup, setting, weighs=weighs)
    b, pairs = sift.bound(sieve, lambda p, like: make(pairs=p, like=like), m.Cuts(), pairs)
    return None if b is None else Course(b, b.cents, weighs=weighs, sieve=sieve, pairs=pairs)


def _bound_again(job: Job, course: Course) -> sel.Bound | None:
    """The bound with what has been learnt since."""
    cuts, setup = job.cuts(course.kits), course.b.setup
    if course.sieve is None or course.pairs is None:
        return sel.bound(setup, cuts)
    make = partial(job.setup, setup.found.setting, weighs=course.weighs)
    b, course.pairs = sift.bound(
        course.sieve, lambda p, like: make(pairs=p, like=like), cuts, course.pairs, setup
    )
    if b is not None:
        course.kits = b.cuts.kits
    return b


def _each_setting(job: Job, courses: list[Course]) -> float:
    """Solve settings while they can still hold a cheaper kit; the bound over all of them.

    Where freight can depend on what is bought where, a kit cheaper by more than a share is ruled
    out first, in every setting: that is sooner done, and bounds the answer where time is up.
    """
    for aim in (COARSE_AIM_PCT, 0.0) if job.pooled else (0.0,):
        job.aim_pct = aim
        for course in sorted(courses, key=lambda c: c.bound):
            if course.bound >= job.goal:
                _tell_course(job, course, "skipped")
                continue
            if job.best.design is not None and job.left_s() == 0.0:
                job.tell("time up", why="interrupted" if job.stopped() else "limit")
                break
            s = course.b.setup.found.setting
            job.progress(f"solving {s.voltage} V, {s.chemistry}, bus bars in {s.hub}")
            _tell_course(job, course, "solving")
            course.bound = max(course.bound, _solve_setting(job, course))
            _tell_course(job, course, "solved")
    return min([job.best.cents, *(c.bound for c in courses)])


def _tell_course(job: Job, course: Course, what: str) -> None:
    job.tell(
        what,
        setting=setting_text(course.b.setup.found.setting),
        bound_cents=finite(course.bound),
        goal_cents=finite(job.goal),
    )


def _settled(job: Job, course: Course, bound: float, why: str) -> float:
    """Tell that a setting is done without a tree of cases; gives its bound back."""
    job.tell(
        "settled",
        setting=setting_text(course.b.setup.found.setting),
        bound_cents=finite(bound),
        goal_cents=finite(job.goal),
        why=why,
    )
    return bound


def _solve_setting(job: Job, course: Course) -> float:
    """Solve one setting; the best kit goes into the job, the setting's bound is returned."""
    if not course.begun and job.best.design is None:
        bound = _first_kit(job, course)
        if bound is not None:
            return bound
    if job.best.design is not None and job.stopped():
        return course.bound
    full = _with_all_wiring(job, course)
    if full is None:
        return _settled(job, course, job.goal, "nothing cheaper is left")
    tree = Tree(job, full, course.kits)
    ended = tree.search()
    course.kits = tree.kits
    if ended.too_heavy and not course.weighs:
        course.bound = max(course.bound, ended.bound)
        return _weighed(job, course)
    return ended.bound


def _first_kit(job: Job, course: Course) -> float | None:
    """A kit of a setting into the job; its bound where that ends the setting."""
    for _ in range(MOST_ROUNDS):
        cuts = job.cuts(course.kits)
        if course.b.cuts != cuts:
            again = _bound_again(job, course)
            if again is None:
                return _settled(job, course, math.inf, "no answer")
            course.b = again
        if course.b.cents >= job.goal:
            return _settled(job, course, course.b.cents, "bound not under the goal")
        first = sel.first_kit(course.b, job.solver)
        if first is None:
            if _more_pairs(job, course):
                continue
            return _settled(job, course, math.inf, "no answer")
        cut = arrays_cut(job, course.b, first)
        if cut is not None:
            course.kits = learn(job, cut, course.kits)
            continue
        outcome = buy(job, course.b, first, cuts)
        if outcome is None:
            break
        course.kits, learnt = place(job, course.b, outcome, course.kits)
        if job.best.design is not None:
            job.origin = Origin(course.b, first, outcome.counts)
        if outcome.too_heavy and not course.weighs:
            return _weighed(job, course)
        if not learnt:
            break
    course.begun = True
    return None


def _more_pairs(job: Job, course: Course) -> bool:
    """Whether there were more pairs of panel and controller to look for a kit among."""
    if course.sieve is None or course.pairs is None or math.isinf(course.room_cents):
        return False
    course.room_cents *= 4
    if course.room_cents > MUCH_ROOM_CENTS:
        course.room_cents = math.inf
    found = sift.pairs_within(course.sieve, course.b.duals, course.room_cents, course.pairs)
    course.pairs = sift.joined(course.pairs, found)
    if found:
        again = _bound_again(job, course)
        course.b = course.b if again is None else again
    return True


def _weighed(job: Job, course: Course) -> float:
    """The setting once more with wiring weighed: without, kits come out over the limit."""
    again = _course(job, course.b.setup.found.setting, weighs=True)
    if again is None:
        return _settled(job, course, math.inf, "no answer")
    cuts = sift.renumbered(job.cuts(course.kits), course.b.setup, again.b.setup)
    again.kits, again.bound = cuts.kits, max(course.bound, again.bound)
    vars(course).update(vars(again))
    return _solve_setting(job, course)


def _with_all_wiring(job: Job, course: Course) -> sel.Bound | None:
    """The setting with all wiring that a cheaper kit could hold; None where none is cheaper.

    Wiring thinned by prices a unit is good for finding a kit. Where the bound is to meet the
    total, that is not enough: a cable with metres left over costs nothing more.
    """
    if course.full is None:
        setting = course.b.setup.found.setting
        make = partial(job.setup, setting, weighs=course.weighs)
        if course.sieve is not None:
            room = job.last_goal - course.b.cents + sel.KEEP_CENTS
            course.pairs = sift.pairs_within(course.sieve, course.b.duals, room)
            before, setup = course.b, make(pairs=course.pairs, like=course.b.setup)
            b = sel.bound(setup, sift.renumbered(before.cuts, before.setup, setup))
            if b is None:
                return None
            course.b, course.kits = b, b.cuts.kits
        course.full = sel.rewired(course.b, make(pairs=course.pairs, exact=True))
    found = course.full
    return found if math.isinf(job.goal) else sel.tighten(found, job.goal, job.solver)


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


def _none(job: Job, needs: Needs, stock: Stock, *, proven: bool) -> Result:
    why = reasons(needs, stock, job.panel_cuts) if proven else (NOT_DECIDED,)
    return Result(
        status="infeasible" if proven else "unknown",
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
        reasons=why,
    )


NOT_DECIDED = Reason(
    needs=(),
    message="No kit was found, and that there is none was not proven: the time was up, or a "
    "place is so full that whether everything stands in it could not be decided.",
    change="a longer time limit, or more room in the places",
)
