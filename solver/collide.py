"""Why there is no kit, exactly: the fewest needs that collide, and the least change of each.

Every verdict is a search of its own for a kit: one that is found, or the proof that there is none.
A kit that was found for easier needs is held against harder ones by the checker first, which is
quicker and as good: a kit that breaks no rule is a kit.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import ROUND_CEILING, Decimal

from solver.check import check
from solver.levers import ASIDE, Lever
from solver.needs import Needs
from solver.records import Result

Ask = Callable[[Needs], Result]
Progress = Callable[[str], None]

SAME_MONEY = Decimal("0.000001")
FIRST_MOVES = 16
"""Where a number has no end, so many moves are tried first, then twice as many."""


@dataclass(frozen=True, kw_only=True)
class Change:
    """The least change of one need that by itself gives an answer."""

    key: str
    what: str
    unit: str
    step: float
    text: str
    """`limits.budget 900 -> 1693`; empty where no change of it helps, or none was found."""
    helps: bool | None
    """Whether there is a kit with the need set aside; None: not decided."""
    enough: Needs | None = None
    """The needs with the change, for which there is a kit."""
    too_little: Needs | None = None
    """A smaller change for which there is surely none."""
    least: bool = False
    """Whether one step less is proven not to be enough."""
    lacking: str = ""
    """As `text`, of the smaller change."""


@dataclass(frozen=True, kw_only=True)
class Collision:
    """Needs that leave no kit between them."""

    keys: tuple[str, ...]
    whats: tuple[str, ...]
    minimal: bool
    """Whether it is proven that without any one of them there is a kit."""
    changes: tuple[Change, ...]
    """One for each, once they are known."""


def has_none(result: Result) -> bool:
    """Whether an answer is that there is no kit.

    The cheapest within the budget, whose small parts are not, counts as none: small parts have no
    say in which kit it is. That it is the cheapest has to be proven.
    """
    over = {r.needs for r in result.reasons} == {("limits.budget",)}
    return result.design is None and (result.status == "infeasible" or over)


@dataclass(frozen=True)
class Kit:
    """A kit, and what it was found for."""

    needs: Needs
    result: Result


@dataclass
class Verdicts:
    """Whether there are kits for needs; every answer is kept."""

    ask: Ask
    """A kit for some needs, any; or that there is none."""
    known: dict[Needs, bool | None] = field(default_factory=dict)
    kits: list[Kit] = field(default_factory=list)
    asked: int = 0

    def of(self, needs: Needs) -> bool | None:
        """Whether there is a kit; None where that was not decided."""
        if needs not in self.known:
            self.known[needs] = self._found(needs)
        return self.known[needs]

    def any(self, ways: Iterable[Needs], easier: Needs | None = None) -> bool | None:
        """Whether there is a kit for one of several needs, each harder than `easier`."""
        ways, undecided = list(ways), False
        if any(self.at_hand(way) for way in ways):
            return True
        for number, way in enumerate(ways):
            if number == 1 and easier is not None and self.of(easier) is False:
                return None if undecided else False
            verdict = self.of(way)
            if verdict:
                return True
            undecided = undecided or verdict is None
        return None if undecided else False

    def at_hand(self, needs: Needs) -> bool:
        """Whether that there is a kit is known without another search."""
        return self.known.get(needs) is True or any(self._fits(needs, k) for k in self.kits)

    def _found(self, needs: Needs) -> bool | None:
        if self.at_hand(needs):
            return True
        result = self.ask(needs)
        self.asked += 1
        if result.design is not None:
            # the newest first: what was asked last is nearest to what is asked next
            self.kits.insert(0, Kit(needs, result))
            return True
        return False if has_none(result) else None

    def _fits(self, needs: Needs, kit: Kit) -> bool:
        """Whether a kit breaks none of some needs' rules."""
        result, budget = kit.result, needs.limits.budget
        if needs.order.rates != kit.needs.order.rates:
            # what it costs hangs on them
            return False
        if budget is not None and result.total is not None and result.total > budget:
            return False
        assert result.design is not None
        return all(c.ok for c in check(needs, result.design, result.lines, result.orders))


# --- the fewest that collide ----------------------------------------------------------------------


def set_aside(needs: Needs, levers: Sequence[Lever]) -> Iterator[Needs]:
    """The needs with some set aside; several where one of several items may be taken."""
    if not levers:
        yield needs
        return
    for way in set_aside(needs, levers[1:]):
        yield from levers[0].aside(way)


