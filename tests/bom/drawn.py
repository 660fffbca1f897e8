"""What must hold on every page of a wiring diagram: measured by boxes, told in plain words."""

from __future__ import annotations

import itertools
from collections import Counter

from bom.drawings.page import Box, box_around
from bom.drawings.sheet import EDGE_MM, STRIP_MM
from bom.drawings.wiring import wiring_pages
from solver.parts import Cable

TOUCH_MM = 0.05


def faults(design, needs):
    """Every fault of the pages of a design's wiring diagram, with the page it is on."""
    pages = wiring_pages(design, needs)
    found = [fault for n, page in enumerate(pages, 1) for fault in _page_faults(n, page)]
    return [*found, *_missing(design, pages)]


def _page_faults(n, page):
    yield from (f"page {n}: {fault}" for fault in _text_faults(page))
    yield from (f"page {n}: {fault}" for fault in _symbol_faults(page))
    yield from (f"page {n}: {fault}" for fault in _wire_faults(page))
    edge = Box(
        EDGE_MM - TOUCH_MM,
        EDGE_MM - TOUCH_MM,
        page.width_mm - EDGE_MM + TOUCH_MM,
        page.height_mm - EDGE_MM + TOUCH_MM,
    )
    above = Box(edge.left_mm, edge.top_mm, edge.right_mm, STRIP_MM)
    for box, limit, what in [
        *((t.box, edge, t.text) for t in page.texts),
        *((s.box, above, s.id) for s in page.symbols),
        *((box_around(w.points), above, w.cut) for w in page.wires),
    ]:
        if not _holds(limit, box):
            yield f"page {n}: {what} stands outside"


def _text_faults(page):
    for a, b in itertools.combinations(page.texts, 2):
        if a.box.overlaps(b.box):
            yield f"text {a.text!r} over text {b.text!r}"
    things = [(s.box, f"{s.kind} {s.id}") for s in page.symbols]
    for mark in page.marks:
        (x, y), r = mark.at, mark.radius_mm
        things.append((Box(x - r, y - r, x + r, y + r), "a ring or dot"))
    things += [(box, f"wire {w.cut}") for w in page.wires for box in _pieces(w.points)]
    for line in page.lines:
        points = [*line.points, line.points[0]] if line.closed else line.points
        things += [(box, f"a line ({line.look})") for box in _pieces(points)]
    for text, (box, what) in itertools.product(page.texts, things):
        if text.box.overlaps(box):
            yield f"text {text.text!r} over {what}"


def _symbol_faults(page):
    for a, b in itertools.combinations(page.symbols, 2):
        if a.box.overlaps(b.box) and {a.kind, b.kind} != {"bus bar", "connector"}:
            yield f"{a.kind} {a.id} over {b.kind} {b.id}"
    for symbol in page.symbols:
        for wire in page.wires:
            if any(_shrunk(symbol.box).overlaps(box) for box in _pieces(wire.points)):
                yield f"wire {wire.cut} through {symbol.kind} {symbol.id}"


def _wire_faults(page):
    for wire in page.wires:
        for (x0, y0), (x1, y1) in itertools.pairwise(wire.points):
            if x0 != x1 and y0 != y1:
                yield f"wire {wire.cut} runs aslant"
    for a, b in itertools.combinations(page.wires, 2):
        for p, q in itertools.product(_segments(a.points), _segments(b.points)):
            if p.overlaps(q):
                yield f"wire {a.cut} on wire {b.cut}"


def _segments(points):
    return [_grown(box_around(pair), TOUCH_MM) for pair in itertools.pairwise(points)]


def _grown(box, by):
    return Box(box.left_mm - by, box.top_mm - by, box.right_mm + by, box.bottom_mm + by)


def _shrunk(box):
    return _grown(box, -TOUCH_MM)


def _holds(outer, inner):
    return (
        outer.left_mm <= inner.left_mm
        and outer.top_mm <= inner.top_mm
        and inner.right_mm <= outer.right_mm
        and inner.bottom_mm <= outer.bottom_mm
    )


def _pieces(points):
    """Boxes that a line fills: one for a level or upright piece, many small ones for a slanted."""
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        steps = 1 if x0 == x1 or y0 == y1 else 2 + int(abs(x1 - x0) / 0.3)
        for k in range(steps):
            a = (x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps)
            b = (x0 + (x1 - x0) * (k + 1) / steps, y0 + (y1 - y0) * (k + 1) / steps)
            yield _grown(box_around((a, b)), 1e-4)


def _missing(design, pages):
    """What is not drawn, drawn twice, or drawn otherwise than the design says."""
    cores, where = Counter(), {}
    for n, page in enumerate(pages):
        for wire in page.wires:
            for core in range(wire.core, wire.core + wire.cores):
                cores[wire.cut, core] += 1
            where.setdefault(wire.circuit, set()).add(n)
    wanted = Counter(
        (cut.label, core) for cut in design.cuts for core in range(len(cut.ends) // 2)
    )
    yield from (f"core {c} is drawn {cores[c]} times" for c in cores | wanted if cores[c] != 1)
    yield from (
        f"circuit {c.name} is drawn on {len(where.get(c.name, ()))} pages"
        for c in design.circuits
        if len(where.get(c.name, ())) != 1
    )
    yield from _wrong_labels(design, pages)
    shown = {s.id for page in pages for s in page.symbols}
    told = {t.text for page in pages for t in page.texts}
    things = {d.id for d in design.devices} | {p.id for p in design.protections}
    yield from (f"{thing} is not drawn" for thing in things - shown)
    told |= {text.split(":")[0] for text in told if text.startswith("busbar")}
    yield from (f"{thing} is nowhere written" for thing in things - told)
    for cut in design.cuts:
        yield from _wrong_ends(design, pages, cut)


def _wrong_labels(design, pages):
    labels = Counter(t.cut for page in pages for t in page.texts if t.cut)
    wanted = {cut.label for cut in design.cuts}
    yield from (
        f"label {x} stands {labels[x]} times" for x in wanted | set(labels) if labels[x] != 1
    )
    yield from (
        f"label of {t.cut} says {t.text}"
        for page in pages
        for t in page.texts
        if t.cut and t.text != t.cut
    )


def _wrong_ends(design, pages, cut):
    wires = [w for page in pages for w in page.wires if w.cut == cut.label]
    pairs = {
        frozenset((a.at, b.at)) for a, b in zip(cut.ends[::2], cut.ends[1::2], strict=True)
    }
    drawn = {frozenset(w.ends) for w in wires}
    cable = design.parts[cut.cable]
    assert isinstance(cable, Cable)
    if not (drawn == pairs or (len(wires) == 1 and drawn <= pairs)):
        yield f"{cut.label} is drawn between {drawn}, the cut list says {pairs}"
