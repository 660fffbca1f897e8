"""The main job: from needs and a stock to the cheapest kit, with its proof.

For each setting, in the order of their bounds: a first kit, everything dropped that the gap
rules out, the programme with real purchases on what is left, the devices placed. What placing
proves impossible goes back as a cut. A setting whose bound is not under the best kit is never
solved; the least bound of all is the proof.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from decimal import ROUND_FLOOR, Decimal
from functools import partial

import numpy as np

from solver import model as m
from solver import outdone, sift
from solver import selection as sel
from solver.balance import limits_kgm
from solver.bank_bounds import banks_within, first_banks
from solver.bill import cost_of
from solver.candidates import Candidates, Pairs, Setting, candidates, lacking, settings
from solver.check import check
from solver.combiner_reasons import notes_of_combiners, notes_of_poles
from solver.fittings import notes_of
from solver.ground import notes_of_ground
from solver.market import market
from solver.needs import Needs
from solver.panel_mixes import PanelMix
from solver.panels_alone import arrays_alone, cheapest, panels_alone
from solver.placing import Outcome, arrays_cut, learn, panels_cut
from solver.possible import Unlimited
from solver.records import Reason, Result
from solver.report import bindings, energy_report
from solver.run import Found, Job, Origin, Progress, never, quiet
from solver.second import second_opinion
from solver.shopping import buy, buy_as_wired, first_by_lot, placed
from solver.small_buy import completed
from solver.small_mass import leaving_kg, over_weight, small_kg_over
from solver.small_parts import notes_of_small_parts
from solver.stock import Stock
from solver.trace import Trace, finite, setting_text, untold
from solver.tree import Tree
from solver.twins import without_twins
from solver.why import reasons
from solver.wiring import shelf

OPTIMAL_PCT = 0.01
"""A gap up to this counts as none."""

NO_PAIRS: Pairs = {}

ALONE_ROUNDS = 8
"""Panels by themselves are tried so often before a kit is looked for again."""
ALONE_S = 0.4
"""Most seconds of exact search, in the placer's own count, where panels by themselves are tried."""

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
    workers: int = 2,
    explains: bool = True,
    any_kit: bool = False,
    small_kg: float = 0.0,
    unlimited: Unlimited | None = None,
    taught: tuple[m.PanelCut | PanelMix, ...] = (),
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
        answer may then be `feasible` only. A first kit is looked for `run.FIRST_S` longer; without
        a clock no time limits it.
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
        there is none it changes nothing; asked at the start, the first kit is the soonest found,
        as with `any_kit`.
    opinion_s : float, optional
        Seconds for a second solver, which then goes over the final programme.
    workers : int
        Cases of the proof looked at side by side; the answer does not depend on it.
    explains : bool
        Whether reasons are looked for where there is no kit.
    any_kit : bool
        Whether any kit will do: it ends with the first that is within the budget with its small
        parts, and says nothing of what is cheaper. That one is looked for in haste: see `Course`.
    small_kg : float
        Mass that is left free under the limit for small parts. Where those of the cheapest kit
        break the limit, and only they do, another is looked for with so much left free.
    unlimited : Unlimited, optional
        What the reasons of other needs have asked for of the same catalog; it changes no answer.
    taught : tuple of PanelCut and PanelMix
        What is known already of panels that do not lie in the places.

    Returns
    -------
    Result
        With design, bill and checks; or infeasible, with reasons.
    """
    stated = needs.in_one_order()
    needs = leaving_kg(stated, small_kg)
    every = market(needs, stock)
    unasked, balanced = outdone.unasked(needs, every), bool(limits_kgm(needs))
    mkt = without_twins(every, unasked, balanced=balanced)
    deadline_s = None if clock is None or limit_s is None else clock() + limit_s
    job = Job(needs, mkt, shelf(needs, mkt), solver, limit_s, progress, clock, deadline_s)
    job.trace, job.stopped, job.workers = trace, stopped, workers
    job.panel_cuts = tuple(cut for cut in taught if isinstance(cut, m.PanelCut))
    job.mixes = tuple(cut for cut in taught if isinstance(cut, PanelMix))
    haste = any_kit or stopped()
    if any_kit:
        job.stopped = _with_the_first(job, stopped)
    job.outdoes = not job.pooled and len(mkt.deals) > outdone.FEW_PARTS
    lower, courses = math.inf, []
    # the setting with the least bound comes first; where any kit will do and none is too dear, the
    # first setting that has one is enough
    one_by_one = any_kit and needs.limits.budget is None
    tried = settings(needs, mkt)
    for some in [[s] for s in tried] if one_by_one else [tried]:
        courses = _courses(job, some, haste=haste)
        lower = min(lower, _each_setting(job, courses))
        if job.stopped() and job.best.design is not None:
            # of the settings that are left nothing is known
            lower = 0.0 if some[-1] is not tried[-1] else lower
            break
    lower = min(lower, job.undecided_cents)
    if not haste:
        first_by_lot(job)
    if job.best.design is None:
        proven = job.exact and lower >= job.goal
        why: tuple[Reason, ...] = () if proven else (NOT_DECIDED,)
        if proven and explains:
            why = reasons(needs, stock, job.panel_cuts, unlimited, clock)
        result = _none(job, why, proven=proven)
    else:
        result = _result(job, stated, lower)
    too_much_kg = small_kg_over(stated, result)
    if too_much_kg:
        progress(f"a lighter kit, as its small parts weigh {too_much_kg:.1f} kg")
        lighter = solve_kit(
            stated,
            stock,
            limit_s=limit_s if deadline_s is None else job.left_s(),
            solver=solver,
            progress=progress,
            clock=clock,
            trace=trace,
            stopped=stopped,
            opinion_s=opinion_s,
            workers=workers,
            explains=False,
            any_kit=any_kit,
            small_kg=too_much_kg,
            taught=job.taught,
        )
        result = _lighter(job, stated, result, lighter, lower)
    job.tell(
        "answer",
        status=result.status,
        bound_cents=finite(lower),
        total=result.kit_total,
        lower_bound=result.kit_bound,
    )
    if opinion_s is not None and job.origin is not None and not too_much_kg:
        asked = next(c for c in courses if c.b.setup.found.setting == job.origin.setting)
        result = replace(
            result, opinion=second_opinion(job, result, asked.full, asked.kits, opinion_s)
        )
    return result


def _with_the_first(job: Job, stopped: Callable[[], bool]) -> Callable[[], bool]:
    """What says to stop once there is a kit within the budget with its small parts."""
    budget = job.needs.limits.budget
    seen: list[tuple[Found, bool]] = []

    def enough() -> bool:
        best = job.best
        if best.design is None or budget is None:
            return best.design is not None
        if not seen or seen[0][0] is not best:
            whole = completed(job.needs, best.design, best.lines, best.orders, job.market)
            seen[:] = [(best, cost_of(whole.orders) <= budget)]
        return seen[0][1]

    return lambda: stopped() or enough()


def _courses(job: Job, every: Iterable[Setting], *, haste: bool) -> list[Course]:
    """Settings with their bounds, the least first; those that hold no kit are left out."""
    courses: list[Course] = []
    for s in every:
        job.progress(f"bounding {s.voltage} V, {s.chemistry}, bus bars in {s.hub}")
        lacks = lacking(candidates(job.needs, job.market, s, NO_PAIRS))
        course = None if lacks else _course(job, s, haste=haste)
        if course is not None:
            courses.append(course)
        _tell_bound(job, s, course)
    return sorted(courses, key=lambda c: c.bound)


def _tell_bound(job: Job, setting: Setting, found: Course | None) -> None:
    job.tell(
        "setting",
        setting=setting_text(setting),
        bound_cents=None if found is None else finite(found.bound),
        why="holds no kit" if found is None else None,
    )


@dataclass(frozen=True)
class NumberCase:
    """Kits with one array, or with more: their bound, and the pairs that it was found with.

    Fractions of one large array are far cheaper than any whole one. With the number of arrays
    decided, the bound is so much higher that far fewer pairs are within the gap.
    """

    count: sift.Count
    b: sel.Bound | None
    """None: there is no such kit."""
    pairs: Pairs

    @property
    def cents(self) -> float:
        """What no such kit undercuts."""
        return math.inf if self.b is None else self.b.cents


@dataclass
class Course:
    """How far a setting is solved.

    In `haste`, where the first kit ends the search, wiring is thinned by floor prices alone until
    the proof, which keeps the bound (see `groups.Pricer.rough`), and the first kit is bought in the
    wiring that floor prices choose. Where such a kit cannot be bought the setting is begun again
    without haste, so whether there is a kit does not hang on it.
    """

    b: sel.Bound
    bound: float
    kits: tuple[m.KitCut, ...] = ()
    weighs: bool = False
    haste: bool = False
    sides: bool = False
    """Candidates are compared by sides, since placing has taught something: see `outdone`."""
    begun: bool = False
    given_up: bool = False
    """No first kit of it was found, and that it holds none was not proven."""
    sieve: sift.Sieve | None = None
    """Where there are too many pairs of panel and controller to make every array."""
    pairs: Pairs | None = None
    """The pairs that arrays were made of."""
    room_cents: float = 2000.0
    """How far over the bound pairs were looked for, where those under it made no kit."""
    cases: list[NumberCase] = field(default_factory=list)
    """Of a large catalog, by how many arrays a kit has."""
    full: sel.Bound | None = None
    """With all wiring, once a proof has asked for it."""


def _course(
    job: Job,
    setting: Setting,
    *,
    weighs: bool = False,
    sides: bool = False,
    haste: bool = False,
) -> Course | None:
    """A setting with its bound; None where it holds no kit."""
    sieve, pairs = sift.sieve(job.needs, job.market, setting), None
    make = partial(job.setup, setting, weighs=weighs, sides=sides)
    if job.outdoes and sieve is not None:
        make = partial(make, rough=True, wired=partial(_first_banks, job))
    elif haste:
        make = partial(make, rough=True)
    if sieve is None:
        b = sel.bound(make(), m.Cuts())
    else:
        b, pairs = sift.bound(
            sieve,
            lambda p, like: make(pairs=p, like=like),
            m.Cuts(),
            sift.first_pairs(sieve),
        )
    if b is None:
        return None
    course = Course(
        b, b.cents, weighs=weighs, haste=haste, sides=sides, sieve=sieve, pairs=pairs
    )
    _by_number(job, course)
    return course


def _first_banks(job: Job, found: Candidates) -> frozenset[int]:
    """Banks whose wiring is made first: see `bank_bounds`."""
    price = [job.market.floor(x.battery.part, math.inf) for x in found.banks]
    owned = (n for n, x in enumerate(found.banks) if x.battery.part in job.market.owned)
    return first_banks(found, np.array(price)) | frozenset(owned)


def _by_number(job: Job, course: Course) -> None:
    """Bound kits with one array and kits with more apart, where pairs of a large catalog are sifted."""
    course.cases = []
    every = sel.everything(course.b.setup)
    if not job.outdoes or course.sieve is None or course.pairs is None or every is None:
        return
    sun_wh = sel.sun_needs_wh(course.b.setup, every)
    if max(sun_wh) <= 1e-6:
        return
    setup = course.b.setup
    make = partial(job.setup, setup.found.setting, weighs=course.weighs, sides=course.sides)
    for count in (sift.Count(1, 1, tuple(sun_wh)), sift.Count(2, None)):
        pairs = course.pairs
        if count.sun_wh:
            enough = sift.some_within(course.sieve, course.b.duals, count)
            pairs = sift.joined(pairs, enough)
        b, pairs = sift.bound(
            course.sieve,
            lambda p, like: make(pairs=p, like=like),
            course.b.cuts,
            pairs,
            setup,
            count,
        )
        course.cases.append(NumberCase(count, b, pairs))
    course.bound = max(course.bound, min(case.cents for case in course.cases))


def _bound_again(job: Job, course: Course) -> sel.Bound | None:
    """The bound with what has been learnt since."""
    cuts, setup = job.cuts(course.kits), course.b.setup
    if replace(cuts, mixes=course.b.cuts.mixes) == course.b.cuts:
        # mixes of panels are rows of whole programmes only
        return replace(course.b, cuts=cuts)
    if course.sieve is None or course.pairs is None:
        return sel.bound(setup, cuts)
    make = partial(job.setup, setup.found.setting, weighs=course.weighs, sides=course.sides)
    b, course.pairs = sift.bound(
        course.sieve, lambda p, like: make(pairs=p, like=like), cuts, course.pairs, setup
    )
    if b is not None:
        course.b, course.kits = b, b.cuts.kits
        _by_number(job, course)
    return b


def _each_setting(job: Job, courses: list[Course]) -> float:
    """Solve settings while they can still hold a cheaper kit; the bound over all of them."""
    _in_turn(job, courses)
    if job.best.design is not None:
        # with a kit of another setting in hand cases are looked at, whether they hold a first one
        # or not
        _in_turn(job, [course for course in courses if course.given_up])
    lower = min([job.best.cents, *(c.bound for c in courses)])
    if job.best.design is not None and job.left_s() == 0.0 and lower < job.goal:
        job.tell("time up", why="interrupted" if job.stopped() else "limit")
    return lower


def _in_turn(job: Job, courses: Iterable[Course]) -> None:
    """Solve settings one after the other, the one with the least bound first."""
    for course in sorted(courses, key=lambda c: c.bound):
        if course.bound >= job.goal:
            _tell_course(job, course, "skipped")
            continue
        if job.best.design is not None and job.left_s() == 0.0:
            break
        s = course.b.setup.found.setting
        job.progress(f"solving {s.voltage} V, {s.chemistry}, bus bars in {s.hub}")
        _tell_course(job, course, "solving")
        course.bound = max(course.bound, _solve_setting(job, course))
        _tell_course(job, course, "solved")


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


def _by_areas(job: Job, course: Course) -> bool:
    """Whether candidates were compared by areas although placing has taught something."""
    return job.outdoes and not course.sides and bool(job.taught or course.kits)


def _solve_setting(job: Job, course: Course) -> float:
    """Solve one setting; the best kit goes into the job, the setting's bound is returned."""
    if _by_areas(job, course):
        return _begun_again(job, course, sides=True)
    if not course.begun and job.best.design is None:
        bound = _first_kit(job, course)
        if bound is not None:
            return bound
    if job.best.design is not None and job.stopped():
        return course.bound
    full = _with_all_wiring(job, course)
    if full is None:
        return _settled(job, course, job.goal, "nothing cheaper is left")
    tree = Tree(job, full, course.kits, untaught=job.outdoes and not course.sides)
    ended = tree.search()
    course.kits = tree.kits
    too_heavy, sides = ended.too_heavy and not course.weighs, _by_areas(job, course)
    if too_heavy or sides:
        course.bound = max(course.bound, ended.bound)
        return _begun_again(job, course, weighs=too_heavy, sides=sides)
    return ended.bound