def eased(needs: Needs, levers: Sequence[Lever]) -> Needs | None:
    """Needs that are easier than each of those; None where there are no such."""
    found: Needs | None = needs
    # in the order in which they are set aside: of loads the same one stays
    for lever in reversed(levers):
        if found is not None:
            easier = lever.easier
            found = next(lever.aside(found)) if easier is None else easier(found)
    return found


@dataclass
class Collisions:
    """Looks for needs that collide."""

    needs: Needs
    levers: Sequence[Lever]
    verdicts: Verdicts
    progress: Progress
    among: list[Lever] = field(default_factory=list)
    """The fewest needs that are proven to leave no kit between them, by now."""

    def collide(self, kept: Sequence[Lever], free: Sequence[Lever] = ()) -> bool | None:
        """Whether some needs by themselves leave no kit, all others being set aside.

        Needs in `free` are set aside in any case.
        """
        others = [x for x in self.levers if x not in kept or x in free]
        ways = set_aside(self.needs, others)
        verdict = self.verdicts.any(ways, eased(self.needs, others))
        if verdict is False and not free and (not self.among or len(kept) < len(self.among)):
            self.among = list(kept)
        return None if verdict is None else not verdict

    def fewest(self, free: Sequence[Lever] = ()) -> list[Lever]:
        """Needs that collide while none of them can be spared; empty where all aside is no help.

        Halves are tried before single needs: what can be spared together is spared together. First
        what goes by items and the rules stay as stated, for to set them aside asks about many
        months and settings; whether they are needed too is looked at last.
        """
        every = [x for x in self.levers if x not in free]
        firm = [x for x in every if x.items or x.key.startswith("rules.")]
        others = [x for x in every if x not in firm]
        needed = self._spared(firm, firm, others, free) if others else []
        more = self._spared(needed, needed, firm, free) if firm else []
        return [*more, *needed]

    def _spared(
        self,
        background: list[Lever],
        added: list[Lever],
        candidates: list[Lever],
        free: Sequence[Lever],
    ) -> list[Lever]:
        """What of the candidates is needed beside the background, so that no kit is left."""
        if added and self.collide(background, free):
            return []
        if len(candidates) == 1:
            return candidates
        self.progress(
            f"which needs collide: {len(background) + len(candidates)} of {len(self.levers)} "
            "may be among them"
        )
        half = len(candidates) // 2
        first, second = candidates[:half], candidates[half:]
        needed = self._spared([*background, *first], first, second, free)
        more = self._spared([*background, *needed], needed, first, free)
        return [*more, *needed]

    def together(self, levers: Sequence[Lever]) -> list[Lever]:
        """Of needs whose setting aside helps, as few as do: one after the other is taken back."""
        aside = list(levers)
        if self.collide([x for x in self.levers if x not in aside]) is not False:
            return []
        for one in reversed(levers):
            fewer = [x for x in aside if x is not one]
            if self.collide([x for x in self.levers if x not in fewer]) is False:
                aside = fewer
        return aside

    def minimal(self, levers: Sequence[Lever], free: Sequence[Lever] = ()) -> bool:
        """Whether without any one of some needs there is a kit, the others set aside."""
        return all(
            self.collide([x for x in levers if x is not one], free) is False for one in levers
        )


# --- the least change of one need -----------------------------------------------------------------


def least_change(
    needs: Needs, lever: Lever, verdicts: Verdicts, best: Ask, progress: Progress
) -> Change:
    """The least change of one need that by itself gives an answer.

    Parameters
    ----------
    needs : Needs
        As stated; there is no kit.
    lever : Lever
        The need.
    verdicts : Verdicts
        Whether there are kits.
    best : callable
        The cheapest kit of some needs, proven as far as the time goes.
    progress : callable
        Told what is looked at.
    """
    plain = Change(
        key=lever.key, what=lever.what, unit=lever.unit, step=lever.step, text="", helps=None
    )
    progress(f"{lever.key}: whether it helps alone")
    if lever.key == "limits.budget":
        return _dearer(plain, needs, lever, best)
    helps = verdicts.any(lever.aside(needs), eased(needs, [lever]))
    if not helps:
        return replace(plain, helps=helps)
    plain = replace(plain, helps=True)
    if lever.key == "site.months":
        return _fewer_months(plain, needs, lever, verdicts, progress)
    if lever.items:
        return _fewest_items(plain, needs, lever, verdicts)
    return _nearest(plain, needs, lever, verdicts, progress)


