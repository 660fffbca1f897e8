"""The cells of a comparison: their needs, which are all valid before the first is solved, and
their answers, as they come.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from bom.chains import Chains
from bom.journal import Journal
from bom.money import amount_text
from bom.needs_file import needs_of
from bom.outcome import Outcome, digest_of_needs
from bom.side_by_side import Solvers
from bom.stated import Stated
from bom.vary_values import Combination
from solver.errors import BadInput, BadNeeds
from solver.needs import Needs
from solver.stock import Stock

Progress = Callable[[str], None]

NO_CHAINS = Chains(())


@dataclass(frozen=True)
class Cell:
    """One combination of values, as a question."""

    what: Combination
    needs: Needs
    question: str
    """Digest of the needs, the catalog and the time given."""


def cells_of(
    combinations: Sequence[Combination], stated: Stated, stock: Stock, stock_digest: str
) -> list[Cell]:
    """The needs of every cell.

    Raises
    ------
    BadInput
        With what is wrong in any of them, each fault once: nothing is solved then.
    """
    cells = []
    problems: dict[str, str] = {}
    for what in combinations:
        try:
            needs = needs_of(what.stated(stated), stock)
        except BadNeeds as wrong:
            for problem in wrong.problems:
                problems.setdefault(problem, what.shown())
            continue
        cells.append(Cell(what, needs, digest_of_needs(needs, stock_digest)))
    if problems:
        raise BadInput([f"with {shown}: {problem}" for problem, shown in problems.items()])
    return cells


def answered_cells(
    cells: Sequence[Cell],
    journal: Journal,
    asked: Solvers,
    progress: Progress,
    chains: Chains = NO_CHAINS,
) -> Iterator[Cell]:
    """Solve what the journal does not know; gives each cell once its answer stands there.

    Cells with the same needs are one question, and one whose answer follows from another's is not
    asked.
    """
    by_question: dict[str, list[Cell]] = {}
    for cell in cells:
        by_question.setdefault(cell.question, []).append(cell)
    open_ = [
        q for q in chains.ordered(list(by_question), asked.capacity) if q not in journal.known
    ]
    count, told = len(open_), 0
    begun: set[str] = set()
    for question, same in by_question.items():
        if question in journal.known:
            yield from same
    for question in by_question:
        if question in journal.known:
            yield from _following(question, journal, by_question, chains)
    while begun or any(q not in journal.known for q in open_):
        while len(begun) < asked.capacity and open_:
            # what may follow from one that is under way is asked only where nothing else is left
            question = next((q for q in open_ if not chains.behind(q, begun)), open_[0])
            open_.remove(question)
            if question not in journal.known:
                asked.begin(question, by_question[question][0].needs)
                begun.add(question)
        question, outcome = asked.take()
        begun.discard(question)
        new = question not in journal.known
        journal.add(question, outcome)
        if new:
            yield from by_question[question]
        after = list(_following(question, journal, by_question, chains))
        told += new + len({c.question for c in after})
        first = by_question[question][0]
        said = _told(outcome, first.needs.job.currency)
        holds = "; holds for further values" if after else ""
        progress(f"{told} of {count}: {first.what.shown()}: {said}{holds}")
        yield from after


def _following(
    question: str, journal: Journal, by_question: dict[str, list[Cell]], chains: Chains
) -> Iterator[Cell]:
    """Cells that another's answer is the answer to."""
    for other, outcome in chains.reached(question, journal.known[question]):
        if other in by_question and other not in journal.known:
            journal.known[other] = outcome
            yield from by_question[other]


def _told(outcome: Outcome, currency: str) -> str:
    return word_of(outcome) if outcome.total is None else amount_text(outcome.total, currency)


def word_of(outcome: Outcome) -> str:
    """How sure an answer is, in a word or two."""
    if outcome.status == "optimal":
        return "proven"
    if outcome.status == "infeasible":
        return "no kit"
    if outcome.total is None:
        return "not decided"
    return f"{outcome.gap_pct or 0:.2g} % open"


def cheapest_of(outcomes: Sequence[Outcome]) -> int | None:
    """Which costs least; of several the first. None where none has a kit."""
    totals = [(o.total, n) for n, o in enumerate(outcomes) if o.total is not None]
    return min(totals)[1] if totals else None


def dearer(outcome: Outcome, cheapest: Outcome) -> Decimal | None:
    """By how much one answer is above another."""
    if outcome.total is None or cheapest.total is None:
        return None
    return outcome.total - cheapest.total
