"""What must hold on every page of a wiring diagram: measured by boxes, told in plain words."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from fractions import Fraction

import numpy as np

from bom.drawings.page import Box, box_around
from bom.drawings.sheet import EDGE_MM, STRIP_MM
from bom.drawings.wiring import wiring_pages

TOUCH_MM = 0.05
NEAR_MM = 0.3
"""A text as near as this to a symbol reads as if it were a part of it."""

BARS = ("terminal", "bus bar")


def faults(design, needs):
    """Every fault of the pages of a design's wiring diagram, with the page it is on."""
    pages = wiring_pages(design, needs)
    found = [fault for n, page in enumerate(pages, 1) for fault in _page_faults(n, page)]
    return [*found, *_missing(design, needs, pages)]


def _page_faults(n, page):
    yield from (f"page {n}: {fault}" for fault in _text_faults(page))
    yield from (f"page {n}: {fault}" for fault in _symbol_faults(page))
    yield from (f"page {n}: {fault}" for fault in _wire_faults(page))
    yield from (f"page {n}: {fault}" for fault in _joint_faults(page))
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
        if not holds(limit, box):
            yield f"page {n}: {what} stands outside"


def _hits(ones, others):
    """Which boxes of the one list overlap which of the other, as pairs of numbers."""
    a, b = (np.array([_sides(box) for box in x] or [[0] * 4]) for x in (ones, others))
    if not (ones and others):
        return []
    left, top, right, bottom = (a[:, None, k] for k in range(4))
    near = 1e-6
    over = (left < b[:, 2] - near) & (b[:, 0] < right - near)
    over &= (top < b[:, 3] - near) & (b[:, 1] < bottom - near)
    return np.argwhere(over).tolist()


def _sides(box):
    return box.left_mm, box.top_mm, box.right_mm, box.bottom_mm


def _text_faults(page):
    texts = [t.box for t in page.texts]
    for i, j in _hits(texts, texts):
        if i < j:
            yield f"text {page.texts[i].text!r} over text {page.texts[j].text!r}"
    things = [(s.box, f"{s.kind} {s.id}") for s in page.symbols]
    for mark in page.marks:
        (x, y), r = mark.at, mark.radius_mm
        things.append((Box(x - r, y - r, x + r, y + r), "a ring or dot"))
    things += [(box, f"wire {w.cut}") for w in page.wires for box in _pieces(w.points)]
    for line in page.lines:
        points = [*line.points, line.points[0]] if line.closed else line.points
        things += [(box, f"a line ({line.look})") for box in _pieces(points)]
    for i, j in _hits(texts, [box for box, _ in things]):
        yield f"text {page.texts[i].text!r} over {things[j][1]}"
    sides = [
        Box(b.left_mm - NEAR_MM, b.top_mm, b.right_mm + NEAR_MM, b.bottom_mm) for b in texts
    ]
    for i, j in _hits(sides, [s.box for s in page.symbols if s.kind not in BARS]):
        yield f"text {page.texts[i].text!r} touches {page.symbols[j].id}"


def _symbol_faults(page):
    symbols = page.symbols
    for i, j in _hits([s.box for s in symbols], [s.box for s in symbols]):
        a, b = symbols[i], symbols[j]
        if i < j and {a.kind, b.kind} != {"bus bar", "connector"}:
            yield f"{a.kind} {a.id} over {b.kind} {b.id}"
    wires = [(box, w.cut) for w in page.wires for box in _pieces(w.points)]
    for i, j in _hits([_shrunk(s.box) for s in symbols], [box for box, _ in wires]):
        yield f"wire {wires[j][1]} through {symbols[i].kind} {symbols[i].id}"


def _wire_faults(page):
    for wire in page.wires:
        for (x0, y0), (x1, y1) in itertools.pairwise(wire.points):
            if x0 != x1 and y0 != y1:
                yield f"wire {wire.cut} runs aslant"
    pieces = [(box, n) for n, w in enumerate(page.wires) for box in _segments(w.points)]
    boxes = [box for box, _ in pieces]
    for i, j in _hits(boxes, boxes):
        a, b = pieces[i][1], pieces[j][1]
        if a < b:
            yield f"wire {page.wires[a].cut} on wire {page.wires[b].cut}"


def _joint_faults(page):
    """A joint between two poles leads from one to the other and touches nothing on its way."""
    joints = [
        line
        for line in page.lines
        if line.look == "joint" and box_around(line.points).bottom_mm < STRIP_MM
    ]
    pieces = [_shrunk(box) for line in joints for box in _segments(line.points)]
    things = [(box, w.cut) for w in page.wires for box in _segments(w.points)]
    things += [
        (box, line.look)
        for line in page.lines
        if line.look != "joint"
        for box in _segments([*line.points, *line.points[: line.closed]])
    ]
    things += [(_shrunk(s.box), s.id) for s in page.symbols]
    for _, j in _hits(pieces, [box for box, _ in things]):
        yield f"a joint over {things[j][1]}"
    for joint in joints:
        ends = [
            {s.id for s in page.symbols if s.kind == "isolator" and _touches(p, s.box)}
            for p in (joint.points[0], joint.points[-1])
        ]
        if not ends[0] or ends[0] != ends[1]:
            yield f"a joint from {ends[0]} to {ends[1]}"


