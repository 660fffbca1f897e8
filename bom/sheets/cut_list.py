"""Every physical piece of cable, in the order it is cut: by spool or length bought."""

from __future__ import annotations

from itertools import groupby

from bom.measures import inches_down, inches_up, measure_text
from bom.sheets.page import ONE, WHOLE, Column, Kit, Row, end_text
from solver.parts import Cable
from solver.records import CableLength, Cut, End

TITLE = "cut list"
COLUMNS = (
    Column(heading="done", width=6),
    Column(heading="label", width=20),
    Column(heading="length_mm", unit="slack included", width=14, form=WHOLE),
    Column(heading="length_in", unit="slack included", width=14, form=ONE, only="imperial"),
    Column(heading="circuit", width=28),
    Column(heading="one end", unit="where, how it is ended", width=36),
    Column(heading="other end", unit="where, how it is ended", width=36),
)


def rows(kit: Kit, first: int) -> list[Row]:
    """A block for each spool or length, the longest piece first; its offcut ends it."""
    found: list[Row] = []
    ordered = sorted(
        kit.design.cuts, key=lambda c: (c.cable, c.piece_of, -c.length_mm, c.label)
    )
    lengths = {(x.cable, x.name): x for x in kit.design.lengths}
    for (cable, piece_of), group in groupby(ordered, key=lambda c: (c.cable, c.piece_of)):
        cuts = list(group)
        found.append(Row(cells=(_head(kit, cable, piece_of, cuts), *[""] * 6), look="head"))
        found += [_row(cut) for cut in cuts]
        if (cable, piece_of) in lengths:
            found.append(_offcut(lengths[(cable, piece_of)]))
    whole = [x for x in kit.design.lengths if not x.cuts]
    found += [Row(cells=(_untouched(kit, x), *[""] * 6), look="note") for x in whole]
    return found


def _offcut(x: CableLength) -> Row:
    cells = ("", "offcut", x.offcut_mm, inches_down(x.offcut_mm), "stays over", "", "")
    return Row(cells=cells, look="sum")


def _untouched(kit: Kit, x: CableLength) -> str:
    length = measure_text(x.length_mm / 1000, "m", kit.units)
    return f"{x.name}: nothing is cut from it, {length} stay over"


def _head(kit: Kit, cable: str, piece_of: str, cuts: list[Cut]) -> str:
    part = kit.part(cable)
    size = f", {part.size}, {part.colour}" if isinstance(part, Cable) else ""
    used = measure_text(sum(c.length_mm for c in cuts) / 1000, "m", kit.units)
    pieces = "1 piece" if len(cuts) == 1 else f"{len(cuts)} pieces"
    return f"{cable}{size}: {pieces} from {piece_of}, {used} in all"


def _row(cut: Cut) -> Row:
    inches = inches_up(cut.length_mm)
    # Core after core, each with its two ends.
    one, other = ("\n".join(map(_end, cut.ends[side::2])) for side in (0, 1))
    return Row(cells=("☐", cut.label, cut.length_mm, inches, cut.circuit, one, other))


def _end(end: End) -> str:
    pole = "" if not end.pole or end.at.endswith(end.pole) else f" {end.pole}"
    return f"{end.at}{pole}, {end_text(end)}"
