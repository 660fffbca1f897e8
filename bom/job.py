"""The main job: needs file and catalog in, the cheapest kit out, as text, JSON and workbook.

Calls the stages in their order; what it writes, it writes whole or not at all.
"""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from solver.errors import BadInput

if TYPE_CHECKING:
    from solver.needs import Needs
    from solver.records import Result
    from solver.stock import Stock

Progress = Callable[[str], None]

DEFAULT_LIMIT_S = 50.0
"""Seconds for finding and proving, without `--limit-s`; what is not proven by then is told."""


@dataclass(frozen=True)
class Answer:
    """What a command ends with: its exit code, and what it prints."""

    exit_code: int
    text: str


def pick(
    needs: Path,
    catalog: Path | str | None,
    out: Path | None,
    json: Path | None,
    drawings: Path | None,
    limit_s: float | None,
    progress: Progress,
) -> Answer:
    """Find the cheapest kit that meets a needs file, and write what was asked for.

    Raises
    ------
    BadInput
        When a file or a value is wrong; nothing has been written then.
    """
    from bom.atomic import check_writable, write_all
    from bom.needs_file import read_needs
    from bom.parts import read_chosen
    from bom.result_json import dumps, result_to_json
    from bom.summary import summary_text

    _refuse(out, drawings, limit_s)
    for path in (out, json):
        if path is not None:
            check_writable(path)
    stock = read_chosen(None if catalog is None else str(catalog))
    stated = read_needs(needs, stock)
    progress(f"{len(stock.parts)} parts, {len(stock.offers)} offers")
    result = solve(stated, stock, limit_s, progress)
    files: dict[Path, bytes] = {}
    if json is not None:
        files[json] = dumps(result_to_json(result, stated))
    if out is not None and result.design is not None:
        from bom.workbook import workbook_bytes

        progress("writing the workbook")
        files[out] = workbook_bytes(result, stated, stock)
    failed = [c for c in result.checks if not c.ok]
    if failed:
        raise AssertionError(
            "a finished kit fails its own checks:\n"
            + "\n".join(f"  {c.rule}: {c.subject}: {c.value} against {c.limit}" for c in failed)
        )
    write_all(files)
    text = summary_text(result, stated)
    for path in files:
        text += f"written: {path}\n"
    if out is not None and result.design is None:
        text += "no workbook is written, because there is no kit to buy\n"
    return Answer(0 if result.design is not None else 1, text)


def _refuse(out: Path | None, drawings: Path | None, limit_s: float | None) -> None:
    """Options whose values cannot be."""
    problems = []
    if out is not None and out.suffix.lower() != ".xlsx":
        problems.append(f'--out: found "{out}"; a workbook ends in .xlsx')
    if drawings is not None:
        problems.append(
            f'--drawings: found "{drawings}"; this version makes no drawings yet, leave it out'
        )
    if limit_s is not None and not limit_s > 0:
        problems.append(
            f"--limit-s: found {limit_s:g}; a number of seconds above 0 belongs here"
        )
    if problems:
        raise BadInput(problems)


def solve(needs: Needs, stock: Stock, limit_s: float | None, progress: Progress) -> Result:
    """Run the optimizer, with the solver's own words kept off standard output."""
    from solver.kit import solve_kit

    with silenced_output():
        return solve_kit(
            needs,
            stock,
            limit_s=DEFAULT_LIMIT_S if limit_s is None else limit_s,
            progress=progress,
            clock=time.monotonic,
        )


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
