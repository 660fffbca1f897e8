"""Selection: bounds over all candidates of a setting, and what a gap rules out.

The floor programme, relaxed, with array candidates priced in as they pay, gives a bound below
every kit of the setting. With a kit in hand, everything whose reduced cost is above the gap
between the two is dropped: it stands in no cheaper kit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from solver import model as m
from solver.balance import limits_kgm
from solver.cables import fewer_cables
from solver.candidates import Candidates, Pairs, Setting, candidates, with_pairs
from solver.groups import Pricer, most_metres, rewired_banks, wiring
from solver.market import Market
from solver.milp import LpAnswer, MipAnswer, solve, solve_relaxed
from solver.needs import Needs
from solver.outdone import Measure, fewer, fewer_arrays
from solver.parts import Busbar, Holder, Monitor, Switch
from solver.wiring import Shelf

KEEP_CENTS = 0.5
"""Margin on the keeping side of every comparison of costs: duals are floating-point."""

MIP_GAP_CENTS = 0.4
"""Answers closer to the bound than this are proven: whole prices differ by a cent at least."""

SEED_ARRAYS = 250
PRICE_IN = 250


Floats = NDArray[np.float64]
Counts = dict[tuple[object, ...], float]


@dataclass
class Bound:
    """A setting with its bound over all candidates."""

    setup: m.Setup
    cents: float
    arrays_reduced: NDArray[np.float64]
    reduced: dict[tuple[object, ...], float]
    cuts: m.Cuts = field(default_factory=m.Cuts)
    keep: m.Keep | None = None
    """What the bound is over, where something has been dropped already."""
    duals: dict[str, float] = field(default_factory=dict)
    """Of the rows that arrays and banks enter, by their names."""
    covers: list[tuple[str, float, float]] = field(default_factory=list)
    """What carries, the level asked for, and the dual of the row that says so."""
    short: bool = False
    """All arrays together do not give what is needed: the setting holds no kit."""


def setup_for(
    needs: Needs,
    mkt: Market,
    shelf_: Shelf,
    setting: Setting,
    *,
    pairs: Pairs | None = None,
    pooled: bool,
    weighs: bool = False,
    exact: bool = False,
    rough: bool = False,
    like: m.Setup | None = None,
    by: Measure | None = None,
    wired: Callable[[Candidates], frozenset[int]] | None = None,
    most_a: tuple[float, float] = (math.inf, math.inf),
) -> m.Setup:
    """Candidates, prices and wiring of one setting; `like` another that differs in its arrays.

    Where a measure is given, without the candidates that another outdoes. Where it is told which
    banks are `wired`, the others have no wiring, and so do not stand in programmes; like another
    setup it has the banks of that. Kits are looked for that draw no more than `most_a`, and whose
    arrays charge with no more.
    """
    if like is not None:
        found = with_pairs(like.found, needs, mkt, pairs)
        if by is not None:
            found = replace(found, arrays=fewer_arrays(found, by))
        w = wiring(needs, like.pricer.shelf, like.pricer, found, like.wiring)
        return m.Setup(needs, found, w, like.pricer)
    found = candidates(needs, mkt, setting, pairs)
    found = replace(found, most_draw_a=most_a[0], most_array_a=most_a[1])
    if by is not None:
        found = fewer(found, by)
        shelf_ = fewer_cables(needs, shelf_, found, weighed=by.weighed)
    pricer = Pricer(
        needs=needs,
        market=mkt,
        shelf=shelf_,
        most=most_metres(needs, shelf_, found),
        hub_studs=hub_studs(found, shelf_),
        pooled=pooled,
        weighs=weighs,
        exact=exact,
        rough=rough,
    )
    banks = None if wired is None else wired(found)
    return m.Setup(needs, found, wiring(needs, shelf_, pricer, found, banks=banks), pricer)


def with_banks(setup: m.Setup, banks: frozenset[int]) -> m.Setup:
    """The same where other banks have wiring."""
    w = rewired_banks(setup.pricer, setup.found, setup.wiring, banks)
    changed = m.Setup(setup.needs, setup.found, w, setup.pricer)
    # nothing else that is known depends on banks
    changed.memo.update((k, known) for k, known in setup.memo.items() if k != "lots")
    return changed


def hub_studs(found: Candidates, shelf_: Shelf) -> dict[str, tuple[str, ...]]:
    """By terminal of a part that is yet to be chosen, the studs it may have."""
    kinds: dict[str, Sequence[Busbar | Switch | Monitor | Holder]] = {
        "bar": found.busbars,
        "switch": found.switches,
        "shunt": found.monitors,
        "feed": shelf_.blocks,
    }
    return {at: tuple(sorted({d.stud or "" for d in kind})) for at, kind in kinds.items()}


# --- the bound over all candidates ------------------------------------------------------------


def bound(setup: m.Setup, cuts: m.Cuts) -> Bound | None:
    """The bound of a setting over all candidates; None where it holds no kit."""
    found = relaxed(setup, cuts)
    return None if found is None or found.short else found


def relaxed(
    setup: m.Setup, cuts: m.Cuts, count: tuple[int, int | None] | None = None
) -> Bound | None:
    """Solve the relaxed floor programme over all candidates; None where it has no answer.

    With a `count`, over kits with no fewer arrays than the first number and no more than the
    second; with one array it is one that meets the need by itself.

    Arrays come in as they pay: the programme starts with some, its duals price all the others,
    those with a negative reduced cost are added, until none is left. Then its value is that of
    the programme with every array in it. Mixes of panels that do not lie together are left out,
    which can only lower it: in fractions they forbid little, and their rows hold every array.
    """
    keep = everything(setup)
    if keep is None:
        return None
    usable = enough_alone(setup, keep) if count == (1, 1) else keep.arrays
    cost = m.array_floor(setup) * m.CENTS
    matrix = priced_rows(setup, cuts)
    matrix["arrays"] = np.ones(len(cost))
    held = np.zeros(len(cost), dtype=bool)
    held[_seed(setup, usable, cost)] = True
    while True:
        keep.arrays = np.flatnonzero(held)
        model = m.build(setup, keep, replace(cuts, mixes=()), floor=True, elastic=True)
        if count is not None:
            model.count_arrays(*count)
        answer = solve_relaxed(model.programme)
        if answer.infeasible:
            return None
        reduced = price(cost, matrix, model, answer.row_duals)
        entering = usable[(reduced[usable] < -1e-6) & ~held[usable]]
        if not len(entering):
            break
        best = np.argsort(reduced[entering], kind="stable")[:PRICE_IN]
        held[entering[best]] = True
    # a moment over its limit says nothing: its price is forbidding, and yet a price
    missing = [
        v
        for k, v in zip(model.keys, answer.values, strict=True)
        if k[0] == "missing" and k[1] not in limits_kgm(setup.needs)
    ]
    reduced[~np.isin(np.arange(len(cost)), usable)] = math.inf
    return Bound(
        setup=setup,
        cents=answer.objective,
        arrays_reduced=reduced,
        reduced=dict(zip(model.keys, map(float, answer.reduced), strict=True)),
        cuts=cuts,
        duals=_named_duals(model, answer),
        covers=[(what, at, float(answer.row_duals[row])) for what, at, row in model.covers],
        short=sum(missing) > 1e-6,
    )


BANK_ROWS = ("one bank", "bank charger", "bank engine", *(f"{x} rating" for x in m.BEHIND_MAIN))
"""Rows that banks and their strings enter and arrays do not."""


def _named_duals(model: m.Model, answer: LpAnswer) -> dict[str, float]:
    """The duals of rows by their names."""
    numbers = {row[3]: n for n, row in enumerate(model.programme.rows) if row[3] in BANK_ROWS}
    named = {**numbers, **model.array_rows}
    return {name: float(answer.row_duals[n]) for name, n in named.items()}


SAME_AS = {f"{x} charge": "trunk charge" for x in ("link", "busbar", "switch", "monitor")}
"""Rows in which arrays stand with the coefficients of another."""


def priced_rows(setup: m.Setup, cuts: m.Cuts) -> dict[str, NDArray[np.float64]]:
    """For every row of the floor programme that arrays enter, each candidate's coefficient."""
    matrix = m.array_matrix(setup)
    for n, cut in enumerate(cuts.panels):
        matrix[f"panel cut {n}"] = m.panel_cut_row(setup, cut)
    matrix["budget"] = m.array_floor(setup)
    return matrix


