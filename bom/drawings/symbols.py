"""The symbols: drawn by us after IEC 60617, from memory of the standard.

Every symbol that stands in a line has its upper terminal at (x, y) and its lower one straight
below. The box is what the symbol covers; a text or a line that is not its own never enters it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from bom.drawings.page import Box, Circle, Point, Stroke, Symbol

Drawn = tuple[list[Stroke], list[Circle]]

HEIGHTS_MM = {
    "fuse": 8.0,
    "breaker": 8.0,
    "residual breaker": 11.0,
    "switch": 8.0,
    "isolator": 8.0,
    "plug and socket": 8.0,
    "shunt": 8.0,
    "battery": 8.0,
    "panel": 7.0,
    "dc load": 7.0,
    "ac load": 7.0,
    "dc converter": 14.0,
    "inverter": 14.0,
    "inverter charger": 14.0,
    "rectifier": 14.0,
    "unit": 14.0,
    "inlet": 5.0,
    "socket": 5.0,
    "earth": 5.0,
    "outside battery": 8.0,
}
"""From the upper terminal to the lower one."""

HALF_WIDTHS_MM = {
    "fuse": 1.5,
    "breaker": 3.0,
    "residual breaker": 3.0,
    "switch": 4.0,
    "isolator": 3.0,
    "plug and socket": 3.0,
    "shunt": 4.2,
    "battery": 3.6,
    "panel": 3.0,
    "dc load": 3.5,
    "ac load": 3.5,
    "dc converter": 7.0,
    "inverter": 7.0,
    "inverter charger": 7.0,
    "rectifier": 7.0,
    "unit": 7.0,
    "inlet": 3.0,
    "socket": 3.0,
    "earth": 3.0,
    "outside battery": 4.4,
}
"""From the line to the symbol's edge on either side."""

MEANINGS = {
    "fuse": "fuse",
    "breaker": "circuit breaker",
    "residual breaker": "AC circuit breaker that opens at a residual current too",
    "switch": "switch, worked by hand",
    "isolator": "isolator (switch-disconnector), one of its poles",
    "plug and socket": "inlet of panels on the ground, one of its poles: the cup is the lead's socket",
    "shunt": "battery monitor's shunt, in the negative",
    "battery": "battery; long stroke: positive",
    "panel": "solar panel; point of the triangle: positive",
    "dc load": "load, DC",
    "ac load": "load, AC",
    "dc converter": "charge controller or charger, DC to DC",
    "inverter": "inverter, DC to AC",
    "inverter charger": "inverter that also charges",
    "rectifier": "charger, AC to DC",
    "unit": "device",
    "inlet": "inlet for a supply from outside",
    "socket": "socket; what is named is plugged in",
    "earth": "earth: chassis, hull or earth bar",
    "outside battery": "battery outside this kit",
}
"""What the legend says of each."""


def symbol(
    kind: str,
    id: str,  # noqa: A002
    at: Point,
    *,
    height_mm: float | None = None,
    turned: bool = False,
) -> Symbol:
    """A symbol in a vertical line.

    Parameters
    ----------
    kind : str
        One of `HEIGHTS_MM`.
    id : str
        What stands here.
    at : Point
        Its upper terminal.
    height_mm : float, optional
        To draw it smaller or larger than it is made; widths go with it.
    turned : bool
        Whether it stands on its head.
    """
    x, y = at
    scale = 1.0 if height_mm is None else height_mm / HEIGHTS_MM[kind]
    half = HALF_WIDTHS_MM[kind] * scale
    strokes, circles = _SHAPES[kind]()
    if turned:
        high = HEIGHTS_MM[kind]
        strokes = [
            replace(s, points=tuple((px, high - py) for px, py in s.points)) for s in strokes
        ]
        circles = [replace(c, at=(c.at[0], high - c.at[1])) for c in circles]
    return Symbol(
        kind=kind,
        id=id,
        box=Box(x - half, y, x + half, y + HEIGHTS_MM[kind] * scale),
        strokes=tuple(
            Stroke(_moved(s.points, at, scale), s.look, s.closed, s.filled) for s in strokes
        ),
        circles=tuple(
            Circle(_moved([c.at], at, scale)[0], c.radius_mm * scale, c.filled) for c in circles
        ),
    )


