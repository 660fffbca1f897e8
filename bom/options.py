"""Options that several commands have, and what is wrong with them before any work."""

from __future__ import annotations

from pathlib import Path


def output_problems(out: Path | None, json: Path | None, limit_s: float | None) -> list[str]:
    """What is wrong with a workbook's and a JSON file's name and a number of seconds.

    Raises
    ------
    BadInput
        Where a file cannot be written.
    """
    from bom.atomic import check_writable

    problems = []
    if out is not None and out.suffix.lower() != ".xlsx":
        problems.append(f'--out: found "{out}"; a workbook ends in .xlsx.')
    if out is not None and json is not None and out.resolve() == json.resolve():
        problems.append("--out, --json: each needs a file of its own.")
    if limit_s is not None and not limit_s > 0:
        text = f"--limit-s: found {limit_s:g}; a number of seconds above 0 belongs here."
        problems.append(text)
    if not problems:
        for path in (out, json):
            if path is not None:
                check_writable(path)
    return problems
