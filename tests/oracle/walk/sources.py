"""From every source outwards: protection, isolation, the shunt, polarity, short circuits.

The topology is taken from the pieces alone; what circuits claim is checked in `runs`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from tests.oracle.walk.ampacities import strand_a
from tests.oracle.walk.runs import near_its_source
from tests.oracle.walk.wires import POLES, Spot, Strand, Wires
from tests.oracle.walk.world import World, trade_v

DC_USERS = ("controller", "inverter", "charger", "converter")
"""Devices that both poles of the bank must reach."""


def walk_sources(world: World, wires: Wires) -> None:
    """Every walk from a source."""
    with world.about("bank"):
        tops, bottoms = _strings(world, wires)
        _shorted(world, wires, tops, bottoms)
        _reaches_all(world, wires, tops, "+")
        _reaches_all(world, wires, bottoms, "-")
        _nothing_bare(world, wires, tops)
        _switched(world, wires, tops)
        _behind_shunt(world, wires, bottoms)
        _never_the_fuse(world, wires, tops)
    _panels_apart(world, wires)
    for core in wires.cores:
        _pole(world, core)


def _battery_spot(name: str, pole: str) -> Spot:
    return Spot(name, "", pole)


# --- the bank ---------------------------------------------------------------------------------


def _strings(world: World, wires: Wires) -> tuple[list[Spot], list[Spot]]:
    """The free positive and negative posts; each string between them has the voltage asked for."""
    stated, batteries = world.document["bank"], world.of_class("battery")
    same = {world.devices[b]["part"] for b in batteries} == {stated["battery"]}
    world.must(same, "the batteries of the bank are not all alike", "bank")
    world.must(
        len(batteries) == stated["series"] * stated["parallel"],
        f"{len(batteries)} batteries are there",
        "bank",
    )
    world.must(
        sorted(stated["batteries"]) == sorted(batteries), "it lists other batteries", "bank"
    )
    follows: dict[str, str] = {}
    for core in wires.cores:
        ends = {
            s.pole: s.thing for s in (core.a, core.b) if world.class_of(s.thing) == "battery"
        }
        if set(ends) == {"+", "-"}:
            world.must(
                ends["-"] not in follows and ends["+"] not in follows.values(),
                "a post is in two links",
                ends["-"],
            )
            follows[ends["-"]] = ends["+"]
    firsts = [b for b in batteries if b not in follows.values()]
    lasts = []
    for first in firsts:
        string = [first]
        while string[-1] in follows and len(string) <= len(batteries):
            string.append(follows[string[-1]])
        volts = sum(trade_v(world.device_part(b, "battery").nominal_v) for b in string)
        world.must(
            abs(volts - world.volts) < 1e-6,
            f"the string {', '.join(string)} has {volts:g} V, the system {world.volts:g} V",
            "bank",
        )
        lasts.append(string[-1])
    world.must(
        len(firsts) == stated["parallel"], f"{len(firsts)} strings are linked up", "bank"
    )
    return [_battery_spot(b, "+") for b in firsts], [_battery_spot(b, "-") for b in lasts]


def _links(wires: Wires) -> set[int]:
    """The cores between batteries of one string: one pole at one end, the other at the other."""
    return {id(c) for c in wires.cores if {c.a.pole, c.b.pole} == {"+", "-"}}


def _shorted(world: World, wires: Wires, tops: list[Spot], bottoms: list[Spot]) -> None:
    """No way leads from one pole of anything to its other."""
    links = _links(wires)
    reached = wires.region(tops, lambda s: id(s) not in links)
    wrong = sorted({s.thing for s in reached if s in set(bottoms) or s.pole == "-"})
    world.must(not wrong, f"positive and negative meet at {', '.join(wrong)}", "bank")
    world.must(set(tops) <= wires.region(tops[:1]), "strings do not meet", "bank")


def _users(world: World) -> list[str]:
    dc = [name for name, loads in world.loads.items() if loads[0].supply == "dc"]
    return world.of_class(*DC_USERS) + dc


def _reaches_all(world: World, wires: Wires, posts: list[Spot], pole: str) -> None:
    links = _links(wires)
    for post in posts:
        reached = wires.region([post], lambda s: id(s) not in links)
        for name in _users(world):
            there = any(s.thing == name and s.pole == pole and not s.port for s in reached)
            world.must(there, f"pole {pole} of {post.thing} does not reach it", name)


def _nothing_bare(world: World, wires: Wires, tops: list[Spot]) -> None:
    """On a source's positive post there is one conductor, and it leads to a protection."""
    posts = [*tops, *{s for c in wires.cores for s in (c.a, c.b) if s.thing == "engine battery"
                      and s.pole == "+"}]  # fmt: skip
    links = _links(wires)
    for post in posts:
        bare = wires.region([post], lambda s: s.kind != "fuse" and id(s) not in links) - {post}
        kinds = {world.class_of(s.thing) for s in bare}
        world.must(
            len(bare) == 1 and kinds == {"protection"},
            "unprotected, its positive leads to "
            + (", ".join(sorted({s.thing for s in bare})) or "nothing"),
            post.thing,
        )
    for name in world.of_class("battery"):
        inner = _battery_spot(name, "+")
        if inner not in tops:
            beside = {s.other(inner).thing for s in wires.beside.get(inner, ())}
            odd = sorted(t for t in beside if world.class_of(t) != "battery")
            world.must(not odd, f"the middle of a string is tapped by {', '.join(odd)}", name)


