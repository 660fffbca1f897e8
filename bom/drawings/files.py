"""The files of the drawings: which there are, and what they are called."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from pathlib import Path

from bom.drawings.hole_schedule import hole_pages
from bom.drawings.page import Page
from bom.drawings.places import place_pages
from bom.drawings.route_plan import route_pages
from bom.drawings.svg import svg_text
from bom.drawings.wiring import wiring_pages
from solver.needs import Needs
from solver.records import Result
from solver.stock import Stock

INVENTED = "invented"
"""What the name of a supplier says that is none."""
DRAWN = re.compile(r"(wiring(-\d+)?|place-\d+(-[a-z0-9-]+)?|holes(-\d+)?|routes(-\d+)?)\.svg")
"""Names of our drawings."""
LONGEST_NAME = 40


def drawing_files(result: Result, needs: Needs, stock: Stock | None = None) -> dict[str, str]:
    """All drawings as SVG files by their names, a page each, the wiring diagram first.

    `stock` is what may line holes where the small parts were not reckoned.
    """
    return wiring_files(result, needs) | fit_files(result, needs, stock)


def wiring_files(result: Result, needs: Needs) -> dict[str, str]:
    """The wiring diagram as SVG files by their names, a page each."""
    pages = wiring_of(result, needs)
    title = f"Wiring diagram: {needs.job.name}"
    return {
        file_name(n): svg_text(page, f"{title}, page {n} of {len(pages)}", file_name)
        for n, page in enumerate(pages, start=1)
    }


def fit_files(result: Result, needs: Needs, stock: Stock | None = None) -> dict[str, str]:
    """Places, hole schedule and route plan as SVG files by their names, a page each."""
    return {
        name: svg_text(page, f"{page.title}: {needs.job.name}", file_name)
        for name, page in fit_of(result, needs, stock)
    }


def fit_of(result: Result, needs: Needs, stock: Stock | None = None) -> list[tuple[str, Page]]:
    """The pages of places, hole schedule and route plan, each with the name of its file."""
    if result.design is None:
        raise ValueError("without a kit there is nothing to draw")
    design, invented = result.design, _is_invented(result)
    found = [
        (f"place-{n}{_slug(page.title)}.svg", page)
        for n, page in enumerate(place_pages(needs, design, stock, invented=invented), start=1)
    ]
    for name, pages in (
        ("holes", hole_pages(needs, design, stock, invented=invented)),
        ("routes", route_pages(needs, design, stock, invented=invented)),
    ):
        found += [(_numbered(name, n), page) for n, page in enumerate(pages, start=1)]
    return found


def wiring_of(result: Result, needs: Needs) -> list[Page]:
    """The pages of the wiring diagram of an answer that has a kit."""
    if result.design is None:
        raise ValueError("without a kit there is nothing to draw")
    return wiring_pages(result.design, needs, invented=_is_invented(result))


def _is_invented(result: Result) -> bool:
    return bool(result.orders) and all(INVENTED in o.name for o in result.orders)


def file_name(page: int) -> str:
    """`wiring.svg`, `wiring-2.svg`, and so on."""
    return _numbered("wiring", page)


def _numbered(name: str, page: int) -> str:
    return f"{name}.svg" if page == 1 else f"{name}-{page}.svg"


def _slug(title: str) -> str:
    """A page's title as part of a file's name: small letters, digits and hyphens."""
    plain = unicodedata.normalize("NFKD", title.partition(": ")[2]).encode("ascii", "ignore")
    slug = re.sub(r"[^a-z0-9]+", "-", plain.decode().lower())[:LONGEST_NAME].strip("-")
    return f"-{slug}" if slug else ""


def is_drawing(name: str) -> bool:
    """Whether a file has the name of a drawing of ours."""
    return DRAWN.fullmatch(name) is not None


def left_over(there: Iterable[Path], written: Iterable[Path]) -> list[str]:
    """Further pages that lie in the folder from before: nobody should take them for this kit's."""
    new = {path.name for path in written}
    return sorted(p.name for p in there if is_drawing(p.name) and p.name not in new)
