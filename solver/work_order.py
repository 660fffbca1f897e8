"""The work order: a network of tasks laid over the days on which the parts of a bill arrive.

Deliveries take calendar days from day 0, the day on which everything is ordered.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from solver.ground import inlet_of
from solver.needs import Needs
from solver.records import Design, Line, Result
from solver.stock import Stock
from solver.tasks import (
    DAY,
    Calendar,
    Network,
    Span,
    Step,
    Task,
    earliest,
    finish_day,
    in_order,
    opens,
    planned,
    ready_day,
)

if TYPE_CHECKING:
    from datetime import date
    from decimal import Decimal

MOST_DAYS_LATER = 400
"""A basket that may come so many days later holds up nothing."""


@dataclass(frozen=True, kw_only=True)
class Delivery:
    """A line of the bill that has to come."""

    part: str
    part_class: str
    supplier: str
    lead_days: int
    """Of the line by itself."""
    here_day: int
    """With what it is sent with."""


@dataclass(frozen=True, kw_only=True)
class Planned:
    """A task in the work order; days count from the day of the orders, which is 0."""

    task: Task
    work_h: float
    waits_for: tuple[str, ...]
    """The parts that come last of those it needs; empty where all are at hand."""
    here_day: int
    """On which all its parts are here."""
    start_day: int
    """At the earliest, however many hands there are."""
    plan_start_day: int
    plan_end_day: int
    ready_day: int
    """In the plan, curing included."""


@dataclass(frozen=True, kw_only=True)
class Basket:
    """What one supplier sends."""

    supplier: str
    name: str
    lead_days: int
    here_day: int
    slowest: tuple[str, ...]
    """The parts that take longest."""
    first_task: str | None
    """The first in the plan that waits for something of it."""
    first_day: int | None
    late_days: int | None
    """How many days later it may be ordered without a later finish; None: no task needs it."""
    order_by_day: int | None
    """Last day to order it so that the finish stays, with the days kept in hand; never under 0."""
    need_by_day: int | None
    """Last day to order it so that it is here by `need_by`, where that and a start are stated."""


@dataclass(frozen=True, kw_only=True)
class Occasion:
    """A day on which something arrives, and what can be done from then on."""

    day: int
    arrives: tuple[str, ...]
    """Suppliers; none on day 0, when there is what is owned."""
    startable: tuple[str, ...]
    """Tasks for which everything is here from this day on, and not before."""
    blocked: tuple[str, ...]
    """Tasks that cannot be done yet, for their own parts or for those of a task before."""


@dataclass(frozen=True, kw_only=True)
class Hold:
    """The delivery that sets the finish."""

    parts: tuple[str, ...]
    """What takes longest: of its consignment, or the part alone where each comes by itself."""
    supplier: str
    here_day: int
    task: str
    """The first that it keeps waiting, on the way to the finish."""
    needed: str
    """What that task needs of it."""
    gained_days: int
    """How much sooner the plan would end if it were here on day 0."""


@dataclass(frozen=True, kw_only=True)
class LaterPart:
    """A part that comes after `need_by`."""

    part: str
    supplier: str
    here_day: int
    late_days: int


@dataclass(frozen=True, kw_only=True)
class WorkOrder:
    """Everything about when a kit can be built."""

    start: date | None
    """Day 0; without it the first day is taken for a Monday."""
    calendar: Calendar
    tasks: tuple[Planned, ...]
    baskets: tuple[Basket, ...]
    occasions: tuple[Occasion, ...]
    hold: Hold | None
    """None: no delivery does, the work itself sets the finish."""
    finish_day: int
    work_h: float


@dataclass(frozen=True, kw_only=True)
class WithoutNeedBy:
    """The same needs answered without `need_by`."""

    status: str
    total: Decimal
    saved: Decimal
    """Less than with it; negative where it is dearer, as an unproven answer may be."""
    later: tuple[LaterPart, ...]
    """What of it would come after `need_by`."""
    work: WorkOrder
    meanwhile: tuple[str, ...]
    """Tasks that can be done without the parts that come later."""


def work_order(result: Result, needs: Needs, stock: Stock, network: Network) -> WorkOrder:
    """Lay a network of tasks over a bill.

    Parameters
    ----------
    result : Result
        With a design.
    needs : Needs
        For the day of the orders and `need_by`.
    stock : Stock
        For how long each line takes.
    network : Network
        The tasks.

    Returns
    -------
    WorkOrder
    """
    design = result.design
    if design is None:
        raise ValueError("without a kit there is nothing to build")
    calendar, start = network.calendar, needs.order.start
    monday = 0 if start is None else start.weekday()
    tasks = asked(network.tasks, design)
    sent = deliveries(result, stock, one_consignment=calendar.one_consignment)
    steps = [_step(t, design, _here_day(t, sent)) for t in tasks]
    soonest = earliest(steps, calendar, monday)
    plan = planned(steps, calendar, monday)
    rows = tuple(_planned(t, s, sent, soonest, plan) for t, s in zip(tasks, steps, strict=True))
    return WorkOrder(
        start=start,
        calendar=calendar,
        tasks=rows,
        baskets=tuple(_baskets(result, needs, network, tasks, steps, sent, plan, monday)),
        occasions=occasions(steps, sent),
        hold=_hold(tasks, steps, sent, calendar, monday),
        finish_day=max(map(ready_day, plan.values()), default=0),
        work_h=sum(p.work_h for p in rows),
    )


def without_need_by(
    with_it: Result, without: Result, needs: Needs, stock: Stock, network: Network
) -> WithoutNeedBy | None:
    """What the kit without `need_by` costs, what of it comes late, what can be done meanwhile.

    None where one of the answers has no total, or no `start` and `need_by` are stated.
    """
    order = needs.order
    if with_it.total is None or without.total is None:
        return None
    if order.start is None or order.need_by is None:
        return None
    work = work_order(without, needs, stock, network)
    last = (order.need_by - order.start).days
    sent = deliveries(without, stock, one_consignment=network.calendar.one_consignment)
    late = [d for d in sent if d.here_day > last]
    assert without.design is not None, "a kit with a total has a design"
    tasks = asked(network.tasks, without.design)
    return WithoutNeedBy(
        status=without.status,
        total=without.total,
        saved=with_it.total - without.total,
        later=tuple(
            LaterPart(
                part=d.part, supplier=d.supplier, here_day=d.here_day,
                late_days=d.here_day - last,
            )
            for d in late
        ),
        work=work,
        meanwhile=doable(tasks, {d.part for d in late}, {d.part: d.part_class for d in late}),
    )  # fmt: skip


FIXED_PANEL = "fixed panel"
"""What tasks for the fastening of panels are done with."""


# -- tasks of this kit


def asked(tasks: Iterable[Task], design: Design) -> tuple[Task, ...]:
    """The tasks that this kit needs; what came after one left out comes after those before it.

    `fixed panel` is there where an array's panels are fastened: all but those on the ground.
    """
    there = {p.cls for p in design.parts.values()} | {c.kind for c in design.circuits}
    if any(inlet_of(design, array) is None for array in design.arrays):
        there.add(FIXED_PANEL)
    every = list(tasks)
    gone = {t.name: t.after for t in every if t.only_with and not there & set(t.only_with)}

    def before(ids: tuple[str, ...]) -> list[str]:
        return [b for i in ids for b in (before(gone[i]) if i in gone else [i])]

    return tuple(
        replace(t, after=tuple(dict.fromkeys(before(t.after))))
        for t in every
        if t.name not in gone
    )


def hours(task: Task, design: Design) -> float:
    """How long a task takes with this design's pieces of cable and their ends."""
    ends = sum(len(c.ends) for c in design.cuts)
    return task.work_h + task.piece_h * len(design.cuts) + task.end_h * ends


