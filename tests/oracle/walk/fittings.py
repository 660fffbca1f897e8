"""Safety fittings: isolators, sockets and inlets, bonds and earthing conductors.

A catalog that knows none of a kind can give none; from one that knows any, each kit has them.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

from tests.oracle.walk import figures
from tests.oracle.walk.wires import Wires
from tests.oracle.walk.world import Row, World, may_hold


def walk_fittings(world: World, wires: Wires) -> None:
    """Every fitting."""
    for array in world.document["arrays"]:
        with world.about(array["controller"]):
            _isolated(world, wires, array)
            _plugged_in(world, wires, array)
    for circuit in world.circuits_of("ac"):
        with world.about(circuit["name"]):
            _outlets(world, circuit)
    with world.about("earthing"):
        _earthed(world, wires)
    _linked(world)


def _isolated(world: World, wires: Wires, array: Row) -> None:
    """With its isolator open no pole of an array reaches its controller; it breaks the array."""
    name = array["controller"]
    place = world.place(world.where(name))
    known = world.known("switch", "kind", lambda kind: str(kind).startswith("pv"))
    isolators = [d for d in world.of_class("switch") if world.is_isolator(d)]
    home = {c["name"] for c in world.circuits_of("array") if c["to"] == name}
    cores = [c for c in wires.cores if c.cut is not None and c.cut["circuit"] in home]
    mine = {s.thing for c in cores for s in (c.a, c.b)} & set(isolators)
    # what is plugged in by hand has one whatever the catalog knows
    wanted = int(on_the_ground(world, array) or (known and may_hold(place, "switch")))
    world.must(len(mine) == wanted, f"{len(mine)} isolators are its own", name)
    if not mine:
        return
    starts = [s for s in wires.beside if s.thing in array["panels"] and s.pole != "PE"]
    reached = wires.region(starts, lambda s: s.name not in mine)
    past = any(s.thing == name for s in reached)
    world.must(not past, "a pole of its panels goes past its isolator", name)
    amps, volts = figures_of(world, array)
    for isolator in sorted(mine):
        part = world.device_part(isolator, "switch")
        world.must(
            part.rated_a >= amps * (1 - 1e-9), f"{isolator} breaks no {amps:.1f} A", name
        )
        world.must(
            part.max_v >= volts * (1 - 1e-9), f"{isolator} breaks no {volts:.1f} V", name
        )
        world.must(world.where(isolator) == place.name, f"{isolator} is elsewhere", name)


def on_the_ground(world: World, array: Row) -> bool:
    """Whether its panels stand on the ground."""
    return any(world.place(world.where(p)).ground for p in array["panels"])


def _plugged_in(world: World, wires: Wires, array: Row) -> None:
    """From panels on the ground both poles go through an inlet, outside which nothing is live."""
    name = array["controller"]
    inlets = set(world.of_class("pv_inlet"))
    starts = [s for s in wires.beside if s.thing in array["panels"] and s.pole != "PE"]
    reached = wires.region(starts)
    mine = sorted({s.thing for s in reached} & inlets)
    wanted = int(on_the_ground(world, array))
    world.must(len(mine) == wanted, f"{len(mine)} inlets are its own", name)
    if not (wanted and mine):
        return
    nearest = wires.region(starts, lambda s: s.name not in mine)
    past = {s.thing for s in nearest} - set(array["panels"]) - set(mine)
    world.must(not past, f"its lead leads past the inlet to {', '.join(sorted(past))}", name)
    shared = world.device_part(name, "controller").common_pole
    world.must(shared != "positive", "it puts the bank's positive on the inlet's pins", name)
    amps, volts = figures_of(world, array)
    ground = world.where(array["panels"][0])
    legs = [leg for leg in world.needs.legs if ground in (leg.from_, leg.to)]
    for inlet in mine:
        part = world.device_part(inlet, "pv_inlet")
        world.must(part.rated_a >= amps * (1 - 1e-9), f"{inlet} carries no {amps:.1f} A", name)
        world.must(part.max_v >= volts * (1 - 1e-9), f"{inlet} stands no {volts:.1f} V", name)
        dead = part.half == "plug" and part.polarised and part.cap
        world.must(dead, f"{inlet} leaves something live, or lets poles be swapped", name)
        rain = (part.ip or "").removeprefix("IP")[1:2] in tuple("456789")
        world.must(rain, f"{inlet} stands no rain", name)
        ends = {leg.from_ for leg in legs} | {leg.to for leg in legs}
        world.must(ends == {ground, world.where(inlet)}, f"{inlet} is elsewhere", name)
        for core in wires.cores:
            if core.cut is None or inlet not in (core.a.thing, core.b.thing):
                continue
            label = f"piece {core.cut['label']}"
            area = world.part(core.cut["cable"], "cable").area_mm2
            world.must(area <= part.area_to_mm2 * (1 + 1e-9), f"too thick for {inlet}", label)
            outside = bool({core.a.thing, core.b.thing} & set(array["panels"]))
            sides = {s.port for s in (core.a, core.b) if s.thing == inlet}
            world.must(sides == {"in" if outside else "out"}, f"wrong side of {inlet}", label)
            if outside:
                least = 1000 * min(leg.length_m for leg in legs)
                there = core.cut["length_mm"] - 2 * world.needs.rules.slack_mm
                world.must(there >= least - 0.5, "the lead is too short", label)


def figures_of(world: World, array: Row) -> tuple[float, float]:
    """An array's design current, and its open-circuit voltage in the cold."""
    rules, panel = world.needs.rules, world.part(array["panel"], "panel")
    once_more = 1.25 if rules.practice == "nec" else 1.0
    amps = array["parallel"] * panel.isc_a * rules.continuous * once_more
    cold = figures.cold_share(panel.voc_pct_per_c, world.needs.site.coldest_c)
    return amps, array["series"] * panel.voc_v * cold