def _first_kit(job: Job, course: Course) -> float | None:
    """A kit of a setting into the job; its bound where that ends the setting."""
    for _ in range(MOST_ROUNDS):
        ended = _with_lessons(job, course)
        if ended is not None:
            return ended
        try:
            b, first = _first_parts(job, course)
        except sel.Undecided:
            break
        if first is None:
            if _more_candidates(job, course):
                continue
            return _settled(job, course, math.inf, "no answer")
        learnt, too_heavy = _first_placed(job, course, b, first)
        sides = _by_areas(job, course)
        stricter = sides or (too_heavy and not course.weighs)
        if stricter:
            return _begun_again(job, course, weighs=too_heavy, sides=sides)
        if not learnt and course.haste and job.best.design is None:
            return _begun_again(job, course, haste=False)
        if not learnt:
            course.begun = True
            return None
    return _given_up(job, course)


def _with_lessons(job: Job, course: Course) -> float | None:
    """Bound a setting with what placing has taught, and what panels by themselves then teach.

    Gives its bound where that ends the setting.
    """
    if job.given_up:
        return _given_up(job, course)
    ended = _bounded(job, course)
    # where pairs are sifted only some of the arrays are there
    if ended is not None or not job.taught or course.sieve is not None:
        return ended
    if not _panels_lie(job, course):
        return _settled(job, course, math.inf, "no answer")
    return _bounded(job, course)


