"""Panels on the ground: a finished kit, every fault planted in its lead and inlet, what it leaves out.

The needs are the shipped example's, the catalog is so much of the shipped one that there is one
kit. Both walks, the checker's and the second, must name each fault.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from bom.needs_file import read_needs
from solver.check import check
from solver.kit import solve_kit
from solver.market import market as market_of
from solver.needs import Needs
from solver.parts import Combiner, Fastener, Label, Mounting, PvInlet, Sealant
from solver.parts.base import SMALL_CLASSES
from solver.records import Circuit, Cut, Design, End, Result
from solver.records import Combiner as Box
from solver.rules.inlet import dead_outside, inlet_carries, pins_free_of_bank
from solver.small_buy import completed
from solver.stock import Stock
from tests.oracle.finished import shipped, written
from tests.oracle.second_walk import complaints

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "seed-library-cart.toml"

PARTS = {
    "busbar-100-6-no10", "cable-bat-2.5-black", "cable-bat-2.5-red", "cable-bat-4-black",
    "cable-bat-4-red", "cable-bond-4", "cable-pv-4-black", "cable-pv-4-red", "fuse-blade-10",
    "holder-blade-inline", "isolator-pv-20-250v", "lfp-12v8-20", "lug-2.5-no10", "lug-4-m5",
    "lug-4-m6", "lug-4-m8", "lug-4-no10", "monitor-100", "panel-130", "pv-inlet-20-60v",
    "pv-inlet-32-250v", "pv-plug-2.5-6", "pv-socket-2.5-6", "pwm-50-25", "switch-100",
}  # fmt: skip

Change = Callable[[Design], Design]


def stock() -> Stock:
    """A part of each class, and all small parts, from one supplier."""
    whole = shipped()
    kept = [p for p in whole.parts if p.part in PARTS or p.cls in SMALL_CLASSES]
    names = {p.part for p in kept}
    offers = [o for o in whole.offers if o.part in names and o.supplier == "birch"]
    return Stock.of(kept, whole.suppliers, offers)


@cache
def kit() -> tuple[Needs, Result]:
    """The example's kit."""
    needs = read_needs(EXAMPLE, shipped())
    return needs, solve_kit(needs, stock())


def design() -> Design:
    """Its design."""
    found = kit()[1].design
    assert found is not None
    return found


def test_a_kit_with_panels_on_the_ground_is_whole():
    """Lead, inlet, isolator; no feet, no bond of frames; one drop over lead and inside run."""
    needs, result = kit()
    found = design()
    assert result.status == "optimal"
    assert [c for c in result.checks if not c.ok] == []
    assert complaints(written(result, needs), shipped().by_name, needs) == []
    assert [d.place for d in found.devices if isinstance(d.part, PvInlet)] == ["side wall"]
    assert not any(c.name.startswith("frames") for c in found.circuits)
    array = next(c for c in found.circuits if c.kind == "array")
    assert array.length_m == pytest.approx(6 + 0.8)
    assert array.drop_pct <= needs.rules.drop_pct.array
    lead = [c for c in found.cuts if {"panel-1:+", "inlet-1:in"} == {e.at for e in c.ends}]
    assert [c.length_mm for c in lead] == [6300]
    assert not found.unsold


def test_a_longer_lead_takes_a_thicker_cable_or_another_string():
    """The limit of the drop counts lead and inside run together: 40 m are too much for 4 mm²."""
    needs, _ = kit()
    legs = tuple(replace(x, length_m=40.0) if x.from_ == "grass" else x for x in needs.legs)
    assert solve_kit(replace(needs, legs=legs), stock()).status == "infeasible"


def test_an_inlet_in_the_wall_of_the_controllers_own_place():
    """Then the inside run is what lies between two things in one place."""
    needs, _ = kit()
    legs = tuple(
        replace(x, to="chest", length_m=5.0) if x.from_ == "grass" else x for x in needs.legs
    )
    needs = replace(needs, legs=legs)
    result = solve_kit(needs, stock())
    assert result.design is not None
    assert [c for c in result.checks if not c.ok] == []
    assert complaints(written(result, needs), shipped().by_name, needs) == []
    array = next(c for c in result.design.circuits if c.kind == "array")
    assert array.length_m == pytest.approx(5 + needs.rules.in_place_m)
    lengths = [c.length_mm for c in result.design.cuts if c.circuit == array.name]
    assert sorted(lengths) == [450, 450, 1150, 1150, 5300, 5300]


