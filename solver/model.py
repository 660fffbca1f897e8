"""The integer programme of one setting: which candidates, how wired, bought from whom.

The same rows serve twice. With `floor` prices every part costs the least that one unit of it can
cost in any order: a bound below every kit, over all candidates. With purchases the offers
themselves are columns: packs, price breaks, stock, freight with its threshold, spares.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property, partial
from typing import Any

import numpy as np
from numpy.typing import NDArray  # noqa: TC002  beside numpy, as everywhere

from solver.apart import InConduits, conduits
from solver.balance import lever_m, limits_kgm
from solver.candidates import MOST_ARRAYS, MOST_STRINGS, Candidates, panels_and_controllers
from solver.groups import TERMINATIONS, Bond, DcCircuit, Group, Mode, Pricer, Wiring
from solver.leg_rows import Arrays, Lying
from solver.market import Deal, level_packs
from solver.milp import Programme
from solver.needs import Needs
from solver.panel_mixes import Face, PanelMix, covers, face_of, reached
from solver.parts import Busbar, Cable, Holder, Lug, Monitor, Panel
from solver.parts.base import SMALL_CLASSES
from solver.parts.device import Device
from solver.passing import bores_mm
from solver.routes import stated_loaded
from solver.rules.hole import hole_takes_mm2
from solver.rules.space import usable_area_mm2
from solver.rules.string import voc_cold_v
from solver.whole_packs import LOOSE_CENTS, Chosen, Paid, Row, Stud
from solver.wiring import Option, cut_mm, members

CENTS = 100.0
"""The objective is in hundredths of the currency, so that whole prices are whole numbers."""

BIG_HUB_ENDS = 24

MOST_NEEDS = 60
"""So many different needs of a part are looked at where it is worked out what it costs."""

BEHIND_MAIN = ("link", "busbar", "switch", "monitor")
"""What the main protection guards: each carries what the fuses of all strings let through."""

MOST_TOGETHER = 2
"""With no more arrays than this, what they need together is looked at choice by choice."""

Terms = list[tuple[int, float]]


@dataclass(frozen=True)
class PanelCut:
    """At most so many panels with faces at least this large lie in a place: proven by placing."""

    place: str
    long_mm: float
    short_mm: float
    most: int


@dataclass(frozen=True)
class KitCut:
    """Not all of these together: proven by placing, or not placed and so left out."""

    columns: tuple[tuple[tuple[object, ...], int], ...]
    """Keys of chosen columns with their counts; not all may be reached again."""


@dataclass(frozen=True)
class Cuts:
    """What placing and cutting have taught so far."""

    panels: tuple[PanelCut, ...] = ()
    kits: tuple[KitCut, ...] = ()
    lengths: tuple[str, ...] = ()
    """Cables whose pieces did not come out of what was bought though it was metres enough: each
    piece is now told which length it is cut from."""
    mixes: tuple[PanelMix, ...] = ()
    """Rows of whole programmes only: the bound over all candidates goes without, see
    `selection.relaxed`."""


@dataclass
class Keep:
    """Which candidates and options a programme holds: numbers into the candidates' lists."""

    arrays: NDArray[np.int64]
    banks: list[int]
    inverters: list[int]
    chargers: list[int]
    busbars: list[int]
    switches: list[int]
    monitors: list[int]
    modes: list[int]
    dropped: set[tuple[object, ...]] = field(default_factory=set)
    """Keys of options that are left out."""
    array_counts: dict[int, int] = field(default_factory=dict)
    """Of chosen arrays, how many of each."""
    fewest_arrays: int = 0
    """No cheaper kit has fewer arrays."""
    most_arrays: int | None = None
    """No more arrays are chosen; None: not decided."""
    ways: frozenset[str] = frozenset()
    """Kinds of other charging, `mains` or `engine`, of which one charger is chosen."""
    array_least: dict[int | None, float] = field(default_factory=dict)
    """For each inverter (None: for none) what the arrays cost at the least, see
    `array_programme`."""
    array_least_with: dict[int | None, float] = field(default_factory=dict)
    """With one inverter left, the same for each other charger (None: for none)."""
    shops: dict[str, str] = field(default_factory=dict)
    """What is decided of a supplier: `closed`, `pays` freight, or is `free` of it."""

    @property
    def one_array(self) -> bool:
        """Exactly one array is chosen."""
        return self.fewest_arrays == self.most_arrays == 1

    @property
    def arrays_limit(self) -> float:
        """No more arrays are looked at; infinite where any number is."""
        return math.inf if self.most_arrays is None else float(self.most_arrays)

    @property
    def closed(self) -> frozenset[str]:
        """Suppliers from whom nothing is bought."""
        return frozenset(s for s, state in self.shops.items() if state == "closed")


@dataclass(frozen=True)
class KeyRow:
    """Σ terms >= low, over columns by their keys."""

    terms: tuple[tuple[tuple[object, ...], float], ...]
    low_cents: float


@dataclass
class Model:
    """A programme with the meaning of its columns."""

    programme: Programme
    keys: list[tuple[object, ...]]
    """Of each column, what it stands for."""
    array_rows: dict[str, int]
    """Rows that array candidates enter, by name."""
    floor: bool
    covers: list[tuple[str, float, int]] = field(default_factory=list)
    """Rows of `_cover`: what carries, the level asked for, and the row's number."""
    paid: list[Paid] = field(default_factory=list)
    """What is bought, for rows that are added where a relaxed answer breaks them."""

    def add(self, row: Row) -> None:
        """A row found for a relaxed answer."""
        self.programme.at_least(row.terms, row.low_cents, "whole packs")

    def count_arrays(self, fewest: int, most: int | None) -> None:
        """No fewer arrays and no more than these."""
        count = [(j, 1.0) for j, key in enumerate(self.keys) if key[0] == "array"]
        self.array_rows["arrays"] = len(self.programme.rows)
        high = math.inf if most is None else float(most)
        self.programme.row(float(fewest), high, count, "arrays")

    def by_keys(self, row: Row) -> KeyRow:
        """The row for other programmes of the setting, whose columns have other numbers."""
        return KeyRow(tuple((self.keys[j], a) for j, a in row.terms), row.low_cents)

    def add_by_keys(self, row: KeyRow) -> None:
        """A row found elsewhere; columns that this programme leaves out are zero in it."""
        at = self.numbers
        self.programme.at_least(
            [(at[k], a) for k, a in row.terms if k in at], row.low_cents, "whole packs"
        )

    @cached_property
    def numbers(self) -> dict[tuple[object, ...], int]:
        """Of each key the number of its column, once all are there."""
        return {key: j for j, key in enumerate(self.keys)}

    def column(
        self,
        key: tuple[object, ...],
        cost: float = 0.0,
        upper: float = 1.0,
        *,
        whole: bool = True,
    ) -> int:
        """Add a column with its meaning."""
        self.keys.append(key)
        return self.programme.column(cost, 0.0, upper, whole=whole)


@dataclass(frozen=True)
class Setup:
    """Everything a programme is made from."""

    needs: Needs
    found: Candidates
    wiring: Wiring
    pricer: Pricer
    memo: dict[object, Any] = field(default_factory=dict, init=False, compare=False, repr=False)
    """What has been worked out from the rest and is asked for again and again."""

    def once(self, key: object, work: Callable[[], Any]) -> Any:
        """What `work` gives, worked out the first time."""
        if key not in self.memo:
            self.memo[key] = work()
        return self.memo[key]


# --- what array candidates put into each row ---------------------------------------------------


def array_matrix(setup: Setup) -> dict[str, NDArray[np.float64]]:
    """For every row that arrays enter, each array candidate's coefficient."""
    return dict(setup.once("array matrix", lambda: _array_matrix(setup)))


def _array_matrix(setup: Setup) -> dict[str, NDArray[np.float64]]:
    a, needs = setup.found.arrays, setup.needs
    share = 1 - needs.energy.shortfall_pct / 100
    face = np.array([p.taken_mm2 for p in a.panels] or [0.0])
    mass = np.array([p.kg for p in a.panels] or [0.0])
    desk_face = np.array([c.taken_mm2 for c in a.controllers] or [0.0])
    desk_mass = np.array([c.kg for c in a.controllers] or [0.0])
    count = (a.series * a.parallel).astype(float)
    rows: dict[str, NDArray[np.float64]] = {}
    for j in range(len(setup.found.months)):
        rows[f"sun {j}"] = a.yields_wh[:, j] - share * a.own_wh
        rows[f"energy {j}"] = a.yields_wh[:, j] - a.own_wh
        rows[f"autonomy {j}"] = -needs.energy.autonomy_days * a.own_wh
    rows["bank charge"] = -a.charge_a
    rows["trunk charge"] = -a.charge_a
    rows["bar lugs"] = -np.ones(len(a))
    for place in needs.places:
        lies = np.array([w == place.name for w in a.panel_place], dtype=float)
        stands = np.array([w == place.name for w in a.controller_place], dtype=float)
        if not lies.any() and not stands.any():
            continue
        rows[f"area {place.name}"] = (
            lies * count * face[a.panel] + stands * desk_face[a.controller]
        )
        rows[f"kg {place.name}"] = (
            lies * count * mass[a.panel] + stands * desk_mass[a.controller]
        )
    beside_kg = _beside_sums(setup.wiring, lambda x: _family_kg(setup, x))
    rows["kg"] = count * mass[a.panel] + desk_mass[a.controller] + beside_kg
    rows |= _moments_of_arrays(setup, count * mass[a.panel], desk_mass[a.controller])
    for g in range(len(setup.wiring.pv)):
        rows[f"pv {g}"] = -(setup.wiring.pv_group == g).astype(float)
    for g in range(len(setup.wiring.controllers)):
        rows[f"controller {g}"] = -(setup.wiring.controller_group == g).astype(float)
    rows |= _frames_of(setup)
    for name in setup.pricer.market.owned:
        n = np.zeros(len(a))
        for i, p in enumerate(a.panels):
            if p.part == name:
                n += (a.panel == i) * count
        for i, c in enumerate(a.controllers):
            if c.part == name:
                n += (a.controller == i) * 1.0
        if n.any():
            rows[f"owned {name}"] = -n
            rows[f"must {name}"] = n
    return rows


def _moments_of_arrays(
    setup: Setup, panels_kg: NDArray[np.float64], desk_kg: NDArray[np.float64]
) -> dict[str, NDArray[np.float64]]:
    """What each array candidate adds to the moments that are limited."""
    a, needs = setup.found.arrays, setup.needs
    rows = {}
    for row in limits_kgm(needs):
        far = {w: lever_m(needs, w, row) for w in {*a.panel_place, *a.controller_place}}
        lain = np.array([far[w] for w in a.panel_place])
        desk = np.array([far[w] for w in a.controller_place])
        rows[row] = panels_kg * lain + desk_kg * desk
    return rows


def _frames_of(setup: Setup) -> dict[str, NDArray[np.float64]]:
    """For every place of panels, the arrays whose frames are bonded there."""
    roofs = setup.found.arrays.panel_place
    return {
        f"frames {b}": -np.array([w == bond.place for w in roofs], dtype=float)
        for b, bond in enumerate(setup.wiring.bonds)
        if bond.of == "frames"
    }


def panel_cut_row(setup: Setup, cut: PanelCut) -> NDArray[np.float64]:
    """How many panels of each array candidate a panel cut counts."""
    a = setup.found.arrays
    large = np.array([covered(cut, p) for p in a.panels] or [False])
    there = np.array([w == cut.place for w in a.panel_place], dtype=bool)
    counts = (a.series * a.parallel).astype(float)
    return np.where(large[a.panel] & there, counts, 0.0)


