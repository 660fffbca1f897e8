"""What checks of small parts share: what is there for a thing, and what the design says it lacks."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import TypeVar

from solver.check_sheet import Sheet
from solver.check_survey import Survey
from solver.parts import Cable, Lug
from solver.parts.base import Part
from solver.records import Cut, End

P = TypeVar("P", bound=Part)


class SmallSheet:
    """A sheet of checks on the small parts of a design."""

    def __init__(self, sheet: Sheet, survey: Survey) -> None:
        self.sheet, self.survey = sheet, survey
        self.design, self.needs = survey.design, survey.needs

    def there(self, of: str, kind: type[P]) -> list[P]:
        """The small parts of a class for something, each as often as it is there."""
        return [part for part, n in self.every(kind, of) for _ in range(int(n))]

    def every(self, kind: type[P], of: str | None = None) -> list[tuple[P, float]]:
        """The small parts of a class with how many there are, of all things or of one."""
        return [
            (part, float(one.quantity))
            for one in self.design.small or ()
            if isinstance(part := self.design.parts.get(one.part), kind)
            and of in (None, one.of)
        ]

    def lacking(self, of: str | None, *kinds: str) -> float:
        """How much of some kinds the design says is not to be had; all, if no such part is known."""
        if any(kind in self.design.without for kind in kinds):
            return math.inf
        unsold = self.design.unsold
        return sum(x.quantity for x in unsold if x.kind in kinds and of in (None, x.of))

    def holds(
        self, rule: str, source: str, of: str, kinds: tuple[str, ...], n: float, need: float
    ) -> None:
        """As much is there as is needed, less what is said not to be had."""
        asked = need - self.lacking(of, *kinds)
        if asked > 0:
            self.sheet.at_least(rule, source, of, n, asked, kinds[0])

    def ends(self) -> Iterable[tuple[Cut, End, Cable]]:
        """Each end of each piece, with its cable."""
        for cut in self.design.cuts:
            cable = self.survey.part(cut.cable, Cable)
            for end in cut.ends:
                yield cut, end, cable

    def lug(self, end: End) -> Lug | None:
        """The lug on an end."""
        part = self.design.parts.get(end.termination or "")
        return part if isinstance(part, Lug) else None
