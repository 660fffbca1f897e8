"""What to do when: every task with its parts and days, deliveries, what is for others."""

from __future__ import annotations

from bom.sheets.page import ONE, Column, Kit, Row
from bom.work_text import (
    CONSIGNMENT,
    LICENSED,
    LINE_BY_LINE,
    NO_START,
    basket_text,
    day_text,
    finish_text,
    hold_text,
    occasion_texts,
    without_texts,
)
from solver.parts import Battery
from solver.records import Design
from solver.work_order import Planned, WorkOrder

TITLE = "work order"
COLUMNS = (
    Column(heading="done", width=6),
    Column(heading="task", width=15),
    Column(heading="what is done", width=56),
    Column(heading="hours", unit="of work", width=8, form=ONE),
    Column(heading="after", width=18),
    Column(heading="waits for", unit="comes last", width=26),
    Column(heading="parts here", width=17),
    Column(heading="can start", unit="at the earliest", width=17),
    Column(heading="planned", width=17),
    Column(heading="until", unit="cured", width=17),
)
MOST_PARTS = 3
"""Named of those that come last."""
DAYS = (
    "Hours are usual ones, common practice without a source. A task can start when its parts are "
    "here and those before it are done; the plan shares the tasks among the hands there are."
)


def above(kit: Kit, first: int) -> list[Row]:
    """The finish, what holds it back, what was assumed."""
    work = kit.work
    texts = [finish_text(work), hold_text(work)]
    if work.start is None:
        texts.append(NO_START)
    sent = CONSIGNMENT if work.calendar.one_consignment else LINE_BY_LINE
    return [Row(cells=(text,), look="text") for text in (*texts, f"{DAYS} {sent}")]


def rows(kit: Kit, first: int) -> list[Row]:
    """The tasks, then deliveries, then what can begin on which day, then what is for others."""
    work = kit.work
    found = [_row(work, planned) for planned in work.tasks]
    found += _block(
        "Orders, and the last day for each",
        [basket_text(work, basket) for basket in work.baskets]
        or ["Nothing is ordered: everything needed is owned."],
    )
    found += _block("What can be done from which day on", list(occasion_texts(work)))
    if kit.beside.without_need_by is not None:
        texts = list(without_texts(kit.beside.without_need_by, kit.result.currency))
        found += _block("Without need_by", texts)
    found += _block(
        "For a licensed person, or to be asked of the authority, under local code; nothing of it "
        "is done by this work order",
        licensed_texts(kit),
    )
    return found


def licensed_texts(kit: Kit) -> list[str]:
    """What of this kit is left to others."""
    there = {""}
    for circuit in kit.design.circuits:
        there |= {circuit.kind, circuit.from_, circuit.to}
    texts = [text for only_with, text in LICENSED if only_with in there]
    return [*texts, storage_text(kit.design)]


def storage_text(design: Design) -> str:
    """How much the bank stores, which some rules limit."""
    battery = design.parts[design.bank.battery]
    assert isinstance(battery, Battery), "a bank of something else than batteries"
    count = design.bank.series * design.bank.parallel
    kwh = battery.nominal_v * battery.capacity_ah * count / 1000
    return (
        f"Stored energy, {kwh:.1f} kWh here: building and fire rules set limits of their own, "
        "often 5 to 20 kWh indoors; above them the place wants an approval"
    )


def _block(title: str, texts: list[str]) -> list[Row]:
    return [
        Row(cells=(), look="space"),
        Row(cells=(title,), look="head"),
        *(Row(cells=(text,), look="text") for text in texts),
    ]


def _row(work: WorkOrder, planned: Planned) -> Row:
    parts = list(planned.waits_for[:MOST_PARTS])
    if len(planned.waits_for) > MOST_PARTS:
        parts.append(f"and {len(planned.waits_for) - MOST_PARTS} more")
    return Row(
        cells=(
            "☐",
            planned.task.name,
            _does(planned),
            planned.work_h,
            ", ".join(planned.task.after),
            "\n".join(parts) or "nothing",
            day_text(work, planned.here_day) if planned.waits_for else "",
            day_text(work, planned.start_day),
            day_text(work, planned.plan_start_day),
            day_text(work, planned.ready_day),
        )
    )


def _does(planned: Planned) -> str:
    task = planned.task
    texts = [task.does + "."]
    if task.licensed:
        texts.append("Not yours to do: licensed work.")
    if task.weather:
        texts.append("Needs dry weather above 5 °C.")
    if task.also:
        texts.append(f"Also needed: {task.also}.")
    if task.caution:
        texts.append(f"Caution: {task.caution}.")
    return "\n".join(texts)