def panels_over(setup: Setup, place: str, faces: frozenset[Face]) -> NDArray[np.float64]:
    """How many panels each array candidate has in a place that cover one of some faces."""
    a = setup.found.arrays
    large = np.array([covers(face_of(p.taken_mm), faces) for p in a.panels] or [False])
    there = np.array([w == place for w in a.panel_place], dtype=bool)
    return np.where(large[a.panel] & there, (a.series * a.parallel).astype(float), 0.0)


def mix_row(
    p: Programme,
    panels: Mapping[frozenset[Face], Sequence[tuple[int, float]]],
    mix: PanelMix,
    column: Callable[[tuple[object, ...]], int],
) -> None:
    """Not all the numbers of panels by which a mix would be there.

    Of each set of faces `panels` has the columns with how many panels of their place cover one.
    """
    numbers = []
    for faces, count in reached(mix):
        most = sum(n * p.upper[j] for j, n in panels[faces])
        if most < count:
            return
        numbers.append((faces, count, most))
    flags: list[int] = []
    for faces, count, most in numbers:
        flags.append(column(("reached", mix, faces)))
        terms = [*panels[faces], (flags[-1], count - 1.0 - most)]
        p.at_most(terms, count - 1.0, "reached")
    p.at_most([(flag, 1.0) for flag in flags], len(flags) - 1.0, "panel mix")


def covered(cut: PanelCut, panel: Device) -> bool:
    """Whether a panel is one of those that a cut counts: its face is as large, either way round."""
    return covers(face_of(panel.taken_mm), [(cut.long_mm, cut.short_mm)])


def _family_kg(setup: Setup, family: str) -> float:
    return min(setup.pricer.market.parts[p].kg for p in members(family))


def array_floor(setup: Setup, closed: frozenset[str] = frozenset()) -> NDArray[np.float64]:
    """The least each array candidate costs, wiring apart; with some suppliers closed."""
    a, pricer = setup.found.arrays, setup.pricer.without(closed)
    owned = pricer.market.owned
    panel = np.array(
        [0.0 if p.part in owned else pricer.floor(p.part) for p in a.panels] or [0.0]
    )
    count = (a.series * a.parallel).astype(float)
    return np.asarray(count * panel[a.panel] + _desk_floor(setup, closed), dtype=float)


def _desk_floor(setup: Setup, closed: frozenset[str]) -> NDArray[np.float64]:
    """The least that each array candidate's controller and what joins its strings cost."""
    a, pricer = setup.found.arrays, setup.pricer.without(closed)
    owned = pricer.market.owned
    desk = np.array(
        [0.0 if c.part in owned else pricer.floor(c.part) for c in a.controllers] or [0.0]
    )
    beside = _beside_sums(setup.wiring, pricer.floor)
    return np.asarray(desk[a.controller] + beside, dtype=float)


def _beside_sums(w: Wiring, of: Callable[[str], float]) -> NDArray[np.float64]:
    """By array candidate, a figure of a family summed over what the array takes.

    Thousands of arrays take the same: each sum is worked out once.
    """
    taken = list(zip(w.joints, w.desk_link, strict=True))
    first = {what: i for i, what in reversed(list(enumerate(taken)))}
    sums = {what: float(sum(n * of(x) for x, n in _beside(w, i))) for what, i in first.items()}
    return np.array([sums[what] for what in taken])


def _beside(w: Wiring, array: int) -> list[tuple[str, int]]:
    """Families that an array takes, with their numbers: what joins its strings, a comm cable."""
    link = w.desk_link[array]
    return [*w.joints[array].takes, *([(link, 1)] if link else [])]


def most_other_wh(setup: Setup) -> list[float]:
    """By month, more other charging than this is worth no more.

    Arrays give at least the share of the need that must not come from elsewhere, so other
    charging is asked for at most the rest; whatever a charger gives beyond the rest of the
    largest possible need lies idle. Capping it so changes no kit and leaves fractions of a
    charger less room.
    """
    found = setup.found
    share = setup.needs.energy.shortfall_pct / 100
    own = 24 * (max((m.own_w for m in found.monitors), default=0.0))
    # every array has a controller of its own on the bus bars, so studs bound their number; any
    # controller counts, whichever arrays were made
    studs = max((b.studs for b in found.busbars), default=0)
    _, controllers = panels_and_controllers(setup.pricer.market, found.setting)
    own += 24 * max((c.own_w for c in controllers), default=0.0) * studs
    return [
        share * (dc + own + max((i.needs_wh[j] for i in found.inverters), default=0.0))
        for j, dc in enumerate(found.dc_wh)
    ]


def array_cost(setup: Setup, closed: frozenset[str] = frozenset()) -> NDArray[np.float64]:
    """The least each array candidate costs with its wiring."""
    work = partial(_array_cost, setup, closed)
    return np.asarray(setup.once(("array cost", closed), work), dtype=float)


def panel_cost(setup: Setup, closed: frozenset[str]) -> NDArray[np.float64]:
    """The least that each array candidate's panels cost, whatever other arrays share with them.

    With n panels in an array and N of that kind in the kit, N >= n, they cost c(N), of which the
    array's share is n·c(N)/N: no less than the least of that over all N that a kit may hold, see
    `most_panels`.
    """
    work = partial(_panel_cost, setup, closed)
    return np.asarray(setup.once(("panel cost", closed), work), dtype=float)


def _panel_cost(setup: Setup, closed: frozenset[str]) -> NDArray[np.float64]:
    a, pricer = setup.found.arrays, setup.pricer.without(closed)
    count = a.series * a.parallel
    total = np.zeros(len(a))
    for k, panel in enumerate(a.panels):
        if panel.part in pricer.market.owned:
            continue
        mine = a.panel == k
        price = [
            pricer.least(panel.part, q) / q for q in range(1, most_panels(setup, panel) + 1)
        ]
        for n in sorted(set(count[mine].tolist())):
            total[mine & (count == n)] = n * min(price[n - 1 :], default=math.inf)
    return total


def most_panels(setup: Setup, panel: Panel) -> int:
    """More panels of a kind are in no kit, however much room there is.

    - They lie side by side where panels may lie, and no more are there than can be had.
    - Every array has a controller of its own on the bus bars, so studs bound the number of arrays.
      An array has few parallel strings (`MOST_STRINGS`), and a string's voltage on the coldest day
      is within what the panel and its controller bear. Any controller counts, whichever arrays
      were made: so this holds while more of them come in.
    """
    needs, found, market = setup.needs, setup.found, setup.pricer.market
    roofs = [p for p in needs.places if p.may_hold("panel")]
    room = sum(usable_area_mm2(p) + 1e-6 for p in roofs) / panel.taken_mm2
    studs = max((b.studs for b in found.busbars), default=0)
    _, controllers = panels_and_controllers(market, found.setting)
    bears_v = min(panel.max_system_v, max((c.max_pv_v for c in controllers), default=0.0))
    cold_v = voc_cold_v(panel.voc_v, panel.voc_pct_per_c, needs.site.coldest_c)
    wired = studs * MOST_STRINGS * math.floor(bears_v / cold_v)
    return max(int(min(room, wired, market.available(panel.part))), 1)


def _array_cost(setup: Setup, closed: frozenset[str]) -> NDArray[np.float64]:
    w, pricer = setup.wiring, setup.pricer.without(closed)
    total = _desk_floor(setup, closed) + panel_cost(setup, closed)
    for groups, number in ((w.pv, w.pv_group), (w.controllers, w.controller_group)):
        least = [min(pricer.option_floor(o) for o in g.options) for g in groups]
        total = total + np.array([*least, math.inf])[number]
    return total


def way_of(found: Candidates, charger: int) -> str:
    """Which other way in a charger serves: the engine, or the mains with a generator's."""
    return "engine" if found.chargers[charger].charger.kind == "engine" else "mains"


def owned_of_arrays(setup: Setup) -> list[str]:
    """Panels and controllers of which some are owned."""
    a = setup.found.arrays
    known = {x.part for x in (*a.panels, *a.controllers)}
    return sorted(known & set(setup.pricer.market.owned))


def array_gives(setup: Setup) -> NDArray[np.float64]:
    """By array, what it yields in each month: first beside the sun's share of its use, then all."""
    matrix, months = array_matrix(setup), range(len(setup.found.months))
    return np.column_stack([matrix[f"{row} {j}"] for row in ("sun", "energy") for j in months])


def worth_counting(
    setup: Setup, arrays: NDArray[np.int64], closed: frozenset[str] = frozenset()
) -> NDArray[np.int64]:
    """Arrays that can be bought, without those that another of as many of the same panels outdoes.

    Where arrays alone are counted: the other costs no more, yields as much in each month, there may
    be as many, and its controller takes no more of the same place. One whose controller is owned, or
    of which there are few, is compared with those of that controller only; of equals the first stays.
    """
    a, cost, market = setup.found.arrays, array_cost(setup, closed), setup.pricer.market
    few = [market.available(c.part) < MOST_ARRAYS for c in a.controllers]
    owned = [c.part in market.owned for c in a.controllers]
    alone = np.array([x or y for x, y in zip(owned, few, strict=True)] or [False])
    face = np.array([c.taken_mm2 for c in a.controllers] or [0.0])
    asks = np.column_stack([cost, face[a.controller], -a.most, -array_gives(setup)])
    alike: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for i in arrays[np.isfinite(cost[arrays])].tolist():
        controller = int(a.controller[i])
        count = int(a.series[i] * a.parallel[i])
        kind = (a.panel[i], count, a.panel_place[i], a.controller_place[i])
        alike[(*kind, controller if alone[controller] else None)].append(i)
    stays: list[int] = []
    for group in alike.values():
        left = np.array(sorted(group, key=lambda i: (cost[i], i)))
        while len(left):
            stays.append(int(left[0]))
            left = left[(asks[left] < asks[left[0]]).any(axis=1)]
    return np.array(sorted(stays), dtype=np.int64)


def _counted(setup: Setup, keep: Keep) -> NDArray[np.int64]:
    """Arrays to count: all that can be bought where there must be several, since then the number
    of each tells too.
    """
    if keep.fewest_arrays <= 1:
        return worth_counting(setup, keep.arrays, keep.closed)
    cost = array_cost(setup, keep.closed)
    return np.asarray(keep.arrays[np.isfinite(cost[keep.arrays])])


