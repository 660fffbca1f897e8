"""The proof of a setting: cases split until a bound or a solved programme closes each.

A case is a set of candidates that a kit cheaper than the best could be made of. Its relaxed
programme with real purchases gives a bound; what its reduced costs rule out is dropped. Cases are
split by inverter, bank, arrays, panel, controller, other ways in, charger and by what is decided of
each supplier's freight, and the least bound is looked at first, but for equals of the best kit. A
case whose bound reaches the goal is closed; one that is small is solved as a whole programme. Every
kit is in some case, so the least bound of the cases that are not closed is a bound for the setting.
"""

from __future__ import annotations

import heapq
import math
from collections import deque
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray  # noqa: TC002  beside numpy, as everywhere

from solver import model as m
from solver import selection as sel
from solver.crew import LATE, Crew
from solver.groups import needed_among
from solver.market import Freight
from solver.milp import LpAnswer, MipAnswer, Programme, Relaxed, none_found, solve
from solver.placing import Outcome, outcome_of
from solver.run import Job, Origin, money
from solver.shopping import from_shops, placed
from solver.splits import ARRAY_KINDS, AT_ONCE, FIRST, Bounded, Split, part_of, probe, splits_of
from solver.ties import LOT_GAP, TIE_CENTS, better_than, first_of_equals, kit_lots, setting_lot
from solver.trace import finite, part_text, setting_text
from solver.whole_packs import Row, broken_rows

ROUNDS = 4
"""How often a case is relaxed again with the rows that the last answer broke."""

SIDE_BY_SIDE = 5
"""So many cases are begun before what came of the first is taken."""

LEAST_GAIN = 0.0003
"""And no further when a round raises the bound by less than this share."""

FEW_CASES = 10
"""With no more open cases that may hold a kit under the goal the longest is begun before others."""

SMALL_GAP = 0.01
"""A case with no more than this between bound and goal, as a share, is solved whole: with several
suppliers, once the freight of each is decided."""

SMALL_GAP_SHOP = 0.0005
"""The same where the freight of a supplier is yet to be decided, which moves the bound most."""

SMALL_GAP_DECIDED = 0.002
"""The same where freight was never to be decided, as with one supplier."""

NEAR_CASES = 4
"""In so many cases at the most, where freight is to be decided, a kit is looked for near the relaxed
answer."""

NEAR_COLUMNS = 1500
"""And in no larger programme than that."""

MOST_ORDERS = 4
"""With no more sets of suppliers that an order could go to, each is looked at by itself."""

MUCH_TOLD = 1.25
"""So many times its columns a case's programme may have with what pieces are cut from."""

SAME_CENTS = 1.0
"""A case whose bound is no further below the best kit holds nothing cheaper: whole prices differ
by a cent at least."""


@dataclass(order=True)
class Case:
    """Candidates that a cheaper kit could be made of, with a bound."""

    bound: float
    number: int
    keep: m.Keep = field(compare=False)
    ways_known: bool = field(default=False, compare=False)
    costed: bool = field(default=False, compare=False)
    """It holds nothing cheaper than the best kit, and its equals: the first by lot is wanted."""
    told: tuple[str, ...] = field(default=(), compare=False)
    """Cables of which its programme tells which length each piece is cut from."""
    aims: int = field(default=0, compare=False)
    """How many aims in a row were below all that it holds."""
    rows: list[m.KeyRow] = field(default_factory=list, compare=False)
    """Rows that relaxed answers broke, here and in the cases that this one came from."""


@dataclass(frozen=True)
class LeastArrays:
    """What the arrays of a kit cost at the least, as it was worked out for some case."""

    inverter: int | None
    charger: int | str | None
    closed: frozenset[str]
    fewest: int
    most: float
    cost_cents: float
    counts: Mapping[int, int]
    """How many of each array cost so little."""

    def holds(self, setup: m.Setup, keep: m.Keep) -> bool:
        """Whether it is known of another case too, which allows no more than that one did.

        With other suppliers closed everything costs as much or more, and with other numbers of
        arrays allowed there are fewer sets: so where those arrays are allowed and cost the same,
        they are still the cheapest.
        """
        most = keep.arrays_limit
        if not (self.closed <= keep.closed and self.fewest <= keep.fewest_arrays):
            return False
        if self.most < most:
            return False
        if math.isinf(self.cost_cents):
            return True
        if not keep.fewest_arrays <= sum(self.counts.values()) <= most:
            return False
        if self.closed == keep.closed:
            return True
        before, now = m.array_cost(setup, self.closed), m.array_cost(setup, keep.closed)
        alike = all(before[i] == now[i] for i in self.counts)
        return alike and not m.owned_of_arrays(setup)


