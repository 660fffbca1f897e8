"""Selection: the cheapest candidates that together meet every need, with a proof.

For each setting, in the order of their bounds: a bound over all candidates (the floor programme
relaxed, array candidates priced in as they pay), a first kit, everything dropped that the gap
between the two rules out, the programme with real purchases on what is left. A setting whose
bound is not under the best kit is never solved.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from solver import model as m
from solver.candidates import Candidates, Setting, candidates, settings
from solver.groups import Pricer, wiring
from solver.market import Market, market
from solver.milp import MipAnswer, solve, solve_relaxed
from solver.needs import Needs
from solver.parts import Busbar, Monitor, Switch
from solver.stock import Stock
from solver.wiring import Shelf, shelf

KEEP_CENTS = 0.5
"""Margin on the keeping side of every comparison of costs: duals are floating-point."""

MIP_GAP_CENTS = 0.4
"""Answers closer to the bound than this are proven: whole prices differ by a cent at least."""

SEED_ARRAYS = 250
PRICE_IN = 250


@dataclass(frozen=True)
class Chosen:
    """A selection: keys of the chosen columns with their counts, as the programme decided."""

    setup: m.Setup
    counts: dict[tuple[object, ...], float]

    def of(self, kind: str) -> list[tuple[tuple[object, ...], int]]:
        """Chosen columns of one kind, in order."""
        return [(k, round(v)) for k, v in self.counts.items() if k[0] == kind and v > 0.5]


@dataclass
class Bound:
    """A setting with its bound over all candidates."""

    setup: m.Setup
    cents: float
    arrays_reduced: NDArray[np.float64]
    reduced: dict[tuple[object, ...], float]
    cuts: m.Cuts = field(default_factory=m.Cuts)


@dataclass(frozen=True)
class Selection:
    """The outcome over all settings."""

    chosen: Chosen | None
    cents: float
    bound_cents: float
    market: Market
    exact: bool
    """Nothing was left out without a proof."""
    why_not: tuple[str, ...] = ()


Progress = Callable[[str], None]


def quiet(_text: str) -> None:
    """No progress."""


def setup_for(needs: Needs, mkt: Market, shelf_: Shelf, setting: Setting) -> m.Setup:
    """Candidates, prices and wiring of one setting."""
    found = candidates(needs, mkt, setting)
    pricer = Pricer(
        needs=needs,
        market=mkt,
        shelf=shelf_,
        most={},
        freight_margin=_freight_margin(mkt),
        hub_studs=_hub_studs(found),
    )
    return m.Setup(needs, found, wiring(needs, shelf_, pricer, found), pricer)


def _freight_margin(mkt: Market) -> float:
    """The most that freight could change when purchases change.

    With one supplier that never gives free freight its freight is paid whatever is bought;
    otherwise all freight together is what could come or go.
    """
    suppliers = list(mkt.freight.values())
    if len(suppliers) == 1 and suppliers[0].free_over is None:
        return 0.0
    return float(sum(s.shipping for s in suppliers))


def _hub_studs(found: Candidates) -> tuple[str, ...]:
    devices: list[Busbar | Switch | Monitor] = [
        *found.busbars,
        *found.switches,
        *found.monitors,
    ]
    return tuple(sorted({d.stud for d in devices if d.stud}))


# --- the bound over all candidates ------------------------------------------------------------


def bound(setup: m.Setup, cuts: m.Cuts) -> Bound | None:
    """Solve the relaxed floor programme over all candidates; None where it has no answer.

    Arrays come in as they pay: the programme starts with some, its duals price all the others,
    those with a negative reduced cost are added, until none is left. Then its value is that of
    the programme with every array in it.
    """
    keep = everything(setup)
    if keep is None:
        return None
    usable = keep.arrays
    cost = m.array_floor(setup) * m.CENTS
    matrix = m.array_matrix(setup)
    for n, cut in enumerate(cuts.panels):
        matrix[f"panel cut {n}"] = m.panel_cut_row(setup, cut)
    matrix["budget"] = m.array_floor(setup)
    held = np.zeros(len(cost), dtype=bool)
    held[_seed(setup, usable, cost)] = True
    while True:
        keep.arrays = np.flatnonzero(held)
        model = m.build(setup, keep, cuts, floor=True, elastic=True)
        answer = solve_relaxed(model.programme)
        if not answer.feasible:
            return None
        reduced = _price(cost, matrix, model, answer.row_duals)
        entering = usable[(reduced[usable] < -1e-6) & ~held[usable]]
        if not len(entering):
            break
        best = np.argsort(reduced[entering], kind="stable")[:PRICE_IN]
        held[entering[best]] = True
    missing = [v for k, v in zip(model.keys, answer.values, strict=True) if k[0] == "missing"]
    if sum(missing) > 1e-6:
        return None
    reduced[~np.isin(np.arange(len(cost)), usable)] = math.inf
    return Bound(
        setup=setup,
        cents=answer.objective,
        arrays_reduced=reduced,
        reduced=dict(zip(model.keys, map(float, answer.reduced), strict=True)),
        cuts=cuts,
    )


SAME_AS = {f"{x} charge": "trunk charge" for x in ("link", "busbar", "switch", "monitor")}
"""Rows in which arrays stand with the coefficients of another."""


def _price(
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
    )
    return None if lacking else keep


def _seed(
    setup: m.Setup, usable: NDArray[np.int64], cost: NDArray[np.float64]
) -> NDArray[np.int64]:
    """Arrays to start with: the cheapest a watt-hour, and the cheapest."""
    yields = setup.found.arrays.yields_wh[usable].min(axis=1, initial=math.inf)
    by_yield = np.argsort(cost[usable] / np.maximum(yields, 1e-9), kind="stable")
    by_cost = np.argsort(cost[usable], kind="stable")
    return usable[np.unique(np.concatenate([by_yield[:SEED_ARRAYS], by_cost[:50]]))]


# --- from the bound to a kit ------------------------------------------------------------------


def promising(b: Bound, slack_cents: float) -> m.Keep:
    """Every candidate and option that a kit within `slack_cents` of the bound could hold.

    In the relaxed programme a column at zero with reduced cost r raises the value by at least r
    for each unit taken, so a kit with it costs at least bound + r. Exact for every row that is
    linear in the programme; the margin keeps what floating point leaves in doubt.
    """
    room = slack_cents + KEEP_CENTS
    keep = everything(b.setup)
    if keep is None:
        raise AssertionError("a setting with a bound has candidates")

    def stays(*key: object) -> bool:
        return b.reduced.get(key, 0.0) <= room

    keep.arrays = np.flatnonzero(b.arrays_reduced <= room)
    keep.banks = [k for k in keep.banks if stays("bank", k)]
    keep.inverters = [k for k in keep.inverters if stays("inverter", k)]
    keep.chargers = [k for k in keep.chargers if stays("charger", k)]
    keep.busbars = [k for k in keep.busbars if stays("busbar", k)]
    keep.switches = [k for k in keep.switches if stays("switch", k)]
    keep.monitors = [k for k in keep.monitors if stays("monitor", k)]
    keep.modes = [k for k in keep.modes if stays("mode", k)]
    keep.dropped = {k for k, r in b.reduced.items() if k[0] in OPTION_KINDS and r > room}
    return keep


OPTION_KINDS = ("pv", "controller", "string", "inverter run", "ac", "charger run", "link", "dc")
"""First words of the keys of options."""


def first_kit(b: Bound, limit_s: float | None) -> m.Keep | None:
    """A good set of main parts: the floor programme solved over the most promising candidates."""
    keep = promising(b, FIRST_CENTS)
    order = np.argsort(b.arrays_reduced, kind="stable")
    keep.arrays = np.sort(order[np.isfinite(b.arrays_reduced[order])][:FIRST_ARRAYS])
    model = m.build(b.setup, keep, b.cuts, floor=True)
    answer = solve(model.programme, limit_s=limit_s, gap=FIRST_GAP_CENTS)
    if answer.status in ("infeasible", "nothing"):
        return None
    counts = counted(model, answer)
    return only(keep, counts)


FIRST_CENTS = 15000.0
FIRST_ARRAYS = 150
FIRST_GAP_CENTS = 100.0


def counted(model: m.Model, answer: MipAnswer) -> dict[tuple[object, ...], float]:
    """The chosen columns with their values."""
    return {
        k: float(v) for k, v in zip(model.keys, answer.values, strict=True) if v > 1e-6
    }


def only(keep: m.Keep, counts: dict[tuple[object, ...], float]) -> m.Keep:
    """The same, with no other arrays, banks, inverters and chargers than those chosen."""

    def chosen(kind: str) -> list[int]:
        return sorted(k[1] for k, v in counts.items() if k[0] == kind and v > 0.5)  # type: ignore[misc]

    return m.Keep(
        arrays=np.array(chosen("array"), dtype=np.int64),
        banks=chosen("bank"),
        inverters=chosen("inverter"),
        chargers=chosen("charger"),
        busbars=keep.busbars,
        switches=keep.switches,
        monitors=keep.monitors,
        modes=keep.modes,
        dropped=keep.dropped,
    )
