"""The main job: needs file and catalog in, the cheapest kit out, as text, JSON and workbook.

Calls the stages in their order; what it writes, it writes whole or not at all.
"""

from __future__ import annotations

import contextlib
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from solver.errors import BadInput

if TYPE_CHECKING:
    from bom.interrupt import Interruptible
    from bom.sheets.page import Beside
    from solver.needs import Needs
    from solver.owned_use import OwnedUse
    from solver.records import Result
    from solver.stock import Stock
    from solver.tasks import Network
    from solver.trace import Event
    from solver.work_order import WithoutNeedBy

Progress = Callable[[str], None]

DEFAULT_LIMIT_S = 50.0
"""Seconds for finding and proving, without `--limit-s`; what is not proven by then is told."""


@dataclass(frozen=True)
class Answer:
    """What a command ends with: its exit code, and what it prints."""

    exit_code: int
    text: str


@dataclass(frozen=True)
class Wanted:
    """What is asked of the search besides its needs and catalog."""

    out: Path | None = None
    json: Path | None = None
    drawings: Path | None = None
    trace: Path | None = None
    limit_s: float | None = None
    opinion_s: float | None = None
    """Seconds for a second opinion; None: none is asked for."""
    tasks: Path | None = None
    """A file of tasks; None: the usual ones."""
    since: Path | None = None
    """An earlier result to compare with."""
    without_need_by: bool = False
    """Whether to solve once more as if `need_by` were not stated."""
    owned: bool = False
    """Whether what owned parts save is solved for."""


def pick(needs: Path, catalog: Path | str | None, wanted: Wanted, progress: Progress) -> Answer:
    """Find the cheapest kit that meets a needs file, and write what was asked for.

    Once there is a kit, a first interruption gives the best so far, as when the time is up.

    Raises
    ------
    BadInput
        When a file or a value is wrong; nothing has been written then.
    """
    from bom.interrupt import Interruptible

    with Interruptible(progress) as person:
        return _picked(needs, catalog, wanted, progress, person)


def _picked(
    needs: Path,
    catalog: Path | str | None,
    wanted: Wanted,
    progress: Progress,
    person: Interruptible,
) -> Answer:
    from bom.atomic import check_folder, check_writable, made_folder, write_all
    from bom.beside import sections, told
    from bom.needs_file import read_needs
    from bom.parts import read_chosen
    from bom.result_json import dumps
    from bom.sheets.page import Beside
    from bom.since import changes, read_back, read_earlier, since_json
    from bom.summary import summary_text
    from bom.tasks_file import read_tasks
    from bom.trace_file import TraceLines
    from solver.work_order import work_order

    _refuse(wanted)
    for path in (wanted.out, wanted.json, wanted.trace):
        if path is not None:
            check_writable(path)
    if wanted.drawings is not None:
        check_folder(wanted.drawings)
    stock = read_chosen(None if catalog is None else str(catalog))
    stated = read_needs(needs, stock)
    progress(f"{len(stock.parts)} parts, {len(stock.offers)} offers")
    network = read_tasks(wanted.tasks, {*stock.by_name, *(o.part.part for o in stated.owned)})
    earlier = wanted.since and read_earlier(wanted.since, stated.job.currency)
    _refuse_without(wanted, stated, needs)
    steps = TraceLines(stated, time.monotonic)
    result = solve(stated, stock, wanted, progress, steps.tell, person)
    beside = Beside()
    if result.design is not None:
        beside = Beside(
            work=work_order(result, stated, stock, network),
            without_need_by=_without(result, stated, stock, network, wanted, progress, person),
            owned=_owned(result, stated, stock, wanted, progress, person),
        )
    found = told(result, stated, beside)
    if earlier:
        since = changes(str(wanted.since), earlier, read_back(found))
        beside = replace(beside, since=since)
        found["since"] = since_json(since)
    files: dict[Path, bytes] = {}
    if wanted.json is not None:
        files[wanted.json] = dumps(found)
    if wanted.trace is not None:
        files[wanted.trace] = steps.content()
    if result.design is not None:
        files |= _documents(result, stated, stock, beside, wanted, progress)
    failed = [c for c in result.checks if not c.ok]
    if failed:
        raise AssertionError(
            "a finished kit fails its own checks:\n"
            + "\n".join(f"  {c.rule}: {c.subject}: {c.value} against {c.limit}" for c in failed)
        )
    folder = None if result.design is None else wanted.drawings
    with contextlib.nullcontext() if folder is None else made_folder(folder):
        write_all(files)
    more = sections(result, beside)
    text = summary_text(result, stated, more) + _written(wanted, files, result)
    return Answer(0 if result.design is not None else 1, text)


def _refuse_without(wanted: Wanted, stated: Needs, needs: Path) -> None:
    """Refuse `--without-need-by` where there is no such limit."""
    order = stated.order
    if wanted.without_need_by and (order.start is None or order.need_by is None):
        cure = "state both, or leave the option out"
        raise BadInput([f"{needs}: --without-need-by needs [order] start and need_by; {cure}."])


def _without(
    result: Result,
    needs: Needs,
    stock: Stock,
    network: Network,
    wanted: Wanted,
    progress: Progress,
    person: Interruptible,
) -> WithoutNeedBy | None:
    """The answer as if `need_by` were not stated, where it is asked for."""
    from solver.market import market
    from solver.work_order import without_need_by

    if not wanted.without_need_by or person.stopped():
        return None
    free = replace(needs, order=replace(needs.order, need_by=None))
    other = result
    # Where every offer is in time, the answer is the same.
    if market(free, stock).deals != market(needs, stock).deals:
        progress("solving once more, without need_by")
        other = solve(free, stock, replace(wanted, opinion_s=None), progress, _untold, person)
    return without_need_by(result, other, needs, stock, network)


