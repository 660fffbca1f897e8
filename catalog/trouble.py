"""What a database says went wrong, in plain words."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

import sqlalchemy as sa

from solver.errors import BadInput, BrokenCatalog, KitbillError

_SIGNS = (
    ("not a database", BrokenCatalog, "this file is no SQLite database"),
    ("malformed", BrokenCatalog, "the database is damaged; restore a copy"),
    ("corrupt", BrokenCatalog, "the database is damaged; restore a copy"),
    ("locked", BadInput, "another program is writing to it; try again later"),
    ("busy", BadInput, "another program is writing to it; try again later"),
    ("readonly", BadInput, "it cannot be changed, only read"),
    ("read-only", BadInput, "it cannot be changed, only read"),
    ("permission denied", BadInput, "you may not use it"),
)
"""What the database's message holds, what that means, and how to say it."""


class UnfinishedWrite(KitbillError):
    """A killed load has left a journal that only a writer can undo."""


@contextlib.contextmanager
def in_plain_words(shown: str) -> Iterator[None]:
    """Turn what the database library raises into an error a person can use."""
    try:
        yield
    except sa.exc.DBAPIError as error:
        raise _translated(shown, error) from error
    except sa.exc.SQLAlchemyError as error:
        raise BadInput([f"{shown}: {first_line(error)}"]) from error


def _translated(shown: str, error: sa.exc.DBAPIError) -> KitbillError:
    if getattr(error.orig, "sqlite_errorname", "") == "SQLITE_READONLY_ROLLBACK":
        return UnfinishedWrite(f"{shown}: a load was killed midway and is not undone yet.")
    text = str(error.orig).lower()
    said = first_line(error.orig)
    for sign, kind, words in _SIGNS:
        if sign in text:
            message = f"{shown}: {words} ({said})."
            return BadInput([message]) if kind is BadInput else BrokenCatalog(message)
    if isinstance(error, sa.exc.OperationalError):
        return BadInput([f"{shown}: cannot be used: {said}"])
    return BrokenCatalog(f"{shown}: the database does not fit a kitbill catalog: {said}")


def first_line(error: object) -> str:
    """The reason an error gives, in one line."""
    if isinstance(error, OSError) and error.strerror:
        return error.strerror
    return (str(error).strip().splitlines() or ["no reason given"])[0]
