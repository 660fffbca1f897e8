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
    from solver.needs import Needs
    from solver.owned_use import OwnedUse
    from solver.records import Result
    from solver.stock import Stock
    from solver.trace import Event

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
    from bom.needs_file import read_needs
    from bom.owned_text import owned_texts, owned_to_json
    from bom.parts import read_chosen
    from bom.result_json import dumps, result_to_json
    from bom.summary import summary_text
    from bom.trace_file import TraceLines

    _refuse(wanted)
    for path in (wanted.out, wanted.json, wanted.trace):
        if path is not None:
            check_writable(path)
    if wanted.drawings is not None:
        check_folder(wanted.drawings)
    stock = read_chosen(None if catalog is None else str(catalog))
    stated = read_needs(needs, stock)
    progress(f"{len(stock.parts)} parts, {len(stock.offers)} offers")
    steps = TraceLines(stated, time.monotonic)
    result = solve(stated, stock, wanted, progress, steps.tell, person)
    owned = _owned(result, stated, stock, wanted, progress, person)
    files: dict[Path, bytes] = {}
    if wanted.json is not None:
        whole = result_to_json(result, stated) | {"owned": owned_to_json(owned)}
        files[wanted.json] = dumps(whole)
    if wanted.trace is not None:
        files[wanted.trace] = steps.content()
    if result.design is not None:
        files |= _documents(result, stated, stock, wanted, progress)
    failed = [c for c in result.checks if not c.ok]
    if failed:
        raise AssertionError(
            "a finished kit fails its own checks:\n"
            + "\n".join(f"  {c.rule}: {c.subject}: {c.value} against {c.limit}" for c in failed)
        )
    folder = None if result.design is None else wanted.drawings
    with contextlib.nullcontext() if folder is None else made_folder(folder):
        write_all(files)
    text = summary_text(result, stated, owned_texts(owned, result))
    text += _told(wanted, files, result)
    return Answer(0 if result.design is not None else 1, text)


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
    from solver.trace import untold

    if result.design is None:
        return ()
    if not wanted.owned:
        return owned_uses(result, needs, stock)
    plain = replace(wanted, opinion_s=None)

    def ask(other: Needs) -> Result:
        progress("solving with other owned parts")
        return solve(other, stock, plain, progress, untold, person)

    return owned_uses(result, needs, stock, ask)


def _documents(
    result: Result, needs: Needs, stock: Stock, wanted: Wanted, progress: Progress
) -> dict[Path, bytes]:
    """What is written only where there is a kit."""
    files: dict[Path, bytes] = {}
    if wanted.out is not None:
        from bom.workbook import workbook_bytes

        progress("writing the workbook")
        files[wanted.out] = workbook_bytes(result, needs, stock)
    if wanted.drawings is not None:
        from bom.drawings.files import wiring_files

        for name, drawn in wiring_files(result, needs).items():
            files[wanted.drawings / name] = drawn.encode()
    return files


def _told(wanted: Wanted, files: Iterable[Path], result: Result) -> str:
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
    return file.name.startswith("wiring") and file.suffix == ".svg"


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
