"""The log of a proof as a file: one JSON object a line, in the order in which things happened."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from bom.result_json import amount

if TYPE_CHECKING:
    from solver.needs import Needs
    from solver.trace import Event

FORMAT = "kitbill-trace-1"


class TraceLines:
    """Collects the steps of a proof with the second at which each was told."""

    def __init__(self, needs: Needs, clock: Callable[[], float]) -> None:
        self._clock, self._begun = clock, clock()
        self._lines = [_line({"format": FORMAT, "currency": needs.job.currency})]

    def tell(self, event: Event) -> None:
        """Keep one step."""
        said = {k: _plain(v) for k, v in asdict(event).items() if v is not None}
        self._lines.append(_line({"s": round(self._clock() - self._begun, 3), **said}))

    def content(self) -> bytes:
        """The file's bytes."""
        return "".join(self._lines).encode("utf-8")


def _plain(value: Any) -> Any:
    return amount(value) if isinstance(value, Decimal) else value


def _line(document: dict[str, Any]) -> str:
    return json.dumps(document, ensure_ascii=False, allow_nan=False) + "\n"