def _told(change: Change, lever: Lever, needs: Needs, **found: object) -> Change:
    """With the text of what is enough, and of what is too little."""
    change = replace(change, **found)  # type: ignore[arg-type]
    enough, little = change.enough, change.too_little
    return replace(
        change,
        text="" if enough is None else lever.change(needs, enough),
        lacking="" if little is None else lever.change(needs, little),
    )


def _at(needs: Needs, lever: Lever, moves: float) -> Needs:
    return next(iter(lever.ways(needs, moves)))


def _nearest(
    plain: Change, needs: Needs, lever: Lever, verdicts: Verdicts, progress: Progress
) -> Change:
    """Of a number: halving between what is too little and what is enough.

    A kit tells how far it reaches. It seldom leaves more of a limit than it must, so the value
    just under that is asked about next; so is the least a load can take, before it is left out.
    """
    low, high = 0, _reached(needs, lever, verdicts)
    just_under = high < lever.most or lever.key.startswith("load.")
    while high - low > 1:
        moves = high - 1 if just_under else (low + high) // 2
        progress(f"{lever.change(needs, _at(needs, lever, moves))}: whether that is enough")
        verdict = verdicts.of(_at(needs, lever, moves))
        if verdict is None:
            break
        if verdict:
            high = _reached(needs, lever, verdicts, low, moves)
            just_under = high < moves and not just_under
        else:
            low, just_under = moves, False
    return _told(
        plain,
        lever,
        needs,
        enough=_at(needs, lever, high),
        too_little=_at(needs, lever, low),
        least=high - low <= 1,
    )


def _reached(
    needs: Needs, lever: Lever, verdicts: Verdicts, low: int = 0, high: float = ASIDE
) -> int:
    """The fewest moves, more than `low`, for which a kit is at hand."""
    if math.isinf(high):
        high = lever.most
    if math.isinf(high):
        high = FIRST_MOVES
        while not verdicts.at_hand(_at(needs, lever, high)):
            low, high = int(high), 2 * high
    high = int(high)
    while high - low > 1:
        middle = (low + high) // 2
        if verdicts.at_hand(_at(needs, lever, middle)):
            high = middle
        else:
            low = middle
    return high


def _fewest_items(plain: Change, needs: Needs, lever: Lever, verdicts: Verdicts) -> Change:
    """Of items: one, then two, and so on, each combination."""
    for moves in range(1, int(lever.most) + 1):
        undecided = False
        for way in lever.ways(needs, moves):
            verdict = verdicts.of(way)
            if verdict:
                less = needs if moves == 1 else _at(needs, lever, moves - 1)
                return _told(plain, lever, needs, enough=way, too_little=less, least=True)
            undecided = undecided or verdict is None
        if undecided:
            break
    everything = next(way for way in lever.aside(needs) if verdicts.of(way))
    return _told(plain, lever, needs, enough=everything, too_little=needs)


def _fewer_months(
    plain: Change, needs: Needs, lever: Lever, verdicts: Verdicts, progress: Progress
) -> Change:
    """The fewest months left out.

    A month that alone leaves no kit must go, whatever else goes. Where the others have a kit, that
    is the answer; else one more of them goes, in every way, and so on.
    """
    good = []
    for month in needs.site.months:
        only = _in_use(needs, [month])
        progress(f"site.months: whether there is a kit for month {month} alone")
        if verdicts.of(only) is not False:
            good.append(month)
    found = replace(plain, too_little=needs)
    dark = sorted(good, key=lambda x: (needs.sun_hours[x - 1], x))
    for out in range(len(good)):
        undecided = False
        for gone in itertools.combinations(dark, out):
            way = _in_use(needs, [x for x in good if x not in gone])
            verdict = verdicts.of(way)
            if verdict:
                little = _in_use(needs, [*way.site.months, *_left_out(needs, way)[:1]])
                return _told(
                    found, lever, needs, enough=way, too_little=little, least=not undecided
                )
            undecided = undecided or verdict is None
    return _told(found, lever, needs)


def _in_use(needs: Needs, months: Iterable[int]) -> Needs:
    return replace(needs, site=replace(needs.site, months=tuple(sorted(months))))


def _left_out(needs: Needs, way: Needs) -> list[int]:
    return [x for x in needs.site.months if x not in way.site.months]