def _owned(
    result: Result,
    needs: Needs,
    stock: Stock,
    wanted: Wanted,
    progress: Progress,
    person: Interruptible,
) -> tuple[OwnedUse, ...]:
    """What became of the owned parts; where it is asked for, by solving without and with each."""
    from solver.owned_use import owned_uses

    if not wanted.owned or person.stopped():
        return owned_uses(result, needs, stock)
    plain = replace(wanted, opinion_s=None)

    def ask(other: Needs) -> Result:
        progress("solving with other owned parts")
        return solve(other, stock, plain, progress, _untold, person)

    return owned_uses(result, needs, stock, ask)


def _untold(event: Event) -> None:
    """The steps of another answer than this one are not told."""


def _documents(
    result: Result,
    needs: Needs,
    stock: Stock,
    beside: Beside,
    wanted: Wanted,
    progress: Progress,
) -> dict[Path, bytes]:
    """What is written only where there is a kit."""
    files: dict[Path, bytes] = {}
    if wanted.out is not None:
        from bom.workbook import workbook_bytes

        progress("writing the workbook")
        files[wanted.out] = workbook_bytes(result, needs, stock, beside)
    if wanted.drawings is not None:
        from bom.drawings.files import drawing_files

        for name, drawn in drawing_files(result, needs, stock).items():
            files[wanted.drawings / name] = drawn.encode()
    return files


def _written(wanted: Wanted, files: Iterable[Path], result: Result) -> str:
    """Which files were written, and why others were not."""
    lines = [f"written: {path}" for path in files]
    if result.design is None:
        if wanted.out is not None:
            lines.append("no workbook is written, because there is no kit to buy")
        if wanted.drawings is not None:
            lines.append("no drawing is made, because there is no kit to build")
    elif wanted.drawings is not None:
        from bom.drawings.files import left_over

        old = left_over(wanted.drawings.iterdir(), files)
        lines += [f"of an earlier answer: {wanted.drawings / name}; remove it" for name in old]
    return "".join(f"{line}\n" for line in lines)


def _refuse(wanted: Wanted) -> None:
    """Options whose values cannot be."""
    problems = []
    if wanted.out is not None and wanted.out.suffix.lower() != ".xlsx":
        problems.append(f'--out: found "{wanted.out}"; a workbook ends in .xlsx')
    for option, seconds in (("--limit-s", wanted.limit_s), ("--opinion-s", wanted.opinion_s)):
        if seconds is not None and not seconds > 0:
            problems.append(
                f"{option}: found {seconds:g}; a number of seconds above 0 belongs here"
            )
    paths = [p for p in (wanted.out, wanted.json, wanted.trace) if p is not None]
    files = [p.resolve() for p in paths if p.is_file() or not p.exists()]
    if len(set(files)) < len(files):
        problems.append("--out, --json, --trace: each needs a file of its own")
    if wanted.drawings is not None:
        folder = wanted.drawings.resolve()
        if any(folder == file or (folder == file.parent and _is_page(file)) for file in files):
            problems.append(
                f'--drawings: found "{wanted.drawings}"; its files would overwrite what --out, '
                "--json or --trace name"
            )
    if wanted.opinion_s is not None and not _second_solver():
        problems.append(
            "--second-opinion: the solver CBC is not installed; install it with "
            "\"pip install 'pulp[cbc]'\", or leave the option out"
        )
    if problems:
        raise BadInput(problems)


def _is_page(file: Path) -> bool:
    """Whether a file has the name of a drawing."""
    from bom.drawings.files import is_drawing

    return is_drawing(file.name)


def _second_solver() -> bool:
    from solver.milp import has_cbc

    with silenced_output():
        return has_cbc()


def solve(
    needs: Needs,
    stock: Stock,
    wanted: Wanted,
    progress: Progress,
    trace: Callable[[Event], None],
    person: Interruptible,
) -> Result:
    """Run the optimizer, with the solver's own words kept off standard output."""
    from solver.kit import solve_kit

    def told(event: Event) -> None:
        person.has_kit = person.has_kit or event.what == "first kit"
        trace(event)

    own = contextlib.nullcontext() if wanted.opinion_s is None else scratch_folder()
    with silenced_output(), own:
        return solve_kit(
            needs,
            stock,
            limit_s=DEFAULT_LIMIT_S if wanted.limit_s is None else wanted.limit_s,
            progress=progress,
            clock=time.monotonic,
            trace=told,
            stopped=person.stopped,
            opinion_s=wanted.opinion_s,
        )


@contextlib.contextmanager
def scratch_folder() -> Iterator[None]:
    """A folder of its own for what the second solver is handed, gone however the work ends."""
    names = ("TMPDIR", "TMP", "TEMP")
    before = {name: os.environ.get(name) for name in names}
    with tempfile.TemporaryDirectory(prefix="kitbill-", ignore_cleanup_errors=True) as folder:
        os.environ.update(dict.fromkeys(names, folder))
        try:
            yield
        finally:
            for name, value in before.items():
                os.environ.pop(name, None)
                if value is not None:
                    os.environ[name] = value


@contextlib.contextmanager
def silenced_output() -> Iterator[None]:
    """Point file descriptor 1 at nothing: the solver prints when it is made, whatever is set.

    Results go to standard output, so nothing else may. Without a real descriptor (under some
    test runners and notebooks) nothing is done.
    """
    try:
        sys.stdout.flush()
        kept = os.dup(1)
    except (OSError, ValueError):
        yield
        return
    try:
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), 1)
            try:
                yield
            finally:
                sys.stdout.flush()
                os.dup2(kept, 1)
    finally:
        os.close(kept)
