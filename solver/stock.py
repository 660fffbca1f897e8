"""Suppliers, offers and the parts they offer: what the catalog hands to the solver."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from solver.columns import column
from solver.parts.base import Part


@dataclass(frozen=True, kw_only=True)
class Supplier:
    """One row of `suppliers.csv`."""

    supplier: str = column("", "short name of the supplier", example="north")
    name: str = column("", "full name")
    currency: str = column("", "of its prices, ISO 4217", example="EUR")
    shipping: Decimal = column("", "freight of one order", at_least=0)
    free_over: Decimal | None = column(
        "",
        "goods from which freight is free; empty: never",
        default=None,
        at_least=0,
        must_stand=True,
    )
    lead_days: int = column("days", "from order to delivery", at_least=0, at_most=1000)


@dataclass(frozen=True, kw_only=True)
class Offer:
    """One row of `offers.csv`: what one pack of a part costs from a quantity of packs on."""

    part: str = column("", "part offered")
    supplier: str = column("", "who offers it")
    pack: Decimal = column("", "units in one pack", above=0, noun="a number")
    unit: str = column("", "what is counted", one_of=("each", "m", "spool"))
    length_m: float | None = column(
        "m", "length of one spool; empty otherwise", default=None, above=0, must_stand=True
    )
    from_quantity: int = column(
        "",
        "packs from which this price holds, for the whole quantity",
        at_least=1,
        at_most=1_000_000_000,
    )
    price: Decimal = column("", "of one pack, in the supplier's currency", at_least=0)
    lead_days: int | None = column(
        "days", "empty: the supplier's", default=None, at_least=0, at_most=1000, must_stand=True
    )
    stock: Decimal | None = column(
        "",
        "units in stock; empty: enough",
        default=None,
        at_least=0,
        must_stand=True,
        noun="a number",
    )
    order_number: str | None = column(
        "", "the supplier's own number for that pack", default=None, example="21-4471"
    )


@dataclass(frozen=True, kw_only=True)
class Stock:
    """A catalog as plain records, sorted, so that the order of rows in a file changes nothing."""

    parts: tuple[Part, ...]
    suppliers: tuple[Supplier, ...]
    offers: tuple[Offer, ...]

    @staticmethod
    def of(
        parts: Iterable[Part], suppliers: Iterable[Supplier], offers: Iterable[Offer]
    ) -> Stock:
        """A stock with everything in its one order."""
        return Stock(
            parts=tuple(sorted(parts, key=lambda p: (p.cls, p.part))),
            suppliers=tuple(sorted(suppliers, key=lambda s: s.supplier)),
            offers=tuple(
                sorted(
                    offers,
                    key=lambda o: (
                        o.part,
                        o.supplier,
                        o.unit,
                        o.pack,
                        o.length_m or 0.0,
                        o.from_quantity,
                        o.price,
                    ),
                )
            ),
        )

    @cached_property
    def by_name(self) -> dict[str, Part]:
        """Every part by its `part`."""
        return {p.part: p for p in self.parts}

    def of_class(self, name: str) -> tuple[Part, ...]:
        """The parts of one class."""
        return self._by_class.get(name, ())

    @cached_property
    def _by_class(self) -> dict[str, tuple[Part, ...]]:
        found: dict[str, list[Part]] = {}
        for p in self.parts:
            found.setdefault(p.cls, []).append(p)
        return {k: tuple(v) for k, v in found.items()}
