"""How many loaded conductors lie together on each leg, as far as is known before a kit is chosen.

Conductors that share a leg warm each other. What counts is what the needs state to be there, and
both live conductors of every circuit of the kit that passes: two poles of DC, line and neutral of
AC; a protective conductor and a comm cable carry no load. Circuits of one *kind* exclude each
other or are bounded in number, so for each leg there is a least and a most that any kit has on it.
Between the two the programme decides (`solver.model`); what is the same for every kit needs no row.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from solver.candidates import LUGS_A_STUD, Candidates, inlet_place, places_for
from solver.circuits import load_circuits
from solver.needs import Needs
from solver.routes import Between, Route, legs_of, route, stated_loaded
from solver.rules.conductor import bundling_steps

POLES = 2
"""Loaded conductors of a circuit: two poles of DC, line and neutral of AC."""

Share = Mapping[Between, int]
"""Loaded conductors by leg."""


@dataclass(frozen=True)
class Kind:
    """Circuits of one kind: what each alternative puts on the legs."""

    by_place: Mapping[str, Share]
    """By where its device stands, or any other name."""
    most: int = 1
    """So many are there at the most."""
    always: bool = False
    """One at least is in every kit."""

    def least(self, leg: Between) -> int:
        """No kit has fewer of the kind on a leg."""
        if not self.always:
            return 0
        return min((x.get(leg, 0) for x in self.by_place.values()), default=0)

    def largest(self, leg: Between) -> int:
        """What one of the kind puts on a leg at the most."""
        return max((x.get(leg, 0) for x in self.by_place.values()), default=0)


@dataclass(frozen=True)
class LegLoads:
    """What every kind of circuit may put on the legs."""

    needs: Needs
    kinds: Mapping[str, Kind]

    def counts(
        self, way: Route, kind: str, place: str | None = None, times: int = 1
    ) -> tuple[int, ...]:
        """How full the fullest leg of a circuit's way may be.

        Parameters
        ----------
        way
            Of the circuit.
        kind
            Which it is of; others of the kind may be there too.
        place
            Which of the kind's alternatives it belongs to; none where its way is all there is.
        times
            So many alike are laid together.

        Returns
        -------
        tuple of int
            Rising: the least there can be, then the end of each step of the practice's table
            below the most, then the most. All numbers within a step are as good.
        """
        legs = legs_of(way)
        if not legs:
            return (POLES,)
        one = _share([way]) if place is None else self.kinds[kind].by_place[place]
        low = max(self._least(leg, kind, times * one.get(leg, 0)) for leg in legs)
        high = max(
            self._most(leg, kind, times * one.get(leg, 0), self.kinds[kind].most - times)
            for leg in legs
        )
        ends = [n for n in bundling_steps(self.needs.rules.practice) if low <= n < high]
        return (*ends, max(low, high))

    def least(self, leg: Between) -> int:
        """No kit has fewer loaded conductors on a leg."""
        there = sum(k.least(leg) for k in self.kinds.values())
        return stated_loaded(self.needs, leg) + there

    def most(self, leg: Between) -> int:
        """No kit has more."""
        there = sum(k.most * k.largest(leg) for k in self.kinds.values())
        return stated_loaded(self.needs, leg) + there

    def _least(self, leg: Between, kind: str, own: int) -> int:
        others = sum(k.least(leg) for name, k in self.kinds.items() if name != kind)
        return stated_loaded(self.needs, leg) + own + others

    def _most(self, leg: Between, kind: str, own: int, more: int) -> int:
        others = sum(k.most * k.largest(leg) for n, k in self.kinds.items() if n != kind)
        alike = max(more, 0) * self.kinds[kind].largest(leg)
        return stated_loaded(self.needs, leg) + own + alike + others


def leg_loads(needs: Needs, found: Candidates) -> LegLoads:
    """What the circuits of any kit of a setting may put on the legs.

    A device may stand wherever its class may: whichever candidates are looked at, the least is
    no more, and the most no less, than any kit of them has.
    """
    hub = found.setting.hub

    def ways(*pairs: tuple[str, str]) -> Share:
        return _share(x for x in (route(needs, a, b) for a, b in pairs) if x is not None)

    studs = max((b.studs for b in found.busbars), default=1)
    desks = places_for(needs, "controller", hub)
    roofs = [p.name for p in needs.places if p.may_hold("panel")]
    inverters = places_for(needs, "inverter", hub)
    benches = places_for(needs, "charger", hub)
    ac = [loads[0].place for _, loads in load_circuits(needs, "ac")]
    dc = [loads[0].place for _, loads in load_circuits(needs, "dc")]
    inlets = {
        (inlet_place(needs, kinds, p), p)
        for kinds in (("shore",), ("generator",), ("generator", "shore"))
        for p in {*benches, *inverters}
    }
    engine = {(inlet_place(needs, ("engine",), p), p) for p in benches}
    kinds = {
        "load": Kind({"": ways(*((hub, p) for p in dc))}, always=True),
        "bank": Kind(
            {p: ways((p, hub)) for p in places_for(needs, "battery", hub)},
            LUGS_A_STUD,
            always=True,
        ),
        "inverter": Kind(
            {p: ways((hub, p), *((p, x) for x in ac)) for p in inverters}, always=bool(ac)
        ),
        "array": Kind({f"{a} > {b}": ways((a, b)) for a in roofs for b in desks}, studs),
        "controller": Kind({p: ways((hub, p)) for p in desks}, studs),
        "charger": Kind({p: ways((hub, p)) for p in benches}, 2),
        "engine": Kind({f"{a} > {b}": ways((a, b)) for a, b in sorted(engine)}),
        "mains": Kind({f"{a} > {b}": ways((a, b)) for a, b in sorted(inlets)}),
    }
    here = {c.kind for c in needs.charging}
    gone = {"engine"} if "engine" not in here else set()
    gone |= {"mains"} if not here & {"shore", "generator"} else set()
    gone |= {"charger"} if not here else set()
    return LegLoads(needs, {k: x for k, x in kinds.items() if k not in gone})


def _share(ways: Iterable[Route]) -> Share:
    """What circuits that take these ways put on the legs."""
    return Counter(leg for way in ways for leg in legs_of(way) for _ in range(POLES))
