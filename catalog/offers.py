"""What must hold between the rows of a load, and between them and the catalog."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from catalog.faults import Faults
from catalog.sheet import Line, Lines, at
from solver.columns import nearest, show
from solver.stock import Offer, Stock, Supplier
from solver.tables.iso_4217 import CODES

METRE_CLASSES = ("cable", "conduit")
"""Classes that are cut to length."""

_MOST_HINTS = 20
"""Looking for the nearest of 10,000 names is slow; after these the pattern is plain anyway."""


class References:
    """Names that may be referred to: those of the catalog and those of this load."""

    def __init__(
        self, stock: Stock, sheets: Iterable[Lines[Any]], *, all_read: bool = True
    ) -> None:
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
        if key not in self._hints and len(self._hints) < _MOST_HINTS:
            self._hints[key] = nearest(name, known)
        return self._hints.get(key, "")


def check_names(sheets: Iterable[Lines[Any]], stock: Stock, faults: Faults) -> None:
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


def check_holders(lines: Iterable[Line[Any]], known: References, faults: Faults) -> None:
    """What holds a fuse, a breaker or a switch is a part, and not the thing itself."""
    for line in lines:
        holder = line.values.get("holder")
        if holder is None:
            continue
        wrong = known.wrong_part(holder)
        if holder == line.values.get("part"):
            wrong = f"found {show(holder)}, the part itself; another part belongs here"
        if wrong:
            at(faults, line.sheet, wrong, line.row, "holder")


def check_suppliers(lines: Iterable[Line[Supplier]], faults: Faults) -> None:
    """The currency of a supplier is one of ISO 4217."""
    for line in lines:
        code = line.values.get("currency")
        if code is not None and code not in CODES:
            hint = f'; did you mean "{code.upper()}"?' if code.upper() in CODES else ""
            text = f"found {show(code)}; a code of ISO 4217 belongs here, such as EUR{hint}"
            at(faults, line.sheet, text, line.row, "currency")


def check_offers(lines: Iterable[Line[Offer]], known: References, faults: Faults) -> None:
    """An offer names what there is, and counts in the unit that such a part is sold in."""
    first: dict[tuple[Any, ...], tuple[str, int]] = {}
    for line in lines:
        for column, text in _wrong_in_offer(line, known):
            at(faults, line.sheet, text, line.row, column)
        offer = line.record
        if offer is None:
            continue
        key = (
            offer.part,
            offer.supplier,
            offer.unit,
            offer.pack,
            offer.length_m,
            offer.from_quantity,
        )
        before = first.setdefault(key, (line.sheet.label, line.row))
        if before != (line.sheet.label, line.row):
            text = (
                f"found {offer.from_quantity} again; {before[0]}, row {before[1]} has a price "
                "from that quantity already for this part, supplier and pack; keep one"
            )
            at(faults, line.sheet, text, line.row, "from_quantity")


def _wrong_in_offer(line: Line[Offer], known: References) -> list[tuple[str, str]]:
    part, supplier = line.values.get("part"), line.values.get("supplier")
    wrong = []
    if part is not None:
        wrong.append(("part", known.wrong_part(part)))
    if supplier is not None:
        wrong.append(("supplier", known.wrong_supplier(supplier)))
    if (offer := line.record) is not None:
        wrong += [
            ("unit", _wrong_unit(offer, known.classes.get(offer.part))),
            ("length_m", _wrong_length(offer)),
            ("pack", _wrong_count(offer, offer.pack)),
            ("stock", _wrong_count(offer, offer.stock)),
        ]
    return [(column, text) for column, text in wrong if text]


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