def deliveries(result: Result, stock: Stock, *, one_consignment: bool) -> tuple[Delivery, ...]:
    """Every line that is bought, with the day on which it is here if ordered on day 0."""
    leads = [(x, lead_days(x, stock)) for x in result.lines if x.packs]
    slowest: Counter[str] = Counter()
    for line, days in leads:
        supplier = line.supplier or ""
        slowest[supplier] = max(slowest[supplier], days)
    return tuple(
        Delivery(
            part=line.part,
            part_class=line.part_class,
            supplier=line.supplier or "",
            lead_days=days,
            here_day=slowest[line.supplier or ""] if one_consignment else days,
        )
        for line, days in leads
    )


def lead_days(line: Line, stock: Stock) -> int:
    """Days from order to delivery of a line, by the offers it may have been bought from."""
    of_supplier = next((s.lead_days for s in stock.suppliers if s.supplier == line.supplier), 0)
    same = [o for o in stock.offers if (o.part, o.supplier) == (line.part, line.supplier)]
    packed = [o for o in same if o.pack == line.pack] or same
    return max(
        (of_supplier if o.lead_days is None else o.lead_days for o in packed),
        default=of_supplier,
    )


def doable(
    tasks: Sequence[Task], missing: set[str], class_of: Mapping[str, str]
) -> tuple[str, ...]:
    """The tasks that can be done while some parts are missing, one after the other."""
    done: set[str] = set()
    for task in in_order(tasks):
        waits = any(_takes(task, part, class_of[part]) for part in missing)
        if not waits and set(task.after) <= done:
            done.add(task.name)
    return tuple(t.name for t in tasks if t.name in done)