def array_programme(
    setup: Setup,
    keep: Keep,
    cuts: Cuts,
    inverter: int | None,
    other_wh: Sequence[float] | None = None,
) -> tuple[Programme, list[int]]:
    """Arrays alone: the cheapest whole ones that meet the need with one inverter.

    With `other_wh`, by month, what is charged from elsewhere is at most that. Its rows are among
    those of the whole programme (sun, energy, surfaces, what placing has taught, how many arrays
    there may be) with the least need that the inverter can have, so no kit with it has cheaper
    arrays. Beside it the numbers of the arrays that its first columns count.
    """
    found = setup.found
    cost, matrix = array_cost(setup, keep.closed), array_matrix(setup)
    p = Programme()
    columns = [
        (p.column(CENTS * float(cost[i]), 0.0, float(found.arrays.most[i])), int(i))
        for i in _counted(setup, keep)
    ]
    share = 1 - setup.needs.energy.shortfall_pct / 100
    own = 24 * min((m.own_w for m in found.monitors), default=0.0)
    for j, dc in enumerate(found.dc_wh):
        need = dc + own
        if inverter is not None:
            need += found.inverters[inverter].needs_wh[j]
        sun = matrix[f"sun {j}"]
        p.at_least([(x, float(sun[i])) for x, i in columns], share * need)
        if other_wh is not None:
            energy = matrix[f"energy {j}"]
            p.at_least([(x, float(energy[i])) for x, i in columns], need - other_wh[j])
    market = setup.pricer.without(keep.closed).market
    for name in owned_of_arrays(setup):
        taken = matrix.get(f"owned {name}")
        terms = [] if taken is None else [(x, float(taken[i])) for x, i in columns]
        price = market.floor_bought(name, setup.pricer.most.get(name, 1000.0))
        if math.isfinite(price):
            terms.append((p.column(CENTS * price, upper=1e5, whole=False), 1.0))
        p.at_least(terms, -float(market.owned[name].quantity))
    for place in setup.needs.places:
        area = matrix.get(f"area {place.name}")
        if area is not None:
            terms = [(x, float(area[i])) for x, i in columns]
            p.at_most(terms, usable_area_mm2(place) + 1e-6)
    for cut in cuts.panels:
        row = panel_cut_row(setup, cut)
        p.at_most([(x, float(row[i])) for x, i in columns], float(cut.most))
    p.row(float(keep.fewest_arrays), keep.arrays_limit, [(x, 1.0) for x, _ in columns])
    return p, [i for _, i in columns]


# --- the programme ----------------------------------------------------------------------------


def build(
    setup: Setup,
    keep: Keep,
    cuts: Cuts,
    *,
    floor: bool,
    elastic: bool = False,
    freight: str = "exact",
) -> Model:
    """Make the programme of what is kept.

    `elastic` lets sun be missing at a forbidding price.

    `freight` is `exact` where the answer is to be bought as it is. `bounded` lets what is short of
    a supplier's threshold be paid for nothing, so no kit costs less than the least answer; a kit
    pays that or buys more of what it holds. `none` leaves it out, but for what `keep.shops` says
    of a supplier: a bound below every kit.
    """
    return _Builder(setup, keep, cuts, floor=floor, elastic=elastic, freight=freight).build()


def missing_cents(setup: Setup) -> float:
    """Price of a missing watt-hour a day in an elastic programme: dearer than any array's.

    In whatever currency: a watt-hour costs no more than a few of the dearest devices do.
    """

    def dearest() -> float:
        market = setup.pricer.market
        panels, controllers = panels_and_controllers(market, setup.found.setting)
        prices = [setup.pricer.floor(p.part) for p in (*panels, *controllers)]
        return max(MISSING_WH_COST, 2 * max((x for x in prices if x < math.inf), default=0.0))

    return CENTS * float(setup.once("missing", dearest))


MISSING_WH_COST = 1000.0
"""The least price of a missing watt-hour."""

OVER_KGM = 0.01
"""For that price a moment may be over its limit by so much."""


