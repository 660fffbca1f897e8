"""Random needs with room for anything, for catalogs of any size. Everything in them is invented.

Surfaces and lockers are large, so that placing rules nothing out and the cost is decided by the
programme alone.
"""

from __future__ import annotations

import random
from collections.abc import Iterable
from decimal import Decimal

from solver.needs import (
    CHEMISTRIES,
    Charging,
    Energy,
    Job,
    Leg,
    Limits,
    Load,
    Needs,
    Order,
    Place,
    Rules,
    Site,
)


def roomy_needs(seed: int) -> Needs:
    """Needs of their own for every seed; some of them, mostly by money or mass, without a kit."""
    return _Draw(seed).needs()


class _Draw:
    def __init__(self, seed: int) -> None:
        self.r = random.Random(f"roomy {seed}")

    def chance(self, share: float) -> bool:
        return self.r.random() < share

    def needs(self) -> Needs:
        r = self.r
        months = r.choice(((5, 6, 7, 8), (3, 4, 5, 6, 7, 8, 9), (1, 7), (6,)))
        sun = tuple(round(r.uniform(1.5, 6.0), 1) for _ in range(12))
        charging = tuple(self._charging())
        return Needs(
            job=Job(name="roomy", currency="EUR"),
            site=Site(
                latitude_deg=47.0,
                longitude_deg=8.0,
                tilt_deg=20.0,
                azimuth_deg=180.0,
                months=months,
                sun_hours=sun,
                coldest_c=r.choice((-15.0, -5.0, 2.0)),
                hottest_c=r.choice((25.0, 35.0)),
            ),
            energy=Energy(
                autonomy_days=r.choice((0.5, 1.0, 2.0)),
                shortfall_pct=r.choice((20.0, 60.0)) if charging else 0.0,
            ),
            loads=tuple(self._loads(months)),
            charging=charging,
            places=(
                Place(name="roof", length_mm=9000.0, width_mm=6000.0, holds=("panel",)),
                Place(
                    name="locker",
                    length_mm=6000.0,
                    width_mm=3000.0,
                    height_mm=800.0,
                    vented=True,
                    min_c=5.0,
                ),
                Place(name="room", length_mm=3000.0, width_mm=2000.0, holds=()),
            ),
            legs=(
                Leg(from_="roof", to="locker", length_m=r.choice((2.5, 4.0, 7.0))),
                Leg(from_="locker", to="room", length_m=r.choice((1.5, 3.0, 5.0))),
            ),
            limits=self._limits(),
            rules=Rules(
                voltages=r.choice(((12,), (24,), (12, 24))),
                chemistries=r.choice((("lfp",), ("agm", "gel"), CHEMISTRIES)),
                practice=r.choice(("iso", "iso", "nec", "abyc")),
            ),
            order=Order(spares_pct=r.choice((0.0, 10.0)), rates=(("USD", Decimal("0.92")),)),
            sun_hours=sun,
        )

    def _loads(self, months: tuple[int, ...]) -> Iterable[Load]:
        r = self.r
        for k in range(r.choice((1, 2, 3))):
            yield Load(
                name=f"load {k}",
                supply="dc",
                watts=float(r.choice((6, 15, 30, 60, 90))),
                quantity=r.choice((1, 1, 2)),
                hours_per_day=r.choice((0.5, 2.0, 5.0)),
                place=r.choice(("locker", "room")),
                months=months[:1] if self.chance(0.15) else None,
            )
        if self.chance(0.5):
            yield Load(
                name="kettle",
                supply="ac",
                watts=float(r.choice((150, 400, 900))),
                hours_per_day=r.choice((0.1, 0.3)),
                place="room",
            )

    def _charging(self) -> Iterable[Charging]:
        r = self.r
        if self.chance(0.25):
            kind = r.choice(("shore", "generator", "engine"))
            yield Charging(kind=kind, max_w=1500.0, hours_per_day=r.choice((1.0, 3.0)))

    def _limits(self) -> Limits:
        r = self.r
        return Limits(
            total_kg=r.uniform(30, 160) if self.chance(0.2) else None,
            budget=Decimal(r.randrange(500, 2000)) if self.chance(0.2) else None,
        )
