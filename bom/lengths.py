"""Lengths and masses as people write them: `14 ft 3 in`, `4.2 m`, `1-3/8 in`, `55 lb`.

Few units on purpose, and no guessing: a text that is not exactly one of these forms is refused,
because a length read wrongly is a cable cut wrongly.
"""

from __future__ import annotations

import re
from fractions import Fraction

from solver.columns import Wrong, show

_LENGTHS = {
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": Fraction(1),
    "ft": Fraction(3048, 10000),
    "'": Fraction(3048, 10000),
    "in": Fraction(254, 10000),
    '"': Fraction(254, 10000),
}
"""Metres in one. Foot and inch: exact, international yard and pound agreement of 1959."""

_MASSES = {
    "g": Fraction(1, 1000),
    "kg": Fraction(1),
    "lb": Fraction(45359237, 100000000),
    "oz": Fraction(45359237, 1600000000),
}
"""Kilograms in one. Pound: exact, the same agreement; an ounce is a sixteenth of it."""

_TARGETS = {
    "mm": (_LENGTHS, Fraction(1000)),
    "m": (_LENGTHS, Fraction(1)),
    "kg": (_MASSES, Fraction(1)),
}
"""Of each unit that keys are in: the units a text may use, and how many of it make the base."""

_SMALLER = {("ft", "in"): 12, ("'", '"'): 12, ("lb", "oz"): 16}
"""Pairs that may stand together, and how many of the smaller make the larger."""

_PIECE = re.compile(
    r"\s*(?:(?P<whole>[0-9]+)[- ])?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)\s*(?P<unit>[a-z]+|['\"])"
    r"|\s*(?P<number>[0-9]+(?:\.[0-9]+)?)\s*(?P<plain_unit>[a-z]+|['\"])"
)

_DECIMAL_COMMA = re.compile(r"([0-9]),([0-9]{1,2})(?![0-9])")

_EXAMPLES = {
    "mm": '"4.2 m", "35 cm", "14 ft 3 in" or "1-3/8 in"',
    "m": '"4.2 m", "80 mm" or "14 ft 3 in"',
    "kg": '"5 kg", "55 lb" or "12 oz"',
}

_LONGEST = 60


def measure(text: str, unit: str) -> float:
    """A length or a mass in the unit asked for.

    Parameters
    ----------
    text : str
        Such as `14 ft 3 in`, `14' 3"`, `4.2 m`, `1-3/8 in`, `12 oz`.
    unit : str
        `mm`, `m` or `kg`.

    Raises
    ------
    Wrong
        With what was found and what belongs there.
    """
    units, per_base = _TARGETS[unit]
    stripped = text.strip()
    sign = -1 if stripped.startswith("-") else 1
    pieces = _pieces(stripped.removeprefix("-"), units)
    if pieces is None:
        raise Wrong(
            f"found {show(text)}; a number in {unit}, or a text with its unit such as "
            f"{_EXAMPLES[unit]} belongs here{_pointed(stripped, units)}"
        )
    return float(sign * sum(amount * units[name] for amount, name in pieces) * per_base)


def _pointed(text: str, units: dict[str, Fraction]) -> str:
    """What to type for a decimal comma; nothing where it may part thousands."""
    pointed = _DECIMAL_COMMA.sub(r"\1.\2", text)
    if pointed == text or _pieces(pointed.removeprefix("-"), units) is None:
        return ""
    return f" (with a decimal point: {pointed})"


def _pieces(text: str, units: dict[str, Fraction]) -> tuple[tuple[Fraction, str], ...] | None:
    """Amount and unit of each part of the text, or None where it is not one of our forms."""
    if len(text) > _LONGEST:
        return None
    pieces: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(text):
        found = _PIECE.match(text, at)
        if found is None or len(pieces) == 2:
            return None
        amount = _amount(found)
        name = found["unit"] or found["plain_unit"]
        if amount is None or name not in units:
            return None
        pieces.append((amount, name))
        at = found.end()
    if len(pieces) == 2 and not _belong_together(*pieces):
        return None
    return tuple(pieces) or None


def _amount(found: re.Match[str]) -> Fraction | None:
    if found["number"] is not None:
        return Fraction(found["number"])
    top, bottom = int(found["top"]), int(found["bottom"])
    if bottom == 0 or (found["whole"] is not None and top >= bottom):
        return None
    return int(found["whole"] or 0) + Fraction(top, bottom)


def _belong_together(large: tuple[Fraction, str], small: tuple[Fraction, str]) -> bool:
    """Whether they read as one measure: `14 ft 3 in` does, `14.5 ft 3 in` does not."""
    most = _SMALLER.get((large[1], small[1]))
    return most is not None and large[0].denominator == 1 and small[0] < most
