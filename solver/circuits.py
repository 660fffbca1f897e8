"""The runs of a job: every circuit's way and ends, before conductors and parts are chosen.

Topology: strings → controller → fuse → bus bars; battery string → fuse → switch → positive bar,
with the shunt in the negative; bus bars → fuse → inverter, chargers, fuse blocks, heavy loads;
fuse block → loads; inverter → AC loads. Whatever the bank can feed a fault into has its fuse at
the end nearest the bank.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from solver.candidates import BankCandidate, Setting, inlet_place
from solver.needs import Load, Needs
from solver.parts import Holder
from solver.routes import Route, route
from solver.rules import protection as rule_p
from solver.wiring import LEAD_M, Mouth, Piece, Run

ENGINE_STUD = "M8"
"""Clamp bolt of an engine battery; common practice, no source."""

CHASSIS_STUD = "M8"
"""Bolt in the chassis, the hull or the earth bar; common practice, no source."""

EARTH_STUD = "M6"
"""Earth bolt on the case of an inverter or a charger, or on a frame; common practice, no source."""

ENGINE_V = 12.0
ENGINE_HIGHEST_V = 16.0
"""Highest voltage of a 12 V vehicle's charging system; common practice, no source."""


def way(needs: Needs, start: str, goal: str) -> Route:
    """A route that is known to exist."""
    found = route(needs, start, goal)
    if found is None:
        raise AssertionError(f"no way from {start} to {goal}")
    return found


def fused(
    length_m: float, source: str, sink: str, source_stud: str | None, sink_stud: str | None
) -> tuple[Piece, ...]:
    """Two poles of single cores with a protection near the source in the positive."""
    lead = min(LEAD_M, length_m / 2)
    return (
        Piece(
            "+",
            lead,
            (Mouth(source, "+", source_stud), Mouth("fuse", "+")),
            before="battery" if source == "engine" else "bar",
        ),
        Piece("+", length_m - lead, (Mouth("fuse", "+"), Mouth(sink, "+", sink_stud))),
        Piece("-", length_m, (Mouth(source, "-", source_stud), Mouth(sink, "-", sink_stud))),
    )


def _always(pieces: tuple[Piece, ...]) -> Callable[[str], tuple[Piece, ...]]:
    return lambda _use: pieces


def _from_bar(
    needs: Needs, setting: Setting, kind: str, place: str, stud: str | None, limit_pct: float
) -> Run:
    r = way(needs, setting.hub, place)
    return Run(
        kind=kind,
        uses=("battery",),
        conductors=2,
        route=r,
        pieces=_always(fused(r.length_m, "bar", "sink", None, stud)),
        drop_limit_pct=limit_pct,
        drop_base_v=setting.voltage,
        protected="behind",
        highest_v=rule_p.highest_circuit_v(setting.chemistry, setting.voltage),
        earthed=kind == "inverter",
    )


def inverter_run(needs: Needs, setting: Setting, place: str, stud: str | None) -> Run:
    """Bus bars to inverter."""
    return _from_bar(needs, setting, "inverter", place, stud, needs.rules.drop_pct.inverter)


def charger_run(
    needs: Needs, setting: Setting, place: str, stud: str | None, *, mains: bool = False
) -> Run:
    """Bus bars to a charger's output; one for the mains has an earthed case."""
    run = _from_bar(needs, setting, "charger", place, stud, needs.rules.drop_pct.charger)
    return replace(run, earthed=mains)


def controller_run(needs: Needs, setting: Setting, place: str) -> Run:
    """Bus bars to a controller, which takes bare wire."""
    return _from_bar(needs, setting, "controller", place, None, needs.rules.drop_pct.charger)


def direct_load_run(needs: Needs, setting: Setting, place: str) -> Run:
    """Bus bars to a load with a protection of its own."""
    return _from_bar(needs, setting, "load", place, None, needs.rules.drop_pct.load)


def bank_run(needs: Needs, setting: Setting, bank: BankCandidate) -> Run:
    """One string of the bank to switch and shunt, its series links included."""
    r = way(needs, bank.place, setting.hub)
    stud = bank.battery.stud
    lead = min(LEAD_M, r.length_m / 2)
    link = Piece(
        "-", needs.rules.in_place_m, (Mouth("cell", "-", stud), Mouth("cell", "+", stud))
    )
    pieces = (
        Piece("+", lead, (Mouth("source", "+", stud), Mouth("fuse", "+")), before="battery"),
        Piece("+", r.length_m - lead, (Mouth("fuse", "+"), Mouth("switch", "+"))),
        Piece("-", r.length_m, (Mouth("source", "-", stud), Mouth("shunt", "-"))),
        *([link] * (bank.series - 1)),
    )
    return Run(
        kind="battery",
        uses=("battery",),
        conductors=2,
        route=r,
        pieces=_always(pieces),
        drop_limit_pct=needs.rules.drop_pct.battery,
        drop_base_v=setting.voltage,
        protected="main",
        highest_v=rule_p.highest_circuit_v(setting.chemistry, setting.voltage),
        breaking_ka=bank.short_circuit_ka,
        link_m=needs.rules.in_place_m if bank.series > 1 else 0.0,
    )


