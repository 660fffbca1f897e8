"""Cutting: which piece comes from which length or spool."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Length:
    """A length that pieces are cut from."""

    name: str
    mm: int


def cut(pieces_mm: Sequence[int], lengths: Sequence[Length]) -> list[int] | None:
    """For each piece the number of the length it is cut from; None where they don't fit.

    Exact: a search over pieces from the longest, lengths with equal room tried once. Pieces of a
    kit are few; a length that takes everything is the usual case and is found at once.
    """
    order = sorted(range(len(pieces_mm)), key=lambda i: (-pieces_mm[i], i))
    room = [length.mm for length in lengths]
    taken = [-1] * len(pieces_mm)
    if sum(pieces_mm) > sum(room) or not _cut(order, 0, pieces_mm, room, taken):
        return None
    return taken


def _cut(
    order: Sequence[int], at: int, pieces_mm: Sequence[int], room: list[int], taken: list[int]
) -> bool:
    if at == len(order):
        return True
    piece = order[at]
    need = pieces_mm[piece]
    tried: set[int] = set()
    # the tightest length first keeps the long ones for what is left
    for j in sorted(range(len(room)), key=lambda j: (room[j], j)):
        if room[j] < need or room[j] in tried:
            continue
        tried.add(room[j])
        room[j] -= need
        taken[piece] = j
        if _cut(order, at + 1, pieces_mm, room, taken):
            return True
        room[j] += need
    return False