class _Builder:
    """Collects, row by row, what columns put into them; writes the rows at the end."""

    def __init__(
        self, setup: Setup, keep: Keep, cuts: Cuts, *, floor: bool, elastic: bool, freight: str
    ) -> None:
        self.freight = freight
        self.elastic = elastic
        self.setup, self.keep, self.cuts = setup, keep, cuts
        self.needs, self.found, self.wiring = setup.needs, setup.found, setup.wiring
        self.pricer, self.market = setup.pricer, setup.pricer.market
        self.model = Model(Programme(), [], {}, floor)
        self.floor = floor
        self.most_other_wh = most_other_wh(setup)
        self.into: defaultdict[str, Terms] = defaultdict(list)
        self.uses: defaultdict[str, Terms] = defaultdict(list)
        """Of each part or family, how many each column takes; of cable metres."""
        self.kg: Terms = []
        self.hub_ends: defaultdict[tuple[str, float], Terms] = defaultdict(list)
        self.hub_studs: defaultdict[tuple[str, str], Terms] = defaultdict(list)
        self.money: Terms = []
        """The total, in the job's currency, floor or exact."""
        self.pieces: defaultdict[str, list[tuple[int, Counter[int]]]] = defaultdict(list)
        """Of each owned cable, the pieces that each column cuts, by length in mm."""
        self.levels: defaultdict[str, list[tuple[float, int]]] = defaultdict(list)
        """What exclusive columns carry or ask for, by name: see `_cover`."""
        self.hub_several: defaultdict[tuple[str, float], dict[str, tuple[int, Terms]]] = (
            defaultdict(dict)
        )
        """The same of lugs at a hub terminal, by terminal and area."""
        self.least_known: defaultdict[str, dict[float, float]] = setup.once(
            ("least cost", keep.closed), lambda: defaultdict(dict)
        )
        self.inside: defaultdict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
        """By kind of block and its number, which circuits may be in it: numbers and columns."""
        self.packs: dict[str, Terms] = {}
        """Of each part that is bought, the columns of its packs with the units in one."""
        self.lying = Lying(setup.wiring.beside)
        self.in_conduits = InConduits(conduits(setup.needs))
        self.several: defaultdict[str, dict[str, tuple[int, Terms]]] = defaultdict(dict)
        """For each part, columns of which so many at most are chosen together, by what excludes
        the others."""

    # -- columns

    def build(self) -> Model:
        self._arrays()
        self._banks()
        self._inverters()
        self._chargers()
        self._hub()
        self._bonds()
        self._modes()
        self._leg_rows()
        self._conduit_rows()
        self._energy_rows()
        self._current_rows()
        self._place_rows()
        self._moment_rows()
        self._hole_rows()
        self._cut_rows()
        self._hub_lugs()
        self._kg_of_lugs()
        self._musts_nothing_takes()
        if self.floor:
            self._floor_prices()
        else:
            self._purchases()
        self._array_cost_row()
        self._limit_rows()
        return self.model

    def _put(self, row: str, column: int, amount: float) -> None:
        if amount:
            self.into[row].append((column, amount))

    def _take(
        self, name: str, column: int, amount: float, excludes: str = "", together: int = 1
    ) -> None:
        """A column takes so many of a part or a family; `together` of what excludes it may."""
        self.uses[name].append((column, amount))
        if excludes:
            sets = self.several[name]
            if excludes not in sets:
                sets[excludes] = (together, [])
            sets[excludes][1].append((column, amount))

    def _device(
        self, column: int, device: Device, place: str, count: int, excludes: str
    ) -> None:
        self._put(f"area {place}", column, count * device.taken_mm2)
        self._put(f"kg {place}", column, count * device.kg)
        for name in limits_kgm(self.needs):
            self._put(name, column, count * device.kg * lever_m(self.needs, place, name))
        self.kg.append((column, count * device.kg))
        self._take(device.part, column, count, excludes)

    def _linked(
        self, column: int, device: Device, place: str, count: int, excludes: str
    ) -> None:
        """The comm cables that so many of a device take."""
        for family, n in self.wiring.links.of(device, place, count).items():
            self._take(family, column, n, excludes)
            self.kg.append((column, n * _family_kg(self.setup, family)))

    def _arrays(self) -> None:
        a = self.found.arrays
        matrix = {k: v[self.keep.arrays] for k, v in array_matrix(self.setup).items()}
        columns = []
        most = self.keep.arrays_limit
        together = 0 if most > MOST_TOGETHER else int(most)
        label = "array" if together else ""
        for i in self.keep.arrays:
            upper = float(min(a.most[i], most))
            column = self.model.column(("array", int(i)), upper=upper)
            columns.append(column)
            panel, desk = a.panels[a.panel[i]], a.controllers[a.controller[i]]
            self._take(panel.part, column, int(a.series[i] * a.parallel[i]), label, together)
            self._take(desk.part, column, 1, label, together)
            for family, n in _beside(self.wiring, int(i)):
                self._take(family, column, n, label, together)
        for name, vector in matrix.items():
            at = np.flatnonzero(vector)
            terms = [
                (columns[k], v) for k, v in zip(at.tolist(), vector[at].tolist(), strict=True)
            ]
            if name == "kg":
                self.kg += terms
            elif not name.startswith(("owned ", "must ")):
                self.into[name] += terms
        for name, groups in (("pv", self.wiring.pv), ("controller", self.wiring.controllers)):
            for g, group in enumerate(groups):
                active = self.into.get(f"{name} {g}", [])
                sure = sum(self.model.programme.upper[c] for c, _ in active)
                sure = 24.0 if self.elastic else min(24.0, sure)
                label, upper = (name, float(together)) if together else ("", sure or 24.0)
                # a bound over all candidates prices arrays that are not in it yet
                if active or self.elastic:
                    self._options(
                        (name, g),
                        group,
                        f"{name} {g}",
                        upper,
                        label,
                        _room_of_fittings(self.needs, group),
                        together=together or 1,
                    )

    def _options(
        self,
        key: tuple[object, ...],
        group: Group,
        row: str,
        most: float,
        excludes: str,
        per_option: Sequence[tuple[str, NDArray[np.float64]]] = (),
        together: int = 1,
    ) -> None:
        """Columns of a group's options; `row` collects them against what makes them needed."""
        for k, option in enumerate(group.options):
            if (*key, k) in self.keep.dropped:
                continue
            column = self.model.column((*key, k), upper=most)
            self.into[row].append((column, 1.0))
            for name, amounts in per_option:
                self._put(name, column, float(amounts[k]))
                self.levels[name].append((float(amounts[k]), column))
            self._take_option(column, option, group.times, excludes, together)
            if group.where:
                self.lying.note(column, option, group.times, row, most, group.where)
                self.in_conduits.note(column, group.where[0], option.legs, most)

    def _take_option(
        self, column: int, option: Option, times: int, excludes: str, together: int
    ) -> None:
        if self.pricer.weighs:
            self.kg.append((column, option.kg * times))
        for hole in option.holes:
            self._put(f"hole {hole}", column, option.hole_mm2 * times)
        for name, n in option.takes.items():
            part = self.market.parts.get(name)
            units = n / 1000 if isinstance(part, Cable) else float(n)
            self._take(name, column, units * times, excludes, together)
            if isinstance(part, Cable) and (
                name in self.market.owned or name in self.cuts.lengths
            ):
                self.pieces[name].append(
                    (column, piece_lengths(self.needs, option, name, times))
                )
        for (terminal, area), n in option.hub_ends.items():
            ends = (column, float(n * times))
            self.hub_ends[(terminal, area)].append(ends)
            if excludes:
                sets = self.hub_several[(terminal, area)]
                sets.setdefault(excludes, (together, []))[1].append(ends)

    def _banks(self) -> None:
        chosen: Terms = []
        for b in self.keep.banks:
            bank = self.found.banks[b]
            g = self.wiring.bank_group[b]
            column = self.model.column(("bank", b))
            chosen.append((column, 1.0))
            n = bank.series * bank.parallel
            self._device(column, bank.battery, bank.place, n, "bank")
            self._linked(column, bank.battery, bank.place, n, "bank")
            for j in range(len(self.found.months)):
                self._put(f"autonomy {j}", column, bank.usable_wh)
            limits = bank.battery
            self.levels["bank discharge"].append(
                (limits.max_discharge_a * bank.parallel, column)
            )
            self.levels["autonomy"].append((bank.usable_wh, column))
            self._put("bank charge", column, limits.max_charge_a * bank.parallel)
            self._put("bank charger", column, limits.max_charge_a * bank.parallel)
            self._put("bank engine", column, limits.max_charge_a * bank.parallel)
            self._put("bank discharge", column, limits.max_discharge_a * bank.parallel)
            self.into[f"string {g}"].append((column, -1.0))
        self.model.programme.equal(chosen, 1.0, "one bank")
        for g in sorted({self.wiring.bank_group[b] for b in self.keep.banks}):
            group = self.wiring.banks[g]
            k = group.times
            caps = np.array([o.cap_a * k for o in group.options])
            ratings = np.array([-o.rating_a * k for o in group.options])
            self._options(
                ("string", g), group, f"string {g}", 1.0, "string",
                (
                    ("trunk discharge", caps),
                    ("trunk charge", caps),
                    *((f"{name} rating", ratings) for name in BEHIND_MAIN),
                ),
            )  # fmt: skip

    def _inverters(self) -> None:
        chosen: Terms = []
        needed: defaultdict[int, Terms] = defaultdict(list)
        share = 1 - self.needs.energy.shortfall_pct / 100
        for i in self.keep.inverters:
            one = self.found.inverters[i]
            column = self.model.column(("inverter", i))
            chosen.append((column, 1.0))
            self._device(column, one.inverter, one.place, 1, "inverter")
            self._linked(column, one.inverter, one.place, 1, "inverter")
            self.levels["draw"].append((self.found.dc_together_a + one.current_a, column))
            days = self.needs.energy.autonomy_days
            day = max(a + b for a, b in zip(self.found.dc_wh, one.needs_wh, strict=True))
            self.levels["reserve"].append((days * day, column))
            for j, need in enumerate(one.needs_wh):
                self._put(f"sun {j}", column, -share * need)
                other = min(one.other_wh[j], self.most_other_wh[j])
                self._put(f"energy {j}", column, other - need)
                self._put(f"autonomy {j}", column, -self.needs.energy.autonomy_days * need)
            for row in ("bank discharge", "trunk discharge", "hub discharge"):
                self._put(row, column, -one.current_a)
            if one.serves:
                self._put("ac charger", column, 1.0)
                for row in ("bank charger", "trunk charge"):
                    self._put(row, column, -one.inverter.charge_a)
            self._put("bar lugs", column, -1.0)
            self.into[f"inverter {self.wiring.inverter_group[i]}"].append((column, -1.0))
            for g in self.wiring.inverter_groups_ac[i]:
                needed[g].append((column, -1.0))
        if self.found.ac_needed:
            self.model.programme.equal(chosen, 1.0, "one inverter")
        elif chosen:
            self.model.programme.at_most(chosen, 1.0, "one inverter")
        for g in sorted({self.wiring.inverter_group[i] for i in self.keep.inverters}):
            group = self.wiring.inverters[g]
            self._options(("inverter run", g), group, f"inverter {g}", 1.0, "inverter run")
        for g, terms in needed.items():
            self.into[f"ac {g}"] += terms
            self._options(("ac", g), self.wiring.ac[g], f"ac {g}", 1.0, f"ac {g}")
        self._boxes()

    def _boxes(self) -> None:
        """Boxes that the inverter's AC circuits share: enough for the breakers in them.

        A circuit's breaker is in one of them, so there are no fewer of a box than of one circuit's
        options with it. Where no breaker of the inverter's circuits stands by itself, whole boxes
        hold them all.
        """
        p = self.model.programme
        by_box: defaultdict[str, defaultdict[int, Terms]] = defaultdict(
            lambda: defaultdict(list)
        )
        alone: set[int] = set()
        for j, key in enumerate(self.model.keys):
            if key[0] != "ac":
                continue
            g, k = int(str(key[1])), int(str(key[2]))
            option = self.wiring.ac[g].options[k]
            if option.shared_box is not None:
                by_box[option.shared_box.part][g].append((j, 1.0))
            else:
                alone.add(g)
        boxes: list[tuple[int, int]] = []
        for name, circuits in sorted(by_box.items()):
            box = self.market.parts[name]
            assert isinstance(box, Holder)
            most = math.ceil(self._most_circuits(circuits) / box.ways)
            column = self.model.column(("boxes", name), upper=float(most))
            boxes.append((column, box.ways))
            self._take(name, column, 1.0)
            if self.pricer.weighs:
                self.kg.append((column, box.kg))
            for terms in circuits.values():
                p.at_least([(column, 1.0), *((j, -n) for j, n in terms)], 0.0, "in a box")
            inside = [(j, -n) for terms in circuits.values() for j, n in terms]
            # and one more only where those before it are full: an empty one is no use of what is owned
            room = [(column, float(box.ways)), *inside]
            p.row(0.0, box.ways - 1.0, room, "breakers in boxes")
        if not boxes:
            return
        widest = max(ways for _, ways in boxes)
        of = self.wiring.inverter_groups_ac
        asked = [
            (j, -float(math.ceil(len({*of[int(str(key[1]))]} - alone) / widest)))
            for j, key in enumerate(self.model.keys)
            if key[0] == "inverter"
        ]
        p.at_least([*((j, 1.0) for j, _ in boxes), *asked], 0.0, "boxes for all")

    def _most_circuits(self, circuits: Iterable[int]) -> int:
        """Of some AC circuits as many as one inverter has at the most."""
        some = set(circuits)
        of = self.wiring.inverter_groups_ac
        return max((len(some.intersection(of[i])) for i in self.keep.inverters), default=0)

    def _chargers(self) -> None:
        needed: defaultdict[int, Terms] = defaultdict(list)
        for k in self.keep.chargers:
            one = self.found.chargers[k]
            column = self.model.column(("charger", k))
            kind = "engine" if one.charger.kind == "engine" else "charger"
            self._device(column, one.charger, one.place, 1, kind)
            self._linked(column, one.charger, one.place, 1, kind)
            self._put("engine charger" if kind == "engine" else "ac charger", column, 1.0)
            for j, wh in enumerate(one.other_wh):
                self._put(f"energy {j}", column, min(wh, self.most_other_wh[j]))
            for row in (f"bank {kind}", "trunk charge"):
                self._put(row, column, -one.charger.charge_a)
            self._put("bar lugs", column, -1.0)
            for g in self.wiring.charger_groups[k]:
                needed[g].append((column, -1.0))
        for way in sorted(self.keep.ways):
            chosen = [
                (j, 1.0) for j, key in enumerate(self.model.keys) if self._way(key) == way
            ]
            self.model.programme.at_least(chosen, 1.0, f"way in, {way}")
        for g, terms in needed.items():
            self.into[f"charger run {g}"] += terms
            self._options(
                ("charger run", g), self.wiring.chargers[g], f"charger run {g}", 2.0, ""
            )
        for row in ("ac charger", "engine charger"):
            if row in self.into:
                self.model.programme.at_most(self.into.pop(row), 1.0, row)

    def _way(self, key: tuple[object, ...]) -> str:
        """Which other way in a column stands for; empty for none."""
        if key[0] == "charger":
            return way_of(self.found, int(str(key[1])))
        serves = key[0] == "inverter" and self.found.inverters[int(str(key[1]))].serves
        return "mains" if serves else ""

    def _hub(self) -> None:
        hub = self.found.setting.hub
        kinds = (
            ("busbar", self.found.busbars, self.keep.busbars, 2, "bar"),
            ("switch", self.found.switches, self.keep.switches, 1, "switch"),
            ("monitor", self.found.monitors, self.keep.monitors, 1, "shunt"),
        )
        share = 1 - self.needs.energy.shortfall_pct / 100
        for kind, devices, kept, count, terminal in kinds:
            chosen: Terms = []
            for k in kept:
                device = devices[k]
                column = self.model.column((kind, k))
                chosen.append((column, 1.0))
                self._device(column, device, hub, count, kind)
                self._put(f"{kind} discharge", column, device.rated_a)
                self._put(f"{kind} charge", column, device.rated_a)
                self.levels[f"{kind} discharge"].append((device.rated_a, column))
                self._put(f"{kind} rating", column, device.rated_a)
                self.levels[f"{kind} rating"].append((device.rated_a, column))
                self.hub_studs[(terminal, device.stud or "")].append((column, 1.0))
                if isinstance(device, Busbar):
                    self._put("bar lugs", column, device.studs)
                if isinstance(device, Monitor):
                    own = 24 * device.own_w
                    for j in range(len(self.found.months)):
                        self._put(f"sun {j}", column, -share * own)
                        self._put(f"energy {j}", column, -own)
                        self._put(
                            f"autonomy {j}", column, -self.needs.energy.autonomy_days * own
                        )
            self.model.programme.equal(chosen, 1.0, f"one {kind}")
        link = self.wiring.link
        caps = np.array([o.cap_a for o in link.options])
        carries = np.array([o.ampacity_a for o in link.options])
        self._options(
            ("link",), link, "link", 1.0, "link",
            (("link discharge", caps), ("link charge", caps), ("link rating", carries)),
        )  # fmt: skip
        self.model.programme.equal(self.into.pop("link", []), 1.0, "one link")

    def _bonds(self) -> None:
        """Earthing conductors, no thinner than what each goes by asks for."""
        p = self.model.programme
        for b, bond in enumerate(self.wiring.bonds):
            if bond.of == "frames":
                self._frames(b, bond)
                continue
            first = len(self.model.keys)
            there = self._goes_by(bond)
            row = f"bond {b}"
            self._options(("bond", b), bond.group, row, 1.0, bond.group.name)
            mine = [
                (bond.group.options[int(str(key[2]))].earth_mm2, j)
                for j, key in enumerate(self.model.keys[first:], first)
            ]
            if bond.of == "link":
                p.equal(self.into.pop(row, []), 1.0, "one bond")
            else:
                self.into[row] += [(j, -1.0) for j, key in self._standing_at(bond)]
            self._cover(mine, there)
            p.at_least([*((j, a) for a, j in mine), *((j, -a) for a, j in there)], 0.0, "bond")

    def _frames(self, b: int, bond: Bond) -> None:
        """A bonding conductor for the frames of each array at its place.

        In a programme of floor prices there may be more than arrays: a bond too many costs money,
        so the row's dual pays for no array that is not in it.
        """
        row = f"frames {b}"
        most = float(self.keep.most_arrays or BIG_HUB_ENDS)
        self._options(("bond", b), bond.group, row, most, "")
        self._row(row, 0.0, math.inf if self.floor else 0.0)

    def _standing_at(self, bond: Bond) -> list[tuple[int, tuple[object, ...]]]:
        """Columns of the devices that a case's earth is for."""
        found = self.found
        return [
            (j, key)
            for j, key in enumerate(self.model.keys)
            if (
                key[0] == bond.of == "inverter"
                and found.inverters[int(str(key[1]))].place == bond.place
            )
            or (
                key[0] == bond.of == "charger"
                and found.chargers[int(str(key[1]))].charger.kind != "engine"
                and found.chargers[int(str(key[1]))].place == bond.place
            )
        ]

    def _goes_by(self, bond: Bond) -> list[tuple[float, int]]:
        """What each option asks that an earthing conductor goes by, with its column."""
        w, asked = self.wiring, []
        kind = {"link": "link", "inverter": "inverter run", "charger": "charger run"}[bond.of]
        groups = {"inverter run": w.inverters, "charger run": w.chargers}
        for j, key in enumerate(self.model.keys):
            if key[0] != kind:
                continue
            group = w.link if kind == "link" else groups[kind][int(str(key[1]))]
            if kind == "link" or group.where[-1] == bond.place:
                area = group.options[int(str(key[-1]))].asks_earth_mm2
                if area:
                    asked.append((area, j))
        return asked

    def _modes(self) -> None:
        """How DC is distributed: one mode, and each circuit on the bars or in a block of it."""
        if not self.wiring.modes:
            return
        chosen: Terms = []
        slots: defaultdict[int, list[tuple[int, Mode]]] = defaultdict(list)
        for m in self.keep.modes:
            mode = self.wiring.modes[m]
            column = self.model.column(("mode", m))
            chosen.append((column, 1.0))
            if mode.block is None:
                continue
            self._put("bar lugs", column, -float(mode.blocks))
            self._take(mode.block.part, column, mode.blocks, "mode")
            self.kg.append((column, mode.block.kg * mode.blocks))
            ends = (column, 2 * mode.blocks / BIG_HUB_ENDS)
            self.hub_studs[("feed", mode.block.stud or "")].append(ends)
            for k in range(mode.blocks):
                slots[k].append((column, mode))
        self.model.programme.equal(chosen, 1.0, "one mode")
        for k, modes in sorted(slots.items()):
            carries = self._feed(k, modes)
            for kind in sorted({mode.kind for _, mode in modes}):
                self._block(kind, k, [x for x in modes if x[1].kind == kind], carries)
        for n, circuit in enumerate(self.wiring.circuits):
            self._circuit(n, circuit)

    def _feed(self, k: int, modes: Sequence[tuple[int, Mode]]) -> list[tuple[int, Option]]:
        """Ways to wire the feed of block k, chosen where there is one that takes its rating."""
        group = self.wiring.feeds[k]
        at, first = group_number(self.wiring, group), len(self.model.keys)
        self.into[f"mode {at}"] += [(j, -1.0) for j, _ in modes]
        self._options(("dc", at), group, f"mode {at}", 1.0, group.name)
        ways = [
            (j, group.options[int(str(key[2]))])
            for j, key in enumerate(self.model.keys[first:], first)
        ]
        rated = {j: mode.block.rated_a for j, mode in modes if mode.block is not None}
        for most in sorted(set(rated.values())):
            over = [(j, 1.0) for j, o in ways if o.rating_a > most]
            small = [(j, 1.0) for j, a in rated.items() if a <= most]
            if over:
                self.model.programme.at_most([*over, *small], 1.0, "feed within the block")
        return ways

    def _block(
        self,
        kind: int,
        k: int,
        modes: Sequence[tuple[int, Mode]],
        feed: Sequence[tuple[int, Option]],
    ) -> None:
        """Which circuits are in block k, what it has ways for and its feed carries.

        The blocks of a kit are equal. So that they are told apart in one way only, the first of
        a block's circuits comes after the first of the block before.
        """
        p, most_a = self.model.programme, self.wiring.feed_most_a
        carries = [(j, min(o.cap_a, most_a)) for j, o in feed]
        there = [(j, -1.0) for j, _ in modes]
        inside: list[tuple[int, DcCircuit]] = []
        before = self.inside[kind, k - 1]
        for n, circuit in enumerate(self.wiring.circuits):
            key = ("inside", kind, k, n)
            first = [(j, -1.0) for i, j in before if i < n]
            if circuit.inside[kind] is None or key in self.keep.dropped or (k and not first):
                continue
            column = self.model.column(key)
            inside.append((column, circuit))
            self.inside[kind, k].append((n, column))
            p.at_most([(column, 1.0), *there], 0.0, "in a block")
            if k:
                p.at_most([(column, 1.0), *first], 0.0, "blocks in order")
            able = [(j, -1.0) for j, a in carries if a >= circuit.alone_a - 1e-9]
            if len(able) < len(carries):
                p.at_most([(column, 1.0), *able], 0.0, "feed carries")
        every, circuits = [(j, 1.0) for j, _ in inside], [x for _, x in inside]
        p.at_least([*every, *there], 0.0, "no empty block")
        ways = [(j, -float(min(m.block.ways, len(inside)))) for j, m in modes if m.block]
        p.at_most([*every, *ways], 0.0, "ways")
        most = [(j, -float(_most_carried(circuits, a))) for j, a in carries]
        p.at_most([*every, *most], 0.0, "feed carries so many")
        drawn = [(j, -x.together_a) for j, x in inside]
        p.at_least([*carries, *drawn], 0.0, "feed current")

    def _circuit(self, n: int, circuit: DcCircuit) -> None:
        """A circuit on the bars or in a block, wired as it is there."""
        row, label = f"circuit {n}", f"load {circuit.name}"
        anywhere: Terms = []
        for kind, group in enumerate(circuit.inside):
            inside = [
                (j, 1.0)
                for (of, _), columns in self.inside.items()
                for i, j in columns
                if (of, i) == (kind, n)
            ]
            if group is None or not inside:
                continue
            anywhere += inside
            at = group_number(self.wiring, group)
            self._options(("dc", at), group, f"mode {at}", 1.0, label)
            self.into[f"mode {at}"] += [(j, -1.0) for j, _ in inside]
            for j, _ in inside:
                self._put("bar lugs", j, 1.0)
        if circuit.direct is not None:
            at = group_number(self.wiring, circuit.direct)
            self._options(("dc", at), circuit.direct, row, 1.0, label)
        self.model.programme.equal([*anywhere, *self.into.pop(row, [])], 1.0, "circuit")

    # -- rows

    def _array_cost_row(self) -> None:
        """Arrays cost at least what the cheapest whole arrays cost that meet the need.

        Implied by the other rows for whole columns; it leaves fractions of a large array no
        room. Exactly one inverter is chosen, so its own least cost holds.
        """
        if not self.keep.array_least:
            return
        cost = array_cost(self.setup, self.keep.closed)
        terms: Terms = []
        low = 0.0
        for j, key in enumerate(self.model.keys):
            if key[0] == "array":
                terms.append((j, float(cost[int(str(key[1]))])))
            elif key[0] == "inverter":
                terms.append((j, -self.keep.array_least[int(str(key[1]))]))
        low = self.keep.array_least.get(None, 0.0)
        bought = self._bought_beside_owned()
        self.into["array cost"] = [*terms, *bought]
        self._row("array cost", low - 1e-6, math.inf)
        self._array_cost_with_chargers(
            [*((j, a) for j, a in terms if a > 0 and self._is_array(j)), *bought]
        )
        count = [(j, 1.0) for j, key in enumerate(self.model.keys) if key[0] == "array"]
        least, most = float(self.keep.fewest_arrays), self.keep.arrays_limit
        self.model.programme.row(least, most, count, "fewest arrays")

    def _bought_beside_owned(self) -> Terms:
        """What is paid for panels and controllers of which some are owned."""
        cost = self.model.programme.cost
        names = owned_of_arrays(self.setup)
        paid = [(j, cost[j] / CENTS) for n in names for j, _ in self.packs.get(n, [])]
        buys = {("buy", n) for n in names}
        return paid + [(j, cost[j] / CENTS) for j, k in enumerate(self.model.keys) if k in buys]

    def _is_array(self, column: int) -> bool:
        return self.model.keys[column][0] == "array"

    def _array_cost_with_chargers(self, cost: Terms) -> None:
        """With one inverter, arrays cost at least what they do with the charger chosen.

        At most one mains charger is chosen; without any the arrays cost what they do alone, if
        no engine charges either: so where an engine charger is chosen the row asks for no more
        than the least of all. And the other way about.
        """
        least = self.keep.array_least_with
        if len(self.keep.array_least) != 1 or None not in least:
            return
        (base,) = self.keep.array_least.values()
        # a charger with which no arrays are enough is as good as a very dear one
        dear = 2 * max([base, *(x for x in least.values() if math.isfinite(x))]) + 1.0
        alone = min(least[None], dear) - base
        kinds: dict[str, Terms] = {"engine": [], "mains": []}
        for j, key in enumerate(self.model.keys):
            if key[0] == "charger":
                number = int(str(key[1]))
                more = min(least.get(number, base), dear) - base
                kinds[way_of(self.found, number)].append((j, more))
        for mine, others in (("mains", "engine"), ("engine", "mains")):
            most = max([alone, *(a for _, a in kinds[mine])])
            row = [*cost, *((j, alone - a) for j, a in kinds[mine])]
            row += [(j, most) for j, _ in kinds[others]]
            self.model.programme.at_least(row, base + alone - 1e-6, f"array cost, {mine}")

    def _energy_rows(self) -> None:
        share = 1 - self.needs.energy.shortfall_pct / 100
        days = self.needs.energy.autonomy_days
        for j, dc in enumerate(self.found.dc_wh):
            for row, need in ((f"sun {j}", share * dc), (f"energy {j}", dc)):
                if self.elastic:
                    column = self.model.column(("missing", row), missing_cents(self.setup), 1e6)
                    self.into[row].append((column, 1.0))
                self._row(row, need, math.inf)
            self._row(f"autonomy {j}", days * dc, math.inf)

    def _most_arrays(self) -> int:
        """No kit of the programme has more arrays: each has a stud of the bus bars."""
        keep = self.keep
        studs = max((self.found.busbars[k].studs for k in keep.busbars), default=0)
        return studs if keep.most_arrays is None else min(studs, keep.most_arrays)

    def _leg_rows(self) -> None:
        """No conductor lies among more others than it stands, see `solver.leg_rows`.

        A programme of floor prices may get more candidates later: what its legs hold is then told
        by the places alone.
        """
        p, keep, arrays = self.model.programme, self.keep, None
        if not self.floor:
            arrays = Arrays(keep.fewest_arrays, self._most_arrays())
        for limit in self.lying.limits():
            here = self.lying.on[limit.leg]
            stated = stated_loaded(self.needs, limit.leg)
            most_here = self.lying.most(limit.leg, arrays)
            if most_here <= limit.most:
                continue
            asking = [(j, 1.0) for columns, _ in limit.asking for j in columns]
            if self.lying.least(limit.leg, arrays, ac=self.found.ac_needed) > limit.most:
                p.at_most(asking, 0.0, "too many on the leg")
                continue
            few = self.model.column(("no more on", *limit.leg, limit.most))
            room = most_here - limit.most
            p.at_most([*here, (few, room)], most_here - stated, "on the leg")
            for columns, times in limit.asking:
                p.at_most([*((j, 1.0) for j in columns), (few, -times)], 0.0, "beside others")

    def _conduit_rows(self) -> None:
        """No array's cables lie in one conduit with AC, see `solver.apart`."""
        p = self.model.programme
        for leg, pv, ac in self.in_conduits.both():
            there = self.model.column(("pv in", *leg))
            for column, upper in pv:
                p.at_most([(column, 1.0), (there, -upper)], 0.0, "PV in the conduit")
            for column, upper in ac:
                p.at_most([(column, 1.0), (there, upper)], upper, "PV apart from AC")

    def _row(self, name: str, low: float, high: float) -> None:
        """Write a collected row; arrays may enter it later, so its number is kept."""
        self.model.array_rows[name] = len(self.model.programme.rows)
        self.model.programme.row(low, high, self.into.pop(name, []), name)

    def _current_rows(self) -> None:
        dc = self.found.dc_together_a
        self._row("bank discharge", dc, math.inf)
        self._row("bank charge", 0.0, math.inf)
        for row in ("bank charger", "bank engine"):
            self.model.programme.at_least(self.into.pop(row, []), 0.0, row)
        self._row("trunk discharge", dc, math.inf)
        # one list of charging currents serves the strings, the link and the hub's devices
        charging = [t for t in self.into["trunk charge"] if t[1] < 0]
        self._row("trunk charge", 0.0, math.inf)
        for name in ("link", "busbar", "switch", "monitor"):
            rated = self.into.pop(f"{name} charge", [])
            self._row_of(f"{name} charge", rated + charging, 0.0)
            draws = self.into.get("hub discharge", [])
            rated = self.into.pop(f"{name} discharge", [])
            self.model.programme.at_least(rated + draws, dc, f"{name} discharge")
        self.into.pop("hub discharge", None)
        for carried in ("bank", "trunk", "link", "busbar", "switch", "monitor"):
            what = f"{carried} discharge"
            self._cover(self.levels[what], self.levels["draw"], what)
        self._cover(self.levels["autonomy"], self.levels["reserve"], "autonomy")
        for name in BEHIND_MAIN:
            levels = self.levels[f"{name} rating"]
            self._cover([t for t in levels if t[0] > 0], [(-a, j) for a, j in levels if a < 0])
            terms = self.into.pop(f"{name} rating", [])
            self.model.programme.at_least(terms, 0.0, f"{name} rating")
        self._cover_studs()
        self._row("bar lugs", self._always_on_bar() + len(self.wiring.circuits), math.inf)
        for name in [n for n in self.into if n.split()[0] in GROUP_ROWS]:
            self._row(name, 0.0, 0.0)

    def _always_on_bar(self) -> int:
        """Lugs on the fuller bus bar in every kit: what comes from the bank, and the bond."""
        return 2 if self.wiring.bonds else 1

    def _cover_studs(self) -> None:
        """Bus bars with studs enough for what distributes DC and what surely lands beside it."""
        keep, circuits = self.keep, self.wiring.circuits
        beside = self._always_on_bar() + keep.fewest_arrays
        beside += len(self._chargers_sure()) + int(self.found.ac_needed)
        upper = [(float(d.studs), k) for k, d in enumerate(self.found.busbars)]
        at = {key: j for j, key in enumerate(self.model.keys)}
        carries = [(n, at["busbar", k]) for n, k in upper if k in keep.busbars]
        asks = [
            (float(beside + self.wiring.modes[m].fewest_studs(circuits)), at["mode", m])
            for m in keep.modes
        ]
        self._cover(carries, asks)

    def _chargers_sure(self) -> frozenset[str]:
        """Other ways in for which a charger of its own stands in every kit kept."""
        inverters = self.found.inverters
        serves = any(inverters[i].serves for i in self.keep.inverters)
        return self.keep.ways - ({"mains"} if serves else set())

    def _cover(
        self,
        carries: list[tuple[float, int]],
        asks: list[tuple[float, int]],
        what: str = "",
    ) -> None:
        """Of two exclusive choices one must carry what the other asks for, level by level.

        Where exactly one column of each is chosen, Σ carried >= Σ asked holds for whole columns
        just when for each level the columns that carry it are chosen if one that asks it is.
        These rows leave fractions of a large and a small one no room.
        """
        for level in sorted({a for a, _ in asks}):
            able = [(j, 1.0) for a, j in carries if a >= level * (1 - 1e-9) - 1e-9]
            asking = [(j, -1.0) for a, j in asks if a >= level]
            self.model.covers.append((what, level, len(self.model.programme.rows)))
            self.model.programme.at_least(able + asking, 0.0, "cover")

    def _row_of(self, name: str, terms: Terms, low: float) -> None:
        self.model.array_rows[name] = len(self.model.programme.rows)
        self.model.programme.at_least(terms, low, name)

    def _place_rows(self) -> None:
        for place in self.needs.places:
            area, kg = (
                self.into.pop(f"area {place.name}", []),
                self.into.pop(f"kg {place.name}", []),
            )
            self.into[f"area {place.name}"] = area
            self._row(f"area {place.name}", -math.inf, usable_area_mm2(place) + 1e-6)
            if place.max_kg is not None:
                self.into[f"kg {place.name}"] = kg
                self._row(f"kg {place.name}", -math.inf, place.max_kg + 1e-9)

    def _moment_rows(self) -> None:
        """Moments within their limits, either way.

        In an elastic programme what is over may be at a forbidding price: arrays that are not in
        it yet could be what balances the rest.
        """
        for name, most in limits_kgm(self.needs).items():
            if self.elastic:
                for way, sign in (("over", -1.0), ("under", 1.0)):
                    price = missing_cents(self.setup)
                    column = self.model.column(("missing", name, way), price, 1e6)
                    self.into[name].append((column, sign * OVER_KGM))
            self._row(name, -most - 1e-9, most + 1e-9)

    def _hole_rows(self) -> None:
        """What passes a hole of a stated size fills no more of it than it takes."""
        for name, bore in bores_mm(self.needs).items():
            terms = self.into.pop(f"hole {name}", [])
            self.model.programme.at_most(terms, hole_takes_mm2(bore) + 1e-6, f"hole {name}")

    def _cut_rows(self) -> None:
        at = {key: j for j, key in enumerate(self.model.keys)}
        for n, cut in enumerate(self.cuts.panels):
            counts = panel_cut_row(self.setup, cut)
            terms = [(at[("array", int(i))], float(counts[i])) for i in self.keep.arrays]
            self._row_of_at_most(f"panel cut {n}", terms, float(cut.most))
        for mix in self.cuts.mixes:
            self._mix_row(at, mix)
        for kit in self.cuts.kits:
            found = [(at.get(k), n) for k, n in kit.columns]
            if all(j is not None for j, _ in found):
                reached = [(self._reached(j, n), 1.0) for j, n in found if j is not None]
                self.model.programme.at_most(reached, len(found) - 1.0, "kit cut")

    def _mix_row(self, at: Mapping[tuple[object, ...], int], mix: PanelMix) -> None:
        panels = {}
        for faces, _ in reached(mix):
            n = panels_over(self.setup, mix.place, faces)
            columns = [(at[("array", int(i))], float(n[i])) for i in self.keep.arrays if n[i]]
            panels[faces] = columns
        mix_row(self.model.programme, panels, mix, self.model.column)

    def _reached(self, column: int, count: int) -> int:
        """A column that must be 1 where another is at least `count`."""
        upper = self.model.programme.upper[column]
        if count == 1 and upper == 1:
            return column
        flag = self.model.column(("reached", column, count))
        self.model.programme.at_most([(column, 1.0), (flag, -upper)], count - 1.0, "reached")
        return flag

    def _hub_lugs(self) -> None:
        """Lugs at bus bars, switch and shunt: of the stud of whichever part is chosen there."""
        shelf = self.pricer.shelf
        for (terminal, area), ends in sorted(self.hub_ends.items()):
            balance = [(j, -n) for j, n in ends]
            for (t, stud), chosen in sorted(self.hub_studs.items()):
                lug = shelf.lug(area, stud) if stud else None
                if t != terminal or (stud and lug is None):
                    continue
                column = self.model.column(
                    ("hub lug", terminal, area, stud), upper=BIG_HUB_ENDS
                )
                balance.append((column, 1.0))
                open_when = [(column, 1.0)] + [(j, -BIG_HUB_ENDS * a) for j, a in chosen]
                self.model.programme.at_most(open_when, 0.0, "hub stud")
                if lug is not None:
                    self._take(lug, column, 1.0)
            # in the floor programme lugs left over cost money and gain nothing: so a row that ends
            # may not pay for arrays that are not in it, see `solver.sift`
            high = math.inf if self.floor else 0.0
            self.model.programme.row(0.0, high, balance, "hub lugs")

    def _limit_rows(self) -> None:
        limits = self.needs.limits
        if limits.total_kg is not None:
            self._row_of_at_most("kg", self.kg, limits.total_kg + 1e-9)
        if limits.budget is not None:
            budget = float(limits.budget)
            self._row_of_at_most("budget", self.money, budget + 1e-6)

    def _row_of_at_most(self, name: str, terms: Terms, high: float) -> None:
        self.model.array_rows[name] = len(self.model.programme.rows)
        self.model.programme.at_most(terms, high, name)

    def _kg_of_lugs(self) -> None:
        """Lugs are weighed where they are named; of interchangeable ones the lightest."""
        if not self.pricer.weighs:
            return
        for name, terms in self.uses.items():
            parts = [self.market.parts[p] for p in members(name)]
            if isinstance(parts[0], Lug):
                kg = min(p.kg for p in parts)
                self.kg += [(j, n * kg) for j, n in terms]

    # -- money

    def _floor_prices(self) -> None:
        p = self.model.programme
        for name, terms in self.uses.items():
            own = self.market.owned.get(name)
            if own is None:
                price = self.pricer.floor(name)
                if math.isinf(price):
                    raise AssertionError(f"{name} is not to be had")
                for j, n in terms:
                    p.cost[j] += CENTS * price * n
                    self.money.append((j, price * n))
                continue
            self._floor_owned(name, terms)

    def _floor_owned(self, name: str, terms: Terms) -> None:
        """An owned part is free as far as it goes; beyond that it is bought."""
        p, own = self.model.programme, self.market.owned[name]
        price = self.pricer.market.floor_bought(name, self.pricer.most.get(name, 1000.0))
        use = self.model.column(("owned", name), upper=float(own.quantity), whole=False)
        row = [(use, 1.0)]
        if math.isfinite(price):
            buy = self.model.column(("buy", name), CENTS * price, upper=1e5, whole=False)
            self.money.append((buy, price))
            row.append((buy, 1.0))
        self.model.array_rows[f"owned {name}"] = len(p.rows)
        p.at_least(row + [(j, -n) for j, n in terms], 0.0, f"owned {name}")
        if own.use == "must":
            self._must(name, terms, float(own.quantity))

    def _must(self, name: str, terms: Terms, quantity: float) -> None:
        """All of an owned part stands in the kit, spares apart; of a cable any of it."""
        if isinstance(self.market.parts[name], Cable):
            terms, quantity = [(j, 1.0) for j, _ in terms], 1.0
        if self.elastic:
            column = self.model.column(
                ("missing", f"must {name}"), missing_cents(self.setup), 1e6
            )
            terms = [*terms, (column, 1.0)]
        self.model.array_rows[f"must {name}"] = len(self.model.programme.rows)
        self.model.programme.at_least(terms, quantity, f"must {name}")

    def _musts_nothing_takes(self) -> None:
        """What must be used and no column takes: no kit, or none of what is kept yet."""
        taken = {part for name in self.uses for part in members(name)}
        for name, own in self.market.owned.items():
            small = self.market.parts[name].cls in SMALL_CLASSES
            if own.use == "must" and name not in taken and not small:
                self._must(name, [], float(own.quantity))

    def _purchases(self) -> None:
        supplier_open, free = self._suppliers() if self.freight != "none" else ({}, {})
        goods: defaultdict[str, Terms] = defaultdict(list)
        families = [n for n in self.uses if len(members(n)) > 1]
        for name in families:
            self._split_family(name)
        for name in sorted(self.uses):
            self._buy(name, self.uses[name], supplier_open, goods)
        for name in families:
            packs = [t for part in members(name) for t in self.packs.get(part, [])]
            if not any(part in self.market.owned for part in members(name)):
                self._first_cost(packs, self._exclusions(name), partial(self._least_cost, name))
        self._hub_lugs_cost()
        self._paid_parts()
        self._panels_cost()
        for supplier, freight in self.market.freight.items():
            if supplier in free and freight.free_over is not None:
                over = float(freight.free_over)
                terms = [*goods[supplier], (free[supplier], -over)]
                if self.freight == "bounded":
                    terms.append((self._filler(supplier, over), 1.0))
                self.model.programme.at_least(terms, 0.0, f"free {supplier}")
        self._decided_suppliers(goods)

    def _split_family(self, name: str) -> None:
        """Any of some interchangeable parts: each member takes a share."""
        total = self.uses.pop(name)
        row: Terms = [(j, -n) for j, n in total]
        for part in members(name):
            column = self.model.column(("member", name, part), upper=1000.0)
            row.append((column, 1.0))
            self._take(part, column, 1.0)
        self.model.programme.equal(row, 0.0, f"family {name}")

    def _suppliers(self) -> tuple[dict[str, int], dict[str, int]]:
        """Columns for an open supplier, and for one whose freight is free."""
        opened: dict[str, int] = {}
        free: dict[str, int] = {}
        p = self.model.programme
        for name, f in sorted(self.market.freight.items()):
            shipping = float(f.shipping)
            if name in self.keep.shops or (self.freight == "bounded" and not shipping):
                continue
            opened[name] = self.model.column(("supplier", name), CENTS * shipping)
            self.money.append((opened[name], shipping))
            if shipping > 0 and f.free_over is not None:
                free[name] = self.model.column(("free", name), -CENTS * shipping)
                self.money.append((free[name], -shipping))
                p.at_most([(free[name], 1.0), (opened[name], -1.0)], 0.0, "free if open")
        return opened, free

    def _decided_suppliers(self, goods: Mapping[str, Terms]) -> None:
        """Freight that is paid whatever is bought, or free because enough is.

        What is short of the threshold may be paid for nothing: a kit pays that or buys more of
        what it holds, which costs no less.
        """
        p = self.model.programme
        for name, state in sorted(self.keep.shops.items()):
            freight = self.market.freight[name]
            if state == "pays":
                column = self.model.column(("pays", name), CENTS * float(freight.shipping))
                p.equal([(column, 1.0)], 1.0, f"pays {name}")
                self.money.append((column, float(freight.shipping)))
            elif state == "free":
                over = float(freight.free_over or 0)
                filler = self._filler(name, over)
                p.at_least([*goods[name], (filler, 1.0)], over, f"free {name}")

    def _filler(self, supplier: str, over: float) -> int:
        """What is paid for nothing to reach a threshold."""
        filler = self.model.column(("filler", supplier), CENTS, over, whole=False)
        self.money.append((filler, 1.0))
        return filler

    def _deals_of(self, name: str, most: float) -> list[tuple[int, Deal]]:
        """The deals of a part worth having, from suppliers that are not closed.

        One that is never better than another is left out: another of its own supplier, or, where
        its supplier has no threshold to reach, one from a supplier that is open anyway.
        """
        usable = [
            (d, deal)
            for d, deal in enumerate(self.market.deals.get(name, ()))
            if self.keep.shops.get(deal.supplier) != "closed"
        ]
        if self.freight == "exact":
            return usable
        kept: set[int] = set()
        for supplier in {deal.supplier for _, deal in usable}:
            rivals = [
                (d, deal)
                for d, deal in usable
                if deal.supplier == supplier
                or (self._open(deal.supplier) and not self._counts(supplier))
            ]
            best = self.pricer.best_deals([deal for _, deal in rivals], most)
            kept |= {rivals[k][0] for k in best if rivals[k][1].supplier == supplier}
        return [(d, deal) for d, deal in usable if d in kept]

    def _open(self, supplier: str) -> bool:
        """Whether buying there costs no freight that is not paid anyway."""
        if self.freight == "none" or supplier in self.keep.shops:
            return True
        return not self.market.freight[supplier].shipping

    def _counts(self, supplier: str) -> bool:
        """Whether what is bought there may count towards free freight."""
        freight = self.market.freight[supplier]
        if supplier in self.keep.shops:
            return self.keep.shops[supplier] == "free"
        return (
            self.freight != "none" and bool(freight.shipping) and freight.free_over is not None
        )

    def _buy(
        self, name: str, terms: Terms, opened: dict[str, int], goods: defaultdict[str, Terms]
    ) -> None:
        p = self.model.programme
        most = self._most(name, terms)
        if most <= 0:
            return
        need: Terms = list(terms)
        spare = self._spares(name, terms, most)
        need += spare
        most_bought = most + (1 + most * self.needs.order.spares_pct / 100 if spare else 0)
        if name in self.cuts.lengths:
            lengths = self._cut_from_lengths(name, most, opened, goods)
            self._only_used(name, lengths, terms, most)
            return
        have: Terms = []
        own = self.market.owned.get(name)
        if own is not None and name in self.pieces:
            have += self._from_owned_cable(name, float(own.quantity), own.use == "must")
        elif own is not None:
            use = self.model.column(("owned", name), upper=float(own.quantity), whole=False)
            have.append((use, 1.0))
            if own.use == "must":
                self._must(name, terms, float(own.quantity))
        packs: Terms = []
        for d, deal in self._deals_of(name, most_bought):
            packs += self._deal(name, d, deal, most_bought, opened, goods)
        have += packs
        p.at_least(have + [(j, -n) for j, n in need], 0.0, f"need {name}")
        self.packs[name] = packs
        if own is None:
            self._first_cost(packs, self._exclusions(name), partial(self._least_cost, name))
        self._only_used(name, packs, terms, most_bought)

    def _cut_from_lengths(
        self, name: str, most: float, opened: dict[str, int], goods: defaultdict[str, Terms]
    ) -> Terms:
        """Every piece comes from one length: the owned one, a deal's metres, or one spool.

        Pieces of one length are the same whichever circuits they are for, so they are dealt out
        by length: their number, not that of the options, counts the columns.
        """
        p = self.model.programme
        longest = max(mm for _, pieces in self.pieces[name] for mm in pieces) / 1000
        own = self.market.owned.get(name)
        lengths: list[tuple[tuple[object, ...], Terms, float]] = []
        if own is not None:
            lengths.append((("owned piece", name), [], float(own.quantity)))
        bought: Terms = []
        for d, deal in enumerate(self.market.deals.get(name, ())):
            if self.keep.shops.get(deal.supplier) == "closed":
                continue
            # of a spool less than half, or less than the longest piece, can stay over
            packs = self._deal(name, d, deal, 2 * most + longest, opened, goods)
            bought += packs
            if deal.length_m is None:
                lengths.append((("piece", name, d), packs, 0.0))
            else:
                lengths += self._spools(name, d, deal, packs, 2 * most + longest)
        taken: list[Terms] = [[] for _ in lengths]
        asked: defaultdict[int, Terms] = defaultdict(list)
        for column, pieces in self.pieces[name]:
            for mm, n in pieces.items():
                asked[mm].append((column, float(n)))
        for mm, terms in sorted(asked.items()):
            shares: Terms = [(j, -n) for j, n in terms]
            most_pieces = min(
                sum(n * p.upper[j] for j, n in terms), math.floor(1000 * most / mm + 1e-6)
            )
            for row, (key, _, _) in zip(taken, lengths, strict=True):
                share = self.model.column((*key, mm), upper=most_pieces)
                shares.append((share, 1.0))
                row.append((share, mm / 1000))
            p.equal(shares, 0.0, f"pieces {name}")
        for row, (_, metres, fixed) in zip(taken, lengths, strict=True):
            p.at_most(row + [(j, -n) for j, n in metres], fixed + 1e-9, f"length {name}")
        if own is not None and own.use == "must":
            p.at_least([(j, 1.0) for j, _ in taken[0]], 1.0, f"must {name}")
        return bought

    def _spools(
        self, name: str, number: int, deal: Deal, packs: Terms, most: float
    ) -> list[tuple[tuple[object, ...], Terms, float]]:
        """Each spool of a deal by itself, opened one after another."""
        p = self.model.programme
        metres = float(deal.length_m or 0.0)
        spools = [
            self.model.column(("spool", name, number, k))
            for k in range(math.ceil(most / metres))
        ]
        for a, b in itertools.pairwise(spools):
            p.at_most([(b, 1.0), (a, -1.0)], 0.0, "next spool")
        each = float(deal.pack)
        of_packs = [(j, -each) for j, _ in packs]
        p.at_most([*((j, 1.0) for j in spools), *of_packs], 0.0, "spools bought")
        return [(("piece", name, number, k), [(j, metres)], 0.0) for k, j in enumerate(spools)]

    def _from_owned_cable(self, name: str, metres: float, must: bool) -> Terms:
        """Whole pieces cut from an owned length: it is one piece and cannot be pieced together."""
        p = self.model.programme
        cut: Terms = []
        for column, lengths in self.pieces[name]:
            for mm, n in sorted(lengths.items()):
                most = n * p.upper[column]
                piece = self.model.column(("owned piece", name, mm, column), upper=most)
                p.at_most([(piece, 1.0), (column, -float(n))], 0.0, "owned piece")
                cut.append((piece, mm / 1000))
        p.at_most(cut, metres + 1e-9, f"owned length {name}")
        if must:
            p.at_least([(j, 1.0) for j, _ in cut], 1.0, f"must {name}")
        return cut

    def _most(self, name: str, terms: Terms) -> float:
        """The largest need of a part that the kept columns could make.

        Every array lands on a stud of the bus bars and has one circuit on either side of its
        controller, so of each side no more are chosen than there are studs or arrays.
        """
        by_exclusion: dict[str, float] = {}
        of_arrays: dict[object, list[tuple[float, float]]] = {"pv": [], "controller": []}
        total = 0.0
        excluded = {
            j: e for e, (n, cols) in self.several[name].items() if n == 1 for j, _ in cols
        }
        upper = self.model.programme.upper
        for j, n in terms:
            amount = n * upper[j]
            if j in excluded:
                by_exclusion[excluded[j]] = max(by_exclusion.get(excluded[j], 0.0), amount)
            elif (kind := self.model.keys[j][0]) in of_arrays:
                of_arrays[kind].append((amount, n))
            else:
                total += amount
        for found in of_arrays.values():
            largest = max((n for _, n in found), default=0.0)
            total += min(sum(amount for amount, _ in found), self._most_arrays() * largest)
        return min(total + sum(by_exclusion.values()), self.pricer.most.get(name, 1e5))

    def _spares(self, name: str, terms: Terms, most: float) -> Terms:
        pct = self.needs.order.spares_pct
        kind = self.market.parts[name].cls
        p = self.model.programme
        if pct <= 0 or kind not in (*TERMINATIONS, "fuse"):
            return []
        if kind == "fuse":
            column = self.model.column(("spare", name), upper=1.0)
            for exclusion in self._exclusions(name):
                p.at_least(
                    [(column, 1.0)] + [(j, -1.0) for j, _ in exclusion], 0.0, "spare fuse"
                )
            alike: defaultdict[tuple[object, ...], Terms] = defaultdict(list)
            for j, _ in self._unexcluded(name, terms):
                alike[self.model.keys[j][:-1]].append((j, -1.0))
            for key, rest in alike.items():
                # of a group no more are chosen together than one of them may be
                most = max(p.upper[j] for j, _ in rest)
                if key == ("array",):
                    # but of arrays as many as there are studs for their controllers
                    most = float(max(b.studs for b in self.found.busbars))
                p.at_least([(column, most), *rest], 0.0, "spare fuse")
            return [(column, 1.0)]
        upper = math.ceil(most * pct / 100) + 1.0
        column = self.model.column(("spare", name), upper=upper)
        share = [(j, -n * pct / 100) for j, n in terms]
        p.at_least([(column, 1.0), *share], -1e-7, "spares")
        for exclusion in self._exclusions(name):
            p.at_least([(column, 1.0)] + [(j, -1.0) for j, _ in exclusion], 0.0, "one spare")
        return [(column, 1.0)]

    def _exclusions(self, name: str) -> list[Terms]:
        return exclusive(self.several[name])

    def _unexcluded(self, name: str, terms: Terms) -> Terms:
        inside = {j for cols in self._exclusions(name) for j, _ in cols}
        return [(j, n) for j, n in terms if j not in inside]

    def _deal(
        self,
        name: str,
        number: int,
        deal: Deal,
        most: float,
        opened: dict[str, int],
        goods: defaultdict[str, Terms],
    ) -> Terms:
        """Columns for the packs of a deal, one a price level; at most one level is taken."""
        p = self.model.programme
        enough = math.ceil(most / float(deal.units) - 1e-9)
        saved = self._freight_saved(deal.supplier)
        levels = level_packs(deal, enough, saved)
        found: Terms = []
        switches: Terms = []
        for start, top, price in levels:
            column = self.model.column(
                ("packs", name, number, start), CENTS * float(price), top
            )
            self.money.append((column, float(price)))
            goods[deal.supplier].append((column, float(price)))
            found.append((column, float(deal.units)))
            gate = opened.get(deal.supplier)
            if len(levels) > 1 or start > 1:
                level_gate = self.model.column(("level", name, number, start))
                switches.append((level_gate, 1.0))
                if gate is not None:
                    p.at_most([(level_gate, 1.0), (gate, -1.0)], 0.0, "open")
                gate = level_gate
                if start > 1:
                    p.at_least([(column, 1.0), (gate, -float(start))], 0.0, "from")
            if gate is not None:
                p.at_most([(column, 1.0), (gate, -float(top))], 0.0, "if open")
        if switches:
            p.at_most(switches, 1.0, "one level")
        return found

    def _freight_saved(self, supplier: str) -> Decimal:
        """What more than needed may cost, because freight is then free."""
        freight = self.market.freight[supplier]
        if self.freight != "exact" or freight.free_over is None:
            return Decimal(0)
        return freight.shipping

    def _first_cost(
        self, packs: Terms, exclusions: list[Terms], cost: Callable[[float], float]
    ) -> None:
        """Of columns that exclude each other, the chosen one's need is paid as it is sold.

        Whatever else is bought, no purchase of a quantity costs less than the cheapest one of
        that quantity by itself, `cost`. For whole columns this follows from the need and the
        prices; it holds up the bound where a fraction of a pack would pay for a fraction of an
        option.
        """
        exclusions = sorted(exclusions, key=lambda e: -max(n for _, n in e))
        rows = [[e] for e in exclusions]
        if len(exclusions) > 1:
            rows.append(exclusions)
        p = self.model.programme
        paid = [(j, p.cost[j]) for j, _ in packs]
        for row in rows:
            terms = lifted(row, cost)
            if terms:
                p.at_least(paid + terms, -LOOSE_CENTS, "first cost")

    def _hub_lugs_cost(self) -> None:
        """The same of lugs at a hub terminal: of one stud, whichever is chosen there."""
        shelf = self.pricer.shelf
        for (terminal, area), sets in sorted(self.hub_several.items()):
            studs = {s for t, s in self.hub_studs if t == terminal and s}
            lugs = [x for x in (shelf.lug(area, s) for s in sorted(studs)) if x]
            parts = {p for x in lugs for p in members(x)}
            bare = (terminal, "") in self.hub_studs
            if not lugs or bare or parts & set(self.market.owned):
                continue
            packs = [t for p in sorted(parts) for t in self.packs.get(p, [])]
            cost = partial(self._least_of, lugs)
            self._first_cost(packs, exclusive(sets), cost)

    def _panels_cost(self) -> None:
        """Panels cost at least what each array's share of them does, see `panel_cost`."""
        if self.keep.one_array:
            return
        a, cost = self.found.arrays, panel_cost(self.setup, self.keep.closed)
        shares: defaultdict[str, Terms] = defaultdict(list)
        for j, key in enumerate(self.model.keys):
            if key[0] == "array":
                i = int(str(key[1]))
                shares[a.panels[a.panel[i]].part].append((j, -CENTS * float(cost[i])))
        for name, terms in shares.items():
            if name in self.packs and name not in self.market.owned:
                paid = [(j, self.model.programme.cost[j]) for j, _ in self.packs[name]]
                self.model.programme.at_least(paid + terms, -LOOSE_CENTS, "panels cost")

    def _paid_parts(self) -> None:
        """Note what is paid for each part or family and what needs it, see `Paid`."""
        lugs = self._hub_lug_needs()
        cost = self.model.programme.cost
        for name in sorted({*self.several, *lugs}):
            parts = members(name)
            packs = [(j, cost[j]) for p in parts for j, _ in self.packs.get(p, [])]
            if not packs or set(parts) & {*self.market.owned, *self.cuts.lengths}:
                continue
            sets = {k: Chosen(n, dict(terms)) for k, (n, terms) in self.several[name].items()}
            studs = []
            for stud, most in lugs.get(name, []):
                studs.append(stud)
                for label, n in most.items():
                    sets.setdefault(label, Chosen(n, {}))
            least = partial(self._least_cost, name)
            self.model.paid.append(Paid(name, tuple(packs), sets, tuple(studs), least))

    def _hub_lug_needs(self) -> dict[str, list[tuple[Stud, dict[str, int]]]]:
        """Of each lug, the hub terminals where it is needed if the part there has its stud."""
        found: defaultdict[str, list[tuple[Stud, dict[str, int]]]] = defaultdict(list)
        for (terminal, area), sets in sorted(self.hub_several.items()):
            for (t, stud), chosen in sorted(self.hub_studs.items()):
                lug = self.pricer.shelf.lug(area, stud) if stud and t == terminal else None
                if lug is not None:
                    needs = {label: dict(terms) for label, (_, terms) in sets.items()}
                    most = {label: n for label, (n, _) in sets.items()}
                    found[lug].append((Stud(tuple(j for j, _ in chosen), needs), most))
        return found

    def _least_of(self, names: Sequence[str], quantity: float) -> float:
        return min(self._least_cost(name, quantity) for name in names)

    def _least_cost(self, name: str, quantity: float) -> float:
        """What so many of a part or family cost at the least, spares included, in hundredths."""
        known = self.least_known[name]
        if quantity not in known:
            pricer = self.pricer.without(self.keep.closed)
            spare = pricer.spare(members(name)[0], quantity)
            known[quantity] = CENTS * pricer.least(name, quantity + spare)
        return known[quantity]

    def _only_used(self, name: str, packs: Terms, terms: Terms, most: float) -> None:
        """Nothing is bought of a part the kit does not use, whatever freight it would save."""
        thresholds = any(
            f.free_over is not None and f.shipping > 0 for f in self.market.freight.values()
        )
        if not packs or not thresholds or self.freight != "exact":
            return
        p = self.model.programme
        uses = self.model.column(("used", name))
        p.at_least([(j, n) for j, n in terms] + [(uses, -_least(terms))], 0.0, "used")
        for j, _ in packs:
            p.at_most([(j, 1.0), (uses, -p.upper[j])], 0.0, "only used")


