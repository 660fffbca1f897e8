"""Circuit by circuit: its pieces, way, lengths, currents, conductor, drop and protection."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable

from tests.oracle.walk import figures
from tests.oracle.walk.ampacities import carried_a, legs_of, ways
from tests.oracle.walk.wires import Strand, Wires
from tests.oracle.walk.world import Absent, Row, World, together

CABLES = {
    "array": {"pv"},
    "load": {"pair", "battery"},
    "ac": {"ac"},
    "controller": {"battery"},
    "battery": {"battery"},
    "link": {"battery"},
    "inverter": {"battery"},
    "charger": {"battery"},
    "feed": {"battery"},
}
"""Cable by kind of circuit; another kind may take any."""

LIMITS = {
    "array": "array",
    "controller": "charger",
    "charger": "charger",
    "battery": "battery",
    "link": "battery",
    "feed": "battery",
    "inverter": "inverter",
    "load": "load",
    "ac": "load",
}

PORTS = {
    ("ac", "from", "inverter"): "out",
    ("ac", "to", "inverter"): "in",
    ("ac", "to", "charger"): "in",
    ("charger", "to", "charger"): "in",
}
"""On which port of a device a circuit of a kind begins or ends, where it has ports at all."""

RESIDUAL_MA = {"iso": 30.0, "abyc": 30.0, "nec": 6.0}
"""IEC 60364-4-41, 415.1.1; ABYC E-11; NEC 210.8 with class A of UL 943; all from memory."""

UNFUSED = ("array", "link", "ac", "bond", "earth", "comm")
"""Kinds of circuit that may be without a protection of their own."""

POWER = tuple(CABLES)
"""Kinds that carry current in service, which `RUNNING` gives."""


def walk_runs(world: World, wires: Wires) -> None:
    """Every circuit, and that circuits and pieces answer each other."""
    names = Counter(c["name"] for c in world.circuits)
    for name, n in names.items():
        world.must(n == 1, f"{n} circuits have this name", name)
    for cut in world.cuts:
        world.must(cut["circuit"] in names, "it belongs to no circuit", f"piece {cut['label']}")
    labels = Counter(cut["label"] for cut in world.cuts)
    for label, n in labels.items():
        world.must(n == 1 and bool(label), f"{n} pieces have this label", f"piece {label}")
    for circuit in world.circuits:
        for part_of_it in (_path, _ports, _length, _conductor, _current, _drop, _protected):
            with world.about(circuit["name"]):
                part_of_it(world, wires, circuit)
    in_strings = {
        fuse for a in world.document["arrays"] for fuse in (*a["fuses"], *a["negative_fuses"])
    }
    for p in world.protections.values():
        if p["id"] in in_strings:
            continue  # told of with the arrays
        with world.about(p["id"]):
            _protection(world, p)
    for name in world.blocks:
        with world.about(name):
            _block(world, name)
    for name in world.boxes:
        with world.about(name):
            _box(world, name)
    _nothing_missing(world)


# --- pieces and lengths -----------------------------------------------------------------------


def _own(wires: Wires, circuit: Row) -> list[Strand]:
    return [c for c in wires.cores if c.cut is not None and c.cut["circuit"] == circuit["name"]]


def _path(world: World, wires: Wires, circuit: Row) -> None:
    """The pieces of each pole are one unbroken line between the two ends."""
    cores = _own(wires, circuit)
    world.must(bool(cores), "it has no piece", circuit["name"])
    single = circuit["conductors"] == 1 and circuit["kind"] in ("link", "bond", "earth")
    usual = ("L", "N", "PE") if circuit["kind"] == "ac" else ("+", "-")
    if single or not cores:
        world.must(len(cores) == 1, f"it has {len(cores)} conductors", circuit["name"])
        things = {s.thing for c in cores for s in (c.a, c.b)}
        world.must(
            {circuit["from"], circuit["to"]} <= things, "its ends are others", circuit["name"]
        )
        if circuit["kind"] == "link":
            poles = {s.thing: s.pole for c in cores for s in (c.a, c.b)}
            right = (poles.get(circuit["from"]), poles.get(circuit["to"])) == ("-", "+")
            world.must(right, "it does not lead from - to +", circuit["name"])
        return
    poles = usual if circuit["kind"] in POWER else sorted({_pole_of(c) for c in cores})
    for pole in poles:
        _line(world, circuit, pole, [c for c in cores if _pole_of(c) == pole])
    stated = {e["pole"] for cut in world.pieces_of(circuit["name"]) for e in cut["ends"]}
    odd = stated - set(poles)
    world.must(not odd, f"it has pieces of pole {', '.join(sorted(odd))}", circuit["name"])


def _ports(world: World, wires: Wires, circuit: Row) -> None:
    """What comes in lands where it comes in, what goes out where it goes out."""
    for side in ("from", "to"):
        thing = circuit[side]
        right = PORTS.get((circuit["kind"], side, world.class_of(thing)))
        ports = {s.port for c in _own(wires, circuit) for s in (c.a, c.b) if s.thing == thing}
        wrong = ports - {right, ""} if right is not None else set()
        world.must(
            not wrong, f"it is on {', '.join(sorted(wrong))} of {thing}", circuit["name"]
        )


def _pole_of(core: Strand) -> str:
    return core.a.pole or core.b.pole or (core.cut["ends"][0]["pole"] if core.cut else "")


def _line(world: World, circuit: Row, pole: str, cores: list[Strand]) -> None:
    met = Counter(s.thing for c in cores for s in (c.a, c.b))
    starts, ends = _side(world, circuit, circuit["from"], pole), _side(
        world, circuit, circuit["to"], pole
    )  # fmt: skip
    loose = sorted(t for t, n in met.items() if n == 1)
    between = [t for t, n in met.items() if n != 1]
    fine = (
        len(loose) == 2
        and any(a in starts and b in ends for a, b in (loose, loose[::-1]))
        and all(met[t] == 2 for t in between)
        and len(cores) == len(between) + 1
        and all(c.a.thing != c.b.thing for c in cores)
    )
    world.must(
        fine,
        f"pole {pole} runs over {', '.join(sorted(met)) or 'nothing'}, "
        f"not from {' or '.join(sorted(starts))} to {' or '.join(sorted(ends))}",
        circuit["name"],
    )


def _side(world: World, circuit: Row, thing: str, pole: str) -> set[str]:
    """What one pole of a circuit may end on, where the other ends on a thing."""
    kind = world.class_of(thing)
    if kind == "busbar" and pole == "-":
        return set(world.of_class("busbar")) - {thing}
    if kind == "switch" and pole == "-":
        return set(world.of_class("monitor")) | {thing}
    if kind == "block":
        ways = {p["id"] for p in world.blocks[thing]} if pole == "+" else set()
        return {thing} | ways | (set(world.of_class("busbar")) if pole == "-" else set())
    if kind == "panel":
        array = next((a for a in world.document["arrays"] if thing in a["panels"]), None)
        return set(array["panels"]) if array else {thing}
    if kind == "battery" and pole == "-":
        bank = world.document["bank"]
        n = bank["series"]
        strings = [bank["batteries"][k : k + n] for k in range(0, len(bank["batteries"]), n)]
        return {string[-1] for string in strings if thing in string}
    return {thing}


def _length(world: World, wires: Wires, circuit: Row) -> None:
    """The way is a shortest one; each pole's pieces are that, slack at both ends, rounded up."""
    rules, name = world.needs.rules, circuit["name"]
    start, goal = ways(world, circuit)
    legs_m = world.way_m(start, goal)
    metres = legs_m + _behind_the_inlet_m(world, circuit)
    world.same(circuit["length_m"], metres, "length", name)
    passed = [start]
    for a, b in circuit["via"]:
        world.must(a == passed[-1], f"its way breaks at {a}", name)
        passed.append(b)
    along = sum(leg.length_m for leg in legs_of(world, circuit))
    world.must(passed[-1] == goal, f"its way ends in {passed[-1]}, not in {goal}", name)
    if start != goal:
        world.must(abs(along - legs_m) < 1e-6, "its way is not the shortest", name)
    poles: dict[str, list[Row]] = {}
    for core in _own(wires, circuit):
        pieces = poles.setdefault(_pole_of(core), [])
        if core.cut is not None and core.cut not in pieces:
            pieces.append(core.cut)
    step = rules.round_mm
    for pole, pieces in poles.items():
        there = sum(p["length_mm"] - 2 * rules.slack_mm for p in pieces)
        labels = ", ".join(p["label"] for p in pieces)
        world.must(
            there >= metres * 1000 - 0.5, f"pole {pole} is cut too short: {labels}", name
        )
        # each piece is rounded up by less than a step
        most = metres * 1000 + len(pieces) * step - (1e-3 if float(step).is_integer() else -0.5)
        world.must(there <= most, f"pole {pole} is cut too long: {labels}", name)
        for p in pieces:
            off = abs(p["length_mm"] / step - round(p["length_mm"] / step)) * step
            world.must(
                off <= 0.5, f"{p['length_mm']} mm is no whole step", f"piece {p['label']}"
            )
            world.must(
                p["length_mm"] >= 2 * rules.slack_mm, "it has no slack", f"piece {p['label']}"
            )


