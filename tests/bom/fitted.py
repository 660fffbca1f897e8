"""Designs of any size for the drawings to scale: places, obstacles, legs, holes, all by a seed.

Devices lie where the placer puts them; circuits run along the shortest way. They are no kits:
nothing is charged or fed, but everything that the drawings read is there.
"""

from __future__ import annotations

import itertools
import random
from dataclasses import replace

from solver.fit import Item, place_items
from solver.needs import Job, Leg, Load, Needs, Obstacle, Place
from solver.parts import Busbar
from solver.records import Circuit, Cut, Design, Device, End, Protection
from solver.routes import route
from tests.oracle import larger_design, small_design

LONG = "of a long name with no end that goes on and on " * 4
SEAT = replace(larger_design.PARTS["strip-holder"], length_mm=85, width_mm=30, height_mm=35)
PARTS = dict(larger_design.PARTS) | {"strip-holder": SEAT}
WORDS = ["roof", "locker", "bench", "board", "<b>&amp;", "Küche", "aft", "port"]


def fitted_design(seed: int) -> tuple[Design, Needs]:
    """A design of its own for every seed, and its needs."""
    r = random.Random(f"fitted {seed}")
    names = _names(r, r.choice((1, 2, 4, 7, 12)))
    places = tuple(_place(r, name) for name in names)
    spot = random.Random(f"entries {seed}")
    loads = tuple(
        Load(name=f"{r.choice(WORDS)} {n}" if r.random() < 0.9 else f"{LONG}{n}", supply="dc",
             watts=20, hours_per_day=2, place=r.choice(names))
        for n in range(r.choice((1, 3, 12, 40)))
    )  # fmt: skip
    base = larger_design.needs()
    needs = replace(
        base,
        places=places,
        loads=loads,
        legs=tuple(_entered(spot, leg, places) for leg in _legs(r, names)),
        charging=(),
        job=Job(
            name=r.choice(("van", LONG)), currency="EUR", units=r.choice(("metric", "imperial"))
        ),
    )
    devices = [d for place in places for d in _devices(r, place)]
    circuits, cuts, fuses = _wiring(r, needs, devices)
    design = replace(
        larger_design.design(),
        devices=tuple(devices),
        arrays=(),
        protections=tuple(fuses),
        circuits=tuple(circuits),
        cuts=tuple(cuts),
        parts=PARTS | {d.part.part: d.part for d in devices},
    )
    return design, needs


def _names(r: random.Random, count: int) -> list[str]:
    plain = [f"{r.choice(WORDS)} {n}" for n in range(count)]
    return [f"{LONG[:190]}{n}" if r.random() < 0.1 else name for n, name in enumerate(plain)]


def _place(r: random.Random, name: str) -> Place:
    length, width = r.choice((300, 800, 2400, 9000)), r.choice((200, 700, 2000, 5000))
    obstacles = tuple(
        Obstacle(
            name=r.choice((f"hatch {n}", LONG[:150])),
            x_mm=r.randrange(length), y_mm=r.randrange(width),
            length_mm=r.choice((20, 200, 700)), width_mm=r.choice((15, 150, 600)),
        )
        for n in range(r.choice((0, 0, 1, 3, 30)))
    )  # fmt: skip
    return Place(
        name=name,
        length_mm=length,
        width_mm=width,
        height_mm=r.choice((None, 400)),
        margin_mm=r.choice((0, 12.5, 60)),
        obstacles=obstacles,
        holds=("busbar",),
    )


def _legs(r: random.Random, names: list[str]) -> tuple[Leg, ...]:
    """A tree over nearly all places, and some legs more that close rings."""
    pairs = [
        (names[r.randrange(n)] if r.random() < 0.5 else names[0], names[n])
        for n in range(1, len(names))
        if r.random() < 0.95
    ]
    rings = list(itertools.combinations(names, 2))
    pairs += r.sample(rings, min(len(rings), r.choice((0, 1, 3))))
    return tuple(
        Leg(
            from_=a, to=b, length_m=r.choice((0.4, 2.55, 11)),
            hole=r.choice((None, f"hole {n % 4}", LONG[:180])),
            conduit=r.choice((None, None, f"channel {n}")),
            hole_mm=r.choice((None, None, 12.0, 90.0)), hole_max_mm=r.choice((None, 15.0)),
            loaded_conductors=r.choice((0, 0, 5)),
        )
        for n, (a, b) in enumerate(dict.fromkeys(pairs))
    )  # fmt: skip


