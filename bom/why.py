"""`kitbill why`: which needs collide where there is no kit; where there is one, what each costs."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from bom.job import DEFAULT_LIMIT_S, Answer
from solver.errors import BadInput

if TYPE_CHECKING:
    from solver.collide import Explanation
    from solver.levers import Lever
    from solver.margins import Margins
    from solver.needs import Needs
    from solver.records import Result
    from solver.stock import Stock

Progress = Callable[[str], None]

KNOWN = "interrupted; this is what is known by now"
LATE = "the time is up; this is what is known by now"

WITHIN_S = 600.0
"""For all searches of one command together, where nothing else is asked for."""


class TimeUp(Exception):
    """The time for all searches together is over."""


@dataclass(frozen=True)
class Wanted:
    """What is asked for."""

    json: Path | None = None
    out: Path | None = None
    limit_s: float | None = None
    """For each search."""
    within_s: float | None = None
    """For all of them together."""
    needs: Sequence[str] = ()
    """Keys of the needs to ask about where there is a kit; none named: all."""


@dataclass(frozen=True)
class Why:
    """The answer to a needs file, and what explains it."""

    needs: Needs
    result: Result
    explanation: Explanation | None = None
    """Where there is no kit."""
    margins: Margins | None = None
    """Where there is one."""
    time_up: bool = False
    """Whether it was the time that ended it."""

    @property
    def explains(self) -> bool:
        """Whether it is known what stands in the way, or what each need costs."""
        return self.explanation is not None or self.margins is not None

    @property
    def interrupted(self) -> bool:
        """Whether not all was looked at."""
        told = self.explanation or self.margins
        return told is not None and not told.done


def why(needs: Path, catalog: Path | str | None, wanted: Wanted, progress: Progress) -> Answer:
    """Explain the answer to a needs file, and write what was asked for.

    Interrupted, or out of time, it tells what it knows by then.

    Returns
    -------
    Answer
        With exit code 0: it has explained; 1 where it was not decided whether there is a kit.

    Raises
    ------
    BadInput
        When a file, a key or a value is wrong; nothing has been written then.
    KeyboardInterrupt
        When it is interrupted before anything is known.
    """
    from bom.atomic import write_all
    from bom.needs_file import read_needs
    from bom.options import output_problems
    from bom.parts import read_chosen
    from bom.result_json import dumps
    from bom.why_json import why_to_json
    from bom.why_text import why_text
    from solver.levers import levers_of

    problems = output_problems(wanted.out, wanted.json, wanted.limit_s)
    if problems:
        raise BadInput(problems)
    stock = read_chosen(None if catalog is None else str(catalog))
    stated = read_needs(needs, stock)
    levers = chosen_levers(levers_of(stated, stock), wanted.needs)
    limit_s = DEFAULT_LIMIT_S if wanted.limit_s is None else wanted.limit_s
    within_s = WITHIN_S if wanted.within_s is None else wanted.within_s
    found = explained(stated, stock, levers, limit_s, progress, within_s)
    files: dict[Path, bytes] = {}
    if wanted.json is not None:
        files[wanted.json] = dumps(why_to_json(found))
    if wanted.out is not None:
        from bom.why_book import why_book_bytes

        files[wanted.out] = why_book_bytes(found)
    write_all(files)
    text = why_text(found) + "".join(f"written: {path}\n" for path in files)
    return Answer(0 if found.explains else 1, text)


def chosen_levers(levers: Sequence[Lever], keys: Sequence[str]) -> tuple[Lever, ...]:
    """Those of some keys; all where none is named.

    Raises
    ------
    BadInput
        Where a key is none of them, with the nearest right one.
    """
    from solver.columns import nearest, printable, sentence, show

    known = {_plain(x.key): x for x in levers}
    problems = []
    for key in keys:
        if _plain(key) not in known:
            names = [x.key for x in levers]
            ends = [n for n in names if _plain(key) in _plain(n).split(".")]
            hint = f"; did you mean {' or '.join(ends)}?" if ends else nearest(key, names)
            hint = hint or f"; there are: {', '.join(names)}"
            text = f"--need {show(key)}: no need of this job{hint}"
            problems.append(printable(sentence(text)))
    if problems:
        raise BadInput(problems)
    return tuple(known[_plain(k)] for k in dict.fromkeys(keys)) or tuple(levers)


def _plain(key: str) -> str:
    """A key as it is compared: the shell may have taken its quotes away."""
    return key.replace('"', "").replace("'", "").strip()


def explained(
    needs: Needs,
    stock: Stock,
    levers: Sequence[Lever],
    limit_s: float,
    progress: Progress,
    within_s: float | None = None,
) -> Why:
    """The answer to needs, and why there is no kit or what each need costs.

    Parameters
    ----------
    needs : Needs
        As stated.
    stock : Stock
        The catalog.
    levers : sequence of Lever
        Needs to ask about; where there is no kit, all are.
    limit_s : float
        Seconds for each search.
    progress : callable
        Told what is looked at.
    within_s : float, optional
        Seconds for all searches together: after them no other is begun. Without it, as long as it
        takes.
    """
    from solver.collide import has_none
    from solver.margins import Margins, find_margins

    searches = Searches(stock, limit_s, within_s)
    progress("solving the needs as stated")
    result = searches.stated(needs)
    if has_none(result):
        return _collisions(needs, stock, result, searches, progress)
    if result.design is None:
        return Why(needs, result)
    margins = Margins(result)
    late = False
    try:
        find_margins(needs, levers, searches.best, progress, margins)
    except (KeyboardInterrupt, TimeUp) as ended:
        late = isinstance(ended, TimeUp)
        progress(LATE if late else KNOWN)
    return Why(needs, result, margins=margins, time_up=late)


def _collisions(
    needs: Needs, stock: Stock, result: Result, searches: Searches, progress: Progress
) -> Why:
    """Why needs have no kit; where not even that much is known, what `kitbill pick` says of it."""
    from solver.collide import Explanation, explain
    from solver.levers import levers_of

    explanation, late = Explanation(), False
    try:
        every = levers_of(needs, stock)
        explain(needs, every, searches.any, searches.best, progress, explanation)
    except KeyboardInterrupt:
        if not explanation.knows:
            progress("interrupted before anything was known; nothing is written")
            raise
        progress(KNOWN)
    except TimeUp:
        late = True
        progress(LATE)
    if explanation.nothing_helps or (late and not explanation.collisions):
        progress("what the catalog lacks, and what stands in the way at first sight")
        result = searches.reasons(needs)
    return Why(needs, result, explanation=explanation, time_up=late)


class Searches:
    """Searches for kits of one catalog, each with its own time, and within that of all."""

    def __init__(self, stock: Stock, limit_s: float, within_s: float | None = None) -> None:
        self._stock, self._limit_s = stock, limit_s
        self._ends_s = math.inf if within_s is None else time.monotonic() + within_s

    def stated(self, needs: Needs) -> Result:
        """The answer to the needs as stated, which everything else hangs on: whatever the time."""
        return self._solved(needs, limit_s=self._limit_s)

    def best(self, needs: Needs) -> Result:
        """The cheapest kit, proven as far as the time goes."""
        return self._solved(needs)

    def any(self, needs: Needs) -> Result:
        """Any kit, or that there is none: it ends with the first that is found.

        Of those within a budget, the first that is with its small parts; else the cheapest.
        """
        return self._solved(needs, any_kit=True)

    def reasons(self, needs: Needs) -> Result:
        """The answer where there is none, with what the catalog lacks; whatever the time."""
        return self._solved(needs, limit_s=self._limit_s, explains=True)

    def _limit(self) -> float:
        """Seconds for the next search."""
        left_s = self._ends_s - time.monotonic()
        if left_s <= 0:
            raise TimeUp
        return min(self._limit_s, left_s)

    def _solved(
        self,
        needs: Needs,
        *,
        any_kit: bool = False,
        limit_s: float | None = None,
        explains: bool = False,
    ) -> Result:
        from bom.job import silenced_output
        from bom.outcome import refuse_failed
        from solver.kit import solve_kit

        limit_s = self._limit() if limit_s is None else limit_s
        with silenced_output():
            result = solve_kit(
                needs,
                self._stock,
                limit_s=limit_s,
                clock=time.monotonic,
                explains=explains,
                any_kit=any_kit,
            )
        refuse_failed(result)
        return result
