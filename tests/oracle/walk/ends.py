"""Every end: lug by area and stud, connectors, studs counted, and what they add up to."""

from __future__ import annotations

from collections import Counter

from tests.oracle.walk import figures
from tests.oracle.walk.world import Row, World

EARTH_STUD = "M6"
"""On the case of what has mains in it; common practice, no source."""

ON_A_STUD = 4
"""Lugs: ABYC E-11, from memory."""


BARE = (
    "controller", "inverter", "charger", "battery", "busbar", "monitor", "load", "block", "pv_inlet",
)  # fmt: skip
"""What has no half of a connector: studs, or terminals for bare wire."""


def walk_ends(world: World) -> None:
    """Every end of every piece."""
    for cut in world.cuts:
        for end in cut["ends"]:
            with world.about(f"piece {cut['label']}"):
                _end(world, cut, end)
    _studs(world)
    _connectors(world)
    lugs = Counter(
        e["termination"]
        for cut in world.cuts
        for e in cut["ends"]
        if getattr(world.parts.get(e["termination"] or ""), "cls", "") == "lug"
    )
    stated = {row["lug"]: row["quantity"] for row in world.document["lugs"]}
    for name in sorted({*lugs, *stated}):
        world.must(
            lugs[name] == stated.get(name, 0),
            f"{lugs[name]} ends need it, {stated.get(name, 0)} are listed",
            name,
        )


def _end(world: World, cut: Row, end: Row) -> None:
    thing, port = world.lands_on(end["at"])
    cable = world.part(cut["cable"])
    subject = f"piece {cut['label']} at {end['at']}"
    kind = world.class_of(thing)
    studs = _studs_at(world, thing, end)
    if studs is not None:
        world.must(end["stud"] in studs, f"its stud is {studs}, not {end['stud']}", subject)
    if kind == "panel" and port != "earth":
        half = getattr(world.parts.get(end["termination"] or ""), "cls", "")
        world.must(half == "connector", "it has no connector", subject)
    if end["termination"] is None:
        world.must(end["stud"] is None, "it has no lug for its stud", subject)
        return
    part = world.part(end["termination"])
    if end["stud"] is not None:
        fine = part.cls == "lug" and figures.near(part.area_mm2, cable.area_mm2)
        world.must(fine, f"{part.part} is no lug for {cable.area_mm2:g} mm²", subject)
        over = part.cls == "lug" and figures.goes_over(part.stud, end["stud"])
        world.must(over, f"{part.part} does not go over {end['stud']}", subject)
    elif part.cls == "connector":
        world.must(kind not in BARE, f"{part.part} fits no {kind}", subject)
        takes = part.area_from_mm2 <= cable.area_mm2 <= part.area_to_mm2
        world.must(takes, f"{part.part} does not take {cable.area_mm2:g} mm²", subject)
    elif part.cls == "ferrule":
        world.must(abs(part.area_mm2 - cable.area_mm2) < 1e-3, "another ferrule", subject)
    else:
        world.must(part.cls != "lug", f"{part.part} has no stud to sit on", subject)


def _studs_at(world: World, thing: str, end: Row) -> tuple[str | None, ...] | None:
    """The studs that a thing has where an end lands; None where nothing is known."""
    kind = world.class_of(thing)
    if kind == "outside" or end["pole"] == "":
        return None
    if end["at"].endswith(":earth"):
        return (EARTH_STUD,)
    if kind == "load" or (kind in ("inverter", "charger") and end["pole"] in ("L", "N", "PE")):
        return (None,)
    own = getattr(world.parts.get(_seat(world, thing)), "stud", None)
    # a block's ways may take bare wire though its feed lands on a stud
    in_block = kind == "block" or world.protections.get(thing, {}).get("way") is not None
    return (own, None) if in_block else (own,)


def _seat(world: World, thing: str) -> str:
    """The part whose terminals a thing has: of a fuse its holder's."""
    row = world.protections.get(thing)
    if thing in world.blocks:
        row = world.blocks[thing][0]
    name = world.devices[thing]["part"] if row is None else row["holder"] or row["part"]
    return str(name)


def _studs(world: World) -> None:
    """No more lugs than studs on a bar, no more than four on any one stud."""
    on_stud: Counter[str] = Counter()
    on_bar: Counter[str] = Counter()
    for cut in world.cuts:
        for end in cut["ends"]:
            with world.about(f"piece {cut['label']}"):
                thing, _ = world.lands_on(end["at"])
                if end["stud"] is not None and end["at"] != thing:
                    on_stud[f"{end['at']} {end['pole']}"] += 1
                if world.class_of(thing) == "busbar":
                    on_bar[thing] += 1
    for at, n in on_stud.items():
        world.must(n <= ON_A_STUD, f"{n} lugs are on one stud", at)
    for bar, n in on_bar.items():
        with world.about(bar):
            has = world.device_part(bar, "busbar").studs
            world.must(n <= has, f"{n} ends land on {has} studs", bar)


def _connectors(world: World) -> None:
    """Plug and socket at each array, branch pairs for more strings, all of them strong enough."""
    rules = world.needs.rules
    pairs: dict[str, list[Row]] = {}
    for row in world.document["extras"]:
        if getattr(world.parts.get(row["part"]), "kind", "") == "branch pair":
            pairs.setdefault(row["of"], []).append(row)
    home = {c["to"]: c["name"] for c in world.circuits_of("array")}
    needed = {
        home.get(a["controller"]): 0 if a["combiner"] else a["parallel"] - 1
        for a in world.document["arrays"]
    }
    for of in {*pairs, *needed}:
        n = sum(row["quantity"] for row in pairs.get(of, ()))
        world.must(
            n == needed.get(of, 0), f"{n} branch pairs, not {needed.get(of, 0)}", str(of)
        )
    for array in world.document["arrays"]:
        with world.about(array["controller"]):
            panel = world.part(array["panel"], "panel")
            once_more = 1.25 if rules.practice == "nec" else 1.0
            amps = array["parallel"] * panel.isc_a * rules.continuous * once_more
            cold = figures.cold_share(panel.voc_pct_per_c, world.needs.site.coldest_c)
            volts = array["series"] * panel.voc_v * cold
            halves = [
                world.part(e["termination"])
                for cut in world.cuts
                for e in cut["ends"]
                if e["termination"] and world.lands_on(e["at"])[0] in array["panels"]
            ]
            kinds = sorted(h.kind for h in halves if h.cls == "connector")
            world.must(
                kinds == ["plug", "socket"], f"{kinds} at its panels", array["controller"]
            )
            joints = pairs.get(home.get(array["controller"], ""), [])
            used = halves + [world.part(row["part"]) for row in joints]
            for half in used:
                if half.cls == "connector":
                    fine = half.rated_a >= amps * (1 - 1e-9) and half.max_v >= volts * (
                        1 - 1e-9
                    )
                    world.must(fine, f"{half.part} is too weak for it", array["controller"])
