"""The work order: a network over the deliveries of a bill, worked by hand on a small kit."""

from __future__ import annotations

import dataclasses
from datetime import date
from decimal import Decimal

import pytest

from solver.stock import Stock
from solver.tasks import Calendar, Network, Task
from solver.work_order import asked, hours, lead_days, without_need_by, work_order
from tests.bom.sample import CUTS, DESIGN, LINES, NEEDS, NO_KIT, RESULT, STOCK

# North sends panels, battery, devices, fuses in 5 days; isle cable, lugs and ends in 1.
# 2027-01-11, the day of the orders, is a Monday: north's parcel comes on Saturday.
TASKS = (
    Task(name="mark", does="mark", work_h=2),
    Task(name="pull", does="pull", needs=("cable",), after=("mark",), work_h=6),
    Task(name="mount", does="mount", needs=("inverter", "busbar"), after=("mark",), work_h=4),
    Task(name="end", does="end", needs=("lug",), after=("pull", "mount"), work_h=9),
    Task(name="battery", does="set in", needs=("battery",), after=("mark",), work_h=1),
    Task(name="on", does="close", needs=("fuse",), after=("end", "battery"), work_h=3),
)
NETWORK = Network(tasks=TASKS, calendar=Calendar(buffer_days=2))


def _work(network=NETWORK, result=RESULT, needs=NEEDS, stock=STOCK):
    return work_order(result, needs, stock, network)


def _days(work):
    return {
        p.task.name: (p.here_day, p.start_day, p.plan_start_day, p.plan_end_day)
        for p in work.tasks
    }


def _late(days, supplier="north"):
    """The shop with a supplier that takes so many days."""
    return Stock.of(
        STOCK.parts,
        [
            dataclasses.replace(s, lead_days=days) if s.supplier == supplier else s
            for s in STOCK.suppliers
        ],
        STOCK.offers,
    )


def _late_part(part, days):
    """The shop where one part takes so many days."""
    offers = [
        dataclasses.replace(o, lead_days=days) if o.part == part else o for o in STOCK.offers
    ]
    return Stock.of(STOCK.parts, STOCK.suppliers, offers)


def test_the_days_worked_by_hand():
    """Cable on Tuesday, devices on Saturday, so on Monday the 18th, day 7.

    Monday: mark 2 h. Tuesday: pull 6 h. Day 7: mount 4 h, then 4 of the 9 h of end (it has the
    longer chain), 5 h on day 8, battery 1 h, 2 of 3 h of on; the last hour on day 9.
    """
    work = _work()
    assert work.start == date(2027, 1, 11)
    assert _days(work) == {
        "mark": (0, 0, 0, 0),
        "pull": (1, 1, 1, 1),
        "mount": (5, 7, 7, 7),
        "end": (1, 7, 7, 8),
        "battery": (5, 7, 8, 8),
        "on": (5, 8, 8, 9),
    }
    assert work.finish_day == 9
    assert work.work_h == pytest.approx(25)


def test_what_sets_the_finish_is_named():
    """North's parcel does: mount waits for it. Were it here on day 0, the job would end on day 3.

    Monday: mark 2 h, mount 4 h, battery 1 h. Tuesday, with the cable: pull 6 h and 2 h of end;
    Wednesday the other 7 h and 1 h of on, Thursday its last 2 h.
    """
    hold = _work().hold
    assert (hold.supplier, hold.task, hold.here_day) == ("north", "mount", 5)
    assert hold.needed in ("inverter-500", "busbar-150")
    assert "lfp-100" in hold.parts
    assert hold.gained_days == 9 - 3


def test_without_deliveries_the_work_sets_the_finish():
    """What is owned is at hand, and no part holds anything back."""
    owned = tuple(
        dataclasses.replace(x, packs=None, supplier=None, owned=x.need, buy=Decimal(0))
        for x in LINES
    )
    work = _work(result=dataclasses.replace(RESULT, lines=owned, orders=()))
    assert work.hold is None
    assert work.baskets == ()
    assert {p.here_day for p in work.tasks} == {0}
    assert work.finish_day == 3
    assert [(o.day, o.blocked) for o in work.occasions] == [(0, ())]


def test_one_late_part_is_named_and_the_rest_goes_on():
    """The inverter takes 40 days, each line comes by itself: all but mount, end and on goes on."""
    alone = Calendar(one_consignment=False)
    stock = _late_part("inverter-500", 40)
    work = _work(Network(tasks=TASKS, calendar=alone), stock=stock)
    assert work.hold.parts == ("inverter-500",)
    assert (work.hold.task, work.hold.here_day) == ("mount", 40)
    on_hand = {o.day: (o.startable, o.blocked) for o in work.occasions}
    assert on_hand[0] == (("mark",), ("pull", "mount", "end", "battery", "on"))
    assert on_hand[1] == (("pull",), ("mount", "end", "battery", "on"))
    assert on_hand[5] == (("battery",), ("mount", "end", "on"))
    assert on_hand[40] == (("mount", "end", "on"), ())
    (mount,) = (p for p in work.tasks if p.task.name == "mount")
    assert mount.waits_for == ("inverter-500",)