def _bounded(job: Job, course: Course) -> float | None:
    """Bound a setting with what has been learnt since; gives its bound where that ends it."""
    if course.b.cuts != job.cuts(course.kits):
        again = _bound_again(job, course)
        if again is None:
            return _settled(job, course, math.inf, "no answer")
        course.b = again
    if course.b.cents >= job.goal:
        return _settled(job, course, course.b.cents, "bound not under the goal")
    return None


def _given_up(job: Job, course: Course) -> float | None:
    """A setting left undecided, or, where there is a budget and time, for its cases to decide."""
    course.begun = True
    if math.isfinite(job.goal) and not job.given_up:
        return None
    course.given_up = True
    return _settled(job, course, course.b.cents, "not decided")


def _panels_lie(job: Job, course: Course) -> bool:
    """Whether there are panels that give what is needed, and lie in their places as far as is known.

    Looks at cheap ones by themselves; what does not lie is learnt.
    """
    for bunches in (panels_alone(course.b), arrays_alone(course.b)):
        for _ in range(ALONE_ROUNDS):
            lain = cheapest(course.b, job.cuts(()), bunches, job.solver, job.one_s())
            if lain is None:
                return False
            found = (panels_cut(job, course.b, at, lain[at], ALONE_S) for at in sorted(lain))
            cut = next((c for c in found if c is not None), None)
            if cut is None or cut == "untold" or job.given_up:
                break
            course.kits = learn(job, cut, course.kits)
    return True