def _behind_the_inlet_m(world: World, circuit: Row) -> float:
    """Where a lead ends in the wall of the controller's own place, what runs inside that."""
    direct = world.place(ways(world, circuit)[0]).ground and len(circuit["via"]) == 1
    return float(world.needs.rules.in_place_m) if direct else 0.0


# --- conductor --------------------------------------------------------------------------------


def _conductor(world: World, _wires: Wires, circuit: Row) -> None:
    name, kind = circuit["name"], circuit["kind"]
    cables = {cut["cable"] for cut in world.pieces_of(name)} | {circuit["cable"]}
    families = set()
    for cable in sorted(cables):
        part = world.part(cable)
        if part.cls != "cable":
            world.must(kind not in POWER, f"{cable} is no cable", name)
            continue
        families.add("mm2" if figures.gauge(part.area_mm2) is None else "AWG")
        world.same(circuit["area_mm2"], part.area_mm2, f"the area of {cable}", name)
        if kind not in POWER:
            continue
        least = figures.thinnest(world.needs.rules.practice, part.use in ("pair", "ac"))
        world.must(part.area_mm2 >= least - 1e-9, f"{cable} is thinner than {least} mm²", name)
        ohm = figures.most_ohm_per_km(part.area_mm2)
        world.must(
            part.ohm_per_km_20c <= ohm * (1 + 1e-6),
            f"{cable} has more than {ohm:.4g} Ω/km",
            name,
        )
        world.must(part.use in CABLES[kind], f"{cable} is made for {part.use}", name)
    world.must(len(families) <= 1, "it mixes mm² and AWG", name)
    if families:
        carried = min(carried_a(world, circuit, cable) for cable in cables)
        world.same(circuit["ampacity_a"], carried, "ampacity", name)
    if kind in POWER:
        design = _design_a(world, circuit)
        world.must(
            carried >= design * (1 - 1e-9),
            f"it carries {carried:.1f} A of {design:.1f} A",
            name,
        )
    for cut in world.pieces_of(name):
        _colour(world, cut)


