"""What is done of a long work, so that it goes on where it was interrupted.

A file beside the output to which a line is added for each answer, on the disk before the next is
begun. Each answer is known by its question, its catalog and the time given: an old line that
belongs to other needs is never taken.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

from bom.outcome import Outcome
from solver.errors import BadInput

FORMAT = "kitbill-journal-1"
BEGINS = f'{{"format": "{FORMAT}"'
"""How each line begins."""


class Journal:
    """Answers by the digest of their question; without a file they are kept in mind only."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.known: dict[str, Outcome] = {}
        if path is not None and path.exists():
            self._read(path)

    def _read(self, path: Path) -> None:
        try:
            lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
        except OSError as wrong:
            raise BadInput([f"{path}: cannot be read ({wrong.strerror or wrong})."]) from wrong
        if any(lines) and not any(line.startswith(BEGINS) for line in lines):
            text = "is no journal of ours; move it, or give the output another name"
            raise BadInput([f"{path}: {text}."])
        for line in lines:
            try:
                row = json.loads(line)
                if row["format"] == FORMAT:
                    self.known[row["question"]] = Outcome.from_json(row["outcome"])
            except (ValueError, KeyError, TypeError, ArithmeticError):
                continue  # cut off by a power failure, or no line of ours: it is solved again

    def add(self, question: str, outcome: Outcome) -> None:
        """Keep an answer."""
        self.known[question] = outcome
        if self.path is None:
            return
        row = {"format": FORMAT, "question": question, "outcome": outcome.to_json()}
        # begins with a line end: a line before it may have been cut off
        line = "\n" + json.dumps(row, ensure_ascii=True) + "\n"
        try:
            with self.path.open("a", encoding="utf-8") as file:
                file.write(line)
                file.flush()
                os.fsync(file.fileno())
        except OSError as wrong:
            text = f"{self.path}: cannot be written ({wrong.strerror or wrong})."
            raise BadInput([text]) from wrong

    def remove(self) -> None:
        """Remove the file: the work is done."""
        if self.path is not None:
            self.path.unlink(missing_ok=True)


def journal_beside(*outputs: Path | None) -> Path | None:
    """Where the journal of some outputs stands: beside the first there is."""
    first = next((p for p in outputs if p is not None), None)
    return None if first is None else first.with_name(first.name + ".journal")
