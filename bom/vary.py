"""`kitbill vary`: the same needs with other values, each combination solved as `pick` would.

What is done is kept in a journal beside the output until all of it is, so that the same command
goes on after an interruption and ends with the same files.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from bom.job import DEFAULT_LIMIT_S, Answer
from solver.errors import BadInput

if TYPE_CHECKING:
    from bom.cells import Cell
    from bom.frontiers import Staircase
    from bom.journal import Journal
    from bom.outcome import Outcome
    from bom.side_by_side import Solvers
    from bom.stated import Stated
    from bom.vary_values import Axis
    from solver.stock import Stock

Say = Callable[[str], None]


@dataclass(frozen=True)
class Wanted:
    """What is asked for."""

    sets: Sequence[str] = ()
    alternatives: Path | None = None
    frontier: str | None = None
    out: Path | None = None
    json: Path | None = None
    limit_s: float | None = None
    workers: int | None = None
    scheduler: str | None = None

    @property
    def seconds(self) -> float:
        """For each answer, as in `kitbill pick`."""
        return DEFAULT_LIMIT_S if self.limit_s is None else self.limit_s


@dataclass(frozen=True)
class Comparison:
    """All cells with their answers."""

    cells: Sequence[Cell]
    outcomes: Sequence[Outcome]
    axes: tuple[Axis, ...]
    cheapest: int | None
    limit_s: float
    staircase: Staircase | None = None
    """Of a frontier; its numbers are those of the cells here."""
    name: str = field(default="")
    currency: str = field(default="EUR")


def vary(
    needs: Path, catalog: Path | str | None, wanted: Wanted, show: Say, progress: Say
) -> Answer:
    """Solve every combination, show each as it comes, and write what was asked for.

    Parameters
    ----------
    needs : Path
        The needs file.
    catalog : Path or str, optional
        As `--catalog`.
    wanted : Wanted
        What is tried, and where it is written.
    show : callable
        Told the lines of the table, in the order of the cells, as soon as they are known.
    progress : callable
        Told of each answer as it comes.

    Returns
    -------
    Answer
        With exit code 1 where no cell has a kit.

    Raises
    ------
    BadInput
        When a file, a key or a value is wrong; nothing has been written or solved then.
    """
    from bom.atomic import write_all
    from bom.journal import Journal, journal_beside
    from bom.needs_file import read_stated
    from bom.outcome import digest_of_stock
    from bom.parts import read_chosen
    from bom.side_by_side import solvers
    from bom.vary_text import ending_text

    _refuse(wanted)
    stock = read_chosen(None if catalog is None else str(catalog))
    stated = read_stated(needs)
    journal = Journal(journal_beside(wanted.json, wanted.out))
    plan = _plan(wanted, stated, stock, digest_of_stock(stock, wanted.seconds))
    progress(_begins(plan, journal))
    with (
        _resumable(journal, plan.cells, progress),
        solvers(stock, wanted.seconds, wanted.workers, wanted.scheduler) as asked,
    ):
        found = _solved(plan, stated, journal, asked, wanted.seconds, show, progress)
    files = _files(wanted, found)
    write_all(files)
    journal.remove()
    text = ending_text(found) + "".join(f"written: {path}\n" for path in files)
    return Answer(0 if found.cheapest is not None else 1, text)


@dataclass(frozen=True)
class _Plan:
    """What is to be solved."""

    cells: Sequence[Cell]
    axes: tuple[Axis, ...]
    grows: bool | None
    """Of a frontier, which way its key goes; None where every cell is solved."""


def _plan(wanted: Wanted, stated: Stated, stock: Stock, stock_digest: str) -> _Plan:
    from bom.cells import cells_of
    from bom.frontiers import frontier_axis
    from bom.vary_values import alternatives_of, axes_of, combinations

    grows = None
    if wanted.frontier is not None:
        axis, grows = frontier_axis(wanted.frontier, stated)
        axes: tuple[Axis, ...] = (axis,)
    else:
        axes = axes_of(wanted.sets, stated)
    _refuse_currency(axes)
    named = () if wanted.alternatives is None else alternatives_of(wanted.alternatives, stated)
    cells = cells_of(combinations(axes, named), stated, stock, stock_digest)
    if len({cell.needs.job.currency for cell in cells}) > 1:
        raise BadInput(["job.currency: costs in several currencies cannot be compared."])
    return _Plan(cells, axes, grows)


def _refuse_currency(axes: Sequence[Axis]) -> None:
    if any(a.path.table == "job" for a in axes):
        text = "what stands in [job] changes no kit; vary needs, limits or rules"
        raise BadInput([f"--set: {text}."])


def _begins(plan: _Plan, journal: Journal) -> str:
    count = len(plan.cells)
    there = sum(cell.question in journal.known for cell in plan.cells)
    known = f", {there} known from {journal.path}" if there else ""
    if plan.grows is not None:
        return f"{count} values, of which as many are solved as the steps ask for{known}"
    return f"{count} {'cell' if count == 1 else 'cells'}{known}"


@contextlib.contextmanager
def _resumable(journal: Journal, cells: Sequence[Cell], progress: Say) -> Iterator[None]:
    """Tell who interrupts what is kept."""
    try:
        yield
    except KeyboardInterrupt:
        there = sum(cell.question in journal.known for cell in cells)
        if journal.path is not None and there:
            progress(
                f"interrupted; {journal.path} keeps {there} of {len(cells)} answers, and the "
                "same command goes on from there"
            )
        else:
            progress("interrupted; nothing is kept, for neither --json nor --out names a file")
        raise


def _solved(
    plan: _Plan,
    stated: Stated,
    journal: Journal,
    asked: Solvers,
    limit_s: float,
    show: Say,
    progress: Say,
) -> Comparison:
    from bom.cells import answered_cells, cheapest_of
    from bom.chains import chains_of
    from bom.frontiers import climb, numbered
    from bom.vary_text import Table

    cells, staircase, known = plan.cells, None, journal.known
    if plan.grows is not None:
        axis = plan.axes[0]
        climbed = climb(cells, axis, plan.grows, stated, journal, asked, progress)
        cells, staircase = [cells[n] for n in climbed.solved], numbered(climbed)
    else:
        table, chains = Table(cells, plan.axes), chains_of(cells, plan.axes, stated)
        show(table.heading())
        for cell in answered_cells(cells, journal, asked, progress, chains):
            for line in table.add(cell, known[cell.question]):
                show(line)
        known = chains.settled(known)
    outcomes = [known[cell.question] for cell in cells]
    needs = cells[0].needs
    return Comparison(
        cells=cells,
        outcomes=outcomes,
        axes=plan.axes,
        cheapest=cheapest_of(outcomes),
        limit_s=limit_s,
        staircase=staircase,
        name=needs.job.name,
        currency=needs.job.currency,
    )


def _files(wanted: Wanted, found: Comparison) -> dict[Path, bytes]:
    from bom.result_json import dumps
    from bom.vary_json import vary_to_json

    files: dict[Path, bytes] = {}
    if wanted.json is not None:
        files[wanted.json] = dumps(vary_to_json(found))
    if wanted.out is not None:
        from bom.vary_book import vary_book_bytes

        files[wanted.out] = vary_book_bytes(found)
    return files


def _refuse(wanted: Wanted) -> None:
    """Options that cannot be, before anything is read."""
    from bom.options import output_problems

    problems = output_problems(wanted.out, wanted.json, wanted.limit_s)
    if wanted.workers is not None and wanted.workers < 1:
        problems.append(f"--workers: found {wanted.workers}; at least 1 belongs here.")
    if wanted.frontier is not None and (wanted.sets or wanted.alternatives is not None):
        problems.append("--frontier: stands alone, without --set and --alternatives.")
    if wanted.frontier is None and not wanted.sets and wanted.alternatives is None:
        problems.append(
            "nothing is varied; --set KEY=VALUE,… belongs here, or --alternatives FILE, or "
            "--frontier KEY=FROM..TO."
        )
    if problems:
        raise BadInput(problems)
