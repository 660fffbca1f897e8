"""Cells whose answer follows from another's, so that they need not be solved.

Along the reserve and the limits on mass the stated value only takes kits away as it asks for more,
and changes nothing else. So the cheapest kit, and of several the one that comes first by the rule
of names, stays that at every harder value that it still meets: what was the first of many is the
first of those that are left. Only where the proof is complete to the cent is that said. Where there
is proven to be no kit, there is none at any harder value.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from bom.needs_path import Path, row_names
from bom.outcome import Outcome
from bom.stated import Stated
from bom.vary_values import Axis
from solver import frontier as f
from solver.records import Binding, Reason

if TYPE_CHECKING:
    from bom.cells import Cell


@dataclass(frozen=True)
class Chain:
    """Questions that differ in one value alone, which rises."""

    binding: str
    """The limit, by its name in an answer, whose use says how far a kit reaches."""
    grows: bool
    values: tuple[float, ...]
    questions: tuple[str, ...]

    def reached(self, at: int, outcome: Outcome) -> list[tuple[str, Outcome]]:
        """Questions of harder values that this answer is the answer to, with it."""
        if outcome.status == "infeasible":
            harder = range(at + 1, len(self.values)) if self.grows else range(at - 1, -1, -1)
            return [(self.questions[n], self._none(outcome, at)) for n in harder]
        if outcome.status != "optimal" or outcome.total != outcome.lower_bound:
            return []
        found = next((b for b in outcome.bindings if b.need == self.binding), None)
        if found is None:
            return []
        further = f.reached(self.values, at, found.used, found.limit, grows=self.grows)
        return [(self.questions[n], self._moved(outcome, found, at, n)) for n in further]

    def _none(self, outcome: Outcome, at: int) -> Outcome:
        """That there is no kit, because one that asks for less has none; what changes that is open."""
        why = f"There is none even at {self.values[at]:g} ({self.binding})"
        said = [f"{why}: {reason.message}" for reason in outcome.reasons] or [f"{why}."]
        needs = [reason.needs for reason in outcome.reasons] or [()]
        return replace(
            outcome,
            reasons=tuple(
                Reason(needs=n, message=text, change="")
                for n, text in zip(needs, said, strict=True)
            ),
        )

    def _moved(self, outcome: Outcome, binding: Binding, at: int, to: int) -> Outcome:
        """The answer at another value: the need, or the limit, is another there."""
        share = self.values[to] / self.values[at]
        moved = (
            replace(binding, used=binding.used * share)
            if self.grows
            else replace(binding, limit=binding.limit * share)
        )
        return replace(
            outcome,
            bindings=tuple(moved if b is binding else b for b in outcome.bindings),
        )


@dataclass(frozen=True)
class Chains:
    """All chains of a grid."""

    chains: tuple[Chain, ...]

    @cached_property
    def _places(self) -> dict[str, list[tuple[Chain, int]]]:
        found: dict[str, list[tuple[Chain, int]]] = {}
        for chain in self.chains:
            for at, question in enumerate(chain.questions):
                found.setdefault(question, []).append((chain, at))
        return found

    def reached(self, question: str, outcome: Outcome) -> list[tuple[str, Outcome]]:
        """Further questions that one answer is the answer to, with it."""
        places = self._places.get(question, [])
        return [pair for chain, at in places for pair in chain.reached(at, outcome)]

    def behind(self, question: str, asked: Set[str]) -> bool:
        """Whether a question may follow from an easier one that is being asked."""
        return any(
            not asked.isdisjoint(c.questions[:at] if c.grows else c.questions[at + 1 :])
            for c, at in self._places.get(question, [])
        )

    def ordered(self, questions: Sequence[str], workers: int = 1) -> list[str]:
        """First the easiest of each chain, then the next of each, and so on: so most follow.

        Each is the first that the kit before it does not reach, so none is asked whose kit another
        tells. Where there are fewer chains than workers, who would have to wait for the one before,
        halves what is left between instead. The others come in their order.
        """
        rank: dict[str, int] = {}
        waits = len(self.chains) < workers
        for chain in self.chains:
            easiest_first = list(chain.questions if chain.grows else chain.questions[::-1])
            order = halving(len(easiest_first)) if waits else range(len(easiest_first))
            for number, at in enumerate(order):
                rank.setdefault(easiest_first[at], number)
        return sorted(questions, key=lambda q: rank.get(q, 0))

    def settled(self, known: Mapping[str, Outcome]) -> dict[str, Outcome]:
        """The answers, each taken from the easiest value that it follows from.

        Which cells were solved depends on who was done first; what is written does not.
        """
        found = dict(known)
        for chain in self.chains:
            order = range(len(chain.questions))
            follows: dict[str, Outcome] = {}
            for at in order if chain.grows else reversed(order):
                question = chain.questions[at]
                if question in found and question not in follows:
                    follows |= chain.reached(at, found[question])
            found |= follows
        return found


def halving(count: int) -> list[int]:
    """All numbers below a count: the first, then those that halve what lies between, coarse first."""
    found = [0] if count else []
    spans = [(0, count)]
    while spans:
        later = []
        for low, high in spans:
            middle = (low + high) // 2
            if middle > low:
                found.append(middle)
                later += [(low, middle), (middle, high)]
        spans = later
    return found


GROWS = {"energy.autonomy_days": True, "limits.total_kg": False, "place.max_kg": False}
"""Keys of which an answer says how much of them it uses; whether a larger value asks for more."""


def binding_of(path: Path, stated: Stated) -> str | None:
    """The limit, by its name in an answer, that says how far a kit reaches along a key."""
    plain = path.plain
    if plain == "place.max_kg" and path.row is not None:
        return f'place "{row_names("place", stated)[path.row]}" max_kg'
    return plain if plain in GROWS else None


def chains_of(cells: Sequence[Cell], axes: Sequence[Axis], stated: Stated) -> Chains:
    """The chains of a grid, along the first of its keys that has any."""
    for at, axis in enumerate(axes):
        binding = binding_of(axis.path, stated)
        if binding is None or not all(isinstance(_number(v), float) for v in axis.values):
            continue
        rows: dict[tuple[str, ...], list[tuple[float, str]]] = {}
        for cell in cells:
            values = list(cell.what.values)
            _, value = values.pop(at - len(axes))
            same = (cell.what.name, *(repr(v) for _, v in values))
            rows.setdefault(same, []).append((_number(value), cell.question))
        grows = GROWS[axis.path.plain]
        return Chains(tuple(_chain(binding, grows, row) for row in rows.values()))
    return Chains(())


def _chain(binding: str, grows: bool, row: Sequence[tuple[float, str]]) -> Chain:
    # a value written twice in two ways is one question
    once = [next(same) for _, same in itertools.groupby(sorted(row), key=lambda pair: pair[0])]
    return Chain(binding, grows, tuple(v for v, _ in once), tuple(q for _, q in once))


def _number(value: Any) -> Any:
    """A value that is a plain number; a text with a unit is left alone."""
    if isinstance(value, bool | str | list | dict):
        return None
    try:
        return float(value)
    except TypeError:
        return None