def price(
    cost: NDArray[np.float64],
    matrix: dict[str, NDArray[np.float64]],
    model: m.Model,
    duals: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Reduced cost of every array candidate, in the programme or not."""
    reduced = cost.copy()
    for name, row in model.array_rows.items():
        vector = matrix.get(SAME_AS.get(name, name))
        if vector is not None and duals[row]:
            reduced -= duals[row] * vector
    return reduced


def everything(setup: m.Setup) -> m.Keep | None:
    """All candidates that have wiring; None where a kind that is needed has none."""
    found, w = setup.found, setup.wiring
    banks = [b for b in range(len(found.banks)) if w.bank_group[b] >= 0]
    inverters = [
        i
        for i in range(len(found.inverters))
        if w.inverter_group[i] >= 0 and -1 not in w.inverter_groups_ac[i]
    ]
    keep = m.Keep(
        arrays=np.flatnonzero(w.array_ok),
        banks=banks,
        inverters=inverters,
        chargers=[k for k in range(len(found.chargers)) if w.charger_groups[k]],
        busbars=list(range(len(found.busbars))),
        switches=list(range(len(found.switches))),
        monitors=list(range(len(found.monitors))),
        modes=list(range(len(w.modes))),
    )
    has_dc = any(x.supply == "dc" for x in setup.needs.loads)
    lacking = (
        not banks
        or (found.ac_needed and not inverters)
        or not (keep.busbars and keep.switches and keep.monitors and w.link.options)
        or (has_dc and not keep.modes)
        or any(bond.of == "link" and not bond.group.options for bond in w.bonds)
    )
    return None if lacking else keep


def _seed(
    setup: m.Setup, usable: NDArray[np.int64], cost: NDArray[np.float64]
) -> NDArray[np.int64]:
    """Arrays to start with: the cheapest a watt-hour, and the cheapest."""
    yields = setup.found.arrays.yields_wh[usable].min(axis=1, initial=math.inf)
    by_yield = np.argsort(cost[usable] / np.maximum(yields, 1e-9), kind="stable")
    by_cost = np.argsort(cost[usable], kind="stable")
    chosen = np.unique(np.concatenate([by_yield[:SEED_ARRAYS], by_cost[:50]]))
    return np.asarray(usable[chosen])


def rewired(b: Bound, setup: m.Setup) -> Bound:
    """The same bound for a setup that differs only in more wiring.

    What was thinned out costs no less, by floor prices, than an option that stayed and is as good
    in every row; so its reduced cost is not below zero, and the duals of the bound are duals of
    the programme with all wiring. Reduced costs of candidates stay as they are, those of options
    are not known.
    """
    reduced = {k: r for k, r in b.reduced.items() if k[0] not in OPTION_KINDS}
    return replace(b, setup=setup, reduced=reduced)


def tighten(b: Bound, best_cents: float, solver: str) -> Bound | None:
    """A sharper bound with a kit in hand; None where no cheaper kit is left.

    Only what a cheaper kit could hold stays in; for each inverter left the arrays' least cost is
    found exactly and its row added, and the relaxed programme solved again.
    """
    keep = promising(b, best_cents - b.cents)
    kinds: list[int | None] = list(keep.inverters) or [None]
    least = {i: least_arrays(b, keep, i, None, solver) for i in kinds}
    keep.array_least = {i: v for i, v in least.items() if math.isfinite(v)}
    keep.inverters = [i for i in keep.inverters if i in keep.array_least]
    if not keep.array_least or not keep.banks:
        return None
    model = m.build(b.setup, keep, b.cuts, floor=True)
    answer = solve_relaxed(model.programme)
    if answer.infeasible:
        return None
    reduced = dict(zip(model.keys, map(float, answer.reduced), strict=True))
    arrays = np.full(len(b.arrays_reduced), math.inf)
    for key, r in reduced.items():
        if key[0] == "array":
            arrays[int(str(key[1]))] = r
    slope = float(answer.row_duals[model.array_rows["array cost"]]) / m.CENTS
    room = (best_cents + KEEP_CENTS - answer.objective) / m.CENTS
    narrow_arrays(b, keep, room, slope, solver)
    arrays[~np.isin(np.arange(len(arrays)), keep.arrays)] = math.inf
    return Bound(
        setup=b.setup,
        cents=max(b.cents, answer.objective),
        arrays_reduced=arrays,
        reduced=reduced,
        cuts=b.cuts,
        keep=keep,
    )


def least_arrays(
    b: Bound, keep: m.Keep, inverter: int | None, other_wh: Sequence[float] | None, solver: str
) -> float:
    """What the arrays cost at the least with one inverter; infinite where none are enough.

    `other_wh` is what is charged from elsewhere, by month; None: as much as may be.
    """
    return cheapest_arrays(b, keep, inverter, other_wh, solver)[0] / m.CENTS


def cheapest_arrays(
    b: Bound, keep: m.Keep, inverter: int | None, other_wh: Sequence[float] | None, solver: str
) -> tuple[float, dict[int, int]]:
    """The same in cents, with how many of each array cost so little."""
    small, numbers = m.array_programme(b.setup, keep, b.cuts, inverter, other_wh)
    answer = solve(small, solver=solver, gap=1.0)
    if answer.status == "infeasible":
        return math.inf, {}
    chosen = zip(
        numbers, answer.values[: len(numbers)].round().astype(int).tolist(), strict=True
    )
    return max(0.0, answer.bound - 1.0), {i: n for i, n in chosen if n}


LEAST_SLOPE = 0.05


def narrow_arrays(b: Bound, keep: m.Keep, room: float, slope: float, solver: str) -> None:
    """Leave in `keep` only arrays of sets that a cheaper kit could have; note how few there are.

    Parameters
    ----------
    b, keep
        The setting and what is left of it.
    room : float
        How far the best kit is above the relaxed programme, in the currency.
    slope : float
        The dual of the row of the arrays' least cost in that programme.
    solver : str
        Which solver to count with.

    Notes
    -----
    The relaxed programme is convex in the least cost of the arrays: each unit that the arrays
    cost more than that raises its value by at least the row's dual. So sets dearer than the gap
    allows are in no cheaper kit, nor is an array that stands only in such sets; and no cheaper
    kit has fewer arrays than the smallest set within it.
    """
    if slope <= LEAST_SLOPE or not len(keep.arrays):
        return
    limit = max(keep.array_least.values()) + room / slope
    keep.arrays = _worthwhile(b.setup, keep, limit)
    small, _ = m.array_programme(b.setup, keep, b.cuts, _least_hungry(b, keep))
    cost = list(enumerate(small.cost))
    small.at_most(cost, limit * m.CENTS + 1.0, "within the gap")
    small.cost = [float(whole) for whole in small.whole]
    answer = solve(small, solver=solver, gap=0.4)
    if answer.status == "optimal":
        keep.fewest_arrays = max(keep.fewest_arrays, math.ceil(answer.bound - 1e-6))


def sun_needs_wh(setup: m.Setup, keep: m.Keep) -> list[float]:
    """By month, what arrays must give at the least, whichever inverter is chosen."""
    found = setup.found
    share = 1 - setup.needs.energy.shortfall_pct / 100
    own = 24 * min((x.own_w for x in found.monitors), default=0.0)
    return [
        share
        * (
            dc
            + own
            + min((found.inverters[i].needs_wh[j] for i in keep.inverters), default=0.0)
        )
        for j, dc in enumerate(found.dc_wh)
    ]


def enough_alone(setup: m.Setup, keep: m.Keep) -> NDArray[np.int64]:
    """Arrays of which one by itself meets the need of every month, with some inverter kept."""
    at, matrix = keep.arrays, m.array_matrix(setup)
    stays = np.ones(len(at), dtype=bool)
    for j, (sun, energy) in enumerate(least_needs_wh(setup, keep)):
        stays &= matrix[f"sun {j}"][at] >= sun - 1e-6
        stays &= matrix[f"energy {j}"][at] >= energy - 1e-6
    return np.asarray(at[stays])


def least_needs_wh(setup: m.Setup, keep: m.Keep) -> list[tuple[float, float]]:
    """By month, what arrays must give at the least, whatever else is chosen: of sun, and in all."""
    found = setup.found
    own = 24 * min((x.own_w for x in found.monitors), default=0.0)
    ways: dict[str, list[int]] = {"mains": [], "engine": []}
    for k in keep.chargers:
        ways[m.way_of(found, k)].append(k)
    needs = []
    for j, sun in enumerate(sun_needs_wh(setup, keep)):
        other = [
            max((found.chargers[k].other_wh[j] for k in ks), default=0.0)
            for ks in ways.values()
        ]
        need = [
            found.inverters[i].needs_wh[j] - max(found.inverters[i].other_wh[j] - other[0], 0.0)
            for i in keep.inverters
        ]
        needs.append((sun, found.dc_wh[j] + own + min(need, default=0.0) - sum(other)))
    return needs


def some_array_needed(b: Bound, keep: m.Keep) -> int:
    """1 where no kit is without arrays, since part of the need must come from the sun."""
    return int(max(sun_needs_wh(b.setup, keep), default=0.0) > 1e-6)


def _least_hungry(b: Bound, keep: m.Keep) -> int | None:
    """The inverter that asks least of the arrays in every month; None where none does."""
    found = b.setup.found.inverters
    for i in keep.inverters:
        if all(
            found[i].needs_wh[j] <= found[k].needs_wh[j]
            for k in keep.inverters
            for j in range(len(b.setup.found.months))
        ):
            return i
    return None


def _worthwhile(setup: m.Setup, keep: m.Keep, limit: float) -> NDArray[np.int64]:
    """Arrays that stand in some set of arrays that meets the need and costs at most `limit`.

    For each array the cheapest set is bounded from below by itself, one other (or none) and, for
    what is then still missing in a month, a fraction of the array that gives most for its price.
    """
    at = keep.arrays
    matrix, cost = m.array_matrix(setup), m.array_cost(setup, keep.closed)[at]
    gives = [matrix[f"sun {j}"][at] for j in range(len(setup.found.dc_wh))]
    yields, need = np.array(gives), np.array(sun_needs_wh(setup, keep))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratios = np.where(yields > 0, cost / yields, math.inf).min(axis=1)
    best = np.array([_least_set(i, cost, yields, need, ratios) for i in range(len(at))])
    return at[best <= limit + 1e-6]


def _least_set(i: int, cost: Floats, yields: Floats, need: Floats, ratios: Floats) -> float:
    """A bound on the cost of the cheapest set that holds array i."""
    left = need - yields[:, i]
    alone = cost[i] + _rest(left[:, None], ratios)[0]
    pairs = cost[i] + cost + _rest(left[:, None] - yields, ratios)
    return float(min(alone, pairs.min(initial=math.inf)))


def _rest(left: Floats, ratios: Floats) -> Floats:
    """What the energy still missing costs at the best price a watt-hour, by its worst month."""
    missing = np.maximum(left, 0.0)
    prices = np.where(missing > 0, missing * ratios[:, None], 0.0)
    return np.asarray(prices.max(axis=0))


# --- from the bound to a kit ------------------------------------------------------------------


def promising(b: Bound, slack_cents: float) -> m.Keep:
    """Every candidate and option that a kit within `slack_cents` of the bound could hold.

    In the relaxed programme a column at zero with reduced cost r raises the value by at least r
    for each unit taken, so a kit with it costs at least bound + r. Exact for every row that is
    linear in the programme; the margin keeps what floating point leaves in doubt.
    """
    room = slack_cents + KEEP_CENTS
    keep = copied(b.keep) if b.keep is not None else everything(b.setup)
    if keep is None:
        raise AssertionError("a setting with a bound has candidates")

    def stays(*key: object) -> bool:
        return b.reduced.get(key, 0.0) <= room

    # of infinite cost are those that have no wiring: they stay out whatever the slack
    kept = np.isfinite(b.arrays_reduced) & (b.arrays_reduced <= room)
    keep.arrays = np.flatnonzero(kept)
    keep.banks = [k for k in keep.banks if stays("bank", k)]
    keep.inverters = [k for k in keep.inverters if stays("inverter", k)]
    keep.chargers = [k for k in keep.chargers if stays("charger", k)]
    keep.busbars = [k for k in keep.busbars if stays("busbar", k)]
    keep.switches = [k for k in keep.switches if stays("switch", k)]
    keep.monitors = [k for k in keep.monitors if stays("monitor", k)]
    keep.modes = [k for k in keep.modes if stays("mode", k)]
    keep.dropped |= {k for k, r in b.reduced.items() if k[0] in OPTION_KINDS and r > room}
    return keep


def lists_of(keep: m.Keep) -> dict[str, list[int]]:
    """The lists of candidates by the kind that their columns' keys start with."""
    return {
        "bank": keep.banks,
        "inverter": keep.inverters,
        "charger": keep.chargers,
        "busbar": keep.busbars,
        "switch": keep.switches,
        "monitor": keep.monitors,
        "mode": keep.modes,
    }


def copied(keep: m.Keep) -> m.Keep:
    """A copy whose lists can be changed."""
    return replace(
        keep,
        banks=list(keep.banks),
        inverters=list(keep.inverters),
        chargers=list(keep.chargers),
        busbars=list(keep.busbars),
        switches=list(keep.switches),
        monitors=list(keep.monitors),
        modes=list(keep.modes),
        dropped=set(keep.dropped),
        array_least=dict(keep.array_least),
        array_least_with=dict(keep.array_least_with),
        shops=dict(keep.shops),
    )


OPTION_KINDS = (
    *("pv", "controller", "string", "inverter run", "ac", "charger run", "link", "dc", "bond"),
    "inside",
)
"""First words of the keys of options, and of circuits in blocks."""


FIRST_CENTS = 15000.0
MUCH_CENTS = 100000.0
"""Where no kit is made of candidates as far from the bound as that, all are looked at."""

FIRST_ARRAYS = 150
FIRST_GAP_CENTS = 100.0
ROUGH_SHARE = 0.02
"""So far from the best the main parts of a first kit may be, as a share of the bound, where placing
sends them back again and again."""


@dataclass(frozen=True)
class First:
    """A set of main parts with the wiring that floor prices choose for it."""

    keep: m.Keep
    """The main parts, and whatever they may be wired by."""
    counts: Counts
    """The chosen columns with their values."""
    options: tuple[tuple[object, ...], ...]
    """Keys of all options that were looked at."""


class Undecided(Exception):
    """Whether there are main parts of a kit was not decided in the time that there is for it."""


def first_kit(
    b: Bound, solver: str, *, roughly: bool = False, limit_s: float | None = None
) -> First | None:
    """A good set of main parts: the floor programme solved over the most promising candidates.

    None where that finds nothing; it then looks at four times as many arrays, and
    four times as far from the bound, until all are in. `Undecided` where it is not done in the time.
    """
    gap = max(ROUGH_SHARE * b.cents, MIP_GAP_CENTS) if roughly else FIRST_GAP_CENTS
    order = np.argsort(b.arrays_reduced, kind="stable")
    order = order[np.isfinite(b.arrays_reduced[order])]
    looked, room = FIRST_ARRAYS, FIRST_CENTS
    while True:
        keep = promising(b, room)
        keep.arrays = np.sort(order[:looked])
        model = m.build(b.setup, keep, b.cuts, floor=True)
        answer = solve(model.programme, solver=solver, gap=gap, limit_s=limit_s)
        if answer.status in ("optimal", "stopped"):
            counts = counted(model, answer)
            options = tuple(k for k in model.keys if k[0] in OPTION_KINDS)
            return First(only(keep, counts), counts, options)
        if answer.status == "nothing":
            raise Undecided
        if looked >= len(order) and room == math.inf:
            return None
        looked, room = looked * 4, room * 4 if room < MUCH_CENTS else math.inf


def counted(model: m.Model, answer: MipAnswer) -> dict[tuple[object, ...], float]:
    """The chosen columns with their values."""
    return {k: float(v) for k, v in zip(model.keys, answer.values, strict=True) if v > 1e-6}


def only(keep: m.Keep, counts: dict[tuple[object, ...], float]) -> m.Keep:
    """The same, with no other arrays, banks, inverters and chargers than those chosen."""

    def chosen(kind: str) -> list[int]:
        return sorted(k[1] for k, v in counts.items() if k[0] == kind and v > 0.5)  # type: ignore[misc]

    return m.Keep(
        array_counts={k[1]: round(v) for k, v in counts.items() if k[0] == "array"},  # type: ignore[misc]
        arrays=np.array(chosen("array"), dtype=np.int64),
        banks=chosen("bank"),
        inverters=chosen("inverter"),
        chargers=chosen("charger"),
        busbars=list(keep.busbars),
        switches=list(keep.switches),
        monitors=list(keep.monitors),
        modes=list(keep.modes),
        dropped=set(keep.dropped),
    )