def _segments(points):
    return [_grown(box_around(pair), TOUCH_MM) for pair in itertools.pairwise(points)]


def _grown(box, by):
    return Box(box.left_mm - by, box.top_mm - by, box.right_mm + by, box.bottom_mm + by)


def _shrunk(box):
    return _grown(box, -TOUCH_MM)


def holds(outer, inner):
    """Whether a box lies within another."""
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


def _missing(design, needs, pages):
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
    yield from _wrong_earths(design, pages)
    yield from _untold_links(design, pages)
    shown = {s.id for page in pages for s in page.symbols}
    told = {t.text for page in pages for t in page.texts}
    things = {d.id for d in design.devices} | {p.id for p in design.protections}
    yield from (f"{thing} is not drawn" for thing in things - shown)
    yield from (
        f"{thing} is nowhere written"
        for thing in things - told
        if not any(text.startswith(f"{thing}:") for text in told)
    )
    for cut in design.cuts:
        yield from _wrong_ends(pages, cut)
        yield from _wrong_figures(design, needs, pages, cut)


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


def _wrong_earths(design, pages):
    """A bond is a protective conductor, and ends at the foot of nothing but an earth."""
    bonds = {c.name for c in design.circuits if c.kind == "bond"}
    for page in pages:
        earths = [s.box for s in page.symbols if s.kind == "earth"]
        for wire in page.wires:
            if (wire.look == "earth") != (wire.circuit in bonds):
                yield f"{wire.cut} is drawn as {wire.look}"
            if wire.circuit not in bonds:
                continue
            ends = zip(wire.ends, (wire.points[0], wire.points[-1]), strict=True)
            at = [point for end, point in ends if end == "chassis"]
            if not any(_touches(point, box) for point in at for box in earths):
                yield f"{wire.cut} leads to no earth"


def _untold_links(design, pages):
    """A comm cable's name stands beside both its devices, and what it is over each of them."""
    for n, link in enumerate(design.links, 1):
        for end in (link.from_, link.to):
            page = next(p for p in pages if any(s.id == end for s in p.symbols))
            texts = [t.text for t in page.texts]
            if not any(t.startswith(f"C{n}: ") for t in texts):
                yield f"C{n} is not told on the page of {end}"
            start = next(k for k, t in enumerate(texts) if t == end)
            beside = itertools.takewhile(lambda t: not t.bold, page.texts[start + 1 :])
            if f"C{n}" not in " ".join(t.text for t in beside).replace(",", "").split():
                yield f"C{n} does not stand beside {end}"


def _wrong_ends(pages, cut):
    wires = [(page, w) for page in pages for w in page.wires if w.cut == cut.label]
    pairs = {
        frozenset((a.at, b.at)) for a, b in zip(cut.ends[::2], cut.ends[1::2], strict=True)
    }
    drawn = {frozenset(w.ends) for _, w in wires}
    if not (drawn == pairs or (len(wires) == 1 and drawn <= pairs)):
        yield f"{cut.label} is drawn between {drawn}, the cut list says {pairs}"
    for page, wire in wires:
        for at, point in zip(wire.ends, (wire.points[0], wire.points[-1]), strict=True):
            if not any(_touches(point, box) for box in _landings(page, at)):
                yield f"{cut.label} does not reach {at}"


def _landings(page, at):
    """Where a conductor for that end may end: its thing, or the own leads of the panels."""
    for symbol in page.symbols:
        if at == symbol.id or at.startswith(f"{symbol.id}:"):
            yield symbol.box
    if at.startswith("panel"):
        for line in page.lines:
            if line.look == "lead":
                yield box_around(line.points)


def _touches(point, box):
    x, y = point
    near = _grown(box, TOUCH_MM)
    return near.left_mm <= x <= near.right_mm and near.top_mm <= y <= near.bottom_mm


def _wrong_figures(design, needs, pages, cut):
    """The lines under a label: size, colour and length as the cut list has them."""
    texts = next(p.texts for p in pages if any(t.cut == cut.label for t in p.texts))
    start = next(n for n, t in enumerate(texts) if t.cut == cut.label)
    under = itertools.takewhile(
        lambda t: t.at[0] == texts[start].at[0] and not t.bold, texts[start + 1 :]
    )
    cable = design.parts[cut.cable]
    cores = f"{len(cut.ends) // 2}×" if cable.use in ("pair", "ac") else ""
    if needs.job.units == "imperial":
        length = f"{math.ceil(Fraction(cut.length_mm * 100, 254)) / 10:,.1f} in"
    else:
        length = f"{cut.length_mm:,} mm"
    wanted = f"{cores}{cable.size} {cable.colour} {length}".replace("mm2", "mm²")
    told = " ".join(t.text for t in under)
    if told != wanted and not (told.endswith(length) and "... " in told):
        yield f"beside {cut.label} stands {told!r}, not {wanted!r}"