def _colour(world: World, cut: Row) -> None:
    """Red is no negative, black or blue no positive, green nothing live."""
    part = world.part(cut["cable"])
    if part.cls != "cable" or part.use in ("pair", "ac", "earth"):
        return
    poles = {e["pole"] for e in cut["ends"]}
    wrong = (
        (part.colour == "red" and poles == {"-"})
        or (part.colour in ("black", "blue", "white", "yellow") and poles == {"+"})
        or (part.colour.startswith("green") != (poles == {"PE"}))
    )
    world.must(not wrong, f"{part.colour} on pole {', '.join(poles)}", f"piece {cut['label']}")


# --- current and drop -------------------------------------------------------------------------


def running_a(world: World, circuit: Row) -> float:
    """The running current of a circuit, anew."""
    if circuit["kind"] not in RUNNING:
        raise Absent(f"nothing is known of circuits of kind {circuit['kind']}")
    return float(RUNNING[circuit["kind"]](world, circuit))


def _array_a(world: World, circuit: Row) -> float:
    array = world.array_of(circuit["to"])
    return array["parallel"] * world.part(array["panel"], "panel").isc_a


def _controller_a(world: World, circuit: Row) -> float:
    return world.array_charge_a(world.array_of(circuit["from"]))


def _inverter_a(world: World, circuit: Row) -> float:
    part = world.device_part(circuit["to"], "inverter")
    return part.continuous_w * 100 / part.efficiency_pct / world.lowest_v


