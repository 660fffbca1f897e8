"""Why there is no kit: which needs collide, and how far each would have to move.

Each need is set aside by itself and the relaxed programmes of `solver.possible` are asked again.
A need without which they have an answer is part of the collision; where none by itself helps,
the fewest that help together are looked for. A number is then moved only as far as the answer
asks for. The relaxed programmes know no placing and no whole parts: less than the number is
surely not enough, more may be needed. For the budget a kit is looked for, so that what is enough
can be said.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal
from functools import partial

from solver.apart import between, conduits
from solver.climate import bears_climate, coldest_c, hottest_c
from solver.combiner_reasons import combiner_reasons
from solver.ground_reasons import ground_reasons
from solver.holes import holes
from solver.market import market
from solver.model import PanelCut
from solver.needs import CHEMISTRIES, VOLTAGES, DropLimits, Needs, Place
from solver.parts.device import Device
from solver.passing import bores_mm, hole_of
from solver.possible import (
    TALL_MM,
    WIDER,
    Question,
    Unlimited,
    Yard,
    batteries,
    lacking,
    resized,
    scaled,
    shortest_lead,
)
from solver.records import Design, Reason
from solver.room import lacking_floor, lacking_height, lacking_length
from solver.rules.energy import load_wh, surge_w, together_w
from solver.rules.protection import unprotected_limit_m
from solver.rules.space import inside_mm, usable_area_mm2
from solver.stock import Stock
from solver.weights import weights_of
from solver.wiring import shelf

Change = Callable[[Question], Question]


@dataclass(frozen=True)
class Measure:
    """A need as a number that can be moved."""

    way: tuple[float, float]
    """From the value stated to one that is as good as none."""
    put: Callable[[Question, float], Question]
    text: Callable[[float], str]
    """The change, from a value that is surely not enough, or of whole numbers the first that
    could be."""
    whole: bool = False
    """Only whole numbers make sense."""


@dataclass(frozen=True)
class Aside:
    """A need that can be set aside."""

    keys: tuple[str, ...]
    what: str
    change: str
    apply: Change
    measure: Measure | None = None
    place: str = ""
    """Of its room or its height."""


BUDGET = ("limits.budget",)

MOMENTS = {"fore_aft_kgm": (0, "fore and aft"), "side_kgm": (1, "left and right")}
"""Limits of moments with the axis of each."""

WIDEST_MM = 500.0
"""As good as any hole."""

STEPS = 5
"""Halvings on the way to the least change of a need."""

MOST_DROP_PCT = 50.0
"""As good as no limit on a drop."""

SAME_SIZE = 1.01
"""A place less than so many times as long and wide is as large as it was."""

Clock = Callable[[], float]

TIGHTER = 0.9
"""Where a kit is only just missing, needs that leave less room than this are named."""


def reasons(
    needs: Needs,
    stock: Stock,
    panel_cuts: tuple[PanelCut, ...],
    unlimited: Unlimited | None = None,
    clock: Clock | None = None,
) -> tuple[Reason, ...]:
    """Which needs stand in the way, with the least change of each that could help.

    Parameters
    ----------
    needs : Needs
        Needs that no kit meets.
    stock : Stock
        The catalog.
    panel_cuts : tuple of PanelCut
        What placing has taught of the surfaces.
    unlimited : Unlimited, optional
        What other needs have asked for of the same catalog.
    clock : callable, optional
        Seconds, rising: with it a kit for more money is not looked for without an end.

    Returns
    -------
    tuple of Reason
        First one that names all that collide, then, if there are several, one for each; last what
        keeps panels off the ground, and strings from meeting.
    """
    unlimited, mkt = unlimited or Unlimited(stock), market(needs, stock)
    yard = Yard(needs, mkt, unlimited, panel_cuts)
    had = shelf(needs, mkt)
    return (
        *_colliding(needs, stock, yard, clock),
        *ground_reasons(needs, had),
        *combiner_reasons(needs, had),
    )


def _colliding(
    needs: Needs, stock: Stock, yard: Yard, clock: Clock | None
) -> tuple[Reason, ...]:
    stated = Question(needs)
    if yard.possible(stated):
        return _only_just_missing(needs, stock, yard, clock)
    asides = list(_asides(needs))
    helping = [a for group in _groups(asides) for a in _that_help(group, stated, yard)]
    helping.sort(key=asides.index)
    sooner = (*_climate_asides(needs, yard), *_order_asides(needs, stock))
    helping += [a for a in sooner if _helps_to_buy(a, needs, stock, yard)]
    if not helping:
        later = (*_kind_asides(needs), *_rate_asides(needs, stock))
        helping = [a for a in later if _helps_to_buy(a, needs, stock, yard)]
    if helping:
        return _collision(
            helping, {a.keys: _change(a, needs, stock, yard, clock) for a in helping}
        )
    together = _least_together(asides, stated, yard)
    return (_together(together) if together else _nothing_helps(needs, yard),)


def _groups(asides: list[Aside]) -> list[list[Aside]]:
    """Needs to ask about together: what places carry and have room for, all else by itself."""
    places = [a for a in asides if a.keys[0].startswith("place.")]
    return [*([a] for a in asides if a not in places), places]


def _that_help(asides: list[Aside], stated: Question, yard: Yard) -> list[Aside]:
    """Those that help alone: where all set aside together do not, none of them does."""
    if not asides or not yard.possible(_all_aside(asides, stated)):
        return []
    if len(asides) == 1:
        return asides
    half = len(asides) // 2
    return [
        a for part in (asides[:half], asides[half:]) for a in _that_help(part, stated, yard)
    ]


def _least_together(asides: list[Aside], stated: Question, yard: Yard) -> list[Aside]:
    """Needs that help when all are set aside, and no fewer of them do; empty where none do.

    All are set aside, then one after the other is taken back if the answer stays.
    """
    kept = list(asides)
    if not yard.possible(_all_aside(kept, stated)):
        return []
    for one in reversed(asides):
        fewer = [a for a in kept if a is not one]
        if yard.possible(_all_aside(fewer, stated)):
            kept = fewer
    return kept


def _all_aside(asides: list[Aside], stated: Question) -> Question:
    q = stated
    for a in asides:
        q = a.apply(q)
    return q


def _helps_to_buy(aside: Aside, needs: Needs, stock: Stock, yard: Yard) -> bool:
    """Whether a need helps that decides what is for sale or which settings are tried."""
    q = aside.apply(Question(needs))
    mkt = market(q.needs, stock)
    other = Yard(q.needs, mkt, yard.unlimited, yard.panel_cuts, solved=yard.solved)
    answer = other.possible(q)
    yard.solved = other.solved
    return answer


# --- what is told -----------------------------------------------------------------------------


def _collision(helping: list[Aside], changes: dict[tuple[str, ...], str]) -> tuple[Reason, ...]:
    """One reason that names all that collide, then one for each with its change."""
    first = helping[0]
    if len(helping) == 1:
        text = f"No kit meets the needs: {first.what}. Without that there could be one."
        return (Reason(needs=first.keys, message=text, change=changes[first.keys]),)
    whole = Reason(
        needs=tuple(dict.fromkeys(k for a in helping for k in a.keys)),
        message="These needs collide; with any one of them set aside there could be a kit: "
        + "; ".join(a.what for a in helping)
        + ".",
        change=changes[first.keys],
    )
    each = [
        Reason(
            needs=a.keys, message=f"No kit meets the needs: {a.what}.", change=changes[a.keys]
        )
        for a in helping
    ]
    return (whole, *each)


def _together(asides: list[Aside]) -> Reason:
    text = "; and ".join(a.what for a in asides)
    return Reason(
        needs=tuple(dict.fromkeys(k for a in asides for k in a.keys)),
        message=f"No kit meets the needs: {text}. Each alone leaves no kit, so all must change.",
        change="; and ".join(a.change for a in asides),
    )


def _only_just_missing(
    needs: Needs, stock: Stock, yard: Yard, clock: Clock | None
) -> tuple[Reason, ...]:
    """By sums alone there could be a kit: whole parts, packs or their places leave none."""
    dearer = _dearer_kit(needs, stock, clock)
    if dearer is not None:
        aside = next(a for a in _asides(needs) if a.keys == BUDGET)
        text = f"No kit meets the needs: {aside.what}."
        return (Reason(needs=BUDGET, message=text, change=dearer),)
    others = _kits_with_another_limit(needs, stock, clock)
    if others:
        return others
    tight = [a for a in _asides(needs) if a.keys != BUDGET and _is_tight(a, needs, yard)]
    text = (
        "No kit meets the needs. By sums alone there could be one, but whole parts cannot be "
        "chosen and placed so that every need is met"
    )
    if tight:
        text += "; least room is left by these: " + "; ".join(a.what for a in tight)
        change = tight[0].change
    else:
        change = "more room in the places, or other parts in the catalog"
    keys = tuple(dict.fromkeys(k for a in tight for k in a.keys)) or ("place",)
    return (Reason(needs=keys, message=text + ".", change=change),)


def _kits_with_another_limit(
    needs: Needs, stock: Stock, clock: Clock | None
) -> tuple[Reason, ...]:
    """Limits of moments, and holes, of which one alone leaves no kit: with a kit that shows it."""
    found = []
    for aside, told in (*_moments_told(needs), *_holes_told(needs)):
        kit = _kit_for(aside.apply(Question(needs)).needs, stock, clock)
        if kit is not None:
            text = f"No kit meets the needs: {aside.what}. Without that there is one."
            found.append(Reason(needs=aside.keys, message=text, change=told(kit)))
    return tuple(found)


def _kit_for(needs: Needs, stock: Stock, clock: Clock | None) -> Design | None:
    """Some kit that meets needs; None where none was found."""
    from solver.kit import solve_kit  # it asks here why there is no kit

    free = replace(needs, limits=replace(needs.limits, budget=None))
    return solve_kit(free, stock, limit_s=0.0, clock=clock).design


def _moments_told(needs: Needs) -> Iterator[tuple[Aside, Callable[[Design], str]]]:
    for aside in _moments(needs):
        key = aside.keys[0].removeprefix("limits.")
        yield aside, partial(_enough_moment, needs, key)


def _enough_moment(needs: Needs, key: str, design: Design) -> str:
    axis, what = MOMENTS[key]
    stated = getattr(needs.limits, key)
    kgm = weights_of(needs, design).moments[axis].kgm
    enough = f"{_up(abs(kgm or 0.0))} kg·m is enough: that of a kit that was found"
    return f"allow a larger moment {what} than {stated:g} kg·m, or other places; {enough}"


def _holes_told(needs: Needs) -> Iterator[tuple[Aside, Callable[[Design], str]]]:
    for name, aside in zip(bores_mm(needs), _holes(needs), strict=True):
        yield aside, partial(_enough_hole, needs, name)


def _enough_hole(needs: Needs, name: str, design: Design) -> str:
    drill = next((h.drill_mm for h in holes(needs, design) if h.name == name), 0)
    return (
        f'make hole "{name}" {drill} mm wide, or a second one beside it: {drill} mm is enough '
        "for a kit that was found"
    )


def _is_tight(aside: Aside, needs: Needs, yard: Yard) -> bool:
    """Whether there is surely no kit where a need asks for a little more."""
    measure = aside.measure
    if measure is None or measure.whole:
        return False
    stated, furthest = measure.way
    more = stated * TIGHTER if furthest > stated else stated / TIGHTER
    return not yard.possible(measure.put(Question(needs), more)) and not yard.spent


def _nothing_helps(needs: Needs, yard: Yard) -> Reason:
    """No limit stands in the way: the catalog lacks something, or no wiring can be made."""
    lacks = _lacks(needs, yard)
    keys = tuple(dict.fromkeys(k for lack in lacks for k in LACK_KEYS[lack])) or ("load",)
    tried = "was seen to help" if yard.spent else "helps"
    text = (
        f"No kit meets the needs, and none of the limits {tried}, set aside alone or together"
    )
    if lacks:
        text += ": there is no " + "; no ".join(_lack_text(needs, lack) for lack in lacks)
    else:
        text += ": the currents are too large for the batteries, bus bars and cables there are"
    return Reason(
        needs=keys, message=text + ".", change="other parts in the catalog, or smaller loads"
    )


LACK_KEYS = {
    "battery": ("rules.voltages", "rules.chemistries", "site.coldest_c"),
    "inverter": ("load", "rules.ac_v", "rules.hz", "rules.voltages"),
    "busbar": ("place",),
    "switch": ("place",),
    "monitor": ("place",),
    "hub": ("place",),
    "volts": ("load", "rules.voltages"),
    "bank wiring": ("load",),
    "earthing": ("rules.practice",),
    "inverter wiring": ("load",),
    "lead": ("rules.slack_mm", "rules.practice"),
    "load wiring": ("load", "leg"),
    "array": ("site.coldest_c", "site.hottest_c", "leg"),
}


def _lack_text(needs: Needs, lack: str) -> str:
    rules = needs.rules
    volts = " or ".join(f"{v} V" for v in rules.voltages)
    if lack == "inverter":
        together, surge = together_w(needs.loads, "ac"), surge_w(needs.loads)
        return (
            f"inverter from {volts} to {rules.ac_v:g} V {rules.hz:g} Hz for {together:.0f} W and "
            f"{surge:.0f} W at the start"
        )
    if lack == "lead":
        lead_m, _ = shortest_lead(needs)
        most_m = unprotected_limit_m(rules.practice, at_battery=False, sheathed=True)
        return (
            f"fuse near enough to the bus bars: with slack_mm = {rules.slack_mm:g} at both ends the "
            f"piece to it is {lead_m:g} m, and {rules.practice} allows {most_m:.4g} m in a sheath"
        )
    return {
        "battery": f"battery ({', '.join(rules.chemistries)}) for {volts} in this cold",
        "busbar": "bus bar for sale",
        "switch": "battery switch for sale",
        "monitor": "battery monitor for sale",
        "hub": "place that may hold bus bars, battery switch and monitor together and that "
        "cables from the loads reach",
        "volts": f"one system voltage among {volts} that all loads take",
        "bank wiring": "cable with protection and lugs for the bank's current",
        "earthing": "earthing cable with lugs for the bus bar and the chassis",
        "inverter wiring": "cable with protection and lugs for an inverter",
        "load wiring": "cable with protection for the loads",
        "array": "panel with a controller and a cable that suit each other and the cold",
    }[lack]


def _lacks(needs: Needs, yard: Yard) -> list[str]:
    """What there is none of, in the setting that lacks least; if nothing does, empty."""
    if yard.order:
        return min((lacking(yard.setup(s)) for s in yard.order), key=len)
    found = []
    if not any(
        all(x.volts is None or v in x.volts for x in needs.loads if x.supply == "dc")
        for v in needs.rules.voltages
    ):
        found.append("volts")
    if not batteries(needs, yard.market):
        found.append("battery")
    return found or ["hub"]


# --- how far a need would have to move ----------------------------------------------------------


def _change(aside: Aside, needs: Needs, stock: Stock, yard: Yard, clock: Clock | None) -> str:
    if aside.keys == BUDGET:
        return _dearer_kit(needs, stock, clock) or aside.change
    if aside.measure is None:
        exact = lacking_height(needs.place(aside.place), needs, stock) if aside.place else None
        return exact or aside.change
    value = _moved(aside.measure, needs, yard)
    if value is None:
        return aside.change
    if aside.place and value < SAME_SIZE:
        place = needs.place(aside.place)
        exact = lacking_length(place, yard.panel_cuts, stock)
        exact = exact or lacking_floor(place, needs, stock)
        if exact is not None:
            return exact
    text = aside.measure.text(value)
    if aside.place and value >= SAME_SIZE:
        text += _in_millimetres(needs.place(aside.place), value)
        text += _for_which(aside, needs, yard)
    return text


def _in_millimetres(place: Place, times: float) -> str:
    """By how much longer, or wider, the place has that area: less is surely not enough."""
    lack = usable_area_mm2(scaled(place, times)) - usable_area_mm2(place)
    x0, y0, x1, y1 = inside_mm(place)
    if lack <= 0 or x1 <= x0 or y1 <= y0:
        return ""
    longer, wider = math.floor(lack / (y1 - y0)), math.floor(lack / (x1 - x0))
    return f", so more than {longer} mm longer or more than {wider} mm wider"


def _for_which(aside: Aside, needs: Needs, yard: Yard) -> str:
    """What needs that room in an answer where there is more."""
    question = aside.apply(Question(needs))
    if not yard.possible(question):
        return ""
    parts = yard.stands.get(question, {}).get(aside.place, ())
    return f", such as for {' and '.join(parts[:2])}" if parts else ""


def _moved(measure: Measure, needs: Needs, yard: Yard) -> float | None:
    """How far a number must be moved; up to it there is surely no kit, None where not found.

    Of whole numbers the first that could be enough is given.
    """
    q = Question(needs)
    near, far = measure.way
    if math.isinf(far):
        far = max(2 * near, 1.0)
        while not yard.possible(measure.put(q, far)):
            if yard.spent:
                return None
            near, far = far, 2 * far
    for _ in range(STEPS):
        if measure.whole and abs(far - near) <= 1:
            break
        middle = (near + far) / 2
        if measure.whole:
            middle = float(math.floor(middle))
        if yard.possible(measure.put(q, middle)):
            far = middle
        else:
            near = middle
        if yard.spent:
            return None
    return far if measure.whole else near


def _dearer_kit(needs: Needs, stock: Stock, clock: Clock | None) -> str | None:
    """What budget would be enough: that of a kit found without one, with what none is under."""
    from solver.kit import solve_kit  # it asks here why there is no kit

    limits = needs.limits
    if limits.budget is None:
        return None
    free = replace(needs, limits=replace(limits, budget=None))
    found = solve_kit(free, stock, limit_s=0.0, clock=clock)
    if found.status == "unknown":
        return f"raise the budget of {limits.budget} {needs.job.currency}: by how much was not decided"
    if found.total is None or found.lower_bound is None or found.total <= limits.budget:
        return None
    currency = needs.job.currency
    enough = found.total.quantize(Decimal("0.01"), rounding=ROUND_CEILING)
    if found.status == "optimal":
        return f"raise the budget to {enough} {currency}: the cheapest kit costs that"
    low = max(found.lower_bound, limits.budget)
    return (
        f"raise the budget to {enough} {currency}: that is enough, for a kit of that cost was "
        f"found; {low:.2f} {currency} is surely too little"
    )


# --- what can be set aside --------------------------------------------------------------------


def _asides(needs: Needs) -> Iterator[Aside]:
    """Needs that can be asked about with the candidates there are."""
    if needs.limits.budget is not None:
        yield Aside(
            BUDGET,
            f"the budget is {needs.limits.budget} {needs.job.currency}",
            "raise the budget",
            lambda q: _stated(q, "limits", budget=None),
        )
    if needs.limits.total_kg is not None:
        yield _total_weight(needs.limits.total_kg)
    yield from _moments(needs)
    yield from _holes(needs)
    yield from _conduits(needs)
    for place in needs.places:
        if place.holds == ():
            continue
        if place.max_kg is not None:
            yield _weight(place, place.max_kg)
        yield _room(place)
        if place.height_mm is not None:
            yield _height(place)
    yield from _energy_asides(needs)
    for part in (o.part.part for o in needs.owned if o.use == "must"):
        yield _must(part)


def _stated(q: Question, table: str, **values: object) -> Question:
    """Other values in one table of the needs."""
    new = replace(getattr(q.needs, table), **values)
    return replace(q, needs=replace(q.needs, **{table: new}))


def _total_weight(kg: float) -> Aside:
    return Aside(
        ("limits.total_kg",),
        f"everything may weigh {kg:g} kg",
        "allow more weight in all",
        lambda q: _stated(q, "limits", total_kg=None),
        Measure(
            (kg, math.inf),
            lambda q, v: _stated(q, "limits", total_kg=v),
            lambda v: f"allow more than {_down(v)} kg in all",
        ),
    )


def _moments(needs: Needs) -> Iterator[Aside]:
    """Limits of moments."""
    for key, (_, what) in MOMENTS.items():
        most = getattr(needs.limits, key)
        if most is None:
            continue
        yield Aside(
            (f"limits.{key}",),
            f"the moment {what} may be {most:g} kg·m either way",
            f"allow a larger moment {what}, or other places",
            partial(_limited, key, value=None),
            Measure(
                (most, math.inf),
                partial(_limited, key),
                partial(_larger_moment, what),
            ),
        )


def _limited(key: str, q: Question, value: float | None) -> Question:
    return _stated(q, "limits", **{key: value})


def _larger_moment(what: str, value: float) -> str:
    return f"allow a moment of more than {_down(value)} kg·m {what}, or other places"


def _holes(needs: Needs) -> Iterator[Aside]:
    """Holes of a stated size."""
    for hole, bore in bores_mm(needs).items():
        leg = next(x for x in needs.legs if hole_of(x) == hole)
        key = "hole_mm" if (leg.hole_mm or 0.0) >= (leg.hole_max_mm or 0.0) else "hole_max_mm"
        yield Aside(
            (f'leg."{leg.from_}>{leg.to}".{key}',),
            f'hole "{hole}" is {bore:g} mm wide at the most, and cables may fill half of it',
            f'make hole "{hole}" wider, or a second one beside it',
            partial(_bored, hole, value=None),
            Measure((bore, WIDEST_MM), partial(_bored, hole), partial(_wider_hole, hole)),
        )


def _conduits(needs: Needs) -> Iterator[Aside]:
    """Conduits that the practice keeps for PV or for AC alone."""
    kept = conduits(needs)
    named = [x for x in needs.legs if x.conduit is not None and between(x) in kept]
    if not named:
        return
    legs = tuple(replace(x, conduit=None) for x in needs.legs)
    yield Aside(
        tuple(f'leg."{x.from_}>{x.to}".conduit' for x in named),
        "under nec the cables of an array and AC must not share a conduit; stated are "
        + ", ".join(f'"{x.conduit}"' for x in named),
        "lay a second conduit or one with a partition, so that these legs state none, or let "
        "controllers or inverters stand elsewhere",
        lambda q: replace(q, needs=replace(q.needs, legs=legs)),
    )


def _bored(hole: str, q: Question, value: float | None) -> Question:
    legs = tuple(
        replace(x, hole=hole, hole_mm=value, hole_max_mm=None) if hole_of(x) == hole else x
        for x in q.needs.legs
    )
    return replace(q, needs=replace(q.needs, legs=legs))


def _wider_hole(hole: str, value: float) -> str:
    return f'make hole "{hole}" more than {_down(value)} mm wide, or a second one beside it'


def _weight(place: Place, kg: float) -> Aside:
    def put(q: Question, most: float | None) -> Question:
        places = tuple(
            replace(p, max_kg=most) if p.name == place.name else p for p in q.needs.places
        )
        return replace(q, needs=replace(q.needs, places=places))

    return Aside(
        (f'place."{place.name}".max_kg',),
        f'place "{place.name}" carries at most {kg:g} kg',
        f'let place "{place.name}" carry more',
        lambda q: put(q, None),
        Measure(
            (kg, math.inf),
            put,
            lambda v: f'let place "{place.name}" carry more than {_down(v)} kg',
        ),
    )


def _room(place: Place) -> Aside:
    """More length and width; obstacles stay where they are."""

    def put(q: Question, times: float) -> Question:
        return resized(q, scaled(q.needs.place(place.name), times))

    def text(times: float) -> str:
        if times < SAME_SIZE:
            return (
                f'give place "{place.name}" another shape or a little more room: its area alone '
                f"would be enough"
            )
        area = usable_area_mm2(scaled(place, times)) / 1e6
        return (
            f'give place "{place.name}" more room: in the same shape, more than {area:.3g} m² '
            f"that can be covered"
        )

    key = f'place."{place.name}"'
    area = usable_area_mm2(place) / 1e6
    return Aside(
        (f"{key}.length_mm", f"{key}.width_mm"),
        f'place "{place.name}" has {area:.3g} m² that can be covered',
        f'give place "{place.name}" more room',
        lambda q: put(q, WIDER),
        Measure((1.0, WIDER), put, text),
        place.name,
    )


def _height(place: Place) -> Aside:
    return Aside(
        (f'place."{place.name}".height_mm',),
        f'place "{place.name}" is {place.height_mm:g} mm high',
        f'make place "{place.name}" higher',
        lambda q: resized(q, replace(q.needs.place(place.name), height_mm=TALL_MM)),
        place=place.name,
    )


def _must(part: str) -> Aside:
    def put(q: Question) -> Question:
        owned = tuple(
            replace(o, use="may") if o.part.part == part else o for o in q.needs.owned
        )
        return replace(q, needs=replace(q.needs, owned=owned), free=q.free | {f"must {part}"})

    return Aside(
        (f'owned."{part}".use',), f'"{part}" must be used', f'let "{part}" be left out', put
    )


def _energy_asides(needs: Needs) -> Iterator[Aside]:
    days, pct = needs.energy.autonomy_days, needs.energy.shortfall_pct
    month = _by_sun(needs)[0]
    dark = f"in month {month}, with {needs.sun_hours[month - 1]:g} sun hours a day,"
    if days > 0:
        yield Aside(
            ("energy.autonomy_days",),
            f"the bank must last {days:g} days",
            "ask for fewer days without charging",
            lambda q: _stated(q, "energy", autonomy_days=0.0),
            Measure(
                (days, 0.0),
                lambda q, v: _stated(q, "energy", autonomy_days=v),
                lambda v: f"ask for less than {_up(v)} days without charging",
            ),
        )
    if pct < 100 and needs.charging:
        yield Aside(
            ("energy.shortfall_pct",),
            f"{dark} at most {pct:g} % may come from other charging",
            "let more come from other charging",
            lambda q: _stated(q, "energy", shortfall_pct=100.0),
            Measure(
                (pct, 100.0),
                lambda q, v: _stated(q, "energy", shortfall_pct=v),
                lambda v: f"let more than {_down(v)} % come from other charging",
            ),
        )
    if not needs.charging:
        yield Aside(
            ("energy.shortfall_pct", "charging"),
            f"{dark} all energy must come from the sun",
            "state another way in ([[charging]]) and let a share come from it "
            "(energy.shortfall_pct)",
            lambda q: replace(q, free=q.free | {"sun", "energy"}),
        )
    if len(needs.site.months) > 1:
        yield _months(needs)
    yield _loads(needs)


def _by_sun(needs: Needs) -> list[int]:
    """The months in use, the darkest first."""
    return sorted(needs.site.months, key=lambda month: (needs.sun_hours[month - 1], month))


def _months(needs: Needs) -> Aside:
    """The darkest months left out, as many as need be."""
    dark = _by_sun(needs)

    def put(q: Question, number: float) -> Question:
        kept = set(dark[int(number) :])
        months = tuple(x for x in q.needs.site.months if x in kept)
        return _stated(q, "site", months=months)

    def text(number: float) -> str:
        names = ", ".join(map(str, sorted(dark[: int(number)])))
        return f"leave out {'month' if number == 1 else 'months'} {names}"

    return Aside(
        ("site.months",),
        f"month {dark[0]}, with {needs.sun_hours[dark[0] - 1]:g} sun hours a day, is in use",
        "leave out the darkest months",
        lambda q: put(q, len(dark) - 1),
        Measure((0, len(dark) - 1), put, text, whole=True),
    )


def _loads(needs: Needs) -> Aside:
    """Less energy for the loads; what they draw while they run stays."""
    most = max(sum(load_wh(needs.loads, month)) for month in needs.site.months)
    return Aside(
        ("load",),
        f"the loads take up to {most:.0f} Wh a day",
        "use less energy",
        lambda q: replace(q, load_pct=0.0),
        Measure(
            (100.0, 0.0),
            lambda q, v: replace(q, load_pct=v),
            lambda v: f"use less than {_up(v)} % of that energy",
        ),
    )


def _down(value: float) -> str:
    """Three digits, rounded down: what is surely not enough stays so."""
    return _three_digits(value, math.floor)


def _up(value: float) -> str:
    """Three digits, rounded up: what is surely too much stays so."""
    return _three_digits(value, math.ceil)


def _three_digits(value: float, whole: Callable[[float], int]) -> str:
    if value <= 0:
        return "0"
    digits = max(0, 2 - math.floor(math.log10(value)))
    return f"{whole(value * 10**digits) / 10**digits:g}"


# --- what decides what is for sale, and what is tried -------------------------------------------


def _order_asides(needs: Needs, stock: Stock) -> Iterator[Aside]:
    """Delivery and suppliers, where something is left out for them."""
    order = needs.order
    sold = len(market(needs, stock).deals)

    def more(q: Question) -> bool:
        return len(market(q.needs, stock).deals) > sold

    late = Aside(
        ("order.need_by",),
        f"everything must be there by {order.need_by}",
        "allow a later delivery",
        lambda q: _stated(q, "order", need_by=None),
    )
    avoided = Aside(
        ("order.avoid_suppliers",),
        f"nothing may be bought from {', '.join(order.avoid_suppliers)}",
        "allow some of these suppliers",
        lambda q: _stated(q, "order", avoid_suppliers=()),
    )
    for stated, aside in ((order.need_by, late), (order.avoid_suppliers, avoided)):
        if stated and more(aside.apply(Question(needs))):
            yield aside


def _climate_asides(needs: Needs, yard: Yard) -> Iterator[Aside]:
    """Heat, cold and water of places that keep out some device that may stand there."""
    for place in needs.places:
        barred = [
            part
            for part in yard.market.parts.values()
            if isinstance(part, Device)
            and place.may_hold(part.cls)
            and yard.market.to_be_had(part.part)
            and not bears_climate(part, place, needs.site)
        ]
        key, name = f'place."{place.name}"', place.name
        cold = needs.site.coldest_c if place.min_c is None else place.min_c
        hot = needs.site.hottest_c if place.max_c is None else place.max_c
        warmest = max((c for p in barred if (c := coldest_c(p)) is not None), default=cold)
        coolest = min((c for p in barred if (c := hottest_c(p)) is not None), default=hot)
        if cold < warmest:
            yield Aside(
                (f"{key}.min_c",),
                f'place "{name}" gets as cold as {cold:g} °C, too cold for what stands there',
                f'keep place "{name}" warmer, up to {warmest:g} °C',
                partial(_replaced_place, name, min_c=warmest),
            )
        if hot > coolest:
            yield Aside(
                (f"{key}.max_c",),
                f'place "{name}" gets as hot as {hot:g} °C, too hot for what stands there',
                f'keep place "{name}" cooler, down to {coolest:g} °C',
                partial(_replaced_place, name, max_c=coolest),
            )
        if place.wet and barred:
            yield Aside(
                (f"{key}.wet",),
                f'place "{name}" gets wet, and what stands there is not made for that',
                f'keep place "{name}" dry, or choose parts with a code of IPX4 or better',
                partial(_replaced_place, name, wet=False),
            )


def _replaced_place(name: str, q: Question, **values: object) -> Question:
    places = tuple(
        replace(p, **values) if p.name == name else p  # type: ignore[arg-type]
        for p in q.needs.places
    )
    return replace(q, needs=replace(q.needs, places=places))


def _rate_asides(needs: Needs, stock: Stock) -> Iterator[Aside]:
    """Currencies without a rate: any would do to find out whether those offers help."""
    known = {needs.job.currency, *(currency for currency, _ in needs.order.rates)}
    lacking = sorted({s.currency for s in stock.suppliers} - known)
    if lacking:
        rates = (*needs.order.rates, *((currency, Decimal(1)) for currency in lacking))
        yield Aside(
            ("order.rates",),
            f"offers in {', '.join(lacking)} are left out, for no rate is stated",
            f"state a rate for {', '.join(lacking)}",
            lambda q: _stated(q, "order", rates=rates),
        )


def _kind_asides(needs: Needs) -> Iterator[Aside]:
    """Voltages, chemistries, drops: tried only where nothing else helps, since they make all anew."""
    if set(needs.rules.voltages) != set(VOLTAGES):
        yield Aside(
            ("rules.voltages",),
            f"the system voltage must be {', '.join(map(str, needs.rules.voltages))} V",
            "allow other system voltages",
            lambda q: _stated(q, "rules", voltages=VOLTAGES),
        )
    if set(needs.rules.chemistries) != set(CHEMISTRIES):
        yield Aside(
            ("rules.chemistries",),
            f"the batteries must be {', '.join(needs.rules.chemistries)}",
            "allow other batteries",
            lambda q: _stated(q, "rules", chemistries=CHEMISTRIES),
        )
    loose = DropLimits(**dict.fromkeys(vars(needs.rules.drop_pct), MOST_DROP_PCT))
    yield Aside(
        ("rules.drop_pct",),
        "the voltage may not drop more than the stated shares",
        "allow more drop, or make the ways shorter",
        lambda q: _stated(q, "rules", drop_pct=loose),
    )