def _first_parts(job: Job, course: Course) -> tuple[sel.Bound, sel.First | None]:
    """Main parts of a kit, and the bound among whose candidates they were found.

    Where kits with one array are bounded apart they are looked at first. Where placing has taught
    something its cuts speak of all arrays, by their numbers.
    """
    roughly, limit_s = bool(job.taught), job.one_s()
    one = next((c.b for c in course.cases if c.count.sun_wh), None)
    if one is not None and not course.sides:
        first = sel.first_kit(one, job.solver, roughly=roughly, limit_s=limit_s)
        if first is not None:
            return one, first
    return course.b, sel.first_kit(course.b, job.solver, roughly=roughly, limit_s=limit_s)


def _first_placed(
    job: Job, course: Course, b: sel.Bound, first: sel.First
) -> tuple[bool, bool]:
    """Buy and place a first kit: whether that taught anything, and whether it is too heavy."""
    cut = arrays_cut(job, b, first.keep)
    if cut is not None:
        course.kits = learn(job, cut, course.kits)
        return True, False
    least_cents = min(b.cents, course.b.cents)
    for bought, again in _purchases(job, course, b, first):
        outcome, course.kits, learnt = placed(
            job, b, bought, course.kits, least_cents, again=again
        )
        if outcome is None:
            continue
        if job.best.design is not None:
            job.origin = Origin(b, first.keep, outcome.counts)
        return learnt, outcome.too_heavy
    return False, False


