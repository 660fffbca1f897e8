"""The work order in words: days as dates, what holds the job back, what can be done meanwhile."""

from __future__ import annotations

from collections.abc import Iterable

from bom.measures import number_text
from bom.money import amount_text
from solver.work_order import Basket, Hold, WithoutNeedBy, WorkOrder

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
NO_START = (
    "No day of ordering is stated ([order] start), so days are counted from it, day 0, which is "
    "taken for a Monday."
)
CONSIGNMENT = (
    "Each supplier sends everything together, once its slowest line is there; delivery takes "
    "calendar days."
)
LINE_BY_LINE = "Each line comes by itself; delivery takes calendar days."
LICENSED = (
    (
        "ac",
        (
            "AC wiring, sockets, consumer unit, residual-current protection and its tests: mains "
            "kills, and a mistake shows only when it does"
        ),
    ),
    (
        "shore inlet",
        "Shore connection and inlet: it joins the kit to somebody else's supply and its earth",
    ),
    (
        "ac",
        (
            "Earth electrode, bond of the neutral, any fixed mains: protection works only if there is "
            "one bond, at the source that is on"
        ),
    ),
    (
        "",
        (
            "Registration, survey, insurance: mass, height or use may change what a vehicle, boat or "
            "building is permitted for; ask before building"
        ),
    ),
)
"""What is left to others under local code, with its reason, by the kind of circuit or end at which
it arises."""


def iso(work: WorkOrder, day: int) -> str | None:
    """A day as a date; None without a start."""
    if work.start is None:
        return None
    return work.start.fromordinal(work.start.toordinal() + day).isoformat()


def day_text(work: WorkOrder, day: int | None) -> str:
    """A day for a person: `Mon 2027-02-01`, or `day 3` where there is no start."""
    if day is None:
        return ""
    date = iso(work, day)
    if work.start is None or date is None:
        return f"day {day}"
    return f"{WEEKDAYS[(work.start.weekday() + day) % 7]} {date}"


def hold_text(work: WorkOrder) -> str:
    """What sets the finish."""
    hold = work.hold
    if hold is None:
        return "No delivery holds the job back: the work itself sets the finish."
    till = " for it" if len(hold.parts) == 1 else " for them"
    sets = "sets" if len(hold.parts) == 1 else "set"
    text = (
        f"{_parts(hold)} from {hold.supplier} {sets} the finish: here on "
        f'{day_text(work, hold.here_day)}, and "{hold.task}" waits{till}'
    )
    if hold.needed not in hold.parts:
        text += f" (it needs {hold.needed} of the same consignment)"
    days = "1 day" if hold.gained_days == 1 else f"{hold.gained_days} days"
    return f"{text}. If that were here on the first day, the job would end {days} sooner."


def _parts(hold: Hold) -> str:
    first = ", ".join(hold.parts[:3])
    more = len(hold.parts) - 3
    return first + (f" and {more} more" if more > 0 else "")


def finish_text(work: WorkOrder) -> str:
    """When it may be done, and how much work it is."""
    hands = work.calendar.people
    who = "one pair of hands" if hands == 1 else f"{hands} pairs of hands"
    return (
        f"{number_text(work.work_h)} hours of work in all; with {who} done on "
        f"{day_text(work, work.finish_day)}, if everything is ordered on {day_text(work, 0)}."
    )


def basket_text(work: WorkOrder, basket: Basket) -> str:
    """One supplier's delivery and the last days on which to order it."""
    slow = ", ".join(basket.slowest[:3]) + (", …" if len(basket.slowest) > 3 else "")
    texts = [
        (
            f"{basket.name}: {basket.lead_days} days, here on {day_text(work, basket.here_day)} "
            f"(slowest: {slow})"
        )
    ]
    if basket.first_task is not None:
        first = day_text(work, basket.first_day)
        texts.append(f'first wanted for "{basket.first_task}", planned on {first}')
    if basket.order_by_day is not None:
        spare = work.calendar.buffer_days
        texts.append(
            f"order it by {day_text(work, basket.order_by_day)} to keep the finish"
            + (f" ({spare} days in hand)" if basket.order_by_day else "")
        )
    if basket.need_by_day is not None:
        texts.append(f"by {day_text(work, basket.need_by_day)} to have it by need_by")
    return "; ".join(texts)


def occasion_texts(work: WorkOrder) -> Iterable[str]:
    """Day by day what can begin with what is on hand then."""
    for occasion in work.occasions:
        if not occasion.arrives and occasion.day:
            continue
        what = "what is owned and needs no parts"
        if occasion.arrives:
            what = "with the delivery of " + ", ".join(occasion.arrives)
        begin = _listed(occasion.startable) or "nothing new"
        yield f"{day_text(work, occasion.day)}, {what}: {begin}"


def _listed(names: Iterable[str]) -> str:
    return ", ".join(f'"{name}"' for name in names)


def without_texts(found: WithoutNeedBy, currency: str) -> Iterable[str]:
    """What the kit would cost without `need_by`, what would be late, and what can begin."""
    work = found.work
    total = amount_text(found.total, currency)
    if found.saved > 0:
        less = f"{amount_text(found.saved, currency)} less"
    elif found.saved < 0:
        less = f"{amount_text(-found.saved, currency)} more, as its search ended early"
    else:
        less = "the same"
    proof = "" if found.status == "optimal" else " (not proven to be the least)"
    yield f"Without need_by the kit costs {total}{proof}: {less}."
    if not found.later:
        yield "None of its parts would come after need_by."
        return
    late: dict[tuple[str, int, int], list[str]] = {}
    for part in found.later:
        late.setdefault((part.supplier, part.here_day, part.late_days), []).append(part.part)
    for (supplier, day, late_days), parts in late.items():
        days = "1 day" if late_days == 1 else f"{late_days} days"
        yield (
            f"{', '.join(parts)} from {supplier} would be here on {day_text(work, day)}, "
            f"{days} after need_by."
        )
    yield f"Meanwhile these can be done: {_listed(found.meanwhile) or 'none'}."
    yield hold_text(work) + f" The job would end on {day_text(work, work.finish_day)}."