def _charger_a(world: World, circuit: Row) -> float:
    if circuit["from"] == "engine battery":
        return world.device_part(circuit["to"], "charger").input_w / 11
    return world.device_part(circuit["from"], "charger").charge_a


def _string_a(world: World, circuit: Row) -> float:
    """A string's share of everything, or between switch and bars the whole."""
    whole = circuit["kind"] == "link" and circuit["conductors"] > 1
    return world.trunk_a() / (1 if whole else world.document["bank"]["parallel"])


def _load_a(world: World, circuit: Row) -> float:
    return together(_loads(world, circuit)) / world.lowest_v


def _feed_a(world: World, circuit: Row) -> float:
    ways = [c for c in world.circuits_of("load") if c["from"] == circuit["to"]]
    return together([x for c in ways for x in _loads(world, c)]) / world.lowest_v


def _ac_a(world: World, circuit: Row) -> float:
    return _ac_w(world, circuit) / world.needs.rules.ac_v


RUNNING: dict[str, Callable[[World, Row], float]] = {
    "array": _array_a,
    "controller": _controller_a,
    "inverter": _inverter_a,
    "charger": _charger_a,
    "battery": _string_a,
    "link": _string_a,
    "load": _load_a,
    "feed": _feed_a,
    "ac": _ac_a,
}
"""The running current by kind of circuit."""


def _loads(world: World, circuit: Row) -> list[object]:
    if circuit["to"] not in world.loads:
        raise Absent(f"there is no load {circuit['to']}")
    return world.loads[circuit["to"]]


def _ac_w(world: World, circuit: Row) -> float:
    """Of a way to a load what runs together; on the inlet's side what the charger draws."""
    if world.class_of(circuit["to"]) == "load":
        return together(_loads(world, circuit))
    part = world.device_part(circuit["to"])
    if part.cls == "charger":
        return float(part.input_w)
    if part.cls == "inverter" and circuit["from"] == "shore inlet":
        return float(part.charge_a * world.top_v() * 100 / part.efficiency_pct)
    raise Absent(f"nothing is known of what {circuit['to']} draws")


def _design_a(world: World, circuit: Row) -> float:
    rules = world.needs.rules
    once_more = 1.25 if circuit["kind"] == "array" and rules.practice == "nec" else 1.0
    return running_a(world, circuit) * rules.continuous * once_more


def _current(world: World, _wires: Wires, circuit: Row) -> None:
    if circuit["kind"] == "bond":
        world.must(circuit["conductors"] == 1, "a bond is one conductor", circuit["name"])
    if circuit["kind"] not in POWER:
        return
    name = circuit["name"]
    world.same(circuit["current_a"], running_a(world, circuit), "current", name)
    world.same(circuit["design_a"], _design_a(world, circuit), "design current", name)
    count = {"ac": (3,), "link": (1, 2)}.get(circuit["kind"], (2,))
    world.must(circuit["conductors"] in count, f"{circuit['conductors']} conductors", name)


