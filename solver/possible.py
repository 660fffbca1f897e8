"""Whether there could be a kit if the needs were others: quick answers, made for asking often.

Making candidates and their wiring takes longest, so it is done once for each setting, with every
limit on room, mass and money set aside. A question holds the needs as they would be: it takes
the candidates that keep to them, puts their figures into the rows and solves the relaxed floor
programme without costs. That there is no answer proves that no kit exists for the question; an
answer does not prove that one does.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from solver import model as m
from solver import selection as sel
from solver.candidates import Candidates, Setting, fits_alone, settings
from solver.market import Market, market
from solver.milp import solve_relaxed
from solver.needs import Limits, Needs, Place
from solver.parts import Battery
from solver.parts.device import Device
from solver.rules import energy as rule_e
from solver.rules.space import usable_area_mm2
from solver.stock import Stock
from solver.wiring import LEAD_M, Piece, Shelf, cut_mm, near_enough, shelf

WIDER = 4.0
"""Candidates are made for places so many times as long and as wide as stated."""

MOST_SOLVED = 200
"""So many relaxed programmes are solved in one explanation, and no more."""

ANY = 1e-6
"""Less of a column than this is none."""

START_WITH = 150
PRICE_IN = 150

SHORT_WH = 1e-3
"""Less than this is not missing."""

TALL_MM = 1e5

MOST_KEPT = 12
"""So many settings are kept for other needs: of large catalogs each takes tens of megabytes."""

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Question:
    """The needs as they would be."""

    needs: Needs
    load_pct: float = 100.0
    """Share of the loads' energy that is still wanted."""
    free: frozenset[str] = frozenset()
    """Rows that may be missed, by name or by its first word: `sun`, `energy`, `must …`."""
    resized: frozenset[str] = frozenset()
    """Places of another size: what placing has taught of them no longer holds."""


def resized(q: Question, place: Place) -> Question:
    """A place has another size."""
    places = tuple(place if p.name == place.name else p for p in q.needs.places)
    needs = replace(q.needs, places=places)
    return replace(q, needs=needs, resized=q.resized | {place.name})


def scaled(place: Place, times: float) -> Place:
    """A place so many times as long and wide, its obstacles where they are."""
    return replace(place, length_mm=place.length_mm * times, width_mm=place.width_mm * times)


def without_limits(needs: Needs) -> Needs:
    """The needs without a limit on room, mass or money, and without a reserve to keep.

    Limits of moments stay: with them more candidates stand than without.
    """
    places = tuple(_without_limits(p) if p.holds != () else p for p in needs.places)
    energy = replace(needs.energy, autonomy_days=0.0)
    limits = Limits(fore_aft_kgm=needs.limits.fore_aft_kgm, side_kgm=needs.limits.side_kgm)
    return replace(needs, places=places, limits=limits, energy=energy)


def _without_limits(place: Place) -> Place:
    height = None if place.height_mm is None else TALL_MM
    return replace(scaled(place, WIDER), height_mm=height, max_kg=None, obstacles=())


def alike(needs: Needs) -> Needs:
    """What needs share with all others whose candidates and wiring are the same without limits.

    Which voltages and chemistries are allowed decides only which settings there are; what a job
    is called, and what is to be told of its needs, decides nothing.
    """
    loose = without_limits(needs)
    rules = replace(loose.rules, voltages=(), chemistries=())
    return replace(loose, job=replace(loose.job, name=""), rules=rules, notes=())