def _purchases(
    job: Job, course: Course, b: sel.Bound, first: sel.First
) -> Iterator[tuple[Callable[[], Outcome | None], bool]]:
    """Ways to buy a first kit, and whether each is asked again where cutting teaches something."""
    if course.haste:
        yield buy_as_wired(job, b, first, course.kits), True
    bought = buy(job, b, first.keep, course.kits)
    if bought is not None:
        yield bought, job.pooled


def _more_candidates(job: Job, course: Course) -> bool:
    """Whether there were more banks, or pairs of panel and controller, to look for a kit among."""
    wired, every = course.b.setup.wiring.wired, len(course.b.setup.found.banks)
    if wired is not None and len(wired) < every:
        setup = sel.with_banks(course.b.setup, frozenset(range(every)))
        course.b = replace(course.b, setup=setup)
    elif course.sieve is None or course.pairs is None or math.isinf(course.room_cents):
        return False
    else:
        course.room_cents *= 4
        if course.room_cents > sift.MUCH_ROOM_CENTS:
            course.room_cents = math.inf
        duals, room = course.b.duals, course.room_cents
        found = sift.pairs_within(course.sieve, duals, room, course.pairs)
        course.pairs = sift.joined(course.pairs, found)
        if not found:
            return True
    again = _bound_again(job, course)
    course.b = course.b if again is None else again
    return True