def _moved(points: Sequence[Point], at: Point, scale: float) -> tuple[Point, ...]:
    return tuple((at[0] + px * scale, at[1] + py * scale) for px, py in points)


def _line(*points: Point, look: str = "symbol") -> Stroke:
    return Stroke(points, look)


def _shape(*points: Point, filled: bool = False) -> Stroke:
    return Stroke(points, "symbol", closed=True, filled=filled)


def _rect(left: float, top: float, right: float, bottom: float) -> Stroke:
    return _shape((left, top), (right, top), (right, bottom), (left, bottom))


def _fuse() -> Drawn:
    return [_rect(-1.5, 1, 1.5, 7), _line((0, 0), (0, 8))], []


def _blade() -> list[Stroke]:
    return [_line((0, 0), (0, 2)), _line((0, 8), (0, 6.4), (-2.6, 2.2))]


def _breaker() -> Drawn:
    cross = [_line((-0.9, 1.1), (0.9, 2.9)), _line((-0.9, 2.9), (0.9, 1.1))]
    return [*_blade(), *cross], []


def _residual_breaker() -> Drawn:
    """A breaker; the ring around its conductors, where they sum up, works it too."""
    ring = [
        (1.6 * math.cos(math.pi * n / 8), 9.4 + 0.8 * math.sin(math.pi * n / 8))
        for n in range(16)
    ]
    worked = _line((-1.6, 9.4), (-3.0, 9.4), (-3.0, 4.3), (-1.3, 4.3), look="joint")
    return [*_breaker()[0], _shape(*ring), _line((0, 8), (0, 11)), worked], []


def _isolator() -> Drawn:
    # The stroke at the fixed contact: it isolates; the ring: it breaks the load's current.
    contact = _line((-1.2, 2.0), (1.2, 2.0))
    joint = _line((-3.0, 4.3), (-1.3, 4.3), look="joint")
    return [*_blade(), contact, joint], [Circle((0, 2.6), 0.6)]


def _plug_and_socket() -> Drawn:
    """The socket's cup over the plug's pin, which is filled."""
    cup = [
        (2.2 * math.cos(math.pi * n / 12), 4.8 - 2.2 * math.sin(math.pi * n / 12))
        for n in range(13)
    ]
    pin = _shape((-0.5, 3.4), (0.5, 3.4), (0.5, 6.2), (-0.5, 6.2), filled=True)
    return [_line((0, 0), (0, 2.6)), _line(*cup), pin, _line((0, 6.2), (0, 8))], []


def _switch() -> Drawn:
    hand = [
        _line((-1.3, 4.3), (-2.1, 4.3)),
        _line((-2.6, 4.3), (-3.9, 4.3)),
        _line((-3.9, 3.3), (-3.9, 5.3)),
    ]
    return [*_blade(), *hand], []


def _shunt() -> Drawn:
    taps = [
        _line((1.5, 2.2), (4.1, 2.2), (4.1, 2.9)),
        _line((1.5, 5.8), (4.1, 5.8), (4.1, 5.1)),
    ]
    body = [_rect(-1.5, 1, 1.5, 7), _line((0, 0), (0, 1)), _line((0, 7), (0, 8))]
    return [*body, *taps], [Circle((3.0, 4.0), 0.9)]


def _battery() -> Drawn:
    return [
        _line((0, 0), (0, 1.8)),
        _line((-3.5, 1.8), (3.5, 1.8)),
        _line((-1.6, 3.1), (1.6, 3.1), look="bold"),
        _line((0, 3.7), (0, 4.3)),
        _line((-3.5, 4.9), (3.5, 4.9)),
        _line((-1.6, 6.2), (1.6, 6.2), look="bold"),
        _line((0, 6.2), (0, 8)),
    ], []


