"""One answer among many: what is kept of it, how it is come by, and how it is written down."""

from __future__ import annotations

import dataclasses
import hashlib
import time
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from bom import VERSION
from solver.needs import Needs
from solver.records import Binding, Line, Reason, Result
from solver.stock import Stock

if TYPE_CHECKING:
    from solver.possible import Unlimited

_AMOUNTS = frozenset(
    ("need", "spares", "owned", "buy", "pack", "price", "line_total")
)  # of a line of the bill


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What is kept of an answer."""

    status: str
    total: Decimal | None
    lower_bound: Decimal | None
    gap_pct: float | None
    chosen: tuple[tuple[str, str], ...]
    """Pairs of a label and a text, as `kitbill pick` prints them."""
    lines: tuple[Line, ...]
    bindings: tuple[Binding, ...]
    reasons: tuple[Reason, ...]
    kit_total: Decimal | None = None
    """Without small parts: what is least, and never falls as more is asked for."""

    def to_json(self) -> dict[str, Any]:
        """As what `json` can write, without loss."""
        return {
            "status": self.status,
            "total": _text(self.total),
            "kit_total": _text(self.kit_total),
            "lower_bound": _text(self.lower_bound),
            "gap_pct": self.gap_pct,
            "chosen": [list(pair) for pair in self.chosen],
            "lines": [
                {k: _text(v) if k in _AMOUNTS else v for k, v in vars(line).items()}
                for line in self.lines
            ],
            "bindings": [vars(b) for b in self.bindings],
            "reasons": [vars(r) | {"needs": list(r.needs)} for r in self.reasons],
        }

    @staticmethod
    def from_json(raw: dict[str, Any]) -> Outcome:
        """The same again."""
        return Outcome(
            status=raw["status"],
            total=_amount(raw["total"]),
            kit_total=_amount(raw.get("kit_total", raw["total"])),
            lower_bound=_amount(raw["lower_bound"]),
            gap_pct=raw["gap_pct"],
            chosen=tuple((label, text) for label, text in raw["chosen"]),
            lines=tuple(
                Line(**{k: _amount(v) if k in _AMOUNTS else v for k, v in line.items()})
                for line in raw["lines"]
            ),
            bindings=tuple(Binding(**b) for b in raw["bindings"]),
            reasons=tuple(Reason(**{**r, "needs": tuple(r["needs"])}) for r in raw["reasons"]),
        )


def _text(value: Decimal | None) -> str | None:
    return None if value is None else str(value)


def _amount(text: str | None) -> Any:
    return None if text is None else Decimal(text)


def outcome_of(result: Result) -> Outcome:
    """What is kept of an answer.

    Raises
    ------
    AssertionError
        Where a finished kit fails its own checks: a defect, as in `kitbill pick`.
    """
    from bom.summary import chosen

    refuse_failed(result)
    design = result.design
    return Outcome(
        status=result.status,
        total=result.total,
        kit_total=result.kit_total,
        lower_bound=result.lower_bound,
        gap_pct=result.gap_pct,
        chosen=tuple(chosen(design)) if design is not None else (),
        lines=result.lines,
        bindings=result.bindings,
        reasons=result.reasons,
    )


def refuse_failed(result: Result) -> None:
    """No answer is given that the checker found wrong."""
    failed = [f"{c.rule}: {c.subject}: {c.value}" for c in result.checks if not c.ok]
    if failed:
        raise AssertionError("a finished kit fails its own checks:\n" + "\n".join(failed))


def solved(
    needs: Needs,
    stock: Stock,
    limit_s: float,
    workers: int,
    progress: Callable[[str], None] = lambda _text: None,
    unlimited: Unlimited | None = None,
) -> Result:
    """The answer that `kitbill pick` gives, with nothing of the solver's own on standard output.

    `workers` processes look at the cases of its proof, and other questions may have left something
    in `unlimited`; the answer depends on neither.
    """
    from bom.job import silenced_output
    from solver.kit import solve_kit

    with silenced_output():
        return solve_kit(
            needs,
            stock,
            limit_s=limit_s,
            clock=time.monotonic,
            workers=workers,
            progress=progress,
            unlimited=unlimited,
        )


def digest_of_stock(stock: Stock, limit_s: float) -> str:
    """What an answer hangs on beside its needs: the catalog, the time given, our release."""
    said = hashlib.sha256(f"kitbill {VERSION} {limit_s!r}".encode())
    for rows in (stock.parts, stock.suppliers, stock.offers):
        for row in rows:
            said.update(repr(row).encode())
    return said.hexdigest()


def digest_of_needs(needs: Needs, stock_digest: str) -> str:
    """A short word for one question: the same needs asked of the same catalog in the same way."""
    # the name changes no answer, and two alternatives may come to the same needs
    same = dataclasses.replace(needs, job=dataclasses.replace(needs.job, name=""), notes=())
    return hashlib.sha256(f"{stock_digest}\n{same!r}".encode()).hexdigest()[:32]
