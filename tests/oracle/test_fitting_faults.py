"""The checker names every fault of a safety fitting: isolator, AC breaker, socket, earth.

The designs are cheapest kits of small random jobs whose catalog knows the fittings. Each fault is
one change; beside it stand the rule and the thing that the checker must name.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from solver.check import check
from solver.kit import solve_kit
from solver.records import Design, Result
from tests.oracle.small_jobs import fitted_job

KETTLE = 11
"""A job whose kit has an isolator, an AC circuit with breaker and sockets, bond and earth."""
SHORE = 29
"""One whose inverter charges from an inlet."""

Change = Callable[[Design], Design]


@cache
def kit(seed: int) -> Result:
    """The cheapest kit of a job."""
    found = solve_kit(*fitted_job(seed))
    assert found.design is not None
    assert not [row for row in found.checks if not row.ok]
    return found


def part(of: str, **changes: object) -> Change:
    """A part of the design changed, found by the beginning of its name."""

    def change(d: Design) -> Design:
        name = next(p for p in sorted(d.parts) if p.startswith(of))
        made = replace(d.parts[name], **changes)
        devices = tuple(replace(x, part=made) if x.part.part == name else x for x in d.devices)
        return replace(d, parts={**d.parts, name: made}, devices=devices)

    return change


def without_circuit(name: str) -> Change:
    """A circuit left out with its pieces."""
    return lambda d: replace(
        d,
        circuits=tuple(c for c in d.circuits if c.name != name),
        cuts=tuple(c for c in d.cuts if c.circuit != name),
    )


def thin(circuit: str) -> Change:
    """One circuit's cable thinner by a third than its least, that of the others as it was."""

    def change(d: Design) -> Design:
        one = next(c for c in d.circuits if c.name == circuit)
        made = replace(d.parts[one.cable], part="thin", area_mm2=4.0)
        circuits = tuple(
            replace(c, cable="thin", area_mm2=4.0) if c is one else c for c in d.circuits
        )
        cuts = tuple(replace(c, cable="thin") if c.circuit == circuit else c for c in d.cuts)
        return replace(d, circuits=circuits, cuts=cuts, parts={**d.parts, "thin": made})

    return change


def piece(circuit: str, number: int, **changes: object) -> Change:
    """One of a circuit's pieces changed."""

    def change(d: Design) -> Design:
        at = [n for n, c in enumerate(d.cuts) if c.circuit == circuit][number]
        made = replace(d.cuts[at], **changes)
        return replace(d, cuts=(*d.cuts[:at], made, *d.cuts[at + 1 :]))

    return change


def past(circuit: str, numbers: tuple[int, int]) -> Change:
    """Two pieces of a circuit joined to one that passes what stood between them."""

    def change(d: Design) -> Design:
        mine = [n for n, c in enumerate(d.cuts) if c.circuit == circuit]
        first, second = (d.cuts[mine[n]] for n in numbers)
        ends = tuple(
            end
            for a, b in zip(first.ends[::2], second.ends[1::2], strict=True)
            for end in (a, b)
        )
        joined = replace(first, ends=ends)
        cuts = [joined if n == mine[numbers[0]] else c for n, c in enumerate(d.cuts)]
        del cuts[mine[numbers[1]]]
        return replace(d, cuts=tuple(cuts))

    return change


def moved(device: str, place: str) -> Change:
    """A device stood in another place."""
    return lambda d: replace(
        d, devices=tuple(replace(x, place=place) if x.id == device else x for x in d.devices)
    )


def unprotected(circuit: str) -> Change:
    """A circuit that names no protection."""
    return lambda d: replace(
        d,
        circuits=tuple(
            replace(c, protection=None, protection_id=None) if c.name == circuit else c
            for c in d.circuits
        ),
    )


def twice(device: str) -> Change:
    """A second device like one that is there, wired to nothing."""
    return lambda d: replace(
        d, devices=(*d.devices, replace(d.device(device), id=f"{device}9"))
    )