def test_a_consignment_waits_for_its_slowest_part():
    """Sent together, everything of north comes with the late inverter, and that is told."""
    work = _work(stock=_late_part("inverter-500", 40))
    assert _days(work)["battery"][0] == 40
    assert work.hold.parts == ("inverter-500",)
    (north,) = (b for b in work.baskets if b.supplier == "north")
    assert (north.lead_days, north.here_day, north.slowest) == (40, 40, ("inverter-500",))


@pytest.mark.parametrize("supplier", ["north", "isle"])
def test_the_last_day_of_an_order_is_the_last_that_keeps_the_finish(supplier):
    """Ordered so much later the job ends as before; one more day and it ends later."""
    work = _work()
    (basket,) = (b for b in work.baskets if b.supplier == supplier)
    lead = basket.lead_days + basket.late_days
    assert _work(stock=_late(lead, supplier)).finish_day == work.finish_day
    assert _work(stock=_late(lead + 1, supplier)).finish_day > work.finish_day
    assert basket.order_by_day == max(0, basket.late_days - 2)


def test_the_last_day_for_need_by_is_its_date_less_the_lead():
    """Two parcels, one date: 31 January less 5 days and less 1."""
    order = dataclasses.replace(NEEDS.order, need_by=date(2027, 1, 31))
    work = _work(needs=dataclasses.replace(NEEDS, order=order))
    assert {b.supplier: b.need_by_day for b in work.baskets} == {"north": 15, "isle": 19}
    assert {b.need_by_day for b in _work().baskets} == {None}


def test_a_basket_that_no_task_needs_has_no_last_day():
    """Nothing is claimed about what nothing waits for."""
    work = _work(Network(tasks=TASKS[:1]))
    assert {(b.first_task, b.late_days, b.order_by_day) for b in work.baskets} == {
        (None, None, None)
    }


def test_tasks_of_other_kits_are_left_out_and_the_rest_closes_up():
    """What came after a task that this kit has not, comes after those before that."""
    tasks = (
        Task(name="a", does="a"),
        Task(name="vents", does="b", after=("a",), only_with=("vent",)),
        Task(name="fan", does="c", after=("vents",), only_with=("vent",)),
        Task(name="ac", does="d", after=("fan",), only_with=("ac", "inverter")),
    )
    found = asked(tasks, DESIGN)
    assert [(t.name, t.after) for t in found] == [("a", ()), ("ac", ("a",))]


def test_hours_count_pieces_and_ends():
    """The sample has 12 pieces and 26 ends: eleven of one core, a pair of two."""
    task = Task(name="t", does="t", work_h=1, piece_h=0.1, end_h=0.01)
    assert len(CUTS) == 12
    assert hours(task, DESIGN) == pytest.approx(1 + 1.2 + 0.26)


def test_a_line_has_the_days_of_its_own_offer():
    """An offer's own days stand above its supplier's."""
    (line,) = (x for x in LINES if x.part == "lug-25-m8")
    assert lead_days(line, STOCK) == 1
    assert lead_days(line, _late_part("lug-25-m8", 17)) == 17


def test_without_a_start_days_are_counted_from_a_monday():
    """The same days, no dates."""
    order = dataclasses.replace(NEEDS.order, start=None)
    work = _work(needs=dataclasses.replace(NEEDS, order=order))
    assert work.start is None
    assert _days(work) == _days(_work())


def test_a_later_start_of_the_week_moves_the_work_over_the_weekend():
    """Ordered on a Friday, isle's cable comes on Saturday and is pulled on Monday."""
    order = dataclasses.replace(NEEDS.order, start=date(2027, 1, 15))
    work = _work(needs=dataclasses.replace(NEEDS, order=order))
    assert _days(work)["pull"] == (1, 3, 3, 3)


def test_the_kit_without_need_by_names_what_would_be_late():
    """With need_by the kit is dearer; without it the inverter comes ten days late."""
    order = dataclasses.replace(NEEDS.order, need_by=date(2027, 1, 21))
    needs = dataclasses.replace(NEEDS, order=order)
    dearer = dataclasses.replace(RESULT, total=RESULT.total + Decimal("12.50"))
    alone = Network(tasks=TASKS, calendar=Calendar(one_consignment=False))
    stock = _late_part("inverter-500", 20)
    found = without_need_by(dearer, RESULT, needs, stock, alone)
    assert found.total == RESULT.total
    assert found.saved == Decimal("12.50")
    assert [(p.part, p.here_day, p.late_days) for p in found.later] == [
        ("inverter-500", 20, 10)
    ]
    assert found.meanwhile == ("mark", "pull", "battery")
    assert found.work.hold.parts == ("inverter-500",)
    in_time = without_need_by(dearer, RESULT, needs, STOCK, alone)
    assert in_time.later == ()


def test_there_is_nothing_to_compare_without_a_kit_or_a_date():
    """No total, no start, no need_by: no comparison."""
    order = dataclasses.replace(NEEDS.order, need_by=date(2027, 1, 21))
    needs = dataclasses.replace(NEEDS, order=order)
    assert without_need_by(RESULT, NO_KIT, needs, STOCK, NETWORK) is None
    assert without_need_by(RESULT, RESULT, NEEDS, STOCK, NETWORK) is None
    with pytest.raises(ValueError, match="nothing to build"):
        _work(result=NO_KIT)
