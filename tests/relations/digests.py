"""The answers of some jobs as digests, for comparing one process with another.

`python -m tests.relations.digests 0 5 mobile-library-van` prints a line for each job: its name
and the digest of its JSON, byte for byte.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

from bom.job import silenced_output
from solver.kit import solve_kit
from tests.relations.jobs import as_json, job

ROOT = Path(__file__).resolve().parents[2]


def digests(names: Iterable[int | str]) -> list[str]:
    """A line for each job."""
    found = []
    for name in names:
        needs, stock = job(name)
        with silenced_output():
            data = as_json(solve_kit(needs, stock), needs)
        found.append(f"{name} {hashlib.sha256(data).hexdigest()}")
    return found


def digests_of(
    names: Iterable[int | str], python: str | Path = sys.executable, **surroundings: str
) -> list[str]:
    """The same from a process of its own."""
    run = subprocess.run(
        [str(python), "-m", "tests.relations.digests", *map(str, names)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT), **surroundings},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )
    assert run.returncode == 0, run.stderr
    return run.stdout.splitlines()


if __name__ == "__main__":
    lines = digests(int(word) if word.isdigit() else word for word in sys.argv[1:])
    sys.stdout.write("".join(f"{line}\n" for line in lines))