@pytest.mark.parametrize("missing", ["pv_inlet", "isolator"])
def test_without_inlet_or_isolator_nothing_stands_on_the_ground(missing):
    """Neither is left out because a catalog has none: there is no kit then."""
    whole = stock()
    parts = [p for p in whole.parts if p.cls != missing and not p.part.startswith(missing)]
    names = {p.part for p in parts}
    offers = [o for o in whole.offers if o.part in names]
    found = solve_kit(kit()[0], Stock.of(parts, whole.suppliers, offers))
    assert found.status == "infeasible"
    assert f"no {'inlet' if missing == 'pv_inlet' else missing}" in found.reasons[-1].message


# --- the rules ----------------------------------------------------------------------------------


def test_what_leaves_nothing_live_outside():
    """Common practice, no source; the code by IEC 60529, from memory: each of four things counts."""
    assert dead_outside("plug", True, True, "IP44")
    assert not dead_outside("socket", True, True, "IP44")
    assert not dead_outside("plug", False, True, "IP44")
    assert not dead_outside("plug", True, False, "IP44")
    assert not dead_outside("plug", True, True, "IP20")
    assert not dead_outside("plug", True, True, None)


def test_a_controller_with_a_common_positive_puts_the_bank_on_the_pins():
    """Common practice, no source: the negative may be shared, it is at the chassis anyway."""
    assert pins_free_of_bank("negative")
    assert pins_free_of_bank("none")
    assert not pins_free_of_bank("positive")


def test_what_an_inlet_carries():
    """Common practice, no source: current and voltage are both limits, met exactly or not."""
    assert inlet_carries(20.0, 60.0, 20.0, 60.0)
    assert not inlet_carries(20.0, 60.0, 20.1, 60.0)
    assert not inlet_carries(20.0, 60.0, 20.0, 60.1)


# --- planted faults -----------------------------------------------------------------------------


def inlet(**changes: object) -> Change:
    """The inlet's part changed."""

    def change(d: Design) -> Design:
        old = d.device("inlet-1").part
        made = replace(old, **changes)
        devices = tuple(replace(x, part=made) if x.part is old else x for x in d.devices)
        return replace(d, devices=devices, parts={**d.parts, old.part: made})

    return change


def shared_positive(d: Design) -> Design:
    """A controller through which array and bank share the positive."""
    old = d.device("controller-1").part
    made = replace(old, common_pole="positive")
    devices = tuple(replace(x, part=made) if x.part is old else x for x in d.devices)
    return replace(d, devices=devices, parts={**d.parts, old.part: made})


def moved(device: str, place: str) -> Change:
    """A device stood in another place."""
    return lambda d: replace(
        d, devices=tuple(replace(x, place=place) if x.id == device else x for x in d.devices)
    )


def ends(at: dict[str, str]) -> Change:
    """Ends landed on something else."""

    def other(cut: Cut) -> Cut:
        made = tuple(replace(e, at=at.get(f"{e.at} {e.pole}", e.at)) for e in cut.ends)
        return replace(cut, ends=made)

    return lambda d: replace(d, cuts=tuple(map(other, d.cuts)))


def past_the_inlet(d: Design) -> Design:
    """The plus of the lead goes straight to the isolator."""
    return ends({"inlet-1:in +": "isolator-1:in"})(
        replace(d, cuts=tuple(c for c in d.cuts if not _is(c, "inlet-1:out", "+")))
    )


def without_isolator(d: Design) -> Design:
    """The run inside goes straight to the controller."""
    gone = [c for c in d.cuts if any(e.at == "isolator-1:out" for e in c.ends)]
    kept = replace(
        d,
        cuts=tuple(c for c in d.cuts if c not in gone),
        devices=tuple(x for x in d.devices if x.id != "isolator-1"),
    )
    ports = {f"isolator-1:in {p}": f"controller-1:pv{p}" for p in "+-"}
    return ends(ports)(kept)


def _is(cut: Cut, at: str, pole: str) -> bool:
    return any((e.at, e.pole) == (at, pole) for e in cut.ends)


def bonded(d: Design) -> Design:
    """The frames bonded to the chassis, as of panels on a roof."""
    bond = next(c for c in d.circuits if c.name == "bond")
    piece = next(c for c in d.cuts if c.circuit == "bond")
    other: Circuit = replace(bond, name="frames of array 1", from_="panel-1")
    at = ("panel-1:earth", "chassis")
    made = tuple(replace(e, at=x) for e, x in zip(piece.ends, at, strict=True))
    return replace(
        d,
        circuits=(*d.circuits, other),
        cuts=(*d.cuts, replace(piece, label="W99", circuit=other.name, ends=made)),
    )


def short_lead(d: Design) -> Design:
    """A lead cut a metre too short."""
    return replace(
        d,
        cuts=tuple(
            replace(c, length_mm=c.length_mm - 1000) if _is(c, "inlet-1:in", "+") else c
            for c in d.cuts
        ),
    )