@dataclass
class Unlimited:
    """Settings of one catalog with everything that could stand in a kit without limits.

    Making one takes seconds, and needs that differ in their limits, their reserve or in what
    voltages and chemistries they allow have it in common. Each is made from what they share and
    from nothing else, so whose needs asked for it first changes nothing in it.
    """

    stock: Stock
    setups: dict[tuple[Needs, Setting], m.Setup] = field(default_factory=dict)
    """The one that was asked for last stands last."""
    shops: dict[Needs, tuple[Market, Shelf]] = field(default_factory=dict)

    def setup(self, needs: Needs, setting: Setting) -> m.Setup:
        """Candidates, wiring and prices of a setting, without limits."""
        shared = alike(needs)
        setup = self.setups.pop((shared, setting), None)
        if setup is None:
            mkt, shelf_ = self._shop(shared)
            setup = sel.setup_for(shared, mkt, shelf_, setting, pooled=True)
        self.setups[shared, setting] = setup
        if len(self.setups) > MOST_KEPT:
            del self.setups[next(iter(self.setups))]
        return setup

    def _shop(self, shared: Needs) -> tuple[Market, Shelf]:
        if shared not in self.shops:
            mkt = market(shared, self.stock)
            self.shops[shared] = (mkt, shelf(shared, mkt))
        return self.shops[shared]


@dataclass
class Yard:
    """The settings of a job, each with everything that could stand in a kit without limits.

    A setting's candidates are made when it is first asked about.
    """

    needs: Needs
    market: Market
    unlimited: Unlimited
    panel_cuts: tuple[m.PanelCut, ...]
    order: list[Setting] = field(default_factory=list)
    """The settings: the one that had an answer last is asked first."""
    solved: int = 0
    known: dict[Question, bool] = field(default_factory=dict)
    stands: dict[Question, dict[str, tuple[str, ...]]] = field(default_factory=dict)
    """By question that had an answer and by place, what that has there, most room first."""
    setups: dict[Setting, m.Setup] = field(default_factory=dict)
    useful: dict[Setting, set[int]] = field(default_factory=dict)
    """Arrays that earlier answers were made of, or asked for."""

    def __post_init__(self) -> None:
        self.order = settings(self.needs, self.market)

    @property
    def spent(self) -> bool:
        """Whether so much has been asked that a `False` may mean nothing."""
        return self.solved >= MOST_SOLVED

    def setup(self, setting: Setting) -> m.Setup:
        """Candidates, wiring and prices of a setting, without limits."""
        if setting not in self.setups:
            self.setups[setting] = self.unlimited.setup(self.needs, setting)
        return self.setups[setting]

    def possible(self, q: Question) -> bool:
        """Whether the relaxed programme of some setting has an answer."""
        if q not in self.known:
            answer = self._asked(q)
            if self.spent and not answer:
                return False
            self.known[q] = answer
        return self.known[q]

    def _asked(self, q: Question) -> bool:
        for setting in list(self.order):
            if self.spent:
                return False
            if self._possible_in(setting, q):
                self.order.remove(setting)
                self.order.insert(0, setting)
                return True
        return False

    def _possible_in(self, setting: Setting, q: Question) -> bool:
        setup = _as_asked(self.setup(setting), q)
        keep = _kept(setup)
        if keep is None:
            return False
        cuts = m.Cuts(tuple(c for c in self.panel_cuts if c.place not in q.resized))
        held = self.useful.setdefault(setting, set())
        return self._has_answer(setup, keep, cuts, q, held)

    def _has_answer(
        self, setup: m.Setup, keep: m.Keep, cuts: m.Cuts, q: Question, held: set[int]
    ) -> bool:
        """Solve with the arrays held, price in those that make up for what is missing."""
        usable = keep.arrays
        matrix = sel.priced_rows(setup, cuts)
        nothing = np.zeros(len(setup.found.arrays))
        if not held:
            held |= set(_seed(setup, usable).tolist())
        while self.solved < MOST_SOLVED:
            keep.arrays = usable[np.isin(usable, np.fromiter(held, dtype=np.int64))]
            model = m.build(setup, keep, cuts, floor=True, elastic=True)
            _only_what_is_missing_costs(model, q)
            answer = solve_relaxed(model.programme)
            self.solved += 1
            if not math.isfinite(answer.objective):
                return False
            if answer.objective <= SHORT_WH:
                self.stands[q] = _standing(model, setup, answer.values)
                return True
            reduced = sel.price(nothing, matrix, model, answer.row_duals)
            entering = usable[(reduced[usable] < -1e-7) & ~np.isin(usable, keep.arrays)]
            if not len(entering):
                return False
            best = np.argsort(reduced[entering], kind="stable")[:PRICE_IN]
            held |= set(entering[best].tolist())
        return False