def _outside_battery() -> Drawn:
    frame = Stroke(_rect(-4.4, 0.8, 4.4, 7.2).points, "outline", closed=True)
    return [*_battery()[0], frame], []


def _panel() -> Drawn:
    # The triangle stands on the side of the negative and points to the positive.
    return [_rect(-3, 0, 3, 7), _line((-3, 7), (0, 3.2), (3, 7)), _line((0, 0), (0, 3.2))], []


def _equals(x: float, y: float, half: float = 1.4) -> list[Stroke]:
    return [_line((x - half, y - 0.6), (x + half, y - 0.6)), _dashed(x, y + 0.6, half)]


def _dashed(x: float, y: float, half: float) -> Stroke:
    return _line((x - half, y), (x + half, y))


def _tilde(x: float, y: float, half: float = 1.6) -> Stroke:
    steps = 16
    return _line(
        *(
            (x - half + 2 * half * n / steps, y - 0.8 * math.sin(2 * math.pi * n / steps))
            for n in range(steps + 1)
        )
    )


def _dc_load() -> Drawn:
    return [_rect(-3.5, 0, 3.5, 7), *_equals(0, 3.5)], []


def _ac_load() -> Drawn:
    return [_rect(-3.5, 0, 3.5, 7), _tilde(0, 3.5)], []


def _converter(upper: list[Stroke], lower: list[Stroke]) -> Drawn:
    return [_rect(-7, 0, 7, 14), _line((-7, 14), (7, 0)), *upper, *lower], []


def _dc_converter() -> Drawn:
    return _converter(_equals(-3.2, 3.5), _equals(3.2, 10.5))


def _inverter() -> Drawn:
    return _converter(_equals(-3.2, 3.5), [_tilde(3.2, 10.5)])


def _inverter_charger() -> Drawn:
    arrows = [
        _line((-4.6, 6.6), (-2.0, 6.6)),
        _shape((-2.0, 6.0), (-0.9, 6.6), (-2.0, 7.2), filled=True),
        _line((2.0, 7.4), (4.6, 7.4)),
        _shape((2.0, 6.8), (0.9, 7.4), (2.0, 8.0), filled=True),
    ]
    return _converter([*_equals(-3.2, 3.5), *arrows], [_tilde(3.2, 10.5)])


def _rectifier() -> Drawn:
    return _converter([_tilde(-3.2, 3.5)], _equals(3.2, 10.5))


def _unit() -> Drawn:
    return [_rect(-7, 0, 7, 14)], []


def _cup() -> list[Stroke]:
    """Half a ring on a stem, open below."""
    arc = [
        (3 * math.cos(math.pi * (1 + n / 12)), 5 + 3 * math.sin(math.pi * (1 + n / 12)))
        for n in range(13)
    ]
    return [_line((0, 0), (0, 2)), _line(*arc)]


def _inlet() -> Drawn:
    return [*_cup(), _line((-3, 5), (3, 5))], []


def _socket() -> Drawn:
    # The stroke along the top: with a protective contact.
    return [*_cup(), _line((-3, 2), (3, 2))], []


def _earth() -> Drawn:
    bars = [_line((-half, y), (half, y)) for half, y in ((3, 2.2), (2, 3.5), (1, 4.8))]
    return [_line((0, 0), (0, 2.2)), *bars], []


_SHAPES: dict[str, Callable[[], Drawn]] = {
    "fuse": _fuse,
    "breaker": _breaker,
    "residual breaker": _residual_breaker,
    "switch": _switch,
    "isolator": _isolator,
    "plug and socket": _plug_and_socket,
    "shunt": _shunt,
    "battery": _battery,
    "panel": _panel,
    "dc load": _dc_load,
    "ac load": _ac_load,
    "dc converter": _dc_converter,
    "inverter": _inverter,
    "inverter charger": _inverter_charger,
    "rectifier": _rectifier,
    "unit": _unit,
    "inlet": _inlet,
    "socket": _socket,
    "earth": _earth,
    "outside battery": _outside_battery,
}