def occasions(steps: Sequence[Step], sent: Iterable[Delivery]) -> tuple[Occasion, ...]:
    """Day by day what arrives, what can then be done with what is on hand, and what not yet."""
    arrivals: dict[int, set[str]] = {0: set()}
    for d in sent:
        arrivals.setdefault(d.here_day, set()).add(d.supplier)
    needed: dict[str, int] = {}
    for step in in_order(steps):
        needed[step.name] = max([step.here_day, *(needed[b] for b in step.after)])
    return tuple(
        Occasion(
            day=day,
            arrives=tuple(sorted(arrivals[day])),
            startable=tuple(s.name for s in steps if needed[s.name] == day),
            blocked=tuple(s.name for s in steps if needed[s.name] > day),
        )
        for day in sorted(arrivals)
    )


def _takes(task: Task, part: str, part_class: str) -> bool:
    return part_class in task.needs or part in task.needs


def _taken(task: Task, sent: Iterable[Delivery]) -> list[Delivery]:
    return [d for d in sent if _takes(task, d.part, d.part_class)]


def _here_day(task: Task, sent: Iterable[Delivery]) -> int:
    return max((d.here_day for d in _taken(task, sent)), default=0)


def _step(task: Task, design: Design, here_day: int) -> Step:
    return Step(
        name=task.name,
        minutes=round(60 * hours(task, design)),
        cure_minutes=round(60 * task.cure_h),
        after=task.after,
        here_day=here_day,
        others=task.licensed,
    )


# -- what is told