def _standing(
    model: m.Model, setup: m.Setup, values: NDArray[np.float64]
) -> dict[str, tuple[str, ...]]:
    """By place the panels, batteries, inverters and chargers of an answer, most room first."""
    found, room = setup.found, dict[tuple[str, str], float]()
    a = found.arrays

    def add(place: str, device: Device, count: float) -> None:
        key = (place, device.part)
        room[key] = room.get(key, 0.0) + count * device.taken_mm2

    for key, value in zip(model.keys, values, strict=True):
        if value < ANY:
            continue
        k = int(str(key[1])) if key[0] in ("array", "bank", "inverter", "charger") else -1
        if key[0] == "array":
            count = float(a.series[k] * a.parallel[k] * value)
            add(a.panel_place[k], a.panels[a.panel[k]], count)
        elif key[0] == "bank":
            b = found.banks[k]
            add(b.place, b.battery, b.series * b.parallel * value)
        elif key[0] == "inverter":
            add(found.inverters[k].place, found.inverters[k].inverter, value)
        elif key[0] == "charger":
            add(found.chargers[k].place, found.chargers[k].charger, value)
    order = sorted(room, key=lambda key: (-room[key], key))
    return {place: tuple(p for w, p in order if w == place) for place, _ in order}


def _only_what_is_missing_costs(model: m.Model, q: Question) -> None:
    """Ask for an answer that misses least, whatever it costs."""
    model.programme.cost[:] = [
        1.0 if key[0] == "missing" and not _is_free(str(key[1]), q) else 0.0
        for key in model.keys
    ]


def _is_free(row: str, q: Question) -> bool:
    return row in q.free or row.split(maxsplit=1)[0] in q.free