@dataclass(frozen=True)
class Task:
    """What is known when a case is begun."""

    goal_cents: float
    best_cents: float
    best_lot: int
    cuts: m.Cuts
    left_s: float | None
    least_cents: float = math.inf
    """The least bound of the other cases that are open."""
    looks_near: bool = False
    """A kit is to be looked for near the relaxed answer."""
    least: list[LeastArrays] = field(default_factory=list)
    """Of cases before; what is worked out in this one comes behind."""


@dataclass(frozen=True)
class Seen:
    """What came of looking at a case: closed (nothing), to be split, or solved whole."""

    columns: int = 0
    parts: Split | None = None
    bounds: Mapping[object, float] = field(default_factory=dict)
    """Of the parts, what no kit of them undercuts, where that is known."""
    then: Bounded = ()
    """By what the parts are split at once, with such bounds."""
    again: str = ""
    """Why it is to be looked at again as it is: something was decided, it is known up to an aim, or
    others come first."""
    status: str = ""
    """How the whole programme ended; empty where it was not solved."""
    counts: sel.Counts = field(default_factory=dict)
    """The chosen columns with their values."""
    options: Sequence[tuple[object, ...]] = ()
    """Keys of all options in the programme."""
    near: m.Keep | None = None
    """What the relaxed programme chooses from, where a kit is to be looked for among that."""
    least: Sequence[LeastArrays] = ()
    """What was worked out of the least that arrays cost."""


@dataclass
class Ended:
    """How the proof of a setting ended."""

    bound: float
    too_heavy: bool = False