def _begun_again(
    job: Job, course: Course, *, weighs: bool = False, sides: bool = False, haste: bool = True
) -> float:
    """The setting once more, stricter.

    With its wiring weighed, where kits come out over the limit without; with candidates compared
    by sides, where placing has taught something: see `solver.outdone`; without haste, where the
    kit that it would have been in haste cannot be bought. There are other candidates
    then, so what placing has taught of their numbers is forgotten.
    """
    weighs, sides = weighs or course.weighs, sides or course.sides
    haste = haste and course.haste
    setting = course.b.setup.found.setting
    again = _course(job, setting, weighs=weighs, sides=sides, haste=haste)
    if again is None:
        return _settled(job, course, math.inf, "no answer")
    if again.sides == course.sides:
        cuts = sift.renumbered(job.cuts(course.kits), course.b.setup, again.b.setup)
        again.kits = cuts.kits
    again.bound = max(course.bound, again.bound)
    vars(course).update(vars(again))
    return _solve_setting(job, course)


def _with_all_wiring(job: Job, course: Course) -> sel.Bound | None:
    """The setting with all wiring that a cheaper kit could hold; None where none is cheaper.

    Wiring thinned by prices a unit is good for finding a kit. Where the bound is to meet the
    total, that is not enough: a cable with metres left over costs nothing more.
    """
    if course.full is None:
        setting = course.b.setup.found.setting
        make = partial(job.setup, setting, weighs=course.weighs, sides=course.sides)
        if course.sieve is not None:
            course.pairs, banks = _left(job, course, course.sieve)
            before, setup = course.b, make(pairs=course.pairs, like=course.b.setup)
            if banks is not None:
                make = partial(make, wired=lambda _: banks, most_a=_most_a(job, course, setup))
                setup = sel.with_banks(setup, banks)
            b = sel.bound(setup, sift.renumbered(before.cuts, before.setup, setup))
            if b is None:
                return None
            course.b, course.kits = b, b.cuts.kits
        course.full = sel.rewired(course.b, make(pairs=course.pairs, exact=True))
    found = course.full
    return found if math.isinf(job.goal) else sel.tighten(found, job.goal, job.solver)


def _most_a(job: Job, course: Course, setup: m.Setup) -> tuple[float, float]:
    """What kits under the goal draw at the most, and what their arrays charge with."""
    found, draw_a, array_a = setup.found, 0.0, 0.0
    for case in course.cases:
        room = job.goal - case.cents + sel.KEEP_CENTS
        if case.b is None or room < 0:
            continue
        left = sel.promising(case.b, room - sel.KEEP_CENTS).inverters
        currents = [found.inverters[n].current_a for n in left]
        draw_a = max(draw_a, found.dc_together_a + max(currents, default=0.0))
        one = case.count.most == 1 and len(found.arrays)
        array_a = max(array_a, float(found.arrays.charge_a.max()) if one else math.inf)
    return (draw_a + 1e-6, array_a + 1e-6) if course.cases else (math.inf, math.inf)


def _left(job: Job, course: Course, sieve: sift.Sieve) -> tuple[Pairs, frozenset[int] | None]:
    """The pairs and the banks that a kit under the goal could hold; None: all banks."""
    cases = course.cases or [NumberCase(sift.Count(0, None), course.b, {})]
    pairs: Pairs = {}
    banks: frozenset[int] = frozenset()
    for case in cases:
        room = job.goal - case.cents + sel.KEEP_CENTS
        if case.b is None or room < 0:
            continue
        found = sift.pairs_within(sieve, case.b.duals, room, count=case.count)
        pairs, banks = sift.joined(pairs, found), banks | banks_within(case.b, room)
    return pairs, None if course.b.setup.wiring.wired is None else banks


# --- the result -------------------------------------------------------------------------------


