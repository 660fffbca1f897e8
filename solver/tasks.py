"""A network of tasks in time: which can start when, by what is here and what is done.

Two answers are given. The earliest start of a task knows only its parts and what comes before it,
as the critical path method does: a later delivery never makes it earlier. The plan shares the
tasks among so many pairs of hands, and is what a finish is told from.

Time is counted in minutes from the start of work on day 0, the day of the orders; a day has
1440, of which the first `hours_per_day` are worked.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from solver.columns import column

DAY = 1440
"""Minutes."""
WORKED_DAYS = 5
"""Of a week, from Monday on."""


@dataclass(frozen=True, kw_only=True)
class Calendar:
    """`[calendar]` of a file of tasks."""

    hours_per_day: float = column(
        "h", "working hours of a working day", default=8.0, above=0, at_most=24
    )
    weekends: bool = column("", "Saturdays and Sundays are working days", default=False)
    people: int = column("", "pairs of hands at work", default=1, at_least=1, at_most=50)
    buffer_days: int = column(
        "days", "kept in hand where the last day for an order is told", default=2, at_least=0,
        at_most=365,
    )  # fmt: skip
    one_consignment: bool = column(
        "", "a supplier sends everything together, once its slowest line is there", default=True
    )


@dataclass(frozen=True, kw_only=True)
class Task:
    """One `[[task]]` of a file of tasks."""

    name: str = column("", "short name, by which others come after it", example="holes")
    does: str = column("", "what is done")
    work_h: float = column("h", "working hours", default=0.0, at_least=0, at_most=10000)
    piece_h: float = column(
        "h", "on top, for each piece of cable", default=0.0, at_least=0, at_most=100
    )
    end_h: float = column(
        "h", "on top, for each end of a core", default=0.0, at_least=0, at_most=100
    )
    cure_h: float = column(
        "h", "that pass before what follows", default=0.0, at_least=0, at_most=10000
    )
    weather: bool = column("", "needs dry weather above 5 °C", default=False)
    licensed: bool = column("", "for a licensed person under local code", default=False)
    also: str = column("", "what is needed and stands in no catalog", default="")
    caution: str = column("", "printed beside it", default="")
    needs: tuple[str, ...] = ()
    """Classes of parts, or single parts, that must have arrived."""
    after: tuple[str, ...] = ()
    only_with: tuple[str, ...] = ()
    """Left out where the kit has none of these classes or kinds of circuit."""


@dataclass(frozen=True, kw_only=True)
class Network:
    """A file of tasks: no id twice, every `after` is one of them, and none comes after itself."""

    tasks: tuple[Task, ...]
    calendar: Calendar = Calendar()


@dataclass(frozen=True, kw_only=True)
class Step:
    """A task with its minutes and the day on which its parts are here."""

    name: str
    minutes: int
    cure_minutes: int
    after: tuple[str, ...]
    here_day: int
    others: bool = False
    """Whether it is somebody else's work, and takes none of the hands."""


@dataclass(frozen=True, kw_only=True)
class Span:
    """When a step runs, in minutes; what follows it may begin when it is `ready`."""

    start: int
    end: int
    ready: int


T = TypeVar("T", Task, Step)


# -- time


def works(calendar: Calendar, weekday: int, day: int) -> bool:
    """Whether a day is a working one; `weekday` is that of day 0, Monday 0."""
    return calendar.weekends or (weekday + day) % 7 < WORKED_DAYS


def opens(calendar: Calendar, weekday: int, minute: int) -> int:
    """The first minute of work at or after a moment."""
    day, past = divmod(minute, DAY)
    if past >= _length(calendar):
        day, past = day + 1, 0
    while not works(calendar, weekday, day):
        day, past = day + 1, 0
    return day * DAY + past


def done(calendar: Calendar, weekday: int, start: int, minutes: int) -> int:
    """When so many minutes of work are done that begin at a moment of work."""
    at, left = start, minutes
    while True:
        day, past = divmod(at, DAY)
        today = _length(calendar) - past
        if left <= today:
            return at + left
        left -= today
        at = opens(calendar, weekday, (day + 1) * DAY)


