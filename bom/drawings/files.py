"""The files of the drawings: which there are, and what they are called."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path

from bom.drawings.page import Page
from bom.drawings.svg import svg_text
from bom.drawings.wiring import wiring_pages
from solver.needs import Needs
from solver.records import Result

INVENTED = "invented"
"""What the name of a supplier says that is none."""


def wiring_files(result: Result, needs: Needs) -> dict[str, str]:
    """The wiring diagram as SVG files by their names, a page each."""
    pages = wiring_of(result, needs)
    title = f"Wiring diagram: {needs.job.name}"
    return {
        file_name(n): svg_text(page, f"{title}, page {n} of {len(pages)}", file_name)
        for n, page in enumerate(pages, start=1)
    }


def wiring_of(result: Result, needs: Needs) -> list[Page]:
    """The pages of the wiring diagram of an answer that has a kit."""
    if result.design is None:
        raise ValueError("without a kit there is nothing to draw")
    invented = bool(result.orders) and all(INVENTED in o.name for o in result.orders)
    return wiring_pages(result.design, needs, invented=invented)


def file_name(page: int) -> str:
    """`wiring.svg`, `wiring-2.svg`, and so on."""
    return "wiring.svg" if page == 1 else f"wiring-{page}.svg"


def left_over(there: Iterable[Path], written: Iterable[Path]) -> list[str]:
    """Further pages that lie in the folder from before: nobody should take them for this kit's."""
    new = {path.name for path in written}
    return sorted(
        path.name
        for path in there
        if re.fullmatch(r"wiring(-\d+)?\.svg", path.name) and path.name not in new
    )
