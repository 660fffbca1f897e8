"""Where the project's files are, for the tests of the house rules."""

from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
ROOMS = ("bom", "catalog", "solver")
NOT_OURS = {".git", ".venv", ".hypothesis", "build", "dist", "out"}
NOT_TEXT = {".png", ".xlsx", ".ods", ".pdf", ".sqlite", ".pyc"}


def files() -> Iterator[Path]:
    """Every text file of the project, generated and installed ones left out."""
    pending = [ROOT]
    while pending:
        for path in sorted(pending.pop().iterdir()):
            if path.is_dir():
                if not (path.name in NOT_OURS or "cache" in path.name or "egg" in path.name):
                    pending.append(path)
            elif path.suffix not in NOT_TEXT:
                yield path


def modules(*rooms: str) -> Iterator[Path]:
    """Every module of some rooms."""
    for room in rooms or ROOMS:
        yield from sorted((ROOT / room).rglob("*.py"))
