"""How much of a place its sheet shows, and how large.

Where what stands in a place is small beside it, all of it drawn large says more than the whole:
then only the part from the corner marked 0 is drawn, as far as anything stands, its other edges
are break lines, and a small key plan shows the whole beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from solver.needs import Place

SCALES = (1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 200, 500, 1000, 2000)
"""One to so many: those of ISO 5455, from memory, and some between."""
FRONT_MM = 12.0
"""Between the dimensions of a locker's plan and its front view."""
LEGIBLE_MM = 12.0
"""Narrower than this on paper, a thing has no room for its name: a larger scale is looked for."""
GAIN = 1.4
"""By so much at the least things must get larger, or the whole is drawn."""
NEARLY_WHOLE = 0.85
"""Of a side; nothing is broken off for the rest."""
AROUND_MM = 6.0
"""On paper, from the last thing to the break line."""
KEY_GAP_MM = 8.0
"""Between the part and its key plan."""
KEY_LEFT_MM, KEY_BELOW_MM = 9.0, 7.0
"""For the dimensions of the key plan."""
KEY_BETWEEN_MM, KEY_TEXT_MM = 2.0, 9.0
"""Between the key plan and its front view; of what is said under them."""
KEY_LEAST_MM, KEY_MOST_MM = 24.0, 80.0
"""Width of a key plan."""


@dataclass(frozen=True, kw_only=True)
class Window:
    """A part of a place, from its corner marked 0, at a scale of one to so many."""

    place: Place
    scale: int
    along_mm: float
    across_mm: float
    rises_mm: float | None
    """Of a locker's front view."""
    key_scale: int | None = None
    """Of the key plan beside it, where it is not the whole."""

    @property
    def ends_right(self) -> bool:
        """Whether it reaches the place's right edge."""
        return self.along_mm >= self.place.length_mm

    @property
    def ends_above(self) -> bool:
        """Whether it reaches the place's upper edge."""
        return self.across_mm >= self.place.width_mm

    @property
    def ends_under_lid(self) -> bool:
        """Whether its front view reaches the place's free height."""
        return self.rises_mm is None or self.rises_mm >= (self.place.height_mm or 0.0)

    @property
    def wide_mm(self) -> float:
        """On paper."""
        return self.along_mm / self.scale

    @property
    def high_mm(self) -> float:
        """On paper, with the front view but without what stands between the two."""
        return (self.across_mm + (self.rises_mm or 0.0)) / self.scale


@dataclass(frozen=True, kw_only=True)
class Extent:
    """How far from the corner marked 0 anything stands, and how narrow the narrowest is."""

    along_mm: float
    across_mm: float
    rises_mm: float
    narrowest_mm: float

    def with_hole(self, at_mm: tuple[float, ...] | None, bore_mm: float) -> Extent:
        """Also as far as a hole whose middle is stated."""
        if at_mm is None:
            return self
        along, across = (x + bore_mm / 2 for x in at_mm)
        return replace(
            self, along_mm=max(self.along_mm, along), across_mm=max(self.across_mm, across)
        )


def window_of(
    place: Place, extent: Extent | None, room_mm: tuple[float, float], arrows_mm: float
) -> Window:
    """The whole place, or the part of it that shows more.

    Parameters
    ----------
    place : Place
    extent : Extent, optional
        Of what stands there; None for nothing.
    room_mm : pair of float
        Width and height on the paper, without the dimensions.
    arrows_mm : float
        Width that the marks of cable entries take over the key plan.
    """
    plain = whole(place, room_mm)
    if extent is None or extent.narrowest_mm >= LEGIBLE_MM * plain.scale:
        return plain
    for scale in SCALES:
        if scale * GAIN > plain.scale:
            break
        part = _part(place, extent, scale)
        spare = room_mm[0] - part.wide_mm - KEY_GAP_MM - KEY_LEFT_MM
        key = _key_scale(place, (min(spare, KEY_MOST_MM), room_mm[1]), arrows_mm)
        if part.high_mm <= _for_views(place, room_mm[1]) and key is not None:
            return replace(part, key_scale=key)
    return plain


def whole(place: Place, room_mm: tuple[float, float]) -> Window:
    """A place from edge to edge, as large as finds room."""
    high = place.width_mm + (place.height_mm or 0.0)
    scale = scale_of(place.length_mm, high, room_mm[0], _for_views(place, room_mm[1]))
    return Window(
        place=place,
        scale=scale,
        along_mm=place.length_mm,
        across_mm=place.width_mm,
        rises_mm=place.height_mm,
    )


def scale_of(long_mm: float, high_mm: float, wide_mm: float, tall_mm: float) -> int:
    """The largest scale, one to so many, at which a length and a height find room on paper."""
    for scale in SCALES:
        if long_mm <= wide_mm * scale and high_mm <= tall_mm * scale:
            return scale
    return ceil(max(long_mm / wide_mm, high_mm / tall_mm))


def _for_views(place: Place, high_mm: float) -> float:
    """Of a height, what plan and front view have."""
    return high_mm if place.height_mm is None else high_mm - FRONT_MM


def _part(place: Place, extent: Extent, scale: int) -> Window:
    around = AROUND_MM * scale
    rises = place.height_mm
    return Window(
        place=place,
        scale=scale,
        along_mm=_as_far(extent.along_mm + around, place.length_mm),
        across_mm=_as_far(extent.across_mm + around, place.width_mm),
        rises_mm=None if rises is None else _as_far(extent.rises_mm + around, rises),
    )


def _as_far(reach_mm: float, side_mm: float) -> float:
    """A reach, or the whole side where little of it would be left."""
    return side_mm if reach_mm > NEARLY_WHOLE * side_mm else reach_mm


def _key_scale(place: Place, room_mm: tuple[float, float], arrows_mm: float) -> int | None:
    """The largest scale at which a key plan finds room; None where it would be too small."""
    wide, high = room_mm[0], room_mm[1] - KEY_BELOW_MM - KEY_TEXT_MM
    if place.height_mm is not None:
        high -= KEY_BETWEEN_MM
    if wide < KEY_LEAST_MM:
        return None
    tall = place.width_mm + (place.height_mm or 0.0)
    scale = scale_of(place.length_mm, tall, wide, high)
    drawn = place.length_mm / scale
    fits = max(drawn, place.width_mm / scale) >= KEY_LEAST_MM and arrows_mm <= drawn + 6
    return scale if fits else None


def extent_of(spans: Sequence[tuple[float, float, float, float]]) -> Extent | None:
    """Of things, each by how far it reaches along, across and up, and by its narrower side."""
    if not spans:
        return None
    along, across, rises, narrow = zip(*spans, strict=True)
    return Extent(
        along_mm=max(along),
        across_mm=max(across),
        rises_mm=max(rises),
        narrowest_mm=min(narrow),
    )