def _drop(world: World, _wires: Wires, circuit: Row) -> None:
    """Ohm's law over both conductors with hot copper."""
    kind, name, rules = circuit["kind"], circuit["name"], world.needs.rules
    if kind not in POWER:
        return
    cables = {cut["cable"] for cut in world.pieces_of(name)} | {circuit["cable"]}
    cold = max(world.part(c, "cable").ohm_per_km_20c for c in cables) / 1000
    hot = cold * (1 + figures.COPPER_PER_K * (rules.conductor_c - 20))
    amps, base_v = running_a(world, circuit), world.volts
    if kind == "array":
        array = world.array_of(circuit["to"])
        panel = world.part(array["panel"], "panel")
        amps, base_v = array["parallel"] * panel.imp_a, array["series"] * panel.vmp_v
    elif kind == "ac":
        base_v = rules.ac_v
    start, goal = ways(world, circuit)
    metres = world.way_m(start, goal) + _behind_the_inlet_m(world, circuit)
    volts = circuit["conductors"] * metres * amps * hot
    world.same(circuit["drop_v"], volts, "drop", name)
    world.same(circuit["drop_pct"], 100 * volts / base_v, "drop in percent", name)
    if circuit["from"] == "engine battery":
        base_v = 12.0
    limit = getattr(rules.drop_pct, LIMITS[kind])
    percent = 100 * volts / base_v
    world.must(
        percent <= limit * (1 + 1e-6), f"{percent:.3g} % are lost, {limit:g} % may be", name
    )


# --- protection -------------------------------------------------------------------------------


def _protected(world: World, wires: Wires, circuit: Row) -> None:
    """A circuit names the protection that its positive passes, near its source."""
    name, guard = circuit["name"], circuit["protection_id"]
    on_it = {s.thing for c in _own(wires, circuit) for s in (c.a, c.b)
             if world.class_of(s.thing) == "protection"}  # fmt: skip
    if guard is None:
        bare = circuit["kind"] in UNFUSED
        if circuit["kind"] == "ac":
            bare = not world.known("breaker", "residual_ma", bool)
        world.must(bare, "it has no protection", name)
        world.must(circuit["protection"] is None, "a protection is stated without its id", name)
        return
    if guard not in world.protections:
        raise Absent(f"there is no protection {guard}")
    world.must(circuit["protection"] == world.protections[guard]["part"], "another part", name)
    world.must(guard in on_it, f"its wires do not pass {guard}", name)
    carried = min(
        carried_a(world, circuit, c)
        for c in {cut["cable"] for cut in world.pieces_of(name)} | {circuit["cable"]}
    )
    rated = getattr(world.part(world.protections[guard]["part"]), "rated_a", 0.0)
    area = world.part(circuit["cable"], "cable").area_mm2
    small = figures.largest_small_fuse(world.needs.rules.practice, area)
    world.must(rated <= carried * (1 + 1e-9), f"{rated:g} A guard {carried:.1f} A", name)
    world.must(rated <= small, f"{rated:g} A guard {area:g} mm²", name)
    source = circuit["from"]
    if (
        circuit["kind"] in ("controller", "charger")
        and world.class_of(circuit["to"]) == "busbar"
    ):
        source = circuit["to"]
    other = circuit["to"] if source == circuit["from"] else circuit["from"]
    stands = world.where(guard)
    world.must(stands == world.where(source, other), f"{guard} stands in {stands}", name)
    _near(world, wires, circuit, guard, source)


