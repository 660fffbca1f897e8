"""How wide a text is, without a screen: so that a drawing's boxes are known before it is seen.

Widths of a plain sans-serif face, in thousandths of its size, after the common metrics of
Helvetica and its twins, from memory. Whoever draws the text squeezes or stretches it to this
width, so that a page has the same boxes in every face.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence

_NARROW = {
    222: "ijl'", 260: "|", 278: " !,./:;I[\\]ft", 333: "()-`r·", 355: '"', 389: "*", 469: "^",
    500: "Jckgsvxyz", 556: "0123456789?$#_LabdehnopquE", 584: "+<=>~−×",
    611: "FTZ", 667: "&ABEKPSVXY", 722: "CDHNRUw", 778: "GOQ", 833: "Mm", 889: "%",
    944: "W", 1000: "→←", 1015: "@",
}  # fmt: skip
WIDTHS = {mark: width for width, marks in _NARROW.items() for mark in marks}
BOLD = 1.08
"""How much wider a bold text is."""
ASCENT, DESCENT = 0.78, 0.23
"""Over and under the base line, in parts of the size."""
LEADING = 1.22
"""From one line to the next, in parts of the size."""


def width_mm(text: str, size_mm: float, *, bold: bool = False) -> float:
    """Width of a text in mm.

    Parameters
    ----------
    text : str
        One line.
    size_mm : float
        Size of the face in mm.
    bold : bool
        Whether it is set bold.
    """
    thousandths = sum(_mark_width(mark) for mark in text)
    return thousandths / 1000 * size_mm * (BOLD if bold else 1.0)


def _mark_width(mark: str) -> int:
    known = WIDTHS.get(mark)
    if known is not None:
        return known
    if unicodedata.combining(mark):
        return 0
    if unicodedata.east_asian_width(mark) in "WF":
        return 1050
    plain = unicodedata.normalize("NFKD", mark)[:1]
    return WIDTHS.get(plain, 850)


def wrap(text: str, most_mm: float, size_mm: float, *, bold: bool = False) -> list[str]:
    """A text in lines no wider than that; a word that is wider by itself is broken."""
    lines: list[str] = []
    line = ""
    for word in _words(text, most_mm, size_mm, bold):
        longer = f"{line} {word}" if line else word
        if line and width_mm(longer, size_mm, bold=bold) > most_mm:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines


def _words(text: str, most_mm: float, size_mm: float, bold: bool) -> list[str]:
    found: list[str] = []
    for word in text.split():
        rest = word
        while width_mm(rest, size_mm, bold=bold) > most_mm and len(rest) > 1:
            fits = max(1, _fitting(rest, most_mm, size_mm, bold))
            # A part's name is best broken after a hyphen.
            hyphen = rest.rfind("-", 1, fits) + 1
            fits = hyphen if hyphen > 2 else fits
            found.append(rest[:fits])
            rest = rest[fits:]
        found.append(rest)
    return found


def _fitting(word: str, most_mm: float, size_mm: float, bold: bool) -> int:
    """How many characters of a word find room."""
    wide = 0.0
    for n, mark in enumerate(word):
        wide += width_mm(mark, size_mm, bold=bold)
        if wide > most_mm:
            return n
    return len(word)


def shortened(lines: Sequence[str], most: int) -> list[str]:
    """At most so many lines; what is left out is shown by three dots."""
    if len(lines) <= most:
        return list(lines)
    return [*lines[: most - 1], lines[most - 1][:-3].rstrip() + "..."]


def height_mm(lines: int, size_mm: float) -> float:
    """Height of lines of text, from the top of the first to the foot of the last."""
    if lines == 0:
        return 0.0
    return size_mm * (ASCENT + DESCENT + (lines - 1) * LEADING)


def lines_in(room_mm: float, size_mm: float) -> int:
    """How many lines of text find room in that height."""
    return max(0, 1 + math.floor((room_mm / size_mm - ASCENT - DESCENT) / LEADING))
