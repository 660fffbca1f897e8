"""A network of tasks in time: worked by hand, and against every path tried one by one."""

from __future__ import annotations

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from solver.tasks import (
    DAY,
    Calendar,
    Step,
    done,
    earliest,
    finish_day,
    in_circle,
    in_order,
    opens,
    planned,
    ready_day,
    works,
)

EIGHT = Calendar(hours_per_day=8)
ALWAYS = Calendar(hours_per_day=24, weekends=True)
MONDAY, FRIDAY = 0, 4
H = 60


def _step(name, minutes, after=(), *, here=0, cure=0, others=False):
    return Step(
        name=name,
        minutes=minutes,
        cure_minutes=cure,
        after=tuple(after),
        here_day=here,
        others=others,
    )


def _at(day, hour):
    return day * DAY + round(hour * H)


def test_a_small_network_worked_by_hand():
    """Eight hours a day from a Monday: a task goes on the next morning, parts come on a day.

    saw 6 h on Monday; paint 4 h after it: two on Monday, two on Tuesday, and dries overnight;
    wire needs parts of Wednesday, 5 h; mount 3 h after paint and wire: Wednesday from hour 5.
    """
    steps = [
        _step("saw", 6 * H),
        _step("paint", 4 * H, ["saw"], cure=12 * H),
        _step("wire", 5 * H, here=2),
        _step("mount", 3 * H, ["paint", "wire"]),
    ]
    found = earliest(steps, EIGHT, MONDAY)
    assert (found["saw"].start, found["saw"].end) == (_at(0, 0), _at(0, 6))
    assert (found["paint"].start, found["paint"].end) == (_at(0, 6), _at(1, 2))
    assert found["paint"].ready == _at(1, 14)
    assert (found["wire"].start, found["wire"].end) == (_at(2, 0), _at(2, 5))
    assert (found["mount"].start, found["mount"].end) == (_at(2, 5), _at(2, 8))
    assert finish_day(steps, EIGHT, MONDAY) == 2


def test_a_weekend_and_a_curing_weekend_worked_by_hand():
    """From a Friday, 10 h: 8 on Friday, 2 on Monday. Glue dries on Saturday and Sunday too."""
    steps = [
        _step("long", 10 * H),
        _step("glue", 3 * H, cure=48 * H),
        _step("on glue", 1 * H, ["glue"]),
    ]
    found = earliest(steps, EIGHT, FRIDAY)
    assert found["long"].end == _at(3, 2)
    # Glued by hour 3 of Friday, dry by hour 3 of Sunday: on Monday morning one goes on.
    assert found["on glue"].start == _at(3, 0)
    assert ready_day(found["glue"]) == 2


def test_one_pair_of_hands_worked_by_hand():
    """One person cannot do two things: what has more work behind it comes first.

    a (4 h) and then c (6 h) are the long chain, b (3 h) waits: a, then b or c. At hour 4 both can
    start; c has more behind it, so c until hour 2 of Tuesday, then b.
    """
    steps = [_step("a", 4 * H), _step("b", 3 * H), _step("c", 6 * H, ["a"])]
    found = planned(steps, EIGHT, MONDAY)
    assert [found[n].start for n in "acb"] == [_at(0, 0), _at(0, 4), _at(1, 2)]
    assert found["b"].end == _at(1, 5)
    two = planned(steps, dataclasses.replace(EIGHT, people=2), MONDAY)
    assert two == earliest(steps, EIGHT, MONDAY)


def test_somebody_elses_work_takes_no_hands():
    """While the electrician is at work, the builder does something else."""
    steps = [_step("AC", 6 * H, others=True), _step("board", 6 * H)]
    found = planned(steps, EIGHT, MONDAY)
    assert found["AC"].start == found["board"].start == 0


@pytest.mark.parametrize(
    ("minute", "then"),
    [
        (_at(0, 3), _at(0, 3)),
        (_at(0, 8), _at(1, 0)),
        (_at(4, 7.5), _at(4, 7.5)),
        (_at(4, 8), _at(7, 0)),
        (_at(5, 1), _at(7, 0)),
    ],
)
def test_work_opens_on_working_days(minute, then):
    """From a Monday: after hours the next day, from Friday evening Monday."""
    assert opens(EIGHT, MONDAY, minute) == then