def _length(calendar: Calendar) -> int:
    return round(60 * calendar.hours_per_day)


# -- the network


def earliest(steps: Sequence[Step], calendar: Calendar, weekday: int) -> dict[str, Span]:
    """When each step can run at the earliest: its parts are here, and those before it are ready.

    Parameters
    ----------
    steps : sequence of Step
        None after itself.
    calendar : Calendar
        Working days and hours.
    weekday : int
        Of day 0; Monday is 0.

    Returns
    -------
    dict
        Spans by the steps' ids, in minutes.

    Source
    ------
    The forward pass of the critical path method: Kelley and Walker, Critical-path planning and
    scheduling (1959).
    """
    found: dict[str, Span] = {}
    for step in in_order(steps):
        found[step.name] = _span(step, _free(step, found), calendar, weekday)
    return found


def planned(steps: Sequence[Step], calendar: Calendar, weekday: int) -> dict[str, Span]:
    """The steps shared among `calendar.people`: next comes what can start first.

    Of several that can, the one with the longest work behind it. A simple rule that keeps
    everybody busy; it does not claim to be the shortest plan.
    """
    found: dict[str, Span] = {}
    hands = [0] * calendar.people
    behind = _behind(steps)
    place = {s.name: n for n, s in enumerate(steps)}
    left = list(steps)

    def free(step: Step) -> int:
        own = _free(step, found)
        return own if step.others else max(min(hands), own)

    while left:
        can = [s for s in left if all(b in found for b in s.after)]
        starts = {s.name: opens(calendar, weekday, free(s)) for s in can}
        step = min(can, key=lambda s: (starts[s.name], -behind[s.name], place[s.name]))
        found[step.name] = span = _span(step, free(step), calendar, weekday)
        if not step.others:
            hands[hands.index(min(hands))] = span.end
        left.remove(step)
    return found


def _free(step: Step, found: Mapping[str, Span]) -> int:
    """When its parts are here and those before it are ready."""
    return max([step.here_day * DAY, *(found[b].ready for b in step.after)])


def _span(step: Step, free: int, calendar: Calendar, weekday: int) -> Span:
    start = opens(calendar, weekday, free)
    end = done(calendar, weekday, start, step.minutes)
    return Span(start=start, end=end, ready=end + step.cure_minutes)


def _behind(steps: Sequence[Step]) -> dict[str, int]:
    """Of each step the minutes of the longest chain that begins with it."""
    found: dict[str, int] = {}
    for step in reversed(in_order(steps)):
        then = max((found[s.name] for s in steps if step.name in s.after), default=0)
        found[step.name] = step.minutes + step.cure_minutes + then
    return found


def in_circle(after: Mapping[str, Iterable[str]]) -> tuple[str, ...]:
    """Names that come after themselves, by way of each other; none where all is in order."""
    left = {name: set(before) & set(after) for name, before in after.items()}
    while True:
        free = {name for name, before in left.items() if not before}
        if not free:
            return tuple(left)
        left = {name: before - free for name, before in left.items() if name not in free}


def in_order(steps: Sequence[T]) -> list[T]:
    """Each behind those it comes after."""
    found: list[T] = []
    left = list(steps)
    names: set[str] = set()
    while left:
        step = next((s for s in left if set(s.after) <= names), None)
        assert step is not None, f"tasks come after each other: {[s.name for s in left]}"
        found.append(step)
        names.add(step.name)
        left.remove(step)
    return found


def finish_day(steps: Sequence[Step], calendar: Calendar, weekday: int) -> int:
    """The day on which the plan ends."""
    spans = planned(steps, calendar, weekday).values()
    return max(map(ready_day, spans), default=0)


def ready_day(span: Span) -> int:
    """The day on which a step is done, curing included; midnight still is the day before."""
    return max(span.start // DAY, (span.ready - 1) // DAY)
