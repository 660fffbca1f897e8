"""Where fuses, blocks and breakers find room once the devices of a kit are placed.

The kit is chosen and placed without them: they stand in any place and no rule of the choice
keeps room for them. Here each gets a spot among what is already there, beside the thing it
protects from, so that the drawings can show it. What is found is free and inside; that there is
a spot at all, or one within the way that its piece of cable is reckoned with, is not promised
by the kit, and what finds none is named.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from solver.entries import Entry, entries_of, face_of
from solver.fit import Item, prove_placing
from solver.needs import Needs, Obstacle, Place
from solver.parts.device import Device as DevicePart
from solver.records import Cut, Design, Device, seat_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from solver.parts.base import Part

BESIDE_MM = (20.0, 10.0, 0.0)
"""Free on every side for lugs and a driver: the most with which one is near enough to its
source; common practice, no source."""
ENTRY_MM = 40.0
"""Kept free about a cable entry whose hole has no size yet; common practice, no source."""
PROOF_S = 2.0
"""Most seconds of search for one place, in the placer's own count."""
AT_ONCE = 512
"""Corners that are looked at together: the nearest ones are free, as a rule."""
CLOSE_MM = 1e-6
"""Faces that touch don't overlap."""

Rectangle = tuple[float, float, float, float]
"""Nearest corner and farthest corner: x, y, x, y, in mm."""


@dataclass(frozen=True, kw_only=True)
class Mount:
    """A protection that takes room: by itself, in its holder, or a block with all its ways.

    Or a combiner, with or without fuses, which is best near the first of its panels.
    """

    id: str
    part: Part
    """What stands there: the outermost holder, or the breaker itself."""
    place: str
    source: str | None
    """The device of the same place that it protects from; None where that is outside."""
    reach_mm: float | None
    """The way from there that its piece of cable is reckoned with."""


@dataclass(frozen=True, kw_only=True)
class FuseSpot:
    """A free spot for one of them."""

    mount: Mount
    x_mm: float
    y_mm: float
    rotated: bool
    gap_mm: float | None
    """Between its face and its source's, along and across."""

    @property
    def too_far(self) -> bool:
        """Whether its piece of cable is reckoned with a shorter way."""
        reach = self.mount.reach_mm
        return self.gap_mm is not None and reach is not None and self.gap_mm > reach + CLOSE_MM

    @property
    def face(self) -> Rectangle:
        """The rectangle that it covers."""
        along, across = _sides(self.mount.part, rotated=self.rotated)
        return (self.x_mm, self.y_mm, self.x_mm + along, self.y_mm + across)


@dataclass(frozen=True, kw_only=True)
class FuseSpots:
    """Of one place: what has a spot, what finds none, and what needs none."""

    place: str
    spots: tuple[FuseSpot, ...]
    crowded: tuple[Mount, ...]
    """They find no room beside the devices as these are placed."""
    proven: bool
    """Whether it is proven that not all of them do; True where nothing is crowded."""
    too_high: tuple[Mount, ...]
    """They rise higher than the place is."""
    bare: tuple[str, ...]
    """Ids of those of which the catalog states no size."""


def fuse_spots(needs: Needs, design: Design) -> tuple[FuseSpots, ...]:
    """A spot for every fuse, block and breaker of a placed kit, place by place.

    Parameters
    ----------
    needs : Needs
        For the places and the cable entries, which are kept free.
    design : Design
        A kit whose devices have their spots.

    Returns
    -------
    tuple of FuseSpots
        One for each place in which some protection stands, in the order of the needs.
    """
    mounts = mounts_of(needs, design)
    entries = entries_of(needs, design)
    return tuple(
        _of_place(place, mounts[place.name], design, entries)
        for place in needs.places
        if mounts[place.name]
    )


