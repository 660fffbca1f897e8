"""The tree of errors a person can cause.

KitbillError
├─ BadInput          exit 2: file, place in it, found, allowed, what to do
│  ├─ BadNeeds
│  └─ BadCatalog
└─ BrokenCatalog     exit 2: the database is not one of ours, or from a later version

"No kit meets these needs" is a result, not an error.
"""

from __future__ import annotations


class KitbillError(Exception):
    """Anything a person can cause and mend."""


class BadInput(KitbillError):
    """All the problems of one input, collected and shown together, first to last."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


class BadNeeds(BadInput):
    """The needs file says something that cannot be."""


class BadCatalog(BadInput):
    """A catalog file says something that cannot be."""


class BrokenCatalog(KitbillError):
    """The database is not a kitbill catalog, or was written by a later version."""