def _seed(setup: m.Setup, usable: NDArray[np.int64]) -> NDArray[np.int64]:
    """Arrays to start with: most energy for the money, for the area, and of all."""
    a = setup.found.arrays
    yields = a.yields_wh[usable].min(axis=1, initial=math.inf)
    face = np.array([p.taken_mm2 for p in a.panels] or [1.0])
    area = (a.series * a.parallel * face[a.panel])[usable]
    cost = m.array_floor(setup)[usable]
    ranks = (cost / np.maximum(yields, 1e-9), area / np.maximum(yields, 1e-9), -yields)
    best = [np.argsort(r, kind="stable")[: START_WITH // len(ranks)] for r in ranks]
    return np.asarray(usable[np.unique(np.concatenate(best))])


def _as_asked(setup: m.Setup, q: Question) -> m.Setup:
    """The setup with the needs, the months and the share of the loads of a question."""
    found = setup.found
    at = [found.months.index(x) for x in q.needs.site.months]
    wanted = q.load_pct / 100
    ac_wh = [rule_e.load_wh(setup.needs.loads, x)[1] for x in q.needs.site.months]
    inverters = tuple(
        replace(
            i,
            needs_wh=tuple(
                i.needs_wh[j] - (1 - wanted) * ac / (i.inverter.efficiency_pct / 100)
                for j, ac in zip(at, ac_wh, strict=True)
            ),
            other_wh=tuple(i.other_wh[j] for j in at),
        )
        for i in found.inverters
    )
    now = replace(
        found,
        months=q.needs.site.months,
        dc_wh=tuple(found.dc_wh[j] * wanted for j in at),
        arrays=replace(found.arrays, yields_wh=found.arrays.yields_wh[:, at]),
        inverters=inverters,
        chargers=tuple(
            replace(k, other_wh=tuple(k.other_wh[j] for j in at)) for k in found.chargers
        ),
    )
    return replace(setup, needs=q.needs, found=now)


def batteries(needs: Needs, market_: Market) -> bool:
    """Whether any battery of a chemistry that is allowed can be had."""
    return any(
        isinstance(p, Battery)
        and p.chemistry in needs.rules.chemistries
        and market_.to_be_had(p.part)
        for p in market_.parts.values()
    )


def shortest_lead(needs: Needs) -> tuple[float, bool]:
    """The shortest piece from a bus bar to a fuse, in metres, and whether it is short enough."""
    piece = Piece("+", min(LEAD_M, needs.rules.in_place_m / 2), (), before="bar")
    return cut_mm(needs, piece.metres) / 1000, near_enough(needs, piece)


def lacking(setup: m.Setup) -> list[str]:
    """What a setting has none of, whatever room, mass and money there is."""
    found, w = setup.found, setup.wiring
    has_dc = any(x.supply == "dc" for x in setup.needs.loads)
    wired = [i for i, g in enumerate(w.inverter_group) if g >= 0]
    wired = [i for i in wired if -1 not in w.inverter_groups_ac[i]]
    lacks = {
        "battery": not found.banks,
        "inverter": found.ac_needed and not found.inverters,
        "busbar": not found.busbars,
        "switch": not found.switches,
        "monitor": not found.monitors,
        "bank wiring": bool(found.banks) and (max(w.bank_group) < 0 or not w.link.options),
        "inverter wiring": found.ac_needed and bool(found.inverters) and not wired,
        "earthing": any(x.of == "link" and not x.group.options for x in w.bonds),
        "lead": not shortest_lead(setup.needs)[1],
        "load wiring": has_dc and not w.modes and shortest_lead(setup.needs)[1],
        "array": not w.array_ok.any(),
    }
    return [name for name, lacks_it in lacks.items() if lacks_it]


# --- candidates that keep to the limits by themselves ------------------------------------------


def _kept(setup: m.Setup) -> m.Keep | None:
    """The candidates that by themselves keep to the needs; None where a kind has none."""
    keep = sel.everything(setup)
    if keep is None:
        return None
    found, needs = setup.found, setup.needs
    hub, site = needs.place(found.setting.hub), needs.site
    keep.arrays = keep.arrays[_arrays_kept(found, needs)[keep.arrays]]
    keep.banks = [b for b in keep.banks if _bank_fits(found, needs, b)]
    keep.inverters = [
        i
        for i in keep.inverters
        if fits_alone(found.inverters[i].inverter, needs.place(found.inverters[i].place), site)
    ]
    keep.chargers = [
        k
        for k in keep.chargers
        if fits_alone(found.chargers[k].charger, needs.place(found.chargers[k].place), site)
    ]
    keep.busbars = [k for k in keep.busbars if fits_alone(found.busbars[k], hub, site, 2)]
    keep.switches = [k for k in keep.switches if fits_alone(found.switches[k], hub, site)]
    keep.monitors = [k for k in keep.monitors if fits_alone(found.monitors[k], hub, site)]
    whole = keep.banks and keep.busbars and keep.switches and keep.monitors
    return keep if whole and (keep.inverters or not found.ac_needed) else None


def _bank_fits(found: Candidates, needs: Needs, number: int) -> bool:
    bank = found.banks[number]
    count = bank.series * bank.parallel
    return fits_alone(bank.battery, needs.place(bank.place), needs.site, count)


def _arrays_kept(found: Candidates, needs: Needs) -> Bools:
    """Which arrays have panels and a controller that fit by themselves, their number too."""
    a = found.arrays
    ok = np.ones(len(a), dtype=bool)
    count = a.series * a.parallel
    sides: tuple[tuple[Sequence[str], Sequence[Device], NDArray[np.int64], object], ...] = (
        (a.panel_place, a.panels, a.panel, count),
        (a.controller_place, a.controllers, a.controller, np.ones_like(count)),
    )
    for names, devices, at, numbers in sides:
        where = np.array(names)
        for name in sorted(set(names)):
            place = needs.place(name)
            fits = np.array([fits_alone(d, place, needs.site) for d in devices], dtype=bool)
            most = np.array([_most(d, place) for d in devices])
            ok &= (where != name) | (fits[at] & (numbers <= most[at]))
    return ok


def _most(device: Device, place: Place) -> float:
    """How many a place has area for and carries."""
    by_area = (usable_area_mm2(place) + 1e-6) / device.taken_mm2
    return by_area if place.max_kg is None else min(by_area, (place.max_kg + 1e-9) / device.kg)