def mounts_of(needs: Needs, design: Design) -> dict[str, list[Mount]]:
    """What is to be mounted, by place: a block once, and the combiners of arrays."""
    found: dict[str, list[Mount]] = defaultdict(list)
    pieces = _pieces_by_end(design)
    places = {d.id: d.place for d in design.devices}
    seen = set()
    # the fuses of strings hang in their panels' leads, or sit in a combiner
    hung = {name for array in design.arrays for name in array.all_fuses}
    for p in design.protections:
        if p.id in hung:
            continue
        one = seat_of(p)
        if one in seen:
            continue
        seen.add(one)
        # a breaker has pieces of its own, a block those of its feed
        ends = p.id if p.box is not None else one
        source, reach = _source(needs, pieces[ends], ends, p.place, places)
        mount = Mount(
            id=one, part=_outermost(design, p.part, p.holder), place=p.place, source=source,
            reach_mm=reach,
        )  # fmt: skip
        found[p.place].append(mount)
    for array in design.arrays:
        box = array.combiner
        if box is not None:
            beside = Mount(
                id=box.id, part=design.parts[box.part], place=box.place, source=array.panels[0],
                reach_mm=None,
            )  # fmt: skip
            found[box.place].append(beside)
    return found


def _outermost(design: Design, part: str, holder: str | None) -> Part:
    """What carries a protection on the board: its holder, or that holder's own."""
    name = part
    passed: set[str] = set()
    following: str | None = holder
    while following is not None and following in design.parts and following not in passed:
        passed.add(following)
        name = following
        following = getattr(design.parts[name], "holder", None)
    return design.parts[name]


def _pieces_by_end(design: Design) -> dict[str, list[Cut]]:
    found: dict[str, list[Cut]] = defaultdict(list)
    for cut in design.cuts:
        for thing in {name for end in cut.ends for name in _names(end.at)}:
            found[thing].append(cut)
    return found


def _names(at: str) -> tuple[str, ...]:
    """An end names a thing, or a thing and its port; ids of ways have a port's form."""
    return (at, at.rpartition(":")[0])


def _source(
    needs: Needs, pieces: Iterable[Cut], one: str, place: str, places: dict[str, str]
) -> tuple[str | None, float | None]:
    """The device of the same place on the shortest of its pieces, and the way between them."""
    reached = sorted(
        (cut.length_mm, thing)
        for cut in pieces
        for end in cut.ends
        for thing in _names(end.at)
        if thing != one and places.get(thing) == place
    )
    if not reached:
        return None, None
    length, thing = reached[0]
    return thing, max(length - 2 * needs.rules.slack_mm, 0.0)


def _sides(part: Part, *, rotated: bool = False) -> tuple[float, float]:
    along, across = part.length_mm or 0.0, part.width_mm or 0.0
    return (across, along) if rotated else (along, across)


# -- the room that is left


def _of_place(
    place: Place, mounts: Sequence[Mount], design: Design, entries: Iterable[Entry]
) -> FuseSpots:
    here = [d for d in design.devices if d.place == place.name]
    taken = [_taken(d) for d in here]
    faces = {d.id: face_of(d) for d in here}
    blocks = [
        (o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm) for o in place.obstacles
    ]
    blocks += [_about(e) for e in entries if e.place == place.name and e.at_mm is not None]
    bare = tuple(m.id for m in mounts if 0.0 in _sides(m.part))
    faced = [m for m in mounts if m.id not in bare]
    high = tuple(m for m in faced if _is_too_high(m.part, place))
    waiting = sorted((m for m in faced if m not in high), key=_largest_first)
    best = _best_by_hand(place, waiting, [*taken, *blocks], faces)
    proven = True
    if len(best) < len(waiting):
        verdict, exact = _laid_exactly(place, waiting, [*taken, *blocks], faces)
        proven = verdict != "unknown"
        best = exact if exact is not None else best
    order = {m.id: n for n, m in enumerate(mounts)}
    spots = tuple(sorted(best, key=lambda s: order[s.mount.id]))
    placed = {s.mount.id for s in spots}
    return FuseSpots(
        place=place.name,
        spots=spots,
        crowded=tuple(m for m in faced if m not in high and m.id not in placed),
        proven=proven,
        too_high=high,
        bare=bare,
    )


