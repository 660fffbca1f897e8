"""What a finished kit still wants: so much of a kind, and the parts of a catalog that give it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from solver.parts import Conduit, Fastener, Mounting
from solver.stock import Stock

if TYPE_CHECKING:
    from solver.market import Market
    from solver.parts.base import Part

CLIP_SLACK = 2.0
"""A clip or tie is at most so many times as wide as what it holds; common practice, no source."""

LEAST_CLIP_MM = 8.0
"""The smallest clip does for anything thinner."""

SCREW_SLACK = 1.6
"""A screw is at most so many times as long as it must be; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Want:
    """So much of one kind: pieces, metres, ml of sealant, cm² of a vent, which some parts give."""

    kind: str
    of: str
    """The circuit, device, hole or task that it is for."""
    quantity: float
    gives: tuple[tuple[str, float], ...]
    """Parts with what one of each gives; empty: the catalog has none that fits."""
    known: bool = True
    """Whether the catalog knows any part of the kind."""
    shared: bool = False
    """Whether one part may serve several wants: a tool."""
    counted: bool = True
    """Whether pieces are counted; else ml or cm² are filled, each want by itself."""
    by_metre: bool = False
    """Whether it is metres that are cut off: then they need not be whole."""


def _one(_: Part) -> bool:
    return True


@dataclass(frozen=True)
class Shelf:
    """The small parts of a catalog."""

    market: Market

    @cached_property
    def _by_class(self) -> Mapping[type[Part], list[Part]]:
        found: defaultdict[type[Part], list[Part]] = defaultdict(list)
        for part in self.market.parts.values():
            found[type(part)].append(part)
        return found

    @cached_property
    def sold(self) -> Stock:
        """What can be had, by class."""
        had = [p for p in self.market.parts.values() if self.market.to_be_had(p.part)]
        return Stock.of(had, (), ())

    def gives(
        self, cls: type[Part], is_one: Callable[[Part], bool], fits: Callable[[Part], float]
    ) -> tuple[tuple[tuple[str, float], ...], bool]:
        """Parts that are one and what each gives, and whether the catalog knows any such part."""
        kind = [p for p in self._by_class[cls] if is_one(p)]
        found = [(p.part, fits(p)) for p in kind if self.market.to_be_had(p.part)]
        return tuple(sorted(x for x in found if x[1] > 0)), bool(kind)

    def want(
        self,
        kind: str,
        of: str,
        quantity: float,
        cls: type[Part],
        fits: Callable[[Part], float] = lambda _: 1.0,
        *,
        is_one: Callable[[Part], bool] = _one,
        counted: bool = True,
    ) -> Want:
        """So much of a kind, from all parts that give it."""
        gives, known = self.gives(cls, is_one, fits)
        return Want(
            kind=kind, of=of, quantity=quantity, gives=gives, known=known, counted=counted
        )

    def conduit_metres(self, kind: str, of: str, metres: float, part: Conduit | None) -> Want:
        """So many metres of a conduit; of none where the catalog has none that does."""
        return Want(
            kind=kind,
            of=of,
            quantity=metres,
            gives=() if part is None else ((part.part, 1.0),),
            known=any(isinstance(p, Conduit) for p in self.market.parts.values()),
            by_metre=True,
        )

    def fastener(
        self, kind: str, of: str, n: int, what: str, thread: str, least_mm: float
    ) -> Want:
        """Screws, bolts or rivet nuts of a thread, not much longer than they must be."""

        def fits(part: Part) -> float:
            return float(
                isinstance(part, Fastener)
                and part.thread == thread
                and least_mm <= part.shaft_mm <= SCREW_SLACK * least_mm
            )

        return self.want(
            kind,
            of,
            n,
            Fastener,
            fits,
            is_one=lambda p: isinstance(p, Fastener) and p.kind == what,
        )


def holds(outer_mm: float) -> Callable[[Part], float]:
    """Clips and ties for a cable or a bundle of that diameter."""

    def fits(part: Part) -> float:
        wide = part.cable_mm if isinstance(part, Mounting) else None
        most = max(CLIP_SLACK * outer_mm, LEAST_CLIP_MM)
        return float(wide is not None and outer_mm <= wide <= most)

    return fits


def is_mounting(kind: str) -> Callable[[Part], bool]:
    """Mounting parts of a kind."""
    return lambda p: isinstance(p, Mounting) and p.kind == kind
