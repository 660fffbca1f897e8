"""What a kit weighs, and its moments about a stated reference."""

from __future__ import annotations

from dataclasses import replace

import pytest

from solver.needs import Limits
from solver.records import Link
from solver.report import total_kg
from solver.weights import weights_of
from tests.oracle import larger_design

AT = {"roof": (1.5, 0.0, 2.0), "locker": (2.0, 0.5, 0.2), "board": (0.5, -0.5, 1.0)}


def with_positions(positions, **limits):
    """The needs of the larger design with `at_m` where it is given, and limits."""
    needs = larger_design.needs()
    places = tuple(replace(p, at_m=positions.get(p.name)) for p in needs.places)
    return replace(needs, places=places, limits=Limits(**limits))


DESIGN = larger_design.design()
CAB = {"cab": (3.0, 1.0, 0.0)}
"""A fuse hangs there."""


def test_weights_add_up_to_the_kit():
    """Places, cables, terminations and small parts are all there is."""
    found = weights_of(larger_design.needs(), DESIGN)
    assert found.total_kg == pytest.approx(total_kg(DESIGN))
    by_name = {p.place: p.kg for p in found.places}
    four_batteries = 4 * 11 + sum(
        DESIGN.parts[p.part].kg + DESIGN.parts[p.holder].kg
        for p in DESIGN.protections
        if p.place == "locker"
    )
    assert by_name["locker"] == pytest.approx(four_batteries)
    assert by_name["bench"] == 0


def test_moments_are_weight_times_distance():
    """Worked from the devices, each in the middle of its place; fuses and cable are in none."""
    found = weights_of(with_positions(AT | CAB), DESIGN)
    kg = {p.place: 0.0 for p in found.places}
    for device in DESIGN.devices:
        kg[device.place] += device.part.kg
    x, y, z = (m.kgm for m in found.moments)
    assert x == pytest.approx(
        1.5 * kg["roof"] + 2 * kg["locker"] + 0.5 * kg["board"] + 3 * kg["cab"]
    )
    assert y == pytest.approx(0.5 * kg["locker"] - 0.5 * kg["board"] + kg["cab"])
    assert z == pytest.approx(2 * kg["roof"] + 0.2 * kg["locker"] + kg["board"])
    assert found.middle_m[0] == pytest.approx(x / sum(kg.values()))
    assert found.without_position == ()


def test_a_place_without_position_makes_no_moment():
    """Not computed, never taken as balanced; a place that bears no device needs no position."""
    assert weights_of(with_positions(AT), DESIGN).without_position == ()
    some = {name: at for name, at in AT.items() if name != "board"}
    found = weights_of(with_positions(some), DESIGN)
    assert found.without_position == ("board",)
    assert [m.kgm for m in found.moments] == [None] * 3
    assert found.middle_m is None
    assert all(m.ok is None for m in found.moments)
    roof = next(p for p in found.places if p.place == "roof")
    assert roof.moments_kgm[0] == pytest.approx(1.5 * roof.device_kg)


def test_a_limit_of_a_moment_is_kept_or_not_either_way():
    """Left is as bad as right."""
    mirrored = {name: (x, -y, z) for name, (x, y, z) in (AT | CAB).items()}
    for positions in (AT | CAB, mirrored):
        side = abs(weights_of(with_positions(positions), DESIGN).moments[1].kgm)
        for limit, ok in ((side * 1.001, True), (side * 0.999, False)):
            found = weights_of(with_positions(positions, side_kgm=limit), DESIGN)
            assert found.moments[1].ok is ok
            assert found.moments[0].ok is None


def test_a_lone_weight_moved_moves_the_middle():
    """Ten kilograms more a metre away: the lever rule, with nothing else in the kit."""
    needs, made = with_positions({"board": (2.0, 0.0, 0.0), "locker": (4.0, 0.0, 0.0)}), DESIGN
    controller = next(d for d in made.devices if d.id == "controller-1")
    part = replace(controller.part, kg=10.0)
    alone = replace(
        made,
        devices=(
            replace(controller, part=part),
            replace(controller, id="controller-2", part=part, place="locker"),
        ),
        protections=(),
    )
    found = weights_of(needs, alone)
    assert found.moments[0].kgm == pytest.approx(60)
    assert found.middle_m[0] == pytest.approx(3)


def test_comm_cables_weigh_too():
    """What is counted beside devices and cut cable is in the sum, as in the kit's limit."""
    part = replace(DESIGN.parts["pv-branch"], part="comm-2", kg=0.3)
    link = Link(part="comm-2", from_="monitor-1", to="controller-1", length_m=1.0)
    more = replace(DESIGN, links=(link,), parts={**DESIGN.parts, "comm-2": part})
    found = weights_of(larger_design.needs(), more)
    assert found.total_kg == pytest.approx(total_kg(more))
    assert found.total_kg == pytest.approx(total_kg(DESIGN) + 0.3)
