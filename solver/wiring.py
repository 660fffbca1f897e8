"""Runs and the ways to wire them: conductor, protection and terminations of one circuit.

A *run* is a circuit before its conductor is chosen: where it goes, how long, what its ends land
on. An *option* is one way to wire it: a conductor for each pole, a protection with its holder,
a lug at every stud. An option knows the largest running current it may carry under every rule
at once (`cap_a`), so one list of options serves every current, and what it takes from the
catalog (`takes`), so its price is known before it is chosen.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from solver.candidates import fits_alone
from solver.climate import bears_climate
from solver.fittings import (
    AC_BREAKER,
    ARRAY_ISOLATOR,
    EARTH_CABLE,
    EARTH_COLOURS,
    INLET,
    SOCKET,
    is_ac_breaker,
    is_combiner,
    is_earth_cable,
    is_isolator,
    is_string_fuse,
    unknown_to,
)
from solver.ground import Lead, lead_on
from solver.lots import lot
from solver.market import Market, comes_before, nowhere_dearer
from solver.needs import Needs
from solver.parts import (
    Breaker,
    Cable,
    Combiner,
    Connector,
    Fuse,
    Holder,
    Lug,
    PvInlet,
    Socket,
    Switch,
)
from solver.passing import holes_on, taken_mm2
from solver.routes import Between, Route, legs_of
from solver.rules import conductor as rule_c
from solver.rules import earthing as rule_g
from solver.rules import protection as rule_p
from solver.rules.inlet import dead_outside

LEAD_M = 0.15
"""From a source to its protection, one way, slack not counted; common practice, no source."""

NEGATIVE_COLOURS = frozenset({"black", "white", "blue", "yellow", "brown"})
BEHIND_MAIN_KA = 1.0
"""Least breaking capacity of a protection behind the main one; common practice, no source."""

FAMILY = "\x1f"
"""Between the names of interchangeable parts; no part's name can hold it."""

ANY_NUMBER = 1_000_000
"""More loaded conductors than any leg may hold."""

HUB = ("bar", "switch", "shunt", "feed")
"""Terminals whose stud depends on which bus bar, switch, shunt or fuse block is chosen."""