class Tree:
    """The open cases of one setting."""

    def __init__(
        self, job: Job, b: sel.Bound, kits: tuple[m.KitCut, ...], *, untaught: bool = False
    ) -> None:
        """Of a bound; `untaught`: what placing teaches ends it, see `solver.outdone`."""
        self.job, self.b, self.kits = job, b, kits
        self.untaught, self.ends = untaught, False
        self.first = sel.promising(b, job.goal - b.cents)
        """The case that all others come from."""
        self.open: list[Case] = []
        self.made = 0
        self.left_open = math.inf
        """The least bound of cases given up."""
        self.too_heavy = False
        self.least: list[LeastArrays] = []
        self.near_left = NEAR_CASES if job.pooled else 0
        """In so many cases a kit is still looked for near the relaxed answer."""

    def search(self) -> Ended:
        """Close every case, as far as the time goes.

        Several cases are looked at side by side, and what came of them is taken in the order in
        which they were begun: so the answer does not depend on how many workers there are.
        """
        self._say("proof", bound_cents=self.b.cents)
        self._add(self.b.cents, sel.copied(self.first))
        if self._goes_on():
            # what this one works out is known to all workers
            self._take(*self._look((heapq.heappop(self.open), self._task([]))))
        begun: deque[tuple[float, bool, Callable[[float | None], Any]]] = deque()
        with Crew(self._look, self.job.workers, self.job.stopped) as crew:
            while begun or self._goes_on():
                while len(begun) < SIDE_BY_SIDE and self._goes_on():
                    case = self._next([costed for _, costed, _ in begun])
                    task = self._task([bound for bound, *_ in begun])
                    begun.append((case.bound, case.costed, crew.begin((case, task))))
                if not begun:  # the time was up just now
                    break
                bound, _, result = begun.popleft()
                ended = result(self.job.time_s())
                if ended is LATE:
                    self.left_open = min([self.left_open, bound, *(b for b, *_ in begun)])
                    break
                case, seen = ended
                self._tell(case, [bound for bound, *_ in begun], seen)
                self._take(case, seen)
        self.left_open = min([self.left_open, *(c.bound for c in self.open)])
        ended = Ended(min(self.left_open, self.job.goal), self.too_heavy)
        self._say("proof ended", bound_cents=finite(ended.bound))
        return ended

    def _say(self, what: str, **said: Any) -> None:
        """Tell a step of this proof."""
        setting = setting_text(self.b.setup.found.setting)
        self.job.tell(what, setting=setting, goal_cents=finite(self.job.goal), **said)

    def _task(self, begun: list[float]) -> Task:
        job = self.job
        cuts, lot_sum = job.cuts(self.kits), job.best.lots[0]
        least = min([*begun, *(case.bound for case in self.open[:1])], default=math.inf)
        if len(begun) + self._under_goal() < SIDE_BY_SIDE:
            # what waits for others now may be solved after them, with nothing beside it
            least = math.inf
        near = self.near_left > 0
        left_s = job.time_s()
        return Task(
            job.goal, job.best.cents, lot_sum, cuts, left_s, least, near, list(self.least)
        )

    def _goes_on(self) -> bool:
        """Whether another case is to be looked at."""
        if not self.open or self.too_heavy or self.ends or self.open[0].bound >= self.job.goal:
            return False
        return self.job.time_s() != 0.0

    def _next(self, begun: Sequence[bool]) -> Case:
        """The case with the least bound; where few are left one whose equals are looked for second.

        That takes long, and by its bound it comes last, with nothing left to look at beside it.
        `begun` tells of each case that is looked at whether it is such a one.
        """
        costed = [case for case in self.open if case.costed and case.bound < self.job.goal]
        if not costed or not begun or any(begun) or self._under_goal() > FEW_CASES:
            return heapq.heappop(self.open)
        case = min(costed)
        self.open.remove(case)
        heapq.heapify(self.open)
        return case

    def _under_goal(self) -> int:
        """How many open cases may hold a kit under the goal."""
        return sum(case.bound < self.job.goal for case in self.open)

    def _tell(self, case: Case, others: list[float], seen: Seen) -> None:
        if not seen.columns:
            return
        lowest = min([case.bound, self.left_open, *others, *(c.bound for c in self.open[:1])])
        self.job.progress(
            f"proof: no kit under {money(lowest)}; {len(self.open) + len(others) + 1} cases "
            f"open, {seen.columns} columns in this one"
        )

    def _add(
        self,
        bound: float,
        keep: m.Keep,
        *,
        ways_known: bool = False,
        costed: bool = False,
        told: tuple[str, ...] = (),
        aims: int = 0,
        rows: Sequence[m.KeyRow] = (),
        parent: int | None = None,
        into: str | None = None,
        then: Bounded = (),
    ) -> None:
        self.made += 1
        known = finite(bound)
        self._say("case", case=self.made, parent=parent, into=into, bound_cents=known)
        case = Case(bound, self.made, keep, ways_known, costed, told, aims, list(rows))
        if then and bound < self.job.goal:
            (split, bounds), *rest = then
            self._split(case, split, bounds, rest)
        else:
            heapq.heappush(self.open, case)

    # -- one case

    def _look(self, begun: tuple[Case, Task]) -> tuple[Case, Seen]:
        """Bound a case and drop what it rules out; solve it whole where that is best.

        Changes nothing but the case, which is given back: other cases are looked at meanwhile.
        """
        case, task = begun
        before = len(task.least)
        seen = self._seen(case, task)
        return case, replace(seen, least=task.least[before:])

    def _seen(self, case: Case, task: Task) -> Seen:
        if case.costed:
            return self._by_lot(case, task)
        self._drop_replaced(case.keep)
        model = self._built(case, task)
        if model is None:
            return Seen()
        relaxed = Relaxed(model.programme)
        answer = self._relaxed(case, model, relaxed, task)
        if answer is None or case.bound >= task.goal_cents:
            return Seen()
        gap = task.goal_cents - answer.objective + sel.KEEP_CENTS
        splits = self._splits(case, _shares(model, answer))
        if math.isfinite(gap):
            self._drop(case.keep, model, answer, gap)
        small = self._small(case.keep) * task.goal_cents
        if splits and small < gap:
            near = self._near(case, task, model, answer, splits)
            seen = self._probed(case, task, model, relaxed, answer, splits)
            return replace(seen, near=near if seen.parts else None)
        if gap < math.inf and case.bound > task.least_cents + small:
            # a kit of a case that promises more may close this one without more ado
            return Seen(len(model.keys), again="later")
        return self._whole(case, task, model, answer, splits)

    def _near(
        self, case: Case, task: Task, model: m.Model, answer: LpAnswer, splits: Sequence[Split]
    ) -> m.Keep | None:
        """What the relaxed programme chooses from: good whole choices are mostly among that.

        None where no kit is to be looked for there.
        """
        if not task.looks_near or any(s.kind in FIRST for s in splits):
            return None
        shares = _shares(model, answer)
        keep = sel.copied(case.keep)
        keep.arrays = keep.arrays[
            np.array([("array", n) in shares for n in keep.arrays.tolist()], dtype=bool)
        ]
        for kind, numbers in sel.lists_of(keep).items():
            numbers[:] = [n for n in numbers if (kind, n) in shares]
        keep.dropped |= {k for k in model.keys if k[0] in sel.OPTION_KINDS and k not in shares}
        keep.shops = {s: state for s, state in keep.shops.items() if state == "closed"}
        return keep

    def _whole(
        self, case: Case, task: Task, model: m.Model, answer: LpAnswer, splits: Sequence[Split]
    ) -> Seen:
        """What solving a case as a whole programme says, up to the aim or the goal."""
        aimed, keep = self._aimed(case, task, answer.objective), case.keep
        if aimed is not task:
            # what the aim rules out may well be in a kit between it and the goal
            keep = sel.copied(keep)
            self._drop(
                keep, model, answer, aimed.goal_cents - answer.objective + sel.KEEP_CENTS
            )
        built: m.Model | None = model
        if math.isfinite(aimed.goal_cents):
            before = case.told
            built = self._told(case, keep, aimed, MUCH_TOLD * len(model.keys))
            if built is not None:
                apart = {*case.told} - {*before}
                _shut_dear(
                    built,
                    model,
                    answer,
                    aimed.goal_cents,
                    bought_alike=lambda part: part not in apart,
                )
        solved = None if built is None else self._solved(built, aimed)
        if aimed is not task and (solved is None or solved.status == "infeasible"):
            case.bound = max(case.bound, aimed.goal_cents)
            return Seen(len(model.keys), again="aim")
        if built is None or solved is None:
            return Seen()
        case.bound = max(case.bound, solved.bound)
        counts = {} if solved.status == "nothing" else sel.counted(built, solved)
        # those that the aim alone left out are not chosen either
        options = [k for k in model.keys if counts and k[0] in sel.OPTION_KINDS]
        first = splits[0] if splits else None
        columns, status = len(model.keys), solved.status
        return Seen(columns, first, status=status, counts=counts, options=options)

    def _told(self, case: Case, keep: m.Keep, task: Task, most: float) -> m.Model | None:
        """The programme that is to be solved whole, with what pieces are cut from where that is known
        to matter, if it has few columns more: else it may be solved once more for that alone.
        """
        told = task.cuts.lengths
        if self.job.pooled and not self._undecided(keep) and case.told != told:
            built = self._built(replace(case, keep=sel.copied(keep), told=told), task)
            if built is None:
                return None
            if len(built.keys) <= most:
                case.told = told
                return built
        return self._built(replace(case, keep=keep), task)

    def _aimed(self, case: Case, task: Task, value: float) -> Task:
        """The task with a lower goal, where the case's own is far above its relaxed value.

        A whole programme is solved the sooner the less there is between its bound and what a kit
        may cost. So a kit is looked for within a small gap first: where there is none, that raises
        the bound, and the case waits until its bound is the least again. The gap is then twice as
        wide: a case that goes up alone would go up by hundreds of small steps.
        """
        small = self._small(case.keep) * task.goal_cents
        aim = max(value, case.bound) + small * 2**case.aims
        if math.isinf(task.goal_cents) or aim >= task.goal_cents:
            return task
        return replace(task, goal_cents=aim)

    def _by_lot(self, case: Case, task: Task) -> Seen:
        """Look for a kit that costs what the best does and comes before it by lot."""
        if case.bound >= task.goal_cents:
            return Seen()
        setup, keep = self.b.setup, sel.copied(case.keep)
        # bought as it really is: whether a supplier sends for nothing is for this programme to say
        keep.shops = {s: state for s, state in keep.shops.items() if state == "closed"}
        model = self._built(replace(case, keep=keep, rows=[]), task, freight="exact")
        if model is None:
            return Seen(status="infeasible")
        lots = kit_lots(setup, model.keys)
        self._shut_unequal(case, task, model)
        most_lot = task.best_lot - setting_lot(setup) - LOT_GAP

        def in_time(p: Programme, gap: float, most: float) -> MipAnswer:
            left = self.job.time_s()
            if left == 0.0:
                return none_found(len(p.cost))
            return solve(
                p,
                solver=self.job.solver,
                limit_s=left,
                gap=gap,
                proving=True,
                most=most,
                stopped=self.job.stopped,
            )

        most_cents = task.best_cents + TIE_CENTS
        solved = first_of_equals(model.programme, lots, most_cents, most_lot, in_time)
        counts = {} if solved.status == "nothing" else sel.counted(model, solved)
        options = [k for k in model.keys if counts and k[0] in sel.OPTION_KINDS]
        columns, status = len(model.keys), solved.status
        return Seen(columns, status=status, counts=counts, options=options)

    def _shut_unequal(self, case: Case, task: Task, model: m.Model) -> None:
        """Leave out of a programme what no kit of the best one's cost takes.

        Whatever kit it holds can be bought in the case's own programme for no more, though perhaps
        otherwise: so what that kit chooses costs too much here where it does there.
        """
        known = self._built(replace(case, keep=sel.copied(case.keep)), task)
        if known is None:
            return
        answer = self._relaxed(replace(case, rows=[]), known, Relaxed(known.programme), task)
        if answer is not None:
            goal = task.best_cents + TIE_CENTS
            _shut_dear(model, known, answer, goal, bought_alike=lambda _: False)

    def _splits(self, case: Case, shares: sel.Counts) -> list[Split]:
        """By what a case could be split."""
        freight = self.job.market.freight if self.job.pooled else {}
        known = case.ways_known
        return splits_of(self.b.setup.found, case.keep, freight, shares, ways_known=known)

    def _probed(
        self,
        case: Case,
        task: Task,
        model: m.Model,
        relaxed: Relaxed,
        answer: LpAnswer,
        splits: Sequence[Split],
    ) -> Seen:
        """The split that raises the bound most, with what all of them rule out dropped."""
        found, columns = self.b.setup.found, len(model.keys)
        if math.isinf(task.goal_cents):
            return Seen(columns, splits[0])
        if any(s.kind in AT_ONCE for s in splits):
            # what suppliers decide is told better of the parts
            splits = [s for s in splits if s.kind in FIRST]
        told = probe(relaxed, model.keys, found, case.keep, splits, answer, task.goal_cents)
        if told.none:
            case.bound = task.goal_cents
            return Seen()
        self._drop_columns(case.keep, model, ~told.stays)
        for kind, value in told.decided:
            case.keep = part_of(found, case.keep, kind, value)
            case.ways_known = case.ways_known or kind == "ways"
        case.bound = max(case.bound, min(told.bounds.values(), default=0.0))
        newly = any(kind in FIRST for kind, _ in told.decided)
        if told.best is None or (newly and told.best.kind not in FIRST):
            return Seen(columns, again="decided")
        return Seen(columns, told.best, told.bounds, told.then)

    def _small(self, keep: m.Keep) -> float:
        """With a gap of no more than this share a case is solved whole."""
        if not self.job.pooled:
            return SMALL_GAP_DECIDED
        return SMALL_GAP_SHOP if self._undecided(keep) else SMALL_GAP

    def _undecided(self, keep: m.Keep) -> bool:
        """Whether the freight of a supplier is yet to be decided."""
        freight = self.job.market.freight.items()
        return any(f.shipping > 0 and name not in keep.shops for name, f in freight)

    def _solved(self, model: m.Model, task: Task) -> MipAnswer:
        """A case as a whole programme, in which a kit costs no more than the goal.

        Where that lets in what costs the same as the best kit, only what comes first by lot.
        """
        under_goal = math.isfinite(task.goal_cents)
        if under_goal:
            model.programme.at_most(model.programme.priced, task.goal_cents, "under the goal")
        if under_goal and task.goal_cents > task.best_cents:
            lots = kit_lots(self.b.setup, model.keys)
            lot_sum = task.best_lot - setting_lot(self.b.setup)
            better_than(model, lots, task.best_cents, lot_sum)
        return solve(
            model.programme,
            solver=self.job.solver,
            limit_s=None if task.left_s is None else max(task.left_s, 1.0),
            gap=sel.MIP_GAP_CENTS,
            proving=under_goal,
            most=task.goal_cents if under_goal else None,
            # before there is a kit, an interruption ends the whole run
            stopped=self.job.stopped if self.job.best.design is not None else None,
        )

    def _relaxed(
        self, case: Case, model: m.Model, relaxed: Relaxed, task: Task
    ) -> LpAnswer | None:
        """The relaxed programme's answer with rows added that it breaks; None: it has none."""
        answer = relaxed.solve()
        first = len(model.programme.rows)
        found: list[Row] = []
        for _ in range(ROUNDS):
            if answer.infeasible or answer.objective >= task.goal_cents:
                break
            rows = broken_rows(model.paid, answer.values)
            for row in rows:
                model.add(row)
            found += rows
            before = answer.objective
            if rows:
                answer = relaxed.solve()
            if answer.infeasible or answer.objective < before + LEAST_GAIN * before:
                break
        if answer.infeasible:
            return None
        case.bound = max(case.bound, answer.objective)
        duals = answer.row_duals[first : first + len(found)]
        case.rows += [model.by_keys(r) for r, d in zip(found, duals, strict=True) if d > 0]
        return answer

    def _built(self, case: Case, task: Task, freight: str | None = None) -> m.Model | None:
        """The programme of a case; None where a kind that is needed has run out."""
        found, keep = self.b.setup.found, case.keep
        cost = m.array_cost(self.b.setup, keep.closed)
        keep.arrays = keep.arrays[np.isfinite(cost[keep.arrays])]
        if keep.one_array:
            keep.arrays = sel.enough_alone(self.b.setup, keep)
        if not (keep.banks and keep.busbars and keep.switches and keep.monitors):
            return None
        inverters: list[int | None] = list(keep.inverters) or [None]
        least = {i: self._least(keep, i, "any", task.least) for i in inverters}
        if found.ac_needed and not keep.inverters:
            return None
        keep.array_least = {i: v for i, v in least.items() if math.isfinite(v)}
        keep.inverters = [i for i in keep.inverters if i in keep.array_least]
        if not keep.array_least:
            return None
        keep.array_least_with = {}
        if len(keep.array_least) == 1:
            (i,) = keep.array_least
            ways: list[int | None] = [None, *keep.chargers]
            keep.array_least_with = {k: self._least(keep, i, k, task.least) for k in ways}
            least_of = [keep.array_least_with[k] for k in self._allowed(keep, i)]
            if least_of:
                keep.array_least[i] = min(least_of)
            if math.isinf(keep.array_least[i]):
                return None
        keep.fewest_arrays = max(keep.fewest_arrays, sel.some_array_needed(self.b, keep))
        freight = freight or ("bounded" if self.job.pooled else "exact")
        cuts = task.cuts
        if freight == "bounded":
            cuts = replace(cuts, lengths=case.told)
        model = m.build(self.b.setup, keep, cuts, floor=False, freight=freight)
        for row in case.rows:
            # of a cable told by its lengths there are other packs, which no such row counts
            if not {k[1] for k, _ in row.terms if k[0] == "packs"} & {*cuts.lengths}:
                model.add_by_keys(row)
        return model

    def _allowed(self, keep: m.Keep, inverter: int | None) -> list[int | None]:
        """Chargers of which one is chosen, or none; empty where there could be two."""
        found = self.b.setup.found
        serves = inverter is not None and bool(found.inverters[inverter].serves)
        if not keep.chargers:
            return [None]
        if len(keep.ways) != 1 or serves:
            return []
        return [k for k in keep.chargers if m.way_of(found, k) in keep.ways]

    def _least(
        self,
        keep: m.Keep,
        inverter: int | None,
        charger: int | str | None,
        known: list[LeastArrays],
    ) -> float:
        """What the arrays cost at the least with an inverter and a charger.

        Counted over the arrays of the first case: every other holds some of them, but two cases
        can each hold what the other does not. What is worked out joins what is `known`.
        """
        setup, found = self.b.setup, self.b.setup.found
        for one in known:
            if (one.inverter, one.charger) == (inverter, charger) and one.holds(setup, keep):
                return one.cost_cents / m.CENTS
        other = np.zeros(len(found.months))
        if inverter is not None:
            other += np.array(found.inverters[inverter].other_wh or 0.0)
        if isinstance(charger, int):
            other += np.array(found.chargers[charger].other_wh)
        wh = None if charger == "any" else other.tolist()
        every = replace(keep, arrays=self.first.arrays)
        cents, counts = sel.cheapest_arrays(self.b, every, inverter, wh, self.job.solver)
        numbers = keep.fewest_arrays, keep.arrays_limit
        known.append(LeastArrays(inverter, charger, keep.closed, *numbers, cents, counts))
        return cents / m.CENTS

    def _drop(self, keep: m.Keep, model: m.Model, relaxed: LpAnswer, gap: float) -> None:
        """Drop every column whose reduced cost is above the gap, and arrays in no cheap set."""
        whole = np.array(model.programme.whole)
        self._drop_columns(keep, model, (relaxed.reduced > gap) & whole)
        slope = float(relaxed.row_duals[model.array_rows["array cost"]]) / m.CENTS
        sel.narrow_arrays(self.b, keep, gap / m.CENTS, slope, self.job.solver)

    def _drop_columns(self, keep: m.Keep, model: m.Model, gone: NDArray[np.bool_]) -> None:
        """Drop candidates and options by their columns."""
        lists = sel.lists_of(keep)
        arrays = set(keep.arrays.tolist())
        for j in np.flatnonzero(gone).tolist():
            key = model.keys[j]
            kind, number = str(key[0]), key[1] if len(key) > 1 else None
            if kind == "array":
                arrays.discard(number)
            elif kind in lists and isinstance(number, int):
                if number in lists[kind]:
                    lists[kind].remove(number)
            elif kind in sel.OPTION_KINDS:
                keep.dropped.add(key)
        keep.arrays = np.array(sorted(arrays), dtype=np.int64)

    def _drop_replaced(self, keep: m.Keep) -> None:
        """Drop options that others replace, whichever of the suppliers left are ordered from.

        Each set of suppliers that an order could go to is looked at by itself, as soon as they
        are few.
        """
        freight = self.job.market.freight
        orders = possible_orders(freight, keep.shops)
        if not self.job.pooled or len(orders) > MOST_ORDERS:
            return
        pricer = self.b.setup.pricer
        for key, group in m.fixed_groups(self.b.setup, keep):
            left = [k for k in range(len(group.options)) if (*key, k) not in keep.dropped]
            options = [group.options[k] for k in left]
            needed = needed_among(pricer, options, orders, group.times)
            keep.dropped |= {(*key, k) for n, k in enumerate(left) if n not in needed}

    # -- splitting

    def _split(
        self,
        case: Case,
        split: Split,
        bounds: Mapping[object, float],
        then: Bounded = (),
    ) -> None:
        found, kind = self.b.setup.found, split.kind
        self._say(
            "split",
            case=case.number,
            by=kind,
            parts=len(split.values),
            bound_cents=finite(case.bound),
        )
        for value in split.values:
            self._add(
                max(case.bound, bounds.get(value, 0.0)),
                part_of(found, case.keep, kind, value),
                ways_known=case.ways_known or kind == "ways",
                rows=case.rows,
                parent=case.number,
                into=part_text(found, kind, value),
                then=then,
            )

    # -- what came of a case

    def _take(self, case: Case, seen: Seen) -> None:
        """Split a case, or keep the kit that was found in it; nothing where it is closed."""
        self.least += [one for one in seen.least if one not in self.least]
        self._look_near(case, seen.near)
        if not seen.status:
            if seen.parts:
                self._split(case, seen.parts, seen.bounds, seen.then)
            elif seen.again:
                self._again(case, seen.again)
            else:
                self._closed(case)
        elif seen.status == "infeasible" and not case.costed:
            self._closed(case, "solved whole: ")
        elif seen.counts and self._placed(case, seen):
            self._again(case, "cut")
        elif case.costed:
            self._stays(case, "nothing in it is cheaper than the best kit")
        elif self._costed(case):
            case.costed = True
            self._again(case, "lot")
        elif case.bound < self.job.goal and self._not_told(case, seen.parts):
            # what it was bought for may be dearer only because its pieces are cut from lengths
            case.told = self.job.lengths
            self._again(case, "cut")
        elif case.bound < self.job.goal and seen.parts:
            self._split(case, seen.parts, {})
        elif case.bound < self.job.goal:
            self._stays(case)
        else:
            self._closed(case, "solved whole: ")

    def _not_told(self, case: Case, parts: Split | None) -> bool:
        """Whether a case's programme is to tell more of which length pieces are cut from.

        No case is told so much before the freight of each supplier is decided.
        """
        decided = parts is None or parts.kind in ARRAY_KINDS
        return decided and self.job.pooled and case.told != self.job.lengths

    def _costed(self, case: Case) -> bool:
        """Whether a case holds nothing cheaper than the best kit, but may hold its equal."""
        best = self.job.best.cents
        return best - SAME_CENTS < case.bound < self.job.goal

    def _again(self, case: Case, by: str) -> None:
        """Look at a case again with what has been learnt."""
        self._say("split", case=case.number, by=by, parts=1, bound_cents=case.bound)
        self._add(
            case.bound,
            case.keep,
            ways_known=case.ways_known,
            costed=case.costed,
            told=case.told,
            aims=case.aims + (by == "aim"),
            rows=case.rows,
            parent=case.number,
        )

    def _stays(self, case: Case, why: str | None = None) -> None:
        """A case that can neither be closed nor split bounds the setting as it is."""
        self.left_open = min(self.left_open, case.bound)
        self._say("left open", case=case.number, bound_cents=case.bound, why=why)

    def _closed(self, case: Case, how: str = "") -> None:
        """Tell that a case holds no kit under the goal, and why."""
        closed_by_bound = self.job.goal <= case.bound < math.inf
        why = "bound not under the goal" if closed_by_bound else "no answer"
        self._say("closed", case=case.number, why=how + why, bound_cents=finite(case.bound))

    def _placed(self, case: Case, seen: Seen) -> bool:
        """Place a kit that was found and keep it if it is the best; whether that taught a cut."""
        job, counts = self.job, seen.counts
        pooled = job.pooled and not case.costed

        def bought() -> Outcome | None:
            if not pooled:
                return outcome_of(self.b.setup, counts)
            cuts = job.cuts(self.kits)
            return from_shops(job, self.b, case.keep, cuts, seen.options, counts)

        return self._kept(case.keep, bought, again=pooled)

    def _look_near(self, case: Case, keep: m.Keep | None) -> None:
        """Buy a kit of what a relaxed programme chose from, freight included: it has few columns."""
        if keep is None or not self.near_left or self.job.left_s() == 0.0:
            return
        self.near_left -= 1

        def bought() -> Outcome | None:
            task = self._task([])
            near = Case(case.bound, case.number, sel.copied(keep))
            model = self._built(near, task, "exact")
            if model is None or len(model.keys) > NEAR_COLUMNS:
                return None
            answer = self._solved(model, task)
            if answer.status not in ("optimal", "stopped"):
                return None
            return outcome_of(self.b.setup, sel.counted(model, answer))

        undecided, kits, too_heavy = self.job.undecided_cents, self.kits, self.too_heavy
        self._kept(keep, bought, again=True)
        self.too_heavy = too_heavy
        if self.job.undecided_cents != undecided:
            # what could not be decided of a kit that the proof may never need is no loss to it
            self.job.undecided_cents, self.kits = undecided, kits

    def _kept(self, keep: m.Keep, bought: Callable[[], Outcome | None], *, again: bool) -> bool:
        """Place what is bought and keep it if it is the best; whether that taught a cut."""
        job = self.job
        before, known = job.best, (job.taught, self.kits)
        outcome, self.kits, learnt = placed(
            job, self.b, bought, self.kits, self.b.cents, again=again
        )
        if outcome is None:
            return False
        if job.best is not before:
            job.origin = Origin(self.b, sel.copied(keep), outcome.counts)
        self.too_heavy = outcome.too_heavy
        # pieces of cable teach nothing of where devices stand
        self.ends = self.ends or (self.untaught and known != (job.taught, self.kits))
        return learnt


