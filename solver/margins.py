"""What each need costs at the margin: the cheapest kits where it is a little easier, or harder.

Nothing is estimated: each total is that of a search of its own, or of the same kit where that is
proven to be the cheapest still. How much of a limit is left over is found by holding the kit
against harder needs, with the checker.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from solver.check import check
from solver.levers import Lever
from solver.needs import Needs
from solver.records import Result

Ask = Callable[[Needs], Result]
Progress = Callable[[str], None]


@dataclass(frozen=True, kw_only=True)
class Margin:
    """The cheapest kit with one need changed by one useful step."""

    key: str
    change: str
    """`energy.autonomy_days 2 -> 1.5`."""
    easier: bool
    status: str
    """As of an answer: `infeasible` where a harder need leaves no kit."""
    total: Decimal | None
    difference: Decimal | None
    """To the kit as it is: below 0 is saved."""
    proven: bool
    """Whether both kits are proven to be the cheapest."""


@dataclass(frozen=True, kw_only=True)
class Slack:
    """How far a limit could be tightened with the kit as it stands."""

    key: str
    what: str
    unit: str
    left: float
    """In that unit, in whole steps; 0: the limit binds."""
    step: float
    most: bool
    """It can be tightened as far as it goes at all."""


@dataclass
class Margins:
    """What is known so far."""

    before: Result
    slacks: list[Slack] = field(default_factory=list)
    margins: list[Margin] = field(default_factory=list)
    open: list[str] = field(default_factory=list)
    """Changes that are not looked at yet."""
    done: bool = False


def find_margins(
    needs: Needs,
    levers: Sequence[Lever],
    ask: Ask,
    progress: Progress,
    found: Margins,
) -> None:
    """What easing each need saves and tightening it costs, told in `found` as it goes.

    Parameters
    ----------
    needs : Needs
        Needs with a kit.
    levers : sequence of Lever
        What is asked about.
    ask : callable
        The cheapest kit of some needs, proven as far as the time goes.
    progress : callable
        Told what is solved.
    found : Margins
        Holds the answer to the needs, and takes what is found.
    """
    found.slacks = [
        s for s in (_slack(needs, x, found.before) for x in levers) if s is not None
    ]
    binding = {s.key for s in found.slacks if not s.left}
    # what binds is the likeliest to cost something: it is looked at first
    first = sorted(levers, key=lambda x: x.key not in binding)
    asked = [(x, way, easier) for x in first for way, easier in _steps(needs, x, found.before)]
    # but what the kit itself answers takes no search, and so is known however short the time is
    asked.sort(key=lambda one: one[2] or not all(_fits(way, found.before) for way in one[1]))
    found.open = [x.change(needs, ways[0]) for x, ways, _ in asked]
    for number, (lever, ways, easier) in enumerate(asked, 1):
        progress(f"{number} of {len(asked)}: {found.open[0]}")
        margin = _margin(needs, lever, ways, easier, found.before, ask)
        del found.open[0]
        found.margins.append(margin)
        found.margins.sort(key=_by_money)
    found.done = True


def _by_money(margin: Margin) -> tuple[bool, Decimal, str]:
    """What moves most money first; what leaves no kit, or was not decided, last."""
    much = margin.difference
    return (much is None, Decimal(0) if much is None else -abs(much), margin.change)


def _steps(needs: Needs, lever: Lever, before: Result) -> Iterator[tuple[list[Needs], bool]]:
    """The needs with a lever moved by a useful step, easier and harder."""
    if not lever.useful:
        return
    if not lever.items:
        moves = min(lever.useful, lever.most)
        if moves > 0:
            yield list(lever.ways(needs, moves)), True
        harder = min(lever.useful, lever.hardest)
        if harder > 0:
            yield list(lever.ways(needs, -harder)), False
        return
    ways = list(lever.ways(needs, 1)) if lever.most else []
    if lever.key == "site.months":
        # the month that asks for most of the sun is the one to do without
        ways = sorted(ways, key=lambda way: _tight_month(before) in way.site.months)[:1]
    if ways:
        yield ways, True
    harder_ways = list(_without_chosen(needs, lever, before))
    if harder_ways:
        yield harder_ways, False


def _tight_month(before: Result) -> int:
    months = before.energy.months if before.energy is not None else ()
    return max(months, key=lambda m: (m.need_wh - m.yield_wh, -m.month)).month if months else 0


def _without_chosen(needs: Needs, lever: Lever, before: Result) -> Iterator[Needs]:
    """Needs that forbid what was chosen where several are allowed, or take in a month more."""
    rules, design = needs.rules, before.design
    if design is None:
        return
    if lever.key == "rules.voltages":
        others = tuple(v for v in rules.voltages if v != design.system_voltage_v)
        if others:
            yield replace(needs, rules=replace(rules, voltages=others))
    if lever.key == "rules.chemistries":
        kinds = tuple(c for c in rules.chemistries if c != design.chemistry)
        if kinds:
            yield replace(needs, rules=replace(rules, chemistries=kinds))
    if lever.key == "site.months":
        more = [m for m in range(1, 13) if m not in needs.site.months]
        if more:
            sunniest = max(more, key=lambda m: needs.sun_hours[m - 1])
            months = tuple(sorted((*needs.site.months, sunniest)))
            yield replace(needs, site=replace(needs.site, months=months))


def _margin(
    needs: Needs,
    lever: Lever,
    ways: Iterable[Needs],
    easier: bool,
    before: Result,
    ask: Ask,
) -> Margin:
    """The cheapest of the ways; a kit that still is one needs no search where needs are harder.

    Kits for harder needs are among those for the needs as they are, so one proven to be the
    cheapest of these is the cheapest there too. Of a kit that is not proven to be that, what is
    known of either is the same: no less was found for the easier needs, and the bound holds for both.
    """
    assert before.total is not None
    best: tuple[Needs, Result] | None = None
    status, every = "infeasible", True
    for way in ways:
        stays = not easier and _fits(way, before)
        result = before if stays else ask(way)
        every = every and result.status in ("optimal", "infeasible")
        if result.status == "unknown":
            status = "unknown"
        total = result.total
        if total is not None and (best is None or total < (best[1].total or total)):
            best = (way, result)
        changed = way
    if easier and (best is None or (best[1].total or before.total) > before.total):
        # the kit as it is meets easier needs too
        best = (changed, replace(before, status=before.status if every else "feasible"))
    if best is None:
        text = lever.change(needs, changed)
        return Margin(
            key=lever.key,
            change=text,
            easier=easier,
            status=status,
            total=None,
            difference=None,
            proven=status == "infeasible",
        )
    way, result = best
    assert result.total is not None
    return Margin(
        key=lever.key,
        change=lever.change(needs, way),
        easier=easier,
        status=result.status,
        total=result.total,
        difference=result.total - before.total,
        proven=every and before.status == "optimal",
    )


def _fits(needs: Needs, kit: Result) -> bool:
    """Whether a kit breaks none of some needs' rules."""
    if kit.design is None:
        return False
    return all(c.ok for c in check(needs, kit.design, kit.lines, kit.orders))


def _slack(needs: Needs, lever: Lever, kit: Result) -> Slack | None:
    """How many moves harder the kit still keeps to; None of what is no limit on a kit."""
    if lever.items or lever.key.startswith("load.") or not lever.hardest:
        return None

    def keeps(moves: int) -> bool:
        return _fits(next(iter(lever.ways(needs, -moves))), kit)

    low, high = 0, lever.hardest + 1
    while high - low > 1:
        middle = (low + high) // 2
        if keeps(middle):
            low = middle
        else:
            high = middle
    return Slack(
        key=lever.key,
        what=lever.what,
        unit=lever.unit,
        left=round(low * lever.step, 9),
        step=lever.step,
        most=low == lever.hardest,
    )
