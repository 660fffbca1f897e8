"""One invented part, and figures that vary from part to part yet are the same on every run."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Row:
    """A part of one class, with its price before any shop's own."""

    part_class: str
    part: str
    name: str
    kg: float
    price: float
    """In EUR, for one piece or one metre."""
    values: dict[str, Any]
    """The other columns by name; what is not named stays empty."""
    family: str
    """Parts of one family are offered by the same shops."""
    size: float = 0.0
    """What grows within a family; prices follow it."""
    steady: str = ""
    """Of the parts that share this, none costs less than a smaller one at the same shop."""


def row(
    part_class: str,
    part: str,
    name: str,
    *,
    kg: float,
    price: float,
    family: str = "",
    size: float = 0.0,
    steady: str = "",
    box: tuple[float, float, float] | None = None,
    **values: Any,
) -> Row:
    """Make a part; `box` is length, width and height in mm, the longer side first."""
    if box is not None:
        values["length_mm"] = max(box[0], box[1])
        values["width_mm"] = min(box[0], box[1])
        values["height_mm"] = box[2]
    if "size_text" in values:
        values["size"] = values.pop("size_text")
    return Row(
        part_class=part_class,
        part=part,
        name=f"{name}, generic",
        kg=kg,
        price=price,
        values=values,
        family=family or part,
        size=size,
        steady=steady,
    )


def share(*words: object) -> float:
    """A number from 0 up to 1 that depends on the words alone."""
    digest = hashlib.sha256("|".join(str(w) for w in words).encode()).digest()
    return int.from_bytes(digest[:6], "big") / 2**48


def kind_of(part: str) -> str:
    """What tells apart two parts of equal figures: `, type A` for a part that ends in `-a`."""
    last = part.rsplit("-", 1)[-1]
    return f", type {last.upper()}" if len(last) == 1 and last.isalpha() else ""


def plain(x: float) -> str:
    """A number as in a part's name: 7.5, 35."""
    return f"{x:g}"


def slug(text: str) -> str:
    """A size or stud as in a part's name: `5/16 in` becomes `5-16in`, `No. 10` `no10`."""
    return text.lower().replace("/", "-").replace(". ", "").replace(" ", "")


def three_digits(x: float) -> float:
    """Rounded to three significant digits."""
    return float(f"{x:.3g}")
