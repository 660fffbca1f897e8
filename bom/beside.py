"""What is told beside an answer: in its JSON, and on a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from bom.result_json import number, result_to_json
from bom.sheets.page import Beside
from bom.since_text import since_texts
from bom.work_json import work_json
from bom.work_text import finish_text, hold_text, occasion_texts, without_texts
from solver.commissioning import expected
from solver.needs import Needs
from solver.records import Result


def told(result: Result, needs: Needs, beside: Beside) -> dict[str, Any]:
    """The result as what `json` can write, with its work order and the values to expect."""
    work = beside.work
    found = result_to_json(result, needs)
    found["work_order"] = None if work is None else work_json(work, beside.without_need_by)
    found["first_switch_on"] = _tests(result, needs)
    return found


def _tests(result: Result, needs: Needs) -> list[dict[str, Any]]:
    """The values to expect, in the order in which they are measured."""
    if result.design is None or result.energy is None:
        return []
    return [
        {
            "part": t.part,
            "step": t.step,
            "test": t.test,
            "subject": t.subject,
            "value": t.value if isinstance(t.value, str) else number(t.value),
            "at_least": None if t.at_least is None else number(t.at_least),
            "at_most": None if t.at_most is None else number(t.at_most),
            "unit": t.unit,
            "instrument": t.instrument,
            "outside": t.outside,
            "source": t.source,
            "licensed": t.licensed,
        }
        for t in expected(needs, result.design, result.energy)
    ]


def sections(result: Result, beside: Beside) -> Iterator[tuple[str, Iterable[str]]]:
    """Titles and texts for a terminal."""
    work = beside.work
    if work is not None:
        yield "Work", [finish_text(work), hold_text(work), *occasion_texts(work)]
    if beside.without_need_by is not None:
        yield "Without need_by", without_texts(beside.without_need_by, result.currency)
    if beside.since is not None:
        yield "Since the earlier result", since_texts(beside.since, result.currency)
