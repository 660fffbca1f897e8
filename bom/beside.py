"""What is told beside an answer: in its JSON, and on a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from bom.result_json import result_to_json
from bom.sheets.page import Beside
from bom.since_text import since_texts
from bom.work_json import work_json
from bom.work_text import finish_text, hold_text, occasion_texts, without_texts
from solver.needs import Needs
from solver.records import Result


def told(result: Result, needs: Needs, beside: Beside) -> dict[str, Any]:
    """The result as what `json` can write, with its work order; null without a kit."""
    work = beside.work
    found = result_to_json(result, needs)
    found["work_order"] = None if work is None else work_json(work, beside.without_need_by)
    return found


def sections(result: Result, beside: Beside) -> Iterator[tuple[str, Iterable[str]]]:
    """Titles and texts for a terminal."""
    work = beside.work
    if work is not None:
        yield "Work", [finish_text(work), hold_text(work), *occasion_texts(work)]
    if beside.without_need_by is not None:
        yield "Without need_by", without_texts(beside.without_need_by, result.currency)
    if beside.since is not None:
        yield "Since the earlier result", since_texts(beside.since, result.currency)
