"""What goes through each hole of a stated size, and that it has room there."""

from __future__ import annotations

from typing import Any

from tests.oracle.walk.ampacities import legs_of
from tests.oracle.walk.world import Row, World


def walk_holes(world: World) -> None:
    """The cables of a hole fill half of it at the most: then they lie in it side by side."""
    sizes = _sizes(world)
    inside: dict[str, list[float]] = {name: [] for name in sizes}
    if not sizes:
        return
    for circuit in world.circuits:
        with world.about(circuit["name"]):
            legs = legs_of(world, circuit)
            stops = [circuit["via"][0][0], *(b for _, b in circuit["via"])] if legs else []
            for cut in world.pieces_of(circuit["name"]):
                walked = _walked(world, circuit, cut, stops, legs)
                for name in {_named(leg) for leg in walked} & set(inside):
                    inside[name].append(world.part(cut["cable"], "cable").outer_mm)
    for name, bore in sizes.items():
        share = sum((d / bore) ** 2 for d in inside[name])
        world.must(share <= 0.5 * (1 + 1e-9), f"{share:.0%} of it are filled", f"hole {name}")


def walk_conduits(world: World) -> None:
    """NEC 690.31(B), from memory: the wires of an array are in no raceway with mains."""
    if world.needs.rules.practice != "nec":
        return
    lines: dict[int, set[str]] = {}
    for circuit in world.circuits:
        if circuit["kind"] in ("array", "ac"):
            for leg in legs_of(world, circuit):
                if leg.conduit:
                    lines.setdefault(world.needs.legs.index(leg), set()).add(circuit["kind"])
    for number, kinds in lines.items():
        leg = world.needs.legs[number]
        world.must(len(kinds) == 1, "PV and AC lie in it together", f"conduit {leg.conduit}")


def _named(leg: Any) -> str | None:
    if leg.hole is None and max(leg.hole_mm or 0, leg.hole_max_mm or 0) > 0:
        return f"{leg.from_} to {leg.to}"
    name: str | None = leg.hole
    return name


def _sizes(world: World) -> dict[str, float]:
    """By hole the wider of what is there and of what may be: each the least that is stated."""
    found = {}
    for name in {_named(leg) for leg in world.needs.legs} - {None}:
        legs = [leg for leg in world.needs.legs if _named(leg) == name]
        sizes = [
            min((getattr(x, key) for x in legs if getattr(x, key)), default=0.0)
            for key in ("hole_mm", "hole_max_mm")
        ]
        if any(sizes):
            found[name] = max(sizes)
    return found


def _walked(
    world: World, circuit: Row, cut: Row, stops: list[str], legs: list[object]
) -> list[object]:
    """The legs of its circuit that a piece lies along."""
    places = set()
    for end in cut["ends"]:
        thing, _ = world.lands_on(end["at"])
        other = circuit["to"] if thing == circuit["from"] else circuit["from"]
        places.add(world.where(thing, other))
    at = sorted(stops.index(p) for p in places if p in stops)
    return legs[at[0] : at[-1]] if at else []