def link_run(needs: Needs, setting: Setting) -> Run:
    """Switch and shunt to the bus bars; protected by the strings' fuses."""
    r = way(needs, setting.hub, setting.hub)
    return Run(
        kind="link",
        uses=("battery",),
        conductors=2,
        route=r,
        pieces=_always(
            (
                Piece("+", r.length_m, (Mouth("switch", "+"), Mouth("bar", "+"))),
                Piece("-", r.length_m, (Mouth("shunt", "-"), Mouth("bar", "-"))),
            )
        ),
        drop_limit_pct=needs.rules.drop_pct.battery,
        drop_base_v=setting.voltage,
        protected="none",
        highest_v=rule_p.highest_circuit_v(setting.chemistry, setting.voltage),
        earthed=True,
    )


def bond_run(needs: Needs, setting: Setting) -> Run:
    """The one bond of the negative bus bar to the chassis."""
    return _earth_run(needs, setting.hub, Mouth("bar", "PE"))


def frames_run(needs: Needs, place: str) -> Run:
    """The frames of an array, joined by their rails, to the chassis where they lie."""
    return _earth_run(needs, place, Mouth("frame", "PE", EARTH_STUD))


def earth_run(needs: Needs, place: str) -> Run:
    """The case of an inverter or a charger to the chassis beside it."""
    return _earth_run(needs, place, Mouth("case", "PE", EARTH_STUD))


def _earth_run(needs: Needs, place: str, start: Mouth) -> Run:
    r = way(needs, place, place)
    piece = Piece("PE", r.length_m, (start, Mouth("chassis", "PE", CHASSIS_STUD)))
    return Run(
        kind="bond",
        uses=("battery",),
        conductors=1,
        route=r,
        pieces=_always((piece,)),
        drop_limit_pct=math.inf,
        drop_base_v=0.0,
        protected="none",
        highest_v=0.0,
    )


def feed_run(needs: Needs, setting: Setting) -> Run:
    """Bus bars to a fuse block beside them, whichever it is."""
    run = _from_bar(needs, setting, "feed", setting.hub, None, needs.rules.drop_pct.battery)
    r = run.route
    return replace(run, pieces=_always(fused(r.length_m, "bar", "feed", None, None)))


def block_load_run(needs: Needs, setting: Setting, block: Holder, place: str) -> Run:
    """A way of a fuse block to a load, in one two-core cable or two single cores."""
    r = way(needs, setting.hub, place)

    def pieces(use: str) -> tuple[Piece, ...]:
        plus = (Mouth("block", "+"), Mouth("sink", "+"))
        minus = (Mouth("block", "-"), Mouth("sink", "-"))
        if use == "pair":
            return (Piece("", r.length_m, plus + minus),)
        return (Piece("+", r.length_m, plus), Piece("-", r.length_m, minus))

    return Run(
        kind="load",
        uses=("pair", "battery"),
        conductors=2,
        route=r,
        pieces=pieces,
        drop_limit_pct=needs.rules.drop_pct.load,
        drop_base_v=setting.voltage,
        protected="block",
        highest_v=rule_p.highest_circuit_v(setting.chemistry, setting.voltage),
        fuse_kind=block.part,
    )


def engine_run(needs: Needs, setting: Setting, place: str, stud: str | None) -> Run:
    """Engine battery to the input of an engine charger, fused at the battery."""
    r = way(needs, inlet_place(needs, ("engine",), place), place)
    return Run(
        kind="charger",
        uses=("battery",),
        conductors=2,
        route=r,
        pieces=_always(fused(r.length_m, "engine", "sink", ENGINE_STUD, stud)),
        drop_limit_pct=needs.rules.drop_pct.charger,
        drop_base_v=ENGINE_V,
        protected="behind",
        highest_v=ENGINE_HIGHEST_V,
    )


def ac_run(needs: Needs, start: str, goal: str, *, guarded: bool, from_inverter: bool) -> Run:
    """A three-core AC cable from an inverter or an inlet; a breaker near it where it is guarded."""
    r = way(needs, start, goal)
    lead = min(LEAD_M, r.length_m / 2)
    source = "inverter" if from_inverter else "inlet"
    pieces = (
        (
            Piece("", lead, _cores("source", "fuse"), before=source),
            _core_piece("fuse", r.length_m - lead),
        )
        if guarded
        else (_core_piece("source", r.length_m),)
    )
    return Run(
        kind="ac",
        uses=("ac",),
        conductors=3,
        route=r,
        pieces=_always(pieces),
        drop_limit_pct=needs.rules.drop_pct.load,
        drop_base_v=needs.rules.ac_v,
        protected="none",
        highest_v=needs.rules.ac_v,
    )


def _core_piece(start: str, metres: float) -> Piece:
    return Piece("", metres, _cores(start, "sink"))


def _cores(start: str, goal: str) -> tuple[Mouth, ...]:
    """Both ends of each core of an AC cable."""
    return tuple(
        mouth for pole in ("L", "N", "PE") for mouth in (Mouth(start, pole), Mouth(goal, pole))
    )


def load_circuits(needs: Needs, supply: str) -> list[tuple[str, tuple[Load, ...]]]:
    """Loads by circuit: those with the same circuit name share one, the others have their own."""
    found: dict[str, list[Load]] = {}
    for load in needs.loads:
        if load.supply == supply:
            found.setdefault(load.circuit or load.name, []).append(load)
    return [(name, tuple(found[name])) for name in sorted(found)]
