"""The work order in the result file, under `work_order`."""

from __future__ import annotations

from typing import Any

from bom.result_json import amount, number
from bom.work_text import iso
from solver.work_order import Basket, Hold, Planned, WithoutNeedBy, WorkOrder


def work_json(work: WorkOrder, without: WithoutNeedBy | None) -> dict[str, Any]:
    """A work order as what `json` can write.

    Days count from the day of the orders, which is 0; each stands once more as a date, null where
    the needs state no start.
    """
    return {
        "start": iso(work, 0),
        "calendar": {
            "hours_per_day": number(work.calendar.hours_per_day),
            "weekends": work.calendar.weekends,
            "people": work.calendar.people,
            "buffer_days": work.calendar.buffer_days,
            "one_consignment": work.calendar.one_consignment,
        },
        "work_h": number(work.work_h),
        "finish_day": work.finish_day,
        "finish": iso(work, work.finish_day),
        "holds_back": None if work.hold is None else _hold(work, work.hold),
        "tasks": [_task(work, planned) for planned in work.tasks],
        "baskets": [_basket(work, basket) for basket in work.baskets],
        "from_day": [
            {
                "day": o.day,
                "date": iso(work, o.day),
                "arrives": list(o.arrives),
                "can_be_done": list(o.startable),
                "not_yet": list(o.blocked),
            }
            for o in work.occasions
        ],
        "without_need_by": None if without is None else _without(without),
    }


def _day(work: WorkOrder, key: str, day: int | None) -> dict[str, Any]:
    return {f"{key}_day": day, key: None if day is None else iso(work, day)}


def _task(work: WorkOrder, planned: Planned) -> dict[str, Any]:
    task = planned.task
    return {
        "task": task.name,
        "does": task.does,
        "work_h": number(planned.work_h),
        "needs": list(task.needs),
        "after": list(task.after),
        "licensed": task.licensed,
        "weather": task.weather,
        "also": task.also,
        "caution": task.caution,
        "waits_for": list(planned.waits_for),
        **_day(work, "parts_here", planned.here_day),
        **_day(work, "can_start", planned.start_day),
        **_day(work, "planned_start", planned.plan_start_day),
        **_day(work, "planned_end", planned.plan_end_day),
        **_day(work, "ready", planned.ready_day),
    }


def _basket(work: WorkOrder, basket: Basket) -> dict[str, Any]:
    return {
        "supplier": basket.supplier,
        "name": basket.name,
        "lead_days": basket.lead_days,
        **_day(work, "here", basket.here_day),
        "slowest": list(basket.slowest),
        "first_task": basket.first_task,
        **_day(work, "first_task_planned", basket.first_day),
        "late_days": basket.late_days,
        **_day(work, "order_by", basket.order_by_day),
        **_day(work, "order_by_for_need_by", basket.need_by_day),
    }


def _hold(work: WorkOrder, hold: Hold) -> dict[str, Any]:
    return {
        "parts": list(hold.parts),
        "supplier": hold.supplier,
        **_day(work, "here", hold.here_day),
        "task": hold.task,
        "needed": hold.needed,
        "gained_days": hold.gained_days,
    }


def _without(found: WithoutNeedBy) -> dict[str, Any]:
    work = found.work
    return {
        "status": found.status,
        "total": amount(found.total),
        "saved": amount(found.saved),
        "later": [
            {
                "part": p.part,
                "supplier": p.supplier,
                **_day(work, "here", p.here_day),
                "late_days": p.late_days,
            }
            for p in found.later
        ],
        "meanwhile": list(found.meanwhile),
        **_day(work, "finish", work.finish_day),
        "holds_back": None if work.hold is None else _hold(work, work.hold),
    }