def _is_too_high(part: Part, place: Place) -> bool:
    return place.height_mm is not None and (part.height_mm or 0.0) > place.height_mm + CLOSE_MM


def _largest_first(mount: Mount) -> tuple[float, float, int, str]:
    """What is hard to place first; alike in the order of their ids."""
    along, across = _sides(mount.part)
    return (-along * across, -max(along, across), len(mount.id), mount.id)


def _taken(device: Device) -> Rectangle:
    """Its face with the space that stays free around it."""
    x0, y0, x1, y1 = face_of(device)
    part = device.part
    f = (part.clear_mm or 0.0) if isinstance(part, DevicePart) else 0.0
    return (x0 - f, y0 - f, x1 + f, y1 + f)


def _about(entry: Entry) -> Rectangle:
    assert entry.at_mm is not None, entry
    x, y = entry.at_mm
    half = (entry.bore_mm or ENTRY_MM) / 2
    return (x - half, y - half, x + half, y + half)


# -- by hand: one after the other, each as near to its source as it can be


def _best_by_hand(
    place: Place,
    waiting: Sequence[Mount],
    blocks: Sequence[Rectangle],
    faces: dict[str, Rectangle],
) -> list[FuseSpot]:
    """The first way in which all find room near enough; else the one with the most that do."""
    tried: list[tuple[int, int, int, list[FuseSpot]]] = []
    for besides in (BESIDE_MM, BESIDE_MM[-1:]):
        for order in (waiting, waiting[::-1]):
            spots = _laid_by_hand(place, order, blocks, faces, besides)
            far = sum(s.too_far for s in spots)
            if len(spots) == len(waiting) and not far:
                return spots
            tried.append((len(waiting) - len(spots), far, len(tried), spots))
    return min(tried)[-1]


def _laid_by_hand(
    place: Place,
    mounts: Iterable[Mount],
    blocks: Sequence[Rectangle],
    faces: dict[str, Rectangle],
    besides_mm: Sequence[float],
) -> list[FuseSpot]:
    taken = list(blocks)
    found = []
    for mount in mounts:
        source = faces.get(mount.source or "")
        spots = [_nearest(place, mount, taken, source, mm) for mm in besides_mm]
        free = [spot for spot in spots if spot is not None]
        if free:
            nearest = min(free, key=lambda spot: spot.gap_mm or 0.0)
            spot = next((spot for spot in free if not spot.too_far), nearest)
            found.append(spot)
            taken.append(spot.face)
    return found


def _nearest(
    place: Place,
    mount: Mount,
    taken: Sequence[Rectangle],
    source: Rectangle | None,
    beside_mm: float,
) -> FuseSpot | None:
    """The free spot with the least gap to the source; of those alike the nearest corner.

    Tried are the corners at which it touches something, or lies flush with its source.
    """
    best: tuple[float, float, float, bool] | None = None
    blocks = np.array(taken, dtype=float).reshape(-1, 4)
    for rotated in (False, True):
        along, across = _sides(mount.part, rotated=rotated)
        xs = _stops(place.margin_mm, place.length_mm, along, taken, source, 0, beside_mm)
        ys = _stops(place.margin_mm, place.width_mm, across, taken, source, 1, beside_mm)
        x, y = (grid.ravel() for grid in np.meshgrid(xs, ys))
        gap = _gaps(source, x, y, along, across)
        order = np.lexsort((x, y, gap))
        for first in range(0, len(order), AT_ONCE):
            some = order[first : first + AT_ONCE]
            free = some[_is_free(blocks, x[some], y[some], along, across, beside_mm)]
            if len(free):
                n = free[0]
                one = (float(gap[n]), float(y[n]), float(x[n]), rotated)
                best = one if best is None else min(best, one)
                break
    if best is None:
        return None
    gap_mm, y_mm, x_mm, turned = best
    return FuseSpot(
        mount=mount, x_mm=x_mm, y_mm=y_mm, rotated=turned,
        gap_mm=None if source is None else gap_mm,
    )  # fmt: skip