def _room_of_fittings(needs: Needs, group: Group) -> list[tuple[str, NDArray[np.float64]]]:
    """What the isolators and inlets of an array's options take of their places, and weigh."""
    rows: dict[str, NDArray[np.float64]] = {}
    inlet_place = next((o.inlet_place for o in group.options), "")
    for place, some in (
        (group.where[-1], [o.isolator for o in group.options]),
        (inlet_place, [o.inlet for o in group.options]),
    ):
        if not any(some):
            continue
        face = np.array([0.0 if x is None else x.taken_mm2 for x in some])
        kg = np.array([0.0 if x is None else x.kg for x in some])
        found = {f"area {place}": face, f"kg {place}": kg}
        found |= {row: kg * lever_m(needs, place, row) for row in limits_kgm(needs)}
        # both may stand in one place
        for row, amounts in found.items():
            rows[row] = rows[row] + amounts if row in rows else amounts
    return list(rows.items())


def exclusive(sets: Mapping[str, tuple[int, Terms]]) -> list[Terms]:
    """The sets of columns of which one at most is chosen."""
    return [terms for most, terms in sets.values() if most == 1]


def lifted(exclusions: list[Terms], cost: Callable[[float], float]) -> Terms:
    """What each column surely adds to a cost, those of other sets before it.

    Set by set: a column adds at the least the difference that its need makes, over every need
    that the sets before could make. So whichever columns are chosen, one of a set at most, their
    sum is no more than the cost of what they need together.
    """
    found: Terms = []
    known: dict[float, float] = {0.0: 0.0}
    for exclusion in exclusions:
        if len(known) > MOST_NEEDS:
            break
        adds: dict[float, float] = {}
        for n in sorted({n for _, n in exclusion}):
            more = min(cost(q + n) - c for q, c in known.items())
            if not math.isfinite(more):
                return []
            adds[n] = more
        found += [(j, -adds[n]) for j, n in exclusion]
        before = dict(known)
        for n, more in adds.items():
            for q, c in before.items():
                total = round(q + n, 6)
                known[total] = max(known.get(total, 0.0), c + more)
    return found