def _switched(world: World, wires: Wires, tops: list[Spot]) -> None:
    """With the battery switch open the bank's positive reaches nothing but the switch."""
    switches = [name for name in world.of_class("switch") if not world.is_isolator(name)]
    world.must(len(switches) == 1, f"{len(switches)} battery switches are there", "bank")
    reached = wires.region(tops, lambda s: s.kind != "switch")
    allowed = ("battery", "protection", "switch")
    odd = sorted(
        {s.thing for s in reached if s.pole != "-" and world.class_of(s.thing) not in allowed}
    )
    world.must(not odd, f"not isolated by the switch: {', '.join(odd)}", "bank")


def _behind_shunt(world: World, wires: Wires, bottoms: list[Spot]) -> None:
    """Nothing but the shunt is on the bank's negative."""
    links = _links(wires)
    reached = wires.region(bottoms, lambda s: s.kind != "shunt" and id(s) not in links)
    odd = sorted(
        {s.thing for s in reached if world.class_of(s.thing) not in ("battery", "monitor")}
    )
    world.must(not odd, f"on the bank's side of the shunt: {', '.join(odd)}", "bank")


def _never_the_fuse(world: World, wires: Wires, tops: list[Spot]) -> None:
    """Whatever the bank and an engine can drive into a conductor, a fuse opens before it burns.

    From each end of each positive conductor: what fuses let through from there is no more than
    it carries, or it is a lead of 7 in to a protection that is no more. Into a string's own cable
    each other string is counted by itself: that a fuse in every string, no larger than its cable,
    is enough for any number of them is common practice, no source.
    """
    engines = [s for c in wires.cores for s in (c.a, c.b)
               if s.thing == "engine battery" and s.pole == "+"]  # fmt: skip
    strings = {c["name"] for c in world.circuits_of("battery")}
    links = _links(wires)
    for core in wires.cores:
        if core.cut is None or id(core) in links or _sign(core) != "+":
            continue
        alone = core.cut["circuit"] in strings
        groups = [[top] for top in tops] if alone else [tops]
        with world.about(f"piece {core.cut['label']}"):
            for sources in [*groups, engines]:
                _guarded(world, wires, core, sources)


def _sign(core: Strand) -> str:
    """The pole of a core; on a bar it stands with the piece's end alone."""
    stated = core.cut["ends"][0]["pole"] if core.cut else ""
    return core.a.pole or core.b.pole or stated


def _guarded(world: World, wires: Wires, core: Strand, sources: list[Spot]) -> None:
    """What one source lets into a conductor from either end is no more than it carries."""
    if not sources or core.cut is None:
        return
    carries = strand_a(world, core)
    for near, far in ((core.a, core.b), (core.b, core.a)):
        let_a = wires.inflow_a(sources, near, core)
        if let_a <= carries * (1 + 1e-9) or _short_lead(world, wires, core, far):
            continue
        what = f"{let_a:g} A may flow and it carries {carries:.1f} A"
        what = "nothing protects it" if math.isinf(let_a) else what
        world.say(f"{what}, from {near.thing}", f"piece {core.cut['label']}")