FAULTS: dict[str, tuple[Change, str]] = {
    "a socket in the wall": (inlet(half="socket"), "nothing live outside, no pole swapped"),
    "an inlet that goes together both ways": (
        inlet(polarised=False), "nothing live outside, no pole swapped",
    ),
    "an inlet without a cap": (inlet(cap=False), "nothing live outside, no pole swapped"),
    "a controller that shares the positive": (
        shared_positive, "no pole of the bank on the inlet's pins",
    ),
    "an inlet that stands no rain": (inlet(ip="IP20"), "nothing live outside, no pole swapped"),
    "an inlet too small for the current": (inlet(rated_a=9.0), "inlet carries the array"),
    "an inlet too small for the coldest voltage": (inlet(max_v=24.0), "inlet's voltage"),
    "an inlet whose clamps are too small": (inlet(area_to_mm2=2.5), "inlet's clamps take the cable"),
    "an inlet in another place": (
        moved("inlet-1", "chest"), "inlet stands where the lead ends",
    ),
    "an isolator at the inlet": (
        moved("isolator-1", "side wall"), "isolator stands beside the controller",
    ),
    "a lead that leads past its inlet": (
        past_the_inlet, "both poles of the lead end at the inlet",
    ),
    "no isolator behind the inlet": (without_isolator, "array has its isolator"),
    "a lead on the inlet's inside": (
        ends({"inlet-1:in +": "inlet-1:out", "inlet-1:out +": "inlet-1:in"}), "right port",
    ),
    "poles swapped at the inlet": (
        lambda d: replace(
            d,
            cuts=tuple(
                replace(
                    c,
                    ends=tuple(
                        replace(e, pole={"+": "-", "-": "+"}[e.pole])
                        if e.at == "inlet-1:out" else e
                        for e in c.ends
                    ),
                )
                for c in d.cuts
            ),
        ),
        "one pole from end to end",
    ),
    "an inlet that serves nothing": (
        lambda d: replace(
            d, devices=(*d.devices, replace(d.device("inlet-1"), id="inlet-2", x_mm=300.0))
        ),
        "inlet serves one array",
    ),
    "a lead too short": (short_lead, "piece reaches, slack kept"),
    "frames on the ground bonded": (bonded, "one way to earth"),
}  # fmt: skip

ONE_WALK_ONLY = {"an inlet that serves nothing"}
"""The second walk follows copper: it does not ask for what nothing leads to."""


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_named(name):
    """By the checker with its rule, and by the second walk."""
    needs, result = kit()
    change, rule = FAULTS[name]
    made = change(design())
    rows = check(needs, made, result.lines, result.orders)
    assert rule in {row.rule for row in rows if not row.ok}
    changed = {p.part: p for p in made.parts.values()}
    told = complaints(
        written(replace(result, design=made), needs), {**shipped().by_name, **changed}, needs
    )
    assert told or name in ONE_WALK_ONLY


def test_an_array_on_a_roof_has_no_inlet():
    """One there is as wrong as none on the ground."""
    needs, result = kit()
    places = tuple(replace(p, ground=False, holds=("panel",)) for p in needs.places[:1])
    needs = replace(needs, places=(*places, *needs.places[1:]))
    rows = check(needs, design(), result.lines, result.orders)
    assert "an array on the ground has its inlet" in {row.rule for row in rows if not row.ok}


# --- small parts --------------------------------------------------------------------------------

SMALL: dict[str, tuple[Callable[[object, str], bool], str]] = {
    "stowage straps": (
        lambda p, _: isinstance(p, Mounting) and p.kind == "stowage strap",
        "panels are strapped down on the way",
    ),
    "the seal of the inlet": (
        lambda p, _: isinstance(p, Sealant) and p.kind == "sealing adhesive",
        "brackets and inlets are sealed",
    ),
    "paint for the cut": (
        lambda p, _: isinstance(p, Sealant) and p.kind == "paint for cut edges",
        "cut edges are painted",
    ),
    "the inlet's own label": (
        lambda p, of: isinstance(p, Label) and of == "inlet-1" and not p.text,
        "is labelled",
    ),
    "the warnings at the inlet": (
        lambda p, of: isinstance(p, Label) and of == "inlet-1" and bool(p.topic),
        "a printed label warns",
    ),
    "the inlet's screws": (lambda _, of: of == "inlet-1", "is screwed on"),
    "a saw for the opening": (lambda _, of: of == "saw cut-outs", "a tool for each task"),
}


