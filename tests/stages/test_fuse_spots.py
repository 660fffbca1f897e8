"""Where fuses find room: free, inside, near their source; what finds none is named.

Overlaps are measured here in millimetres, pair by pair, and share nothing with the code that
looks for the spots.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from solver.fuse_spots import fuse_spots
from solver.needs import Leg, Obstacle, Place
from solver.parts import Busbar, Holder
from solver.records import Circuit, Cut, Device, End, Protection
from tests.bom.fitted import fitted_design
from tests.oracle import larger_design
from tests.oracle.test_combiners import boxed

SEEDS = (4, 15, 61)


def holder(name, length, width, height=30.0):
    """A holder of these sides."""
    return Holder(
        part=name, name=name, kg=0.1, length_mm=length, width_mm=width, height_mm=height,
        kind="strip", rated_a=100, max_v=58,
    )  # fmt: skip


BAR = Busbar(
    part="bar", name="bar", kg=0.3, length_mm=200, width_mm=50, height_mm=40, rated_a=200,
    studs=4, stud="M8",
)  # fmt: skip


def kit(place, holders, *, bar_at=(0.0, 0.0), piece_mm=450, legs=()):
    """A bar in one place with a fuse for each holder, joined by a piece each."""
    needs = replace(
        larger_design.needs(), places=(place,), legs=legs, loads=(), charging=(),
    )  # fmt: skip
    parts = dict(larger_design.PARTS) | {h.part: h for h in holders} | {"bar": BAR}
    bar = Device(
        id="busbar-pos",
        part=BAR,
        place=place.name,
        x_mm=bar_at[0],
        y_mm=bar_at[1],
        rotated=False,
    )
    fuses = tuple(
        Protection(id=f"F{n}", part="strip-40", holder=h.part, place=place.name, way=None)
        for n, h in enumerate(holders, start=1)
    )
    cuts = tuple(
        Cut(
            label=f"W{n}", cable="red-6", length_mm=piece_mm, circuit="x", piece_of="a spool",
            ends=(
                End(at="busbar-pos:1", pole="+", stud=None, termination=None),
                End(at=f"F{n}", pole="+", stud=None, termination=None),
            ),
        )
        for n in range(1, len(holders) + 1)
    )  # fmt: skip
    design = replace(
        larger_design.design(), devices=(bar,), arrays=(), protections=fuses, circuits=(),
        cuts=cuts, parts=parts,
    )  # fmt: skip
    return needs, design


def board(length=600.0, width=400.0, **more):
    """An open board."""
    return Place(name="board", length_mm=length, width_mm=width, **more)


def overlap(a, b):
    """Whether two rectangles share more than an edge."""
    wide = min(a[2], b[2]) - max(a[0], b[0])
    high = min(a[3], b[3]) - max(a[1], b[1])
    return wide > 0.01 and high > 0.01


def taken(design, place):
    """What devices cover, with the space they keep free."""
    for d in design.devices:
        if d.place == place.name:
            along, across = d.part.length_mm, d.part.width_mm
            if d.rotated:
                along, across = across, along
            f = d.part.clear_mm or 0
            yield (d.x_mm - f, d.y_mm - f, d.x_mm + along + f, d.y_mm + across + f)


def check_free(needs, design):
    """Every spot inside, off obstacles, devices and one another; every fuse told of once."""
    told = []
    for found in fuse_spots(needs, design):
        place = needs.place(found.place)
        told += [s.mount.id for s in found.spots]
        told += [m.id for m in (*found.crowded, *found.too_high)] + list(found.bare)
        faces = [s.face for s in found.spots]
        m = place.margin_mm
        for spot, (x0, y0, x1, y1) in zip(found.spots, faces, strict=True):
            assert min(x0, y0) >= m - 0.01
            assert x1 <= place.length_mm - m + 0.01
            assert y1 <= place.width_mm - m + 0.01
            sides = sorted((x1 - x0, y1 - y0))
            part = spot.mount.part
            assert sides == pytest.approx(sorted((part.length_mm, part.width_mm)))
        barred = [*taken(design, place)]
        barred += [
            (o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm) for o in place.obstacles
        ]
        assert not any(overlap(a, b) for a in faces for b in barred)
        assert not any(overlap(a, b) for a, b in itertools.combinations(faces, 2))
    ids = {
        p.box or (p.id if p.way is None else p.id.rpartition(":")[0])
        for p in design.protections
    }
    assert sorted(told) == sorted(ids)


@pytest.mark.parametrize("seed", SEEDS)
def test_spots_are_free_and_inside_and_every_fuse_is_told_of(seed):
    """Whatever the place looks like, crowded or not."""
    design, needs = fitted_design(seed)
    check_free(needs, design)


def test_a_fuse_stands_beside_its_source():
    """With room for a lug, and no farther than its cable reckons with."""
    needs, design = kit(board(), [holder("a", 85, 30)], bar_at=(200, 150))
    (found,) = fuse_spots(needs, design)
    (spot,) = found.spots
    assert spot.mount.source == "busbar-pos"
    assert spot.mount.reach_mm == 450 - 2 * needs.rules.slack_mm
    assert spot.gap_mm == pytest.approx(20)
    assert not spot.too_far


def test_the_nearest_spot_is_the_nearest_of_all():
    """Against every millimetre of the place: nothing free lies nearer to the source."""
    blocks = (
        Obstacle(name="a", x_mm=90, y_mm=0, length_mm=60, width_mm=140),
        Obstacle(name="b", x_mm=0, y_mm=80, length_mm=90, width_mm=70),
        Obstacle(name="c", x_mm=150, y_mm=100, length_mm=70, width_mm=50),
    )
    place = board(220, 200, obstacles=blocks)
    # no room for lugs is left here: the piece is so short that it has to touch
    needs, design = kit(place, [holder("a", 60, 30)], bar_at=(0, 150), piece_mm=300)
    (found,) = fuse_spots(needs, design)
    (spot,) = found.spots
    barred = [*taken(design, place)]
    barred += [(o.x_mm, o.y_mm, o.x_mm + o.length_mm, o.y_mm + o.width_mm) for o in blocks]
    x0, y0, x1, y1 = barred[0]
    least = 1e9
    for along, across in ((60, 30), (30, 60)):
        for x in range(220 - along + 1):
            for y in range(200 - across + 1):
                face = (x, y, x + along, y + across)
                if not any(overlap(face, b) for b in barred):
                    gap = max(x0 - face[2], face[0] - x1, 0) + max(
                        y0 - face[3], face[1] - y1, 0
                    )
                    least = min(least, gap)
    assert least > 0
    assert spot.gap_mm == pytest.approx(least)


def test_a_spot_farther_than_its_cable_is_told():
    """The devices leave room only at the other end of the board."""
    wall = Obstacle(name="taken", x_mm=200, y_mm=0, length_mm=300, width_mm=400)
    above = Obstacle(name="taken too", x_mm=0, y_mm=50, length_mm=200, width_mm=350)
    place = board(obstacles=(wall, above))
    needs, design = kit(place, [holder("a", 85, 30)])
    (found,) = fuse_spots(needs, design)
    (spot,) = found.spots
    assert spot.gap_mm >= 300
    assert spot.too_far


def test_no_room_is_proven_and_told():
    """The board is full: said of the fuse that finds none, not drawn over something."""
    place = board(210, 60)
    needs, design = kit(place, [holder("a", 85, 30)])
    (found,) = fuse_spots(needs, design)
    assert found.spots == ()
    assert [m.id for m in found.crowded] == ["F1"]
    assert found.proven
    check_free(needs, design)


def test_what_hand_does_not_find_the_search_does():
    """Four boxes around a fifth: with so little left over, one after the other does not do."""
    place = board(300, 350)
    boxes = [holder(f"h{n}", 200, 100) for n in range(4)] + [holder("h4", 100, 100)]
    needs, design = kit(place, boxes, bar_at=(0, 0))
    (found,) = fuse_spots(needs, design)
    assert len(found.spots) == 5
    check_free(needs, design)


def test_a_holder_higher_than_the_locker_is_told():
    """It would keep the lid from closing."""
    needs, design = kit(board(height_mm=60), [holder("a", 85, 30, height=61)])
    (found,) = fuse_spots(needs, design)
    assert [m.id for m in found.too_high] == ["F1"]
    assert found.spots == ()


def test_an_entry_of_stated_position_stays_free():
    """The cables come in there."""
    place = board(400, 200)
    leg = Leg(from_="board", to="far", length_m=2, hole="h", hole_mm=60.0, from_at_mm=(260, 25))
    needs, design = kit(place, [holder("a", 85, 30)], legs=(leg,))
    needs = replace(needs, places=(place, Place(name="far", length_mm=500, width_mm=500)))
    (bare,) = fuse_spots(replace(needs, legs=(replace(leg, from_at_mm=None),)), design)
    lamp = Circuit(
        name="x", kind="load", from_="busbar-pos", to="lamp", conductors=2, current_a=1,
        design_a=1, length_m=2, cable="red-6", area_mm2=6, ampacity_a=30, drop_v=0, drop_pct=0,
        protection="strip-40", protection_id="F1", via=(("board", "far"),),
    )  # fmt: skip
    far = End(at="lamp", pole="+", stud=None, termination=None)
    fuse = End(at="F1", pole="+", stud=None, termination=None)
    more = Cut(
        label="W9", cable="red-6", length_mm=900, circuit="x", piece_of="a spool",
        ends=(fuse, far),
    )  # fmt: skip
    design = replace(design, circuits=(lamp,), cuts=(*design.cuts, more))
    (found,) = fuse_spots(needs, design)
    ring = (230, -5, 290, 55)
    assert overlap(bare.spots[0].face, ring)
    assert not overlap(found.spots[0].face, ring)


def test_a_combiner_finds_a_spot_by_its_panels():
    """On the roof, beside the panels and off the obstacles; without room it is told."""
    made, needs = boxed(), larger_design.needs()
    (roof,) = [x for x in fuse_spots(needs, made) if x.place == "roof"]
    assert [s.mount.id for s in roof.spots] == ["combiner-1"]
    face = roof.spots[0].face
    panels = [d for d in made.devices if d.place == "roof"]
    assert panels
    for d in panels:
        along, across = d.part.face_mm[::-1] if d.rotated else d.part.face_mm
        right, far = d.x_mm + along, d.y_mm + across
        assert face[2] <= d.x_mm or right <= face[0] or face[3] <= d.y_mm or far <= face[1]
    large = replace(made.parts["box-4"], length_mm=5000.0)
    crowded = replace(made, parts={**made.parts, "box-4": large})
    (roof,) = [x for x in fuse_spots(needs, crowded) if x.place == "roof"]
    assert [m.id for m in roof.crowded] == ["combiner-1"]