def _outlets(world: World, circuit: Row) -> None:
    """A socket for each load, an inlet where mains come in; each carries what its breaker lets in."""
    name, ac_v = circuit["name"], world.needs.rules.ac_v
    kind = "inlet" if circuit["from"] == "shore inlet" else "socket"
    plugs = sum(x.quantity for x in world.loads.get(circuit["to"], ()))
    wanted = 1 if kind == "inlet" else plugs
    if not world.known("socket", "kind", lambda k: k == kind):
        wanted = 0
    rows = [row for row in world.document["extras"] if row.get("of") == name]
    n = sum(row["quantity"] for row in rows if world.part(row["part"], "socket").kind == kind)
    world.must(n == wanted, f"{n} of kind {kind}, and {wanted} are needed", name)
    guard = world.protections.get(circuit["protection_id"] or "")
    amps = getattr(world.part(guard["part"]), "rated_a", 0.0) if guard else circuit["design_a"]
    for row in rows:
        part = world.part(row["part"], "socket")
        world.must(part.rated_a >= amps, f"{part.part} carries no {amps:g} A", name)
        # supplies of 220 to 240 V, and of 110 to 120 V, are one: IEC 60038, from memory
        world.must(
            abs(part.ac_v - ac_v) <= 0.1 * ac_v + 1e-9, f"{part.part} is for others", name
        )