def _short_lead(world: World, wires: Wires, core: Strand, far: Spot) -> bool:
    """Whether a core is as short as may be and ends at a protection that guards it."""
    if core.cut is None:
        return False
    circuit = next(c for c in world.circuits if c["name"] == core.cut["circuit"])
    fuses = [s for s in wires.beside.get(far, ()) if s.kind == "fuse"]
    only = len(wires.beside.get(far, ())) == 1 + len(fuses)
    small = all(f.rated_a <= strand_a(world, core) * (1 + 1e-9) for f in fuses)
    near = near_its_source(world, circuit, core.cut)
    return bool(fuses) and only and small and near


# --- arrays, poles ----------------------------------------------------------------------


def _panels_apart(world: World, wires: Wires) -> None:
    """An array's wires lead to its own controller and touch nothing of the bank's."""
    for array in world.document["arrays"]:
        desk, panels = array["controller"], array["panels"]
        for pole, at in (
            ("+", panels[:1]),
            ("-", panels[array["series"] - 1 : array["series"]]),
        ):
            for panel in at:
                reached = wires.region([Spot(panel, "", pole)])
                things = {s.thing for s in reached} - set(panels)
                known = {t for t in things if world.class_of(t) in
                         ("protection", "switch", "isolator", "combiner", "breaker", "pv_inlet")}  # fmt: skip
                world.must(
                    Spot(desk, "pv", pole) in reached,
                    f"pole {pole} of {panel} is not led to it",
                    desk,
                )
                odd = sorted(things - known - {desk})
                world.must(not odd, f"the array's pole {pole} leads to {', '.join(odd)}", desk)
                wrong = {s for s in reached if s.thing == desk and s != Spot(desk, "pv", pole)}
                world.must(not wrong, "the array is on another terminal", desk)


def _pole(world: World, core: Strand) -> None:
    """A core has one pole from end to end, and the pole of what it lands on."""
    if core.cut is None:
        return
    subject = f"piece {core.cut['label']}"
    ends = [(e, world.lands_on(e["at"])[0]) for e in core.cut["ends"]]
    at = {(thing, e["pole"]) for e, thing in ends}
    link = {s.pole for s in (core.a, core.b)} == {"+", "-"} and _both_batteries(world, core)
    if not link:
        poles = {s.pole for s in (core.a, core.b)} - {""}
        world.must(len(poles) <= 1, f"it joins {' and '.join(sorted(poles))}", subject)
    for thing, pole in at:
        right = _poles_of(world, thing)
        world.must(pole in right or pole == "", f"pole {pole} lands on {thing}", subject)
    for e, _ in ends:
        port = e["at"].rsplit(":", 1)[-1]
        sign = (
            port
            if port in ("+", "-")
            else port[-1:]
            if port in ("pv+", "pv-", "in+", "in-")
            else ""
        )
        world.must(not sign or sign == e["pole"], f"pole {e['pole']} is at {e['at']}", subject)


def _both_batteries(world: World, core: Strand) -> bool:
    return {world.class_of(s.thing) for s in (core.a, core.b)} == {"battery"}


LANDS = {
    "monitor": ("-",),
    "switch": ("+",),
    "isolator": ("+", "-"),
    "pv_inlet": ("+", "-"),
    "protection": ("+", "L", "N", "PE"),
    "block": ("+", "-"),
    "battery": ("+", "-"),
    "panel": ("+", "-", "PE"),
}
"""The poles that may land on a thing. On the DC side only the positive is fused; protection on the
AC side breaks line and neutral."""


def _poles_of(world: World, thing: str) -> Iterable[str]:
    """The poles that may land on a thing; any where nothing is known."""
    kind = world.class_of(thing)
    if kind == "busbar":
        return {"pos": ("+",), "neg": ("-", "PE")}.get(thing[-3:], ("+", "-", "PE"))
    if kind == "switch" and world.is_isolator(thing):
        kind = "isolator"
    if kind == "load":
        return ("+", "-") if world.loads[thing][0].supply == "dc" else ("L", "N", "PE")
    return LANDS.get(kind, POLES)