def _stops(
    margin: float,
    side: float,
    extent: float,
    taken: Sequence[Rectangle],
    source: Rectangle | None,
    axis: int,
    beside: float,
) -> NDArray[np.float64]:
    """Coordinates worth a try along one side of the place."""
    low, high = margin, side - margin - extent
    tried = {low, high}
    for block in taken:
        tried |= {block[axis + 2] + beside, block[axis] - extent - beside}
    if source is not None:
        tried |= {source[axis], source[axis + 2] - extent}
    kept = sorted({round(t, 3) for t in tried if low - CLOSE_MM <= t <= high + CLOSE_MM})
    return np.array(kept, dtype=float)


def _is_free(
    blocks: NDArray[np.float64],
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    along: float,
    across: float,
    beside: float,
) -> NDArray[np.bool_]:
    """Whether nothing lies within a distance of a face at each corner."""
    left, right = (x - beside)[:, None], (x + along + beside)[:, None]
    near, far = (y - beside)[:, None], (y + across + beside)[:, None]
    x0, y0, x1, y1 = blocks.T
    wide = np.minimum(right, x1) - np.maximum(left, x0)
    high = np.minimum(far, y1) - np.maximum(near, y0)
    # Corners are whole micrometres.
    free: NDArray[np.bool_] = ~((wide > 1e-3) & (high > 1e-3)).any(axis=1)
    return free


def _gaps(
    source: Rectangle | None,
    x: NDArray[np.float64],
    y: NDArray[np.float64],
    along: float,
    across: float,
) -> NDArray[np.float64]:
    """Between two faces, along plus across; from the corner of the place without a source."""
    if source is None:
        return x + y
    x0, y0, x1, y1 = source
    wide = np.maximum(np.maximum(x0 - (x + along), x - x1), 0.0)
    high = np.maximum(np.maximum(y0 - (y + across), y - y1), 0.0)
    return np.round(wide + high, 3)


# -- exactly: where hand finds no room for all


def _laid_exactly(
    place: Place,
    mounts: Sequence[Mount],
    blocks: Sequence[Rectangle],
    faces: dict[str, Rectangle],
) -> tuple[str, list[FuseSpot] | None]:
    """All of them somewhere, near or not, or the proof that they do not all find room."""
    stated = place.obstacles
    others = [
        Obstacle(name=str(n), x_mm=max(x0, 0.0), y_mm=max(y0, 0.0),
                 length_mm=x1 - max(x0, 0.0), width_mm=y1 - max(y0, 0.0))
        for n, (x0, y0, x1, y1) in enumerate(blocks)
        if x1 > max(x0, 0.0) and y1 > max(y0, 0.0)
    ]  # fmt: skip
    left = replace(place, obstacles=(*stated, *others), height_mm=None)
    items = [Item(m.id, *_sides(m.part), m.part.height_mm or 1.0) for m in mounts]
    verdict, spots = prove_placing(items, left, PROOF_S)
    if spots is None:
        return verdict, None
    found = []
    for mount, spot in zip(mounts, spots, strict=True):
        source = faces.get(mount.source or "")
        along, across = _sides(mount.part, rotated=spot.rotated)
        at = np.array([spot.x_mm]), np.array([spot.y_mm])
        gap = None if source is None else float(_gaps(source, *at, along, across)[0])
        found.append(
            FuseSpot(
                mount=mount, x_mm=spot.x_mm, y_mm=spot.y_mm, rotated=spot.rotated, gap_mm=gap
            )
        )
    return verdict, found