@pytest.mark.parametrize("name", SMALL)
def test_a_small_part_left_out_is_named(name):
    """Each kind that an inlet or its panels ask for, out of the design."""
    needs, result = kit()
    found = design()
    gone, rule = SMALL[name]
    small = tuple(e for e in found.small or () if not gone(found.parts[e.part], e.of))
    assert len(small) < len(found.small or ())
    rows = check(needs, replace(found, small=small), result.lines, result.orders)
    assert rule in {row.rule for row in rows if not row.ok}


def test_nothing_fastens_panels_on_the_ground():
    """No feet, no screws, no solvent; two straps; no clips along the lead."""
    found = design()
    kinds = {getattr(found.parts[e.part], "kind", "") for e in found.small or ()}
    assert not kinds & {"corner bracket", "Z bracket", "tilt leg", "solvent", "wipe"}
    assert not [e for e in found.small or () if e.of.startswith("panel")]
    straps = [e for e in found.small or () if found.parts[e.part].part == "mount-strap-stow"]
    assert [(e.of, e.quantity) for e in straps] == [("array on controller-1", 2)]
    inside_m = 2 * (0.95 + 0.45 - 4 * 0.15)
    clips = [e for e in found.small or () if e.of == "array 1" and "clip" in e.part]
    assert sum(e.pieces for e in clips) <= 2 * (inside_m / 0.2 + 4)


def ends_of(found: Design, at: str) -> list[End]:
    """The ends that land there."""
    return [e for c in found.cuts for e in c.ends if e.at == at]


def test_both_halves_of_the_inlet_take_two_poles():
    """Bare wire with a ferrule in each clamp: the lead's two outside, the run's two inside."""
    found = design()
    for side in ("in", "out"):
        assert sorted(e.pole for e in ends_of(found, f"inlet-1:{side}")) == ["+", "-"]
        assert all(e.termination is None for e in ends_of(found, f"inlet-1:{side}"))


def boxed(place: str) -> tuple[Design, set[tuple[str, str]], Callable[[Design], set[str]]]:
    """The kit with a combiner in a place, what it has of small parts, and rules about it broken."""
    needs, result = kit()
    box = next(p for p in shipped().parts if isinstance(p, Combiner) and p.fused_poles)
    (array,) = design().arrays
    made = replace(array, combiner=Box(id="combiner-1", part=box.part, place=place))
    bare = replace(
        design(), small=None, without=(), unsold=(), arrays=(made,),
        parts={**design().parts, box.part: box},
    )  # fmt: skip
    kept = tuple(x for x in result.lines if x.part_class not in SMALL_CLASSES)
    whole = completed(needs, bare, kept, result.orders, market_of(needs, shipped()))

    def broken(other: Design) -> set[str]:
        rows = check(needs, other, whole.lines, whole.orders)
        return {row.rule for row in rows if not row.ok and row.subject == "combiner-1"}

    mine = {(e.part, e.of) for e in whole.design.small or () if e.of == "combiner-1"}
    return whole.design, mine, broken


def is_screw(found: Design, name: str) -> bool:
    """Whether a small part screws something on."""
    return isinstance(found.parts[name], Fastener)


def test_a_combiner_on_the_grass_is_screwed_to_nothing():
    """Wood screws hold nothing there, and the checker says so where they are in the bill."""
    lying, mine, broken = boxed("grass")
    assert not [part for part, _ in mine if is_screw(lying, part)]
    assert not broken(lying) & {"is screwed on", "nothing is screwed to the ground"}

    hung, screwed, _ = boxed("side wall")
    (screw,) = [part for part, _ in screwed if is_screw(hung, part)]
    extra = next(e for e in hung.small or () if (e.part, e.of) == (screw, "combiner-1"))
    wrong = replace(
        lying, small=(*lying.small, extra), parts={**lying.parts, screw: hung.parts[screw]}
    )
    assert "nothing is screwed to the ground" in broken(wrong)


@pytest.mark.parametrize("topic", ["array live in daylight", "fuse holders under load"])
def test_a_combiner_warns_whoever_opens_it(topic):
    """It is live in daylight, and a fuse that is drawn under load arcs; no label, no whole kit."""
    made, mine, _ = boxed("grass")
    (label,) = [part for part, _ in mine if getattr(made.parts[part], "topic", None) == topic]
    needs, result = kit()
    gone = tuple(e for e in made.small or () if (e.part, e.of) != (label, "combiner-1"))

    def broken(other: Design) -> set[str]:
        rows = check(needs, other, result.lines, result.orders)
        return {
            row.subject for row in rows if not row.ok and row.rule == "a printed label warns"
        }

    assert not broken(made)
    assert broken(replace(made, small=gone)) == {topic}