@dataclass(frozen=True, slots=True)
class Mouth:
    """What one core's end lands on, before ids are known.

    `at` is a role (`source`, `fuse`, `sink`, `bar`, `switch`, `shunt`, `feed`, `panel`,
    `isolator in`, `isolator out`, `inlet in`, `inlet out`); `stud` its stud, None where it takes
    bare wire. The studs of `bar`, `switch`, `shunt` and `feed` (what feeds a fuse block) depend on
    the parts chosen for them, that of `fuse` on the protection.
    """

    at: str
    pole: str
    stud: str | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of cable of a run."""

    pole: str
    """`+` or `-` of a single core; empty for a cable with all its cores in one sheath."""
    metres: float
    mouths: tuple[Mouth, ...]
    before: str = ""
    """Of what leads to a protection: `battery` where it is on the battery's own terminal, `bar`
    elsewhere, `inverter` or `inlet` of an AC cable by its source; empty of what is protected."""


@dataclass(frozen=True, slots=True)
class Run:
    """A circuit before its conductor is chosen."""

    kind: str
    uses: tuple[str, ...]
    """Uses of cable it may take."""
    conductors: int
    route: Route
    pieces: Callable[[str], tuple[Piece, ...]]
    """Pieces by the use of the cable taken."""
    drop_limit_pct: float
    drop_base_v: float
    protected: str
    """`none`, `main` (breaks the bank's short circuit), `behind` (behind the main one), or
    `block` (a way of a fuse block)."""
    highest_v: float
    breaking_ka: float = BEHIND_MAIN_KA
    fuse_kind: str | None = None
    """Only fuses of this kind (a block's)."""
    most_a: float = math.inf
    """Largest protection the device behind it allows."""
    link_m: float = 0.0
    """Longest single link within it, which keeps to the drop limit by itself."""
    earthed: bool = False
    """Whether an earthing conductor beside it goes by its size."""
    counts: tuple[int, ...] = ()
    """How many loaded conductors may lie together on its fullest leg, see `solver.leg_loads`;
    none stated: its own two and those that the needs state."""

    @property
    def loaded(self) -> tuple[int, ...]:
        """These numbers, rising."""
        return self.counts or (2 + self.route.loaded,)


@dataclass(frozen=True, slots=True)
class Option:
    """One way to wire a run."""

    plus: Cable
    minus: Cable
    protection: Fuse | Breaker | None
    holder: Holder | None
    ampacity_a: float
    ohm_per_m: float
    cap_a: float
    """Largest running current: by ampacity, by drop and by the protection's rating."""
    drop_cap_a: float
    pieces: tuple[Piece, ...]
    ends: tuple[tuple[str | None, ...], ...]
    """For each piece and mouth the termination's part or family; None for bare wire and for a
    hub terminal, whose stud is known only with the part chosen there."""
    takes: Mapping[str, int]
    """Parts, or families of interchangeable parts, by name; of cable millimetres."""
    hub_ends: Mapping[tuple[str, float], int]
    """Ends at bus bars, switch, shunt or block, by terminal and conductor area: their lugs depend on
    the studs chosen there."""
    kg: float
    """Without lugs."""
    connector_a: float = math.inf
    connector_v: float = math.inf
    halves: tuple[Connector, ...] = ()
    """Of an array's: plug and socket."""
    isolator: Switch | None = None
    """Of an array's: what breaks both its poles."""
    inlet: PvInlet | None = None
    """Of one on the ground: where its lead ends, in the wall of `inlet_place`."""
    inlet_place: str = ""
    outlet: Socket | None = None
    """Of an AC circuit's: the sockets at its loads, or the inlet that it begins at."""
    outlets: int = 0
    """How many of it."""
    shares: bool = False
    """Its holder is a box for breakers of several circuits, and not among what it takes."""
    asks_earth_mm2: float = 0.0
    """Least area of the earthing conductor beside it; 0 where none goes by it."""
    earth_mm2: float = 0.0
    """Of an earthing conductor: its area, as far as any live conductor could ask for it."""
    holes: tuple[str, ...] = ()
    """Holes of a stated size on its way."""
    hole_mm2: float = 0.0
    """What it takes of each of them, see `passing.taken_mm2`; 0 where there is none."""
    legs: tuple[Between, ...] = ()
    """Where it lies beside other circuits."""
    most_loaded: int = ANY_NUMBER
    """So many loaded conductors may lie together there, its own among them; any number where no
    kit has more than it stands."""
    stands_a: tuple[float, ...] = ()
    """Of an array's: ampacity by each number of `Run.loaded`."""

    @property
    def lot(self) -> int:
        """Which of several options comes first where they cost the same."""
        some = (
            self.protection,
            self.holder,
            self.isolator,
            self.inlet,
            self.outlet,
            *self.halves,
        )
        others = [p.part for p in some if p is not None]
        # two cables, one for each pole, are not the same the other way about
        return lot(self.plus.part) + 2 * lot(self.minus.part) + sum(map(lot, others))

    @property
    def shared_box(self) -> Holder | None:
        """The box for breakers of several circuits that its own is in."""
        return self.holder if self.shares else None

    @property
    def rating_a(self) -> float:
        """The protection's rating; infinite without one."""
        return math.inf if self.protection is None else self.protection.rated_a


Seat = tuple[Fuse | Breaker | None, Holder | None]
"""A protection in its holder."""


@dataclass(frozen=True, slots=True)
class Shelf:
    """The parts wiring is made from, indexed once."""

    needs: Needs
    market: Market
    cables: Mapping[str, tuple[tuple[Cable, Cable], ...]]
    """By use: pairs of a positive's and a negative's cable, of one size and family."""
    lugs: Mapping[tuple[float, str], tuple[str, ...]]
    """Lugs by conductor area and stud."""
    protections: tuple[tuple[Fuse | Breaker, Holder | None], ...]
    """Single protections with the holder each sits in."""
    blocks: tuple[Holder, ...]
    block_fuses: Mapping[str, tuple[Fuse, ...]]
    """Fuses by the block they fit."""
    connectors: tuple[Connector, ...]
    string_fuses: tuple[Fuse, ...]
    combiners: tuple[Combiner, ...]
    isolators: tuple[Switch, ...]
    """Switches for both poles of an array."""
    inlets: tuple[PvInlet, ...]
    """Inlets for panels on the ground that leave nothing live outside."""
    ac_breakers: tuple[Seat, ...]
    """Protections of AC circuits, each with the box it sits in."""
    sockets: tuple[Socket, ...]
    earths: tuple[Cable, ...]
    """Cable for earthing and bonding."""
    unknown: frozenset[str]
    """Fittings that the catalog knows none of: no kit has one."""
    lug_names: dict[tuple[float, str], str | None] = field(
        default_factory=dict, compare=False, repr=False
    )
    """What `lug` has been asked before."""

    def lug(self, area_mm2: float, stud: str) -> str | None:
        """The lug for a conductor on a stud, or the family of those that fit; None: no such lug."""
        key = (area_mm2, stud)
        if key not in self.lug_names:
            self.lug_names[key] = family_name(self.lugs.get(key, ()))
        return self.lug_names[key]


def family_name(parts: tuple[str, ...]) -> str | None:
    """The name that stands for any one of some interchangeable parts."""
    return FAMILY.join(parts) if parts else None


def members(name: str) -> tuple[str, ...]:
    """The parts of a family; of a plain part itself."""
    return tuple(name.split(FAMILY))


def shelf(needs: Needs, market: Market) -> Shelf:
    """Index what is to be had."""
    parts = [p for p in market.parts.values() if market.to_be_had(p.part)]
    parts.sort(key=lambda p: p.part)
    holders = [p for p in parts if isinstance(p, Holder)]
    fuses = [p for p in parts if isinstance(p, Fuse)]
    boxes = {p.holder for p in parts if is_ac_breaker(p)}
    # several ways that no fuse fits are a box's
    block_fuses = {
        h.part: tuple(f for f in fuses if holder_fits(f, h))
        for h in holders
        if h.ways > 1 and h.part not in boxes
    }
    blocks = tuple(h for h in holders if block_fuses.get(h.part))
    return Shelf(
        needs=needs,
        market=market,
        cables=_cable_pairs([p for p in parts if isinstance(p, Cable)]),
        lugs=_by_size_and_stud(market, [p for p in parts if isinstance(p, Lug)]),
        protections=tuple(
            _singles(
                fuses,
                [p for p in parts if isinstance(p, Breaker) and not is_ac_breaker(p)],
                [h for h in holders if not block_fuses.get(h.part)],
            )
        ),
        blocks=blocks,
        block_fuses=block_fuses,
        connectors=tuple(p for p in parts if isinstance(p, Connector)),
        string_fuses=tuple(f for f in fuses if is_string_fuse(f)),
        combiners=tuple(p for p in parts if is_combiner(p)),
        # one that needs a part to carry it is not reckoned with
        isolators=tuple(p for p in parts if is_isolator(p) and p.holder is None),
        inlets=tuple(
            p
            for p in parts
            if isinstance(p, PvInlet) and dead_outside(p.half, p.polarised, p.cap, p.ip)
        ),
        ac_breakers=tuple(_boxed([p for p in parts if is_ac_breaker(p)], holders)),
        sockets=tuple(p for p in parts if isinstance(p, Socket)),
        earths=tuple(p for p in parts if is_earth_cable(p)),
        unknown=frozenset(unknown_to(market.parts.values())),
    )


def holder_fits(fuse: Fuse, holder: Holder) -> bool:
    """Whether a fuse sits in a holder: the one it names, or one made for its class and rating."""
    if fuse.holder is None:
        return False
    right_kind = holder.kind == fuse.kind or holder.part == fuse.holder
    return right_kind and (holder.ways > 1 or holder.rated_a >= fuse.rated_a)


def _singles(
    fuses: list[Fuse], breakers: list[Breaker], holders: list[Holder]
) -> Iterable[tuple[Fuse | Breaker, Holder | None]]:
    """Single protections: a fuse in the holder it names, a breaker or a fuse that needs none.

    A breaker has the box that it names to itself, however many that takes.
    """
    named = {h.part: h for h in holders}
    single = {h.part: h for h in holders if h.ways == 1}
    for fuse in fuses:
        if fuse.holder is None:
            yield fuse, None
        elif fuse.holder in single:
            yield fuse, single[fuse.holder]
        else:
            # its usual seat is a block; by itself it sits in any single holder of its class
            for h in single.values():
                if h.kind == fuse.kind and h.rated_a >= fuse.rated_a:
                    yield fuse, h
    for b in breakers:
        if b.holder is None or b.holder in named:
            yield b, named.get(b.holder or "")


def _boxed(breakers: list[Breaker], holders: list[Holder]) -> Iterable[Seat]:
    """AC breakers that take bare wire, each in the box it names, where it names one."""
    named = {h.part: h for h in holders}
    for b in breakers:
        box = named.get(b.holder or "")
        if b.stud is None and (box is None or box.stud is None) and (box or not b.holder):
            yield b, box


def _by_size_and_stud(
    market: Market, lugs: list[Lug]
) -> dict[tuple[float, str], tuple[str, ...]]:
    found: dict[tuple[float, str], list[str]] = {}
    for lug in lugs:
        found.setdefault((lug.area_mm2, lug.stud), []).append(lug.part)
    return {k: tuple(_worth_choosing(market, v)) for k, v in found.items()}


def _worth_choosing(market: Market, alike: list[str]) -> list[str]:
    """Of interchangeable parts those that no other undercuts at every shop and quantity.

    All uses of a lug are uses of its size and stud, so if A undercuts B, all of B can be had as A
    from the same shops for no more: a sum of needs never costs more than the needs apart.
    """
    return [
        b
        for b in sorted(alike)
        if b in market.owned or not any(_undercuts(market, a, b) for a in alike if a != b)
    ]


def _undercuts(market: Market, a: str, b: str) -> bool:
    """Whether a is no heavier than b and nowhere dearer; where it costs the same, first by lot."""
    no_heavier = market.parts[a].kg <= market.parts[b].kg
    return (
        no_heavier and nowhere_dearer(market.deals, a, b) and comes_before(market.deals, a, b)
    )


def positive_may_be(cable: Cable) -> bool:
    """A positive conductor is red, or of a colour that says nothing (marked at its ends)."""
    return cable.colour not in NEGATIVE_COLOURS and cable.colour not in EARTH_COLOURS


def negative_may_be(cable: Cable) -> bool:
    """A negative conductor is anything but red or an earth colour."""
    return cable.colour != "red" and cable.colour not in EARTH_COLOURS


def _cable_pairs(cables: list[Cable]) -> dict[str, tuple[tuple[Cable, Cable], ...]]:
    found: dict[str, list[tuple[Cable, Cable]]] = {}
    for plus in cables:
        if plus.use in ("pair", "ac"):
            found.setdefault(plus.use, []).append((plus, plus))
            continue
        if not positive_may_be(plus):
            continue
        for minus in cables:
            same = (minus.use, minus.area_mm2, minus.size) == (
                plus.use,
                plus.area_mm2,
                plus.size,
            )
            if same and negative_may_be(minus):
                found.setdefault(plus.use, []).append((plus, minus))
    return {k: tuple(v) for k, v in found.items()}


def cut_mm(needs: Needs, metres: float) -> int:
    """The length a piece is cut to: the way, slack at both ends, rounded up."""
    raw = metres * 1000 + 2 * needs.rules.slack_mm
    step = needs.rules.round_mm
    return round(math.ceil(raw / step - 1e-9) * step)


@dataclass(frozen=True, slots=True)
class Conductor:
    """A conductor for a run: both poles' cable and what it may carry."""

    plus: Cable
    minus: Cable
    pieces: tuple[Piece, ...]
    ampacity_a: float
    """With the fewest conductors beside it that there can be."""
    ohm_per_m: float
    drop_cap_a: float
    limit_a: float
    """Largest protection it may have, likewise."""
    asks_earth_mm2: float
    """Least area of the earthing conductor beside it; 0 where none goes by it."""
    holes: tuple[str, ...] = ()
    """Holes of a stated size on its way."""
    hole_mm2: float = 0.0
    """What it takes of each of them; 0 where there is none."""
    legs: tuple[Between, ...] = ()
    stands: tuple[tuple[int, float], ...] = ()
    """Loaded conductors that may lie together on its way, with the ampacity there, as `Run.loaded`
    has them."""

    def most_loaded(self, amps: float) -> int:
        """With how many loaded conductors together it still carries a current."""
        able = [n for n, a in self.stands if a >= amps - 1e-9]
        if not able or able[-1] == self.stands[-1][0]:
            return ANY_NUMBER
        return able[-1]

    def among(self, count: int) -> Conductor:
        """The same with so many loaded conductors together."""
        ampacity = dict(self.stands)[count]
        return replace(self, ampacity_a=ampacity, limit_a=min(ampacity, self.limit_a))


def conductors(shelf: Shelf, run: Run) -> list[Conductor]:
    """Every conductor that could serve a run."""
    rules = shelf.needs.rules
    found = []
    holes = holes_on(shelf.needs, run.route)
    for use in run.uses:
        pieces = run.pieces(use)
        if not all(near_enough(shelf.needs, p) for p in pieces):
            continue
        least = rule_c.least_area_mm2(rules.practice, use in ("pair", "ac"))
        for plus, minus in shelf.cables.get(use, ()):
            if plus.area_mm2 < least - 1e-9:
                continue
            stands = _stands(shelf.needs, run.route, run.loaded, plus, minus)
            ampacity = stands[0][1]
            if ampacity <= 0:
                continue
            ohm = conductor_ohm_per_m(shelf.needs, plus, minus)
            per_amp = max(
                rule_c.drop_v(run.conductors, run.route.length_m, 1.0, ohm),
                rule_c.drop_v(1, run.link_m, 1.0, ohm),
            )
            small = rule_p.small_conductor_limit_a(rules.practice, plus.area_mm2)
            found.append(
                Conductor(
                    plus=plus,
                    minus=minus,
                    pieces=pieces,
                    ampacity_a=ampacity,
                    ohm_per_m=ohm,
                    drop_cap_a=run.drop_limit_pct / 100 * run.drop_base_v / per_amp,
                    limit_a=min(ampacity, small, run.most_a),
                    asks_earth_mm2=_asks_earth(shelf, run, plus),
                    holes=holes,
                    hole_mm2=taken_mm2(pieces, plus, minus) if holes else 0.0,
                    legs=legs_of(run.route),
                    stands=stands,
                )
            )
    return found


def _stands(
    needs: Needs, route: Route, loaded: Sequence[int], *cables: Cable
) -> tuple[tuple[int, float], ...]:
    """By how many loaded conductors lie together, what the weakest of some cables carries."""
    return tuple(
        (n, min(conductor_ampacity_a(needs, route, cable, n) for cable in cables))
        for n in loaded
    )


AC_SOURCES = ("inverter", "inlet")
"""What an AC cable begins at, as `Piece.before` has it."""


def _lead_limit_m(practice: str, before: str, *, sheathed: bool) -> float:
    """How long what nothing protects may be, bare or in a sheath; of AC in a conduit, or not."""
    if before in AC_SOURCES:
        return rule_p.ac_unprotected_limit_m(practice, before == "inverter", sheathed)
    return rule_p.unprotected_limit_m(practice, before == "battery", sheathed)


def near_enough(needs: Needs, piece: Piece) -> bool:
    """Whether a piece before its protection is no longer than it may be in a sheath."""
    limit_m = _lead_limit_m(needs.rules.practice, piece.before, sheathed=True)
    return not piece.before or cut_mm(needs, piece.metres) / 1000 <= limit_m + 1e-9


def lies_in_sheath(needs: Needs, piece: Piece) -> bool:
    """Whether a piece before its protection is too long to lie as it is, and takes a conduit."""
    limit_m = _lead_limit_m(needs.rules.practice, piece.before, sheathed=False)
    return bool(piece.before) and cut_mm(needs, piece.metres) / 1000 > limit_m + 1e-9


def _asks_earth(shelf: Shelf, run: Run, live: Cable) -> float:
    if not run.earthed or EARTH_CABLE.name in shelf.unknown:
        return 0.0
    return rule_g.earth_least_mm2(shelf.needs.rules.practice, live.area_mm2)


def conductor_ohm_per_m(needs: Needs, plus: Cable, minus: Cable) -> float:
    """Resistance of a conductor at work: of two poles the larger."""
    worst = max(plus.ohm_per_km_20c, minus.ohm_per_km_20c)
    return float(rule_c.resistance_ohm_per_m(worst, needs.rules.conductor_c))


def seats(shelf: Shelf, run: Run) -> list[Seat]:
    """Every protection that could guard a run, each with its holder; one empty for `none`."""
    if run.protected == "none":
        return [(None, None)]
    if run.protected == "block":
        fuses = shelf.block_fuses.get(run.fuse_kind or "", ())
        return [(f, None) for f in fuses if f.max_v >= run.highest_v]
    return [
        (protection, holder)
        for protection, holder in shelf.protections
        if protection.max_v >= run.highest_v
        and protection.breaking_ka >= run.breaking_ka
        and (holder is None or _holder_stands(holder, run))
    ]


def _holder_stands(holder: Holder, run: Run) -> bool:
    """Whether a holder stands the run's voltage and, of the main fuse, what that must break."""
    main = run.breaking_ka > BEHIND_MAIN_KA
    breaks = holder.breaking_ka is None or not main or holder.breaking_ka >= run.breaking_ka
    return breaks and holder.max_v >= run.highest_v


def wire(
    shelf: Shelf, conductor: Conductor, seat: Seat, design_a: float = 0.0
) -> Option | None:
    """One way to wire a run; None where a terminal has no lug that fits.

    Beside others its conductor carries what its protection lets through; without a protection
    the design current that is given. What bears the run's current with that carries it too.
    """
    protection, holder = seat
    rated = math.inf if protection is None else protection.rated_a
    option = _option(
        shelf, conductor.pieces, conductor.plus, conductor.minus, protection, holder,
        ampacity=conductor.ampacity_a, ohm=conductor.ohm_per_m, drop_cap=conductor.drop_cap_a,
        cap=min(conductor.ampacity_a, rated) / shelf.needs.rules.continuous,
        asks_earth=conductor.asks_earth_mm2,
    )  # fmt: skip
    if option is None:
        return None
    if conductor.holes:
        option = replace(option, holes=conductor.holes, hole_mm2=conductor.hole_mm2)
    if not conductor.legs:
        return option
    most = conductor.most_loaded(design_a if protection is None else rated)
    return replace(option, legs=conductor.legs, most_loaded=most)


def earth_options(shelf: Shelf, run: Run, most_mm2: float) -> list[Option]:
    """Every earthing conductor of one piece, of which no more than an area can be asked."""
    found = []
    for cable in shelf.earths:
        ampacity = conductor_ampacity_a(shelf.needs, run.route, cable)
        ohm = conductor_ohm_per_m(shelf.needs, cable, cable)
        pieces = run.pieces("battery")
        option = _option(
            shelf, pieces, cable, cable, None, None,
            ampacity=ampacity, ohm=ohm, drop_cap=math.inf, cap=math.inf,
        )  # fmt: skip
        if option is not None:
            found.append(replace(option, earth_mm2=min(cable.area_mm2, most_mm2)))
    return found


def ac_options(
    shelf: Shelf, run: Run, amps: float, kind: str, count: int, *, shares: bool
) -> list[Option]:
    """Every way to wire an AC circuit of a current, with so many outlets of a kind.

    Where it `shares`, breakers of circuits from the same source may be in one box, which takes
    several; it is then counted apart.
    A breaker with residual-current release stands at its source, rated for the current and for
    no more than its conductor and its outlets carry. Without a breaker outlets carry the current.
    """
    continuous = shelf.needs.rules.continuous
    found = []
    for conductor in conductors(shelf, run):
        carries = min(conductor.ampacity_a / continuous, conductor.drop_cap_a)
        if carries < amps - 1e-9:
            continue
        for seat in _ac_seats(shelf, run):
            protection = seat[0]
            rated = continuous * amps if protection is None else protection.rated_a
            most = conductor.limit_a if protection is not None else math.inf
            if not continuous * amps - 1e-9 <= rated <= most:
                continue
            option = wire(shelf, conductor, seat, continuous * amps)
            if option is None:
                continue
            if shares and option.holder is not None and option.holder.ways > 1:
                option = _without_box(option, option.holder)
            found += [_with_outlet(option, x, count) for x in _outlets(shelf, kind, rated)]
    return found


def _without_box(option: Option, box: Holder) -> Option:
    takes = {name: n for name, n in option.takes.items() if name != box.part}
    return replace(option, takes=takes, kg=option.kg - box.kg, shares=True)


def _ac_seats(shelf: Shelf, run: Run) -> Iterable[Seat]:
    if AC_BREAKER.name in shelf.unknown:
        return [(None, None)]
    rules = shelf.needs.rules
    return [
        (b, box)
        for b, box in shelf.ac_breakers
        if isinstance(b, Breaker)
        and (b.residual_ma or math.inf) <= rule_p.residual_limit_ma(rules.practice)
        and b.max_v >= run.highest_v
        and b.breaking_ka >= rule_p.ac_breaking_ka(run.highest_v)
        and (box is None or (box.max_v >= run.highest_v and box.rated_a >= b.rated_a))
    ]


def _outlets(shelf: Shelf, kind: str, rated_a: float) -> Iterable[Socket | None]:
    """Sockets or inlets that carry what the protection lets through."""
    if {"socket": SOCKET, "inlet": INLET}[kind].name in shelf.unknown:
        return [None]
    ac_v = shelf.needs.rules.ac_v
    return [
        x
        for x in shelf.sockets
        if x.kind == kind and rule_p.serves_ac_v(x.ac_v, ac_v) and x.rated_a >= rated_a - 1e-9
    ]


def _with_outlet(option: Option, outlet: Socket | None, count: int) -> Option:
    if outlet is None:
        return option
    takes = {**option.takes, outlet.part: option.takes.get(outlet.part, 0) + count}
    kg = option.kg + outlet.kg * count
    return replace(option, takes=takes, kg=kg, outlet=outlet, outlets=count)


def conductor_ampacity_a(
    needs: Needs, route: Route, cable: Cable, loaded: int | None = None
) -> float:
    """Corrected ampacity of a cable on a way, with so many loaded conductors on its fullest leg.

    Without a number its own two and those stated.
    """
    return rule_c.ampacity_a(
        needs.rules.practice,
        cable.area_mm2,
        cable.insulation_c,
        route.ambient_c,
        2 + route.loaded if loaded is None else loaded,
        route.engine_space,
    )


def _option(
    shelf: Shelf,
    pieces: tuple[Piece, ...],
    plus: Cable,
    minus: Cable,
    protection: Fuse | Breaker | None,
    holder: Holder | None,
    *,
    ampacity: float,
    ohm: float,
    drop_cap: float,
    cap: float,
    asks_earth: float = 0.0,
) -> Option | None:
    takes: Counter[str] = Counter()
    hub: Counter[tuple[str, float]] = Counter()
    rows: list[tuple[str | None, ...]] = []
    kg = 0.0
    seat = holder if holder is not None else protection
    for piece in pieces:
        cable = minus if piece.pole == "-" else plus
        mm = cut_mm(shelf.needs, piece.metres)
        takes[cable.part] += mm
        kg += cable.kg * mm / 1000
        row: list[str | None] = []
        for mouth in piece.mouths:
            if mouth.at in HUB:
                hub[(mouth.at, cable.area_mm2)] += 1
                row.append(None)
                continue
            stud = seat.stud if mouth.at == "fuse" and seat is not None else mouth.stud
            if stud is None:
                row.append(None)
                continue
            end = shelf.lug(cable.area_mm2, stud)
            if end is None:
                return None
            row.append(end)
            takes[end] += 1
        rows.append(tuple(row))
    for one in (protection, holder):
        if one is not None:
            takes[one.part] += 1
    kg += sum(_kg(shelf, p) * n for p, n in takes.items())
    return Option(
        plus=plus,
        minus=minus,
        protection=protection,
        holder=holder,
        ampacity_a=ampacity,
        ohm_per_m=ohm,
        cap_a=min(cap, drop_cap),
        drop_cap_a=drop_cap,
        pieces=pieces,
        ends=tuple(rows),
        takes=dict(takes),
        hub_ends=dict(hub),
        kg=kg,
        asks_earth_mm2=asks_earth,
    )


def _kg(shelf: Shelf, name: str) -> float:
    """The mass of one piece of a part; cables and lugs are weighed elsewhere."""
    part = shelf.market.parts.get(name)
    return 0.0 if part is None or isinstance(part, Cable | Lug) else part.kg


def array_options(shelf: Shelf, route: Route, desk: str, loaded: Sequence[int]) -> list[Option]:
    """Every way to bring an array's two poles to its controller at a desk.

    Cable, connector halves, and the isolator that stands beside the controller. `loaded` tells how
    many loaded conductors may lie together on the way. Panels on the ground have an inlet too, and
    never go without the isolator: what is plugged in there must be dead when it is pulled.
    """
    isolates = isolates_at(shelf, desk)
    needs, lead = shelf.needs, lead_on(shelf.needs, route)
    if lead is not None and not isolates:
        return []
    pieces = array_pieces(route.length_m, isolated=isolates, lead=lead)
    stand = (x for x in shelf.isolators if bears_climate(x, needs.place(desk), needs.site))
    seats: tuple[Switch | None, ...] = tuple(stand) if isolates else (None,)
    holes = holes_on(shelf.needs, route)
    built = [
        _array_option(shelf, pieces, cables, figures, halves, isolator, inlet)
        for cables, figures in zip(
            shelf.cables.get("pv", ()), array_conductors(shelf, route, loaded), strict=True
        )
        for halves in _halves(shelf, cables[0].area_mm2)
        for isolator in seats
        for inlet in _inlets(shelf, lead, cables[0].area_mm2)
    ]
    if lead is not None:
        built = [None if x is None else replace(x, inlet_place=lead.inlet_place) for x in built]
    found = [replace(x, legs=legs_of(route)) for x in built if x is not None]
    if not holes:
        return found
    return [
        replace(o, holes=holes, hole_mm2=taken_mm2(o.pieces, o.plus, o.minus)) for o in found
    ]


def isolates_at(shelf: Shelf, desk: str) -> bool:
    """Whether arrays whose controller stands there have an isolator beside it."""
    return ARRAY_ISOLATOR.name not in shelf.unknown and shelf.needs.place(desk).may_hold(
        "switch"
    )


def _inlets(shelf: Shelf, lead: Lead | None, area_mm2: float) -> Iterable[PvInlet | None]:
    """The inlets that a lead of so thick a cable may end at; one empty where there is no lead."""
    if lead is None:
        return [None]
    place, site = shelf.needs.place(lead.inlet_place), shelf.needs.site
    return [
        x
        for x in shelf.inlets
        if x.area_to_mm2 >= area_mm2 - 1e-9 and fits_alone(x, place, site)
    ]


def array_pieces(
    length_m: float, *, isolated: bool, lead: Lead | None = None
) -> tuple[Piece, ...]:
    """Both poles from the panels to a controller, cut at the isolator beside it.

    From panels on the ground they are cut at the inlet as well, where their lead ends.
    """
    poles = ("+", "-")
    outside: tuple[Piece, ...] = ()
    start = "panel"
    if lead is not None:
        length_m, start = length_m - lead.length_m, "inlet out"
        outside = tuple(
            Piece(p, lead.length_m, (Mouth("panel", p), Mouth("inlet in", p))) for p in poles
        )
    if not isolated:
        inside = [Piece(p, length_m, (Mouth(start, p), Mouth("sink", p))) for p in poles]
        return (*outside, *inside)
    short = min(LEAD_M, length_m / 2)
    inside = [
        piece
        for p in poles
        for piece in (
            Piece(p, length_m - short, (Mouth(start, p), Mouth("isolator in", p))),
            Piece(p, short, (Mouth("isolator out", p), Mouth("sink", p))),
        )
    ]
    return (*outside, *inside)


def _array_option(
    shelf: Shelf,
    pieces: tuple[Piece, ...],
    cables: tuple[Cable, Cable],
    figures: tuple[tuple[float, ...], float],
    halves: tuple[Connector, Connector],
    isolator: Switch | None,
    inlet: PvInlet | None,
) -> Option | None:
    """One of them; None where the isolator's studs have no lug for the cable."""
    plus, minus = cables
    plug, socket = halves
    takes: Counter[str] = Counter()
    kg = plug.kg + socket.kg
    for piece in pieces:
        cable = minus if piece.pole == "-" else plus
        mm = cut_mm(shelf.needs, piece.metres)
        takes[cable.part] += mm
        kg += cable.kg * mm / 1000
    takes[plug.part] += 1
    takes[socket.part] += 1
    for device in (isolator, inlet):
        if device is not None:
            takes[device.part] += 1
            kg += device.kg
    made_up: dict[str, str | None] = {"panel+": plug.part, "panel-": socket.part}
    if isolator is not None and isolator.stud is not None:
        lug = shelf.lug(plus.area_mm2, isolator.stud)
        if lug is None:
            return None
        takes[lug] += 4
        made_up |= {f"isolator {side}{pole}": lug for side in ("in", "out") for pole in "+-"}
    ends = tuple(
        tuple(made_up.get(f"{m.at}{m.pole}") for m in piece.mouths) for piece in pieces
    )
    return Option(
        plus=plus,
        minus=minus,
        protection=None,
        holder=None,
        ampacity_a=figures[0][0],
        stands_a=figures[0],
        ohm_per_m=figures[1],
        cap_a=math.inf,
        drop_cap_a=math.inf,
        pieces=pieces,
        ends=ends,
        takes=dict(takes),
        hub_ends={},
        kg=kg,
        connector_a=min(plug.rated_a, socket.rated_a),
        connector_v=min(plug.max_v, socket.max_v),
        halves=halves,
        isolator=isolator,
        inlet=inlet,
    )


def array_conductors(
    shelf: Shelf, route: Route, loaded: Sequence[int]
) -> list[tuple[tuple[float, ...], float]]:
    """Of each cable that brings an array to its controller: ampacities, and ohms a metre.

    The ampacities are those with so many loaded conductors together.
    """
    return [
        (
            tuple(a for _, a in _stands(shelf.needs, route, loaded, plus, minus)),
            conductor_ohm_per_m(shelf.needs, plus, minus),
        )
        for plus, minus in shelf.cables.get("pv", ())
    ]


def _halves(shelf: Shelf, area_mm2: float) -> Iterable[tuple[Connector, Connector]]:
    fit = [c for c in shelf.connectors if c.area_from_mm2 <= area_mm2 <= c.area_to_mm2]
    for plug in fit:
        for socket in fit:
            if plug.kind == "plug" and socket.kind == "socket":
                yield plug, socket
