"""What each piece carries on its way."""

from __future__ import annotations

from tests.oracle.walk import figures
from tests.oracle.walk.wires import Strand
from tests.oracle.walk.world import Absent, Row, World

OWN = 2
"""Loaded conductors that a circuit brings to a bundle."""


def ways(world: World, circuit: Row) -> tuple[str, str]:
    """The places between which a circuit runs."""
    start = world.where(circuit["from"], circuit["to"])
    return start, world.where(circuit["to"], circuit["from"])


def legs_of(world: World, circuit: Row) -> list[object]:
    """The legs that a circuit says it takes; of several between two places the shortest."""
    found = []
    for a, b in circuit["via"]:
        between = [x for x in world.needs.legs if {x.from_, x.to} == {a, b}]
        if not between:
            raise Absent(f"no leg leads from {a} to {b}")
        key = [(x.length_m, x.max_c or 0.0, x.loaded_conductors, x.hole or "") for x in between]
        found.append(between[key.index(min(key))])
    return found


def carried_a(world: World, circuit: Row, cable: str) -> float:
    """What a cable carries on the way of a circuit: the hottest, fullest part of it governs."""
    part, legs = world.part(cable, "cable"), legs_of(world, circuit)
    names = {*ways(world, circuit), *(name for leg in circuit["via"] for name in leg)}
    places = [world.place(name) for name in names]
    heat = [
        world.needs.site.hottest_c,
        *(x.max_c for x in (*places, *legs) if x.max_c is not None),
    ]
    return figures.ampacity(
        world.needs.rules.practice,
        part.area_mm2,
        part.insulation_c,
        max(heat),
        max((lying(world, leg) for leg in legs), default=OWN),
        any(p.engine_space for p in places),
    )


def lying(world: World, leg: object) -> int:
    """Loaded conductors on a leg: stated ones, and two of every circuit that says it takes it."""
    passing = [c for c in world.circuits if c["kind"] != "bond" and leg in legs_of(world, c)]
    return leg.loaded_conductors + OWN * len(passing)  # type: ignore[attr-defined]


def strand_a(world: World, core: Strand) -> float:
    """What a core carries on the way of its circuit."""
    if core.cut is None:
        return float("inf")
    circuit = next((c for c in world.circuits if c["name"] == core.cut["circuit"]), None)
    if circuit is None:
        raise Absent(f"there is no circuit {core.cut['circuit']}")
    return carried_a(world, circuit, core.cut["cable"])