def _entered(r: random.Random, leg: Leg, places: tuple[Place, ...]) -> Leg:
    """The position of some entries is known."""
    by_name = {p.name: p for p in places}
    ends = {
        key: (r.uniform(0, by_name[name].length_mm), r.uniform(0, by_name[name].width_mm))
        for key, name in (("from_at_mm", leg.from_), ("to_at_mm", leg.to))
        if r.random() < 0.5
    }
    return replace(leg, **ends)


def _devices(r: random.Random, place: Place) -> list[Device]:
    """Boxes of a few sizes, as many as the placer finds room for."""
    kinds = [
        Busbar(
            part=r.choice((f"box-{k}", f"box-{k}-{LONG[:150]}")), name="box", kg=1,
            length_mm=r.choice((25.5, 120, 700)), width_mm=r.choice((18, 90, 500)),
            height_mm=r.choice((30, 250)), rated_a=100, studs=4, stud="M8",
        )
        for k in range(r.choice((1, 2, 4)))
    ]  # fmt: skip
    wanted = [r.choice(kinds) for _ in range(r.choice((0, 1, 5, 20, 120)))]
    while wanted:
        start = f"{WORDS.index(place.name.split()[0]) if place.name.split()[0] in WORDS else 9}"
        ids = [f"box-{start}-{abs(hash_of(place.name)) % 1000}-{n}" for n in range(len(wanted))]
        items = [
            Item(i, p.length_mm, p.width_mm, p.height_mm)
            for i, p in zip(ids, wanted, strict=True)
        ]
        spots = place_items(items, place)
        if spots is not None:
            return [
                Device(
                    id=s.id,
                    part=p,
                    place=place.name,
                    x_mm=s.x_mm,
                    y_mm=s.y_mm,
                    rotated=s.rotated,
                )
                for s, p in zip(spots, wanted, strict=True)
            ]
        wanted = wanted[: len(wanted) // 2]
    return []


def hash_of(text: str) -> int:
    """The same number for a text on every run."""
    return sum(n * ord(c) for n, c in enumerate(text, 1))


def _wiring(
    r: random.Random, needs: Needs, devices: list[Device]
) -> tuple[list[Circuit], list[Cut], list[Protection]]:
    """A circuit from some device to each load that a way leads to, now and then of another kind."""
    circuits, cuts, fuses = [], [], []
    for load in needs.loads if devices else ():
        source = r.choice(devices)
        way = route(needs, source.place, load.place)
        if way is None:
            continue
        kind = r.choice(("load", "load", "ac", "array"))
        one = small_design.circuit(
            load.name, kind, (source.id, load.name), 5, 2, small_design.C_6
        )
        circuits.append(replace(one, via=way.via, protection_id=None, protection=None))
        fuse = f"F{len(fuses) + 1}"
        fuses.append(
            Protection(
                id=fuse, part="strip-40", holder="strip-holder", place=source.place, way=None
            )
        )
        for at, cable, pole in (
            ((source.id, fuse), "red-6", "+"),
            ((fuse, load.name), "red-6", "+"),
            ((source.id, load.name), r.choice(("black-6", "black-16")), "-"),
        ):
            ends = tuple(End(at=x, pole=pole, stud=None, termination=None) for x in at)
            cuts.append(
                Cut(
                    label=f"W{len(cuts) + 1}", cable=cable, length_mm=r.randint(300, 9000),
                    circuit=load.name, piece_of="a spool", ends=ends,
                )
            )  # fmt: skip
    return circuits, cuts, fuses