def piece_lengths(needs: Needs, option: Option, cable: str, times: int) -> Counter[int]:
    """How many pieces of each length, in mm, an option cuts from a cable."""
    found: Counter[int] = Counter()
    for piece in option.pieces:
        part = option.minus if piece.pole == "-" else option.plus
        if part.part == cable:
            found[cut_mm(needs, piece.metres)] += times
    return found


def group_number(wiring: Wiring, group: Group) -> int:
    """The number of a distribution group among all of a setting."""
    return next(k for k, g in enumerate(dc_groups(wiring)) if g is group)


def _most_carried(circuits: Sequence[DcCircuit], cap_a: float) -> int:
    """How many circuits a feed that carries so much can feed at the most."""
    drawn = sorted(x.together_a for x in circuits if x.alone_a <= cap_a + 1e-9)
    return sum(total <= cap_a + 1e-6 for total in itertools.accumulate(drawn))


def dc_groups(wiring: Wiring) -> list[Group]:
    """Every group of circuits of DC loads and of feeds once, in order."""
    circuits = [g for x in wiring.circuits for g in (x.direct, *x.inside) if g is not None]
    return [*circuits, *wiring.feeds]


def fixed_groups(setup: Setup, keep: Keep) -> list[tuple[tuple[object, ...], Group]]:
    """Groups of what is kept whose circuits carry a current that no other choice changes."""
    w = setup.wiring
    inverters = {w.inverter_group[i] for i in keep.inverters}
    ac = {g for i in keep.inverters for g in w.inverter_groups_ac[i]}
    chargers = {g for k in keep.chargers for g in w.charger_groups[k]}
    numbered: list[tuple[str, Sequence[Group], set[int]]] = [
        ("pv", w.pv, set(w.pv_group[keep.arrays].tolist())),
        ("controller", w.controllers, set(w.controller_group[keep.arrays].tolist())),
        ("inverter run", w.inverters, inverters),
        ("ac", w.ac, ac),
        ("charger run", w.chargers, chargers),
    ]
    fixed: list[tuple[tuple[object, ...], Group]] = [
        ((kind, g), groups[g]) for kind, groups, used in numbered for g in sorted(used)
    ]
    fixed += [(("bond", b), bond.group) for b, bond in enumerate(w.bonds)]
    loads = enumerate(dc_groups(w))
    return fixed + [(("dc", g), group) for g, group in loads if group.where[0] == "load"]


GROUP_ROWS = ("pv", "controller", "string", "inverter", "charger", "ac", "mode", "bond")
"""First words of rows that tie a group's options to what needs them."""


def _least(terms: Terms) -> float:
    return min(n for _, n in terms if n > 0)