def _planned(
    task: Task,
    step: Step,
    sent: Sequence[Delivery],
    soonest: Mapping[str, Span],
    plan: Mapping[str, Span],
) -> Planned:
    span = plan[task.name]
    last = [d.part for d in _taken(task, sent) if d.here_day == step.here_day > 0]
    return Planned(
        task=task,
        work_h=step.minutes / 60,
        waits_for=tuple(last),
        here_day=step.here_day,
        start_day=soonest[task.name].start // DAY,
        plan_start_day=span.start // DAY,
        plan_end_day=max(span.start // DAY, (span.end - 1) // DAY),
        ready_day=ready_day(span),
    )


def _baskets(
    result: Result,
    needs: Needs,
    network: Network,
    tasks: Sequence[Task],
    steps: Sequence[Step],
    sent: Sequence[Delivery],
    plan: Mapping[str, Span],
    weekday: int,
) -> Iterable[Basket]:
    order = needs.order
    calendar = network.calendar
    for one in result.orders:
        mine = [d for d in sent if d.supplier == one.supplier]
        longest = max((d.lead_days for d in mine), default=one.lead_days)
        takers = [t.name for t in tasks if _taken(t, mine)]
        first = min(takers, key=lambda i: plan[i].start, default=None)
        late = _late_days(tasks, steps, sent, one.supplier, calendar, weekday)
        by = None
        if order.start is not None and order.need_by is not None:
            by = (order.need_by - order.start).days - longest
        yield Basket(
            supplier=one.supplier,
            name=one.name,
            lead_days=longest,
            here_day=max((d.here_day for d in mine), default=longest),
            slowest=tuple(d.part for d in mine if d.lead_days == longest),
            first_task=first,
            first_day=None if first is None else plan[first].start // DAY,
            late_days=late,
            order_by_day=None if late is None else max(0, late - calendar.buffer_days),
            need_by_day=by,
        )


def _late_days(
    tasks: Sequence[Task],
    steps: Sequence[Step],
    sent: Sequence[Delivery],
    supplier: str,
    calendar: Calendar,
    weekday: int,
) -> int | None:
    """Days by which a supplier's lines may all come later without a later finish."""
    if not any(_taken(t, (d for d in sent if d.supplier == supplier)) for t in tasks):
        return None
    finish = finish_day(steps, calendar, weekday)
    for days in range(1, MOST_DAYS_LATER):
        if finish_day(_moved(tasks, steps, sent, supplier, days), calendar, weekday) > finish:
            return days - 1
    return MOST_DAYS_LATER


def _moved(
    tasks: Sequence[Task],
    steps: Sequence[Step],
    sent: Sequence[Delivery],
    supplier: str,
    days: int,
) -> list[Step]:
    """The steps with a supplier's lines so many days later."""
    moved = [
        replace(d, here_day=d.here_day + days) if d.supplier == supplier else d for d in sent
    ]
    return [replace(s, here_day=_here_day(t, moved)) for t, s in zip(tasks, steps, strict=True)]


def _hold(
    tasks: Sequence[Task],
    steps: Sequence[Step],
    sent: Sequence[Delivery],
    calendar: Calendar,
    weekday: int,
) -> Hold | None:
    """Walk back from the last task over what each one waited for, to a delivery."""
    spans = earliest(steps, calendar, weekday)
    by_name = {s.name: s for s in steps}
    at = max(steps, key=lambda s: spans[s.name].ready, default=None)
    while at is not None:
        before = max(
            (by_name[b] for b in at.after), key=lambda s: spans[s.name].ready, default=None
        )
        ready = 0 if before is None else opens(calendar, weekday, spans[before.name].ready)
        if at.here_day and opens(calendar, weekday, at.here_day * DAY) >= ready:
            return _hold_of(at, tasks, steps, sent, calendar, weekday)
        at = before
    return None


def _hold_of(
    step: Step,
    tasks: Sequence[Task],
    steps: Sequence[Step],
    sent: Sequence[Delivery],
    calendar: Calendar,
    weekday: int,
) -> Hold:
    task = next(t for t in tasks if t.name == step.name)
    last = max(_taken(task, sent), key=lambda d: (d.here_day, d.lead_days))
    mine = [d for d in sent if d.supplier == last.supplier]
    longest, together = max(d.lead_days for d in mine), calendar.one_consignment
    if not together:
        mine = [last]
    here = [replace(d, here_day=0) if d in mine else d for d in sent]
    sooner = [
        replace(s, here_day=_here_day(t, here)) for t, s in zip(tasks, steps, strict=True)
    ]
    gained = finish_day(steps, calendar, weekday) - finish_day(sooner, calendar, weekday)
    return Hold(
        parts=tuple(d.part for d in mine if d.lead_days == longest)
        if together
        else (last.part,),
        supplier=last.supplier,
        here_day=last.here_day,
        task=step.name,
        needed=last.part,
        gained_days=max(0, gained),
    )
