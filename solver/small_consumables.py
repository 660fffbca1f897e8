"""What is used up while a kit is built: counted from its feet, ends, pieces and bolts."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from solver.parts import Consumable, Lug
from solver.rules import consumables as rule_c

if TYPE_CHECKING:
    from solver.parts.base import Part
    from solver.records import Design
    from solver.small_wants import Shelf, Want


def used_up(
    design: Design, shelf: Shelf, *, feet: int, bolted: bool, sealed: bool
) -> Iterator[Want]:
    """Solvent and wipes for the feet, tape for the pieces, abrasive and paste for the lugs.

    Parameters
    ----------
    design : Design
        The finished kit.
    shelf : Shelf
        The catalog's small parts.
    feet : int
        Brackets and legs of all panels.
    bolted, sealed : bool
        Whether it has bolts, and sealant.
    """
    ends = [design.parts.get(e.termination or "") for cut in design.cuts for e in cut.ends]
    lugs = sum(isinstance(part, Lug) for part in ends)

    def want(kind: str, what: str, of: str, n: float, *, counted: bool = True) -> Want:
        gives = _one if counted else _ml
        return shelf.want(kind, of, n, Consumable, gives, is_one=_is(what), counted=counted)

    solvent_ml = rule_c.solvent_ml(feet)
    yield want("solvent", "solvent", f"{feet} panel feet", solvent_ml, counted=False)
    yield want("wipes", "wipe", f"{feet} panel feet", rule_c.wipes(feet))
    pieces = len(design.cuts)
    tape = rule_c.tape_rolls(pieces)
    yield want("insulating tape", "insulating tape", f"{pieces} pieces of cable", tape)
    sheets = rule_c.abrasive_sheets(lugs)
    yield want("abrasive sheets", "abrasive sheet", f"{lugs} lugs", sheets)
    yield want("contact paste", "contact paste", f"{lugs} lugs", int(lugs > 0))
    yield want("thread lock", "thread lock", "bolts", int(bolted))
    yield want("spare nozzles", "sealant nozzle", "sealant", int(sealed))


def _is(kind: str) -> Callable[[Part], bool]:
    return lambda p: isinstance(p, Consumable) and p.kind == kind


def _one(_: Part) -> float:
    return 1.0


def _ml(part: Part) -> float:
    return (part.ml or 0.0) if isinstance(part, Consumable) else 0.0