def _result(job: Job, needs: Needs, lower_cents: float) -> Result:
    """The best kit with its small parts, for the needs as they are stated."""
    best = job.best
    if best.design is None:
        raise AssertionError("a result without a kit")
    kit_total = cost_of(best.orders)
    whole = completed(needs, best.design, best.lines, best.orders, job.market)
    total = cost_of(whole.orders)
    # the small parts follow from the kit: no bound is claimed for other kits' small parts
    bound, gap = _bound_and_gap(kit_total, total, lower_cents)
    if needs.limits.budget is not None and total > needs.limits.budget:
        return _over_budget(job, kit_total, total, proven=gap <= OPTIMAL_PCT and job.exact)
    energy = energy_report(needs, whole.design)
    return Result(
        status="optimal" if gap <= OPTIMAL_PCT else "feasible",
        currency=needs.job.currency,
        total=total,
        lower_bound=bound,
        gap_pct=gap,
        design=whole.design,
        energy=energy,
        lines=whole.lines,
        orders=whole.orders,
        checks=check(needs, whole.design, whole.lines, whole.orders),
        bindings=bindings(needs, whole.design, total, energy),
        notes=(
            *job.market.notes,
            *(() if job.exact or gap <= OPTIMAL_PCT else (UNDECIDED,)),
            *notes_of(whole.design),
            *notes_of_combiners(needs, job.shelf),
            *notes_of_poles(needs, whole.design),
            *notes_of_ground(whole.design),
            *notes_of_small_parts(needs, whole.design),
        ),
        reasons=(),
        kit_total=kit_total,
    )


def _over_budget(job: Job, kit_total: Decimal, total: Decimal, *, proven: bool) -> Result:
    """The cheapest kit is within the budget, and its small parts are not."""
    currency, budget = job.needs.job.currency, job.needs.limits.budget
    found = "" if proven else " found in the time given"
    why = Reason(
        needs=("limits.budget",),
        message=f"The cheapest kit{found} costs {kit_total:.2f} {currency}; with its small parts "
        f"and tools, bought at least cost, it comes to {total:.2f}, and the budget is "
        f"{budget:.2f}. Whether a dearer kit has small parts so much cheaper was not decided.",
        change=f"limits.budget to {total:.2f}; or state what is owned, tools too",
    )
    return _none(job, (why,) if proven else (why, NOT_DECIDED), proven=False)


def _lighter(
    job: Job, needs: Needs, heavy: Result, lighter: Result, lower_cents: float
) -> Result:
    """The kit that keeps the limit on mass with its small parts, or why there is none.

    What no kit undercuts was proven of all kits within the limit without their small parts, so
    of these too.
    """
    if lighter.total is None or lighter.kit_total is None:
        return _none(job, (over_weight(needs, heavy),), proven=False)
    bound, gap = _bound_and_gap(lighter.kit_total, lighter.total, lower_cents)
    proven = gap <= OPTIMAL_PCT and job.exact
    status = "optimal" if proven else "feasible"
    return replace(lighter, status=status, lower_bound=bound, gap_pct=gap)


def _bound_and_gap(
    kit_total: Decimal, total: Decimal, lower_cents: float
) -> tuple[Decimal, float]:
    """The bound of a kit with its small parts, and how far that is above it, in per cent."""
    bound = _bound(kit_total, lower_cents) + (total - kit_total)
    return bound, float((total - bound) / total * 100) if total else 0.0


def _bound(total: Decimal, lower_cents: float) -> Decimal:
    """The bound as money: never above the total, else rounded down to a cent."""
    if lower_cents >= float(total * 100) - 1.0 + 1e-6:
        return total
    return (Decimal(lower_cents) / 100).quantize(Decimal("0.01"), rounding=ROUND_FLOOR)


def _none(job: Job, why: tuple[Reason, ...], *, proven: bool) -> Result:
    return Result(
        status="infeasible" if proven else "unknown",
        currency=job.needs.job.currency,
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


UNDECIDED = (
    "Of some cheaper kits it could not be decided in time whether everything stands in its place, "
    "or whether the cables come out of what is bought: they were left out, and the bound says so. "
    "More time, or more room in the places, may find a cheaper kit."
)
NOT_DECIDED = Reason(
    needs=(),
    message="No kit was found, and that there is none was not proven: the time was up, or a "
    "place is so full that whether everything stands in it could not be decided.",
    change="a longer time limit, or more room in the places",
)
