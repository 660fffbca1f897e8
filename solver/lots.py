"""Lots: numbers drawn from names, always the same, that decide between what costs the same.

A number hangs on the name alone: not on the order of rows, nor on what else a catalog holds.
"""

from __future__ import annotations

from functools import cache
from zlib import crc32

LOTS = 997
"""Lots are from 1 to this."""


@cache
def lot(*names: str) -> int:
    """The lot of a part, or of anything else that can be chosen."""
    return 1 + crc32("\n".join(names).encode()) % LOTS