def near_its_source(world: World, circuit: Row, cut: Row) -> bool:
    """Whether a piece between source and protection is as short as the practice asks."""
    rules, mm = world.needs.rules, cut["length_mm"]
    if circuit["kind"] == "ac":
        source = "inverter" if world.class_of(circuit["from"]) == "inverter" else "inlet"
        if source == "inverter" and cut["sheathed"]:
            source = "inverter in a conduit"
        return bool(mm <= figures.AC_LEAD_MM[rules.practice][source])
    return bool(
        mm
        <= figures.unprotected_mm(
            rules.practice, circuit["kind"], circuit["from"], cut["sheathed"]
        )
    )


def _near(world: World, wires: Wires, circuit: Row, guard: str, source: str) -> None:
    for core in _own(wires, circuit):
        things = {core.a.thing, core.b.thing}
        if guard in things and source in things and core.cut is not None:
            if world.protections[guard]["way"] is not None:
                continue
            world.must(
                near_its_source(world, circuit, core.cut),
                f"{guard} is {core.cut['length_mm']:g} mm away",
                circuit["name"],
            )


def _protection(world: World, row: Row) -> None:
    """A fuse is a standard one, carries what is behind it, breaks what comes, and has its seat."""
    part, name = world.part(row["part"]), row["id"]
    if part.cls not in ("fuse", "breaker"):
        raise Absent(f"{part.part} protects nothing")
    behind = [c for c in world.circuits if c["protection_id"] == name]
    world.must(bool(behind), "it protects nothing", name)
    world.must(
        float(part.rated_a) in figures.ratings(), f"{part.rated_a:g} A is no rating", name
    )
    power = [c for c in behind if c["kind"] in POWER]
    needed = sum(_design_a(world, c) for c in power)
    world.must(
        part.rated_a >= needed * (1 - 1e-9), f"{part.rated_a:g} A of {needed:.1f} A", name
    )
    top = max((_top_v(world, c) for c in power), default=0.0)
    main = any(c["kind"] == "battery" for c in behind)
    short = world.short_ka() if main else 1.0 if power else 0.0
    mains = any(c["kind"] == "ac" for c in behind)
    residual = getattr(part, "residual_ma", None)
    if mains:
        # ABYC E-11, 3 kA at 120 V and 5 kA at 240 V, from memory
        short = 5.0 if world.needs.rules.ac_v > 150 else 3.0
        most = RESIDUAL_MA[world.needs.rules.practice]
        world.must((residual or math.inf) <= most, f"it opens at {residual} mA", name)
    world.must(mains or residual is None, "it is made for the mains", name)
    world.must(part.max_v >= top, f"it breaks {part.max_v:g} V of {top:g} V", name)
    world.must(part.breaking_ka >= short * (1 - 1e-9), f"it breaks no {short:.2f} kA", name)
    if row["holder"] is None:
        world.must(part.holder is None, "it has no holder", name)
        return
    holder = world.part(row["holder"], "holder")
    fits = part.holder == holder.part or part.kind == holder.kind
    world.must(fits, f"it does not fit into {holder.part}", name)
    world.must(holder.rated_a >= part.rated_a, f"its holder carries {holder.rated_a:g} A", name)
    world.must(holder.max_v >= top, f"its holder stands {holder.max_v:g} V", name)
    weak = main and holder.breaking_ka is not None and holder.breaking_ka < short
    world.must(not weak, f"its holder stands no {short:.2f} kA", name)
    if part.cls == "breaker":
        world.must(row["way"] is None, "it is in a block", name)
        world.must(mains or row["box"] is None, "it shares a box", name)
        return
    world.must(
        (row["way"] is None) == (holder.ways == 1), "a block and a way go together", name
    )
    world.must(row["box"] is None, "it shares a box", name)