def possible_orders(
    freight: Mapping[str, Freight], decided: Mapping[str, str]
) -> list[frozenset[str]]:
    """Every set of suppliers that a kit could be ordered from: those whose freight is paid, or
    free, and any of those that are not decided. Who sends for nothing is ordered from anyway.
    """
    sure = {s for s, f in freight.items() if decided.get(s, "" if f.shipping else "free")}
    sure -= {s for s, state in decided.items() if state == "closed"}
    found = [frozenset(sure)]
    for name in sorted(s for s in freight if s not in sure and s not in decided):
        found += [shops | {name} for shops in found]
    return [shops for shops in found if shops]


CHOICES = frozenset({"array", "bank", "inverter", "charger", *sel.OPTION_KINDS})
PURCHASES = frozenset({"packs", "level"})
"""First words of keys that number candidates, options and deals, not columns of one programme."""


def _shut_dear(
    model: m.Model,
    known: m.Model,
    relaxed: LpAnswer,
    goal_cents: float,
    *,
    bought_alike: Callable[[str], bool],
) -> None:
    """Leave out of a programme what no kit under the goal takes by the relaxed one of its case.

    Only columns whose keys mean the same in every programme of the setting: some others have a
    column's number in theirs. Purchases, most of the columns by then, only of parts that are
    `bought_alike` in both; else a kit may be bought in the one as it cannot be in the other.
    """
    gap = goal_cents - relaxed.objective + sel.KEEP_CENTS
    dear = (relaxed.reduced > gap) & np.array(known.programme.whole)
    gone = {known.keys[j] for j in np.flatnonzero(dear).tolist()}
    p = model.programme
    for j, key in enumerate(model.keys):
        alike = key[0] in CHOICES or (key[0] in PURCHASES and bought_alike(str(key[1])))
        if key in gone and alike:
            p.upper[j] = p.lower[j]


def _shares(model: m.Model, relaxed: LpAnswer) -> dict[tuple[object, ...], float]:
    """How much of each column the relaxed programme takes."""
    pairs = zip(model.keys, relaxed.values, strict=True)
    return {key: float(v) for key, v in pairs if v > 1e-6}
