"""`kitbill swap`: parts forced into the answer, and what that does to the bill."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING

from bom.job import DEFAULT_LIMIT_S, Answer
from solver.errors import BadInput
from solver.variants import Change

if TYPE_CHECKING:
    from solver.needs import Needs
    from solver.parts import Part
    from solver.records import Reason, Result
    from solver.stock import Stock

Progress = Callable[[str], None]
Ask = Callable[["Needs"], "Result"]


@dataclass(frozen=True)
class Wanted:
    """What is asked for."""

    parts: Sequence[str]
    """Each `PART` or `PART=N`."""
    out: Path | None = None
    json: Path | None = None
    limit_s: float | None = None


@dataclass(frozen=True)
class Forced:
    """A part that must be in the answer."""

    part: Part
    quantity: Decimal
    stated: bool
    """Whether it stands under [[owned]] in the needs."""
    against: tuple[str, ...] = ()
    """Rules that keep it out of every kit of this job."""


@dataclass(frozen=True)
class Swap:
    """Both answers, and what lies between them."""

    needs: Needs
    after_needs: Needs
    forced: tuple[Forced, ...]
    before: Result
    after: Result
    changes: tuple[Change, ...]
    without: Result | None = None
    """Where the answer uses the parts already: that of the needs without them."""

    @property
    def difference(self) -> Decimal | None:
        """What the parts cost or save; None where one side has no kit."""
        if self.before.total is None or self.after.total is None:
            return None
        return self.after.total - self.before.total


def swap(needs: Path, catalog: Path | str | None, wanted: Wanted, progress: Progress) -> Answer:
    """Solve the needs as stated and with the parts forced in, and write what was asked for.

    Returns
    -------
    Answer
        With exit code 1 where no kit holds the parts.

    Raises
    ------
    BadInput
        When a file, a part or a quantity is wrong; nothing has been written then.
    """
    from bom.atomic import write_all
    from bom.needs_file import read_needs
    from bom.options import output_problems
    from bom.outcome import refuse_failed, solved
    from bom.parts import read_chosen
    from bom.result_json import dumps
    from bom.swap_text import swap_text

    problems = output_problems(wanted.out, wanted.json, wanted.limit_s)
    if not wanted.parts:
        problems.append("nothing is swapped; --part PART or --part PART=N belongs here.")
    if problems:
        raise BadInput(problems)
    stock = read_chosen(None if catalog is None else str(catalog))
    stated = read_needs(needs, stock)
    forced = forced_of(wanted.parts, stated, stock)
    limit_s = DEFAULT_LIMIT_S if wanted.limit_s is None else wanted.limit_s

    def ask(asked: Needs) -> Result:
        result = solved(asked, stock, limit_s, 2, progress)
        refuse_failed(result)
        return result

    try:
        found = swapped(stated, stock, forced, ask, progress)
    except KeyboardInterrupt:
        progress("interrupted; nothing is written")
        raise
    files: dict[Path, bytes] = {}
    if wanted.json is not None:
        from bom.swap_json import swap_to_json

        files[wanted.json] = dumps(swap_to_json(found))
    if wanted.out is not None and found.after.design is not None:
        from bom.swap_book import swap_book_bytes

        files[wanted.out] = swap_book_bytes(found)
    write_all(files)
    text = swap_text(found) + "".join(f"written: {path}\n" for path in files)
    if wanted.out is not None and wanted.out not in files:
        text += "no workbook is written, because there is no kit with the parts\n"
    return Answer(0 if found.after.design is not None else 1, text)


def forced_of(texts: Sequence[str], needs: Needs, stock: Stock) -> tuple[Forced, ...]:
    """Read every `PART[=N]`.

    Raises
    ------
    BadInput
        With every fault: an unknown part, a quantity that cannot be, a part that stands twice.
    """
    from solver.columns import Wrong, printable, sentence, show

    found: list[Forced] = []
    problems = []
    for text in texts:
        try:
            one = _forced(text, needs, stock)
        except Wrong as wrong:
            problems.append(printable(sentence(f"--part {show(text)}: {wrong}")))
            continue
        if one.part.part in [f.part.part for f in found]:
            problems.append(f"--part {show(text)}: stands twice; write PART=N once.")
        found.append(one)
    if problems:
        raise BadInput(problems)
    return tuple(found)


def _forced(text: str, needs: Needs, stock: Stock) -> Forced:
    from solver.columns import Wrong, nearest, show
    from solver.market import by_metre, market
    from solver.variants import owned_of

    every = market(needs, stock)
    name, quantity = text.strip(), None
    if name not in every.parts and "=" in name:
        name, _, number = (t.strip() for t in text.rpartition("="))
        quantity = _quantity(number)
    part = every.parts.get(name)
    if part is None:
        hint = nearest(name, every.parts) or '; "kitbill parts list" shows them'
        raise Wrong(
            f"found {show(name)}; a part of the catalog, or the name of one under [[owned]], "
            f"belongs here{hint}"
        )
    stated = owned_of(needs, name)
    metres = by_metre(part)
    if quantity is None:
        # of what goes by the metre the piece is taken as it is stated
        quantity = stated.quantity if stated is not None and metres else Decimal(1)
    if not metres and quantity != int(quantity):
        raise Wrong(f"found {quantity}; of a {part.cls} a whole number belongs here")
    return Forced(part, quantity, stated is not None)


def _quantity(text: str) -> Decimal:
    from solver.columns import Wrong, show

    try:
        number = Decimal(text)
    except InvalidOperation:
        number = Decimal(0)
    if not number.is_finite() or not 0 < number <= 1_000_000:
        raise Wrong(f"found {show(text)} after the equals sign; a number above 0 belongs there")
    return number


def swapped(
    needs: Needs,
    stock: Stock,
    forced: Sequence[Forced],
    ask: Ask,
    progress: Progress = lambda _text: None,
) -> Swap:
    """Both answers, by solving; where there is none with the parts, why.

    Parameters
    ----------
    needs : Needs
        As stated.
    stock : Stock
        The catalog.
    forced : sequence of Forced
        What must be in the answer; it counts as owned.
    ask : callable
        Solves needs.
    progress : callable, optional
        Told what is solved.
    """
    from solver.variants import changes

    progress("solving the needs as stated")
    before = ask(needs)
    after, after_needs = _after(needs, forced, before, ask, progress)
    told, bare = tuple(forced), None
    if after is before:
        progress("solving the needs without the parts")
        bare = ask(_without_all(needs, forced))
    if after.design is None:
        told, reasons = _against(after_needs, stock, forced, ask, progress)
        after = replace(after, reasons=(*reasons, *after.reasons))
    return Swap(
        needs=needs,
        after_needs=after_needs,
        forced=told,
        before=before,
        after=after,
        changes=changes(before.lines, after.lines) if after.design is not None else (),
        without=bare,
    )


def _without_all(needs: Needs, forced: Sequence[Forced]) -> Needs:
    from solver.variants import without

    for one in forced:
        needs = without(needs, one.part.part)
    return needs


def _after(
    needs: Needs, forced: Sequence[Forced], before: Result, ask: Ask, progress: Progress
) -> tuple[Result, Needs]:
    """The cheapest kit that uses the parts, and the needs it answers.

    Where the answer already uses them, it is that.
    """
    from solver.owned_use import cheapest

    if all(_already(f, needs, before) for f in forced):
        return before, needs
    ways = list(_ways(needs, forced))
    answers = []
    for number, way in enumerate(ways, 1):
        count = f" ({number} of {len(ways)} numbers of them)" if len(ways) > 1 else ""
        progress(f"solving with the parts{count}")
        answers.append(ask(way))
    best, _ = cheapest(answers)
    if best is None:
        best = next((a for a in answers if a.status == "unknown"), answers[0])
    return best, ways[answers.index(best)]


def _already(one: Forced, needs: Needs, before: Result) -> bool:
    from solver.market import by_metre
    from solver.variants import needed, owned_of

    stated = owned_of(needs, one.part.part)
    line = needed(before.lines).get(one.part.part)
    if stated is None or line is None:
        return False
    if by_metre(one.part):
        return line.owned > 0 and one.quantity == stated.quantity
    return line.owned >= one.quantity


def _ways(needs: Needs, forced: Sequence[Forced]) -> Iterator[Needs]:
    """Needs of which one or other holds the cheapest kit: see `solver.variants.forced_ways`."""
    from solver.variants import forced_ways

    if not forced:
        yield needs
        return
    first, *rest = forced
    for way in forced_ways(needs, first.part, first.quantity):
        yield from _ways(way, rest)


def _against(
    needs: Needs, stock: Stock, forced: Sequence[Forced], ask: Ask, progress: Progress
) -> tuple[tuple[Forced, ...], tuple[Reason, ...]]:
    """What stands against each part, and of several, which of them has a kit by itself."""
    from solver.against import against
    from solver.market import by_metre, market
    from solver.records import Reason

    mkt = market(needs, stock)
    told, reasons = [], []
    for one in forced:
        count = 1 if by_metre(one.part) else int(one.quantity)
        said = against(one.part, count, needs, mkt)
        told.append(replace(one, against=said))
        reasons += [
            Reason(
                needs=(f'owned."{one.part.part}"',),
                message=f"{one.part.part}: {text}.",
                change=f"leave {one.part.part} out",
            )
            for text in said
        ]
    if len(forced) > 1 and not reasons:
        reasons += _alone(needs, forced, ask, progress)
    return tuple(told), tuple(reasons)


def _alone(
    needs: Needs, forced: Sequence[Forced], ask: Ask, progress: Progress
) -> Iterator[Reason]:
    """Of parts that no rule by itself keeps out: what becomes of them without one of them."""
    from solver.records import Reason
    from solver.variants import without

    for one in forced:
        progress(f"solving without {one.part.part}")
        rest = ask(without(needs, one.part.part))
        others = ", ".join(f.part.part for f in forced if f is not one)
        if rest.total is not None:
            yield Reason(
                needs=tuple(f'owned."{f.part.part}"' for f in forced),
                message=(
                    f"They do not go together: without {one.part.part} there is a kit with "
                    f"{others}, for {rest.total:.2f} {rest.currency}."
                ),
                change=f"leave {one.part.part} out",
            )