def _box(world: World, name: str) -> None:
    """A box has room for the breakers in it, which one source of mains feeds."""
    rows = world.boxes[name]
    holders, places = {p["holder"] for p in rows}, {p["place"] for p in rows}
    world.must(len(holders) == len(places) == 1, "it is several boxes", name)
    room = world.part(rows[0]["holder"], "holder").ways
    world.must(len(rows) <= room, f"{len(rows)} breakers in {room} ways", name)
    ids = {p["id"] for p in rows}
    behind = [c for c in world.circuits if c["protection_id"] in ids]
    world.must({c["kind"] for c in behind} == {"ac"}, "it holds others than AC breakers", name)
    world.must(len({c["from"] for c in behind}) == 1, "several sources feed it", name)


def _top_v(world: World, circuit: Row) -> float:
    """The highest voltage of a circuit: of an engine's 16 V (common practice)."""
    if circuit["from"] == "engine battery":
        return 16.0
    if circuit["kind"] == "ac":
        return float(world.needs.rules.ac_v)
    if circuit["kind"] == "array":
        array = world.array_of(circuit["to"])
        panel = world.part(array["panel"], "panel")
        cold = figures.cold_share(panel.voc_pct_per_c, world.needs.site.coldest_c)
        return float(array["series"] * panel.voc_v * cold)
    return world.top_v()


def _block(world: World, name: str) -> None:
    """A block has a way for each fuse, one feed, and carries it."""
    rows = world.blocks[name]
    holders = {p["holder"] for p in rows}
    world.must(len(holders) == 1, "its fuses sit in several parts", name)
    holder = world.part(rows[0]["holder"], "holder")
    used = [p["way"] for p in rows]
    fine = len(set(used)) == len(used) and all(1 <= w <= holder.ways for w in used)
    named = all(p["id"] == f"{name}:{p['way']}" for p in rows)
    world.must(named, "a fuse is called after another way", name)
    world.must(fine, f"ways {used} of {holder.ways}", name)
    feeds = [c for c in world.circuits_of("feed") if c["to"] == name]
    world.must(len(feeds) == 1, f"{len(feeds)} circuits feed it", name)
    for feed in feeds:
        world.must(
            holder.rated_a >= _design_a(world, feed) * (1 - 1e-9), "its feed is more", name
        )
        guard = world.protections.get(feed["protection_id"] or "")
        if guard is not None:
            rated = getattr(world.part(guard["part"]), "rated_a", 0.0)
            world.must(rated <= holder.rated_a, f"{rated:g} A guard {holder.rated_a:g} A", name)


# --- nothing missing --------------------------------------------------------------------------


def _nothing_missing(world: World) -> None:
    """Every device and load is wired, once."""

    def count(kind: str, end: str, thing: str) -> int:
        return sum(c["kind"] == kind and c[end] == thing for c in world.circuits)

    wanted: list[tuple[str, str, str]] = []
    for name in world.of_class("controller"):
        wanted += [("array", "to", name), ("controller", "from", name)]
    wanted += [("inverter", "to", name) for name in world.of_class("inverter")]
    for name in world.of_class("charger"):
        engine = getattr(world.parts.get(world.devices[name]["part"]), "kind", "") == "engine"
        wanted += [("charger", "from", name), ("charger" if engine else "ac", "to", name)]
    for name, loads in world.loads.items():
        wanted.append(("load" if loads[0].supply == "dc" else "ac", "to", name))
    for kind, end, thing in wanted:
        n = count(kind, end, thing)
        world.must(n == 1, f"{n} circuits of kind {kind} are its own", thing)
    bank = world.document["bank"]
    count_of = Counter((c["kind"], c["conductors"] == 1) for c in world.circuits)
    for kind, single, right in (
        ("battery", False, bank["parallel"]),
        ("link", False, 1),
        ("link", True, bank["parallel"] * (bank["series"] - 1)),
    ):
        n = count_of[kind, single]
        world.must(n == right, f"{n} circuits of kind {kind}, and {right} are needed", "bank")
    one = Counter(d["class"] for d in world.devices.values())
    for kind, least in (("switch", 1), ("monitor", 1), ("busbar", 2)):
        world.must(one[kind] >= least, f"{one[kind]} are there", kind)