FAULTS: dict[str, tuple[int, Change, str, str]] = {
    "an array that passes no isolator": (
        KETTLE, past("array 1", (0, 1)), "both poles pass the isolator", "isolator-1",
    ),
    "an isolator too small for the current": (
        KETTLE, part("isolator", rated_a=0.5), "isolator carries the array", "isolator-1",
    ),
    "an isolator too small for the coldest voltage": (
        KETTLE, part("isolator", max_v=3.0), "isolator's voltage", "isolator-1",
    ),
    "an isolator far from the controller": (
        KETTLE, moved("isolator-1", "roof"), "isolator stands beside the controller", "isolator-1",
    ),
    "an isolator that breaks nothing": (
        KETTLE, twice("isolator-1"), "isolator breaks one array", "isolator-19",
    ),
    "an isolator forgotten": (
        KETTLE,
        lambda d: past("array 1", (0, 1))(past("array 1", (2, 3))(d)),
        "array has its isolator", "array on",
    ),
    "an AC circuit without protection": (
        KETTLE, unprotected("AC kettle"), "circuit is protected", "circuit AC kettle",
    ),
    "an AC breaker that lets through more than conductor": (
        KETTLE, part("residual", rated_a=100.0), "protection within the conductor's ampacity", "AC",
    ),
    "an AC breaker that opens at too large a residual current": (
        KETTLE, part("residual", residual_ma=300.0), "opens at a residual current", "protection F",
    ),
    "an AC breaker that does not open at any": (
        KETTLE, part("residual", residual_ma=None), "opens at a residual current", "protection F",
    ),
    "an AC breaker too weak for a short circuit": (
        KETTLE, part("residual", breaking_ka=1.0), "breaking capacity", "protection F",
    ),
    "line past its breaker": (
        KETTLE, past("AC kettle", (0, 1)), "L passes its protection", "circuit AC kettle",
    ),
    "neutral past its breaker": (
        KETTLE, past("AC kettle", (0, 1)), "N passes its protection", "circuit AC kettle",
    ),
    "a socket too few": (
        KETTLE,
        lambda d: replace(d, extras=tuple(e for e in d.extras if e.of != "AC kettle")),
        "socket for what is plugged in", "circuit AC kettle",
    ),
    "a socket that carries less than its breaker lets through": (
        KETTLE, part("socket-", rated_a=1.0), "socket carries what its protection lets through", "AC",
    ),
    "a socket of another voltage": (
        KETTLE, part("socket-", ac_v=120.0), "socket's voltage", "AC kettle",
    ),
    "no bond": (KETTLE, without_circuit("bond"), "one way to earth", "busbar-neg"),
    "a case without its earth": (
        KETTLE, without_circuit("earth of inverter-1"), "one way to earth", "inverter-1",
    ),
    "frames without their bond": (
        KETTLE, without_circuit("frames of array 1"), "one way to earth", "frames at",
    ),
    "a bond of frames too thin": (
        KETTLE, thin("frames of array 1"), "earthing conductor thick enough",
        "circuit frames of array 1",
    ),
    "an AC breaker far from its source": (
        KETTLE, piece("AC kettle", 0, length_mm=3060), "AC breaker near its source",
        "circuit AC kettle",
    ),
    "an inverter's breaker as far as an inlet's might be": (
        KETTLE, piece("AC kettle", 0, length_mm=1020), "AC breaker near its source",
        "circuit AC kettle",
    ),
    "a second bond": (
        KETTLE,
        lambda d: replace(
            d,
            circuits=(
                *d.circuits,
                *(replace(c, name="bond 2") for c in d.circuits if c.name == "bond"),
            ),
        ),
        "one way to earth", "busbar-neg",
    ),
    "a bond too thin": (
        KETTLE, part("earth-", area_mm2=1.0), "earthing conductor thick enough", "circuit",
    ),
    "a red bond": (KETTLE, part("earth-", colour="red"), "colour fits the pole", "piece"),
    "a bond that ends in the air": (
        KETTLE,
        lambda d: piece(
            "bond", 0, ends=tuple(
                replace(e, at="busbar-pos:1") if e.at.startswith("chassis") else e
                for c in d.cuts if c.circuit == "bond" for e in c.ends
            ),
        )(d),
        "pole PE leads from end to end", "circuit bond",
    ),
    "an inlet forgotten, though there are some": (
        SHORE,
        lambda d: replace(d, extras=tuple(e for e in d.extras if e.of != "AC inlet")),
        "inlet for what is plugged in", "circuit AC inlet",
    ),
    "an inlet too small": (
        SHORE, part("inlet", rated_a=1.0), "inlet carries what its protection lets through", "inlet",
    ),
    "an inlet of another voltage": (SHORE, part("inlet", ac_v=400.0), "inlet's voltage", "inlet"),
}  # fmt: skip


# the kit with a shore inlet takes a while to find
LONG = [pytest.param(x, marks=pytest.mark.slow) for x in FAULTS if FAULTS[x][0] == SHORE]


@pytest.mark.parametrize("name", [*(x for x in FAULTS if FAULTS[x][0] != SHORE), *LONG])
def test_a_fault_is_named(name):
    """The checker fails that rule, of that thing."""
    seed, change, rule, subject = FAULTS[name]
    found = kit(seed)
    needs, _ = fitted_job(seed)
    rows = check(needs, change(found.design), found.lines, found.orders)
    named = [r for r in rows if not r.ok and r.rule == rule and subject in r.subject]
    assert named, sorted({(r.rule, r.subject) for r in rows if not r.ok})


TALKING = 3
"""A job whose kit has comm links."""

LINK_FAULTS: dict[str, tuple[Change, str]] = {
    "a link left out": (lambda d: replace(d, links=d.links[1:]), "comm port is linked"),
    "a link twice": (lambda d: replace(d, links=(*d.links, d.links[0])), "comm port is linked"),
    "a cable that is too short": (part("comm-", run_m=0.1), "comm cable reaches"),
    "a cable of another bus": (part("comm-", bus="none"), "both ends speak the cable's bus"),
    "a plug that does not fit": (
        lambda d: part("comm-", plug_a="odd", plug_b="odd")(
            replace(
                d,
                devices=tuple(
                    replace(x, part=replace(x.part, comm_plug="RJ45"))
                    if getattr(x.part, "comm", None)
                    else x
                    for x in d.devices
                ),
            )
        ),
        "plugs fit",
    ),
    "a link to the wrong device": (
        lambda d: replace(d, links=(replace(d.links[0], to="switch-1"), *d.links[1:])),
        "link leads to",
    ),
    "a way told too short": (
        lambda d: replace(d, links=(replace(d.links[0], length_m=0.01), *d.links[1:])),
        "length, as stated",
    ),
}


@pytest.mark.parametrize("name", LINK_FAULTS)
def test_a_fault_of_a_link_is_named(name):
    """The checker fails that rule of a comm link."""
    change, rule = LINK_FAULTS[name]
    found = kit(TALKING)
    assert found.design.links
    needs, _ = fitted_job(TALKING)
    rows = check(needs, change(found.design), found.lines, found.orders)
    assert [r for r in rows if not r.ok and r.rule == rule], {r.rule for r in rows if not r.ok}