def _dearer(plain: Change, needs: Needs, lever: Lever, best: Ask) -> Change:
    """The budget: what the cheapest kit costs without one, in whole steps.

    Its small parts are in that. They have no say in which kit is the cheapest: a step less is not
    enough for it with them. Whether some dearer kit has so much cheaper ones is not looked at.
    """
    budget = needs.limits.budget
    assert budget is not None
    found = best(next(lever.aside(needs)))
    if found.total is None or found.lower_bound is None:
        return replace(plain, helps=None if found.status == "unknown" else False)
    enough = _moves(found.total - budget)
    # a budget just under the bound is surely too little
    little = min(_moves(found.lower_bound - budget) - 1, enough - 1)
    return _told(
        plain,
        lever,
        needs,
        helps=True,
        enough=_at(needs, lever, enough),
        too_little=_at(needs, lever, max(little, 0)),
        least=little == enough - 1,
    )


def _moves(amount: Decimal) -> int:
    return max(int((amount - SAME_MONEY).to_integral_value(ROUND_CEILING)), 1)


# --- all of it ------------------------------------------------------------------------------------


@dataclass
class Explanation:
    """Why there is no kit, as far as it is known."""

    collisions: list[Collision] = field(default_factory=list)
    """One, where a change of one of its needs helps; else as many as share no need: of each one
    must change."""
    together: tuple[tuple[str, str], ...] = ()
    """Where no single change helps: needs, key and words, that with all of them set aside there is
    a kit, and with all but any one of them there is none."""
    nothing_helps: bool = False
    """There is no kit with everything set aside."""
    undecided: bool = False
    """Even that was not decided."""
    among: tuple[tuple[str, str], ...] = ()
    """Ended before a collision was known: needs, key and words, that leave no kit between them, of
    which some can perhaps be spared. Empty where no fewer than all are known to."""
    done: bool = False
    asked: int = 0
    """Searches that it took."""

    @property
    def decided(self) -> bool:
        """Whether it came as far as needs that collide and of which all must, or past asking."""
        return bool(self.collisions or self.nothing_helps or self.undecided)

    @property
    def knows(self) -> bool:
        """Whether anything can be told."""
        return bool(self.collisions or self.among or self.nothing_helps)


def explain(
    needs: Needs,
    levers: Sequence[Lever],
    ask: Ask,
    best: Ask,
    progress: Progress,
    found: Explanation,
) -> None:
    """Find out why there is no kit, telling it in `found` as it goes.

    Parameters
    ----------
    needs : Needs
        Needs that no kit meets, see `has_none`.
    levers : sequence of Lever
        What could be easier; those that are as easy as they get are passed over.
    ask : callable
        A kit for some needs, any; or that there is none.
    best : callable
        The cheapest kit of some needs, proven as far as the time goes.
    progress : callable
        Told what is looked at.
    found : Explanation
        Takes what is found.
    """
    levers = [x for x in levers if x.most]
    verdicts = Verdicts(ask)
    verdicts.known[needs] = False
    search = Collisions(needs, levers, verdicts, progress)
    try:
        _explain(needs, best, progress, found, search)
    finally:
        found.asked = verdicts.asked
        if not found.collisions and not found.nothing_helps:
            found.among = tuple((x.key, x.what) for x in search.among)


def _explain(
    needs: Needs,
    best: Ask,
    progress: Progress,
    found: Explanation,
    search: Collisions,
) -> None:
    levers, verdicts = search.levers, search.verdicts
    progress("whether there is a kit with everything set aside")
    none_at_all = search.collide([])
    found.nothing_helps, found.undecided = none_at_all is True, none_at_all is None
    free: list[Lever] = []
    while none_at_all is False:
        together = search.fewest(free)
        together.sort(key=levers.index)
        minimal = search.minimal(together, free)
        one = Collision(
            keys=tuple(x.key for x in together),
            whats=tuple(x.what for x in together),
            minimal=minimal,
            changes=(),
        )
        found.collisions.append(one)
        progress("these collide: " + "; ".join(one.whats))
        for lever in together:
            change = least_change(needs, lever, verdicts, best, progress)
            one = replace(one, changes=(*one.changes, change))
            found.collisions[-1] = one
        free += together
        if any(c.helps is not False for c in one.changes) or not search.collide(
            [x for x in levers if x not in free], free
        ):
            break
    if found.collisions and not any(c.helps for x in found.collisions for c in x.changes):
        progress("which of them must change together")
        found.together = tuple((x.key, x.what) for x in search.together(free))
    found.done = True