def _earthed(world: World, wires: Wires) -> None:
    """One bond of the negative bar; an earth on each case with mains in it; thick enough."""
    known = world.known("cable", "colour", lambda c: str(c).startswith("green"))
    negative = [b for b in world.of_class("busbar") if b.endswith("neg")]
    cases = world.of_class("inverter")
    for name in world.of_class("charger"):
        if world.device_part(name, "charger").kind != "engine":
            cases.append(name)
    wanted = {*cases, *negative} if known else set()
    # frames of an array are joined by their rails: one of its panels has the bond
    frames = {
        p: f"frames {n}"
        for n, a in enumerate(world.document["arrays"])
        for p in a["panels"]
        if not on_the_ground(world, a)
    }
    wanted |= set(frames.values()) if known else set()
    earths = [c for c in wires.cores if "chassis" in (c.a.thing, c.b.thing)]
    here = Counter(
        frames.get(s.thing, s.thing) for c in earths for s in (c.a, c.b) if s.thing != "chassis"
    )
    for thing in sorted({*wanted, *here}):
        world.must(here[thing] == (thing in wanted), f"{here[thing]} ways to earth", thing)
    for core in earths:
        if core.cut is not None:
            subject = f"piece {core.cut['label']}"
            thing = next((s.thing for s in (core.a, core.b) if s.thing != "chassis"), "chassis")
            practice = world.needs.rules.practice
            if thing in frames:
                least = figures.frame_mm2(practice)
            else:
                least = figures.earth_mm2(practice, _live_mm2(world, thing, negative))
            area = world.part(core.cut["cable"], "cable").area_mm2
            world.must(area >= least * (1 - 1e-9), f"{area:g} mm² of {least:g} mm²", subject)


def _live_mm2(world: World, thing: str, negative: list[str]) -> float:
    """The thickest conductor that a fault could come from: to the bars, or to the device."""
    if thing in negative:
        live = [c for c in world.circuits_of("link") if c["conductors"] > 1]
    else:
        power = [c for c in world.circuits if c["kind"] in ("inverter", "charger")]
        live = [c for c in power if thing in (c["from"], c["to"])]
    pieces = [cut for c in live for cut in world.pieces_of(c["name"])]
    return max((world.part(cut["cable"], "cable").area_mm2 for cut in pieces), default=0.0)


def _linked(world: World) -> None:
    """What speaks a bus that every monitor hears has one link: batteries one after the other."""
    heard = [_buses(p) for p in world.parts.values() if p.cls == "monitor"]
    common = set.intersection(*heard) if heard else set()
    links = world.document.get("links", [])
    starts = Counter(link["from"] for link in links)
    for name in world.devices:
        part = world.parts.get(world.devices[name]["part"])
        talks = world.class_of(name) in TALKERS and bool(_buses(part) & common)
        world.must(starts[name] == int(talks), f"{starts[name]} comm links leave it", name)
    bank = world.document["bank"]["batteries"]
    before = dict(zip(bank[1:], bank, strict=False))
    for link in links:
        subject = f"link of {link['from']}"
        with world.about(subject):
            a, b = world.device_part(link["from"]), world.device_part(link["to"])
            cable = world.part(link["part"], "comm_cable")
            first = world.of_class("monitor")[:1]
            goal = before.get(link["from"], *first) if first else link["to"]
            world.must(link["to"] == goal, f"it leads to {link['to']}", subject)
            world.must(
                cable.bus in _buses(a) & _buses(b), f"it is a {cable.bus} cable", subject
            )
            sockets = [getattr(x, "comm_plug", None) for x in (a, b)]
            fits = any(
                all(s in (None, plug) for s, plug in zip(sockets, way, strict=True))
                for way in ((cable.plug_a, cable.plug_b), (cable.plug_b, cable.plug_a))
            )
            world.must(fits, f"its plugs do not go into {sockets}", subject)
            metres = world.way_m(world.where(link["from"]), world.where(link["to"]))
            world.same(link["length_m"], metres, "length", subject)
            least = metres + 2 * world.needs.rules.slack_mm / 1000
            world.must(cable.run_m >= least - 1e-6, f"{cable.run_m} m of {least} m", subject)


TALKERS = ("battery", "controller", "inverter", "charger")
"""What is to be heard over a bus."""


def _buses(part: Any) -> set[str]:
    return {x.strip() for x in (getattr(part, "comm", None) or "").split("/") if x.strip()}
