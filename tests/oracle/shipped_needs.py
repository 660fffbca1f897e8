"""Random needs that a person could have, for the shipped catalog. Everything in them is invented.

Vans, boats, huts and stalls of three practices, all voltages and chemistries, with and without
mains appliances, shore, generator and engine, with full lockers and empty ones; about one in eight
is asked for what no kit gives. Every seed has needs of its own, the same on every machine.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from datetime import date, timedelta
from decimal import Decimal

from solver.needs import (
    Charging,
    DropLimits,
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Needs,
    Obstacle,
    Order,
    Owned,
    Place,
    Rules,
    Site,
)
from solver.stock import Stock

SUPPLIERS = ("alder", "birch", "cedar", "dogwood", "elm")

SHOPS = (
    *[("alder",)] * 4,
    *[("birch",)] * 4,
    *[("dogwood", "cedar")] * 4,
    ("birch", "elm"),
    SUPPLIERS,
)
"""Who may sell; mostly one shop, since a whole kit is soon found among few offers."""

TROUBLES = ("budget", "mass", "frost", "date", "giant", "volts", "closet", "dark")


def shipped_needs(seed: int, stock: Stock) -> Needs:
    """Needs of their own for every seed."""
    return _Draw(seed, stock).needs()


class _Draw:
    def __init__(self, seed: int, stock: Stock) -> None:
        self.r = random.Random(f"shipped {seed}")
        self.seed = seed
        self.stock = stock
        self.trouble = self.r.choice(TROUBLES) if self.chance(0.125) else ""
        self.volts = self.r.choice((12, 12, 12, 24, 24, 48))
        self.practice = self.r.choice(("iso", "nec", "abyc"))
        american = self.practice != "iso" and self.chance(0.6)
        self.ac = (120.0, 60.0) if american else (230.0, 50.0)
        self.one_box = self.chance(0.15)
        self.galley = self.chance(0.6)
        self.engine = self.chance(0.25)

    def chance(self, share: float) -> bool:
        return self.r.random() < share

    def needs(self) -> Needs:
        r = self.r
        months = r.choice(((4, 5, 6, 7, 8, 9), (6, 7, 8), (1, 7), (5,), tuple(range(1, 13))))
        least, most = (0.01, 0.05) if self.trouble == "dark" else (1.8, 6.0)
        sun = tuple(round(r.uniform(least, most), 2) for _ in range(12))
        loads = tuple(self._loads(months))
        charging = tuple(self._charging())
        dull = bool(charging) and random.Random(f"dull {self.seed}").random() < 0.6
        if dull:
            sun = tuple(round(hours * 0.25, 2) for hours in sun)
        shortfall = r.choice((0.0, 20.0, 50.0)) if charging else 0.0
        return Needs(
            job=Job(name=f"drawn {self.seed}", currency="EUR"),
            site=Site(
                latitude_deg=47.0,
                longitude_deg=8.0,
                tilt_deg=r.choice((0.0, 15.0, 40.0)),
                azimuth_deg=180.0,
                months=months,
                sun_hours=sun,
                coldest_c=r.choice((-25.0, -10.0, -4.0, 3.0, 12.0)),
                hottest_c=r.choice((24.0, 30.0, 36.0, 42.0)),
                cell_rise_c=r.choice((25.0, 30.0, 35.0)),
                derate=r.choice((0.8, 0.85, 0.9)),
            ),
            energy=Energy(
                autonomy_days=r.choice((0.5, 1.0, 1.5, 2.0)),
                shortfall_pct=70.0 if dull else shortfall,
                inverter_hours_per_day=r.choice((None, 3.0, 8.0)),
            ),
            loads=loads,
            places=tuple(self._places()),
            charging=charging,
            legs=tuple(self._legs()),
            limits=self._limits(),
            rules=self._rules(),
            owned=tuple(self._owned()),
            order=self._order(),
            sun_hours=sun,
        )

    def _loads(self, months: tuple[int, ...]) -> Iterable[Load]:
        r = self.r
        rooms = ["cabin", "galley"] if self.galley else ["cabin"]
        scale = {12: 1.0, 24: 1.5, 48: 2.5}[self.volts]
        for k in range(r.choice((1, 2, 2, 3, 4, 5))):
            shared = k >= 2 and self.chance(0.4)
            watts = round(scale * r.choice((3, 8, 18, 40, 75, 110)), 1)
            quantity = r.choice((1, 1, 1, 2, 4))
            most_h = round(350.0 / (watts * quantity), 1)
            yield Load(
                name=f"load {k}",
                supply="dc",
                watts=watts,
                quantity=quantity,
                hours_per_day=min(r.choice((0.3, 1.0, 2.5, 4.0)), most_h),
                together=self.chance(0.85),
                place="cabin" if shared else r.choice(rooms),
                circuit="shared" if shared else None,
                months=months[:1] if self.chance(0.1) else None,
                volts=(36.0,) if k == 0 and self.trouble == "volts" else None,
            )
        for k in range(r.choice((0, 0, 1, 2))):
            watts = float(r.choice((60, 150, 400, 700)))
            giant = k == 0 and self.trouble == "giant"
            yield Load(
                name=f"mains {k}",
                supply="ac",
                watts=30000.0 if giant else watts,
                hours_per_day=r.choice((0.1, 0.3, 0.5)),
                surge_watts=round(watts * 2.2) if not giant and self.chance(0.4) else None,
                together=self.chance(0.7),
                place=r.choice(rooms),
            )

    def _charging(self) -> Iterable[Charging]:
        r = self.r
        inlet = "cabin" if self.chance(0.5) else None
        for kind, share in (("shore", 0.25), ("generator", 0.1)):
            if self.chance(share):
                yield Charging(
                    kind=kind,
                    max_w=r.choice((600.0, 1400.0, 2800.0)),
                    hours_per_day=r.choice((1.0, 3.0)),
                    place=inlet,
                )
        if self.engine:
            yield Charging(
                kind="engine",
                max_w=r.choice((400.0, 700.0)),
                hours_per_day=r.choice((0.5, 2.0)),
                place="engine bay",
            )

    def _places(self) -> Iterable[Place]:
        r = self.r
        small = self.trouble == "closet"
        length, width = (
            (400.0, 250.0) if small else (r.uniform(2200, 7000), r.uniform(1300, 3000))
        )
        hatch = Obstacle(
            name="hatch",
            x_mm=round(length * r.uniform(0.2, 0.7)),
            y_mm=round(width * r.uniform(0.1, 0.5)),
            length_mm=round(min(length, 3000) * 0.15),
            width_mm=round(width * 0.3),
        )
        yield Place(
            name="roof",
            length_mm=round(length),
            width_mm=round(width),
            holds=("panel",),
            max_kg=r.choice((None, None, 60.0, 150.0)),
            margin_mm=r.choice((0.0, 25.0, 60.0)),
            obstacles=(hatch,) if self.chance(0.5) else (),
        )
        coldest = -30.0 if self.trouble == "frost" else r.choice((2.0, 6.0, 12.0))
        yield Place(
            name="locker",
            length_mm=round(r.uniform(900, 2600)),
            width_mm=round(r.uniform(500, 1200)),
            height_mm=round(r.uniform(320, 800)),
            holds=None if self.one_box else ("battery",),
            vented=True,
            min_c=coldest,
            max_c=r.choice((None, 40.0, 45.0)),
        )
        if not self.one_box:
            yield Place(
                name="board",
                length_mm=round(r.uniform(1400, 2600)),
                width_mm=round(r.uniform(600, 1200)),
                margin_mm=r.choice((0.0, 20.0)),
                max_c=r.choice((None, 45.0)),
                # indoors, as a rule; where nothing is said it is as cold as the site
                min_c=random.Random(f"board {self.seed}").choice((None, -15.0, -5.0, 4.0)),
            )
        yield Place(name="cabin", length_mm=3000, width_mm=2000, holds=())
        if self.galley:
            yield Place(name="galley", length_mm=1500, width_mm=900, holds=())
        if self.engine:
            yield Place(
                name="engine bay",
                length_mm=900,
                width_mm=900,
                holds=(),
                max_c=60.0,
                engine_space=self.chance(0.5),
            )

    def _legs(self) -> Iterable[Leg]:
        r = self.r
        hub = "locker" if self.one_box else "board"

        def leg(start: str, goal: str) -> Leg:
            return Leg(
                from_=start,
                to=goal,
                length_m=round(r.uniform(0.6, 5.0), 2),
                hole=f"hole of {goal}" if self.chance(0.4) else None,
                conduit=f"conduit to {goal}" if self.chance(0.3) else None,
                loaded_conductors=r.choice((0, 0, 0, 2, 5)),
                max_c=r.choice((None, None, None, 48.0)),
            )

        yield leg("roof", hub)
        if not self.one_box:
            yield leg("locker", "board")
        yield leg(hub, "cabin")
        if self.galley:
            yield leg("cabin", "galley")
            if self.chance(0.3):
                yield leg(hub, "galley")
        if self.engine:
            yield leg("engine bay", hub)

    def _limits(self) -> Limits:
        r = self.r
        if self.trouble == "budget":
            return Limits(budget=Decimal(r.randrange(40, 160)))
        if self.trouble == "mass":
            return Limits(total_kg=r.uniform(1.0, 4.0))
        return Limits(
            total_kg=r.uniform(60, 250) if self.chance(0.15) else None,
            budget=Decimal(r.randrange(1500, 6000)) if self.chance(0.15) else None,
        )

    def _rules(self) -> Rules:
        r = self.r
        chemistries = r.choice(
            (*[("lfp",)] * 5, *[("agm",), ("gel",), ("flooded",)] * 2, ("lfp", "agm"))
        )
        return Rules(
            voltages=(self.volts, 48)
            if self.volts < 48 and self.chance(0.06)
            else (self.volts,),
            chemistries=("lfp",) if self.trouble == "frost" else chemistries,
            practice=self.practice,
            ac_v=self.ac[0],
            hz=self.ac[1],
            drop_pct=DropLimits(
                battery=r.choice((1.0, 1.0, 2.0)), load=r.choice((3.0, 3.0, 5.0))
            ),
            continuous=r.choice((1.25, 1.25, 1.25, 1.0)),
            conductor_c=r.choice((60.0, 60.0, 75.0)),
            slack_mm=r.choice((150.0, 150.0, 100.0, 300.0)),
            round_mm=r.choice((10.0, 10.0, 50.0, 1.0)),
            in_place_m=r.choice((1.0, 1.0, 0.6, 1.5)),
        )

    def _owned(self) -> Iterable[Owned]:
        r = self.r
        if not self.chance(0.2):
            return
        cls = r.choice(("panel", "cable", "fuse", "lug"))
        part = r.choice(self.stock.of_class(cls))
        quantity = Decimal(r.choice((3, 7))) if cls == "cable" else Decimal(r.choice((1, 2, 6)))
        use = "must" if cls in ("panel", "cable") and self.chance(0.3) else "may"
        yield Owned(part=part, inline=False, quantity=quantity, use=use)

    def _order(self) -> Order:
        r = self.r
        shops = r.choice(SHOPS)
        start = date(2027, 3, 1)
        days = 1 if self.trouble == "date" else 45
        return Order(
            start=start if self.trouble == "date" or self.chance(0.3) else None,
            need_by=start + timedelta(days=days)
            if self.trouble == "date" or self.chance(0.2)
            else None,
            avoid_suppliers=tuple(s for s in SUPPLIERS if s not in shops),
            spares_pct=r.choice((0.0, 10.0, 10.0, 25.0)),
            rates=(("USD", Decimal("0.92")),),
        )
