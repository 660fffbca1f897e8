"""What must hold between the rows of a load, and between them and the catalog."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

from catalog.faults import Faults
from catalog.sheet import Lines, at
from solver.columns import nearest, show
from solver.stock import Offer, Stock
from solver.tables.iso_4217 import CODES

METRE_CLASSES = ("cable", "conduit")
"""Classes that are cut to length."""

_MOST_HINTS = 20
_MOST_LOOKED_AT = 200_000
"""Looking for the nearest of many names is slow; after so many hints, and so many names looked
at, the pattern is plain anyway."""


class References:
    """Names that may be referred to: those of the catalog and those of this load."""

    def __init__(self, stock: Stock, sheets: Iterable[Lines], *, all_read: bool = True) -> None:
        self.classes = {p.part: p.cls for p in stock.parts}
        self.suppliers = {s.supplier for s in stock.suppliers}
        # A file that could not be read may hold any name.
        self.parts_known = self.suppliers_known = all_read
        self._hints: dict[tuple[str, bool], str] = {}
        for lines in sheets:
            stem = lines.sheet.stem
            if stem == "suppliers":
                self.suppliers.update(lines.names)
                self.suppliers_known &= lines.names_known
            elif stem != "offers":
                self.classes.update(dict.fromkeys(lines.names, stem))
                self.parts_known &= lines.names_known

    def wrong_part(self, name: str) -> str:
        """What is wrong with the name of a part; nothing if it is known."""
        if name in self.classes or not self.parts_known:
            return ""
        hint = self._nearest(name, self.classes)
        return f"found {show(name)}, which is no part of this catalog{hint}"

    def wrong_supplier(self, name: str) -> str:
        """What is wrong with the name of a supplier; nothing if it is known."""
        if name in self.suppliers or not self.suppliers_known:
            return ""
        hint = self._nearest(name, self.suppliers)
        if not self.suppliers:
            hint = ", as it has none yet; suppliers.csv lists them"
        return f"found {show(name)}, which is no supplier of this catalog{hint}"

    def _nearest(self, name: str, known: Mapping[str, str] | set[str]) -> str:
        key = (name, known is self.suppliers)
        most = min(_MOST_HINTS, max(1, _MOST_LOOKED_AT // max(1, len(known))))
        if key not in self._hints and len(self._hints) < most:
            self._hints[key] = nearest(name, known)
        return self._hints.get(key, "")


def check_names(sheets: Iterable[Lines], stock: Stock, faults: Faults) -> None:
    """A part's name stands once, in all files together, and in one class; a supplier's too."""
    in_catalog = {p.part: p.cls for p in stock.parts}
    first: dict[tuple[bool, str], tuple[str, int]] = {}
    for lines in sheets:
        stem = lines.sheet.stem
        if stem == "offers":
            continue
        is_part = stem != "suppliers"
        column = "part" if is_part else "supplier"
        for name, row in lines.keys:
            before = first.setdefault((is_part, name), (lines.sheet.label, row))
            if before != (lines.sheet.label, row):
                text = (
                    f"found {show(name)} again; it stands in {before[0]}, row {before[1]}; "
                    f"each {column} has a name of its own"
                )
                at(faults, lines.sheet, text, row, column)
            elif is_part and in_catalog.get(name, stem) != stem:
                text = (
                    f"found {show(name)}, which is a {in_catalog[name]} in this catalog; "
                    "a name that no other part has belongs here"
                )
                at(faults, lines.sheet, text, row, column)


def check_holders(lines: Lines, known: References, faults: Faults) -> None:
    """What holds a fuse, a breaker or a switch is a part, and not the thing itself."""
    parts = lines.values("part")
    for i, holder in enumerate(lines.values("holder")):
        if holder is None:
            continue
        wrong = known.wrong_part(holder)
        if holder == parts[i]:
            wrong = f"found {show(holder)}, the part itself; another part belongs here"
        if wrong:
            at(faults, lines.sheet, wrong, lines.rows[i], "holder")


def check_combiners(lines: Lines, faults: Faults) -> None:
    """A combiner names the class of its fuses where it has holders for them, and only there."""
    for i, box in enumerate(lines.records):
        if box is None or bool(box.fused_poles) == (box.fuse_kind is not None):
            continue
        if box.fused_poles:
            text = (
                f"found nothing; fused_poles is {box.fused_poles}, so the class of fuse that its "
                "holders take belongs here, such as IEC 60269-6 gPV 10x38; of a box without "
                "holders fused_poles is 0"
            )
        else:
            text = (
                f"found {show(box.fuse_kind)}; fused_poles is 0, so the box has no holders and "
                "nothing belongs here; of one with holders fused_poles is 1 or 2"
            )
        at(faults, lines.sheet, text, lines.rows[i], "fuse_kind")


def check_suppliers(lines: Lines, faults: Faults) -> None:
    """The currency of a supplier is one of ISO 4217."""
    for i, code in enumerate(lines.values("currency")):
        if code is not None and code not in CODES:
            hint = f'; did you mean "{code.upper()}"?' if code.upper() in CODES else ""
            text = f"found {show(code)}; a code of ISO 4217 belongs here, such as EUR{hint}"
            at(faults, lines.sheet, text, lines.rows[i], "currency")


def check_offers(sheets: Sequence[Lines], known: References, faults: Faults) -> None:
    """An offer names what there is, and counts in the unit that such a part is sold in."""
    for lines in sheets:
        _check_names_in_offers(lines, "part", known.wrong_part, faults)
        _check_names_in_offers(lines, "supplier", known.wrong_supplier, faults)
        _check_counts(lines, known, faults)
    _check_repeated(sheets, faults)


def _check_names_in_offers(
    lines: Lines, column: str, wrong_name: Callable[[str], str], faults: Faults
) -> None:
    # Each name once: 300,000 offers are of 100,000 parts, and most often nothing is wrong.
    names = lines.values(column)
    wrong = {name: text for name in dict.fromkeys(names) if name and (text := wrong_name(name))}
    if wrong:
        for i, name in enumerate(names):
            if name in wrong:
                at(faults, lines.sheet, wrong[name], lines.rows[i], column)


def _check_counts(lines: Lines, known: References, faults: Faults) -> None:
    # Offers share a few units, packs and lengths: what is wrong is worked out once for each.
    seen: dict[tuple[object, ...], list[tuple[str, str]]] = {}
    for i, offer in enumerate(lines.records):
        if offer is None:
            continue
        cls = known.classes.get(offer.part)
        shape = (offer.unit, cls, offer.length_m, str(offer.pack), str(offer.stock))
        if shape not in seen:
            seen[shape] = _wrong_counts(offer, cls)
        for column, text in seen[shape]:
            at(faults, lines.sheet, text, lines.rows[i], column)


def _wrong_counts(offer: Offer, cls: str | None) -> list[tuple[str, str]]:
    wrong = [
        ("unit", _wrong_unit(offer, cls)),
        ("length_m", _wrong_length(offer)),
        ("pack", _wrong_count(offer, offer.pack)),
        ("stock", _wrong_count(offer, offer.stock)),
    ]
    return [(column, text) for column, text in wrong if text]


def _check_repeated(sheets: Sequence[Lines], faults: Faults) -> None:
    """No two offers have the same price break: part, supplier, pack and quantity."""
    count = sum(o is not None for lines in sheets for o in lines.records)
    if len({key for _, _, key in _keys(sheets)}) == count:
        return
    first: dict[tuple[object, ...], tuple[str, int]] = {}
    for lines, i, key in _keys(sheets):
        here = (lines.sheet.label, lines.rows[i])
        before = first.setdefault(key, here)
        if before != here:
            text = (
                f"found {lines.records[i].from_quantity} again; {before[0]}, row {before[1]} "
                "has a price from that quantity already for this part, supplier and pack; "
                "keep one"
            )
            at(faults, lines.sheet, text, lines.rows[i], "from_quantity")


def _keys(sheets: Sequence[Lines]) -> Iterator[tuple[Lines, int, tuple[object, ...]]]:
    for lines in sheets:
        for i, o in enumerate(lines.records):
            if o is not None:
                key = (o.part, o.supplier, o.unit, o.pack, o.length_m, o.from_quantity)
                yield lines, i, key


def _wrong_unit(offer: Offer, cls: str | None) -> str:
    if cls == "cable" and offer.unit == "each":
        return 'found "each"; a cable is sold by the "m" or by the "spool"'
    if cls is not None and cls not in METRE_CLASSES and offer.unit != "each":
        return f'found "{offer.unit}"; a {cls} is sold "each"'
    return ""


def _wrong_length(offer: Offer) -> str:
    if offer.unit == "spool" and offer.length_m is None:
        return "found nothing; the metres on one spool belong here"
    if offer.unit != "spool" and offer.length_m is not None:
        return (
            f"found {offer.length_m:g}; only a spool has a length; nothing belongs here for "
            f'the unit "{offer.unit}"'
        )
    return ""


def _wrong_count(offer: Offer, count: Decimal | None) -> str:
    if offer.unit == "m" or count is None or count == count.to_integral_value():
        return ""
    return f'found {count}; a whole number belongs here for the unit "{offer.unit}"'