def test_weekends_are_what_the_calendar_says():
    """Days 5 and 6 from a Monday are free, unless weekends are worked."""
    assert [d for d in range(9) if not works(EIGHT, MONDAY, d)] == [5, 6]
    assert [d for d in range(9) if not works(EIGHT, FRIDAY, d)] == [1, 2, 8]
    assert all(works(ALWAYS, MONDAY, d) for d in range(9))
    assert done(EIGHT, MONDAY, _at(4, 7), 2 * H) == _at(7, 1)


def test_a_circle_is_told():
    """Tasks that come after each other are named, those before and beside them are not."""
    after = {"a": [], "b": ["a", "d"], "c": ["b"], "d": ["c"], "e": ["a"]}
    assert set(in_circle(after)) == {"b", "c", "d"}
    assert in_circle({"a": ["a"]}) == ("a",)
    assert in_circle({"a": [], "b": ["a"]}) == ()


# -- generated networks


@st.composite
def _steps(draw):
    """A network whose steps come after some of those drawn before them, listed in any order."""
    count = draw(st.integers(1, 8))
    steps = []
    for n in range(count):
        before = draw(st.lists(st.integers(0, n - 1), unique=True, max_size=3)) if n else []
        steps.append(
            _step(
                f"t{n}",
                draw(st.integers(1, 1500)),
                [f"t{b}" for b in before],
                here=draw(st.integers(0, 12)),
                cure=draw(st.sampled_from((0, 0, 90, 3000))),
                others=draw(st.booleans()),
            )
        )
    return draw(st.permutations(steps))


CALENDARS = st.builds(
    Calendar,
    hours_per_day=st.sampled_from((3.5, 8.0, 24.0)),
    weekends=st.booleans(),
    people=st.integers(1, 3),
)


def _latest_path(steps, name):
    """The end of a step where work never stops: the longest of all paths that lead to it."""
    step = next(s for s in steps if s.name == name)
    begins = [step.here_day * DAY]
    for b in step.after:
        cure = next(s for s in steps if s.name == b).cure_minutes
        begins.append(_latest_path(steps, b) + cure)
    return max(begins) + step.minutes


@given(_steps())
def test_earliest_is_the_longest_path(steps):
    """Around the clock, each step ends when the longest chain of deliveries and work to it does."""
    found = earliest(steps, ALWAYS, MONDAY)
    for step in steps:
        assert found[step.name].end == _latest_path(steps, step.name)


@given(_steps(), CALENDARS, st.integers(0, 6), st.data())
def test_a_later_delivery_never_lets_a_task_start_earlier(steps, calendar, weekday, data):
    """And where nothing of it comes later, everything stays."""
    later = [
        dataclasses.replace(s, here_day=s.here_day + data.draw(st.integers(0, 9)))
        for s in steps
    ]
    before = earliest(steps, calendar, weekday)
    after = earliest(later, calendar, weekday)
    assert all(after[s.name].start >= before[s.name].start for s in steps)
    assert earliest(list(steps), calendar, weekday) == before


@given(_steps(), CALENDARS, st.integers(0, 6))
def test_a_plan_keeps_to_parts_order_and_hands(steps, calendar, weekday):
    """Nothing begins before its parts and those before it, nor with more hands than there are."""
    plan = planned(steps, calendar, weekday)
    soonest = earliest(steps, calendar, weekday)
    length = round(60 * calendar.hours_per_day)
    for step in steps:
        span = plan[step.name]
        assert span.start >= step.here_day * DAY
        assert span.start >= soonest[step.name].start
        assert all(span.start >= plan[b].ready for b in step.after)
        day, past = divmod(span.start, DAY)
        assert works(calendar, weekday, day)
        assert past < length
        worked = sum(
            max(0, min(span.end, d * DAY + length) - max(span.start, d * DAY))
            for d in range(day, span.end // DAY + 1)
            if works(calendar, weekday, d)
        )
        assert worked == step.minutes
    own = [plan[s.name] for s in steps if not s.others]
    for span in own:
        assert sum(x.start <= span.start < x.end for x in own) <= calendar.people


@given(_steps(), CALENDARS, st.integers(0, 6))
@settings(max_examples=50)
def test_enough_hands_make_the_plan_the_earliest(steps, calendar, weekday):
    """With a pair of hands a task nobody waits for anybody."""
    many = dataclasses.replace(calendar, people=len(steps))
    assert planned(steps, many, weekday) == earliest(steps, calendar, weekday)


@given(_steps())
def test_each_step_is_put_behind_those_before_it(steps):
    """In whatever order a file lists them."""
    names = [s.name for s in in_order(steps)]
    assert sorted(names) == sorted(s.name for s in steps)
    assert all(names.index(b) < names.index(s.name) for s in steps for b in s.after)
