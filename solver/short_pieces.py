"""Pieces of cable between two placed devices that stand farther apart than the piece reckons with."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from solver.entries import face_of
from solver.needs import Needs
from solver.records import Design, Device


@dataclass(frozen=True)
class ShortPiece:
    """A piece, the two devices that it joins, and what lies between them."""

    label: str
    one: str
    other: str
    gap_mm: float
    """Between their faces, along plus across."""
    reach_mm: float
    """What the piece is long without the slack at its ends."""


def short_pieces(needs: Needs, design: Design) -> tuple[ShortPiece, ...]:
    """Every piece within one place that does not reach along the walls without its slack.

    What is in a place is cut for before it is known where in it a device will stand.
    """
    devices = {d.id: d for d in design.devices}
    found = []
    for cut in design.cuts:
        ends = {end.at.split(":")[0] for end in cut.ends}
        there = sorted(ends & devices.keys())
        for one, other in combinations(there, 2):
            gap_mm = _gap_mm(devices[one], devices[other])
            reach_mm = max(cut.length_mm - 2 * needs.rules.slack_mm, 0.0)
            if devices[one].place == devices[other].place and gap_mm > reach_mm + 1.0:
                found.append(ShortPiece(cut.label, one, other, gap_mm, reach_mm))
    return tuple(found)


def _gap_mm(one: Device, other: Device) -> float:
    ax0, ay0, ax1, ay1 = face_of(one)
    bx0, by0, bx1, by1 = face_of(other)
    return max(ax0 - bx1, bx0 - ax1, 0.0) + max(ay0 - by1, by0 - ay1, 0.0)
